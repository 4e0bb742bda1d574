//! Cores against the effectiveness–NTU method.
//!
//! The closed forms for cross-flow with one stream mixed are those of Kays & London, Compact Heat
//! Exchangers, ch. 2; the model's conductance is held to the library ht by the tests of its crate.

use coolwright_cases::lower::Ready;
use coolwright_models::fluids::{Coolant, Site};
use coolwright_models::results::Results;

use crate::common::{at, near, point, read};

/// The rating: 20 kW at 1 kg/s of water 20 K above 2 kg/s of air of 20 °C.
const HEAT: f64 = 20e3;
const COOLANT: f64 = 1.0;
const AIR: f64 = 2.0;
const DIFFERENCE: f64 = 20.0;

/// The core in a stream of water of 40 °C, with the given share of its resistance in the coolant
/// film and the given exponent on the air side.
fn core(film_share: f64, air_exponent: f64) -> Ready {
    let mut ready = read(
        r#"Case(
            site: Site(air: "20 °C", humidity: "0 %"),
            circuits: { "stand": Circuit(coolant: Water, start: "40 °C", bore: "38 mm", runs: {
                "line": Run(from: "in", to: "out", parts: { "core": CoreSide(core: "core") }) },
                junctions: {
                    "in": Open(flow: "1 L/s", temperature: "40 °C"),
                    "out": Open(pressure: "50 kPa", temperature: "40 °C"),
                }) },
            cores: { "core": Core(
                rated: (heat: "20 kW", coolant: "1 kg/s", air: "2 kg/s", difference: "20 K", air_in: "20 °C"),
                coolant_share: "20 %", air_exponent: 0.5) },
            air_paths: { "front": AirPath(cores: ["core"],
                fans: { "fan": Fan(shut_off: "600 Pa", free_flow: "3 m3/s") }) },
        )"#,
    );
    let core = &ready.model.cores[0];
    ready.model.values.set(core.coolant_share, film_share);
    ready.model.values.set(core.air_exponent, air_exponent);
    ready
}

/// The core at a coolant mass flow, kg/s, with the fan at a speed.
fn stand(ready: &Ready, coolant_kg_s: f64, fan: f64) -> Results {
    let mut values = ready.model.values.clone();
    let density: f64 = Coolant::water().density(313.15);
    values.set(ready.addresses["stand/in:flow"].slots[0], coolant_kg_s / density);
    ready.model.write(&mut values, &[(ready.addresses["air_paths/front/fan:speed"].slots[0], fan)]);
    point(&ready.model, &values).results
}

/// The fan speed at which the air flow is that of the rating.
fn rated_speed(ready: &Ready) -> f64 {
    let (mut low, mut high) = (0.3, 2.0);
    for _ in 0..45 {
        let middle = 0.5 * (low + high);
        if at(&stand(ready, COOLANT, middle), "air_paths/front:mass_flow") < AIR {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Heat capacities of water at the mean of 40 and 30 °C and of air of 20 °C.
fn capacities() -> [f64; 2] {
    let water = Coolant::water();
    let air = Site::new(293.15, 0.0, 0.0).expect("a plain site").air();
    [water.heat_capacity(308.15), air.heat_capacity(293.15)]
}

/// Heat of a core with the coolant mixed and the air unmixed, W.
fn closed_form(ua: f64, coolant_kg_s: f64, air_kg_s: f64) -> f64 {
    let [water, air] = capacities();
    let (c_coolant, c_air) = (coolant_kg_s * water, air_kg_s * air);
    if c_coolant < c_air {
        // The mixed stream is the smaller one: ε = 1 − exp(−(1 − e^(−C·N))/C).
        let (n, c) = (ua / c_coolant, c_coolant / c_air);
        let share = -(-(-(-c * n).exp_m1()) / c).exp_m1();
        share * c_coolant * DIFFERENCE
    } else {
        // The mixed stream is the larger one: ε = (1 − exp(−C·(1 − e^(−N))))/C.
        let (n, c) = (ua / c_air, c_air / c_coolant);
        let share = -(-c * -(-n).exp_m1()).exp_m1() / c;
        share * c_air * DIFFERENCE
    }
}

/// The conductance that the closed form needs for the rating, by bisection.
fn rated_ua() -> f64 {
    let (mut low, mut high) = (10.0, 1e6);
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if closed_form(middle, COOLANT, AIR) < HEAT { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[test]
fn a_core_meets_its_rating() {
    let ready = core(0.2, 0.5);
    let results = stand(&ready, COOLANT, rated_speed(&ready));
    near("air", at(&results, "air_paths/front:mass_flow"), AIR, 1e-9);
    near("coolant", at(&results, "stand/line:mass_flow"), COOLANT, 1e-9);
    near("heat", at(&results, "cores/core:heat"), HEAT, 1e-3 * HEAT);
    let [water, air] = capacities();
    let outlet = at(&results, "stand/line/core:out");
    near("coolant outlet", outlet, 313.15 - HEAT / (COOLANT * water), 0.05);
    let outlet = at(&results, "cores/core:air_out");
    near("air outlet", outlet, 293.15 + HEAT / (AIR * air), 0.05);

    let held = core(1e-9, 0.0);
    let results = stand(&held, COOLANT, rated_speed(&held));
    near("heat, film left out", at(&results, "cores/core:heat"), HEAT, 5e-4 * HEAT);
}

/// With resistances that do not follow the flows, the core is the closed form everywhere: mixed
/// stream smaller and larger, from a tenth of the rated flows to three times.
#[test]
fn a_core_of_constant_resistances_is_the_closed_form_at_every_flow() {
    let ready = core(1e-9, 0.0);
    let ua = rated_ua();
    let mut smaller = [0, 0];
    for coolant in [0.1, 0.2, 0.4, 0.7, 1.0, 1.8, 3.0] {
        for fan in [0.15, 0.4, 0.8, 1.3, 2.0] {
            let results = stand(&ready, coolant, fan);
            let air = at(&results, "air_paths/front:mass_flow");
            let want = closed_form(ua, coolant, air);
            let got = at(&results, "cores/core:heat");
            assert!(
                (got / want - 1.0).abs() < 1e-3,
                "{coolant} kg/s of water, {air} kg/s of air: {got} W, closed form {want} W"
            );
            smaller[usize::from(coolant * 4180.0 < air * 1006.0)] += 1;
        }
    }
    assert!(smaller[0] > 5 && smaller[1] > 5, "both kinds are covered: {smaller:?}");
}

/// The mean coolant temperature of a core, K: the coolant falls exponentially until the share `left`
/// of the inlet difference is left; the program takes ten cells, each as warm as where it ends.
fn mean_of_cells(left: f64) -> f64 {
    let cells = (1..=10).map(|k| 293.15 + DIFFERENCE * left.powf(f64::from(k) / 10.0));
    cells.sum::<f64>() / 10.0
}

/// The resistances of a core follow their flows: film with m^0.8 and the properties, air with w^n.
#[test]
fn the_conductance_of_a_core_follows_both_flows() {
    let (share, exponent) = (0.3, 0.45);
    let ready = core(share, exponent);
    let ua = rated_ua();
    let water = Coolant::water();
    for (coolant, fan) in [(0.4, 0.7), (1.0, 1.0), (2.5, 1.6)] {
        let results = stand(&ready, coolant, fan);
        let air = at(&results, "air_paths/front:mass_flow");
        let mean = mean_of_cells((at(&results, "stand/line/core:out") - 293.15) / DIFFERENCE);
        let rated = mean_of_cells(1.0 - HEAT / (COOLANT * capacities()[0] * DIFFERENCE));
        let ratio = |property: &dyn Fn(f64) -> f64| property(mean) / property(rated);
        let film = share
            * (coolant / COOLANT).powf(-0.8)
            * ratio(&|t| water.conductivity(t)).powf(-0.6)
            * ratio(&|t| water.heat_capacity(t)).powf(-0.4)
            * ratio(&|t| water.viscosity(t)).powf(0.4);
        let wall = 0.02;
        let outside = (1.0 - share - wall) * (air / AIR).powf(-exponent);
        let want = ua / (film + wall + outside);
        let got = at(&results, "cores/core:ua");
        assert!(
            (got / want - 1.0).abs() < 1e-3,
            "{coolant} kg/s, {air} kg/s: {got}, by hand {want}"
        );
    }
}
