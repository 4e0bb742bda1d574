//! The bench circuits, against answers that were computed independently of this crate.
//!
//! Definitions: the project's bench problems `split`, `grid` and `sweep`. Answers: Newton on flows and pressures,
//! written twice outside this crate and equal to the digits given; those programs are not in the tree.

use crate::common::grid::Grid;
use crate::common::split::{COUPLINGS, JUNCTIONS, NAMES, RUNS, START, Split};
use crate::common::{check_mass, check_relative};
use coolwright_solver::network::{Network, Settings};

const SPLIT_FLOWS: [f64; 17] = [
    1.55561203859,
    0.797703205738,
    0.757908832856,
    0.400120328681,
    0.376105770121,
    0.201673376454,
    0.195909500603,
    0.202935999325,
    0.197184329356,
    0.185350901935,
    0.196452160800,
    0.193576811326,
    0.182528958795,
    0.397582877057,
    0.381803062735,
    0.797703205738,
    0.757908832856,
];

const SPLIT_PRESSURES: [f64; 10] = [
    0.0,
    33120.4806840,
    70798.6633294,
    70170.0261362,
    66782.5973335,
    66224.1942156,
    37875.1254425,
    37254.1002818,
    36729.9994326,
    36155.2995020,
];

#[test]
fn split_has_its_answer_after_six_iterations() {
    let mut network = Network::new(JUNCTIONS, &RUNS, &COUPLINGS).unwrap();
    let (mut flows, mut pressures) = (START, [0.0; JUNCTIONS]);
    let solved = network
        .solve(
            &mut Split::new(1.0, 1.0),
            &[0.0; JUNCTIONS],
            &[None; JUNCTIONS],
            &mut flows,
            &mut pressures,
            &Settings::default(),
        )
        .unwrap();
    for (run, (got, want)) in flows.iter().zip(SPLIT_FLOWS).enumerate() {
        check_relative(&format!("flow of run {run}"), *got, want, 1e-11);
    }
    for (name, (got, want)) in NAMES.iter().zip(pressures.iter().zip(SPLIT_PRESSURES)) {
        check_relative(&format!("pressure at {name}"), *got, want, 1e-11);
    }
    check_mass(&network, &RUNS, &flows);
    assert_eq!((solved.iterations, solved.evaluations, solved.continued), (6, 6, false));
}

/// From rest, from reversed flow and from far too much flow the answer is the same.
#[test]
fn split_converges_from_poor_starts() {
    let mut network = Network::new(JUNCTIONS, &RUNS, &COUPLINGS).unwrap();
    for start in [0.0, 1e-9, -1.0, 1.0, 300.0] {
        let (mut flows, mut pressures) = (START.map(|m| m * start), [0.0; JUNCTIONS]);
        let (none, settings) = ([None; JUNCTIONS], Settings::default());
        let solved = network
            .solve(
                &mut Split::new(1.0, 1.0),
                &[0.0; JUNCTIONS],
                &none,
                &mut flows,
                &mut pressures,
                &settings,
            )
            .unwrap_or_else(|stuck| panic!("start {start}: {stuck} {stuck:?}"));
        for (run, (got, want)) in flows.iter().zip(SPLIT_FLOWS).enumerate() {
            check_relative(&format!("start {start}, flow of run {run}"), *got, want, 1e-9);
        }
        assert!(solved.evaluations < 200, "start {start}: {solved:?}");
    }
}

#[test]
fn sweep_has_its_sums() {
    let mut network = Network::new(JUNCTIONS, &RUNS, &COUPLINGS).unwrap();
    let mut sums = [0.0; 3];
    // Points (i, j) with their answers, and the sums over all points.
    let points = [
        ((0, 0), [0.517629608352, 1.07907706482, 5574.63949322]),
        ((0, 99), [0.941526273930, 1.15214308148, 11580.5461942]),
        ((99, 0), [1.33956953026, 1.08413043468, 32186.4952226]),
        ((99, 99), [2.37246853506, 1.15737851160, 64506.2175582]),
        ((50, 50), [1.39495718382, 1.11908751721, 26148.9942795]),
    ];
    for i in 0..100_u8 {
        for j in 0..100_u8 {
            let (speed, bores) = (0.5 + 0.7 * f64::from(i) / 99.0, 0.8 + 0.5 * f64::from(j) / 99.0);
            let (mut flows, mut pressures) = (START, [0.0; JUNCTIONS]);
            let (none, settings) = ([None; JUNCTIONS], Settings::default());
            let mut laws = Split::new(speed, bores);
            network
                .solve(&mut laws, &[0.0; JUNCTIONS], &none, &mut flows, &mut pressures, &settings)
                .unwrap();
            let passes = &flows[5..13];
            let most = passes.iter().copied().fold(f64::MIN, f64::max);
            let least = passes.iter().copied().fold(f64::MAX, f64::min);
            let answer = [flows[0], most / least, pressures[1]];
            for (_, want) in points.iter().filter(|(at, _)| *at == (i, j)) {
                for (got, want) in answer.iter().zip(want) {
                    check_relative(&format!("point {i}, {j}"), *got, *want, 1e-11);
                }
            }
            for (sum, value) in sums.iter_mut().zip(answer) {
                *sum += value;
            }
        }
    }
    for (sum, want) in sums.iter().zip([13525.2775630, 11184.4221076, 267441593.526]) {
        check_relative("sum", *sum, want, 1e-11);
    }
}

#[test]
fn grid_of_ten_has_its_answer() {
    let mut grid = Grid::new(10);
    let runs = grid.runs.clone();
    let mut network = Network::new(100, &runs, &[]).unwrap();
    let (mut flows, mut pressures) = (grid.start.clone(), vec![0.0; 100]);
    let mut held = [None; 100];
    held[0] = Some(0.0);
    let solved = network
        .solve(&mut grid, &[0.0; 100], &held, &mut flows, &mut pressures, &Settings::default())
        .unwrap();
    let sum: f64 = flows.iter().map(|m| m.abs()).sum();
    let squares: f64 = flows.iter().map(|m| m * m).sum();
    let spread = pressures.iter().copied().fold(f64::MIN, f64::max)
        - pressures.iter().copied().fold(f64::MAX, f64::min);
    for (what, got, want) in [
        ("sum of |m|", sum, 41.2094349298),
        ("sum of m²", squares, 38.0751341681),
        ("p(last)", pressures[99], 867.185561727),
        ("spread of p", spread, 5155.75390997),
        ("m(0)", flows[0], 0.191750912745),
        ("m(21)", flows[21], 2.63087110129),
        ("m(104)", flows[104], -3.00934594998),
        ("p(9)", pressures[9], 1069.00923338),
        ("p(45)", pressures[45], 1128.88054471),
    ] {
        check_relative(what, got, want, 1e-10);
    }
    check_mass(&network, &runs, &flows);
    assert!(network.outside()[0].abs() < 1e-300, "nothing enters or leaves");
    assert_eq!((solved.iterations, solved.evaluations, solved.continued), (8, 8, false));
}
