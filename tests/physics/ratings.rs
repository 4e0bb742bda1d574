//! Ratings in other liquids than those in which they were measured.

use crate::common::{at, near, read, solve};
use coolwright_models::fluids::{Base, Coolant, Share};

/// 1 L/s, or another flow, of a coolant at 20 °C through one part.
fn through(coolant: &str, flow: &str, part: &str) -> f64 {
    let results = solve(&format!(
        r#"Case(
            site: Site(air: "20 °C"),
            circuits: {{ "c": Circuit(coolant: {coolant}, start: "20 °C", bore: "30 mm", runs: {{ "line": Run(from: "in", to: "out", parts: {{
                "part": {part} }}) }}, junctions: {{ "in": Open(flow: "{flow}", temperature: "20 °C"), "out": Open(pressure: "0 kPa", temperature: "20 °C") }}) }},
        )"#
    ));
    at(&results, "c/line/part:fall")
}

fn mix(share: f64) -> Coolant {
    Coolant::new(Base::EthyleneGlycol, Share::ByVolume(share)).expect("a mix")
}

const HALF: &str = r#"EthyleneGlycol(by_volume: "50 %")"#;

/// Δp ∝ ρ^(n−1)·μ^(2−n) at one volume flow, from water at 20 °C unless the rating tells another liquid.
#[test]
fn a_fall_follows_density_and_viscosity() {
    let (water, half) = (Coolant::water(), mix(0.5));
    let [density, viscosity] = [
        half.density(293.15_f64) / water.density(293.15_f64),
        half.viscosity(293.15_f64) / water.viscosity(293.15_f64),
    ];
    for exponent in [1.0, 1.75, 2.0] {
        let part = format!(r#"Resistance(fall: "20 kPa", at: "60 L/min", exponent: {exponent})"#);
        near("in water", through("Water", "60 L/min", &part), 20e3, 0.01);
        let want = 20e3 * density.powf(exponent - 1.0) * viscosity.powf(2.0 - exponent);
        near("in glycol", through(HALF, "60 L/min", &part), want, 1e-6 * want);
        let part = part.replace("exponent", &format!("fluid: {HALF}, exponent"));
        near("rated in glycol", through(HALF, "60 L/min", &part), 20e3, 0.01);
    }
    let part = r#"Throttle(fall: "20 kPa", at: "60 L/min", open: "100 %")"#;
    near("valve", through(HALF, "60 L/min", part), 20e3 * density, 0.5);
    // Measured hot: thinner, so at 20 °C it falls by more.
    let part =
        r#"Resistance(fall: "20 kPa", at: "60 L/min", exponent: 1.75, fluid_temperature: "80 °C")"#;
    let [density, viscosity] = [
        water.density(293.15_f64) / water.density(353.15_f64),
        water.viscosity(293.15_f64) / water.viscosity(353.15_f64),
    ];
    let want = 20e3 * density.powf(0.75) * viscosity.powf(0.25);
    near("measured hot", through("Water", "60 L/min", part), want, 1e-6 * want);
}

/// What is rated in kg/s is met at that mass flow of the circuit's coolant.
#[test]
fn a_mass_flow_stays_a_mass_flow() {
    let part = r#"Resistance(fall: "20 kPa", at: "1 kg/s", exponent: 2)"#;
    near("glycol", through(HALF, "1 kg/s", part), 20e3, 0.05);
    near("water", through("Water", "1 kg/s", part), 20e3, 0.05);
    // In water, said: the same volume falls by more in what is heavier, the same mass by less.
    let part = r#"Resistance(fall: "20 kPa", at: "1 kg/s", exponent: 2, fluid: Water)"#;
    let lighter = Coolant::water().density(293.15_f64) / mix(0.5).density(293.15_f64);
    near("rated in water", through(HALF, "1 kg/s", part), 20e3 * lighter, 1.0);
}

/// One pump, a cooler and a core known by ratings: the more glycol, the less flow and the hotter the metal.
#[test]
fn glycol_takes_flow_and_warms_metal() {
    let answer = |coolant: &str| {
        let results = solve(&format!(
            r#"Case(
                site: Site(air: "30 °C"),
                circuits: {{ "c": Circuit(coolant: {coolant}, start: "30 °C", bore: "28 mm", pressure: "50 kPa", runs: {{ "loop": Run(parts: {{
                    "pump": Pump(shut_off: "70 kPa", free_flow: "80 L/min", heat_share: "0 %"),
                    "plate": Pass(cooler: "plate"), "core": CoreSide(core: "core") }}) }}) }},
                coolers: {{ "plate": Cooler(heat: "12 kW", fall: (fall: "25 kPa", at: "40 L/min"), film: (conductance: "1.5 kW/K", at: "40 L/min")) }},
                cores: {{ "core": Core(rated: (heat: "25 kW", coolant: "50 L/min", air: "1.2 kg/s", difference: "40 K", fluid: Water), fall: (fall: "10 kPa", at: "50 L/min")) }},
                air_paths: {{ "front": AirPath(cores: ["core"], fans: {{ "fan": Fan(shut_off: "250 Pa", free_flow: "3500 m3/h") }}) }},
            )"#
        ));
        (at(&results, "c/loop:flow"), at(&results, "coolers/plate:metal"))
    };
    let mut last = answer("Water");
    for share in [30, 50, 60] {
        let next = answer(&format!("EthyleneGlycol(by_volume: \"{share} %\")"));
        assert!(next.0 < last.0 && next.1 > last.1, "{share} %: {next:?} after {last:?}");
        last = next;
    }
}

/// The air is that of a loss that takes all of the dynamic pressure of 20 m/s: ½·1.1644·20² = 232.88 Pa.
/// A core meets its rating in the liquid of the rating, and gives less in one that carries less heat.
#[test]
fn a_core_meets_its_rating_in_its_liquid() {
    let heat = |coolant: &str, fluid: &str| {
        let results = solve(&format!(
            r#"Case(
                site: Site(air: "30 °C", altitude: "0 m", humidity: "0 %"),
                circuits: {{ "c": Circuit(coolant: {coolant}, start: "80 °C", bore: "30 mm", runs: {{ "line": Run(from: "in", to: "out", parts: {{
                    "core": CoreSide(core: "core") }}) }}, junctions: {{ "in": Open(flow: "60 L/min", temperature: "80 °C"), "out": Open(pressure: "50 kPa", temperature: "80 °C") }}) }},
                cores: {{ "core": Core(rated: (heat: "60 kW", coolant: "60 L/min", air: "1.6457 kg/s", difference: "50 K", air_in: "30 °C"{fluid}), air_fall: (fall: "0.1 Pa", at: "2 kg/s")) }},
                air_paths: {{ "front": AirPath(cores: ["core"], ram: "100 %", loss: (fall: "232.88 Pa", at: "1.6457 kg/s", density: "1.1644 kg/m3")) }},
                duty: Duty(road_speed: "20 m/s"),
            )"#
        ));
        (at(&results, "cores/core:heat"), at(&results, "air_paths/front:mass_flow"))
    };
    let (met, air) = heat("Water", ", fluid: Water");
    near("air", air, 1.6457, 2e-3);
    near("met", met, 60e3, 100.0);
    near("its own", heat(HALF, &format!(", fluid: {HALF}")).0, 60e3, 100.0);
    near("as if its own", heat(HALF, "").0, 60e3, 100.0);
    let less = heat(HALF, ", fluid: Water").0;
    assert!((0.88..0.985).contains(&(less / 60e3)), "{less} W");
}

/// A thick coolant in a part that was measured in water is warned of, and an assumed liquid is listed.
#[test]
fn what_is_not_known_of_a_rating_is_said() {
    let ready = read(
        r#"Case(
            site: Site(air: "-22 °C"),
            circuits: { "c": Circuit(coolant: EthyleneGlycol(by_volume: "50 %"), start: "-22 °C", bore: "30 mm", runs: { "line": Run(from: "in", to: "out", parts: {
                "part": Filter(fall: "20 kPa", at: "60 L/min") }) }, junctions: { "in": Open(flow: "10 L/min", temperature: "-22 °C"), "out": Open(pressure: "0 kPa") }) },
        )"#,
    );
    let point = crate::common::point(&ready.model, &ready.model.values);
    let said = crate::common::said(&ready.model, &point).join("\n");
    assert!(said.contains("viscosity over that of the rating"), "{said}");
    let of = |address: &str| {
        let known = ready.assumptions.iter().find(|a| a.addresses.iter().any(|at| at == address));
        known.unwrap_or_else(|| panic!("{address} is not assumed"))
    };
    near("water", of("c/line/part:fluid_temperature").value, 293.15, 0.0);
    let exponent = of("c/line/part:exponent");
    near("exponent", exponent.value, 2.0, 0.0);
    near("least", exponent.range.0, 1.75, 0.0);
}
