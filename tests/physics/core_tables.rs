//! Cores by tables through the whole program: each row is met, and what lies beyond them is said.

use crate::common::{at, near, point, read, said, solve};

/// Heat, coolant flow in L/min, velocity of the air in m/s: invented, such as a test house prints it.
const ROWS: [(f64, f64, f64); 6] = [
    (11.2, 30.0, 2.0),
    (14.6, 30.0, 4.0),
    (16.4, 30.0, 6.0),
    (12.6, 60.0, 2.0),
    (17.6, 60.0, 4.0),
    (20.8, 60.0, 6.0),
];
const FACE_M2: f64 = 0.22;
/// Dry air of 30 °C at 101.325 kPa, kg/m³ (ISO 2533: p/(287.05287 T)).
const DENSITY: f64 = 101_325.0 / (287.052_87 * 303.15);

/// A core in 50 % glycol that enters as told, in air that a loss takes from all of the dynamic pressure of the road speed: at that of
/// the velocity it is the air of the row.
fn case(table: &str, (litres_min, velocity): (f64, f64), coolant: &str) -> String {
    let flow = velocity * FACE_M2 * DENSITY;
    let dynamic = 0.5 * DENSITY * 20.0 * 20.0;
    format!(
        r#"Case(
            site: Site(air: "30 °C", altitude: "0 m", humidity: "0 %"),
            circuits: {{ "c": Circuit(coolant: {coolant}, start: "80 °C", bore: "30 mm", runs: {{ "line": Run(from: "in", to: "out", parts: {{
                "core": CoreSide(core: "core") }}) }}, junctions: {{ "in": Open(flow: "{litres_min} L/min", temperature: "80 °C"), "out": Open(pressure: "50 kPa", temperature: "80 °C") }}) }},
            cores: {{ "core": Core(face: "{FACE_M2} m2", {table}) }},
            air_paths: {{ "front": AirPath(cores: ["core"], ram: "100 %", loss: (fall: "{dynamic} Pa", at: "{flow} kg/s", density: "{DENSITY} kg/m3")) }},
            duty: Duty(road_speed: "20 m/s"),
        )"#
    )
}

const HALF: &str = "EthyleneGlycol(by_volume: \"50 %\")";
/// Next to no fall, so that the air is that of the loss.
const NO_FALL: &str = r#"air_fall: (fall: "0.1 Pa", at: "2 kg/s")"#;

fn heats() -> String {
    let row = |(kw, litres_min, velocity): (f64, f64, f64)| {
        format!(
            r#"(heat: "{kw} kW", coolant: "{litres_min} L/min", velocity: "{velocity} m/s", difference: "50 K", air_in: "30 °C")"#
        )
    };
    format!("table: [{}], {NO_FALL}", ROWS.map(row).join(", "))
}

/// Rows of another liquid at another warmth each have the film of theirs, so all are met, not the last alone.
#[test]
fn every_row_of_a_table_of_heat_is_met() {
    for (kw, litres_min, velocity) in ROWS {
        let results = solve(&case(&heats(), (litres_min, velocity), HALF));
        let air = velocity * FACE_M2 * DENSITY;
        near("air, kg/s", at(&results, "air_paths/front:mass_flow"), air, 1e-3 * air);
        near("heat, W", at(&results, "cores/core:heat"), kw * 1e3, 2e-3 * kw * 1e3);
    }
}

/// Between two rows the heat lies between theirs, and with the liquid of another share it is less.
#[test]
fn between_its_rows_a_table_gives_what_lies_between_them() {
    let heat = |flows: (f64, f64), coolant: &str| {
        at(&solve(&case(&heats(), flows, coolant)), "cores/core:heat")
    };
    let middle = heat((45.0, 3.0), HALF);
    assert!(middle > 11.2e3 && middle < 17.6e3, "{middle}");
    let told = heats().replace("air_in: \"30 °C\"", &format!("air_in: \"30 °C\", fluid: {HALF}"));
    let thick = at(
        &solve(&case(&told, (60.0, 4.0), "EthyleneGlycol(by_volume: \"60 %\")")),
        "cores/core:heat",
    );
    assert!(thick < 17.6e3 && thick > 0.93 * 17.6e3, "{thick}");
}

/// A row that tells its conductance has it.
#[test]
fn every_row_of_a_table_of_conductance_is_met() {
    let row = |(kw, litres_min, velocity): (f64, f64, f64)| {
        let ua = 20.0 * kw;
        format!(
            r#"(conductance: "{ua} W/K", coolant: "{litres_min} L/min", velocity: "{velocity} m/s", air_in: "30 °C")"#
        )
    };
    let table = format!("table: [{}], {NO_FALL}", ROWS.map(row).join(", "));
    for (kw, litres_min, velocity) in ROWS {
        let results = solve(&case(&table, (litres_min, velocity), HALF));
        // The liquid of a row is that at its inlet; in the core it cools by some kelvins.
        near("UA, W/K", at(&results, "cores/core:ua"), 20.0 * kw, 0.015 * 20.0 * kw);
    }
}

/// A fall by velocities is met at its points: with the air as warm behind the core as in front of it.
#[test]
fn every_point_of_the_fall_of_the_air_is_met() {
    let points = [(2.0, 55.0), (4.0, 160.0), (6.0, 300.0)];
    let list: Vec<String> =
        points.iter().map(|(v, pa)| format!(r#"("{v} m/s", "{pa} Pa")"#)).collect();
    for (velocity, pa) in points {
        let table = format!(
            r#"rated: (heat: "10 W", coolant: "60 L/min", air: "1 kg/s", difference: "50 K"), air_falls: (by_velocity: [{}], density: "{DENSITY} kg/m3")"#,
            list.join(", ")
        );
        // As much pressure as the core takes comes on top of what the loss takes.
        let text = case(&table, (60.0, velocity), HALF);
        let speed = (2.0 * (0.5 * DENSITY * 400.0 + pa) / DENSITY).sqrt();
        let text = text.replace("road_speed: \"20 m/s\"", &format!("road_speed: \"{speed} m/s\""));
        let results = solve(&text);
        near("velocity, m/s", at(&results, "cores/core:face_velocity"), velocity, 2e-3 * velocity);
        near("fall, Pa", at(&results, "cores/core:air_fall"), pa, 3e-3 * pa);
    }
}

/// A table of one row is the rated point of that row, at any flows; one of a single coolant flow loses heat as that falls, and
/// one of a single air flow as that does.
#[test]
fn a_table_of_one_row_is_a_rated_point() {
    let (flow, velocity) = (60.0, 4.0);
    let air = velocity * FACE_M2 * DENSITY;
    let row = format!(
        r#"heat: "17.6 kW", coolant: "{flow} L/min", air: "{air} kg/s", difference: "50 K", air_in: "30 °C""#
    );
    let (rated, table) =
        (format!("rated: ({row}), {NO_FALL}"), format!("table: [({row})], {NO_FALL}"));
    for flows in [(60.0, 4.0), (6.0, 4.0), (20.0, 7.0), (120.0, 0.5)] {
        let heat = |told: &str| at(&solve(&case(told, flows, HALF)), "cores/core:heat");
        near("heat, W", heat(&table), heat(&rated), 1e-9 * heat(&rated));
    }
    let only = |keep: &dyn Fn(&(f64, f64, f64)) -> bool| {
        let rows = ROWS.into_iter().filter(keep).map(|(kw, litres_min, velocity)| {
            format!(
                r#"(heat: "{kw} kW", coolant: "{litres_min} L/min", velocity: "{velocity} m/s", difference: "50 K", air_in: "30 °C")"#
            )
        });
        format!("table: [{}], {NO_FALL}", rows.collect::<Vec<String>>().join(", "))
    };
    let ua = |told: &str, flows| at(&solve(&case(told, flows, HALF)), "cores/core:ua");
    let one_coolant = only(&|row| row.1 > 45.0);
    assert!(ua(&one_coolant, (15.0, 4.0)) < 0.8 * ua(&one_coolant, (60.0, 4.0)));
    let one_air = only(&|row| (row.2 - 4.0).abs() < 0.5);
    assert!(ua(&one_air, (60.0, 1.0)) < 0.7 * ua(&one_air, (60.0, 4.0)));
}

#[test]
fn what_lies_beyond_its_rows_is_said_with_how_far() {
    let text = case(&heats(), (90.0, 9.0), HALF);
    let ready = read(&text);
    let found = said(&ready.model, &point(&ready.model, &ready.model.values)).join("\n");
    assert!(found.contains("1.50 times the most coolant flow of its table"), "{found}");
    assert!(found.contains("1.50 times the most air flow of its table"), "{found}");
    let inside = read(&case(&heats(), (45.0, 3.0), HALF));
    let found = said(&inside.model, &point(&inside.model, &inside.model.values)).join("\n");
    assert!(!found.contains("of its table"), "{found}");
}
