//! Fronts on their way through hoses: how late they come, how sharp they still are, and where they are when the flow
//! stands still or turns round.

use coolwright_cases::lower::Ready;
use coolwright_models::cycle::{History, Phase, Program, follow};
use coolwright_models::inputs::Track;
use coolwright_models::simulate::Simulator;
use coolwright_models::slots::Slot;
use statrs::function::gamma::gamma_lr;

use crate::common::{column, near, read, slots};

/// Water through one hose from an open end that feeds it to one that drains it.
fn hose(length: &str, feed: &str) -> Ready {
    read(&format!(
        "Case(site: Site(air: \"20 °C\"), circuits: {{ \"c\": Circuit(coolant: Water, start: \"40 °C\", bore: \"25 \
         mm\", runs: {{ \"run\": Run(from: \"in\", to: \"out\", parts: {{ \"hose\": Hose(length: \"{length}\", \
         roughness: \"0.0001 mm\") }}) }}, junctions: {{ \"in\": Open(flow: \"{feed}\", temperature: \"40 °C\"), \
         \"out\": Open(pressure: \"100 kPa\", temperature: \"40 °C\") }}) }}, gauges: {{ \"middle\": Gauge(reads: Temperature, at: \"c/run/hose\", along: \"0.3 m\") }}, \
         duty: Duty(road_speed: \"0 km/h\"))"
    ))
}

/// The feed gets warmer by ten kelvins at once, and runs as the tracks say.
fn stepped(ready: &Ready, tracks: &[(Slot, Track)], time_s: f64) -> History {
    let mut all = vec![(slots(ready, "c/in:temperature")[0], Track::constant(START + STEP))];
    all.extend_from_slice(tracks);
    let phases = vec![Phase { name: "step".to_owned(), time_s, ..Phase::default() }];
    let program = Program { phases, tracks: all, watches: Vec::new() };
    follow(&ready.model, &ready.model.values, &program, &mut |_| true).expect("a cycle")
}

/// When a rising column first reaches a value, s, on straight lines between rows.
fn reaches(history: &History, column: &[f64], value: f64) -> f64 {
    let after = column.iter().position(|now| *now >= value).expect("it gets there");
    let [before, now] = [column[after - 1], column[after]];
    let [from, to] = [history.times_s[after - 1], history.times_s[after]];
    from + (to - from) * (value - before) / (now - before)
}

const START: f64 = 313.15;
const STEP: f64 = 10.0;

/// By Taylor's axial dispersion in turbulent pipe flow, D = 10.1 r u √(f/8) (Proc. R. Soc. A 223, 1954, 446; from
/// memory), a front spreads over a way L in time by σ = √(2 D L/u³): between 15.87 and 84.13 % lie 2 σ. At Re 50 000 a
/// smooth bore has f = 0.0209 by Colebrook and White, which Blasius' 0.316 Re^−¼ = 0.0211 confirms. At the mean
/// delay L/u half has come, but for the little that dispersion skews.
#[test]
fn a_front_comes_as_late_and_as_sharp_as_turbulent_flow_leaves_it() {
    // Water at 40 °C: ρ 992.2 kg/m³, μ 0.653 mPa s (IAPWS). Re = 4 m/(π D μ) = 50 000 with 0.641 kg/s.
    let (flow, density, bore) = (0.641 / 992.2, 992.2, 0.025_f64);
    let velocity = flow / (std::f64::consts::FRAC_PI_4 * bore * bore);
    let dispersion = 10.1 * bore / 2.0 * velocity * (0.0209_f64 / 8.0).sqrt();
    for (text, length) in [("3 m", 3.0), ("10 m", 10.0)] {
        let ready = hose(text, &format!("{} kg/s", flow * density));
        let delay = length / velocity;
        let history = stepped(&ready, &[], 2.0 * delay);
        let leaving = column(&history, "c/run/hose:out");
        let at = |share: f64| reaches(&history, &leaving, START + share * STEP);
        let spread = (2.0 * dispersion * length / velocity.powi(3)).sqrt();
        near("half way", at(0.5) / delay, 1.0, 0.01);
        let sharp = (at(0.8413) - at(0.1587)) / (2.0 * spread);
        near(text, sharp, 1.0, 0.03);
    }
}

/// As many stirred cells in a row answer a step with the lower incomplete gamma function (by hand, three cells after
/// the mean delay have come to 0.57681); the junction before them is one more, smaller, cell: what it lets through by
/// and by is summed over.
#[test]
fn a_row_of_stirred_cells_answers_a_step_as_its_closed_form() {
    near("three cells", gamma_lr(3.0, 3.0), 0.57681, 5e-6);
    let ready = hose("0.6 m", "0.5 kg/s");
    let laid = Simulator::new(&ready.model, ready.model.values.clone()).expect("it is set up");
    let layout = &laid.setup.layout;
    let (first, count) = (layout.parts[0].first, layout.parts[0].count);
    assert_eq!(count, 48);
    let kept_s = |state: usize| laid.setup.prepared.masses[state] / 0.5;
    let (cell_s, before_s) = (kept_s(first), kept_s(layout.junctions[0]));
    let history = stepped(&ready, &[], 3.0);
    let leaving = column(&history, "c/run/hose:out");
    let row_of_cells = |at: f64| if at > 0.0 { gamma_lr(48.0, at / cell_s) } else { 0.0 };
    for (at, shown) in history.times_s.iter().zip(&leaving) {
        // Equal shares of what the junction lets through, each at the middle of its time.
        let late = |k: i32| -before_s * ((f64::from(k) + 0.5) / 200.0).ln();
        let share = (0..200).map(|k| row_of_cells(at - late(k))).sum::<f64>() / 200.0;
        near(&format!("at {at} s"), (shown - START) / STEP, share, 2e-3);
    }
}

/// While the flow stands still the front does too; turned round, what came in goes out again where it came in.
#[test]
fn a_front_waits_in_a_flow_that_stands_still_and_goes_back_with_one_that_turns() {
    let ready = hose("3 m", "0.5 kg/s");
    let feed = slots(&ready, "c/in:flow")[0];
    let full = ready.model.values.get(feed);
    // Until the front is 0.3 m in, and until all that came in has gone out.
    let filled = |way: f64| 992.2 * way * std::f64::consts::FRAC_PI_4 * 0.025_f64.powi(2) / 0.5;
    let (stop, turn) = (filled(0.3), filled(0.3) + 20.0);
    let course = Track::steps(&[[0.0, full], [stop, 0.0], [turn, -full]]);
    let history = stepped(&ready, &[(feed, course)], turn + filled(3.0));
    let inside = column(&history, "c/run/hose:in");
    let middle = column(&history, "gauges/middle:reading");
    let row = |time: f64| history.times_s.iter().rposition(|at| *at <= time).expect("a row");
    let [stopped, waited] = [row(stop), row(turn - 1e-6)].map(|row| middle[row]);
    assert!(
        (START + 0.2 * STEP..START + 0.8 * STEP).contains(&stopped),
        "the front is there: {stopped} K"
    );
    near("it waits", waited, stopped, 1e-5);
    near("what comes back at once", inside[inside.len() - 1], START, 0.05);
    let stored: f64 = history.phases.iter().map(|phase| phase.stored.sum()).sum();
    assert!(stored.abs() < 5.0, "{stored} J are left");
    assert!(history.phases.iter().all(|phase| phase.open_j().abs() < 1.0));
}
