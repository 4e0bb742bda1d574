//! The laws of a core that is known by its dimensions.

use crate::air::{Built, Inside, Met, Outside, Sizes};
use crate::laws::card::{Applied, Card};
use crate::laws::cards::fins as cards;
use crate::laws::fins::{
    LOUVRE_CORNER, LOUVRE_FIRST_END, LOUVRE_REYNOLDS_MIN, LOUVRE_SECOND_START,
    louvred_friction_first, louvred_friction_second, louvred_friction_times_reynolds,
};
use crate::parts::{CoolantAt, FilmChannel};
use crate::slots::Values;

/// A core with what it stands in.
pub(super) struct BuiltCore<'a> {
    pub values: &'a Values,
    pub built: &'a Built,
    pub met: &'a Met,
    pub inside: Inside<f64>,
    pub outside: Outside<'a, f64>,
    pub sizes: Sizes,
    /// Share of its face that is open.
    pub open: f64,
}

impl BuiltCore<'_> {
    fn scale(&self) -> f64 {
        self.values.get(self.built.scale)
    }

    /// Those of its heat: film and wall of its tubes, and its fins.
    pub(super) fn heat(&self) -> Vec<Applied> {
        let [film, viscosity] = self.film();
        let tubes = &self.built.tubes;
        let wall = [
            ("t", self.values.get(tubes.wall)),
            ("k", self.values.get(tubes.conductivity)),
            ("W", self.sizes.wetted),
            ("y", self.open),
            ("u", self.scale()),
        ];
        vec![film, viscosity, Applied::other(&cards::TUBE_WALL, &wall), self.fins()]
    }

    /// The film in its tubes, and the factor on it for the viscosity at the wall.
    fn film(&self) -> [Applied; 2] {
        let Sizes { parallel, inside: [short, long, length], wetted, .. } = self.sizes;
        let Inside { flow, coolant: [viscosity, conductivity, heat_capacity], wall_viscosity } =
            self.inside;
        let reynolds = self.built.tube_reynolds(self.values, flow, viscosity);
        let given = [("μ", viscosity), ("μ_w", wall_viscosity), ("Re", reynolds)];
        let wall = Applied::other(&cards::WALL_VISCOSITY, &given);
        let of_wall = wall.result().unwrap_or(f64::NAN);
        let section = short * long;
        let channel = FilmChannel {
            flow_kg_s: flow / parallel,
            diameter: 2.0 * section / (short + long),
            section,
            length,
            wetted,
            factor: self.values.get(self.built.tubes.factor) * of_wall,
            aspect: Some(short / long),
        };
        let coolant = CoolantAt { density: f64::NAN, viscosity, conductivity, heat_capacity };
        [channel.law(&coolant), wall]
    }

    /// Lengths of the fins and the air between them, by their signs on the cards.
    fn lengths(&self) -> Vec<(&'static str, f64)> {
        let get = |slot| self.values.get(slot);
        let fins = &self.built.fins;
        let mut given = vec![
            ("δ", get(fins.thickness)),
            ("F_p", get(fins.pitch)),
            ("F_l", self.sizes.fin_height),
            ("F_d", get(fins.depth)),
        ];
        if let Some(fin) = self.built.louvred::<f64>(self.values, &self.sizes) {
            given.extend([
                ("L_p", fin.louvre_pitch),
                ("L_l", fin.louvre_length),
                ("θ", fin.louvre_angle),
                ("T_p", fin.tube_pitch),
                ("T_d", fin.tube_depth),
                ("D_m", fin.tube_thickness),
                ("D_h", fin.hydraulic_diameter),
            ]);
        }
        given
    }

    /// The numbers among `given` that a card asks for.
    fn law(card: &'static Card, given: &[(&'static str, f64)]) -> Applied {
        let of_card = |sign: &str| card.symbols.iter().any(|symbol| symbol.sign == sign);
        let given: Vec<_> = given.iter().copied().filter(|(sign, _)| of_card(sign)).collect();
        Applied::other(card, &given)
    }

    /// The air side.
    fn fins(&self) -> Applied {
        let [viscosity, conductivity, heat_capacity] = self.outside.properties();
        let mut given = self.lengths();
        given.extend([
            ("w", self.met.flow),
            ("y", self.open),
            ("u", self.scale()),
            ("S", self.sizes.free),
            ("A", self.sizes.surface),
            ("A_f", self.sizes.fins),
            ("μ", viscosity),
            ("λ", conductivity),
            ("c", heat_capacity),
            ("k", self.values.get(self.built.fins.conductivity)),
        ]);
        let louvred = self.built.fins.louvres.is_some();
        Self::law(if louvred { &cards::LOUVRED_HEAT } else { &cards::PLAIN_HEAT }, &given)
    }

    /// Those of the fall of the air by its fins, with a factor on it: friction and the whole.
    pub(super) fn fall(&self, scale: f64) -> [Applied; 2] {
        let friction = self.friction();
        let air = self.outside.air;
        let Met { flow, entering_k, leaving_k, .. } = *self.met;
        let given = [
            ("w", flow),
            ("y", self.open),
            ("S", self.sizes.free),
            ("A", self.sizes.surface),
            ("B", self.sizes.face),
            ("X", friction.result().unwrap_or(f64::NAN)),
            ("l", self.built.air_length(self.values)),
            ("μ", self.outside.properties()[0]),
            ("ρ₁", air.density(entering_k)),
            ("ρ_m", air.density(0.5 * (entering_k + leaving_k))),
            ("ρ₂", air.density(leaving_k)),
            ("v", scale),
        ];
        [friction, Applied::other(&cards::FINS_FALL, &given)]
    }

    /// The friction of the air, by the law of its Reynolds number.
    fn friction(&self) -> Applied {
        let viscosity = self.outside.properties()[0];
        let flux = (self.met.flow / self.open / self.sizes.free).abs();
        let mut given = self.lengths();
        given.extend([("g", flux), ("μ", viscosity)]);
        let Some(fin) = self.built.louvred::<f64>(self.values, &self.sizes) else {
            return Self::law(&cards::PLAIN_FRICTION, &given);
        };
        let reynolds = flux * fin.louvre_pitch / viscosity;
        // Where a corner is rounded no formula holds as it stands: what came out is put in.
        let rounded = [LOUVRE_FIRST_END, LOUVRE_SECOND_START]
            .iter()
            .any(|corner| (reynolds - corner).abs() < 2.0 * LOUVRE_CORNER);
        if rounded {
            given.push(("X", louvred_friction_times_reynolds(reynolds, &fin)));
        }
        let between = [
            ("q₁", louvred_friction_first(LOUVRE_FIRST_END, &fin)),
            ("q₂", louvred_friction_second(LOUVRE_SECOND_START, &fin)),
        ];
        let card = if reynolds < LOUVRE_REYNOLDS_MIN {
            &cards::LOUVRED_SLOW
        } else if reynolds < LOUVRE_FIRST_END {
            &cards::LOUVRED_FIRST
        } else if reynolds < LOUVRE_SECOND_START {
            given.extend(between);
            &cards::LOUVRED_BETWEEN
        } else {
            &cards::LOUVRED_SECOND
        };
        Self::law(card, &given)
    }
}
