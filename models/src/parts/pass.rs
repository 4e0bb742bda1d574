//! One pass of coolant through a body: a port of a charge cooler, a plate of a battery, a jacket.

mod laws;

pub(crate) use laws::FilmChannel;

use coolwright_solver::scalar::Scalar;

use super::{CoolantAt, Fall, FlowLaw, HeatPartner, LawInputs, Part, RatedFall, bore_area};
use crate::exchanger::EXCHANGER_CELLS;
use crate::laws::card::Applied;
use crate::laws::film::{film_coefficient, film_liquid_factor, flat_film_coefficient};
use crate::laws::friction::{FlatTube, Pipe, flat_tube_fall, pipe_fall};
use crate::laws::uncertainty::{
    EXCHANGER_FILM, Law, UncertaintyTerm, film_share, flat_tube_uncertainty, pipe_uncertainty,
    rated_film_share,
};
use crate::slots::{Slot, Values};

/// How many cells the coolant of a pass is cut into.
pub const PASS_CELLS: usize = 6;

/// Equal flat tubes side by side, taken as rectangles inside.
#[derive(Clone, Copy, Debug)]
pub struct Tubes {
    /// How many.
    pub count: Slot,
    /// Inside height, the narrow way, m.
    pub height: Slot,
    /// Inside width, the wide way, m.
    pub width: Slot,
    /// Length, m.
    pub length: Slot,
    /// Roughness, m.
    pub roughness: Slot,
}

impl Tubes {
    /// One of them, with the loss coefficient of its ends.
    fn one<S: Scalar>(&self, place: &LawInputs<'_, S>, loss: S) -> FlatTube<S> {
        FlatTube {
            short_m: place.get(self.height),
            long_m: place.get(self.width),
            length_m: place.get(self.length),
            roughness_m: place.get(self.roughness),
            loss,
        }
    }

    /// Count, height, width, length.
    fn numbers(&self, values: &Values) -> [f64; 4] {
        [self.count, self.height, self.width, self.length].map(|slot| values.get(slot))
    }
}

/// How the pressure falls along a pass.
#[derive(Clone, Copy, Debug)]
pub enum Channel {
    /// A round channel of known bore.
    Round {
        /// Length, m.
        length: Slot,
        /// Roughness, m.
        roughness: Slot,
        /// Loss coefficient of its ends and turns, velocity heads.
        loss: Slot,
    },
    /// Flat tubes side by side; laminar friction by their aspect ratio.
    Flat {
        /// The tubes.
        tubes: Tubes,
        /// Loss coefficient of their ends and turns, velocity heads in the tubes.
        loss: Slot,
    },
    /// A fall measured at one flow.
    Rated {
        /// The fall.
        drop: RatedFall,
        /// Coolant in the pass, m³.
        volume: Slot,
    },
}

/// How heat comes from the metal into the coolant.
#[derive(Clone, Copy, Debug)]
pub enum Film {
    /// From the correlations for a round channel, times a factor for turbulators or ribs.
    Round {
        /// Length that is wetted, m.
        length: Slot,
        /// Factor on the film coefficient.
        factor: Slot,
    },
    /// From the correlations for flat tubes, times a factor for turbulators or ribs.
    Flat {
        /// The tubes.
        tubes: Tubes,
        /// Factor on the film coefficient.
        factor: Slot,
    },
    /// A conductance known at one flow of one liquid, which follows both as turbulent films do.
    Rated(RatedFilm),
}

/// A conductance from metal to coolant that was measured at one flow in one liquid.
#[derive(Clone, Copy, Debug)]
pub struct RatedFilm {
    /// Conductance at the rated flow, W/K.
    pub conductance: Slot,
    /// Flow at which it holds, m³/s.
    pub flow: Slot,
    /// Density of the liquid in which it holds, kg/m³.
    pub density: Slot,
    /// Its viscosity, Pa·s.
    pub viscosity: Slot,
    /// Its conductivity, W/(m·K).
    pub conductivity: Slot,
    /// Its heat capacity, J/(kg·K).
    pub heat_capacity: Slot,
}

impl RatedFilm {
    /// Mass flow over the rated one.
    fn share(&self, values: &Values, flow_kg_s: f64) -> f64 {
        (flow_kg_s / (values.get(self.density) * values.get(self.flow))).abs()
    }

    /// Conductance at a mass flow of a coolant, W/K: hA = (hA)₀ (s^5 + x^4 y^5)^(1/5), x = m/m₀, y the factor
    /// of [`film_liquid_factor`], s the share left when nothing moves, in any liquid.
    pub fn conductance_w_k(&self, values: &Values, coolant: &CoolantAt, flow_kg_s: f64) -> f64 {
        let by_liquid = film_liquid_factor(
            coolant.conductivity / values.get(self.conductivity),
            coolant.heat_capacity / values.get(self.heat_capacity),
            coolant.viscosity / values.get(self.viscosity),
        );
        let moving = self.share(values, flow_kg_s).powi(4) * by_liquid.powi(5);
        values.get(self.conductance) * (STILL_SHARE.powi(5) + moving).powf(0.2)
    }
}

/// One pass through a body.
#[derive(Debug)]
pub struct Pass {
    /// The body whose metal the pass cools.
    pub body: usize,
    /// The word for it: pass, jacket or side.
    pub word: &'static str,
    /// Bore, m; `None` where it takes the run's.
    pub bore: Option<Slot>,
    /// How the pressure falls.
    pub channel: Channel,
    /// How the heat comes in.
    pub film: Film,
    /// What share of the channel is blocked: 0 clean.
    pub blocked: Slot,
    /// Height gained from inlet to outlet, m; `None` where it is level.
    pub rise: Option<Slot>,
    /// Whether it is a side of an exchanger, whose films follow from its rating.
    pub of_exchanger: bool,
}

/// Share of a rated film conductance that is left when nothing moves (common practice, no source).
const STILL_SHARE: f64 = 0.05;

impl Fall for Pass {
    /// A channel of which the share b is blocked falls as a clean one does at the flow m/(1 − b).
    fn fall<S: Scalar>(&self, place: &LawInputs<'_, S>, flow: S) -> S {
        let through = flow / (S::from(1.0) - place.get(self.blocked));
        match self.channel {
            Channel::Round { length, roughness, loss } => {
                let bore = place.get(self.bore.expect("a round channel has a bore"));
                let [length, roughness, loss] = [length, roughness, loss].map(|s| place.get(s));
                pipe_fall(through, place.density, place.viscosity, bore, length, roughness, loss)
            }
            Channel::Flat { tubes, loss } => {
                let tube = tubes.one(place, place.get(loss));
                let each = through / place.get(tubes.count);
                flat_tube_fall(each, place.density, place.viscosity, &tube)
            }
            Channel::Rated { drop, .. } => drop.at(place, through),
        }
    }
}

impl Part for Pass {
    fn word(&self) -> &'static str {
        self.word
    }

    fn flow_law(&self, place: &LawInputs<'_, f64>) -> FlowLaw {
        let share = 1.0 / (1.0 - place.get(self.blocked));
        match self.channel {
            Channel::Round { length, roughness, loss } => {
                let bore = self.bore.expect("a round channel has a bore");
                let numbers = [bore, length, roughness, loss].map(|s| place.get(s));
                let pipe = Pipe::new(place.density, place.viscosity, numbers);
                FlowLaw::Pipe(pipe.taking(share))
            }
            Channel::Flat { .. } => FlowLaw::Other,
            Channel::Rated { drop, .. } => drop.flow_law(place, share),
        }
    }

    fn bores(&self) -> [Option<Slot>; 2] {
        [self.bore, self.bore]
    }

    fn rise(&self) -> Option<Slot> {
        self.rise
    }

    fn cells(&self) -> usize {
        if self.of_exchanger { EXCHANGER_CELLS } else { PASS_CELLS }
    }

    fn volume_m3(&self, values: &Values) -> f64 {
        match self.channel {
            Channel::Round { length, .. } => {
                let bore = values.get(self.bore.expect("a round channel has a bore"));
                bore_area(bore) * values.get(length)
            }
            Channel::Flat { tubes, .. } => tubes.numbers(values).iter().product(),
            Channel::Rated { volume, .. } => values.get(volume),
        }
    }

    fn tube_reynolds(&self, values: &Values, viscosity: f64, flow_kg_s: f64) -> Option<f64> {
        let Channel::Flat { tubes, .. } = self.channel else { return None };
        let [count, height, width, _] = tubes.numbers(values);
        let through = flow_kg_s.abs() / (1.0 - values.get(self.blocked));
        // Re = m D/(A μ), D = 4 A/perimeter.
        Some(2.0 * through / count / ((height + width) * viscosity))
    }

    fn partner(&self) -> Option<HeatPartner> {
        Some(HeatPartner::Body(self.body))
    }

    fn conductance_w_k(&self, values: &Values, coolant: &CoolantAt, flow_kg_s: f64) -> f64 {
        match self.film {
            Film::Round { length, factor } => {
                let bore = values.get(self.bore.expect("a round channel has a bore"));
                let length = values.get(length);
                let CoolantAt { viscosity, conductivity, heat_capacity, .. } = *coolant;
                let film = film_coefficient(
                    flow_kg_s,
                    bore,
                    length,
                    viscosity,
                    conductivity,
                    heat_capacity,
                );
                film * values.get(factor) * std::f64::consts::PI * bore * length
            }
            Film::Flat { tubes, factor } => {
                let [count, height, width, length] = tubes.numbers(values);
                let CoolantAt { viscosity, conductivity, heat_capacity, .. } = *coolant;
                let film = flat_film_coefficient(
                    flow_kg_s / count,
                    height,
                    width,
                    length,
                    viscosity,
                    conductivity,
                    heat_capacity,
                );
                film * values.get(factor) * 2.0 * (height + width) * length * count
            }
            Film::Rated(film) => film.conductance_w_k(values, coolant, flow_kg_s),
        }
    }

    fn laws(
        &self,
        place: &LawInputs<'_, f64>,
        coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Vec<Applied> {
        let through = flow_kg_s / (1.0 - place.get(self.blocked));
        vec![self.fall_law(place, through), self.film_law(place, coolant, flow_kg_s)]
    }

    fn uncertainty_terms(
        &self,
        place: &LawInputs<'_, f64>,
        flow_kg_s: f64,
    ) -> Vec<UncertaintyTerm> {
        let through = flow_kg_s / (1.0 - place.get(self.blocked));
        match self.channel {
            Channel::Round { length, roughness, .. } => {
                let bore = place.get(self.bore.expect("a round channel has a bore"));
                let inner = (bore, place.get(length), place.get(roughness));
                let pa = pipe_uncertainty(through, place.density, place.viscosity, inner);
                vec![UncertaintyTerm { law: Law::Friction, pa }]
            }
            Channel::Flat { tubes, .. } => {
                let tube = tubes.one(place, 0.0);
                let each = through / place.get(tubes.count);
                let pa = flat_tube_uncertainty(each, place.density, place.viscosity, &tube);
                vec![UncertaintyTerm { law: Law::Friction, pa }]
            }
            Channel::Rated { drop, .. } => vec![drop.uncertainty(place, through)],
        }
    }

    fn film_uncertainty(&self, values: &Values, coolant: &CoolantAt, flow_kg_s: f64) -> f64 {
        match self.film {
            Film::Round { .. } => {
                let bore = values.get(self.bore.expect("a round channel has a bore"));
                let round = std::f64::consts::PI * bore * coolant.viscosity;
                film_share(4.0 * flow_kg_s.abs() / round)
            }
            Film::Flat { tubes, .. } => {
                let [count, height, width, _] = tubes.numbers(values);
                let wetted = count * (height + width) * coolant.viscosity;
                film_share(2.0 * flow_kg_s.abs() / wetted)
            }
            Film::Rated(film) => {
                let away = rated_film_share(film.share(values, flow_kg_s));
                if self.of_exchanger { away.hypot(EXCHANGER_FILM) } else { away }
            }
        }
    }
}
