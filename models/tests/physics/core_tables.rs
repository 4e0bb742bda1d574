//! Cores by tables: through every row, as `SciPy` between them, and on with the power of the last rows beyond.

use coolwright_models::air::{FallTable, UaTable};
use coolwright_models::slots::Values;
use coolwright_solver::scalar::Dual;

use crate::fluids::table::{Table, near};

const M: [f64; 5] = [0.2, 0.4, 0.7, 1.0, 1.5];
const W: [f64; 5] = [0.3, 0.6, 1.0, 1.6, 2.2];

/// The table of `tests/reference/scripts/core_tables.py`.
fn told(i: usize, j: usize) -> f64 {
    let dent = if (i, j) == (2, 2) { 0.93 } else { 1.0 };
    dent * 900.0 * (M[i] / 0.8).powf(0.3) * (W[j] / 1.2).powf(0.5)
}

fn table(values: &mut Values) -> UaTable {
    let ua: Vec<Vec<f64>> = (0..5).map(|i| (0..5).map(|j| told(i, j)).collect()).collect();
    let liquid = vec![vec![1.0; 5]; 5];
    let scale = values.add(1.0);
    UaTable::new((M.to_vec(), W.to_vec()), (&ua, &liquid), [1e-3, 0.5, 3.6e3], scale)
}

#[test]
fn it_passes_through_every_row_and_is_what_scipy_gives_between_them() {
    let mut values = Values::default();
    let table = table(&mut values);
    for (i, m) in M.into_iter().enumerate() {
        for (j, w) in W.into_iter().enumerate() {
            near("a row", table.at(&values, m, w), told(i, j), 1e-11 * told(i, j));
        }
    }
    for row in Table::read("core_tables.csv").rows() {
        let (m, w) = (row.number("coolant_flow"), row.number("air_flow"));
        row.check("ua", table.at(&values, m, w), 1e-11);
    }
}

/// Beyond the rows the powers that made them go on: 0.3 of the coolant flow and 0.5 of the air flow.
#[test]
fn beyond_its_rows_the_powers_of_the_ends_go_on() {
    let mut values = Values::default();
    let table = table(&mut values);
    for (m, w) in [(0.05, 0.1), (0.1, 4.0), (3.0, 0.1), (4.0, 5.0)] {
        let want = 900.0 * (m / 0.8_f64).powf(0.3) * (w / 1.2_f64).powf(0.5);
        near("beyond", table.at(&values, m, w), want, 1e-9 * want);
    }
    values.set(table.scale, 1.1);
    near("scaled", table.at(&values, 0.2, 0.3), 1.1 * told(0, 0), 1e-9 * told(0, 0));
}

#[test]
fn its_slopes_are_those_of_its_curves_and_it_rises_where_its_rows_rise() {
    let mut values = Values::default();
    let table = table(&mut values);
    let mut before = 0.0;
    for k in 0..400 {
        let w = 0.1 * 1.01_f64.powi(k);
        // Off the dent, which is no rise.
        let at = table.at(&values, 1.2, w);
        assert!(at > before, "{at} at {w} after {before}");
        before = at;
        for m in [0.1, 0.4, 0.65, 1.2, 3.0] {
            let e = 1e-6 * w;
            let slope = (table.at(&values, m, w + e) - table.at(&values, m, w - e)) / (2.0 * e);
            let got = table.at(&values, Dual::<1>::from(m), Dual::variable(w)).slope();
            assert!((got - slope).abs() < 1e-4 * slope.abs() + 1e-3, "{m} {w}: {got} {slope}");
        }
    }
}

/// Points of Δp·ρ = 120 w^1.7: all of that law comes back, at any density, forwards and backwards, but next to rest.
#[test]
fn a_fall_by_points_of_a_power_is_that_power() {
    let mut values = Values::default();
    let law = |w: f64| 120.0 * w.abs().powf(1.7) * w.signum();
    let flow = vec![0.4, 0.9, 1.3, 2.0];
    let fall: Vec<f64> = flow.iter().map(|w| law(*w)).collect();
    let table = FallTable::new(flow, &fall, values.add(1.0));
    for w in [-3.0, -1.0, 0.1, 0.39999, 0.4, 0.5, 0.9, 1.1, 2.0, 5.0] {
        for density in [0.9, 1.2] {
            let want = law(w) / density;
            near("fall", table.at(&values, 1.0, w, density), want, 3e-3 * want.abs());
            near("half open", table.at(&values, 0.5, 0.5 * w, density), want, 3e-3 * want.abs());
        }
    }
    near("at rest", table.at(&values, 1.0, 0.0, 1.2), 0.0, 1e-12);
    for w in [-1.3, -0.2, 0.0, 0.003, 0.2, 0.4, 0.401, 1.3, 2.5] {
        let at = |w: f64| table.at(&values, 1.0, w, 1.2);
        let slope = (at(w + 1e-7) - at(w - 1e-7)) / 2e-7;
        let got = table.at(&values, 1.0, Dual::<1>::variable(w), Dual::from(1.2)).slope();
        assert!((got - slope).abs() < 1e-3 * slope.abs(), "{w}: {got} {slope}");
        assert!(got > 0.0, "{w}: {got}");
    }
}
