//! Random circuits with machines whose head first rises with flow, and couplings that give
//! energy back: every answer balances, and the flows do not depart from it.

use crate::common::check_mass;
use coolwright_solver::network::{Laws, Network, Settings, Stability};
use proptest::prelude::*;

#[derive(Clone, Copy, Debug)]
struct Run {
    ends: (usize, usize),
    resistance: f64,
    /// Head at rest, or zero for a passive run, and its rise per flow.
    head: f64,
    rise: f64,
}

struct Circuit {
    runs: Vec<Run>,
    couplings: Vec<(usize, usize, f64)>,
}

impl Laws for Circuit {
    fn evaluate(
        &mut self,
        flows: &[f64],
        falls: &mut [f64],
        slopes: &mut [f64],
        cross: &mut [f64],
    ) {
        for (i, (run, m)) in self.runs.iter().zip(flows).enumerate() {
            let r = run.resistance;
            falls[i] = r * m * m.abs() + 0.01 * r * m - run.head;
            slopes[i] = 2.0 * r * m.abs() + 0.01 * r;
            if *m > 0.0 {
                falls[i] -= run.rise * m;
                slopes[i] -= run.rise;
            }
        }
        for (slot, &(of, on, share)) in cross.iter_mut().zip(&self.couplings) {
            // A share of the other's velocity head, with either sign.
            let k = share * self.runs[of].resistance.min(self.runs[on].resistance);
            falls[of] += k * flows[on] * flows[on].abs();
            *slot = 2.0 * k * flows[on].abs();
        }
    }
}

fn run(junctions: usize) -> impl Strategy<Value = Run> {
    let head = prop_oneof![1 => Just(0.0), 1 => 1e3_f64..1e5];
    (0..junctions, 0..junctions, 1.0_f64..6.0, head, 0.0_f64..3.0).prop_map(
        |(from, to, r, head, rise)| {
            let resistance = 10_f64.powf(r);
            // The rise peaks within the working range: head of the order of r m² at rise / 2r.
            let rise = if head > 0.0 { rise * (head * resistance).sqrt() } else { 0.0 };
            Run { ends: (from, to), resistance, head, rise }
        },
    )
}

fn circuit() -> impl Strategy<Value = (usize, Vec<Run>, Vec<(usize, usize, f64)>)> {
    (1_usize..6).prop_flat_map(|n| {
        let runs = proptest::collection::vec(run(n), 2..12);
        let couplings = proptest::collection::vec((0_usize..12, 0_usize..12, -0.4_f64..0.4), 0..4);
        (Just(n), runs, couplings)
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn rising_heads_and_negative_couplings_end_at_a_stable_balance(
        (junctions, runs, couplings) in circuit(),
        start in -1.0_f64..1.0,
    ) {
        let couplings: Vec<_> = couplings
            .into_iter()
            .filter(|(of, on, _)| of != on && *of < runs.len() && *on < runs.len())
            .collect();
        let ends: Vec<_> = runs.iter().map(|run| run.ends).collect();
        let pairs: Vec<_> = couplings.iter().map(|(of, on, _)| (*of, *on)).collect();
        let mut network = Network::new(junctions, &ends, &pairs).unwrap();
        let mut laws = Circuit { runs: runs.clone(), couplings };
        let mut flows = vec![start; runs.len()];
        let (inflow, held) = (vec![0.0; junctions], vec![None; junctions]);
        let mut pressures = vec![0.0; junctions];
        let solved = network
            .solve(&mut laws, &inflow, &held, &mut flows, &mut pressures, &Settings::default())
            .unwrap_or_else(|stuck| panic!("{stuck}\n{stuck:?}"));
        check_mass(&network, &ends, &flows);
        let (mut falls, mut slopes) = (flows.clone(), flows.clone());
        let mut cross = vec![0.0; pairs.len()];
        laws.evaluate(&flows, &mut falls, &mut slopes, &mut cross);
        for (i, &(from, to)) in ends.iter().enumerate() {
            let want = pressures[from] - pressures[to];
            prop_assert!((falls[i] - want).abs() < 1e-8 * (1e5 + falls[i].abs()), "run {i}: {} {want}", falls[i]);
        }
        if pairs.is_empty() {
            prop_assert_eq!(solved.stability, Stability::Stable);
        }
    }
}
