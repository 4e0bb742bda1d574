//! Machines that take their time, and speeds that follow a temperature.

use coolwright_cases::lower::Ready;
use coolwright_models::cycle::{History, Phase};

use crate::common::{at, column, cycle, near, point, read, slots, solve};

const GOVERNED: &str = include_str!("cases/governed.ron");

/// The share on the line between two points, by hand.
fn on_line(felt: f64, [(from, low), (to, high)]: [(f64, f64); 2]) -> f64 {
    low + (high - low) * ((felt - from) / (to - from)).clamp(0.0, 1.0)
}

/// At rest every speed is the one that its line has at what it feels there: of a part's outlet, and of a gauge.
#[test]
fn at_rest_a_speed_lies_on_its_line() {
    let results = solve(GOVERNED);
    for (machine, felt, line) in [
        ("air_paths/front/main", "drive/loop/block:out", [(313.15, 0.2), (343.15, 0.9)]),
        ("drive/loop/first", "gauges/inverter:reading", [(308.15, 0.4), (328.15, 1.0)]),
        ("drive/loop/second", "drive/loop/core:out", [(313.15, 1.0), (363.15, 0.6)]),
    ] {
        let want = on_line(at(&results, felt), line);
        let share = at(&results, &format!("{machine}:speed"));
        near(machine, share, want, 1e-6);
        assert!(share > line[0].1.min(line[1].1) + 0.01 && share < 1.0, "{machine} at {share}");
    }
    near("no line", at(&results, "air_paths/front/other:speed"), 1.0, 1e-9);
}

/// The same numbers told to the machines that follow nothing make the same point.
#[test]
fn a_point_with_governed_speeds_is_that_with_the_speeds_told() {
    let governed = solve(GOVERNED);
    let speed = |machine: &str| at(&governed, &format!("{machine}:speed"));
    let mut text = String::new();
    for piece in GOVERNED.split("follows: Follows(") {
        // What it follows ends with the list of its shares.
        let rest = if text.is_empty() { piece } else { piece.split_once(")])").expect("a list").1 };
        text.push_str(rest);
    }
    let ready = read(&text);
    let mut values = ready.model.values.clone();
    for machine in ["air_paths/front/main", "drive/loop/first", "drive/loop/second"] {
        let slot = slots(&ready, &format!("{machine}:speed"))[0];
        ready.model.write(&mut values, &[(slot, speed(machine))]);
    }
    let told = point(&ready.model, &values).results;
    for address in ["drive/loop:flow", "drive/loop/block:out", "air_paths/front:mass_flow"] {
        let want = at(&told, address);
        near(address, at(&governed, address), want, 1e-6 * want.abs());
    }
}

fn course(ready: &Ready, phases: &[(f64, &[(&str, f64)])]) -> History {
    let phase = |(time_s, sets): &(f64, &[(&str, f64)])| Phase {
        name: "phase".to_owned(),
        time_s: *time_s,
        sets: sets.iter().map(|(address, to)| (slots(ready, address)[0], *to)).collect(),
        ..Phase::default()
    };
    let phases: Vec<Phase> = phases.iter().map(phase).collect();
    cycle(&ready.model, &ready.model.values, &phases)
}

/// ds/dt = x/(T √(1 + x²)) with x = (s₁ − s)/w has the closed form √(1 + x²) − asinh(1/x) = √(1 + x₀²) − asinh(1/x₀) −
/// t/(w T): a straight line that ends softly. From rest to full speed takes T and a few hundredths.
#[test]
fn a_ramp_is_its_closed_form() {
    let text =
        GOVERNED.replace("free_flow: \"1800 m3/h\"", "free_flow: \"1800 m3/h\", speed: \"60 %\"");
    let ready = read(&text);
    let other = "air_paths/front/other:speed";
    let history = course(&ready, &[(5.0, &[(other, 0.0)]), (8.0, &[]), (4.0, &[(other, 0.3)])]);
    let speeds = column(&history, other);
    let form = |x: f64| (1.0 + x * x).sqrt() - (1.0 / x).asinh();
    let (width, ramp) = (0.02, 2.0);
    let mut seen = 0;
    for (time, speed) in history.times_s.iter().zip(&speeds) {
        let (begin, from, to) = if *time < 5.0 {
            near("at rest", *speed, 0.0, 1e-9);
            continue;
        } else if *time < 13.0 {
            (5.0, 0.0, 0.6)
        } else {
            (13.0, 0.6, 0.3)
        };
        let way: f64 = to - from;
        let left = (to - speed) / (way.signum() * width);
        if left < 0.05 || time - begin < 1e-12 {
            continue;
        }
        seen += 1;
        let gone = (form(way.abs() / width) - form(left)) * width * ramp;
        near(&format!("time gone at {time} s"), gone, time - begin, 0.02);
    }
    assert!(seen > 10, "{seen} rows on the way");
}

/// A lagging gauge makes what follows it late: the speed swings over, and comes to the same rest.
#[test]
fn a_cycle_comes_to_the_point_and_begins_where_machines_rest() {
    let ready = read(GOVERNED);
    let history = course(&ready, &[(1800.0, &[])]);
    let main = column(&history, "air_paths/front/main:speed");
    near("cold, by its line", main[0], 0.2, 1e-9);
    near("the fan without a line", column(&history, "air_paths/front/other:speed")[0], 1.0, 1e-9);
    let rest = solve(GOVERNED);
    for address in ["air_paths/front/main:speed", "drive/loop/first:speed"] {
        let end = *column(&history, address).last().expect("an end");
        near(address, end, at(&rest, address), 2e-4);
    }
    let out = *column(&history, "drive/loop/block:out").last().expect("an end");
    near("block", out, at(&rest, "drive/loop/block:out"), 0.01);
}

/// A machine with a ramp comes to rest and stands: its speed is nothing, not next to nothing, whatever its ramp, and the air
/// and the coolant behind it are followed on; one that begins to turn as heat comes in is not told to stand.
#[test]
fn a_machine_with_a_ramp_stands_after_it_was_stopped() {
    let (fan, first) = ("air_paths/front/other:speed", "drive/loop/first:speed");
    for ramp in ["0.1 s", "0.7 s", "2.5 s", "4 s", "10 s", "30 s"] {
        let text = GOVERNED.replace("ramp: \"2 s\"", &format!("ramp: \"{ramp}\""));
        let ready =
            read(&text.replace("shares: [(\"40 °C\", \"20 %\")", "shares: [(\"40 °C\", \"0 %\")"));
        let stop: &[(&str, f64)] = &[(fan, 0.0), ("air_paths/front/main:speed", 0.0), (first, 0.0)];
        let history = course(&ready, &[(30.0, &[]), (90.0, stop), (30.0, &[])]);
        let stopped = &history.phases[1].rows;
        let rows = [fan, first].map(|of| column(&history, of)[stopped.end - 1]);
        assert!(rows.iter().all(|speed| *speed == 0.0), "{ramp}: {rows:?}");
        assert!(*column(&history, fan).last().expect("an end") > 0.5, "{ramp}: it turns again");
    }
}
