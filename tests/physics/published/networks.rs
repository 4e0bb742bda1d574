//! Looped and branched networks of textbooks and exercises.
//!
//! `printed_networks.csv` has the sources and the printed answers, `published_networks.csv` what
//! the libraries `fluids` and scipy make of the same networks: with the law of the author, which gives the
//! print, and with the law of the program, which the program has to meet closely.

use std::collections::BTreeMap;

use coolwright_models::parts::GRAVITY;
use coolwright_models::results::Results;

use crate::common::printed::Printed;
use crate::common::{at, near, reference_case, solve};

/// Metres in a foot, and m³ in a cubic foot.
const FOOT: f64 = 0.3048;
const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;

/// The conventional water column, Pa/m, in which the cases write heads.
const COLUMN: f64 = 9806.65;

/// Density of water of 20.827 °C, kg/m³ (IAPWS-97).
const DENSITY: f64 = 998.03;

/// What the same law gives elsewhere: nothing but the residuals of two solvers lie between.
const CLOSE: f64 = 1e-7;

/// The same where water's viscosity enters: it is off the printed by up to 0.05 %, friction by a
/// fifth of that at most, and flow by half of it.
const WATER: f64 = 1e-4;

/// The answers of the script: with the author's law and with the program's.
struct Networks {
    printed: Printed,
    elsewhere: BTreeMap<String, [f64; 2]>,
}

impl Networks {
    fn read() -> Self {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/published_networks.csv");
        let text = std::fs::read_to_string(path).expect("the file of the script");
        let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
        let elsewhere = rows.map(|row| {
            let cells: Vec<&str> = row.split(',').collect();
            let number = |k: usize| cells[k].parse().expect("a number");
            (cells[0].to_owned(), [number(1), number(2)])
        });
        Self { printed: Printed::read("printed_networks.csv"), elsewhere: elsewhere.collect() }
    }

    /// A result against the independent solution with the program's law, within a share of `of`.
    #[track_caller]
    fn solved(&self, answer: &str, got: f64, of: f64, share: f64) {
        near(answer, got, self.elsewhere[answer][1], share * of);
    }

    /// The same, and against the print: as far off as its digits and the author's law put it.
    #[track_caller]
    fn holds(&self, answer: &str, got: f64, of: f64, share: f64) {
        self.solved(answer, got, of, share);
        let [author, program] = self.elsewhere[answer];
        let laws = (program - author).abs();
        let tolerance = self.printed.tolerance(answer) + laws + share * of;
        near(answer, got, self.printed.number(answer), tolerance);
    }
}

fn flow(results: &Results, run: &str, unit: f64) -> f64 {
    at(results, &format!("{run}:flow")) / unit
}

/// (This holds the data, not the program: the printed inputs give the printed answers, the wrong
/// ones with their mistake.)
#[test]
fn the_printed_networks_follow_from_their_authors_laws() {
    let networks = Networks::read();
    for (answer, [author, _]) in &networks.elsewhere {
        let unprinted = ["seven pipes 1", "seven pipes 5", "seven pipes 6", "seven pipes 7"];
        let printed = !unprinted.contains(&answer.as_str())
            && (!answer.starts_with("thirteen")
                || ["thirteen a-b", "thirteen head a-b", "thirteen reynolds a-b"]
                    .contains(&answer.as_str()));
        if printed {
            networks.printed.holds(answer, *author);
        }
    }
    networks.printed.all_used();
}

#[test]
fn loops_of_constant_friction_share_the_flow_as_printed() {
    let networks = Networks::read();
    let results = solve(&reference_case("loops_of_constant_friction"));
    let hourly = |run: &str| flow(&results, run, 1.0 / 3600.0);
    let head = |junction: &str| at(&results, &format!("{junction}:pressure")) / COLUMN;
    for (answer, run) in [
        ("triangle 0", "triangle/p0"),
        ("triangle 2", "triangle/p2"),
        ("rectangle 0", "rectangle/p0"),
        ("rectangle 1", "rectangle/p1"),
        ("rectangle 2", "rectangle/p2"),
    ] {
        near(answer, hourly(run), networks.printed.number(answer), CLOSE * 400.0);
        networks.solved(answer, hourly(run), 400.0, CLOSE);
    }
    networks.solved("triangle head C", head("triangle/C"), 40.0, CLOSE);
    near("C", head("triangle/C"), networks.printed.number("triangle head C"), CLOSE * 40.0);
    networks.solved("rectangle head C", head("rectangle/C"), 40.0, CLOSE);
    near("C", head("rectangle/C"), networks.printed.number("rectangle head C"), CLOSE * 40.0);
}

/// The print counts the loss of pipe 1, which runs backwards, with the wrong sign.
#[test]
fn two_loops_with_a_pipe_that_runs_backwards_are_solved_better_than_printed() {
    let networks = Networks::read();
    let results = solve(&reference_case("loops_of_constant_friction"));
    for pipe in [0, 1, 2, 4] {
        let answer = format!("two loops {pipe}");
        let got = flow(&results, &format!("two_loops/p{pipe}"), 1.0 / 3600.0);
        networks.solved(&answer, got, 400.0, CLOSE);
        assert!((got - networks.printed.number(&answer)).abs() > 0.1, "{answer}: the mistake");
    }
    let head = at(&results, "two_loops/C:pressure") / COLUMN;
    networks.solved("two loops head C", head, 40.0, CLOSE);
}

#[test]
fn seven_pipes_with_an_exchanger_and_with_pumps_carry_the_printed_flows() {
    let networks = Networks::read();
    let results = solve(&reference_case("seven_pipes_and_devices"));
    for (circuit, largest) in
        [("plain", 2.0), ("exchanger", 2.0), ("pump", 2.0), ("large_pump", 8.0)]
    {
        for pipe in [1, 2, 3, 5, 7] {
            let got = flow(&results, &format!("{circuit}/p{pipe}"), CUBIC_FOOT);
            let answer = format!("{} Q{pipe}", circuit.replace('_', " "));
            networks.holds(&answer, got, largest, WATER);
        }
        let [four, three] =
            ["p4", "p3"].map(|run| flow(&results, &format!("{circuit}/{run}"), 1.0));
        near("pipes 3 and 4 in series", four, three, 1e-9);
    }
}

#[test]
fn a_toilet_takes_its_printed_share_from_a_shower() {
    let networks = Networks::read();
    let results = solve(&reference_case("shower_and_toilet"));
    for (answer, run) in [
        ("shower alone", "alone/spray"),
        ("shower main", "both/main"),
        ("shower", "both/spray"),
        ("toilet", "both/fill"),
    ] {
        // The print has 998 kg/m³ where water has 998.21; 200 kPa drive it 0.01 % less.
        networks.holds(answer, flow(&results, run, 1e-3), 1.0, 2e-4);
    }
}

#[test]
fn two_reservoirs_feed_seven_pipes_as_printed() {
    let networks = Networks::read();
    let results = solve(&reference_case("two_reservoirs_seven_pipes"));
    for pipe in 1..=7 {
        let answer = format!("seven pipes {pipe}");
        let got = flow(&results, &format!("net/p{pipe}"), CUBIC_FOOT);
        networks.solved(&answer, got, 6.0, CLOSE);
        if (2..=4).contains(&pipe) {
            networks.printed.holds(&answer, got);
            let head = at(&results, &format!("net/p{pipe}/pipe:fall")) / (COLUMN * FOOT);
            networks.holds(&format!("seven pipes head {pipe}"), head, 13.0, CLOSE);
        }
    }
}

/// The case is the network at half its size: flows are halved, heads four times as large.
#[test]
fn thirteen_pipes_in_four_loops_carry_the_printed_flow() {
    let networks = Networks::read();
    let results = solve(&reference_case("thirteen_pipes"));
    for answer in networks.elsewhere.keys().filter(|answer| answer.starts_with("thirteen")) {
        let Some((_, run)) = answer.rsplit_once(' ').filter(|_| answer.matches(' ').count() == 1)
        else {
            continue;
        };
        networks.solved(
            answer,
            flow(&results, &format!("net/{run}"), CUBIC_FOOT / 2.0),
            6.4,
            WATER,
        );
    }
    networks.printed.holds("thirteen a-b", flow(&results, "net/a-b", CUBIC_FOOT / 2.0));
    let reynolds = at(&results, "net/a-b/pipe:reynolds");
    networks.solved("thirteen reynolds a-b", reynolds, reynolds, 2e-4);
    let head = at(&results, "net/a-b/pipe:fall") / (4.0 * DENSITY * GRAVITY) / (FOOT / 12.0);
    networks.solved("thirteen head a-b", head, head, 2e-4);
}

/// The print drops the square of the velocity on the way from the equations to the computer.
#[test]
fn three_reservoirs_are_solved_better_than_printed() {
    let networks = Networks::read();
    let results = solve(&reference_case("three_reservoirs_of_constant_friction"));
    for run in ["AD", "BD", "DC"] {
        let answer = format!("reservoir {run}");
        let got = flow(&results, &format!("net/{run}"), 1.0);
        networks.solved(&answer, got, 1.0, CLOSE);
        assert!((got - networks.printed.number(&answer)).abs() > 0.2, "{answer}: the mistake");
    }
    let head = at(&results, "net/D:pressure") / COLUMN;
    networks.solved("reservoir head D", head, 80.0, CLOSE);
}
