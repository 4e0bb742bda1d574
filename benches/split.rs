//! How long it takes to settle a circuit of 17 runs from a cold start, answer checked.

mod problems;

use criterion::Criterion;
use problems::split::Split;

fn split(criterion: &mut Criterion) {
    let mut split = Split::new();
    let solved = split.problem.solve();
    split.check().unwrap_or_else(|off| panic!("{off}"));
    println!("split: {} iterations, answer holds to 1e-9", solved.iterations);
    criterion.bench_function("split", |bencher| bencher.iter(|| split.problem.solve()));
    split.check().unwrap_or_else(|off| panic!("{off}"));
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    split(&mut criterion);
    criterion.final_summary();
}
