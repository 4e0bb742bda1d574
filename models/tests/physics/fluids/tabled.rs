//! Liquids by points: held to their points, to SciPy between them, and to printed values that were left out.

use std::sync::Arc;

use coolwright_models::fluids::{
    Coolant, FluidWarning, LiquidError, LiquidRow, LiquidTable, NORMAL_PA, VapourPoint,
};
use coolwright_solver::scalar::{Dual, Scalar as _};

use super::table::{Row, Table, near};

/// Unused engine oil: Incropera et al., Fundamentals of Heat and Mass Transfer, table A.5.
fn printed() -> Table {
    Table::read("fluids_tabled_points.csv")
}

fn of_row(row: Row<'_>) -> LiquidRow {
    let density = row.number("density");
    LiquidRow {
        temperature_k: row.number("temperature_k"),
        density,
        heat_capacity: row.number("heat_capacity"),
        viscosity_m2_s: row.number("viscosity") / density,
        conductivity: row.number("conductivity"),
    }
}

fn rows() -> Vec<LiquidRow> {
    printed().rows().map(of_row).collect()
}

fn liquid(rows: &[LiquidRow], vapour: &[VapourPoint]) -> Coolant {
    let table = LiquidTable::new(("oil", 258.15), rows, vapour).expect("a liquid");
    Coolant::of_table(&Arc::new(table))
}

#[test]
fn it_passes_through_every_point() {
    let oil = liquid(&rows(), &[]);
    for row in printed().rows() {
        let t = row.number("temperature_k");
        row.check("density", oil.density(t), 1e-13);
        row.check("heat_capacity", oil.heat_capacity(t), 1e-13);
        row.check("viscosity", oil.viscosity(t), 1e-12);
        row.check("conductivity", oil.conductivity(t), 1e-13);
    }
}

/// SciPy's `PchipInterpolator`, and `brentq` for the viscosity. Within a sixteenth of a stretch the viscosity is
/// a cubic of its own, which adds less than one part in a million.
#[test]
fn between_its_points_it_is_what_scipy_gives() {
    let oil = liquid(&rows(), &[]);
    for row in Table::read("fluids_tabled_between.csv").rows() {
        let t = row.number("temperature_k");
        row.check("density", oil.density(t), 1e-12);
        row.check("heat_capacity", oil.heat_capacity(t), 1e-12);
        row.check("viscosity", oil.viscosity(t), 1e-6);
        row.check("conductivity", oil.conductivity(t), 1e-12);
        row.check("enthalpy", oil.enthalpy(t) - oil.enthalpy(280.0), 1e-12);
    }
}

/// Four printed rows, 300 to 410 K, are enough for all seventeen: what is left out comes back within 3 % between them and
/// 5 % beyond the hot end. Beyond the cold end, where the printed viscosity grows eightfold within 27 K, it is 40 % too high at the
/// most: what a warning says of an oil colder than its table is no more than that.
#[test]
fn printed_values_that_are_left_out_come_back() {
    let all = rows();
    let some: Vec<LiquidRow> = [3, 6, 10, 14].map(|k| all[k]).to_vec();
    let oil = liquid(&some, &[]);
    for row in printed().rows() {
        let t = row.number("temperature_k");
        let far = if t < 300.0 { 0.4 } else { 0.03 + 0.001 * (t - 410.0).max(0.0) };
        row.check("viscosity", oil.viscosity(t), far);
        row.check("density", oil.density(t), 0.004);
        row.check("heat_capacity", oil.heat_capacity(t), 0.006);
        row.check("conductivity", oil.conductivity(t), 0.03);
    }
}

/// The fall of ln μ with temperature is 7 % a kelvin where oil is cold, so 1 % of viscosity is 0.15 K. A straight line of ln μ
/// between the same rows would be off by a quarter: the coordinates are worth their trouble.
#[test]
fn the_coordinates_beat_a_straight_line_of_the_logarithm() {
    let all = rows();
    let oil = liquid(&[all[3], all[10]], &[]);
    let (cold, hot) = (all[3], all[10]);
    let ln = |row: LiquidRow| (row.viscosity_m2_s * row.density).ln();
    let middle = all[6];
    let share =
        (middle.temperature_k - cold.temperature_k) / (hot.temperature_k - cold.temperature_k);
    let straight = ln(cold) + share * (ln(hot) - ln(cold));
    let off = oil.viscosity(middle.temperature_k).ln() - ln(middle);
    assert!((straight - ln(middle)).abs() > 0.2, "{straight} {}", ln(middle));
    assert!(off.abs() < 0.05, "{off}");
}

/// A property by its name, with its slope.
type Property = (&'static str, fn(&Coolant, Dual<1>) -> Dual<1>);

#[test]
fn slopes_are_those_of_its_curves_and_enthalpy_is_their_integral() {
    let oil = liquid(&rows(), &[VapourPoint { temperature_k: 573.15, pressure_pa: NORMAL_PA }]);
    let all: [Property; 6] = [
        ("density", |c, t| c.density(t)),
        ("heat capacity", |c, t| c.heat_capacity(t)),
        ("enthalpy", |c, t| c.enthalpy(t)),
        ("ln viscosity", |c, t| c.viscosity(t).ln()),
        ("conductivity", |c, t| c.conductivity(t)),
        ("ln vapour", |c, t| c.vapour_pressure(t).ln()),
    ];
    for (name, of) in all {
        // Far below and above its points too, over corners of pieces and over the bend to level.
        for t in [
            120.0, 171.0, 180.2, 220.0, 272.99, 273.0, 285.0, 330.0, 429.0, 431.0, 528.0, 540.0,
            700.0,
        ] {
            let e = 1e-4;
            let value = |t: f64| of(&oil, Dual::variable(t)).value;
            let slope = (value(t + e) - value(t - e)) / (2.0 * e);
            let got = of(&oil, Dual::variable(t)).slope();
            let scale = value(t).abs() * 1e-6 + slope.abs() * 1e-5;
            assert!((got - slope).abs() <= scale, "{name} at {t}: {got} against {slope}");
        }
    }
    for t in [200.0_f64, 300.0, 500.0] {
        let [enthalpy, heat_capacity] = oil.heat(t);
        near("enthalpy", enthalpy, oil.enthalpy(t), 1e-9);
        near("heat capacity", heat_capacity, oil.heat_capacity(t), 1e-9);
    }
    near("zero", oil.enthalpy(273.15), 0.0, 1e-9);
}

#[test]
fn beyond_its_points_every_property_stays_one_that_a_liquid_may_have() {
    // Two rows that lie close: any noise is a steep line.
    let row = |temperature_k: f64, heat_capacity: f64, density: f64, nu: f64| LiquidRow {
        temperature_k,
        density,
        heat_capacity,
        viscosity_m2_s: nu,
        conductivity: 0.14,
    };
    let steep = [row(293.15, 1800.0, 900.0, 60e-6), row(298.15, 2000.0, 860.0, 40e-6)];
    let oil = liquid(&steep, &[]);
    let mut before = f64::INFINITY;
    for k in 0..200 {
        let t = 100.0 + 5.0 * f64::from(k);
        let (rho, cp, mu) = (oil.density(t), oil.heat_capacity(t), oil.viscosity(t));
        assert!((0.5 * 860.0..=1.5 * 900.0).contains(&rho), "density {rho} at {t}");
        assert!((0.5 * 1800.0..=1.5 * 2000.0).contains(&cp), "heat capacity {cp} at {t}");
        assert!(mu > 0.0 && mu.is_finite() && mu <= before, "viscosity {mu} at {t} after {before}");
        before = mu;
    }
}

#[test]
fn a_warning_tells_where_its_points_were_left() {
    let oil = liquid(&rows(), &[]);
    assert!(oil.range_warning(273.0).is_none() && oil.range_warning(430.0).is_none());
    let range_k = (273.0, 430.0);
    let below = FluidWarning::BelowSource { temperature_k: 265.0, range_k };
    assert_eq!(oil.range_warning(265.0), Some(below));
    let above = FluidWarning::AboveSource { temperature_k: 440.0, range_k };
    assert_eq!(oil.range_warning(440.0), Some(above));
    let frozen = oil.range_warning(250.0);
    assert!(matches!(frozen, Some(FluidWarning::BelowFreezing { .. })), "{frozen:?}");
    let far = oil.range_warning(540.0);
    assert!(matches!(far, Some(FluidWarning::AboveTable { .. })), "{far:?}");
}

/// Pure hydrocarbons of CoolProp: Trouton's rule from the boiling point alone is within 20 % a tenth below and a twentieth
/// above it on the absolute scale, 60 % too high a fifth below it: it errs towards boiling; from three points the law of Clausius and Clapeyron is within 1.5 % at
/// a fourth.
#[test]
fn vapour_pressure_follows_from_one_point_or_from_several() {
    let reference = Table::read("fluids_tabled_vapour.csv");
    let of_liquid = |name: &str| {
        let own: Vec<Row<'_>> = reference.rows().filter(|row| row.text("liquid") == name).collect();
        own.iter()
            .map(|row| (row.number("temperature_k"), row.number("pressure_pa")))
            .collect::<Vec<_>>()
    };
    for row in reference.rows() {
        let (boils_k, t) = (row.number("boils_k"), row.number("temperature_k"));
        let normal = VapourPoint { temperature_k: boils_k, pressure_pa: NORMAL_PA };
        let by_rule = liquid(&rows(), &[normal]);
        let allowed = if t < 0.85 * boils_k { 0.6 } else { 0.2 };
        row.check("pressure_pa", by_rule.vapour_pressure(t), allowed);
        near("it boils there", by_rule.boiling_point_k(NORMAL_PA), boils_k, 1e-6);
        let points: Vec<VapourPoint> = of_liquid(row.text("liquid"))
            .into_iter()
            .map(|(temperature_k, pressure_pa)| VapourPoint { temperature_k, pressure_pa })
            .collect();
        let told = liquid(&rows(), &points);
        row.check("pressure_pa", told.vapour_pressure(t), 1e-9);
        let pressure_pa = row.number("pressure_pa");
        near("and back", told.boiling_point_k(pressure_pa), t, 1e-6);
        near("between", told.vapour_pressure(boils_k), NORMAL_PA, 0.015 * NORMAL_PA);
    }
}

#[test]
fn where_no_vapour_pressure_is_told_nothing_is_said_of_boiling() {
    let oil = liquid(&rows(), &[]);
    assert!(!oil.has_vapour());
    assert!(oil.vapour_pressure(400.0_f64).abs() < f64::EPSILON);
    assert!(oil.boiling_point_k(1e5).is_nan() && oil.boiling_point_k(0.0).is_nan());
    assert!(oil.base().is_none() && oil.table().is_some_and(|table| table.name == "oil"));
}

#[test]
fn points_that_make_no_liquid_are_refused() {
    let all = rows();
    let refused = |rows: &[LiquidRow], vapour: &[VapourPoint]| {
        LiquidTable::new(("oil", 0.0), rows, vapour).expect_err("no liquid")
    };
    assert_eq!(refused(&all[..1], &[]), LiquidError::TooFew);
    assert_eq!(refused(&[all[2], all[1]], &[]), LiquidError::NotRising(1));
    let thin = LiquidRow { viscosity_m2_s: 0.1e-6, ..all[1] };
    assert_eq!(refused(&[all[0], thin], &[]), LiquidError::Impossible(1));
    let nothing = LiquidRow { heat_capacity: f64::NAN, ..all[0] };
    assert_eq!(refused(&[nothing, all[1]], &[]), LiquidError::Impossible(0));
    let at = |temperature_k, pressure_pa| VapourPoint { temperature_k, pressure_pa };
    let falling = [at(300.0, 2e3), at(350.0, 1e3)];
    assert_eq!(refused(&all, &falling), LiquidError::VapourNotRising(1));
}
