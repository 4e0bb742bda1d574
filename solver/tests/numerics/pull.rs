//! A duty cycle of two circuits over 2740 s, against answers from three independent integrators
//! at a relative tolerance of 1e-10 (the project's bench problem `pull`).

use crate::common::pull::{
    CELL_3, COOLANT, COOLER, Inputs, METAL, OPENING, Pull, RADIATOR, SECOND, STATES, TANK, WAX,
    effectiveness,
};
use coolwright_solver::integrate::{Absolute, Integrator, Outcome, Settings, Statistics, System};

/// Time, s; metal, third cell, radiator, wax, °C; opening; tank, cooler metal, cooler coolant,
/// second radiator, °C; radiator branch, bypass, charge loop, kg/s.
const ANSWERS: [(f64, [f64; 12]); 8] = [
    (
        300.0,
        [
            95.02781, 91.79664, 87.88142, 91.61177, 0.829968, 34.85649, 34.86456, 34.86411,
            34.84782, 0.675787, 0.092755, 1.044877,
        ],
    ),
    (
        320.0,
        [
            121.48279, 104.24785, 91.85617, 99.78109, 1.0, 54.83570, 84.00770, 69.45980, 61.54090,
            3.936356, 0.051247, 2.242540,
        ],
    ),
    (
        330.0,
        [
            114.57026, 101.67014, 77.53881, 102.58265, 1.0, 56.83146, 57.78387, 57.62366, 54.89157,
            0.932274, 0.013216, 2.223260,
        ],
    ),
    (
        400.0,
        [
            90.12479, 87.21842, 83.78389, 86.87036, 0.669675, 42.99790, 43.38613, 43.31507,
            42.23053, 0.781594, 0.196529, 2.193164,
        ],
    ),
    (
        1520.0,
        [
            91.65757, 89.00753, 85.47551, 88.77095, 0.537402, 33.04610, 33.04911, 33.04911,
            33.04446, 0.721161, 0.254154, 2.167336,
        ],
    ),
    (
        1540.0,
        [
            120.64601, 103.56514, 91.29527, 98.61593, 0.999989, 53.29274, 82.43642, 67.88555,
            60.12601, 3.935051, 0.051284, 2.239907,
        ],
    ),
    (
        1550.0,
        [
            113.81747, 101.03190, 77.13356, 101.73000, 1.0, 55.47860, 56.37843, 56.22818, 53.64074,
            0.931927, 0.013219, 2.220579,
        ],
    ),
    (
        2740.0,
        [
            91.66033, 89.01026, 85.47812, 88.77371, 0.537402, 33.04610, 33.04911, 33.04911,
            33.04446, 0.721162, 0.254154, 2.167336,
        ],
    ),
];

const FAN: [f64; 12] = [
    303.3403, 347.6661, 800.8633, 815.7671, 1327.2002, 1342.1040, 1525.0464, 1566.9065, 2020.7465,
    2035.6503, 2547.0834, 2561.9872,
];

fn phase(t: f64) -> (f64, Inputs) {
    let run = |end, speed, heat, charge_speed, charge_heat, air| {
        let inputs = Inputs {
            engine_speed: speed,
            engine_heat: heat,
            charge_speed,
            charge_heat,
            charge_air: air,
            fan: false,
        };
        (end, inputs)
    };
    if t < 300.0 {
        run(300.0, 0.20, 12e3, 0.5, 0.0, 0.05)
    } else if t < 320.0 {
        run(320.0, 1.0, 220e3, 1.0, 150e3, 1.5)
    } else if t < 1520.0 {
        run(1520.0, 0.25, 12e3, 1.0, 0.0, 1.5)
    } else if t < 1540.0 {
        run(1540.0, 1.0, 220e3, 1.0, 150e3, 1.5)
    } else {
        run(2740.0, 0.25, 12e3, 1.0, 0.0, 1.5)
    }
}

/// The cycle at one tolerance: the largest errors of temperatures, K, and of events, s.
fn cycle(tolerance: f64) -> (f64, f64, Statistics, usize) {
    let mut pull = Pull::new(phase(0.0).1);
    let settings = Settings {
        relative: tolerance,
        absolute: Absolute::Same(tolerance),
        ..Settings::default()
    };
    let mut integrator = Integrator::new(&pull, settings).unwrap();
    integrator.restart(0.0, &Pull::start());
    let (mut worst, mut events) = (0.0_f64, vec![]);
    let mut fan = false;
    for (mark, answer) in ANSWERS {
        while integrator.time() < mark {
            let (end, inputs) = phase(integrator.time());
            pull.inputs = Inputs { fan, ..inputs };
            if let Outcome::Crossed { switch, rising } =
                integrator.advance(&mut pull, end.min(mark)).unwrap()
                && rising == (switch == 0)
            {
                let turned = if switch == 0 { !fan } else { fan };
                if turned {
                    fan = switch == 0;
                    events.push(integrator.time());
                }
            }
        }
        let y = integrator.state().to_vec();
        pull.solve_flows(&y).unwrap();
        let temperatures = [METAL, CELL_3, RADIATOR, WAX, TANK, COOLER, COOLANT, SECOND];
        let want = [0, 1, 2, 3, 5, 6, 7, 8].map(|i| answer[i]);
        for (state, want) in temperatures.into_iter().zip(want) {
            worst = worst.max((y[state] - 273.15 - want).abs());
        }
        let others = [y[OPENING], pull.flows[1], pull.flows[2], pull.flows[3]];
        for (got, want) in others.into_iter().zip([4, 9, 10, 11].map(|i| answer[i])) {
            assert!(
                (got - want).abs() < 2e-3 + 20.0 * tolerance,
                "{tolerance} at {mark} s: got {got}, want {want}"
            );
        }
    }
    assert_eq!(events.len(), FAN.len(), "{events:?}");
    let off =
        events.iter().zip(FAN).fold(0.0_f64, |most, (got, want)| most.max((got - want).abs()));
    (worst, off, integrator.statistics(), pull.sweeps)
}

#[test]
fn the_start_has_its_check_values() {
    let mut pull = Pull::new(phase(0.0).1);
    let mut rate = [0.0; STATES];
    pull.rhs(0.0, &Pull::start(), &mut rate).unwrap();
    for (what, got, want) in [
        ("ε(1, 0.5)", effectiveness(1.0, 0.5), 0.547489833881),
        ("ε(3, 0.9)", effectiveness(3.0, 0.9), 0.708099735057),
        ("m_r", pull.flows[1], 0.3524553808),
        ("m_b", pull.flows[2], 0.3254747943),
        ("m_c", pull.flows[3], 1.045063806),
        ("metal", rate[METAL], 0.19),
        ("radiator", rate[RADIATOR], -0.2769397664),
        ("end of hose 1", rate[48], 0.002123579027),
        ("second radiator", rate[SECOND], -0.005876173263),
    ] {
        crate::common::check_relative(what, got, want, 2e-9);
    }
}

/// At each tolerance the errors stay within what it promises, down to the digits printed.
#[test]
fn the_cycle_has_its_answers() {
    for (tolerance, kelvin, seconds) in [
        (1e-3, 1e-2, 1e-1),
        (1e-4, 1e-2, 1e-1),
        (1e-5, 2e-3, 1e-2),
        (1e-6, 4e-4, 2e-3),
        (1e-8, 2e-5, 2e-4),
    ] {
        let (worst, off, statistics, sweeps) = cycle(tolerance);
        println!("{tolerance}: {worst:.1e} K, {off:.1e} s, {statistics:?}, {sweeps} sweeps");
        assert!(worst < kelvin, "tolerance {tolerance}: {worst} K, {statistics:?}");
        assert!(off < seconds, "tolerance {tolerance}: {off} s, {statistics:?}");
    }
}
