//! Lumped bodies of textbooks, followed in time. Our bodies are cut as finely as their coolant; what a
//! textbook calls the temperature of a lump is their mean.

use coolwright_models::cycle::History;
use coolwright_models::fluids::Coolant;

use crate::common::printed::Printed;
use crate::common::{at, column, constant, cycle, near, point, read};

/// A body of `capacity` J/K in a stream of water of 20 °C that is hardly warmed by it, with the
/// conductance `conductance` W/K.
fn bath(capacity: f64, conductance: f64, extra: &str) -> String {
    format!(
        r#"Case(
            site: Site(air: "20 °C"),
            circuits: {{ "bath": Circuit(coolant: Water, start: "20 °C", bore: "500 mm", runs: {{
                "line": Run(from: "in", to: "out", parts: {{ "bead": Pass(cooler: "bead") }}) }},
                junctions: {{
                    "in": Open(flow: "100 L/s", temperature: "20 °C"),
                    "out": Open(pressure: "0 kPa", temperature: "20 °C"),
                }}) }},
            coolers: {{ "bead": Cooler(metal: Capacity("{capacity} J/K"), volume: "1 L",
                fall: (fall: "1 kPa", at: "100 L/s"),
                film: (conductance: "{conductance} W/K", at: "100 L/s"), {extra}) }},
        )"#
    )
}

/// Density of the bath, kg/m³ (IAPWS SR6-08, 20 °C).
fn density_of_bath() -> f64 {
    998.2
}

/// When the metal's distance from `end` has shrunk to `share` of that at the start, s; between rows
/// the distance falls exponentially.
fn time_to(history: &History, end: f64, share: f64) -> f64 {
    let metal = column(history, "coolers/bead:metal_mean");
    let distance: Vec<f64> = metal.iter().map(|t| ((t - end) / (metal[0] - end)).abs()).collect();
    let after = distance.iter().position(|d| *d <= share).expect("it gets there");
    let [t0, t1] = [history.times_s[after - 1], history.times_s[after]];
    let [d0, d1] = [distance[after - 1], distance[after]];
    t0 + (t1 - t0) * (d0 / share).ln() / (d0 / d1).ln()
}

#[test]
fn lumped_bodies_cool_in_the_printed_times() {
    let printed = Printed::read("printed_lumped.csv");
    let pi = std::f64::consts::PI;
    for (answer, [d, density, c, h], start, share) in [
        ("4-1 time", [1e-3, 8500.0, 320.0, 210.0], "120 °C", 0.01),
        ("5.1 time", [7.06e-4, 8500.0, 400.0, 400.0], "195 °C", 1.0 / 175.0),
    ] {
        let capacity: f64 = 1e6 * density * c * pi * d * d * d / 6.0;
        let conductance: f64 = 1e6 * h * pi * d * d;
        let ready = read(&bath(capacity, conductance, &format!("start: \"{start}\"")));
        let history = cycle(&ready.model, &ready.model.values, &constant(15.0));
        let time = time_to(&history, 293.15, share);
        printed.holds(answer, time);
        // The stream is warmed a little: its capacity rate is 100 L/s of water.
        let stream = 0.1 * density_of_bath() * 4184.0;
        let effective = stream * -(-conductance / stream).exp_m1();
        let exact = -share.ln() * capacity / effective;
        assert!((time / exact - 1.0).abs() < 5e-4, "{answer}: {time} s, closed form {exact} s");
    }
    printed.all_used();
}

/// A body with constant heat in a constant stream: T = T∞ + q/hA (1 − e^(−t/τ)), τ = C/hA.
#[test]
fn a_heated_body_follows_the_first_order_step() {
    let (capacity, conductance, heat) = (20e3, 2e3, 50e3);
    let ready = read(&bath(capacity, conductance, "heat: \"50 kW\""));
    let history = cycle(&ready.model, &ready.model.values, &constant(60.0));
    let metal = column(&history, "coolers/bead:metal_mean");
    // The stream is warmed by 50 kW/(99.8 kg/s · 4.18 kJ/kgK) = 0.12 K on its way, half of that in the
    // mean.
    let warmed = heat / (0.1 * density_of_bath() * 4184.0);
    for (t, metal) in history.times_s.iter().zip(&metal) {
        let rise = heat / conductance * -(-t * conductance / capacity).exp_m1();
        near(&format!("metal at {t} s"), metal - 293.15, rise, warmed);
    }
    let rest = point(&ready.model, &ready.model.values).results;
    // The conductance is that in water of 20 °C; in warmer water it is a little better. Its six cells are
    // warmed by 1/6 to 6/6 of the rise, 7/12 in the mean.
    let water = Coolant::water();
    let better = |of: &dyn Fn(f64) -> f64| of(293.15 + 7.0 / 12.0 * warmed) / of(293.15);
    let by_liquid = better(&|t| water.conductivity(t)).powf(0.6)
        * better(&|t| water.heat_capacity(t) / water.viscosity(t)).powf(0.4);
    let want = 293.15 + heat / (conductance * by_liquid) + 0.5 * warmed;
    near("metal at rest", at(&rest, "coolers/bead:metal_mean"), want, 0.02);
    // The stream warms the last of six cells by 5/12 of its rise more than the mean.
    let hottest = want + 5.0 / 12.0 * warmed;
    near("hottest at rest", at(&rest, "coolers/bead:metal"), hottest, 0.002);
    near("heat at rest", at(&rest, "coolers/bead:heat"), heat, 0.1);
}
