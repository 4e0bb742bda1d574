//! Large cases: what is done for each run hardly grows with their number.

use coolwright::ask::{Question, answer};
use coolwright::study::Moment;
use coolwright::workers::Alone;

use crate::common::hose_grid::{hose_grid, runs};

/// Allocations for each run of a grid with so many junctions along a side.
fn effort(side: usize, question: &Question) -> f64 {
    let text = hose_grid(side);
    let mut none = |name: &str| Err(format!("{name} is not included"));
    let count = allocation_counter::measure(|| {
        answer("grid.ron", &text, &mut none, question, &Alone).expect("the grid has an answer");
    });
    #[allow(clippy::cast_precision_loss)] // far below 2^52
    let each = count.bytes_total as f64 / runs(side) as f64;
    each
}

/// Four times as many runs may take a fifth more for each of them: lists that double, trees that grow deeper.
#[test]
fn a_large_case_takes_little_more_for_each_run() {
    let point = Question::Point { variant: None, moment: Moment::Full, off: false };
    for (question, small, large) in [(Question::Check, 20, 40), (point, 34, 68)] {
        let [few, many] = [small, large].map(|side| effort(side, &question));
        println!("{question:?}: {few:.0} bytes for each run, {many:.0} with four times as many");
        assert!(many < 1.2 * few, "{question:?}: {few:.0} and {many:.0} bytes for each run");
    }
}
