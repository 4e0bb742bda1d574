//! The two ways to solve the linear systems, beside each other on the same random networks.

use super::{Laws, Network, Settings, Solved, Stability};

/// Uniform numbers from 0 to 1 (`SplitMix64`, Steele, Lea & Flood 2014).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 * (-53_f64).exp2()
    }

    fn below(&mut self, count: usize) -> usize {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // It is below `count`.
        let index = (self.next() * count as f64) as usize;
        index
    }
}

/// fall = linear m + quadratic m|m| − source − rise m (forward only) + Σ couplings, with a wall
/// against backward flow in some runs.
#[derive(Clone, Debug, Default)]
struct Circuit {
    junctions: usize,
    ends: Vec<(usize, usize)>,
    linear: Vec<f64>,
    quadratic: Vec<f64>,
    source: Vec<f64>,
    rise: Vec<f64>,
    wall: Vec<f64>,
    pairs: Vec<(usize, usize)>,
    share: Vec<f64>,
    held: Vec<Option<f64>>,
    inflow: Vec<f64>,
    settings: Settings,
}

impl Laws for Circuit {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        for (i, &m) in flows.iter().enumerate() {
            let rise = if m > 0.0 { self.rise[i] } else { 0.0 };
            let wall = if m < 0.0 { self.wall[i] } else { 0.0 };
            let linear = self.linear[i] + wall - rise;
            falls[i] = linear * m + self.quadratic[i] * m * m.abs() - self.source[i];
            slopes[i] = linear + 2.0 * self.quadratic[i] * m.abs();
        }
        for ((&(of, on), share), slot) in self.pairs.iter().zip(&self.share).zip(cross) {
            let k = share * self.quadratic[of].min(self.quadratic[on]);
            falls[of] += k * flows[on] * flows[on].abs();
            *slot = 2.0 * k * flows[on].abs();
        }
    }
}

impl Circuit {
    /// Three components, each a chain with random runs across it, and dead ends on it.
    fn random(seed: u64, decades: f64) -> Self {
        let mut numbers = Numbers(seed);
        let mut circuit = Self::default();
        for size in [25, 12, 3] {
            let first = circuit.junctions;
            circuit.junctions += size;
            for junction in 1..size {
                circuit.ends.push((first + junction - 1, first + junction));
            }
            for _ in 0..size * 2 {
                circuit.ends.push((first + numbers.below(size), first + numbers.below(size)));
            }
            circuit.ends.push((first + numbers.below(size), circuit.junctions));
            circuit.junctions += 1;
        }
        for _ in 0..circuit.ends.len() {
            let mut power = || 10_f64.powf(decades * (numbers.next() - 0.5) + 3.0);
            circuit.linear.push(power());
            circuit.quadratic.push(power());
            let source = if numbers.next() < 0.3 { 2e5 * (numbers.next() - 0.5) } else { 0.0 };
            circuit.source.push(source);
            circuit.rise.push(0.0);
            circuit.wall.push(if numbers.next() < 0.1 { 1e9 } else { 0.0 });
        }
        circuit.held = vec![None; circuit.junctions];
        circuit.inflow = vec![0.0; circuit.junctions];
        circuit
    }

    fn solve(&mut self, network: &mut Network) -> (Vec<f64>, Vec<f64>, Solved) {
        let (held, inflow, settings) = (self.held.clone(), self.inflow.clone(), self.settings);
        let mut flows: Vec<f64> =
            (0..self.ends.len()).map(|i| 0.1 * ((i * 7) % 5) as f64).collect();
        let mut pressures = vec![0.0; self.junctions];
        let solved = network
            .solve(self, &inflow, &held, &mut flows, &mut pressures, &settings)
            .unwrap_or_else(|stuck| panic!("{stuck}\n{stuck:?}\n{self:?}"));
        (flows, pressures, solved)
    }

    fn networks(&self) -> [Network; 2] {
        [usize::MAX, 0]
            .map(|most| Network::by_route(self.junctions, &self.ends, &self.pairs, most).unwrap())
    }

    /// Solves by both routes and compares.
    fn compare(&mut self, what: &str) -> [Solved; 2] {
        let [mut dense, mut nodal] = self.networks();
        let (flows, pressures, by_dense) = self.solve(&mut dense);
        let (others, levels, by_nodal) = self.solve(&mut nodal);
        close(&format!("{what}: flow"), &flows, &others, 1e-9);
        close(&format!("{what}: pressure"), &pressures, &levels, 1e-9);
        close(&format!("{what}: outside"), dense.outside(), nodal.outside(), 1e-9);
        // At the foot of a wall there are two slopes, and either route may stand on its own side.
        let foot = |(flow, wall): (&f64, &f64)| *wall > 0.0 && flow.abs() < 1e-9;
        if !flows.iter().zip(&self.wall).any(foot) {
            self.compare_rates(what, &flows, [&mut dense, &mut nodal]);
        }
        let again = self.solve(&mut nodal);
        assert_eq!(
            (again.0, again.1, again.2),
            (others, levels, by_nodal),
            "{what}: not the same bits"
        );
        [by_dense, by_nodal]
    }

    fn compare_rates(&self, what: &str, flows: &[f64], [dense, nodal]: [&mut Network; 2]) {
        let rates: Vec<f64> = (0..flows.len()).map(|i| f64::from(u8::from(i % 5 == 0))).collect();
        let answer = |network: &mut Network| {
            let (mut dm, mut dp) = (flows.to_vec(), self.inflow.clone());
            let mut weights = flows.to_vec();
            network.sensitivity_solve(&rates, &mut dm, &mut dp).unwrap();
            network.adjoint_solve(&rates, &self.inflow, &mut weights).unwrap();
            (dm, dp, weights)
        };
        let (a, b) = (answer(dense), answer(nodal));
        close(&format!("{what}: flow rate"), &a.0, &b.0, 1e-8);
        close(&format!("{what}: pressure rate"), &a.1, &b.1, 1e-8);
        close(&format!("{what}: adjoint"), &a.2, &b.2, 1e-8);
    }
}

/// Equal to a share of the largest.
fn close(what: &str, a: &[f64], b: &[f64], share: f64) {
    let largest = a.iter().fold(0.0_f64, |most, x| most.max(x.abs()));
    for (i, (a, b)) in a.iter().zip(b).enumerate() {
        assert!((a - b).abs() <= share * largest, "{what} {i}: {a:e} and {b:e} beside {largest:e}");
    }
}

#[test]
fn both_routes_agree() {
    for seed in 0..300 {
        let mut circuit = Circuit::random(seed, 4.0);
        // Rates follow the slopes, and those the smallest flows, so these have to be at rest.
        circuit.settings.change = 1e-14;
        let [dense, nodal] = circuit.compare(&format!("seed {seed}"));
        assert_eq!((dense.continued, nodal.continued), (false, false), "seed {seed}");
        assert!(nodal.iterations <= dense.iterations + 2, "seed {seed}: {dense:?} {nodal:?}");
    }
}

#[test]
fn both_routes_agree_over_twelve_decades() {
    for seed in 0..300 {
        Circuit::random(seed, 12.0).compare(&format!("seed {seed}"));
    }
}

/// Held pressures, flows from outside, and dead ends without either, which carry nothing.
#[test]
fn both_routes_agree_with_an_outside() {
    for seed in 0..100 {
        let mut circuit = Circuit::random(seed, 4.0);
        circuit.held[7] = Some(3e5);
        circuit.held[20] = Some(1e5);
        circuit.held[30] = Some(-2e4);
        (circuit.inflow[3], circuit.inflow[40], circuit.inflow[42]) = (0.7, 0.2, -0.2);
        circuit.compare(&format!("seed {seed}"));
        let [_, mut nodal] = circuit.networks();
        let (flows, _, _) = circuit.solve(&mut nodal);
        for (end, flow) in circuit.ends.iter().zip(&flows) {
            if [25, 38].contains(&end.1) {
                assert!(*flow == 0.0, "seed {seed}: dead end {end:?} carries {flow}");
            }
        }
    }
}

/// Couplings of both signs; where they are strong, either route may end at another balance.
#[test]
fn both_routes_agree_with_couplings() {
    for seed in 0..200 {
        let mut circuit = Circuit::random(seed, 2.0);
        let mut numbers = Numbers(seed + 1000);
        while circuit.pairs.len() < 12 {
            let pair = (numbers.below(circuit.ends.len()), numbers.below(circuit.ends.len()));
            if pair.0 != pair.1 {
                circuit.pairs.push(pair);
                circuit.share.push(0.6 * (numbers.next() - 0.5));
            }
        }
        let [dense, nodal] = circuit.compare(&format!("seed {seed}"));
        if dense.stability == Stability::Stable {
            assert_eq!(nodal.stability, Stability::Stable, "seed {seed}");
        }
    }
}

/// Quadratic laws from rest: every slope is zero at the start, and stays so where nothing drives.
#[test]
fn both_routes_agree_without_linear_resistance() {
    for seed in 0..100 {
        let mut circuit = Circuit::random(seed, 2.0);
        circuit.linear.fill(0.0);
        circuit.wall.fill(0.0);
        for source in &mut circuit.source[..20] {
            *source += 1e3;
        }
        let [mut dense, mut nodal] = circuit.networks();
        let (flows, _, _) = circuit.solve(&mut dense);
        let (others, _, _) = circuit.solve(&mut nodal);
        close(&format!("seed {seed}"), &flows, &others, 1e-6);
    }
}

/// Heads that rise with flow: the balance found is one that the flows do not depart from.
#[test]
fn rising_heads_end_at_a_stable_balance() {
    let mut falling = 0;
    for seed in 0..200 {
        let mut circuit = Circuit::random(seed, 2.0);
        for (i, rise) in circuit.rise.iter_mut().enumerate() {
            if circuit.source[i] > 0.0 {
                *rise = 2.0 * (circuit.source[i] * circuit.quadratic[i]).sqrt();
            }
        }
        let [mut dense, mut nodal] = circuit.networks();
        let (flows, pressures, solved) = circuit.solve(&mut nodal);
        assert_eq!(solved.stability, Stability::Stable, "seed {seed}");
        let (mut falls, mut slopes) = (flows.clone(), flows.clone());
        circuit.evaluate(&flows, &mut falls, &mut slopes, &mut []);
        falling += usize::from(slopes.iter().any(|slope| *slope < 0.0));
        for (&(from, to), fall) in circuit.ends.iter().zip(&falls) {
            let want = pressures[from] - pressures[to];
            assert!((fall - want).abs() < 1e-8 * (1e5 + fall.abs()), "seed {seed}: {fall} {want}");
        }
        // The other route agrees that this is a stable balance.
        let (mut start, mut levels) = (flows.clone(), pressures.clone());
        let (held, inflow) = (circuit.held.clone(), circuit.inflow.clone());
        let settings = Settings::default();
        let again = dense.solve(&mut circuit, &inflow, &held, &mut start, &mut levels, &settings);
        assert_eq!(again.unwrap().stability, Stability::Stable, "seed {seed}");
        close(&format!("seed {seed}"), &flows, &start, 1e-9);
    }
    assert!(falling > 10, "only {falling} answers with a falling law");
}
