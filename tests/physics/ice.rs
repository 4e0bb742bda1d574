//! Ice in a tank, against balances by hand.

use coolwright_models::cycle::{History, duty_cycle};
use coolwright_models::fluids::{Base, Coolant, Share};
use coolwright_models::model::Model;
use coolwright_models::parts::HEAT_OF_MELTING;

use crate::common::{at, column, constant, cycle, near, phases, point, read, said, slots, solve};

/// A tank, a hose and a pump too weak to heat them. Nothing crosses the border.
fn case(coolant: &str, tank: &str, start: &str) -> String {
    format!(
        r#"Case(
            site: Site(air: "30 °C"),
            circuits: {{ "c": Circuit(coolant: {coolant}, {start} bore: "25 mm", runs: {{ "loop": Run(parts: {{
                "tank": {tank},
                "pump": Pump(shut_off: "1 kPa", free_flow: "10 L/min"),
                "hose": Hose(length: "0.5 m"),
            }}) }}) }},
        )"#
    )
}

/// An hour of it. Next to nothing crosses the border, so what the ledger leaves open is measured against
/// the heat that all of the ice takes to melt.
fn hour(model: &Model, ice_kg: f64) -> History {
    let history = duty_cycle(model, &model.values, &constant(3600.0), &mut |_| true);
    let history = history.expect("a cycle");
    for phase in &history.phases {
        near("open, J", phase.open_j(), 0.0, 1e-4 * ice_kg * HEAT_OF_MELTING);
    }
    history
}

/// Density of water at 15 °C and at 5 °C and 0.2 `MPa`, at which coolant is counted, kg/m³ (IAPWS R7-97, evaluated by
/// iapws 1.5.5).
const AT_15: f64 = 999.147_14;
const AT_5: f64 = 1_000.015_43;

/// Ice afloat displaces its own mass of water (Archimedes): 5 kg in a tank of 100 L leave 100 − 5/0.9991 L
/// of it, and all 100 L again once they have melted. The mix ends where
/// (m + 5 kg) h(T) = m h(15 °C) − 5 kg · 333.43 kJ/kg (IAPWS R10-06), m the water at the start.
#[test]
fn ice_displaces_its_mass_of_water_and_cools_by_its_heat_of_melting() {
    let start = r#"start: "15 °C","#;
    let ready = read(&case(
        "Water",
        r#"Tank(volume: "100 L", air: "0 L", ice: "5 kg", surface: "1e-6 m2")"#,
        start,
    ));
    let history = hour(&ready.model, 5.0);
    let without =
        at(&solve(&case("Water", r#"Tank(volume: "100 L", air: "0 L")"#, start)), "c:coolant");
    let coolant = column(&history, "c:coolant");
    near("displaced, m³", without - coolant[0], 5.0 / AT_15, 2e-9);
    for (ice, coolant) in column(&history, "c/loop/tank:ice").iter().zip(&coolant) {
        near("as high as without ice", coolant + ice / AT_15, without, 2e-9);
    }
    let last = |address: &str| *column(&history, address).last().expect("rows");
    near("ice at the end", last("c/loop/tank:ice"), 0.0, 1e-3);
    let water = Coolant::water();
    let mass = coolant[0] * AT_15;
    let held = mass * water.enthalpy(288.15) - 5.0 * HEAT_OF_MELTING;
    let mixed = last("c/loop/tank:out");
    near("heat of the mix", (mass + 5.0) * water.enthalpy(mixed), held, 5e-4 * held);
    // With 4.19 kJ/(kg·K): (95.2 · 4.19 · 15 − 1667)/(100.2 · 4.19) = 10.28 °C.
    near("mixed, °C", mixed - 273.15, 10.28, 0.05);
}

/// 30 kg in 40 L leave 10 kg of water beside them; from 5 °C to 0 °C it gives
/// 21.06 kJ/kg (IAPWS R6-95 at 1 bar, 21.12 − 0.06) and melts 21.06/333.43 of its own mass, and what little
/// the pump's heat melts besides.
#[test]
fn much_ice_leaves_little_water_to_melt_it() {
    let start = r#"start: "5 °C","#;
    let ready = read(&case(
        "Water",
        r#"Tank(volume: "40 L", air: "0 L", ice: "30 kg", surface: "1e-6 m2")"#,
        start,
    ));
    let history = hour(&ready.model, 30.0);
    let without =
        at(&solve(&case("Water", r#"Tank(volume: "40 L", air: "0 L")"#, start)), "c:coolant");
    // 40 L of tank, 0.25 L of hose, and a little in pump and junction.
    near("without ice, L", 1e3 * without, 40.4, 0.1);
    let mass = without * AT_5 - 30.0;
    near("water at the start, kg", column(&history, "c:coolant")[0] * AT_5, mass, 1e-4);
    let last = |address: &str| *column(&history, address).last().expect("rows");
    let pump_kj: f64 = 1e-3 * history.phases[0].border.pumps.iter().sum::<f64>();
    assert!(pump_kj < 2.0, "{pump_kj} kJ of the pump");
    let melted = (mass * 21.06 + pump_kj) / 333.43;
    near("ice at the end, kg", last("c/loop/tank:ice"), 30.0 - melted, 2e-3);
    near("at the end, °C", last("c/loop/tank:out") - 273.15, 0.0, 1e-3);
}

/// Where nothing is said, a circuit with ice starts as cold as the ice: water at 0 °C, a mixture at its
/// freezing point; nothing melts there.
/// Who fills a mixture colder than melting ice says so: cold that nobody brought is none.
#[test]
fn a_circuit_with_ice_starts_as_cold_as_ice_that_melts_in_water() {
    let start = |coolant: &str, tank: &str| {
        let ready = read(&case(coolant, tank, ""));
        ready.model.values.get(slots(&ready, "c:start")[0])
    };
    let tank = r#"Tank(volume: "100 L", air: "0 L", ice: "5 kg", surface: "1e-6 m2")"#;
    let glycol = r#"EthyleneGlycol(by_volume: "30 %")"#;
    near("water", start("Water", tank), 273.15, 0.0);
    near("mixture", start(glycol, tank), 273.15, 0.0);
    near("without ice", start("Water", r#"Tank(volume: "100 L", air: "0 L")"#), 303.15, 0.0);
}

/// In a mixture as cold as its freezing point nothing melts.
#[test]
fn ice_in_a_mixture_melts_at_its_freezing_point() {
    let tank = r#"Tank(volume: "100 L", air: "0 L", ice: "5 kg", surface: "1e-6 m2")"#;
    let glycol = r#"EthyleneGlycol(by_volume: "30 %")"#;
    let mixture = Coolant::new(Base::EthyleneGlycol, Share::ByVolume(0.3)).expect("a coolant");
    let start = format!("start: \"{} K\",", mixture.freezing_point_k());
    let ready = read(&case(glycol, tank, &start));
    let history = hour(&ready.model, 5.0);
    let left = *column(&history, "c/loop/tank:ice").last().expect("rows");
    near("nothing melts, kg", left, 5.0, 0.02);
    assert!(ready.notes.iter().any(|note| note.contains("melts at the freezing point")));
}

/// A steady state is the one without ice, and says so. Without a core there is none: everything stands as
/// at the start, with the ice.
#[test]
fn a_steady_state_says_that_its_ice_is_gone() {
    let answer = |tank: &str, core: &str| {
        let ready = read(&format!(
            r#"Case(
                site: Site(air: "20 °C"),
                circuits: {{ "c": Circuit(coolant: Water, start: "15 °C", bore: "25 mm", runs: {{ "loop": Run(parts: {{
                    "tank": {tank},
                    "pump": Pump(shut_off: "40 kPa", free_flow: "60 L/min"),
                    "hose": Hose(length: "0.5 m"),
                    {core}
                }}) }}) }},
                cores: {{ {cores} }},
                air_paths: {{ {paths} }},
            )"#,
            cores = if core.is_empty() {
                ""
            } else {
                r#""core": Core(rated: (heat: "40 kW", coolant: "60 L/min", air: "1.6 kg/s", difference: "40 K"))"#
            },
            paths = if core.is_empty() {
                ""
            } else {
                r#""front": AirPath(cores: ["core"], fans: { "fan": Fan(shut_off: "260 Pa", free_flow: "2600 m3/h") })"#
            },
        ));
        let point = point(&ready.model, &ready.model.values);
        (said(&ready.model, &point), at(&point.results, "c/loop/tank:out"), point.held.len())
    };
    let core = r#""core": CoreSide(core: "core"),"#;
    let of_ice = |said: &String| said.contains("after all 5.0 kg in `c/loop/tank` have melted");
    let (iced, iced_k, held) =
        answer(r#"Tank(volume: "100 L", air: "0 L", ice: "5 kg", surface: "1e-6 m2")"#, core);
    assert_eq!((iced.iter().filter(|said| of_ice(said)).count(), held), (1, 0), "{iced:?}");
    let (dry, dry_k, _) = answer(r#"Tank(volume: "100 L", air: "0 L")"#, core);
    assert!(!dry.iter().any(|said| said.contains("melted")), "{dry:?}");
    near("as without ice, K", iced_k, dry_k, 1e-3);
    let (said, _, held) =
        answer(r#"Tank(volume: "100 L", air: "0 L", ice: "5 kg", surface: "1e-6 m2")"#, "");
    assert_eq!((said.iter().filter(|said| of_ice(said)).count(), held), (0, 1), "{said:?}");
}

/// Ice put in between pulls: the tank holds as much as at the start again, the ledger closes over both phases with what was
/// put in told apart, and that is by hand what the ice is colder and has less heat than the coolant drawn off for it.
#[test]
fn ice_put_in_between_pulls_is_in_the_ledger() {
    let text = r#"Case(
        circuits: { "c": Circuit(coolant: Water, start: "15 °C", bore: "25 mm", runs: { "loop": Run(parts: {
            "tank": Tank(volume: "30 L", air: "5 L", ice: "6 kg"),
            "pump": Pump(shut_off: "60 kPa", free_flow: "90 L/min", heat_share: "0 %"),
            "plate": Pass(cooler: "plate"), "hose": Hose(length: "2 m") }) }) },
        coolers: { "plate": Cooler(share: "100 %", metal: Capacity("1 kJ/K"), fall: (fall: "10 kPa", at: "40 L/min")) },
        duty: Duty(power: "20 kW", phases: {
            "pull": Phase(time: "90 s"),
            "rest": Phase(time: "60 s", power: "5 %", refill: ["c/loop/tank"]) }))"#;
    let ready = read(text);
    let history = cycle(&ready.model, &ready.model.values, &phases(&ready));
    let [pull, rest] = [&history.phases[0], &history.phases[1]];
    let ice = column(&history, "c/loop/tank:ice");
    let warm = column(&history, "c/loop/tank:out");
    let (left, tank_k) = (ice[pull.rows.end - 1], warm[pull.rows.end - 1]);
    assert!(left < 5.0, "{left} kg are left");
    near("full again", ice[rest.rows.start], 6.0, 1e-9);
    // 333.44 kJ/kg of melting (IAPWS R10-06); water between 0 °C and the tank's temperature 4.19 kJ/(kg K).
    let by_hand = -(6.0 - left) * (333.44e3 + 4190.0 * (tank_k - 273.15));
    near("put in", rest.put_in_j, by_hand, 2e-3 * by_hand.abs());
    near("nothing before", pull.put_in_j, 0.0, 1e-9);
    let plain = read(&text.replace(", refill: [\"c/loop/tank\"]", ""));
    let without = cycle(&plain.model, &plain.model.values, &phases(&plain));
    let end = *column(&without, "c/loop/plate:out").last().expect("an end");
    assert!(column(&history, "c/loop/plate:out").last().expect("an end") < &(end - 3.0));
}
