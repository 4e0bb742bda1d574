//! What limits a core, against its formula and against the whole model solved anew.

use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::laws::exchanger::{
    Arrangement, heat_for_each_kelvin_w_k, rated_conductance_w_k,
};
use coolwright_models::results::quantities as q;
use coolwright_models::simulate::Offset;

use crate::common::{near, read};

/// A source of constant heat with a core: whatever helps the core lowers the level of the coolant by as much. Its film
/// resists little, because that gets worse as the coolant gets colder, which the numbers told leave as it is.
const CASE: &str = r#"Case(
    site: Site(air: "30 °C"),
    circuits: { "c": Circuit(coolant: Water, start: "40 °C", bore: "25 mm", runs: { "loop": Run(parts: {
        "tank": Tank(volume: "3 L"),
        "pump": Pump(shut_off: "80 kPa", free_flow: "90 L/min"),
        "source": Pass(cooler: "s"),
        "core": CoreSide(core: "k"),
        "hose": Hose(length: "2 m"),
    }) }) },
    coolers: { "s": Cooler(heat: "20 kW", fall: (fall: "15 kPa", at: "40 L/min")) },
    cores: { "k": Core(rated: (heat: "22 kW", coolant: "50 L/min", air: "1.1 kg/s", difference: "40 K"), coolant_share: "5 %") },
    air_paths: { "front": AirPath(cores: ["k"], fans: { "fan": Fan(count: 2, shut_off: "250 Pa", free_flow: "3200 m3/h") }) },
)"#;

/// Kays & London, Compact Heat Exchangers, ch. 2, cross-flow with the larger capacity flow unmixed: with
/// equal capacity flows and one transfer unit 1 − e^(−(1 − e^(−1))) = 0.4685.
#[test]
fn heat_for_each_kelvin_is_the_printed_effectiveness() {
    near(
        "one unit",
        heat_for_each_kelvin_w_k(1000.0, [1000.0; 2], Arrangement::ONE_ROW) / 1000.0,
        0.4685,
        5e-5,
    );
    let of = heat_for_each_kelvin_w_k(1700.0, [3000.0, 1100.0], Arrangement::ONE_ROW);
    near("there and back", rated_conductance_w_k(of * 40.0, 3000.0, 1100.0, 40.0), 1700.0, 1e-6);
}

/// Film and air side 10 % better are what the conductance as a whole 10 % better does, but for its wall, 2 % of the
/// resistance, and for what each leaves less to the other.
#[test]
fn a_better_core_lowers_the_coolant_as_told() {
    let ready = read(CASE);
    let values = &ready.model.values;
    let mut instance = Instance::new(&ready.model);
    let level = |instance: &mut Instance<'_>, share: f64| {
        instance.off_by(&[(Offset::Core { core: 0, share }, 1.0)]);
        let results = instance.point(values, None).expect("a point").results.clone();
        (results.of(Id::Part(0, 0, 3), &q::TEMPERATURE_IN).expect("in"), results)
    };
    let (was, results) = level(&mut instance, 0.0);
    let (now, _) = level(&mut instance, 0.1);
    let (before, _) = level(&mut instance, 1.0 / 1.1 - 1.0);
    let gain = |quantity| results.of(Id::Core(0), quantity).expect("a gain");
    let told = gain(&q::GAIN_FILM) + gain(&q::GAIN_AIR_SIDE);
    assert!(was - now > 0.5, "{was} {now}");
    // Each of two improvements from here on brings more than both together, and less than what is lost without.
    let (least, most) = (0.97 * (was - now), before - was);
    assert!(least < told && told < most, "{least} {told} {most}");
    near("the core as a whole", gain(&q::GAIN_CORE), was - now, 0.02 * (was - now));
    // Capacity flows count too, so more of a flow does more than the film that goes with it.
    assert!(gain(&q::GAIN_AIR_FLOW) > 0.6 * gain(&q::GAIN_AIR_SIDE));
    assert!(gain(&q::GAIN_COOLANT_FLOW) > 0.7 * gain(&q::GAIN_FILM));
}
