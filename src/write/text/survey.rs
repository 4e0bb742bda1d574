//! The pressure survey: the pressure along every way the coolant takes, against its vapour pressure.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Circuit, Cushion, Hold, ReferencePoint, Run};
use coolwright_models::fluids::{Coolant, Share};
use coolwright_models::slots::Values;

use super::{Shown, wrapped};
use crate::write::Style;
use crate::write::table::Table;

/// A fall smaller than this of a part that stands by itself is not worth a line, Pa.
const LEAST_FALL: f64 = 0.5;
/// Margins as near as this are the same, Pa: the first of them is marked.
const SAME_PA: f64 = 0.5;
/// Below this mass flow nothing flows, kg/s.
const STILL: f64 = 1e-9;

/// The survey of a circuit, beginning in its tank or wherever else its pressure is known.
pub(super) fn survey(
    style: &Style,
    ready: &Ready,
    values: &Values,
    index: usize,
    shown: &Shown<'_>,
) -> String {
    let circuit = &ready.model.circuits[index];
    let runs = circuit.runs.len();
    let mut walk = Walk { circuit, shown, rows: Vec::new(), done: vec![false; runs] };
    walk.all();
    let mut table = Table::new(&[
        "<after",
        "<before",
        "height",
        "bore",
        "velocity",
        "total,\ngauge",
        "static,\ngauge",
        "coolant",
        "vapour,\nabs",
        "margin",
        "<",
    ]);
    let margins = || walk.rows.iter().map(|row| row.as_ref().map_or(f64::INFINITY, |r| r.margin));
    let least = margins().fold(f64::INFINITY, f64::min);
    let lowest = margins().position(|margin| margin <= least + SAME_PA);
    for (k, row) in walk.rows.iter().enumerate() {
        table.row(row.as_ref().map_or_else(blank, |row| row.cells(style, lowest == Some(k))));
    }
    let air = shown.at("site", "air_pressure");
    let mut out = format!(
        "\nPRESSURE SURVEY of `{}` in the order of flow; air of the site {air}\n",
        circuit.name
    );
    out.push_str(&table.render());
    out.push_str(&wrapped(
        "static = total \u{2212} \u{bd}\u{3c1}v\u{b2}; margin = static + air of the site \u{2212} vapour: \
         below zero it boils there.",
        2,
    ));
    out.push_str(&tank(style, ready, circuit, values, shown));
    out
}

/// A row that sets two runs apart.
fn blank() -> [String; 11] {
    std::array::from_fn(|_| String::new())
}

/// What makes the pressure in the tank at the reference, in words.
fn tank(
    style: &Style,
    ready: &Ready,
    circuit: &Circuit,
    values: &Values,
    shown: &Shown<'_>,
) -> String {
    let (Some(reference), Some(path)) = (circuit.reference, circuit.reference_path()) else {
        return String::new();
    };
    if circuit.reference_tank().is_none() {
        return String::new();
    }
    let at = format!("{}/{path}", circuit.name);
    let still = "Inside it nothing moves: its ports stand under the gas and the coolant above them. A pipe \
                 loses its whole \u{bd}\u{3c1}v\u{b2} on entering it and half of one on leaving.";
    let words = match reference.hold {
        Hold::Given(slot) => {
            let open = ready.assumptions.iter().any(|assumption| assumption.slots.contains(&slot));
            format!(
                "`{path}`: {} over the surface, {}. {still}",
                shown.at(&at, "gas_pressure"),
                if open { "without a cap, so open to the air" } else { "as the case gives it" }
            )
        }
        Hold::Cushion(cushion) => {
            format!(
                "{} {still}",
                cushion_words(style, circuit, &cushion, (&path, &at), values, shown)
            )
        }
    };
    wrapped(&words, 2)
}

/// The gas under a cap: how it was shut in, and what has become of it.
fn cushion_words(
    style: &Style,
    circuit: &Circuit,
    cushion: &Cushion,
    (path, at): (&str, &str),
    values: &Values,
    shown: &Shown<'_>,
) -> String {
    let get = |slot| values.get(slot);
    let gauge = |slot| style.quantity(Kind::GaugePressure, get(slot));
    let cap = match shown.value(at, "cap") {
        Some(1.0) => "CAP OPEN",
        Some(-1.0) => "cap lets air in",
        _ => "cap shut",
    };
    let share = Share::ByVolume(get(circuit.coolant.share));
    let vapour = Coolant::new(circuit.coolant.base, share).map_or_else(
        |_| "-".to_owned(),
        |c| style.quantity(Kind::AbsolutePressure, c.vapour_pressure(get(cushion.filled_at))),
    );
    let air = circuit.reference_tank().map_or(0.0, |room| get(room.air));
    let mut words = format!(
        "`{path}`: {} of gas over the surface, {cap} (it opens at {} and lets air in at {} below the \
         air). Filled at {} and {} with {} of air over {} of coolant in all (vapour pressure {vapour}). \
         Since then the coolant has grown by {} and the hoses by {}, which leaves {} of gas at the \
         tank\u{2019}s temperature",
        shown.at(at, "gas_pressure"),
        gauge(cushion.opens),
        style.quantity(Kind::PressureDifference, get(cushion.vacuum)),
        style.quantity(Kind::Temperature, get(cushion.filled_at)),
        gauge(cushion.fill_pressure),
        style.quantity(Kind::Volume, air),
        shown.at(&circuit.name, "coolant"),
        shown.at(at, "expansion"),
        shown.at(at, "swelling"),
        shown.at(at, "gas_volume"),
    );
    words.push_str(match shown.value(at, "cap") {
        Some(0.0) => {
            ": (static + air of the site \u{2212} vapour) \u{b7} volume / absolute temperature is as when \
             filled."
        }
        Some(1.0) => ": shut in, it would stand above the cap, so gas has gone out",
        _ => ": shut in, it would stand below the cap\u{2019}s vacuum, so air has come in.",
    });
    if shown.value(at, "cap") == Some(1.0) {
        match shown.value(at, "lost") {
            Some(lost) if lost > 0.0 => words.push_str(&format!(
                ", and {} of coolant with it.",
                style.quantity(Kind::Volume, lost)
            )),
            _ => words.push('.'),
        }
    }
    words
}

/// A point of the survey.
struct Row {
    after: String,
    before: String,
    height: f64,
    /// None inside a tank.
    bore: Option<f64>,
    velocity: f64,
    total: f64,
    of_bore: f64,
    coolant: f64,
    vapour: f64,
    margin: f64,
    pump_inlet: bool,
}

impl Row {
    fn cells(&self, style: &Style, lowest: bool) -> [String; 11] {
        let mark = match (self.pump_inlet, lowest) {
            (true, true) => "pump inlet, LOWEST",
            (true, false) => "pump inlet",
            (false, true) => "LOWEST",
            (false, false) => "",
        };
        let pressure = |value| style.quantity(Kind::PressureDifference, value);
        let dash = || "-".to_owned();
        [
            self.after.clone(),
            self.before.clone(),
            // Heights that add up to nothing are nothing.
            style.quantity(Kind::Distance, (self.height * 1e4).round() / 1e4),
            self.bore.map_or_else(dash, |bore| style.quantity(Kind::Length, bore)),
            self.bore.map_or_else(dash, |_| style.quantity(Kind::Velocity, self.velocity.abs())),
            pressure(self.total),
            pressure(self.of_bore),
            style.quantity(Kind::Temperature, self.coolant),
            pressure(self.vapour),
            pressure(self.margin),
            mark.to_owned(),
        ]
    }
}

/// Collects the points of a circuit in the order of flow.
struct Walk<'a> {
    circuit: &'a Circuit,
    shown: &'a Shown<'a>,
    /// `None` sets two runs apart.
    rows: Vec<Option<Row>>,
    done: Vec<bool>,
}

impl Walk<'_> {
    /// From the reference along the flow; what the flow does not reach from there comes last.
    fn all(&mut self) {
        match self.circuit.reference.map(|reference| reference.at) {
            Some(ReferencePoint::Part(run, part)) => self.around(run, part),
            Some(ReferencePoint::Junction(junction)) => {
                let name = &self.circuit.junctions[junction].name;
                self.tank_rows(&format!("{}/{name}", self.circuit.name), "temperature", "vapour");
                self.follow(junction);
            }
            None => self.follow(0),
        }
        while let Some(run) = self.done.iter().position(|done| !done) {
            self.follow(self.ends(run).0);
        }
        while self.rows.last().is_some_and(Option::is_none) {
            self.rows.pop();
        }
        while self.rows.first().is_some_and(Option::is_none) {
            self.rows.remove(0);
        }
    }

    /// From a part of a run around to it again: what is behind it first, what leads to it last.
    fn around(&mut self, run: usize, part: usize) {
        let spec = &self.circuit.runs[run];
        let (count, forward) = (spec.parts.len(), self.flow(run) >= 0.0);
        let path = format!("{}/{}/{}", self.circuit.name, spec.path, spec.parts[part].name);
        let vapour = if forward { "vapour_out" } else { "vapour_in" };
        let tank = self.tank_rows(&path, "out", vapour);
        self.done[run] = true;
        // The points next to a tank differ, those on both sides of another reference do not.
        let (head, tail) = ((0, part), (if tank { part + 1 } else { part }, count));
        let (mut first, mut last) = if forward { (tail, head) } else { (head, tail) };
        if self.is_plain_loop() {
            // The two ends are one point, and its row names the parts on both sides.
            if !forward {
                first.0 += 1;
            } else if last.0 < last.1 {
                first.1 -= 1;
            } else {
                last = (1, 0);
            }
        }
        self.points(run, first);
        let (_, end) = self.ends(run);
        self.follow(end);
        if self.circuit.runs.len() > 1 {
            self.rows.push(None);
        }
        if tank || last.0 < last.1 {
            self.points(run, last);
        }
    }

    /// All runs that flow on from a junction, and from those that they lead to.
    fn follow(&mut self, from: usize) {
        let mut open = vec![from];
        let mut next = 0;
        let mut apart = true;
        while next < open.len() {
            let junction = open[next];
            next += 1;
            for run in 0..self.circuit.runs.len() {
                let (start, end) = self.ends(run);
                if self.done[run] || start != junction {
                    continue;
                }
                self.done[run] = true;
                let count = self.circuit.runs[run].parts.len();
                if count > 0 {
                    // Short ones stand together.
                    let long = count > 2 && !self.is_piece(run);
                    if long || std::mem::replace(&mut apart, long) {
                        self.rows.push(None);
                    }
                    self.points(run, (0, count));
                }
                open.push(end);
            }
        }
    }

    /// Whether the circuit is one run that closes on itself.
    fn is_plain_loop(&self) -> bool {
        self.circuit.runs.len() == 1 && self.circuit.runs[0].from == self.circuit.runs[0].to
    }

    fn flow(&self, run: usize) -> f64 {
        let path = format!("{}/{}", self.circuit.name, self.circuit.runs[run].name);
        let flow = self.shown.value(&path, "mass_flow").unwrap_or(0.0);
        if flow.abs() < STILL { 0.0 } else { flow }
    }

    /// The junctions that a run flows away from and to.
    fn ends(&self, run: usize) -> (usize, usize) {
        let spec = &self.circuit.runs[run];
        if self.flow(run) >= 0.0 { (spec.from, spec.to) } else { (spec.to, spec.from) }
    }

    /// Whether a run is a piece of a header: a short length between two of its ports.
    fn is_piece(&self, run: usize) -> bool {
        let run = &self.circuit.runs[run];
        run.automatic && run.parts.iter().all(|placed| placed.automatic)
    }

    /// The two rows of the tank at the reference: its surface, and still coolant at its ports. False
    /// where there is no tank.
    fn tank_rows(&mut self, path: &str, coolant: &str, vapour: &str) -> bool {
        let of = |name: &str| self.shown.value(path, name);
        let (Some(gas), Some(inside)) = (of("gas_pressure"), of("ports_pressure")) else {
            return false;
        };
        let ambient = self.shown.value("site", "air_pressure").unwrap_or(f64::NAN);
        let number = |name| of(name).unwrap_or(f64::NAN);
        let (level, coolant, vapour) = (number("level"), number(coolant), number(vapour));
        let name = path.rsplit('/').next().unwrap_or(path);
        for (place, height, gauge) in [("surface", level, gas), ("ports", 0.0, inside)] {
            self.rows.push(Some(Row {
                after: name.to_owned(),
                before: format!("({place})"),
                height,
                bore: None,
                velocity: 0.0,
                total: gauge,
                of_bore: gauge,
                coolant,
                vapour,
                margin: gauge + ambient - vapour,
                pump_inlet: false,
            }));
        }
        true
    }

    /// Points of a run from one to another of its points, in the order of flow.
    fn points(&mut self, run: usize, (first, last): (usize, usize)) {
        let mut order: Vec<usize> = (first..=last).collect();
        if self.is_piece(run) {
            order.truncate(1);
        }
        if self.flow(run) < 0.0 {
            order.reverse();
        }
        for k in order {
            // The bore change before it does nothing.
            if k == 0 || k == first || !self.is_nothing(&self.circuit.runs[run], k - 1) {
                let row = self.point(run, k);
                self.rows.push(Some(row));
            }
        }
    }

    /// Whether a part stands there by itself and does nothing.
    fn is_nothing(&self, run: &Run, part: usize) -> bool {
        let placed = &run.parts[part];
        let path = format!("{}/{}/{}", self.circuit.name, run.path, placed.name);
        let fall = self.shown.value(&path, "fall").unwrap_or(0.0);
        placed.automatic && fall.abs() < LEAST_FALL
    }

    /// One point of a run.
    fn point(&self, run: usize, k: usize) -> Row {
        let spec = &self.circuit.runs[run];
        let several = self.circuit.runs.iter().filter(|run| !run.automatic).count() > 1;
        let name = |part: usize| {
            let name = &spec.parts[part].name;
            if several { format!("{}/{name}", spec.path) } else { name.clone() }
        };
        let junction = |index: usize| self.circuit.junctions[index].name.clone();
        let something = |part: &usize| self.is_piece(run) || !self.is_nothing(spec, *part);
        let upstream = (0..k).rev().find(something);
        let downstream = (k..spec.parts.len()).find(something);
        let piece = self.is_piece(run);
        let (mut upstream, mut downstream) =
            (upstream.filter(|_| !piece), downstream.filter(|_| !piece));
        if self.is_plain_loop() {
            upstream = upstream.or_else(|| (0..spec.parts.len()).rev().find(something));
            downstream = downstream.or_else(|| (0..spec.parts.len()).find(something));
        }
        let mut after = upstream.map_or_else(|| junction(spec.from), name);
        let mut before = downstream.map_or_else(|| junction(spec.to), name);
        let mut next = downstream;
        if self.flow(run) < 0.0 {
            std::mem::swap(&mut after, &mut before);
            next = upstream;
        }
        let (part, end) = if k < spec.parts.len() { (k, "in") } else { (k - 1, "out") };
        let path = format!("{}/{}/{}", self.circuit.name, spec.path, spec.parts[part].name);
        let of = |name: &str| self.shown.value(&path, &format!("{name}_{end}")).unwrap_or(f64::NAN);
        Row {
            after,
            before,
            height: of("height"),
            bore: Some(of("bore")),
            velocity: of("velocity"),
            total: of("total"),
            of_bore: of("pressure"),
            coolant: of("coolant"),
            vapour: of("vapour"),
            margin: of("margin"),
            pump_inlet: next.is_some_and(|next| spec.parts[next].part.as_pump().is_some()),
        }
    }
}
