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
            95.10981, 91.84590, 87.86768, 91.65973, 0.834218, 34.84599, 34.85391, 34.85343,
            34.83705, 0.665000, 0.091954, 1.038591,
        ],
    ),
    (
        320.0,
        [
            121.75571, 104.31940, 91.71689, 99.83196, 1.000000, 55.29451, 84.68079, 70.08205,
            62.08604, 3.862248, 0.052499, 2.230748,
        ],
    ),
    (
        330.0,
        [
            114.84592, 101.79036, 77.40657, 102.65651, 1.000000, 57.21978, 58.15170, 57.98634,
            55.22954, 0.914407, 0.013510, 2.211237,
        ],
    ),
    (
        400.0,
        [
            90.22065, 87.27397, 83.77531, 86.91827, 0.672185, 42.95773, 43.34006, 43.26734,
            42.17901, 0.770969, 0.194738, 2.180414,
        ],
    ),
    (
        1520.0,
        [
            92.01144, 89.32829, 85.78196, 89.10224, 0.566688, 33.04369, 33.04656, 33.04656,
            33.04213, 0.727099, 0.238433, 2.154743,
        ],
    ),
    (
        1540.0,
        [
            120.98996, 103.69798, 91.20959, 98.78693, 0.999993, 53.75884, 83.11771, 68.51633,
            60.68017, 3.861094, 0.052525, 2.228155,
        ],
    ),
    (
        1550.0,
        [
            114.15756, 101.20857, 77.03981, 101.88584, 1.000000, 55.87730, 56.75762, 56.60236,
            53.99053, 0.914095, 0.013513, 2.208597,
        ],
    ),
    (
        2740.0,
        [
            92.01349, 89.33023, 85.78426, 89.10429, 0.566924, 33.04369, 33.04656, 33.04656,
            33.04213, 0.727206, 0.238340, 2.154743,
        ],
    ),
];

const FAN: [f64; 12] = [
    303.3044, 347.8760, 794.3763, 809.2914, 1315.0384, 1329.9535, 1524.8320, 1567.1834, 2014.2858,
    2029.2009, 2534.9479, 2549.8630,
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
        ("m_r", pull.flows[1], 0.3549322520),
        ("m_b", pull.flows[2], 0.3100507967),
        ("m_c", pull.flows[3], 1.038792453),
        ("metal", rate[METAL], 0.19),
        ("radiator", rate[RADIATOR], -0.276990888),
        ("end of hose 1", rate[48], 0.00224155564),
        ("second radiator", rate[SECOND], -0.005876162601),
    ] {
        crate::common::check_relative(what, got, want, 2e-9);
    }
}

/// At each tolerance the errors stay within what it promises, down to the digits printed.
#[test]
fn the_cycle_has_its_answers() {
    for (tolerance, kelvin, seconds) in [
        (5e-4, 1e-2, 1e-1),
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
