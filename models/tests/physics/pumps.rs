//! Pumps as parts: their slope through every limit of their drive, and affinity.

use std::sync::Arc;

use coolwright_models::laws::curve::Curve;
use coolwright_models::parts::{
    ElectricDrive, EngineDrive, FallAt, LawInputs, Pump, PumpDrive, PumpPower, SpeedHeld, Viscous,
};
use coolwright_models::slots::{Slot, Values};
use coolwright_solver::scalar::Dual;

const RPM: f64 = std::f64::consts::TAU / 60.0;
const FREE: f64 = 2e-3;

/// Invented pump: 95(1 − (Q/2 L/s)²) kPa, 80 + 60 000 Q W, at 4500 rpm in water of 20 °C.
fn pump(values: &mut Values, drive: PumpDrive, viscous: bool) -> Pump {
    let curve = Curve::of_polynomial(&[95e3, 0.0, -95e3 / (FREE * FREE)], FREE).unwrap();
    let power = Curve::of_polynomial(&[80.0, 6e4], FREE).unwrap();
    let mut slot = |value| values.add(value);
    let viscous = viscous.then(|| Viscous {
        curve_viscosity: slot(1.0e-6),
        best_flow: slot(1.3e-3),
        best_head: slot(5.6),
        free_flow: slot(FREE),
        curve_speed: slot(4500.0 * RPM),
    });
    Pump {
        bore: None,
        curve: Arc::new(curve),
        given: [0.0, FREE],
        by_label: false,
        curve_density: slot(998.2),
        head_scale: slot(1.0),
        flow_scale: slot(1.0),
        drive,
        curve_speed: Some(slot(4500.0 * RPM)),
        viscous,
        stopped_fall: slot(40e3),
        stopped_flow: slot(FREE),
        backwards: slot(2.0),
        power: PumpPower::Curve(Arc::new(power)),
        heat_share: slot(1.0),
        volume: slot(0.0),
        suction_head: None,
    }
}

fn electric(values: &mut Values, commanded: f64, rated: f64, limit: Option<f64>) -> PumpDrive {
    PumpDrive::Electric(ElectricDrive {
        commanded: values.add(commanded),
        voltage: values.add(12.0),
        rated_voltage: Some(values.add(rated)),
        current_limit: limit.map(|amps| values.add(amps)),
    })
}

/// Coolants: density in kg/m³, dynamic viscosity in Pa·s.
const COOLANTS: [(f64, f64); 3] = [(998.2, 1.0e-3), (960.0, 0.3e-3), (1090.0, 30e-3)];

fn place(values: &Values, coolant: (f64, f64)) -> LawInputs<'_, f64> {
    LawInputs { values: values.reader(), density: coolant.0, viscosity: coolant.1 }
}

#[test]
fn the_slope_is_the_derivative_through_every_limit() {
    for viscous in [false, true] {
        for (commanded, rated, limit) in
            [(1.0, 12.0, None), (1.0, 14.0, None), (0.6, 12.0, Some(5.0)), (1.2, 9.0, Some(9.0))]
        {
            let mut values = Values::default();
            let drive = electric(&mut values, commanded, rated, limit);
            let pump = pump(&mut values, drive, viscous);
            let mut held = Vec::new();
            for coolant in COOLANTS {
                for k in -40..=160 {
                    let flow = f64::from(k) * 0.02 + 1.234e-4;
                    check_slope(&pump, &values, coolant, flow);
                    held.push(pump.duty(&place(&values, coolant), flow).held_by);
                }
            }
            assert!(limit.is_none() || held.contains(&SpeedHeld::CurrentLimit));
        }
    }
}

/// Slopes by flow, density and viscosity against central differences; near the flow at which the
/// limit begins to hold, the slope of either side will do.
fn check_slope(pump: &Pump, values: &Values, coolant: (f64, f64), flow: f64) {
    let fall = |f: f64, c: (f64, f64)| pump.fall_at(&place(values, c), f);
    let dual = |by: usize| {
        let seed = |value: f64, at: usize| {
            if at == by { Dual::variable(value) } else { Dual::from(value) }
        };
        let place = LawInputs {
            values: values.reader(),
            density: seed(coolant.0, 1),
            viscosity: seed(coolant.1, 2),
        };
        pump.fall_and_slope(&place, seed(flow, 0))
    };
    let moved = |by: usize, h: f64| match by {
        0 => fall(flow + h, coolant),
        1 => fall(flow, (coolant.0 + h, coolant.1)),
        _ => fall(flow, (coolant.0, coolant.1 + h)),
    };
    let value = fall(flow, coolant);
    for (by, size) in [(0, flow.abs()), (1, coolant.0), (2, coolant.1)] {
        let h = 1e-5 * size;
        let got = dual(by);
        assert_eq!(got.value.to_bits(), value.to_bits());
        let sides = [
            moved(by, h) - moved(by, -h),
            2.0 * (moved(by, h) - value),
            2.0 * (value - moved(by, -h)),
        ];
        let want = sides.map(|d| d / (2.0 * h));
        let allowed = 2e-4 * got.slope().abs() + 1e-9 * value.abs() / h * 1e-3;
        assert!(
            want.iter().any(|w| (got.slope() - w).abs() <= allowed),
            "by {by} at {flow} kg/s in {coolant:?}: {} against {want:?}",
            got.slope()
        );
    }
}

/// The current never passes its limit, and just meets it where it holds the speed.
#[test]
fn the_speed_is_the_least_of_command_voltage_and_current() {
    let mut values = Values::default();
    let drive = electric(&mut values, 1.0, 13.5, Some(9.0));
    let pump = pump(&mut values, drive, false);
    let mut seen = Vec::new();
    for k in 0..=100 {
        let duty = pump.duty(&place(&values, COOLANTS[0]), f64::from(k) * 0.02);
        let amps = duty.power_w / 12.0;
        assert!(amps <= 9.0 * (1.0 + 1e-12), "{amps} A");
        match duty.held_by {
            SpeedHeld::Voltage => assert_eq!(duty.speed.to_bits(), (12.0_f64 / 13.5).to_bits()),
            SpeedHeld::CurrentLimit => {
                assert!((amps - 9.0).abs() < 1e-9 && duty.speed < 12.0 / 13.5);
            }
            other => panic!("held by {other:?}"),
        }
        if !seen.contains(&duty.held_by) {
            seen.push(duty.held_by);
        }
    }
    assert_eq!(seen, [SpeedHeld::Voltage, SpeedHeld::CurrentLimit]);
    // By hand, no flow: 80 s³ = 108 W would need s = 1.105, so the voltage holds; at 1 L/s
    // 80 s³ + 60 s² = 108 at s = 0.88698 (s³ 0.69781, s² 0.78673: 55.82 + 47.20 = 103.0 W at the
    // voltage's 0.88889, under the limit); at 1.5 L/s 80 s³ + 90 s² = 108 gives s = 0.84836.
    let at = |flow: f64| pump.duty(&place(&values, COOLANTS[0]), flow * 998.2);
    assert_eq!(at(1e-3).held_by, SpeedHeld::Voltage);
    let s: f64 = at(1.5e-3).speed;
    assert!((80.0 * s.powi(3) + 90.0 * s * s - 108.0).abs() < 1e-9, "{s}");
}

#[test]
fn the_engine_turns_a_pump_by_its_ratio() {
    let mut values = Values::default();
    let slot = |values: &mut Values, value: f64| -> Slot { values.add(value) };
    let drive = PumpDrive::Engine(EngineDrive {
        ratio: slot(&mut values, 1.25),
        engine_speed: slot(&mut values, 3600.0 * RPM),
        curve_speed: slot(&mut values, 4500.0 * RPM),
    });
    let pump = pump(&mut values, drive, false);
    let duty = pump.duty(&place(&values, COOLANTS[0]), 1.0);
    assert!((duty.speed - 1.0).abs() < 1e-12 && duty.held_by == SpeedHeld::Engine);
    assert!(pump.drive.supply().is_none());
}

/// H(s, Q) = s² H(Q/s) and P = s³ P(Q/s) by the affinity laws, in the fluid of the curve.
#[test]
fn heads_and_powers_follow_the_affinity_laws() {
    for s in [0.3, 0.7, 1.0] {
        let mut values = Values::default();
        let drive = electric(&mut values, s, 12.0, None);
        let pump = pump(&mut values, drive, false);
        for share in [0.0, 0.4, 0.9] {
            let flow = share * FREE * s * 998.2;
            let head = -pump.fall_at(&place(&values, COOLANTS[0]), flow);
            let want = s * s * 95e3 * (1.0 - share * share);
            assert!((head - want).abs() < 1e-6 * want, "{head} Pa, want {want}");
            let power = pump.duty(&place(&values, COOLANTS[0]), flow).power_w;
            let want = s.powi(3) * (80.0 + 6e4 * share * FREE);
            assert!((power - want).abs() < 1e-6 * want, "{power} W, want {want}");
        }
    }
}
