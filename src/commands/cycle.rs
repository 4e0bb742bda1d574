//! `cycle`: the duty cycle.

use coolwright_models::cycle::{History, Phase, duty_cycle};
use coolwright_models::slots::Values;
use serde_json::{Value, json};

use super::{Outcome, Prepared, print, style};
use crate::cli::Cycle;
use crate::load::Refused;
use crate::study::{
    JudgedOverTime, Readiness, ReadyTarget, assumed_targets, judge_history, readiness,
};
use crate::write::{csv, json, text, to_file};

/// Follows a case through its duty cycle.
pub(super) fn history(prepared: &Prepared, values: &Values) -> Result<History, Refused> {
    let duty = &prepared.ready.duty;
    if duty.phases.is_empty() {
        return Err(Refused(
            "error: the case has no duty cycle: `duty` gives no phases\nhelp: for example phases: \
             {\"pull\": Phase(time: \"14 s\"), \"rest\": Phase(time: \"20 min\", power: \"2 %\")}\n"
                .to_owned(),
        ));
    }
    let phases: Vec<Phase> = duty
        .phases
        .iter()
        .map(|p| Phase { name: p.name.clone(), time_s: p.time_s, sets: p.sets.clone() })
        .collect();
    duty_cycle(&prepared.ready.model, values, &phases, &mut |_| true)
        .map_err(|error| prepared.unsolved(&error))
}

/// What a followed cycle says about limits and readiness.
pub(super) struct Findings {
    pub judged: Vec<JudgedOverTime>,
    pub targets: Vec<ReadyTarget>,
    pub readiness: Vec<Readiness>,
}

impl Findings {
    pub(super) fn of(prepared: &Prepared, history: &History) -> Self {
        let judged = judge_history(&prepared.limits, history);
        let targets = if prepared.targets.is_empty() {
            assumed_targets(history)
        } else {
            prepared.targets.clone()
        };
        let shares: Vec<f64> =
            prepared.ready.duty.phases.iter().map(|phase| phase.power_share).collect();
        let readiness = readiness(history, &shares, &targets);
        Self { judged, targets, readiness }
    }
}

/// Follows and prints the duty cycle.
pub(super) fn run(args: &Cycle) -> Result<Outcome, Refused> {
    let prepared = Prepared::new(&args.asked, args.variant.as_deref())?;
    let values = prepared.ready.model.values.clone();
    let history = history(&prepared, &values)?;
    let findings = Findings::of(&prepared, &history);
    let mut outcome = Outcome::of(findings.judged.iter().map(|j| &j.worst));
    if history.boiled.is_some() {
        outcome = Outcome::Broken;
    }
    let style = style(&args.asked);
    if let Some(file) = &args.csv {
        csv::history(&history, style.units)
            .and_then(|text| to_file(file, &text))
            .map_err(|why| Refused(format!("error: {why}")))?;
        if file.as_os_str() == "-" {
            return Ok(outcome);
        }
    }
    if args.asked.json {
        print(&as_json(&prepared, &history, &findings))?;
    } else {
        let answer = text::CycleAnswer {
            ready: &prepared.ready,
            values: &values,
            history: &history,
            judged: &findings.judged,
            targets: &findings.targets,
            readiness: &findings.readiness,
            variant: args.variant.as_deref(),
        };
        print(&text::cycle(&style, &answer))?;
    }
    Ok(outcome)
}

fn as_json(prepared: &Prepared, history: &History, findings: &Findings) -> String {
    let mut map = json::head("cycle", &prepared.ready.title);
    let worst: Vec<_> = findings.judged.iter().map(|j| j.worst.clone()).collect();
    let mut verdict = json::verdict(&worst);
    if history.boiled.is_some() {
        verdict = json!("broken");
    }
    map.insert("verdict".into(), verdict);
    let mut limits = json::limits(&worst);
    if let Value::Array(limits) = &mut limits {
        for (limit, judged) in limits.iter_mut().zip(&findings.judged) {
            limit["at_s"] = json::number(judged.at_s);
            limit["broken_for_s"] = json::number(judged.broken_for_s);
        }
    }
    map.insert("limits".into(), limits);
    let phases: Vec<Value> = history
        .phases
        .iter()
        .map(|p| {
            let sum = |x: &[f64]| json::number(x.iter().sum::<f64>());
            json!({
                "name": p.name,
                "from_s": p.from_s,
                "to_s": p.to_s,
                "heat_from_bodies_J": sum(&p.border.bodies),
                "heat_from_pumps_J": sum(&p.border.pumps),
                "heat_from_outside_J": sum(&p.border.outside),
                "heat_to_air_J": sum(&p.border.cores),
                "stored_J": json::number(p.stored_j),
                "open_J": json::number(p.open_j()),
            })
        })
        .collect();
    map.insert("phases".into(), Value::Array(phases));
    let ready: Vec<Value> = findings
        .readiness
        .iter()
        .map(|r| {
            json!({
                "phase": history.phases[r.phase].name,
                "after_s": r.after_s,
                "waits_for": findings.targets[r.last].of,
            })
        })
        .collect();
    map.insert("ready".into(), Value::Array(ready));
    if let Some(boiled) = history.boiled {
        let circuit = &prepared.ready.model.circuits[boiled.circuit].name;
        map.insert("boils".into(), json!({"circuit": circuit, "at_s": boiled.at_s}));
    }
    let columns: Vec<&str> =
        history.catalogue.entries().iter().map(|e| e.address.as_str()).collect();
    map.insert("columns".into(), json!(columns));
    map.insert("times_s".into(), json!(history.times_s));
    let rows: Vec<Vec<Value>> =
        history.rows.iter().map(|row| row.iter().map(|v| json::number(*v)).collect()).collect();
    map.insert("rows".into(), json!(rows));
    map.insert("notes".into(), json!(prepared.ready.notes));
    json::render(map)
}
