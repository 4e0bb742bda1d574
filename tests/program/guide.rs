//! The guide of the README: what it shows stands in the files of its steps, they lead where it says, and the
//! numbers on the way are those of sums done by hand.

use std::collections::BTreeMap;
use std::path::Path;

use crate::demos::{L_MIN, ask, hose_kpa, result, root, variant, within};

/// The steps by their number: the name of the file and its text.
fn steps() -> BTreeMap<String, (String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/guide");
    let entries = std::fs::read_dir(folder).expect("the guide has a folder");
    let step = |path: &Path| {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let number = name.split('_').next().expect("a number").to_owned();
        (number, (name, std::fs::read_to_string(path).expect("a text")))
    };
    entries.map(|entry| step(&entry.expect("an entry").path())).collect()
}

/// The sections of the guide in the README, by the number in their heading.
fn told() -> BTreeMap<String, &'static str> {
    let readme = include_str!("../../README.md");
    let (_, guide) = readme.split_once("\n## From nothing to a decision").expect("a guide");
    let guide = guide.split("\n## ").next().expect("a text");
    let sections = guide.split("\n### ").skip(1);
    sections.map(|s| (s.split('.').next().expect("a number").to_owned(), s)).collect()
}

#[test]
fn what_the_guide_shows_stands_in_its_files() {
    let (steps, told) = (steps(), told());
    assert_eq!(steps.keys().collect::<Vec<_>>(), told.keys().collect::<Vec<_>>());
    for (number, section) in told {
        let (name, text) = &steps[&number];
        assert!(section.contains(&format!("`cases/guide/{name}`")), "{number}: {name}");
        let shown: Vec<&str> = section
            .split("```ron\n")
            .skip(1)
            .map(|block| block.split("```").next().expect("an end"))
            .collect();
        assert!(!shown.is_empty(), "step {number} shows nothing of its case");
        for block in shown {
            assert!(text.contains(block), "{name} does not hold:\n{block}");
        }
    }
}

/// A step adds to the one before it: of that all lines stay but the few that it changes.
#[test]
fn each_step_adds_to_the_one_before() {
    let steps: Vec<(String, String)> = steps().into_values().collect();
    for pair in steps.windows(2) {
        let [(_, before), (name, text)] = pair else { unreachable!("windows of two") };
        let lost = before.lines().filter(|line| !text.lines().any(|other| other == *line));
        // The comment, the title, and what the step is about.
        let most = if name.starts_with('2') { 8 } else { 5 };
        let lost: Vec<&str> = lost.collect();
        assert!(lost.len() <= most, "{name} lost:\n{}", lost.join("\n"));
        assert!(text.lines().count() > before.lines().count(), "{name} adds nothing");
    }
}

#[test]
fn every_step_reads_and_leads_where_the_guide_says() {
    for (number, (name, _)) in steps() {
        let path = format!("cases/guide/{name}");
        let (status, found) = ask(&["check", &path]);
        assert_eq!(status, 0, "{name}: {found:#}");
        let (status, _) = ask(&["point", &path]);
        assert_eq!(status, i32::from(number.as_str() >= "4"), "{name}");
    }
    for (step, holding) in
        [("5_variants", ["both"].as_slice()), ("6_duty_cycle", ["wide_far", "both"].as_slice())]
    {
        let (_, answer) = ask(&["compare", &format!("cases/guide/{step}.ron")]);
        for name in ["as it stands", "wide_far", "second_pump", "more_fans", "both"] {
            let holds = variant(&answer, name)["verdict"] == "holds";
            let wanted = holding.contains(&name) || name == "wide_far";
            assert_eq!(holds, wanted, "{step} {name}");
            let beside = variant(&answer, name)["beside"].as_array().expect("sentences");
            assert_eq!(beside.is_empty(), holding.contains(&name), "{step} {name}: {beside:#?}");
        }
    }
}

/// Step 1 by hand, with 40 % ethylene glycol by volume at 41 °C: 1050 kg/m³, 3.54 kJ/(kg·K) and 1.71 mPa·s (just above
/// the row of 40 °C in `tests/reference/fluids_ashrae_glycol.csv`, ASHRAE Handbook of Fundamentals 2001, chapter 21).
///
///   pump     70 (1 − (Q/90)²)
///   cooler   25 (Q/40)^1.8
///   core     12 (Q/45)^1.8    (the program's assumption: 12 kPa at its rated flow)
///   hoses    4.6 m of 25 mm with 6 right angles
///   tank     1.5 velocity heads
///
/// Rated with water of 20 °C: a head goes with ρ, a fall of exponent 1.8 with ρ^0.8 μ^0.2. 14 % of 110 kW warm it.
#[test]
fn the_first_step_is_what_hand_sums_say() {
    let (density, heat_capacity, viscosity) = (1050.0, 3540.0, 1.71e-3);
    let thicker = (density / 998.2_f64).powf(0.8) * (viscosity / 1.002e-3_f64).powf(0.2);
    let flow = root(1.0, 89.0, |q| {
        let velocity = q * L_MIN / (std::f64::consts::FRAC_PI_4 * 0.025 * 0.025);
        let parts = 25.0 * (q / 40.0).powf(1.8) + 12.0 * (q / 45.0).powf(1.8);
        let open = hose_kpa(q, 0.025, 4.6, 6.0, density, viscosity)
            + 1.5 * 0.5 * density * velocity * velocity / 1e3;
        density / 998.2 * 70.0 * (1.0 - (q / 90.0).powi(2)) - thicker * parts - open
    });
    let rise = 15.4e3 / (flow * L_MIN * density * heat_capacity);
    let (_, answer) = ask(&["point", "cases/guide/1_one_loop.ron"]);
    let got = result(&answer, "coolers/charge_cooler:flow") / L_MIN;
    within("flow in L/min", got, 0.98 * flow, 1.02 * flow);
    within("rise in K", result(&answer, "coolers/charge_cooler:rise"), 0.98 * rise, 1.02 * rise);
}

/// Step 3: the radiator gets air that the charge core has warmed by its heat over mass flow times 1.007 kJ/(kg·K) (dry
/// air at 35 °C, any table), and all heat of the engine, 60 % of 110 kW, goes through it, with what its pump adds:
/// some 150 L/min against some 60 kPa are 150 W at the least, and 400 W with half of it lost in the pump.
#[test]
fn the_radiator_of_the_third_step_stands_in_warmed_air() {
    let (_, answer) = ask(&["point", "cases/guide/3_second_circuit.ron"]);
    let get = |address: &str| result(&answer, address);
    let warmed = get("cores/charge_core:heat") / (get("air_paths/front:mass_flow") * 1007.0);
    let met = get("cores/radiator:air_in") - (273.15 + 30.0);
    within("air before the radiator, K over the site's", met, 0.985 * warmed, 1.015 * warmed);
    within("heat of the radiator, kW", get("cores/radiator:heat") / 1e3, 66.1, 66.4);
}
