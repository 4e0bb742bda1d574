//! Verdicts by an independent rule: heat in against heat out, limits against the numbers, crossings against many samples.

use coolwright::ask::{Case, Lengths, Moment, Question, Wanted};
use coolwright::render::{Style, json};
use coolwright::workers::Alone;
use serde_json::Value;

use super::vehicle::{Vehicle, Way};
use super::{each, results, settled};

/// Asks a vehicle.
fn ask(vehicle: &Vehicle, question: &Question) -> Value {
    let text = vehicle.written(Way::default());
    let mut none = |name: &str| Err(format!("no file {name}"));
    let case = Case::read("vehicle.ron", &text, &mut none);
    let case = case.unwrap_or_else(|refusal| panic!("{}", refusal.text(&Style::SI)));
    let answer =
        case.ask(question, &Alone).unwrap_or_else(|refusal| panic!("{}", refusal.text(&Style::SI)));
    serde_json::from_str(&json::json(&answer)).expect("an answer is JSON")
}

/// The rows of the limits of an answer.
fn limits(answer: &Value) -> Vec<&Value> {
    let sections = answer["sections"].as_array().expect("sections").iter();
    let own = sections.filter(|section| section["name"] == "limits");
    own.flat_map(|section| section["tables"][0]["rows"].as_array().expect("rows")).collect()
}

/// A number where there is one; as a quantity or bare.
fn number(value: &Value) -> Option<f64> {
    value["value"].as_f64().or_else(|| value.as_f64())
}

/// The verdict by what is told of the limits: broken where one is, holds where all are kept, else not judged.
fn by_limits(rows: &[&Value]) -> &'static str {
    let has = |word: &str| rows.iter().any(|row| row["standing"] == word);
    match (has("broken"), has("not_judged")) {
        (true, _) => "broken",
        (false, true) => "not_judged",
        (false, false) => "holds",
    }
}

/// Holds each limit to its own number and bound, and the verdict to the limits.
fn judged(answer: &Value, column: &str) -> Result<&'static str, String> {
    let rows = limits(answer);
    for row in &rows {
        let (Some(value), Some(bound)) = (number(&row[column]), number(&row["bound_value"])) else {
            if row["standing"] == "kept" {
                return Err(format!("kept without a number: {row}"));
            }
            continue;
        };
        let is_broken = if row["bound_side"] == "max" { value > bound } else { value < bound };
        // At the bound itself the last digits decide.
        let is_near = (value - bound).abs() <= 1e-9 * bound.abs().max(1.0);
        let is_told = row["standing"] == "broken";
        if row["standing"] != "not_judged" && !is_near && is_broken != is_told {
            return Err(format!("{value} against {bound}: {row}"));
        }
    }
    let word = by_limits(&rows);
    // What boils or has no steady state may be told as worse than its limits are; never as better.
    if answer["verdict"] != word && (answer["verdict"] == "holds" || word == "broken") {
        return Err(format!("the verdict is {}, and its limits say {word}", answer["verdict"]));
    }
    Ok(word)
}

/// At rest all heat that comes into the coolant leaves it through the cores.
#[test]
fn what_goes_in_comes_out() {
    each("heat", |vehicle, _| {
        let (_, point) = settled(vehicle, Way::default());
        if !point.held.is_empty() {
            return Ok("without a steady state");
        }
        let (mut came, mut went) = (0.0, 0.0);
        for (address, (value, _)) in results(&point) {
            let is = |group: &str, of: &str| address.starts_with(group) && address.ends_with(of);
            // A tank with ice takes heat from the air around it, or gives some off, whatever else is told of that air.
            let is_of_bay = address.ends_with(":bay_heat") && !address.contains('/');
            if is("coolers/", ":heat_in") || address.ends_with("/pump:pump_heat") || is_of_bay {
                came += value;
            } else if is("cores/", ":heat") {
                went += value;
            }
        }
        // What sources have is known beforehand: their shares of the power.
        let told: f64 =
            vehicle.loops.iter().map(|of| of.share / 100.0 * vehicle.power_kw * 1e3).sum();
        if (came - went).abs() > 1e-6 * told + 0.1 {
            return Err(format!("{came} W come in, where sources have {told} W; {went} W go out"));
        }
        Ok("steady")
    });
}

#[test]
fn a_point_is_judged_as_its_numbers_say() {
    each("points", |vehicle, _| {
        let answer =
            ask(vehicle, &Question::Point { variant: None, moment: Moment::Full, off: false });
        judged(&answer, "value")
    });
}

/// What is told as the worst is so by many samples, and so is when it was first broken.
#[test]
fn a_cycle_is_judged_as_its_samples_say() {
    each("samples", |vehicle, _| {
        let every_s = 0.25;
        let wanted = Wanted { columns: vec!["coolers/*:metal".to_owned()], every_s: Some(every_s) };
        let answer =
            ask(vehicle, &Question::Cycle { variant: None, wanted, lengths: Lengths::default() });
        let word = judged(&answer, "worst")?;
        let histories = &answer["histories"];
        let columns = histories["columns"].as_array().expect("columns");
        let times: Vec<f64> = histories["times_s"]
            .as_array()
            .expect("times")
            .iter()
            .filter_map(Value::as_f64)
            .collect();
        for row in limits(&answer) {
            let Some(k) = columns.iter().position(|column| column["address"] == row["address"])
            else {
                continue;
            };
            let (Some(worst), Some(bound)) = (number(&row["worst"]), number(&row["bound_value"]))
            else {
                continue;
            };
            let rows = histories["rows"].as_array().expect("rows").iter();
            let samples: Vec<f64> = rows.filter_map(|row| row[k].as_f64()).collect();
            let most = samples.iter().copied().fold(f64::MIN, f64::max);
            // Between two samples of a metal that warms by some kelvin a second it may be that much more.
            if most > worst + 0.01 || most < worst - 2.0 {
                return Err(format!(
                    "the worst is told as {worst} K, and samples come to {most} K: {row}"
                ));
            }
            let first =
                samples.iter().position(|sample| *sample > bound + 0.01).map(|at| times[at]);
            let told = row["first_broken"].as_f64();
            let agrees = match (first, told) {
                (Some(first), Some(told)) => told <= first + 1e-6 && told >= first - 30.0,
                (Some(_), None) => false,
                (None, Some(_)) => worst <= bound + 2.0,
                (None, None) => true,
            };
            if !agrees {
                return Err(format!(
                    "first broken at {told:?} s, by samples at {first:?} s: {row}"
                ));
            }
        }
        Ok(word)
    });
}
