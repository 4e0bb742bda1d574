//! Tees of a handbook at a junction of a case.

use coolwright_models::fluids::Coolant;

use crate::common::printed::Printed;
use crate::common::{at, near, reference_case, solve};

/// Half ρv² at a volume flow in m³/s of water of 20 °C, Pa.
fn velocity_head(flow: f64, bore_m: f64) -> f64 {
    let density: f64 = Coolant::water().density(293.15);
    let speed = flow / (std::f64::consts::FRAC_PI_4 * bore_m * bore_m);
    0.5 * density * speed * speed
}

#[test]
fn a_tee_and_a_wye_have_the_printed_coefficients() {
    let printed = Printed::read("printed_tp410.csv");
    let tee = solve(&reference_case("tp410_tee"));
    let head = velocity_head(1515.0 / 60e3, 0.1023);
    let out = at(&tee, "tee/out:entry_fall");
    let loss = |run: &str| (at(&tee, &format!("tee/{run}:exit_fall")) + out) / head;
    printed.holds("7-35 branch", loss("branch"));
    printed.holds("7-35 run", loss("run"));
    // The budget of the whole way: pressures at both open ends differ by pipes and tee alone.
    let ends = at(&tee, "tee/branch_in:pressure") - at(&tee, "tee/drain:pressure");
    let pipes = at(&tee, "tee/branch/pipe:fall") + at(&tee, "tee/out/pipe:fall");
    near("pressure from the branch to the outlet", ends - pipes, loss("branch") * head, 1e-3);

    let wye = solve(&reference_case("tp410_wye"));
    let head = velocity_head(2465.0 / 60e3, 0.146);
    let into = at(&wye, "wye/feed:exit_fall");
    let loss = |run: &str| (into + at(&wye, &format!("wye/{run}:entry_fall"))) / head;
    printed.holds("7-36 branch", loss("branch"));
    printed.holds("7-36 run", loss("run"));
    printed.all_used();
}
