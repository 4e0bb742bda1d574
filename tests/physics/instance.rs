//! An instance answers what a model that has just been read answers, whatever it was asked before.

use coolwright_models::cycle::{Columns, History, Phase, Program, duty_cycle};
use coolwright_models::inputs::{POWER, Track};
use coolwright_models::instance::Instance;
use coolwright_models::point::{Solution, Why, operating_point};
use coolwright_models::results::Entry;
use coolwright_models::results::quantities::HOTTEST;
use coolwright_models::slots::Values;
use coolwright_models::watch::{Bound, Watch};

use crate::common::{demo_cases, phases, read};

fn bits(numbers: &[f64]) -> Vec<u64> {
    numbers.iter().map(|number| number.to_bits()).collect()
}

fn same_point(
    what: &str,
    used: &Solution,
    model: &coolwright_models::model::Model,
    values: &Values,
) {
    let fresh = operating_point(model, values.clone(), None).expect("an operating point");
    assert_eq!(bits(&used.states), bits(&fresh.states), "{what}: states");
    assert_eq!(bits(&used.results.values), bits(&fresh.results.values), "{what}: results");
    assert_eq!((used.steps, &used.held), (fresh.steps, &fresh.held), "{what}");
}

fn same_history(what: &str, used: &History, fresh: &History) {
    assert_eq!(bits(&used.times_s), bits(&fresh.times_s), "{what}: times");
    let pairs = used.rows.iter().zip(fresh.rows.iter());
    assert!(pairs.clone().count() > 10, "{what}: a cycle with rows");
    for (used, fresh) in pairs {
        assert_eq!(bits(used), bits(fresh), "{what}: a row");
    }
    assert_eq!(bits(&used.states), bits(&fresh.states), "{what}: states at the end");
    assert_eq!(format!("{:?}", used.phases), format!("{:?}", fresh.phases), "{what}: phases");
    assert_eq!(used.statistics, fresh.statistics, "{what}: statistics");
}

#[test]
fn a_used_instance_answers_as_one_that_has_just_been_made() {
    let mut cycles = 0;
    for (name, text) in demo_cases() {
        let ready = read(&text);
        let (model, values) = (&ready.model, &ready.model.values);
        let mut hot = values.clone();
        hot.set(model.site.temperature, values.get(model.site.temperature) + 7.0);
        let (_, share) = model.circuits[0].coolant.mixture().expect("a mixture");
        hot.set(share, 0.31);
        hot.set(model.circuits[0].start, values.get(model.circuits[0].start) + 3.0);
        let mut instance = Instance::new(model);
        instance.point(values, None).expect("an operating point");
        same_point(&name, instance.point(&hot, None).expect("a hot one"), model, &hot);
        let phases = phases(&ready);
        if !phases.is_empty() {
            let fresh = duty_cycle(model, values, &phases, &mut |_| true).expect("a cycle");
            let used = instance.cycle(values, &phases, Columns::All, &mut |_| true);
            same_history(&name, used.expect("a cycle"), &fresh);
            cycles += 1;
        }
        same_point(&name, instance.point(values, None).expect("again"), model, values);
    }
    assert!(cycles > 0, "some demo has a cycle");
}

/// Columns asked for are those of the whole history.
#[test]
fn a_cycle_records_the_columns_asked_for() {
    let ready = read(include_str!("cases/one_loop.ron"));
    let (model, values) = (&ready.model, &ready.model.values);
    let phases = phases(&ready);
    let whole = duty_cycle(model, values, &phases, &mut |_| true).expect("a cycle");
    let mut instance = Instance::new(model);
    let catalogue = instance.catalogue(values).expect("a catalogue");
    let wanted = [catalogue.entries().len() - 1, 0, 17];
    let some = instance.cycle(values, &phases, Columns::Only(&wanted), &mut |_| true);
    let some = some.expect("a cycle");
    assert_eq!(some.rows.len(), whole.rows.len());
    for (some, whole) in some.rows.iter().zip(whole.rows.iter()) {
        assert_eq!(bits(some), bits(&wanted.map(|column| whole[column])));
    }
    for (place, &column) in wanted.iter().enumerate() {
        let address = &catalogue.entries()[column].address;
        assert_eq!(some.catalogue.find(address), Some(place));
    }
}

/// A core under too much heat boils; taking the heat away cures it, also when the search starts from
/// the point that boiled. And the other way round.
#[test]
fn a_start_close_by_lends_no_verdict() {
    let ready = read(include_str!("cases/one_loop.ron"));
    let (model, cool) = (&ready.model, &ready.model.values);
    let mut hot = cool.clone();
    let power = model.inputs.slot(POWER).expect("every case has a power");
    hot.set(power, 20.0 * cool.get(power));
    let boiled = operating_point(model, hot.clone(), None).expect("a point");
    assert!(
        boiled.held.iter().any(|held| held.why == Why::Boils),
        "too much heat boils: {:?}",
        boiled.held
    );
    let cured = operating_point(model, cool.clone(), Some(&boiled)).expect("a point");
    assert!(cured.held.is_empty(), "cured, yet {:?}", cured.held);
    let cold = operating_point(model, cool.clone(), None).expect("a point");
    for (near, cold) in cured.states.iter().zip(&cold.states) {
        assert!((near - cold).abs() < 1e-5, "{near} K from close by, {cold} K from the start");
    }
    let again = operating_point(model, hot, Some(&cured)).expect("a point");
    assert_eq!(again.held, boiled.held);
}

/// A cycle in which something changes where a phase begins, taken up there from one in which it does not, is the
/// cycle followed from the start, to the last bit: rows, phases, ledger, what was watched.
#[test]
fn a_cycle_taken_up_on_its_way_is_the_whole_cycle() {
    let mut taken = 0;
    for (name, text) in demo_cases() {
        let ready = read(&text);
        let (model, values) = (&ready.model, &ready.model.values);
        let phases = phases(&ready);
        if phases.len() < 2 {
            continue;
        }
        let phase = phases.len() * 2 / 3;
        let at_s: f64 = phases[..phase].iter().map(|phase| phase.time_s).sum();
        let air = model.site.humidity;
        let other = [[0.0, values.get(air)], [at_s, values.get(air) + 0.2]];
        let written = |phase: &Phase| phase.sets.iter().any(|(slot, _)| *slot == air);
        assert!(!phases.iter().any(written), "{name}: a track counts before what phases set");
        let mut instance = Instance::new(model);
        let catalogue = instance.catalogue(values).expect("a catalogue");
        let hottest = |(place, entry): (usize, &Entry)| {
            let watch = Watch { place, side: Bound::AtMost, bound: 330.0, phases: None };
            (entry.quantity == &HOTTEST).then_some(watch)
        };
        let watches: Vec<Watch> =
            catalogue.entries().iter().enumerate().filter_map(hottest).collect();
        assert!(!watches.is_empty(), "{name}: circuits have a hottest place");
        let plain = Program { phases, watches, ..Program::default() };
        let changed = Program { tracks: vec![(air, Track::steps(&other))], ..plain.clone() };
        let mut whole = Instance::new(model);
        let whole = whole.follow(values, &changed, Columns::All, &mut |_| true).expect("a cycle");
        instance.keep_waypoint(phase);
        instance.follow(values, &plain, Columns::All, &mut |_| true).expect("a cycle");
        let waypoint = instance.waypoint().expect("no demo boils on its way");
        let mut other = Instance::new(model);
        other.take_up(&waypoint);
        let took = other.follow(values, &changed, Columns::All, &mut |_| true).expect("a cycle");
        same_history(&name, took, whole);
        for (a, b) in took.watched.iter().zip(&whole.watched) {
            assert_eq!(format!("{a:?}"), format!("{b:?}"), "{name}: what was watched");
        }
        // A second use goes on as if nothing had been taken up.
        let again = other.follow(values, &changed, Columns::All, &mut |_| true).expect("a cycle");
        same_history(&name, again, whole);
        taken += 1;
    }
    assert!(taken > 1, "some demos have phases");
}
