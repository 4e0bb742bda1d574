//! What two liquids pass on to each other through a plate: its conductance from one rated point.

/// How two liquids go past each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Passing {
    /// One against the other.
    Counter,
    /// Both the same way.
    Parallel,
}

/// The conductance between two liquids that passes on a heat, W/K: UA = N·C₁.
///
/// Counter: N = ln((1 − ε·R)/(1 − ε))/(1 − R), and ε/(1 − ε) for R = 1; parallel: N = −ln(1 − ε·(1 + R))/(1 + R);
/// ε = Q/(C₁·ΔT), R = C₁/C₂.
///
/// `heat_w` Q and `difference_k` ΔT, the inlet of one liquid less that of the other, both above zero; `capacities_w_k` C₁ and
/// C₂ in W/K, the capacity flows, above zero. Infinite from [`most_passed_w`] on.
///
/// Source: Kays & London, Compact Heat Exchangers, ch. 2: counterflow and parallel flow, solved for the transfer units.
pub fn passing_conductance_w_k(
    heat_w: f64,
    difference_k: f64,
    [first, second]: [f64; 2],
    passing: Passing,
) -> f64 {
    if heat_w >= most_passed_w(difference_k, [first, second], passing) {
        return f64::INFINITY;
    }
    let (effectiveness, ratio) = (heat_w / (first * difference_k), first / second);
    let units = match passing {
        // ln((1 − εR)/(1 − ε)) = ln(1 + x·(1 − R)), x = ε/(1 − ε): no difference of what is nearly equal.
        Passing::Counter => {
            let (x, unlike) = (effectiveness / (1.0 - effectiveness), 1.0 - ratio);
            if unlike.abs() < 1e-9 { x } else { (x * unlike).ln_1p() / unlike }
        }
        Passing::Parallel => -(-effectiveness * (1.0 + ratio)).ln_1p() / (1.0 + ratio),
    };
    units * first
}

/// The most heat that two liquids pass on, however large the plate, W: min(C₁; C₂)·ΔT against each other, C₁·ΔT/(1 + C₁/C₂) the
/// same way. Quantities and source as in [`passing_conductance_w_k`].
pub fn most_passed_w(difference_k: f64, [first, second]: [f64; 2], passing: Passing) -> f64 {
    let flow = match passing {
        Passing::Counter => first.min(second),
        Passing::Parallel => first * second / (first + second),
    };
    flow * difference_k
}

#[cfg(test)]
mod tests {
    use super::{Passing, most_passed_w, passing_conductance_w_k};

    /// Effectiveness at transfer units 1 and a ratio of capacity flows of 0.5: Incropera et al., Fundamentals of Heat and Mass
    /// Transfer, table 11.3 (from memory): counterflow (1 − e^(−0.5))/(1 − 0.5·e^(−0.5)), parallel (1 − e^(−1.5))/1.5.
    #[test]
    fn a_rating_gives_the_transfer_units_of_the_handbook() {
        let counter = (1.0 - (-0.5_f64).exp()) / (1.0 - 0.5 * (-0.5_f64).exp());
        let parallel = (1.0 - (-1.5_f64).exp()) / 1.5;
        for (passing, of_smaller) in [(Passing::Counter, counter), (Passing::Parallel, parallel)] {
            // Whichever of both is the first.
            for flows in [[100.0, 200.0], [200.0, 100.0]] {
                let ua = passing_conductance_w_k(of_smaller * 100.0 * 40.0, 40.0, flows, passing);
                assert!((ua / 100.0 - 1.0).abs() < 1e-12, "{passing:?} {flows:?} {ua}");
            }
        }
        // Equal capacity flows in counterflow: N/(1 + N).
        for second in [100.0, 100.0 * (1.0 + 1e-8), 100.0 * (1.0 + 1e-10)] {
            let ua =
                passing_conductance_w_k(0.75 * 4000.0, 40.0, [100.0, second], Passing::Counter);
            assert!((ua / 300.0 - 1.0).abs() < 1e-7, "{ua}");
        }
    }

    /// Incropera et al., 6th ed., example 11.1 (from memory): oil 0.1 kg/s, 2131 J/(kg·K), 100 to 60 °C, against water 0.2 kg/s,
    /// 4178 J/(kg·K), from 30 °C: 8524 W, a mean logarithmic difference of 43.2 K.
    #[test]
    fn an_oil_cooler_of_a_textbook() {
        let ua = passing_conductance_w_k(8524.0, 70.0, [213.1, 835.6], Passing::Counter);
        assert!((ua / (8524.0 / 43.2) - 1.0).abs() < 2e-3, "{ua}");
    }

    #[test]
    fn no_plate_passes_on_more_than_there_is() {
        for passing in [Passing::Counter, Passing::Parallel] {
            for flows in [[100.0, 250.0], [250.0, 100.0], [90.0, 90.0]] {
                let most = most_passed_w(30.0, flows, passing);
                let at = |share: f64| passing_conductance_w_k(share * most, 30.0, flows, passing);
                assert!(at(0.5) > 0.0 && at(0.999) > at(0.99), "{passing:?} {flows:?}");
                let beyond = at(1.001);
                assert!(!(beyond > 0.0 && beyond.is_finite()), "{passing:?} {flows:?} {beyond}");
            }
        }
    }
}
