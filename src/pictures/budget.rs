//! Where the pressure of a circuit goes: its falls along one way, from a pump round to it. Falls of ways that lie side
//! by side are never added: each of them is the whole difference between the same two joints.

use coolwright_cases::quantity::Kind;

use super::bars::{ROW, WIDTH, left_of, named, whisker};
use super::canvas::{Anchor, Canvas, Picture, at, fitted};
use super::pen::{Pen, Told, words};
use super::rows::{Found, rows, sections};
use super::scale::Scale;
use crate::answer::drawing::{CircuitDrawn, WayDrawn};
use crate::answer::{Answer, Section, Value};

/// Falls shown by themselves; the smallest of the rest stand together.
const MOST_FALLS: usize = 14;
/// Less than this in a header is not worth a line, Pa.
const LEAST_FALL: f64 = 0.5;
/// Ways named at the foot.
const NAMED: usize = 6;

/// A line of a budget: name, fall, what that may be off by, Pa.
type Fall = (String, f64, f64);

/// The lines of a run in the order in which it is written.
struct OfRun<'a> {
    address: &'a str,
    lines: Vec<Found<'a>>,
}

/// Where the pressure of each circuit goes.
pub(super) fn budgets(pen: &Pen, answer: &Answer, circuits: &[CircuitDrawn]) -> Vec<Picture> {
    let one = |section: &Section| {
        let name = section.of.as_deref().unwrap_or_default();
        let circuit = circuits.iter().find(|circuit| circuit.name == name);
        match circuit.filter(|circuit| !circuit.main.is_empty()) {
            Some(circuit) => along(pen, name, (section, circuit)),
            None => largest(pen, name, section),
        }
    };
    sections(answer, "budget").filter_map(one).collect()
}

/// The falls along the main way of a circuit.
fn along(pen: &Pen, name: &str, (section, circuit): (&Section, &CircuitDrawn)) -> Option<Picture> {
    let falls = main_falls(section, circuit);
    let several =
        circuit.ways.iter().filter(|way| !way.parts.is_empty()).count() > circuit.main.len();
    let title = match (several, circuit.closes) {
        (true, _) => format!("Where the pressure of `{name}` goes, along its main way"),
        (false, true) => format!("Where the pressure of `{name}` goes, once around"),
        (false, false) => format!("Where the pressure of `{name}` goes"),
    };
    let foot = if several { foot(circuit) } else { Vec::new() };
    draw(pen, name, (&in_short(falls), &foot), &title)
}

/// The largest falls of a circuit that is too large to be drawn: no sum, as many lie side by side.
fn largest(pen: &Pen, name: &str, section: &Section) -> Option<Picture> {
    let lines = by_run(section).into_iter().flat_map(|run| run.lines);
    let mut falls: Vec<Fall> = lines.filter_map(|line| fall(&line, 1.0)).collect();
    falls.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    let foot = match falls.len().saturating_sub(MOST_FALLS) {
        0 => Vec::new(),
        more => vec![format!("{more} smaller falls are not shown.")],
    };
    falls.truncate(MOST_FALLS);
    draw(pen, name, (&falls, &foot), &format!("The largest falls of pressure in `{name}`"))
}

/// The lines of the budget, run by run; pieces of headers have none of their own.
fn by_run(section: &Section) -> Vec<OfRun<'_>> {
    let mut found: Vec<OfRun<'_>> = Vec::new();
    for row in rows(section) {
        let is_line = row.text("name").is_some_and(|name| name.starts_with(' '));
        match found.last_mut().filter(|_| is_line) {
            Some(run) => run.lines.push(row),
            None => found.push(OfRun { address: row.of.unwrap_or_default(), lines: Vec::new() }),
        }
    }
    found
}

fn fall(line: &Found<'_>, sign: f64) -> Option<Fall> {
    let off = line.cell("fall").and_then(|cell| cell.uncertainty).unwrap_or(0.0);
    Some((line.text("name")?.trim().to_owned(), sign * line.number("fall")?, off))
}

/// The falls along the main way, from the pump that lifts most on where it closes.
fn main_falls(section: &Section, circuit: &CircuitDrawn) -> Vec<Fall> {
    let runs = by_run(section);
    let ways: Vec<&WayDrawn> = circuit.main.iter().map(|k| &circuit.ways[*k]).collect();
    let mut seen: Vec<&str> = ways.iter().map(|way| way.address.as_str()).collect();
    seen.dedup();
    let several = seen.len() > 1;
    let mut falls: Vec<Fall> = Vec::new();
    // A run that was cut stands twice, and each of its lines once.
    let mut told: Vec<(&str, usize)> = Vec::new();
    for (n, way) in ways.iter().enumerate() {
        let Some(run) = runs.iter().find(|run| run.address == way.address) else { continue };
        let sign = if way.forward { 1.0 } else { -1.0 };
        let holds = |way: &WayDrawn, line: &Found<'_>| {
            way.parts.iter().any(|part| line.of == Some(&part.address))
        };
        let is_part = |k: &usize| circuit.ways.iter().any(|way| holds(way, &run.lines[*k]));
        // What is no part, as the tee at an end, goes with the part beside it.
        let beside = |k: usize| {
            let after = (k..run.lines.len()).find(is_part);
            after.or_else(|| (0..k).rev().find(is_part)).unwrap_or(k)
        };
        let mut places: Vec<usize> = (0..run.lines.len()).collect();
        if !way.forward {
            places.reverse();
        }
        for k in places {
            let line = &run.lines[k];
            let elsewhere = is_part(&beside(k)) && !holds(way, &run.lines[beside(k)]);
            if told.contains(&(run.address, k)) || elsewhere {
                continue;
            }
            told.push((run.address, k));
            let of_run = |name: String| if several { format!("{}/{name}", way.name) } else { name };
            falls.extend(fall(line, sign).map(|(name, fall, off)| (of_run(name), fall, off)));
        }
        falls.extend(ways.get(n + 1).or(ways.first().filter(|_| circuit.closes)).and_then(
            |next| {
                let node = &circuit.nodes[way.to];
                let fall = way.ends_pa[1] - next.ends_pa[0];
                let worth = node.word == "header" && fall.abs() >= LEAST_FALL;
                worth.then(|| (node.name.clone().unwrap_or_default(), fall, 0.0))
            },
        ));
    }
    let pump = (0..falls.len()).min_by(|a, b| falls[*a].1.total_cmp(&falls[*b].1));
    if let Some(pump) = pump.filter(|_| circuit.closes) {
        falls.rotate_left(pump);
    }
    falls
}

/// The falls, the smallest together where there are many: along one way they add up.
fn in_short(falls: Vec<Fall>) -> Vec<Fall> {
    let mut sizes: Vec<f64> = falls.iter().map(|(_, fall, _)| fall.abs()).collect();
    sizes.sort_by(|a, b| b.total_cmp(a));
    let Some(least) = sizes.get(MOST_FALLS) else { return falls };
    let (mut kept, rest): (Vec<Fall>, Vec<Fall>) =
        falls.into_iter().partition(|(_, fall, _)| fall.abs() > *least);
    let sum = rest.iter().map(|(_, fall, _)| fall).sum();
    kept.push((format!("{} smaller ones along it", rest.len()), sum, 0.0));
    kept
}

/// Which way it is, and what lies beside it.
fn foot(circuit: &CircuitDrawn) -> Vec<String> {
    let ends = |way: &WayDrawn| [way.from, way.to];
    let main = |k: usize| circuit.main.contains(&k);
    let mut lines = Vec::new();
    let mut names: Vec<&str> = Vec::new();
    for &k in &circuit.main {
        if !names.contains(&circuit.ways[k].name.as_str()) {
            names.push(&circuit.ways[k].name);
        }
    }
    lines.push(format!("At every fork the way that carries most: {}.", listed(&names)));
    let mut beside: Vec<usize> = Vec::new();
    for &k in &circuit.main {
        let way = &circuit.ways[k];
        let same = |j: &usize| !main(*j) && ends(&circuit.ways[*j]) == ends(way);
        let all: Vec<usize> = (0..circuit.ways.len()).filter(same).collect();
        match all[..] {
            [] => {}
            [one] => {
                let name = &circuit.ways[one].name;
                lines.push(format!("Beside {}, between the same two joints: {name}.", way.name));
            }
            _ => lines.push(format!(
                "Beside {}, between the same two joints: {} more ways.",
                way.name,
                all.len()
            )),
        }
        beside.extend(all);
    }
    let rest = (0..circuit.ways.len()).filter(|k| !main(*k) && !beside.contains(k));
    let mut rest: Vec<&str> = rest.map(|k| circuit.ways[k].name.as_str()).collect();
    rest.retain(|name| !name.is_empty() && !names.contains(name));
    rest.dedup();
    if !rest.is_empty() {
        lines.push(format!("Not on this way: {}.", listed(&rest)));
    }
    lines
}

fn listed(names: &[&str]) -> String {
    match names.len().saturating_sub(NAMED) {
        0 => names.join(", "),
        more => format!("{} and {more} more", names[..NAMED].join(", ")),
    }
}

/// Draws falls as bars, and lines of words below them.
fn draw(pen: &Pen, of: &str, (falls, foot): (&[Fall], &[String]), title: &str) -> Option<Picture> {
    if falls.is_empty() {
        return None;
    }
    let names: Vec<Told> = falls.iter().map(|(name, ..)| words(name.as_str())).collect();
    let left = left_of(&names);
    let bottom = ROW * falls.len() as f64 + 16.0;
    let mut canvas = Canvas::new(pen, WIDTH, bottom + 16.0 * foot.len() as f64);
    let ends = falls.iter().flat_map(|(_, fall, off)| [fall - off, fall + off]).chain([0.0]);
    let x = Scale { px: [left, WIDTH - 110.0], ..Scale::around(ends, 0.0, [0.0; 2]) };
    for (k, (name, (_, fall, off))) in names.iter().zip(falls).enumerate() {
        let y = 8.0 + ROW * (k as f64 + 0.5);
        canvas.label(&[at(left - 8.0, y + 4.0, Anchor::End, 11.0)], "name", &named(name, left));
        let [from, to] = [x.at(fall.min(0.0)), x.at(fall.max(0.0))];
        let class = if *fall < 0.0 { "bar hollow" } else { "bar plain" };
        canvas.rect([from, y - 6.0, to, y + 6.0], class);
        whisker(&mut canvas, &x, (*fall, *off), y);
        let told = pen.value(&Value::of(Kind::PressureDifference, *fall));
        canvas.label(&[at(WIDTH - 102.0, y + 4.0, Anchor::Start, 11.0)], "num", &told);
    }
    canvas.line([x.at(0.0), 4.0], [x.at(0.0), 12.0 + ROW * falls.len() as f64], "bound");
    for (k, line) in foot.iter().enumerate() {
        let y = bottom + 16.0 * k as f64 + 8.0;
        let told = fitted(&words(line.as_str()), 10.0, WIDTH - 16.0);
        canvas.label(&[at(8.0, y, Anchor::Start, 10.0)], "unit", &told);
    }
    let title = pen.told(|_| title.to_owned());
    Some(canvas.done(format!("budget/{of}"), title))
}
