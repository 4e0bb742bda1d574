//! A random circuit: junctions, runs between them, tees, headers and open ends, written as a case.

use super::dimensions::by_dimensions;
use super::draw::text;
use super::parts::{Beside, Writer};
use crate::common::Random;

/// What circuits are to be like.
// Four independent traits of a circuit.
#[allow(clippy::struct_excessive_bools)]
#[derive(Clone, Copy, Debug)]
pub(crate) struct Nature {
    /// Tees and headers, which couple the runs that meet there.
    pub(crate) tees: bool,
    /// Heads that rise with flow.
    pub(crate) rising: bool,
    /// Tiny beside huge bores, resistances over twelve decades.
    pub(crate) wide: bool,
    /// Junctions at different heights.
    pub(crate) heights: bool,
}

impl Nature {
    /// A bore, mm.
    pub(crate) fn bore_mm(self, random: &mut Random) -> f64 {
        if self.wide { random.decades(0.6, 400.0) } else { random.decades(6.0, 60.0) }
    }
}

/// A random case with one circuit.
#[derive(Clone, Debug)]
pub(crate) struct Sketch {
    /// The case file.
    pub(crate) text: String,
    /// Whether every law falls along its flow: no tee, no head that rises.
    pub(crate) monotone: bool,
    /// Temperature at which it is solved, °C.
    pub(crate) celsius: f64,
    /// How far temperatures differ from place to place, K.
    pub(crate) spread_k: f64,
}

/// A run in the making: its ends, and whether they are used up by a tee or header.
#[derive(Clone, Copy, Debug)]
struct Edge {
    from: usize,
    to: usize,
}

/// Draws the ends of the runs: connected, with parallel runs and runs from a junction to itself.
fn edges(random: &mut Random, junctions: usize) -> Vec<Edge> {
    let mut edges = Vec::new();
    let mut degree = vec![0_usize; junctions];
    let mut add = |edges: &mut Vec<Edge>, a: usize, b: usize, turn: bool| {
        degree[a] += 1;
        degree[b] += 1;
        edges.push(if turn { Edge { from: b, to: a } } else { Edge { from: a, to: b } });
        degree.clone()
    };
    let mut degrees = vec![0; junctions];
    for k in 1..junctions {
        let near = random.below(k);
        degrees = add(&mut edges, near, k, random.chance(0.5));
    }
    let more = 1 + random.below(junctions + 3);
    for _ in 0..more {
        let twos: Vec<usize> = (0..junctions).filter(|&j| degrees[j] <= 2).collect();
        let pick = |random: &mut Random| {
            if twos.is_empty() || random.chance(0.3) {
                random.below(junctions)
            } else {
                *random.one_of(&twos)
            }
        };
        let (a, b) = match random.below(12) {
            0 => {
                let at = random.below(junctions);
                (at, at)
            }
            1 if !edges.is_empty() => {
                let Edge { from, to } = *random.one_of(&edges);
                (from, to)
            }
            _ => (pick(random), pick(random)),
        };
        degrees = add(&mut edges, a, b, random.chance(0.5));
    }
    edges
}

/// Draws a case.
pub(crate) fn sketch(seed: u64, size: usize, mut nature: Nature) -> Sketch {
    // Neighbouring seeds must not begin alike.
    let mut random = Random(seed ^ 0x9e37_79b9_7f4a_7c15);
    for _ in 0..4 {
        random.next();
    }
    let random = &mut random;
    nature.heights = random.chance(0.4);
    let mut drawn = Drawn::new(random, size, nature);
    drawn.open_ends(random);
    drawn.joints(random);
    let runs = drawn.runs(random);
    let mut coolant = coolant(random);
    // Drawn from numbers of its own, so that all else is as in a circuit of water or glycol.
    let mut own = Random(seed ^ 0x5851_f42d_4c95_7f2d);
    for _ in 0..4 {
        own.next();
    }
    // Nothing is known of how another liquid boils at a hot wall; and thick oil through bores of half a millimetre takes
    // pressures beside which those of the rest are rounding.
    let walls = drawn.beside.coolers.iter().chain(&drawn.beside.engines);
    let has_wall = walls.into_iter().any(|text| text.contains("wall: "));
    if !has_wall && !nature.wide && own.chance(0.15) {
        coolant = ("Liquid(\"oil\")".to_owned(), 5.0);
        drawn.liquid = Some(liquid(&mut own));
    }
    for core in drawn.beside.cores.iter_mut().filter(|core| core.contains("rated: ")) {
        if own.chance(0.4) {
            *core = by_table(&mut own, core);
        } else if !core.contains("_whole") && own.chance(0.5) {
            // One that is known by its dimensions is not cut.
            *core = by_dimensions(&mut own, core);
        }
    }
    drawn.write(random, &runs, coolant)
}

/// A core that is known by a table in the place of its rated point, with every field that one may have.
fn by_table(random: &mut Random, core: &str) -> String {
    let (coolant_flows, air_flows) = (1 + random.below(3), 1 + random.below(4));
    let velocities = random.chance(0.5);
    let fluid = if random.chance(0.5) { ", fluid: Water" } else { "" };
    let mut rows = Vec::new();
    for m in 0..coolant_flows {
        for w in 0..air_flows {
            let (m, w) = (25.0 * (m + 1) as f64, (w + 1) as f64);
            let air = if velocities {
                format!("velocity: {}", text(1.7 * w, "m/s"))
            } else {
                format!("air: {}", text(0.6 * w, "kg/s"))
            };
            let ua = 500.0 * (m / 50.0).powf(0.2) * w.powf(0.5) * random.between(0.98, 1.02);
            let what = if random.chance(0.5) {
                format!("conductance: {}", text(ua, "W/K"))
            } else {
                format!("heat: {}, difference: \"50 K\"", text(0.014 * ua, "kW"))
            };
            rows.push(format!(
                "({what}, coolant: {}, {air}, air_in: \"25 °C\"{fluid})",
                text(m, "L/min")
            ));
        }
    }
    let mut fields = vec![format!("table: [{}], face: \"0.3 m2\"", rows.join(", "))];
    if random.chance(0.5) {
        fields.push(format!("conductance_scale: {}", text(random.between(80.0, 120.0), "%")));
    }
    let (head, rest) = core.split_once("rated: ").expect("a rated point");
    let (_, mut rest) = rest.split_once("), ").expect("its end");
    if random.chance(0.6) {
        rest = rest
            .split_once(", air_fall: ")
            .map_or(rest, |(before, _)| before)
            .trim_end_matches(')');
        // The brackets of the fall of its coolant.
        let open = rest.matches('(').count() - rest.matches(')').count();
        let falls = if random.chance(0.5) {
            "by_velocity: [(\"2 m/s\", \"40 Pa\"), (\"5 m/s\", \"180 Pa\"), (\"8 m/s\", \"390 Pa\")]"
        } else {
            "by_flow: [(\"1000 m3/h\", \"30 Pa\"), (\"4000 m3/h\", \"300 Pa\")], density: \"1.2 kg/m3\""
        };
        let scale = if random.chance(0.5) { ", air_falls_scale: \"110 %\"" } else { "" };
        let shut = ")".repeat(open);
        return format!("{head}{}, {rest}{shut}, air_falls: ({falls}){scale})", fields.join(", "));
    }
    format!("{head}{}, {rest}", fields.join(", "))
}

/// A liquid by points: thin as a dielectric coolant or thick as an engine oil, with every field that one may have.
fn liquid(random: &mut Random) -> String {
    let thick = random.decades(1.0, 60.0);
    let from = random.between(-30.0, 0.0);
    let rows = 2 + random.below(8);
    let step = random.between(60.0, 130.0) / rows as f64;
    let mut table = Vec::new();
    for row in 0..rows {
        let celsius = from + step * row as f64;
        // Reynolds' form, which is none of those that the program interpolates by.
        let nu = thick * (0.02 * (60.0 - celsius)).exp();
        let density = 950.0 - 0.65 * celsius;
        let viscosity = if random.chance(0.5) {
            format!("viscosity: {}", text(nu * density * 1e-3, "mPa·s"))
        } else {
            format!("kinematic_viscosity: {}", text(nu, "mm²/s"))
        };
        table.push(format!(
            "(temperature: {}, density: {}, heat_capacity: {}, {viscosity}, conductivity: {})",
            text(celsius, "°C"),
            text(density, "kg/m³"),
            text(1.8 + 0.004 * celsius, "kJ/(kg·K)"),
            text(0.14 - 8e-5 * celsius, "W/(m·K)"),
        ));
    }
    let mut fields = vec![format!("table: [{}]", table.join(", "))];
    if random.chance(0.5) {
        fields.push(format!("freezes: {}", text(random.between(-50.0, -35.0), "°C")));
    }
    match random.below(3) {
        0 => {}
        1 => fields.push(format!("boils: {}", text(random.between(150.0, 350.0), "°C"))),
        _ => fields.push("vapour: [(\"60 °C\", \"0.3 kPa\"), (\"150 °C\", \"25 kPa\")]".to_owned()),
    }
    for of in ["density", "heat_capacity", "viscosity", "conductivity"] {
        if random.chance(0.3) {
            fields.push(format!("{of}_scale: {}", text(random.between(90.0, 120.0), "%")));
        }
    }
    format!("\"oil\": Liquid({})", fields.join(", "))
}

/// A coolant: its text, and the coldest it may be, °C.
fn coolant(random: &mut Random) -> (String, f64) {
    let base = random.below(3);
    if base == 0 {
        return ("Water".to_owned(), 1.0);
    }
    let share = *random.one_of(&[10.0, 33.0, 50.0, 60.0]);
    let name = if base == 1 { "EthyleneGlycol" } else { "PropyleneGlycol" };
    let coldest = if share >= 50.0 { -25.0 } else { 0.0 };
    (format!("{name}(by_volume: {})", text(share, "%")), coldest)
}

/// What has been drawn so far.
struct Drawn {
    nature: Nature,
    edges: Vec<Edge>,
    heights: Vec<f64>,
    /// Bore of all runs, mm, where they have one.
    one_bore: Option<f64>,
    bores: Vec<f64>,
    /// The entry of each junction under `junctions`.
    joints: Vec<Option<String>>,
    held: bool,
    fed: bool,
    coupled: bool,
    beside: Beside,
    /// The liquid by points that its circuit holds, where that is one.
    liquid: Option<String>,
}

impl Drawn {
    fn new(random: &mut Random, junctions: usize, nature: Nature) -> Self {
        let edges = edges(random, junctions);
        let top = random.decades(0.1, 6.0);
        let heights = (0..junctions)
            .map(|_| if nature.heights { random.between(-top, top) } else { 0.0 })
            .collect();
        let one_bore = random.chance(0.4).then(|| nature.bore_mm(random));
        let bores = edges.iter().map(|_| one_bore.unwrap_or_else(|| nature.bore_mm(random)));
        let bores = bores.collect();
        Self {
            nature,
            edges,
            heights,
            one_bore,
            bores,
            joints: vec![None; junctions],
            held: false,
            fed: false,
            coupled: false,
            beside: Beside::default(),
            liquid: None,
        }
    }

    /// The runs with one end at a junction; `None` where one has both.
    fn at(&self, junction: usize) -> Option<Vec<usize>> {
        let ends =
            |edge: &Edge| usize::from(edge.from == junction) + usize::from(edge.to == junction);
        if self.edges.iter().any(|edge| ends(edge) == 2) {
            return None;
        }
        Some((0..self.edges.len()).filter(|&e| ends(&self.edges[e]) == 1).collect())
    }

    fn degree(&self, junction: usize) -> usize {
        let ends = self.edges.iter().flat_map(|edge| [edge.from, edge.to]);
        ends.filter(|end| *end == junction).count()
    }

    /// Opens loose ends or ties them up, and now and then opens others.
    fn open_ends(&mut self, random: &mut Random) {
        let junctions = self.joints.len();
        let open = random.chance(0.35);
        let mut opened = Vec::new();
        for junction in 0..junctions {
            if self.degree(junction) >= 2 {
                if open && random.chance(0.2) {
                    opened.push(junction);
                }
            } else if random.chance(0.5) && junctions > 1 {
                opened.push(junction);
            } else {
                let other = random.below(junctions);
                self.edges.push(Edge { from: other, to: junction });
                self.bores.push(self.one_bore.unwrap_or_else(|| self.nature.bore_mm(random)));
            }
        }
        // What is fed in must find a way out: one end is held, or flow is given at none.
        for (k, junction) in opened.into_iter().enumerate() {
            let fed = k > 0 && random.chance(0.5);
            let what = if fed {
                self.fed = true;
                let most = if self.nature.wide { 500.0 } else { 60.0 };
                format!("flow: {}", text(random.between(-most, most), "L/min"))
            } else {
                self.held = true;
                let most = if self.nature.wide { 2000.0 } else { 150.0 };
                format!("pressure: {}", text(random.between(-90.0, most), "kPa"))
            };
            self.joints[junction] = Some(format!("Open({what}, temperature: \"30 °C\")"));
        }
    }

    /// Makes tees where three runs meet, headers where more do.
    fn joints(&mut self, random: &mut Random) {
        for junction in 0..self.joints.len() {
            if self.joints[junction].is_some() {
                continue;
            }
            let Some(mut runs) = self.at(junction) else { continue };
            for k in (1..runs.len()).rev() {
                runs.swap(k, random.below(k + 1));
            }
            let joint = match runs.len() {
                3 if self.nature.tees && random.chance(0.8) => tee(random, &runs),
                3.. if self.nature.tees && random.chance(0.7) => header(random, &runs, self.nature),
                2.. if random.chance(0.2) => {
                    let level = text(random.between(0.0, 0.4), "m");
                    format!("Tank(volume: \"6 L\", air: \"1 L\", level: {level})")
                }
                _ if random.chance(0.3) => "Joint()".to_owned(),
                _ => continue,
            };
            self.coupled |= joint.starts_with("Tee") || joint.starts_with("Header");
            self.joints[junction] = Some(joint);
        }
    }

    /// Writes the runs.
    fn runs(&mut self, random: &mut Random) -> Vec<String> {
        let edges = self.edges.clone();
        let mut runs = Vec::new();
        for (k, (edge, bore)) in edges.iter().zip(self.bores.clone()).enumerate() {
            let mut writer = Writer::new(
                random,
                self.nature,
                &mut self.beside,
                (k, bore, self.one_bore.is_some()),
            );
            let count = 1 + writer.random.below(3);
            for _ in 0..count {
                writer.any();
            }
            // Heights have to close, and nothing but a hose resists a bare run for sure.
            if self.nature.heights || writer.random.chance(0.8) {
                let rise = self.heights[edge.to] - self.heights[edge.from];
                writer.hose(self.nature.heights.then_some(rise));
            } else {
                writer.part("Resistance");
            }
            let parts = writer.finish();
            runs.push(format!(
                "            \"r{k}\": Run(from: \"j{}\", to: \"j{}\", bore: {}, parts: {{\n{parts}            \
                 }}),\n",
                edge.from,
                edge.to,
                text(bore, "mm")
            ));
        }
        if !self.beside.pumped && !self.held && !self.fed {
            let bore = text(self.bores[0], "mm");
            runs.push(format!(
                "            \"pump\": Run(from: \"j0\", to: \"j0\", bore: {bore}, parts: {{ \
                 \"pump\": Pump(shut_off: \"80 kPa\", free_flow: \"90 L/min\"), \"hose\": \
                 Hose(length: \"1 m\", rise: \"0 m\") }}),\n"
            ));
            // A junction with both ends of a run is no tee.
            if self.joints[0].as_ref().is_some_and(|joint| !joint.starts_with("Open")) {
                self.joints[0] = None;
            }
        }
        runs
    }

    /// Writes the case.
    fn write(
        self,
        random: &mut Random,
        runs: &[String],
        (coolant, coldest): (String, f64),
    ) -> Sketch {
        let joints = self.joints.iter().enumerate();
        let joints: String = joints
            .filter_map(|(j, joint)| {
                joint.as_ref().map(|joint| format!("            \"j{j}\": {joint},\n"))
            })
            .collect();
        let pressure = if self.held { "" } else { ", pressure: \"120 kPa\", pressure_at: \"j0\"" };
        let list = |entries: &[String]| entries.join(",\n        ");
        let beside = &self.beside;
        let paths = paths(random, beside);
        let bay = bay(random);
        let text = format!(
            "Case(\n    {bay}liquids: {{ {} }},\n    circuits: {{ \"c\": Circuit(coolant: {coolant}, start: \"20 °C\"{pressure}, \
             runs: {{\n{}        }}, junctions: {{\n{joints}        }}) }},\n    coolers: {{\n        \
             {}\n    }},\n    engines: {{\n        {}\n    }},\n    exchangers: {{\n        {}\n    }},\n    cores: {{\n        {}\n    }},\n    \
             air_paths: {{\n{paths}    }},\n    charge_air: {{\n        {}\n    }},\n    pump_curves: {{\n        {}\n    }},\n    \
             supply: Supply(voltage: \"12.5 V\"),\n    supplies: {{ \"aux\": Supply(voltage: \"9 V\", resistance: \"60 mΩ\") }},\n    duty: Duty(engine_speed: \"3000 1/min\"),\n)\n",
            self.liquid.as_deref().unwrap_or_default(),
            runs.concat(),
            list(&beside.coolers),
            list(&beside.engines),
            list(&beside.exchangers),
            list(&beside.cores),
            list(&beside.charge_air),
            list(&beside.curves),
        );
        let spread_k = if random.chance(0.3) { random.between(0.0, 30.0) } else { 0.0 };
        Sketch {
            text,
            monotone: !self.coupled && !beside.rises,
            celsius: random.between(coldest, 105.0 - spread_k),
            spread_k,
        }
    }
}

/// The air around hoses and tanks, where it is told.
fn bay(random: &mut Random) -> String {
    if random.chance(0.6) {
        return String::new();
    }
    let air = text(random.between(-20.0, 90.0), "°C");
    let speed = text(if random.chance(0.5) { 0.0 } else { random.decades(0.1, 30.0) }, "m/s");
    format!("bay: Bay(air: {air}, speed: {speed}),\n    ")
}

fn formulas(random: &mut Random) -> &'static str {
    ["", ", formulas: Unified", ", formulas: Gardel", ", formulas: TP410"][random.below(4)]
}

fn tee(random: &mut Random, runs: &[usize]) -> String {
    let angle = match random.below(3) {
        0 => String::new(),
        1 => format!(", angle: {}", text(*random.one_of(&[45.0, 60.0, 90.0, 120.0, 135.0]), "°")),
        _ => format!(", angle: {}", text(random.between(12.0, 168.0), "°")),
    };
    let (a, b, side) = (runs[0], runs[1], runs[2]);
    let formulas = formulas(random);
    format!("Tee(straight: (\"r{a}\", \"r{b}\"), side: \"r{side}\"{angle}{formulas})")
}

fn header(random: &mut Random, runs: &[usize], nature: Nature) -> String {
    let names: Vec<String> = runs.iter().map(|run| format!("\"r{run}\"")).collect();
    let ends = if runs.len() >= 4 && random.chance(0.4) { 2 } else { 1 };
    let ports = names[ends..].join(", ");
    let divides = random.chance(0.5);
    let (first, second, along) =
        if divides { ("inlet", "outlet", "outlets") } else { ("outlet", "inlet", "inlets") };
    let second = if ends == 2 { format!("{second}: {}, ", names[1]) } else { String::new() };
    let bore = text(nature.bore_mm(random), "mm");
    let formulas = formulas(random);
    format!("Header({first}: {}, {second}{along}: [{ports}], bore: {bore}{formulas})", names[0])
}

/// The ways of the air through all cores: one for each, or all of them in lanes of one path, with a gap beside them.
fn paths(random: &mut Random, beside: &Beside) -> String {
    let count = beside.cores_of_air;
    let fan = "shut_off: \"250 Pa\", free_flow: \"4000 m3/h\"";
    if count < 2 || random.chance(0.5) {
        let path = |k: usize| {
            let Beside { losses, .. } = beside;
            format!(
                "        \"path{k}\": AirPath(cores: [\"core{k}\"], {}fans: {{ \"fan{k}\": Fan({fan}) }}),\n",
                losses[k],
            )
        };
        return (0..count).map(path).collect();
    }
    // Two cores one behind the other, the others in lanes of their own.
    let lanes: String = (1..count)
        .map(|k| {
            let cores =
                if k == 1 { "\"core0\", \"core1\"".to_owned() } else { format!("\"core{k}\"") };
            format!(
                "\"lane{k}\": Lane(cores: [{cores}], {}), ",
                beside.losses[k].trim_end_matches(", ")
            )
        })
        .collect();
    let gap = text(random.between(20.0, 300.0), "cm2");
    let round = text(random.between(0.0, 30.0), "%");
    let ahead = if random.chance(0.3) {
        format!(", \"ahead\": Fan({fan}, lane: \"lane1\", pushes: true)")
    } else {
        String::new()
    };
    format!(
        "        \"path\": AirPath({}lanes: {{ {lanes}\"gap\": Lane(gap: {gap}) }}, recirculation: {round}, \
         fans: {{ \"fan\": Fan({fan}, count: {count}){ahead} }}),\n",
        beside.losses[0],
    )
}
