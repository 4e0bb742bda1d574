//! The operating point in text.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Circuit, Joint, Run};
use coolwright_models::parts::Partner;
use coolwright_models::point::OperatingPoint;
use coolwright_models::slots::Values;

use super::{CAUTION, Shown, assumptions, conditions, coolant, list, section};
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
    /// The limits.
    pub judged: &'a [Judged],
    /// What its assumptions could change.
    pub influences: &'a [Influence],
    /// What was solved, in words.
    pub which: String,
}

/// The operating point in text.
pub fn point(style: &Style, answer: &PointAnswer<'_>) -> String {
    let PointAnswer { ready, values, point, judged, influences, which } = answer;
    let shown = Shown { style, results: &point.results };
    let mut out = verdict::line(style, judged);
    if !ready.title.is_empty() {
        out.push_str(&format!("{}\n", ready.title));
    }
    out.push_str(&conditions(style, ready, values, which));
    for &circuit in &point.held {
        out.push_str(&format!(
            "No heat leaves `{0}` here, so it has no steady state: its temperatures are those with its \
             tank\n(or first junction) held at {1}; `cycle` shows how it warms.\n",
            ready.model.circuits[circuit].name,
            style.quantity(Kind::Temperature, values.get(ready.model.circuits[circuit].start))
        ));
    }
    out.push_str(&verdict::table(style, judged));
    let warnings: Vec<String> = point.warnings.iter().map(ToString::to_string).collect();
    out.push_str(&list("Mind", &warnings));
    out.push_str(&bodies(ready, &shown));
    out.push_str(&passes(ready, &shown));
    out.push_str(&cores(ready, &shown));
    out.push_str(&fans(ready, &shown));
    for (c, circuit) in ready.model.circuits.iter().enumerate() {
        out.push_str(&format!(
            "\nCIRCUIT `{}`: {}\n",
            circuit.name,
            coolant(style, ready, c, values)
        ));
        out.push_str(&circuit_summary(circuit, &shown));
        out.push_str(&pumps(circuit, &shown));
        out.push_str(&runs(circuit, &shown));
        out.push_str(&pressures(circuit, &shown));
    }
    out.push_str(&format!(
        "\nAll pumps and fans together draw {}.\n",
        shown.at("supply", "current")
    ));
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
        "into coolant",
        "metal",
        "coolant flow",
        "mean rise",
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
            "<pass", "flow", "share", "velocity", "Re", "fall", "in", "out", "rise", "heat",
        ]);
        for (circuit, run, part) in &of_body {
            let run_path = format!("{circuit}/{run}");
            let part_path = format!("{run_path}/{part}");
            let flow = shown.value(&run_path, "flow").unwrap_or(f64::NAN);
            let cell = |name| shown.at(&part_path, name);
            table.row([
                part_path.clone(),
                shown.at(&run_path, "flow"),
                format!("{:.1} %", 100.0 * flow.abs() / total),
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
        let title = format!(
            "Passes of `{}`: largest flow over smallest {spread:.3}, {} passes",
            body.name,
            of_body.len()
        );
        out.push_str(&section(&title, table));
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
                if placed.part.partner() == Some(Partner::Body(body)) {
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
        "coolant in",
        "coolant out",
        "air in",
        "air out",
        "air drop",
        "face speed",
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
    section("Cores", table)
}

/// The address of the part that is a core's coolant side.
fn core_part(ready: &Ready, core: usize) -> Option<String> {
    ready.model.circuits.iter().find_map(|circuit| {
        circuit.runs.iter().find_map(|run| {
            let part = run.parts.iter().find(|p| p.part.partner() == Some(Partner::Core(core)))?;
            Some(format!("{}/{}/{}", circuit.name, run.path, part.name))
        })
    })
}

/// Air paths with their fans.
fn fans(ready: &Ready, shown: &Shown<'_>) -> String {
    let mut table =
        Table::new(&["<air", "speed", "flow there", "pressure rise", "mass flow", "current"]);
    for path in &ready.model.air_paths {
        let name = format!("air_paths/{}", path.name);
        table.row([
            path.name.clone(),
            "-".to_owned(),
            shown.at(&name, "flow"),
            "-".to_owned(),
            shown.at(&name, "mass_flow"),
            "-".to_owned(),
        ]);
        for fan in &path.fans {
            let fan_path = format!("{name}/{}", fan.name);
            table.row([
                format!("  fan {}", fan.name),
                percent(shown.value(&fan_path, "speed")),
                shown.at(&fan_path, "flow"),
                shown.at(&fan_path, "pressure"),
                "-".to_owned(),
                shown.at(&fan_path, "current"),
            ]);
        }
    }
    section("Air", table)
}

fn percent(value: Option<f64>) -> String {
    value.map_or_else(|| "-".to_owned(), |v| format!("{:.0} %", 100.0 * v))
}

/// The extremes of a circuit in one line.
fn circuit_summary(circuit: &Circuit, shown: &Shown<'_>) -> String {
    let cell = |name| shown.at(&circuit.name, name);
    format!(
        "  hottest coolant {}, lowest pressure {}, least margin against boiling {}\n",
        cell("hottest"),
        cell("lowest_pressure"),
        cell("boil_margin")
    )
}

/// Pumps at their operating points; several under one name with their sum.
fn pumps(circuit: &Circuit, shown: &Shown<'_>) -> String {
    let mut table = Table::new(&[
        "<pump",
        "speed",
        "flow",
        "head",
        "power",
        "current",
        "inlet pressure",
        "inlet above vapour pressure",
    ]);
    for group in &circuit.groups {
        let path = format!("{}/{}", circuit.name, group.path);
        let mut row = pump_row(shown, &path, &format!("{} (together)", group.path));
        "-".clone_into(&mut row[1]);
        "-".clone_into(&mut row[6]);
        table.row(row);
    }
    for run in &circuit.runs {
        for placed in &run.parts {
            if placed.part.as_pump().is_some() {
                let path = format!("{}/{}/{}", circuit.name, run.path, placed.name);
                table.row(pump_row(shown, &path, &format!("{}/{}", run.path, placed.name)));
            }
        }
    }
    section("  Pumps", table)
}

fn pump_row(shown: &Shown<'_>, path: &str, label: &str) -> [String; 8] {
    let cell = |name| shown.at(path, name);
    [
        label.to_owned(),
        percent(shown.value(path, "speed")),
        cell("flow"),
        cell("head"),
        cell("power"),
        cell("current"),
        cell("pressure_in"),
        cell("suction_margin"),
    ]
}

/// Runs: where they go, what flows, what they fall.
fn runs(circuit: &Circuit, shown: &Shown<'_>) -> String {
    let mut table = Table::new(&["<run", "<from", "<to", "flow", "mass flow", "from at", "to at"]);
    for run in &circuit.runs {
        if run.parts.is_empty() {
            continue;
        }
        let path = format!("{}/{}", circuit.name, run.name);
        let junction = |index: usize| {
            let name = &circuit.junctions[index].name;
            (name.clone(), shown.at(&format!("{}/{name}", circuit.name), "pressure"))
        };
        let ((from, from_at), (to, to_at)) = (junction(run.from), junction(run.to));
        table.row([
            run.name.clone(),
            from,
            to,
            shown.at(&path, "flow"),
            shown.at(&path, "mass_flow"),
            from_at,
            to_at,
        ]);
    }
    section("  Runs (total gauge pressure at both junctions)", table)
}

/// Where the pressure goes, part after part.
fn pressures(circuit: &Circuit, shown: &Shown<'_>) -> String {
    let driven = driving_head(circuit, shown);
    let mut table = Table::new(&[
        "<run",
        "<part",
        "<",
        "fall",
        "of all head",
        "height",
        "velocity",
        "static in",
        "static out",
        "in",
    ]);
    for run in &circuit.runs {
        joint_row(circuit, run, shown, (run.from, "entry_fall"), driven, &mut table);
        for placed in &run.parts {
            let path = format!("{}/{}/{}", circuit.name, run.path, placed.name);
            let fall = shown.value(&path, "fall").unwrap_or(0.0);
            if placed.automatic && fall.abs() < LEAST_FALL {
                continue;
            }
            let lift = shown.value(&path, "lift").unwrap_or(0.0);
            table.row([
                run.name.clone(),
                placed.name.clone(),
                placed.part.word().to_owned(),
                shown.at(&path, "fall"),
                share(fall, driven),
                if lift == 0.0 { "-".to_owned() } else { shown.at(&path, "lift") },
                shown.at(&path, "velocity"),
                shown.at(&path, "pressure_in"),
                shown.at(&path, "pressure_out"),
                shown.at(&path, "in"),
            ]);
        }
        joint_row(circuit, run, shown, (run.to, "exit_fall"), driven, &mut table);
    }
    section("  Where the pressure goes (fall of total pressure; a pump's is below zero)", table)
}

/// A fall smaller than this of a part that stands by itself is not worth a line, Pa.
const LEAST_FALL: f64 = 0.5;

/// The row of what a tee or header costs a run.
fn joint_row(
    circuit: &Circuit,
    run: &Run,
    shown: &Shown<'_>,
    (junction, name): (usize, &str),
    driven: f64,
    table: &mut Table,
) {
    let junction = &circuit.junctions[junction];
    if !matches!(junction.joint, Joint::Tee { .. }) || run.parts.is_empty() {
        return;
    }
    let path = format!("{}/{}", circuit.name, run.name);
    let fall = shown.value(&path, name).unwrap_or(0.0);
    if fall == 0.0 {
        return;
    }
    let dash = || "-".to_owned();
    table.row([
        run.name.clone(),
        format!("at {}", junction.name),
        "tee".to_owned(),
        shown.at(&path, name),
        share(fall, driven),
        dash(),
        dash(),
        dash(),
        dash(),
        dash(),
    ]);
}

fn share(fall: f64, driven: f64) -> String {
    if driven > 0.0 { format!("{:.1} %", 100.0 * fall / driven) } else { "-".to_owned() }
}

/// The head of all pumps that stand one behind the other; of those side by side, once, Pa.
fn driving_head(circuit: &Circuit, shown: &Shown<'_>) -> f64 {
    let mut sum = 0.0;
    for group in &circuit.groups {
        sum += shown.value(&format!("{}/{}", circuit.name, group.path), "head").unwrap_or(0.0);
    }
    for run in &circuit.runs {
        for placed in &run.parts {
            let grouped = circuit.groups.iter().any(|g| {
                placed.name.starts_with(&format!("{}.", g.path.rsplit('/').next().unwrap_or("")))
            });
            if placed.part.as_pump().is_some() && !grouped {
                let path = format!("{}/{}/{}", circuit.name, run.path, placed.name);
                sum += shown.value(&path, "head").unwrap_or(0.0);
            }
        }
    }
    sum
}
