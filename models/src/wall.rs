//! The hot wall of a body: heat comes in on its hot side, goes through it, and leaves into the coolant on its
//! other side, by the film and by boiling.

use crate::fluids::Saturated;
use crate::laws::boiling::nucleate_w_m2_k3;
use crate::parts::{CoolantAt, RatedFilm};
use crate::slots::{Slot, Values};

/// Shares of its thickness that the layers of a hot wall have, from its coolant side to its hot side: the thinner the nearer to
/// the heat, which goes in by the root of time.
pub const LAYER_SHARES: [f64; WALL_LAYERS] = [0.28, 0.26, 0.20, 0.14, 0.08, 0.04];
/// How many layers that are.
pub const WALL_LAYERS: usize = 6;

/// A wall between a source of heat and the coolant. All heat of its body comes in through it.
#[derive(Clone, Copy, Debug)]
pub struct HotWall {
    /// Area that the heat goes through, the same on both sides, m².
    pub area: Slot,
    /// Thickness, m.
    pub thickness: Slot,
    /// Conductivity of its metal, W/(m·K).
    pub conductivity: Slot,
    /// Heat capacity of its metal by volume, J/(m³·K).
    pub capacity: Slot,
    /// Film between it and the coolant; its conductance is that of one m².
    pub film: RatedFilm,
    /// What nucleate boiling depends on of the surface: C of [`nucleate_w_m2_k3`].
    pub surface: Slot,
    /// Heat flux at its hottest place over the mean.
    pub peak: Slot,
}

/// One piece of the wall along the coolant, as its coolant side sees it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WallCell {
    /// Conductance from the middle of the layer next to the coolant to the surface, W/K.
    pub through: f64,
    /// Conductance of the film, W/K.
    pub film: f64,
    /// Heat by boiling for the cube of the superheat, W/K³.
    pub boiling: f64,
    /// The coolant at its boiling point there.
    pub at: Saturated,
    /// Temperature of its coolant, K.
    pub coolant_k: f64,
    /// Temperatures of the layer next to the coolant, of the one before the last, and of the last, on the hot
    /// side, K.
    pub layers_k: [f64; 3],
}

/// What goes through the coolant side of one piece of wall.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct AtSurface {
    /// Temperature of the surface, K.
    pub surface_k: f64,
    /// Heat into the coolant, W.
    pub heat_w: f64,
    /// How that goes with the temperature of the layer next to the coolant, W/K.
    pub by_metal: f64,
    /// And with that of the coolant, W/K.
    pub by_coolant: f64,
    /// And with the boiling point, W/K.
    pub by_boils: f64,
}

impl HotWall {
    /// Heat capacity of the whole wall, J/K.
    pub fn capacity_j_k(&self, values: &Values) -> f64 {
        let [area, thickness, capacity] =
            [self.area, self.thickness, self.capacity].map(|slot| values.get(slot));
        area * thickness * capacity
    }

    /// Conductance of the whole wall from side to side, W/K.
    pub fn across(&self, values: &Values) -> f64 {
        let [area, thickness, conductivity] =
            [self.area, self.thickness, self.conductivity].map(|slot| values.get(slot));
        conductivity * area / thickness
    }

    /// Conductance between the middles of a layer and the next, over that of the whole wall.
    pub fn between(layer: usize) -> f64 {
        2.0 / (LAYER_SHARES[layer] + LAYER_SHARES[layer + 1])
    }

    /// Conductances of one of so many pieces, W/K: from the middle of the layer next to the coolant to the surface,
    /// and of the film, with the coolant and its flow in kg/s, `film_off` times what its rating gives.
    pub fn of_piece(
        &self,
        (values, film_off): (&Values, f64),
        (coolant, flow_kg_s): (&CoolantAt, f64),
        count: usize,
    ) -> [f64; 2] {
        let share = 1.0 / count as f64;
        let film = self.film.conductance_w_k(values, coolant, flow_kg_s);
        let through = 2.0 / LAYER_SHARES[0] * self.across(values) * share;
        [through, film_off * film * values.get(self.area) * share]
    }

    /// Boiling on one of so many pieces with the coolant at its boiling point there; `off` times what its law gives.
    pub fn boil_cell(
        &self,
        (values, off): (&Values, f64),
        at: &Saturated,
        count: usize,
        cell: &mut WallCell,
    ) {
        let area = values.get(self.area) / count as f64;
        cell.at = *at;
        cell.boiling = off * nucleate_w_m2_k3(at, values.get(self.surface)) * area;
    }
}

impl WallCell {
    /// What goes from the layer next to the coolant into it: the surface lies where conduction brings what film
    /// and boiling take.
    ///
    /// `g (T₁ − T_s) = f (T_s − T_c) + B max(0, T_s − T_b)³`
    pub fn heat(&self, metal_k: f64, coolant_k: f64) -> AtSurface {
        self.brought(
            |surface| (self.through * (metal_k - surface), -self.through),
            (self.through * metal_k + self.film * coolant_k) / (self.through + self.film),
            coolant_k,
        )
    }

    /// Temperature of the hot side where so much heat comes in, W: K.
    ///
    /// `T = T_n + (q/3 + q₂/6) δ/k`, q₂ what goes on to the next layer: the parabola through the last layer that
    /// has both fluxes at its faces.
    pub fn face_k(&self, heat_w: f64) -> f64 {
        let [_, before, last] = self.layers_k;
        let across = 0.5 * LAYER_SHARES[0] * self.through;
        let on = HotWall::between(WALL_LAYERS - 2) * across * (last - before);
        last + (heat_w / 3.0 + on / 6.0) * LAYER_SHARES[WALL_LAYERS - 1] / across
    }

    /// What the coolant side comes to where so much heat arrives at it, W.
    pub fn under(&self, heat_w: f64, coolant_k: f64) -> AtSurface {
        self.brought(|_| (heat_w, 0.0), coolant_k + heat_w / self.film, coolant_k)
    }

    /// Finds the surface from a temperature that it does not exceed: what is brought less what is taken falls
    /// and bends down, so Newton's method comes down to the root without passing it.
    fn brought(
        &self,
        brings: impl Fn(f64) -> (f64, f64),
        most_k: f64,
        coolant_k: f64,
    ) -> AtSurface {
        let mut surface_k = most_k;
        let mut boiling_slope = 0.0;
        for _ in 0..MOST_STEPS {
            let over = (surface_k - self.at.temperature_k).max(0.0);
            boiling_slope = 3.0 * self.boiling * over * over;
            if over == 0.0 {
                break;
            }
            let (heat, slope) = brings(surface_k);
            let taken = self.film * (surface_k - coolant_k) + self.boiling * over.powi(3);
            let step = (heat - taken) / (slope - self.film - boiling_slope);
            surface_k -= step;
            if step.abs() < CLOSE_K {
                break;
            }
        }
        let over = (surface_k - self.at.temperature_k).max(0.0);
        let all = self.through + self.film + boiling_slope;
        AtSurface {
            surface_k,
            heat_w: self.film * (surface_k - coolant_k) + self.boiling * over.powi(3),
            by_metal: self.through * (self.film + boiling_slope) / all,
            by_coolant: -self.film * self.through / all,
            by_boils: -boiling_slope * self.through / all,
        }
    }
}

/// More steps than any search for a surface takes.
const MOST_STEPS: usize = 60;
/// A step so small ends it, K.
const CLOSE_K: f64 = 1e-11;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_surface_gives_what_it_gets_and_knows_its_slopes() {
        let nothing = WallCell::default();
        let boiling_at = |temperature_k| Saturated { temperature_k, ..Saturated::default() };
        let at = boiling_at(390.0);
        let cell = WallCell { through: 900.0, film: 120.0, boiling: 1.7, at, ..nothing };
        for (metal, coolant) in [(360.0, 350.0), (391.0, 370.0), (430.0, 365.0), (600.0, 380.0)] {
            let at = cell.heat(metal, coolant);
            let brought = cell.through * (metal - at.surface_k);
            assert!((at.heat_w - brought).abs() < 1e-6, "{metal}: {} {brought}", at.heat_w);
            let alone = cell.under(at.heat_w, coolant);
            assert!((alone.surface_k - at.surface_k).abs() < 1e-8);
            let e = 1e-4;
            let slope = |a: AtSurface, b: AtSurface| (a.heat_w - b.heat_w) / (2.0 * e);
            let by_metal = slope(cell.heat(metal + e, coolant), cell.heat(metal - e, coolant));
            let by_coolant = slope(cell.heat(metal, coolant + e), cell.heat(metal, coolant - e));
            let boils = |by: f64| WallCell { at: boiling_at(390.0 + by), ..cell };
            let by_boils = slope(boils(e).heat(metal, coolant), boils(-e).heat(metal, coolant));
            for (got, want) in
                [(at.by_metal, by_metal), (at.by_coolant, by_coolant), (at.by_boils, by_boils)]
            {
                assert!((got - want).abs() < 1e-5 * (1.0 + want.abs()), "{metal}: {got} {want}");
            }
        }
    }
}
