//! Heat between hoses, tanks and blocks and the air of the bay.

use coolwright_models::fluids::Site;
use coolwright_models::laws::skin::{Outside, Shape};
use coolwright_models::simulate::Simulator;

use crate::common::{at, check_audit, column, constant, cycle, near, read, solve};

/// A loop of a tank and a hose that a heater warms and only the air of the bay cools.
fn warmed(bay: &str, tank: &str, watts: f64) -> String {
    format!(
        r#"Case(
            site: Site(air: "20 °C", altitude: "0 m", humidity: "0 %"), {bay}
            circuits: {{ "loop": Circuit(coolant: Water, bore: "30 mm", start: "40 °C", runs: {{ "ring": Run(parts: {{
                "tank": Tank(volume: "8 L", {tank}),
                "pump": Pump(shut_off: "30 kPa", free_flow: "60 L/min", heat_share: "0 %"),
                "hose": Hose(length: "3 m", wall: "5 mm"),
                "heater": Pass(cooler: "heater"),
            }}) }}) }},
            coolers: {{ "heater": Cooler(heat: "{watts} W", metal: Aluminium("1 kg"), volume: "0.2 L",
                fall: (fall: "5 kPa", at: "30 L/min"), film: (conductance: "3 kW/K", at: "30 L/min")) }},
        )"#
    )
}

/// What a lying hose and a tank give off, W, by the laws at a temperature of their coolant, °C, in air of 20 °C; `between` is what
/// stands between hoses over what stands in them.
fn given_off(celsius: f64, (speed_m_s, foam_m): (f64, f64), between: f64) -> f64 {
    let air = Site::new(293.15, 0.0, 0.0).expect("a site").air();
    let of = |shape, size_m: f64, wall: f64, area: f64| {
        let outside = Outside { shape, size_m, air: &air, air_k: 293.15, speed_m_s };
        let (through, _) = outside.through(celsius + 273.15, wall);
        through * area * (celsius - 20.0)
    };
    // Rubber of 0.25 W/(m·K) between 30 and 40 mm; a cube of 0.24 m² in foam of 0.035 W/(m·K), with its edges and corners.
    let rubber = 0.04 * (0.04_f64 / 0.03).ln() / (2.0 * 0.25);
    let edge = (0.24_f64 / 6.0).sqrt() + 2.0 * foam_m;
    let factor = 0.24 / foam_m + 6.48 * 0.2 + 1.2 * foam_m;
    let foam = if foam_m > 0.0 { 6.0 * edge * edge / (0.035 * factor) } else { 0.0 };
    // What stands in pump and junction gives as much for each kilogram as what stands in the hose.
    (1.0 + between) * of(Shape::Lying, 0.04, rubber, std::f64::consts::PI * 0.04 * 3.0)
        + of(Shape::Upright, edge, foam, 6.0 * edge * edge)
}

/// Coolant in pump and junction over that in the hose: π/4 · (30 mm)² · 3 m of water.
fn between(text: &str) -> f64 {
    let ready = read(text);
    let simulator = Simulator::new(&ready.model, ready.model.values.clone()).expect("a model");
    let masses = &simulator.setup.prepared.masses;
    let kg: f64 = simulator.setup.layout.between.iter().map(|of| masses[of.state]).sum();
    let hose = std::f64::consts::FRAC_PI_4 * 0.03 * 0.03 * 3.0 * 992.2;
    assert!(kg > 0.0 && kg < 0.3 * hose, "{kg} kg of {hose}");
    kg / hose
}

/// At rest what comes in by the heater goes out by the skins, worked out apart from the model.
#[test]
fn at_rest_the_bay_takes_what_comes_in() {
    for (speed, foam_mm) in [(0.0, 0.0), (4.0, 0.0), (0.0, 10.0)] {
        let bay = format!("bay: Bay(air: \"20 °C\", speed: \"{speed} m/s\"),");
        let tank = format!("surface: \"0.24 m2\", insulation: \"{foam_mm} mm\"");
        let text = warmed(&bay, &tank, 250.0);
        let results = solve(&text);
        let hottest = at(&results, "loop:hottest") - 273.15;
        near("heat to the bay, W", at(&results, "loop:bay_heat"), -250.0, 1e-3);
        // The coolant differs by 0.1 K on its way.
        near(
            "by the laws, W",
            given_off(hottest, (speed, foam_mm * 1e-3), between(&text)),
            250.0,
            1.0,
        );
    }
}

/// Where nothing is said of a bay nothing goes there, and with one that is as warm as the coolant neither.
#[test]
fn without_a_bay_nothing_goes_there() {
    let ready = read(&warmed("", "", 0.0));
    let history = cycle(&ready.model, &ready.model.values, &constant(600.0));
    assert!(history.phases[0].border.bay.iter().all(|heat| *heat == 0.0));
    assert!(history.catalogue.find("loop:bay_heat").is_none());
    let ready = read(&warmed("bay: Bay(air: \"40 °C\"),", "", 0.0));
    let history = cycle(&ready.model, &ready.model.values, &constant(600.0));
    for heat in column(&history, "loop:bay_heat") {
        near("heat, W", heat, 0.0, 1e-6);
    }
}

/// A loop that cools by itself: m c dT/dt = −q(T), by small steps of its own with the same laws.
#[test]
fn a_loop_cools_as_its_skin_lets_it() {
    let text = warmed("bay: Bay(air: \"20 °C\"),", "surface: \"0.24 m2\", air: \"2 L\"", 0.0);
    let (ready, between) = (read(&text), between(&text));
    let history = cycle(&ready.model, &ready.model.values, &constant(3600.0));
    check_audit(&history);
    // Some 8.3 kg of water in all that holds any, and the heater's metal of 897 J/K.
    let simulator = Simulator::new(&ready.model, ready.model.values.clone()).expect("a model");
    let water: f64 = simulator.setup.prepared.masses.iter().sum();
    near("water, kg", water, 8.4, 0.2);
    let capacity = water * 4179.0 + 897.0;
    let mut celsius = 40.0;
    for _ in 0..3600 {
        celsius -= given_off(celsius, (0.0, 0.0), between) / capacity;
    }
    let end = column(&history, "loop:hottest").last().expect("rows") - 273.15;
    near("after an hour, °C", end, celsius, 0.02);
    assert!(end < 37.0, "{end}");
}

/// An ice box in the heat of the day: what comes through its foam melts the ice, and the ledger closes on it.
#[test]
fn ice_melts_by_the_heat_of_the_day() {
    let text = crate::common::test_cases().into_iter().find(|(name, _)| name.ends_with("bay.ron"));
    let (_, text) = text.expect("the case of the bay");
    let ready = read(
        &text
            .replace("Pump(shut_off: \"30 kPa\"", "Pump(heat_share: \"0 %\", shut_off: \"30 kPa\""),
    );
    let history = cycle(&ready.model, &ready.model.values, &constant(3.0 * 3600.0));
    check_audit(&history);
    let ice = column(&history, "ice/loop/box:ice");
    let heat = column(&history, "ice:bay_heat");
    let melts = |hours: f64| {
        let rows = &history.times_s;
        rows.iter().position(|at| *at >= 3600.0 * hours).expect("a row")
    };
    // The second hour melts the last of it.
    let (from, to) = (melts(1.0), melts(2.0));
    let came: f64 = (from..to)
        .map(|k| 0.5 * (heat[k] + heat[k + 1]) * (history.times_s[k + 1] - history.times_s[k]))
        .sum();
    // It takes 333.4 kJ/kg, and 4.21 kJ/(kg·K) to become as warm as the water. That gets warmer as less ice is left to cool it:
    // what the box holds beside the ice, 18 L in all, and 0.32 kg in the line.
    let water = column(&history, "ice/loop/box:out");
    let warmed = (18.32 - ice[from]) * 4.21e3 * (water[to] - water[from]);
    let melted = (ice[from] - ice[to]) * (333.4e3 + 4.21e3 * (water[to] - 273.15));
    assert!(melted > 1e5, "{melted} J");
    near("heat that melted and warmed, over what came", (melted + warmed) / came, 1.0, 0.005);
}

/// Once nothing flows every place of the circuit comes to the air around, those between parts too.
#[test]
fn what_stands_cools_everywhere() {
    let text = warmed("bay: Bay(air: \"20 °C\"),", "", 0.0)
        .replace("heat_share", "speed: \"0 %\", heat_share");
    let ready = read(&text);
    let history = cycle(&ready.model, &ready.model.values, &constant(48.0 * 3600.0));
    check_audit(&history);
    for part in ["tank", "pump", "hose"] {
        for end in ["in", "out"] {
            let address = format!("loop/ring/{part}:{end}");
            let last = column(&history, &address).last().expect("rows") - 273.15;
            near(&address, last, 20.0, 1.0);
        }
    }
}
