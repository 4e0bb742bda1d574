//! What can be asked of a solve, and what it answers.

use std::fmt;

/// How far to go. Every setting has a default that suits quantities in SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Loop closure: |Σ falls| around a loop, over Σ (|fall| + |slope · flow|) around it.
    /// Default 1e-10, accepted 1e-14 to 1e-2. The second term keeps the measure meaningful where
    /// large parts of one run's fall cancel, as a source and a resistance in the same run do.
    pub closure: f64,
    /// Change of a flow in the last step over the largest flow. Default 1e-10, accepted 1e-14 to
    /// 1e-2.
    pub change: f64,
    /// A closure below this is closed, Pa. Default 1e-9: the rounding of a sum of 1e6 Pa.
    pub fall_floor_pa: f64,
    /// A change of flow below this is no change, kg/s. Default 1e-12: it ends the halving of
    /// steps in a circuit of quadratic resistances at rest.
    pub flow_floor_kg_s: f64,
    /// Linear systems solved before giving up from one start; where that comes to nothing, four
    /// other starts are tried. Default 400, at least 1. A circuit of hoses and pumps takes 6 to 12.
    pub max_iterations: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            closure: 1e-10,
            change: 1e-10,
            fall_floor_pa: 1e-9,
            flow_floor_kg_s: 1e-12,
            max_iterations: 400,
        }
    }
}

impl Settings {
    pub(super) fn fault(&self) -> Option<&'static str> {
        let share = |x: f64| (1e-14..=1e-2).contains(&x);
        let floor = |x: f64| x.is_finite() && x >= 0.0;
        if !share(self.closure) {
            Some("closure must lie between 1e-14 and 1e-2")
        } else if !share(self.change) {
            Some("change must lie between 1e-14 and 1e-2")
        } else if !floor(self.fall_floor_pa) || !floor(self.flow_floor_kg_s) {
            Some("the floors must be finite and not negative")
        } else if self.max_iterations == 0 {
            Some("max_iterations must be at least 1")
        } else {
            None
        }
    }
}

/// Whether small departures from the answer die out, if every run carries inertia.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stability {
    /// They do: the symmetric part of the loop matrix is positive definite.
    Stable,
    /// Not proved: couplings make the loop matrix indefinite in its symmetric part, though its
    /// determinant is positive (in a network of more than 150 loops that is not looked at), or
    /// so large a network has more than 1000 couplings and falling laws.
    Undecided,
}

/// An answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Solved {
    /// Linear systems solved.
    pub iterations: usize,
    /// Sweeps over the laws.
    pub evaluations: usize,
    /// Largest loop closure, as far as it is above the floor, relative to its scale (see
    /// [`Settings::closure`]), before the last correction was applied.
    pub residual: f64,
    /// Whether the plain Newton method did not suffice and the flows were followed in time.
    pub continued: bool,
    /// Whether the loop matrix was singular at the answer: around some loop the laws do not
    /// determine the flow, and its starting value stands.
    pub undetermined: bool,
    /// Whether small departures die out.
    pub stability: Stability,
}

/// What made a law's answer or an input unusable.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// The fall along a run, by its law.
    Fall,
    /// The slope of a run's law.
    Slope,
    /// A derivative with respect to another run's flow; the number is that of the coupling.
    Cross,
    /// The starting flow of a run.
    Start,
    /// The flow that enters a junction from outside.
    Inflow,
    /// The pressure held at a junction.
    Held,
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Fall => "fall of run",
            Self::Slope => "slope of run",
            Self::Cross => "derivative of coupling",
            Self::Start => "starting flow of run",
            Self::Inflow => "inflow of junction",
            Self::Held => "held pressure of junction",
        })
    }
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// A setting is outside its accepted range.
    Settings(&'static str),
    /// A number is infinite or not a number.
    NotFinite {
        /// What it is.
        quantity: Quantity,
        /// Number of the run, coupling or junction.
        index: usize,
        /// Flow of the run at the time, kg/s, where there is one.
        flow_kg_s: Option<f64>,
    },
    /// Flow enters junctions that nothing holds, and does not leave again.
    Unbalanced {
        /// The junctions of the component.
        junctions: Vec<usize>,
        /// Net flow that enters it, kg/s.
        inflow_kg_s: f64,
    },
    /// The iterations ran out.
    Iterations,
    /// Every crossing found is one from which the flows depart by themselves.
    Unstable,
    /// The flows followed in time come to no rest.
    Restless,
}

impl Reason {
    /// Whether another start may lead to an answer.
    pub(super) fn depends_on_start(&self) -> bool {
        matches!(self, Self::Iterations | Self::Unstable | Self::Restless)
    }
}

/// How far one step of a search had come.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Residual {
    /// Closure of the loop that was furthest from closing, Pa.
    pub closure_pa: f64,
    /// The same beyond the floor, over its scale (see [`Settings::closure`]).
    pub relative: f64,
    /// Largest change of a flow that was then called for, kg/s.
    pub change_kg_s: f64,
}

/// There is no answer: why, and where it is worst.
#[derive(Clone, Debug, PartialEq)]
pub struct Stuck {
    /// Why.
    pub reason: Reason,
    /// The run whose loop is furthest from closing.
    pub worst_run: Option<usize>,
    /// The junctions that this run joins.
    pub worst_junctions: Option<(usize, usize)>,
    /// Flow of that run, kg/s.
    pub worst_flow_kg_s: f64,
    /// Closure of its loop, Pa.
    pub worst_closure_pa: f64,
    /// What each iteration found, from the last start (the last 256 at most).
    pub residual_history: Vec<Residual>,
    /// Starts that were tried.
    pub starts: usize,
    /// Linear systems solved.
    pub iterations: usize,
    /// Sweeps over the laws.
    pub evaluations: usize,
}

impl fmt::Display for Stuck {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.reason {
            Reason::Settings(fault) => return f.write_str(fault),
            Reason::NotFinite { quantity, index, flow_kg_s } => {
                write!(f, "the {quantity} {index} is not a finite number")?;
                return match flow_kg_s {
                    Some(flow) => write!(f, " at a flow of {flow} kg/s"),
                    None => Ok(()),
                };
            }
            Reason::Unbalanced { junctions, inflow_kg_s } => {
                return write!(
                    f,
                    "{inflow_kg_s} kg/s enter the junctions {junctions:?} and cannot leave: \
                     hold a pressure there or balance the inflow"
                );
            }
            Reason::Iterations => write!(f, "no balance after {} iterations", self.iterations)?,
            Reason::Unstable => f.write_str("only an unstable balance was found")?,
            Reason::Restless => f.write_str("the flows come to no rest")?,
        }
        if let Some(run) = self.worst_run {
            let (flow, closure) = (self.worst_flow_kg_s, self.worst_closure_pa);
            write!(
                f,
                "; furthest from balance is the loop of run {run}: {closure:.3e} Pa at {flow:.3e} kg/s"
            )?;
        }
        Ok(())
    }
}

impl std::error::Error for Stuck {}

/// The topology cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BadNetwork {
    /// A run ends at a junction that does not exist.
    NoSuchJunction {
        /// The run.
        run: usize,
        /// The junction it names.
        junction: usize,
    },
    /// A coupling names a run that does not exist.
    NoSuchRun {
        /// The coupling.
        coupling: usize,
        /// The run it names.
        run: usize,
    },
    /// A coupling of a run with itself: that derivative is the slope.
    SelfCoupling {
        /// The coupling.
        coupling: usize,
    },
    /// There is no memory for the factors of the pressures.
    TooLarge {
        /// Loops of this network.
        loops: usize,
    },
}

impl fmt::Display for BadNetwork {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchJunction { run, junction } => {
                write!(f, "run {run} ends at junction {junction}, which does not exist")
            }
            Self::NoSuchRun { coupling, run } => {
                write!(f, "coupling {coupling} names run {run}, which does not exist")
            }
            Self::SelfCoupling { coupling } => {
                write!(f, "coupling {coupling} couples a run with itself")
            }
            Self::TooLarge { loops } => {
                write!(f, "no memory for a network of {loops} loops")
            }
        }
    }
}

impl std::error::Error for BadNetwork {}
