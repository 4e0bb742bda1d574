//! Every number and what it rests on, each a step from the next.

use std::collections::BTreeMap;

use maud::{Markup, html};

use super::Page;
use crate::answer::drawing::{InputDrawn, NumberDrawn, ReasonDrawn};
use crate::answer::{Form, ResultValue, Value, kinds};
use crate::pictures::in_page;

/// The thing and the name of an address.
fn split(address: &str) -> (&str, &str) {
    address.rsplit_once(':').unwrap_or((address, ""))
}

/// What stands where on the page: results by their address, and numbers of the case.
pub(super) struct Places<'a> {
    results: BTreeMap<&'a str, usize>,
    numbers: BTreeMap<&'a str, usize>,
}

impl Places<'_> {
    /// The anchor of a result, else of a number of the case.
    fn anchor(&self, address: &str) -> Option<String> {
        let result = self.results.get(address).map(|k| format!("r{k}"));
        result.or_else(|| self.number(address))
    }

    /// The anchor of a number of the case.
    fn number(&self, address: &str) -> Option<String> {
        self.numbers.get(address).map(|k| format!("n{k}"))
    }

    /// A link to where a number stands; what belongs to the same thing is told by its colon and its name.
    fn link(&self, address: &str, of: &str) -> Markup {
        let anchor = if address == of { self.number(address) } else { self.anchor(address) };
        let (thing, _) = split(of);
        let own = address.strip_prefix(thing).filter(|rest| rest.starts_with(':'));
        let told = own.unwrap_or(address);
        html! {
            @if let Some(anchor) = anchor { a href={ "#" (anchor) } { (told) } } @else { (told) }
        }
    }
}

impl Page<'_> {
    /// Where every number stands.
    pub(super) fn places(&self) -> Places<'_> {
        let reasons = self.report.drawing.reasons.iter().enumerate();
        let numbers = self.report.drawing.numbers.iter().enumerate();
        Places {
            results: reasons.map(|(k, of)| (of.address.as_str(), k)).collect(),
            numbers: numbers.map(|(k, of)| (of.address.as_str(), k)).collect(),
        }
    }

    /// In a word how a result comes about, which leads to all of it.
    pub(super) fn why_link(places: &Places<'_>, result: &ResultValue) -> Markup {
        html! {
            @if let Some(k) = places.results.get(result.address.as_str()) {
                a href={ "#r" (k) } { (result.formula) }
            } @else { (result.formula) }
        }
    }

    /// All results, thing by thing, then all numbers of the case.
    pub(super) fn why(&self) -> Markup {
        let places = self.places();
        let mut things: Vec<(&str, Vec<(usize, &ReasonDrawn)>)> = Vec::new();
        for (k, reason) in self.report.drawing.reasons.iter().enumerate() {
            let (thing, _) = split(&reason.address);
            match things.last_mut() {
                Some((last, all)) if *last == thing => all.push((k, reason)),
                _ => things.push((thing, vec![(k, reason)])),
            }
        }
        let known = &self.report.point.results;
        let results: BTreeMap<&str, &ResultValue> =
            known.iter().map(|result| (result.address.as_str(), result)).collect();
        html! {
            p class="key" {
                "Every result of the operating point with what it rests on, one step at a time, down to the numbers of the case \
                 and the line where each stands. What begins with a colon is of the same thing. On a command line: " code { "coolwright why" } "."
            }
            @for (thing, all) in &things {
                details class="section" {
                    summary { code { (thing) } }
                    div class="table" { table class="reasons" {
                        thead { tr {
                            th { "result" } th class="right" { "value" } th { "how it comes about" }
                        } }
                        tbody {
                            @for (k, reason) in all {
                                @if let Some(result) = results.get(reason.address.as_str()) {
                                    (self.reason(*k, reason, result, &places))
                                }
                            }
                        }
                    } }
                }
            }
            details class="section" {
                summary { "Numbers of the case" }
                div class="table" { table class="reasons" {
                    thead { tr {
                        th { "number" } th class="right" { "value" } th { "how it is known" }
                    } }
                    tbody { @for (k, number) in self.report.drawing.numbers.iter().enumerate() { (self.number(k, number)) } }
                } }
            }
        }
    }

    fn reason(
        &self,
        k: usize,
        reason: &ReasonDrawn,
        result: &ResultValue,
        places: &Places<'_>,
    ) -> Markup {
        let value = self.pen.value(&Value::formed(result.kind, result.value, Form::Full));
        let off = result.uncertainty.filter(|off| *off > 0.0);
        let kind = kinds::difference(result.kind);
        let off = off.map(|si| self.pen.value(&Value::formed(kind, si, Form::Off)));
        let (_, name) = split(&result.address);
        html! {
            tr id={ "r" (k) } {
                th scope="row" { code { (name) } br; (result.label) }
                td {
                    @if result.value.is_finite() { (in_page(&value)) } @else { "no value here" }
                    @if let Some(off) = off { br; "\u{b1} " (in_page(&off)) }
                }
                td {
                    @if let Some(formula) = &reason.formula { code { (formula) } } @else { (result.formula) }
                    @for input in &reason.inputs { br; (self.input(input, reason, places)) }
                }
            }
        }
    }

    fn input(&self, input: &InputDrawn, reason: &ReasonDrawn, places: &Places<'_>) -> Markup {
        html! {
            code { (input.sign) } " "
            @if let Some((what, kind, si)) = input.property {
                (what) ", " (in_page(&self.pen.value(&Value::formed(kind, si, Form::Full))))
            }
            @for (k, address) in input.addresses.iter().enumerate() {
                // A result that bears the name of a number rests on that.
                @if k > 0 { ", " } (places.link(address, &reason.address))
            }
        }
    }

    fn number(&self, k: usize, number: &NumberDrawn) -> Markup {
        let value = self.pen.value(&Value::formed(number.kind, number.value, Form::Full));
        html! {
            tr id={ "n" (k) } {
                th scope="row" { code { (number.address) } br; (in_page(&self.pen.value(&number.what))) }
                td { (in_page(&value)) }
                td { (in_page(&self.pen.value(&number.known))) }
            }
        }
    }
}
