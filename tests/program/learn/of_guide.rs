//! The log of the guide: it is that of its generator, `learn` comes near to what is hidden in it, and what the case of the next
//! chapter includes is what `learn` writes.

use std::fmt::Write as _;
use std::process::Command;

use serde_json::Value;

use super::made::{Dice, at, hold_to_generator, truth};
use crate::demos::within;
use crate::levers::{number, rows, sections};
use crate::shown::root;

const CASE: &str = include_str!("../../../cases/guide/8_gauges.ron");

/// What is hidden: a pump that gives 88 % of its head, a radiator that gives 68 of its 75 kW.
const HIDDEN: &str = r#"Learnt(at: "charge/feed/pump:head_scale", is: "88 %"), Learnt(at: "cores/radiator:heat", is: "68 kW")"#;

/// Power in kW, engine speed in rpm, air in °C of twenty minutes on the stand.
fn drive(t: f64) -> [f64; 3] {
    let stages =
        [(0.0, 4.0), (60.0, 55.0), (300.0, 110.0), (540.0, 4.0), (780.0, 82.0), (960.0, 4.0)];
    let reached = stages.iter().rposition(|stage| stage.0 <= t).unwrap_or(0);
    let (from, power) = stages[reached];
    let (_, before) = stages[reached.saturating_sub(1)];
    // Three seconds from one to the next.
    let share = ((t - from) / 3.0).min(1.0);
    [before + (power - before) * share, 2500.0, 22.0]
}

/// The case as it stands in the hall: all as warm as that. Its tolerances go, as the log tells the air.
fn in_the_hall() -> String {
    let from = CASE.find("    chance: Chance(").expect("tolerances");
    let to = CASE.find("    variants:").expect("variants");
    let case = format!("{}{}", &CASE[..from], &CASE[to..]);
    case.replace("start: \"80 °C\"", "start: \"22 °C\"")
        .replace("start: \"30 °C\"", "start: \"22 °C\"")
}

fn log() -> String {
    let shown = truth(&in_the_hall(), (&drive, HIDDEN), (1200.0, 0.5));
    let mut dice = Dice::new(11);
    let mut log =
        "Fire tender of the guide; invented log; made by the model with hidden numbers and noise\n\
                   t;P_shaft;n_eng;T_amb;T_eng_out;T_eng_in;Q_eng;T_chg_hot;T_chg_cold;p_pump\n\
                   s;kW;rpm;°C;°C;°C;L/min;°C;°C;kPa\n"
            .to_owned();
    // Gauge, unit, offset, noise.
    let gauges = [
        ("engine_out", 1.0, 273.15, 0.6, 0.15),
        ("engine_in", 1.0, 273.15, -0.3, 0.15),
        ("engine_flow", 60e3, 0.0, 1.5, 1.2),
        ("charge_hot", 1.0, 273.15, 0.2, 0.12),
        ("charge_cold", 1.0, 273.15, -0.4, 0.12),
        ("pump_delivery", 1e-3, 0.0, 0.3, 0.4),
    ];
    for k in 0..=1200 {
        let t = f64::from(k);
        let [power, speed, air] = drive(t);
        let mut fields = vec![
            format!("{t:.0}"),
            format!("{:.1}", power * (1.0 + 0.003 * dice.normal())),
            format!("{:.0}", speed + 5.0 * dice.normal()),
            format!("{:.1}", air + 0.1 * dice.normal()),
        ];
        for (name, factor, zero, offset, noise) in gauges {
            let value = factor * at(&shown, &format!("gauges/{name}:reading"), t) - zero;
            fields.push(format!("{:.2}", value + offset + noise * dice.normal()));
        }
        writeln!(log, "{}", fields.join(";")).expect("text");
    }
    log
}

#[test]
fn the_log_of_the_guide_is_that_of_its_generator() {
    hold_to_generator("cases/guide/stand/stand.csv", &log());
}

/// `WRITE_PRINTED=1` writes what was learnt anew.
#[test]
fn what_the_guide_includes_is_what_its_log_tells() {
    let folder = tempfile::tempdir().expect("a folder");
    let learnt = folder.path().join("learnt.ron");
    let words = ["learn", "cases/guide/8_gauges.ron", "cases/guide/stand/stand.ron", "--json"];
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(words)
        .arg("-o")
        .arg(&learnt)
        .current_dir(root())
        .output()
        .expect("the program runs");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let answer: Value = serde_json::from_slice(&output.stdout).expect(&said);
    // As near as gauges that are off by some tenths of a kelvin at the start let it be: an interval takes the start as known.
    for (address, hidden, near) in
        [("charge/feed/pump:head_scale", 0.88, 0.02), ("cores/radiator:heat", 68e3, 700.0)]
    {
        let all = rows(sections(&answer, "learnt")[0]);
        let row = all.iter().find(|row| row["address"] == address).expect("a number");
        within(address, number(&row["to"]).expect("a number"), hidden - near, hidden + near);
        assert_eq!(row["told"], "true", "{row:#}");
    }
    let kept = root().join("cases/guide/stand/learnt.ron");
    let now = std::fs::read_to_string(learnt).expect("what was learnt");
    if std::env::var_os("WRITE_PRINTED").is_some() {
        std::fs::write(&kept, &now).expect("it can be written");
    }
    let kept = std::fs::read_to_string(kept).expect("what the case includes");
    assert!(kept == now, "WRITE_PRINTED=1 writes it anew:\n{now}");
}
