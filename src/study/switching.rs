//! Switches that do not come to a rhythm: the next round may peak elsewhere.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::History;
use coolwright_models::ids::Id;
use coolwright_models::switch::Switch;

use super::judged::{Judged, Turn};
use super::load::Load;
use super::rounds::Rounds;
use crate::answer::{Sentence, Value};
use crate::say;

/// When two rounds switch within this share of their length of each other, they do the same.
const SAME: f64 = 0.01;

/// Adds to each temperature limit that is kept a switch that could turn it: one that went on or off, not as in the
/// round before, in the limit's own circuit. Where it stands when a pull begins moves the peak by as much as lies
/// between its on and its off at most (judgement: the coolant begins anywhere between them).
pub fn add_switching(ready: &Ready, history: &History, judged: &mut [Judged]) {
    let model = &ready.model;
    let load = Load::of(ready);
    let has_rounds = two_rounds(ready, history).is_some();
    for (k, switch) in model.switches.iter().enumerate() {
        // What a pressure or a flow moves by is no temperature.
        let (_, felt) = switch.felt(model);
        if settles(ready, history, k) || felt.kind != Kind::Temperature {
            continue;
        }
        let band_k = model.values.get(switch.on) - model.values.get(switch.off);
        let circuit = switch.circuit(model);
        let mut names = vec![model.circuits[circuit].name.clone()];
        names.extend(load.cools(circuit).iter().map(|&body| model.address(Id::Body(body))));
        for judged in judged.iter_mut().filter(|judged| judged.holds()) {
            let of = &judged.limit.of;
            let own = names.iter().any(|name| {
                of.strip_prefix(name.as_str()).is_some_and(|rest| rest.starts_with(['/', ':']))
            });
            let warm = matches!(judged.limit.kind, Kind::Temperature | Kind::TemperatureDifference);
            if own && warm && judged.margin().is_some_and(|margin| margin < band_k) {
                judged.turns.push(Turn::of(by(switch, band_k, has_rounds), band_k));
            }
        }
    }
}

fn by(switch: &Switch, band_k: f64, has_rounds: bool) -> Sentence {
    if !has_rounds {
        return say!(
            "where the switch of `{fan}` stands when a pull begins, which one round alone does not tell, by up to {band}: \
             more rounds tell",
            fan = &switch.name,
            band = Value::of(Kind::TemperatureDifference, band_k)
        );
    }
    say!(
        "where the switch of `{fan}` stands when a pull begins, which changes from round to round by up to {band}: more \
         rounds tell",
        fan = &switch.name,
        band = Value::of(Kind::TemperatureDifference, band_k)
    )
}

/// How many phases a round has, where two of them were followed.
fn two_rounds(ready: &Ready, history: &History) -> Option<usize> {
    Rounds::of(&ready.duty.phases).length.filter(|length| 2 * length <= history.phases.len())
}

/// Whether a switch never switched, or did so in the last round as in the one before.
fn settles(ready: &Ready, history: &History, switch: usize) -> bool {
    let of = history.switched.iter().filter(|switched| switched.switch == switch);
    let times_s: Vec<f64> = of.map(|switched| switched.at_s).collect();
    if times_s.is_empty() {
        return true;
    }
    let phases = &history.phases;
    let Some(length) = two_rounds(ready, history) else { return false };
    let starts_s = |k: usize| phases[phases.len() - k * length].from_s;
    let (before, last, end) = (starts_s(2), starts_s(1), phases[phases.len() - 1].to_s);
    let within = |from: f64, to: f64| {
        times_s.iter().filter(move |&&at| at >= from && at < to).map(move |at| at - from)
    };
    let (earlier, later) = (within(before, last), within(last, end));
    let near = |(a, b): (f64, f64)| (a - b).abs() <= SAME * (end - last);
    earlier.clone().count() == later.clone().count() && earlier.zip(later).all(near)
}
