//! Limits as bars: how far the value goes, where the bound stands, what the value may be off by.

use coolwright_cases::quantity::Kind;

use super::canvas::{Anchor, Canvas, Picture, at, fitted};
use super::pen::{Pen, Told, words};
use super::rows::{Found, rows, sections};
use super::scale::Scale;
use crate::answer::{Answer, Section, Sentence, Value, kinds};
use crate::sections::verdict::told_bound;

/// Water freezes there, K: bars of temperatures start from it.
const FREEZING_K: f64 = 273.15;
/// Width and height of a bar.
pub const BAR: [f64; 2] = [300.0, 26.0];

/// Width of what stands left of the bars where they stand under each other.
const NAMES: f64 = 256.0;

/// A limit as it stands.
#[derive(Clone, Debug)]
pub struct LimitShown {
    /// Its name.
    pub name: String,
    /// The address of its result.
    pub of: String,
    /// Its kind.
    pub kind: Kind,
    /// The value that it was held against, as it is written.
    pub value: Value,
    /// The same as a number, SI, where it is one.
    pub si: Option<f64>,
    /// What that may be off by, SI.
    pub off: Option<f64>,
    /// The bound, SI.
    pub bound_si: f64,
    /// The same as it is told, SI: without what it leaves for rounding.
    pub bound_told: f64,
    /// The bound in words.
    pub bound: Value,
    /// Whether the value must not go above it; else not below.
    pub at_most: bool,
    /// Whether it holds, by how much, in words.
    pub margin: Value,
    /// `kept`, `broken` or `not_judged`.
    pub standing: String,
    /// What could turn it.
    pub turns: Option<Value>,
    /// Whether the program set it.
    pub built_in: bool,
    /// Whether people are shown it.
    pub by_people: bool,
    /// What it is in the case as it stands, SI, where that is shown beside it.
    pub was: Option<f64>,
}

impl LimitShown {
    /// How it stands, in a word.
    pub fn word(&self) -> &'static str {
        match self.standing.as_str() {
            "kept" => "holds",
            "broken" => "BROKEN",
            _ => "NOT JUDGED",
        }
    }

    /// The class of what says how it stands.
    pub fn class(&self) -> &'static str {
        match self.standing.as_str() {
            "kept" => "kept",
            "broken" => "broken",
            _ => "open",
        }
    }

    fn of_row(row: &Found<'_>) -> Option<Self> {
        let value = row.cell("value").or_else(|| row.cell("worst"))?;
        let number = match value.value {
            Value::Number(number) => Some(number.si).filter(|si| si.is_finite()),
            _ => None,
        };
        Some(Self {
            name: row.text("limit")?.to_owned(),
            of: row.text("of")?.to_owned(),
            kind: row.kind("bound_value")?,
            value: value.value.clone(),
            si: number,
            off: value.uncertainty,
            bound_si: row.number("bound_value")?,
            bound_told: told_bound(row.text("built_in"), row.number("bound_value")?),
            bound: row.value("bound")?.clone(),
            at_most: row.text("bound_side")? == "max",
            margin: row.value("margin")?.clone(),
            standing: row.text("standing")?.to_owned(),
            turns: row.value("could_turn").cloned(),
            built_in: row.value("built_in").is_some(),
            by_people: row.by_people,
            was: None,
        })
    }
}

/// The limits of a section.
pub fn limits_of(section: &Section) -> Vec<LimitShown> {
    rows(section).iter().filter_map(LimitShown::of_row).collect()
}

/// The limits of an answer that people are shown.
pub fn limits(answer: &Answer) -> Vec<LimitShown> {
    let all = sections(answer, "limits").flat_map(limits_of);
    all.filter(|limit| limit.by_people).collect()
}

/// The bar of a limit alone.
pub fn bar(pen: &Pen, limit: &LimitShown) -> Picture {
    let mut canvas = Canvas::new(pen, BAR[0], BAR[1]);
    draw_bar(&mut canvas, limit, [0.0, 0.0]);
    let title = pen.told(|style| {
        format!("{}: {}, {}", limit.name, style.value(&limit.value), style.value(&limit.bound))
    });
    canvas.done(format!("limits/{}", limit.name), title)
}

/// All limits of an answer, those that people are not shown too.
pub fn every(answer: &Answer) -> Vec<LimitShown> {
    sections(answer, "limits").flat_map(limits_of).collect()
}

/// All limits under each other.
pub fn all(pen: &Pen, answer: &Answer) -> Option<Picture> {
    let shown = limits(answer);
    if shown.is_empty() {
        return None;
    }
    let row = 44.0;
    let mut canvas = Canvas::new(pen, 780.0, row * shown.len() as f64 + 12.0);
    for (k, limit) in shown.iter().enumerate() {
        let top = 6.0 + row * k as f64;
        let name = fitted(&words(&limit.name), 12.0, NAMES);
        canvas.label(&[at(8.0, top + 16.0, Anchor::Start, 12.0)], "name", &name);
        let told = pen
            .told(|style| format!("{}, {}", style.value(&limit.value), style.value(&limit.bound)));
        let told = fitted(&told, 11.0, NAMES);
        canvas.label(&[at(8.0, top + 32.0, Anchor::Start, 11.0)], "num", &told);
        draw_bar(&mut canvas, limit, [270.0, top + 6.0]);
        let margin = pen.value(&limit.margin);
        let class = format!("state {}", limit.class());
        canvas.label(&[at(584.0, top + 24.0, Anchor::Start, 11.0)], &class, &margin);
    }
    Some(canvas.done("limits".to_owned(), pen.sentence(&Sentence::from("Limits"))))
}

/// Draws a bar: from the origin to the value, a stroke at the bound, what lies beyond it hatched.
fn draw_bar(canvas: &mut Canvas<'_>, limit: &LimitShown, [left, top]: [f64; 2]) {
    let [width, height] = BAR;
    let middle = top + height / 2.0;
    let scale = scale(limit, [left + 4.0, left + width - 4.0]);
    let bound = scale.at(limit.bound_si);
    let (from, to) = if limit.at_most { (bound, left + width - 4.0) } else { (left + 4.0, bound) };
    canvas.rect([from, top + 4.0, to, top + height - 4.0], "beyond");
    canvas.line([left + 4.0, middle], [left + width - 4.0, middle], "grid");
    if let Some(si) = limit.si {
        let value = scale.at(si);
        let start = scale.at(origin(limit)).clamp(left + 4.0, left + width - 4.0);
        let (from, to) = if start < value { (start, value) } else { (value, start) };
        let class = format!("bar {}", limit.class());
        canvas.rect([from, middle - 4.0, to, middle + 4.0], &class);
        if let Some(off) = limit.off {
            let (low, high) = (scale.at(si - off), scale.at(si + off));
            let low = low.max(left + 1.0);
            let high = high.min(left + width - 1.0);
            canvas.line([low, middle], [high, middle], "whisker");
            for x in [low, high] {
                canvas.line([x, middle - 5.0], [x, middle + 5.0], "whisker");
            }
        }
    }
    canvas.line([bound, top + 1.0], [bound, top + height - 1.0], "bound");
    if let Some(was) = limit.was {
        canvas.circle([scale.at(was), middle], 3.5, "mark hollow");
    }
}

/// Where the bar of a limit starts: at nothing, of temperatures where water freezes.
fn origin(limit: &LimitShown) -> f64 {
    if limit.kind == Kind::Temperature { FREEZING_K } else { 0.0 }
}

fn scale(limit: &LimitShown, px: [f64; 2]) -> Scale {
    let off = limit.off.unwrap_or(0.0);
    let si = limit.si.unwrap_or(limit.bound_si);
    let was = limit.was.unwrap_or(si);
    let numbers = [origin(limit), limit.bound_si, si - off, si + off, was];
    let scale = Scale::around(numbers.into_iter(), 0.08, px);
    // A bar that starts at nothing needs no room before it.
    let least = numbers.iter().copied().fold(f64::INFINITY, f64::min);
    let beyond_start = !limit.at_most && limit.bound_si <= origin(limit);
    let from = if least < origin(limit) || beyond_start { scale.si[0] } else { origin(limit) };
    Scale { si: [from, scale.si[1]], px }
}

/// What a limit may be off by, in words.
pub fn off(pen: &Pen, limit: &LimitShown) -> Option<Told> {
    use crate::answer::Form;
    let kind = kinds::difference(limit.kind);
    limit.off.map(|off| pen.value(&Value::formed(kind, off, Form::Off)))
}
