//! Settling the flows of a whole model and reading results off it allocates nothing once it has been
//! done: studies and time steps call it thousands of times. The counter counts this thread's allocations only.

use crate::common::{demo_cases, phases, read};
use coolwright_models::cycle::Columns;
use coolwright_models::instance::Instance;
use coolwright_models::results::{Catalogue, Results, Selection};
use coolwright_models::simulate::Simulator;

const TWO_CIRCUITS: &str = include_str!("cases/two_circuits.ron");
const BUILT_CORES: &str = include_str!("cases/built_cores.ron");

#[test]
fn settling_a_model_again_allocates_nothing() {
    let mut cases = demo_cases();
    cases.push(("two circuits".to_owned(), TWO_CIRCUITS.to_owned()));
    cases.push(("built cores".to_owned(), BUILT_CORES.to_owned()));
    for (name, text) in cases {
        let ready = read(&text);
        let model = &ready.model;
        let mut simulator =
            Simulator::new(model, model.values.clone()).expect("the numbers are in range");
        let mut states = simulator.start();
        simulator.evaluate(&states).expect("flows come to rest");
        for warmer_by in [0.5, 5.0] {
            for state in &mut states {
                *state += warmer_by;
            }
            let count = allocation_counter::measure(|| {
                simulator.evaluate(&states).expect("flows come to rest");
            });
            assert_eq!(
                count.count_total, 0,
                "{name}: settling at temperatures {warmer_by} K higher allocated {} bytes",
                count.bytes_total
            );
        }
    }
}

/// Some results read alone are those of all results read together, to the last bit, whichever they are
/// and in whatever order they are asked for.
#[test]
fn reading_selected_results_again_allocates_nothing_and_changes_no_bit() {
    let mut cases = demo_cases();
    cases.push(("two circuits".to_owned(), TWO_CIRCUITS.to_owned()));
    cases.push(("built cores".to_owned(), BUILT_CORES.to_owned()));
    for (name, text) in cases {
        let ready = read(&text);
        let model = &ready.model;
        let mut simulator =
            Simulator::new(model, model.values.clone()).expect("the numbers are in range");
        let catalogue = Catalogue::of(&simulator);
        let all = catalogue.entries().len();
        let choices: [Vec<usize>; 5] = [
            (0..all).collect(),
            (0..all).rev().step_by(7).collect(),
            (3..all).step_by(31).collect(),
            vec![all - 1],
            vec![],
        ];
        let mut selections =
            choices.clone().map(|places| Selection::of(&simulator, &catalogue, &places));
        let mut states = simulator.start();
        for warmer_by in [0.0, 7.0] {
            for state in &mut states {
                *state += warmer_by;
            }
            simulator.evaluate(&states).expect("flows come to rest");
            let together = Results::read(&simulator, &states);
            for (selection, places) in selections.iter_mut().zip(&choices) {
                let mut row = vec![0.0; places.len()];
                let count = allocation_counter::measure(|| {
                    selection.read(&simulator, &states, &mut row);
                });
                assert_eq!(count.count_total, 0, "{name}: {} columns", places.len());
                for (&place, got) in places.iter().zip(&row) {
                    let want = together.values[place];
                    let what = &catalogue.entries()[place].address;
                    assert_eq!(got.to_bits(), want.to_bits(), "{name}: {what}: {got}, {want}");
                }
            }
        }
    }
}

#[test]
fn a_used_instance_solves_points_and_cycles_without_allocating() {
    let (mut points, mut cycles) = (0, 0);
    for (name, text) in demo_cases() {
        let ready = read(&text);
        let (model, values) = (&ready.model, &ready.model.values);
        let phases = phases(&ready);
        let mut warm = values.clone();
        warm.set(model.site.temperature, values.get(model.site.temperature) + 1.0);
        let mut instance = Instance::new(model);
        let near = instance.point(&warm, None).expect("an operating point").clone();
        let count = allocation_counter::measure(|| {
            instance.point(values, Some(near.start())).expect("an operating point");
            instance.point(values, None).expect("an operating point");
        });
        if near.held.is_empty() {
            let bytes = count.bytes_total;
            assert_eq!(count.count_total, 0, "{name}: a point allocated {bytes} bytes");
            points += 1;
        }
        if phases.is_empty() {
            continue;
        }
        instance.cycle(values, &phases, Columns::All, &mut |_| true).expect("a cycle");
        let count = allocation_counter::measure(|| {
            instance.cycle(values, &phases, Columns::All, &mut |_| true).expect("a cycle");
        });
        assert_eq!(count.count_total, 0, "{name}: a cycle allocated {} bytes", count.bytes_total);
        cycles += 1;
    }
    assert!(points > 0 && cycles > 0, "some demo has a steady state, some a cycle");
}
