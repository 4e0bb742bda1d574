//! The demo: its log is that of its generator, and `learn` finds what is hidden in it.

use std::fmt::Write as _;
use std::process::Command;

use serde_json::Value;

use super::made::{Dice, at, hold_to_generator, truth};
use crate::demos::{ask, within};
use crate::levers::{number, printed, rows, sections};

const TENDER: &str = include_str!("../../../cases/learn/tender.ron");

/// What is hidden: a pump that gives three quarters of its head, a radiator that gives 88 % of its rating (66 of 75 kW).
const HIDDEN: &str = r#"Learnt(at: "charge/loop/pump:head_scale", is: "74 %"), Learnt(at: "cores/radiator:heat", is: "66 kW")"#;

/// Power in kW, engine speed in rpm, air in °C of half an hour on the stand.
fn drive(t: f64) -> [f64; 3] {
    let stages = [
        (0.0, 4.0, 2500.0),
        (60.0, 55.0, 2500.0),
        (360.0, 110.0, 2500.0),
        (660.0, 4.0, 2500.0),
        (900.0, 82.0, 2500.0),
        (1200.0, 4.0, 2500.0),
        (1350.0, 110.0, 2500.0),
        (1620.0, 4.0, 2500.0),
    ];
    let reached = stages.iter().rposition(|stage| stage.0 <= t).unwrap_or(0);
    let (from, power, speed) = stages[reached];
    let (_, before, slower) = stages[reached.saturating_sub(1)];
    // Three seconds from one to the next.
    let share = ((t - from) / 3.0).min(1.0);
    let go = |a: f64, b: f64| a + (b - a) * share;
    [go(before, power), go(slower, speed), 30.0]
}

/// The log of the demo.
fn log() -> String {
    // Everything as warm as the hall at the start.
    let cold = TENDER
        .replace("start: \"80 °C\"", "start: \"31 °C\"")
        .replace("start: \"30 °C\"", "start: \"31 °C\"");
    let shown = truth(&cold, (&drive, HIDDEN), (1800.0, 0.5));
    let mut dice = Dice::new(11);
    let mut log = "Fire tender; invented log; made by the model with hidden numbers and noise\n\
                   t;P_shaft;n_eng;T_amb;T_eng_out;T_eng_in;Q_eng;T_chg_hot;T_chg_cold;p_pump;note\n\
                   s;kW;rpm;°C;°C;°C;L/min;°C;°C;kPa;-\n"
        .to_owned();
    // Gauge, unit, offset, noise, how late its clock is.
    let gauges = [
        ("engine_out", 1.0, 273.15, 0.6, 0.15, 0.0),
        ("engine_in", 1.0, 273.15, -0.3, 0.15, 0.0),
        ("engine_flow", 60e3, 0.0, 1.5, 1.2, 0.0),
        ("charge_hot", 1.0, 273.15, 0.2, 0.12, 6.0),
        ("charge_cold", 1.0, 273.15, -0.4, 0.12, 6.0),
        ("pump_delivery", 1e-3, 0.0, 0.8, 0.4, 0.0),
    ];
    for k in 0..=1800 {
        let t = f64::from(k);
        // The logger is off for a while.
        if (700..730).contains(&k) {
            continue;
        }
        let [power, speed, air] = drive(t);
        let mut fields = vec![
            format!("{t:.1}"),
            format!("{:.1}", power * (1.0 + 0.01 * dice.normal())),
            format!("{:.0}", speed + 5.0 * dice.normal()),
            format!("{:.1}", air + 0.1 * dice.normal()),
        ];
        for (name, factor, zero, offset, noise, late) in gauges {
            let value = factor * at(&shown, &format!("gauges/{name}:reading"), t - late) - zero;
            fields.push(format!("{:.2}", value + offset + noise * dice.normal()));
        }
        match k {
            200 => "850.00".clone_into(&mut fields[4]),
            640 | 1100 => "-40.00".clone_into(&mut fields[9]),
            1400..1403 => "----".clone_into(&mut fields[5]),
            _ => {}
        }
        fields.push(if k == 660 { "pump off".to_owned() } else { String::new() });
        writeln!(log, "{}", fields.join(";").replace('.', ",")).expect("text");
        if k == 1000 {
            let again = log.lines().last().unwrap_or_default().to_owned();
            writeln!(log, "{again}").expect("text");
        }
    }
    log
}

/// The log in the tree is that of the generator, as far as the model has not changed since: `WRITE_DEMO=1` writes it
/// anew.
#[test]
fn the_log_of_the_demo_is_that_of_its_generator() {
    hold_to_generator("cases/learn/stand.csv", &log());
}

fn row<'a>(answer: &'a Value, section: &str, address: &str) -> &'a Value {
    let all = rows(sections(answer, section)[0]);
    all.iter()
        .find(|row| row["address"] == address)
        .unwrap_or_else(|| panic!("no {address} in {all:#?}"))
}

#[test]
fn what_is_hidden_in_the_demo_is_found_within_its_intervals() {
    let (code, answer) = ask(&["learn", "cases/learn/tender.ron", "cases/learn/stand.ron"]);
    for (address, hidden) in [("charge/loop/pump:head_scale", 0.74), ("cores/radiator:heat", 66e3)]
    {
        let row = row(&answer, "learnt", address);
        let [low, high] = ["low", "high"].map(|end| number(&row[end]).expect("an end"));
        within(address, hidden, low, high);
        // It is told, and not what the case says.
        let is = number(&row["is"]).expect("a number");
        assert!(is > high || is < low, "{address}: {is} within {low} to {high}");
        assert_eq!(row["told"], "true", "{row:#}");
    }
    // What is not hidden is where it was.
    for row in rows(sections(&answer, "learnt")[0]) {
        let address = row["address"].as_str().expect("an address");
        if !["charge/loop/pump:head_scale", "cores/radiator:heat"].contains(&address) {
            let [low, is, high] = ["low", "is", "high"].map(|key| number(&row[key]).expect("it"));
            within(address, is, low, high);
        }
    }
    assert!(code < 2);
    let told = answer.to_string();
    for words in
        ["1 gap", "spike", "`T_eng_in` has a text in 3 rows", "with the stamp of the row before"]
    {
        assert!(told.contains(words), "{words} is not in {told}");
    }
    // The clocks of two gauges are late by 6 s.
    for (gauge, late) in [("charge_hot", 6.0), ("charge_cold", 6.0)] {
        let row = row(&answer, "beside", &format!("gauges/{gauge}"));
        within(gauge, number(&row["behind_s"]).expect("a time"), late - 1.5, late + 1.5);
    }
}

/// The parts file that is written, included in the case, is the case with what was learnt: the same verdict and margins.
#[test]
fn what_was_learnt_counts_where_it_is_included() {
    let folder = tempfile::tempdir().expect("a folder");
    let learnt = folder.path().join("learnt.ron");
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(["learn", "cases/learn/tender.ron", "cases/learn/stand.ron", "--json", "-o"])
        .arg(&learnt)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    let answer: Value = serde_json::from_slice(&output.stdout).expect("an answer");
    let parts = std::fs::read_to_string(&learnt).expect("what was learnt");
    let with = TENDER.replace("    site: Site(", "    include: [\"learnt.ron\"],\n    site: Site(");
    // By hand: every number into the part that has it.
    let of = |address: &str| {
        let at = parts
            .find(&format!("at: \"{address}\""))
            .unwrap_or_else(|| panic!("{address} in {parts}"));
        let from = at + parts[at..].find("is: ").expect("a number") + 4;
        parts[from..].split_once(", sure").expect("its end").0.to_owned()
    };
    let edited = TENDER
        .replace(
            "Pump(shut_off: \"70 kPa\"",
            &format!(
                "Pump(head_scale: {}, shut_off: \"70 kPa\"",
                of("charge/loop/pump:head_scale")
            ),
        )
        .replace("heat: \"75 kW\"", &format!("heat: {}", of("cores/radiator:heat")));
    let offsets: Vec<&str> = parts.lines().filter(|line| line.contains("gauges/")).collect();
    let mut edited = edited;
    for line in offsets {
        let name =
            line.split("gauges/").nth(1).and_then(|rest| rest.split(':').next()).expect("a gauge");
        let was = format!("\"{name}\":");
        let at = edited.find(&was).expect("the gauge");
        let from = at + edited[at..].find("Gauge(").expect("a gauge") + 6;
        edited.insert_str(from, &format!("offset: {}, ", of(&format!("gauges/{name}:offset"))));
    }
    std::fs::write(folder.path().join("with.ron"), with).expect("a case");
    std::fs::write(folder.path().join("edited.ron"), edited).expect("a case");
    let cycle = |name: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .args(["cycle", "--json"])
            .arg(folder.path().join(name))
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        let answer: Value = serde_json::from_slice(&output.stdout).expect(&said);
        (output.status.code(), answer)
    };
    let ((code, with), (edited_code, edited)) = (cycle("with.ron"), cycle("edited.ron"));
    assert_eq!((code, output.status.code()), (edited_code, code), "{parts}");
    assert_eq!(with["histories"], edited["histories"]);
    for row in rows(sections(&with, "limits")[0]) {
        let name = row["limit"].as_str().expect("a limit");
        let all = rows(sections(&answer, "limits")[0]);
        let told = all.iter().find(|told| told["limit"] == name).expect("the limit");
        let [a, b] = [number(&row["margin_value"]), number(&told["with_margin"])];
        assert_eq!(a.map(f64::to_bits), b.map(f64::to_bits), "{name}");
    }
}

/// What a second log tells comes on top of what was learnt before: the offsets of gauges stay in the next parts file.
#[test]
fn learning_again_keeps_the_offsets() {
    let folder = tempfile::tempdir().expect("a folder");
    let learn = |case: &std::path::Path, to: &str| {
        let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .arg("learn")
            .arg(case)
            .arg(folder.path().join("stand.ron"))
            .arg("-o")
            .arg(folder.path().join(to))
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        std::fs::read_to_string(folder.path().join(to)).unwrap_or_else(|_| panic!("{said}"))
    };
    let with = TENDER.replace("    site: Site(", "    include: [\"learnt.ron\"],\n    site: Site(");
    for (name, text) in [("tender.ron", TENDER), ("with.ron", &with)] {
        std::fs::write(folder.path().join(name), text).expect("a case");
    }
    for name in ["stand.ron", "stand.csv"] {
        let from = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/learn").join(name);
        std::fs::copy(from, folder.path().join(name)).expect("a copy");
    }
    let first = learn(&folder.path().join("tender.ron"), "learnt.ron");
    let again = learn(&folder.path().join("with.ron"), "again.ron");
    let offsets = |text: &str| -> Vec<(String, f64)> {
        let lines = text.lines().filter(|line| line.contains(":offset"));
        let one = |line: &str| {
            let gauge = line.split('"').nth(1).expect("an address").to_owned();
            let number = line.split("is: \"").nth(1).and_then(|rest| rest.split(' ').next());
            (gauge, number.and_then(|number| number.parse().ok()).expect("a number"))
        };
        lines.map(one).collect()
    };
    let (first, again) = (offsets(&first), offsets(&again));
    assert!(!first.is_empty());
    for (gauge, was) in &first {
        let is =
            again.iter().find(|(known, _)| known == gauge).unwrap_or_else(|| panic!("{gauge}")).1;
        assert!((is - was).abs() < 0.2 * was.abs().max(0.1), "{gauge}: {was}, then {is}");
    }
}

#[test]
fn the_same_bytes_come_from_one_thread_and_from_three() {
    let words =
        ["learn", "cases/learn/tender.ron", "cases/learn/stand.ron", "--units", "us", "--full"];
    assert_eq!(printed("1", &words), printed("3", &words));
}

/// A minute of the demo's log, cold and idling: nearly no heat goes through the radiator, so nothing is told of it, and
/// no step without heat would. Heat has to come: a load of the stand card, from warm, or the duty cycle, which holds the
/// most of it for the longest. The pump shows in its pressure and its flow whenever it runs, so it is told already, and
/// within a tenth of what the offset of its pressure gauge leaves open no step can help.
#[test]
fn the_step_that_would_tell_most_is_one_that_brings_heat() {
    let folder = tempfile::tempdir().expect("a folder");
    let log = include_str!("../../../cases/learn/stand.csv");
    let log: String = log.split_inclusive('\n').take(63).collect();
    let stand = include_str!("../../../cases/learn/stand.ron");
    for (name, text) in [("tender.ron", TENDER), ("stand.ron", stand), ("stand.csv", &log)] {
        std::fs::write(folder.path().join(name), text).expect("it can be written");
    }
    let path = |name: &str| folder.path().join(name).display().to_string();
    let (case, stand) = (path("tender.ron"), path("stand.ron"));
    let (_, answer) = ask(&["learn", &case, &stand]);
    let heat = row(&answer, "learnt", "cores/radiator:heat");
    let [low, high] = ["low", "high"].map(|end| number(&heat[end]).expect("an end"));
    assert!(high - low > 20e3, "{heat:#}");
    let all = rows(sections(&answer, "steps")[0]);
    assert!((1..=3).contains(&all.len()), "{all:#?}");
    assert_eq!(all[0]["address"], "the duty cycle of the case");
    // Two rounds and a pull, and the rest after it: 3 (180 s + 360 s).
    assert_eq!(number(&all[0]["hold"]), Some(1620.0));
    let loads = ["quarter load", "half load", "three quarters", "full load"];
    for row in all {
        let name = row["address"].as_str().expect("a step");
        assert!(loads.contains(&name) || name == "the duty cycle of the case", "{row:#}");
        assert!(row["gains"].to_string().contains("cores/radiator:heat"), "{row:#}");
        let ratios = row["ratios"].as_array().expect("ratios");
        let ratios: Vec<f64> = ratios.iter().filter_map(number).collect();
        assert!(ratios.len() == 2 && ratios.iter().all(|ratio| *ratio <= 1.0), "{row:#}");
        assert!(ratios[1] < 0.9, "{row:#}");
    }
}
