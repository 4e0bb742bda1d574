//! What stands out in a case's plumbing, with the reason and what to do: few and sorted.
//!
//! Every check sees the case as it starts, with its pumps as the case sets them, and where there is
//! one its operating point. Thresholds that nothing published backs say so where they stand, and in
//! the finding.

mod bends;
mod bounds;
mod bypasses;
mod directions;
mod gauges;
pub(in crate::study) mod heights;
pub(in crate::study) mod ice;
mod machines;
mod phases;
mod pressures;
pub(in crate::study) mod profile;
mod pumps;
mod room;
mod round;
mod sizes;
mod slips;
mod still;
pub(in crate::study) mod straights;
mod suction;
mod variants;
mod velocity;
pub(in crate::study) mod view;

use coolwright_cases::lower::Ready;
use coolwright_models::point::OperatingPoint;
use coolwright_models::results::Results;
use coolwright_models::simulate::Simulator;
use coolwright_models::slots::Values;
use coolwright_models::solve::SolveError;

pub use variants::variant_with_faults;
use view::View;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// It will not work like this.
    Serious,
    /// It works, and costs flow, margin or a part before its time.
    Warning,
    /// A good builder does it otherwise.
    Advice,
}

impl Findings {
    /// Whether something will not work as the case stands.
    pub fn serious(&self) -> bool {
        self.list.iter().any(|finding| finding.severity == Severity::Serious)
    }
}

impl Severity {
    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Serious => "serious",
            Self::Warning => "warning",
            Self::Advice => "advice",
        }
    }
}

/// Something that stands out.
#[derive(Clone, Debug)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Whether it is said beside a verdict that holds, which it does not change. What is serious takes the right
    /// from one unless this says that a limit judges it already.
    pub beside: bool,
    /// What kind of thing it is, in a word or two.
    pub subject: &'static str,
    /// Addresses of the parts, junctions or gauges that it is about.
    pub places: Vec<String>,
    /// What was found, with its numbers as [`coolwright_cases::quantity::spoken`] puts them.
    pub what: String,
    /// Why it matters, in the same way.
    pub why: String,
    /// What to do about it, in the same way.
    pub remedy: String,
}

/// What stands out in a case.
#[derive(Clone, Debug, Default)]
pub struct Findings {
    /// The most serious first.
    pub list: Vec<Finding>,
    /// What could not be looked at, and why.
    pub statements: Vec<String>,
}

/// Solves the flows at the start, and lists what stands out there and at an operating point, where one is
/// given: what only the heat shows is left out else.
///
/// # Errors
/// When the flows do not come to rest.
pub fn findings(ready: &Ready, point: Option<&OperatingPoint>) -> Result<Findings, SolveError> {
    let start = at_start(ready, ready.model.values.clone())?;
    let view = View::new(ready, &start, point);
    let mut found = Findings::default();
    // What is dead first: the other checks see what follows from it.
    machines::check(&view, &mut found);
    still::check(&view, &mut found);
    phases::check(&view, &mut found);
    room::check(&view, &mut found);
    round::check(&view, &mut found);
    ice::check(&view, &mut found);
    pressures::check(&view, &mut found);
    slips::check(&view, &mut found);
    sizes::check(&view, &mut found);
    bounds::check(&view, &mut found);
    heights::check(&view, &mut found);
    pumps::check(&view, &mut found);
    bypasses::check(&view, &mut found);
    suction::check(&view, &mut found);
    directions::check(&view, &mut found);
    velocity::check(&view, &mut found);
    bends::check(&view, &mut found);
    gauges::check(&view, &mut found);
    // Findings of the same weight stay in the order of the checks, which is that of their weight.
    found.list.sort_by_key(|finding| finding.severity);
    Ok(found)
}

/// The same for who asks something else: that the layout could not be looked at is a finding too.
pub fn looked_at(ready: &Ready, point: Option<&OperatingPoint>) -> Findings {
    findings(ready, point).unwrap_or_else(|_| Findings {
        list: vec![Finding {
            severity: Severity::Warning,
            beside: false,
            subject: "layout not looked at",
            places: Vec::new(),
            what: "the flows at the start do not come to rest, so the layout was not looked at"
                .to_owned(),
            why: "what stands out in it is not known".to_owned(),
            remedy: "run `check`".to_owned(),
        }],
        statements: Vec::new(),
    })
}

/// The results at the temperatures of the start with these numbers, thermostats open as hot coolant opens them.
pub(in crate::study) fn at_start(ready: &Ready, values: Values) -> Result<Results, SolveError> {
    let model = &ready.model;
    let mut simulator = Simulator::new(model, values).map_err(SolveError::Prepare)?;
    let mut start = simulator.start();
    simulator.open(&mut start);
    simulator.evaluate(&start).map_err(|e| SolveError::unsettled(&simulator.setup, e))?;
    Ok(Results::read(&simulator, &start))
}
