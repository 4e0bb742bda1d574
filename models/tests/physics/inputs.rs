//! Tracks over time, inputs by name, and what name means which machine.

use coolwright_models::ids::Id;
use coolwright_models::inputs::{Command, Inputs, Machine, MachineKind, Ramp, Track};
use coolwright_models::slots::Values;

/// The same to the last bit.
fn same<const N: usize>(got: [f64; N], want: [f64; N]) {
    assert_eq!(got.map(f64::to_bits), want.map(f64::to_bits), "{got:?}, want {want:?}");
}

#[test]
fn a_table_goes_straight_between_its_points_and_stays_beyond_them() {
    let table = Track::table(vec![[1.0, 10.0], [3.0, 20.0], [3.0, 5.0], [4.0, 6.0]]);
    let want = [
        (0.0, [10.0, 10.0]),
        (1.0, [10.0, 10.0]),
        (1.5, [12.5, 12.5]),
        (3.0, [20.0, 5.0]),
        (3.5, [5.5, 5.5]),
        (4.0, [6.0, 6.0]),
        (9.0, [6.0, 6.0]),
    ];
    for (time, around) in want {
        let got = table.around(time);
        assert!((got[0] - around[0]).abs() + (got[1] - around[1]).abs() < 1e-12, "{time}: {got:?}");
    }
    assert_eq!(table.corners().collect::<Vec<_>>(), [1.0, 3.0, 3.0, 4.0]);
}

#[test]
fn a_step_has_its_old_value_before_and_its_new_one_after() {
    let steps = Track::steps(&[[0.0, 0.1], [0.3, 0.7], [0.9, 0.7]]);
    same(steps.around(0.3), [0.1, 0.7]);
    same(steps.around(0.6), [0.7, 0.7]);
    same(steps.around(0.9), [0.7, 0.7]);
    same(Track::constant(4.0).around(7.0), [4.0, 4.0]);
}

#[test]
fn a_ramp_ends_at_its_ends() {
    let mut values = Values::default();
    let ramp = Ramp { slot: values.add(0.0), from: [2.0, 0.1], to: [5.0, 0.3] };
    same([ramp.at(1.0), ramp.at(2.0), ramp.at(5.0), ramp.at(6.0)], [0.1, 0.1, 0.3, 0.3]);
    assert!((ramp.at(3.5) - 0.2).abs() < 1e-15);
}

#[test]
fn inputs_are_found_by_name() {
    let mut values = Values::default();
    let mut inputs = Inputs::default();
    inputs.add("wind", values.add(3.0));
    inputs.add("power", values.add(2e5));
    same([inputs.value(&values, "power"), inputs.value(&values, "boost")], [2e5, 0.0]);
    assert!(inputs.slot("boost").is_none());
}

#[test]
fn one_of_several_machines_answers_to_their_common_name() {
    let mut values = Values::default();
    let [speed, own, instead, share] = [1.0; 4].map(|value| values.add(value));
    let command = Command { own, instead, share, run_on: None };
    let (name, kind) = ("air_paths/front/fan/2".into(), MachineKind::Fan);
    let fan = Machine { name, id: Id::Fan(0, 1), kind, speed, command };
    for (name, means) in [
        ("air_paths/front/fan/2", true),
        ("air_paths/front/fan", true),
        ("air_paths/front/fa", false),
        ("air_paths/front/fan/", false),
        ("air_paths/front/fan/1", false),
        ("air_paths/front", false),
    ] {
        assert_eq!(fan.answers_to(name), means, "{name}");
    }
}

/// A failure stays, a phase scales what a machine is set to: own, instead, share and what follows.
#[test]
fn a_phase_scales_what_a_machine_is_set_to() {
    for [own, instead, share, speed] in [
        [1.0, Command::NOT_SET, 1.0, 1.0],
        [0.6, Command::NOT_SET, 1.0, 0.6],
        [0.6, Command::NOT_SET, 0.5, 0.3],
        [0.6, 0.8, 1.0, 0.8],
        [0.6, 0.8, 0.5, 0.4],
        [0.6, 0.0, 1.0, 0.0],
        [0.0, Command::NOT_SET, 1.0, 0.0],
        [0.0, 0.8, 1.0, 0.0],
    ] {
        let mut values = Values::default();
        let [own, instead, share] = [own, instead, share].map(|value| values.add(value));
        same([Command { own, instead, share, run_on: None }.speed(&values)], [speed]);
    }
}
