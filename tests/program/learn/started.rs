//! How warm it was at the start is told by thermometers that are off: intervals count with that.

use std::fmt::Write as _;

use coolwright::ask::Case;
use coolwright::render::json;
use coolwright::workers::Alone;
use serde_json::Value;

use super::draws::{CASE, NUMBERS, TRUTH};
use super::made::{Dice, at, truth};
use crate::levers::{number, rows, sections};

const HIDDEN: &str = r#"Learnt(at: "main/loop/pump:head_scale", is: "80 %"), Learnt(at: "cores/core:heat", is: "7 kW")"#;
/// The stand file of such a log.
pub(crate) const STAND: &str = r#"Stand(log: "stand.csv", time: ("t", "s"), drives: [("power", "P", "kW")],
    gauges: [("hot", "T_eng_out", "°C"), ("cold", "T_cold", "°C"), ("flow", "Q", "L/min")],
    fit: [Fit(at: "main/loop/pump:head_scale"), Fit(at: "cores/core:heat")])"#;

/// Warmed up at no power, hot for a minute, and cooling down.
fn drive(t: f64) -> [f64; 3] {
    [if (10.0..70.0).contains(&t) { 60.0 } else { 0.0 }, 2000.0, 25.0]
}

/// The log with both thermometers off the same way.
pub(crate) fn log(off_k: f64) -> String {
    let shown = truth(CASE, (&drive, HIDDEN), (150.0, 0.5));
    let mut dice = Dice::new(3);
    let mut log =
        "Bench of a small circuit; invented log\nt;P;note;T_eng_out;T_cold;Q\ns;kW;-;°C;°C;L/min\n"
            .to_owned();
    for k in 0..=150 {
        let t = f64::from(k);
        let [hot, cold] = ["hot", "cold"].map(|name| {
            let k = at(&shown, &format!("gauges/{name}:reading"), t);
            k - 273.15 + off_k + 0.03 * dice.normal()
        });
        let flow = 60e3 * at(&shown, "gauges/flow:reading", t) + 0.05 * dice.normal();
        let power = drive(t)[0];
        writeln!(log, "{t};{power};;{hot:.2};{cold:.2};{flow:.2}").expect("text");
    }
    log
}

#[test]
fn a_start_told_by_thermometers_that_are_off_leaves_the_truth_in_its_interval() {
    for off_k in [-0.35, -0.2, 0.2, 0.35] {
        let log = log(off_k);
        let case = Case::read("small.ron", CASE, &mut |_| Err("nothing".to_owned()));
        let case = case.unwrap_or_else(|refusal| panic!("{:?}", refusal.complaints()));
        let mut open = |_: &str| -> Result<Box<dyn std::io::Read>, String> {
            Ok(Box::new(std::io::Cursor::new(log.clone())))
        };
        let learnt = case.learn(("stand.ron", STAND), &mut open, &Alone);
        let learnt = learnt.unwrap_or_else(|refusal| panic!("{:?}", refusal.complaints()));
        let answer = Value::Object(json::tree(&learnt.answer));
        for (address, truth) in NUMBERS.iter().zip(TRUTH) {
            let all = rows(sections(&answer, "learnt")[0]);
            let row = all.iter().find(|row| row["address"] == *address).expect("its row");
            let [low, to, high] = ["low", "to", "high"].map(|key| number(&row[key]).expect("it"));
            assert!((low..=high).contains(&truth), "{off_k} K off: {address} is {truth}: {row:#}");
            // Taken for the truth the thermometers would make it 3.7 % of the heat.
            assert!(
                (to / truth - 1.0).abs() < 0.015,
                "{off_k} K off: {address} is {truth}: {row:#}"
            );
        }
    }
}
