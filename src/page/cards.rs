//! What is told of a part where it is touched: its numbers, how each comes about, the laws it follows.

use maud::{Markup, html};

use super::Page;
use super::why::Places;
use crate::answer::drawing::{CircuitDrawn, LawDrawn, PartDrawn};
use crate::answer::{Form, ResultValue, Value, kinds};
use crate::pictures::circuit::anchor;
use crate::pictures::in_page;
use crate::words::plain::plain;

impl Page<'_> {
    /// The cards of all parts of a circuit. One is shown when it is asked for; without a script too.
    pub(super) fn cards(&self, circuit: &CircuitDrawn) -> Markup {
        html! {
            div class="cards" {
                @for (w, way) in circuit.ways.iter().enumerate() {
                    @for (p, part) in way.parts.iter().enumerate() {
                        (self.card(&anchor(circuit.number, w, p), part))
                    }
                }
            }
        }
    }

    fn card(&self, id: &str, part: &PartDrawn) -> Markup {
        let prefix = format!("{}:", part.address);
        let all = &self.report.point.results;
        let places = self.places();
        let own = all.iter().filter(|r| r.address.starts_with(&prefix) && r.value.is_finite());
        html! {
            article class="card" id=(id) tabindex="-1" aria-label=(part.address) {
                h4 { (part.word) " " code { (part.address) } a class="shut" href="#circuits" aria-label="close" { "close" } }
                div class="table" {
                    table class="results" {
                        thead { tr {
                            th { "result" } th class="right" { "value" } th class="right" { "\u{b1}" }
                            th { "how it comes about" }
                        } }
                        tbody { @for result in own { (self.result(result, &places)) } }
                    }
                }
                @for law in &part.laws { (self.law(law)) }
            }
        }
    }

    fn result(&self, result: &ResultValue, places: &Places<'_>) -> Markup {
        let value = self.pen.value(&Value::formed(result.kind, result.value, Form::Full));
        let kind = kinds::difference(result.kind);
        let off = result.uncertainty.filter(|off| *off > 0.0);
        let off = off.map(|si| self.pen.value(&Value::formed(kind, si, Form::Off)));
        html! {
            tr {
                th scope="row" { (result.label) }
                td { (in_page(&value)) }
                td { @if let Some(off) = off { (in_page(&off)) } }
                td { (Self::why_link(places, result)) }
            }
        }
    }

    /// Every law that the answers rest on, with its range and its source.
    pub(super) fn laws(&self) -> Markup {
        html! {
            @for law in &self.report.drawing.laws {
                div class="law" {
                    p { b { (law.name) } @for formula in &law.formulas { br; code { (formula) } } }
                    @for (sign, least, most, _) in &law.ranges {
                        p class="range" { "Published for " (sign) " from " (digits(*least)) " to " (digits(*most)) "." }
                    }
                    p class="source" { (law.source) }
                }
            }
        }
    }

    /// A law with its numbers, in SI units as its formula is.
    #[expect(clippy::unused_self, reason = "one of the page's pieces")]
    fn law(&self, law: &LawDrawn) -> Markup {
        html! {
            div class="law" {
                p { b { (law.name) } @for formula in &law.formulas { br; code { (formula) } } }
                p class="numbers" {
                    "Here, in SI units: "
                    @for (k, (sign, number, unit, means)) in law.numbers.iter().enumerate() {
                        @if k > 0 { ", " }
                        span title=(means) { (sign) " = " (digits(*number)) @if *unit != "1" { " " (unit) } }
                    }
                }
                @for (sign, least, most, left) in &law.ranges {
                    p class="range" {
                        "Published for " (sign) " from " (digits(*least)) " to " (digits(*most))
                        @if *left { strong { ": left here" } } @else { "." }
                    }
                }
                p class="source" { (law.source) }
            }
        }
    }
}

/// A number with four digits that count.
fn digits(number: f64) -> String {
    plain(number, 4)
}
