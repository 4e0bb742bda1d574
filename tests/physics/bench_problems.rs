//! The problems that the benches time have the right answers, at the effort that is known, the same to
//! the bit on any number of threads, and without allocation.

use coolwright_solver::integrate::System;

#[path = "../../benches/problems/mod.rs"]
mod problems;

use problems::grid::Grid;
use problems::pull::Pull;
use problems::pull::balances::effectiveness;
use problems::pull::{H1, METAL, RADIATOR, SECOND};
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

#[test]
fn the_pull_starts_with_its_check_values() {
    let mut pull = Pull::new(1e-10);
    let mut rate = [0.0; problems::pull::STATES];
    pull.balances.rhs(0.0, &Pull::start(), &mut rate).unwrap();
    let flows = pull.balances.flows;
    for (what, got, want) in [
        ("ε(1, 0.5)", effectiveness(1.0, 0.5), 0.547489833881),
        ("ε(3, 0.9)", effectiveness(3.0, 0.9), 0.708099735057),
        ("ε(0.5, 0.25)", effectiveness(0.5, 0.25), 0.375094429280),
        ("m_r", flows[1], 0.3549322520),
        ("m_b", flows[2], 0.3100507967),
        ("m_c", flows[3], 1.038792453),
        ("metal", rate[METAL], 0.19),
        ("radiator", rate[RADIATOR], -0.276990888),
        ("end of hose 1", rate[H1.end - 1], 0.00224155564),
        ("second radiator", rate[SECOND], -0.005876162601),
    ] {
        approx::assert_relative_eq!(got, want, max_relative = 2e-9);
        assert!(got.is_finite(), "{what}");
    }
}

/// The Jacobian that is stated, against central differences at the start and in the middle of the
/// cycle: all but what temperatures do to the flows through the viscosity, which is left out.
#[test]
fn the_pull_states_its_jacobian() {
    let mut pull = Pull::new(1e-10);
    for (opening, air) in [(0.2, 0.15), (0.55, 2.0)] {
        let mut y = Pull::start();
        (y[problems::pull::OPENING], y[problems::pull::AIR]) = (opening, air);
        y[METAL] += 15.0;
        let pattern = pull.balances.pattern().to_vec();
        let mut values = vec![0.0; pattern.len()];
        pull.balances.jacobian(0.0, &y, &mut values).unwrap();
        let mut dense = vec![[0.0; problems::pull::STATES]; problems::pull::STATES];
        for (&(row, column), value) in pattern.iter().zip(&values) {
            dense[row][column] += value;
        }
        for column in 0..problems::pull::STATES {
            let mut rates = [[0.0; problems::pull::STATES]; 2];
            let step = 1e-4;
            for (rate, sign) in rates.iter_mut().zip([1.0, -1.0]) {
                let mut moved = y;
                moved[column] += sign * step;
                pull.balances.rhs(0.0, &moved, rate).unwrap();
            }
            for (row, states) in dense.iter().enumerate() {
                let want = (rates[0][row] - rates[1][row]) / (2.0 * step);
                let off = (states[column] - want).abs();
                assert!(
                    off <= 2e-2 * want.abs().max(0.5),
                    "opening {opening}: row {row}, column {column}: got {}, want {want}",
                    states[column]
                );
            }
        }
    }
}

/// At each tolerance the errors stay within what it promises, down to the digits printed.
#[test]
fn the_pull_has_its_known_answers() {
    for (tolerance, kelvin, seconds, others) in [
        (5e-4, 1e-2, 1e-1, 1e-2),
        (1e-4, 1e-2, 1e-1, 4e-3),
        (1e-5, 2e-3, 1e-2, 2e-3),
        (1e-6, 4e-4, 2e-3, 2e-4),
        (1e-8, 2e-5, 2e-4, 1e-5),
    ] {
        let mut pull = Pull::new(tolerance);
        let effort = pull.follow();
        let errors = pull.errors();
        println!("{tolerance}: {errors:?}, {effort:?}");
        assert!(errors.kelvin < kelvin, "tolerance {tolerance}: {errors:?}");
        assert!(errors.seconds < seconds, "tolerance {tolerance}: {errors:?}");
        assert!(errors.others < others, "tolerance {tolerance}: {errors:?}");
    }
    let mut pull = Pull::new(1e-4);
    pull.follow();
    assert_eq!(
        allocations(|| {
            pull.follow();
        }),
        0
    );
}
