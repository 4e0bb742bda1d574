//! Warnings about a solution in words.

use coolwright_cases::quantity::Kind;
use coolwright_models::fluids::FluidWarning;
use coolwright_models::laws::pump::{LEAST_BEST_FLOW_M3_S, LEAST_BEST_HEAD_M};
use coolwright_models::warnings::Warning;

use crate::answer::{Form, Section, Sentence, Value};
use crate::say;

/// Where the solution left the range of its laws.
pub fn section(warnings: &[Warning]) -> Section {
    Section::new("mind", "Mind").points(warnings.iter().map(sentence))
}

/// A warning in words.
pub fn sentence(warning: &Warning) -> Sentence {
    match warning {
        Warning::Coolant { circuit, warning } => {
            say!("coolant of `{circuit}`: {why}", circuit = circuit, why = fluid(warning))
        }
        Warning::BeyondCurve { what, flow_m3_s, last_m3_s } => say!(
            "`{what}` runs at {share} of the last flow on its curve: the curve is continued as a straight \
             line there",
            what = what,
            share = Value::percent(flow_m3_s / last_m3_s, 1),
        ),
        Warning::BelowCurve { what, flow_m3_s, first_m3_s } => say!(
            "`{what}` runs at {share} of the first flow on its curve: the curve is continued as a straight \
             line there",
            what = what,
            share = Value::percent(flow_m3_s / first_m3_s, 1),
        ),
        Warning::ShutOff { what, flow_m3_s, last_m3_s } => say!(
            "`{what}` turns and moves next to nothing, {share} of the last flow on its curve: look for a shut \
             valve or a stronger pump in its way; the coolant in it warms",
            what = what,
            share = Value::percent(flow_m3_s / last_m3_s, 2),
        ),
        Warning::Still { circuit, turns: false } => say!(
            "nothing moves in `{circuit}`: none of its pumps turns, and no open end drives it",
            circuit = circuit
        ),
        Warning::Still { circuit, turns: true } => say!(
            "nothing moves in `{circuit}`, though a pump turns: its way is shut",
            circuit = circuit
        ),
        Warning::ViscosityRange { what, flow_m3_s, head_m, parameter, head_factor } => say!(
            "`{what}` is corrected for viscosity (head × {factor}) outside the data of ANSI/HI 9.6.7: best \
             point {flow} at {head} (data from {least_flow} and {least_head}), B {parameter} (1 to 40)",
            what = what,
            factor = Value::decimals(*head_factor, 3),
            flow = Value::formed(Kind::VolumeFlow, *flow_m3_s, Form::Decimals(0)),
            head = Value::formed(Kind::Distance, *head_m, Form::Decimals(1)),
            least_flow = Value::formed(Kind::VolumeFlow, LEAST_BEST_FLOW_M3_S, Form::Decimals(0)),
            least_head = Value::formed(Kind::Distance, LEAST_BEST_HEAD_M, Form::Decimals(1)),
            parameter = Value::decimals(*parameter, 2),
        ),
        Warning::FarFromRating { core, side, ratio } => say!(
            "`cores/{core}` works at {ratio} times its rated {side} flow: its heat is scaled from far away",
            core = core,
            ratio = Value::decimals(*ratio, 2),
            side = *side,
        ),
        Warning::NoFlow { body } => say!("no coolant flows through `{body}`", body = body),
        Warning::OutsideTeeSet { junction, ports, set, why } => {
            let ports = match ports {
                0 | 1 => Sentence::from(""),
                n => say!(" (at {ports} of its ports)", ports = *n),
            };
            say!(
                "`{junction}` is to follow {set}, but {why}{ports}: the unified law holds there instead",
                junction = junction,
                set = format!("{set:?}"),
                why = why.to_string(),
                ports = ports,
            )
        }
        Warning::Laminar { what, reynolds } => {
            let more = match what.len() {
                0 | 1 => Sentence::from(""),
                n => say!(" and {more} more", more = n - 1),
            };
            say!(
                "the coolant is laminar (Re at most {reynolds}) in `{part}`{more}: more flow barely improves \
                 the film there",
                reynolds = Value::decimals(*reynolds, 0),
                part = what.first(),
                more = more,
            )
        }
        Warning::Spills { circuit, lost_m3 } => say!(
            "the coolant of `{circuit}` grows by {lost} more than the air in its tank leaves room for: that \
             much goes out through the cap",
            circuit = circuit,
            lost = Value::formed(Kind::Volume, *lost_m3, Form::Decimals(2)),
        ),
        Warning::Boils { circuit, margin_k } => say!(
            "the coolant of `{circuit}` would boil, {past} past its boiling point: beyond that the numbers no \
             longer hold",
            circuit = circuit,
            past = Value::formed(Kind::TemperatureDifference, -margin_k, Form::Decimals(1)),
        ),
    }
}

/// Where a coolant left the range of its properties.
fn fluid(warning: &FluidWarning) -> Sentence {
    let t = |k: f64| Value::formed(Kind::Temperature, k, Form::Decimals(1));
    match *warning {
        FluidWarning::BelowFreezing { temperature_k, freezing_k } => say!(
            "coolant temperature {temperature} is below the freezing point {freezing}",
            temperature = t(temperature_k),
            freezing = t(freezing_k),
        ),
        FluidWarning::BelowSource { temperature_k, range_k: (low, high) } => say!(
            "coolant temperature {temperature} is below the range {low} to {high} of the property source: \
             extrapolated",
            temperature = t(temperature_k),
            low = t(low),
            high = t(high),
        ),
        FluidWarning::AboveSource { temperature_k, range_k: (low, high) } => say!(
            "coolant temperature {temperature} is above the range {low} to {high} of the property source: \
             extrapolated",
            temperature = t(temperature_k),
            low = t(low),
            high = t(high),
        ),
        FluidWarning::AboveTable { temperature_k, range_k: (low, high) } => say!(
            "coolant temperature {temperature} is above the range {low} to {high} for which properties are \
             calculated: continued as straight lines",
            temperature = t(temperature_k),
            low = t(low),
            high = t(high),
        ),
    }
}
