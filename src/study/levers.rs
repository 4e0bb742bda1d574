//! Changes that a builder can really make, found from what a case has.

use std::collections::BTreeMap;

use coolwright_cases::case::Change;
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::Arrangement;
use coolwright_models::fluids::{Base, Coolant, Share};
use coolwright_models::ids::Id;
use coolwright_models::parts::PumpDrive;

use super::bores::next_bore;
use super::load::{WORKS, coldest_air_k};
use crate::answer::{Sentence, Value};
use crate::say;

/// On which side a change works.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// How much coolant flows, and what it is.
    Coolant,
    /// How much air flows, and what it meets.
    Air,
    /// What takes up heat for a while.
    Store,
    /// What the vehicle is asked to do.
    Duty,
}

impl Side {
    /// Its word for programs.
    pub fn word(self) -> &'static str {
        match self {
            Self::Coolant => "coolant",
            Self::Air => "air",
            Self::Store => "store",
            Self::Duty => "duty",
        }
    }
}

/// A change that can be made.
#[derive(Clone, Debug)]
pub struct Lever {
    /// What is changed, in words.
    pub what: Sentence,
    /// What it was.
    pub from: Value,
    /// What it becomes.
    pub to: Value,
    /// The same as a variant makes it.
    pub changes: Vec<Change>,
    /// On which side it works.
    pub side: Side,
    /// What goes with it, beside what is solved.
    pub note: Option<Sentence>,
}

impl Lever {
    fn new(side: Side, what: Sentence, [from, to]: [Value; 2], changes: Vec<Change>) -> Self {
        Self { what, from, to, changes, side, note: None }
    }

    fn noted(mut self, note: Sentence) -> Self {
        self.note = Some(note);
        self
    }
}

/// By how much a core, ice, a tank or metal is made larger: a step that a builder can take, no more is meant.
const CORE: f64 = 1.1;
const STORE: f64 = 1.25;
/// The same of a pulley.
const PULLEY: f64 = 1.1;
/// The same of the share of glycol.
const GLYCOL: f64 = 0.1;
/// Less or more glycol than this is no mixture that anyone keeps.
const MIXTURES: [f64; 2] = [0.0, 0.6];
/// By how much thermostats and fan switches are set lower, and starts are made colder, K.
const STEP_K: f64 = 5.0;
/// Pressures at which caps that are sold open, kPa over the air. Common practice, no source.
const CAPS_KPA: [u32; 9] = [30, 50, 75, 90, 110, 130, 150, 180, 200];

/// The changes that a builder can make to a case. Those that only matter over time are left out of a study of one
/// point.
pub fn levers(ready: &Ready, over_cycle: bool) -> Vec<Lever> {
    let mut all = bores(ready);
    all.extend(pumps(ready));
    all.extend(glycol(ready));
    all.extend(caps(ready));
    all.extend(switched_lower(ready));
    all.extend(fans(ready));
    all.extend(cores(ready));
    all.extend(astray(ready));
    all.extend(tanks(ready));
    if over_cycle {
        all.extend(stores(ready));
        all.extend(starts(ready));
        all.extend(phases(ready));
    }
    all
}

/// A number at an address of the case.
pub(super) fn at(ready: &Ready, address: &str) -> Option<(Kind, f64)> {
    ready.addresses.get(address).map(|entry| (entry.kind, entry.value))
}

/// A number as a builder writes it: six digits are more than anyone sets.
fn tidy(si: f64) -> f64 {
    format!("{si:.5e}").parse().unwrap_or(si)
}

/// A number that is made larger by a factor, where the case has it.
fn scaled(ready: &Ready, address: &str, by: f64) -> Option<Change> {
    let (kind, si) = at(ready, address)?;
    Some(Change::number(address, kind, tidy(by * si)))
}

/// The hoses of every run one bore wider.
fn bores(ready: &Ready) -> Vec<Lever> {
    // By the address that holds the bore, how many hoses have it.
    let mut found: BTreeMap<String, usize> = BTreeMap::new();
    for hose in ready.hoses.keys() {
        let run = hose.rsplit_once('/').map_or("", |(run, _)| run);
        let own = [hose, run].map(|path| format!("{path}:bore"));
        let known = own.into_iter().find(|address| ready.addresses.contains_key(address));
        if let Some(address) = known {
            *found.entry(address).or_default() += 1;
        }
    }
    let lever = |(address, hoses): (String, usize)| {
        let (kind, bore_m) = at(ready, &address)?;
        let (next_m, text) = next_bore(bore_m)?;
        let path = address.trim_end_matches(":bore");
        let what = match hoses {
            1 => say!("wider hose in `{path}`", path = path),
            _ => say!("wider hoses in `{path}`", path = path),
        };
        let values = [bore_m, next_m].map(|si| Value::of(kind, si));
        Some(Lever::new(Side::Coolant, what, values, vec![Change::text(&address, text)]))
    };
    found.into_iter().filter_map(lever).collect()
}

/// A pump of the case, or several under one name.
pub(super) struct Pump {
    /// Its path.
    pub(super) path: String,
    /// How many.
    pub(super) count: usize,
    /// How they stand, where there are several.
    pub(super) arrangement: Option<Arrangement>,
    /// Whether it has a motor of its own.
    pub(super) electric: bool,
}

/// The pumps of a case, several under one name as one.
pub(super) fn all_pumps(ready: &Ready) -> Vec<Pump> {
    let model = &ready.model;
    let mut found = Vec::new();
    for (c, circuit) in model.circuits.iter().enumerate() {
        for (g, group) in circuit.groups.iter().enumerate() {
            let electric = group.units.iter().all(|&(r, p)| is_electric(ready, (c, r, p)));
            let (path, count) = (model.address(Id::Group(c, g)), group.units.len());
            found.push(Pump { path, count, arrangement: Some(group.arrangement), electric });
        }
        for (r, run) in circuit.runs.iter().enumerate() {
            for (p, placed) in run.parts.iter().enumerate() {
                let grouped = circuit.groups.iter().any(|group| group.units.contains(&(r, p)));
                if placed.part.as_pump().is_some() && !grouped {
                    let path = model.address(Id::Part(c, r, p));
                    let electric = is_electric(ready, (c, r, p));
                    found.push(Pump { path, count: 1, arrangement: None, electric });
                }
            }
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

fn is_electric(ready: &Ready, (c, r, p): (usize, usize, usize)) -> bool {
    let pump = ready.model.circuits[c].runs[r].parts[p].part.as_pump();
    pump.is_some_and(|pump| matches!(pump.drive, PumpDrive::Electric(_)))
}

/// One pump more, a pump at full speed, a larger pulley.
fn pumps(ready: &Ready) -> Vec<Lever> {
    let mut found = Vec::new();
    for pump in all_pumps(ready) {
        let Pump { path, count, arrangement, electric } = &pump;
        let more = count + 1;
        let count_at = format!("{path}:count");
        let valves = Change::text(format!("{path}:check_valves"), "true");
        let series = vec![Change::text(&count_at, format!("Series({more})"))];
        let parallel = vec![Change::text(&count_at, format!("Parallel({more})"))];
        let values = || [Value::Count(*count), Value::Count(more)];
        let lever = |what, changes| Lever::new(Side::Coolant, what, values(), changes);
        match (electric, arrangement) {
            (false, _) => found.extend(pulley(ready, path)),
            (true, None) => {
                found.push(lever(say!("a second pump behind `{pump}`", pump = path), series));
                let parallel = [parallel, vec![valves]].concat();
                let beside = say!("a second pump beside `{pump}`, with check valves", pump = path);
                found.push(lever(beside, parallel));
            }
            (true, Some(Arrangement::Series)) => {
                found.push(lever(say!("one more pump behind `{pump}`", pump = path), series));
            }
            (true, Some(Arrangement::Parallel)) => {
                found.push(lever(say!("one more pump beside `{pump}`", pump = path), parallel));
            }
        }
        found.extend(full_speed(ready, path, Side::Coolant));
    }
    found
}

/// A pump that the engine turns, turned faster.
fn pulley(ready: &Ready, path: &str) -> Option<Lever> {
    let address = format!("{path}:ratio");
    let (kind, ratio) = at(ready, &address)?;
    let values = [ratio, PULLEY * ratio].map(|si| Value::of(kind, si));
    let what = say!("another pulley for `{pump}`, its ratio", pump = path);
    let change = Change::number(&address, kind, tidy(PULLEY * ratio));
    (ratio > 0.0).then(|| Lever::new(Side::Coolant, what, values, vec![change]))
}

/// A pump or a fan that is set to turn slower than its curve.
fn full_speed(ready: &Ready, path: &str, side: Side) -> Option<Lever> {
    let address = format!("{path}:speed");
    let (_, speed) = at(ready, &address)?;
    let values = [speed, 1.0].map(|share| Value::percent(share, 0));
    let what = say!("full speed of `{machine}`", machine = path);
    let change = Change::text(&address, "\"100 %\"");
    (speed < 1.0).then(|| Lever::new(side, what, values, vec![change]))
}

/// Less glycol and more.
fn glycol(ready: &Ready) -> Vec<Lever> {
    let mut found = Vec::new();
    for circuit in &ready.model.circuits {
        let address = format!("{}:glycol", circuit.name);
        let Some((_, share)) = at(ready, &address) else { continue };
        for (word, to) in [("less", share - GLYCOL), ("more", share + GLYCOL)] {
            // Tenths of a percent as they are written.
            let to = (1e3 * to).round() / 1e3;
            if to <= MIXTURES[0] || to > MIXTURES[1] {
                continue;
            }
            let Some(base) = circuit.coolant.base() else { continue };
            let freezes = |share| freezes_k(base, share);
            let Some((was_k, now_k)) = freezes(share).zip(freezes(to)) else { continue };
            // What would freeze in the air of the case itself is no remedy.
            if now_k >= coldest_air_k(ready) {
                continue;
            }
            let what = say!("{word} glycol in `{circuit}`", word = word, circuit = &circuit.name);
            let values = [share, to].map(|share| Value::percent(share, 0));
            let text = format!("\"{} %\"", (1e3 * to).round() / 10.0);
            let lever = Lever::new(Side::Coolant, what, values, vec![Change::text(&address, text)]);
            found.push(lever.noted(say!(
                "freezes at {now} (now {was})",
                now = Value::of(Kind::Temperature, now_k),
                was = Value::of(Kind::Temperature, was_k)
            )));
        }
    }
    found
}

fn freezes_k(base: Base, share: f64) -> Option<f64> {
    Some(Coolant::new(base, Share::ByVolume(share)).ok()?.freezing_point_k())
}

/// The next cap that is sold.
fn caps(ready: &Ready) -> Vec<Lever> {
    let caps = ready.addresses.iter().filter(|(address, entry)| {
        address.ends_with(":opens") && entry.kind == Kind::GaugePressure
    });
    let lever = |(address, entry): (&String, &coolwright_cases::lower::Address)| {
        let next = CAPS_KPA.iter().find(|kpa| f64::from(**kpa) * 1e3 > 1.05 * entry.value)?;
        let text = format!("\"{next} kPa\"");
        let to = f64::from(*next) * 1e3;
        let what = say!("a stronger cap on `{tank}`", tank = address.trim_end_matches(":opens"));
        let values = [entry.value, to].map(|si| Value::of(entry.kind, si));
        let lever = Lever::new(Side::Coolant, what, values, vec![Change::text(address, text)]);
        Some(lever.noted("hoses, core and tank must be rated for it".into()))
    };
    caps.filter_map(lever).collect()
}

/// Thermostats and fan switches that open and go on sooner.
fn switched_lower(ready: &Ready) -> Vec<Lever> {
    let mut found = Vec::new();
    for (address, entry) in &ready.addresses {
        if entry.kind != Kind::Temperature {
            continue;
        }
        let Some((path, name)) = address.rsplit_once(':') else { continue };
        let lower = |address: &str| {
            let (kind, si) = at(ready, address)?;
            Some(Change::number(address, kind, si - STEP_K))
        };
        let values = [entry.value, entry.value - STEP_K].map(|si| Value::of(entry.kind, si));
        if name == "opens" {
            let what = say!("a thermostat `{part}` that opens sooner", part = path);
            let changes = lower(address).into_iter().collect();
            found.push(Lever::new(Side::Coolant, what, values, changes));
        } else if name == "on" {
            let is_fan = path.starts_with("air_paths/");
            let (side, what) = if is_fan {
                (Side::Air, say!("fan `{fan}` on sooner", fan = path))
            } else {
                (Side::Coolant, say!("pump `{pump}` on sooner", pump = path))
            };
            let changes = [lower(address), lower(&format!("{path}:off"))];
            let changes = changes.into_iter().flatten().collect();
            found.push(Lever::new(side, what, values, changes));
        }
    }
    found
}

/// One fan more, a fan at full speed.
fn fans(ready: &Ready) -> Vec<Lever> {
    let mut found = Vec::new();
    for path in fan_paths(ready) {
        let address = format!("{path}:count");
        let count = at(ready, &address).map_or(1.0, |(_, count)| count);
        let values = [count, count + 1.0].map(|si| Value::of(Kind::Count, si));
        let what = say!("one more fan `{fan}`", fan = &path);
        let change = Change::number(&address, Kind::Count, count + 1.0);
        found.push(Lever::new(Side::Air, what, values, vec![change]));
        found.extend(full_speed(ready, &path, Side::Air));
    }
    found
}

/// The fans of a case by their names in the file.
pub fn fan_paths(ready: &Ready) -> Vec<String> {
    let fan = |path: &&String| {
        let inside = path.starts_with("air_paths/") && path.matches('/').count() == 2;
        inside && ready.addresses.contains_key(&format!("{path}:speed"))
    };
    ready.places.keys().filter(fan).cloned().collect()
}

/// What goes with the face of a core: twice the face takes twice the flows for twice the heat at the same falls.
const WITH_FACE: [&str; 8] =
    ["heat", "coolant", "air", "at", "air_fall_at", "face", "volume", "metal"];

/// What goes with the length of the tubes of a core, where it is told and does not follow from it.
const WITH_LENGTH: [&str; 5] = ["tube_length", "face", "volume", "metal", "air_fall_at"];

/// A core that is known by its dimensions, with tubes a tenth longer.
fn longer(ready: &Ready, path: &str, (kind, length): (Kind, f64)) -> Lever {
    let told = |name: &&&str| {
        let address = format!("{path}:{name}");
        **name == "tube_length" || ready.addresses.get(&address).is_some_and(|of| of.span.is_some())
    };
    let changes = WITH_LENGTH.iter().filter(told);
    let changes = changes.filter_map(|name| scaled(ready, &format!("{path}:{name}"), CORE));
    let what = say!("longer tubes in `{core}`", core = path);
    let values = [length, CORE * length].map(|si| Value::of(kind, si));
    let note = "the face grows with them, coolant and metal too; grille and ducts stay";
    Lever::new(Side::Air, what, values, changes.collect()).noted(note.into())
}

/// Every core a tenth larger in its face, with the same depth and fins.
fn cores(ready: &Ready) -> Vec<Lever> {
    let own: Vec<String> =
        (0..ready.model.cores.len()).map(|k| ready.model.address(Id::Core(k))).collect();
    // Cores that are cut stand for their pieces.
    let rated = ready.addresses.keys().filter_map(|address| address.strip_suffix(":heat"));
    let cut = rated.filter(|path| path.starts_with("cores/") && !own.iter().any(|of| of == path));
    let all: Vec<String> = own.iter().cloned().chain(cut.map(str::to_owned)).collect();
    let lever = |path: String| {
        if let Some((kind, length)) = at(ready, &format!("{path}:tube_length")) {
            return Some(longer(ready, &path, (kind, length)));
        }
        let (kind, heat) = at(ready, &format!("{path}:heat"))?;
        let numbers = WITH_FACE.iter();
        let changes =
            numbers.filter_map(|name| scaled(ready, &format!("{path}:{name}"), CORE)).collect();
        let face = at(ready, &format!("{path}:face"));
        let (what, kind, from) = match face {
            Some((kind, face)) => (say!("more face of `{core}`", core = &path), kind, face),
            None => (say!("more face of `{core}`, rated", core = &path), kind, heat),
        };
        let values = [from, CORE * from].map(|si| Value::of(kind, si));
        let note =
            "rated heat and flows, coolant and metal grow with the face; grille and ducts stay";
        Some(Lever::new(Side::Air, what, values, changes).noted(note.into()))
    };
    all.into_iter().filter_map(lever).collect()
}

/// How much of a gap, or of the air that comes round, foam and sheet leave.
const SEALED: f64 = 0.5;

/// Less air past the cores, and less that comes round again.
fn astray(ready: &Ready) -> Vec<Lever> {
    let lever = |(address, entry): (&String, &coolwright_cases::lower::Address)| {
        let (path, name) =
            address.rsplit_once(':').filter(|(path, _)| path.starts_with("air_paths/"))?;
        let what = match name {
            "gap" => say!("half of the gap `{gap}`", gap = path),
            "recirculation" if entry.value > 0.0 => say!("baffles round `{path}`", path = path),
            _ => return None,
        };
        let values = [entry.value, SEALED * entry.value].map(|si| Value::of(entry.kind, si));
        let change = Change::number(address, entry.kind, tidy(SEALED * entry.value));
        Some(Lever::new(Side::Air, what, values, vec![change]))
    };
    ready.addresses.iter().filter_map(lever).collect()
}

/// Larger tanks, filled to the same share.
fn tanks(ready: &Ready) -> Vec<Lever> {
    let paths = ready.addresses.keys().filter_map(|address| address.strip_suffix(":level"));
    let lever = |path: &str| {
        let (kind, volume) = at(ready, &format!("{path}:volume"))?;
        let both = ["volume", "air"].map(|name| scaled(ready, &format!("{path}:{name}"), STORE));
        let values = [volume, STORE * volume].map(|si| Value::of(kind, si));
        let what = say!("a larger tank `{tank}`", tank = path);
        Some(Lever::new(Side::Store, what, values, both.into_iter().flatten().collect()))
    };
    paths.filter_map(lever).collect()
}

/// Foam is laid on in sheets of about this, m.
const FOAM_M: f64 = 0.02;

/// More ice, more metal, more foam.
fn stores(ready: &Ready) -> Vec<Lever> {
    let mut found = Vec::new();
    for (address, entry) in &ready.addresses {
        let Some((path, name)) = address.rsplit_once(':') else { continue };
        let of_body = path.starts_with("engines/") || path.starts_with("coolers/");
        let what = match name {
            "ice" if entry.value > 0.0 => say!("more ice in `{tank}`", tank = path),
            "metal" if of_body => say!("more metal in `{body}`", body = path),
            // Only what heat goes through has an outside.
            "insulation" if ready.addresses.contains_key(&format!("{path}:surface")) => {
                say!("more foam round `{tank}`", tank = path)
            }
            _ => continue,
        };
        let more = if name == "insulation" { entry.value + FOAM_M } else { STORE * entry.value };
        let values = [entry.value, more].map(|si| Value::of(entry.kind, si));
        let changes = vec![Change::number(address, entry.kind, tidy(more))];
        found.push(Lever::new(Side::Store, what, values, changes));
    }
    found
}

/// Colder starts, with the metal that has a start of its own. A circuit with ice starts with it.
fn starts(ready: &Ready) -> Vec<Lever> {
    let model = &ready.model;
    let mut found = Vec::new();
    for circuit in model.circuits.iter().filter(|circuit| !circuit.has_ice()) {
        let address = format!("{}:start", circuit.name);
        let Some((kind, start_k)) = at(ready, &address) else { continue };
        let freezes = circuit.coolant.liquid(&model.values).map(|of| of.freezing_point_k());
        if freezes.is_ok_and(|freezes_k| start_k - STEP_K <= freezes_k) {
            continue;
        }
        let cools = super::load::cooled_by(circuit);
        let bodies =
            cools.into_iter().map(|body| format!("{}:start", model.address(Id::Body(body))));
        let all = std::iter::once(address).chain(bodies);
        let colder = all.filter_map(|address| {
            let (kind, si) = at(ready, &address)?;
            Some(Change::number(&address, kind, si - STEP_K))
        });
        let what = say!("a colder start of `{circuit}`", circuit = &circuit.name);
        let values = [start_k, start_k - STEP_K].map(|si| Value::of(kind, si));
        found.push(Lever::new(Side::Store, what, values, colder.collect()));
    }
    found
}

/// Longer rests.
fn phases(ready: &Ready) -> Vec<Lever> {
    let mut found: Vec<Lever> = Vec::new();
    let mut known = Vec::new();
    // What was logged lasts as long as it did.
    let phases = ready.duty.phases.iter().filter(|_| ready.duty.tracks.is_empty());
    for phase in phases {
        if phase.power_share > WORKS || known.contains(&&phase.plain) {
            continue;
        }
        known.push(&phase.plain);
        let address = format!("duty/{}:time", phase.plain);
        let values = [phase.time_s, STORE * phase.time_s].map(Value::clock);
        let what = say!("a longer rest `{phase}`", phase = &phase.plain);
        let change = Change::number(&address, Kind::Time, tidy(STORE * phase.time_s));
        found.push(Lever::new(Side::Duty, what, values, vec![change]));
    }
    found
}
