//! Pumps alone, in series, in parallel, and at another speed.

use coolwright_models::fluids::Coolant;
use coolwright_models::parts::GRAVITY;
use coolwright_models::results::Results;

use crate::common::printed::Printed;
use crate::common::{at, point, read_variant, reference_case, solve};

/// Metres in a foot, m³/s in a US gallon per minute, watts in a horsepower (NIST SP 811).
const FOOT: f64 = 0.3048;
const GPM: f64 = 6.309_02e-5;
const HORSEPOWER: f64 = 745.6999;

fn lifted(variant: Option<&str>) -> Results {
    let ready = read_variant(&reference_case("pumps_on_a_lift"), variant);
    point(&ready.model, &ready.model.values).results
}

#[test]
fn pumps_in_series_and_in_parallel_move_the_printed_flows() {
    let printed = Printed::read("printed_pumps.csv");
    for (variant, answer, exact) in [
        (None, "single", (5.0_f64 / 0.11).sqrt()),
        (Some("parallel"), "parallel", 10.0),
        (Some("series"), "series", (25.0_f64 / 0.19).sqrt()),
    ] {
        let results = lifted(variant);
        let flow = at(&results, "lift/feed/pump:flow") * 1e3;
        printed.holds(answer, flow);
        // The table of the polynomial at steps of 1 L/s is not the polynomial itself.
        assert!((flow / exact - 1.0).abs() < 2e-4, "{answer}: {flow} L/s, exact {exact}");
    }

    let results = solve(&reference_case("similar_pump"));
    printed.holds("12.5 flow", at(&results, "stand/line/pump:flow") / GPM);
    let density = Coolant::water().density(277.15);
    let head = at(&results, "stand/line/pump:head") / (density * GRAVITY);
    printed.holds("12.5 head", head / FOOT);
    printed.holds("12.5 power", at(&results, "stand/line/pump:power") / HORSEPOWER);
    printed.all_used();
}
