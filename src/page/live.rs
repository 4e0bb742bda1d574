//! The page with the solver in it: numbers that its reader moves, and what comes of them.

use std::collections::BTreeSet;

use coolwright_cases::quantity::{Kind, UnitSystem};
use maud::{Markup, PreEscaped, html};
use serde_json::{Value as Json, json};

use super::answers::Answers;
use super::first::{lead, lines_of, row, verdict};
use super::{Page, histories, units_of};
use crate::answer::{Answer, Form, Topic, Value};
use crate::pictures::limits::{LimitShown, every};
use crate::pictures::{Pen, in_page};
use crate::refusal::Refusal;
use crate::study::Slider;

/// How what moves looks.
pub(super) const STYLE: &str = include_str!("live.css");
/// What moves it.
pub(super) const SCRIPT: &str = include_str!("live.js");
/// What its chapter is called.
pub(super) const NAME: &str = "Move numbers";

/// Water freezes there, K.
const FREEZING_K: f64 = 273.15;

/// What a page needs to solve its case again.
#[derive(Clone, Copy, Debug)]
pub struct Solver<'a> {
    /// The library as WebAssembly, packed with gzip.
    pub packed: &'a [u8],
    /// The texts of the case by their names, its own first.
    pub texts: &'a [(String, String)],
    /// The numbers that can be moved.
    pub sliders: &'a [Slider],
}

impl Page<'_> {
    /// The chapter of numbers that can be moved; nothing where the page does not solve.
    pub(super) fn moving(&self) -> Markup {
        let Some(live) = self.live else { return html! {} };
        html! {
            section id="live" class="chapter live" aria-labelledby="live-h" data-state="asleep" {
                h2 id="live-h" { (NAME) }
                p class="key" {
                    "The solver that made this page is in it, and solves anew in your browser what you move; nothing leaves it. "
                    "Hollow marks and fine lines are the case as its file has it."
                    @if self.report.cycle.is_some() { " The line under a bar is the same over the duty cycle, the broken one its bound." }
                }
                p class="strip" id="live-strip" { span id="live-word-cycle" {} span id="live-word-point" {} }
                p class="key" id="live-told" { "Wakes when it is seen." }
                p class="spoken" id="live-spoken" role="status" {}
                div class="live-grid" {
                    div class="live-sliders" role="group" aria-label="Numbers" {
                        @for (k, slider) in live.sliders.iter().enumerate() { (self.slider(k, slider)) }
                        p { button type="button" id="live-reset" { "All as in the file" } }
                    }
                    @if self.report.cycle.is_some() {
                        div class="live-answer" {
                            h3 { "Over the duty cycle" }
                            div id="live-cycle" class="moved" {}
                        }
                    }
                    div class="live-answer" {
                        h3 {
                            @if self.report.cycle.is_some() { "Everything kept up for good" } @else { "At the operating point" }
                        }
                        div id="live-point" class="moved" {}
                    }
                }
                div id="live-lines" hidden {
                    h3 { "For the case" }
                    p { "These numbers differ from the file:" }
                    ul id="live-changed" {}
                    p { "As an entry of its " code { "variants" } ":" }
                    pre id="live-variant" tabindex="0" aria-label="lines for the case" {}
                    p { button type="button" id="live-copy" { "Copy" } }
                }
            }
        }
    }

    fn slider(&self, k: usize, slider: &Slider) -> Markup {
        let what = Value::spoken(&slider.what);
        let first = &slider.addresses[0];
        html! {
            div class="slider" {
                label for={ "move-" (k) } { (in_page(&self.pen.value(&what))) }
                span class="box" {
                    input type="text" inputmode="decimal" autocomplete="off" id={ "type-" (k) }
                        aria-label={ "value of " (first) };
                    span class="unit" aria-hidden="true" {}
                }
                div class="where" {
                    code { (first) }
                    @if slider.addresses.len() > 1 { " and " (slider.addresses.len() - 1) " more" }
                }
                div class="pull" {
                    input type="range" id={ "move-" (k) } min="0" max="1" step="any" value="0";
                    button type="button" class="back" aria-label={ "as in the file: " (first) } disabled { "reset" }
                }
            }
        }
    }

    /// The solver, the texts of the case and the numbers that can be moved, for the script.
    pub(super) fn solver(&self) -> Markup {
        let Some(live) = self.live else { return html! {} };
        let texts = live.texts.iter().map(|(name, text)| json!([name, text]));
        let units = self.pen.units().iter().map(|units| {
            let (id, _) = units_of(*units);
            json!(id.trim_start_matches("units-"))
        });
        let data = json!({
            "texts": texts.collect::<Json>(),
            "units": units.collect::<Json>(),
            "cycle": self.report.cycle.is_some(),
            "sliders": live.sliders.iter().map(|slider| self.scale(slider)).collect::<Json>(),
        });
        // Nothing in it may end the element that it stands in.
        let text = data.to_string().replace('<', "\\u003c");
        html! {
            script type="application/json" id="live-data" { (PreEscaped(text)) }
            script type="application/octet-stream" id="live-solver" { (PreEscaped(spelt(live.packed))) }
        }
    }

    /// A slider for the script: where it stands, how far it goes, in which units it is read.
    fn scale(&self, slider: &Slider) -> Json {
        let units = self.pen.units().iter();
        let unit = |units: &UnitSystem| histories::unit(slider.kind, slider.now, *units);
        json!({
            "at": slider.addresses,
            "now": slider.now,
            "range": slider.range,
            "whole": slider.kind == Kind::Count,
            "units": units.map(unit).collect::<Json>(),
        })
    }
}

/// Signs that a solver is spelt with: the printable ones of ASCII from `#` to `~`, without the `<` that could end the
/// element that it stands in.
const SIGNS: u32 = 91;

/// Bytes as text: thirteen bits are two signs, since 91² is more than 2¹³. A page is smaller by a twelfth of its solver
/// than with Base64, which has six bits to a sign. The last bits are filled up with zeros, and the length in bytes and a
/// blank stand first.
fn spelt(bytes: &[u8]) -> String {
    let mut text = format!("{} ", bytes.len());
    text.reserve(bytes.len() / 13 * 16 + 16);
    let (mut bits, mut count) = (0_u32, 0_u32);
    let sign = |n: u32| char::from(u8::try_from(n + if n < 25 { 35 } else { 36 }).unwrap_or(b'#'));
    for byte in bytes.iter().copied().chain([0, 0]) {
        bits = bits << 8 | u32::from(byte);
        count += 8;
        if count >= 13 {
            count -= 13;
            let group = bits >> count & 0x1fff;
            text.push(sign(group / SIGNS));
            text.push(sign(group % SIGNS));
            bits &= (1 << count) - 1;
        }
    }
    text
}

/// What came of moved numbers: the verdict, the limits with their bars, what stands beside it; with what the case as it
/// stands has, where that is given.
pub fn moved(pen: &Pen, now: &Answer, own: Option<&Answer>) -> Markup {
    let (word, class) = verdict(now.verdict);
    let lines = lines_of(now, "verdict");
    let before = own.map(|own| verdict(own.verdict)).filter(|(was, _)| *was != word);
    html! {
        p class={ "verdict " (class) } {
            span class="word" { (word) }
            @if let Some((was, class)) = before {
                span class="which" { "in the file: " strong class=(class) { (was) } }
            }
        }
        (limits(pen, now, own))
        @if let Some(first) = lines.first() { p class="sums" { (in_page(&lead(pen, first, now))) } }
        @for section in now.sections.iter().filter(|section| ["held", "boiled"].contains(&section.name)) {
            (Answers { pen }.blocks(section))
        }
        @if lines.len() > 1 {
            ul class="beside" { @for line in &lines[1..] { li { (in_page(&pen.sentence(line))) } } }
        }
    }
}

/// The limits that people are shown now or in the case as it stands, so that none comes or goes unseen.
fn limits(pen: &Pen, now: &Answer, own: Option<&Answer>) -> Markup {
    let before = own.map(every).unwrap_or_default();
    let seen: BTreeSet<&str> =
        before.iter().filter(|limit| limit.by_people).map(|limit| limit.name.as_str()).collect();
    let mut shown: Vec<LimitShown> = every(now);
    shown.retain(|limit| limit.by_people || seen.contains(limit.name.as_str()));
    let was = |limit: &LimitShown| {
        let same = |old: &&LimitShown| {
            old.name == limit.name && old.of == limit.of && old.at_most == limit.at_most
        };
        before.iter().find(same)
    };
    html! {
        ul class="limits" {
            @for limit in &shown {
                @let old = was(limit);
                // What could turn it stands below, so that no row grows when it is known.
                @let was = old.and_then(|old| old.si);
                @let with = LimitShown { was, turns: None, ..limit.clone() };
                li data-of=(limit.of) data-bound=(limit.bound_si) {
                    (row(pen, &with))
                    @if now.topic == Topic::Cycle { svg class="trace" viewBox="0 0 300 44" width="300" height="44"
                        role="img" aria-label={ (limit.of) " over the duty cycle" } {} }
                    @if let Some(old) = old { (in_file(pen, old)) }
                }
            }
        }
    }
}

/// What a limit is in the case as it stands.
fn in_file(pen: &Pen, old: &LimitShown) -> Markup {
    html! {
        div class="limit-was" {
            "in the file " (in_page(&pen.value(&old.value))) ", " (in_page(&pen.value(&old.margin)))
        }
    }
}

/// The verdict in a line: its word, of what, and the limit with the least room.
pub fn strip(pen: &Pen, now: &Answer) -> Markup {
    let (word, class) = verdict(now.verdict);
    let which = match now.topic {
        Topic::Cycle => "over the duty cycle",
        _ => "kept up",
    };
    let all = every(now);
    let tightest = all.iter().filter_map(|limit| Some((limit, room(limit)?)));
    let tightest = tightest.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(limit, _)| limit);
    html! {
        b class=(class) { (word) } " " (which)
        @if let Some(limit) = tightest {
            ": " (limit.name) " " span class=(limit.class()) { (in_page(&pen.value(&limit.margin))) }
        }
    }
}

/// The margin of a limit as a share of its bound, of a temperature of what that is over the freezing point of water; below
/// nothing where it is broken.
fn room(limit: &LimitShown) -> Option<f64> {
    let si = limit.si?;
    let from = if limit.kind == Kind::Temperature { FREEZING_K } else { 0.0 };
    let scale = (limit.bound_si - from).abs().max((si - from).abs());
    let margin = if limit.at_most { limit.bound_si - si } else { si - limit.bound_si };
    (scale > 0.0).then_some(margin / scale)
}

/// Numbers that differ from the file: where each stands, its kind, what it is there and what it is moved to, SI.
pub type Differs<'a> = (&'a str, Kind, f64, f64);

/// What differs from the file; what is moved alike at several places is one line.
pub fn differing(pen: &Pen, all: &[Differs<'_>]) -> Markup {
    let bits = |of: &Differs<'_>| (of.1, of.2.to_bits(), of.3.to_bits());
    let alike = |a: &Differs<'_>, b: &Differs<'_>| bits(a) == bits(b);
    html! {
        @for group in all.chunk_by(alike) {
            @let (address, kind, from, to) = group[0];
            li {
                code { (address) }
                @if group.len() > 1 { " and " (group.len() - 1) " more" }
                ": " (in_page(&pen.value(&Value::formed(kind, from, Form::Full)))) " \u{2192} "
                strong { (in_page(&pen.value(&Value::formed(kind, to, Form::Full)))) }
            }
        }
    }
}

/// Why nothing could be solved with moved numbers.
pub fn refused(pen: &Pen, why: &Refusal) -> Markup {
    html! {
        p class="verdict open" { span class="word" { "NOT SOLVED" } }
        p { (in_page(&pen.sentence(&why.advice()))) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Read back by the sum of its places, as a number to the base of 91, which the page does by shifts.
    #[test]
    fn what_is_spelt_is_read_back_and_ends_no_element() {
        for length in 0..70_usize {
            let byte = |k: usize| u8::try_from((k * 89 + length * 131 + k * k) % 256).unwrap_or(0);
            let bytes: Vec<u8> = (0..length).map(byte).collect();
            let text = spelt(&bytes);
            let (long, signs) = text.split_once(' ').expect("a blank");
            assert_eq!(long.parse::<usize>().ok(), Some(length));
            assert!(signs.bytes().all(|sign| (b'#'..=b'~').contains(&sign) && sign != b'<'));
            let place = |sign: u8| u32::from(sign) - if sign < b'<' { 35 } else { 36 };
            let mut bits = String::new();
            for pair in signs.as_bytes().chunks(2) {
                bits.push_str(&format!("{:013b}", place(pair[0]) * 91 + place(pair[1])));
            }
            let read: Vec<u8> = bits.as_bytes()[..8 * length]
                .chunks(8)
                .map(|eight| eight.iter().fold(0, |sum, bit| sum << 1 | (bit - b'0')))
                .collect();
            assert_eq!(read, bytes);
        }
    }
}
