//! Pipe networks of textbooks.

use std::collections::BTreeMap;

use coolwright_models::fluids::Coolant;
use coolwright_models::parts::GRAVITY;

use crate::common::printed::Printed;
use crate::common::{at, near, reference_case, solve};

/// The networks as an independent library solves them: Colebrook's and Churchill's friction.
fn solved_elsewhere() -> BTreeMap<String, [f64; 2]> {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/published_pipes.csv");
    let text = std::fs::read_to_string(path).expect("the file of the script");
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    rows.map(|row| {
        let cells: Vec<&str> = row.split(',').collect();
        let number = |k: usize| cells[k].parse().expect("a number");
        (cells[0].to_owned(), [number(1), number(2)])
    })
    .collect()
}

/// What water differs from the printed properties by here: viscosity by 0.1 %, so friction by a
/// tenth of that at most, and flow by half of it.
const WATER: f64 = 2e-4;

/// A result against the print, and more closely against the independent solution with the friction
/// law of the program.
fn holds(printed: &Printed, answer: &str, got: f64, elsewhere: f64) {
    printed.holds(answer, got);
    near(answer, got, elsewhere, WATER * elsewhere.abs());
}

#[test]
fn a_line_with_fittings_needs_the_printed_height() {
    let printed = Printed::read("printed_cengel_cimbala.csv");
    let elsewhere = solved_elsewhere();
    let results = solve(&reference_case("line_with_fittings"));
    let density = Coolant::water().density(283.15);
    near("density as printed", density, 999.7, 0.05);
    let z1 = at(&results, "line/supply:pressure") / (density * GRAVITY);
    holds(&printed, "8-8 z1", z1, elsewhere["line_z1_m"][1]);

    let results = solve(&reference_case("two_pipes_and_pump"));
    let [one, two] = ["lift/one:flow", "lift/two:flow"].map(|address| at(&results, address));
    holds(&printed, "8-7 total", one + two, elsewhere["pair_total_m3_s"][1]);
    holds(&printed, "8-7 one", one, elsewhere["pair_one_m3_s"][1]);
    holds(&printed, "8-7 two", two, elsewhere["pair_two_m3_s"][1]);
    printed.holds("8-7 electric power", at(&results, "lift/pump/pump:power"));
    let density = Coolant::water().density(293.15);
    let head = at(&results, "lift/pump/pump:head") / (density * GRAVITY);
    near("pump head", head, elsewhere["pair_pump_head_m"][1], 3e-4 * head);

    let results = solve(&reference_case("gradual_expansion"));
    let [before, after] = ["line/line/cone:pressure_in", "line/line/cone:pressure_out"]
        .map(|address| at(&results, address));
    let pressure_kpa = 150.0 + (after - before) / 1e3;
    printed.holds("8-6 pressure without kinetic correction", pressure_kpa);
    let speed = at(&results, "line/line/cone:velocity");
    near("speed", speed, 7.0, 1e-5);
    let density = Coolant::water().density(288.15);
    let loss = at(&results, "line/line/cone:fall") / (0.5 * density * speed * speed);
    printed.holds("8-6 loss", loss);
    printed.all_used();
}

#[test]
fn pipes_in_series_in_parallel_and_from_three_reservoirs_carry_the_printed_flows() {
    let printed = Printed::read("printed_white.csv");
    let elsewhere = solved_elsewhere();
    let water = Coolant::water();
    let temperature = 273.15 + 19.34;
    let density: f64 = water.density(temperature);
    near("kinematic viscosity", water.viscosity(temperature) / density * 1e6, 1.02, 0.0005);
    let hourly = |results: &_, address: &str| at(results, address) * 3600.0;

    let series = solve(&reference_case("series_pipes"));
    for run in ["line/one:flow", "line/two:flow", "line/three:flow"] {
        holds(&printed, "6.17 flow", hourly(&series, run), elsewhere["series_m3_h"][1]);
    }
    let parallel = solve(&reference_case("parallel_pipes"));
    let flows = ["line/one:flow", "line/two:flow", "line/three:flow"];
    let flows = flows.map(|address| hourly(&parallel, address));
    for (k, answer) in ["6.18 one", "6.18 two", "6.18 three"].into_iter().enumerate() {
        let name = format!("parallel_{}_m3_h", k + 1);
        holds(&printed, answer, flows[k], elsewhere[&name][1]);
    }
    let total: f64 = flows.iter().sum();
    holds(&printed, "6.18 total", total, elsewhere["parallel_total_m3_h"][1]);

    let net = solve(&reference_case("three_reservoirs"));
    let head = at(&net, "net/joint:pressure") / (density * GRAVITY);
    holds(&printed, "6.19 joint", head, elsewhere["joint_head_m"][1]);
    let out = hourly(&net, "net/one:flow");
    holds(&printed, "6.19 out to 1", out, elsewhere["out_1_m3_h"][1]);
    let second = -hourly(&net, "net/two:flow");
    holds(&printed, "6.19 in from 2", second, elsewhere["in_2_m3_h"][1]);
    let third = -hourly(&net, "net/three:flow");
    // The small difference of the other two, so it has their errors.
    printed.holds("6.19 in from 3", third);
    near("in from 3", third, elsewhere["in_3_m3_h"][1], WATER * out);
    printed.all_used();
}

/// The books use Colebrook's friction factor; with it the printed data give the printed answers to
/// the last digit. (This holds the data, not the program.)
#[test]
fn the_books_answers_follow_from_their_own_friction_factor() {
    let elsewhere = solved_elsewhere();
    for (name, printed, half_digit) in [
        ("line_z1_m", 31.8, 0.05),
        ("pair_total_m3_s", 0.0300, 5e-5),
        ("pair_one_m3_s", 0.00415, 5e-6),
        ("pair_two_m3_s", 0.0259, 5e-5),
        ("series_m3_h", 10.2, 0.05),
        ("parallel_1_m3_h", 62.5, 0.05),
        ("parallel_2_m3_h", 25.9, 0.05),
        ("parallel_3_m3_h", 11.4, 0.05),
        ("parallel_total_m3_h", 99.8, 0.05),
        ("out_1_m3_h", 52.8, 0.05),
        ("in_2_m3_h", 47.0, 0.05),
        ("in_3_m3_h", 5.8, 0.05),
    ] {
        near(name, elsewhere[name][0], printed, half_digit);
    }
}
