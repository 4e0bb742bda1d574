//! A liquid known by points over temperature.

use std::sync::Arc;

use super::coolant::Tables;
use super::curve::{Curve, monotone_slopes};

/// How far beyond its last points a liquid is followed on the forms of its properties, K.
pub const BEYOND_K: f64 = 100.0;
/// Least kinematic viscosity of a liquid by table, m²/s: that of ASTM D341, with which it is followed.
pub const LEAST_VISCOSITY_M2_S: f64 = 0.21e-6;
/// Heat of evaporation over R and the boiling point, of a liquid of which only that is known.
///
/// Source: Trouton's rule, 88 J/(mol·K) over R = 8.314 J/(mol·K) (Trouton 1884, Phil. Mag. 18, 54; the number from memory).
/// Water and alcohols have more: 13.
pub const TROUTON: f64 = 10.6;
/// Normal pressure, Pa, of a boiling point without one.
pub const NORMAL_PA: f64 = 101_325.0;
/// Pieces into which each stretch between two points is cut where a form other than a cubic is followed.
const CUTS: u32 = 16;

/// One row of a liquid's table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LiquidRow {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Heat capacity, J/(kg·K).
    pub heat_capacity: f64,
    /// Kinematic viscosity, m²/s.
    pub viscosity_m2_s: f64,
    /// Conductivity, W/(m·K).
    pub conductivity: f64,
}

/// A point of a liquid's vapour pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct VapourPoint {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Vapour pressure, Pa absolute.
    pub pressure_pa: f64,
}

/// Why points do not make a liquid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LiquidError {
    /// Fewer than two rows.
    TooFew,
    /// The temperature of a row, from 0, is not above that of the one before it.
    NotRising(usize),
    /// A number of a row, from 0, is none that a liquid has.
    Impossible(usize),
    /// The temperature or the pressure of a point of the vapour pressure, from 0, is not above that of the one before it.
    VapourNotRising(usize),
}

/// A liquid known by points over temperature.
///
/// Between the points density, heat capacity and conductivity follow monotone cubics. The kinematic viscosity ν follows
/// one in the coordinates of ASTM D341, ln ln Z over ln T with Z = ν + 0.7 + exp(−1.47 − 1.84 ν − 0.51 ν²), ν in mm²/s,
/// in which oils are nearly straight; the vapour pressure one of ln p over −1/T, in which Clausius and Clapeyron's law is
/// straight. All pass through their points.
///
/// Beyond the points each goes on as the straight line through the last two in those coordinates, for
/// [`BEYOND_K`] at most. Density, heat capacity and conductivity bend level before they have changed by half.
/// The enthalpy is the exact integral of that heat capacity.
///
/// Sources: Walther 1931 (Erdöl und Teer 7, 382) and ASTM D341-09 for the viscosity (the constants from memory), Fritsch &
/// Butland 1984 (SIAM J. Sci. Stat. Comput. 5, 300) for the cubics.
#[derive(Debug)]
pub struct LiquidTable {
    /// Its name.
    pub name: String,
    /// Its freezing or pour point, K.
    pub(super) freezing_k: f64,
    /// First and last temperature of its rows, K.
    pub(super) range_k: (f64, f64),
    pub(super) tables: Arc<Tables>,
}

impl LiquidTable {
    /// A liquid of rows with rising temperature, with its freezing or pour point, K, and points of its vapour pressure;
    /// none where that is not known, and of one alone [`TROUTON`]'s rule tells the others.
    ///
    /// # Errors
    /// When the points make no liquid.
    pub fn new(
        (name, freezing_k): (&str, f64),
        rows: &[LiquidRow],
        vapour: &[VapourPoint],
    ) -> Result<Self, LiquidError> {
        check(rows, vapour)?;
        let (first, last) = (rows[0].temperature_k, rows[rows.len() - 1].temperature_k);
        let column = |of: fn(&LiquidRow) -> f64| {
            let points: Vec<[f64; 2]> =
                rows.iter().map(|row| [row.temperature_k, of(row)]).collect();
            level_ends(points)
        };
        let density = column(|row| row.density);
        let ln_viscosity = ln_viscosity(rows, &density);
        let ln_vapour = (!vapour.is_empty()).then(|| ln_vapour(vapour));
        let tables = Tables::of_curves(
            [
                density,
                column(|row| row.heat_capacity),
                ln_viscosity,
                column(|row| row.conductivity),
            ],
            ln_vapour,
        );
        let (range_k, tables) = ((first, last), Arc::new(tables));
        Ok(Self { name: name.to_owned(), freezing_k, range_k, tables })
    }

    /// Whether its vapour pressure is known.
    pub fn has_vapour(&self) -> bool {
        self.tables.has_vapour()
    }
}

fn check(rows: &[LiquidRow], vapour: &[VapourPoint]) -> Result<(), LiquidError> {
    if rows.len() < 2 {
        return Err(LiquidError::TooFew);
    }
    for (k, row) in rows.iter().enumerate() {
        let LiquidRow { temperature_k, density, heat_capacity, viscosity_m2_s, conductivity } =
            *row;
        let numbers = [temperature_k, density, heat_capacity, conductivity];
        let sound = numbers.iter().all(|x| x.is_finite() && *x > 0.0)
            && (LEAST_VISCOSITY_M2_S..=1e3).contains(&viscosity_m2_s);
        if !sound {
            return Err(LiquidError::Impossible(k));
        }
    }
    if let Some(k) = rows.windows(2).position(|two| two[1].temperature_k <= two[0].temperature_k) {
        return Err(LiquidError::NotRising(k + 1));
    }
    let above = |two: &[VapourPoint]| {
        two[1].temperature_k > two[0].temperature_k && two[1].pressure_pa > two[0].pressure_pa
    };
    match vapour.windows(2).position(|two| !above(two)) {
        Some(k) => Err(LiquidError::VapourNotRising(k + 1)),
        None => Ok(()),
    }
}

/// The monotone cubic through points, straight beyond them and then level: the straight stretch is at most
/// [`BEYOND_K`] long and changes the value by three tenths at most, and the bend is as long, so it changes it by half as
/// much again.
fn level_ends(mut points: Vec<[f64; 2]>) -> Curve {
    let mut slopes = monotone_slopes(&points);
    let stretch = |value: f64, slope: f64| BEYOND_K.min(0.3 * value / slope.abs());
    let ([x, y], slope) = (points[points.len() - 1], slopes[slopes.len() - 1]);
    let far = stretch(y, slope);
    points.extend([[x + far, y + slope * far], [x + 2.0 * far, y + 1.5 * slope * far]]);
    slopes.extend([slope, 0.0]);
    let ([x, y], slope) = (points[0], slopes[0]);
    let far = stretch(y, slope);
    points.splice(0..0, [[x - 2.0 * far, y - 1.5 * slope * far], [x - far, y - slope * far]]);
    slopes.splice(0..0, [0.0, slope]);
    Curve::uneven(&points, &slopes)
}

/// A curve over temperature that follows a monotone cubic in other coordinates: `to` brings a temperature and a value there,
/// `back` a temperature, a place and a slope there to value and slope. Between points of it the cubics in temperature differ
/// from it by next to nothing.
fn followed(
    points: &[[f64; 2]],
    to: impl Fn([f64; 2]) -> [f64; 2],
    back: impl Fn(f64, (f64, f64)) -> [f64; 2],
) -> Curve {
    let there: Vec<[f64; 2]> = points.iter().map(|point| to(*point)).collect();
    let curve = Curve::uneven(&there, &monotone_slopes(&there));
    let (first, last) = (points[0][0], points[points.len() - 1][0]);
    let mut ends = vec![(first - BEYOND_K).max(0.3 * first)];
    ends.extend(points.iter().map(|point| point[0]));
    ends.push(last + BEYOND_K);
    let mut nodes: Vec<f64> = Vec::new();
    for pair in ends.windows(2) {
        let step = |k: u32| pair[0] + (pair[1] - pair[0]) * f64::from(k) / f64::from(CUTS);
        nodes.extend((0..CUTS).map(step));
    }
    nodes.push(last + BEYOND_K);
    let at = |t: &f64| {
        let [place, _] = to([*t, points[0][1]]);
        back(*t, curve.at_plain(place))
    };
    let values: Vec<[f64; 2]> = nodes.iter().map(at).collect();
    let placed: Vec<[f64; 2]> = nodes.iter().zip(&values).map(|(t, of)| [*t, of[0]]).collect();
    let slopes: Vec<f64> = values.iter().map(|of| of[1]).collect();
    Curve::uneven(&placed, &slopes)
}

/// Z of ASTM D341 of a kinematic viscosity in mm²/s, and its slope.
fn walther(nu: f64) -> (f64, f64) {
    let small = (-1.47 - 1.84 * nu - 0.51 * nu * nu).exp();
    (nu + 0.7 + small, 1.0 - (1.84 + 1.02 * nu) * small)
}

/// The kinematic viscosity of a Z, mm²/s, and its slope: Newton's method from above, which Z falls to from without passing.
fn of_walther(z: f64) -> (f64, f64) {
    let mut nu = (z - 0.7).max(0.0);
    for _ in 0..60 {
        let (at, slope) = walther(nu);
        let step = (at - z) / slope;
        nu = (nu - step).max(0.0);
        if step.abs() < 1e-15 * nu {
            break;
        }
    }
    (nu, 1.0 / walther(nu).1)
}

/// ln μ over temperature.
fn ln_viscosity(rows: &[LiquidRow], density: &Curve) -> Curve {
    let points: Vec<[f64; 2]> =
        rows.iter().map(|row| [row.temperature_k, row.viscosity_m2_s * 1e6]).collect();
    let to = |[t, nu]: [f64; 2]| [t.ln(), walther(nu).0.ln().ln()];
    let back = |t: f64, (place, slope): (f64, f64)| {
        // Far out on the cold side a line in these coordinates leaves every number behind.
        let place = place.min(4.0);
        let ln_z = place.exp();
        let (nu, by_z) = of_walther(ln_z.exp());
        let nu_slope = by_z * ln_z.exp() * ln_z * slope / t;
        let (rho, rho_slope) = density.at_plain(t);
        [(nu * 1e-6 * rho).ln(), nu_slope / nu + rho_slope / rho]
    };
    followed(&points, to, back)
}

/// ln p over temperature.
fn ln_vapour(vapour: &[VapourPoint]) -> Curve {
    let mut points: Vec<[f64; 2]> =
        vapour.iter().map(|point| [point.temperature_k, point.pressure_pa]).collect();
    if let [[t, p]] = points[..] {
        let colder = 0.9 * t;
        points.insert(0, [colder, p * (TROUTON * (1.0 - t / colder)).exp()]);
    }
    let to = |[t, p]: [f64; 2]| [-1.0 / t, p.ln()];
    let back = |t: f64, (place, slope): (f64, f64)| [place, slope / (t * t)];
    followed(&points, to, back)
}
