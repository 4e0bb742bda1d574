//! Flows in a network of runs between junctions.
//!
//! Each run has a law for the fall of potential along it; what enters a junction leaves it. The
//! method works in loop flows: a spanning forest carries the flows from outside, and each run
//! beside it (a chord) closes one loop with a flow of its own. So mass balance holds exactly at
//! every iteration, and what is solved for is that the falls around every loop add up to zero:
//!
//! ```text
//! F(q) = B f(m0 + Bᵀ q) = 0,   J = B D Bᵀ
//! ```
//!
//! with B the loops, f the falls, D their derivatives, m0 the flows from outside and q the loop
//! flows. (Todini & Pilati 1988 and Epp & Fowler 1970 describe the nodal and the loop form of
//! Newton's method for pipe networks.) Junctions where a pressure is held from outside are tied
//! to a common ground, so that several of them close loops like any run.
//!
//! Up to 150 loops J is a dense matrix, and up to 24 where no runs are coupled. Larger networks keep
//! the same unknowns and the same search but solve for the step through the pressures, with a sparse
//! Cholesky factorisation. Where that leaves doubts in a network of up to 150 loops, the dense matrix
//! is asked after all.
//!
//! Where every slope is positive and couplings are weak, the loop equations are those of a convex
//! problem, and a step is shortened only where the sum of fall × change along it turns too far
//! (see [`Solved::continued`] for the rest): then Newton's method converges from any start. Laws
//! that are not monotone are followed in time, as fluid with inertia would move, with steps that
//! grow as the flows come to rest (pseudo-transient continuation, Kelley & Keyes 1998). That also
//! decides between several crossings: an answer from which the flows depart by themselves is none.

mod forest;
mod krylov;
mod laplacian;
mod loops;
mod newton;
mod nodal;
mod paths;
mod report;
mod sensitivity;
mod transient;

use forest::{Forest, Graph};
use loops::LoopSystem;
use nodal::Nodal;
pub use report::{BadNetwork, Quantity, Reason, Residual, Settings, Solved, Stability, Stuck};
pub use sensitivity::NoFactor;

/// Most loops that the dense loop matrix serves where runs are coupled: the sparse one of the pressures
/// has to be refined then.
const MOST_DENSE: usize = 150;
/// Most loops that it serves faster where none are. On grids of hoses and pumps a solve takes, dense and
/// sparse, 14 and 16 µs with 16 loops, 24 and 22 with 25, 53 and 37 with 36, 316 and 79 with 81.
const MOST_DENSE_ALONE: usize = 24;
/// Flows of a junction below this share of the largest flow have lost digits that the dense matrix keeps:
/// they are differences of sums over the network.
const LEAST_SHARE: f64 = 1e-5;
/// Starts tried where the search from the flows given comes to nothing.
const OTHER_STARTS: usize = 4;
/// The golden ratio and the root of two, each less one: they scatter the other starts.
const SPREAD: (f64, f64) = (0.618_033_988_749_894_9, std::f64::consts::SQRT_2 - 1.0);

/// The laws of all runs.
pub trait Laws {
    /// For the flow of each run (kg/s, positive from its first to its second junction): the fall
    /// of potential along it (Pa, potential at the first less that at the second junction), its
    /// slope d fall / d flow (Pa·s/kg), and for each coupling (e, f) the derivative
    /// d fall of e / d flow of f, in the order in which the network was given them.
    ///
    /// Slopes may be zero, negative or huge. What is not finite ends the solve.
    fn evaluate(&mut self, flows: &[f64], falls: &mut [f64], slopes: &mut [f64], cross: &mut [f64]);
}

/// A network with the workspace to solve it again and again.
#[derive(Clone, Debug)]
pub struct Network {
    graph: Graph,
    couplings: Vec<(usize, usize)>,
    /// Runs in their own order, then in the order of their resistance.
    ranking: Vec<usize>,
    forests: Forests,
    held: Vec<bool>,
    system: LoopSystem,
    work: Work,
    /// The same network with dense equations, where both ways are open.
    careful: Option<Box<Careful>>,
}

/// The two spanning forests that loops are closed by.
#[derive(Clone, Debug)]
struct Forests {
    /// The forest that every solve starts from, so that no answer depends on the one before.
    canonical: Forest,
    /// One chosen by the slopes on the way to the answer.
    chosen: Forest,
    on_canonical: bool,
}

impl Forests {
    /// The one in use.
    fn current(&self) -> &Forest {
        if self.on_canonical { &self.canonical } else { &self.chosen }
    }

    fn current_mut(&mut self) -> &mut Forest {
        if self.on_canonical { &mut self.canonical } else { &mut self.chosen }
    }
}

/// A network of medium size that is solved the dense way where the sparse one is not exact.
#[derive(Clone, Debug)]
struct Careful {
    network: Network,
    start: Vec<f64>,
    /// Whether the last answer is its.
    answers: bool,
}

impl Careful {
    fn new(network: Network) -> Self {
        Self { start: vec![0.0; network.graph.runs], network, answers: false }
    }
}

/// Vectors of the solve in progress. Those over edges hold the runs first, then the ties.
#[derive(Clone, Debug, Default)]
struct Work {
    inflow: Vec<f64>,
    /// Σ inflow and Σ |inflow| of each component, at its lowest-numbered junction.
    component_inflow: Vec<(f64, f64)>,
    /// Net flow that enters each junction from outside.
    outside: Vec<f64>,
    base: Vec<f64>,
    flows: Vec<f64>,
    falls: Vec<f64>,
    slopes: Vec<f64>,
    cross: Vec<f64>,
    change: Vec<f64>,
    /// The start, balanced.
    start: Vec<f64>,
    /// Fall and slope × flow of every edge, without their signs.
    sizes: Vec<f64>,
    balanced: bool,
    anchor: Vec<f64>,
    /// Inertia over time step that is added to every slope while flows are followed in time.
    shift: f64,
    factored: bool,
    iterations: usize,
    /// Iterations at which the search from the present start ends.
    granted: usize,
    evaluations: usize,
    worst: Worst,
    history: Vec<Residual>,
    /// Starts tried so far.
    starts: usize,
}

/// The loop that is furthest from closing.
#[derive(Clone, Copy, Debug, Default)]
struct Worst {
    run: Option<usize>,
    closure: f64,
    relative: f64,
}

impl Network {
    /// A network of `junctions` junctions joined by `runs`, each from its first to its second
    /// junction. Parallel runs, runs from a junction to itself, dead ends and several components
    /// are allowed. A coupling (e, f) says that the fall of run e depends on the flow of run f.
    ///
    /// # Errors
    /// When a run or a coupling names what does not exist, a coupling joins a run to itself, or
    /// there is no memory.
    pub fn new(
        junctions: usize,
        runs: &[(usize, usize)],
        couplings: &[(usize, usize)],
    ) -> Result<Self, BadNetwork> {
        let most = if couplings.is_empty() { MOST_DENSE_ALONE } else { MOST_DENSE };
        let mut network = Self::by_route(junctions, runs, couplings, most)?;
        if network.system.is_nodal() && network.loops() <= MOST_DENSE {
            let dense = Self::by_route(junctions, runs, couplings, MOST_DENSE)?;
            network.careful = Some(Box::new(Careful::new(dense)));
        }
        Ok(network)
    }

    /// The same, with dense loop equations up to `most_dense` loops.
    fn by_route(
        junctions: usize,
        runs: &[(usize, usize)],
        couplings: &[(usize, usize)],
        most_dense: usize,
    ) -> Result<Self, BadNetwork> {
        check(junctions, runs, couplings)?;
        let graph = Graph::new(junctions, runs);
        let loops = graph.loops(0, 0);
        let listed = loops <= most_dense;
        let nodal = if listed {
            None
        } else {
            let nodal = Nodal::new(junctions, runs, couplings);
            Some(Box::new(nodal.ok_or(BadNetwork::TooLarge { loops })?))
        };
        let mut canonical = Forest::new(&graph, loops, listed);
        let held = vec![false; junctions];
        let ranking: Vec<usize> = (0..runs.len()).collect();
        canonical.build(&graph, &held, &ranking);
        let mut system = LoopSystem::new(loops, nodal);
        system.take_forest(&graph, &canonical, couplings);
        let work = Work::new(&graph, couplings.len());
        Ok(Self {
            forests: Forests {
                canonical,
                chosen: Forest::new(&graph, loops, listed),
                on_canonical: true,
            },
            system,
            couplings: couplings.to_vec(),
            graph,
            ranking,
            held,
            work,
            careful: None,
        })
    }

    /// Solves for the flows at which the falls around every loop add up to zero.
    ///
    /// `inflow` is the flow that enters each junction from outside (kg/s); `held` the pressure
    /// held there from outside (Pa) or `None`, in which case flow is exchanged there as needed
    /// ([`Network::outside`]). A component without a held junction has pressure zero at its
    /// lowest-numbered junction. `flows` holds a start, which need not balance, and then the
    /// answer; `pressures` the answer. A run that no loop and no outside flow passes through
    /// carries exactly zero.
    ///
    /// The answer depends on the arguments only, not on earlier solves. Nothing is allocated,
    /// except when more junctions are held than in any solve before.
    ///
    /// # Errors
    /// See [`Reason`]. After an error `flows` and `pressures` are unchanged.
    ///
    /// # Panics
    /// When a slice has the wrong length.
    pub fn solve(
        &mut self,
        laws: &mut impl Laws,
        inflow: &[f64],
        held: &[Option<f64>],
        flows: &mut [f64],
        pressures: &mut [f64],
        settings: &Settings,
    ) -> Result<Solved, Box<Stuck>> {
        let Some(mut careful) = self.careful.take() else {
            return self.solve_one(laws, inflow, held, flows, pressures, settings);
        };
        careful.start.copy_from_slice(flows);
        let found = self.solve_one(laws, inflow, held, flows, pressures, settings);
        careful.answers = match &found {
            Ok(solved) => !self.is_sound(solved),
            Err(stuck) => stuck.reason.depends_on_start(),
        };
        let found = if careful.answers {
            flows.copy_from_slice(&careful.start);
            careful.network.solve_one(laws, inflow, held, flows, pressures, settings)
        } else {
            found
        };
        self.careful = Some(careful);
        found
    }

    /// Solves by one way.
    fn solve_one(
        &mut self,
        laws: &mut impl Laws,
        inflow: &[f64],
        held: &[Option<f64>],
        flows: &mut [f64],
        pressures: &mut [f64],
        settings: &Settings,
    ) -> Result<Solved, Box<Stuck>> {
        if !self.forests.on_canonical {
            self.system.take_forest(&self.graph, &self.forests.canonical, &self.couplings);
        }
        self.forests.on_canonical = true;
        self.work.begin(settings.max_iterations);
        if let Err(reason) = self.take(inflow, held, flows, settings) {
            return Err(Box::new(self.stuck(reason)));
        }
        assert_eq!(pressures.len(), self.graph.junctions, "one pressure for each junction");
        let mut found = self.search(laws, settings);
        for other in 0..OTHER_STARTS {
            if !found.as_ref().is_err_and(Reason::depends_on_start) {
                break;
            }
            self.start_elsewhere(other, flows);
            self.work.granted = self.work.iterations + settings.max_iterations;
            self.work.starts += 1;
            self.work.history.clear();
            found = self.search(laws, settings);
        }
        match found {
            Ok(solved) => {
                flows.copy_from_slice(&self.work.flows[..self.graph.runs]);
                self.hand_out(pressures);
                Ok(solved)
            }
            Err(reason) => {
                self.work.factored = false;
                Err(Box::new(self.stuck(reason)))
            }
        }
    }

    /// Whether an answer of the sparse way is as good as one of the dense way: laws alike enough for exact
    /// factors, one forest for all steps, and no junction with flows so small that their digits are lost.
    fn is_sound(&mut self, solved: &Solved) -> bool {
        if !self.forests.on_canonical || solved.continued || !self.system.is_exact() {
            return false;
        }
        let (runs, work) = (self.graph.runs, &mut self.work);
        let most = &mut work.change[..self.graph.junctions];
        most.fill(0.0);
        for (&(from, to), flow) in self.graph.ends[..runs].iter().zip(&work.flows) {
            most[from] = most[from].max(flow.abs());
            most[to] = most[to].max(flow.abs());
        }
        let least = LEAST_SHARE * largest(most);
        // What is exactly at rest has no digits to lose.
        most.iter().all(|flow| *flow == 0.0 || *flow >= least)
    }

    /// Net flow that enters each junction from outside in the last answer, kg/s: the inflow that
    /// was given, and what a held pressure draws in.
    pub fn outside(&self) -> &[f64] {
        &self.answering().work.outside
    }

    /// Number of loops in the last solve.
    pub fn loops(&self) -> usize {
        self.forests.current().chords.len()
    }

    /// The network whose workspace holds the last answer.
    fn answering(&self) -> &Self {
        match &self.careful {
            Some(careful) if careful.answers => &careful.network,
            _ => self,
        }
    }

    /// Checks and takes over the arguments of a solve.
    fn take(
        &mut self,
        inflow: &[f64],
        held: &[Option<f64>],
        flows: &[f64],
        settings: &Settings,
    ) -> Result<(), Reason> {
        let Graph { junctions, runs, .. } = self.graph;
        assert_eq!(inflow.len(), junctions, "one inflow for each junction");
        assert_eq!(held.len(), junctions, "one held pressure or None for each junction");
        assert_eq!(flows.len(), runs, "one flow for each run");
        if let Some(fault) = settings.fault() {
            return Err(Reason::Settings(fault));
        }
        finite(Quantity::Inflow, inflow.iter().copied())?;
        finite(Quantity::Held, held.iter().map(|pressure| pressure.unwrap_or(0.0)))?;
        finite(Quantity::Start, flows.iter().copied())?;
        self.tie(held);
        let work = &mut self.work;
        for (fall, pressure) in work.falls[runs..].iter_mut().zip(held) {
            *fall = -pressure.unwrap_or(0.0);
        }
        work.inflow.copy_from_slice(inflow);
        work.flows[..runs].copy_from_slice(flows);
        self.check_balance()?;
        self.balance_start();
        let work = &mut self.work;
        let slack = 1e-12 * largest(flows);
        let balanced = work.start.iter().zip(flows).all(|(a, b)| (a - b).abs() <= slack);
        if balanced {
            work.flows.copy_from_slice(&work.start);
        }
        work.balanced = balanced;
        Ok(())
    }

    /// Balances the flows of the start by the canonical forest, which must be in use.
    fn balance_start(&mut self) {
        self.rebase();
        let (forest, work) = (&self.forests.canonical, &mut self.work);
        self.system.read(forest, &work.flows);
        self.system.edge_flows(forest, &work.base, &mut work.start);
    }

    /// Starts the search anew, elsewhere than at the flows given: all runs along their own
    /// direction, at rest, and twice without any order.
    fn start_elsewhere(&mut self, which: usize, given: &[f64]) {
        self.forests.on_canonical = true;
        self.system.take_forest(&self.graph, &self.forests.canonical, &self.couplings);
        let size = given.iter().fold(0.1_f64, |most, flow| most.max(flow.abs()));
        for (run, flow) in self.work.flows[..self.graph.runs].iter_mut().enumerate() {
            *flow = match which {
                0 => size,
                1 => 0.0,
                // Multiples of an irrational number, less their whole part, fall anywhere.
                _ => {
                    size * (2.0 * ((run + which) as f64 * [SPREAD.0, SPREAD.1][which % 2]).fract()
                        - 1.0)
                }
            };
        }
        self.balance_start();
        self.work.balanced = false;
    }

    /// Ties the held junctions to the ground; a new forest only when they are others than before.
    fn tie(&mut self, held: &[Option<f64>]) {
        if held.iter().zip(&self.held).all(|(now, before)| now.is_some() == *before) {
            return;
        }
        for (before, now) in self.held.iter_mut().zip(held) {
            *before = now.is_some();
        }
        self.ranking.clear();
        self.ranking.extend(0..self.graph.runs);
        self.forests.canonical.build(&self.graph, &self.held, &self.ranking);
        self.system.resize(self.forests.canonical.chords.len());
        self.system.take_forest(&self.graph, &self.forests.canonical, &self.couplings);
    }

    /// A component that nothing holds has to lose what it receives.
    fn check_balance(&mut self) -> Result<(), Reason> {
        let (graph, work) = (&self.graph, &mut self.work);
        if largest(&work.inflow) == 0.0 {
            return Ok(());
        }
        work.component_inflow.fill((0.0, 0.0));
        for (&root, inflow) in graph.component.iter().zip(&work.inflow) {
            work.component_inflow[root].0 += inflow;
            work.component_inflow[root].1 += inflow.abs();
        }
        for (&root, _) in graph.component.iter().zip(&self.held).filter(|(_, held)| **held) {
            work.component_inflow[root] = (0.0, 0.0);
        }
        // Sums of flows that balance on paper differ by their rounding.
        let open = |(net, gross): &(f64, f64)| net.abs() > 1e-10 * gross;
        let Some(root) = work.component_inflow.iter().position(open) else { return Ok(()) };
        let within = graph.component.iter().enumerate().filter(|(_, of)| **of == root);
        let junctions = within.map(|(junction, _)| junction).collect();
        Err(Reason::Unbalanced { junctions, inflow_kg_s: work.component_inflow[root].0 })
    }

    /// The flows from outside, carried by the forest in use.
    fn rebase(&mut self) {
        let work = &mut self.work;
        self.forests.current_mut().tree_flows(&self.graph, &work.inflow, &mut work.base);
    }

    /// Pressures down the forest from its roots, and the flows exchanged with the outside.
    fn hand_out(&mut self, pressures: &mut [f64]) {
        let graph = &self.graph;
        let forest = self.forests.current();
        let work = &mut self.work;
        for &vertex in forest.order.iter().filter(|vertex| **vertex != graph.ground()) {
            let above = forest.parent[vertex];
            let at =
                if above == vertex || above == graph.ground() { 0.0 } else { pressures[above] };
            let fall =
                forest.branch(graph, vertex).map_or(0.0, |up| up.sign * work.falls[up.index]);
            pressures[vertex] = at - fall;
        }
        let ties = &work.flows[graph.runs..];
        for (junction, outside) in work.outside.iter_mut().enumerate() {
            let exchange = if self.held[junction] { ties[junction] } else { 0.0 };
            *outside = work.inflow[junction] + exchange;
        }
    }

    fn stuck(&self, reason: Reason) -> Stuck {
        let work = &self.work;
        let worst_run = work.worst.run;
        Stuck {
            reason,
            worst_run,
            worst_junctions: worst_run.map(|run| self.graph.ends[run]),
            worst_flow_kg_s: worst_run.map_or(0.0, |run| work.flows[run]),
            worst_closure_pa: work.worst.closure,
            residual_history: work.history.clone(),
            starts: work.starts,
            iterations: work.iterations,
            evaluations: work.evaluations,
        }
    }
}

impl Work {
    fn new(graph: &Graph, couplings: usize) -> Self {
        let edges = || vec![0.0; graph.ends.len()];
        let junctions = || vec![0.0; graph.junctions];
        Self {
            inflow: junctions(),
            component_inflow: vec![(0.0, 0.0); graph.junctions],
            outside: junctions(),
            base: edges(),
            flows: edges(),
            falls: edges(),
            slopes: edges(),
            cross: vec![0.0; couplings],
            change: edges(),
            start: edges(),
            sizes: edges(),
            anchor: edges(),
            history: Vec::with_capacity(256),
            ..Self::default()
        }
    }

    fn begin(&mut self, granted: usize) {
        self.granted = granted;
        self.shift = 0.0;
        self.factored = false;
        self.iterations = 0;
        self.evaluations = 0;
        self.worst = Worst::default();
        self.starts = 1;
        self.history.clear();
    }
}

/// The largest size among numbers; NaN when one of them is not finite.
pub(crate) fn largest(values: &[f64]) -> f64 {
    // Four at a time, so that no comparison waits for the one before.
    let (mut most, mut trace) = ([0.0_f64; 4], [0.0; 4]);
    let chunks = values.chunks_exact(4);
    let rest = chunks.remainder();
    for chunk in chunks {
        for lane in 0..4 {
            let size = chunk[lane].abs();
            most[lane] = if size > most[lane] { size } else { most[lane] };
            trace[lane] += size * 0.0;
        }
    }
    for (lane, value) in rest.iter().enumerate() {
        let size = value.abs();
        most[lane] = if size > most[lane] { size } else { most[lane] };
        trace[lane] += size * 0.0;
    }
    let most = most[0].max(most[1]).max(most[2].max(most[3]));
    // Zero where all are finite.
    most + (trace[0] + trace[1] + trace[2] + trace[3])
}

fn check(
    junctions: usize,
    runs: &[(usize, usize)],
    couplings: &[(usize, usize)],
) -> Result<(), BadNetwork> {
    for (run, &(from, to)) in runs.iter().enumerate() {
        if let Some(junction) = [from, to].into_iter().find(|end| *end >= junctions) {
            return Err(BadNetwork::NoSuchJunction { run, junction });
        }
    }
    for (coupling, &(of, on)) in couplings.iter().enumerate() {
        if let Some(run) = [of, on].into_iter().find(|run| *run >= runs.len()) {
            return Err(BadNetwork::NoSuchRun { coupling, run });
        }
        if of == on {
            return Err(BadNetwork::SelfCoupling { coupling });
        }
    }
    Ok(())
}

fn finite(quantity: Quantity, values: impl Iterator<Item = f64>) -> Result<(), Reason> {
    match values.enumerate().find(|(_, value)| !value.is_finite()) {
        Some((index, _)) => Err(Reason::NotFinite { quantity, index, flow_kg_s: None }),
        None => Ok(()),
    }
}

#[cfg(test)]
mod tests;
