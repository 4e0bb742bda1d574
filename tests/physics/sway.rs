//! What small changes do to a duty cycle, beside cycles that are followed anew with each of them.

use coolwright_cases::lower::Ready;
use coolwright_models::cycle::{Columns, Phase, Program, Rows};
use coolwright_models::instance::Instance;
use coolwright_models::results::Selection;
use coolwright_models::slots::Values;
use coolwright_models::sway::{Course, Sway};

use crate::common::{read, with};

/// A case, by its path.
fn case(path: &str) -> Ready {
    let path = format!("{}/{path}", env!("CARGO_MANIFEST_DIR"));
    read(&std::fs::read_to_string(path).expect("a case"))
}

fn program(ready: &Ready) -> Program {
    let of = |phase: &coolwright_cases::lower::LoweredPhase| Phase {
        name: phase.name.clone(),
        time_s: phase.time_s,
        sets: phase.sets.clone(),
        ramp_s: phase.ramp_s,
        refills: phase.refills.clone(),
    };
    Program { phases: ready.duty.phases.iter().map(of).collect(), ..Program::default() }
}

/// The most that a result reaches when the cycle is followed with some numbers.
fn followed(ready: &Ready, values: &Values, of: &str) -> f64 {
    let mut instance = Instance::new(&ready.model);
    let place = instance.catalogue(values).expect("a catalogue").find(of).expect("a result");
    let columns = [place];
    let phases = program(ready).phases;
    let history = instance.cycle(values, &phases, Columns::Only(&columns), &mut |_| true);
    let rows = &history.expect("a cycle").rows;
    rows.iter().fold(f64::NEG_INFINITY, |most, row| most.max(row[0]))
}

/// The same, with laws that are off by a share of what they may be off by at full flow.
fn most(rows: &Rows) -> f64 {
    rows.iter().fold(f64::NEG_INFINITY, |most, row| most.max(row[0]))
}

/// Small changes of numbers that act in every way: heat, stores, conductances, falls, start, air.
#[test]
fn the_peaks_of_a_changed_cycle_are_those_of_one_followed_anew() {
    let cases = [
        (
            "tests/physics/cases/one_loop.ron",
            "coolers/charge_cooler:metal",
            vec![
                ("coolers/charge_cooler:share", 0.084),
                ("coolers/charge_cooler:metal", 6500.0),
                ("cores/radiator:metal", 8000.0),
                ("charge:start", 306.15),
                ("air_paths/front/fan:speed", 0.8),
            ],
        ),
        (
            "cases/sled_tractor.ron",
            "engines/engine:metal",
            vec![("engines/engine:metal", 60e3), ("engine:start", 335.15)],
        ),
    ];
    for (name, of, changes) in cases {
        let ready = case(name);
        let values = &ready.model.values;
        let program = program(&ready);
        let mut instance = Instance::new(&ready.model);
        instance.keep_moments();
        instance.follow(values, &program, Columns::Only(&[]), &mut |_| true).expect("a cycle");
        let moments = instance.moments().expect("they are kept").clone();
        let course = Course::of(&instance, values, &program, &moments).expect("a course");
        let mut other = Instance::new(&ready.model);
        let catalogue = other.catalogue(values).expect("a catalogue");
        let place = catalogue.find(of).expect("a result");
        let simulator = other.simulator().expect("it has been made");
        let mut selection = Selection::of(simulator, &catalogue, &[place]);
        let mut sway = |values: &Values| {
            let sway = Sway::Numbers(values);
            most(&course.swayed(&mut other, &sway, (&mut selection, &|_| true)).expect("rows"))
        };
        let base = [followed(&ready, values, of), sway(values)];
        assert!((base[0] - base[1]).abs() < 0.05, "{name}: {base:?}");
        for (address, value) in changes {
            let changed = with(&ready, &[(address, value)]);
            let full = followed(&ready, &changed, of) - base[0];
            let first = sway(&changed) - base[1];
            assert!(full.abs() > 0.05, "{name} {address}: {full} K is no change");
            assert!(
                (first - full).abs() < 0.1 * full.abs() + 0.02,
                "{name} {address}: {first} for {full}"
            );
        }
    }
}
