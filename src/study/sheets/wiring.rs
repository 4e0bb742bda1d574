//! Wires and fuses of pumps and fans, and what they draw while the vehicle rests.

use coolwright_models::cycle::{Columns, Phase, Program};
use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::results::quantities as q;

use super::Papers;
use crate::study::Load;

/// A wire: its gauge number, the current that it may carry, A, the next metric size, mm², and its resistance at 20 °C,
/// Ω/km.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Gauge number, as it is written.
    pub gauge: &'static str,
    /// Current that it may carry in free air outside of engine spaces, A.
    pub carries_a: f64,
    /// The next metric size, mm².
    pub mm2: f64,
    /// Resistance of that at 20 °C, Ω/km.
    pub ohm_km: f64,
}

/// Currents: 33 CFR 183.425, Table 5, conductors with insulation for 105 °C, systems under 50 V. Resistances: IEC 60228,
/// class 5, plain copper, greatest at 20 °C. The metric size is the next above the section of the gauge number
/// (ASTM B258).
const SIZES: [Size; 13] = [
    size("18", 20.0, 1.0, 19.5),
    size("16", 25.0, 1.5, 13.3),
    size("14", 35.0, 2.5, 7.98),
    size("12", 45.0, 4.0, 4.95),
    size("10", 60.0, 6.0, 3.30),
    size("8", 80.0, 10.0, 1.91),
    size("6", 120.0, 16.0, 1.21),
    size("4", 160.0, 25.0, 0.780),
    size("2", 210.0, 35.0, 0.554),
    size("1", 245.0, 50.0, 0.386),
    size("1/0", 285.0, 70.0, 0.272),
    size("3/0", 385.0, 95.0, 0.206),
    size("4/0", 445.0, 120.0, 0.161),
];

const fn size(gauge: &'static str, carries_a: f64, mm2: f64, ohm_km: f64) -> Size {
    Size { gauge, carries_a, mm2, ohm_km }
}

/// In engine spaces a wire with insulation for 105 °C may carry this share of it (33 CFR 183.425, note to Table 5).
const ENGINE_SPACE: f64 = 0.85;
/// Fuses, A: nominal values of blade and bolted fuses for road vehicles (ISO 8820, from memory).
const FUSES_A: [f64; 19] = [
    2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0,
    150.0, 175.0, 200.0,
];
/// Fuse over running current: a fuse that is warm and always loaded holds some three quarters of its value (common
/// practice, no source).
const FUSE_OVER: f64 = 1.33;
/// Share of the voltage that may be lost in the wires there and back (common practice, no source).
const DROP: f64 = 0.03;
/// Start surge over running current of a motor with brushes and no soft start (common practice, no source).
pub const SURGE: f64 = 5.0;
/// Table 5 ends at systems of this voltage, V.
pub const LOW_V: f64 = 50.0;
/// Density of air at −20 °C at sea level, kg/m³ (ISO 2533: p/(R T) = 101325/(287.053 · 253.15)): fans take most there.
const DENSEST_KG_M3: f64 = 1.394;
/// How much more copper resists for each kelvin (IEC 60028), and how warm a loaded wire is taken to be over 20 °C, K.
const WARMER: (f64, f64) = (0.00393, 40.0);

/// The wire of a machine.
#[derive(Clone, Debug)]
pub struct Wire {
    /// The machine.
    pub machine: String,
    /// Voltage of its supply, V.
    pub volts: f64,
    /// Most current that it draws, A: at the start, at the point, of a fan by its label and in dense air.
    pub runs_a: f64,
    /// Fuse, A; `None` where none of the table does.
    pub fuse_a: Option<f64>,
    /// Wire; `None` above the table, or above its voltage.
    pub size: Option<Size>,
    /// Longest way from supply to machine at which the drop there and back stays within its share, m.
    pub longest_m: Option<f64>,
    /// The wire that keeps the drop within its share on each of [`WAYS_M`].
    pub for_ways: [Option<Size>; 2],
}

/// Ways from supply to machine for which a wire is told, m: to a nose beside the battery, and along a vehicle.
pub const WAYS_M: [f64; 2] = [2.0, 5.0];

/// The wires of all pumps and fans that a supply turns.
pub fn wires(papers: &Papers<'_>) -> Vec<Wire> {
    let model = &papers.ready.model;
    let mut all = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                let Some(supply) = placed.part.as_pump().and_then(|pump| pump.drive.supply())
                else {
                    continue;
                };
                all.push(wire(papers, Id::Part(c, r, p), model.values.get(supply), 0.0));
            }
        }
    }
    for (a, path) in model.air_paths.iter().enumerate() {
        for (f, fan) in path.fans.iter().enumerate() {
            let volts = model.values.get(fan.voltage);
            // By its label, and in cold air at sea level: a vehicle comes down again.
            let label = model.values.get(fan.curve_density).max(DENSEST_KG_M3);
            all.push(wire(papers, Id::Fan(a, f), volts, fan.power_w(&model.values, label) / volts));
        }
    }
    all
}

/// The wire of a machine that draws no less than so much, A.
fn wire(papers: &Papers<'_>, id: Id, volts: f64, least_a: f64) -> Wire {
    let current = |results: &coolwright_models::results::Results| results.of(id, &q::CURRENT);
    let drawn = [current(papers.start), current(&papers.point.results)];
    let runs_a =
        drawn.into_iter().flatten().filter(|amps| amps.is_finite()).fold(least_a, f64::max);
    let (fuse_a, size) = if volts < LOW_V { sized(runs_a) } else { (None, None) };
    let longest_m = size.filter(|_| runs_a > 0.0).map(|size| longest_m(size, volts, runs_a));
    let for_ways = WAYS_M.map(|way_m| size.and_then(|size| for_way(size, volts, runs_a, way_m)));
    let machine = papers.ready.model.address(id);
    Wire { machine, volts, runs_a, fuse_a, size, longest_m, for_ways }
}

/// The fuse for a running current, and the smallest wire that it protects.
fn sized(runs_a: f64) -> (Option<f64>, Option<Size>) {
    let fuse = FUSES_A.into_iter().find(|fuse| runs_a > 0.0 && *fuse >= FUSE_OVER * runs_a);
    let bears = |fuse: f64| SIZES.into_iter().find(|size| ENGINE_SPACE * size.carries_a >= fuse);
    (fuse, fuse.and_then(bears))
}

/// The longest way at which a share of the voltage is lost there and back, m: L = d U/(2 I r (1 + α ΔT)).
fn longest_m(size: Size, volts: f64, amps: f64) -> f64 {
    let (more, warmer_k) = WARMER;
    DROP * volts / (2.0 * amps * size.ohm_km / 1000.0 * (1.0 + more * warmer_k))
}

/// The smallest wire, from one on, with which a share of the voltage is lost on a way there and back.
fn for_way(from: Size, volts: f64, amps: f64, way_m: f64) -> Option<Size> {
    let thicker = SIZES.into_iter().skip_while(|size| *size != from);
    thicker.into_iter().find(|size| longest_m(*size, volts, amps) >= way_m)
}

/// What is drawn from a supply in a rest of the duty cycle.
#[derive(Clone, Debug)]
pub struct RunOn {
    /// The phase.
    pub phase: String,
    /// How long, s.
    pub time_s: f64,
    /// The supply.
    pub supply: String,
    /// Charge, A s.
    pub charge_as: f64,
}

/// What pumps and fans draw in every rest of the duty cycle: ∫ I dt.
pub fn run_on(papers: &Papers<'_>) -> Vec<RunOn> {
    let ready = papers.ready;
    let model = &ready.model;
    let load = Load::of(ready);
    let mut instance = Instance::new(model);
    let Ok(catalogue) = instance.catalogue(&model.values) else { return Vec::new() };
    let places: Vec<usize> = (0..model.supplies.len())
        .filter_map(|s| catalogue.place(Id::Supply(s), &q::SUPPLY))
        .collect();
    let phases = &ready.duty.phases;
    if places.is_empty() || phases.is_empty() {
        return Vec::new();
    }
    let program = Program {
        phases: phases
            .iter()
            .map(|of| Phase {
                name: of.name.clone(),
                time_s: of.time_s,
                sets: of.sets.clone(),
                ramp_s: of.ramp_s,
                refills: of.refills.clone(),
            })
            .collect(),
        tracks: ready.duty.tracks.clone(),
        watches: Vec::new(),
    };
    let followed = instance.follow(&model.values, &program, Columns::Only(&places), &mut |_| true);
    let Ok(history) = followed else { return Vec::new() };
    let mut all = Vec::new();
    for (k, (phase, known)) in phases.iter().zip(&history.phases).enumerate() {
        if load.is_on(k, None) {
            continue;
        }
        for (s, supply) in model.supplies.iter().enumerate() {
            let rows = known.rows.clone();
            let pairs = rows.clone().zip(rows.skip(1));
            let charge_as = pairs.map(|(a, b)| {
                let mean = 0.5 * (history.rows[a][s] + history.rows[b][s]);
                mean * (history.times_s[b] - history.times_s[a])
            });
            all.push(RunOn {
                phase: phase.name.clone(),
                time_s: phase.time_s,
                supply: supply.path.clone(),
                charge_as: charge_as.sum(),
            });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The tables as printed: 33 CFR 183.425 Table 5 for 105 °C (16 gauge 25 A, 10 gauge 60 A, 6 gauge 120 A, 2 gauge
    /// 210 A; in engine spaces 21.3, 51, 102 and 178.5 A) and IEC 60228 class 5 (1.5 mm² 13.3 Ω/km, 6 mm² 3.30 Ω/km).
    #[test]
    fn wires_are_those_of_the_tables() {
        for (gauge, outside, inside) in
            [("16", 25.0, 21.3), ("10", 60.0, 51.0), ("6", 120.0, 102.0), ("2", 210.0, 178.5)]
        {
            let size = SIZES.iter().find(|size| size.gauge == gauge).expect("in the table");
            assert!((size.carries_a - outside).abs() < 1e-9);
            assert!((ENGINE_SPACE * size.carries_a - inside).abs() < 0.06);
        }
        // 15 A run on a 20 A fuse, which 16 gauge bears in an engine space: 21.25 A.
        let (fuse, size) = sized(15.0);
        assert_eq!((fuse, size.map(|size| size.gauge)), (Some(20.0), Some("16")));
        assert_eq!(sized(1000.0), (None, None));
    }

    /// By hand: 12 V, 10 A, 2.5 mm² at 60 °C: 7.98 · 1.1572 = 9.2345 Ω/km; 0.36 V/(2 · 10 A · 0.0092345 Ω/m) = 1.949 m.
    #[test]
    fn the_longest_wire_loses_three_hundredths() {
        let size = SIZES[2];
        assert!((longest_m(size, 12.0, 10.0) - 1.949).abs() < 1e-3);
        // 2 m want the next, which bears 3.14 m.
        assert_eq!(for_way(size, 12.0, 10.0, 2.0), Some(SIZES[3]));
    }
}
