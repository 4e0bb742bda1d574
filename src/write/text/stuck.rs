//! Why flows were not found, in text: the last steps of the search, and what to try.

use coolwright_cases::quantity::{Kind, show};
use coolwright_models::solve::{NoBalance, SolveError, Suspect};

use crate::write::Style;

/// What to try where nothing stands out.
pub const LOOK: &str =
    "look at that run for a slip in a bore, a length or a curve; `check` shows what was read";

/// Steps of the search that are told.
const STEPS: usize = 4;
/// Suspects that are told.
const SUSPECTS: usize = 3;

/// Helps for flows that found no balance, the last steps first; nothing for other errors.
pub fn stuck(style: &Style, error: &SolveError) -> Vec<String> {
    let SolveError::Flows { no_balance, .. } = error else { return Vec::new() };
    let NoBalance { suspects, stuck, .. } = &**no_balance;
    // Not `Style::quantity`: what is far below any gauge is told here too.
    let told = |kind, si: f64| show(kind, si, style.units).to_string();
    let history = &stuck.residual_history;
    let last = &history[history.len().saturating_sub(STEPS)..];
    let mut helps = Vec::new();
    if stuck.worst_run.is_some() && !last.is_empty() {
        let pressure = |pa: f64| told(Kind::PressureDifference, pa.abs());
        let left: Vec<String> = last.iter().map(|step| pressure(step.closure_pa)).collect();
        let change = |step: f64| told(Kind::MassFlow, step);
        let moved: Vec<String> = last.iter().map(|step| change(step.change_kg_s)).collect();
        helps.push(format!(
            "after {} steps from {} starts, the falls around the worst loop were left open by {} in the \
             last steps, which called for changes of flow up to {}; that run then carried {}",
            stuck.iterations,
            stuck.starts,
            left.join(", "),
            moved.join(", "),
            told(Kind::MassFlow, stuck.worst_flow_kg_s),
        ));
    }
    helps.extend(suspects.iter().take(SUSPECTS).map(what_to_try));
    helps
}

fn what_to_try(suspect: &Suspect) -> String {
    match suspect {
        Suspect::NextToShut { part } => {
            format!("`{part}` is next to shut: open it further, or leave its run out")
        }
        Suspect::RisingHead { pump } => format!(
            "the head of `{pump}` rises with flow, so its flow may hunt: check its curve, or let it work \
             beyond its highest point, with a by-pass if need be"
        ),
        Suspect::BoresApart { junction } => format!(
            "the bores of the tee `{junction}` are further apart than its formulas were measured at: see \
             whether it goes with a plain joint there, `Joint()`"
        ),
    }
}
