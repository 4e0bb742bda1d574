//! The stand file held against the case: what each column drives or shows, and what is to be fitted.

use coolwright_cases::diagnostic::{Problem, Problems};
use coolwright_cases::file::{Fit, Stand};
use coolwright_cases::lower::{Bound, Ready};
use coolwright_cases::quantity::{Kind, parse};
use coolwright_cases::stand::{Column, LogFault, Table, Wanted};
use coolwright_cases::text::{Sources, Span, Spanned, nearest};
use coolwright_models::fluids::pressure_at_pa;
use coolwright_models::gauge::{Gauge, Reads};
use coolwright_models::ids::Id;

use crate::refusal::Refusal;

/// A column that drives a number.
#[derive(Clone, Debug)]
pub(super) struct Drives {
    /// The address of the number.
    pub(super) address: String,
    /// Its column.
    pub(super) column: String,
    /// The kind of the number.
    pub(super) kind: Kind,
}

/// A column that a gauge showed.
#[derive(Clone, Debug)]
pub(super) struct Shows {
    /// The gauge, among those of the model.
    pub(super) gauge: usize,
    /// Its column.
    pub(super) column: String,
    /// The kind of what it reads.
    pub(super) kind: Kind,
    /// The result that it is compared with.
    pub(super) result: String,
    /// What it may be off by throughout, SI, and whether the case says so.
    pub(super) tolerance: f64,
    pub(super) is_told: bool,
}

/// A number that may be fitted.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Number {
    /// Its address.
    pub(super) address: String,
    /// Its kind.
    pub(super) kind: Kind,
    /// What the case has.
    pub(super) is: f64,
    /// The least and the most that it may be.
    pub(super) range: (f64, f64),
}

/// The stand file as it is meant.
#[derive(Debug)]
pub(super) struct Meant {
    pub(super) wanted: Wanted,
    pub(super) drives: Vec<Drives>,
    pub(super) shows: Vec<Shows>,
    /// What is to be fitted; `None` where that is chosen by itself.
    pub(super) numbers: Option<Vec<Number>>,
    /// Where units stand, column by column, with their kinds.
    units: Vec<(Span, Kind, String)>,
}

type Named = (Spanned<String>, Spanned<String>, Spanned<String>);

/// What makes SI of the numbers of a column.
fn scale(problems: &mut Problems, kind: Kind, unit: &Spanned<String>) -> Option<[f64; 2]> {
    let zero = parse(kind, &format!("0 {}", unit.value));
    let one = parse(kind, &format!("1 {}", unit.value));
    match (zero, one) {
        (Ok(zero), Ok(one)) => Some([zero, one - zero]),
        (Err(error), _) | (_, Err(error)) => {
            let problem = Problem::error(unit.span, error.message).label("the unit of this column");
            problems.push(error.help.into_iter().fold(problem, Problem::help));
            None
        }
    }
}

/// Pressures against the air, and against nothing.
const PRESSURES: [Kind; 2] = [Kind::GaugePressure, Kind::AbsolutePressure];

/// Whether a unit is one of a kind.
fn reads(kind: Kind, unit: &str) -> bool {
    parse(kind, &format!("1 {unit}")).is_ok()
}

/// Whether a unit says that a pressure is absolute.
fn is_absolute(unit: &str) -> bool {
    reads(Kind::AbsolutePressure, unit) && !reads(Kind::GaugePressure, unit)
}

/// What a quantity of a kind can be at all on a stand, SI: beyond that a wire is off.
fn possible(kind: Kind) -> [f64; 2] {
    match kind {
        Kind::Temperature => [213.15, 673.15],
        Kind::GaugePressure => [-1.1e5, 3e6],
        Kind::VolumeFlow => [-0.1, 0.1],
        Kind::Power => [-1e7, 1e7],
        Kind::Fraction => [-2.0, 2.0],
        Kind::Voltage => [0.0, 1500.0],
        Kind::RotationalSpeed => [-1e4, 1e4],
        Kind::Speed => [-200.0, 200.0],
        _ => [f64::NEG_INFINITY, f64::INFINITY],
    }
}

/// What a gauge may be off by where the case does not say: a thermometer of its kind, a pressure gauge, a flow meter
/// (common practice, no source).
fn usual_tolerance(reads: Reads) -> f64 {
    match reads {
        Reads::Temperature => 1.0,
        Reads::Pressure => 3e3,
        Reads::Flow => 3e-5,
    }
}

/// Holds a stand file against a case.
pub(super) fn meant(stand: &Stand, ready: &Ready, problems: &mut Problems) -> Option<Meant> {
    let to_seconds = scale(problems, Kind::Time, &stand.time.1).map(|[_, factor]| factor);
    let mut meant = Meant {
        wanted: Wanted {
            time: stand.time.0.value.clone(),
            to_seconds: to_seconds.unwrap_or(1.0),
            columns: Vec::new(),
        },
        drives: Vec::new(),
        shows: Vec::new(),
        numbers: None,
        units: Vec::new(),
    };
    for (list, what) in [(&stand.drives, "driven"), (&stand.gauges, "read")] {
        for (k, row) in list.iter().enumerate() {
            if let Some((first, ..)) = list[..k].iter().find(|first| first.0.value == row.0.value) {
                let message = format!("`{}` is {what} twice", row.0.value);
                let problem = Problem::error(row.0.span, message).label("again here");
                problems.push(problem.also(first.span, "first here"));
            }
        }
    }
    for row in &stand.drives {
        drives(row, ready, (&mut meant, problems));
    }
    for row in &stand.gauges {
        shows(row, ready, (&mut meant, problems));
    }
    if stand.gauges.is_empty() {
        let message = "this stand file reads no gauge, so there is nothing to compare";
        let help = "add `gauges: [(\"engine_out\", \"T_out\", \"°C\")]`: a gauge of the case, its column, its unit";
        problems.push(Problem::error(stand.log.span, message).label("of this log").help(help));
    }
    for (k, fit) in stand.fit.iter().enumerate() {
        if let Some(first) = stand.fit[..k].iter().find(|first| first.at.value == fit.at.value) {
            let message = format!("`{}` is fitted twice", fit.at.value);
            let problem = Problem::error(fit.at.span, message).label("again here");
            problems.push(problem.also(first.at.span, "first here"));
        }
    }
    if !stand.fit.is_empty() {
        let numbers = stand.fit.iter().filter_map(|fit| number(fit, ready, problems));
        meant.numbers = Some(numbers.collect());
    }
    (!problems.has_errors()).then_some(meant)
}

fn drives(row: &Named, ready: &Ready, (meant, problems): (&mut Meant, &mut Problems)) {
    let (address, column, unit) = row;
    let is_power = ["power", "duty:power"].contains(&address.value.as_str());
    let share = parse(Kind::Fraction, &format!("0 {}", unit.value)).is_ok();
    if is_power {
        let kind = if share { Kind::Fraction } else { Kind::Power };
        let Some([offset, factor]) = scale(problems, kind, unit) else { return };
        let full = ready.addresses.get("duty:power").map(|entry| entry.value);
        let full = if share { Some(1.0) } else { full.filter(|full| *full > 0.0) };
        let Some(full) = full else {
            let message = "the log tells power, but `duty` of the case gives no full power";
            let problem = Problem::error(address.span, message).label("of which share is this?");
            problems.push(problem.help("add `power: \"{one Power}\"` to `duty` in the case"));
            return;
        };
        meant.units.push((unit.span, kind, unit.value.clone()));
        let [least, most] = possible(kind);
        meant.wanted.columns.push(Column {
            name: column.value.clone(),
            scale: [offset / full, factor / full],
            possible: [least / full, most / full],
            is_read: false,
        });
        let address = "duty:point".to_owned();
        meant.drives.push(Drives { address, column: column.value.clone(), kind: Kind::Fraction });
        return;
    }
    let short = format!("duty:{}", address.value);
    let known = [address.value.as_str(), &short];
    let found = known.into_iter().find(|name| ready.addresses.contains_key(*name));
    let Some(name) = found else {
        problems.push(no_value(address, ready));
        return;
    };
    let entry = &ready.addresses[name];
    // What a log of the case drives, this one drives instead.
    let role = entry.role;
    if let Some(why) = role.refusal().filter(|_| role != coolwright_cases::lower::Role::Driven) {
        let message = format!("a log cannot drive `{}`", address.value);
        problems.push(Problem::error(address.span, message).label(why));
        return;
    }
    let Some(scale) = scale(problems, entry.kind, unit) else { return };
    meant.units.push((unit.span, entry.kind, unit.value.clone()));
    let possible = match entry.bound {
        Bound::Within(least, most) => [least, most],
        Bound::NotNegative | Bound::Positive => [0.0, possible(entry.kind)[1]],
    };
    let name = name.to_owned();
    let own = column.value.clone();
    meant.wanted.columns.push(Column { name: own.clone(), scale, possible, is_read: false });
    meant.drives.push(Drives { address: name, column: own, kind: entry.kind });
}

fn no_value(address: &Spanned<String>, ready: &Ready) -> Problem {
    let all = || ready.addresses.keys().map(String::as_str);
    let known = all().chain(all().filter_map(|name| name.strip_prefix("duty:")));
    let near = nearest(&address.value, known);
    Problem::error(address.span, format!("there is no value at `{}`", address.value))
        .label("not known")
        .help_if(near.map(|near| format!("did you mean `{near}`?")))
        .help("an address is a path and a name, as in `main/loop/pump:speed`")
}

fn shows(row: &Named, ready: &Ready, (meant, problems): (&mut Meant, &mut Problems)) {
    let (name, column, unit) = row;
    let gauges = &ready.model.gauges;
    let Some(g) = gauges.iter().position(|gauge| gauge.name == name.value) else {
        let names: Vec<&str> = gauges.iter().map(|gauge| gauge.name.as_str()).collect();
        let near = nearest(&name.value, names.iter().copied());
        let known = if names.is_empty() {
            "the case has no gauges: `gauges: {…}` says where each sits".to_owned()
        } else {
            format!("it has: {}", names.join(", "))
        };
        let problem = Problem::error(name.span, format!("the case has no gauge `{}`", name.value));
        let near = near.map(|near| format!("did you mean `{near}`?"));
        problems.push(problem.label("not known").help_if(near).help(known));
        return;
    };
    let gauge: &Gauge = &gauges[g];
    let kind = match gauge.reads {
        Reads::Temperature => Kind::Temperature,
        Reads::Pressure => Kind::GaugePressure,
        Reads::Flow => Kind::VolumeFlow,
    };
    let absolute = kind == Kind::GaugePressure && is_absolute(&unit.value);
    let told_as = if absolute { Kind::AbsolutePressure } else { kind };
    let Some(mut scale) = scale(problems, told_as, unit) else { return };
    if absolute {
        // A gauge reads against the air of the site.
        scale[0] -= pressure_at_pa(ready.model.values.get(ready.model.site.altitude));
    }
    meant.units.push((unit.span, told_as, unit.value.clone()));
    let told = gauge.error.map(|slot| ready.model.values.get(slot)).filter(|error| *error > 0.0);
    let column = column.value.clone();
    meant.wanted.columns.push(Column {
        name: column.clone(),
        scale,
        possible: possible(kind),
        is_read: true,
    });
    meant.shows.push(Shows {
        gauge: g,
        column,
        kind,
        result: format!("{}:reading", ready.model.address(Id::Gauge(g))),
        tolerance: told.unwrap_or_else(|| usual_tolerance(gauge.reads)),
        is_told: told.is_some(),
    });
}

/// A number of the file that is to be fitted.
fn number(fit: &Fit, ready: &Ready, problems: &mut Problems) -> Option<Number> {
    let Some(entry) = ready.addresses.get(&fit.at.value) else {
        problems.push(no_value(&fit.at, ready));
        return None;
    };
    let kind = entry.kind;
    if kind == Kind::Count || entry.role == coolwright_cases::lower::Role::Driven {
        let message = format!("`{}` cannot be fitted", fit.at.value);
        let label = if kind == Kind::Count { "a count" } else { "a log drives it" };
        problems.push(Problem::error(fit.at.span, message).label(label));
        return None;
    }
    let plain = usual_range(&fit.at.value, entry.value, entry.bound);
    let mut end = |given: &Option<Spanned<String>>, usual: Option<f64>| match given {
        None => usual,
        Some(text) => match parse(kind, &text.value) {
            Ok(si) => match entry.bound.fault(kind, si) {
                None => Some(si),
                Some(fault) => {
                    let message = format!("`{}` {fault}", fit.at.value);
                    problems.push(Problem::error(text.span, message).label("beyond that"));
                    None
                }
            },
            Err(error) => {
                let problem = Problem::error(text.span, error.message);
                problems.push(error.help.into_iter().fold(problem, Problem::help));
                None
            }
        },
    };
    let least = end(&fit.from, plain.map(|range| range.0));
    let most = end(&fit.to, plain.map(|range| range.1));
    match (least, most) {
        (Some(least), Some(most)) if least < most => Some(Number {
            address: fit.at.value.clone(),
            kind,
            is: entry.value,
            range: (least, most),
        }),
        (Some(_), Some(_)) => {
            let message = format!("the range of `{}` is empty", fit.at.value);
            problems.push(Problem::error(fit.at.span, message).label("`from` is not below `to`"));
            None
        }
        _ => {
            if !problems.has_errors() {
                let message = format!("in which range may `{}` be?", fit.at.value);
                let problem = Problem::error(fit.at.span, message).label("it is zero in the case");
                problems.push(problem.help("give `from` and `to`"));
            }
            None
        }
    }
}

/// The range of a number that nobody told: from half of what it is to half as much again; of what scales a curve, from
/// worn out to better than the label.
fn usual_range(address: &str, is: f64, bound: Bound) -> Option<(f64, f64)> {
    let (least, most) = if address.ends_with("_scale") {
        (0.4, 1.3)
    } else if address.starts_with("gauges/") || is == 0.0 {
        return None;
    } else {
        (is.min(0.5 * is).min(1.5 * is), is.max(0.5 * is).max(1.5 * is))
    };
    Some(match bound {
        Bound::Within(low, high) => (least.max(low), most.min(high)),
        Bound::NotNegative | Bound::Positive => (least, most),
    })
}

/// Numbers that gauges usually tell of: the head and the flow of pumps, the rated heat of cores or the factor on what follows
/// from their dimensions, shares of heat, each
/// where a gauge sits in its circuit.
pub(super) fn candidates(ready: &Ready, shows: &[Shows]) -> Vec<Number> {
    let model = &ready.model;
    let mut addresses: Vec<String> = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        if !shows.iter().any(|shows| model.gauges[shows.gauge].circuit == c) {
            continue;
        }
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                use coolwright_models::air::CoreRating;
                use coolwright_models::parts::HeatPartner;
                // Several under one name are fitted together.
                let group = circuit.groups.iter().position(|group| group.units.contains(&(r, p)));
                let path = model.address(group.map_or(Id::Part(c, r, p), |g| Id::Group(c, g)));
                if placed.part.as_pump().is_some() {
                    addresses.extend(["head_scale", "flow_scale"].map(|s| format!("{path}:{s}")));
                }
                match placed.part.partner() {
                    Some(HeatPartner::Core(core)) => {
                        // One that is known by its dimensions has no rated heat.
                        let name = match model.cores[core].rating {
                            CoreRating::Built(_) => "conductance_scale",
                            CoreRating::Point(_) | CoreRating::Table(_) => "heat",
                        };
                        addresses.push(format!("{}:{name}", model.address(Id::Core(core))));
                    }
                    Some(HeatPartner::Body(body)) => {
                        let path = model.address(Id::Body(body));
                        let own = ["share", "heat"].map(|name| format!("{path}:{name}"));
                        let told = |address: &&String| {
                            ready.addresses.get(*address).is_some_and(|entry| entry.value > 0.0)
                        };
                        addresses.extend(own.iter().find(told).cloned());
                    }
                    None => {}
                }
            }
        }
    }
    let mut numbers: Vec<Number> = Vec::new();
    for address in addresses {
        let Some(entry) = ready.addresses.get(&address) else { continue };
        let range = usual_range(&address, entry.value, entry.bound);
        if let Some(range) = range.filter(|_| !numbers.iter().any(|n| n.address == address)) {
            numbers.push(Number { address, kind: entry.kind, is: entry.value, range });
        }
    }
    numbers
}

impl Meant {
    /// Complains where the log itself tells another unit of the same kind.
    pub(super) fn held_against(&self, table: &Table, problems: &mut Problems) {
        let told = self.units.iter().zip(&table.units).zip(&self.wanted.columns);
        for (((span, kind, unit), written), column) in told {
            let both = |text: &str| {
                let zero = parse(*kind, &format!("0 {text}")).ok()?;
                let one = parse(*kind, &format!("1 {text}")).ok()?;
                Some([zero, one - zero])
            };
            let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
            let differs = match both(unit).zip(both(written)) {
                Some((here, there)) => !(close(here[0], there[0]) && close(here[1], there[1])),
                // A pressure against the air and one against nothing are never the same.
                None => PRESSURES.contains(kind) && PRESSURES.iter().any(|of| reads(*of, written)),
            };
            if written.is_empty() || !differs {
                continue;
            }
            let message = format!("of `{}` the log says `{written}`", column.name);
            let problem = Problem::error(*span, message).label("another unit here");
            problems.push(problem.help("tell the unit that the log has"));
        }
    }
}

/// A log that cannot be used, at the place that names it.
pub(super) fn refused(fault: LogFault, sources: &Sources, span: Span, file: &str) -> Refusal {
    let mut problems = Problems::new();
    let line = fault.line.map_or_else(String::new, |line| format!(" (line {line} of it)"));
    let problem =
        Problem::error(span, format!("{}{line}", fault.message)).label(format!("`{file}`"));
    problems.push(fault.help.into_iter().fold(problem, Problem::help));
    Refusal::faults(sources, problems)
}
