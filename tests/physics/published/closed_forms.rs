//! Closed forms of hydraulics.

use coolwright_models::fluids::Coolant;
use coolwright_models::parts::GRAVITY;

use crate::common::{at, near, solve};

/// Hagen and Poiseuille: Q = π D⁴ Δp/(128 μ L), in a whole case at Re 400 and at Re 1500.
#[test]
fn a_thin_tube_carries_the_laminar_flow() {
    for fall_kpa in [0.8, 3.0] {
        let text = format!(
            r#"Case(
                site: Site(air: "20 °C"),
                circuits: {{ "tube": Circuit(coolant: Water, start: "20 °C", bore: "2 mm", runs: {{
                    "tube": Run(from: "in", to: "out", parts: {{ "tube": Hose(length: "0.5 m") }}) }},
                    junctions: {{
                        "in": Open(pressure: "{fall_kpa} kPa", temperature: "20 °C"),
                        "out": Open(pressure: "0 kPa", temperature: "20 °C"),
                    }}) }},
            )"#
        );
        let results = solve(&text);
        let flow = at(&results, "tube/tube:flow");
        let viscosity: f64 = Coolant::water().viscosity(293.15);
        let want =
            std::f64::consts::PI * 2e-3_f64.powi(4) * fall_kpa * 1e3 / (128.0 * viscosity * 0.5);
        assert!(at(&results, "tube/tube/tube:reynolds") < 2000.0, "laminar");
        assert!((flow / want - 1.0).abs() < 1e-5, "{flow} m³/s, closed form {want} m³/s");
    }
}

/// A U-tube at rest: p = ρ g h at the bottom, no flow, and the pressure of one side balances the
/// level of the other.
#[test]
fn a_u_tube_at_rest_has_the_pressure_of_its_water_column() {
    let density: f64 = Coolant::water().density(293.15);
    let balance_pa = density * GRAVITY * 1.0;
    let text = format!(
        r#"Case(
            site: Site(air: "20 °C"),
            circuits: {{ "u": Circuit(coolant: Water, start: "20 °C", bore: "20 mm", runs: {{
                "down": Run(from: "left", to: "bottom", parts: {{ "hose": Hose(length: "2.6 m", rise: "-2.5 m") }}),
                "up": Run(from: "bottom", to: "right", parts: {{ "hose": Hose(length: "1.6 m", rise: "1.5 m") }}) }},
                junctions: {{
                    "left": Open(pressure: "0 kPa", temperature: "20 °C"),
                    "right": Open(pressure: "{balance_pa} Pa", temperature: "20 °C"),
                }}) }},
        )"#
    );
    let results = solve(&text);
    near("flow", at(&results, "u/down:flow"), 0.0, 1e-9);
    near(
        "pressure at the bottom",
        at(&results, "u/bottom:pressure"),
        density * GRAVITY * 2.5,
        1e-3,
    );
    near("pressure at the outlet", at(&results, "u/up/hose:pressure_out"), balance_pa, 1e-3);
}
