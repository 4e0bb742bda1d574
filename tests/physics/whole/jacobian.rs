//! The Jacobian of the rates is their derivative, with flows and films held.

use coolwright_models::parts::CORE_CELLS;
use coolwright_models::simulate::Simulator;
use coolwright_solver::integrate::System;

use super::case;
use crate::common::{Random, read, simulator_at};

/// Capacity of every state, J/K, written anew: coolant mass with what ice has melted into it, metal.
fn capacities(simulator: &Simulator<'_>, y: &[f64]) -> Vec<f64> {
    let setup = &simulator.setup;
    let (model, layout) = (setup.model, &setup.layout);
    let mut masses = setup.prepared.masses.clone();
    for ice in &layout.ice {
        let mass = setup.values.get(setup.ice(ice.part).expect("ice").mass);
        masses[layout.parts[ice.part].first] += mass - y[ice.state];
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
    for (body, &state) in layout.bodies.iter().enumerate() {
        capacities[state] = setup.values.get(model.bodies[body].metal);
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
        simulator.setup.layout.ice.iter().map(|ice| ice.state).collect()
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
                "{} by {}: {entry}, difference {difference}",
                simulator.setup.state_name(row),
                simulator.setup.state_name(column)
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
