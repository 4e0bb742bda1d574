//! Reading and solving cases for the tests, with what must hold in every one of them: mass at every
//! junction, and energy at every operating point and over every cycle.

// Each test program uses its own part of this.
#![allow(dead_code, reason = "each test program uses a part of it")]

pub(crate) mod hose_grid;
pub(crate) mod laws;
pub(crate) mod printed;
pub(crate) mod reasons;
pub(crate) mod written;

use coolwright::render::Style;
use coolwright::words::warnings;
use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::UnitSystem;
use coolwright_cases::text::Sources;
use coolwright_models::charge::StageKind;
use coolwright_models::circuit::Joint;
use coolwright_models::cycle::{History, Phase, duty_cycle};
use coolwright_models::ids::Id;
use coolwright_models::model::Model;
use coolwright_models::parts::HeatPartner;
use coolwright_models::point::{OperatingPoint, operating_point};
use coolwright_models::results::Results;
use coolwright_models::results::quantities::BALANCE;
use coolwright_models::simulate::Simulator;
use coolwright_models::slots::{Slot, Values};

/// The text of a file that a case includes: beside the demo cases, or beside those of the guide.
pub(crate) fn included(name: &str) -> Result<String, String> {
    let at = |folder: &str| {
        std::fs::read_to_string(format!("{}/{folder}/{name}", env!("CARGO_MANIFEST_DIR")))
    };
    at("cases").or_else(|_| at("cases/guide")).map_err(|error| error.to_string())
}

/// Reads a case, or a variant of it, that must be free of faults.
pub(crate) fn read_variant(text: &str, variant: Option<&str>) -> Ready {
    with_reading(text, |reading, sources, problems| match variant {
        None => reading.build(problems),
        Some(name) => reading.build_variant(sources, name, problems),
    })
    .expect("a case without faults is ready")
}

/// Names of the variants of a case that must be free of faults.
pub(crate) fn variants(text: &str) -> Vec<String> {
    with_reading(text, |reading, _, _| reading.variants().map(str::to_owned).collect())
}

/// What is made of a case that must be free of faults.
fn with_reading<T>(text: &str, make: impl FnOnce(&Reading, &Sources, &mut Problems) -> T) -> T {
    let mut sources = Sources::new();
    let mut problems = Problems::new();
    let file = sources.add("case.ron", text);
    let reading = Reading::new(&mut sources, file, &mut included, &mut problems);
    let made = reading.map(|reading| make(&reading, &sources, &mut problems));
    assert!(!problems.has_errors(), "{}", problems.render(&sources, false));
    made.expect("a case without faults is read")
}

/// Reads a case that must be free of faults.
pub(crate) fn read(text: &str) -> Ready {
    read_variant(text, None)
}

/// The text of a case under `tests/reference/cases`.
pub(crate) fn reference_case(name: &str) -> String {
    let path = format!("{}/tests/reference/cases/{name}.ron", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The cases in a folder under the root, by file name and text.
fn cases_in(folder: &str) -> Vec<(String, String)> {
    let folder = format!("{}/{folder}", env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    for entry in std::fs::read_dir(&folder).expect("there are cases") {
        let path = entry.expect("a readable folder").path();
        if path.extension().is_some_and(|extension| extension == "ron") {
            let text = std::fs::read_to_string(&path).expect("a readable case");
            if text.lines().any(|line| line.starts_with("Case(")) {
                found.push((path.display().to_string(), text));
            }
        }
    }
    found.sort();
    assert!(!found.is_empty(), "no case in {folder}");
    found
}

/// The cases of the physics tests that stand in files, by name and text.
pub(crate) fn test_cases() -> Vec<(String, String)> {
    cases_in("tests/physics/cases")
}

/// The demo cases, by file name and text.
pub(crate) fn demo_cases() -> Vec<(String, String)> {
    cases_in("cases")
}

/// The steps of the guide, by file name and text.
pub(crate) fn guide_cases() -> Vec<(String, String)> {
    cases_in("cases/guide")
}

/// The slots behind an address of a case.
pub(crate) fn slots<'r>(ready: &'r Ready, address: &str) -> &'r [Slot] {
    let known = || ready.addresses.keys().cloned().collect::<Vec<_>>().join(" ");
    &ready
        .addresses
        .get(address)
        .unwrap_or_else(|| panic!("no value {address} in: {}", known()))
        .slots
}

/// A model's numbers with some of them changed, by address.
pub(crate) fn with(ready: &Ready, changes: &[(&str, f64)]) -> Values {
    let mut values = ready.model.values.clone();
    for (address, value) in changes {
        let writes: Vec<_> = slots(ready, address).iter().map(|&slot| (slot, *value)).collect();
        ready.model.write(&mut values, &writes);
    }
    values
}

/// A result that must be there.
pub(crate) fn at(results: &Results, address: &str) -> f64 {
    results.get(address).unwrap_or_else(|| {
        let known: Vec<&str> =
            results.catalogue.entries().iter().map(|entry| entry.address.as_str()).collect();
        panic!("no result {address} in: {}", known.join(" "))
    })
}

/// Solves the operating point and checks mass and energy there.
pub(crate) fn point(model: &Model, values: &Values) -> OperatingPoint {
    let point = operating_point(model, values.clone(), None).unwrap_or_else(|e| panic!("{e}"));
    check_point(model, values, &point);
    point
}

/// Reads a case and solves its operating point; mass and energy are checked.
pub(crate) fn solve(text: &str) -> Results {
    let ready = read(text);
    point(&ready.model, &ready.model.values).results
}

/// A simulator that stands at the states `y`.
pub(crate) fn simulator_at<'m>(model: &'m Model, values: &Values, y: &[f64]) -> Simulator<'m> {
    let mut simulator = Simulator::new(model, values.clone()).expect("the model can be set up");
    simulator.evaluate(y).unwrap_or_else(|unsettled| panic!("{unsettled:?}"));
    simulator
}

/// Mass at every junction, energy in every circuit, body and core at an operating point.
pub(crate) fn check_point(model: &Model, values: &Values, point: &OperatingPoint) {
    let simulator = simulator_at(model, values, &point.states);
    check_mass(&simulator, &point.results);
    let held: Vec<usize> = point.held.iter().map(|held| held.circuit).collect();
    check_first_law(&simulator, &held);
}

/// Largest error of mass that counts as none, as a share of the largest flow of the circuit.
const MASS: f64 = 1e-7;

/// What flows into every junction along its runs, as the results tell it, and from outside, flows
/// out again.
pub(crate) fn check_mass(simulator: &Simulator<'_>, results: &Results) {
    for (c, circuit) in simulator.setup.model.circuits.iter().enumerate() {
        let mut sums = simulator.settled.outside[c].clone();
        let mut most = 0.0_f64;
        for run in &circuit.runs {
            let flow = at(results, &format!("{}/{}:mass_flow", circuit.name, run.name));
            sums[run.from] -= flow;
            sums[run.to] += flow;
            most = most.max(flow.abs());
        }
        for (junction, sum) in circuit.junctions.iter().zip(&sums) {
            let name = format!("{}/{}", circuit.name, junction.name);
            assert!(sum.abs() <= MASS * most.max(1e-3), "mass at {name}: {sum:e} of {most} kg/s");
        }
        for (junction, outside) in circuit.junctions.iter().zip(&simulator.settled.outside[c]) {
            let open = matches!(junction.joint, Joint::Held { .. } | Joint::Fed { .. });
            assert!(open || *outside == 0.0, "{} is not open", junction.name);
        }
    }
}

/// Largest open energy balance that counts as none at rest: a share of what goes through, and W.
const ENERGY: f64 = 1e-6;
const ENERGY_W: f64 = 0.01;

/// Heat in is heat out, at rest: of every circuit, body and core but those that have no steady state and
/// are held as they start.
pub(crate) fn check_first_law(simulator: &Simulator<'_>, held: &[usize]) {
    let setup = &simulator.setup;
    let rates = &simulator.rates;
    let circuits = setup.model.circuits.len();
    let mut into_circuit: Vec<f64> = (0..circuits)
        .map(|c| rates.border.pumps[c] + rates.border.outside[c] + rates.border.bay[c])
        .collect();
    let crossing = |c: usize| rates.border.pumps[c].abs() + rates.border.bay[c].abs();
    let mut through: Vec<f64> = (0..circuits).map(crossing).collect();
    let mut from_body = vec![0.0; setup.model.bodies.len()];
    let mut from_core = vec![0.0; setup.model.cores.len()];
    for (index, cells) in setup.layout.parts.iter().enumerate() {
        let heat = rates.taken[index];
        into_circuit[cells.at.0] += heat;
        through[cells.at.0] += heat.abs();
        match setup.part(index).partner() {
            Some(HeatPartner::Body(body)) => from_body[body] += heat,
            Some(HeatPartner::Core(core)) => from_core[core] += heat,
            None => assert!(heat == 0.0, "heat of a part that touches nothing"),
        }
    }
    let close = |what: &str, name: &str, open: f64, of: f64| {
        let allowed = ENERGY * of + ENERGY_W;
        assert!(open.abs() <= allowed, "{what} {name}: {open} W open of {of} W");
    };
    for (c, circuit) in setup.model.circuits.iter().enumerate() {
        if !held.contains(&c) {
            close("circuit", &circuit.name, into_circuit[c], through[c]);
        }
    }
    let stands = |id| !setup.model.hangs_on(id).iter().any(|circuit| held.contains(circuit));
    for (body, spec) in setup.model.bodies.iter().enumerate() {
        if !stands(Id::Body(body)) {
            continue;
        }
        let told = spec.heat_w(&setup.values) + rates.border.bay_bodies[body];
        let heat = told + from_charge_air(simulator, body);
        close("body", &spec.name, from_body[body] - heat, heat);
    }
    for (core, spec) in setup.model.cores.iter().enumerate() {
        if !stands(Id::Core(core)) {
            continue;
        }
        close(
            "core",
            &spec.name,
            from_core[core] + rates.border.cores[core],
            from_core[core].abs(),
        );
    }
}

/// The warnings of an operating point in words.
pub(crate) fn said(model: &Model, point: &OperatingPoint) -> Vec<String> {
    let style = Style { units: UnitSystem::Metric, color: false };
    let sentence = |warning| style.sentence(&warnings::sentence(model, warning));
    point.warnings.iter().map(sentence).collect()
}

/// The phases of a case.
pub(crate) fn phases(ready: &Ready) -> Vec<Phase> {
    let lowered = ready.duty.phases.iter();
    lowered
        .map(|p| Phase {
            name: p.name.clone(),
            time_s: p.time_s,
            sets: p.sets.clone(),
            ramp_s: p.ramp_s,
            refills: p.refills.clone(),
        })
        .collect()
}

/// One phase in which nothing changes.
pub(crate) fn constant(time_s: f64) -> Vec<Phase> {
    vec![Phase { name: "constant".to_owned(), time_s, ..Phase::default() }]
}

/// What the energy audit may leave open in a phase, as a share of the heat that crossed the border
/// or was stored.
const AUDIT: f64 = 1e-3;

/// Follows a cycle and checks its energy audit, phase by phase, and its mass, row by row.
pub(crate) fn cycle(model: &Model, values: &Values, phases: &[Phase]) -> History {
    let history =
        duty_cycle(model, values, phases, &mut |_| true).unwrap_or_else(|e| panic!("{e}"));
    check_audit(&history);
    let columns: Vec<usize> = (0..model.circuits.len())
        .map(|c| history.catalogue.place(Id::Circuit(c), &BALANCE).expect("an imbalance"))
        .collect();
    for row in history.rows.iter() {
        for &column in &columns {
            assert!(row[column] < MASS, "mass: {} kg/s", row[column]);
        }
    }
    history
}

/// Heat that charge air brings to a body, W.
fn from_charge_air(simulator: &Simulator<'_>, body: usize) -> f64 {
    let ways = simulator.setup.model.charge_air.iter().zip(&simulator.settled.charges);
    let stages = ways.flat_map(|(path, charge)| path.stages.iter().zip(&charge.stages));
    stages
        .filter(|(stage, _)| matches!(stage.kind, StageKind::Cooler { body: of } if of == body))
        .map(|(_, at)| at.heat_w)
        .sum()
}

/// Heat in less heat out is heat stored, in every phase.
pub(crate) fn check_audit(history: &History) {
    for phase in &history.phases {
        let border = &phase.border;
        let moved: f64 = border.flat().map(f64::abs).sum();
        let of = moved.max(phase.stored.sum().abs());
        let open = phase.open_j();
        assert!(open.abs() <= AUDIT * of + 1.0, "phase {}: {open} J open of {of} J", phase.name);
    }
}

/// The column of a history by its address.
pub(crate) fn column(history: &History, address: &str) -> Vec<f64> {
    let column = history.catalogue.find(address).unwrap_or_else(|| panic!("no result {address}"));
    history.rows.iter().map(|row| row[column]).collect()
}

/// Asserts that two numbers are near.
#[track_caller]
pub(crate) fn near(what: &str, got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "{what}: got {got}, want {want} ± {tolerance}");
}

/// A plain random sequence with a fixed start, so that a failing number can be had again
/// (the linear congruential generator of Knuth's MMIX).
pub(crate) struct Random(pub(crate) u64);

impl Random {
    /// Next number, from 0 up to 1.
    pub(crate) fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Next number between two.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }
}
