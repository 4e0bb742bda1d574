//! Random vehicles, whole: circuits, ports, thermostats, ice, caps, cores behind each other, fans, phases.
//!
//! Every one is answered; mass, energy and the ledger balance; limits are judged as the numbers say; and what must not matter
//! does not: names, orders, units, which way round a run is written, phases in two halves, repeats written out. More air, less
//! heat and a larger core never make anything hotter. No number here comes from the program: all are held to each other.
//!
//! `RANDOM_VEHICLES=10000 VEHICLE_SEED=3 cargo test --release --test random_vehicles -- --nocapture` tries more, and others;
//! one that fails is put into a file, which is named.

#[path = "../common/mod.rs"]
mod common;

#[allow(dead_code, reason = "the circuits use more of it")]
#[path = "../random_circuits/draw.rs"]
mod draw;
mod judged;
mod vehicle;

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use common::{Random, phases, point, read};
use coolwright_cases::lower::Ready;
use coolwright_models::cycle::History;
use coolwright_models::kind::Kind;
use coolwright_models::point::OperatingPoint;
use vehicle::{OTHER, Vehicle, Way};

/// Vehicles of each test, where `RANDOM_VEHICLES` says nothing.
const VEHICLES: u64 = 25;

fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|text| text.parse().ok())
}

/// Draws vehicles and tries each; all that fail are counted before the test does. `try_out` says in a word what it was.
fn each(name: &str, try_out: impl Fn(&Vehicle, u64) -> Result<&'static str, String>) {
    let (count, seed) =
        (asked("RANDOM_VEHICLES").unwrap_or(VEHICLES), asked("VEHICLE_SEED").unwrap_or(1));
    let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
    let mut failures = Vec::new();
    for k in 0..count {
        let mut random = Random(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ k);
        for _ in 0..4 {
            random.next();
        }
        let vehicle = vehicle::draw(&mut random);
        // Whoever reads and solves it says by a panic what does not balance.
        let outcome = catch_unwind(AssertUnwindSafe(|| try_out(&vehicle, k)));
        let outcome = outcome.unwrap_or_else(|panic| {
            let text = panic.downcast_ref::<String>().cloned();
            Err(text.unwrap_or_else(|| "it panics".to_owned()))
        });
        match outcome {
            Ok(word) => *counts.entry(word).or_default() += 1,
            Err(why) => {
                let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("vehicles");
                let path = folder.join(format!("{name}-{seed}-{k}.ron"));
                std::fs::create_dir_all(&folder).expect("a folder");
                std::fs::write(&path, vehicle.written(Way::default())).expect("it can be written");
                failures.push(format!("vehicle {k}: {why}; {}", path.display()));
            }
        }
    }
    println!("{name}: {count} vehicles of seed {seed}: {counts:?}, {} failed", failures.len());
    assert!(failures.is_empty(), "{}", failures[..failures.len().min(12)].join("\n"));
}

/// The operating point of a vehicle as it is written, with mass, energy of all that stands checked.
fn settled(vehicle: &Vehicle, way: Way) -> (Ready, OperatingPoint) {
    let ready = read(&vehicle.written(way));
    let point = point(&ready.model, &ready.model.values);
    (ready, point)
}

/// Results by their addresses, whatever things are called.
fn results(point: &OperatingPoint) -> BTreeMap<String, (f64, Kind)> {
    let entries = point.results.catalogue.entries().iter().zip(&point.results.values);
    entries
        .map(|(entry, &value)| (entry.address.replace(OTHER, ""), (value, entry.quantity.kind)))
        .collect()
}

/// What of a difference is none, for a number of its kind near zero, SI.
fn nothing(kind: Kind) -> f64 {
    match kind {
        Kind::VolumeFlow | Kind::AirFlow | Kind::MassFlow => 1e-3,
        Kind::AbsolutePressure
        | Kind::GaugePressure
        | Kind::PressureDifference
        | Kind::HeatRate
        | Kind::Power
        | Kind::ElectricPower => 1e3,
        _ => 1.0,
    }
}

/// Holds results to each other, to a share.
fn same(
    what: &str,
    one: &OperatingPoint,
    other: &OperatingPoint,
    share: f64,
    of: impl Fn(&str) -> bool,
) -> Result<(), String> {
    let (one, other) = (results(one), results(other));
    if one.len() != other.len() {
        return Err(format!("{what}: {} and {} results", one.len(), other.len()));
    }
    for ((address, (a, kind)), (also, (b, _))) in one.iter().zip(&other) {
        if address != also {
            return Err(format!("{what}: {address} and {also}"));
        }
        let allowed = share * (a.abs().max(b.abs()) + nothing(*kind));
        let is_near =
            (a - b).abs() <= allowed || a.total_cmp(b).is_eq() || (a.is_nan() && b.is_nan());
        if of(address) && !is_near {
            return Err(format!("{what}: {address} is {a:e} and {b:e}"));
        }
    }
    Ok(())
}

#[test]
fn how_a_vehicle_is_written_changes_nothing() {
    each("written", |vehicle, _| {
        let plain = settled(vehicle, Way::default()).1;
        let with = |way: Way| settled(vehicle, way).1;
        let all = |_: &str| true;
        same("other names", &plain, &with(Way { renamed: true, ..Way::default() }), 1e-7, all)?;
        same("another order", &plain, &with(Way { reversed: true, ..Way::default() }), 1e-7, all)?;
        same("other units", &plain, &with(Way { us: true, ..Way::default() }), 1e-7, all)?;
        // What is told along a run that is turned round has the other sign, and where it begins is where it ended.
        let turned = Way { turned: true, ..Way::default() };
        let elsewhere = |address: &str| !address.contains("/near") && !address.contains("/far");
        same("turned runs", &plain, &with(turned), 1e-6, elsewhere)?;
        Ok(if plain.held.is_empty() { "steady" } else { "without a steady state" })
    });
}

/// The temperatures of what is cooled, K, where they are steady.
fn metals(point: &OperatingPoint) -> Vec<f64> {
    let all = results(point);
    let of = |address: &String| address.starts_with("coolers/") && address.ends_with(":metal");
    all.iter().filter(|(address, _)| of(address)).map(|(_, (value, _))| *value).collect()
}

#[test]
fn more_air_less_heat_and_a_larger_core_are_never_worse() {
    each("better", |drawn, _| {
        // A thermostat without a way past the core answers more air with less flow, and what is cooled may get hotter by that.
        let mut vehicle = drawn.clone();
        vehicle.loops.iter_mut().for_each(|of| of.opens_c = None);
        let vehicle = &vehicle;
        let plain = settled(vehicle, Way::default()).1;
        let better = |what: &str, change: &dyn Fn(&mut Vehicle), only: Option<usize>| {
            let mut changed = vehicle.clone();
            change(&mut changed);
            let changed = settled(&changed, Way::default()).1;
            for (k, (before, after)) in metals(&plain).iter().zip(metals(&changed)).enumerate() {
                // What has no steady state is no number.
                if only.is_none_or(|only| only == k) && after > before + 1e-4 {
                    return Err(format!("{what}: source{k} goes from {before} to {after} K"));
                }
                if !before.is_nan() && after.is_nan() {
                    return Err(format!("{what}: source{k} has no steady state any more"));
                }
            }
            Ok(())
        };
        let last = vehicle.loops.len() - 1;
        better("one more fan", &|of| of.fans += 1, None)?;
        better(
            "a stronger fan",
            &|of| (of.fan_pa, of.fan_m3_h) = (1.2 * of.fan_pa, 1.2 * of.fan_m3_h),
            None,
        )?;
        better("less heat", &|of| of.power_kw *= 0.9, None)?;
        better("colder air", &|of| of.air_c -= 5.0, None)?;
        // A larger core in front warms the air for what is behind it.
        better("a larger core", &|of| of.loops[last].core_kw *= 1.3, Some(last))?;
        Ok(if plain.held.is_empty() { "steady" } else { "without a steady state" })
    });
}

/// The largest open balance of a cycle, as a share of what was moved.
const LEDGER: f64 = 1e-5;

/// The cycle of a vehicle with its ledger checked; nothing where it boils, which ends it.
fn followed(vehicle: &Vehicle, way: Way) -> Result<Option<History>, String> {
    let ready = read(&vehicle.written(way));
    let history = common::cycle(&ready.model, &ready.model.values, &phases(&ready));
    let (mut moved, mut open) = (1.0, 0.0);
    for phase in &history.phases {
        moved += phase.border.flat().map(f64::abs).sum::<f64>() + phase.stored.sum().abs();
        open += phase.open_j();
    }
    if open.abs() > LEDGER * moved {
        return Err(format!("the ledger is open by {open} J of {moved} J"));
    }
    Ok(history.boiled.is_none().then_some(history))
}

/// The most that each source's metal comes to over a cycle, K.
fn peaks(vehicle: &Vehicle, history: &History, way: Way) -> Vec<f64> {
    let other = if way.renamed { OTHER } else { "" };
    let peak = |k| {
        let column = common::column(history, &format!("coolers/{other}source{k}:metal"));
        column.into_iter().fold(f64::MIN, f64::max)
    };
    (0..vehicle.loops.len()).map(peak).collect()
}

#[test]
fn how_a_cycle_is_written_changes_nothing() {
    each("cycles", |vehicle, _| {
        let plain = followed(vehicle, Way::default())?;
        for (what, way, allowed) in [
            ("repeats written out", Way { unrolled: true, ..Way::default() }, 1e-6),
            ("other names", Way { renamed: true, ..Way::default() }, 1e-3),
            ("other units", Way { us: true, ..Way::default() }, 1e-3),
            ("another order", Way { reversed: true, ..Way::default() }, 1e-3),
            // Steps end where phases do, so they are others: the error of the integrator shows.
            ("phases in two halves", Way { split: true, ..Way::default() }, 0.1),
        ] {
            let other = followed(vehicle, way)?;
            let (Some(plain), Some(other)) = (&plain, &other) else {
                if plain.is_some() != other.is_some() {
                    return Err(format!("{what}: only one of them boils"));
                }
                continue;
            };
            let (before, after) =
                (peaks(vehicle, plain, Way::default()), peaks(vehicle, other, way));
            for (k, (a, b)) in before.iter().zip(&after).enumerate() {
                if (a - b).abs() > allowed {
                    return Err(format!("{what}: source{k} peaks at {a} and {b} K"));
                }
            }
        }
        Ok(if plain.is_some() { "followed" } else { "boils" })
    });
}
