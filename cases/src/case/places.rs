//! Where a number stands in the file of a case, or would stand if it were written there.

use super::Reading;
use crate::diagnostic::Problems;
use crate::file::{Case, CoolantMix, PartSpec};
use crate::lower::Ready;
use crate::quantity::{Kind, UnitSystem, to_unit};
use crate::text::{Edit, PathStep, Sources, Span};

/// A change of the file: the text of a value, and where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileEdit {
    /// The way from the outermost block to the value.
    pub path: Vec<PathStep>,
    /// The value as it is written.
    pub text: String,
}

/// A number of a block, by the name of its field and by that in its address.
type Field = (&'static str, &'static str);

/// What a rating is told by: a fall and its flow.
const FALL: [Field; 2] = [("fall", "fall"), ("at", "at")];
const AIR_FALL: [Field; 2] = [("fall", "air_fall"), ("at", "air_fall_at")];
const FALL_OF_AIR: [Field; 2] = [("fall", "fall"), ("at", "fall_at")];
const LOSS: [Field; 2] = [("fall", "loss"), ("at", "loss_at")];
const FILM: [Field; 2] = [("conductance", "conductance"), ("at", "film_at")];
const STOPPED: [Field; 2] = [("fall", "stopped_fall"), ("at", "stopped_at")];

/// A field, with the block that it stands in where that is not the thing itself.
enum Home {
    /// A field of the thing.
    Own(&'static str),
    /// A field of a block of the thing, which must be there.
    In(&'static str, &'static str),
    /// A field of a block that is written whole where it is not there yet.
    Block(&'static str, &'static str, &'static [Field]),
    /// A field of the thing that is never told without another.
    Pair(&'static [Field]),
    /// The value of a field stands in brackets behind a word.
    Word(&'static str, String),
    /// One bend of a hose.
    Bend(usize, &'static str),
}

impl Reading {
    /// The changes of the file that write a number, SI, at an address of the case as it was built;
    /// `None` where the file has no place for it: one of several things under one name, or what a
    /// route gives.
    pub fn file_edits(&self, ready: &Ready, address: &str, si: f64) -> Option<Vec<FileEdit>> {
        let entry = ready.addresses.get(address)?;
        let (thing, name) = split(address)?;
        let base = thing_path(&self.case, thing)?;
        let home = home(&self.case, thing, name)?;
        let path = |steps: &[&str]| {
            let mut path = base.clone();
            path.extend(steps.iter().map(|step| PathStep::Name((*step).to_owned())));
            path
        };
        let other = |field: &str| {
            let entry = ready.addresses.get(&format!("{thing}:{field}"))?;
            Some(written(entry.kind, entry.value))
        };
        let text = written(entry.kind, si);
        let of = |field: &Field| if field.1 == name { Some(text.clone()) } else { other(field.1) };
        let one = |path, text| Some(vec![FileEdit { path, text }]);
        match home {
            // Site, supply and duty may be left out.
            Home::Own(field) if !self.tree.contains(&base) => {
                one(base.clone(), format!("({field}: {text})"))
            }
            Home::Own(field) => one(path(&[field]), text),
            Home::In(block, field) => one(path(&[block, field]), text),
            Home::Block(block, field, _) if self.tree.contains(&path(&[block])) => {
                one(path(&[block, field]), text)
            }
            Home::Block(block, _, fields) => {
                let mut inside = Vec::new();
                for field in fields {
                    inside.push(format!("{}: {}", field.0, of(field)?));
                }
                // What is not told with the block keeps its own name in it.
                if !fields.iter().any(|field| field.1 == name) {
                    let field = if name.ends_with("fluid_temperature") {
                        "fluid_temperature"
                    } else {
                        name.rsplit('_').next()?
                    };
                    inside.push(format!("{field}: {text}"));
                }
                one(path(&[block]), format!("({})", inside.join(", ")))
            }
            Home::Pair(fields) => fields
                .iter()
                .map(|field| Some(FileEdit { path: path(&[field.0]), text: of(field)? }))
                .collect(),
            Home::Word(field, word) => one(path(&[field]), format!("{word}{text})")),
            Home::Bend(bend, field) => {
                let mut path = path(&["bends"]);
                path.extend([PathStep::Index(bend), PathStep::Name(field.to_owned())]);
                one(path, text)
            }
        }
    }

    /// The case with changes of its file, read again.
    pub fn edited(
        &self,
        sources: &mut Sources,
        edits: &[FileEdit],
        problems: &mut Problems,
    ) -> Option<Self> {
        let mut tree = self.tree.clone();
        let errors = problems.error_count();
        for edit in edits {
            let file = sources.add("a change", edit.text.clone());
            let span = Span::new(file, 0, edit.text.len());
            let edit = Edit { path: edit.path.clone(), at: span, value: Some(span) };
            tree.apply(sources, &edit, problems);
        }
        let case = super::read_case(&tree, self.log.as_ref(), problems)?;
        let sound = problems.error_count() == errors && self.faults.is_empty();
        let (log, learnt) = (self.log.clone(), self.learnt.clone());
        let variants = self.variants.clone();
        sound.then_some(Self {
            tree,
            case,
            faults: Vec::new(),
            log,
            learnt,
            variants,
            plain: std::sync::OnceLock::new(),
        })
    }
}

/// The thing and the name of an address: what stands before and after the first colon.
fn split(address: &str) -> Option<(&str, &str)> {
    address.split_once(':')
}

/// A number as the file writes it, in the SI unit of its kind, with every digit that it has.
pub fn written(kind: Kind, si: f64) -> String {
    if kind == Kind::Count {
        return format!("{si}");
    }
    if kind == Kind::Fraction && si >= 2.0 {
        // Without its sign it would not be read. The factor of the sign is no power of two, so look for
        // the percentage that comes back to the same number.
        let near = 100.0 * si;
        let exact = [near, near.next_down(), near.next_up()]
            .into_iter()
            .find(|p| (p * 0.01).to_bits() == si.to_bits());
        return format!("\"{} %\"", exact.unwrap_or(near));
    }
    let (number, unit) = to_unit(kind, si, UnitSystem::Si);
    if unit.is_empty() { format!("{number}") } else { format!("\"{number} {unit}\"") }
}

/// The way to a thing of the case: a part, a junction, a cooler.
fn thing_path(case: &Case, thing: &str) -> Option<Vec<PathStep>> {
    let names: Vec<&str> = thing.split('/').collect();
    let steps = match names.as_slice() {
        ["site" | "bay" | "supply" | "duty"] => vec![names[0]],
        [
            "engines" | "coolers" | "exchangers" | "cores" | "air_paths" | "charge_air" | "gauges"
            | "rises" | "supplies" | "liquids",
            name,
        ] => {
            vec![names[0], name]
        }
        ["charge_air", path, stage] => vec!["charge_air", path, "stages", stage],
        ["exchangers", name, side] => vec!["exchangers", name, side],
        ["air_paths", path, thing] => vec!["air_paths", path, case.in_path(path, thing), thing],
        [circuit] => vec!["circuits", circuit],
        [circuit, run] if case.circuits.get(circuit)?.runs.contains(run) => {
            vec!["circuits", circuit, "runs", run]
        }
        [circuit, junction] => vec!["circuits", circuit, "junctions", junction],
        [circuit, run, part] => vec!["circuits", circuit, "runs", run, "parts", part],
        // One of several under one name is nowhere in the file.
        _ => return None,
    };
    Some(steps.into_iter().map(str::to_owned).map(PathStep::Name).collect())
}

/// Where a number of a thing stands.
fn home(case: &Case, thing: &str, name: &str) -> Option<Home> {
    let names: Vec<&str> = thing.split('/').collect();
    match names.as_slice() {
        ["charge_air", _, _] => match name {
            "fall" => Some(Home::Block("fall", "fall", &FALL_OF_AIR)),
            "fall_at" => Some(Home::Block("fall", "at", &FALL_OF_AIR)),
            "fall_exponent" => Some(Home::Block("fall", "exponent", &FALL_OF_AIR)),
            "fall_density" => Some(Home::Block("fall", "density", &FALL_OF_AIR)),
            _ => Some(Home::Own(known(name)?)),
        },
        ["site" | "bay" | "supply" | "duty"]
        | ["gauges" | "supplies" | "charge_air" | "liquids", _]
        | ["exchangers", _, _] => Some(Home::Own(known(name)?)),
        ["exchangers", _] if name != "metal" => Some(Home::Own(known(name)?)),
        ["engines" | "coolers" | "exchangers", _] => of_body(name),
        ["cores", _] => of_core(name),
        ["air_paths", _] => of_loss(name).or(Some(Home::Own(known(name)?))),
        ["air_paths", path, lane] if case.in_path(path, lane) == "lanes" => match name {
            "gap" | "gap_loss" => Some(Home::Own(known(name)?)),
            _ => of_loss(name),
        },
        ["air_paths", _, _] => match name {
            "on" => Some(Home::In("switch", "on")),
            "off" => Some(Home::In("switch", "off")),
            "speed" | "shut_off" | "free_flow" | "count" | "current" | "run_on" | "ramp" => {
                Some(Home::Own(known(name)?))
            }
            _ => None,
        },
        [circuit] => of_circuit(case, circuit, name),
        [circuit, run] if case.circuits.get(circuit)?.runs.contains(run) => {
            Some(Home::Own(known(name)?))
        }
        [_, _] => of_tank(name).or(Some(Home::Own(known(name)?))),
        [circuit, run, part] => {
            of_part(case.circuits.get(circuit)?.runs.get(run)?.parts.get(part)?, name)
        }
        _ => None,
    }
}

/// Where a number of what an air path or a lane costs stands.
fn of_loss(name: &str) -> Option<Home> {
    match name {
        "loss" => Some(Home::Block("loss", "fall", &LOSS)),
        "loss_at" => Some(Home::Block("loss", "at", &LOSS)),
        "loss_exponent" => Some(Home::Block("loss", "exponent", &LOSS)),
        "loss_density" => Some(Home::Block("loss", "density", &LOSS)),
        _ => None,
    }
}

fn of_circuit(case: &Case, circuit: &str, name: &str) -> Option<Home> {
    if name != "glycol" {
        return Some(Home::Own(known(name)?));
    }
    let word = match case.circuits.get(circuit)?.coolant.value {
        CoolantMix::Water | CoolantMix::Liquid(_) => return None,
        CoolantMix::EthyleneGlycol { .. } => "EthyleneGlycol",
        CoolantMix::PropyleneGlycol { .. } => "PropyleneGlycol",
    };
    Some(Home::Word("coolant", format!("{word}(by_volume: ")))
}

fn of_body(name: &str) -> Option<Home> {
    Some(match name {
        "metal" => Home::Word("metal", "Capacity(".to_owned()),
        "fall" => Home::Block("fall", "fall", &FALL),
        "at" => Home::Block("fall", "at", &FALL),
        "exponent" => Home::Block("fall", "exponent", &FALL),
        "conductance" => Home::Block("film", "conductance", &FILM),
        "film_at" => Home::Block("film", "at", &FILM),
        "fluid_temperature" => Home::Block("fall", "fluid_temperature", &FALL),
        "film_fluid_temperature" => Home::Block("film", "fluid_temperature", &FILM),
        "wall_area" => Home::In("wall", "area"),
        "wall_thickness" => Home::In("wall", "thickness"),
        "wall_conductivity" => Home::In("wall", "conductivity"),
        "wall_film" => Home::In("wall", "film"),
        "wall_at" => Home::In("wall", "at"),
        "wall_fluid_temperature" => Home::In("wall", "fluid_temperature"),
        "wall_surface" => Home::In("wall", "surface"),
        "wall_peak" => Home::In("wall", "peak"),
        "voltage" => Home::In("battery", "voltage"),
        "resistance" => Home::In("battery", "resistance"),
        "burns" => Home::In("fuel", "burns"),
        "fuel_flow" => Home::In("fuel", "flow"),
        "heating_value" => Home::In("fuel", "heating_value"),
        "fuel_share" => Home::In("fuel", "share"),
        "tube_count" => Home::In("tubes", "count"),
        "tube_width" => Home::In("tubes", "width"),
        "tube_height" => Home::In("tubes", "height"),
        "tube_length" => Home::In("tubes", "length"),
        _ => Home::Own(known(name)?),
    })
}

fn of_core(name: &str) -> Option<Home> {
    Some(match name {
        "heat" => Home::In("rated", "heat"),
        "difference" => Home::In("rated", "difference"),
        "share" => Home::In("piece", "share"),
        "coolant" => Home::In("rated", "coolant"),
        "air" => Home::In("rated", "air"),
        "air_in" => Home::In("rated", "air_in"),
        "fall" => Home::Block("fall", "fall", &FALL),
        "at" => Home::Block("fall", "at", &FALL),
        "exponent" => Home::Block("fall", "exponent", &FALL),
        "fluid_temperature" => Home::Block("fall", "fluid_temperature", &FALL),
        "air_fall" => Home::Block("air_fall", "fall", &AIR_FALL),
        "air_fall_at" => Home::Block("air_fall", "at", &AIR_FALL),
        "air_fall_exponent" => Home::Block("air_fall", "exponent", &AIR_FALL),
        "air_fall_density" => Home::Block("air_fall", "density", &AIR_FALL),
        "tube_length" => Home::In("tubes", "length"),
        "tube_across" => Home::In("tubes", "across"),
        "tube_count" => Home::In("tubes", "count"),
        "tube_pitch" => Home::In("tubes", "pitch"),
        "tube_thickness" => Home::In("tubes", "thickness"),
        "tube_depth" => Home::In("tubes", "depth"),
        "tube_wall" => Home::In("tubes", "wall"),
        "tube_conductivity" => Home::In("tubes", "conductivity"),
        "tube_rows" => Home::In("tubes", "rows"),
        "tube_passes" => Home::In("tubes", "passes"),
        "tube_roughness" => Home::In("tubes", "roughness"),
        "tube_loss" => Home::In("tubes", "loss"),
        "turbulators" => Home::In("tubes", "turbulators"),
        "tanks" => Home::In("tubes", "tanks"),
        "fin_pitch" => Home::In("fins", "pitch"),
        "fin_count" => Home::In("fins", "count"),
        "fin_over" => Home::In("fins", "over"),
        "fin_height" => Home::In("fins", "height"),
        "fin_depth" => Home::In("fins", "depth"),
        "fin_thickness" => Home::In("fins", "thickness"),
        "fin_conductivity" => Home::In("fins", "conductivity"),
        "louvre_pitch" => Home::In("fins", "louvre_pitch"),
        "louvre_angle" => Home::In("fins", "louvre_angle"),
        "louvre_length" => Home::In("fins", "louvre_length"),
        _ => Home::Own(known(name)?),
    })
}

fn of_tank(name: &str) -> Option<Home> {
    match name {
        "opens" => Some(Home::In("cap", "opens")),
        "vacuum" => Some(Home::In("cap", "vacuum")),
        _ => None,
    }
}

fn of_part(spec: &PartSpec, name: &str) -> Option<Home> {
    let wax = matches!(spec, PartSpec::Thermostat { .. }) && name == "opens";
    if let Some(home) = of_tank(name).filter(|_| !wax) {
        return Some(home);
    }
    match (spec, name) {
        (PartSpec::Hose { route, .. }, "length" | "rise") if !route.is_empty() => None,
        (PartSpec::Hose { route, .. }, _) if name.starts_with("bend_") => {
            let (number, field) = bend(name)?;
            route.is_empty().then_some(Home::Bend(number.checked_sub(1)?, field))
        }
        (PartSpec::Thermostat { .. }, "fall" | "at") => Some(Home::Pair(&FALL)),
        (PartSpec::Pump { .. }, "on") => Some(Home::In("switch", "on")),
        (PartSpec::Pump { .. }, "off") => Some(Home::In("switch", "off")),
        (PartSpec::Pump { .. }, "ratio") => Some(Home::In("driven_by", "ratio")),
        (PartSpec::Pump { count, .. }, "count") => match count {
            Some(crate::file::PumpCount::Series(_)) => Some(Home::Word("count", "Series(".into())),
            Some(crate::file::PumpCount::Parallel(_)) => {
                Some(Home::Word("count", "Parallel(".into()))
            }
            _ => None,
        },
        (PartSpec::Pump { .. }, "stopped_fall") => Some(Home::Block("stopped", "fall", &STOPPED)),
        (PartSpec::Pump { .. }, "stopped_at") => Some(Home::Block("stopped", "at", &STOPPED)),
        (PartSpec::Pump { .. }, "stopped_fluid_temperature") => {
            Some(Home::Block("stopped", "fluid_temperature", &STOPPED))
        }
        (PartSpec::Pump { .. }, "power" | "valve_fall")
        | (PartSpec::Thermostat { of: Some(_), .. }, "open") => None,
        _ => Some(Home::Own(known(name)?)),
    }
}

/// Number of a bend, from 1, and its field: `bend_2_radius` is the radius of the second.
fn bend(name: &str) -> Option<(usize, &'static str)> {
    let rest = name.strip_prefix("bend_")?;
    let (number, field) = match rest.split_once('_') {
        None => (rest, "angle"),
        Some((number, "radius")) => (number, "radius"),
        Some((number, "count")) => (number, "count"),
        Some(_) => return None,
    };
    Some((number.parse().ok()?, field))
}

/// A field that is called as its address says.
#[rustfmt::skip] // A list.
fn known(name: &str) -> Option<&'static str> {
    const FIELDS: &[&str] = &[
        "air", "air_exponent", "air_fall_exponent", "air_falls_scale", "air_in", "along", "altitude", "angle", "at", "at_speed",
        "blocked", "boost", "bore", "conductance_scale", "conductivity_scale", "coolant", "coolant_in", "coolant_share", "cracking", "density_scale",
        "effectiveness", "efficiency", "ratio", "soak", "current", "current_limit", "engine_speed", "entering", "error",
        "exponent", "face", "fall", "fill_pressure", "film_factor", "fluid_temperature", "filled_altitude", "filled_at", "first_share", "flow", "flow_scale",
        "free_flow", "freezes", "from", "gap", "gap_loss", "head_scale", "heat", "heat_capacity_scale", "heat_share", "humidity", "hysteresis", "ice", "ice_film", "ice_piece", "insulation",
        "lag", "lag_at", "leak", "length", "level", "loss", "map_air", "map_pressure", "metal", "offset", "open", "opens", "passes", "plate_share", "point", "power", "pressure",
        "ram", "ramp", "range", "rated_voltage", "recirculation", "rise", "road_speed", "roughness", "run_on", "share", "shut_off", "spacing",
        "speed", "start", "straight_after", "straight_before", "surface", "swelling", "temperature", "to", "viscosity_scale",
        "voltage", "volume", "count", "wall",
    ];
    FIELDS.iter().copied().find(|field| *field == name)
}
