//! Answers as JSON, in SI units. The form is described in DEVELOPERS.md and has a version.

use coolwright_cases::lower::Ready;
use coolwright_models::crossings::Crossings;
use coolwright_models::results::Results;
use serde_json::{Map, Value, json};

use crate::study::{Bound, Finding, Influence, Judged};

/// Version of the form of all answers.
pub const VERSION: u32 = 1;

/// The head of an answer.
pub fn head(command: &str, title: &str) -> Map<String, Value> {
    let mut map = Map::new();
    map.insert("format".into(), json!(format!("coolwright-{command}")));
    map.insert("version".into(), json!(VERSION));
    map.insert("program".into(), json!(env!("CARGO_PKG_VERSION")));
    map.insert("units".into(), json!("SI"));
    map.insert("title".into(), json!(title));
    map
}

/// A number, or null where there is none.
pub fn number(value: f64) -> Value {
    if value.is_finite() { json!(value) } else { Value::Null }
}

/// The verdict: `holds`, `broken` or `none`.
pub fn verdict(judged: &[Judged]) -> Value {
    if judged.is_empty() {
        json!("none")
    } else if judged.iter().all(Judged::holds) {
        json!("holds")
    } else {
        json!("broken")
    }
}

/// The limits with their values.
pub fn limits(judged: &[Judged]) -> Value {
    let limit = |j: &Judged| {
        json!({
            "name": j.limit.name,
            "of": j.limit.of,
            "bound": match j.limit.bound { Bound::AtLeast => "min", Bound::AtMost => "max" },
            "limit": number(j.limit.value),
            "value": number(j.value),
            "margin": number(j.margin),
            "holds": j.holds(),
        })
    };
    judged.iter().map(limit).collect()
}

/// All results by address.
pub fn results(results: &Results) -> Value {
    let entry = |(entry, &value): (&coolwright_models::results::Entry, &f64)| {
        let quantity = entry.quantity;
        let inside = json!({
            "value": number(value),
            "kind": format!("{:?}", quantity.kind),
            "label": quantity.label,
            "formula": quantity.formula,
        });
        (entry.address.clone(), inside)
    };
    Value::Object(results.catalogue.entries().iter().zip(&results.values).map(entry).collect())
}

/// What was assumed, the most influential first.
pub fn assumptions(ready: &Ready, influences: &[Influence]) -> Value {
    let one = |influence: &Influence| {
        let assumption = &ready.assumptions[influence.assumption];
        json!({
            "what": assumption.what,
            "value": number(assumption.value),
            "range": [number(assumption.range.0), number(assumption.range.1)],
            "why": assumption.why,
            "addresses": assumption.addresses,
            "moves": influence.address,
            "by": influence.change.map(|c| c.map_or(Value::Null, number)),
        })
    };
    influences.iter().map(one).collect()
}

/// Where heads that rise with flow meet their systems.
pub fn crossings(all: &[Crossings]) -> Value {
    let one = |crossings: &Crossings| {
        let list = crossings.list.iter().map(|crossing| {
            json!({
                "flow": number(crossing.flow_m3_s),
                "rise": number(crossing.rise_pa),
                "stable": crossing.stable,
            })
        });
        json!({
            "of": crossings.of,
            "crossings": list.collect::<Value>(),
            "stands_on": crossings.stands_on,
        })
    };
    all.iter().map(one).collect()
}

/// What stands out, the most serious first.
pub fn findings(findings: &[Finding]) -> Value {
    let one = |finding: &Finding| {
        json!({
            "severity": finding.severity.word(),
            "subject": finding.subject,
            "where": finding.places,
            "what": finding.what,
            "why": finding.why,
            "do": finding.remedy,
        })
    };
    findings.iter().map(one).collect()
}

/// A finished answer as text.
pub fn render(map: Map<String, Value>) -> String {
    let mut text = serde_json::to_string_pretty(&Value::Object(map))
        .unwrap_or_else(|error| format!("{{\"error\": \"{error}\"}}"));
    text.push('\n');
    text
}
