//! The charge side of a cooler: what one rated effectiveness says of it.

use crate::air::plug_flow_factor;
use crate::parts::{CoolantAt, PASS_CELLS, Part};
use crate::slots::{Slot, Values};

/// How the charge air goes through the passes of a cooler.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Way {
    /// All passes side by side: each cools its share of the air.
    SideBySide,
    /// From one pass to the next, all of the air through each: passes by their place among those of the
    /// body, in the order in which the air meets them.
    InTurn(Vec<usize>),
}

/// How coolant and charge air meet, as the rating is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meeting {
    /// Each stream of coolant goes through so many passes one after the other, with all of its air
    /// across them side by side.
    Across(usize),
    /// The air meets the passes in turn, each with a stream of coolant of its own.
    EachItsOwn,
    /// The air meets the passes in turn, in the order in which the coolant does.
    Along,
    /// The air meets the passes in turn, the last that the coolant gets to first.
    Against,
}

/// The charge side of a cooler, from one rated point.
#[derive(Clone, Debug)]
pub struct ChargeSide {
    /// Fall of the air's temperature over its inlet temperature less that of the coolant, at the rating.
    pub effectiveness: Slot,
    /// Air flow of the rating, kg/s.
    pub air_flow: Slot,
    /// Coolant flow of the rating through the whole cooler, kg/s.
    pub coolant_flow: Slot,
    /// Temperature of the coolant at the rating, K.
    pub coolant_k: Slot,
    /// How the conductance of the air side goes with the flow of air.
    pub exponent: Slot,
    /// How the air goes through the passes.
    pub way: Way,
    /// How coolant and air meet.
    pub meeting: Meeting,
    /// How many passes there are.
    pub passes: usize,
    /// How many streams of coolant there are side by side.
    pub streams: usize,
}

/// Why a rating of a charge cooler cannot be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ChargeError {
    /// No cooler of this kind gets so far with these flows.
    TooEffective {
        /// The effectiveness told.
        told: f64,
        /// What an endless one reaches.
        most: f64,
    },
    /// The film on the coolant's side alone resists more than the rating leaves for both.
    FilmTooPoor {
        /// Conductance of the film of the whole cooler, W/K.
        film: f64,
        /// What it must be above, W/K.
        least: f64,
    },
}

/// Heat capacity of the charge air of a rating, J/(kg·K): dry air at 100 °C (from the formulation of the
/// air of this crate).
pub const RATING_AIR: f64 = 1010.0;

/// How near the air of a rating may come to the coolant, and to the metal.
const MOST: f64 = 0.995;

/// The rating of one cell.
#[derive(Clone, Copy, Debug)]
pub struct RatedCell {
    /// Conductance from the coolant that leaves the cell to the air that enters it, W/K.
    pub whole: f64,
    /// Capacity flow of the coolant through the cell, W/K.
    pub coolant: f64,
    /// Capacity flow of the air through the cell, W/K.
    pub air: f64,
}

/// What meets at a rating.
struct Meets {
    /// Capacity flow of the air through one cell, W/K.
    air: f64,
    /// Capacity flow of one stream of coolant, W/K.
    stream: f64,
    /// Capacity flow of the air over that of the coolant that it meets at once.
    ratio: f64,
    /// How many cells the coolant goes through meanwhile.
    row: f64,
}

/// The effectiveness of cells whose air leaves nearly as warm as the coolant in them.
fn most_once(ratio: f64, row: f64) -> f64 {
    (1.0 - (1.0 + MOST * ratio / row).powf(-row)) / ratio
}

impl RatedCell {
    /// The most of the resistance that the coolant film may hold.
    pub fn most_share(&self) -> f64 {
        1.0 - self.in_layer() / (MOST_OF_SHARE * self.air)
    }

    /// Conductance from the coolant to the air that enters one of the layers, W/K.
    fn in_layer(&self) -> f64 {
        self.air * (1.0 - (1.0 - self.whole / self.air).max(0.0).powf(1.0 / LAYERS as f64))
    }
}

/// In how many layers the metal of a charge cooler is cut across the air: between the hot and the cold end of
/// a pass the wall is not at one temperature, and no air leaves colder than the metal that it met.
pub const LAYERS: usize = 3;

/// How near the air may come to the metal of a layer where the film follows from its share.
const MOST_OF_SHARE: f64 = 0.98;
/// A raised film above this many capacity flows of its coolant is not raised ([`plug_flow_factor`]).
const NOT_RAISED: f64 = 6.0;
/// And the least share of the film then.
const LEAST_SHARE: f64 = 1e-3;

impl ChargeSide {
    /// What a rating asks of one cell of one pass, so that all cells together meet it exactly.
    ///
    /// With P the fall of the air over the inlet difference in what it meets at once and R = C_a/C_c, a row
    /// of N stirred cells leaves the share θ = 1 − P·R = (1 + x)^(−N) of the difference, x = G/C_c. Passes
    /// in turn, each with P₁: 1 − P = (1 − P₁)^n with coolant of their own; (1 − P·R)/(1 − P) =
    /// ((1 − P₁·R)/(1 − P₁))^n against each other; 1 − P·(1 + R) = (1 − P₁·(1 + R))^n along each other
    /// (Kays & London, Compact Heat Exchangers, ch. 2: multipass).
    ///
    /// # Errors
    /// When no cooler does what the rating tells.
    pub fn rated_cell(
        &self,
        values: &Values,
        coolant: &CoolantAt,
    ) -> Result<RatedCell, ChargeError> {
        let told = values.get(self.effectiveness);
        let Meets { air, stream, ratio, row } = self.meets(values, coolant);
        let once = self.once(told, ratio);
        let most_once = most_once(ratio, row);
        // Written so that what is no number is refused.
        if !(once > 0.0 && once <= most_once) {
            return Err(ChargeError::TooEffective { told, most: self.most(ratio, most_once) });
        }
        let left = 1.0 - once * ratio;
        let step = left.powf(-1.0 / row) - 1.0;
        Ok(RatedCell { whole: step * stream, coolant: stream, air })
    }

    /// What meets at the rating.
    fn meets(&self, values: &Values, coolant: &CoolantAt) -> Meets {
        let air = values.get(self.air_flow) * RATING_AIR;
        let streams = self.streams as f64;
        let stream = values.get(self.coolant_flow) * coolant.heat_capacity / streams;
        let cells = PASS_CELLS as f64;
        match self.meeting {
            Meeting::Across(in_turn) => Meets {
                air: air / (self.passes as f64 * cells),
                stream,
                ratio: air / streams / stream,
                row: cells * in_turn as f64,
            },
            _ => Meets { air: air / cells, stream, ratio: air / stream, row: cells },
        }
    }

    /// The effectiveness of what meets at once, for that of all passes.
    fn once(&self, told: f64, ratio: f64) -> f64 {
        let count = self.passes as f64;
        match self.meeting {
            Meeting::Across(_) => told,
            Meeting::EachItsOwn => 1.0 - (1.0 - told).powf(1.0 / count),
            Meeting::Along => {
                (1.0 - (1.0 - told * (1.0 + ratio)).powf(1.0 / count)) / (1.0 + ratio)
            }
            Meeting::Against if (ratio - 1.0).abs() < 1e-9 => told / (count - (count - 1.0) * told),
            Meeting::Against => {
                let turned = ((1.0 - told * ratio) / (1.0 - told)).powf(1.0 / count);
                (1.0 - turned) / (ratio - turned)
            }
        }
    }

    /// The most effectiveness that this rating could tell, with the flows that it has.
    pub fn most_effectiveness(&self, values: &Values, coolant: &CoolantAt) -> f64 {
        let Meets { ratio, row, .. } = self.meets(values, coolant);
        self.most(ratio, most_once(ratio, row))
    }

    /// The most that all passes together reach where one reaches `once`.
    fn most(&self, ratio: f64, once: f64) -> f64 {
        let count = self.passes as f64;
        match self.meeting {
            Meeting::Across(_) => once,
            Meeting::EachItsOwn => 1.0 - (1.0 - once).powf(count),
            Meeting::Along => {
                (1.0 - (1.0 - once * (1.0 + ratio)).max(0.0).powf(count)) / (1.0 + ratio)
            }
            Meeting::Against => {
                let turned = ((1.0 - once * ratio) / (1.0 - once)).powf(count);
                if (ratio - 1.0).abs() < 1e-9 {
                    count * once / (1.0 + (count - 1.0) * once)
                } else {
                    (turned - 1.0) / (turned - ratio)
                }
            }
        }
    }

    /// Conductance of the air side of one node of metal at the rating, W/K, with the conductance `film` between
    /// the cell and all the nodes that it touches there, raised as the cells of a pass are.
    ///
    /// In each of D layers the metal has one temperature: G = C_a·(1 − (1 − W/C_a)^D), 1/W = 1/g + D/(f·φ),
    /// g = C_a·(1 − e^(−a/C_a)), solved for a
    ///
    /// # Errors
    /// When the film leaves nothing for the air side.
    pub fn air_side(cell: &RatedCell, film: f64) -> Result<f64, ChargeError> {
        let layers = LAYERS as f64;
        let layer = cell.in_layer();
        let passed = 1.0 / (1.0 / layer - layers / film);
        let most = MOST * cell.air;
        if !(passed > 0.0 && passed <= most) {
            let least = layers / (1.0 / layer - 1.0 / most);
            return Err(ChargeError::FilmTooPoor { film, least });
        }
        Ok(-cell.air * (-passed / cell.air).ln_1p())
    }

    /// Conductance between coolant and metal of one cell at the rating, W/K, raised as the cells of a pass
    /// are: what the part that leads through the cooler knows.
    pub fn rated_film(
        &self,
        part: &dyn Part,
        values: &Values,
        coolant: &CoolantAt,
        cell: &RatedCell,
    ) -> f64 {
        let flow = values.get(self.coolant_flow) / self.streams as f64;
        let film = part.conductance_w_k(values, coolant, flow) / part.cells() as f64;
        film * plug_flow_factor(film / cell.coolant)
    }

    /// Conductance of a film, W/K of one cell before it is raised, that resists the share `share` of what
    /// the whole cell does at the rating; no less than leaves the air side what it needs.
    ///
    /// f·φ(f/C_c) = D·W/share, φ(x) = (e^x − 1)/x: f = C_c·ln(1 + D·W/(share·C_c)); a film so good that it is
    /// not raised any more is that itself.
    pub fn film_of_share(cell: &RatedCell, share: f64) -> f64 {
        let layer = cell.in_layer();
        let share = share.min(cell.most_share()).max(LEAST_SHARE);
        let raised = LAYERS as f64 * layer / (share * cell.coolant);
        cell.coolant * if raised < NOT_RAISED { raised.ln_1p() } else { raised }
    }

    /// Conductance of the air side of one node at a flow of air, W/K: a = a₀·(w/w₀)^n.
    pub fn air_side_at(&self, values: &Values, rated: f64, air_flow: f64) -> f64 {
        let share = (air_flow / values.get(self.air_flow)).abs().max(STILL);
        rated * share.powf(values.get(self.exponent))
    }
}

/// Share of the rated air flow below which the film no longer gets thinner.
const STILL: f64 = 1e-6;
