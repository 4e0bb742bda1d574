//! A core: heat from coolant through the tube wall into the air that crosses it.
//!
//! The coolant's way is cut into cells. Each cell's steady state is that of cross-flow with the air
//! unmixed and the coolant mixed across the depth (a single row of flat tubes), or that share of what a core of several
//! rows does; in a row they give the effectiveness–NTU result of the whole core exactly. See [`Exchange`].

use coolwright_solver::scalar::Scalar;

use super::{AirFall, Built, FallTable, UaTable};
use crate::fluids::Air;
use crate::laws::exchanger::{
    Arrangement, arranged_conductance, most_heat_of_any_w, most_heat_w, rated_conductance_w_k,
};
use crate::laws::film::film_liquid_factor;
use crate::laws::fins::AirDensities;
use crate::slots::{Slot, Values};

/// One measured point of a core.
#[derive(Clone, Copy, Debug)]
pub struct RatedPoint {
    /// Heat given off, W.
    pub heat: Slot,
    /// Coolant flow, kg/s.
    pub coolant_flow: Slot,
    /// Air flow, kg/s.
    pub air_flow: Slot,
    /// Coolant inlet less air inlet temperature, K.
    pub inlet_difference: Slot,
    /// Heat capacity of the rating's coolant, J/(kg·K).
    pub coolant_heat_capacity: Slot,
    /// Its viscosity, Pa·s.
    pub coolant_viscosity: Slot,
    /// Its conductivity, W/(m·K).
    pub coolant_conductivity: Slot,
}

/// How well the heat passes.
#[derive(Clone, Debug)]
pub enum CoreRating {
    /// From one rated point.
    Point(RatedPoint),
    /// From a table of rated points over coolant and air flow.
    Table(UaTable),
    /// From its dimensions.
    Built(Built),
}

/// A rated point that no core of this kind can have.
#[derive(Clone, Debug, PartialEq)]
pub enum CoreError {
    /// More heat than a core of any size passes on at the rated flows.
    TooMuchHeat {
        /// The heat asked for, W.
        heat_w: f64,
        /// The most with the air unmixed and the coolant mixed, W.
        most_w: f64,
        /// The most in any arrangement (counterflow, both fluids unmixed), W.
        any_w: f64,
    },
    /// A number that must be positive is not.
    NotPositive(&'static str),
    /// Dimensions that do not go together: what of them.
    Dimensions(&'static str),
}

/// A radiator core and its place on the air side.
#[derive(Clone, Debug)]
pub struct Core {
    /// Its name.
    pub name: String,
    /// How well the heat passes.
    pub rating: CoreRating,
    /// Share of the resistance at the rating that lies in the coolant film; of no account where dimensions tell it.
    pub coolant_share: Slot,
    /// Share of the resistance at the rating that lies in the wall; likewise.
    pub wall_share: Slot,
    /// How the air-side conductance goes with air flow; likewise.
    pub air_exponent: Slot,
    /// Fall of the air's pressure; of no account where `fall_table` or `fall_of_fins` tells it.
    pub air_fall: AirFall,
    /// Fall of the air's pressure over its flow.
    pub fall_table: Option<FallTable>,
    /// Factor on the fall that follows from its dimensions, where they tell it.
    pub fall_of_fins: Option<Slot>,
    /// Heat capacity of its metal, J/K.
    pub metal: Slot,
    /// Share of the face that is blocked: 0 clean.
    pub blocked: Slot,
    /// What it is a piece of: then `rating` and falls are those of the whole.
    pub piece: Option<Piece>,
    /// Face area, m², where it is known.
    pub face: Option<Slot>,
}

/// What share of a whole core a piece of it is.
#[derive(Clone, Debug)]
pub struct Piece {
    /// The name of the whole core.
    pub of: String,
    /// Of its face.
    pub face: Slot,
    /// Of its tubes: all of them where the coolant goes through one piece after the other.
    pub tubes: Slot,
}

/// The resistances of a core at its rating, from which those at any flow follow; nothing of one that is known by its
/// dimensions, but for the flows that count as usual.
#[derive(Clone, Copy, Debug)]
pub struct CoreSide {
    /// Coolant film, K/W, at the rated coolant flow.
    pub film: f64,
    /// Wall, K/W.
    pub wall: f64,
    /// Air side, K/W, at the rated air flow.
    pub air: f64,
    /// Rated coolant flow, kg/s.
    pub coolant_flow: f64,
    /// Rated air flow, kg/s.
    pub air_flow: f64,
    /// Viscosity (Pa·s), conductivity (W/(m·K)) and heat capacity (J/(kg·K)) of the rating's
    /// coolant.
    pub coolant: [f64; 3],
}

/// Heat capacity of dry air near the temperatures of ratings, J/(kg·K).
pub const RATING_AIR_HEAT_CAPACITY: f64 = 1006.0;

/// Mass flux of coolant that counts as usual in tubes, kg/(m²·s): 0.5 m/s (common practice, no source).
const USUAL_COOLANT_FLUX: f64 = 500.0;
/// Mass flux of air that counts as usual between fins, kg/(m²·s): 4 m/s in front (common practice, no source).
const USUAL_AIR_FLUX: f64 = 6.0;
/// Most of the resistance of a row of a table that is taken to lie in the coolant film.
const MOST_FILM: f64 = 0.85;
/// Least of it that is taken to lie on the air side.
const LEAST_AIR: f64 = 0.05;
/// Share of the rated coolant film of a core that is left at rest (common practice, no source).
pub const FILM_AT_REST: f64 = 0.02;

/// The coolant in a core.
#[derive(Clone, Copy, Debug)]
pub struct Inside<S> {
    /// Its flow, kg/s.
    pub flow: S,
    /// Its viscosity, Pa·s, conductivity, W/(m·K), and heat capacity, J/(kg·K).
    pub coolant: [S; 3],
    /// Its viscosity at the temperature of the wall, Pa·s.
    pub wall_viscosity: S,
}

/// The air through a core.
#[derive(Clone, Copy, Debug)]
pub struct Outside<'a, S> {
    /// Its flow, kg/s, any sign.
    pub flow: S,
    /// The air.
    pub air: &'a Air,
    /// Its temperature half the way from where it enters to the wall, K.
    pub film_k: S,
}

impl<S: Scalar> Outside<'_, S> {
    /// Its viscosity, Pa·s, conductivity, W/(m·K), and heat capacity, J/(kg·K), half the way to the wall.
    pub fn properties(&self) -> [S; 3] {
        let Self { air, film_k, .. } = *self;
        [air.viscosity(film_k), air.conductivity(film_k), air.heat_capacity(film_k)]
    }
}

/// Temperatures of the air at a core: where it enters, where it leaves, and half the way from where it enters to the wall, K.
#[derive(Clone, Copy, Debug)]
pub struct AirTemperatures<S> {
    /// In front.
    pub entering_k: S,
    /// Behind.
    pub leaving_k: S,
    /// Half the way to the wall.
    pub film_k: S,
}

impl Core {
    /// The share of the face of the whole core that is open here.
    pub fn open(&self, values: &Values) -> f64 {
        let share = self.piece.as_ref().map_or(1.0, |piece| values.get(piece.face));
        (1.0 - values.get(self.blocked)) * share
    }

    /// The share of the tubes of the whole core that its coolant goes through.
    pub fn tubes(&self, values: &Values) -> f64 {
        self.piece.as_ref().map_or(1.0, |piece| values.get(piece.tubes))
    }

    /// Fall of the air through it, Pa, at a mass flow, kg/s.
    pub fn fall_of_air<S: Scalar>(
        &self,
        values: &Values,
        flow: S,
        (air, at): (&Air, AirTemperatures<S>),
    ) -> S {
        let open = self.open(values);
        let mean = air.density((at.entering_k + at.leaving_k) * 0.5);
        if let Some(table) = &self.fall_table {
            return table.at(values, open, flow, mean);
        }
        if let (Some(scale), CoreRating::Built(built)) = (self.fall_of_fins, &self.rating) {
            let [entering, leaving] = [at.entering_k, at.leaving_k].map(|k| air.density(k));
            let density = AirDensities { entering, mean, leaving };
            let of = (&density, air.viscosity(at.film_k));
            return built.air_fall(values, flow / open, of) * values.get(scale);
        }
        self.air_fall.at(values, open, flow, mean)
    }

    /// How the coolant goes through it.
    pub fn arrangement(&self, values: &Values) -> Arrangement {
        match &self.rating {
            CoreRating::Built(built) => built.arrangement(values),
            CoreRating::Point(_) | CoreRating::Table(_) => Arrangement::ONE_ROW,
        }
    }

    /// UA at the rating, W/K: the value with which the core gives exactly the rated heat.
    ///
    /// `Q = C_c ΔT (1 − exp(−Γ C_a/C_c)), Γ = 1 − exp(−UA/C_a)`, solved for UA (Kays & London,
    /// Compact Heat Exchangers: cross-flow, one fluid mixed).
    ///
    /// # Errors
    /// When no UA gives the rated heat.
    pub fn rated_ua(values: &Values, point: &RatedPoint) -> Result<f64, CoreError> {
        let get = |slot| values.get(slot);
        let heat = get(point.heat);
        let difference = get(point.inlet_difference);
        let coolant = get(point.coolant_flow) * get(point.coolant_heat_capacity);
        let air = get(point.air_flow) * RATING_AIR_HEAT_CAPACITY;
        for (number, what) in [
            (heat, "heat"),
            (difference, "inlet temperature difference"),
            (coolant, "coolant flow"),
            (air, "air flow"),
        ] {
            if number.is_nan() || number <= 0.0 {
                return Err(CoreError::NotPositive(what));
            }
        }
        let most_w = most_heat_w(coolant, air, difference);
        if heat >= 0.999 * most_w {
            let any_w = most_heat_of_any_w(coolant, air, difference);
            return Err(CoreError::TooMuchHeat { heat_w: heat, most_w, any_w });
        }
        Ok(rated_conductance_w_k(heat, coolant, air, difference))
    }
}

/// Resistances of a whole core in K/W: coolant film, wall, air side.
#[derive(Clone, Copy, Debug)]
pub struct Resistances<S> {
    /// Coolant film.
    pub film: S,
    /// Tube wall.
    pub wall: f64,
    /// Air side, fins included.
    pub air: S,
}

impl<S: Scalar> Resistances<S> {
    /// All of them so many times as large.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { film: self.film * factor, wall: self.wall * factor, air: self.air * factor }
    }
}

impl CoreSide {
    /// Flows of coolant and air over those of the rating, for flows through a core, kg/s; a piece has its share of the
    /// rating.
    pub fn stretch(&self, values: &Values, core: &Core, [coolant, air]: [f64; 2]) -> [f64; 2] {
        let face = core.piece.as_ref().map_or(1.0, |piece| values.get(piece.face));
        [coolant.abs() / core.tubes(values) / self.coolant_flow, air.abs() / face / self.air_flow]
    }

    /// The resistances of a core at its rated point (or at the corner of its table with the most
    /// flow).
    ///
    /// # Errors
    /// When no core gives the rated heat at the rated flows.
    pub fn of(values: &Values, core: &Core) -> Result<Self, CoreError> {
        let (ua, coolant_flow, air_flow) = match &core.rating {
            CoreRating::Point(point) => (
                Core::rated_ua(values, point)?,
                values.get(point.coolant_flow),
                values.get(point.air_flow),
            ),
            CoreRating::Table(table) => {
                let last = |axis: &[f64]| axis.last().copied().unwrap_or(1.0);
                let (coolant, air) = (last(&table.coolant_flow), last(&table.air_flow));
                (table.at(values, coolant, air), coolant, air)
            }
            CoreRating::Built(built) => return Self::of_built(values, built),
        };
        let coolant = match &core.rating {
            CoreRating::Point(point) => {
                let RatedPoint { coolant_viscosity, coolant_conductivity, .. } = *point;
                [coolant_viscosity, coolant_conductivity, point.coolant_heat_capacity]
                    .map(|slot| values.get(slot))
            }
            CoreRating::Table(table) => table.coolant,
            CoreRating::Built(_) => [1.0; 3],
        };
        let film = values.get(core.coolant_share) / ua;
        let wall = values.get(core.wall_share) / ua;
        Ok(Self { film, wall, air: 1.0 / ua - film - wall, coolant_flow, air_flow, coolant })
    }

    /// Of a core that is known by its dimensions: no resistances, and flows of usual size.
    fn of_built(values: &Values, built: &Built) -> Result<Self, CoreError> {
        if let Some(fault) = built.fault(values) {
            return Err(CoreError::Dimensions(fault));
        }
        let sizes = built.sizes(values);
        let [short, long, _] = sizes.inside;
        Ok(Self {
            film: 0.0,
            wall: 0.0,
            air: 0.0,
            coolant_flow: USUAL_COOLANT_FLUX * sizes.parallel * short * long,
            air_flow: USUAL_AIR_FLUX * sizes.free,
            coolant: [1.0; 3],
        })
    }

    /// The resistances at a flow of coolant, and at one of air.
    ///
    /// Coolant film: `h ∝ m^0.8 k^0.6 c_p^0.4 μ^(−0.4)`, turbulent flow after Dittus and Boelter
    /// (from memory), with 2 % of the rated film left at rest. Air side: h ∝ w^n, or what a table leaves
    /// when film (in the liquid of its rows) and wall are taken off. Where dimensions are known, both are those of
    /// [`Built`]. Of a core that is open in the share o, that share works, with the air flow w/o; of one that is a piece, with the
    /// share t of the tubes, at the coolant flow m/t.
    pub fn resistances<S: Scalar>(
        &self,
        values: &Values,
        core: &Core,
        inside: &Inside<S>,
        outside: &Outside<'_, S>,
    ) -> Resistances<S> {
        let open = core.open(values);
        let still = self.air_flow * 1e-6;
        let through = outside.flow / open;
        let through = (through * through + still * still).sqrt();
        if let CoreRating::Built(built) = &core.rating {
            let whole = built.resistances(values, inside, (outside, through));
            return whole.times(1.0 / open);
        }
        let Inside { flow, coolant: [viscosity, conductivity, heat_capacity], .. } = *inside;
        let flow = flow / core.tubes(values);
        let [viscosity_0, conductivity_0, heat_capacity_0] = self.coolant;
        let film_like = |share: S| (share.powi(4) + FILM_AT_REST.powi(5)).powf(-0.2);
        let by_flow = film_like((flow / self.coolant_flow).abs());
        let by_property = film_liquid_factor(
            conductivity / conductivity_0,
            heat_capacity / heat_capacity_0,
            viscosity / viscosity_0,
        );
        let by_air = (through / self.air_flow).powf(-values.get(core.air_exponent));
        let (film, air) = match &core.rating {
            CoreRating::Point(_) | CoreRating::Built(_) => (by_flow * self.film, by_air * self.air),
            CoreRating::Table(table) => {
                let whole = S::from(1.0) / table.at(values, flow.abs(), through);
                // Over a flow that the table has but one of, film and air go on as from a rated point.
                let one_coolant = table.coolant_flow.len() == 1;
                let film = if one_coolant { S::from(self.film) } else { by_flow * self.film };
                // Something is always left for the air, so that rows with a film that is worse than told are met too.
                let film = film.min(whole * MOST_FILM);
                // Far beyond the rows less than the wall alone may be left of the whole.
                let air = (whole - film - self.wall).max(whole * LEAST_AIR);
                let film = if one_coolant { by_flow * film } else { film };
                let one_air = table.air_flow.len() == 1;
                (film, if one_air { by_air * air } else { air })
            }
        };
        let by_property = match &core.rating {
            CoreRating::Point(_) | CoreRating::Built(_) => by_property,
            CoreRating::Table(table) => by_property / table.liquid_at(flow.abs(), through),
        };
        let film = film / by_property;
        Resistances { film: film / open, wall: self.wall / open, air: air / open }
    }
}

/// The conductances of one cell of a core, W/K.
///
/// With `G_cw` between coolant and wall and UA between coolant and air, the cell's steady heat per
/// kelvin between coolant and entering air is `G = C_a (1 − e^(−UA/C_a))`: the air is unmixed and
/// the coolant has one temperature. In a core of several rows it is its share of [`arranged_conductance`]. The conductance from wall to entering air is what is left:
/// `1/G_wa = 1/G − 1/G_cw`. To make a row of stirred cells give the same as plug flow, both are
/// multiplied by φ(x) = (e^x − 1)/x with x = `G/C_c`: then (1 + φx)⁻¹ = e^(−x).
#[derive(Clone, Copy, Debug)]
pub struct Exchange<S> {
    /// Between coolant and wall.
    pub coolant_wall: S,
    /// Between wall and entering air.
    pub wall_air: S,
}

/// The least capacity flow of coolant that is counted with, W/K.
pub(crate) const LEAST_CAPACITY: f64 = 1e-12;

impl<S: Scalar> Exchange<S> {
    /// One of `cells` equal cells of a core. `air` and `coolant` are the capacity flows of the
    /// whole core, W/K.
    pub fn of_cell(
        whole: Resistances<S>,
        [air, coolant]: [S; 2],
        cells: f64,
        arrangement: Arrangement,
    ) -> Self {
        let one = S::from(1.0);
        let coolant_wall = one / ((whole.film + whole.wall) * cells);
        let ua = one / ((whole.air + (whole.film + whole.wall)) * cells);
        let air = air / cells;
        let coolant = coolant.max(S::from(LEAST_CAPACITY));
        let steady = arranged_conductance(ua, air, coolant / cells, arrangement);
        let factor = plug_flow_factor(steady / coolant);
        let wall_air = one / (one / steady - one / coolant_wall);
        Self { coolant_wall: factor * coolant_wall, wall_air: wall_air * factor }
    }
}

/// φ(x) = (e^x − 1)/x, let go towards 1 where x > 1: there nearly all heat is given off in the
/// first cells whatever φ is, and without this a core at rest would have a conductance without
/// bound.
pub(crate) fn plug_flow_factor<S: Scalar>(x: S) -> S {
    let held = x / ((x / 3.0).powi(8) + 1.0);
    if held.value() < 1e-9 { S::from(1.0) } else { held.exp_m1() / held }
}
