//! What a row of `grid` costs beside the solve in it: the same operating points of a demo vehicle, barely on one
//! instance and as rows, answers checked; and how rows scale on two threads.

use std::time::{Duration, Instant};

use coolwright::ask::grid::Field;
use coolwright::ask::{Case, Grid, Judge, Over};
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::UnitSystem;
use coolwright_models::instance::Instance;
use criterion::Criterion;
use rayon::prelude::*;

/// That of the program.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

const VEHICLE: &str = include_str!("../cases/desert_racer.ron");
const PARTS: &str = include_str!("../cases/parts.ron");

/// Temperatures of the air in °C and lengths of a hose in m: so many of each, combined.
const EACH: usize = 100;
const HOSE: &str = "drive/loop/link:length";
/// What is looked at, and the limit of it.
const RESULT: &str = "coolers/motors:rise";
const LIMIT: &str = "motor_rise";

fn air_c(k: usize) -> f64 {
    10.0 + 0.25 * k as f64
}

fn length_m(k: usize) -> f64 {
    1.0 + 0.01 * k as f64
}

/// Solves some of the points, each from a cold start on one instance; the hottest metal of each.
fn bare(instance: &mut Instance<'_>, ready: &Ready, rows: &[usize]) -> Vec<f64> {
    let mut values = ready.model.values.clone();
    let mut found = Vec::with_capacity(rows.len());
    for row in rows {
        let writes = [("site:air", air_c(row / EACH) + 273.15), (HOSE, length_m(row % EACH))];
        ready.model.write(&mut values, &ready.slots_of(&writes));
        let point = instance.point(&values, None).expect("it has a point");
        found.push(point.results.get(RESULT).expect("the result"));
    }
    found
}

/// The same as rows.
fn rows(grid: &Grid<'_>, rows: &[usize]) -> Vec<String> {
    rows.iter().map(|row| grid.row(*row)).collect()
}

/// Times both in turns, over all points; the ratio of their throughputs.
fn compare(grid: &Grid<'_>, ready: &Ready) {
    let columns = grid.columns();
    let at = columns.iter().position(|of| of.heading.starts_with(LIMIT)).expect("the limit");
    let mut instance = Instance::new(&ready.model);
    let (mut barely, mut in_rows) = (Duration::ZERO, Duration::ZERO);
    let all: Vec<usize> = (0..grid.len()).collect();
    for block in all.chunks(EACH) {
        let begin = Instant::now();
        let found = bare(&mut instance, ready, block);
        barely += begin.elapsed();
        let begin = Instant::now();
        let written = rows(grid, block);
        in_rows += begin.elapsed();
        for (is, row) in found.iter().zip(&written) {
            match Grid::fields(&columns, row)[at] {
                // Seven digits.
                Field::Number(told) if (told - is).abs() <= 1e-6 * is.abs() => {}
                ref other => panic!("{RESULT} is {is}, the row says {other:?}"),
            }
        }
    }
    let each = |time: Duration| time.as_secs_f64() / grid.len() as f64 * 1e3;
    println!(
        "{} points: {:.3} ms each barely, {:.3} ms as a row: {:.2} of the throughput",
        grid.len(),
        each(barely),
        each(in_rows),
        each(barely) / each(in_rows)
    );
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        let begin = Instant::now();
        let rows: Vec<String> = pool.install(|| all.par_iter().map(|row| grid.row(*row)).collect());
        (begin.elapsed().as_secs_f64(), rows)
    };
    let ((one, first), (two, second)) = (on(1), on(2));
    assert!(first == second, "the rows are the same on any number of threads");
    println!("on two threads {:.2} of twice the throughput", one / two / 2.0);
}

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    let mut fetch = |name: &str| match name {
        "parts.ron" => Ok(PARTS.to_owned()),
        other => Err(format!("{other} is not included")),
    };
    let case = Case::read("desert_racer.ron", VEHICLE, &mut fetch).expect("the case reads");
    let over = Over {
        lists: vec![
            format!("site:air=10 °C..{} °C by 0.25 K", air_c(EACH - 1)),
            format!("{HOSE}=1 m..{} m by 0.01 m", length_m(EACH - 1)),
        ],
        table: None,
        by: Judge::Point,
    };
    let grid = case.grid(&over, UnitSystem::Si).expect("the grid");
    let ready = case.build(None).expect("the case builds");
    assert_eq!(grid.len(), EACH * EACH);
    if std::env::args().any(|word| word == "all") {
        compare(&grid, &ready);
    }
    let mut instance = Instance::new(&ready.model);
    let some: Vec<usize> = (0..10).map(|k| k * (EACH + 1)).collect();
    let mut group = criterion.benchmark_group("rows");
    group.bench_function("barely", |bencher| {
        bencher.iter(|| bare(&mut instance, &ready, &some));
    });
    group.bench_function("as rows", |bencher| bencher.iter(|| rows(&grid, &some)));
    group.finish();
    criterion.final_summary();
}
