//! Net positive suction head, and the correction of a pump for viscosity.

use coolwright_models::fluids::{Base, Coolant, Share};
use coolwright_models::parts::GRAVITY;

use crate::common::printed::Printed;
use crate::common::{at, near, point, read, reference_case, solve, with};

/// Metres in a foot, Pa in a psi (NIST SP 811).
const FOOT: f64 = 0.3048;
const PSI: f64 = 6894.757;

#[test]
fn suction_heads_are_the_printed_ones() {
    let printed = Printed::read("printed_pump_suction.csv");
    let lift = solve(&reference_case("suction_lift"));
    near("required", at(&lift, "lift/feed/pump:npsh_required") / FOOT, 15.0, 1e-6);
    printed.holds("12.3 margin", at(&lift, "lift/feed/pump:npsh_margin") / FOOT);

    let gauge = solve(&reference_case("suction_gauge"));
    near("gauge", at(&gauge, "line/line/down:pressure_in") / PSI, 2.4, 0.001);
    printed.holds("gauge available", at(&gauge, "line/line/pump:npsh_available") / FOOT);
    printed.all_used();
}

/// The temperature at which a coolant has a kinematic viscosity (m²/s), K.
fn temperature_of(coolant: &Coolant, viscosity_m2_s: f64) -> f64 {
    let (mut cold, mut warm) = (233.15, 293.15);
    for _ in 0..60 {
        let middle = 0.5 * (cold + warm);
        let viscosity = coolant.viscosity(middle) / coolant.density(middle);
        if viscosity > viscosity_m2_s { cold = middle } else { warm = middle }
    }
    cold
}

#[test]
fn a_viscous_liquid_takes_from_a_pump_what_the_standards_example_says() {
    let printed = Printed::read("printed_pump_viscosity.csv");
    let coolant = Coolant::new(Base::PropyleneGlycol, Share::ByVolume(0.6)).expect("a coolant");
    let kelvin = temperature_of(&coolant, 120e-6);
    let ready = read(&reference_case("viscous_pump"));
    let temperatures =
        [("main:start", kelvin), ("main/in:temperature", kelvin), ("main/out:temperature", kelvin)];
    let values = with(&ready, &temperatures);
    let results = point(&ready.model, &values).results;
    let of = |name: &str| at(&results, &format!("main/line/pump:{name}"));
    printed.holds("B", of("viscous_parameter"));
    printed.holds("flow factor", of("viscous_flow"));
    printed.holds("head factor", of("viscous_head"));
    printed.holds("efficiency factor", of("viscous_efficiency"));
    printed.all_used();
    // At the corrected flow the head is the corrected one, 0.938 · 77 m of this liquid, and the
    // efficiency 0.738 · 68 %.
    let head = of("head") / (coolant.density(kelvin) * GRAVITY);
    near("head", head, 0.938 * 77.0, 0.06);
    near("efficiency", of("efficiency"), 0.738 * 0.68, 0.0006);
}
