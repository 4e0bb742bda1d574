//! How long 10,000 operating points of the split take, on one core and on two, answers checked.

mod problems;

use criterion::{Criterion, Throughput};
use problems::sweep::{SIDE, Sweep};

fn sweep(criterion: &mut Criterion) {
    let mut sweep = Sweep::new();
    let iterations = sweep.solve_alone();
    sweep.check().unwrap_or_else(|off| panic!("{off}"));
    let points = SIDE * SIDE;
    println!(
        "sweep: {:.2} iterations a point, answers hold to 1e-8",
        iterations as f64 / points as f64
    );
    let mut group = criterion.benchmark_group("sweep");
    group.throughput(Throughput::Elements(points as u64));
    group.bench_function("one core", |bencher| bencher.iter(|| sweep.solve_alone()));
    let pool = rayon::ThreadPoolBuilder::new().num_threads(2).build().expect("two threads");
    group.bench_function("two cores", |bencher| {
        bencher.iter(|| pool.install(|| sweep.solve()));
    });
    group.finish();
    sweep.check().unwrap_or_else(|off| panic!("{off}"));
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    sweep(&mut criterion);
    criterion.final_summary();
}
