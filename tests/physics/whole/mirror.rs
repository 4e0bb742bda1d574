//! In which direction a run is written changes no physical number.

use coolwright_models::results::Results;

use crate::common::{at, column, constant, cycle, point, read};

/// Text of a run between two junctions; mirrored, it is written from its end to its start. Parts
/// are given by name and by text with the sign of a rise left open.
fn run(mirrored: bool, head: (&str, &str, &str, &str), parts: &[(&str, String)]) -> String {
    let (name, mut from, mut to, bore) = head;
    let mut texts: Vec<String> =
        parts.iter().map(|(name, part)| format!("\"{name}\": {part}")).collect();
    if mirrored {
        std::mem::swap(&mut from, &mut to);
        texts.reverse();
    }
    format!(
        "\"{name}\": Run(from: \"{from}\", to: \"{to}\", bore: \"{bore}\", parts: {{ {} }}),",
        texts.join(", ")
    )
}

/// A hose that rises along the flow.
fn hose(mirrored: bool, length_m: f64, rise_m: f64) -> String {
    let rise = if mirrored { -rise_m } else { rise_m };
    format!("Hose(length: \"{length_m} m\", rise: \"{rise} m\", bends: [Bend(angle: \"90°\")])")
}

/// A circuit with a tee, two coolers and a core in runs that may be mirrored; with parts that hold
/// no coolant (a meter, changes of bore) or without.
fn text(mirrored: bool, dry_parts: bool) -> String {
    let side_bore = if dry_parts { "16 mm" } else { "10 mm" };
    let through = |cooler: &str| format!("Pass(cooler: \"{cooler}\")");
    let side = run(
        mirrored,
        ("side", "split", "back", side_bore),
        &[
            ("up", hose(mirrored, 0.7, 0.3)),
            ("round", through("round")),
            ("down", hose(mirrored, 1.1, -0.3)),
        ],
    );
    let mut parts = vec![
        ("rated", through("rated")),
        ("meter", "Meter(fall: \"4 kPa\", at: \"60 L/min\")".to_owned()),
        ("hose", hose(mirrored, 1.3, 0.4)),
    ];
    if !dry_parts {
        parts.remove(1);
    }
    let upper = run(mirrored, ("upper", "split", "mid", "30 mm"), &parts);
    let core = run(
        mirrored,
        ("core", "mid", "back", "30 mm"),
        &[("core", "CoreSide(core: \"core\")".to_owned()), ("fall", hose(mirrored, 0.9, -0.4))],
    );
    format!(
        r#"Case(
            site: Site(air: "30 °C"),
            circuits: {{ "c": Circuit(coolant: EthyleneGlycol(by_volume: "30 %"), start: "35 °C", runs: {{
                "feed": Run(from: "back", to: "split", bore: "30 mm", parts: {{
                    "tank": Tank(volume: "4 L"),
                    "pump": Pump(shut_off: "80 kPa", free_flow: "140 L/min"),
                    "feed": Hose(length: "0.5 m", rise: "0 m"),
                }}),
                {side} {upper} {core} }},
                junctions: {{ "split": Tee(straight: ("feed", "upper"), side: "side") }}) }},
            coolers: {{
                "round": Cooler(heat: "4 kW", bore: "10 mm", length: "1 m"),
                "rated": Cooler(heat: "15 kW", fall: (fall: "12 kPa", at: "60 L/min")),
            }},
            cores: {{ "core": Core(rated: (heat: "30 kW", coolant: "60 L/min", air: "1.6 kg/s", difference: "40 K")) }},
            air_paths: {{ "front": AirPath(cores: ["core"], fans: {{ "fan": Fan(shut_off: "260 Pa", free_flow: "5200 m3/h") }}) }},
        )"#
    )
}

/// What a result of the case as written is called and counted in the mirrored one.
fn mirrored_address(address: &str) -> Option<(String, f64)> {
    if address.contains("/ahead:") {
        // Bore changes are named after the part behind them.
        return None;
    }
    let turned = ["c/side", "c/upper", "c/core"]
        .iter()
        .any(|run| address.strip_prefix(run).is_some_and(|rest| rest.starts_with([':', '/'])));
    if !turned {
        return Some((address.to_owned(), 1.0));
    }
    let (path, quantity) = address.rsplit_once(':').expect("an address has a quantity");
    // What is told of both ends of a part, by its written start and end.
    for of in ["pressure", "total", "height", "bore", "coolant", "vapour", "margin"] {
        for (end, other) in [("_in", "_out"), ("_out", "_in")] {
            if quantity.strip_suffix(end) == Some(of) {
                return Some((format!("{path}:{of}{other}"), 1.0));
            }
        }
    }
    let (quantity, sign) = match quantity {
        "flow" | "mass_flow" | "velocity" | "fall" | "lift" => (quantity, -1.0),
        "velocity_in" => ("velocity_out", -1.0),
        "velocity_out" => ("velocity_in", -1.0),
        "entry_fall" => ("exit_fall", -1.0),
        "exit_fall" => ("entry_fall", -1.0),
        _ => (quantity, 1.0),
    };
    Some((format!("{path}:{quantity}"), sign))
}

fn compare(written: &Results, mirrored: &Results, tolerance: f64) {
    let mut compared = 0;
    for (entry, value) in written.catalogue.entries().iter().zip(&written.values) {
        let Some((address, sign)) = mirrored_address(&entry.address) else { continue };
        // The volume flow of a run counts the density where it is read, at its written start.
        let run_flow = address.ends_with(":flow") && address.starts_with("c/");
        let share = if run_flow { 0.02 } else { tolerance };
        let other = sign * at(mirrored, &address);
        let allowed = share * value.abs() + 1e-5;
        assert!((value - other).abs() <= allowed, "{}: {value}, mirrored {other}", entry.address);
        compared += 1;
    }
    assert!(compared > 90, "only {compared} results compared");
}

#[test]
fn the_written_direction_of_a_run_changes_no_physical_number() {
    let [written, mirrored] = [false, true].map(|mirrored| read(&text(mirrored, false)));
    let rest = [&written, &mirrored].map(|case| point(&case.model, &case.model.values).results);
    assert!(at(&rest[1], "c/side:flow") < -1e-5, "the mirrored run flows against its writing");
    compare(&rest[0], &rest[1], 1e-6);

    let histories =
        [&written, &mirrored].map(|case| cycle(&case.model, &case.model.values, &constant(90.0)));
    for address in ["coolers/round:metal", "coolers/rated:metal", "cores/core:heat", "c:hottest"] {
        let ends =
            histories.each_ref().map(|history| *column(history, address).last().expect("rows"));
        let allowed = 1e-5 * ends[0].abs();
        assert!((ends[0] - ends[1]).abs() <= allowed, "{address} after 90 s: {ends:?}");
    }
}

/// Parts that hold no coolant take the density of the cell before them as written, so a mirrored
/// meter or change of bore counts the density of one cell further on: 1 K, or 5e-4 of its own fall.
#[test]
fn the_written_direction_of_parts_without_coolant_hardly_matters() {
    let [written, mirrored] = [false, true].map(|mirrored| read(&text(mirrored, true)));
    let rest = [&written, &mirrored].map(|case| point(&case.model, &case.model.values).results);
    compare(&rest[0], &rest[1], 5e-4);
}
