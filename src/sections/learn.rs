//! What a log tells: prediction beside measurement, what was learnt and how sure it is, what cannot be told, the verdict
//! with it.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::gauge::Reads;

use super::verdict;
use crate::answer::{Cell, Form, Lay, Section, Seen, Sentence, Table, Value, Verdict, kinds};
use crate::ask::{Balance, Next, NoBalance};
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

/// Before each line of a verdict.
const NEXT: &str = "\n         ";
/// How many numbers are named beside the verdict.
const MOST: usize = 4;

/// All sections, in their order.
pub fn sections(told: &Told<'_>) -> Vec<Section> {
    vec![
        summary(told),
        read(told),
        beside(told),
        learnt(told),
        apart(told),
        next(told),
        heat(told),
        limits(told),
        day(told),
        mind(told),
    ]
}

/// A number with how it is written: shares in percent.
fn number(kind: Kind, si: f64) -> Value {
    if kind == Kind::Fraction { Value::percent(si, 1) } else { Value::of(kind, si) }
}

/// How it stands with what was learnt, and what that is.
fn summary(told: &Told<'_>) -> Section {
    let mut lines = vec![say!(
        "{with} with what was learnt; as the case stands: {plain}",
        with = verdict::word(told.with.1),
        plain = verdict::word(told.plain.1)
    )];
    lines.extend(told.beside.iter().take(MOST).cloned());
    let sure = told.numbers.iter().filter(|number| number.is_told);
    for of in sure.clone().take(MOST) {
        lines.push(say!(
            "`{address}` is {to} ({low} to {high} with 95 %), {so} {is}",
            address = &of.address,
            to = number(of.kind, of.to),
            low = number(of.kind, of.sure[0].0),
            high = number(of.kind, of.sure[1].0),
            so = if of.is >= of.sure[0].0 && of.is <= of.sure[1].0 {
                "which agrees with"
            } else {
                "and not"
            },
            is = number(of.kind, of.is)
        ));
    }
    if sure.clone().count() == 0 {
        lines.push("the log tells none of the numbers that were looked at".into());
    }
    let open = told.numbers.iter().filter(|number| !number.is_told).count() + told.left.len();
    if open > 0 {
        let more = told.next.first().map_or_else(
            || Value::from(""),
            |next| say!("; what would tell most next: {gauge}", gauge = gauge(told, next)).into(),
        );
        lines.push(say!(
            "{count} cannot be told from this log{more}",
            count = if open == 1 {
                Value::from("1 number")
            } else {
                say!("{open} numbers", open = open).into()
            },
            more = more
        ));
    }
    let lines = Value::list(lines, NEXT);
    Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

/// What was found in the log.
fn read(told: &Told<'_>) -> Section {
    let mut points: Vec<Sentence> = told.read.iter().map(|text| Sentence::spoken(text)).collect();
    for of in &told.started {
        let apart = if of.apart_k > 3.0 {
            say!(
                " (its thermometers are {apart} apart then: it was not at rest)",
                apart = Value::of(Kind::TemperatureDifference, of.apart_k)
            )
            .into()
        } else {
            Value::from("")
        };
        points.push(say!(
            "`{circuit}` starts at {k}, as its thermometers show; the case says {case}{apart}",
            circuit = &of.circuit,
            k = Value::of(Kind::Temperature, of.k),
            case = Value::of(Kind::Temperature, of.case_k),
            apart = apart
        ));
    }
    for of in told.gauges.iter().filter(|of| of.behind_s != 0.0) {
        let way = if of.behind_s > 0.0 { "behind" } else { "ahead of" };
        points.push(say!(
            "the clock of `{gauge}` is {time} {way} what drives, beyond transport and lag: taken back",
            gauge = &of.gauge,
            time = Value::formed(Kind::Time, of.behind_s.abs(), Form::Usual),
            way = way
        ));
    }
    for (gauge, why) in &told.left_gauges {
        points.push(say!("`{gauge}` is not compared: {why}", gauge = gauge, why = *why));
    }
    if !told.unused.is_empty() {
        let shown = told.unused.iter().take(12).cloned();
        points.push(say!(
            "not used: {names}{more}",
            names = Value::list(shown, ", "),
            more = if told.unused.len() > 12 { " and more" } else { "" }
        ));
    }
    let works = told.phases.iter().filter(|(name, _)| name.starts_with("work")).count();
    let rests = told.phases.iter().filter(|(name, _)| name.starts_with("rest")).count();
    if works + rests > 0 {
        points.push(say!(
            "by its power {works} stretches at work and {rests} at rest",
            works = works,
            rests = rests
        ));
    }
    let guessed: Vec<&str> =
        (told.gauges.iter().filter(|of| !of.is_told)).map(|of| of.gauge.as_str()).collect();
    if !guessed.is_empty() {
        points.push(say!(
            "the case gives no `error` of {gauges}: what such gauges are usually off by is assumed",
            gauges = Value::list(guessed, ", ")
        ));
    }
    Section::new("read", "The log").support().points(points)
}

/// Gauge by gauge.
fn beside(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("gauge", "gauge")
        .values("tolerance", "may be\noff by")
        .values("plain", "measured less\nas it stands")
        .values("plain_spread", "around\nthat")
        .may_go()
        .values("learnt", "less as\nlearnt")
        .values("learnt_spread", "around\nthat")
        .values("most", "at most")
        .may_go()
        .numbers("most_at", "when\nmin:s", Kind::Time)
        .may_go()
        .values("offset", "its own\noffset")
        .values("offset_sure", "±")
        .words("agrees", "agrees")
        .for_programs("cells", None)
        .for_programs("wild", None)
        .for_programs("behind_s", Some(Kind::Time))
        .for_programs("alike", Some(Kind::Number))
        .mixed();
    for of in &told.gauges {
        let kind = kinds::difference(of.kind);
        let change = |si: f64| Value::formed(kind, si, Form::Change);
        let agrees = of.agrees(&of.learnt);
        let cells: [Cell; 15] = [
            (&of.gauge).into(),
            Value::of(kind, of.tolerance).into(),
            change(of.plain.mean).into(),
            Value::formed(kind, of.plain.spread, Form::Off).into(),
            change(of.learnt.mean).into(),
            Value::formed(kind, of.learnt.spread, Form::Off).into(),
            change(of.learnt.most).into(),
            Value::clock(of.learnt.at_s).into(),
            change(of.offset).into(),
            Value::formed(kind, of.offset_u, Form::Off).into(),
            Value::judged(agrees, if agrees { "yes" } else { "NO" }).into(),
            of.cells.into(),
            of.wild.into(),
            Value::of(Kind::Time, of.behind_s).into(),
            Value::of(Kind::Number, of.alike).into(),
        ];
        table.row(format!("gauges/{}", of.gauge), cells);
    }
    let mut section =
        Section::new("beside", "Prediction beside measurement, gauge by gauge").table(table);
    let off: Vec<&Beside> = told.gauges.iter().filter(|of| !of.agrees(&of.learnt)).collect();
    for of in off {
        let kind = kinds::difference(of.kind);
        section = section.say(
            say!(
                "`{gauge}` does not fit with what was learnt either: {most} at {at}. Something is there that these numbers \
                 do not say, or the gauge is wrong.",
                gauge = &of.gauge,
                most = Value::formed(kind, of.learnt.most, Form::Change),
                at = Value::clock(of.learnt.at_s)
            ),
            Lay::Paragraph,
        );
    }
    section
}

/// What was learnt.
fn learnt(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("number", "number")
        .values("is", "in the\ncase")
        .values("to", "as\nlearnt")
        .values("low", "with 95 %\nfrom")
        .values("high", "to")
        .words("so", "")
        .for_programs("u", None)
        .for_programs("least", None)
        .for_programs("most", None)
        .for_programs("told", None)
        .mixed();
    for of in &told.numbers {
        let inside = of.is >= of.sure[0].0 && of.is <= of.sure[1].0;
        let at_end = of.sure.iter().any(|(_, is_bound)| *is_bound);
        let so = match (of.is_told, inside) {
            (false, _) => "NOT TOLD by this log",
            (true, _) if at_end => "at the end of its range",
            (true, true) => "agrees with the case",
            (true, false) => "differs from the case",
        };
        let plain = |si: f64| Cell::from(Value::of(of.kind, si));
        let cells: [Cell; 10] = [
            say!("`{address}`", address = &of.address).into(),
            number(of.kind, of.is).into(),
            number(of.kind, of.to).into(),
            number(of.kind, of.sure[0].0).into(),
            number(of.kind, of.sure[1].0).into(),
            so.into(),
            Value::of(kinds::difference(of.kind), of.u).into(),
            plain(of.range.0),
            plain(of.range.1),
            if of.is_told { "true" } else { "false" }.into(),
        ];
        table.row(&of.address, cells);
    }
    Section::new("learnt", "What was learnt").table(table)
}

/// What is alike, in words.
fn names(like: &[Like]) -> Value {
    let name = |like: &Like| {
        if like.is_gauge {
            say!("the offset of `{name}`", name = &like.name)
        } else {
            say!("`{name}`", name = &like.name)
        }
    };
    Value::list(like.iter().take(3).map(name), ", ")
}

/// What the log cannot tell, and why.
fn apart(told: &Told<'_>) -> Section {
    let mut points: Vec<Sentence> = Vec::new();
    let mut say = |address: &str, (is_unfelt, like): (bool, &[Like]), kept: bool| {
        let kept = if kept { "; left as the case has it" } else { "" };
        points.push(if is_unfelt || like.is_empty() {
            say!(
                "`{address}` hardly shows in this log{kept}",
                address = address.to_owned(),
                kept = kept
            )
        } else {
            say!(
                "`{address}` and {like} cannot be told apart from this log{kept}",
                address = address.to_owned(),
                like = names(like),
                kept = kept
            )
        });
    };
    for of in told.numbers.iter().filter(|of| !of.is_told) {
        say(&of.address, (of.is_unfelt, &of.like), false);
    }
    for of in &told.left {
        say(&of.address, (of.is_unfelt, &of.like), true);
    }
    for of in told.numbers.iter().filter(|of| of.is_told && !of.like.is_empty()) {
        points.push(say!(
            "`{address}` is told, but hangs together with {like}: what is wrong with one is wrong with the other",
            address = &of.address,
            like = names(&of.like)
        ));
    }
    Section::new("apart", "What this log cannot tell apart").points(points)
}

/// A gauge that is not there, in words.
fn gauge(told: &Told<'_>, next: &Next) -> Sentence {
    let _ = told;
    match (next.reads, next.outlet) {
        (Reads::Flow, _) => say!("a flow meter in `{at}`", at = &next.at),
        (Reads::Temperature, Some(true)) => {
            say!("a thermometer at the outlet of `{at}`", at = &next.at)
        }
        (Reads::Temperature, _) => say!("a thermometer at the inlet of `{at}`", at = &next.at),
        (Reads::Pressure, Some(true)) => say!("a pressure gauge behind `{at}`", at = &next.at),
        (Reads::Pressure, _) => say!("a pressure gauge ahead of `{at}`", at = &next.at),
    }
}

/// Which gauge would tell most.
fn next(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("gauge", "gauge")
        .values("tolerance", "off by\nat most")
        .broken_words("gains", "what it would make surer", 52)
        .for_programs("ratios", None)
        .mixed();
    for of in &told.next {
        let kind = match of.reads {
            Reads::Flow => Kind::VolumeFlow,
            Reads::Temperature => Kind::TemperatureDifference,
            Reads::Pressure => Kind::PressureDifference,
        };
        let mut gains: Vec<(f64, &str)> = told
            .numbers
            .iter()
            .zip(&of.ratios)
            .filter(|(_, ratio)| **ratio < 0.9)
            .map(|(number, ratio)| (*ratio, number.address.as_str()))
            .collect();
        gains.sort_by(|a, b| a.0.total_cmp(&b.0));
        let gain = |(ratio, address): &(f64, &str)| {
            say!(
                "`{address}` {times} times",
                address = (*address).to_owned(),
                times = Value::decimals(1.0 / ratio, 1)
            )
        };
        let cells: [Cell; 4] = [
            gauge(told, of).into(),
            Value::of(kind, of.tolerance).into(),
            Value::list(gains.iter().take(3).map(gain), ", ").into(),
            Value::list(of.ratios.iter().map(|ratio| Value::decimals(*ratio, 3)), " ").into(),
        ];
        table.row(&of.at, cells);
    }
    Section::new("next", "Which gauge would tell most next").table(table)
}

/// Heat as it was measured.
fn heat(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("circuit", "circuit")
        .words("phase", "stretch")
        .numbers("measured", "measured", Kind::HeatRate)
        .numbers("sure", "±", Kind::HeatRate)
        .numbers("learnt", "as learnt", Kind::HeatRate)
        .words("agrees", "agrees")
        .words("between", "between the thermometers")
        .for_programs("gauges", None);
    let mut before = String::new();
    for of in &told.balances {
        let sure = 2.0 * of.uncertainty_w;
        let agrees = (of.measured_w - of.learnt_w).abs() <= sure;
        let cells: [Cell; 8] = [
            (&of.circuit).into(),
            (&of.phase).into(),
            Value::of(Kind::HeatRate, of.measured_w).into(),
            Value::formed(Kind::HeatRate, sure, Form::Off).into(),
            Value::of(Kind::HeatRate, of.learnt_w).into(),
            Value::judged(agrees, if agrees { "yes" } else { "NO" }).into(),
            Value::list(of.between.iter().cloned(), ", ").into(),
            Value::list(of.gauges.iter().cloned(), " ").into(),
        ];
        if !before.is_empty() && before != of.circuit {
            table.gap();
        }
        before.clone_from(&of.circuit);
        let seen = if table.rows_of_people() < 8 { Seen::All } else { Seen::Programs };
        table.add(Some(of.circuit.clone()), cells, seen);
    }
    let mut section =
        Section::new("heat", "Heat into the coolant, by flow times rise").support().table(table);
    if !told.balances.is_empty() {
        section = section.say(
            "± is twice the standard uncertainty after the GUM (JCGM 100:2008): each gauge anywhere within what it may be \
             off by.",
            Lay::Paragraph,
        );
    }
    for of in &told.no_balance {
        let what = if of.no_flow {
            "it has no flow meter"
        } else {
            "it lacks a thermometer on both sides"
        };
        section = section.say(
            say!(
                "In `{circuit}` heat cannot be measured: {what} in one run.",
                circuit = &of.circuit,
                what = what
            ),
            Lay::Paragraph,
        );
    }
    section
}

/// The limits again.
fn limits(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("limit", "limit")
        .words("plain", "as the case stands")
        .words("with", "with what was learnt")
        .values("sure", "± by what\nis not sure")
        .for_programs("plain_margin", None)
        .for_programs("with_margin", None)
        .for_programs("u", None)
        .mixed();
    for (k, of) in told.with.0.iter().enumerate() {
        let plain = told.plain.0.iter().find(|known| known.limit.name == of.limit.name);
        let kind = kinds::difference(of.limit.kind);
        let u = told.margins.get(k).copied().filter(|u| u.is_finite());
        let margin = |of: &Judged| of.margin().map(|si| Value::of(kind, si));
        let cells: [Cell; 7] = [
            (&of.limit.name).into(),
            plain.map(verdict::margin).into(),
            Cell::from(verdict::margin(of)).judged(of.holds()),
            u.map(|u| Value::formed(kind, 2.0 * u, Form::Off)).into(),
            plain.and_then(margin).into(),
            margin(of).into(),
            u.map(|u| Value::of(kind, u)).into(),
        ];
        let built_in = of.limit.built_in.is_some() && of.holds();
        let seen = if built_in { Seen::Programs } else { Seen::All };
        table.add(Some(of.limit.of.clone()), cells, seen);
    }
    Section::new("limits", "The limits again").table(table)
}

/// The hottest day, before and after.
fn day(told: &Told<'_>) -> Section {
    let word = |(bound, fails): &Hottest| {
        let by = fails.clone().map_or_else(|| Value::from("nothing that was tried"), Value::from);
        match bound {
            Some(k) => say!(
                "up to {air}, beyond that {by}",
                air = Value::of(Kind::Temperature, *k),
                by = by
            ),
            None => say!("at no air that was tried: {by}", by = by),
        }
    };
    let [plain, with] = &told.hottest[..] else { return Section::plain("day") };
    let judged = if told.over_cycle { "the duty cycle" } else { "one operating point" };
    Section::new("day", "The hottest day again").points([
        say!("as the case stands it holds {so}", so = word(plain)),
        say!("with what was learnt it holds {so}", so = word(with)),
        say!("judged by {what}", what = judged),
    ])
}

/// How all of it is meant.
fn mind(told: &Told<'_>) -> Section {
    let mut points: Vec<Sentence> = vec![
        "What the fitted numbers do not say, they swallow: a wrong law, a number of the case that is wrong and was not \
         fitted, a gauge off by more than it may be. The intervals know nothing of that."
            .into(),
        "A fitted number holds for the vehicle as it was that day: a pump wears on, a core gets dirtier.".into(),
    ];
    if !told.changes.is_empty() {
        points.push(say!(
            "`-o learnt.ron` writes {count} numbers for the case to include.",
            count = told.changes.len()
        ));
    }
    Section::new("mind", "Mind").support().points(points)
}
