//! A circuit: its extremes, its coolant, its runs, and where the pressure goes.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Joint, Run, made};
use coolwright_models::ids::Id;
use coolwright_models::laws::tee::TeeSet;
use coolwright_models::results::Quantity;
use coolwright_models::results::quantities as q;

use super::pumps::{pumps, taken};
use super::{Scene, coolant_words};
use crate::answer::{Cell, Lay, Section, Sentence, Table, Value};
use crate::say;

/// A fall smaller than this of a part that stands by itself is not worth a line, Pa.
pub(super) const LEAST_FALL: f64 = 0.5;

/// Everything about a circuit.
pub fn circuit(scene: &Scene<'_>, c: usize) -> Vec<Section> {
    vec![
        summary(scene, c),
        pumps(scene, c),
        taken(scene, c),
        runs(scene, c),
        pressures(scene, c),
        tee_sets(scene, c),
    ]
}

/// The extremes of a circuit, and what its coolant is like where it is coldest and where it is hottest.
fn summary(scene: &Scene<'_>, c: usize) -> Section {
    let id = Id::Circuit(c);
    let name = &scene.circuit(c).name;
    let coolant = coolant_words(scene.ready, scene.values, c);
    let known = scene.coolant(c).is_none_or(|coolant| coolant.has_vapour());
    let unknown = say!(
        "hottest coolant {hottest}, lowest pressure {pressure}; no vapour pressure of it is told, so nothing is known of its \
         boiling",
        hottest = scene.at(id, &q::HOTTEST),
        pressure = scene.at(id, &q::LOWEST_PRESSURE),
    );
    let extremes = say!(
        "hottest coolant {hottest}, lowest pressure {pressure}, least margin against boiling {margin}",
        hottest = scene.at(id, &q::HOTTEST),
        pressure = scene.at(id, &q::LOWEST_PRESSURE),
        margin = scene.at(id, &q::BOIL_MARGIN),
    );
    let section = Section::new(
        "circuit",
        say!("CIRCUIT `{circuit}`: {coolant}", circuit = name, coolant = coolant),
    );
    let section = section.of(name).say(if known { extremes } else { unknown }, Lay::Inset);
    let section = match scene.of(id, &q::BAY_HEAT) {
        Some(heat) if heat != 0.0 => section.say(by_bay(heat), Lay::Inset),
        _ => section,
    };
    properties(scene, c, section)
}

/// What hoses and tanks get from the air around, W, or give to it.
fn by_bay(heat: f64) -> Sentence {
    let size = Value::of(Kind::HeatRate, heat.abs());
    if heat > 0.0 {
        say!("its hoses and tanks take {heat} from the air around", heat = size)
    } else {
        say!("its hoses and tanks give {heat} to the air around", heat = size)
    }
}

fn properties(scene: &Scene<'_>, c: usize, section: Section) -> Section {
    let Some(coolant) = scene.coolant(c) else { return section };
    let inlets = scene.circuit(c).runs.iter().enumerate().flat_map(|(r, run)| {
        let parts = 0..run.parts.len();
        parts.filter_map(move |p| scene.of(Id::Part(c, r, p), &q::TEMPERATURE_IN))
    });
    let Some(hottest) = scene.of(Id::Circuit(c), &q::HOTTEST) else { return section };
    let coldest = inlets.fold(hottest, f64::min);
    let at = |k: f64| {
        say!(
            "at {temperature}: density {density}, heat capacity {heat}, viscosity {viscosity}",
            temperature = Value::of(Kind::Temperature, k),
            density = Value::of(Kind::Density, coolant.density(k)),
            heat = Value::of(Kind::SpecificHeat, coolant.heat_capacity(k)),
            viscosity = Value::of(Kind::Viscosity, coolant.viscosity(k)),
        )
    };
    let section = section.aside(at(coldest), Lay::Inset);
    if hottest - coldest > 0.05 { section.aside(at(hottest), Lay::Inset) } else { section }
}

/// Runs: where they go, what flows, what they fall.
fn runs(scene: &Scene<'_>, c: usize) -> Section {
    let circuit = scene.circuit(c);
    let told = || circuit.runs.iter().enumerate().filter(|(_, run)| !run.parts.is_empty());
    let mut table = Table::new()
        .words("run", "run")
        .words("from", "from")
        .words("to", "to")
        .numbers("flow", "flow", Kind::VolumeFlow)
        .numbers("mass_flow", "mass flow", Kind::MassFlow)
        .numbers("pressure_from", "total pressure\nfrom", Kind::GaugePressure)
        .numbers("pressure_to", "total pressure\nto", Kind::GaugePressure)
        .only_filled();
    if told().count() >= 2 {
        for (r, run) in told() {
            let id = Id::Run(c, r);
            let pressure = |j| scene.cell(Id::Junction(c, j), &q::JUNCTION_PRESSURE);
            let cells = [
                made::plain(&run.name).into(),
                made::plain(&circuit.junctions[run.from].name).into(),
                made::plain(&circuit.junctions[run.to].name).into(),
                scene.within(id, &q::FLOW),
                scene.cell(id, &q::MASS_FLOW),
                pressure(run.from),
                pressure(run.to),
            ];
            table.row(scene.address(id), cells);
        }
    }
    let title = "Runs (mass flows add up to zero at every junction)";
    Section::new("runs", title).below().detail().of(&circuit.name).table(table)
}

/// The budget of a circuit while it is put down.
struct Budget<'a> {
    scene: &'a Scene<'a>,
    c: usize,
    /// Head of all pumps along a way around, Pa.
    driven: f64,
    table: Table,
    /// The largest difference between a run's parts and its junctions, Pa.
    open: f64,
}

/// A line of the budget.
struct Line {
    id: Id,
    label: String,
    word: Value,
    /// Fall, and what it may be off by, Pa.
    fall: (f64, f64),
    /// The part whose height counts, if it is one.
    lift: Option<Id>,
    /// Whether it takes a share of the head: lines of runs do not.
    shares: bool,
}

/// Where the pressure goes, part after part.
fn pressures(scene: &Scene<'_>, c: usize) -> Section {
    let circuit = scene.circuit(c);
    let table = Table::new()
        .words("name", "run and part")
        .words("what", "")
        .numbers("fall", "fall", Kind::PressureDifference)
        .numbers("share", "of pump\nhead", Kind::Fraction)
        .numbers("height", "by\nheight", Kind::PressureDifference)
        .only_filled();
    let driven = driving_head(scene, c);
    let mut budget = Budget { scene, c, driven, table, open: 0.0 };
    for (r, run) in circuit.runs.iter().enumerate().filter(|(_, run)| !run.parts.is_empty()) {
        budget.run(r, run);
    }
    let open = Value::of(Kind::PressureDifference, budget.open);
    let title = "Where the pressure goes (falls of total pressure; a pump\u{2019}s is below zero)";
    let sums = say!(
        "The line of a run is its parts and heights added up: the total pressure at its start less that at its \
         end\n  (checked for every run; largest difference {open}). Around a closed loop that is 0: the falls \
         are\n  what the pumps give.",
        open = open
    );
    let section = Section::new("budget", title).below().detail().of(&circuit.name);
    section.table(budget.table).say(sums, Lay::Inset)
}

/// Which published formulas the tees and headers follow.
fn tee_sets(scene: &Scene<'_>, c: usize) -> Section {
    let circuit = scene.circuit(c);
    let mut sentences = Vec::new();
    for set in [TeeSet::Unified, TeeSet::Gardel, TeeSet::Tp410] {
        let mut names: Vec<&str> = Vec::new();
        for junction in &circuit.junctions {
            if matches!(junction.joint, Joint::Tee { set: of, .. } if of == set) {
                let name = made::of(&junction.name);
                if !names.contains(&name) {
                    names.push(name);
                }
            }
        }
        if !names.is_empty() {
            let names = Value::list(names, ", ");
            sentences.push(say!("{names} by the {set}.", names = names, set = set.words()));
        }
    }
    let mut section = Section::plain("tees").detail().of(&circuit.name);
    if !sentences.is_empty() {
        section = section.say("Tees and headers:", Lay::Inset);
    }
    for sentence in sentences {
        section = section.say(sentence, Lay::Paragraph);
    }
    section
}

impl Budget<'_> {
    fn run(&mut self, r: usize, run: &Run) {
        let (c, id) = (self.c, Id::Run(self.c, r));
        let circuit = self.scene.circuit(c);
        let part = |p: usize| Id::Part(c, r, p);
        let pressure = |junction: usize| self.of(Id::Junction(c, junction), &q::JUNCTION_PRESSURE);
        let ends = pressure(run.from) - pressure(run.to);
        let tee = |junction: usize, fall: &'static Quantity, off: &'static Quantity| {
            let tee = matches!(circuit.junctions[junction].joint, Joint::Tee { .. });
            if tee { (self.of(id, fall), self.of(id, off)) } else { (0.0, 0.0) }
        };
        let entry = tee(run.from, &q::ENTRY_FALL, &q::ENTRY_FALL_UNCERTAINTY);
        let exit = tee(run.to, &q::EXIT_FALL, &q::EXIT_FALL_UNCERTAINTY);
        let parts = 0..run.parts.len();
        let sum = parts.clone().fold(entry.0 + exit.0, |sum, p| {
            sum + (self.of(part(p), &q::FALL) + self.of(part(p), &q::LIFT))
        });
        self.open = self.open.max((ends - sum).abs());
        // A piece of a header is one line: its tees at both ends and the short length between them.
        let name = |junction: usize| made::plain(&circuit.junctions[junction].name);
        let (from, to) = (name(run.from), name(run.to));
        let label = made::plain(&run.name);
        if is_piece(run) {
            let own = self.of(part(0), &q::FALL_UNCERTAINTY);
            let fall = (sum, own.hypot(entry.1).hypot(exit.1));
            let (word, lift) = ("header".into(), Some(part(0)));
            self.line(Line { id, label, word, fall, lift, shares: true });
            return;
        }
        let way: Value = if run.from == run.to {
            "closed loop".into()
        } else {
            say!("{from} to {to}", from = &from, to = &to).into()
        };
        self.line(Line { id, label, word: way, fall: (sum, 0.0), lift: None, shares: false });
        self.tee((c, run.from), &from, entry);
        for p in parts {
            let placed = &run.parts[p];
            let fall = self.of(part(p), &q::FALL);
            if !(placed.automatic && fall.abs() < LEAST_FALL) {
                let label = format!("  {}", made::plain(&placed.name));
                let fall = (fall, self.of(part(p), &q::FALL_UNCERTAINTY));
                let (id, word, lift) = (part(p), placed.part.word().into(), Some(part(p)));
                self.line(Line { id, label, word, fall, lift, shares: true });
            }
        }
        self.tee((c, run.to), &to, exit);
    }

    fn of(&self, id: Id, quantity: &'static Quantity) -> f64 {
        self.scene.of(id, quantity).unwrap_or(0.0)
    }

    fn tee(&mut self, (c, junction): (usize, usize), name: &str, fall: (f64, f64)) {
        if fall.0.abs() >= LEAST_FALL {
            let (id, label, word) =
                (Id::Junction(c, junction), format!("  at {name}"), "tee".into());
            self.line(Line { id, label, word, fall, lift: None, shares: true });
        }
    }

    fn line(&mut self, line: Line) {
        let pressure = |pa: f64| Value::of(Kind::PressureDifference, pa);
        let (fall, off) = line.fall;
        let lift = line.lift.map(|part| self.of(part, &q::LIFT)).filter(|lift| *lift != 0.0);
        let share =
            (line.shares && self.driven > 0.0).then(|| Value::percent(fall / self.driven, 1));
        let cells = [
            line.label.into(),
            line.word.into(),
            Cell::from(pressure(fall)).within(Some(off).filter(|off| *off != 0.0)),
            share.into(),
            lift.map(pressure).into(),
        ];
        self.table.row(self.scene.address(line.id), cells);
    }
}

/// Whether a run is a piece of a header: a short length between two of its ports.
pub(crate) fn is_piece(run: &Run) -> bool {
    run.automatic && run.parts.iter().all(|placed| placed.automatic)
}

/// The head that drives a circuit, Pa: what its pumps give, Σ Q Δp, over its largest flow. Of pumps one
/// behind the other that is the sum of their heads, of pumps side by side their head once, however they
/// are written.
fn driving_head(scene: &Scene<'_>, c: usize) -> f64 {
    let circuit = scene.circuit(c);
    let (mut given_w, mut most) = (0.0_f64, 0.0_f64);
    for (r, run) in circuit.runs.iter().enumerate() {
        most = most.max(scene.of(Id::Run(c, r), &q::FLOW).unwrap_or(0.0).abs());
        for (p, placed) in run.parts.iter().enumerate() {
            let id = Id::Part(c, r, p);
            if placed.part.as_pump().is_some() {
                let [head, flow] = [&q::HEAD, &q::FLOW].map(|of| scene.of(id, of).unwrap_or(0.0));
                given_w += (head * flow).max(0.0);
            }
        }
    }
    if most > 0.0 { given_w / most } else { 0.0 }
}
