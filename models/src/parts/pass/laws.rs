//! The laws of a pass, with its numbers: friction along it, and the film on its wall.

use super::{Channel, Film, Pass, STILL_SHARE};
use crate::laws::card::Applied;
use crate::laws::cards::film as films;
use crate::laws::cards::friction::FLAT;
use crate::laws::film::{CORNER, LAMINAR_END, TURBULENT_START};
use crate::parts::hose::pipe_law;
use crate::parts::{CoolantAt, LawInputs, bore_area};

impl Pass {
    /// The law of its fall at the flow through what is open of it.
    pub(super) fn fall_law(&self, place: &LawInputs<'_, f64>, through: f64) -> Applied {
        match self.channel {
            Channel::Round { length, roughness, loss } => {
                let bore = self.bore.expect("a round channel has a bore");
                let numbers = [bore, length, roughness, loss].map(|s| place.get(s));
                pipe_law(place, through, numbers)
            }
            Channel::Flat { tubes, loss } => {
                let tube = tubes.one(place, place.get(loss));
                let given = [
                    ("m", through / place.get(tubes.count)),
                    ("ρ", place.density),
                    ("μ", place.viscosity),
                    ("s", tube.short_m),
                    ("w", tube.long_m),
                    ("L", tube.length_m),
                    ("k", tube.roughness_m),
                    ("K", tube.loss),
                ];
                Applied::fall(&FLAT, &given)
            }
            Channel::Rated { drop, .. } => drop.law(place, through),
        }
    }

    /// The law of its film.
    pub(super) fn film_law(
        &self,
        place: &LawInputs<'_, f64>,
        coolant: &CoolantAt,
        flow_kg_s: f64,
    ) -> Applied {
        match self.film {
            Film::Round { length, factor } => {
                let bore = place.get(self.bore.expect("a round channel has a bore"));
                let length = place.get(length);
                let wetted = std::f64::consts::PI * bore * length;
                let channel = FilmChannel {
                    flow_kg_s,
                    diameter: bore,
                    section: bore_area(bore),
                    length,
                    wetted,
                    factor: place.get(factor),
                    aspect: None,
                };
                channel.law(coolant)
            }
            Film::Flat { tubes, factor } => {
                let [count, height, width, length] = tubes.numbers(place.values.values());
                let section = height * width;
                let channel = FilmChannel {
                    flow_kg_s: flow_kg_s / count,
                    diameter: 2.0 * section / (height + width),
                    section,
                    length,
                    wetted: 2.0 * (height + width) * length * count,
                    factor: place.get(factor),
                    aspect: Some(height / width),
                };
                channel.law(coolant)
            }
            Film::Rated(film) => {
                let given = [
                    ("m", flow_kg_s),
                    ("ρ₀", place.get(film.density)),
                    ("G₀", place.get(film.conductance)),
                    ("Q", place.get(film.flow)),
                    ("s", STILL_SHARE),
                    ("λ", coolant.conductivity),
                    ("λ₀", place.get(film.conductivity)),
                    ("c", coolant.heat_capacity),
                    ("c₀", place.get(film.heat_capacity)),
                    ("μ", coolant.viscosity),
                    ("μ₀", place.get(film.viscosity)),
                ];
                Applied::other(&films::RATED_FILM, &given)
            }
        }
    }
}

/// One channel as the laws of its film see it.
pub(crate) struct FilmChannel {
    pub(crate) flow_kg_s: f64,
    pub(crate) diameter: f64,
    pub(crate) section: f64,
    pub(crate) length: f64,
    /// Wetted wall of all channels, m².
    pub(crate) wetted: f64,
    pub(crate) factor: f64,
    /// Short over long side of a flat tube.
    pub(crate) aspect: Option<f64>,
}

impl FilmChannel {
    /// The law of its regime.
    pub(crate) fn law(&self, coolant: &CoolantAt) -> Applied {
        let mut given = vec![
            ("m", self.flow_kg_s),
            ("D", self.diameter),
            ("S", self.section),
            ("L", self.length),
            ("W", self.wetted),
            ("F", self.factor),
            ("μ", coolant.viscosity),
            ("λ", coolant.conductivity),
            ("c", coolant.heat_capacity),
        ];
        let turbulent = Applied::other(&films::TURBULENT, &given);
        let reynolds = turbulent.number("Re").unwrap_or(0.0);
        if reynolds >= TURBULENT_START + 2.0 * CORNER {
            return turbulent;
        }
        let laminar =
            if self.aspect.is_some() { &films::LAMINAR_FLAT } else { &films::LAMINAR_ROUND };
        given.extend(self.aspect.map(|aspect| ("a", aspect)));
        if reynolds <= LAMINAR_END - 2.0 * CORNER {
            return Applied::other(laminar, &given);
        }
        let nusselt = |card, reynolds| {
            let mut at = given.clone();
            at.push(("Re", reynolds));
            Applied::other(card, &at).number("Nu").unwrap_or(f64::NAN)
        };
        let ends = [nusselt(laminar, LAMINAR_END), nusselt(&films::TURBULENT, TURBULENT_START)];
        given.retain(|(sign, _)| *sign != "a");
        given.extend([("N₁", ends[0]), ("N₂", ends[1])]);
        Applied::other(&films::TRANSITION, &given)
    }
}
