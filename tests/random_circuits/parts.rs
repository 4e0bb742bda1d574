//! Random parts, as a builder would write them into the file.

use super::draw::text;
use super::sketch::Nature;
use crate::common::Random;

/// The kinds of part that the generator writes, by their word in the file.
pub(crate) const KINDS: [&str; 17] = [
    "Hose",
    "Reducer",
    "Meter",
    "Filter",
    "Coupling",
    "Resistance",
    "Pump",
    "CheckValve",
    "Restrictor",
    "Throttle",
    "Thermostat",
    "Barb",
    "Pass",
    "Jacket",
    "CoreSide",
    "ExchangerSide",
    "Tank",
];

/// What the parts of a case refer to, beside its circuits.
#[derive(Debug, Default)]
pub(crate) struct Beside {
    pub(crate) coolers: Vec<String>,
    pub(crate) engines: Vec<String>,
    pub(crate) exchangers: Vec<String>,
    pub(crate) cores: Vec<String>,
    pub(crate) curves: Vec<String>,
    /// Charge air through some of the coolers.
    pub(crate) charge_air: Vec<String>,
    /// How many of the cores air crosses: those that are cut stand for their pieces.
    pub(crate) cores_of_air: usize,
    /// What the ducts of the air path of each core cost.
    pub(crate) losses: Vec<String>,
    /// Thermostats whose lift may move a bypass, as `run/part`.
    pub(crate) thermostats: Vec<String>,
    /// Whether a curve rises with flow somewhere.
    pub(crate) rises: bool,
    /// Whether there is a pump at all, stopped or running.
    pub(crate) pumped: bool,
}

/// Writes the parts of one run.
pub(crate) struct Writer<'a> {
    pub(crate) random: &'a mut Random,
    pub(crate) nature: Nature,
    pub(crate) beside: &'a mut Beside,
    /// Number of the run.
    run: usize,
    /// Bore of the run, mm.
    pub(crate) run_mm: f64,
    /// Bore of the part before, mm.
    before_mm: f64,
    /// Whether parts keep to the bore of the run, so that tees have equal legs.
    one_bore: bool,
    parts: Vec<String>,
}

impl<'a> Writer<'a> {
    pub(crate) fn new(
        random: &'a mut Random,
        nature: Nature,
        beside: &'a mut Beside,
        (run, run_mm, one_bore): (usize, f64, bool),
    ) -> Self {
        let parts = Vec::new();
        Self { random, nature, beside, run, run_mm, before_mm: run_mm, one_bore, parts }
    }

    /// Adds a random part of any kind.
    pub(crate) fn any(&mut self) {
        let kind = *self.random.one_of(&KINDS);
        // Hoses and pumps are what circuits are made of.
        let kind = match self.random.below(8) {
            0 => "Pump",
            1 | 2 => "Hose",
            _ => kind,
        };
        self.part(kind);
    }

    /// Adds a part of a kind.
    pub(crate) fn part(&mut self, kind: &str) {
        match kind {
            "Hose" => self.hose(None),
            "Reducer" => self.reducer(),
            "Meter" => self.meter(),
            "Filter" | "Coupling" | "Resistance" => self.rated(kind),
            "Pump" => self.pump(),
            "CheckValve" => self.check_valve(),
            "Restrictor" => self.restrictor(),
            "Throttle" => self.throttle(),
            "Thermostat" => self.thermostat(),
            "Barb" => self.barb(),
            "Pass" | "Jacket" | "CoreSide" => self.through(kind),
            "ExchangerSide" => self.exchanger(),
            "Tank" => self.tank(),
            other => panic!("the generator does not write {other}"),
        }
    }

    /// The parts as the body of a run.
    pub(crate) fn finish(self) -> String {
        let parts = self.parts.iter().enumerate();
        parts.map(|(k, part)| format!("                \"p{k}\": {part},\n")).collect()
    }

    fn push(&mut self, word: &str, fields: &[String]) {
        self.parts.push(format!("{word}({})", fields.join(", ")));
    }

    fn bore_mm(&mut self) -> f64 {
        self.nature.bore_mm(self.random)
    }

    /// A bore of its own, now and then.
    fn own_bore(&mut self, chance: f64) -> Option<String> {
        if self.one_bore || !self.random.chance(chance) {
            return None;
        }
        self.before_mm = self.bore_mm();
        Some(format!("bore: {}", text(self.before_mm, "mm")))
    }

    fn fall_at(&mut self) -> [String; 2] {
        self.rating().1
    }

    /// A fall in kPa, and the same with its flow as fields.
    fn rating(&mut self) -> (f64, [String; 2]) {
        let (fall, at) = if self.nature.wide {
            (self.random.decades(1e-3, 1e3), self.random.decades(1e-3, 1e3))
        } else {
            (self.random.decades(1.0, 60.0), self.random.decades(10.0, 150.0))
        };
        // A mass flow now and then.
        let unit = if self.random.chance(0.2) { "kg/min" } else { "L/min" };
        (fall, [format!("fall: {}", text(fall, "kPa")), format!("at: {}", text(at, unit))])
    }

    /// A hose; `rise` in m where heights are told.
    pub(crate) fn hose(&mut self, rise: Option<f64>) {
        let mut length = self.random.decades(0.02, if self.nature.wide { 100.0 } else { 4.0 });
        let mut fields = Vec::new();
        if let Some(rise) = rise {
            length += 1.01 * rise.abs();
            fields.push(format!("rise: {}", text(rise, "m")));
        } else if self.nature.heights {
            fields.push("rise: \"0 m\"".to_owned());
        }
        fields.push(format!("length: {}", text(length, "m")));
        // Without a bore of its own a hose has that of its run.
        self.before_mm = self.run_mm;
        fields.extend(self.own_bore(0.4));
        if self.random.chance(0.3) {
            fields.push(format!("roughness: {}", text(self.random.decades(1e-3, 1.0), "mm")));
        }
        if self.random.chance(0.3) {
            fields.push(format!("loss: {}", self.random.below(20)));
        }
        if self.random.chance(0.4) {
            let angle = text(self.random.between(5.0, 180.0), "°");
            let radius = if self.random.chance(0.5) {
                let over = self.random.between(0.8, 8.0);
                format!(", radius: {}", text((over * self.before_mm).max(1.0), "mm"))
            } else {
                String::new()
            };
            let count = 1 + self.random.below(4);
            fields.push(format!("bends: [Bend(angle: {angle}{radius}, count: {count})]"));
        }
        if self.random.chance(0.2) {
            fields.push(format!("wall: {}", text(self.random.between(1.0, 12.0), "mm")));
        }
        self.push("Hose", &fields);
    }

    fn reducer(&mut self) {
        let mut fields = Vec::new();
        let to = if self.one_bore { self.run_mm } else { self.bore_mm() };
        fields.push(format!("to: {}", text(to, "mm")));
        if self.random.chance(0.7) {
            fields.push(format!("angle: {}", text(self.random.between(2.0, 170.0), "°")));
        }
        self.before_mm = to;
        self.push("Reducer", &fields);
    }

    fn resistance(&mut self) -> String {
        let mut fields = self.fall_at().to_vec();
        if self.random.chance(0.5) {
            fields.push(format!("exponent: {:.3}", self.random.between(0.7, 2.2)));
        }
        fields.extend(self.fluid());
        format!("Resistance({})", fields.join(", "))
    }

    /// The liquid of a rating, now and then.
    fn fluid(&mut self) -> Vec<String> {
        let mut fields = Vec::new();
        if self.random.chance(0.3) {
            let base = ["EthyleneGlycol", "PropyleneGlycol"][self.random.below(2)];
            fields.push(format!("fluid: {base}(by_volume: {})", text(50.0, "%")));
        }
        if self.random.chance(0.3) {
            fields
                .push(format!("fluid_temperature: {}", text(self.random.between(5.0, 95.0), "°C")));
        }
        fields
    }

    /// A fall of air with every field now and then.
    pub(crate) fn air_fall(&mut self) -> String {
        let mut fields = vec![format!("fall: {}", text(self.random.decades(5.0, 500.0), "Pa"))];
        fields.push(if self.random.chance(0.5) {
            format!("at: {}", text(self.random.decades(0.5, 4.0), "kg/s"))
        } else {
            format!("at: {}", text(self.random.decades(0.5, 4.0), "m3/s"))
        });
        if self.random.chance(0.5) {
            fields.push(format!("exponent: {:.3}", self.random.between(1.0, 2.5)));
        }
        if self.random.chance(0.5) {
            let density = text(self.random.between(0.6, 1.4), "kg/m3");
            fields.push(format!("density: {density}"));
        }
        format!("({})", fields.join(", "))
    }

    fn meter(&mut self) {
        let mut fields = self.fall_at().to_vec();
        if self.random.chance(0.5) {
            fields.push(format!("exponent: {:.3}", self.random.between(0.7, 2.2)));
        }
        fields.extend(self.fluid());
        // What follows is for the places of meters, and moves no flow.
        let kinds = ["Turbine", "Paddle", "Ultrasonic", "Magnetic", "Vortex", "Orifice"];
        fields.push(format!("kind: {}", kinds[self.random.below(kinds.len())]));
        if self.random.chance(0.3) {
            fields.push("straight_before: 12, straight_after: 4".to_owned());
        }
        self.push("Meter", &fields);
    }

    fn rated(&mut self, word: &str) {
        let resistance = self.resistance();
        self.push(word, &[resistance]);
    }

    fn pump(&mut self) {
        self.beside.pumped = true;
        let wide = self.nature.wide;
        let shut_off = self.random.decades(if wide { 1.0 } else { 20.0 }, 400.0);
        let free_flow =
            self.random.decades(if wide { 1.0 } else { 30.0 }, if wide { 2e3 } else { 300.0 });
        let mut fields = Vec::new();
        let labelled = self.random.chance(0.5);
        if labelled {
            fields.push(format!("shut_off: {}", text(shut_off, "kPa")));
            fields.push(format!("free_flow: {}", text(free_flow, "L/min")));
            // kPa L/min are 1/60 W; the best of a label gives less than half of the product of its numbers.
            if self.random.chance(0.3) {
                let watts = shut_off * free_flow / 60.0 * self.random.between(0.6, 3.0);
                fields.push(format!("power: {}", text(watts, "W")));
            }
        } else {
            let name = format!("curve{}", self.beside.curves.len());
            let curve = self.curve(shut_off, free_flow);
            self.beside.curves.push(format!("\"{name}\": {curve}"));
            fields.push(format!("curve: \"{name}\""));
        }
        let speed = match self.random.below(5) {
            0 => 0.0,
            1 => 100.0,
            // Next to nothing: a stronger pump drives it backwards, or through.
            4 => self.random.decades(1e-3, 20.0),
            2 => self.random.between(0.0, 130.0),
            _ => self.random.between(60.0, 120.0),
        };
        match self.random.below(8) {
            // The engine of every case turns at 3000 1/min.
            0 if labelled && self.nature.rising => {
                // With a speed heads are corrected for viscosity. In a liquid thinner than that of the
                // label a small pump's head then rises a little from rest.
                self.beside.rises = true;
                let ratio = self.random.between(0.0, 1.3);
                fields.push(format!(
                    "at_speed: \"3000 1/min\", driven_by: Engine(ratio: {ratio:.3})"
                ));
            }
            1 => {
                let volts = text(self.random.between(11.0, 15.0), "V");
                fields.push(format!("rated_voltage: {volts}, speed: {}", text(speed, "%")));
            }
            2 if self.nature.rising => {
                self.beside.rises = true;
                let current = text(self.random.decades(0.5, 100.0), "A");
                fields.push(format!("current_limit: {current}, speed: {}", text(speed, "%")));
            }
            3 => fields.push(format!("regulated: true, speed: {}", text(speed, "%"))),
            4 => fields.push(format!("supply: \"aux\", speed: {}", text(speed, "%"))),
            _ => fields.push(format!("speed: {}", text(speed, "%"))),
        }
        if self.random.chance(0.2) {
            let [head, flow] = [0, 1].map(|_| text(self.random.between(60.0, 120.0), "%"));
            fields.push(format!("head_scale: {head}, flow_scale: {flow}"));
        }
        // Nothing governs what the engine turns.
        let is_electric = fields.iter().all(|field| !field.contains("driven_by"));
        if is_electric && self.random.chance(0.2) {
            fields.push(format!("ramp: {}", text(self.random.between(0.2, 10.0), "s")));
        }
        let count = self.random.below(6);
        match count {
            0 => fields.push(format!("count: Series({})", 1 + self.random.below(3))),
            1 => {
                fields.push(format!("count: Parallel({})", 1 + self.random.below(3)));
                fields.push(format!("check_valves: {}", self.random.chance(0.6)));
            }
            _ => {}
        }
        if self.random.chance(0.3) {
            let [fall, at] = self.fall_at();
            fields.push(format!("stopped: ({fall}, {at})"));
        } else if self.random.chance(0.5) {
            let how = ["Freewheeling", "Seized"][self.random.below(2)];
            fields.push(format!("when_stopped: {how}"));
        }
        // What follows pumps side by side stands in the bore of the run.
        if count != 1 {
            fields.extend(self.own_bore(0.2));
        }
        self.push("Pump", &fields);
    }

    /// A table that falls, or one that rises first.
    fn curve(&mut self, shut_off: f64, free_flow: f64) -> String {
        let rising = self.nature.rising && self.random.chance(0.5);
        self.beside.rises |= rising;
        let bump = if rising { self.random.between(0.05, 1.2) } else { 0.0 };
        let last = self.random.between(0.6, 1.15);
        let count = 4 + self.random.below(4);
        let points: Vec<String> = (0..count)
            .map(|k| {
                let x = last * k as f64 / (count - 1) as f64;
                let rise = shut_off * (1.0 + bump * 4.0 * x * (1.0 - x).max(0.0) - x * x);
                format!("({}, {})", text(free_flow * x, "L/min"), text(rise, "kPa"))
            })
            .collect();
        let rising = if rising { ", rising: true" } else { "" };
        format!("PumpCurve(points: [{}]{rising})", points.join(", "))
    }

    fn check_valve(&mut self) {
        let mut fields = Vec::new();
        // What opens it is no more than all of its fall.
        let mut most = 100.0;
        if self.random.chance(0.7) {
            let (fall, told) = self.rating();
            (most, fields) = (0.9 * fall, told.to_vec());
        }
        if self.random.chance(0.7) {
            let cracking = f64::min(*self.random.one_of(&[0.0, 0.3, 3.0, 30.0]), most);
            fields.push(format!("cracking: {}", text(cracking, "kPa")));
        }
        self.push("CheckValve", &fields);
    }

    fn restrictor(&mut self) {
        let hole = (self.before_mm * self.random.between(0.15, 0.95)).max(0.5);
        if hole < 0.99 * self.before_mm {
            self.push("Restrictor", &[format!("bore: {}", text(hole, "mm"))]);
        }
    }

    fn opening(&mut self) -> String {
        let open = match self.random.below(4) {
            0 => 0.0,
            1 => self.random.decades(1e-4, 1.0),
            _ => self.random.between(0.0, 100.0),
        };
        format!("open: {}", text(open, "%"))
    }

    fn throttle(&mut self) {
        let mut fields = self.fall_at().to_vec();
        fields.extend(self.fluid());
        fields.push(self.opening());
        if self.random.chance(0.6) {
            fields.push(format!("leak: {}", text(self.random.decades(1e-3, 10.0), "%")));
        }
        match self.random.below(3) {
            0 => fields.push("characteristic: Linear".to_owned()),
            1 => fields.push("characteristic: EqualPercentage".to_owned()),
            _ => {}
        }
        self.push("Throttle", &fields);
    }

    /// What is told of the wax of a thermostat that moves.
    fn wax(&mut self) -> Vec<String> {
        let mut fields = vec![format!("opens: {}", text(self.random.between(5.0, 100.0), "°C"))];
        let mut told = |name: &str, number: f64, unit: &str| {
            if self.random.chance(0.5) {
                fields.push(format!("{name}: {}", text(number, unit)));
            }
        };
        told("range", 12.0, "K");
        told("hysteresis", 5.0, "K");
        told("lag", 20.0, "s");
        told("lag_at", 40.0, "L/min");
        fields
    }

    fn thermostat(&mut self) {
        let mut fields = Vec::new();
        if self.random.chance(0.6) {
            fields.extend(self.fall_at());
            fields.extend(self.fluid());
        }
        let moved_by = match self.random.below(4) {
            0 => self.beside.thermostats.last().cloned(),
            _ => None,
        };
        if let Some(main) = moved_by {
            fields.push(format!("side: Bypass, of: \"{main}\""));
        } else if self.random.chance(0.3) {
            fields.extend(self.wax());
        } else {
            fields.push(self.opening());
            if self.random.chance(0.3) {
                fields.push("side: Bypass".to_owned());
            } else {
                let name = format!("r{}/p{}", self.run, self.parts.len());
                self.beside.thermostats.push(name);
            }
        }
        if self.random.chance(0.5) {
            fields.push(format!("leak: {}", text(self.random.decades(0.1, 5.0), "%")));
        }
        self.push("Thermostat", &fields);
    }

    fn barb(&mut self) {
        let bore = (self.before_mm * self.random.between(0.4, 0.95)).max(0.5);
        if bore >= 0.99 * self.before_mm {
            return;
        }
        let length = self.random.decades(5.0, 200.0);
        self.push(
            "Barb",
            &[format!("bore: {}", text(bore, "mm")), format!("length: {}", text(length, "mm"))],
        );
    }

    fn through(&mut self, kind: &str) {
        let mut field = match kind {
            "CoreSide" => {
                let name = format!("core{}", self.beside.cores_of_air);
                self.beside.cores_of_air += 1;
                let fall = self.resistance().replace("Resistance", "");
                let air_fall = if self.random.chance(0.5) {
                    format!(", air_fall: {}", self.air_fall())
                } else {
                    String::new()
                };
                let fluid = if self.random.chance(0.3) { ", fluid: Water" } else { "" };
                let loss = if self.random.chance(0.5) {
                    format!("loss: {}, ", self.air_fall())
                } else {
                    String::new()
                };
                self.beside.losses.push(loss);
                let cut = self.random.chance(0.2);
                let whole = if cut { format!("{name}_whole") } else { name.clone() };
                if cut {
                    let way = if self.random.chance(0.5) { ", cut: InTurn" } else { "" };
                    let share = text(self.random.between(20.0, 100.0), "%");
                    self.beside.cores.push(format!(
                        "\"{name}\": Core(piece: (of: \"{whole}\", share: {share}{way}))"
                    ));
                }
                self.beside.cores.push(format!(
                    "\"{whole}\": Core(rated: (heat: \"20 kW\", coolant: \"60 L/min\", \
                     air: \"1.5 kg/s\", difference: \"50 K\"{fluid}), fall: {fall}{air_fall})"
                ));
                format!("core: \"{name}\"")
            }
            "Jacket" => {
                let name = format!("engine{}", self.beside.engines.len());
                let fall = self.resistance().replace("Resistance", "");
                let has_wall = self.random.chance(0.3);
                let wall = if has_wall { format!(", {}", self.wall()) } else { String::new() };
                self.beside
                    .engines
                    .push(format!("\"{name}\": Engine(heat: \"9 kW\", fall: {fall}{wall})"));
                let blocked = self.random.between(0.0, 95.0);
                format!("engine: \"{name}\", blocked: {}", text(blocked, "%"))
            }
            _ => {
                let name = format!("cooler{}", self.beside.coolers.len());
                let way = self.cooler_way();
                let own = ["film", "tubes", "wall"].iter().any(|word| way.contains(word));
                let charged = self.random.chance(0.3) && !own;
                let heat = if charged {
                    self.charge_cooler(&name);
                    ""
                } else {
                    "heat: \"3 kW\", "
                };
                self.beside.coolers.push(format!("\"{name}\": Cooler({heat}{way})"));
                let blocked = self.random.between(0.0, 95.0);
                format!("cooler: \"{name}\", blocked: {}", text(blocked, "%"))
            }
        };
        // There and back, so that the heights of the run close as they are.
        if self.nature.heights && self.random.chance(0.5) {
            let rise = self.random.between(0.0, 0.4);
            field.push_str(&format!(", rise: {}", text(rise, "m")));
            self.push(kind, &[field]);
            self.push("Hose", &[format!("length: \"1 m\", rise: {}", text(-rise, "m"))]);
            self.before_mm = self.run_mm;
            return;
        }
        self.push(kind, &[field]);
    }

    /// Both sides of an exchanger, one behind the other: its liquids meet themselves.
    fn exchanger(&mut self) {
        let name = format!("exchanger{}", self.beside.exchangers.len());
        let mut side = |warm: f64| {
            let mut fields = vec![
                format!("at: {}", text(self.random.decades(20.0, 200.0), "L/min")),
                format!("entering: {}", text(warm, "°C")),
            ];
            if self.random.chance(0.7) {
                fields.push(format!("fall: {}", text(self.random.decades(2.0, 80.0), "kPa")));
            }
            if self.random.chance(0.3) {
                fields.push(format!("exponent: {}", self.random.between(1.6, 2.0)));
            }
            format!("LiquidSide({})", fields.join(", "))
        };
        let sides = [side(75.0), side(35.0)];
        let way = if self.random.chance(0.5) { ", way: ParallelFlow" } else { "" };
        self.beside.exchangers.push(format!(
            "\"{name}\": Exchanger(heat: \"10 kW\", first: {}, second: {}{way})",
            sides[0], sides[1]
        ));
        for side in ["First", "Second"] {
            let blocked = text(self.random.between(0.0, 60.0), "%");
            let fields = [
                format!("exchanger: \"{name}\""),
                format!("side: {side}"),
                format!("blocked: {blocked}"),
            ];
            self.push("ExchangerSide", &fields);
        }
    }

    /// A way of charge air through a cooler of one pass.
    fn charge_cooler(&mut self, name: &str) {
        let random = &mut *self.random;
        let mut cooler = vec![
            format!("cooler: \"{name}\""),
            format!("coolant: {}", text(random.between(50.0, 120.0), "L/min")),
        ];
        let told = [
            ("effectiveness", random.between(10.0, 60.0), "%"),
            ("at", random.between(0.1, 0.6), "kg/s"),
            ("coolant_in", random.between(15.0, 40.0), "°C"),
            // So good a cooler that its film cannot hold more is refused.
            ("coolant_share", random.between(5.0, 25.0), "%"),
        ];
        for (field, number, unit) in told {
            if random.chance(0.6) {
                cooler.push(format!("{field}: {}", text(number, unit)));
            }
        }
        if random.chance(0.5) {
            cooler.push(format!("air_exponent: {}", random.between(0.4, 0.9)));
        }
        if random.chance(0.3) {
            cooler.push("way: SideBySide".to_owned());
        }
        let flow = text(random.between(0.05, 0.6), "kg/s");
        let ratio = random.between(1.0, 4.0);
        let soak = text(random.between(0.0, 30.0), "W/K");
        let share = text(random.between(10.0, 80.0), "%");
        let fall = format!("fall: {}", self.air_fall());
        if self.random.chance(0.5) {
            cooler.push(fall.clone());
        }
        let stages = [
            format!("\"pipe\": Duct(soak: {soak}, {fall})"),
            format!("\"blower\": Compressor(ratio: {ratio})"),
            format!("\"cooler\": ChargeCooler({})", cooler.join(", ")),
            format!("\"wind\": AirCooled(effectiveness: {share})"),
        ];
        let path =
            format!("\"{name}\": ChargeAir(flow: {flow}, stages: {{ {} }})", stages.join(", "));
        self.beside.charge_air.push(path);
    }

    /// The way through a pass: round, of flat tubes, or known by its fall.
    fn cooler_way(&mut self) -> String {
        if self.random.chance(0.3) {
            let height = self.random.decades(0.6, 20.0);
            let width = height * self.random.decades(1.0, 20.0);
            return format!(
                "tubes: FlatTubes(count: {}, width: {}, height: {}, length: {}), loss: {}",
                1 + self.random.below(60),
                text(width, "mm"),
                text(height, "mm"),
                text(self.random.decades(0.05, 3.0), "m"),
                self.random.below(9)
            );
        }
        if self.random.chance(0.5) {
            self.before_mm = self.bore_mm();
            let bore = text(self.before_mm, "mm");
            let length = text(self.random.decades(0.05, 5.0), "m");
            format!("bore: {bore}, length: {length}, loss: {}", self.random.below(9))
        } else {
            let fall = self.resistance().replace("Resistance", "");
            if self.random.chance(0.5) {
                return format!("fall: {fall}");
            }
            if self.random.chance(0.3) {
                return format!("fall: {fall}, {}", self.wall());
            }
            let mut film = vec!["conductance: \"2 kW/K\", at: \"30 L/min\"".to_owned()];
            film.extend(self.fluid());
            format!("fall: {fall}, film: ({})", film.join(", "))
        }
    }

    /// A hot wall, with what a case may say of it.
    fn wall(&mut self) -> String {
        let metal = ["Aluminium", "Iron", "Copper"][self.random.below(3)];
        let area = text(self.random.decades(0.005, 0.5), "m2");
        let mut wall = vec![format!("area: {area}, of: {metal}")];
        if self.random.chance(0.5) {
            wall.push(format!("thickness: {}", text(self.random.between(1.0, 15.0), "mm")));
            wall.push(format!("peak: {:.2}", self.random.between(1.0, 3.0)));
        }
        if self.random.chance(0.5) {
            wall.push("film: \"6 kW/(m2·K)\", at: \"40 L/min\"".to_owned());
            wall.extend(self.fluid());
        }
        if self.random.chance(0.3) {
            wall.push("surface: 0.01, conductivity: \"80 W/(m·K)\"".to_owned());
        }
        format!("wall: Wall({})", wall.join(", "))
    }

    fn tank(&mut self) {
        let volume = text(self.random.decades(0.2, 50.0), "L");
        self.before_mm = self.run_mm;
        let level = text(self.random.between(0.0, 0.5), "m");
        let mut fields = vec![format!("volume: {volume}, level: {level}")];
        if self.random.chance(0.3) {
            fields.push(format!("surface: {}", text(self.random.decades(0.05, 2.0), "m2")));
        }
        if self.random.chance(0.3) {
            fields.push(format!("insulation: {}", text(self.random.between(0.0, 50.0), "mm")));
        }
        self.push("Tank", &fields);
    }
}
