//! Numbers that go over time: a table is what many short phases come to, a step is a phase.

use coolwright_models::cycle::{History, Phase, Program, follow};
use coolwright_models::inputs::{POWER, ROAD_SPEED, Track};
use coolwright_models::slots::Slot;

use super::case;
use crate::common::{cycle, read};

/// Power and road speed of a case, and the temperature of its site.
fn driven(model: &coolwright_models::model::Model) -> [Slot; 3] {
    let input = |name| model.inputs.slot(name).expect("an input of every case");
    [input(POWER), input(ROAD_SPEED), model.site.temperature]
}

fn far(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}

fn bits(history: &History) -> Vec<u64> {
    let rows = history.rows.iter().flatten().chain(&history.times_s).chain(&history.states);
    rows.map(|number| number.to_bits()).collect()
}

/// A phase that sets nothing.
fn run(time_s: f64) -> Phase {
    Phase { name: "run".to_owned(), time_s, ..Phase::default() }
}

#[test]
fn a_step_of_a_track_is_a_phase_bit_for_bit() {
    let ready = read(case("two_circuits"));
    let (model, values) = (&ready.model, &ready.model.values);
    let [power, speed, _] = driven(model);
    let phase = |name: &str, time_s, sets: &[(Slot, f64)]| Phase {
        name: name.to_owned(),
        time_s,
        sets: sets.to_vec(),
        ..Phase::default()
    };
    let phases = [
        phase("pull", 20.1, &[(power, 180e3)]),
        phase("roll", 30.7, &[(speed, 15.0)]),
        phase("rest", 40.0, &[(power, 10e3), (speed, 2.0)]),
    ];
    let full = values.get(power);
    let program = Program {
        phases: phases.iter().map(|p| Phase { sets: Vec::new(), ..p.clone() }).collect(),
        tracks: vec![
            (power, Track::steps(&[[0.0, 180e3], [20.1, full], [20.1 + 30.7, 10e3]])),
            (speed, Track::steps(&[[0.0, values.get(speed)], [20.1, 15.0], [20.1 + 30.7, 2.0]])),
        ],
        watches: Vec::new(),
    };
    let stepped = follow(model, values, &program, &mut |_| true).expect("a cycle");
    let phased = cycle(model, values, &phases);
    assert!(stepped.rows.len() > 20);
    assert_eq!(bits(&stepped), bits(&phased));
}

/// What a phase sets goes to where it is along straight lines, and what it no longer sets goes back: as tracks told by hand.
#[test]
fn a_ramp_of_a_phase_is_a_track() {
    let ready = read(case("two_circuits"));
    let (model, values) = (&ready.model, &ready.model.values);
    let [power, speed, _] = driven(model);
    let phase = |name: &str, time_s, ramp_s, sets: &[(Slot, f64)]| Phase {
        name: name.to_owned(),
        time_s,
        ramp_s,
        sets: sets.to_vec(),
        ..Phase::default()
    };
    // The first has nothing before it.
    let phases = [
        phase("pull", 20.0, 5.0, &[(power, 180e3)]),
        phase("roll", 30.0, 4.0, &[(power, 60e3), (speed, 15.0)]),
        phase("rest", 40.0, 10.0, &[(power, 10e3)]),
    ];
    let still = values.get(speed);
    let program = Program {
        phases: phases.iter().map(|p| run(p.time_s)).collect(),
        tracks: vec![
            (power, Track::table(vec![[20.0, 180e3], [24.0, 60e3], [50.0, 60e3], [60.0, 10e3]])),
            (speed, Track::table(vec![[20.0, still], [24.0, 15.0], [50.0, 15.0], [60.0, still]])),
        ],
        watches: Vec::new(),
    };
    let told = follow(model, values, &program, &mut |_| true).expect("a cycle");
    let ramped = cycle(model, values, &phases);
    assert!(ramped.rows.len() > 20);
    assert_eq!(bits(&ramped).len(), bits(&told).len());
    let most = far(&told.states, &ramped.states);
    assert!(most < 1e-9, "{most} K apart");
    let at_once: Vec<Phase> =
        phases.iter().map(|phase| Phase { ramp_s: 0.0, ..phase.clone() }).collect();
    let moved = far(&cycle(model, values, &at_once).states, &ramped.states);
    assert!(moved > 0.01, "ramps matter: {moved} K");
}

#[test]
fn a_table_is_what_many_short_phases_come_to() {
    let ready = read(case("two_circuits"));
    let (model, values) = (&ready.model, &ready.model.values);
    let [power, speed, site] = driven(model);
    let tables = [
        (power, Track::table(vec![[0.0, 220e3], [15.0, 40e3], [40.0, 120e3]])),
        (speed, Track::table(vec![[0.0, 0.0], [20.0, 25.0]])),
        (site, Track::table(vec![[0.0, 303.15], [40.0, 293.15]])),
    ];
    let whole = Program { phases: vec![run(40.0)], tracks: tables.to_vec(), watches: Vec::new() };
    let smooth = follow(model, values, &whole, &mut |_| true).expect("a cycle");
    let short = |count: u32| {
        let time_s = 40.0 / f64::from(count);
        let phases: Vec<Phase> = (0..count)
            .map(|k| {
                let middle = time_s * (f64::from(k) + 0.5);
                let sets = tables.iter().map(|(slot, track)| (*slot, track.around(middle)[0]));
                Phase { name: k.to_string(), time_s, sets: sets.collect(), ..Phase::default() }
            })
            .collect();
        cycle(model, values, &phases).states
    };
    let constant = cycle(
        model,
        values,
        &[Phase {
            name: "run".to_owned(),
            time_s: 40.0,
            sets: vec![(power, 220e3)],
            ..Phase::default()
        }],
    );
    let moved = far(&smooth.states, &constant.states);
    assert!(moved > 1.0, "the tables matter: {moved} K");
    let coarse = far(&smooth.states, &short(20));
    let fine = far(&smooth.states, &short(160));
    assert!(fine < 0.01 && fine < 0.3 * coarse, "{fine} K with short phases, {coarse} K with long");
    for corner in [15.0_f64, 20.0] {
        assert!(
            smooth.times_s.iter().any(|t| t.total_cmp(&corner).is_eq()),
            "a step ends at {corner}"
        );
    }
    let phase = &smooth.phases[0];
    let moved: f64 = phase.border.bodies.iter().sum();
    let mean = 15.0 * 130e3 + 25.0 * 80e3;
    // 30 % into the engine, 6 % into the charge cooler, 6 kW of oil.
    let heat = 0.36 * mean + 6e3 * 40.0;
    assert!((moved - heat).abs() < 1e-4 * heat, "heat in {moved} J, by hand {heat} J");
    assert!(phase.open_j().abs() < 1e-3 * heat, "the audit leaves {} J open", phase.open_j());
}

#[test]
fn a_step_within_a_phase_shows_both_of_its_sides() {
    let ready = read(case("two_circuits"));
    let (model, values) = (&ready.model, &ready.model.values);
    let [power, ..] = driven(model);
    let program = Program {
        phases: vec![run(20.0)],
        tracks: vec![(power, Track::steps(&[[0.0, 200e3], [8.0, 20e3]]))],
        watches: Vec::new(),
    };
    let history = follow(model, values, &program, &mut |_| true).expect("a cycle");
    let at = |t: &&f64| t.total_cmp(&8.0).is_eq();
    assert_eq!(history.times_s.iter().filter(at).count(), 2);
    let phase = |name: &str, time_s, power_w| Phase {
        name: name.to_owned(),
        time_s,
        sets: vec![(power, power_w)],
        ..Phase::default()
    };
    let phased = cycle(model, values, &[phase("pull", 8.0, 200e3), phase("rest", 12.0, 20e3)]);
    let apart = far(&history.states, &phased.states);
    assert!(apart < 5e-3, "{apart} K apart");
}
