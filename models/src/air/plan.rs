//! The way of the air as a plan: plenums joined by lanes, each lane a row of elements.
//!
//! The commonest plan is the stack ([`AirPath::stack`]): in at the front, through cores one behind
//! the other, through fans side by side, and out. Ways side by side ([`AirPath::of_ways`]), or a lane that leads
//! warm air back to the front, are other plans for the same network.

use coolwright_solver::scalar::Scalar;

use super::Fan;
use super::ways::{Stand, Way, WayPlan};
use crate::slots::{Slot, Values};

/// A space in which the air has one pressure and one temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Plenum {
    /// The air of the site: its temperature, and the pressure that all others are counted from.
    Open,
    /// A closed space: what flows in mixes.
    Closed,
    /// Behind the vehicle: the pressure of the site, and what flows in mixes, so that what comes back is as warm as that.
    Behind,
}

/// A fall of air that is known at one mass flow and one density: of a core; of grille, shroud, ducts.
#[derive(Clone, Copy, Debug)]
pub struct AirFall {
    /// Fall at `flow` and `density`, Pa.
    pub fall: Slot,
    /// Mass flow of that fall, kg/s.
    pub flow: Slot,
    /// Air density of that fall, kg/m³.
    pub density: Slot,
    /// How drop × density goes with mass flow.
    pub exponent: Slot,
}

/// Below this share of the rated flow a fall of air goes in proportion to it, so that its slope stays above
/// zero at rest.
const LINEAR_SHARE: f64 = 0.01;

impl AirFall {
    /// The fall, Pa, at a mass flow of air of a density, kg/s and kg/m³, with the share `open` of the face
    /// open. Odd in the flow.
    ///
    /// Δp·ρ = Δ·ρ₀·x·((x² + e²)/(1 + e²))^((n − 1)/2), x = w/(y·w₀), e = 0.01
    ///
    /// The same mass flux meets the same friction factor whatever the density (Kays & London, Compact Heat
    /// Exchangers, ch. 2).
    pub fn at<S: Scalar>(&self, values: &Values, open: f64, flow: S, density: S) -> S {
        let [fall, rated_flow, rated_density, exponent] =
            [self.fall, self.flow, self.density, self.exponent].map(|slot| values.get(slot));
        let share = flow / (open * rated_flow);
        let small = LINEAR_SHARE * LINEAR_SHARE;
        let size = ((share * share + small) / (1.0 + small)).sqrt();
        share * size.powf(exponent - 1.0) * (fall * rated_density) / density
    }
}

/// What the air of a lane goes through.
#[derive(Clone, Copy, Debug)]
pub enum Element {
    /// A core, by its place in [`AirPath::cores`].
    Core(usize),
    /// A fan, by its place in [`AirPath::fans`].
    Fan(usize),
    /// Grille, shroud, ducts, by its place in [`AirPath::losses`].
    Loss(usize),
    /// The share of the dynamic pressure of the road speed that stands in front of the lane.
    Ram {
        /// The share, 0 to 1.
        share: Slot,
        /// Road speed, m/s.
        speed: Slot,
    },
}

/// How warm the air is that comes back through a lane.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Backflow {
    /// As warm as the plenum that it comes from: it mixes with what else flows in.
    Mixes,
    /// It counts as warm as the plenum that it comes into, and so changes nothing there. Where
    /// nothing else flows into that plenum, all of it has the temperature of the site.
    Apart,
}

/// A way for the air from one plenum to another.
#[derive(Clone, Debug)]
pub struct Lane {
    /// The plenum at its start.
    pub from: usize,
    /// The plenum at its end.
    pub to: usize,
    /// What the air goes through, from start to end.
    pub elements: Vec<Element>,
    /// How warm the air is that comes back through it.
    pub backflow: Backflow,
}

/// The way of the air through cores and fans.
#[derive(Clone, Debug)]
pub struct AirPath {
    /// Its name.
    pub name: String,
    /// Its plenums; the first is the air in front.
    pub plenums: Vec<Plenum>,
    /// The lanes between them.
    pub lanes: Vec<Lane>,
    /// The cores in it (indices among the model's cores); each stands in one lane.
    pub cores: Vec<usize>,
    /// The fans in it; each stands in one lane.
    pub fans: Vec<Fan>,
    /// Where each of its fans stands.
    pub stands: Vec<Stand>,
    /// Falls of grille, shroud and ducts; each stands in one lane. The first is that in front of all ways.
    pub losses: Vec<AirFall>,
    /// The ways between front and back, side by side.
    pub ways: Vec<Way>,
    /// The plenum in which the ways begin.
    pub front: usize,
    /// The plenum that the air comes out into behind.
    pub exit: usize,
    /// The share of the air in front that has been through and comes round again, where some does.
    pub round: Option<Slot>,
}

impl AirPath {
    /// A stack: what grille, shroud and ducts cost (`loss`), in the air as it enters, then cores one behind
    /// the other from front to back, then fans side by side. `ram` is the share of the
    /// dynamic pressure in front and the road speed (m/s).
    pub fn stack(
        name: String,
        cores: Vec<usize>,
        fans: Vec<Fan>,
        loss: AirFall,
        ram: (Slot, Slot),
    ) -> Self {
        let way = WayPlan { name: None, cores, loss: None, gap: None };
        let behind = Stand { way: None, pushes: false };
        let fans = fans.into_iter().map(|fan| (fan, behind)).collect();
        Self::of_ways(name, vec![way], fans, (loss, ram), None)
    }

    /// All elements, lane after lane.
    pub fn elements(&self) -> impl Iterator<Item = Element> {
        self.lanes.iter().flat_map(|lane| &lane.elements).copied()
    }

    /// The first fan that stands in a lane.
    pub fn fan_of(&self, lane: usize) -> Option<usize> {
        self.lanes[lane].elements.iter().find_map(|element| match element {
            Element::Fan(fan) => Some(*fan),
            _ => None,
        })
    }

    /// For each plenum, the lanes whose flow its temperature depends on, whatever way they flow.
    fn felt_in_plenums(&self) -> Vec<Vec<bool>> {
        let mut felt = vec![vec![false; self.lanes.len()]; self.plenums.len()];
        loop {
            let before = felt.clone();
            let round = self.round.map(|_| self.exit);
            for (l, lane) in self.lanes.iter().enumerate() {
                let mut into = |plenum: usize, other: usize| {
                    // What leaves comes round to the front.
                    let plenum = if round == Some(plenum) { 0 } else { plenum };
                    if self.plenums[plenum] != Plenum::Open || plenum == 0 && round.is_some() {
                        felt[plenum][l] = true;
                        for k in 0..self.lanes.len() {
                            felt[plenum][k] |= before[other][k];
                        }
                    }
                };
                into(lane.to, lane.from);
                if lane.backflow == Backflow::Mixes {
                    into(lane.from, lane.to);
                }
            }
            if felt == before {
                return felt;
            }
        }
    }

    /// Which falls depend on the flow of which other lane, through the temperature of the air that
    /// enters: pairs (lane, on which lane); and all lanes that some lane, itself included, depends
    /// on so.
    pub(super) fn couplings(&self) -> (Vec<(usize, usize)>, Vec<usize>) {
        let felt = self.felt_in_plenums();
        let depends = |of: usize, on: usize| {
            let lane = &self.lanes[of];
            felt[lane.from][on] || felt[lane.to][on] && lane.backflow == Backflow::Mixes
        };
        let count = self.lanes.len();
        let pairs = (0..count).flat_map(|of| (0..count).map(move |on| (of, on)));
        let pairs: Vec<_> = pairs.filter(|&(of, on)| depends(of, on)).collect();
        let columns = (0..count).filter(|&on| pairs.iter().any(|pair| pair.1 == on)).collect();
        (pairs.into_iter().filter(|(of, on)| of != on).collect(), columns)
    }
}
