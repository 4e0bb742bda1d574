//! Laws for tests: each adds to the fall and the slope of one run.

use coolwright_solver::scalar::{Dual, Scalar};
use std::f64::consts::PI;

/// What flows: density kg/m³, dynamic viscosity Pa·s.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Fluid {
    pub(crate) rho: f64,
    pub(crate) mu: f64,
}

#[derive(Clone, Copy, Debug)]
pub(crate) enum Law {
    /// A round passage: bore m, length m, roughness m, loss coefficient.
    Hose(f64, f64, f64, f64),
    /// A sudden change of bore, m, in the sense of the run.
    Bore(f64, f64),
    /// A fall Pa at a volume flow m³/s, with an exponent.
    Rated(f64, f64, f64),
    /// A tabulated source at a speed; −1 pushes against the run.
    Pump(&'static Table, f64, f64),
}

/// Friction factor: Churchill, Chem. Eng. 84(24), 1977, 91.
pub(crate) fn churchill<S: Scalar>(re: S, relative: f64) -> S {
    let a = (((S::from(7.0) / re).powf(0.9) + 0.27 * relative).ln() * -2.457).powi(16);
    let b = (S::from(37530.0) / re).powi(16);
    ((S::from(8.0) / re).powi(12) + (a + b).powf(-1.5)).powf(1.0 / 12.0) * 8.0
}

/// Rise Pa of a source and its slope Pa·s/m³ at volume flows m³/s that begin at 0, `step` apart.
#[derive(Debug)]
pub(crate) struct Table {
    step: f64,
    rise: [f64; 8],
    slope: [f64; 8],
}

/// The sources of the split.
pub(crate) const SPLIT: Table = Table {
    step: 2.5e-4,
    rise: [88000.0, 86000.0, 81800.0, 74400.0, 63400.0, 48400.0, 29200.0, 5400.0],
    slope: [-4.5e6, -1.2e7, -2.3e7, -3.65e7, -5.2e7, -6.8e7, -8.6e7, -1.05e8],
};

/// The sources of the grids, and half that of the second circuit of the pull.
pub(crate) const GRID: Table = Table {
    step: 4e-4,
    rise: [110000.0, 108500.0, 104500.0, 97500.0, 86500.0, 70000.0, 46000.0, 15000.0],
    slope: [-1.5e6, -6e6, -1.3e7, -2.1e7, -3.3e7, -5e7, -7e7, -8.5e7],
};

/// Rise of a tabulated source: cubic Hermite, continued linearly.
pub(crate) fn rise<S: Scalar>(table: &Table, q: S) -> S {
    let Table { step, rise, slope } = table;
    let last = 7.0 * step;
    if q.value() <= 0.0 {
        return q * slope[0] + rise[0];
    }
    if q.value() >= last {
        return (q - last) * slope[7] + rise[7];
    }
    let i = (1..7).take_while(|i| q.value() >= f64::from(*i) * step).count();
    let t = q / *step - i as f64;
    let (d0, d1) = (slope[i] * step, slope[i + 1] * step);
    let c2 = 3.0 * (rise[i + 1] - rise[i]) - 2.0 * d0 - d1;
    let c3 = 2.0 * (rise[i] - rise[i + 1]) + d0 + d1;
    ((t * c3 + c2) * t + d0) * t + rise[i]
}

impl Law {
    pub(crate) fn fall(self, fluid: Fluid, m: Dual<1>) -> Dual<1> {
        let Fluid { rho, mu } = fluid;
        match self {
            Law::Hose(bore, length, rough, loss) => {
                let area = PI * bore * bore / 4.0;
                let re = m.abs() * (4.0 / (PI * bore * mu));
                if re.value < 1e-3 {
                    return m * (128.0 * mu * length / (PI * rho * bore.powi(4)));
                }
                let k = churchill(re, rough / bore) * (length / bore) + loss;
                k * m * m.abs() / (2.0 * rho * area * area)
            }
            Law::Bore(first, second) => {
                let (from, to) = if m.value < 0.0 { (second, first) } else { (first, second) };
                let small = from.min(to);
                let s = (small / from.max(to)).powi(2);
                let k = if to > from { (1.0 - s).powi(2) } else { 0.5 * (1.0 - s) };
                let area = PI * small * small / 4.0;
                m * m.abs() * (k / (2.0 * rho * area * area))
            }
            Law::Rated(fall, volume_flow, exponent) => {
                if m.value == 0.0 {
                    return m * 0.0;
                }
                let size = (m.abs() / (rho * volume_flow)).powf(exponent) * fall;
                if m.value < 0.0 { -size } else { size }
            }
            Law::Pump(table, speed, sense) => {
                rise(table, m * (sense / (rho * speed))) * (-sense * speed * speed)
            }
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
    for (what, got, want) in [
        ("split", rise(&SPLIT, 6e-4), 79243.2),
        ("split at 0.7", 0.49 * rise(&SPLIT, 6e-4 / 0.7), 34377.4285714),
        ("beyond the split's", rise(&SPLIT, 2e-3), -20850.0),
        ("before the split's", rise(&SPLIT, -1e-4), 88450.0),
        ("slope of the split's", rise(&SPLIT, Dual::variable(6e-4)).slope(), -2.8184e7),
        ("grid", rise(&GRID, 1e-3), 101400.0),
        ("slope of the grid's", rise(&GRID, Dual::variable(1e-3)).slope(), -1.775e7),
        ("grid at 0.7", 0.49 * rise(&GRID, 1e-3 / 0.7), 44979.5714286),
        ("beyond the grid's", rise(&GRID, 3e-3), -2000.0),
        ("before the grid's", rise(&GRID, -1e-4), 110150.0),
    ] {
        super::check_relative(what, got, want, 1e-11);
    }
}
