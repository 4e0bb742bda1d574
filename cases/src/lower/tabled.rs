//! Liquids by points on their way from the file into the model.

use std::collections::BTreeMap;
use std::sync::Arc;

use coolwright_models::circuit::CoolantSpec;
use coolwright_models::fluids::{
    LEAST_VISCOSITY_M2_S, LiquidError, LiquidRow, LiquidTable, NORMAL_PA, VapourPoint,
};

use super::context::{Bound, Context};
use crate::diagnostic::Problem;
use crate::file::{Case, Liquid, LiquidRow as RowSpec};
use crate::quantity::{Fraction, Kind, Temperature, spoken};
use crate::text::{Span, Spanned};

/// Temperatures that a liquid may be told at, K.
const AT: Bound = Bound::Within(150.0, 800.0);
/// Kinematic viscosities that it may have, m²/s: of a thin dielectric coolant, and of pitch.
const VISCOSITY: Bound = Bound::Within(LEAST_VISCOSITY_M2_S, 100.0);
/// Factors on its properties.
const SCALE: Bound = Bound::Within(0.1, 10.0);

/// All liquids of a case by their names.
pub(super) fn lower(context: &mut Context<'_>, case: &Case) -> BTreeMap<String, CoolantSpec> {
    let mut all = BTreeMap::new();
    for (name, spec) in &case.liquids {
        if let Some(table) = liquid(context, name, spec) {
            all.insert(name.value.clone(), CoolantSpec::Table(Arc::new(table)));
        } else {
            context.faulty_liquids.push(name.value.clone());
        }
    }
    all
}

fn liquid(context: &mut Context<'_>, name: &Spanned<String>, spec: &Liquid) -> Option<LiquidTable> {
    let rows = rows(context, name, spec)?;
    let vapour = vapour(context, spec)?;
    let first = rows[0].temperature_k;
    let freezes = spec.freezes.map_or((first, name.span), |given| (given.si(), given.span()));
    let what = "freezing or pour point";
    let address = format!("liquids/{}:freezes", name.value);
    let number = (Kind::Temperature, freezes.0, freezes.1);
    let freezing_k = context.structural(&address, number, AT, what);
    match LiquidTable::new((&name.value, freezing_k), &rows, &vapour) {
        Ok(table) => Some(table),
        Err(error) => {
            refuse(context, spec, &error);
            None
        }
    }
}

/// Notes what the points of the liquid in a circuit leave open.
pub(super) fn note(context: &mut Context<'_>, circuit: &str, (name, spec): (&str, &Liquid)) {
    let first = spec.table.value.first().map_or(f64::NAN, |row| row.temperature.si());
    if spec.freezes.is_none() && context.told(&format!("liquids/{name}:freezes")).is_none() {
        context.notes.push(format!(
            "The table of `{name}` in `{circuit}` tells no freezing or pour point (`freezes`): it counts as liquid down to its \
             first row, {}, and as frozen below.",
            spoken(Kind::Temperature, first)
        ));
    }
    if let Some(boils) = spec.boils {
        context.notes.push(format!(
            "The vapour pressure of `{name}` in `{circuit}` follows from its boiling point {} alone, by Trouton's rule.",
            spoken(Kind::Temperature, boils.si())
        ));
    } else if spec.vapour.is_none() {
        context.notes.push(format!(
            "No vapour pressure of `{name}` in `{circuit}` is told (`vapour` or `boils`): whether it boils is not judged, and \
             pumps draw it as if it had no vapour."
        ));
    }
}

/// Says why points make no liquid.
fn refuse(context: &mut Context<'_>, spec: &Liquid, error: &LiquidError) {
    let table = &spec.table;
    let (span, message, label) = match error {
        LiquidError::TooFew => (
            table.span,
            "a liquid needs its properties at two temperatures or more",
            "how they go with temperature is not told",
        ),
        LiquidError::NotRising(row) => (
            table.value[*row].temperature.span(),
            "the rows of a liquid stand in the order of their temperatures, the coldest first",
            "not above that of the row before",
        ),
        LiquidError::Impossible(row) => (
            table.value[*row].temperature.span(),
            "no liquid has these properties",
            "the row at this temperature",
        ),
        LiquidError::VapourNotRising(point) => {
            let all = spec.vapour.as_ref();
            (
                all.map_or(table.span, |all| all.value[*point].0.span()),
                "the vapour pressure of a liquid rises with its temperature, the coldest point first",
                "not above the point before, in temperature and pressure",
            )
        }
    };
    context.error(span, message, label);
}

/// Its rows, SI, with their factors.
fn rows(
    context: &mut Context<'_>,
    name: &Spanned<String>,
    spec: &Liquid,
) -> Option<Vec<LiquidRow>> {
    if spec.table.value.is_empty() {
        refuse(context, spec, &LiquidError::TooFew);
        return None;
    }
    let mut scale = |of: &str, given: Option<Fraction>| {
        let (si, span) = given.map_or((1.0, name.span), |given| (given.si(), given.span()));
        let address = format!("liquids/{}:{of}_scale", name.value);
        context.structural(&address, (Kind::Fraction, si, span), SCALE, "factor on a property")
    };
    let scales = [
        scale("density", spec.density_scale),
        scale("heat_capacity", spec.heat_capacity_scale),
        scale("viscosity", spec.viscosity_scale),
        scale("conductivity", spec.conductivity_scale),
    ];
    spec.table.value.iter().map(|row| one(context, row, scales)).collect()
}

fn one(
    context: &mut Context<'_>,
    row: &RowSpec,
    [density, heat_capacity, viscosity, conductivity]: [f64; 4],
) -> Option<LiquidRow> {
    let told = context.checked(row.density, Bound::Within(300.0, 3000.0), "density of a liquid");
    let kinematic = match (row.viscosity, row.kinematic_viscosity) {
        (Some(dynamic), None) => {
            let mu = checked_nan(dynamic.si());
            in_range(context, (mu / told, dynamic.span()))
        }
        (None, Some(kinematic)) => {
            in_range(context, (checked_nan(kinematic.si()), kinematic.span()))
        }
        _ => {
            let problem = Problem::error(
                row.temperature.span(),
                "a row of a liquid needs `viscosity` or `kinematic_viscosity`",
            );
            context.problems.push(
                problem
                    .label("one of them in this row, not both")
                    .help("for example viscosity: \"{one Viscosity}\""),
            );
            return None;
        }
    };
    let within = |low, high| Bound::Within(low, high);
    Some(LiquidRow {
        temperature_k: context.checked(row.temperature, AT, "temperature of a row"),
        density: told * density,
        heat_capacity: heat_capacity
            * context.checked(
                row.heat_capacity,
                within(300.0, 6000.0),
                "heat capacity of a liquid",
            ),
        // A factor on the viscosity is one on the dynamic one.
        viscosity_m2_s: (kinematic * viscosity / density).max(LEAST_VISCOSITY_M2_S),
        conductivity: conductivity
            * context.checked(row.conductivity, within(0.01, 2.0), "conductivity of a liquid"),
    })
}

/// A text that could not be read stands for water; that was said.
fn checked_nan(si: f64) -> f64 {
    if si.is_nan() { 1e-6 } else { si }
}

/// The range of the law that carries on kinematic viscosities.
fn in_range(context: &mut Context<'_>, (si, span): (f64, Span)) -> f64 {
    context.check(si, span, Kind::KinematicViscosity, VISCOSITY, "kinematic viscosity of a liquid")
}

/// Points of its vapour pressure, SI.
fn vapour(context: &mut Context<'_>, spec: &Liquid) -> Option<Vec<VapourPoint>> {
    let point = |context: &mut Context<'_>, t: Temperature, pressure_pa: f64| VapourPoint {
        temperature_k: context.checked(t, AT, "temperature of a vapour pressure"),
        pressure_pa,
    };
    match (&spec.vapour, spec.boils) {
        (Some(vapour), Some(_)) => {
            let message = "a liquid has `vapour` or `boils`, and not both";
            context.error(
                vapour.span,
                message,
                "a boiling point is one of these points, at 101.325 kPa",
            );
            None
        }
        (Some(vapour), None) => {
            if vapour.value.is_empty() {
                context.error(vapour.span, "there is no point here", "leave this out, or tell one");
                return None;
            }
            let bound = Bound::Within(1e-6, 2e7);
            let each = vapour.value.iter().map(|(t, p)| {
                let p = context.checked(*p, bound, "vapour pressure");
                point(context, *t, p)
            });
            Some(each.collect())
        }
        (None, Some(boils)) => Some(vec![point(context, boils, NORMAL_PA)]),
        (None, None) => Some(Vec::new()),
    }
}
