//! The commands: one file each.

mod check;
mod compare;
mod cycle;
mod new;
mod point;

use std::io::IsTerminal;

use coolwright_cases::diagnostic::{Problem, Problems};
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::UnitSystem;
use coolwright_cases::text::Span;
use coolwright_models::results::Catalogue;
use coolwright_models::simulate::Simulator;
use coolwright_models::solve::SolveError;
use coolwright_models::warnings::{Warning, warnings};

use crate::cli::{Asked, Cli, Command};
use crate::load::{Loaded, Refused, load};
use crate::study::{Judged, Limit, ReadyTarget, built_in, ready_targets, resolve};
use crate::write::{Style, text, to_stdout};

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// All limits hold.
    Holds,
    /// Some limit is broken.
    Broken,
    /// The case could not be read or solved.
    Failed,
}

impl Outcome {
    /// The exit status.
    pub fn code(self) -> u8 {
        match self {
            Self::Holds => 0,
            Self::Broken => 1,
            Self::Failed => 2,
        }
    }

    /// From limits.
    pub fn of<'a>(judged: impl IntoIterator<Item = &'a Judged>) -> Self {
        if judged.into_iter().all(Judged::holds) { Self::Holds } else { Self::Broken }
    }
}

/// Runs a command: prints its answer, or says what is wrong.
pub fn run(cli: &Cli) -> Outcome {
    let result = match &cli.command {
        Command::New(args) => new::run(args),
        Command::Check(args) => check::run(args),
        Command::Point(args) => point::run(args),
        Command::Cycle(args) => cycle::run(args),
        Command::Compare(args) => compare::run(args),
    };
    match result {
        Ok(outcome) => outcome,
        Err(Refused(message)) => {
            let message = message.trim_end();
            eprintln!("{message}");
            Outcome::Failed
        }
    }
}

/// Whether standard error may have colour.
fn color_for_errors() -> bool {
    allowed() && std::io::stderr().is_terminal()
}

/// Colour is off where `NO_COLOR` is set to anything.
fn allowed() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// The style of an answer.
fn style(asked: &Asked) -> Style {
    let color = allowed() && std::io::stdout().is_terminal();
    Style { units: asked.units.into(), color }
}

/// Prints an answer.
fn print(text: &str) -> Result<(), Refused> {
    to_stdout(text).map_err(|why| Refused(format!("error: {why}")))
}

/// A case that is built and whose limits are resolved.
struct Prepared {
    loaded: Loaded,
    ready: Ready,
    limits: Vec<Limit>,
    targets: Vec<ReadyTarget>,
    catalogue: Catalogue,
    units: UnitSystem,
}

impl Prepared {
    /// Reads and builds a case, or a variant of it.
    fn new(asked: &Asked, variant: Option<&str>) -> Result<Self, Refused> {
        let loaded = load(&asked.case, color_for_errors())?;
        Self::of(loaded, variant, asked.units.into())
    }

    /// Builds a case that has been read.
    fn of(loaded: Loaded, variant: Option<&str>, units: UnitSystem) -> Result<Self, Refused> {
        let ready = loaded.build(variant, color_for_errors())?;
        let catalogue = catalogue(&loaded, &ready)?;
        let mut problems = Problems::new();
        let mut limits = resolve(&ready.limits, &catalogue, &mut problems);
        limits.extend(built_in(&catalogue));
        let targets = ready_targets(&ready.duty.ready, &catalogue, &mut problems);
        if problems.has_errors() {
            return Err(Refused(problems.render(&loaded.sources, color_for_errors())));
        }
        Ok(Self { loaded, ready, limits, targets, catalogue, units })
    }

    /// What is said where the case could not be solved.
    fn unsolved(&self, error: &SolveError) -> Refused {
        unsolved(&self.loaded, &self.ready, (error, self.units))
    }
}

/// The catalogue of a case, before anything is solved.
fn catalogue(loaded: &Loaded, ready: &Ready) -> Result<Catalogue, Refused> {
    let simulator = Simulator::new(&ready.model, ready.model.values.clone()).map_err(|error| {
        unsolved(loaded, ready, (&SolveError::prepare(&ready.model, error), UnitSystem::Metric))
    })?;
    Ok(Catalogue::of(&simulator))
}

/// What is said where a case could not be solved: with the places in the file of what is named.
fn unsolved(loaded: &Loaded, ready: &Ready, (error, units): (&SolveError, UnitSystem)) -> Refused {
    let mut helps = text::stuck(&Style { units, color: false }, error);
    let help = match error {
        SolveError::Prepare { .. } => "check the numbers of that part",
        SolveError::Flows { .. } => text::LOOK,
        SolveError::Backwards { .. } => {
            "turn the run round (`from` and `to`), stop the other pump, or give it a check valve"
        }
        SolveError::NoSteadyState { .. } => {
            "give the heat a way out (flow through a core, fans or road speed), or ask `cycle` how long \
             it lasts"
        }
        SolveError::Cycle { .. } => "shorten the phases, or check the values that the phase sets",
        SolveError::Interrupted => "nothing was written",
    };
    let message = error.to_string();
    // Messages set addresses in back-quotes.
    let mut places: Vec<Span> = Vec::new();
    for name in message.split('`').skip(1).step_by(2) {
        places.extend(place_of(ready, name).filter(|place| !places.contains(place)));
    }
    let stopped = stopped_circuits(ready);
    let still = match error {
        SolveError::NoSteadyState { .. } if !stopped.is_empty() => {
            Some(format!("all pumps are stopped in: {}", stopped.join(", ")))
        }
        SolveError::NoSteadyState { .. } => held_still(ready),
        _ => None,
    };
    helps.extend(still);
    helps.push(help.to_owned());
    let Some((first, others)) = places.split_first() else {
        let helps: String = helps.iter().map(|help| format!("help: {help}\n")).collect();
        return Refused(format!("error: {message}\n{helps}"));
    };
    let mut problem = Problem::error(*first, message.as_str());
    for help in helps {
        problem = problem.help(help);
    }
    for other in others {
        problem = problem.also(*other, "and this");
    }
    let mut problems = Problems::new();
    problems.push(problem);
    Refused(problems.render(&loaded.sources, color_for_errors()))
}

/// Says where pumps turn and nothing flows, at the temperatures of the start.
fn held_still(ready: &Ready) -> Option<String> {
    let mut simulator = Simulator::new(&ready.model, ready.model.values.clone()).ok()?;
    let start = simulator.start();
    simulator.evaluate(&start).ok()?;
    let held = warnings(&simulator, &start).into_iter().filter_map(|warning| match warning {
        Warning::Still { circuit, turns: true } => Some(circuit),
        _ => None,
    });
    let held: Vec<String> = held.collect();
    let why = "they push against each other, or the only way is shut (`check` says which)";
    (!held.is_empty())
        .then(|| format!("pumps turn and nothing flows in: {}; {why}", held.join(", ")))
}

/// Circuits whose pumps all stand still as the case is written.
fn stopped_circuits(ready: &Ready) -> Vec<&str> {
    let circuits = ready.model.circuits.iter().filter(|circuit| {
        let parts = circuit.runs.iter().flat_map(|run| &run.parts);
        let mut pumps = parts.filter_map(|placed| placed.part.as_pump()).peekable();
        let some = pumps.peek().is_some();
        some && !pumps.any(|pump| pump.turns(&ready.model.values))
    });
    circuits.map(|circuit| circuit.name.as_str()).collect()
}

/// Where the thing of an address stands in the file: also one of several under one name.
fn place_of(ready: &Ready, address: &str) -> Option<Span> {
    let whole = address.split(':').next().unwrap_or(address);
    let one = whole.rsplit_once('.').map(|(name, _)| name);
    [Some(whole), one].into_iter().flatten().find_map(|name| ready.places.get(name).copied())
}
