//! The Jacobian of the rates is their derivative, with flows and films held.

use coolwright_models::charge::{Along, follow};
use coolwright_models::parts::CORE_CELLS;
use coolwright_models::simulate::{Owner, Simulator};
use coolwright_solver::integrate::System;

use super::case;
use crate::common::{Random, demo_cases, read, simulator_at};

/// Capacity of every state, J/K, written anew: coolant mass without what ice displaces, metal.
fn capacities(simulator: &Simulator<'_>, y: &[f64]) -> Vec<f64> {
    let setup = &simulator.setup;
    let (model, layout) = (setup.model, &setup.layout);
    let mut masses = setup.prepared.masses.clone();
    for owner in &layout.owners {
        masses[owner.coolant] -= y[owner.first];
    }
    let mut capacities: Vec<f64> = (0..layout.states)
        .map(|state| {
            layout.coolant[state]
                .map_or(1.0, |c| masses[state] * setup.prepared.coolants[c].heat_capacity(y[state]))
        })
        .collect();
    for (core, &first) in layout.walls.iter().enumerate() {
        let metal = setup.values.get(model.cores[core].metal);
        capacities[first..first + CORE_CELLS].fill(metal / CORE_CELLS as f64);
    }
    for (body, nodes) in layout.bodies.iter().enumerate() {
        let each = setup.values.get(model.bodies[body].metal) / nodes.states().len() as f64;
        capacities[nodes.states()].fill(each);
        if let Some((wall, nodes)) = model.bodies[body].wall.zip(nodes.wall.as_ref()) {
            let [area, thickness, capacity] =
                [wall.area, wall.thickness, wall.capacity].map(|slot| setup.values.get(slot));
            let nodes = nodes.states();
            let each = area * thickness * capacity / nodes.len() as f64;
            capacities[nodes].fill(each);
        }
    }
    capacities
}

/// Net heat into every state, W (melting of ice in kg/s), at the temperatures `y` with the flows
/// and exchanges that the simulator stands at. The air between the cores is worked out anew.
fn heats(simulator: &mut Simulator<'_>, y: &[f64]) -> Vec<f64> {
    let mut rates = vec![0.0; y.len()];
    simulator.rates.rates(&simulator.setup, &simulator.settled, y, &mut rates);
    let capacities = capacities(simulator, y);
    let mut heats: Vec<f64> =
        rates.iter().zip(&capacities).map(|(rate, capacity)| rate * capacity).collect();
    let setup = &simulator.setup;
    let mut followed = (Vec::new(), Vec::new());
    for (a, path) in setup.model.charge_air.iter().enumerate() {
        let places = &setup.layout.charges[a];
        let along = Along {
            values: &setup.values,
            path,
            bodies: &setup.model.bodies,
            places,
            air: &setup.prepared.air,
            air_k: setup.prepared.air_k,
            rated: &setup.prepared.charges,
        };
        let metal_k: Vec<f64> = places.states.iter().map(|&state| y[state]).collect();
        follow(&along, &metal_k, &mut followed.0, &mut followed.1);
        let was = &simulator.settled.charges[a].heat_w;
        for ((&state, heat), was) in places.states.iter().zip(&followed.1).zip(was) {
            heats[state] += heat - was;
        }
    }
    for gas in &simulator.settled.gases {
        let mut before = setup.prepared.air_k;
        for met in gas.cores() {
            assert!(met.flow > 0.0, "the air comes from the front here");
            let capacity = met.flow * setup.prepared.air.heat_capacity(setup.prepared.air_k);
            let wall_air = met.exchange.wall_air;
            let first = setup.layout.walls[met.core];
            let cells = first..first + CORE_CELLS;
            let heat: f64 = y[cells.clone()].iter().map(|wall| wall_air * (wall - before)).sum();
            for net in &mut heats[cells] {
                *net += wall_air * (before - met.entering_k);
            }
            before += heat / capacity;
        }
    }
    heats
}

fn check(text: &str, start: u64) -> bool {
    let ready = read(text);
    let model = &ready.model;
    let mut y = simulator_at(model, &model.values, &start_of(model)).start();
    let mut random = Random(start);
    let ice: Vec<usize> = {
        let simulator = simulator_at(model, &model.values, &y);
        simulator.setup.layout.owners.iter().map(|owner| owner.first).collect()
    };
    for (state, y) in y.iter_mut().enumerate() {
        *y = if ice.contains(&state) {
            *y * random.between(0.2, 0.9)
        } else {
            *y + random.between(0.0, 25.0)
        };
    }
    let mut simulator = simulator_at(model, &model.values, &y);
    let reversed = simulator.settled.flows.iter().flatten().any(|flow| *flow < -0.01);
    let pattern = simulator.pattern().to_vec();
    let mut values = vec![0.0; pattern.len()];
    simulator.jacobian(0.0, &y, &mut values).expect("a Jacobian");
    let capacity = capacities(&simulator, &y);
    let n = y.len();
    let mut matrix = vec![0.0; n * n];
    for (&(row, column), value) in pattern.iter().zip(&values) {
        matrix[row * n + column] += value * capacity[row];
    }
    for column in 0..n {
        let step = 1e-3;
        let held = y[column];
        y[column] = held + step;
        let above = heats(&mut simulator, &y);
        y[column] = held - step;
        let below = heats(&mut simulator, &y);
        y[column] = held;
        for row in 0..n {
            let difference = (above[row] - below[row]) / (2.0 * step);
            let entry = matrix[row * n + column];
            // Coolant at 4 kg/s carries 1e4 W/K; roundoff of 1e6 W over the step is 1e-7 W/K.
            assert!(
                (entry - difference).abs() <= 1e-5 * difference.abs() + 1e-4,
                "{:?} by {:?}: {entry}, difference {difference}",
                simulator.setup.state_of(row),
                simulator.setup.state_of(column)
            );
        }
    }
    reversed
}

fn start_of(model: &coolwright_models::model::Model) -> Vec<f64> {
    Simulator::new(model, model.values.clone()).expect("the model can be set up").start()
}

#[test]
fn the_jacobian_is_the_derivative_of_the_rates_with_flows_held() {
    assert!(check(case("two_circuits"), 1), "a run flows backwards here");
    check(case("two_circuits"), 2);
    check(case("every_part"), 3);
    check(case("three_circuits"), 4);
}

/// The true Jacobian against central differences of the rates, everything settled anew for each.
fn check_true(name: &str, text: &str, start: u64) {
    let ready = read(text);
    let model = &ready.model;
    let mut y = start_of(model);
    let mut random = Random(start);
    let simulator = simulator_at(model, &model.values, &y);
    let owners = simulator.setup.layout.owners.clone();
    let governed: Vec<usize> =
        simulator.setup.layout.governed.iter().map(|governed| governed.state).collect();
    let sagging: Vec<usize> =
        simulator.setup.layout.sagging.iter().map(|sagging| sagging.state).collect();
    let words = |owner: &Owner, state: usize| {
        simulator.setup.own(owner).states()[state - owner.first].words
    };
    for (state, y) in y.iter_mut().enumerate() {
        let owner = owners.iter().find(|owner| owner.states().contains(&state));
        let mut walls =
            simulator.setup.layout.bodies.iter().filter_map(|nodes| nodes.wall.as_ref());
        *y = match owner.map(|owner| words(owner, state)) {
            // So hot that they boil.
            None if walls.any(|wall| wall.states().contains(&state)) => {
                random.between(390.0, 430.0)
            }
            None if governed.contains(&state) => random.between(0.3, 0.8),
            None if sagging.contains(&state) => *y * random.between(0.7, 0.9),
            None => *y + random.between(5.0, 30.0),
            // Warmer than its lift asks for, so that it moves.
            Some("wax") => random.between(360.0, 362.0),
            Some("opening") => random.between(0.1, 0.3),
            Some(_) => *y * random.between(0.2, 0.9),
        };
    }
    drop(simulator);
    let mut simulator = simulator_at(model, &model.values, &y);
    let n = y.len();
    let scales = simulator.scales();
    let mut matrix = vec![0.0; n * n];
    simulator.true_jacobian(&y, &mut matrix).expect("a Jacobian");
    let mut difference = vec![0.0; n * n];
    for column in 0..n {
        let held = y[column];
        // A kilogram of ice is more of a change than a kelvin, and a lift goes from 0 to 1.
        let own = governed.contains(&column)
            || sagging.contains(&column)
            || owners.iter().any(|owner| owner.states().contains(&column));
        let step = if own { 1e-3 * scales[column] } else { 1e-2 };
        let mut sides = [vec![0.0; n], vec![0.0; n]];
        for (side, by) in sides.iter_mut().zip([step, -step]) {
            y[column] = held + by;
            simulator.rhs(0.0, &y, side).expect("rates");
        }
        y[column] = held;
        for row in 0..n {
            difference[row * n + column] = (sides[0][row] - sides[1][row]) / (2.0 * step);
        }
    }
    let mut by_flows = 0.0_f64;
    let mut held = vec![0.0; simulator.pattern().len()];
    simulator.jacobian(0.0, &y, &mut held).expect("a Jacobian");
    let mut known = vec![0.0; n * n];
    for (&(row, column), value) in simulator.pattern().iter().zip(&held) {
        known[row * n + column] += value;
    }
    for row in 0..n {
        let most = difference[row * n..(row + 1) * n].iter().fold(0.0_f64, |m, d| m.max(d.abs()));
        for column in 0..n {
            let (entry, want) = (matrix[row * n + column], difference[row * n + column]);
            assert!(
                (entry - want).abs() <= 1e-5 * most,
                "{name}: {:?} by {:?}: {entry}, difference {want}, with flows held {}",
                simulator.setup.state_of(row),
                simulator.setup.state_of(column),
                known[row * n + column]
            );
            by_flows = by_flows.max((want - known[row * n + column]).abs() / most.max(1e-300));
        }
    }
    assert!(by_flows > 1e-3, "{name}: flows and films matter, by {by_flows}");
}

#[test]
fn the_true_jacobian_is_the_derivative_with_everything_settled() {
    for name in
        ["two_circuits", "every_part", "three_circuits", "thermostat", "governed", "sagging", "bay"]
    {
        check_true(name, case(name), 5);
    }
    for (name, text) in demo_cases() {
        check_true(&name, &text, 6);
    }
}
