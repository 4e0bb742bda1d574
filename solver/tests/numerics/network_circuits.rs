//! Circuits with printed or closed-form answers, and the borders of what can be solved.

use crate::common::check_mass;
use coolwright_solver::network::{
    BadNetwork, Laws, Network, Quantity, Reason, Settings, Solved, Stability, Stuck,
};
use coolwright_solver::scalar::{Dual, Scalar};

/// Laws given as one function of (run, flow).
struct By<F>(F);

impl<F: FnMut(usize, Dual<1>) -> Dual<1>> Laws for By<F> {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        for (run, flow) in flows.iter().enumerate() {
            let fall = (self.0)(run, Dual::variable(*flow));
            falls[run] = fall.value;
            slopes[run] = fall.slope();
        }
        cross.fill(0.0);
    }
}

struct Answer {
    flows: Vec<f64>,
    pressures: Vec<f64>,
    outside: Vec<f64>,
    solved: Solved,
}

fn solve(
    junctions: usize,
    runs: &[(usize, usize)],
    held: &[(usize, f64)],
    inflow: &[(usize, f64)],
    start: f64,
    law: impl FnMut(usize, Dual<1>) -> Dual<1>,
) -> Result<Answer, Box<Stuck>> {
    let mut network = Network::new(junctions, runs, &[]).unwrap();
    let (mut hold, mut enter) = (vec![None; junctions], vec![0.0; junctions]);
    for &(junction, pressure) in held {
        hold[junction] = Some(pressure);
    }
    for &(junction, flow) in inflow {
        enter[junction] += flow;
    }
    let (mut flows, mut pressures) = (vec![start; runs.len()], vec![0.0; junctions]);
    let mut laws = By(law);
    let settings = Settings::default();
    let solved = network.solve(&mut laws, &enter, &hold, &mut flows, &mut pressures, &settings)?;
    check_mass(&network, runs, &flows);
    let outside = network.outside().to_vec();
    let (mut falls, mut slopes) = (flows.clone(), flows.clone());
    laws.evaluate(&flows, &mut falls, &mut slopes, &mut []);
    for (run, &(from, to)) in runs.iter().enumerate() {
        let (want, got) = (pressures[from] - pressures[to], falls[run]);
        let scale = pressures.iter().fold(got.abs(), |most, p| most.max(p.abs()));
        assert!(
            (got - want).abs() <= 1e-8 * scale + 1e-8,
            "run {run}: fall {got}, pressures {want}"
        );
    }
    Ok(Answer { flows, pressures, outside, solved })
}

fn quadratic(resistance: f64, m: Dual<1>) -> Dual<1> {
    m * m.abs() * resistance
}

/// Head lost (m) by Q (m³/s) of kinematic viscosity 1.02e-6 m²/s in a rough pipe: Colebrook 1939.
fn pipe(length: f64, bore: f64, relative: f64, q: Dual<1>) -> Dual<1> {
    let area = std::f64::consts::PI * bore * bore / 4.0;
    let re = (q.abs() * (bore / (area * 1.02e-6))).max(Dual::from(100.0));
    let mut x = Dual::from(6.0);
    for _ in 0..60 {
        x = (x * 2.51 / re + relative / 3.7).ln() * (-2.0 / std::f64::consts::LN_10);
    }
    q * q.abs() * (length / bore / (2.0 * 9.81 * area * area)) / (x * x)
}

const PIPES: [(f64, f64, f64); 3] =
    [(100.0, 0.08, 0.003), (150.0, 0.06, 0.002), (80.0, 0.04, 0.005)];

/// White, Fluid Mechanics, example 6.18: three pipes side by side lose 20.3 m. Printed 62.5, 25.9
/// and 11.4 m³/h; with Colebrook's friction factor 62.55, 25.91, 11.41.
#[test]
fn parallel_pipes_share_the_flow() {
    let law = |run: usize, q| {
        let (length, bore, relative) = PIPES[run];
        pipe(length, bore, relative, q)
    };
    let answer = solve(2, &[(0, 1); 3], &[(0, 20.3), (1, 0.0)], &[], 1e-3, law).unwrap();
    for (flow, want) in answer.flows.iter().zip([62.55, 25.91, 11.41]) {
        assert!((flow * 3600.0 - want).abs() < 0.01, "got {} m³/h, want {want}", flow * 3600.0);
    }
    let total: f64 = answer.flows.iter().sum();
    assert!((answer.outside[0] - total).abs() < 1e-15 && (answer.outside[1] + total).abs() < 1e-15);
}

/// White, Fluid Mechanics, example 6.19: three reservoirs at 20, 100 and 40 m joined at one
/// point. Printed 34.53 m there; 52.8 m³/h out to the first, 47.0 and 5.8 in from the others.
/// With Colebrook's friction factor 34.54 m; 52.85, 47.01, 5.84.
#[test]
fn three_reservoirs_meet_at_one_level() {
    let law = |run: usize, q| {
        let (length, bore, relative) = PIPES[run];
        pipe(length, bore, relative, q)
    };
    let held = [(0, 20.0), (1, 100.0), (2, 40.0)];
    for start in [1e-3, 0.0, -1.0] {
        let answer = solve(4, &[(0, 3), (1, 3), (2, 3)], &held, &[], start, law).unwrap();
        assert!((answer.pressures[3] - 34.54).abs() < 0.005, "{}", answer.pressures[3]);
        for (flow, want) in answer.flows.iter().zip([-52.85, 47.01, 5.84]) {
            assert!((flow * 3600.0 - want).abs() < 0.01, "got {} m³/h, want {want}", flow * 3600.0);
        }
    }
}

/// A system of 15 + 0.03 Q² and pumps of 20 − 0.08 Q² (m, L/s): by hand √(5/0.11) = 6.74 alone,
/// √(5/0.05) = 10 side by side and √(25/0.19) = 11.47 one behind the other.
#[test]
fn pumps_alone_side_by_side_and_in_series() {
    let system = |q| quadratic(0.03, q);
    let pump = |q: Dual<1>| quadratic(0.08, q) - 20.0;
    let held = |low, high| [(low, 0.0), (high, 15.0)];
    let alone = solve(3, &[(1, 2), (0, 1)], &held(0, 2), &[], 1.0, |run, q| {
        if run == 0 { system(q) } else { pump(q) }
    });
    assert!((alone.unwrap().flows[0] - (5.0_f64 / 0.11).sqrt()).abs() < 1e-9);
    let beside = solve(3, &[(1, 2), (0, 1), (0, 1)], &held(0, 2), &[], 1.0, |run, q| {
        if run == 0 { system(q) } else { pump(q) }
    });
    assert!((beside.unwrap().flows[0] - 10.0).abs() < 1e-9);
    let behind = solve(4, &[(2, 3), (0, 1), (1, 2)], &held(0, 3), &[], 1.0, |run, q| {
        if run == 0 { system(q) } else { pump(q) }
    });
    assert!((behind.unwrap().flows[0] - (25.0_f64 / 0.19).sqrt()).abs() < 1e-9);
}

/// A dead end carries exactly nothing, a run from a junction to itself what closes on itself, and
/// an island its own flow. A component without a held junction has pressure zero at its lowest.
#[test]
fn dead_ends_self_loops_and_islands() {
    let runs = [(0, 1), (1, 0), (1, 2), (2, 3), (3, 3), (4, 5), (5, 4), (6, 6)];
    let answer = solve(8, &runs, &[], &[], 0.3, |run, m| match run {
        0 | 5 => quadratic(0.1, m) - 10.0,
        6 => quadratic(1e9, m),
        _ => quadratic(2.0, m) + m,
    })
    .unwrap();
    for run in [2, 3] {
        assert_eq!(answer.flows[run].to_bits() << 1, 0, "run {run}: {}", answer.flows[run]);
    }
    assert!(answer.flows[4].abs() < 1e-9, "nothing drives the run to itself");
    assert!((answer.flows[5] - (10.0_f64 / (1e9 + 0.1)).sqrt()).abs() < 1e-12);
    for lowest in [0, 4, 6, 7] {
        assert_eq!(answer.pressures[lowest].to_bits() << 1, 0, "junction {lowest}");
    }
    assert!((answer.pressures[3] - answer.pressures[1]).abs() < 1e-12);
}

/// Flow given at two ends passes a bridge exactly, and dead branches beside it stay at rest.
#[test]
fn given_inflow_passes_bridges() {
    let runs = [(0, 1), (1, 2), (1, 3), (2, 4), (4, 1)];
    let inflow = [(0, 0.1), (2, 0.2), (4, -0.3)];
    let answer = solve(5, &runs, &[], &inflow, 1.0, |_, m| quadratic(5.0, m)).unwrap();
    assert!((answer.flows[0] - 0.1).abs() < 1e-16, "{}", answer.flows[0]);
    assert_eq!(answer.flows[2].to_bits() << 1, 0);
    let mut unbalanced = inflow;
    unbalanced[2].1 = -0.2;
    let stuck = solve(5, &runs, &[], &unbalanced, 1.0, |_, m| quadratic(5.0, m)).err().unwrap();
    let Reason::Unbalanced { junctions, inflow_kg_s } = &stuck.reason else { panic!("{stuck}") };
    assert_eq!(junctions, &[0, 1, 2, 3, 4]);
    assert!((inflow_kg_s - 0.1).abs() < 1e-12, "{stuck}");
    // Where one junction is held, the rest leaves there.
    let answer = solve(5, &runs, &[(3, 7.0)], &unbalanced, 1.0, |_, m| quadratic(5.0, m)).unwrap();
    assert!((answer.outside[3] + 0.1).abs() < 1e-15);
    assert!((answer.pressures[3] - 7.0).abs() < 1e-15);
}

/// Nothing drives the circuit: all flows die away, from any start.
#[test]
fn a_circuit_without_drive_comes_to_rest() {
    let runs = [(0, 1), (1, 2), (2, 0), (1, 0)];
    for start in [0.0, 1e-8, 1.0, -1e3] {
        let answer =
            solve(3, &runs, &[], &[], start, |run, m| quadratic([1.0, 50.0, 1e4, 3.0][run], m))
                .unwrap();
        for flow in &answer.flows {
            assert!(flow.abs() < 1e-4, "start {start}: {:?} {:?}", answer.flows, answer.solved);
        }
    }
}

/// Two sources against each other: the stronger wins; equal ones hold each other at rest.
#[test]
fn opposed_sources() {
    for (other, want) in [(40.0, (60.0_f64 / 3.0).sqrt()), (100.0, 0.0)] {
        let answer = solve(2, &[(0, 1), (0, 1)], &[], &[], 0.0, |run, m| {
            quadratic(1.5, m) - [100.0, other][run]
        })
        .unwrap();
        assert!((answer.flows[0] - want).abs() < 1e-4, "{} {want}", answer.flows[0]);
    }
}

/// A valve that opens one way only, as a steep resistance backwards: shut, it leaks next to
/// nothing and the flow passes beside it.
#[test]
fn a_one_way_valve_shuts_at_its_kink() {
    let valve = |m: Dual<1>| if m.value < 0.0 { m * 1e10 } else { m * m * 2.0 };
    for start in [-1.0, 0.0, 1.0, 100.0] {
        let answer = solve(2, &[(0, 1), (1, 0), (0, 1)], &[], &[], start, |run, m| match run {
            0 => quadratic(1.0, m) - 50.0,
            1 => quadratic(4.0, m),
            _ => valve(m),
        })
        .unwrap();
        let want = (50.0_f64 / 5.0).sqrt();
        assert!((answer.flows[1] - want).abs() < 1e-8, "start {start}: {:?}", answer.flows);
        assert!(
            answer.flows[2] < 0.0 && answer.flows[2] > -1e-7,
            "start {start}: {:?}",
            answer.flows
        );
    }
}

/// A fan whose pressure first rises with flow, 50 + 30 m − 10 m², alone against 60 m and a
/// threshold of 40: it crosses at one point only. Against a level of 60 it crosses twice, and only
/// the crossing on the falling side stands: 10 m² − 30 m + 10 = 0, m = (3 ± √5)/2.
#[test]
fn a_rising_head_settles_on_the_stable_crossing() {
    let stable = 0.5 * (3.0 + 5.0_f64.sqrt());
    let unstable = 3.0 - stable;
    for start in [unstable, 0.5, 1.0, 1.5, 3.0, 10.0] {
        let answer = solve(2, &[(0, 1), (1, 0)], &[], &[], start, |run, m| {
            if run == 0 {
                // Backward flow meets resistance, as it does in any machine.
                if m.value < 0.0 { m * 100.0 - 50.0 } else { m * m * 10.0 - m * 30.0 - 50.0 }
            } else {
                m * 1e-6 + 60.0
            }
        })
        .unwrap();
        let got = answer.flows[0];
        // Below the unstable crossing the flow falls back until the backward branch holds it.
        let back = (50.0 - 60.0) / 100.0;
        let ok = (got - stable).abs() < 1e-5 || (got - back).abs() < 1e-5;
        assert!(ok, "start {start}: {got}, {:?}", answer.solved);
        assert_eq!(answer.solved.stability, Stability::Stable);
    }
}

/// Two machines with rising heads side by side feed one resistance: sharing evenly is a balance,
/// but where both work on the rising side the flows depart from it, and one takes it all.
#[test]
fn machines_side_by_side_leave_the_unstable_balance() {
    let machine = |m: Dual<1>| {
        if m.value < 0.0 { m * 80.0 - 50.0 } else { m * m * 10.0 - m * 30.0 - 50.0 }
    };
    let answer = solve(2, &[(0, 1), (0, 1), (1, 0)], &[], &[], 0.5, |run, m| {
        if run < 2 { machine(m) } else { quadratic(40.0, m) + m }
    })
    .unwrap();
    assert!((answer.flows[0] - answer.flows[1]).abs() > 0.1, "{:?}", answer.flows);
    assert_eq!(answer.solved.stability, Stability::Stable);
}

struct Coupled;

impl Laws for Coupled {
    fn evaluate(&mut self, m: &[f64], falls: &mut [f64], slopes: &mut [f64], cross: &mut [f64]) {
        let loss = |r: f64, m: f64| (r * m * m.abs(), 2.0 * r * m.abs());
        for (run, r) in [1.0, 3.0, 5.0].into_iter().enumerate() {
            (falls[run], slopes[run]) = loss(r, m[run]);
        }
        falls[0] -= 100.0;
        // The fall of run 1 loses what run 2 draws: a strong negative coupling, one way.
        falls[1] -= 2.0 * m[2] * m[2].abs();
        cross[0] = -4.0 * m[2].abs();
    }
}

/// Couplings that give energy back and have no counterpart: closed form by hand. With the same
/// fall p over runs 1 and 2: p = 5 b², p = 3 a² − 2 b², so 3 a² = 7 b².
#[test]
fn a_negative_coupling_is_solved_exactly() {
    let runs = [(1, 0), (0, 1), (0, 1)];
    let mut network = Network::new(2, &runs, &[(1, 2)]).unwrap();
    let (mut flows, mut pressures) = ([1.0, 0.5, 0.5], [0.0; 2]);
    let none = [None; 2];
    network
        .solve(&mut Coupled, &[0.0; 2], &none, &mut flows, &mut pressures, &Settings::default())
        .unwrap();
    let ratio = (7.0_f64 / 3.0).sqrt();
    let b = (100.0 / (5.0 + (1.0 + ratio).powi(2))).sqrt();
    for (got, want) in flows.iter().zip([b * (1.0 + ratio), b * ratio, b]) {
        assert!((got - want).abs() < 1e-12, "got {got}, want {want}");
    }
}

/// Derivatives of the answer on the factors left behind, against differences of answers.
#[test]
fn sensitivities_agree_with_differences() {
    use crate::common::split::{COUPLINGS, JUNCTIONS, RUNS, START, Split};
    struct Shifted(Split, [f64; 17]);
    impl Laws for Shifted {
        fn evaluate(&mut self, m: &[f64], f: &mut [f64], s: &mut [f64], c: &mut [f64]) {
            self.0.evaluate(m, f, s, c);
            f.iter_mut().zip(self.1).for_each(|(f, shift)| *f += shift);
        }
    }
    let mut network = Network::new(JUNCTIONS, &RUNS, &COUPLINGS).unwrap();
    let mut answer = |shift: [f64; 17]| {
        let (mut flows, mut pressures) = (START, [0.0; JUNCTIONS]);
        let mut laws = Shifted(Split::new(1.0, 1.0), shift);
        let (none, settings) = ([None; JUNCTIONS], Settings::default());
        network
            .solve(&mut laws, &[0.0; JUNCTIONS], &none, &mut flows, &mut pressures, &settings)
            .unwrap();
        (flows, pressures, network.clone())
    };
    let flow_weights: [f64; 17] = std::array::from_fn(|i| 1.0 + (i % 5) as f64);
    let pressure_weights: [f64; JUNCTIONS] = std::array::from_fn(|i| 1e-4 * (i % 3) as f64);
    let (_, _, mut solved) = answer([0.0; 17]);
    let mut adjoint = [0.0; 17];
    solved.adjoint_solve(&flow_weights, &pressure_weights, &mut adjoint).unwrap();
    for (run, adjoint) in adjoint.into_iter().enumerate() {
        let shift = |by: f64| std::array::from_fn(|i| if i == run { by } else { 0.0 });
        let (up, down) = (answer(shift(5.0)), answer(shift(-5.0)));
        let (mut flow_rates, mut pressure_rates) = ([0.0; 17], [0.0; JUNCTIONS]);
        solved.sensitivity_solve(&shift(1.0), &mut flow_rates, &mut pressure_rates).unwrap();
        let mut sum = 0.0;
        for i in 0..17 {
            let want = (up.0[i] - down.0[i]) / 10.0;
            assert!(
                (flow_rates[i] - want).abs() < 1e-10,
                "dm{i}/df{run}: {} {want}",
                flow_rates[i]
            );
            sum += flow_weights[i] * flow_rates[i];
        }
        for j in 0..JUNCTIONS {
            let want = (up.1[j] - down.1[j]) / 10.0;
            assert!(
                (pressure_rates[j] - want).abs() < 1e-5,
                "dp{j}/df{run}: {} {want}",
                pressure_rates[j]
            );
            sum += pressure_weights[j] * pressure_rates[j];
        }
        assert!((adjoint - sum).abs() < 1e-12, "run {run}: {adjoint} {sum}");
    }
}

#[test]
fn what_is_not_finite_is_named_at_once() {
    let stuck = solve(
        2,
        &[(0, 1), (1, 0)],
        &[],
        &[],
        1.0,
        |run, m| {
            if run == 1 { m * f64::NAN } else { m }
        },
    )
    .err()
    .unwrap();
    assert_eq!(
        stuck.reason,
        Reason::NotFinite { quantity: Quantity::Fall, index: 1, flow_kg_s: Some(1.0) }
    );
    assert_eq!(stuck.to_string(), "the fall of run 1 is not a finite number at a flow of 1 kg/s");
    assert_eq!(stuck.evaluations, 1);
    let start = solve(2, &[(0, 1), (1, 0)], &[], &[], f64::INFINITY, |_, m| m).err().unwrap();
    let want = Reason::NotFinite { quantity: Quantity::Start, index: 0, flow_kg_s: None };
    assert_eq!(start.reason, want);
}

/// A source that nothing resists has no answer, and the error says which run.
#[test]
fn a_source_without_resistance_is_stuck() {
    let stuck =
        solve(
            2,
            &[(0, 1), (1, 0)],
            &[],
            &[],
            1.0,
            |run, m| {
                if run == 0 { m * 0.0 - 10.0 } else { m * 0.0 }
            },
        )
        .err()
        .unwrap();
    assert!(matches!(stuck.reason, Reason::Restless | Reason::Iterations), "{stuck}");
    assert!(
        stuck.worst_run.is_some() && (stuck.worst_closure_pa.abs() - 10.0).abs() < 1e-9,
        "{stuck:?}"
    );
    let last = stuck.residual_history.last().expect("what the last step found");
    assert!((last.closure_pa.abs() - 10.0).abs() < 1e-9 && last.change_kg_s > 0.0, "{last:?}");
    assert_eq!((stuck.starts, stuck.worst_junctions.is_some()), (5, true));
    let text = stuck.to_string();
    assert!(text.contains("furthest from balance is the loop of run "), "{text}");
    assert!(text.contains("1.000e1 Pa at "), "{text}");
}

/// Two sources level in reverse stand side by side, and a third drives both backwards: no law says
/// how they share that flow, and none has a slope where the search begins. The rest is determined:
/// 20 Pa less 2 Pa over 2 Pa/(kg/s)².
#[test]
fn level_sources_side_by_side_do_not_stop_the_search() {
    let level = |m: Dual<1>| if m.value < 0.0 { m * 0.0 - 2.0 } else { m * m * 5.0 - 2.0 };
    for start in [-1.0, 0.0, 0.1, 30.0] {
        let answer = solve(2, &[(0, 1), (0, 1), (0, 1)], &[], &[], start, |run, m| match run {
            0 => quadratic(2.0, m) - 20.0,
            _ => level(m),
        })
        .unwrap();
        assert!((answer.flows[0] - 3.0).abs() < 1e-9, "start {start}: {:?}", answer.flows);
        assert!((answer.flows[1] + answer.flows[2] + 3.0).abs() < 1e-9, "{:?}", answer.flows);
        assert!(!answer.solved.continued, "{:?}", answer.solved);
    }
}

/// Level sources of different strength have a slope of zero around their loop, and yet a fall: the
/// flow goes round them until one of them resists. 5 m² = 3 at the weaker.
#[test]
fn level_sources_against_each_other_leave_the_level() {
    let level = |head: f64, m: Dual<1>| {
        if m.value < 0.0 { m * 0.0 - head } else { m * m * 5.0 - head }
    };
    for start in [-1.0, 0.0, -1e-3] {
        let answer =
            solve(2, &[(0, 1), (0, 1)], &[], &[], start, |run, m| level([5.0, 2.0][run], m))
                .unwrap();
        assert!(
            (answer.flows[0] - 0.6_f64.sqrt()).abs() < 1e-9,
            "start {start}: {:?}",
            answer.flows
        );
    }
}

/// A loop whose falls are large and whose slope is tiny: the last digit of the sum of the falls is
/// worth more flow than a step may have at the end. It is taken for the rounding that it is.
#[test]
fn the_last_digit_of_a_sum_does_not_keep_the_flow_moving() {
    for start in [0.0, 0.1, -7.0, 1e-3] {
        let answer = solve(2, &[(0, 1), (0, 1), (1, 0)], &[], &[], start, |run, m| match run {
            0 => m * m * m * 0.03 - 11266.003108528033 + m * 0.2,
            1 => m * 0.02 - 11266.003108528099,
            _ => m * 2e6,
        })
        .unwrap();
        assert!(!answer.solved.continued, "start {start}: {:?}", answer.solved);
    }
}

/// Two bare joints side by side: nothing says how they share the flow, and the answer says so.
#[test]
fn bare_joints_side_by_side_are_undetermined() {
    let answer = solve(2, &[(0, 1), (0, 1), (1, 0)], &[], &[], 1.0, |run, m| {
        if run < 2 { m * 0.0 } else { quadratic(3.0, m) - 12.0 }
    })
    .unwrap();
    assert!(answer.solved.undetermined);
    assert!((answer.flows[2] - 2.0).abs() < 1e-9, "{:?}", answer.flows);
}

#[test]
fn bad_networks_are_refused() {
    assert_eq!(
        Network::new(2, &[(0, 2)], &[]).unwrap_err(),
        BadNetwork::NoSuchJunction { run: 0, junction: 2 }
    );
    assert_eq!(
        Network::new(2, &[(0, 1)], &[(0, 1)]).unwrap_err(),
        BadNetwork::NoSuchRun { coupling: 0, run: 1 }
    );
    assert_eq!(
        Network::new(2, &[(0, 1)], &[(0, 0)]).unwrap_err(),
        BadNetwork::SelfCoupling { coupling: 0 }
    );
    assert!(Network::new(0, &[], &[]).is_ok());
}
