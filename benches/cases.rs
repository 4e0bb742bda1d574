//! How long whole cases take: in memory, and as a process that reads, solves and prints.

use std::process::{Command, Stdio};

use coolwright::ask::Case;
use coolwright_models::cycle::{Phase, duty_cycle};
use coolwright_models::point::operating_point;
use criterion::Criterion;

const FIRST: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/cases/first.ron");

fn in_memory(criterion: &mut Criterion) {
    let text = std::fs::read_to_string(FIRST).expect("the case is there");
    let mut none = |name: &str| Err(format!("{name} is not included"));
    let case = Case::read("first.ron", &text, &mut none).expect("the case reads");
    criterion.bench_function("first/read", |bencher| {
        bencher.iter(|| Case::read("first.ron", &text, &mut none).expect("the case reads"));
    });
    criterion.bench_function("first/build", |bencher| {
        bencher.iter(|| case.build(None).expect("the case builds"));
    });
    let ready = case.build(None).expect("the case builds");
    let point = || operating_point(&ready.model, ready.model.values.clone(), None);
    let steps = point().expect("the case has an operating point").steps;
    println!("first/point: {steps} steps");
    criterion.bench_function("first/point", |bencher| bencher.iter(point));
    let phase = |p: &coolwright_cases::lower::LoweredPhase| Phase {
        name: p.name.clone(),
        time_s: p.time_s,
        sets: p.sets.clone(),
        ramp_s: p.ramp_s,
        refills: p.refills.clone(),
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
