//! What pictures of a case are drawn from: its circuits along their way, its pumps and fans against
//! their systems, its air from front to back. All numbers are SI and were worked out before.

use coolwright_cases::quantity::Kind;

use super::{Answer, Sentence, Value};

/// All answers about a case, and what its pictures are drawn from.
#[derive(Clone, Debug)]
pub struct Report {
    /// Does it read, is the plumbing sensible?
    pub check: Answer,
    /// The operating point.
    pub point: Answer,
    /// The duty cycle, where it has one.
    pub cycle: Option<Answer>,
    /// Its variants side by side, where it has any.
    pub compare: Option<Answer>,
    /// Studies that were asked for beside these.
    pub studies: Vec<Answer>,
    /// What a log tells, where there was one.
    pub learnt: Option<Answer>,
    /// What its pictures are drawn from, at the operating point.
    pub drawing: Drawing,
}

impl Report {
    /// The answer that judges: the duty cycle where there is one.
    pub fn judge(&self) -> &Answer {
        self.cycle.as_ref().unwrap_or(&self.point)
    }

    /// All answers, the judge first.
    pub fn answers(&self) -> Vec<&Answer> {
        let judged = self.cycle.iter().chain([&self.point]).chain(&self.compare);
        judged.chain(&self.learnt).chain(&self.studies).chain([&self.check]).collect()
    }
}

/// What pictures are drawn from.
#[derive(Clone, Debug, Default)]
pub struct Drawing {
    /// The circuits.
    pub circuits: Vec<CircuitDrawn>,
    /// Pumps and fans against their systems.
    pub curves: Vec<CurvesDrawn>,
    /// The ways of the air.
    pub air: Vec<AirDrawn>,
    /// The ways of charge air.
    pub charge: Vec<ChargeDrawn>,
    /// Every law that is followed anywhere, once.
    pub laws: Vec<LawDrawn>,
    /// How every result comes about.
    pub reasons: Vec<ReasonDrawn>,
    /// Every number of the case, and how it is known.
    pub numbers: Vec<NumberDrawn>,
}

/// How a result comes about.
#[derive(Clone, Debug)]
pub struct ReasonDrawn {
    /// The address of the result.
    pub address: String,
    /// Its formula in the signs of what goes in, where it has one of one line.
    pub formula: Option<String>,
    /// What goes in.
    pub inputs: Vec<InputDrawn>,
}

/// What goes into a result.
#[derive(Clone, Debug)]
pub struct InputDrawn {
    /// Its sign.
    pub sign: String,
    /// Where it stands: the addresses of results or of numbers of the case.
    pub addresses: Vec<String>,
    /// What it is, its kind and its value, SI, where it stands nowhere else.
    pub property: Option<(&'static str, Kind, f64)>,
}

/// A number of the case.
#[derive(Clone, Debug)]
pub struct NumberDrawn {
    /// Its address.
    pub address: String,
    /// Its kind.
    pub kind: Kind,
    /// Its value, SI.
    pub value: f64,
    /// What it is.
    pub what: Value,
    /// How it is known.
    pub known: Value,
}

/// A circuit unrolled along its flow.
#[derive(Clone, Debug)]
pub struct CircuitDrawn {
    /// Its place among the circuits of the case.
    pub number: usize,
    /// Its name.
    pub name: String,
    /// Pressure of the air of the site, Pa.
    pub ambient_pa: f64,
    /// Whether the vapour pressure of its liquid is told.
    pub vapour_told: bool,
    /// Where ways meet; a loop that was cut has its cut at both ends.
    pub nodes: Vec<NodeDrawn>,
    /// The ways between them, in the order of the case.
    pub ways: Vec<WayDrawn>,
    /// The node from which it is unrolled.
    pub start: usize,
    /// The node at which it ends: its other end where it was cut, else the same.
    pub end: usize,
    /// The ways of its main way, by their places, in the order of the flow: at every fork that which carries the most.
    pub main: Vec<usize>,
    /// Whether the main way closes on itself.
    pub closes: bool,
    /// The moment that it is drawn at, in words, where that is not the operating point.
    pub moment: Option<Sentence>,
}

/// A junction, or a header as a whole.
#[derive(Clone, Debug)]
pub struct NodeDrawn {
    /// Its name; none where the circuit was cut within a run.
    pub name: Option<String>,
    /// What it is: a header, a tee.
    pub word: &'static str,
}

/// A run, or what is left of it behind a cut, as the coolant flows through it.
#[derive(Clone, Debug)]
pub struct WayDrawn {
    /// Address of the run.
    pub address: String,
    /// Its name.
    pub name: String,
    /// The node that it flows from.
    pub from: usize,
    /// The node that it flows to.
    pub to: usize,
    /// Volume flow, m³/s.
    pub flow_m3_s: f64,
    /// Whether it flows as the run is written.
    pub forward: bool,
    /// Its place at the header it leaves, and at the one it comes to.
    pub ports: [usize; 2],
    /// Total pressure at the junctions it flows from and to, gauge, Pa.
    pub ends_pa: [f64; 2],
    /// Its parts, in the order of the flow.
    pub parts: Vec<PartDrawn>,
}

/// What stands for a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Symbol {
    /// A hose: nothing but its line.
    Hose,
    /// A pump.
    Pump,
    /// Where heat comes in.
    Source,
    /// Where heat goes to the air.
    Core,
    /// A tank.
    Vessel,
    /// A valve, or anything that throttles.
    Valve,
    /// A valve that opens one way.
    CheckValve,
    /// A valve that opens with the temperature.
    Thermostat,
    /// A change of bore.
    Reducer,
    /// A meter.
    Meter,
    /// Anything else.
    Other,
}

/// A part.
#[derive(Clone, Debug)]
pub struct PartDrawn {
    /// Its address.
    pub address: String,
    /// Its name.
    pub name: String,
    /// The trade's word for it.
    pub word: &'static str,
    /// What stands for it.
    pub symbol: Symbol,
    /// Where the coolant enters and where it leaves.
    pub ends: [Station; 2],
    /// The laws that it follows.
    pub laws: Vec<LawDrawn>,
}

/// A place along a way. A number that is not known is NaN.
#[derive(Clone, Copy, Debug)]
pub struct Station {
    /// Height above the reference, m.
    pub height_m: f64,
    /// Total pressure, gauge, Pa.
    pub total_pa: f64,
    /// Static pressure, gauge, Pa.
    pub static_pa: f64,
    /// Vapour pressure, absolute, Pa.
    pub vapour_pa: f64,
    /// Coolant temperature, K.
    pub coolant_k: f64,
}

/// A law with the numbers of a place, SI as its formula is.
#[derive(Clone, Debug)]
pub struct LawDrawn {
    /// What it is.
    pub name: &'static str,
    /// Its formulas.
    pub formulas: Vec<String>,
    /// Sign, number, unit and meaning of everything in them.
    pub numbers: Vec<(&'static str, f64, &'static str, &'static str)>,
    /// Sign, least and most of each range in which it was published, and whether it is left here.
    pub ranges: Vec<(&'static str, f64, f64, bool)>,
    /// Who published it.
    pub source: &'static str,
}

/// A pump, several that share one flow, or a fan, against what it works against.
#[derive(Clone, Debug)]
pub struct CurvesDrawn {
    /// What it is, by address.
    pub of: String,
    /// The machines in it, by address.
    pub machines: Vec<String>,
    /// Whether it moves air.
    pub air: bool,
    /// Flow (m³/s), what the machine gives and what the system asks for there (Pa).
    pub samples: Vec<[f64; 3]>,
    /// Flow, rise, and whether flow returns there when disturbed.
    pub crossings: Vec<(f64, f64, bool)>,
    /// Flow and rise at which it stands.
    pub stands: [f64; 2],
    /// What that flow may be off by, m³/s.
    pub off_m3_s: Option<f64>,
}

impl CurvesDrawn {
    /// The kinds of its flow and of its rise.
    pub fn kinds(&self) -> [Kind; 2] {
        if self.air {
            [Kind::AirFlow, Kind::AirPressureDifference]
        } else {
            [Kind::VolumeFlow, Kind::PressureDifference]
        }
    }
}

/// A way of the air, from front to back.
#[derive(Clone, Debug)]
pub struct AirDrawn {
    /// Its name.
    pub name: String,
    /// Temperature of the site, K.
    pub site_k: f64,
    /// Volume flow at the density of the site, m³/s.
    pub flow_m3_s: f64,
    /// What the air meets, front to back.
    pub steps: Vec<AirStep>,
    /// The moment that it is drawn at, in words, where that is not the operating point.
    pub moment: Option<Sentence>,
}

/// Something that the air goes through.
#[derive(Clone, Debug)]
pub struct AirStep {
    /// Its address.
    pub address: String,
    /// Its name.
    pub name: String,
    /// What it is.
    pub word: &'static str,
    /// Temperature before and behind it, K.
    pub air_k: [f64; 2],
    /// What it adds to the pressure of the air, Pa: of a core below zero.
    pub rise_pa: f64,
    /// Heat that it gives to the air, W.
    pub heat_w: f64,
}

/// A way of charge air, from the air of the site to the manifold. A number that is not known is NaN.
#[derive(Clone, Debug)]
pub struct ChargeDrawn {
    /// Its name.
    pub name: String,
    /// Mass flow that reaches the engine, kg/s.
    pub flow_kg_s: f64,
    /// Heat that all its coolers give to coolant, W.
    pub heat_w: f64,
    /// The stages, in the order of the flow.
    pub stages: Vec<StageDrawn>,
}

/// A stage of charge air.
#[derive(Clone, Debug)]
pub struct StageDrawn {
    /// Its address.
    pub address: String,
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: StageSymbol,
    /// Pressure behind it over that in front of it, of a compressor.
    pub ratio: Option<f64>,
    /// Temperature before and behind it, K.
    pub air_k: [f64; 2],
    /// Absolute pressure before and behind it, Pa.
    pub air_pa: [f64; 2],
    /// Heat that it gives to coolant, W; none where it has none.
    pub heat_w: Option<f64>,
    /// Water that condenses in it, kg/s.
    pub condensed_kg_s: f64,
    /// The coolant that comes to it, pass by pass.
    pub coolant: Vec<CoolantDrawn>,
}

/// What stands for a stage of charge air.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StageSymbol {
    /// A pipe or a filter.
    Duct,
    /// A compressor.
    Compressor,
    /// A cooler with coolant.
    Cooler,
    /// A cooler in the wind.
    AirCooled,
}

/// Coolant that comes to a cooler.
#[derive(Clone, Debug)]
pub struct CoolantDrawn {
    /// Address of the pass.
    pub address: String,
    /// Temperature with which it comes, K.
    pub in_k: f64,
    /// Volume flow, m³/s.
    pub flow_m3_s: f64,
}
