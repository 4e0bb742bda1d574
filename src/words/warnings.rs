//! Warnings about a solution in words.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::made;
use coolwright_models::fluids::FluidWarning;
use coolwright_models::ids::Id;
use coolwright_models::laws::card::Card;
use coolwright_models::laws::pump::{LEAST_BEST_FLOW_M3_S, LEAST_BEST_HEAD_M};
use coolwright_models::laws::tee::OutsideSet;
use coolwright_models::model::Model;
use coolwright_models::warnings::{OfTable, Side, Warning};

use super::units::kind_of;
use crate::answer::{Form, Section, Sentence, Value};
use crate::say;

/// Where the solution left the range of its laws.
pub fn section(model: &Model, warnings: &[Warning]) -> Section {
    let told = warnings.iter().map(|warning| sentence(model, warning));
    Section::new("warnings", "Warnings").points(together(told))
}

/// Where a duty cycle left the range of its laws, and when first.
pub fn over_time(model: &Model, warnings: &[(f64, Warning)]) -> Section {
    let one = |(at_s, warning): &(f64, Warning)| {
        say!(
            "{warning} (first seen {at} after the start)",
            warning = sentence(model, warning),
            at = Value::clock(*at_s)
        )
    };
    Section::new("warnings", "Warnings").points(together(warnings.iter().map(one)))
}

/// The same sentences, those that say the same of several things told once.
pub fn together(told: impl IntoIterator<Item = Sentence>) -> Vec<Sentence> {
    let mut found: Vec<(Sentence, Vec<Value>)> = Vec::new();
    for sentence in told {
        let same = found.iter_mut().find(|(known, _)| of_another(known, &sentence).is_some());
        match same {
            Some((known, others)) => others.extend(of_another(known, &sentence)),
            None => found.push((sentence, Vec::new())),
        }
    }
    let one = |(sentence, others): (Sentence, Vec<Value>)| match others.len() {
        0 => sentence,
        _ => say!(
            "{warning}; the same of `{others}`",
            warning = sentence,
            others = Value::list(others, "`, `")
        ),
    };
    found.into_iter().map(one).collect()
}

/// What another sentence is about, where it says of it what a sentence says of something else.
fn of_another(one: &Sentence, other: &Sentence) -> Option<Value> {
    if one.words != other.words || one.slots.len() != other.slots.len() {
        return None;
    }
    let mut about = None;
    for ((_, a), (name, b)) in one.slots.iter().zip(&other.slots) {
        match (a, b) {
            _ if a.is_like(b) => {}
            (Value::Text(_), Value::Text(_)) if *name == "what" && about.is_none() => {
                about = Some(b.clone());
            }
            (Value::Sentence(a), Value::Sentence(b)) if about.is_none() => {
                about = Some(of_another(a, b)?);
            }
            _ => return None,
        }
    }
    about
}

/// Below this share of its rated air flow a core gets no air to speak of.
const NO_AIR: f64 = 0.01;

/// Whether a warning takes the right from a verdict that holds: something that should move does not, or goes the wrong
/// way.
pub fn is_grave(warning: &Warning) -> bool {
    match warning {
        Warning::Still { turns, waits, .. } => *turns || !waits,
        Warning::Backwards { .. } | Warning::Choked { .. } => true,
        _ => false,
    }
}

/// Whether a warning speaks against a verdict that holds, though the numbers hold: no air where it should cool, or far
/// more coolant or air than anyone measured with.
pub fn speaks_against(warning: &Warning) -> bool {
    match warning {
        Warning::FarFromRating { side: Side::Air, ratio, .. }
        | Warning::BeyondTable { side: Side::Air, ratio, .. } => *ratio < NO_AIR || *ratio > FAR,
        Warning::FarFromRating { ratio, .. } | Warning::BeyondTable { ratio, .. } => *ratio > FAR,
        Warning::BeyondCurve { flow_m3_s, last_m3_s, .. } => flow_m3_s / last_m3_s > FAR,
        Warning::LeftMap { .. } | Warning::LeftCompressorMap { .. } | Warning::CoreWarms { .. } => {
            true
        }
        _ => false,
    }
}

/// Over so many times what was measured a number is a guess (common practice, no source).
const FAR: f64 = 3.0;

/// A warning in words.
pub fn sentence(model: &Model, warning: &Warning) -> Sentence {
    let about = model.address(warning.about());
    match warning {
        Warning::Coolant { warning, .. } => {
            say!("coolant of `{circuit}`: {why}", circuit = about, why = fluid(warning))
        }
        Warning::BeyondCurve { flow_m3_s, last_m3_s, .. } => say!(
            "`{what}` runs at {share} of the last flow on its curve: beyond it the curve bends into what the \
             machine resists at rest",
            what = about,
            share = Value::percent(flow_m3_s / last_m3_s, 1),
        ),
        Warning::BelowCurve { flow_m3_s, first_m3_s, .. } => say!(
            "`{what}` runs at {share} of the first flow on its curve: the curve is continued as a straight \
             line there",
            what = about,
            share = Value::percent(flow_m3_s / first_m3_s, 1),
        ),
        Warning::Backwards { what, others, flow_m3_s } => {
            let air = matches!(what, Id::Fan(..));
            backwards(model, &about, others, (*flow_m3_s, air))
        }
        Warning::ShutOff { flow_m3_s, last_m3_s, .. } => say!(
            "`{what}` turns and moves next to nothing, {share} of the last flow on its curve: look for a shut \
             valve or a stronger pump in its way; the coolant in it warms",
            what = about,
            share = Value::percent(flow_m3_s / last_m3_s, 2),
        ),
        Warning::LeftMap { .. } => say!(
            "`{engine}` works beyond the speeds or the powers of its map: its heat is carried on from there, the greater of \
             the line and the end",
            engine = about
        ),
        Warning::CoreWarms { air_k, coolant_k, .. } => say!(
            "`{core}` warms its coolant: air of {air} comes to coolant of {coolant}; look at what stands in front of it and at the \
             air that comes round again",
            core = about,
            air = Value::formed(Kind::Temperature, *air_k, Form::Decimals(1)),
            coolant = Value::formed(Kind::Temperature, *coolant_k, Form::Decimals(1)),
        ),
        Warning::Still { turns, waits, .. } => still(about, (*turns, *waits)),
        Warning::ViscosityRange { flow_m3_s, head_m, parameter, head_factor, .. } => say!(
            "`{what}` is corrected for viscosity (head × {factor}) outside the data of ANSI/HI 9.6.7: best \
             point {flow} at {head} (data from {least_flow} and {least_head}), B {parameter} (1 to 40)",
            what = about,
            factor = Value::decimals(*head_factor, 3),
            flow = Value::formed(Kind::VolumeFlow, *flow_m3_s, Form::Decimals(0)),
            head = Value::formed(Kind::Distance, *head_m, Form::Decimals(1)),
            least_flow = Value::formed(Kind::VolumeFlow, LEAST_BEST_FLOW_M3_S, Form::Decimals(0)),
            least_head = Value::formed(Kind::Distance, LEAST_BEST_HEAD_M, Form::Decimals(1)),
            parameter = Value::decimals(*parameter, 2),
        ),
        Warning::OverSpeed { speed, .. } => say!(
            "`{what}` turns at {speed} of the speed of its curve: few machines stand that, and heads and powers go \
             with the square and the cube of it",
            what = about,
            speed = Value::percent(*speed, 0),
        ),
        Warning::BeyondTable { side, of, ratio, .. } => beyond_table(&about, (*side, *of), *ratio),
        Warning::FarFromRating { side, ratio, .. } => far_from_rating(&about, *side, *ratio),
        Warning::Choked { share, .. } => choked(&about, *share),
        Warning::LeftCompressorMap { corrected, .. } => say!(
            "`{stage}` works beyond its map, at a corrected flow of {flow}: it is taken as efficient as at the edge, and a real \
             one surges or chokes somewhere there",
            stage = about,
            flow = Value::of(Kind::MassFlow, *corrected),
        ),
        Warning::NoFlow { .. } => say!("no coolant flows through `{body}`", body = about),
        Warning::OutsideTeeSet { ports, set, why, .. } => {
            outside_set(&about, *ports, (set.name(), outside(why)))
        }
        Warning::Laminar { what, reynolds } => laminar(about, what.len(), *reynolds),
        Warning::OutsideRange { what, law, of, number } => {
            beyond_card(model, what, (law, of), *number)
        }
        Warning::IceGone { mass_kg, .. } => say!(
            "ice does not last: this steady state is the one after all {ice} in `{tank}` have melted; `cycle` and \
             `point --at` follow it while there is ice",
            ice = Value::formed(Kind::Mass, *mass_kg, Form::Decimals(1)),
            tank = about,
        ),
        Warning::Spills { lost_m3, .. } => say!(
            "the coolant of `{circuit}` grows by {lost} more than the air in its tank leaves room for: that \
             much goes out through the cap or over the edge",
            circuit = about,
            lost = Value::formed(Kind::Volume, *lost_m3, Form::Decimals(2)),
        ),
    }
}

/// A junction that the set of tee laws which it is to follow does not reach.
fn outside_set(about: &str, ports: usize, (set, why): (&'static str, Sentence)) -> Sentence {
    // The tees of a header stand under its name.
    let (circuit, junction) = about.split_once('/').unwrap_or((about, ""));
    let name = format!("{circuit}/{}", made::of(junction));
    let ports = match ports {
        0 | 1 => Sentence::from(""),
        n => say!(" (at {ports} of its ports)", ports = n),
    };
    say!(
        "`{junction}` is to follow {set}, but {why}{ports}: the unified law holds there instead",
        junction = name,
        set = set,
        why = why,
        ports = ports,
    )
}

/// Parts in which the coolant is laminar, by the first and how many.
fn laminar(part: String, count: usize, reynolds: f64) -> Sentence {
    let more = match count {
        0 | 1 => Sentence::from(""),
        n => say!(" and {more} more", more = n - 1),
    };
    say!(
        "the coolant is laminar (Re at most {reynolds}) in `{part}`{more}: more flow barely improves the film there",
        reynolds = Value::decimals(reynolds, 0),
        part = part,
        more = more,
    )
}

/// A circuit in which nothing moves.
fn still(circuit: String, (turns, waits): (bool, bool)) -> Sentence {
    match (turns, waits) {
        (false, true) => say!(
            "nothing moves in `{circuit}`: its pump stands at the temperature that its speed follows",
            circuit = circuit
        ),
        (false, false) => say!(
            "nothing moves in `{circuit}`: none of its pumps turns, and no open end drives it",
            circuit = circuit
        ),
        (true, _) => say!(
            "nothing moves in `{circuit}`, though a pump turns: its way is shut",
            circuit = circuit
        ),
    }
}

/// A stage of charge air that takes more pressure than there is to take.
fn choked(stage: &str, share: f64) -> Sentence {
    say!(
        "`{what}` would take {share} of the pressure of the charge air in front of it: such a flow does not pass; look \
         at its fall, and at the flow",
        what = stage,
        share = Value::percent(share, 0),
    )
}

/// A machine that is driven backwards.
fn backwards(model: &Model, about: &str, others: &[Id], (flow_m3_s, air): (f64, bool)) -> Sentence {
    let others = others.iter().map(|id| model.address(*id)).collect::<Vec<_>>();
    let why = match others.as_slice() {
        [] => Sentence::from("what drives it from outside is stronger"),
        [one] => say!("`{one}` is stronger", one = one.clone()),
        _ => say!("stronger are `{others}`", others = Value::list(others, "`, `")),
    };
    say!(
        "`{what}` turns and is driven backwards, at {flow}: {why}; what it then resists follows published \
         characteristics, not its curve",
        what = about,
        flow = if air {
            Value::of(Kind::AirFlow, -flow_m3_s)
        } else {
            Value::formed(Kind::VolumeFlow, -flow_m3_s, Form::Decimals(1))
        },
        why = why,
    )
}

/// A core far from its rating.
fn far_from_rating(core: &str, side: Side, ratio: f64) -> Sentence {
    match side {
        Side::Air if ratio < NO_AIR => {
            say!("no air to speak of goes through `{core}`", core = core)
        }
        _ => say!(
            "`{core}` works at {ratio} times its rated {side} flow: its heat is scaled from far away",
            core = core,
            ratio = Value::decimals(ratio, 2),
            side = match side {
                Side::Coolant => "coolant",
                Side::Air => "air",
            },
        ),
    }
}

/// A core that works beyond the rows of a table.
fn beyond_table(core: &str, (side, of): (Side, OfTable), ratio: f64) -> Sentence {
    if side == Side::Air && ratio < NO_AIR {
        return say!("no air to speak of goes through `{core}`", core = core);
    }
    say!(
        "`{core}` works at {ratio} times the {end} {side} flow of its table: {of} is carried on from there with the power between \
         the last two rows",
        core = core,
        ratio = Value::decimals(ratio, 2),
        end = if ratio < 1.0 { "least" } else { "most" },
        side = match side {
            Side::Coolant => "coolant",
            Side::Air => "air",
        },
        of = match of {
            OfTable::Heat => "its heat",
            OfTable::FallOfAir => "the fall of the air",
        },
    )
}

/// What the formulas of a tee do not cover.
fn outside(why: &OutsideSet) -> Sentence {
    match *why {
        OutsideSet::NotAlongTheRun => {
            "both straight legs flow into the side, or the side into both".into()
        }
        OutsideSet::UnequalRuns(ratio) => say!(
            "its straight legs differ: areas as {ratio} to 1",
            ratio = Value::decimals(ratio, 2)
        ),
        OutsideSet::WideSide(ratio) => say!(
            "its side has {ratio} times the area of its straight legs",
            ratio = Value::decimals(ratio, 2)
        ),
        OutsideSet::Turn(angle) => say!(
            "the flow turns by {angle} at its side",
            angle = Value::formed(Kind::Angle, angle, Form::Decimals(0))
        ),
    }
}

/// Where a coolant left the range of its properties.
fn fluid(warning: &FluidWarning) -> Sentence {
    let t = |k: f64| Value::formed(Kind::Temperature, k, Form::Decimals(1));
    match *warning {
        FluidWarning::BelowFreezing { temperature_k, freezing_k } => say!(
            "it is seen down to {coldest}, below the freezing point {freezing}",
            coldest = t(temperature_k),
            freezing = t(freezing_k),
        ),
        FluidWarning::BelowSource { temperature_k, range_k: (low, high) } => say!(
            "it is seen down to {coldest}, below the range {low} to {high} of the property source: \
             extrapolated there",
            coldest = t(temperature_k),
            low = t(low),
            high = t(high),
        ),
        FluidWarning::AboveSource { temperature_k, range_k: (low, high) } => say!(
            "it is seen up to {hottest}, above the range {low} to {high} of the property source: \
             extrapolated there",
            hottest = t(temperature_k),
            low = t(low),
            high = t(high),
        ),
        FluidWarning::AboveTable { temperature_k, range_k: (low, high) } => say!(
            "it is seen up to {hottest}, above the range {low} to {high} for which properties are \
             calculated: continued as straight lines there",
            hottest = t(temperature_k),
            low = t(low),
            high = t(high),
        ),
    }
}

/// A law outside its range.
fn beyond_card(model: &Model, what: &[Id], (law, of): (&Card, &str), number: f64) -> Sentence {
    let range = law.range(of);
    let means = law.symbols.iter().find(|symbol| symbol.sign == of);
    let kind = means.and_then(|symbol| kind_of(symbol.sign, symbol.unit)).unwrap_or(Kind::Number);
    let all: Vec<String> = what.iter().map(|&id| format!("`{}`", model.address(id))).collect();
    say!(
        "{what} {verb} a law outside its range ({law}): {means} is {number}, published from {least} to {most}",
        what = all.join(", "),
        verb = if all.len() == 1 { "follows" } else { "follow" },
        law = law.name,
        means = means.map_or(of, |symbol| symbol.means),
        number = Value::of(kind, number),
        least = Value::of(kind, range.least),
        most = Value::of(kind, range.most),
    )
}
