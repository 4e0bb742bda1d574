//! What drives bends at its corners: the model is followed over them as if they were not there.

use coolwright_models::cycle::{Columns, Phase, Program};
use coolwright_models::inputs::Track;
use coolwright_models::instance::Instance;

use crate::common::{read, slots};

const TENDER: &str = include_str!("../../../cases/learn/tender.ron");

/// Half an hour of the tender with power that steps within seconds, over engine speed and air that go along slowly all
/// the while, as a log has them: corners a second apart, then minutes without one. As closely as a fit follows it, it
/// ends where the closest way ends, and steps are few.
#[test]
fn corners_of_what_drives_cost_few_steps_and_no_answer() {
    let ready = read(TENDER);
    let power = [
        [0.0, 0.04],
        [60.0, 0.04],
        [63.0, 0.5],
        [360.0, 0.5],
        [363.0, 1.0],
        [660.0, 1.0],
        [663.0, 0.04],
        [900.0, 0.04],
        [903.0, 0.75],
        [1200.0, 0.75],
        [1203.0, 0.04],
        [1350.0, 0.04],
        [1353.0, 0.9],
        [1354.0, 1.0],
        [1574.0, 1.003],
        [1620.0, 1.0],
        [1623.0, 0.04],
        [1800.0, 0.04],
    ];
    let drives = [
        ("duty:point", power.to_vec()),
        ("duty:engine_speed", vec![[0.0, 261.8], [1800.0, 261.9]]),
        ("site:air", vec![[0.0, 303.1], [1800.0, 303.2]]),
    ];
    let tracks = drives.iter().flat_map(|(address, points)| {
        let track = Track::table(points.clone());
        slots(&ready, address).iter().map(move |slot| (*slot, track.clone()))
    });
    let phase = Phase { name: "log".to_owned(), time_s: 1800.0, ..Phase::default() };
    let program = Program { phases: vec![phase], tracks: tracks.collect(), watches: Vec::new() };
    let starts = [("engine:start", 304.15), ("charge:start", 304.15)];
    let values = crate::common::with(&ready, &starts);
    let followed = |mut instance: Instance<'_>| {
        let history = instance.follow(&values, &program, Columns::Only(&[]), &mut |_| true);
        let history = history.unwrap_or_else(|error| panic!("{error:?}"));
        (history.states.clone(), history.statistics)
    };
    let (coarse, cost) = followed(Instance::new(&ready.model).coarse());
    let (close, _) = followed(Instance::new(&ready.model));
    for (state, (a, b)) in coarse.iter().zip(&close).enumerate() {
        assert!((a - b).abs() < 0.1, "state {state}: {a} and {b}");
    }
    assert!(cost.steps < 40 * power.len(), "{cost:?}");
    assert!(cost.failed <= power.len(), "{cost:?}");
}
