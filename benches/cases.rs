//! How long whole cases take: in memory, and as a process that reads, solves and prints.

use std::path::Path;
use std::process::{Command, Stdio};

use coolwright::load::load;
use coolwright_models::cycle::{Phase, duty_cycle};
use coolwright_models::point::operating_point;
use criterion::Criterion;

const FIRST: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/cases/first.ron");

fn in_memory(criterion: &mut Criterion) {
    let loaded = load(Path::new(FIRST), false).expect("the case reads");
    criterion.bench_function("first/read", |bencher| {
        bencher.iter(|| load(Path::new(FIRST), false).expect("the case reads"));
    });
    criterion.bench_function("first/build", |bencher| {
        bencher.iter(|| loaded.build(None, false).expect("the case builds"));
    });
    let ready = loaded.build(None, false).expect("the case builds");
    let point = || operating_point(&ready.model, ready.model.values.clone(), None);
    let steps = point().expect("the case has an operating point").steps;
    println!("first/point: {steps} steps");
    criterion.bench_function("first/point", |bencher| bencher.iter(point));
    let phase = |p: &coolwright_cases::lower::LoweredPhase| Phase {
        name: p.name.clone(),
        time_s: p.time_s,
        sets: p.sets.clone(),
    };
    let phases: Vec<_> = ready.duty.phases.iter().map(phase).collect();
    let cycle = || duty_cycle(&ready.model, &ready.model.values, &phases, &mut |_| true);
    println!("first/cycle: {:?}", cycle().expect("the cycle can be followed").statistics);
    criterion.bench_function("first/cycle", |bencher| bencher.iter(cycle));
}

/// Runs the program; whether it gave an answer.
fn answers(command: &str) -> bool {
    let mut program = Command::new(env!("CARGO_BIN_EXE_coolwright"));
    program.args([command, FIRST]).stdout(Stdio::null());
    let status = program.status().expect("the program runs");
    matches!(status.code(), Some(0 | 1))
}

fn process(criterion: &mut Criterion) {
    for command in ["check", "point", "cycle", "compare"] {
        assert!(answers(command), "`coolwright {command}` gave no answer");
        criterion.bench_function(&format!("process/{command}"), |bencher| {
            bencher.iter(|| answers(command));
        });
    }
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    in_memory(&mut criterion);
    process(&mut criterion);
    criterion.final_summary();
}
