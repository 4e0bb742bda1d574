//! Air paths with their fans in text.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::air::{AirPath, Element};
use coolwright_models::slots::Values;

use super::{Shown, percent, section};
use crate::write::Style;
use crate::write::table::Table;

/// Air paths with their fans, and where the pressure of their air comes from and goes.
pub(super) fn paths(style: &Style, ready: &Ready, values: &Values, shown: &Shown<'_>) -> String {
    let mut table = Table::new(&[
        "<air",
        "speed",
        "volume flow\nthere",
        "density\nthere",
        "mass flow",
        "rise of\npressure",
        "current",
    ]);
    for path in &ready.model.air_paths {
        let name = format!("air_paths/{}", path.name);
        flow_row(style, shown, (&name, &format!("{}, in front", path.name)), &mut table);
        for fan in &path.fans {
            flow_row(
                style,
                shown,
                (&format!("{name}/{}", fan.name), &format!("  {}", fan.name)),
                &mut table,
            );
        }
    }
    let mut out = section("Air", table);
    for path in &ready.model.air_paths {
        out.push_str(&balance(style, ready, values, path, shown));
    }
    out
}

fn flow_row(style: &Style, shown: &Shown<'_>, (address, label): (&str, &str), table: &mut Table) {
    let flow = shown.value(address, "flow").unwrap_or(0.0);
    let mass = shown.value(address, "mass_flow");
    let density = mass.filter(|_| flow != 0.0).map(|mass| mass / flow);
    table.row([
        label.to_owned(),
        percent(shown.value(address, "speed")),
        shown.at(address, "flow"),
        density.map_or_else(|| "-".to_owned(), |d| style.quantity(Kind::Density, d)),
        shown.at(address, "mass_flow"),
        shown.at(address, "pressure"),
        shown.at(address, "current"),
    ]);
}

/// What drives the air of a path and what it costs: both sides of one sum.
fn balance(
    style: &Style,
    ready: &Ready,
    values: &Values,
    path: &AirPath,
    shown: &Shown<'_>,
) -> String {
    let name = format!("air_paths/{}", path.name);
    let pressure = |pa: f64| style.quantity(Kind::AirPressureDifference, pa);
    let flow = shown.value(&name, "flow").unwrap_or(0.0);
    let mass = shown.value(&name, "mass_flow").unwrap_or(0.0);
    let density = if flow == 0.0 { 0.0 } else { mass / flow };
    let (mut ram, mut ducts) = (0.0, 0.0);
    for element in path.elements() {
        match element {
            Element::Ram { share, speed } => {
                let speed = values.get(speed);
                ram += values.get(share) * 0.5 * density * speed * speed;
            }
            Element::Loss { fall, flow } => {
                let share = mass / values.get(flow);
                ducts += share * share.abs() * values.get(fall);
            }
            Element::Core(_) | Element::Fan(_) => {}
        }
    }
    let mut drives = vec![format!("ram {}", pressure(ram))];
    if let Some(fan) = path.fans.first() {
        let rise = shown.value(&format!("{name}/{}", fan.name), "pressure").unwrap_or(0.0);
        drives.push(format!("fans {}", pressure(rise)));
    }
    let mut costs: Vec<String> = path
        .cores
        .iter()
        .map(|&core| {
            let core = &ready.model.cores[core].name;
            let fall = shown.value(&format!("cores/{core}"), "air_fall").unwrap_or(0.0);
            format!("{core} {}", pressure(fall))
        })
        .collect();
    costs.push(format!("grille, shroud and ducts {}", pressure(ducts)));
    format!("  {}: {} = {}\n", path.name, drives.join(" + "), costs.join(" + "))
}
