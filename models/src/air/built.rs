//! A core known by its dimensions: rows of flat tubes side by side, and fins between them.
//!
//! The face is as long as the tubes and as wide as all of them with a strip of fins on both sides of each. Air meets
//! the rows one behind the other between the same fins. The coolant goes through all rows side by side, and
//! through the passes of the face one after the other, each with an equal number of tubes.

use coolwright_solver::scalar::Scalar;

use super::core::{Inside, Outside, Resistances};
use crate::laws::exchanger::Arrangement;
use crate::laws::film::{flat_film_coefficient, wall_viscosity_factor};
use crate::laws::fins::{
    AirDensities, LouvredFin, core_air_fall, fin_efficiency, louvred_colburn,
    louvred_friction_times_reynolds, plain_friction_times_reynolds, plain_nusselt,
    surface_efficiency,
};
use crate::laws::friction::FlatTube;
use crate::slots::{Slot, Values};

/// The flat tubes of a core.
#[derive(Clone, Copy, Debug)]
pub struct BuiltTubes {
    /// How many stand side by side in one row.
    pub count: Slot,
    /// How many rows the air meets one behind the other.
    pub rows: Slot,
    /// How many passes the coolant takes one after the other.
    pub passes: Slot,
    /// Length between the headers, m.
    pub length: Slot,
    /// Size of the face across the tubes, m.
    pub across: Slot,
    /// Outside thickness, the narrow way, m.
    pub thickness: Slot,
    /// Outside depth along the air, the wide way, m.
    pub depth: Slot,
    /// Thickness of their wall, m.
    pub wall: Slot,
    /// Conductivity of their metal, W/(m·K).
    pub conductivity: Slot,
    /// Roughness inside, m.
    pub roughness: Slot,
    /// Factor of turbulators on the film of the coolant.
    pub factor: Slot,
}

/// The louvres of fins.
#[derive(Clone, Copy, Debug)]
pub struct Louvres {
    /// Distance from louvre to louvre along the air, m.
    pub pitch: Slot,
    /// Their angle to the air, rad.
    pub angle: Slot,
    /// Their length across the air, m.
    pub length: Slot,
}

/// The fins between the tubes of a core.
#[derive(Clone, Copy, Debug)]
pub struct BuiltFins {
    /// Distance from fin to fin, m.
    pub pitch: Slot,
    /// Depth along the air, m.
    pub depth: Slot,
    /// Thickness, m.
    pub thickness: Slot,
    /// Conductivity of their metal, W/(m·K).
    pub conductivity: Slot,
    /// Their louvres; plain fins have none.
    pub louvres: Option<Louvres>,
}

/// A core known by its dimensions.
#[derive(Clone, Copy, Debug)]
pub struct Built {
    /// Its tubes.
    pub tubes: BuiltTubes,
    /// Its fins.
    pub fins: BuiltFins,
    /// Factor on all its conductances.
    pub scale: Slot,
}

/// Thinnest fins of a pitch that the friction of louvred ones was fitted to, as a share of it: at a hundredth its
/// formula has no value.
const THINNEST_FIN: f64 = 0.02;

/// What follows from the dimensions of a core. SI units.
#[derive(Clone, Copy, Debug)]
pub struct Sizes {
    /// Tubes of all rows and passes.
    pub tubes: f64,
    /// Tubes that the coolant goes through side by side.
    pub parallel: f64,
    /// Inside of a tube: the narrow and the wide way, and its length, m.
    pub inside: [f64; 3],
    /// Height of the fins from tube to tube, m.
    pub fin_height: f64,
    /// Distance from tube to tube, m.
    pub tube_pitch: f64,
    /// Face, m².
    pub face: f64,
    /// Least free area of the air, m².
    pub free: f64,
    /// Surface of the fins, m².
    pub fins: f64,
    /// All surface that the air touches, m².
    pub surface: f64,
    /// Surface inside the tubes, m².
    pub wetted: f64,
    /// Metal of the tubes, m³.
    pub tube_metal: f64,
    /// Metal of the fins, m³.
    pub fin_metal: f64,
}

impl Built {
    /// Every slot that it is told by.
    pub fn slots(&self) -> impl Iterator<Item = Slot> + use<> {
        let BuiltTubes {
            count,
            rows,
            passes,
            length,
            across,
            thickness,
            depth,
            wall,
            conductivity,
            roughness,
            factor,
        } = self.tubes;
        let fins = self.fins;
        let louvres = fins.louvres.map(|of| [of.pitch, of.angle, of.length]);
        [
            count,
            rows,
            passes,
            length,
            across,
            thickness,
            depth,
            wall,
            conductivity,
            roughness,
            factor,
        ]
        .into_iter()
        .chain([fins.pitch, fins.depth, fins.thickness, fins.conductivity, self.scale])
        .chain(louvres.into_iter().flatten())
    }

    /// What follows from the dimensions.
    ///
    /// One strip of fins more than there are tubes: the outer ones count as the others. The part of a tube under the fins
    /// is no surface of its own. The air narrows by tubes and fins; louvres open no way more.
    pub fn sizes(&self, values: &Values) -> Sizes {
        let get = |slot| values.get(slot);
        let BuiltTubes { length, across, thickness, depth, wall, .. } = self.tubes;
        let [length, across, thickness, depth, wall] =
            [length, across, thickness, depth, wall].map(get);
        let [count, rows, passes] = [self.tubes.count, self.tubes.rows, self.tubes.passes].map(get);
        let [pitch, fin_depth, fin_thickness] =
            [self.fins.pitch, self.fins.depth, self.fins.thickness].map(get);
        let strips = count + 1.0;
        let fin_height = (across - count * thickness) / strips;
        let gap = 1.0 - fin_thickness / pitch;
        let tubes = count * rows;
        let in_strip = length / pitch;
        let fins = 2.0 * strips * in_strip * fin_height * fin_depth;
        let bare = 2.0 * tubes * depth * length * gap;
        let (short, long) = (thickness - 2.0 * wall, depth - 2.0 * wall);
        Sizes {
            tubes,
            parallel: tubes / passes,
            inside: [short, long, length],
            fin_height,
            tube_pitch: fin_height + thickness,
            face: length * across,
            free: strips * fin_height * length * gap,
            fins,
            surface: fins + bare,
            wetted: 2.0 * (short + long) * length * tubes,
            tube_metal: (thickness * depth - short * long) * length * tubes,
            fin_metal: 0.5 * fins * fin_thickness,
        }
    }

    /// What about the dimensions cannot be, if anything.
    pub fn fault(&self, values: &Values) -> Option<&'static str> {
        let get = |slot| values.get(slot);
        let sizes = self.sizes(values);
        let tubes = &self.tubes;
        let [count, rows, passes] = [tubes.count, tubes.rows, tubes.passes].map(get);
        let [thickness, depth] = [tubes.thickness, tubes.depth].map(get);
        let [pitch, fin_depth, fin_thickness] =
            [self.fins.pitch, self.fins.depth, self.fins.thickness].map(get);
        // Written so that what is no number is a fault.
        let holds = |sound: bool, what| if sound { None } else { Some(what) };
        let whole = (count / passes).fract().abs() < 1e-9;
        let fin_height = 0.05 * thickness;
        let of_louvres = self.fins.louvres.and_then(|louvres| {
            let [louvre, length] = [louvres.pitch, louvres.length].map(get);
            let fits = length <= sizes.fin_height * (1.0 + 1e-9);
            holds(fits, "its louvres are longer than its fins are high between the tubes")
                .or_else(|| {
                    holds(
                        louvre <= 0.5 * fin_depth,
                        "its louvres are wider than half the depth of its fins",
                    )
                })
                .or_else(|| {
                    let thick = fin_thickness >= THINNEST_FIN * pitch;
                    holds(thick, "its louvred fins are thinner than a fiftieth of their pitch, where the published law of their friction ends")
                })
        });
        holds(sizes.fin_height > fin_height, "its tubes leave no room for fins in its face")
            .or_else(|| holds(thickness <= depth, "its tubes are thicker than deep"))
            .or_else(|| {
                holds(sizes.inside[0] > 0.0, "the walls of its tubes leave no way for the coolant")
            })
            .or_else(|| {
                holds(
                    fin_thickness < 0.5 * pitch,
                    "its fins leave less than half of the way to the air",
                )
            })
            .or_else(|| holds(whole, "its passes have no equal number of tubes each"))
            .or_else(|| {
                holds(rows <= Arrangement::MOST_ROWS, "it has more than four rows of tubes")
            })
            .or_else(|| {
                let deep = rows * depth;
                let alike = deep <= 1.5 * fin_depth && fin_depth <= 2.0 * deep;
                holds(alike, "its fins are not about as deep as its rows of tubes together")
            })
            .or(of_louvres)
    }

    /// How the coolant goes through it.
    pub fn arrangement(&self, values: &Values) -> Arrangement {
        Arrangement { rows: values.get(self.tubes.rows), passes: values.get(self.tubes.passes) }
    }

    /// One tube as the laws of its pressure see it, with a loss coefficient of its ends.
    pub fn tube<S: Scalar>(&self, values: &Values, loss: S) -> FlatTube<S> {
        let [short, long, length] = self.sizes(values).inside.map(S::from);
        let roughness_m = S::from(values.get(self.tubes.roughness));
        FlatTube { short_m: short, long_m: long, length_m: length, roughness_m, loss }
    }

    /// Reynolds number in its tubes at a mass flow of coolant through the core, kg/s, of a viscosity, Pa·s.
    pub fn tube_reynolds(&self, values: &Values, flow_kg_s: f64, viscosity: f64) -> f64 {
        let sizes = self.sizes(values);
        let [short, long, _] = sizes.inside;
        2.0 * flow_kg_s.abs() / (sizes.parallel * (short + long) * viscosity)
    }

    /// Length on which the Reynolds number of the air is counted, m: the louvre pitch, or the hydraulic diameter between two
    /// plain fins.
    pub fn air_length(&self, values: &Values) -> f64 {
        match self.fins.louvres {
            Some(louvres) => values.get(louvres.pitch),
            None => self.passage(values, &self.sizes(values))[0],
        }
    }

    /// Hydraulic diameter, m, and aspect ratio of the passage between two plain fins.
    pub fn passage(&self, values: &Values, sizes: &Sizes) -> [f64; 2] {
        let gap = values.get(self.fins.pitch) - values.get(self.fins.thickness);
        let high = sizes.fin_height;
        [2.0 * gap * high / (gap + high), (gap / high).min(high / gap)]
    }

    /// Its louvred fins, where they have louvres.
    pub fn louvred<S: Scalar>(&self, values: &Values, sizes: &Sizes) -> Option<LouvredFin<S>> {
        let louvres = self.fins.louvres?;
        let get = |slot| S::from(values.get(slot));
        let fin_depth = values.get(self.fins.depth);
        let tube_depth = values.get(self.tubes.rows) * values.get(self.tubes.depth);
        Some(LouvredFin {
            pitch: get(self.fins.pitch),
            height: S::from(sizes.fin_height),
            depth: S::from(fin_depth),
            thickness: get(self.fins.thickness),
            louvre_pitch: get(louvres.pitch),
            louvre_angle: get(louvres.angle),
            louvre_length: get(louvres.length),
            tube_pitch: S::from(sizes.tube_pitch),
            tube_depth: S::from(tube_depth),
            tube_thickness: get(self.tubes.thickness),
            hydraulic_diameter: S::from(4.0 * sizes.free * fin_depth / sizes.surface),
        })
    }

    /// Film coefficient of the air on its surface, W/(m²·K), at a mass flux in the least free area, kg/(m²·s), above zero.
    pub fn air_film<S: Scalar>(
        &self,
        values: &Values,
        flux: S,
        [viscosity, conductivity, heat_capacity]: [S; 3],
    ) -> S {
        let sizes = self.sizes(values);
        let prandtl = heat_capacity * viscosity / conductivity;
        if let Some(fin) = self.louvred::<S>(values, &sizes) {
            let reynolds = flux * fin.louvre_pitch / viscosity;
            let j = louvred_colburn(reynolds, &fin);
            return j * flux * heat_capacity / prandtl.powf(2.0 / 3.0);
        }
        let [diameter, aspect] = self.passage(values, &sizes);
        let slender = diameter / values.get(self.fins.depth);
        let reynolds = flux * diameter / viscosity;
        plain_nusselt(reynolds * prandtl * slender, S::from(aspect)) * conductivity / diameter
    }

    /// Efficiency of its surface at a film coefficient of the air, W/(m²·K).
    pub fn surface_efficiency<S: Scalar>(&self, values: &Values, film: S) -> S {
        let sizes = self.sizes(values);
        let get = |slot| S::from(values.get(slot));
        let half = S::from(0.5 * sizes.fin_height);
        let fin = fin_efficiency(film, get(self.fins.conductivity), get(self.fins.thickness), half);
        surface_efficiency(S::from(sizes.fins / sizes.surface), fin)
    }

    /// Film coefficient of the coolant in its tubes, W/(m²·K): that of flat tubes, times the factors of turbulators and of the
    /// viscosity at the wall.
    pub fn coolant_film<S: Scalar>(&self, values: &Values, inside: &Inside<S>) -> S {
        let Sizes { parallel, inside: [short, long, length], .. } = self.sizes(values);
        let [viscosity, conductivity, heat_capacity] = inside.coolant;
        let each = inside.flow / parallel;
        let [s, l, along] = [short, long, length].map(S::from);
        let film = flat_film_coefficient(each, s, l, along, viscosity, conductivity, heat_capacity);
        let reynolds = each.abs() * 2.0 / (viscosity * (short + long));
        let wall = wall_viscosity_factor(reynolds, viscosity / inside.wall_viscosity);
        film * wall * values.get(self.tubes.factor)
    }

    /// Resistance of the walls of its tubes, K/W, without the factor on its conductances.
    pub fn wall_resistance(&self, values: &Values) -> f64 {
        let wall = values.get(self.tubes.wall);
        wall / (values.get(self.tubes.conductivity) * self.sizes(values).wetted)
    }

    /// Its resistances; `through` is the air through what is open of it, kg/s, above zero, if all of it were.
    pub(super) fn resistances<S: Scalar>(
        &self,
        values: &Values,
        inside: &Inside<S>,
        (outside, through): (&Outside<'_, S>, S),
    ) -> Resistances<S> {
        let sizes = self.sizes(values);
        let scale = values.get(self.scale);
        let air = self.air_film(values, through / sizes.free, outside.properties());
        let efficiency = self.surface_efficiency(values, air);
        let one = S::from(1.0 / scale);
        Resistances {
            film: one / (self.coolant_film(values, inside) * sizes.wetted),
            wall: self.wall_resistance(values) / scale,
            air: one / (air * efficiency * sizes.surface),
        }
    }

    /// Fanning friction factor of the air times Re·μ/l, Pa·s/m: what [`core_air_fall`] asks for. `flux` kg/(m²·s) in the least
    /// free area, any sign.
    pub fn air_friction<S: Scalar>(&self, values: &Values, flux: S, viscosity: S) -> S {
        let sizes = self.sizes(values);
        if let Some(fin) = self.louvred::<S>(values, &sizes) {
            let reynolds = flux.abs() * fin.louvre_pitch / viscosity;
            let f = louvred_friction_times_reynolds(reynolds, &fin);
            return f * viscosity / fin.louvre_pitch;
        }
        let [diameter, aspect] = self.passage(values, &sizes);
        let slender = diameter / values.get(self.fins.depth);
        let reynolds = flux.abs() * diameter / viscosity;
        let f = plain_friction_times_reynolds(reynolds * slender, S::from(aspect));
        f * viscosity / diameter
    }

    /// Fall of the air, Pa, at a signed flow through what is open of it, kg/s, if all of it were.
    pub(super) fn air_fall<S: Scalar>(
        &self,
        values: &Values,
        through: S,
        (density, viscosity): (&AirDensities<S>, S),
    ) -> S {
        let sizes = self.sizes(values);
        let flux = through / sizes.free;
        let friction = self.air_friction(values, flux, viscosity);
        let open = S::from(sizes.free / sizes.face);
        core_air_fall(flux, density, open, friction, S::from(sizes.surface / sizes.free))
    }
}
