//! Pumps in text: where each stands on its curve, its margin at the inlet, what it takes.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Arrangement, Circuit, PumpGroup};
use coolwright_models::crossings::Crossings;
use coolwright_models::parts::SpeedHeld;
use coolwright_models::slots::Values;

use super::{Shown, percent, section};
use crate::write::Style;
use crate::write::table::Table;

/// A line of the tables: several pumps under one name together, or one pump.
struct Line {
    /// How it is called.
    label: String,
    /// The address of its results.
    path: String,
    /// Density over that of the curve's fluid; none for several together.
    density: Option<String>,
}

/// Pumps at their operating points; several under one name together, then each of them.
pub(super) fn pumps(
    style: &Style,
    circuit: &Circuit,
    values: &Values,
    shown: &Shown<'_>,
) -> String {
    let lines = lines(style, circuit, values, shown);
    let mut out = section("  Pumps", points(shown, &lines));
    if out.is_empty() {
        return out;
    }
    let corrected = lines.iter().any(|line| shown.value(&line.path, "viscous_head").is_some());
    let factors = if corrected {
        ";\n  the flow of the curve times its factor, the head times its own, for viscosity (ANSI/HI 9.6.7, \
         against the\n  fluid of the curve)"
    } else {
        ""
    };
    out.push_str(&format!(
        "  A head is that of the curve at this flow and speed, times density over that of the curve's \
         fluid{factors}.\n"
    ));
    out.push_str(&best_points(style, circuit, values));
    out.push_str(&section("  What the pumps take", taken(shown, &lines)));
    out
}

/// What the corrections for viscosity rest on.
fn best_points(style: &Style, circuit: &Circuit, values: &Values) -> String {
    let mut told: Vec<String> = Vec::new();
    for placed in circuit.runs.iter().flat_map(|run| &run.parts) {
        let Some(viscous) = placed.part.as_pump().and_then(|pump| pump.viscous) else { continue };
        let get = |slot| values.get(slot);
        let line = format!(
            "  B of a curve is that of its best point: {} at {} and {}; its own fluid has {:.3} mm²/s.\n",
            style.quantity(Kind::VolumeFlow, get(viscous.best_flow)),
            style.quantity(Kind::Distance, get(viscous.best_head)),
            style.quantity(Kind::RotationalSpeed, get(viscous.curve_speed)),
            1e6 * get(viscous.curve_viscosity),
        );
        if !told.contains(&line) {
            told.push(line);
        }
    }
    told.concat()
}

/// Where heads that rise with flow meet their systems several times or once.
pub(super) fn crossings(style: &Style, all: &[Crossings]) -> String {
    let mut out = String::new();
    for crossings in all {
        let (flow, rise) = if crossings.air {
            (Kind::AirFlow, Kind::AirPressureDifference)
        } else {
            (Kind::VolumeFlow, Kind::PressureDifference)
        };
        let mut table = Table::new(&["<crossing", "flow", "rise", "<disturbed there, the flow"]);
        for (k, crossing) in crossings.list.iter().enumerate() {
            table.row([
                format!("{}", k + 1),
                style.quantity(flow, crossing.flow_m3_s),
                style.quantity(rise, crossing.rise_pa),
                if crossing.stable { "returns" } else { "departs" }.to_owned(),
            ]);
        }
        let of = crossings.of.join("`, `");
        let title = format!("Where `{of}`, whose head rises with flow, meets its system");
        out.push_str(&section(&title, table));
        out.push_str(&format!(
            "  The answer stands on crossing {} of {}, all at the temperatures of the answer.\n",
            crossings.stands_on + 1,
            crossings.list.len()
        ));
    }
    out
}

/// The lines of a circuit's pumps.
fn lines(style: &Style, circuit: &Circuit, values: &Values, shown: &Shown<'_>) -> Vec<Line> {
    let mut lines = Vec::new();
    for group in &circuit.groups {
        let how = match group.arrangement {
            Arrangement::Series => "in series",
            Arrangement::Parallel => "in parallel",
        };
        lines.push(Line {
            label: format!("{}: {} {how}, together", group.path, group.units.len()),
            path: format!("{}/{}", circuit.name, group.path),
            density: None,
        });
        for &unit in &group.units {
            lines.push(single(style, circuit, values, shown, (unit, "  ")));
        }
    }
    for (r, run) in circuit.runs.iter().enumerate() {
        for (p, placed) in run.parts.iter().enumerate() {
            if placed.part.as_pump().is_some() && !in_group(&circuit.groups, (r, p)) {
                lines.push(single(style, circuit, values, shown, ((r, p), "")));
            }
        }
    }
    lines
}

/// Whether a pump is one of several under one name.
pub(super) fn in_group(groups: &[PumpGroup], unit: (usize, usize)) -> bool {
    groups.iter().any(|group| group.units.contains(&unit))
}

/// The line of one pump.
fn single(
    style: &Style,
    circuit: &Circuit,
    values: &Values,
    shown: &Shown<'_>,
    ((run, part), indent): ((usize, usize), &str),
) -> Line {
    let run = &circuit.runs[run];
    let placed = &run.parts[part];
    let path = format!("{}/{}/{}", circuit.name, run.path, placed.name);
    let mass = shown.value(&format!("{}/{}", circuit.name, run.name), "mass_flow");
    let flow = shown.value(&path, "flow").filter(|flow| *flow != 0.0);
    let density = mass.zip(flow).zip(placed.part.as_pump()).map(|((mass, flow), pump)| {
        style.quantity(Kind::Number, mass / flow / values.get(pump.curve_density))
    });
    Line { label: format!("{indent}{}/{}", run.path, placed.name), path, density }
}

/// Where the pumps stand on their curves, and their margins at the inlet.
fn points(shown: &Shown<'_>, lines: &[Line]) -> Table {
    let mut table = Table::new(&[
        "<pump",
        "speed",
        "turning",
        "flow",
        "\u{b1}",
        "head",
        "density over\nthat of its curve",
        "B",
        "flow\nfactor",
        "head\nfactor",
        "static pressure\nat the inlet",
        "\u{b1}",
        "inlet above\nvapour pressure",
        "NPSH\navailable",
        "NPSH\nrequired",
        "NPSH\nmargin",
    ]);
    let heads = lines.iter().any(|line| shown.value(&line.path, "npsh_required").is_some());
    for line in lines {
        let cell = |name| shown.at(&line.path, name);
        let dash = || "-".to_owned();
        table.row([
            line.label.clone(),
            percent(shown.value(&line.path, "speed")),
            cell("turning"),
            cell("flow"),
            cell("flow_uncertainty"),
            cell("head"),
            line.density.clone().unwrap_or_else(dash),
            cell("viscous_parameter"),
            cell("viscous_flow"),
            cell("viscous_head"),
            cell("pressure_in"),
            cell("pressure_in_uncertainty"),
            cell("suction_margin"),
            if heads { cell("npsh_available") } else { dash() },
            cell("npsh_required"),
            cell("npsh_margin"),
        ]);
    }
    table.without_empty_columns()
}

/// What the pumps take from the supply or the engine, and what they give to the coolant.
fn taken(shown: &Shown<'_>, lines: &[Line]) -> Table {
    let mut table = Table::new(&[
        "<pump",
        "<speed held by",
        "electric\npower",
        "shaft\npower",
        "current",
        "efficiency",
        "of it the factor\nfor viscosity",
        "heat into\nthe coolant",
    ]);
    for line in lines {
        let cell = |name| shown.at(&line.path, name);
        let held = shown.value(&line.path, "speed_held_by");
        let held = SpeedHeld::ALL.iter().find(|by| Some(by.number()) == held);
        let efficiency = shown.value(&line.path, "efficiency");
        table.row([
            line.label.clone(),
            held.map_or_else(|| "-".to_owned(), |by| by.word().to_owned()),
            cell("power"),
            cell("shaft_power"),
            cell("current"),
            efficiency.map_or_else(|| "-".to_owned(), |e| format!("{:.1} %", 100.0 * e + 0.0)),
            cell("viscous_efficiency"),
            cell("pump_heat"),
        ]);
    }
    table.without_empty_columns()
}
