//! Coolants as curves over temperature: smoothness, derivatives, ranges, refusals.

use coolwright_models::fluids::glycol::Glycol;
use coolwright_models::fluids::{Base, Coolant, FluidError, FluidWarning, Share};
use coolwright_models::kind::Kind;
use coolwright_solver::scalar::Dual;

use super::table::near;

fn samples() -> Vec<Coolant> {
    let mut samples = vec![Coolant::water()];
    for base in [Base::EthyleneGlycol, Base::PropyleneGlycol] {
        for share in [0.0, 0.04, 0.1, 0.33, 0.5, 0.6] {
            samples.push(Coolant::new(base, Share::ByVolume(share)).expect("in range"));
        }
    }
    samples
}

type Property = (&'static str, fn(&Coolant, Dual<1>) -> Dual<1>);
const PROPERTIES: [Property; 7] = [
    ("density", |c, t| c.density(t)),
    ("heat capacity", |c, t| c.heat_capacity(t)),
    ("enthalpy", |c, t| c.enthalpy(t)),
    ("viscosity", |c, t| c.viscosity(t)),
    ("conductivity", |c, t| c.conductivity(t)),
    ("vapour pressure", |c, t| c.vapour_pressure(t)),
    ("Prandtl number", |c, t| c.prandtl(t)),
];

#[test]
fn properties_are_positive_smooth_and_finite_from_150_to_600_kelvin() {
    for coolant in samples() {
        for (name, property) in PROPERTIES {
            let mut last: Option<Dual<1>> = None;
            for i in 0..=9000 {
                let t = 150.0 + 0.05 * f64::from(i);
                let got = property(&coolant, Dual::variable(t));
                let place =
                    || format!("{name} of {:?} {} at {t}", coolant.base(), coolant.volume_share());
                assert!(got.value.is_finite() && got.slope().is_finite(), "{}: {got:?}", place());
                assert!(name == "enthalpy" || got.value > 0.0, "{}: {got:?}", place());
                if let Some(last) = last {
                    // The mean slope over the step lies between the slopes at its ends, or so
                    // close that no jump in value is left.
                    let step = got.value - last.value;
                    let mean = 0.05 * (got.slope() + last.slope()) / 2.0;
                    let scale = 1e-5 * got.value.abs().max(last.value.abs()).max(1e-9);
                    assert!((step - mean).abs() < scale, "{}: {step} {mean}", place());
                }
                last = Some(got);
            }
        }
    }
}

#[test]
fn derivatives_meet_central_differences() {
    for coolant in samples() {
        for (name, property) in PROPERTIES {
            for t in [180.0, 240.3, 272.0, 301.7, 371.9, 374.4, 420.1, 480.0] {
                let h = 1e-3;
                let value = |t: f64| property(&coolant, Dual::variable(t)).value;
                let want = (value(t + h) - value(t - h)) / (2.0 * h);
                let got = property(&coolant, Dual::variable(t));
                let scale = want.abs().max(got.value.abs() * 1e-3);
                assert!(
                    (got.slope() - want).abs() <= 1e-5 * scale,
                    "{name} of {:?} {} at {t} K: slope {}, difference quotient {want}",
                    coolant.base(),
                    coolant.volume_share(),
                    got.slope()
                );
            }
        }
    }
}

#[test]
fn enthalpy_is_the_integral_of_heat_capacity() {
    for coolant in samples() {
        near("enthalpy at 0 °C", coolant.enthalpy(273.15), 0.0, 1e-9);
        for t in [160.0, 228.15, 260.0, 273.15, 350.0, 373.15, 433.15, 500.0] {
            let slope = coolant.enthalpy(Dual::variable(t)).slope();
            let heat_capacity = coolant.heat_capacity(t);
            near("slope of enthalpy", slope, heat_capacity, 1e-9 * heat_capacity);
        }
    }
    // Water from 25 to 100 °C by IAPWS R7-97 at 0.2 MPa (iapws 1.5.5): 419173.195 − 105020.677.
    let water = Coolant::water();
    let rise = water.enthalpy(373.15) - water.enthalpy(298.15);
    near("enthalpy rise of water", rise, 314152.518, 0.5);
}

#[test]
fn a_weak_mixture_lies_between_water_and_ten_percent() {
    let at = |share: f64| Coolant::new(Base::EthyleneGlycol, Share::ByVolume(share)).expect("ok");
    let (none, half, ten) = (at(0.0), at(0.05), at(0.1));
    let water = Coolant::water();
    for t in [275.0, 330.0, 390.0] {
        near("density at 0 %", none.density(t), water.density(t), 1e-9);
        let mean = f64::midpoint(water.density(t), ten.density(t));
        near("density at 5 %", half.density(t), mean, 1e-9);
        let mean = (water.viscosity(t) * ten.viscosity(t)).sqrt();
        near("viscosity at 5 %", half.viscosity(t), mean, 1e-12);
    }
    let mean = f64::midpoint(273.15, ten.freezing_point_k());
    near("freezing at 5 %", half.freezing_point_k(), mean, 1e-9);
}

#[test]
fn shares_outside_the_source_are_refused() {
    for share in [-0.01, 0.61, f64::NAN, f64::INFINITY] {
        let got = Coolant::new(Base::EthyleneGlycol, Share::ByVolume(share));
        assert!(matches!(got, Err(FluidError::OutOfRange { .. })), "{share}: {got:?}");
        let got = Coolant::new(Base::PropyleneGlycol, Share::ByMass(share * 1.1));
        assert!(matches!(got, Err(FluidError::OutOfRange { .. })), "{share}: {got:?}");
    }
    let error = Coolant::new(Base::EthyleneGlycol, Share::ByVolume(0.75)).expect_err("too much");
    let FluidError::OutOfRange { quantity, kind, value, lowest, highest } = error;
    assert_eq!((quantity, kind), ("glycol share by volume", Kind::Fraction));
    let told = [value, lowest, highest].map(f64::to_bits);
    assert_eq!(told, [0.75_f64, 0.0, 0.6].map(f64::to_bits));
    let by_mass = Glycol::Ethylene.mass_share(0.6);
    assert!(Coolant::new(Base::EthyleneGlycol, Share::ByMass(by_mass)).is_ok());
}

#[test]
fn temperatures_outside_the_source_are_reported_with_their_range() {
    let coolant = Coolant::new(Base::EthyleneGlycol, Share::ByVolume(0.5)).expect("in range");
    let warning = |t: f64| coolant.range_warning(t);
    assert!(warning(300.0).is_none());
    assert!(matches!(warning(230.0), Some(FluidWarning::BelowFreezing { .. })));
    assert!(matches!(warning(237.0), Some(FluidWarning::BelowSource { .. })));
    assert!(matches!(warning(440.0), Some(FluidWarning::AboveTable { .. })));
    let above = FluidWarning::AboveSource { temperature_k: 393.15, range_k: (238.15, 373.15) };
    assert_eq!(warning(393.15), Some(above));
    assert!(Coolant::water().range_warning(393.15).is_none());
    assert!(Coolant::water().range_warning(270.0).is_some());
}

/// Of two warnings of one end of the range the one farther out counts, whatever their order.
#[test]
fn the_farther_of_two_warnings_is_the_worse() {
    let coolant = Coolant::new(Base::EthyleneGlycol, Share::ByVolume(0.5)).expect("in range");
    let warning = |t: f64| coolant.range_warning(t).expect("outside the source");
    let (warm, hot, beyond) = (warning(374.0), warning(400.0), warning(440.0));
    for (a, b, worse) in [(warm, hot, hot), (hot, beyond, beyond)] {
        assert!(a.is_like(&b));
        assert_eq!((a.worse(b), b.worse(a)), (worse, worse));
    }
    let (cold, colder) = (warning(237.5), warning(236.5));
    assert_eq!((cold.worse(colder), colder.worse(cold)), (colder, colder));
    assert!(!cold.is_like(&warm) && !cold.is_like(&warning(220.0)));
}
