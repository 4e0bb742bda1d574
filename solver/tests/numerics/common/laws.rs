//! Laws for tests: each adds to the fall and the slope of one run.

use coolwright_solver::scalar::{Dual, Scalar};
use std::f64::consts::PI;

pub(crate) const RHO: f64 = 1040.0;
pub(crate) const MU: f64 = 1.35e-3;

#[derive(Clone, Copy, Debug)]
pub(crate) enum Law {
    /// A round passage: bore m, length m, roughness m, loss coefficient.
    Hose(f64, f64, f64, f64),
    /// A sudden change of bore, m, in the sense of the run.
    Bore(f64, f64),
    /// A fall Pa at a volume flow m³/s, with an exponent.
    Rated(f64, f64, f64),
    /// The tabulated source at a speed; −1 pushes against the run.
    Pump(f64, f64),
}

/// Friction factor: Churchill, Chem. Eng. 84(24), 1977, 91.
pub(crate) fn churchill<S: Scalar>(re: S, relative: f64) -> S {
    let a = (((S::from(7.0) / re).powf(0.9) + 0.27 * relative).ln() * -2.457).powi(16);
    let b = (S::from(37530.0) / re).powi(16);
    ((S::from(8.0) / re).powi(12) + (a + b).powf(-1.5)).powf(1.0 / 12.0) * 8.0
}

const Q: f64 = 4e-4;
const H: [f64; 8] = [110000.0, 108500.0, 104500.0, 97500.0, 86500.0, 70000.0, 46000.0, 15000.0];
const DH: [f64; 8] = [-1.5e6, -6e6, -1.3e7, -2.1e7, -3.3e7, -5e7, -7e7, -8.5e7];

/// Rise of the tabulated source: cubic Hermite, continued linearly.
pub(crate) fn rise<S: Scalar>(q: S) -> S {
    let last = 7.0 * Q;
    if q.value() <= 0.0 {
        return q * DH[0] + H[0];
    }
    if q.value() >= last {
        return (q - last) * DH[7] + H[7];
    }
    let i = (1..7).take_while(|i| q.value() >= f64::from(*i) * Q).count();
    let t = q / Q - i as f64;
    let (d0, d1) = (DH[i] * Q, DH[i + 1] * Q);
    let c2 = 3.0 * (H[i + 1] - H[i]) - 2.0 * d0 - d1;
    let c3 = 2.0 * (H[i] - H[i + 1]) + d0 + d1;
    ((t * c3 + c2) * t + d0) * t + H[i]
}

impl Law {
    pub(crate) fn fall(self, m: Dual<1>) -> Dual<1> {
        match self {
            Law::Hose(bore, length, rough, loss) => {
                let area = PI * bore * bore / 4.0;
                let re = m.abs() * (4.0 / (PI * bore * MU));
                if re.value < 1e-3 {
                    return m * (128.0 * MU * length / (PI * RHO * bore.powi(4)));
                }
                let k = churchill(re, rough / bore) * (length / bore) + loss;
                k * m * m.abs() / (2.0 * RHO * area * area)
            }
            Law::Bore(first, second) => {
                let (from, to) = if m.value < 0.0 { (second, first) } else { (first, second) };
                let small = from.min(to);
                let s = (small / from.max(to)).powi(2);
                let k = if to > from { (1.0 - s).powi(2) } else { 0.5 * (1.0 - s) };
                let area = PI * small * small / 4.0;
                m * m.abs() * (k / (2.0 * RHO * area * area))
            }
            Law::Rated(fall, volume_flow, exponent) => {
                if m.value == 0.0 {
                    return m * 0.0;
                }
                let size = (m.abs() / (RHO * volume_flow)).powf(exponent) * fall;
                if m.value < 0.0 { -size } else { size }
            }
            Law::Pump(speed, sense) => rise(m * (sense / (RHO * speed))) * (-sense * speed * speed),
        }
    }
}

#[test]
fn laws_have_the_printed_check_values() {
    // From the definition of the bench problems.
    let f = |re, e| churchill(re, e);
    for (re, e, want) in [
        (500.0, 1e-4, 0.128),
        (2500.0, 1e-4, 0.0351513478928),
        (3000.0, 1e-4, 0.0430489925710),
        (1e4, 3e-4, 0.0315250666154),
        (1e5, 1e-4, 0.0184626245663),
    ] {
        super::check_relative("friction factor", f(re, e), want, 1e-11);
    }
    super::check_relative("rise", rise(1e-3), 101400.0, 1e-12);
    super::check_relative("rise at 0.7", 0.49 * rise(1e-3 / 0.7), 44979.5714286, 1e-11);
    super::check_relative("rise", rise(3e-3), -2000.0, 1e-12);
    super::check_relative("rise", rise(-1e-4), 110150.0, 1e-12);
}
