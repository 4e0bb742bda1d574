//! What limits a core: how much colder its coolant could be for the same heat, with a little more of each of
//! the things that stand in the way.

use crate::air::{Core, CoreSide, Inside, Met, Outside};
use crate::fluids::Air;
use crate::laws::exchanger::heat_for_each_kelvin_w_k;
use crate::slots::Values;

/// How much more of each, as a factor.
const MORE: f64 = 1.1;

/// How much colder, K, the coolant of a core could enter for the same heat with 10 % more of one thing,
/// everything else as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limiting {
    /// Coolant flow, with what it does for the film.
    pub coolant_flow: f64,
    /// Conductance of the coolant film.
    pub film: f64,
    /// Conductance of the air side: more surface.
    pub air_side: f64,
    /// Air flow, with what it does for the air side.
    pub air_flow: f64,
    /// Everything in it: a larger core, with the same flows.
    pub core: f64,
}

impl Limiting {
    /// Of a core that gives off `heat_w`; `air_capacity` is the heat capacity of the air, J/(kg·K). `None` where no heat goes
    /// from coolant to air.
    ///
    /// `T_c,in − T_a,in = q/H, H = C_c·(1 − e^(−G/C_c))`, G of [`crate::laws::exchanger::arranged_conductance`]
    pub fn of(
        values: &Values,
        (core, side): (&Core, &CoreSide),
        met: &Met,
        (inside, air, air_capacity): (&Inside<f64>, &Air, f64),
        heat_w: f64,
    ) -> Option<Self> {
        let (coolant, air_flow) = (inside.flow.abs(), met.flow.abs());
        // Written so that what is no number is left out.
        if !(heat_w > 0.0 && coolant > 0.0 && air_flow > 0.0) {
            return None;
        }
        let of = core.arrangement(values);
        let difference = |coolant: f64, air_flow: f64, [film, wall, air_side]: [f64; 3]| {
            let inside = Inside { flow: coolant, ..*inside };
            let outside = Outside { flow: air_flow, air, film_k: met.film_k() };
            let whole = side.resistances(values, core, &inside, &outside);
            let resistance = whole.film / film + whole.wall / wall + whole.air / air_side;
            let flows = [coolant * inside.coolant[2], air_flow * air_capacity];
            heat_w / heat_for_each_kelvin_w_k(1.0 / resistance, flows, of)
        };
        let now = difference(coolant, air_flow, [1.0; 3]);
        Some(Self {
            coolant_flow: now - difference(coolant * MORE, air_flow, [1.0; 3]),
            film: now - difference(coolant, air_flow, [MORE, 1.0, 1.0]),
            air_side: now - difference(coolant, air_flow, [1.0, 1.0, MORE]),
            air_flow: now - difference(coolant, air_flow * MORE, [1.0; 3]),
            core: now - difference(coolant, air_flow, [MORE; 3]),
        })
    }
}
