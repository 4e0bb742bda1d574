//! Solves the square grid of the bench problems: `cargo run --release --example grid -- 300`.
//! Prints the answer and the median time of a solve, with and without the analysis.

use coolwright_solver::network::{Network, Settings};
use std::time::Instant;

#[path = "../tests/common/grid.rs"]
#[allow(dead_code)] // The tests use more of it.
mod grid;
#[path = "../tests/common/laws.rs"]
#[allow(dead_code)] // The tests use more of it.
mod laws;

fn main() {
    let n: usize = std::env::args().nth(1).and_then(|n| n.parse().ok()).unwrap_or(100);
    let mut grid = grid::Grid::new(n);
    let runs = grid.runs.clone();
    let mut held = vec![None; n * n];
    held[0] = Some(0.0);
    let inflow = vec![0.0; n * n];
    let (mut flows, mut pressures) = (grid.start.clone(), inflow.clone());
    let mut kept = Network::new(n * n, &runs, &[]).expect("a grid is a network");
    let (mut with, mut without) = (Vec::new(), Vec::new());
    let mut counts = (0, 0, 0);
    for _ in 0..if n < 300 { 21 } else { 5 } {
        let begin = Instant::now();
        let mut fresh = Network::new(n * n, &runs, &[]).expect("a grid is a network");
        for (network, times, begin) in
            [(&mut fresh, &mut with, Some(begin)), (&mut kept, &mut without, None)]
        {
            let begin = begin.unwrap_or_else(Instant::now);
            flows.copy_from_slice(&grid.start);
            let solved = network
                .solve(&mut grid, &inflow, &held, &mut flows, &mut pressures, &Settings::default())
                .expect("it has an answer");
            times.push(begin.elapsed().as_secs_f64());
            counts = (solved.iterations, solved.evaluations, network.loops());
        }
    }
    let begin = Instant::now();
    let (mut falls, mut slopes) = (flows.clone(), flows.clone());
    for _ in 0..10 {
        coolwright_solver::network::Laws::evaluate(
            &mut grid,
            &flows,
            &mut falls,
            &mut slopes,
            &mut [],
        );
    }
    let sweep = begin.elapsed().as_secs_f64() / 10.0;
    for times in [&mut with, &mut without] {
        times.sort_by(f64::total_cmp);
    }
    let most = pressures.iter().copied().fold(f64::MIN, f64::max);
    let least = pressures.iter().copied().fold(f64::MAX, f64::min);
    println!("n {n}: iterations, evaluations, loops {counts:?}");
    println!("sum |m| {:.12}", flows.iter().map(|m| m.abs()).sum::<f64>());
    println!("sum m^2 {:.12}", flows.iter().map(|m| m * m).sum::<f64>());
    println!("max |m| {:.12}", flows.iter().fold(0.0_f64, |most, m| most.max(m.abs())));
    println!("p(last) {:.9}, spread {:.9}", pressures[n * n - 1], most - least);
    println!(
        "with analysis {:.3e} s, without {:.3e} s",
        with[with.len() / 2],
        without[without.len() / 2]
    );
    println!("sweep over the laws {sweep:.3e} s");
}
