//! Values on their way from the file into slots: checked, addressed, or assumed.

use std::collections::BTreeMap;
use std::sync::Arc;

use coolwright_models::circuit::CoolantSpec;
use coolwright_models::inputs::Command;
use coolwright_models::rules::{Rule, Rules};
use coolwright_models::slots::{Slot, Values};
use coolwright_models::supply::Sag;

use super::plumbing::HoseWay;
use super::roles::{Role, role_of};
use super::{Damage, Writes};
use crate::diagnostic::{Problem, Problems};
use crate::quantity::{self as q, Kind, spoken};
use crate::text::{Span, nearest};

/// A quantity of the file: its kind, its value in SI units, its place.
pub(super) trait Given: Copy {
    const KIND: Kind;
    fn si(self) -> f64;
    fn span(self) -> Span;
}

macro_rules! given {
    ($($name:ident),*) => {$(
        impl Given for q::$name {
            const KIND: Kind = q::$name::KIND;
            fn si(self) -> f64 { self.si() }
            fn span(self) -> Span { self.span() }
        }
    )*};
}
given!(
    Consumption,
    HeatPerMass,
    Length,
    MassFlow,
    Area,
    Volume,
    Mass,
    Temperature,
    TemperatureDifference,
    PressureDifference,
    AirPressureDifference,
    GaugePressure,
    VolumeFlow,
    AirFlow,
    Power,
    ElectricPower,
    Speed,
    RotationalSpeed,
    Angle,
    Time,
    Fraction,
    Density,
    Viscosity,
    KinematicViscosity,
    Velocity,
    SpecificHeat,
    AbsolutePressure,
    HeatCapacity,
    Conductance,
    FilmCoefficient,
    Conductivity,
    Voltage,
    Current,
    ElectricResistance,
    Number,
    Count
);

/// A value that stands in for one that the file leaves out.
#[derive(Clone, Copy, Debug)]
pub(super) struct Assumed {
    /// What it is, in words.
    pub what: &'static str,
    /// Its kind.
    pub kind: Kind,
    /// The value, SI.
    pub value: f64,
    /// The least and the most that it may plausibly be, SI.
    pub range: (f64, f64),
    /// Why this value.
    pub why: &'static str,
}

impl Assumed {
    /// With no value above a most one, SI.
    pub(super) fn no_more_than(self, most: f64) -> Self {
        let (low, high) = self.range;
        Self { value: self.value.min(most), range: (low.min(most), high.min(most)), ..self }
    }

    /// With no end of its range above a most one, SI, as far as the value itself allows.
    pub(super) fn up_to(self, most: f64) -> Self {
        let (low, high) = self.range;
        Self { range: (low, high.min(most.max(self.value))), ..self }
    }

    /// With no value below a least one, SI.
    pub(super) fn no_less_than(self, least: f64) -> Self {
        let (low, high) = self.range;
        Self { value: self.value.max(least), range: (low.max(least), high.max(least)), ..self }
    }
}

/// An assumption that went into a case: one value, for one or several places.
#[derive(Clone, Debug)]
pub struct Assumption {
    /// What it is, in words.
    pub what: &'static str,
    /// Its kind.
    pub kind: Kind,
    /// The value, SI.
    pub value: f64,
    /// The least and the most that it may plausibly be, SI.
    pub range: (f64, f64),
    /// Why this value.
    pub why: &'static str,
    /// The addresses where it stands.
    pub addresses: Vec<String>,
    /// The slots that hold it.
    pub slots: Vec<Slot>,
}

/// A value of the case that can be written: by a phase, a variant, a study.
#[derive(Clone, Debug)]
pub struct Address {
    /// Its kind.
    pub kind: Kind,
    /// The slots that hold it: several where equal pumps stand under one name.
    pub slots: Vec<Slot>,
    /// Where it stands in the file, if it does.
    pub span: Option<Span>,
    /// What may be written into it: the same as what the file may give.
    pub bound: Bound,
    /// What it is, in words.
    pub what: String,
    /// Who may write it.
    pub role: Role,
    /// The value that the model was made with, SI.
    pub value: f64,
}

impl Address {
    /// Whether it may be written into slots of the model: else writing it makes the model anew.
    pub fn has_slots(&self) -> bool {
        !self.slots.is_empty()
            && !matches!(self.role, Role::Structure | Role::OfRoute | Role::Driven)
    }
}

/// What the lowering of all parts shares.
pub(super) struct Context<'p> {
    pub values: Values,
    /// What follows from what among them.
    pub rules: Rules,
    /// Numbers that stand in for what the file gives or leaves out.
    pub writes: &'p Writes,
    pub addresses: BTreeMap<String, Address>,
    pub assumptions: Vec<Assumption>,
    /// Statements about the model that are no numbers.
    pub notes: Vec<String>,
    /// Liquids by points, by their names.
    pub liquids: BTreeMap<String, CoolantSpec>,
    /// Names of those whose points make none, which has been said.
    pub faulty_liquids: Vec<String>,
    /// The coolant of every circuit, by its name.
    pub coolants: BTreeMap<String, CoolantSpec>,
    /// The way of every hose, by its address.
    pub hoses: BTreeMap<String, HoseWay>,
    pub problems: &'p mut Problems,
    /// What commands each machine, by the slot of the speed that follows.
    pub commands: BTreeMap<Slot, Command>,
    /// The voltages at the machines of supplies that sag, by the paths of these.
    pub sags: BTreeMap<String, (Slot, Sag)>,
    /// How many errors left a sound stand-in behind.
    pub value_errors: usize,
    /// How many faults without an error of their own left no model to go on with.
    pub structural: usize,
    /// Addresses of parts and fans that could not be made: what is said of them elsewhere is no fault of
    /// its own.
    pub failed: Vec<String>,
    /// What could not be read before, where anything could not.
    pub damage: Damage,
    /// Whether the case tells of the air around hoses and tanks.
    pub has_bay: bool,
}

/// What a number may be.
#[derive(Clone, Copy, Debug)]
pub enum Bound {
    /// Zero or more.
    NotNegative,
    /// Above zero.
    Positive,
    /// In this range, SI, both ends included: beyond it, it is a slip of the pen.
    Within(f64, f64),
}

/// A bound with room outwards (`way` 1 or -1) for the rounding of a change of units.
fn near(bound: f64, way: f64) -> f64 {
    bound + way * 1e-12 * bound.abs()
}

impl Bound {
    /// What is wrong with a number of a kind under this bound, if anything is. NaN is not judged.
    pub fn fault(self, kind: Kind, si: f64) -> Option<String> {
        match self {
            _ if si.is_nan() => None,
            _ if kind == Kind::Count && si.fract() != 0.0 => {
                Some("must be a whole number".to_owned())
            }
            Self::Positive if si <= 0.0 => Some("must be above zero".to_owned()),
            Self::NotNegative if si < 0.0 => Some("must not be below zero".to_owned()),
            // What is written as an end in another unit is that end, to its last digit or not.
            Self::Within(low, high) if !(near(low, -1.0)..=near(high, 1.0)).contains(&si) => {
                Some(format!("must lie between {} and {}", spoken(kind, low), spoken(kind, high)))
            }
            _ => None,
        }
    }

    /// The bound of a number of a kind of which nothing more is known.
    fn of(kind: Kind) -> Self {
        match kind {
            Kind::Temperature => Self::Within(200.0, 1000.0),
            Kind::GaugePressure => Self::Within(-1e5, 5e6),
            Kind::VolumeFlow
            | Kind::AirFlow
            | Kind::MassFlow
            | Kind::HeatCapacity
            | Kind::Conductance
            | Kind::Angle => Self::Positive,
            _ => Self::NotNegative,
        }
    }
}

/// The range of bores that a vehicle's circuit has, m.
pub(super) const BORE: Bound = Bound::Within(0.5e-3, 0.5);

impl<'p> Context<'p> {
    pub(super) fn new(problems: &'p mut Problems, damage: Damage, writes: &'p Writes) -> Self {
        Self {
            values: Values::default(),
            rules: Rules::default(),
            writes,
            addresses: BTreeMap::new(),
            assumptions: Vec::new(),
            notes: Vec::new(),
            liquids: BTreeMap::new(),
            faulty_liquids: Vec::new(),
            coolants: BTreeMap::new(),
            hoses: BTreeMap::new(),
            commands: BTreeMap::new(),
            sags: BTreeMap::new(),
            problems,
            value_errors: 0,
            structural: 0,
            failed: Vec::new(),
            damage,
            has_bay: false,
        }
    }

    /// Checks a number of the file; logs a problem and gives a stand-in where it cannot be.
    pub(super) fn checked(&mut self, given: impl Given, bound: Bound, what: &str) -> f64 {
        self.check(given.si(), given.span(), kind_of(given), bound, what)
    }

    /// Checks a number that stands at a place of the file.
    pub(super) fn check(
        &mut self,
        si: f64,
        span: Span,
        kind: Kind,
        bound: Bound,
        what: &str,
    ) -> f64 {
        if si.is_nan() {
            // A text that could not be read has been reported already.
            return match bound {
                Bound::Within(low, high) => 1.0_f64.clamp(low, high),
                _ => 1.0,
            };
        }
        let Some(fault) = bound.fault(kind, si) else { return si };
        let message = format!("the {what} {fault}");
        let problem = Problem::error(span, message).label(format!("this is {}", spoken(kind, si)));
        self.value_error(problem);
        match bound {
            Bound::Within(low, high) => si.clamp(low, high),
            _ => 1.0,
        }
    }

    /// Logs an error that leaves a sound stand-in behind, so that the model can still be built to
    /// check names against it.
    pub(super) fn value_error(&mut self, problem: Problem) {
        let before = self.problems.error_count();
        self.problems.push(problem);
        self.value_errors += self.problems.error_count() - before;
    }

    /// Whether something of the case could not be read before.
    pub(super) fn damaged(&self) -> bool {
        self.damage.any()
    }

    /// Whether the runs of a circuit may be joined otherwise than it seems.
    pub(super) fn loose(&self, circuit: &str) -> bool {
        self.damage.is_loose(circuit)
    }

    /// Whether an address is of something that could not be made, which has been said: then there is no
    /// model to go on with.
    pub(super) fn has_failed(&mut self, address: &str) -> bool {
        let of = |failed: &String| {
            let rest = address.strip_prefix(failed.as_str());
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(['/', ':']))
        };
        let failed = self.failed.iter().any(of);
        self.structural += usize::from(failed);
        failed
    }

    /// Logs that something is not there, unless it may stand where the case could not be read.
    pub(super) fn absent(
        &mut self,
        span: Span,
        message: impl Into<String>,
        label: impl Into<String>,
    ) {
        if self.damaged() {
            self.structural += 1;
        } else {
            self.error(span, message, label);
        }
    }

    /// A slot for a number of the file.
    pub(super) fn given(
        &mut self,
        address: &str,
        given: impl Given,
        bound: Bound,
        what: &str,
    ) -> Slot {
        let (si, span) = self.told(address).unwrap_or((given.si(), given.span()));
        let value = self.check(si, span, kind_of(given), bound, what);
        let slot = self.addressed(address, kind_of(given), value, Some(given.span()));
        self.bind(address, bound, what);
        slot
    }

    /// The coolant of a circuit.
    pub(super) fn coolant_of(&self, circuit: &str) -> Option<CoolantSpec> {
        self.coolants.get(circuit).cloned()
    }

    /// What is written at an address, SI, and where.
    pub(super) fn told(&self, address: &str) -> Option<(f64, Span)> {
        self.writes.get(address).copied()
    }

    /// What is written at an address, else what the file gives, SI.
    pub(super) fn told_or(&self, address: &str, given: impl Given) -> f64 {
        self.told(address).map_or(given.si(), |told| told.0)
    }

    /// A number without a slot: what follows from it decides how the model is made.
    pub(super) fn structural(
        &mut self,
        address: &str,
        (kind, si, span): (Kind, f64, Span),
        bound: Bound,
        what: &str,
    ) -> f64 {
        let (si, at) = self.told(address).unwrap_or((si, span));
        let value = self.check(si, at, kind, bound, what);
        let entry = Address {
            kind,
            slots: Vec::new(),
            span: Some(span),
            bound,
            what: what.to_owned(),
            role: Role::Structure,
            value,
        };
        self.addresses.insert(address.to_owned(), entry);
        value
    }

    /// Lets a slot follow from others, unless it is written. Returns the slot.
    pub(super) fn follows(
        &mut self,
        slot: Slot,
        from: &[Slot],
        law: impl Fn(&Values) -> f64 + Send + Sync + 'static,
    ) -> Slot {
        self.rule(slot, from, false, Arc::new(law))
    }

    /// The same for what tells how the model was filled and started.
    pub(super) fn follows_at_start(
        &mut self,
        slot: Slot,
        from: &[Slot],
        law: impl Fn(&Values) -> f64 + Send + Sync + 'static,
    ) -> Slot {
        self.rule(slot, from, true, Arc::new(law))
    }

    fn rule(
        &mut self,
        sets: Slot,
        from: &[Slot],
        kept: bool,
        law: coolwright_models::rules::Law,
    ) -> Slot {
        if !self.values.is_written(sets) {
            self.values.set(sets, law(&self.values));
        }
        self.rules.add(Rule { sets, from: from.to_vec(), kept, law });
        sets
    }

    /// A slot that nobody writes and that follows from others.
    pub(super) fn derived(
        &mut self,
        from: &[Slot],
        law: impl Fn(&Values) -> f64 + Send + Sync + 'static,
    ) -> Slot {
        let slot = self.values.add(0.0);
        self.follows(slot, from, law)
    }

    /// A count that follows from numbers and that the model is made for.
    pub(super) fn count(
        &mut self,
        law: impl Fn(&Values) -> usize + Send + Sync + 'static,
    ) -> usize {
        self.rules.count(&self.values, Arc::new(law))
    }

    /// Gives an address a role that its name does not tell.
    pub(super) fn cast(&mut self, address: &str, role: Role) {
        if let Some(entry) = self.addresses.get_mut(address) {
            entry.role = role;
        }
    }

    /// The first slot of an address.
    pub(super) fn slot(&self, address: &str) -> Option<Slot> {
        self.addresses.get(address).and_then(|entry| entry.slots.first()).copied()
    }

    /// Says what may be written at an address, and what stands there.
    pub(super) fn bind(&mut self, address: &str, bound: Bound, what: &str) {
        if let Some(entry) = self.addresses.get_mut(address) {
            entry.bound = bound;
            what.clone_into(&mut entry.what);
        }
    }

    /// A slot that can be written at an address.
    pub(super) fn addressed(
        &mut self,
        address: &str,
        kind: Kind,
        value: f64,
        span: Option<Span>,
    ) -> Slot {
        let told = self.told(address);
        let slot = self.values.add(told.map_or(value, |told| told.0));
        if told.is_some() {
            self.values.write(slot, self.values.get(slot));
        }
        let value = self.values.get(slot);
        let entry = self.addresses.entry(address.to_owned()).or_insert_with(|| Address {
            kind,
            slots: Vec::new(),
            span,
            bound: Bound::of(kind),
            what: address.rsplit(':').next().unwrap_or(address).replace('_', " "),
            role: role_of(address),
            value,
        });
        entry.slots.push(slot);
        slot
    }

    /// Gives one slot of an address an address of its own.
    pub(super) fn alias(&mut self, address: &str, own: &str, slot: Slot) {
        if let Some(entry) = self.addresses.get(address) {
            let mut entry = Address { slots: vec![slot], ..entry.clone() };
            if let Some((si, span)) = self.told(own) {
                entry.value = self.check(si, span, entry.kind, entry.bound, &entry.what);
                self.values.write(slot, entry.value);
            }
            self.addresses.insert(own.to_owned(), entry);
        }
    }

    /// A slot for a number that the file may leave out.
    pub(super) fn or_assumed<Q: Given>(
        &mut self,
        address: &str,
        given: Option<Q>,
        bound: Bound,
        assumed: Assumed,
    ) -> Slot {
        if let Some(given) = given {
            return self.given(address, given, bound, assumed.what);
        }
        if let Some((si, span)) = self.told(address) {
            self.check(si, span, Q::KIND, bound, assumed.what);
        }
        debug_assert_eq!(Q::KIND, assumed.kind, "{address}");
        let slot = self.assumed(address, assumed);
        self.bind(address, bound, assumed.what);
        slot
    }

    /// A slot for a number that the file leaves out.
    pub(super) fn assumed(&mut self, address: &str, assumed: Assumed) -> Slot {
        let slot = self.addressed(address, assumed.kind, assumed.value, None);
        if self.told(address).is_none() {
            self.assume(address, slot, assumed);
        }
        slot
    }

    /// Notes that a slot holds an assumed value. Equal assumptions are noted once.
    pub(super) fn assume(&mut self, address: &str, slot: Slot, assumed: Assumed) {
        let Assumed { what, kind, value, range, why } = assumed;
        let same = |a: &&mut Assumption| a.what == what && a.value.to_bits() == value.to_bits();
        if let Some(known) = self.assumptions.iter_mut().find(same) {
            known.addresses.push(address.to_owned());
            known.slots.push(slot);
            return;
        }
        let addresses = vec![address.to_owned()];
        self.assumptions.push(Assumption {
            what,
            kind,
            value,
            range,
            why,
            addresses,
            slots: vec![slot],
        });
    }

    /// A slot with a value that nobody writes.
    pub(super) fn fixed(&mut self, value: f64) -> Slot {
        self.values.add(value)
    }

    /// A slot with a value or a stated default that is no assumption: what is left out is not there.
    pub(super) fn or_default<Q: Given>(
        &mut self,
        address: &str,
        given: Option<Q>,
        bound: Bound,
        (what, default): (&str, f64),
    ) -> Slot {
        if let Some(given) = given {
            return self.given(address, given, bound, what);
        }
        if let Some((si, span)) = self.told(address) {
            self.check(si, span, Q::KIND, bound, what);
        }
        let slot = self.addressed(address, Q::KIND, default, None);
        self.bind(address, bound, what);
        slot
    }

    /// Logs an error.
    pub(super) fn error(
        &mut self,
        span: Span,
        message: impl Into<String>,
        label: impl Into<String>,
    ) {
        self.problems.push(Problem::error(span, message).label(label));
    }

    /// Logs that a name is not known, with the nearest one that is.
    pub(super) fn unknown<'a>(
        &mut self,
        span: Span,
        what: &str,
        name: &str,
        known: impl IntoIterator<Item = &'a str>,
    ) {
        if self.damage.lacks_a_file()
            && ["pump curve", "fan curve", "core", "liquid"].contains(&what)
        {
            self.structural += 1;
            return;
        }
        let known: Vec<&str> = known.into_iter().collect();
        let help = nearest(name, known.iter().copied()).map(|n| format!("did you mean `{n}`?"));
        let list = match known.len() {
            0 => format!("the case has no {what} at all"),
            1..=12 => format!("known: {}", known.join(", ")),
            n => format!("known: {}, and {} more", known[..10].join(", "), n - 10),
        };
        self.problems.push(
            Problem::error(span, format!("there is no {what} called `{name}`"))
                .label("not known")
                .help_if(help)
                .help(list),
        );
    }
}

fn kind_of<Q: Given>(_: Q) -> Kind {
    Q::KIND
}
