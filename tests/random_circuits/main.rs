//! Random circuits through the models' own network: every kind of part, every direction of a tee,
//! from any start.
//!
//! Each circuit is written as a case file, read and built as any case is, and its flows are settled
//! by the settings of an operating point. Mass at each junction and pressure around each loop are
//! then counted from the parts themselves. `RANDOM_CIRCUITS=20000` searches further (the number is
//! that of each test), `PROPTEST_RNG_SEED` elsewhere.

#[path = "../common/mod.rs"]
mod common;

mod dimensions;
mod draw;
mod found;
mod judge;
mod kinds;
mod parts;
mod sketch;

use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::file::PartSpec;
use coolwright_cases::lower::Ready;
use coolwright_cases::text::Sources;
use coolwright_models::laws::cards::ALL;
use coolwright_models::simulate::Simulator;
use judge::{Outcome, Start};
use kinds::Counts;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;
use sketch::Nature;

/// Circuits of each test, where `RANDOM_CIRCUITS` says nothing.
const CIRCUITS: u32 = 1500;

const MILD: Nature = Nature { tees: true, rising: true, wide: false, heights: false };
const WIDE: Nature = Nature { tees: true, rising: true, wide: true, heights: false };
const MONOTONE: Nature = Nature { tees: false, rising: false, wide: true, heights: false };

/// How many failures are told in full.
const TOLD: usize = 3;

/// Draws circuits of one nature, and judges each. All failures are counted before the test fails.
fn draw(
    nature: Nature,
    mut judge: impl FnMut(u64, usize, &mut Counts) -> Result<(), String>,
) -> Counts {
    let asked = std::env::var("RANDOM_CIRCUITS").ok().and_then(|count| count.parse().ok());
    let mut runner = TestRunner::new(ProptestConfig::default());
    let mut counts = Counts::default();
    let mut failures = Vec::new();
    for _ in 0..asked.unwrap_or(CIRCUITS) {
        let drawn =
            (any::<u64>(), 1_usize..10).new_tree(&mut runner).expect("numbers can be drawn");
        let (seed, size) = drawn.current();
        if let Err(what) = judge(seed, size, &mut counts) {
            failures.push((seed, size, what));
        }
    }
    println!("{nature:?}: {counts}");
    for (k, (seed, size, what)) in failures.iter().enumerate() {
        println!("failed: seed {seed}, size {size}: {what}");
        if k < TOLD {
            println!("{}", sketch::sketch(*seed, *size, nature).text);
        }
    }
    assert!(failures.is_empty(), "{} circuits failed", failures.len());
    counts
}

/// Reads a drawn case: it must be free of faults.
fn read(text: &str) -> Result<Ready, String> {
    let mut sources = Sources::new();
    let mut problems = Problems::new();
    let file = sources.add("case.ron", text);
    let mut fetch = |name: &str| Err(format!("nothing is included, and not {name}"));
    let reading = Reading::new(&mut sources, file, &mut fetch, &mut problems);
    let ready = reading.and_then(|reading| reading.build(&mut problems));
    if problems.has_errors() {
        return Err(problems.render(&sources, false));
    }
    ready.ok_or_else(|| "not built".to_owned())
}

/// Solves one circuit from one start and counts it.
fn solve(
    (seed, size, nature): (u64, usize, Nature),
    start: Start,
    counts: &mut Counts,
) -> Result<Outcome, String> {
    let sketch = sketch::sketch(seed, size, nature);
    let ready = read(&sketch.text)?;
    counts.circuits += 1;
    let outcome = judge::solve(&ready, &sketch, seed, start, counts)?;
    match &outcome {
        Outcome::Solved(answer) => {
            counts.solved += 1;
            counts.worst_mass = counts.worst_mass.max(answer.worst_mass);
            counts.worst_closure = counts.worst_closure.max(answer.worst_closure);
        }
        Outcome::Refused(reason, text) => {
            if sketch.monotone {
                return Err(format!("a circuit of monotone laws is refused: {text}"));
            }
            *counts.refused.entry(format!("{reason:?}")).or_default() += 1;
        }
    }
    Ok(outcome)
}

/// Every circuit balances, or the answer says why not; nothing but laws that rise may be refused.
fn balances(nature: Nature) {
    let counts = draw(nature, |seed, size, counts| {
        let start = match seed % 3 {
            0 => Start::Usual,
            1 => Start::Rest,
            _ => Start::Random(seed),
        };
        solve((seed, size, nature), start, counts).map(|_| ())
    });
    let missing = counts.missing((nature.tees, nature.wide));
    assert!(missing.is_empty(), "no solved circuit had: {missing:?}");
}

#[test]
fn circuits_of_usual_size_balance() {
    balances(MILD);
}

#[test]
fn circuits_of_tiny_and_huge_parts_balance() {
    balances(WIDE);
}

/// Without tees and rising heads there is one answer, and every start leads to it.
#[test]
fn monotone_circuits_have_one_answer_from_any_start() {
    let counts = draw(MONOTONE, |seed, size, counts| {
        let mut answers = Vec::new();
        for start in [Start::Usual, Start::Rest, Start::Random(1), Start::Random(2)] {
            match solve((seed, size, MONOTONE), start, counts)? {
                Outcome::Solved(answer) => answers.push(answer),
                Outcome::Refused(_, text) => return Err(format!("refused: {text}")),
            }
        }
        judge::same(&answers)
    });
    let missing = counts.missing((false, MONOTONE.wide));
    assert!(missing.is_empty(), "no solved circuit had: {missing:?}");
}

/// Every card is met by something that a command solves: in random circuits, or in the demo cases and
/// those of the tests, which have the cores, fans and films. What a card says is what happens there.
#[test]
fn every_law_with_a_card_is_met() {
    let mut counts = Counts::default();
    for seed in 0..300 {
        solve((seed, 6, MILD), Start::Usual, &mut counts).unwrap_or_else(|e| panic!("{seed}: {e}"));
    }
    let mut cases = common::demo_cases();
    cases.extend(common::test_cases());
    cases.push(("suction_lift".to_owned(), common::reference_case("suction_lift")));
    for (name, text) in cases {
        let ready = common::read(&text);
        for (warmer, fans) in [(0.0, true), (-30.0, true), (30.0, false)] {
            let mut values = ready.model.values.clone();
            for fan in ready.model.air_paths.iter().flat_map(|path| &path.fans).filter(|_| !fans) {
                values.set(fan.commanded, 0.0);
            }
            let mut simulator =
                Simulator::new(&ready.model, values).expect("its numbers are right");
            let mut y = simulator.start();
            for (state, circuit) in y.iter_mut().zip(&simulator.setup.layout.coolant) {
                *state += if circuit.is_some() { warmer } else { 0.0 };
            }
            simulator.evaluate(&y).unwrap_or_else(|error| panic!("{name}: {error:?}"));
            let met = common::laws::hold(&simulator).unwrap_or_else(|e| panic!("{name}: {e}"));
            counts.laws.extend(met);
            let met = common::laws::hold_pressures(&simulator, &y);
            counts.laws.extend(met.unwrap_or_else(|e| panic!("{name}: {e}")));
        }
    }
    let keys = ALL.iter().map(|card| card.key);
    let missing: Vec<_> = keys.filter(|key| !counts.laws.contains(key)).collect();
    assert!(missing.is_empty(), "no command reaches: {missing:?}");
}

#[test]
fn the_generator_writes_every_kind_of_part() {
    let offered = kinds::variants::<PartSpec>();
    let unwritten: Vec<_> = offered.iter().filter(|kind| !parts::KINDS.contains(kind)).collect();
    assert!(unwritten.is_empty(), "add these parts to the generator: {unwritten:?}");
    let cases: Vec<String> = (0..300).map(|seed| sketch::sketch(seed, 6, MILD).text).collect();
    let unwritten = kinds::unwritten(&cases);
    assert!(
        unwritten.is_empty(),
        "write these fields in the generator, or list them where no law of pressure reads them: \
         {unwritten:?}"
    );
}

/// Numbers written at their addresses are those of the file, in circuits of every kind of part.
#[test]
fn an_address_is_the_file() {
    let mut tally = common::written::Tally::default();
    for seed in 0..40 {
        let nature = Nature { heights: seed % 2 == 1, ..MILD };
        let text = sketch::sketch(seed, 4, nature).text;
        common::written::check(&text, |number| number % 16 == 0, &mut tally);
    }
    println!("{tally:?}");
    assert!(tally.fast > 1000 && tally.edited > 1000 && tally.points > 100, "{tally:?}");
}
