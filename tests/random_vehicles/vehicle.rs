//! Random vehicles: circuits with pumps, tanks, caps, ports, thermostats, ice, cores behind each other, fans, phases, limits;
//! written as a case file in more ways than one.

use crate::common::Random;

/// A vehicle by its numbers, in SI or the unit that its name says.
#[derive(Clone, Debug)]
pub(crate) struct Vehicle {
    pub(crate) air_c: f64,
    pub(crate) altitude_m: f64,
    pub(crate) humidity: f64,
    pub(crate) power_kw: f64,
    pub(crate) loops: Vec<Loop>,
    pub(crate) fans: usize,
    pub(crate) fan_pa: f64,
    pub(crate) fan_m3_h: f64,
    pub(crate) speed_km_h: f64,
    /// Time in s and power in percent of every phase.
    pub(crate) phases: Vec<(f64, f64)>,
    pub(crate) repeat: usize,
}

/// A circuit: one loop, or a feed and two ports side by side.
#[derive(Clone, Debug)]
pub(crate) struct Loop {
    pub(crate) glycol: f64,
    pub(crate) bore_mm: f64,
    /// Whether its source has two passes side by side.
    pub(crate) ports: bool,
    pub(crate) near_m: f64,
    pub(crate) far_m: f64,
    pub(crate) hose_m: f64,
    pub(crate) rise_m: f64,
    pub(crate) pumps: usize,
    pub(crate) shut_off_kpa: f64,
    pub(crate) free_l_min: f64,
    pub(crate) tank_l: f64,
    pub(crate) ice_kg: f64,
    pub(crate) cap: bool,
    /// When a thermostat in front of the core begins to open, °C.
    pub(crate) opens_c: Option<f64>,
    pub(crate) share: f64,
    pub(crate) metal_kg: f64,
    pub(crate) fall_kpa: f64,
    /// Rated heat of its core, kW.
    pub(crate) core_kw: f64,
    /// Limit on its metal, °C.
    pub(crate) most_c: f64,
}

/// How a vehicle is written.
#[derive(Clone, Copy, Debug, Default)]
#[expect(clippy::struct_excessive_bools, reason = "each way of writing goes with each other")]
pub(crate) struct Way {
    /// In units of the US.
    pub(crate) us: bool,
    /// With longer names.
    pub(crate) renamed: bool,
    /// Maps from their last entry to their first.
    pub(crate) reversed: bool,
    /// Runs of ports from their end to their start.
    pub(crate) turned: bool,
    /// Every phase as two that are half as long.
    pub(crate) split: bool,
    /// Repeats written out.
    pub(crate) unrolled: bool,
}

/// What stands before a name that is another one.
pub(crate) const OTHER: &str = "other-";

/// Draws a vehicle that can do its work, more or less.
pub(crate) fn draw(random: &mut Random) -> Vehicle {
    let power_kw = random.between(20.0, 150.0).round();
    let loops: Vec<Loop> = (0..=random.below(2)).map(|_| draw_loop(random, power_kw)).collect();
    let phases = 1 + random.below(3);
    Vehicle {
        air_c: random.between(-5.0, 45.0).round(),
        altitude_m: random.between(0.0, 2500.0).round(),
        humidity: random.between(10.0, 90.0).round(),
        power_kw,
        loops,
        fans: 1 + random.below(3),
        fan_pa: random.between(150.0, 500.0).round(),
        fan_m3_h: random.between(1500.0, 6000.0).round(),
        speed_km_h: if random.chance(0.3) { random.between(5.0, 60.0).round() } else { 0.0 },
        phases: (0..phases)
            .map(|k| {
                let power = if k % 2 == 0 {
                    random.between(50.0, 100.0)
                } else {
                    random.between(0.0, 20.0)
                };
                ((random.between(5.0, 60.0) * 2.0).round(), power.round())
            })
            .collect(),
        repeat: 1 + random.below(2),
    }
}

fn draw_loop(random: &mut Random, power_kw: f64) -> Loop {
    let share = random.between(4.0, 40.0);
    Loop {
        glycol: random.between(30.0, 60.0).round(),
        bore_mm: random.between(19.0, 45.0).round(),
        ports: random.chance(0.4),
        near_m: random.between(0.2, 0.8),
        far_m: random.between(0.2, 2.5),
        hose_m: random.between(0.5, 3.0),
        rise_m: random.between(-0.35, 0.35),
        pumps: 1 + random.below(2),
        shut_off_kpa: random.between(40.0, 150.0).round(),
        free_l_min: random.between(60.0, 250.0).round(),
        tank_l: random.between(4.0, 12.0).round(),
        ice_kg: if random.chance(0.2) { random.between(0.3, 1.5) } else { 0.0 },
        cap: random.chance(0.6),
        opens_c: random.chance(0.3).then(|| random.between(30.0, 70.0).round()),
        share: share.round(),
        metal_kg: random.between(5.0, 60.0).round(),
        fall_kpa: random.between(10.0, 60.0).round(),
        core_kw: (random.between(0.8, 5.0) * share / 100.0 * power_kw).clamp(3.0, 100.0).round(),
        most_c: random.between(50.0, 110.0).round(),
    }
}

/// A pen that knows the way.
struct Pen(Way);

impl Pen {
    fn name(&self, name: &str) -> String {
        if self.0.renamed { format!("{OTHER}{name}") } else { name.to_owned() }
    }

    /// A quantity: in its metric unit, or by factor and offset in the other.
    fn of(&self, value: f64, unit: &str, (factor, offset, other): (f64, f64, &str)) -> String {
        if self.0.us {
            format!("\"{} {other}\"", value * factor + offset)
        } else {
            format!("\"{value} {unit}\"")
        }
    }

    // Exact by definition: 1 in is 25.4 mm, 1 lb 0.45359237 kg, 1 gal 231 in³ (NIST SP 811, appendix B).
    fn mm(&self, value: f64) -> String {
        self.of(value, "mm", (1.0 / 25.4, 0.0, "in"))
    }

    fn m(&self, value: f64) -> String {
        self.of(value, "m", (1.0 / 0.3048, 0.0, "ft"))
    }

    fn celsius(&self, value: f64) -> String {
        self.of(value, "°C", (1.8, 32.0, "°F"))
    }

    fn kelvin(&self, value: f64) -> String {
        self.of(value, "K", (1.8, 0.0, "°F"))
    }

    fn kpa(&self, value: f64) -> String {
        self.of(value, "kPa", (1000.0 * 0.0254 * 0.0254 / (0.45359237 * 9.80665), 0.0, "psi"))
    }

    fn l_min(&self, value: f64) -> String {
        self.of(value, "L/min", (1.0 / 3.785411784, 0.0, "gpm"))
    }

    fn litres(&self, value: f64) -> String {
        self.of(value, "L", (1.0 / 3.785411784, 0.0, "gal"))
    }

    fn kg(&self, value: f64) -> String {
        self.of(value, "kg", (1.0 / 0.45359237, 0.0, "lb"))
    }

    fn m3_h(&self, value: f64) -> String {
        self.of(value, "m3/h", (1.0 / 0.3048_f64.powi(3) / 60.0, 0.0, "cfm"))
    }

    /// A map, in one order or the other.
    fn map(&self, entries: Vec<(String, String)>) -> String {
        let mut lines: Vec<String> = entries
            .into_iter()
            .map(|(name, value)| format!("\"{}\": {value}", self.name(&name)))
            .collect();
        if self.0.reversed {
            lines.reverse();
        }
        format!("{{\n{}\n}}", lines.join(",\n"))
    }

    /// Parts of a run, in the order in which the coolant meets them, which is no order of names.
    fn parts(&self, parts: &[(&str, String)]) -> String {
        let lines: Vec<String> =
            parts.iter().map(|(name, value)| format!("\"{}\": {value}", self.name(name))).collect();
        format!("{{ {} }}", lines.join(", "))
    }

    fn hose(&self, length_m: f64, rise_m: f64) -> String {
        format!(
            "Hose(length: {}, rise: {}, bends: [Bend(angle: \"90°\")])",
            self.m(length_m),
            self.m(rise_m)
        )
    }

    /// The way from the collector round to the spreader: all but what is cooled.
    fn feed(&self, k: usize, of: &Loop) -> Vec<(&'static str, String)> {
        let mut tank = format!(
            "Tank(volume: {}, air: {}",
            self.litres(of.tank_l),
            self.litres(0.3 * of.tank_l)
        );
        if of.ice_kg > 0.0 {
            tank.push_str(&format!(", ice: {}", self.kg(of.ice_kg)));
        }
        if of.cap {
            tank.push_str(&format!(
                ", cap: Cap(opens: {}, vacuum: {})",
                self.kpa(110.0),
                self.kpa(5.0)
            ));
        }
        let mut parts = vec![("back", self.hose(of.hose_m, of.rise_m))];
        if let Some(opens) = of.opens_c {
            parts.push((
                "stat",
                format!("Thermostat(opens: {}, range: {})", self.celsius(opens), self.kelvin(12.0)),
            ));
        }
        parts.push(("core", format!("CoreSide(core: \"{}\")", self.name(&format!("core{k}")))));
        parts.push(("tank", tank + ")"));
        parts.push(("suction", self.hose(0.4, -of.rise_m)));
        let count =
            if of.pumps > 1 { format!(", count: Series({})", of.pumps) } else { String::new() };
        parts.push((
            "pump",
            format!(
                "Pump(shut_off: {}, free_flow: {}{count})",
                self.kpa(of.shut_off_kpa),
                self.l_min(of.free_l_min)
            ),
        ));
        parts.push(("delivery", self.hose(of.hose_m, 0.0)));
        parts
    }

    fn circuit(&self, k: usize, of: &Loop, air_c: f64) -> String {
        let cooler = self.name(&format!("source{k}"));
        let mut feed = self.feed(k, of);
        let head = format!(
            "Circuit(coolant: EthyleneGlycol(by_volume: \"{} %\"), start: {}, bore: {}",
            of.glycol,
            self.celsius(air_c),
            self.mm(of.bore_mm)
        );
        if !of.ports {
            feed.push(("pass", format!("Pass(cooler: \"{cooler}\")")));
            let run = vec![("loop".to_owned(), format!("Run(parts: {})", self.parts(&feed)))];
            return format!("{head}, runs: {})", self.map(run));
        }
        let (spreader, collector) = (self.name("spreader"), self.name("collector"));
        let port = |pass: usize, length: f64| {
            let mut parts = vec![
                ("hose", self.hose(length, 0.0)),
                ("pass", format!("Pass(cooler: \"{cooler}\", pass: {pass})")),
            ];
            let mut ends = (&spreader, &collector);
            if self.0.turned {
                parts.reverse();
                ends = (ends.1, ends.0);
            }
            format!("Run(from: \"{}\", to: \"{}\", parts: {})", ends.0, ends.1, self.parts(&parts))
        };
        let runs = vec![
            (
                "feed".to_owned(),
                format!(
                    "Run(from: \"{collector}\", to: \"{spreader}\", parts: {})",
                    self.parts(&feed)
                ),
            ),
            ("near".to_owned(), port(1, of.near_m)),
            ("far".to_owned(), port(2, of.far_m)),
        ];
        format!("{head}, runs: {})", self.map(runs))
    }

    fn duty(&self, of: &Vehicle) -> String {
        let mut phases = Vec::new();
        let times = if self.0.unrolled { of.repeat } else { 1 };
        for round in 0..times {
            for (k, &(time_s, power)) in of.phases.iter().enumerate() {
                let pieces = if self.0.split { 2 } else { 1 };
                for piece in 0..pieces {
                    let time = time_s / f64::from(pieces);
                    let name = format!("phase{k}_{round}_{piece}");
                    phases.push(format!(
                        "\"{}\": Phase(time: \"{time} s\", power: \"{power} %\")",
                        self.name(&name)
                    ));
                }
            }
        }
        let repeat = if self.0.unrolled { 1 } else { of.repeat };
        format!(
            "Duty(power: \"{} kW\", road_speed: \"{} km/h\", repeat: {repeat}, phases: {{ {} }})",
            of.power_kw,
            of.speed_km_h,
            phases.join(", ")
        )
    }
}

impl Vehicle {
    /// The vehicle as a case file.
    pub(crate) fn written(&self, way: Way) -> String {
        let pen = Pen(way);
        let all = || self.loops.iter().enumerate();
        let circuits = pen.map(
            all().map(|(k, of)| (format!("circuit{k}"), pen.circuit(k, of, self.air_c))).collect(),
        );
        let source = |(k, of): (usize, &Loop)| {
            let passes = if of.ports { ", passes: 2" } else { "" };
            let value = format!(
                "Cooler(share: \"{} %\"{passes}, metal: Aluminium({}), fall: (fall: {}, at: {}))",
                of.share,
                pen.kg(of.metal_kg),
                pen.kpa(of.fall_kpa),
                pen.l_min(40.0)
            );
            (format!("source{k}"), value)
        };
        let core = |(k, of): (usize, &Loop)| {
            let value = format!(
                "Core(rated: (heat: \"{} kW\", coolant: {}, air: \"3 kg/s\", difference: {}), \
                 fall: (fall: {}, at: {}), air_fall: (fall: \"80 Pa\", at: \"1.5 kg/s\"))",
                of.core_kw,
                pen.l_min(150.0),
                pen.kelvin(60.0),
                pen.kpa(15.0),
                pen.l_min(60.0)
            );
            (format!("core{k}"), value)
        };
        let limits = |(k, of): (usize, &Loop)| {
            let of_metal = format!("coolers/{}:metal", pen.name(&format!("source{k}")));
            (
                format!("metal{k}"),
                format!("Limit(of: \"{of_metal}\", max: {})", pen.celsius(of.most_c)),
            )
        };
        // The order of cores is that of the air, not one of names.
        let stack: Vec<String> =
            all().map(|(k, _)| format!("\"{}\"", pen.name(&format!("core{k}")))).collect();
        let fan = format!(
            "Fan(count: {}, shut_off: \"{} Pa\", free_flow: {})",
            self.fans,
            self.fan_pa,
            pen.m3_h(self.fan_m3_h)
        );
        let fans = pen.map(vec![("fan".to_owned(), fan)]);
        let path = pen.map(vec![(
            "front".to_owned(),
            format!("AirPath(cores: [{}], fans: {fans})", stack.join(", ")),
        )]);
        format!(
            "Case(\ntitle: \"A random vehicle (invented numbers)\",\nsite: Site(air: {}, altitude: {}, humidity: \"{} %\"),\n\
             circuits: {circuits},\ncoolers: {},\ncores: {},\nair_paths: {path},\nduty: {},\nlimits: {},\n)\n",
            pen.celsius(self.air_c),
            pen.m(self.altitude_m),
            self.humidity,
            pen.map(all().map(source).collect()),
            pen.map(all().map(core).collect()),
            pen.duty(self),
            pen.map(all().map(limits).collect()),
        )
    }
}
