//! Why a case could not be solved, in words, and what to try.

use coolwright_cases::quantity::Kind;
use coolwright_models::air::CoreError;
use coolwright_models::charge::ChargeError;
use coolwright_models::fluids::FluidError;
use coolwright_models::ids::Id;
use coolwright_models::model::Model;
use coolwright_models::parts::PASS_CELLS;
use coolwright_models::simulate::{PrepareError, StateOf};
use coolwright_models::solve::{NoBalance, SolveError, Suspect};
use coolwright_solver::network::{Quantity, Reason};

use crate::answer::{Form, Sentence, Value};
use crate::say;

/// What to try where nothing stands out.
const LOOK: &str =
    "look at that run for a slip in a bore, a length or a curve; `check` shows what was read";

/// Steps of the search that are told.
const STEPS: usize = 4;
/// Suspects that are told.
const SUSPECTS: usize = 3;

/// What is wrong.
pub fn sentence(model: &Model, error: &SolveError) -> Sentence {
    match error {
        SolveError::Prepare(error) => prepare(model, error),
        SolveError::Flows { what, no_balance } => {
            let path = model.address(*what);
            let what = match what {
                Id::AirPath(a) => format!("the air path `{}`", model.air_paths[*a].name),
                _ => format!("the circuit `{path}`"),
            };
            flows(model, &what, no_balance)
        }
        SolveError::Cycle { at_s, failure } => say!(
            "the duty cycle cannot be followed beyond {at}: {why}",
            at = Value::formed(Kind::Time, *at_s, Form::Decimals(1)),
            why = failure.to_string(),
        ),
        SolveError::NoSteadyState { what, rate_k_s, .. } => say!(
            "there is no steady state: {what} changes by {rate}/s at the start and goes on, because the heat \
             that comes in has no way out at these flows",
            what = state(model, *what),
            rate = Value::formed(Kind::TemperatureDifference, *rate_k_s, Form::Decimals(3)),
        ),
        SolveError::Chatters { machine, at_s } => say!(
            "the switch of `{machine}` goes on and off again and again at {at}: what it feels jumps past where it goes \
             off as soon as it is on",
            machine = model.address(*machine),
            at = Value::clock(*at_s)
        ),
        SolveError::Interrupted => "interrupted".into(),
    }
}

/// What a state describes.
fn state(model: &Model, what: StateOf) -> Sentence {
    let name = model.address(what.id());
    match what {
        StateOf::Coolant(Id::Junction(..)) => say!("the coolant at `{name}`", name = name),
        StateOf::Coolant(_) => say!("the coolant in `{name}`", name = name),
        StateOf::Wall(_) => say!("the wall of `{name}`", name = name),
        StateOf::Metal(_) => say!("the metal of `{name}`", name = name),
        StateOf::Gauge(_) => say!("the reading of `{name}`", name = name),
        StateOf::Own(_, what) => say!("the {what} in `{name}`", what = what, name = name),
    }
}

/// Which number is out of range.
fn prepare(model: &Model, error: &PrepareError) -> Sentence {
    match error {
        PrepareError::Coolant { circuit, error } => say!(
            "the coolant of `{circuit}`: {why}",
            circuit = model.address(Id::Circuit(*circuit)),
            why = fluid(error)
        ),
        PrepareError::Core { core, error } => {
            say!("`{core}`: {why}", core = model.address(Id::Core(*core)), why = rating(error))
        }
        PrepareError::Charge { body, error } => say!(
            "the charge side of `{cooler}`: {why}",
            cooler = model.address(Id::Body(*body)),
            why = charge(error)
        ),
        PrepareError::Site(error) => say!("the site: {why}", why = fluid(error)),
    }
}

fn fluid(error: &FluidError) -> Sentence {
    let FluidError::OutOfRange { quantity, value, lowest, highest, kind } = error;
    let told = |si: f64| Value::formed(*kind, si, Form::Full);
    say!(
        "{quantity} of {value} is outside {lowest} to {highest}",
        quantity = *quantity,
        value = told(*value),
        lowest = told(*lowest),
        highest = told(*highest),
    )
}

fn charge(error: &ChargeError) -> Sentence {
    match error {
        ChargeError::TooEffective { told, most } => say!(
            "an effectiveness of {told} is more than a charge cooler of any size reaches with the flows of its \
             rating: {most} is the most",
            told = Value::percent(*told, 1),
            most = Value::percent(most.max(0.0), 1),
        ),
        ChargeError::FilmTooPoor { film, least } => {
            let cell = |w_k: f64| Value::formed(Kind::Conductance, w_k, Form::Full);
            say!(
                "the film of its passes, {film} in each of their {cells} cells at the coolant flow of the rating, \
                 resists more than the rated effectiveness leaves for both sides: it must be above {least}; give it a \
                 `film_factor` for its fins, or leave `film`, `film_factor` and `tubes` out, so that it follows from \
                 the rating",
                film = cell(*film),
                cells = PASS_CELLS,
                least = cell(*least),
            )
        }
    }
}

fn rating(error: &CoreError) -> Sentence {
    match error {
        CoreError::TooMuchHeat { heat_w, most_w, any_w } => {
            let heat = |w: f64| Value::formed(Kind::HeatRate, w, Form::Decimals(1));
            say!(
                "the rated heat of {heat} is more than a core of any size gives at these flows and temperatures: \
                 the most is {most} in cross-flow with the air unmixed and the coolant mixed, which is what is \
                 counted here, and {any} at most in any other arrangement (counterflow, both fluids unmixed)",
                heat = heat(*heat_w),
                most = heat(*most_w),
                any = heat(*any_w),
            )
        }
        CoreError::NotPositive(what) => say!("the rated {what} must be above zero", what = *what),
        CoreError::Dimensions(what) => say!("it cannot be worked out: {what}", what = *what),
    }
}

/// Says which flows found no balance, and where they are furthest from one.
fn flows(model: &Model, what: &str, no_balance: &NoBalance) -> Sentence {
    let NoBalance { run, between, stuck, .. } = no_balance;
    let run = run.map(|run| match run {
        Id::AirPath(_) => "the cores".to_owned(),
        Id::Fan(a, fan) => model.air_paths[a].fans[fan].name.clone(),
        run => model.address(run),
    });
    let between = between.map(|ends| ends.map(|end| model.address(end)));
    let head = match (&stuck.reason, &run) {
        (
            Reason::NotFinite { quantity: Quantity::Fall | Quantity::Slope, flow_kg_s, .. },
            Some(run),
        ) => {
            return say!(
                "the pressure law of the run `{run}` gives no number at {flow}, so the flows of {what} cannot \
                 be found",
                run = run,
                flow = Value::formed(Kind::MassFlow, flow_kg_s.unwrap_or(0.0), Form::Full),
                what = what,
            );
        }
        (Reason::Iterations | Reason::Restless, _) => {
            say!("no balance of the flows of {what} was found", what = what)
        }
        (Reason::Unstable, _) => say!(
            "the flows of {what} depart by themselves from every balance that was found",
            what = what
        ),
        _ => {
            return say!(
                "the flows of {what} cannot be found: {why}",
                what = what,
                why = stuck.to_string()
            );
        }
    };
    let furthest = run.as_ref().map_or_else(
        || Sentence::from(""),
        |run| say!("; furthest from one is the run `{run}`", run = run),
    );
    let ends = between.as_ref().map_or_else(
        || Sentence::from(""),
        |[from, to]| say!(" from `{from}` to `{to}`", from = from, to = to),
    );
    say!("{head}{furthest}{ends}", head = head, furthest = furthest, ends = ends)
}

/// What to try, the last resort last.
pub fn helps(model: &Model, error: &SolveError) -> Vec<Sentence> {
    let mut helps = stuck(model, error);
    let last = match error {
        SolveError::Prepare(_) => "check the numbers of that part",
        SolveError::Flows { .. } => LOOK,
        SolveError::NoSteadyState { .. } => {
            "give the heat a way out (flow through a core, fans or road speed), or ask `cycle` how long \
             it lasts"
        }
        SolveError::Cycle { .. } => "shorten the phases, or check the values that the phase sets",
        SolveError::Chatters { .. } => {
            "set its `on` and `off` further apart than what the machine itself makes it feel"
        }
        SolveError::Interrupted => "nothing was written",
    };
    helps.push(last.into());
    helps
}

/// Of flows that found no balance: the last steps, and what may be the cause.
pub fn stuck(model: &Model, error: &SolveError) -> Vec<Sentence> {
    let SolveError::Flows { no_balance, .. } = error else { return Vec::new() };
    let NoBalance { suspects, stuck, .. } = &**no_balance;
    // What is far below any gauge is told here too.
    let told = |kind, si: f64| Value::formed(kind, si, Form::Full);
    let history = &stuck.residual_history;
    let last = &history[history.len().saturating_sub(STEPS)..];
    let mut helps = Vec::new();
    if stuck.worst_run.is_some() && !last.is_empty() {
        let left = last.iter().map(|step| told(Kind::PressureDifference, step.closure_pa.abs()));
        let moved = last.iter().map(|step| told(Kind::MassFlow, step.change_kg_s));
        helps.push(say!(
            "after {steps} steps from {starts} starts, the falls around the worst loop were left open by {left} in \
             the last steps, which called for changes of flow up to {moved}; that run then carried {flow}",
            steps = stuck.iterations,
            starts = stuck.starts,
            left = Value::list(left, ", "),
            moved = Value::list(moved, ", "),
            flow = told(Kind::MassFlow, stuck.worst_flow_kg_s),
        ));
    }
    helps.extend(suspects.iter().take(SUSPECTS).map(|suspect| what_to_try(model, suspect)));
    helps
}

fn what_to_try(model: &Model, suspect: &Suspect) -> Sentence {
    match suspect {
        Suspect::NextToShut { part } => say!(
            "`{part}` is next to shut: open it further, or leave its run out",
            part = model.address(*part)
        ),
        Suspect::RisingHead { pump } => say!(
            "the head of `{pump}` rises with flow, so its flow may hunt: check its curve, or let it work \
             beyond its highest point, with a by-pass if need be",
            pump = model.address(*pump)
        ),
        Suspect::BoresApart { junction } => say!(
            "the bores of the tee `{junction}` are further apart than its formulas were measured at: see \
             whether it goes with a plain joint there, `Joint()`",
            junction = model.address(*junction)
        ),
    }
}
