//! The integrator against closed forms and published reference solutions.

use crate::common::systems::{Cells, Driven, Linear, Lumps, Robertson};
use coolwright_solver::integrate::{
    Absolute, Failure, Integrator, Interrupt, Outcome, Settings, System,
};

fn settings(relative: f64, absolute: f64) -> Settings {
    Settings { relative, absolute: Absolute::Same(absolute), ..Settings::default() }
}

/// y' = −k (y − cos t) − sin t has the solution cos t however stiff it is (Prothero & Robinson,
/// Math. Comp. 28 (1974) 145).
#[test]
fn stiff_forcing_is_followed_within_the_tolerance() {
    for stiffness in [1.0, 1e3, 1e6] {
        for tolerance in [1e-4, 1e-6, 1e-8] {
            let mut system = Driven { stiffness };
            let mut integrator = Integrator::new(&system, settings(tolerance, tolerance)).unwrap();
            integrator.restart(0.0, &[1.0]);
            integrator.advance(&mut system, 10.0).unwrap();
            let error = (integrator.state()[0] - 10.0_f64.cos()).abs();
            assert!(error < 20.0 * tolerance, "k {stiffness}, tolerance {tolerance}: {error:e}");
        }
    }
}

/// Order measured on a smooth nonstiff problem: ten times smaller tolerances shrink the error as
/// the steps to the power 4 do.
#[test]
fn the_order_of_convergence_is_four() {
    let error_at = |h: f64| {
        let mut system = Driven { stiffness: 1.0 };
        let fixed = Settings { max_step_s: h, first_step_s: Some(h), ..settings(1e-1, 1e3) };
        let mut integrator = Integrator::new(&system, fixed).unwrap();
        integrator.restart(0.0, &[1.0]);
        integrator.advance(&mut system, 3.2).unwrap();
        (integrator.state()[0] - 3.2_f64.cos()).abs()
    };
    for (coarse, fine) in [(0.4, 0.2), (0.2, 0.1)] {
        let order = (error_at(coarse) / error_at(fine)).log2();
        assert!((3.7..4.6).contains(&order), "between {coarse} and {fine}: order {order}");
    }
}

/// Going back into the last step gives the state of that time, and the way goes on from there.
#[test]
fn a_step_can_be_gone_back_into() {
    let mut system = Driven { stiffness: 10.0 };
    let mut integrator = Integrator::new(&system, settings(1e-8, 1e-8)).unwrap();
    integrator.restart(0.0, &[1.0]);
    while integrator.time() < 1.0 {
        integrator.step_towards(&mut system, 5.0).unwrap();
    }
    let (begin, end) = integrator.last_step();
    let within = begin + 0.3 * (end - begin);
    integrator.go_back(within);
    assert!((integrator.time() - within).abs() < 1e-12, "{} s", integrator.time());
    assert!((integrator.state()[0] - within.cos()).abs() < 1e-6);
    integrator.advance(&mut system, 5.0).unwrap();
    assert!((integrator.state()[0] - 5.0_f64.cos()).abs() < 1e-6);
}

/// Step response of N stirred cells in series, 1 − e^(−Nθ) Σ_{i<N} (Nθ)^i / i!, a closed form.
#[test]
fn stirred_cells_respond_as_their_closed_form_says() {
    let cases = [
        (1, [0.39347, 0.63212, 0.86466]),
        (3, [0.19115, 0.57681, 0.93803]),
        (10, [0.03183, 0.54207, 0.99500]),
        (80, [f64::NAN; 3]),
    ];
    for (cells, printed) in cases {
        let mut system = Cells::new(cells, 1.0);
        let mut integrator = Integrator::new(&system, settings(1e-8, 1e-8)).unwrap();
        integrator.restart(0.0, &vec![0.0; cells]);
        for (theta, printed) in [0.5, 1.0, 2.0].into_iter().zip(printed) {
            integrator.advance(&mut system, theta).unwrap();
            let got = *integrator.state().last().unwrap();
            let want = Cells::response(cells, theta);
            assert!((got - want).abs() < 2e-7, "{cells} cells at {theta}: got {got}, want {want}");
            assert!(printed.is_nan() || (got - printed).abs() < 6e-6, "{got} against {printed}");
        }
    }
}

/// Robertson's reactions. Reference at 1e11 s: problem ROBER in F. Mazzia & C. Magherini, Test Set
/// for Initial Value Problem Solvers, release 2.4, 2008 (digits from memory).
#[test]
fn robertson_reactions_end_at_the_published_values() {
    let mut system = Robertson;
    let precise = Settings {
        relative: 1e-8,
        absolute: Absolute::Each(vec![1e-16, 1e-20, 1e-12]),
        ..Settings::default()
    };
    let mut integrator = Integrator::new(&system, precise).unwrap();
    integrator.restart(0.0, &[1.0, 0.0, 0.0]);
    integrator.advance(&mut system, 1e11).unwrap();
    let want = [0.2083340149701255e-7, 0.8333360770334713e-13, 0.999999979166505];
    for (state, (got, want)) in integrator.state().iter().zip(want).enumerate() {
        assert!((got / want - 1.0).abs() < 1e-5, "state {state}: got {got:e}, want {want:e}");
    }
    let statistics = integrator.statistics();
    assert!(statistics.steps < 1300, "{statistics:?}");
}

/// Lumped bodies heated by a fluid at T: y = T + (y0 − T) e^(−t/τ).
/// Çengel, Heat Transfer, example 4-1: a 1 mm bead of 8500 kg/m³ and 320 J/kgK at 210 W/m²K comes
/// to 99 % in 10 s as printed (9.94 s recomputed). Incropera et al., example 5.1: a 0.706 mm bead
/// of 8500 kg/m³ and 400 J/kgK at 400 W/m²K from 25 to 199 °C in a gas of 200 °C in 5.2 s as
/// printed (5.16 s).
#[test]
fn lumped_bodies_reach_their_mark_in_the_printed_time() {
    let bead = |density: f64, heat: f64, diameter: f64, film: f64| {
        density * heat * diameter / (6.0 * film)
    };
    let cases = [
        (bead(8500.0, 320.0, 1e-3, 210.0), 0.0, 1.0, 0.99, 9.94, 0.005),
        (bead(8500.0, 400.0, 7.06e-4, 400.0), 25.0, 200.0, 199.0, 5.16, 0.01),
    ];
    for (lag, start, fluid, mark, printed, digits) in cases {
        let mut system = Lumps { lag, fluid, mark };
        let mut integrator = Integrator::new(&system, settings(1e-7, 1e-7)).unwrap();
        integrator.restart(0.0, &[start]);
        let outcome = integrator.advance(&mut system, 100.0).unwrap();
        assert_eq!(outcome, Outcome::Crossed { switch: 0, rising: true });
        let want = -lag * ((mark - fluid) / (start - fluid)).ln();
        assert!((integrator.time() - want).abs() < 1e-4, "{} against {want}", integrator.time());
        assert!((integrator.time() - printed).abs() <= digits, "{} {printed}", integrator.time());
        assert!(integrator.state()[0] >= mark, "the state stands beyond the mark");
        // The audit holds what the body took up: its rate is that of the state.
        let taken = integrator.state()[0] - start;
        assert!((integrator.audits()[0] - taken).abs() < 1e-5 * taken, "{:?}", integrator.audits());
    }
}

/// Between steps the interpolant keeps to the front that travels through the cells.
#[test]
fn the_interpolant_is_as_good_as_the_steps_on_a_sharp_front() {
    let cells = 60;
    for tolerance in [1e-3, 1e-4, 1e-5] {
        let mut system = Cells::new(cells, 1.0);
        let mut integrator = Integrator::new(&system, settings(tolerance, tolerance)).unwrap();
        integrator.restart(0.0, &vec![0.0; cells]);
        let (mut at_steps, mut between) = (0.0_f64, 0.0_f64);
        let mut state = vec![0.0; cells];
        let mut underway = true;
        while underway {
            underway = integrator.step_towards(&mut system, 1.5).unwrap().is_none();
            let got = *integrator.state().last().unwrap();
            at_steps = at_steps.max((got - Cells::response(cells, integrator.time())).abs());
            let (begin, end) = integrator.last_step();
            for part in 1..8 {
                let t = begin + (end - begin) * f64::from(part) / 8.0;
                integrator.interpolate(t, &mut state);
                let want = Cells::response(cells, t);
                between = between.max((state[cells - 1] - want).abs());
            }
        }
        assert!(between < 3.0 * at_steps.max(tolerance), "{tolerance}: {between:e} {at_steps:e}");
    }
}

/// A crossing is located within a step; the direction is told; the next one follows.
#[test]
fn crossings_are_located_in_order() {
    let mut system = Linear::oscillator(1.0);
    let mut integrator = Integrator::new(&system, settings(1e-8, 1e-8)).unwrap();
    integrator.restart(0.0, &[1.0, 0.0]);
    let mut crossings = vec![];
    while let Outcome::Crossed { switch, rising } = integrator.advance(&mut system, 10.0).unwrap() {
        crossings.push((integrator.time(), switch, rising));
    }
    // cos t crosses zero at π/2, 3π/2, 5π/2; its derivative −sin t at π, 2π, 3π.
    let half = std::f64::consts::FRAC_PI_2;
    let want = [
        (1.0, 0, false),
        (2.0, 1, true),
        (3.0, 0, true),
        (4.0, 1, false),
        (5.0, 0, false),
        (6.0, 1, true),
    ];
    assert_eq!(crossings.len(), want.len(), "{crossings:?}");
    for (got, want) in crossings.iter().zip(want) {
        assert!((got.0 - want.0 * half).abs() < 1e-6, "{got:?}, want {want:?}");
        assert_eq!((got.1, got.2), (want.1, want.2));
    }
    assert!((integrator.time() - 10.0).abs() < 1e-15);
}

/// Two switches that cross at the same instant are both told.
#[test]
fn crossings_at_the_same_instant_are_both_told() {
    let mut system = Linear::doubled_switch();
    let mut integrator = Integrator::new(&system, Settings::default()).unwrap();
    integrator.restart(0.0, &[1.0, 0.0]);
    let first = integrator.advance(&mut system, 2.0).unwrap();
    let at = integrator.time();
    let second = integrator.advance(&mut system, 2.0).unwrap();
    assert_eq!(first, Outcome::Crossed { switch: 0, rising: false });
    assert_eq!(second, Outcome::Crossed { switch: 1, rising: false });
    assert!((integrator.time() - at).abs() < 1e-9);
    assert_eq!(integrator.advance(&mut system, 2.0).unwrap(), Outcome::Reached);
}

/// An end is reached exactly and does not change the answer; rates may jump there.
#[test]
fn jumps_between_calls_are_taken_up() {
    let mut system = Lumps { lag: 2.0, fluid: 10.0, mark: f64::MAX };
    let mut integrator = Integrator::new(&system, settings(1e-8, 1e-8)).unwrap();
    integrator.restart(0.0, &[0.0]);
    integrator.advance(&mut system, 3.0).unwrap();
    let turn = integrator.state()[0];
    system.fluid = -50.0;
    integrator.advance(&mut system, 7.0).unwrap();
    let want = -50.0 + (turn + 50.0) * (-2.0_f64).exp();
    assert!((integrator.state()[0] - want).abs() < 1e-6, "{} {want}", integrator.state()[0]);
    assert_eq!(integrator.time().to_bits(), 7.0_f64.to_bits());
}

/// Audits close: what entered the chain of cells less what left it is what they hold.
#[test]
fn audits_close_against_the_states() {
    for tolerance in [1e-3, 1e-5, 1e-7] {
        let mut system = Cells::new(25, 0.7);
        let mut integrator = Integrator::new(&system, settings(tolerance, tolerance)).unwrap();
        integrator.restart(0.0, &[0.0; 25]);
        integrator.advance(&mut system, 0.9).unwrap();
        let [entered, left] = integrator.audits() else { panic!("two audits") };
        let held: f64 = integrator.state().iter().sum::<f64>() * 0.7 / 25.0;
        let gap = (entered - left - held).abs();
        assert!(gap < 2.0 * tolerance, "tolerance {tolerance}: gap {gap:e}");
        assert!((entered - 0.9).abs() < 1e-12, "what enters is one per second: {entered}");
    }
}

struct Broken(Result<f64, Interrupt>);

impl System for Broken {
    fn states(&self) -> usize {
        1
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &[(0, 0)]
    }
    fn rhs(&mut self, t: f64, _: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        rate[0] = 1.0;
        if t > 1.0 {
            rate[0] = self.0?;
        }
        Ok(())
    }
    fn jacobian(&mut self, _: f64, _: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        values[0] = 0.0;
        Ok(())
    }
}

#[test]
fn failures_say_when_and_where() {
    let run = |result| {
        let mut system = Broken(result);
        let mut integrator = Integrator::new(&system, Settings::default()).unwrap();
        integrator.restart(0.0, &[0.0]);
        let failure = integrator.advance(&mut system, 2.0).unwrap_err();
        assert!((integrator.time() - integrator.state()[0]).abs() < 1e-9, "the last good state");
        (failure, integrator.time())
    };
    let (failure, _) = run(Err(Interrupt::Stop));
    assert!(matches!(failure, Failure::Stopped { .. }), "{failure}");
    let (failure, at) = run(Err(Interrupt::Shorten));
    assert!(matches!(failure, Failure::StepTooSmall { state: 0, .. }), "{failure}");
    assert!((at - 1.0).abs() < 1e-8, "comes as close as it can: {at}");
    let (failure, at) = run(Ok(f64::NAN));
    assert!(matches!(failure, Failure::StepTooSmall { state: 0, .. }), "{failure}");
    assert!((at - 1.0).abs() < 1e-8, "comes as close as it can: {at}");
    let bad = Settings { relative: f64::NAN, ..Settings::default() };
    assert!(matches!(Integrator::new(&Broken(Ok(0.0)), bad), Err(Failure::Settings(_))));
}

/// A valve with play: w falls as e^(−t/10), and x rests at 0.5 until w is there, after 10·ln 2 s, and
/// follows it from then on with a rate of 20 per second. Newton's method meets the kink of x' within a
/// step; a new Jacobian on its far side serves, and no step need be refused.
struct Play;

impl System for Play {
    fn states(&self) -> usize {
        2
    }
    fn pattern(&self) -> &[(usize, usize)] {
        &[(0, 0), (1, 0), (1, 1)]
    }
    fn rhs(&mut self, _: f64, y: &[f64], rate: &mut [f64]) -> Result<(), Interrupt> {
        rate[0] = -0.1 * y[0];
        rate[1] = 20.0 * (y[0] - y[1]).min(0.0);
        Ok(())
    }
    fn jacobian(&mut self, _: f64, y: &[f64], values: &mut [f64]) -> Result<(), Interrupt> {
        let follows = if y[0] < y[1] { 20.0 } else { 0.0 };
        values.copy_from_slice(&[-0.1, follows, -follows]);
        Ok(())
    }
}

#[test]
fn a_kink_within_a_step_needs_no_shorter_step() {
    let mut integrator = Integrator::new(&Play, Settings::default()).unwrap();
    integrator.restart(0.0, &[1.0, 0.5]);
    integrator.advance(&mut Play, 20.0).unwrap();
    // x = 20/19.9·w + C·e^(−20 (t − t₀)): what is left of the second term is 1e-114.
    let want = 20.0 / 19.9 * (-2.0_f64).exp();
    assert!((integrator.state()[1] - want).abs() < 1e-5, "{:?}", integrator.state());
    let statistics = integrator.statistics();
    assert_eq!(statistics.failed, 0, "{statistics:?}");
}
