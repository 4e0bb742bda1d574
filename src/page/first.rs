//! The first screen: the verdict, the limits as bars, what could turn them, what the variants show.

use maud::{Markup, html};

use super::Page;
use crate::answer::{Answer, Block, Section, Sentence, Topic, Value, Verdict};
use crate::pictures::limits::{LimitShown, bar, limits, off};
use crate::pictures::{Pen, Told, in_figure, in_page};

impl Page<'_> {
    /// The first screen.
    pub(super) fn first(&self) -> Markup {
        let judge = self.report.judge();
        let (word, class) = verdict(judge.verdict);
        html! {
            section id="verdict" class="first" aria-labelledby="verdict-h" {
                h2 id="verdict-h" class={ "verdict " (class) } {
                    span class="word" { (word) }
                    span class="which" {
                        @if self.report.cycle.is_some() { "over the duty cycle" } @else { "at its operating point" }
                    }
                }
                (self.said(judge))
                (self.kept_up())
                (self.bars(judge))
                (self.helps())
                (self.of_variants())
            }
        }
    }

    /// The changes that help most, where the page holds that study.
    fn helps(&self) -> Markup {
        let mut studies = self.report.studies.iter();
        let Some(levers) = studies.find(|answer| answer.topic == Topic::Levers) else {
            return html! {};
        };
        // How it stands is said above.
        let behind = 1 + levers.beside.len();
        html! {
            h3 { "What helps most" }
            @for line in lines_of(levers, "verdict").iter().skip(behind) {
                p { (in_page(&self.pen.sentence(line))) }
            }
        }
    }

    /// What the verdict says: the first line, then what stands beside it.
    fn said(&self, judge: &Answer) -> Markup {
        let lines = lines_of(judge, "verdict");
        html! {
            @if let Some(first) = lines.first() { p class="lead" { (in_page(&lead(&self.pen, first, judge))) } }
            @if lines.len() > 1 {
                ul class="beside" {
                    @for line in &lines[1..] { li { (in_page(&self.pen.sentence(line))) } }
                }
            }
            @for section in judge.sections.iter().filter(|section| section.name == "boiled") {
                (self.answers().blocks(section))
            }
        }
    }

    /// What comes of keeping everything up, where the duty cycle is the judge.
    fn kept_up(&self) -> Markup {
        let Some(_) = &self.report.cycle else { return html! {} };
        let point = &self.report.point;
        let (word, class) = verdict(point.verdict);
        html! {
            p class="also" {
                "Everything kept up for good: " strong class=(class) { (word) }
                @if let Some(first) = lines_of(point, "verdict").first() {
                    ". " (in_page(&lead(&self.pen, first, point)))
                }
                ". See " a href="#point" { "the operating point" } "."
            }
        }
    }

    /// The limits as bars.
    fn bars(&self, judge: &Answer) -> Markup {
        let shown = limits(judge);
        html! {
            @if !shown.is_empty() {
                h3 { "Limits" }
                ul class="limits" {
                    @for limit in &shown { li { (row(&self.pen, limit)) } }
                }
                p class="key" {
                    "A bar goes from nothing, of temperatures from where water freezes, to the value; the stroke is the bound, \
                     what lies beyond it is shaded; the whisker is what published laws leave open."
                }
            }
        }
    }

    /// What the variants show.
    fn of_variants(&self) -> Markup {
        let Some(compare) = &self.report.compare else { return html! {} };
        let lines = lines_of(compare, "verdict");
        html! {
            h3 { "What the variants show" }
            ul class="variants" {
                @for variant in &compare.variants {
                    @let (word, class) = verdict(Some(variant.verdict));
                    li { span { (variant.name) } " " strong class=(class) { (word) } }
                }
            }
            // The lines of single variants stand in their chapter; what follows from them is here.
            @for line in lines.iter().skip(compare.variants.len()) {
                p { (in_page(&self.pen.sentence(line))) }
            }
        }
    }

    /// What can hurt someone.
    pub(super) fn cautions(&self) -> Markup {
        let mut all: Vec<&Sentence> = Vec::new();
        for caution in self.report.answers().into_iter().flat_map(|answer| &answer.cautions) {
            if !all.iter().any(|known| known.is_like(caution)) {
                all.push(caution);
            }
        }
        html! {
            section id="cautions" class="cautions" aria-labelledby="cautions-h" {
                h2 id="cautions-h" { "Cautions" }
                ul { @for caution in all { li { (in_page(&self.pen.sentence(caution))) } } }
            }
        }
    }
}

/// The first line of a verdict without its word, which stands above it.
pub(super) fn lead(pen: &Pen, first: &Sentence, judge: &Answer) -> Told {
    let (word, _) = verdict(judge.verdict);
    pen.told(|style| {
        let text = style.sentence(first);
        let rest = text.strip_prefix(word).unwrap_or(&text);
        let rest = rest.trim_start_matches([':', ',']).trim_start();
        let mut signs = rest.chars();
        signs.next().map_or_else(String::new, |c| c.to_uppercase().chain(signs).collect())
    })
}

/// A limit: its name, its bar, its value beside its bound, whether it holds.
pub(super) fn row(pen: &Pen, limit: &LimitShown) -> Markup {
    html! {
        div class="limit-name" { strong { (limit.name) } " " code { (limit.of) } }
        div class="limit-bar" { (in_figure(&bar(pen, limit))) }
        div class="limit-value" {
            (in_page(&pen.value(&limit.value)))
            @if let Some(off) = off(pen, limit) { " \u{b1} " (in_page(&off)) }
            ", " (in_page(&pen.value(&limit.bound)))
        }
        div class={ "limit-state " (limit.class()) } { (in_page(&pen.value(&limit.margin))) }
        @if let Some(turns) = &limit.turns {
            div class="limit-turns" { "could turn by " (in_page(&pen.value(turns))) }
        }
    }
}

/// The word of a verdict and the class of how it looks.
pub(super) fn verdict(verdict: Option<Verdict>) -> (&'static str, &'static str) {
    match verdict {
        Some(Verdict::Holds) | None => ("HOLDS", "kept"),
        Some(Verdict::Broken) => ("BROKEN", "broken"),
        Some(Verdict::NotJudged) => ("NOT JUDGED", "open"),
        Some(Verdict::Unsolved) => ("NOT SOLVED", "open"),
    }
}

/// The lines of the sentence of a section, as sentences of their own.
pub(super) fn lines_of(answer: &Answer, name: &str) -> Vec<Sentence> {
    let said = |section: &Section| {
        section.blocks.iter().find_map(|block| match block {
            Block::Say(sentence, ..) => Some(sentence.clone()),
            Block::Table(_) => None,
        })
    };
    let mut named = answer.sections.iter().filter(|section| section.name == name);
    let Some(sentence) = named.find_map(said) else { return Vec::new() };
    match sentence.slots.first() {
        Some((_, Value::List(lines, _))) => lines.iter().filter_map(of_value).collect(),
        _ => vec![sentence],
    }
}

fn of_value(value: &Value) -> Option<Sentence> {
    match value {
        Value::Sentence(sentence) => Some((**sentence).clone()),
        _ => None,
    }
}
