//! How long it takes to follow a duty cycle of 2740 s, at the loosest tolerance that holds 0.01 K and
//! 0.1 s, answers checked.

mod problems;

use criterion::Criterion;
use problems::pull::Pull;

/// Relative, and absolute in K, 1 and kg/s.
const TOLERANCE: f64 = 5e-4;

fn pull(criterion: &mut Criterion) {
    for tolerance in [TOLERANCE, 1e-4, 1e-5, 1e-6] {
        let mut pull = Pull::new(tolerance);
        let effort = pull.follow();
        println!("pull at {tolerance}: {:?}, {effort:?}", pull.errors());
    }
    let mut pull = Pull::new(TOLERANCE);
    criterion.bench_function("pull", |bencher| bencher.iter(|| pull.follow()));
    let errors = pull.errors();
    assert!(errors.kelvin < 0.01 && errors.seconds < 0.1, "{errors:?}");
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    pull(&mut criterion);
    criterion.final_summary();
}
