//! How long it takes to settle square grids of hoses from a cold start, with and without making the
//! network and its symbolic analysis anew, answers checked.

mod problems;

use std::time::Duration;

use criterion::Criterion;
use problems::grid::Grid;

fn grid(criterion: &mut Criterion, n: usize) {
    let mut grid = Grid::new(n);
    let solved = grid.problem.solve();
    grid.check().unwrap_or_else(|off| panic!("{off}"));
    println!("grid {n}: {} iterations, answer holds to 1e-9", solved.iterations);
    let mut group = criterion.benchmark_group(format!("grid {n}"));
    if n >= 300 {
        group.sample_size(10).measurement_time(Duration::from_secs(10));
    }
    group.bench_function("analysis kept", |bencher| bencher.iter(|| grid.problem.solve()));
    group.bench_function("with analysis", |bencher| {
        bencher.iter(|| {
            grid.problem.analyse();
            grid.problem.solve()
        });
    });
    group.finish();
    grid.check().unwrap_or_else(|off| panic!("{off}"));
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    for n in [10, 30, 100, 300] {
        grid(&mut criterion, n);
    }
    criterion.final_summary();
}
