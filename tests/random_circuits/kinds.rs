//! What the solved circuits held: every kind of part, every direction of a tee.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use coolwright_cases::file::{
    Characteristic, CoolantMix, Cooler, DrivenBy, Junction, PartSpec, PumpCount, TeeFormulas,
    ThermostatSide, WhenStopped,
};
use coolwright_models::circuit::{End, Joint};
use coolwright_models::laws::tee::TeeSet;
use coolwright_models::simulate::Simulator;
use serde::Deserialize;
use serde::de::{Deserializer, EnumAccess, Visitor};

use super::parts::KINDS;

/// Counts over all solved circuits.
#[derive(Debug, Default)]
pub(crate) struct Counts {
    pub(crate) circuits: usize,
    pub(crate) solved: usize,
    pub(crate) refused: BTreeMap<String, usize>,
    pub(crate) worst_mass: f64,
    pub(crate) worst_closure: f64,
    /// Solved circuits with each word of the case file in them.
    pub(crate) words: BTreeMap<&'static str, usize>,
    /// Solved circuits with each word of the model's parts in them.
    pub(crate) parts: BTreeMap<&'static str, usize>,
    /// Tees by formulas and direction.
    pub(crate) tees: BTreeMap<(&'static str, &'static str), usize>,
    /// Cards of the laws that were met, each held to what the part or tee does.
    pub(crate) laws: BTreeSet<&'static str>,
}

/// The six directions of the flows of a tee.
pub(crate) const DIRECTIONS: [&str; 6] = [
    "divides from the first straight leg",
    "divides from the second straight leg",
    "joins to the first straight leg",
    "joins to the second straight leg",
    "both straight legs into the side",
    "side into both straight legs",
];

/// Words of the case file that are to occur, beside those of parts.
fn words() -> Vec<&'static str> {
    let mut words: Vec<&'static str> = KINDS.to_vec();
    words.extend(variants::<Junction>());
    words.extend(variants::<PumpCount>().into_iter().filter(|word| *word != "One"));
    words.extend(variants::<DrivenBy>().into_iter().filter(|word| *word != "Motor"));
    words.extend(variants::<WhenStopped>());
    words.extend(variants::<ThermostatSide>().into_iter().filter(|word| *word != "Main"));
    words.extend(variants::<Characteristic>());
    words.extend(variants::<TeeFormulas>());
    words.extend(variants::<CoolantMix>());
    words
}

impl Counts {
    /// Takes in a solved circuit.
    pub(crate) fn take(&mut self, text: &str, simulator: &Simulator<'_>) {
        for word in words() {
            if text.split(|c: char| !c.is_alphanumeric()).any(|found| found == word) {
                *self.words.entry(word).or_default() += 1;
            }
        }
        let circuit = &simulator.setup.model.circuits[0];
        let flows = &simulator.settled.flows[0];
        let parts = circuit.runs.iter().flat_map(|run| &run.parts);
        let parts: BTreeSet<&'static str> = parts.map(|placed| placed.part.word()).collect();
        for word in parts {
            *self.parts.entry(word).or_default() += 1;
        }
        for junction in &circuit.junctions {
            if let Joint::Tee { legs, set, .. } = &junction.joint {
                let inward = legs.map(|leg| match leg.end {
                    End::To => flows[leg.run],
                    End::From => -flows[leg.run],
                });
                let set = match set {
                    TeeSet::Unified => "Unified",
                    TeeSet::Gardel => "Gardel",
                    TeeSet::Tp410 => "TP410",
                };
                if let Some(direction) = direction(inward) {
                    *self.tees.entry((set, direction)).or_default() += 1;
                }
            }
        }
    }

    /// What did not occur in any solved circuit.
    pub(crate) fn missing(&self, (tees, wide): (bool, bool)) -> Vec<String> {
        let mut missing: Vec<String> = words()
            .into_iter()
            .filter(|word| tees || !["Tee", "Header", "Unified", "Gardel", "TP410"].contains(word))
            // A liquid known by points is drawn where parts are of usual size.
            .filter(|word| !wide || *word != "Liquid")
            .filter(|word| !self.words.contains_key(word))
            .map(str::to_owned)
            .collect();
        for set in ["Unified", "Gardel", "TP410"].into_iter().filter(|_| tees) {
            for direction in DIRECTIONS {
                if !self.tees.contains_key(&(set, direction)) {
                    missing.push(format!("{set}: {direction}"));
                }
            }
        }
        missing
    }
}

/// The direction of three flows into a tee; `None` where one is next to nothing.
fn direction(inward: [f64; 3]) -> Option<&'static str> {
    let largest = inward.iter().fold(1e-9_f64, |most, flow| most.max(flow.abs()));
    if inward.iter().any(|flow| flow.abs() < 1e-6 * largest) {
        return None;
    }
    Some(match inward.map(|flow| flow > 0.0) {
        [true, false, false] => DIRECTIONS[0],
        [false, true, false] => DIRECTIONS[1],
        [false, true, true] => DIRECTIONS[2],
        [true, false, true] => DIRECTIONS[3],
        [true, true, false] => DIRECTIONS[4],
        [false, false, true] => DIRECTIONS[5],
        [true, true, true] | [false, false, false] => return None,
    })
}

impl fmt::Display for Counts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{} circuits, {} solved, refused {:?}; worst mass {:.1e}, worst closure {:.1e}",
            self.circuits, self.solved, self.refused, self.worst_mass, self.worst_closure
        )?;
        writeln!(f, "in the file: {:?}", self.words)?;
        writeln!(f, "in the model: {:?}", self.parts)?;
        for ((set, direction), count) in &self.tees {
            writeln!(f, "{set}: {direction}: {count}")?;
        }
        Ok(())
    }
}

/// The words that a type of the case file is read by.
pub(crate) fn variants<T: for<'de> Deserialize<'de>>() -> Vec<&'static str> {
    match T::deserialize(Ask) {
        Err(Told(words)) => words.to_vec(),
        Ok(_) => panic!("nothing was given to read"),
    }
}

/// A reader that learns what it is asked for and gives nothing.
struct Ask;

/// The words it was asked for.
#[derive(Debug)]
struct Told(&'static [&'static str]);

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:?}", self.0)
    }
}

impl std::error::Error for Told {}

impl serde::de::Error for Told {
    fn custom<T: fmt::Display>(message: T) -> Self {
        panic!("asked for no words: {message}")
    }
}

impl<'de> Deserializer<'de> for Ask {
    type Error = Told;

    fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, Told> {
        Err(Told(&[]))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        variants: &'static [&'static str],
        _: V,
    ) -> Result<V::Value, Told> {
        Err(Told(variants))
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        _: V,
    ) -> Result<V::Value, Told> {
        Err(Told(fields))
    }

    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 u8 u16 u32 u64 f32 f64 char str string bytes byte_buf option unit
        unit_struct newtype_struct seq tuple tuple_struct map identifier ignored_any
    }
}

/// The fields of one variant of an enum, as the file may write them.
pub(crate) fn fields<T: for<'de> Deserialize<'de>>(variant: &'static str) -> Vec<&'static str> {
    match T::deserialize(AskFields(variant)) {
        Err(Told(words)) => words.to_vec(),
        Ok(_) => panic!("nothing was given to read"),
    }
}

struct AskFields(&'static str);

impl<'de> Deserializer<'de> for AskFields {
    type Error = Told;

    fn deserialize_any<V: Visitor<'de>>(self, _: V) -> Result<V::Value, Told> {
        Err(Told(&[]))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Told> {
        visitor.visit_enum(self)
    }

    serde::forward_to_deserialize_any! {
        bool i8 i16 i32 i64 u8 u16 u32 u64 f32 f64 char str string bytes byte_buf option unit
        unit_struct newtype_struct seq tuple tuple_struct struct map identifier ignored_any
    }
}

impl<'de> EnumAccess<'de> for AskFields {
    type Error = Told;
    type Variant = AskVariant;

    fn variant_seed<V: serde::de::DeserializeSeed<'de>>(
        self,
        seed: V,
    ) -> Result<(V::Value, AskVariant), Told> {
        let word = serde::de::value::StrDeserializer::new(self.0);
        Ok((seed.deserialize(word)?, AskVariant))
    }
}

struct AskVariant;

impl<'de> serde::de::VariantAccess<'de> for AskVariant {
    type Error = Told;

    fn unit_variant(self) -> Result<(), Told> {
        Err(Told(&[]))
    }

    fn newtype_variant_seed<T: serde::de::DeserializeSeed<'de>>(
        self,
        seed: T,
    ) -> Result<T::Value, Told> {
        seed.deserialize(Ask)
    }

    fn tuple_variant<V: Visitor<'de>>(self, _: usize, _: V) -> Result<V::Value, Told> {
        Err(Told(&[]))
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        _: V,
    ) -> Result<V::Value, Told> {
        Err(Told(fields))
    }
}

/// Fields of parts that no law of pressure reads, and those that only say another way what the
/// generator says already.
const LEFT_OUT: [(&str, &str); 18] = [
    ("Hose", "route"),
    ("Hose", "bend_radius"),
    ("Hose", "swelling"),
    ("Reducer", "from"),
    ("Pump", "heat_share"),
    ("Pump", "current"),
    ("Pump", "switch"),
    ("Pump", "run_on"),
    ("Pump", "follows"),
    ("Barb", "to"),
    ("Barb", "roughness"),
    ("Pass", "pass"),
    ("ExchangerSide", "rise"),
    ("Tank", "air"),
    ("Tank", "cap"),
    ("Tank", "ice"),
    ("Tank", "ice_piece"),
    ("Tank", "ice_film"),
];

/// Fields of a cooler that no law of pressure reads.
const OF_HEAT: [&str; 12] = [
    "surface",
    "share",
    "table",
    "battery",
    "metal",
    "passes",
    "roughness",
    "film_factor",
    "volume",
    "film",
    "start",
    "heat",
];

/// Fields of parts that the file may write, and that none of these cases writes.
pub(crate) fn unwritten(cases: &[String]) -> Vec<String> {
    let mut unwritten = Vec::new();
    for part in variants::<PartSpec>() {
        let lines: Vec<&str> = cases
            .iter()
            .flat_map(|case| case.lines())
            .filter(|line| line.contains(&format!(": {part}(")))
            .collect();
        for field in fields::<PartSpec>(part) {
            // Ports of these take the bore of their run in every drawn case.
            let port = field == "bore" && !["Hose", "Pump", "Restrictor", "Barb"].contains(&part);
            let written = lines.iter().any(|line| line.contains(&format!("{field}: ")));
            if !written && !port && !LEFT_OUT.contains(&(part, field)) {
                unwritten.push(format!("{part}({field})"));
            }
        }
    }
    let coolers: Vec<&str> = cases
        .iter()
        .flat_map(|case| case.lines())
        .filter(|line| line.contains(": Cooler("))
        .collect();
    for field in variants::<Cooler>() {
        let written = coolers.iter().any(|line| line.contains(&format!("{field}: ")));
        if !written && !OF_HEAT.contains(&field) {
            unwritten.push(format!("Cooler({field})"));
        }
    }
    unwritten
}
