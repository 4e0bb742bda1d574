//! How long a large case takes through its file: a grid of hoses, read and checked, and solved with temperatures and
//! survey. Both should grow little faster than the case does.

#[path = "../tests/common/hose_grid.rs"]
mod hose_grid;

use std::time::Duration;

use coolwright::ask::{Question, answer};
use coolwright::study::Moment;
use coolwright::workers::Alone;
use criterion::{BenchmarkId, Criterion, Throughput};
use hose_grid::{hose_grid, runs};

/// Junctions along a side: 181, 1,741 and 19,801 runs. 224 of them are 99,905 runs.
const SIDES: [usize; 3] = [10, 30, 100];

fn answers(text: &str, question: &Question) {
    let mut none = |name: &str| Err(format!("{name} is not included"));
    answer("grid.ron", text, &mut none, question, &Alone).expect("the grid has an answer");
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    let point = Question::Point { variant: None, moment: Moment::Full, off: false };
    for (name, question) in [("check", Question::Check), ("point", point)] {
        let mut group = criterion.benchmark_group(format!("scale/{name}"));
        group.sample_size(10).warm_up_time(Duration::from_secs(1));
        for side in SIDES {
            let text = hose_grid(side);
            group.throughput(Throughput::Elements(runs(side) as u64));
            group.bench_with_input(
                BenchmarkId::from_parameter(runs(side)),
                &text,
                |bencher, text| {
                    bencher.iter(|| answers(text, &question));
                },
            );
        }
        group.finish();
    }
    criterion.final_summary();
}
