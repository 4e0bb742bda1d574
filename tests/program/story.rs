//! A duty cycle in a few lines: what they say is what the tables of the same answer hold.

use coolwright::answer::{Answer, Topic};
use coolwright::render::{Extent, json};
use coolwright_cases::quantity::UnitSystem;
use serde_json::Value;

use crate::answered::{self, solved};
use crate::levers::{number, rows, sections};

fn cycles() -> impl Iterator<Item = &'static (String, Answer)> {
    solved().filter(|(_, answer)| answer.topic == Topic::Cycle)
}

/// Ten lines, and not one more, whatever the cycle.
#[test]
fn a_story_is_short() {
    for (name, answer) in cycles() {
        let text = answered::printed(answer, UnitSystem::Metric, &Extent::Only("story".to_owned()));
        let lines = text.lines().count();
        assert!((2..=11).contains(&lines), "{name}: {text}");
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{name}: {line}");
        }
    }
}

/// Every limit that a line calls the closest of its pull leaves, in what it may be off by, no more than any other in that
/// pull; and what breaks is in no pull told as kept.
#[test]
fn the_closest_of_a_pull_is_the_one_with_the_least_room() {
    let mut compared = 0;
    for (name, answer) in cycles() {
        let answer = Value::Object(json::tree(answer));
        let story = sections(&answer, "story")[0];
        let pulls = rows(sections(&answer, "pulls")[0]);
        let limits = rows(sections(&answer, "limits")[0]);
        // What a limit may be off by.
        let off = |limit: &str| {
            let row = limits.iter().find(|row| row["limit"] == limit)?;
            number(&row["worst_uncertainty"]).filter(|off| *off > 0.0)
        };
        for told in story["says"].as_array().expect("its lines") {
            let text = told["text"].as_str().expect("a line");
            let Some((pull, rest)) = text.strip_prefix('`').and_then(|rest| rest.split_once('`'))
            else {
                continue;
            };
            let place: f64 =
                pull.rsplit(' ').next().and_then(|n| n.parse().ok()).expect("its number");
            // The limits in this pull, with their margins.
            let margins: Vec<(&str, f64)> = pulls
                .iter()
                .filter(|row| number(&row["pull"]) == Some(place))
                .filter_map(|row| {
                    let by = number(&row["margin"]["says"]["slots"]["by"])?;
                    let sign = if row["margin"]["holds"] == true { 1.0 } else { -1.0 };
                    Some((row["limit"].as_str()?, sign * by))
                })
                .collect();
            let broken = margins.iter().any(|(_, by)| *by < 0.0);
            assert_eq!(rest.contains("breaks"), broken, "{name}: {text}");
            if broken {
                continue;
            }
            let (_, closest) = rest.split_once("closest comes ").expect("the closest");
            let room = |(limit, by): &(&str, f64)| off(limit).map(|off| by / off);
            let is_told = |(limit, _): &&(&str, f64)| closest.starts_with(&format!("{limit}, "));
            let told = margins.iter().find(is_told).expect("its row");
            let Some(least) = room(told) else { continue };
            compared += 1;
            // Those that the case does not have are told where they matter alone.
            let own = |(limit, _): &&(&str, f64)| {
                limits.iter().any(|row| row["limit"] == *limit && row["built_in"].is_null())
            };
            for other in margins.iter().filter(own).filter_map(room) {
                assert!(least <= other + 1e-9, "{name}: {text}: {other} is less than {least}");
            }
        }
    }
    assert!(compared >= 3, "{compared}");
}
