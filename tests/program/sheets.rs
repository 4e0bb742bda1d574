//! The papers against hand sums, gas laws and the operating point.

use std::process::Command;

use calamine::{Data, Reader, Xlsx, open_workbook};
use coolwright_models::fluids::{Base, Coolant, Share};
use serde_json::Value;

use crate::demos::ask;
use crate::levers::{number, of_text, rows, sections};

/// Two pumps in series, two hoses of 25 mm, a closed tank with its cap, a source and a core.
const CASE: &str = r#"Case(
    title: "A sheet case (invented)",
    site: Site(air: "20 °C", altitude: "0 m"),
    circuits: { "main": Circuit(coolant: Water, start: "20 °C", bore: "25 mm", bleeds: ["loop/core"], drains: ["loop/up"],
        runs: { "loop": Run(parts: {
            "tank": Tank(volume: "4 L", air: "1 L", cap: (opens: "100 kPa")),
            "a": Pump(shut_off: "60 kPa", free_flow: "80 L/min"),
            "b": Pump(shut_off: "60 kPa", free_flow: "80 L/min"),
            "up": Hose(length: "2 m", swelling: "0 %", bends: [Bend(angle: "90°", count: 3)]),
            "source": Pass(cooler: "motor"),
            "core": CoreSide(core: "radiator"),
            "back": Hose(length: "0.5 m", swelling: "0 %"),
        }) }) },
    coolers: { "motor": Cooler(heat: "8 kW", fall: (fall: "10 kPa", at: "30 L/min"), volume: "1 L") },
    cores: { "radiator": Core(rated: (heat: "20 kW", coolant: "40 L/min", air: "0.8 kg/s", difference: "40 K"), fall: (fall: "8 kPa", at: "40 L/min"), volume: "2 L") },
    air_paths: { "front": AirPath(cores: ["radiator"], fans: { "fan": Fan(shut_off: "200 Pa", free_flow: "1800 m3/h", current: "15 A") }) },
    gauges: {
        "flow": Gauge(reads: Flow, at: "main/loop/back", end: Outlet, error: "0.5 L/min"),
        "feed": Gauge(reads: Temperature, at: "main/loop/up", end: Outlet, error: "1 K"),
    },
    limits: { "feed": Limit(of: "coolers/motor:metal", max: "90 °C") },
    variants: { "alone": Variant(change: [("main/loop/b:speed", "0 %")]) },
)"#;

fn sheets() -> Value {
    let (code, answer) = of_text(CASE, &["sheets"], &[]);
    assert_eq!(code, 0);
    answer
}

/// By hand: 2 m and 0.5 m of 25 mm; a tenth more is 0.2 m and 0.05 m, of which the second is below 0.1 m: 2.2 + 0.6 m.
/// Two clamps for each. Three bends.
#[test]
fn hose_is_ordered_with_what_is_cut_off() {
    let answer = sheets();
    let [hose] = rows(sections(&answer, "order_hoses")[0]) else { panic!("one bore") };
    let of = |name: &str| number(&hose[name]).unwrap_or(f64::NAN);
    assert!((of("bore") - 0.025).abs() < 1e-12);
    assert!((of("length") - 2.5).abs() < 1e-12);
    assert!((of("to_order") - 2.8).abs() < 1e-12);
    assert_eq!((of("pieces"), of("clamps")), (2.0, 4.0));
    let [bend] = rows(sections(&answer, "order_bends")[0]) else { panic!("one kind of bend") };
    assert_eq!(number(&bend["count"]), Some(3.0));
    let fittings = rows(sections(&answer, "order_fittings")[0]);
    let count = |what: &str| {
        let found = fittings.iter().find(|row| row["what"] == what);
        found.and_then(|row| number(&row["count"])).unwrap_or(0.0)
    };
    for (what, many) in [
        ("pump", 2.0),
        ("fan", 1.0),
        ("relay and fuse holder", 3.0),
        ("bleed screw", 1.0),
        ("drain plug", 1.0),
        ("pressure cap", 1.0),
        ("thermometer", 1.0),
        ("flow meter", 1.0),
        ("core", 1.0),
        ("cooler", 1.0),
    ] {
        assert!((count(what) - many).abs() < 0.5, "{what}: {}", count(what));
    }
}

/// By hand: hoses π/4 · 25² mm² · 2.5 m = 1.227 L, cooler 1 L, core 2 L, tank 3 L; pumps and ends a little more.
#[test]
fn the_coolant_is_what_fits_in() {
    let answer = sheets();
    let parts = rows(sections(&answer, "coolant_parts")[0]);
    let volume = |path: &str| {
        let found =
            parts.iter().find(|row| row["part"] == path).unwrap_or_else(|| panic!("no {path}"));
        1e3 * number(&found["volume"]).expect("a volume")
    };
    for (path, litres) in [
        ("main/loop/up", 0.98175),
        ("main/loop/back", 0.24544),
        ("main/loop/source", 1.0),
        ("main/loop/core", 2.0),
        ("main/loop/tank", 3.0),
    ] {
        assert!((volume(path) - litres).abs() < 2e-4, "{path}: {}", volume(path));
    }
}

/// At the temperature that is told the gas of the tank stands at the pressure of the cap: with p V/T of its air and the
/// vapour of water at both temperatures, and with what the coolant has grown by from its density.
#[test]
fn the_cap_opens_where_the_gas_law_says() {
    let answer = sheets();
    let says = sections(&answer, "coolant")[0].to_string();
    let told = says.split("when all of the circuit is at ").nth(1).expect("a temperature");
    let at_k: f64 = told.split(' ').next().and_then(|text| text.parse().ok()).expect("a number");
    let water = Coolant::new(Base::Water, Share::ByVolume(0.0)).expect("water");
    let (cold_k, p0) = (293.15, 101_325.0);
    let coolant_m3: f64 = {
        let parts = rows(sections(&answer, "coolant_parts")[0]);
        parts.iter().filter_map(|row| number(&row["volume"])).sum()
    };
    let grown = coolant_m3 * (water.density(cold_k) / water.density(at_k) - 1.0);
    let (v1, v2) = (1e-3, 1e-3 - grown);
    let air = (p0 - water.vapour_pressure(cold_k)) * v1 / cold_k * at_k / v2;
    let gauge = air + water.vapour_pressure(at_k) - p0;
    // Hoses do not swell here, and 0.1 K is some 1 kPa.
    assert!((gauge - 100e3).abs() < 1.2e3, "{gauge} Pa at {at_k} K");
}

/// The first step runs one of two pumps, which is the variant in which the other stands.
#[test]
fn a_step_of_the_card_is_the_point_with_that_pump_alone() {
    let answer = sheets();
    let step = sections(&answer, "stand_steps")[0];
    assert_eq!(step["of"], "cold, of main only main/loop/a");
    let flow = rows(step).iter().find(|row| row["gauge"] == "flow").expect("the flow meter");
    let told = number(&flow["end"]).expect("a flow");
    let cold = CASE.replace("heat: \"8 kW\"", "heat: \"0 kW\"");
    let (_, point) = of_text(&cold, &["point"], &["--variant", "alone"]);
    let gauge = rows(sections(&point, "gauges")[0]);
    let gauge = gauge.iter().find(|row| row["gauge"] == "flow").expect("the flow meter");
    let want = number(&gauge["shows"]).expect("a flow");
    assert!((told - want).abs() < 2e-3 * want, "{told} against {want}");
    // The band is a share of a flow that a label tells; half a litre is well below half of it.
    assert!(number(&flow["band"]).expect("a band") > 0.0);
    let alone = told;
    let both =
        sections(&answer, "stand_steps").into_iter().find(|step| step["of"] == "cold, all pumps");
    let both = rows(both.expect("the step")).iter().find(|row| row["gauge"] == "flow").cloned();
    assert!(number(&both.expect("the flow meter")["end"]).expect("a flow") > 1.1 * alone);
}

/// A number in a cell of words, SI.
fn told(cell: &Value) -> Option<f64> {
    number(cell).or_else(|| number(&cell["slots"]["at"]))
}

/// Where what a gauge sees is limited it tells where to stop: a thermometer at the limited outlet no later than its error
/// before the bound, also while it falls and lags above the truth; a flow meter in the limited run.
#[test]
fn a_gauge_tells_where_to_stop_before_the_limit() {
    let case = CASE
        .replace("error: \"1 K\"", "error: \"1 K\", lag: \"8 s\"")
        .replace("start: \"20 °C\"", "start: \"60 °C\"")
        .replace("at: \"main/loop/up\"", "at: \"main/loop/source\"")
        .replace(
            "limits: {",
            "limits: { \"hot\": Limit(of: \"main/loop/source:out\", max: \"70 °C\"), \"least\": Limit(of: \
             \"main/loop:flow\", min: \"20 L/min\"),",
        );
    let (_, answer) = of_text(&case, &["sheets"], &[]);
    let steps = sections(&answer, "stand_steps");
    assert!(steps.len() > 4, "{}", steps.len());
    for step in steps {
        let stop = |gauge: &str| {
            let row = rows(step).iter().find(|row| row["gauge"] == gauge).expect("the gauge");
            told(&row["stop"]).unwrap_or_else(|| panic!("{} {row}", step["of"]))
        };
        let feed = stop("feed");
        assert!(feed <= 273.15 + 69.0 + 1e-6, "{}: {feed} K", step["of"]);
        assert!(feed > 273.15 + 40.0, "{}: {feed} K", step["of"]);
        let flow = 6e4 * stop("flow");
        assert!((20.0..=20.6).contains(&flow), "{}: {flow} L/min", step["of"]);
    }
    // It begins cold, whatever the duty begins with.
    let first = rows(sections(&answer, "stand_steps")[0]);
    let feed = first.iter().find(|row| row["gauge"] == "feed").expect("the thermometer");
    assert!((number(&feed["start"]).expect("a start") - 293.15).abs() < 0.5);
}

/// A bleed above the surface in the tank is not reached by what is poured in there: the bleed at the top of a hose that
/// rises half a metre.
#[test]
fn a_bleed_above_the_tank_is_told_so() {
    let rising = CASE
        .replace("Hose(length: \"2 m\"", "Hose(length: \"2 m\", rise: \"500 mm\"")
        .replace("Hose(length: \"0.5 m\"", "Hose(length: \"0.5 m\", rise: \"-500 mm\"");
    for (text, above) in [(rising.as_str(), true), (CASE, false)] {
        let (_, answer) = of_text(text, &["sheets"], &[]);
        let said = sections(&answer, "filling")[0].to_string();
        assert_eq!(said.contains("does not rise to it"), above, "{said}");
    }
}

/// What a case is read from is never written over, and no file is written twice.
#[test]
fn no_output_is_written_over_what_the_case_is_read_from() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["sled_tractor.ron", "parts.ron"] {
        let from = format!("{}/cases/{name}", env!("CARGO_MANIFEST_DIR"));
        std::fs::copy(from, folder.path().join(name)).expect("it can be copied");
    }
    let text = |name: &str| std::fs::read_to_string(folder.path().join(name)).expect("it is there");
    let before = ["sled_tractor.ron", "parts.ron"].map(text);
    for words in [
        &["point", "sled_tractor.ron", "--csv", "sled_tractor.ron"][..],
        &["point", "sled_tractor.ron", "--csv", "parts.ron"],
        &["sheets", "sled_tractor.ron", "-o", "./parts.ron"],
        &["sheets", "sled_tractor.ron", "--xlsx", "sled_tractor.ron"],
        &["sheets", "sled_tractor.ron", "-o", "both", "--xlsx", "both"],
        &["report", "sled_tractor.ron", "-o", "parts.ron"],
        &["chart", "sled_tractor.ron", "limits", "-o", "sled_tractor.ron"],
    ] {
        let done = Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .current_dir(folder.path())
            .args(words)
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert_eq!(done.status.code(), Some(2), "{words:?}: {said}");
        assert!(said.contains("would be written over"), "{words:?}: {said}");
    }
    assert_eq!(before, ["sled_tractor.ron", "parts.ron"].map(text));
    assert!(!folder.path().join("both").exists());
}

/// What the page, the workbook and JSON say is the same, and the same again.
#[test]
fn a_workbook_holds_the_numbers_of_the_answer() {
    let folder = tempfile::tempdir().expect("a folder");
    let case = folder.path().join("case.ron");
    std::fs::write(&case, CASE).expect("it can be written");
    let make = |name: &str| {
        let [page, book] = ["html", "xlsx"].map(|end| folder.path().join(format!("{name}.{end}")));
        let done = Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .args(["sheets", "--units", "si"])
            .arg(&case)
            .arg("-o")
            .arg(&page)
            .arg("--xlsx")
            .arg(&book)
            .output()
            .expect("the program runs");
        assert!(done.status.success() && done.stdout.is_empty());
        (page, book)
    };
    let ((page, book), (page_again, book_again)) = (make("one"), make("two"));
    let bytes = |path: &std::path::Path| std::fs::read(path).expect("it is there");
    assert_eq!(bytes(&page), bytes(&page_again));
    assert_eq!(bytes(&book), bytes(&book_again));
    let mut found: Xlsx<_> = open_workbook(&book).expect("a workbook");
    let sheet = found.worksheet_range("order hoses").expect("the order list");
    let numbers: Vec<f64> = sheet
        .used_cells()
        .filter_map(|(_, _, cell)| if let Data::Float(value) = cell { Some(*value) } else { None })
        .collect();
    for wanted in [0.025, 2.5, 2.8, 4.0] {
        assert!(
            numbers.iter().any(|value| (value - wanted).abs() < 1e-9),
            "{wanted} in {numbers:?}"
        );
    }
    let text = String::from_utf8(bytes(&page)).expect("text");
    for heading in [
        "Order list",
        "Coolant sheet",
        "Port table",
        "Fill and bleed",
        "Pressure test",
        "Wiring",
        "Stand card",
    ] {
        assert!(text.contains(&format!(">{heading}</h2>")), "{heading}");
    }
    // Each sheet goes its own way, so each has the cautions.
    assert!(text.matches("never open a cap").count() >= 7);
    assert!(!text.contains("<script") && !text.contains("http://") && !text.contains("https://"));
}

/// The two ways through the charge cooler of the fire tender begin with 16 mm and with 19 mm of hose. Its engine gives its load
/// at 2500 rpm and idles at 900 rpm: no quarter load comes from an engine that idles.
#[test]
fn ways_of_other_bores_and_loads_at_speed_are_told() {
    let (_, answer) = ask(&["sheets", "cases/guide/8_gauges.ron"]);
    let fittings = rows(sections(&answer, "order_fittings")[0]);
    let cooler = fittings.iter().find(|row| row["what"] == "cooler").expect("a cooler");
    let bores = cooler["bores"]
        .as_array()
        .expect("bores")
        .iter()
        .map(|bore| number(bore).unwrap_or(f64::NAN));
    assert_eq!(bores.collect::<Vec<_>>(), [0.019, 0.016]);
    for step in sections(&answer, "stand_steps") {
        let of = step["of"].as_str().expect("a name");
        let says = step["says"].as_array().expect("sentences");
        let speed = says.iter().find_map(|say| number(&say["slots"]["speed"])).expect("a speed");
        let rpm = speed * 30.0 / std::f64::consts::PI;
        let loaded = of.contains("load") || of == "three quarters";
        let by_hand = if loaded { 2500.0 } else { 900.0 };
        assert!((rpm - by_hand).abs() < 1e-6, "{of}: {rpm} rpm");
    }
}
