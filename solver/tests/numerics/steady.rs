//! Steady states, against closed forms, and systems that have none.

use coolwright_solver::integrate::{Interrupt, NoSteadyReason, SteadySettings, System, steady};

/// A chain of bodies between two held temperatures, with radiation from each to its surroundings
/// when `radiates`; heated at the first. All quantities in SI units.
struct Chain {
    bodies: usize,
    heat: f64,
    sink: f64,
    pattern: Vec<(usize, usize)>,
}

impl Chain {
    fn new(bodies: usize, heat: f64, sink: f64) -> Self {
        let pattern = (0..bodies)
            .flat_map(|i| (i.saturating_sub(1)..(i + 2).min(bodies)).map(move |j| (i, j)))
            .collect();
        Self { bodies, heat, sink, pattern }
    }
}

impl System for Chain {
    fn states(&self) -> usize {
        self.bodies
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &self.pattern
    }
    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        for i in 0..self.bodies {
            let left = if i > 0 { y[i - 1] - y[i] } else { self.heat };
            let right =
                if i + 1 < self.bodies { y[i + 1] - y[i] } else { self.sink * (300.0 - y[i]) };
            rate[i] = left + right;
        }
        Ok(())
    }
    fn jacobian(&mut self, _: f64, _: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        for (value, &(i, j)) in values.iter_mut().zip(&self.pattern) {
            let links =
                f64::from(u8::from(i > 0)) + if i + 1 < self.bodies { 1.0 } else { self.sink };
            *value = if i == j { -links } else { 1.0 };
        }
        Ok(())
    }
}

/// Heat flows down the chain: each body is warmer than the next by the heat over the conductance.
#[test]
fn a_heated_chain_settles_to_its_closed_form() {
    for bodies in [1, 2, 50] {
        let mut chain = Chain::new(bodies, 7.0, 0.5);
        let mut y = vec![0.0; bodies];
        let report = steady(&mut chain, &mut y, &SteadySettings::default()).unwrap();
        for (i, got) in y.iter().enumerate() {
            let want = 300.0 + 7.0 / 0.5 + 7.0 * (bodies - 1 - i) as f64;
            assert!((got - want).abs() < 1e-6, "{bodies} bodies, {i}: got {got}, want {want}");
        }
        assert!(report.steps < 30, "{report:?}");
    }
}

/// Without a sink the heat has nowhere to go: all bodies keep warming by heat / number.
#[test]
fn a_chain_without_sink_keeps_moving_and_says_how_fast() {
    let mut chain = Chain::new(4, 8.0, 0.0);
    let mut y = vec![300.0; 4];
    let failure = steady(&mut chain, &mut y, &SteadySettings::default()).unwrap_err();
    assert_eq!(failure.reason, NoSteadyReason::KeepsMoving);
    assert!((failure.rate_per_s - 2.0).abs() < 1e-3, "{failure}");
}

/// A closed chain at rest is steady as it stands, though its Jacobian is singular.
#[test]
fn a_conserving_system_keeps_what_it_holds() {
    let mut chain = Chain::new(5, 0.0, 0.0);
    let mut y = vec![10.0, 0.0, 0.0, 0.0, 40.0];
    steady(&mut chain, &mut y, &SteadySettings::default()).unwrap();
    for got in y {
        assert!((got - 10.0).abs() < 1e-6, "the mean of 50 over five bodies: {got}");
    }
}

/// A body that radiates: ε σ A (T⁴ − S⁴) = Q, solved for T; and a bistable state, which ends on
/// the side where it starts: y' = y − y³ rests at −1 and 1, and departs from 0.
struct Scalar1(fn(f64) -> (f64, f64));

impl System for Scalar1 {
    fn states(&self) -> usize {
        1
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &[(0, 0)]
    }
    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        if y[0] < -1e6 {
            return Err(Interrupt::Shorten);
        }
        rate[0] = self.0(y[0]).0;
        Ok(())
    }
    fn jacobian(&mut self, _: f64, y: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        values[0] = self.0(y[0]).1;
        Ok(())
    }
}

#[test]
fn strongly_nonlinear_rates_settle() {
    let radiating =
        |t: f64| (2.0 - 5.67e-8 * (t.powi(4) - 300.0_f64.powi(4)), -4.0 * 5.67e-8 * t.powi(3));
    let want = (300.0_f64.powi(4) + 2.0 / 5.67e-8).powf(0.25);
    for start in [1.0, 300.0, 5000.0] {
        let mut y = [start];
        steady(&mut Scalar1(radiating), &mut y, &SteadySettings::default()).unwrap();
        assert!((y[0] - want).abs() < 1e-7, "from {start}: got {}, want {want}", y[0]);
    }
    let bistable = |y: f64| (y - y.powi(3), 1.0 - 3.0 * y * y);
    for (start, want) in [(0.01, 1.0), (-0.01, -1.0), (7.0, 1.0)] {
        let mut y = [start];
        let careful = SteadySettings { first_step_s: 0.1, ..SteadySettings::default() };
        steady(&mut Scalar1(bistable), &mut y, &careful).unwrap();
        assert!((y[0] - want).abs() < 1e-7, "from {start}: got {}, want {want}", y[0]);
    }
}

#[test]
fn a_rate_that_is_no_number_is_named() {
    let mut y = [0.0];
    let failure =
        steady(&mut Scalar1(|_| (f64::NAN, 0.0)), &mut y, &SteadySettings::default()).unwrap_err();
    assert_eq!((failure.reason, failure.state), (NoSteadyReason::NotFinite, 0));
}
