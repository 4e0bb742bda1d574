//! The liquid in a circuit.

use crate::kind::Kind;
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, OnceLock};

use coolwright_solver::scalar::{Dual, Scalar};

use super::curve::Curve;
use super::fault::{FluidError, FluidWarning, within};
use super::glycol::{Glycol, Mixture};
use super::tabled::{BEYOND_K, LiquidTable};
use super::water;

/// Highest share of glycol by volume.
const HIGHEST_SHARE: f64 = 0.60;
/// Share by volume below which a mixture is interpolated towards water.
const LOWEST_FIT: f64 = 0.10;
/// First temperature of the tables, K: −45 °C.
const START_K: f64 = 228.15;
/// Spacing of the tables, K; 0 and 100 °C are points of it, where formulations change.
const STEP_K: f64 = 2.5;
/// Points in a table, the last at 160 °C.
const POINTS: u32 = 83;
/// Last temperature of the tables, K: 160 °C.
const END_K: f64 = 433.15;
/// How far below its freezing point coolant makes the ice beside it grow, K: it gets no colder.
pub const BESIDE_ICE_K: f64 = 0.05;

/// Melting point of water, K, and the zero of enthalpy.
const ICE_K: f64 = 273.15;
/// Pressure in Pa at which water is taken; a circuit's own pressure shifts density by 0.005 %
/// per 100 kPa.
const WATER_PA: f64 = 0.2e6;

/// What a coolant is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Base {
    /// Plain water.
    Water,
    /// Ethylene glycol in water.
    EthyleneGlycol,
    /// Propylene glycol in water.
    PropyleneGlycol,
}

/// How much glycol a coolant holds, as a ratio (0.5 is 50 %).
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Share {
    /// By volume of the pure liquids at 20 °C, before mixing.
    ByVolume(f64),
    /// By mass.
    ByMass(f64),
}

/// A coolant with its properties over temperature.
///
/// The properties are tabulated once, every 2.5 K from −45 to 160 °C, and read as a continuously
/// differentiable curve; ln μ for viscosity and ln p for vapour pressure. Beyond the table each
/// goes on as a straight line in the stored quantity, so that an iteration that strays gets a
/// number; [`Coolant::range_warning`] tells when a final answer lies outside. Reading the curve
/// adds less than 5e−5 of the value, and 1e−3 in viscosity next to 100 °C, where the slope of the
/// source does not meet that of the extrapolation.
///
/// Sources: water by IAPWS R7-97 (0.2 MPa), R12-08 and R15-11; below −2.5 °C straight lines.
/// Mixtures as in [`Mixture`]; below 10 % by volume every property is interpolated linearly in
/// the share by volume (ln μ for viscosity) between water and the 10 % mixture. Vapour pressure
/// is that of ideal mixing at every share.
///
/// A liquid may also be known by points over temperature ([`LiquidTable`]).
///
/// Cloning is cheap: clones share the tables.
#[derive(Clone, Debug)]
pub struct Coolant {
    of: Of,
    freezing_k: f64,
    range_k: (f64, f64),
    tables: Arc<Tables>,
}

/// What a coolant is.
#[derive(Clone, Debug)]
enum Of {
    /// Water, alone or with glycol.
    Mixture(Base, Shares),
    /// A liquid known by points.
    Table(Arc<LiquidTable>),
}

#[derive(Clone, Copy, Debug, Default)]
struct Shares {
    volume: f64,
    mass: f64,
    mole: f64,
}

#[derive(Debug)]
pub(super) struct Tables {
    density: Curve,
    heat_capacity: Curve,
    ln_viscosity: Curve,
    conductivity: Curve,
    /// None where the vapour pressure is not known.
    ln_vapour: Option<Curve>,
    /// Integral of the heat capacity from the start of the table to 0 °C, J/kg.
    enthalpy_at_zero: f64,
    /// Temperature above which density and conductivity fade, K.
    fades_k: f64,
}

/// The mixtures that were made last: tables are dear to make, follow from base and share alone, and a case asks for the
/// same few again and again.
static MADE: Mutex<VecDeque<Coolant>> = Mutex::new(VecDeque::new());
/// So many are kept.
const KEPT: usize = 32;

/// A mixture that was made before.
fn made_before(base: Base, by_volume: f64) -> Option<Coolant> {
    let is_it = |made: &&Coolant| {
        made.base() == Some(base) && made.volume_share().to_bits() == by_volume.to_bits()
    };
    MADE.lock().ok()?.iter().find(is_it).cloned()
}

fn keep(made: &Coolant) {
    if let Ok(mut all) = MADE.lock() {
        all.truncate(KEPT - 1);
        all.push_front(made.clone());
    }
}

/// Density, heat capacity, ln μ and conductivity at one temperature.
type Row = [f64; 4];

impl Coolant {
    /// A coolant of a base liquid with a share of glycol. Water ignores the share.
    ///
    /// # Errors
    /// When the share is outside 0 to 0.60 by volume, or the same by mass, or is no number.
    pub fn new(base: Base, share: Share) -> Result<Self, FluidError> {
        let glycol = match base {
            Base::Water => return Ok(Self::water()),
            Base::EthyleneGlycol => Glycol::Ethylene,
            Base::PropyleneGlycol => Glycol::Propylene,
        };
        let by_volume = match share {
            Share::ByVolume(given) => {
                within("glycol share by volume", given, (0.0, HIGHEST_SHARE), Kind::Fraction)?
            }
            Share::ByMass(given) => {
                let highest = glycol.mass_share(HIGHEST_SHARE);
                within("glycol share by mass", given, (0.0, highest), Kind::Fraction)?;
                glycol.volume_share(given).min(HIGHEST_SHARE)
            }
        };
        if let Some(made) = made_before(base, by_volume) {
            return Ok(made);
        }
        let mixture = Mixture::new(glycol, by_volume.max(LOWEST_FIT))?;
        let weight = (by_volume / LOWEST_FIT).min(1.0);
        let blend = |water: f64, mixture: f64| water + (mixture - water) * weight;
        let freezing_k = blend(ICE_K, mixture.freezing_point_k());
        let shares = Shares {
            volume: by_volume,
            mass: glycol.mass_share(by_volume),
            mole: glycol.mole_share(by_volume),
        };
        let row = |t: f64| {
            let of_mixture = mixture_row(&mixture, t);
            if weight < 1.0 {
                let of_water = water_row(t);
                std::array::from_fn(|i| blend(of_water[i], of_mixture[i]))
            } else {
                of_mixture
            }
        };
        let vapour = |t: f64| {
            (1.0 - shares.mole) * water::saturation_pressure_pa(t)
                + shares.mole * glycol.vapour_pressure_pa(t)
        };
        let (low, high) = mixture.range_k();
        let made = Self {
            of: Of::Mixture(base, shares),
            freezing_k,
            range_k: (blend(ICE_K, low), high),
            tables: Arc::new(Tables::new(row, vapour)),
        };
        keep(&made);
        Ok(made)
    }

    /// Plain water.
    pub fn water() -> Self {
        static WATER: OnceLock<Coolant> = OnceLock::new();
        let make = || Self {
            of: Of::Mixture(Base::Water, Shares::default()),
            freezing_k: ICE_K,
            range_k: (ICE_K, END_K),
            tables: Arc::new(Tables::new(water_row, water::saturation_pressure_pa)),
        };
        WATER.get_or_init(make).clone()
    }

    /// A liquid that is known by points.
    pub fn of_table(table: &Arc<LiquidTable>) -> Self {
        Self {
            of: Of::Table(Arc::clone(table)),
            freezing_k: table.freezing_k,
            range_k: table.range_k,
            tables: Arc::clone(&table.tables),
        }
    }

    /// What the coolant is mixed from; none of a liquid that is known by points.
    pub fn base(&self) -> Option<Base> {
        match self.of {
            Of::Mixture(base, _) => Some(base),
            Of::Table(_) => None,
        }
    }

    /// The points, of a liquid that is known by them.
    pub fn table(&self) -> Option<&LiquidTable> {
        match &self.of {
            Of::Mixture(..) => None,
            Of::Table(table) => Some(table),
        }
    }

    fn shares(&self) -> Shares {
        match self.of {
            Of::Mixture(_, shares) => shares,
            Of::Table(_) => Shares::default(),
        }
    }

    /// Share of glycol by volume of the pure liquids at 20 °C.
    pub fn volume_share(&self) -> f64 {
        self.shares().volume
    }

    /// Share of glycol by mass.
    pub fn mass_share(&self) -> f64 {
        self.shares().mass
    }

    /// Share of glycol by amount of substance.
    pub fn mole_share(&self) -> f64 {
        self.shares().mole
    }

    /// Whether its vapour pressure is known, so that something can be said of boiling.
    pub fn has_vapour(&self) -> bool {
        self.tables.has_vapour()
    }

    /// Density, kg/m³, at a temperature in K.
    ///
    /// Above the table it goes on with its slope, ever more slowly, and stays above three tenths of its
    /// last value: a straight line would fall below zero on the way to a steady state that no liquid
    /// reaches, before anything can say that it boils. [`Coolant::range_warning`] tells.
    #[inline]
    pub fn density<S: Scalar>(&self, t_k: S) -> S {
        self.tables.fading(&self.tables.density, t_k)
    }

    /// Specific heat capacity, J/(kg K), at a temperature in K.
    #[inline]
    pub fn heat_capacity<S: Scalar>(&self, t_k: S) -> S {
        self.tables.heat_capacity.at(t_k)
    }

    /// Specific enthalpy, J/kg, zero at 273.15 K; the exact integral of [`Coolant::heat_capacity`].
    #[inline]
    pub fn enthalpy<S: Scalar>(&self, t_k: S) -> S {
        self.tables.heat_capacity.integral(t_k) - self.tables.enthalpy_at_zero
    }

    /// [`Coolant::enthalpy`] and [`Coolant::heat_capacity`] at once, at a temperature in K.
    #[inline]
    pub fn heat(&self, t_k: f64) -> [f64; 2] {
        let [integral, heat_capacity] = self.tables.heat_capacity.integral_and_value(t_k);
        [integral - self.tables.enthalpy_at_zero, heat_capacity]
    }

    /// Dynamic viscosity, Pa s, at a temperature in K. Far beyond its table it is held between 10⁻⁷ and
    /// 10⁷ Pa s: a search on its way to a temperature that no liquid reaches has to find flows there too.
    #[inline]
    pub fn viscosity<S: Scalar>(&self, t_k: S) -> S {
        let most = S::from(7.0 * std::f64::consts::LN_10);
        self.tables.ln_viscosity.at(t_k).min(most).max(-most).exp()
    }

    /// Thermal conductivity, W/(m K), at a temperature in K; above the table it goes on as
    /// [`Coolant::density`] does.
    #[inline]
    pub fn conductivity<S: Scalar>(&self, t_k: S) -> S {
        self.tables.fading(&self.tables.conductivity, t_k)
    }

    /// Prandtl number μ c_p / k.
    #[inline]
    pub fn prandtl<S: Scalar>(&self, t_k: S) -> S {
        self.viscosity(t_k) * self.heat_capacity(t_k) / self.conductivity(t_k)
    }

    /// Vapour pressure, Pa absolute, at a temperature in K; ideal mixing of water and glycol. None at all where it is
    /// not known.
    #[inline]
    pub fn vapour_pressure<S: Scalar>(&self, t_k: S) -> S {
        match &self.tables.ln_vapour {
            Some(ln_vapour) => ln_vapour.at(t_k).exp(),
            None => S::from(0.0),
        }
    }

    /// The same in Pa absolute where it is told; no number where it is not.
    pub fn told_vapour_pressure(&self, t_k: f64) -> f64 {
        if self.has_vapour() { self.vapour_pressure(t_k) } else { f64::NAN }
    }

    /// Temperature in K at which the vapour pressure equals a pressure in Pa absolute: the exact
    /// inverse of [`Coolant::vapour_pressure`].
    ///
    /// For a pressure of zero or below it is 0 K: such a liquid boils at every temperature. It is no number where the
    /// vapour pressure is not known.
    pub fn boiling_point_k(&self, pressure_pa: f64) -> f64 {
        let Some(ln_vapour) = &self.tables.ln_vapour else { return f64::NAN };
        if pressure_pa <= 0.0 {
            return 0.0;
        }
        let target = pressure_pa.ln();
        // ln p of a mixture rises with T and bends down, so Newton goes below the root in one step at most and
        // then climbs to it; about six steps are needed within the table. Points of another liquid may bend it
        // otherwise, so the root is kept between what lies below and above it.
        let mut t = 373.15;
        let (mut below, mut above) = (f64::NEG_INFINITY, f64::INFINITY);
        for _ in 0..80 {
            let (value, slope) = ln_vapour.at_plain(t);
            if value < target {
                below = t;
            } else {
                above = t;
            }
            let mut step = (target - value) / slope;
            if t + step < below || t + step > above {
                step = f64::midpoint(below, above) - t;
            }
            t += step;
            if step.abs() < 1e-10 {
                break;
            }
        }
        t.max(0.0)
    }

    /// Freezing point (first ice), K.
    pub fn freezing_point_k(&self) -> f64 {
        self.freezing_k
    }

    /// Temperatures in K covered by the source formulation itself, lowest and highest.
    ///
    /// Water: 0 to 160 °C (the source goes on; the table ends there). Mixtures: from −35 °C or
    /// the freezing point to 100 °C. Others: their points.
    pub fn range_k(&self) -> (f64, f64) {
        self.range_k
    }

    /// Temperatures in K at which a value can be used, the extrapolation above the source's range
    /// included: from freezing (or −45 °C) to 160 °C, of a liquid by points 100 K beyond them.
    pub fn valid_k(&self) -> (f64, f64) {
        let (start, end) = match self.of {
            Of::Mixture(..) => (START_K, END_K),
            Of::Table(_) => (self.range_k.0 - BEYOND_K, self.range_k.1 + BEYOND_K),
        };
        (self.freezing_k.max(start), end)
    }

    /// What is doubtful about the properties at a temperature in K; nothing within
    /// [`Coolant::range_k`]. Boiling depends on pressure and is not judged here.
    pub fn range_warning(&self, t_k: f64) -> Option<FluidWarning> {
        let (temperature_k, range_k) = (t_k, self.range_k);
        // Coolant beside its ice is as cold as that, and a hair colder where ice forms.
        let t_k = if t_k > self.freezing_k - BESIDE_ICE_K { t_k.max(self.freezing_k) } else { t_k };
        if t_k < self.freezing_k {
            Some(FluidWarning::BelowFreezing { temperature_k, freezing_k: self.freezing_k })
        } else if t_k < range_k.0 {
            Some(FluidWarning::BelowSource { temperature_k, range_k })
        } else if t_k > self.valid_k().1 {
            Some(FluidWarning::AboveTable { temperature_k, range_k: self.valid_k() })
        } else if t_k > range_k.1 {
            Some(FluidWarning::AboveSource { temperature_k, range_k })
        } else {
            None
        }
    }
}

impl Tables {
    fn new(row: impl Fn(f64) -> Row, vapour_pressure: impl Fn(f64) -> f64) -> Self {
        let nodes: Vec<f64> = (0..POINTS).map(|i| START_K + STEP_K * f64::from(i)).collect();
        let rows: Vec<Row> = nodes.iter().map(|&t| row(t)).collect();
        let curve = |values: Vec<f64>| Curve::new(START_K, STEP_K, &values);
        let column = |i: usize| curve(rows.iter().map(|row| row[i]).collect());
        let ln_vapour = curve(nodes.iter().map(|&t| vapour_pressure(t).ln()).collect());
        let curves = [column(0), column(1), column(2), column(3)];
        Self { fades_k: END_K, ..Self::of_curves(curves, Some(ln_vapour)) }
    }

    /// Of density, heat capacity, ln μ and conductivity, and ln p where that is known.
    pub(super) fn of_curves(curves: [Curve; 4], ln_vapour: Option<Curve>) -> Self {
        let [density, heat_capacity, ln_viscosity, conductivity] = curves;
        Self {
            density,
            enthalpy_at_zero: heat_capacity.integral(ICE_K),
            heat_capacity,
            ln_viscosity,
            conductivity,
            ln_vapour,
            fades_k: f64::INFINITY,
        }
    }

    /// Whether the vapour pressure is known.
    pub(super) fn has_vapour(&self) -> bool {
        self.ln_vapour.is_some()
    }

    /// A property of a table, continued above it as v (f + (1 − f) e^(s (T − T_end)/((1 − f) v))) with v and
    /// s its last value and slope and f = 3/10: value and slope go on, and a falling property never
    /// reaches zero.
    #[inline]
    fn fading<S: Scalar>(&self, table: &Curve, t_k: S) -> S {
        const FLOOR: f64 = 0.3;
        if t_k.value() <= self.fades_k || self.fades_k.is_infinite() {
            return table.at(t_k);
        }
        let end = table.at(Dual::<1>::variable(self.fades_k));
        let falling = 1.0 - FLOOR;
        let past = t_k - self.fades_k;
        let share = (past * (end.slope() / (falling * end.value))).exp() * falling + FLOOR;
        share * end.value
    }
}

fn mixture_row(mixture: &Mixture, t: f64) -> Row {
    [mixture.density(t), mixture.heat_capacity(t), mixture.ln_viscosity(t), mixture.conductivity(t)]
}

/// Water at a temperature in K. The formulations serve one table step below 0 °C, where they are
/// still smooth, so that the curve has its right slope at 0 °C; straight on from there.
fn water_row(t: f64) -> Row {
    const LOWEST_K: f64 = ICE_K - STEP_K;
    if t < LOWEST_K {
        let (at, next) = (water_row(LOWEST_K), water_row(LOWEST_K + STEP_K));
        return std::array::from_fn(|i| at[i] + (next[i] - at[i]) * (t - LOWEST_K) / STEP_K);
    }
    let state = water::liquid(t, WATER_PA);
    [
        state.density,
        state.heat_capacity,
        water::viscosity(t, state.density).ln(),
        water::conductivity(t, state.density),
    ]
}
