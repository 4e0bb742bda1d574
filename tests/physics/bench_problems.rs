//! The problems that the benches time have the right answers, at the effort that is known, the same to
//! the bit on any number of threads, and without allocation.

#[path = "../../benches/problems/mod.rs"]
mod problems;

use problems::grid::Grid;
use problems::split::Split;
use problems::sweep::Sweep;

fn allocations(work: impl FnOnce()) -> u64 {
    allocation_counter::measure(work).count_total
}

#[test]
fn the_split_has_its_known_answer_again_and_again() {
    let mut split = Split::new();
    for _ in 0..2 {
        let solved = split.problem.solve();
        split.check().unwrap_or_else(|off| panic!("{off}"));
        assert_eq!((solved.iterations, solved.evaluations), (6, 6));
    }
    assert_eq!(
        allocations(|| {
            split.problem.solve();
        }),
        0
    );
}

#[test]
fn grids_have_their_known_answers() {
    for (n, effort) in [(10, 8), (30, 8), (100, 9)] {
        let mut grid = Grid::new(n);
        let solved = grid.problem.solve();
        grid.check().unwrap_or_else(|off| panic!("n {n}: {off}"));
        assert_eq!((solved.iterations, solved.evaluations), (effort, effort), "n {n}");
        let bits = |grid: &Grid| grid.problem.flows.iter().map(|m| m.to_bits()).collect::<Vec<_>>();
        let before = bits(&grid);
        assert_eq!(
            allocations(|| {
                grid.problem.solve();
            }),
            0,
            "n {n}"
        );
        assert_eq!(before, bits(&grid), "n {n}: the same again");
    }
}

#[test]
fn the_sweep_has_its_known_answers_on_any_number_of_threads() {
    let mut sweep = Sweep::new();
    let alone = sweep.solve_alone();
    sweep.check().unwrap_or_else(|off| panic!("{off}"));
    let bits = sweep.bits();
    for threads in [1, 2, 3] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        let iterations = pool.install(|| sweep.solve());
        sweep.check().unwrap_or_else(|off| panic!("{threads} threads: {off}"));
        assert!(sweep.bits() == bits, "{threads} threads give other bits than one");
        assert_eq!(iterations, alone, "{threads} threads");
    }
    assert!(alone <= 26_000, "{alone} iterations for 10,000 points");
    assert_eq!(
        allocations(|| {
            sweep.solve_alone();
        }),
        0
    );
}
