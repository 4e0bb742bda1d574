//! Ways of the air side by side, each through cores of its own, laid out as plenums and lanes.

use super::Fan;
use super::plan::{AirFall, AirPath, Backflow, Element, Lane, Plenum};
use crate::slots::Slot;

/// One of the ways for the air from the front to behind the cores.
#[derive(Clone, Debug)]
pub struct Way {
    /// Its name; `None` where it is the only one.
    pub name: Option<String>,
    /// The cores in it from front to back, by their place in [`AirPath::cores`].
    pub cores: Vec<usize>,
    /// Its own loss, by its place in [`AirPath::losses`].
    pub loss: Option<usize>,
    /// Area and loss coefficient of the gap that this loss is, where it is one.
    pub gap: Option<[Slot; 2]>,
    /// The lanes whose flows add up to its own.
    pub lanes: Vec<usize>,
}

/// A way as it is to be laid out.
#[derive(Clone, Debug)]
pub struct WayPlan {
    /// Its name; `None` where it is the only one.
    pub name: Option<String>,
    /// The cores in it from front to back, indices among the model's cores.
    pub cores: Vec<usize>,
    /// What it costs beside its cores: a duct, or the edge of a gap.
    pub loss: Option<AirFall>,
    /// Area and loss coefficient of that gap.
    pub gap: Option<[Slot; 2]>,
}

/// Where a fan stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stand {
    /// In which of the ways; `None` in front of all, or behind all.
    pub way: Option<usize>,
    /// Whether it stands in front and pushes.
    pub pushes: bool,
}

/// Plenums and lanes as they are laid out.
#[derive(Default)]
struct Plan {
    plenums: Vec<Plenum>,
    lanes: Vec<Lane>,
}

impl Plan {
    fn plenum(&mut self, plenum: Plenum) -> usize {
        self.plenums.push(plenum);
        self.plenums.len() - 1
    }

    fn lane(&mut self, [from, to]: [usize; 2], elements: Vec<Element>) -> usize {
        self.lanes.push(Lane { from, to, elements, backflow: Backflow::Mixes });
        self.lanes.len() - 1
    }

    /// Fans side by side.
    fn bank(&mut self, [from, to]: [usize; 2], fans: &[usize]) -> Vec<usize> {
        fans.iter().map(|&fan| self.lane([from, to], vec![Element::Fan(fan)])).collect()
    }

    /// Fans side by side of which one that stands lets air back apart: the running ones beside it are taken to breathe what
    /// comes out of the cores.
    fn bank_apart(&mut self, [from, to]: [usize; 2], fans: &[usize]) {
        for lane in self.bank([from, to], fans) {
            self.lanes[lane].backflow = Backflow::Apart;
        }
    }

    /// A way from one plenum to another: fans that push, what it costs, cores, fans that pull. The lanes that carry its
    /// flow.
    fn way(
        &mut self,
        [from, to]: [usize; 2],
        elements: Vec<Element>,
        [pushing, pulling]: [&[usize]; 2],
    ) -> Vec<usize> {
        if elements.is_empty() && (pushing.is_empty() || pulling.is_empty()) {
            return self.bank([from, to], if pulling.is_empty() { pushing } else { pulling });
        }
        let mut start = from;
        if !pushing.is_empty() {
            start = self.plenum(Plenum::Closed);
            self.bank([from, start], pushing);
        }
        if elements.is_empty() {
            return self.bank([start, to], pulling);
        }
        if pulling.is_empty() {
            return vec![self.lane([start, to], elements)];
        }
        let behind = self.plenum(Plenum::Closed);
        let lane = self.lane([start, behind], elements);
        self.bank([behind, to], pulling);
        vec![lane]
    }
}

impl AirPath {
    /// Whether it has lanes side by side, or is told as such.
    pub fn has_lanes(&self) -> bool {
        self.ways.iter().any(|way| way.name.is_some())
    }

    /// Whether the air in front of its ways may be another than that of the site.
    pub fn may_warm_in_front(&self) -> bool {
        self.round.is_some() || self.has_lanes()
    }

    /// What a way of it is called: the path, and the lane where it has several.
    pub fn called(&self, way: &Way) -> String {
        way.name.as_ref().map_or_else(|| self.name.clone(), |lane| format!("{}/{lane}", self.name))
    }

    /// The fans that the air of a way meets before its cores, bank after bank, or behind them; those of a bank stand side by
    /// side.
    pub fn banks(&self, way: usize, pushing: bool) -> Vec<Vec<usize>> {
        let mut banks = [None, Some(way)].map(|way| self.standing(Stand { way, pushes: pushing }));
        if !pushing {
            banks.reverse();
        }
        banks.into_iter().filter(|bank| !bank.is_empty()).collect()
    }

    fn standing(&self, at: Stand) -> Vec<usize> {
        let stands = self.stands.iter().enumerate();
        stands.filter(|(_, stand)| **stand == at).map(|(fan, _)| fan).collect()
    }

    /// A path of one way or of several side by side: what grille, shroud and ducts cost (`loss`), in the air as it enters;
    /// fans that push all of it; the ways; fans that draw from all of them. `ram` is the share of the dynamic pressure in
    /// front and the road speed (m/s), `round` the share of the air in front that comes round again.
    ///
    /// Where there are several ways all begin in one plenum and end in one: there the air of all has one pressure, and
    /// mixes. What comes back through one of them from behind is as warm as what the others bring there.
    pub fn of_ways(
        name: String,
        plans: Vec<WayPlan>,
        fans: Vec<(Fan, Stand)>,
        (loss, (share, speed)): (AirFall, (Slot, Slot)),
        round: Option<Slot>,
    ) -> Self {
        let standing = |way: Option<usize>, pushes: bool| -> Vec<usize> {
            let stands = fans.iter().enumerate();
            let here = stands.filter(|(_, (_, stand))| *stand == Stand { way, pushes });
            here.map(|(fan, _)| fan).collect()
        };
        let (pushing, pulling) = (standing(None, true), standing(None, false));
        let in_ways = fans.iter().any(|(_, stand)| stand.way.is_some());
        let is_single = plans.len() == 1 && !in_ways;
        let mut plan = Plan::default();
        let mut from = plan.plenum(Plenum::Open);
        let mut elements = vec![Element::Loss(0), Element::Ram { share, speed }];
        if !pushing.is_empty() || !is_single {
            let front = plan.plenum(Plenum::Closed);
            plan.lane([from, front], std::mem::take(&mut elements));
            from = front;
        }
        if !pushing.is_empty() {
            let behind = plan.plenum(Plenum::Closed);
            plan.bank_apart([from, behind], &pushing);
            from = behind;
        }
        // Of one way nothing that leaves can come back another.
        let outside = if is_single { Plenum::Open } else { Plenum::Behind };
        let rear = plan.plenum(if pulling.is_empty() { outside } else { Plenum::Closed });
        let exit = if pulling.is_empty() { rear } else { plan.plenum(outside) };
        let (mut cores, mut losses, mut ways) = (Vec::new(), vec![loss], Vec::new());
        for (w, of) in plans.into_iter().enumerate() {
            let here: Vec<usize> = (cores.len()..cores.len() + of.cores.len()).collect();
            cores.extend(of.cores);
            let own = of.loss.map(|loss| {
                losses.push(loss);
                losses.len() - 1
            });
            elements.extend(own.map(Element::Loss));
            elements.extend(here.iter().copied().map(Element::Core));
            let [pushing, pulling] = [true, false].map(|pushes| standing(Some(w), pushes));
            let elements = std::mem::take(&mut elements);
            let lanes = plan.way([from, rear], elements, [&pushing, &pulling]);
            ways.push(Way { name: of.name, cores: here, loss: own, gap: of.gap, lanes });
        }
        plan.bank_apart([rear, exit], &pulling);
        let Plan { plenums, lanes } = plan;
        let (fans, stands) = fans.into_iter().unzip();
        Self { name, plenums, lanes, cores, fans, stands, losses, ways, front: from, exit, round }
    }
}
