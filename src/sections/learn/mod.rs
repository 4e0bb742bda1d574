//! What a log tells: prediction beside measurement, what was learnt and how sure it is, what cannot be told, the verdict
//! with it.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;

mod again;
mod heat;
mod log;
mod numbers;

use crate::answer::{Form, Section, Sentence, Value, Verdict, kinds};
use crate::ask::{Balance, Next, NextStep, NoBalance};
use crate::say;
use crate::study::Judged;
use crate::study::learn::series::robust_deviation;

/// How far the air may be hotter, K, and what fails beyond.
pub type Hottest = (Option<f64>, Option<Sentence>);

/// All that a log told.
#[derive(Debug)]
pub struct Told<'a> {
    /// The case.
    pub ready: &'a Ready,
    /// Its limits as it stands, and how they stand.
    pub plain: (&'a [Judged], Verdict),
    /// The same with what was learnt.
    pub with: (&'a [Judged], Verdict),
    /// What stands beside that.
    pub beside: Vec<Sentence>,
    /// By limit what its margin is off by because the numbers are, one standard uncertainty, SI.
    pub margins: Vec<f64>,
    /// How hot the air may be, as it stands and with what was learnt.
    pub hottest: Vec<Hottest>,
    /// Whether limits are judged by the duty cycle.
    pub over_cycle: bool,
    /// What was found in the log.
    pub read: Vec<String>,
    /// Columns that nothing was made of.
    pub unused: Vec<String>,
    /// How warm circuits were at the start.
    pub started: Vec<Started>,
    /// Stretches of the log and their lengths, s.
    pub phases: Vec<(String, f64)>,
    /// What drives, by the address of its number.
    pub drives: Vec<(String, Along)>,
    /// How often the case was followed through the log.
    pub followed: usize,
    /// Whether the fit came to rest.
    pub at_rest: bool,
    /// Gauge by gauge.
    pub gauges: Vec<Beside>,
    /// Gauges that were not compared, and why.
    pub left_gauges: Vec<(String, &'static str)>,
    /// The numbers that were fitted.
    pub numbers: Vec<Fitted>,
    /// The numbers that the log does not tell.
    pub left: Vec<Left>,
    /// Addresses of what was learnt.
    pub changes: Vec<String>,
    /// Measured heat.
    pub balances: Vec<Balance>,
    /// Where heat cannot be measured.
    pub no_balance: Vec<NoBalance>,
    /// Gauges that would tell more.
    pub next: Vec<Next>,
    /// Steps on the stand that would tell more.
    pub steps: Vec<NextStep>,
    /// What the log leaves open, and breaks a limit.
    pub open: Vec<Open>,
}

/// An end of the range of a number that the log does not tell, at which a limit breaks.
#[derive(Clone, Debug)]
pub struct Open {
    /// The address of the number.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// The end, SI.
    pub at: f64,
    /// The limit.
    pub limit: String,
}

impl Told<'_> {
    /// The same, weighed by how the log fits: where a gauge does not agree with what was learnt nothing holds for sure.
    /// What is not sure of the numbers stands beside a verdict that it could turn.
    #[must_use]
    pub fn weighed(mut self) -> Self {
        let unfit = self.gauges.iter().filter(|of| !of.agrees(&of.learnt));
        let mut doubts: Vec<Sentence> = unfit
            .map(|of| {
                say!(
                    "`{gauge}` does not fit with what was learnt: off by {most} at {time}",
                    gauge = &of.gauge,
                    most = Value::formed(kinds::difference(of.kind), of.learnt.most, Form::Change),
                    time = Value::clock(of.learnt.at_s)
                )
            })
            .collect();
        doubts.extend(self.open.iter().map(|of| {
            say!(
                "{limit} is broken with `{address}` at {at}, which this log does not rule out",
                limit = &of.limit,
                address = &of.address,
                at = number(of.kind, of.at)
            )
        }));
        if !doubts.is_empty() && self.with.1 == Verdict::Holds {
            self.with.1 = Verdict::NotJudged;
        }
        for (of, u) in self.with.0.iter().zip(&self.margins) {
            let off = 2.0 * u;
            if let Some(margin) = of.margin().filter(|margin| *margin >= 0.0 && off > *margin) {
                let kind = kinds::difference(of.limit.kind);
                doubts.push(say!(
                    "{limit} holds by {margin}, and what is not sure of the numbers could turn it: ± {off}",
                    limit = &of.limit.name,
                    margin = Value::of(kind, margin),
                    off = Value::formed(kind, off, Form::Off)
                ));
            }
        }
        self.beside.splice(0..0, doubts);
        self
    }
}

/// How what drives goes along straight lines.
#[derive(Clone, Copy, Debug)]
pub struct Along {
    /// The kind of the number.
    pub kind: Kind,
    /// How many lines there are.
    pub lines: usize,
    /// How far they are off what was logged, as a standard deviation and at most, SI.
    pub spread: f64,
    /// See `spread`.
    pub most: f64,
}

/// How warm a circuit was at the start.
#[derive(Clone, Debug)]
pub struct Started {
    /// The circuit.
    pub circuit: String,
    /// Its thermometers, K.
    pub k: f64,
    /// The case, K.
    pub case_k: f64,
    /// How far apart its thermometers were, K.
    pub apart_k: f64,
}

/// How far measurement is off prediction.
#[derive(Clone, Copy, Debug, Default)]
pub struct Off {
    /// In the middle.
    pub mean: f64,
    /// Around that, as a standard deviation.
    pub spread: f64,
    /// At most, and when, s.
    pub most: f64,
    /// See `most`.
    pub at_s: f64,
}

impl Off {
    /// Of differences over stretches of time.
    pub fn of(differences: &[f64], windows: &[[f64; 2]]) -> Self {
        if differences.is_empty() {
            return Self { mean: f64::NAN, spread: f64::NAN, most: f64::NAN, at_s: f64::NAN };
        }
        let mean = differences.iter().sum::<f64>() / differences.len() as f64;
        let around: Vec<f64> = differences.iter().map(|x| x - mean).collect();
        let size = |k: &usize| differences[*k].abs();
        let worst = (0..differences.len()).max_by(|a, b| size(a).total_cmp(&size(b))).unwrap_or(0);
        let [from, to] = windows[worst];
        Self {
            mean,
            spread: robust_deviation(&around),
            most: differences[worst],
            at_s: (0.5 * (from + to)).max(0.0),
        }
    }
}

/// A gauge, prediction beside measurement.
#[derive(Clone, Debug)]
pub struct Beside {
    /// Its name.
    pub gauge: String,
    /// What it reads.
    pub kind: Kind,
    /// In how many stretches it was compared.
    pub cells: usize,
    /// What it may be off by throughout, SI, and whether the case says so.
    pub tolerance: f64,
    /// See `tolerance`.
    pub is_told: bool,
    /// By how much its clock is behind, s.
    pub behind_s: f64,
    /// Measured less predicted, as the case stands.
    pub plain: Off,
    /// The same with what was learnt, its own offset taken off.
    pub learnt: Off,
    /// What it shows above the truth, and how sure that is with 95 %, SI.
    pub offset: f64,
    /// See `offset`.
    pub offset_u: f64,
    /// How many stretches are far off all others.
    pub wild: usize,
    /// How many neighbouring stretches count as one.
    pub alike: f64,
}

impl Beside {
    /// Whether prediction and measurement agree within what the gauge may be off by.
    fn agrees(&self, off: &Off) -> bool {
        off.mean.abs() <= self.tolerance && off.spread <= self.tolerance
    }
}

/// What a number cannot be told apart from.
#[derive(Clone, Debug)]
pub struct Like {
    /// The address of another number, or the name of a gauge whose offset it is.
    pub name: String,
    /// See `name`.
    pub is_gauge: bool,
    /// Their correlation.
    pub correlation: f64,
}

/// A number that was fitted.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// Its address.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// What the case has, SI.
    pub is: f64,
    /// Where it may be.
    pub range: (f64, f64),
    /// What fits best.
    pub to: f64,
    /// Its standard uncertainty.
    pub u: f64,
    /// Its 95 % interval, each end with whether it is that of its range.
    pub sure: [(f64, bool); 2],
    /// Whether the log tells it.
    pub is_told: bool,
    /// Whether the log would not even tell it if all else were known.
    pub is_unfelt: bool,
    /// What it cannot be told apart from.
    pub like: Vec<Like>,
    /// What has to be so for it to be as it was found.
    pub as_long: Vec<AsLong>,
}

/// A number that is not told, and that another was found with.
#[derive(Clone, Debug)]
pub struct AsLong {
    /// Its address.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// What it was taken to be, SI.
    pub at: f64,
    /// Whether that was fitted; else the case has it.
    pub is_fitted: bool,
}

/// A number that was left as the case has it.
#[derive(Clone, Debug)]
pub struct Left {
    /// Its address.
    pub address: String,
    /// Whether the log would not even tell it if all else were known.
    pub is_unfelt: bool,
    /// What it cannot be told apart from.
    pub like: Vec<Like>,
}

/// All sections, in their order.
pub fn sections(told: &Told<'_>) -> Vec<Section> {
    vec![
        again::summary(told),
        log::read(told),
        log::beside(told),
        numbers::learnt(told),
        numbers::apart(told),
        numbers::next(told),
        numbers::steps(told),
        heat::heat(told),
        again::limits(told),
        again::day(told),
        mind(told),
    ]
}

/// A number with how it is written: shares in percent.
fn number(kind: Kind, si: f64) -> Value {
    if kind == Kind::Fraction { Value::percent(si, 1) } else { Value::of(kind, si) }
}

/// What has to be so for a number to be as it was found, in words; nothing where nothing has to.
fn as_long(of: &Fitted) -> Value {
    let one = |of: &AsLong| {
        say!(
            "`{address}` is {at} as {whose}",
            address = &of.address,
            at = number(of.kind, of.at),
            whose = if of.is_fitted { "fitted" } else { "the case has it" }
        )
    };
    if of.as_long.is_empty() {
        return Value::from("");
    }
    say!(", as long as {all}", all = Value::list(of.as_long.iter().map(one), " and ")).into()
}

/// An end of an interval, with the digits that tell it from the number itself.
fn end(of: &Fitted, side: usize) -> Value {
    let si = of.sure[side].0;
    if of.kind == Kind::Fraction {
        number(of.kind, si)
    } else {
        Value::formed(of.kind, si, Form::Beside(of.to))
    }
}

/// How all of it is meant. What the numbers do not say stands in every answer, however short.
fn mind(told: &Told<'_>) -> Section {
    let mut first: Vec<Sentence> = vec![
        "What the fitted numbers do not say, they swallow: a wrong law, a number of the case that is wrong and was not \
         fitted, a gauge off by more than it may be. The intervals know nothing of that."
            .into(),
    ];
    if !told.at_rest {
        first.push(
            "The fit was ended before it came to rest: fewer numbers in `fit`, or a narrower `from` and `to`, would tell \
             more."
                .into(),
        );
    }
    let mut more: Vec<Sentence> = vec![
        "A fitted number holds for the vehicle as it was that day: a pump wears on, a core gets dirtier.".into(),
        "Intervals count with all that drives being late or early by half a step of the log.".into(),
        say!(
            "For the fit and its intervals the case was followed through the log {times} times.",
            times = told.followed
        ),
    ];
    if !told.changes.is_empty() {
        more.push(say!(
            "`-o learnt.ron` writes {count} numbers for the case to include.",
            count = told.changes.len()
        ));
    }
    Section::new("mind", "Mind").points(first).more_points(more)
}
