//! What a cycle brings: rows over time, what each phase came to, and what happened on the way.

use std::sync::Arc;

use coolwright_solver::integrate::Statistics;

use crate::laws::cushion::{Content, NORMAL_M3};
use crate::results::{Boiling, Catalogue};
use crate::simulate::{Border, Stores};
use crate::watch::Watched;

/// A phase that has been followed.
#[derive(Clone, Debug, Default)]
pub struct PhaseHistory {
    /// Its name.
    pub name: String,
    /// When it began and ended, s.
    pub from_s: f64,
    /// See `from_s`.
    pub to_s: f64,
    /// Its first row, and the one after its last.
    pub rows: std::ops::Range<usize>,
    /// Heat that crossed the border of the model in it, J.
    pub border: Border,
    /// Heat that the model held more at its end than at its start, by what held it; what was put in as it began does not count.
    pub stored: Stores,
    /// Heat that came in with what was put in as it began, J: with ice less than nothing.
    pub put_in_j: f64,
}

impl PhaseHistory {
    /// What the audit leaves open, J: heat in less heat out less heat stored.
    pub fn open_j(&self) -> f64 {
        let Border { bodies, pumps, cores, outside, bay, bay_bodies } = &self.border;
        let sum = |x: &[f64]| x.iter().sum::<f64>();
        let came = [bodies, pumps, outside, bay, bay_bodies].map(|heats| sum(heats));
        came.iter().sum::<f64>() - sum(cores) - self.stored.sum()
    }
}

/// Where the coolant began to boil in bulk, beyond which the model no longer holds.
#[derive(Clone, Copy, Debug)]
pub struct Boiled {
    /// The circuit.
    pub circuit: usize,
    /// When, s: located like a switch.
    pub at_s: f64,
    /// Where in it, how hot and at which pressure.
    pub place: Boiling,
}

/// A switch that went on or off.
#[derive(Clone, Copy, Debug)]
pub struct Switched {
    /// Which of the model's switches.
    pub switch: usize,
    /// When, s.
    pub at_s: f64,
    /// Whether it went on.
    pub on: bool,
}

/// A machine that ran on after a switch or a phase had stopped it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RanOn {
    /// Which of the model's machines.
    pub machine: usize,
    /// When it was stopped, s.
    pub from_s: f64,
    /// When it stood, s; `None` where it still ran as the cycle ended.
    pub to_s: Option<f64>,
}

/// Ice that was put into a tank as a phase began.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refilled {
    /// The tank: circuit, run, part.
    pub tank: (usize, usize, usize),
    /// When, s.
    pub at_s: f64,
    /// Ice put in, kg.
    pub ice_kg: f64,
    /// Coolant drawn off for it, m³, as warm as the tank was.
    pub coolant_m3: f64,
}

/// A stretch of time in which something went out or came in through a cap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CapOpening {
    /// The circuit.
    pub circuit: usize,
    /// When it opened, s: the last time at which it was seen shut.
    pub from_s: f64,
    /// When it had shut again, s.
    pub to_s: f64,
    /// Whether it opened outwards; else it let air in.
    pub is_out: bool,
    /// Gas that went out or air that came in, m³ at 15 °C and 101.325 kPa.
    pub gas_m3: f64,
    /// Coolant that went out, m³.
    pub coolant_m3: f64,
}

/// Less gas than this, m³ at 15 °C, is rounding: a thousandth of a millilitre.
const NO_GAS_M3: f64 = 1e-9;

/// Notes what has gone through a cap between two times, as part of an opening that is underway where
/// there is one.
pub(super) fn note_opening(
    history: &mut History,
    (circuit, [from_s, to_s]): (usize, [f64; 2]),
    [before, now]: [Content; 2],
) {
    let coolant_m3 = now.lost_m3 - before.lost_m3;
    let out_m3 = NORMAL_M3 * (now.gas_out - before.gas_out);
    let in_m3 = NORMAL_M3 * (now.gas_in - before.gas_in);
    let (is_out, gas_m3) = if in_m3 > out_m3 { (false, in_m3) } else { (true, out_m3) };
    if gas_m3 < NO_GAS_M3 && coolant_m3 <= 0.0 {
        return;
    }
    let mut known = history.openings.iter_mut().rev();
    let goes_on = |known: &&mut CapOpening| {
        known.circuit == circuit && known.is_out == is_out && known.to_s >= from_s
    };
    if let Some(known) = known.find(goes_on) {
        known.to_s = to_s;
        known.gas_m3 += gas_m3;
        known.coolant_m3 += coolant_m3;
        return;
    }
    history.openings.push(CapOpening { circuit, from_s, to_s, is_out, gas_m3, coolant_m3 });
}

/// A duty cycle that has been followed.
#[derive(Clone, Debug, Default)]
pub struct History {
    /// What the columns are.
    pub catalogue: Arc<Catalogue>,
    /// When, s. At the end of a phase there are two rows of the same time: the phase's last instant
    /// and the next one's first.
    pub times_s: Vec<f64>,
    /// The results in the order of the catalogue, one row a time.
    pub rows: Rows,
    /// The phases.
    pub phases: Vec<PhaseHistory>,
    /// Whether and where the coolant boiled.
    pub boiled: Option<Boiled>,
    /// What switched, and when.
    pub switched: Vec<Switched>,
    /// What ran on after it was stopped, in the order in which it stood.
    pub ran_on: Vec<RanOn>,
    /// Ice that was put in, and when.
    pub refilled: Vec<Refilled>,
    /// What went through caps, and when.
    pub openings: Vec<CapOpening>,
    /// What became of each bound that was watched.
    pub watched: Vec<Watched>,
    /// All states at the end.
    pub states: Vec<f64>,
    /// What the integration cost.
    pub statistics: Statistics,
}

/// Rows of equally many numbers, one after the other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rows {
    width: usize,
    count: usize,
    numbers: Vec<f64>,
}

impl Rows {
    /// No rows yet, each to have so many numbers.
    pub(crate) fn of_width(width: usize) -> Self {
        Self { width, ..Self::default() }
    }

    pub(super) fn clear(&mut self, width: usize) {
        self.numbers.clear();
        (self.width, self.count) = (width, 0);
    }

    /// Adds a row; of a longer one what does not fit is left out.
    pub(crate) fn push(&mut self, row: &[f64]) {
        self.numbers.extend_from_slice(&row[..self.width]);
        self.count += 1;
    }

    /// How many rows there are.
    pub fn len(&self) -> usize {
        self.count
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// The rows one after the other.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = &[f64]> + ExactSizeIterator + Clone {
        (0..self.count).map(|row| &self[row])
    }

    /// The last row.
    pub fn last(&self) -> Option<&[f64]> {
        self.count.checked_sub(1).map(|row| &self[row])
    }
}

impl std::ops::Index<usize> for Rows {
    type Output = [f64];

    fn index(&self, row: usize) -> &[f64] {
        &self.numbers[row * self.width..(row + 1) * self.width]
    }
}
