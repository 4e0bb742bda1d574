//! The heat ledger of a cycle: phase by phase, and by where it came from and went.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::{History, PhaseHistory};
use coolwright_models::ids::Id;
use coolwright_models::simulate::{Border, Stores};

use super::cycle::MOST_PHASES;
use crate::answer::{Cell, Form, Lay, Section, Seen, Sentence, Table, Value, Weight};
use crate::say;

/// Heat of a phase, J: in, from pumps, from outside, from the bay, with what was put in, to the air, stored, open.
fn ledger(phase: &PhaseHistory) -> [f64; 8] {
    let sum = |x: &[f64]| x.iter().sum::<f64>();
    let Border { bodies, pumps, outside, cores, bay, bay_bodies } = &phase.border;
    [
        sum(bodies),
        sum(pumps),
        sum(outside),
        sum(bay) + sum(bay_bodies),
        phase.put_in_j,
        sum(cores),
        phase.stored.sum(),
        phase.open_j(),
    ]
}

/// A line of the heat ledger: its name, when it begins and ends, heats.
type LedgerLine = (String, Option<(f64, f64)>, [f64; 8]);

/// Heat in, out and stored, phase by phase, with what the audit leaves open.
pub fn heat(ready: &Ready, history: &History) -> Section {
    let mut table = Table::new()
        .words("phase", "phase")
        .numbers("from", "from\nmin:s", Kind::Time)
        .numbers("to", "to\nmin:s", Kind::Time)
        .numbers("in", "heat in", Kind::Energy)
        .numbers("from_pumps", "from\npumps", Kind::Energy)
        .numbers("from_outside", "from\noutside", Kind::Energy)
        .numbers("from_bay", "from\nthe bay", Kind::Energy)
        .numbers("put_in", "put in\nwith ice", Kind::Energy)
        .numbers("to_air", "to the\nair", Kind::Energy)
        .numbers("stored", "stored", Kind::Energy)
        .numbers("open", "open", Kind::Energy)
        .only_filled();
    let mut sums = [0.0; 8];
    // Phases of one name are one row for people.
    let mut rounds: Vec<(&str, usize, [f64; 8])> = Vec::new();
    for (phase, of) in history.phases.iter().zip(&ready.duty.phases) {
        let heats = ledger(phase);
        sums.iter_mut().zip(heats).for_each(|(sum, heat)| *sum += heat);
        match rounds.iter_mut().find(|(known, ..)| *known == of.plain) {
            Some((_, count, known)) => {
                *count += 1;
                known.iter_mut().zip(heats).for_each(|(sum, heat)| *sum += heat);
            }
            None => rounds.push((&of.plain, 1, heats)),
        }
    }
    let added = rounds.iter().any(|(_, count, _)| *count > 1);
    let many = history.phases.len() > MOST_PHASES;
    for phase in &history.phases {
        let line = (phase.name.clone(), Some((phase.from_s, phase.to_s)), ledger(phase));
        put(&mut table, line, if many { Seen::Programs } else { Seen::All });
        table.weigh(if added { Weight::Detail } else { Weight::Headline });
    }
    for (name, count, heats) in rounds.iter().filter(|_| added) {
        let times = if *count == 1 { "once".to_owned() } else { format!("{count} times") };
        put(&mut table, (format!("{name}, {times}"), None, *heats), Seen::People);
    }
    let end = history.phases.last().map_or(0.0, |phase| phase.to_s);
    put(&mut table, ("all".to_owned(), Some((0.0, end)), sums), Seen::All);
    let title = if sums[3] == 0.0 {
        "Heat (in + from pumps + from outside = to the air + stored + open)"
    } else {
        "Heat (in + from pumps + from outside + from the bay = to the air + stored + open)"
    };
    let section = Section::new("heat", title).table(table);
    // Phase by phase: what came in one and went in another has been turned over twice.
    let moved =
        |phase: &PhaseHistory| ledger(phase)[..4].iter().map(|heat| heat.abs()).sum::<f64>();
    let turned: f64 = history.phases.iter().map(moved).sum();
    if turned <= 0.0 {
        return section;
    }
    let open = sums[7].abs() / turned;
    let share = Value::percent(open.max(LEAST_OPEN), 3);
    let section = if open < LEAST_OPEN {
        section.say(
            say!("Less than {share} of the heat turned over is left open.", share = share),
            Lay::Inset,
        )
    } else {
        section
            .say(say!("{share} of the heat turned over is left open.", share = share), Lay::Inset)
    };
    if history.phases.iter().all(|phase| phase.put_in_j == 0.0) {
        return section;
    }
    let beside =
        "What is put in comes as a phase begins: it is part of neither its sum nor what it stored.";
    section.say(Sentence::from(beside), Lay::Inset)
}

/// The least share of heat left open that is told.
const LEAST_OPEN: f64 = 1e-5;

fn put(table: &mut Table, (name, times, heats): LedgerLine, seen: Seen) {
    let clock = |time: Option<f64>| Cell::from(time.map(Value::clock));
    let head = [name.into(), clock(times.map(|t| t.0)), clock(times.map(|t| t.1))];
    let mut cells = heats.map(energy);
    // Where nothing stands in the bay, or nothing is put in, there is nothing to tell.
    for k in [3, 4] {
        if heats[k] == 0.0 {
            cells[k] = Value::Nothing.into();
        }
    }
    table.add(None, head.into_iter().chain(cells), seen);
}

/// An energy in a column: all of it in the unit that suits the largest.
fn energy(joule: f64) -> Cell {
    Value::formed(Kind::Energy, joule, Form::OfColumn).into()
}

/// What held the heat that was stored, phase by phase: walls, metal, cores, coolant, tanks, ice.
pub fn stores(ready: &Ready, history: &History) -> Section {
    let mut table = Table::new()
        .words("phase", "phase")
        .numbers("walls", "hot\nwalls", Kind::Energy)
        .numbers("metal", "bulk\nmetal", Kind::Energy)
        .numbers("cores", "metal of\ncores", Kind::Energy)
        .numbers("coolant", "coolant", Kind::Energy)
        .numbers("tanks", "tanks", Kind::Energy)
        .numbers("ice", "ice", Kind::Energy)
        .numbers("stored", "all", Kind::Energy)
        .only_filled();
    let each = |stores: &Stores| {
        let Stores { walls, metal, cores, coolant, tanks, ice } = *stores;
        [walls, metal, cores, coolant, tanks, ice, stores.sum()]
    };
    let phases = || history.phases.iter().zip(&ready.duty.phases);
    let mut rounds: Vec<(&str, usize, [f64; 7])> = Vec::new();
    for (phase, of) in phases() {
        let held = each(&phase.stored);
        match rounds.iter_mut().find(|(known, ..)| *known == of.plain) {
            Some((_, count, known)) => {
                *count += 1;
                known.iter_mut().zip(held).for_each(|(sum, heat)| *sum += heat);
            }
            None => rounds.push((&of.plain, 1, held)),
        }
    }
    let filled = |k: usize| history.phases.iter().any(|phase| each(&phase.stored)[k] != 0.0);
    let cells = |heats: [f64; 7]| {
        let cell =
            |(k, heat): (usize, f64)| if filled(k) { energy(heat) } else { Value::Nothing.into() };
        heats.into_iter().enumerate().map(cell).collect::<Vec<Cell>>()
    };
    let added = rounds.iter().any(|(_, count, _)| *count > 1);
    for (phase, _) in phases() {
        let row = std::iter::once(Cell::from(&phase.name)).chain(cells(each(&phase.stored)));
        table.add(
            None,
            row,
            if history.phases.len() > MOST_PHASES { Seen::Programs } else { Seen::All },
        );
        table.weigh(if added { Weight::Detail } else { Weight::Headline });
    }
    for (name, count, heats) in rounds.iter().filter(|_| added) {
        let times = if *count == 1 { "once".to_owned() } else { format!("{count} times") };
        let row = std::iter::once(Cell::from(format!("{name}, {times}"))).chain(cells(*heats));
        table.add(None, row, Seen::People);
    }
    Section::new("heat_stores", "Where the stored heat went").support().table(table)
}

/// Heat of each source and each core over the whole cycle.
pub fn where_heat_went(ready: &Ready, history: &History) -> Section {
    let mut table = Table::new().words("way", "").numbers("heat", "over the cycle", Kind::Energy);
    let total = |pick: &dyn Fn(&Border) -> f64| {
        history.phases.iter().map(|phase| pick(&phase.border)).sum::<f64>()
    };
    for k in 0..ready.model.bodies.len() {
        let path = ready.model.address(Id::Body(k));
        let way = say!("into {source}", source = &path);
        table.row(path, [way.into(), energy(total(&|border| border.bodies[k]))]);
    }
    for k in 0..ready.model.circuits.len() {
        let heat = total(&|border| border.bay[k]);
        let path = ready.model.address(Id::Circuit(k));
        let way = say!("into hoses and tanks of {circuit} from the bay", circuit = &path);
        if heat != 0.0 {
            table.row(format!("{path}:bay"), [way.into(), energy(heat)]);
        }
    }
    for k in 0..ready.model.bodies.len() {
        let heat = total(&|border| border.bay_bodies[k]);
        let path = ready.model.address(Id::Body(k));
        let way = say!("into {body} from the bay", body = &path);
        if heat != 0.0 {
            table.row(format!("{path}:bay"), [way.into(), energy(heat)]);
        }
    }
    for k in 0..ready.model.cores.len() {
        let path = ready.model.address(Id::Core(k));
        let way = say!("from {core} to the air", core = &path);
        table.row(path, [way.into(), energy(total(&|border| border.cores[k]))]);
    }
    Section::new("heat_ways", "Where the heat came from and went").support().table(table)
}
