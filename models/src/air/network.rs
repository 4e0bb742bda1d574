//! A network of gas between the walls of cores: given the walls and their coolant, it finds for each
//! core the gas that enters, the exchange, the flow and the fall, and how these depend on the walls.
//!
//! Its flows are found by the same Newton method as those of the coolant. What is warm upstream
//! thins the gas downstream, so falls depend on the flows of other lanes too; those derivatives are
//! carried along the flow.

use coolwright_solver::network::{Network, NoFactor, Settings, Stuck};
use coolwright_solver::scalar::{Dual, Scalar};

use super::falls::{GasLaws, Linear};
use super::mixing::{Mix, Mixing};
use super::plan::{AirPath, Element, Lane, Plenum};
use super::{AirTemperatures, Core, CoreSide, Exchange, Inside, Outside};
use crate::fluids::Air;
use crate::simulate::still::MOVES_NO_AIR_PA;
use crate::slots::Values;

/// What a network of gas stands in at one instant.
#[derive(Clone, Copy, Debug)]
pub struct Around<'a> {
    /// The numbers of the model.
    pub values: &'a Values,
    /// The plan of the network.
    pub path: &'a AirPath,
    /// The model's cores.
    pub cores: &'a [Core],
    /// The air of the site.
    pub air: &'a Air,
    /// Its temperature, K.
    pub air_k: f64,
    /// Its heat capacity, J/(kg·K).
    pub heat_capacity: f64,
    /// Cells per core.
    pub cells: f64,
    /// The flow below which the air at the ends of a lane goes over from one side to the other, kg/s; zero where it jumps.
    pub small: f64,
    /// What is added to the fall along each lane, Pa: what its laws are off by.
    pub off_pa: &'a [f64],
}

/// A core as the gas sees it at one instant: its coolant side is settled. Over [`Dual`] it carries how
/// that changes.
#[derive(Clone, Copy, Debug)]
pub struct Facing<S = f64> {
    /// The core among the model's cores.
    pub core: usize,
    /// Its resistances at the rating.
    pub side: CoreSide,
    /// Factor on its conductance: what its laws are off by.
    pub conductance: f64,
    /// Coolant flow, kg/s.
    pub flow: S,
    /// Viscosity, conductivity and heat capacity of its coolant.
    pub coolant: [S; 3],
    /// Viscosity of its coolant at the wall, where that matters; else any number above zero.
    pub wall_viscosity: S,
    /// Mean temperature of its wall, K.
    pub wall_k: S,
}

/// A core as the gas met it.
#[derive(Clone, Copy, Debug)]
pub struct Met<S = f64> {
    /// The core among the model's cores.
    pub core: usize,
    /// Mass flow of the gas through it, kg/s; negative when it comes from behind.
    pub flow: S,
    /// Temperature of the gas that enters it, K.
    pub entering_k: S,
    /// Temperature of the gas behind it, K.
    pub leaving_k: S,
    /// Its fall of pressure, Pa.
    pub fall_pa: S,
    /// The exchange of each of its cells.
    pub exchange: Exchange<S>,
    /// Mean temperature of its wall, K.
    pub wall_k: S,
}

impl<S: Scalar> Met<S> {
    /// Temperature of the gas half the way from where it enters to the wall, K.
    pub fn film_k(&self) -> S {
        (self.entering_k + self.wall_k) * 0.5
    }

    /// A core that has met nothing yet: known by name, all its numbers zero.
    fn nothing(core: usize) -> Self {
        let zero = S::from(0.0);
        let exchange = Exchange { coolant_wall: zero, wall_air: zero };
        let [entering_k, leaving_k, wall_k, fall_pa] = [zero; 4];
        Self { core, flow: zero, entering_k, leaving_k, fall_pa, exchange, wall_k }
    }
}

/// The gas at a fan.
#[derive(Clone, Copy, Debug, Default)]
pub struct AtFan {
    /// Mass flow, kg/s; negative when it comes back.
    pub flow: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Temperature of the gas that enters it, K.
    pub entering_k: f64,
}

/// The gas at a loss.
#[derive(Clone, Copy, Debug, Default)]
pub struct AtLoss {
    /// Mass flow, kg/s; negative when it comes back.
    pub flow: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Its fall of pressure, Pa.
    pub fall_pa: f64,
}

/// An element of a lane as the gas goes through it.
pub(super) struct Passed<S> {
    element: Element,
    /// Temperatures before and behind it, K.
    before: S,
    behind: S,
    /// Its fall of pressure, Pa.
    fall: S,
    /// Exchange of a core, and its wall, K.
    exchange: Option<(Exchange<S>, S)>,
}

/// Flow at which the first search starts, kg/s.
const START_KG_S: f64 = 0.1;

impl<S> Facing<S> {
    /// The flow below which its exchange no longer goes with the flow, kg/s: a millionth of the rated one.
    fn still(&self) -> f64 {
        self.side.air_flow * 1e-6
    }
}

impl Facing {
    /// The same as constants among other scalars.
    pub fn lifted<S: Scalar>(&self) -> Facing<S> {
        Facing {
            core: self.core,
            side: self.side,
            conductance: self.conductance,
            flow: S::from(self.flow),
            coolant: self.coolant.map(S::from),
            wall_viscosity: S::from(self.wall_viscosity),
            wall_k: S::from(self.wall_k),
        }
    }
}

/// The conductance of a cell to the air that enters it, W/K, where that could take `most` for each kelvin: in coolant next to
/// rest a cell is raised so far above what its air could take that air going round would swing ever farther. From one and a
/// half times as much it goes over to twice as much, where the air leaves as far beyond the wall as it came.
fn bounded<S: Scalar>(conductance: S, most: S) -> S {
    let over = conductance / most - FREE;
    if over.value() <= 0.0 {
        return conductance;
    }
    most * (over / (over * 2.0 + 1.0) + FREE)
}

/// Up to so many times what its air could take the conductance of a cell stays as it is.
const FREE: f64 = 1.5;

impl Around<'_> {
    /// The exchange of one cell of a core with the gas flow `flow`, which is at `film_k` half the way to the wall.
    fn exchange<S: Scalar>(&self, facing: &Facing<S>, (flow, film_k): (S, S)) -> Exchange<S> {
        let core = &self.cores[facing.core];
        let side = &facing.side;
        let Facing { coolant, wall_viscosity, .. } = *facing;
        let inside = Inside { flow: facing.flow, coolant, wall_viscosity };
        let outside = Outside { flow, air: self.air, film_k };
        let whole = side.resistances(self.values, core, &inside, &outside);
        let whole = whole.times(1.0 / facing.conductance);
        let still = facing.still();
        let air = (flow * flow + still * still).sqrt() * self.heat_capacity;
        let flows = [air, facing.flow.abs() * coolant[2]];
        let mut exchange =
            Exchange::of_cell(whole, flows, self.cells, core.arrangement(self.values));
        exchange.wall_air = bounded(exchange.wall_air, air / self.cells);
        exchange
    }

    /// How the air is to be mixed, open plenums being so warm.
    pub(super) fn mix<S>(&self, open: S) -> Mix<S> {
        let round = self.path.round.map_or(0.0, |round| self.values.get(round));
        Mix { open, round, small: self.small }
    }

    /// Dynamic pressure in front that a ram element gives, Pa.
    fn ram_pa(&self, share: f64, speed: f64) -> f64 {
        share * 0.5 * self.air.density(self.air_k) * speed * speed
    }

    /// Goes along a lane with the gas that enters at `inlet`. Returns the fall along the lane and the
    /// temperature at its end; `each` is told of every element in the order in which the gas meets
    /// them.
    pub(super) fn along<S: Scalar>(
        &self,
        lane: &Lane,
        faces: &impl Fn(usize) -> Facing<S>,
        (flow, inlet): (S, S),
        each: &mut dyn FnMut(Passed<S>),
    ) -> (S, S) {
        let get = |slot| self.values.get(slot);
        let mut temperature = inlet;
        let mut sum = S::from(0.0);
        let count = lane.elements.len();
        for step in 0..count {
            let at = if flow.value() >= 0.0 { step } else { count - 1 - step };
            let element = lane.elements[at];
            let before = temperature;
            let mut met = None;
            let fall = match element {
                Element::Core(k) => {
                    let facing = faces(k);
                    let film_k = (before + facing.wall_k) * 0.5;
                    let exchange = self.exchange(&facing, (flow, film_k));
                    temperature = self.warmed(before, &facing, exchange.wall_air, flow);
                    met = Some((exchange, facing.wall_k));
                    let core = &self.cores[facing.core];
                    let (entering_k, leaving_k) = (before, temperature);
                    let at = AirTemperatures { entering_k, leaving_k, film_k };
                    core.fall_of_air(self.values, flow, (self.air, at))
                }
                Element::Fan(fan) => {
                    let density = self.air.density(before);
                    let fan = &self.path.fans[fan];
                    temperature =
                        before + fan.warms(self.values, (density, flow), self.heat_capacity);
                    fan.fall(&self.values.reader(), density, flow)
                }
                Element::Loss(loss) => {
                    let density = self.air.density(before);
                    self.path.losses[loss].at(self.values, 1.0, flow, density)
                }
                Element::Ram { share, speed } => S::from(-self.ram_pa(get(share), get(speed))),
            };
            sum += fall;
            each(Passed { element, before, behind: temperature, fall, exchange: met });
        }
        (sum, temperature)
    }

    /// Temperature of the gas behind a core. A flow of exactly zero takes no heat along; just above it
    /// the gas leaves at the temperature of the wall.
    fn warmed<S: Scalar>(&self, before: S, facing: &Facing<S>, wall_air: S, flow: S) -> S {
        if flow.value() == 0.0 {
            return before;
        }
        let moving = flow.abs().max(S::from(facing.still()));
        let rise = wall_air * self.cells / (moving * self.heat_capacity);
        before + rise * (facing.wall_k - before)
    }

    /// Whether anything moves the gas.
    fn is_driven(&self) -> bool {
        let get = |slot| self.values.get(slot);
        let most = |element| match element {
            Element::Ram { share, speed } => 0.6 * get(speed) * get(speed) * get(share),
            Element::Fan(fan) => {
                let fan = &self.path.fans[fan];
                let speed: f64 = fan.speed(&self.values.reader());
                fan.curve.value(0.0) * speed * speed
            }
            Element::Core(_) | Element::Loss(_) => 0.0,
        };
        self.path.elements().map(most).any(|pa| pa >= MOVES_NO_AIR_PA)
    }
}

/// A network of gas with its flows and what the cores met.
#[derive(Clone, Debug)]
pub struct GasNetwork {
    network: Network,
    couplings: Vec<(usize, usize)>,
    columns: Vec<usize>,
    inflow: Vec<f64>,
    held: Vec<Option<f64>>,
    pub(crate) flows: Vec<f64>,
    pressures: Vec<f64>,
    /// Lanes that leave and enter the first plenum, with their sign.
    front: Vec<(usize, f64)>,
    faces: Vec<Facing>,
    met: Vec<Met>,
    fans: Vec<AtFan>,
    losses: Vec<AtLoss>,
    /// Temperatures in front of the ways and of what leaves behind, K.
    ends: [f64; 2],
    by_cells: Vec<f64>,
    is_still: bool,
    pub(crate) settings: Settings,
    plain: Mixing<f64>,
    change: Change,
    linear: Linear,
}

/// Room to follow a change of the walls.
#[derive(Clone, Debug, Default)]
struct Change {
    mixing: Mixing<Dual<1>>,
    flows: Vec<Dual<1>>,
    falls: Vec<f64>,
    flow_rates: Vec<f64>,
    pressure_rates: Vec<f64>,
    met: Vec<Met<Dual<1>>>,
}

impl GasNetwork {
    /// The network of a path; nothing moves yet.
    ///
    /// # Panics
    /// When a lane names a plenum that is not there.
    pub fn new(path: &AirPath) -> Self {
        let (couplings, columns) = path.couplings();
        let runs: Vec<_> = path.lanes.iter().map(|lane| (lane.from, lane.to)).collect();
        let network = Network::new(path.plenums.len(), &runs, &couplings);
        let lanes = path.lanes.len();
        let open = |plenum: &Plenum| (*plenum != Plenum::Closed).then_some(0.0);
        let ends = runs.iter().enumerate();
        let front = ends.flat_map(|(lane, &(from, to))| {
            let leaves = (from == 0).then_some((lane, 1.0));
            leaves.into_iter().chain((to == 0).then_some((lane, -1.0)))
        });
        Self {
            network: network.expect("lanes join known plenums"),
            couplings,
            columns,
            inflow: vec![0.0; path.plenums.len()],
            held: path.plenums.iter().map(open).collect(),
            flows: vec![START_KG_S; lanes],
            pressures: vec![0.0; path.plenums.len()],
            front: front.collect(),
            faces: Vec::with_capacity(path.cores.len()),
            met: path.cores.iter().map(|&core| Met::nothing(core)).collect(),
            fans: vec![AtFan::default(); path.fans.len()],
            losses: vec![AtLoss::default(); path.losses.len()],
            ends: [f64::NAN; 2],
            by_cells: vec![0.0; path.cores.len() * path.cores.len()],
            is_still: true,
            settings: Settings::default(),
            plain: Mixing::default(),
            change: Change {
                flow_rates: vec![0.0; lanes],
                pressure_rates: vec![0.0; path.plenums.len()],
                ..Change::default()
            },
            linear: Linear::default(),
        }
    }

    /// Finds flows and exchanges for the walls `faces`, in the order of the path's cores.
    ///
    /// # Errors
    /// When the flows do not come to rest.
    pub fn settle(
        &mut self,
        around: &Around<'_>,
        faces: impl Iterator<Item = Facing>,
    ) -> Result<(), Box<Stuck>> {
        self.faces.clear();
        self.faces.extend(faces);
        self.is_still = !around.is_driven();
        if self.is_still {
            // Nothing moves this gas. Its falls go with powers of the flow above one, so a search
            // for the balance would end at slopes of zero.
            self.flows.fill(0.0);
            self.pressures.fill(0.0);
        } else {
            let mut laws = GasLaws {
                around: *around,
                faces: &self.faces,
                couplings: &self.couplings,
                columns: &self.columns,
                linear: &mut self.linear,
            };
            let (flows, pressures) = (&mut self.flows, &mut self.pressures);
            let settings = &self.settings;
            self.network.solve(&mut laws, &self.inflow, &self.held, flows, pressures, settings)?;
        }
        self.read(around);
        self.follow_walls(around);
        Ok(())
    }

    /// Reads off what cores and fans met at the flows found.
    fn read(&mut self, around: &Around<'_>) {
        let path = around.path;
        let Self { flows, faces, plain, met, fans, losses, ends, .. } = self;
        meet(around, flows, &|k| faces[k], plain, met, &mut |passed, flow| {
            let density = around.air.density(passed.before);
            match passed.element {
                Element::Fan(fan) => {
                    fans[fan] = AtFan { flow, density, entering_k: passed.before };
                }
                Element::Loss(loss) => {
                    losses[loss] = AtLoss { flow, density, fall_pa: passed.fall };
                }
                Element::Core(_) | Element::Ram { .. } => {}
            }
        });
        debug_assert_eq!(met.len(), path.cores.len(), "each core stands in one lane");
        if path.may_warm_in_front() {
            *ends = plain.ends(path, flows, around.mix(around.air_k), &mut |lane, flow, inlet| {
                around.along(&path.lanes[lane], &|k| faces[k], (flow, inlet), &mut |_| ()).1
            });
        }
    }

    /// How the gas that enters each core follows the wall cells of each core, flows held.
    fn follow_walls(&mut self, around: &Around<'_>) {
        let count = self.met.len();
        let Self { flows, faces, met, plain, by_cells, fans, .. } = self;
        let along =
            |lane: &Lane, flow: f64, wall: usize, mut by: f64, each: &mut dyn FnMut(usize, f64)| {
                let elements = lane.elements.len();
                for step in 0..elements {
                    let at = if flow >= 0.0 { step } else { elements - 1 - step };
                    let core = match lane.elements[at] {
                        Element::Core(core) => core,
                        // ρ goes with 1/T, and so does what a fan takes.
                        Element::Fan(fan) => {
                            let AtFan { density, entering_k, .. } = fans[fan];
                            let at = (density, flow);
                            let fan = &around.path.fans[fan];
                            by *= 1.0
                                - fan.warms(around.values, at, around.heat_capacity) / entering_k;
                            continue;
                        }
                        Element::Loss(_) | Element::Ram { .. } => continue,
                    };
                    each(core, by);
                    if flow != 0.0 {
                        let moving = flow.abs().max(faces[core].still());
                        let capacity = moving * around.heat_capacity;
                        // A stream of a lane next to rest is not its flow.
                        let wall_air = if flow.to_bits() == met[core].flow.to_bits() {
                            met[core].exchange.wall_air
                        } else {
                            around.exchange(&faces[core], (flow, met[core].film_k())).wall_air
                        };
                        by *= 1.0 - wall_air * around.cells / capacity;
                        if core == wall {
                            by += wall_air / capacity;
                        }
                    }
                }
                by
            };
        for wall in 0..count {
            plain.find(around.path, flows, around.mix(0.0), &mut |lane, flow, by| {
                along(&around.path.lanes[lane], flow, wall, by, &mut |_, _| ())
            });
            for (lane, &flow) in around.path.lanes.iter().zip(&*flows) {
                let inlet = plain.inlet(lane, flow, around.small);
                along(lane, flow, wall, inlet, &mut |core, by| by_cells[core * count + wall] = by);
            }
        }
    }

    /// Forgets the flows, so that the next search starts as the first one did.
    pub fn start_anew(&mut self) {
        self.flows.fill(START_KG_S);
    }

    /// Starts the next search from flows of a point close by, one for each lane, kg/s.
    pub fn start_from(&mut self, flows: &[f64]) {
        for (now, near) in self.flows.iter_mut().zip(flows) {
            *now = *near;
        }
    }

    /// Mass flow of each lane, kg/s; negative when it goes from its end to its start.
    pub fn flows(&self) -> &[f64] {
        &self.flows
    }

    /// The cores as they were settled, in the order of the path's.
    pub fn faces(&self) -> &[Facing] {
        &self.faces
    }

    /// What each core of the path met, in their order.
    pub fn cores(&self) -> &[Met] {
        &self.met
    }

    /// The gas at each fan of the path, in their order.
    pub fn fans(&self) -> &[AtFan] {
        &self.fans
    }

    /// The gas at each loss of the path, in their order.
    pub fn losses(&self) -> &[AtLoss] {
        &self.losses
    }

    /// Temperatures of the air in front of the ways and of what leaves behind, K; no numbers where the first is that of the site.
    pub fn ends_k(&self) -> [f64; 2] {
        self.ends
    }

    /// Mass flow through the network from the first plenum, the front, kg/s; negative when it comes
    /// from behind.
    pub fn through(&self) -> f64 {
        self.front.iter().map(|&(lane, sign)| sign * self.flows[lane]).sum()
    }

    /// Rise of the gas that enters a core, K, for a rise of one cell of the wall of another by 1 K, with
    /// flows and exchanges held. Both are places among the path's cores.
    pub fn entering_by_cell(&self, core: usize, wall: usize) -> f64 {
        self.by_cells[core * self.met.len() + wall]
    }

    /// Follows a change of walls, coolant flows and coolant: `faces` are those that were settled,
    /// each with its change as slope. Returns what each core meets, with its change: of the flow of
    /// the gas too, linear, on the factor of the last solve.
    ///
    /// # Errors
    /// When the last solve left no factor.
    pub fn respond(
        &mut self,
        around: &Around<'_>,
        faces: &impl Fn(usize) -> Facing<Dual<1>>,
    ) -> Result<&[Met<Dual<1>>], NoFactor> {
        let Change { mixing, flows, falls, flow_rates, pressure_rates, met } = &mut self.change;
        flows.clear();
        flows.extend(self.flows.iter().map(|flow| Dual::from(*flow)));
        if !self.is_still {
            let mix = around.mix(Dual::from(around.air_k));
            mixing.find(around.path, flows, mix, &mut |lane, flow, inlet| {
                around.along(&around.path.lanes[lane], faces, (flow, inlet), &mut |_| ()).1
            });
            falls.clear();
            for (lane, &flow) in around.path.lanes.iter().zip(&*flows) {
                let inlet = mixing.inlet(lane, flow, around.small);
                falls.push(around.along(lane, faces, (flow, inlet), &mut |_| ()).0.slope());
            }
            self.network.sensitivity_solve(falls, flow_rates, pressure_rates)?;
            for (flow, rate) in flows.iter_mut().zip(&*flow_rates) {
                flow.slopes = [*rate];
            }
        }
        meet(around, flows, faces, mixing, met, &mut |_, _| ());
        Ok(met)
    }

    /// Falls of pressure of all but the fan, and of the fan, with a mass flow (kg/s) forced through
    /// a path that is one way with one fan in it, Pa; walls as settled. The first is less what the
    /// road speed gives. `None` where the path has several fans or none, or branches.
    pub fn forced(&mut self, around: &Around<'_>, flow: f64) -> Option<(f64, f64)> {
        let path = around.path;
        let ends = |plenum: usize| {
            let touch = path.lanes.iter().map(|lane| (lane.to == plenum, lane.from == plenum));
            touch.fold((0, 0), |(into, out), (to, from)| {
                (into + usize::from(to), out + usize::from(from))
            })
        };
        let closed = path.plenums.iter().enumerate().filter(|(_, p)| **p == Plenum::Closed);
        let mut closed = closed.map(|(plenum, _)| ends(plenum));
        let open = path.plenums.iter().filter(|plenum| **plenum != Plenum::Closed).count();
        if path.fans.len() != 1 || open != 2 || closed.any(|ends| ends != (1, 1)) {
            return None;
        }
        let Self { faces, plain, .. } = self;
        let forced = vec![flow; path.lanes.len()];
        let (mut others, mut fan) = (0.0, 0.0);
        meet(around, &forced, &|k| faces[k], plain, &mut Vec::new(), &mut |passed, _| match passed
            .element
        {
            Element::Fan(_) => fan += passed.fall,
            _ => others += passed.fall,
        });
        Some((others, fan))
    }

    /// Falls of pressure of all but the fans, and of one fan, with a mass flow (kg/s) forced through a
    /// path in which the whole flow comes to fans side by side that share it evenly, Pa. `None` where the
    /// path goes in any other way.
    pub fn forced_evenly(&mut self, around: &Around<'_>, flow: f64) -> Option<(f64, f64)> {
        let path = around.path;
        let fans_in = |lane: &Lane| {
            lane.elements.iter().filter(|element| matches!(element, Element::Fan(_))).count()
        };
        let (blown, plain): (Vec<&Lane>, Vec<&Lane>) =
            path.lanes.iter().partition(|lane| fans_in(lane) > 0);
        let alone = |lane: &&Lane| lane.elements.len() == 1;
        let between = blown.first().map(|lane| lane.from)?;
        let even = match plain.as_slice() {
            [] => blown.len() == 1 && fans_in(blown[0]) == 1,
            [only] => only.to == between && blown.iter().all(|l| alone(l) && l.from == between),
            _ => false,
        };
        if !even {
            return None;
        }
        let each = flow / blown.len() as f64;
        let share = |lane: &Lane| if fans_in(lane) > 0 { each } else { flow };
        let forced: Vec<f64> = path.lanes.iter().map(share).collect();
        let Self { faces, plain, .. } = self;
        let (mut others, mut fan) = (0.0, 0.0);
        meet(around, &forced, &|k| faces[k], plain, &mut Vec::new(), &mut |passed, through| {
            match passed.element {
                // The mean of them, which are alike.
                Element::Fan(_) => fan += passed.fall * through / flow,
                _ => others += passed.fall,
            }
        });
        Some((others, fan))
    }
}

/// Goes along every lane with given flows and notes what each core meets, in the order of the path's
/// cores; `each` is told of every element and of the flow through it.
fn meet<S: Scalar>(
    around: &Around<'_>,
    flows: &[S],
    faces: &impl Fn(usize) -> Facing<S>,
    mixing: &mut Mixing<S>,
    met: &mut Vec<Met<S>>,
    each: &mut dyn FnMut(&Passed<S>, S),
) {
    let path = around.path;
    let mix = around.mix(S::from(around.air_k));
    mixing.find(path, flows, mix, &mut |lane, flow, inlet| {
        around.along(&path.lanes[lane], faces, (flow, inlet), &mut |_| ()).1
    });
    met.clear();
    met.extend(path.cores.iter().map(|&core| Met::nothing(core)));
    for (lane, &flow) in path.lanes.iter().zip(flows) {
        let inlet = mixing.inlet(lane, flow, around.small);
        around.along(lane, faces, (flow, inlet), &mut |passed| {
            if let (Element::Core(k), Some((exchange, wall_k))) = (passed.element, passed.exchange)
            {
                let (entering_k, leaving_k) = (passed.before, passed.behind);
                let fall_pa = passed.fall;
                met[k] = Met { flow, entering_k, leaving_k, fall_pa, exchange, wall_k, ..met[k] };
            }
            each(&passed, flow);
        });
    }
}
