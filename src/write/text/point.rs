//! The operating point in text.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::crossings::Crossings;
use coolwright_models::parts::HeatPartner;
use coolwright_models::point::{OperatingPoint, Why};
use coolwright_models::results::Results;
use coolwright_models::slots::Values;
use coolwright_models::uncertainty::Uncertainty;

use super::{
    CAUTION, Shown, air, assumptions, circuit, conditions, doubt, gauges, list, pumps, section,
    survey, wrapped,
};
use crate::study::{Influence, Judged};
use crate::write::table::Table;
use crate::write::{Style, verdict};

/// Everything that the answer is made of.
pub struct PointAnswer<'a> {
    /// The case.
    pub ready: &'a Ready,
    /// The values it was solved with.
    pub values: &'a Values,
    /// The point.
    pub point: &'a OperatingPoint,
    /// Its results, with what they may be off by.
    pub results: &'a Results,
    /// Which laws make them uncertain.
    pub uncertainty: &'a Uncertainty,
    /// The limits.
    pub judged: &'a [Judged],
    /// What its assumptions could change.
    pub influences: &'a [Influence],
    /// Where heads that rise with flow meet their systems.
    pub crossings: &'a [Crossings],
    /// What was solved, in words.
    pub which: String,
}

/// The operating point in text.
pub fn point(style: &Style, answer: &PointAnswer<'_>) -> String {
    let PointAnswer { ready, values, point, judged, influences, crossings, which, .. } = answer;
    let shown = Shown { style, results: answer.results };
    let mut out = verdict::line(style, judged);
    if !ready.title.is_empty() {
        out.push_str(&format!("{}\n", ready.title));
    }
    out.push_str(&conditions(style, ready, values, which));
    for held in &point.held {
        let circuit = &ready.model.circuits[held.circuit];
        let why = match held.why {
            Why::NoWayOut => "No heat leaves it here, so it has",
            Why::Boils => "With this heat kept up its coolant boils, so it has",
        };
        let start = style.quantity(Kind::Temperature, values.get(circuit.start));
        let name = &circuit.name;
        out.push_str(&wrapped(
            &format!(
                "Circuit `{name}`: {why} no steady state. All about it is shown with its tank (or first \
                 junction) held at {start}, where it starts; `cycle` shows how it warms."
            ),
            2,
        ));
    }
    out.push_str(&verdict::table(style, judged));
    let warnings: Vec<String> = point.warnings.iter().map(ToString::to_string).collect();
    out.push_str(&list("Mind", &warnings));
    for c in 0..ready.model.circuits.len() {
        out.push_str(&survey::survey(style, ready, values, c, &shown));
    }
    out.push_str(&bodies(ready, &shown));
    out.push_str(&passes(ready, &shown));
    out.push_str(&cores(ready, &shown));
    out.push_str(&air::paths(style, ready, values, &shown));
    for c in 0..ready.model.circuits.len() {
        out.push_str(&circuit::circuit(style, ready, values, c, &shown));
    }
    out.push_str(&doubt::doubt(ready, answer.uncertainty, &shown));
    out.push_str(&gauges::gauges(style, ready, values, &shown));
    out.push_str(&format!(
        "\nAll pumps and fans together draw {}.\n",
        shown.at("supply", "current")
    ));
    out.push_str(&pumps::crossings(style, crossings));
    out.push_str(&assumptions(style, ready, influences));
    out.push_str(&list("Notes", &ready.notes));
    out.push_str(CAUTION);
    out
}

/// Bodies: heat, metal, mean rise of their coolant.
fn bodies(ready: &Ready, shown: &Shown<'_>) -> String {
    let mut table = Table::new(&[
        "<heat comes into",
        "heat in",
        "heat into\ncoolant",
        "metal",
        "coolant\nflow",
        "mean rise\nof coolant",
    ]);
    for body in &ready.model.bodies {
        let path = format!("{}s/{}", body.word, body.name);
        let cell = |name| shown.at(&path, name);
        table.row([
            path.clone(),
            cell("heat_in"),
            cell("heat"),
            cell("metal"),
            cell("flow"),
            cell("rise"),
        ]);
    }
    section("Heat sources", table)
}

/// The passes of every body that has more than one.
fn passes(ready: &Ready, shown: &Shown<'_>) -> String {
    let mut out = String::new();
    for (index, body) in ready.model.bodies.iter().enumerate() {
        let of_body = passes_of(ready, index);
        if of_body.len() < 2 {
            continue;
        }
        let path = format!("{}s/{}", body.word, body.name);
        let total = shown.value(&path, "flow").unwrap_or(f64::NAN);
        let mut table = Table::new(&[
            "<pass", "flow", "\u{b1}", "share", "\u{b1}", "velocity", "Re", "fall", "in", "out",
            "rise", "heat",
        ]);
        for (circuit, run, part) in &of_body {
            let run_path = format!("{circuit}/{run}");
            let part_path = format!("{run_path}/{part}");
            let flow = shown.value(&run_path, "flow").unwrap_or(f64::NAN);
            let cell = |name| shown.at(&part_path, name);
            table.row([
                part_path.clone(),
                shown.at(&run_path, "flow"),
                shown.at(&run_path, "flow_uncertainty"),
                format!("{:.1} %", 100.0 * flow.abs() / total),
                shown
                    .value(&part_path, "share_uncertainty")
                    .map_or_else(|| "-".to_owned(), |u| format!("{:.2} %", 100.0 * u)),
                cell("velocity"),
                whole(shown.value(&part_path, "reynolds")),
                cell("fall"),
                cell("in"),
                cell("out"),
                cell("rise"),
                cell("heat"),
            ]);
        }
        let spread = shown.value(&path, "spread").unwrap_or(f64::NAN);
        let doubt = shown.value(&path, "spread_uncertainty");
        let title = format!(
            "Passes of `{}`: {} passes, largest flow over smallest {spread:.3}{}",
            body.name,
            of_body.len(),
            doubt.map_or_else(String::new, |doubt| format!(" \u{b1} {doubt:.3}"))
        );
        out.push_str(&section(&title, table.without_empty_columns()));
    }
    out
}

/// A number without digits behind the point.
fn whole(value: Option<f64>) -> String {
    value.map_or_else(|| "-".to_owned(), |v| format!("{v:.0}"))
}

/// The passes of a body: circuit, run, part.
fn passes_of(ready: &Ready, body: usize) -> Vec<(&str, &str, &str)> {
    let mut found = Vec::new();
    for circuit in &ready.model.circuits {
        for run in &circuit.runs {
            for placed in &run.parts {
                if placed.part.partner() == Some(HeatPartner::Body(body)) {
                    found.push((circuit.name.as_str(), run.name.as_str(), placed.name.as_str()));
                }
            }
        }
    }
    found
}

/// Cores: both sides.
fn cores(ready: &Ready, shown: &Shown<'_>) -> String {
    let mut table = Table::new(&[
        "<core",
        "heat",
        "UA",
        "coolant\nin",
        "coolant\nout",
        "air in",
        "air out",
        "fall of\nthe air",
        "speed at\nthe face",
    ]);
    for (index, core) in ready.model.cores.iter().enumerate() {
        let path = format!("cores/{}", core.name);
        let coolant = core_part(ready, index).unwrap_or_default();
        table.row([
            core.name.clone(),
            shown.at(&path, "heat"),
            shown.at(&path, "ua"),
            shown.at(&coolant, "in"),
            shown.at(&coolant, "out"),
            shown.at(&path, "air_in"),
            shown.at(&path, "air_out"),
            shown.at(&path, "air_fall"),
            shown.at(&path, "face_velocity"),
        ]);
    }
    section("Cores", table.without_empty_columns())
}

/// The address of the part that is a core's coolant side.
fn core_part(ready: &Ready, core: usize) -> Option<String> {
    ready.model.circuits.iter().find_map(|circuit| {
        circuit.runs.iter().find_map(|run| {
            let part =
                run.parts.iter().find(|p| p.part.partner() == Some(HeatPartner::Core(core)))?;
            Some(format!("{}/{}/{}", circuit.name, run.path, part.name))
        })
    })
}
