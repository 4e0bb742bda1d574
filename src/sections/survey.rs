//! The pressure survey: the pressure along every way the coolant takes, against its vapour pressure.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Circuit, Cushion, Hold, Placed, ReferencePoint, Run, made};
use coolwright_models::ids::Id;
use coolwright_models::results::Quantity;
use coolwright_models::results::quantities as q;

use super::Scene;
use super::circuit::{LEAST_FALL, is_piece};
use crate::answer::{Cell, Lay, Section, Sentence, Table, Value};
use crate::say;

/// Margins as near as this are the same, Pa: the first of them is marked.
const SAME_PA: f64 = 0.5;
/// Below this mass flow nothing flows, kg/s.
const STILL: f64 = 1e-9;

/// The survey of a circuit, beginning in its tank or wherever else its pressure is known.
pub fn survey(scene: &Scene<'_>, c: usize) -> Section {
    let circuit = scene.circuit(c);
    let done = vec![false; circuit.runs.len()];
    let mut walk = Walk { scene, c, circuit, rows: Vec::new(), done };
    walk.all();
    let mut table = Table::new()
        .words("after", "after")
        .words("before", "before")
        .numbers("height", "height", Kind::Distance)
        .numbers("bore", "bore", Kind::Length)
        .numbers("velocity", "velocity", Kind::Velocity)
        .numbers("total", "total,\ngauge", Kind::PressureDifference)
        .numbers("static", "static,\ngauge", Kind::PressureDifference)
        .numbers("coolant", "coolant", Kind::Temperature)
        .numbers("vapour", "vapour,\nabs", Kind::PressureDifference)
        .numbers("margin", "margin", Kind::PressureDifference)
        .words("mark", "");
    let margins = || walk.rows.iter().map(|row| row.as_ref().map_or(f64::INFINITY, |r| r.margin));
    let least = margins().fold(f64::INFINITY, f64::min);
    let lowest = margins().position(|margin| margin <= least + SAME_PA);
    for (k, row) in walk.rows.iter().enumerate() {
        match row {
            Some(row) => table.row(scene.address(row.of), row.cells(lowest == Some(k))),
            None => table.gap(),
        }
    }
    let vacuum = walk.rows.iter().flatten().any(|row| row.below_vacuum);
    let title = say!(
        "PRESSURE SURVEY of `{circuit}` in the order of flow; air of the site {air}",
        circuit = &circuit.name,
        air = scene.at(Id::Site, &q::AMBIENT),
    );
    let section = Section::new("survey", title).of(&circuit.name).table(table).say(
        "static = total \u{2212} \u{bd}\u{3c1}v\u{b2}; margin = static + air of the site \u{2212} vapour: \
         below zero it boils there.",
        Lay::Paragraph,
    );
    let section = if vacuum {
        section.say(
            "Where no pressure stands it would be below a perfect vacuum: these flows cannot be.",
            Lay::Paragraph,
        )
    } else {
        section
    };
    match tank(scene, c) {
        Some(tank) => section.say(tank, Lay::Paragraph),
        None => section,
    }
}

/// The thing at whose place the pressure of a circuit is known.
fn reference(c: usize, circuit: &Circuit) -> Option<Id> {
    Some(match circuit.reference?.at {
        ReferencePoint::Part(run, part) => Id::Part(c, run, part),
        ReferencePoint::Junction(junction) => Id::Junction(c, junction),
    })
}

/// What makes the pressure in the tank at the reference, in words.
fn tank(scene: &Scene<'_>, c: usize) -> Option<Sentence> {
    let circuit = scene.circuit(c);
    let (held, path) = (circuit.reference?, circuit.reference_path()?);
    let id = reference(c, circuit)?;
    circuit.reference_tank()?;
    let still = "Inside it nothing moves: its ports stand under the gas and the coolant above them. A pipe \
                 loses its whole \u{bd}\u{3c1}v\u{b2} on entering it and half of one on leaving.";
    Some(match held.hold {
        Hold::Given(slot) => {
            let assumptions = &scene.ready.assumptions;
            let open = assumptions.iter().any(|assumption| assumption.slots.contains(&slot));
            say!(
                "`{tank}`: {pressure} over the surface, {why}. {still}",
                tank = path,
                pressure = scene.at(id, &q::GAS_PRESSURE),
                why =
                    if open { "without a cap, so open to the air" } else { "as the case gives it" },
                still = still,
            )
        }
        Hold::Cushion(cushion) => {
            let cushion = cushion_words(scene, c, &cushion, (&path, id));
            say!("{cushion} {still}", cushion = cushion, still = still)
        }
    })
}

/// The gas under a cap: how it was shut in, and what has become of it.
fn cushion_words(
    scene: &Scene<'_>,
    c: usize,
    cushion: &Cushion,
    (path, id): (&str, Id),
) -> Sentence {
    let get = |slot| scene.values.get(slot);
    let vapour = scene.coolant(c).map(|coolant| {
        Value::of(Kind::AbsolutePressure, coolant.vapour_pressure(get(cushion.filled_at)))
    });
    let air = scene.circuit(c).reference_tank().map_or(0.0, |room| get(room.air));
    let Some(cap) = scene.of(id, &q::CAP).filter(|_| scene.of(id, &q::GAS_VOLUME).is_some()) else {
        return say!("`{tank}`: what is in it has no steady state.", tank = path);
    };
    let since = match cap {
        0.0 => Sentence::from(
            ": (static + air of the site \u{2212} vapour) \u{b7} volume / absolute temperature is as when \
             filled.",
        ),
        1.0 => match scene.of(id, &q::LOST) {
            Some(lost) if lost > 0.0 => say!(
                ": shut in, it would stand above the cap, so gas has gone out, and {lost} of coolant with it.",
                lost = Value::of(Kind::Volume, lost)
            ),
            _ => ": shut in, it would stand above the cap, so gas has gone out.".into(),
        },
        _ => ": shut in, it would stand below the cap\u{2019}s vacuum, so air has come in.".into(),
    };
    say!(
        "`{tank}`: {pressure} of gas over the surface, {cap} (it opens at {opens} and lets air in at {vacuum} below the \
         air). Filled at {filled_at} and {filled} with {air} of air over {coolant} of coolant in all (vapour pressure {vapour}). \
         Since then the coolant has grown by {expansion} and the hoses by {swelling}, which leaves {gas} of gas at the \
         tank\u{2019}s temperature{since}",
        tank = path,
        pressure = scene.at(id, &q::GAS_PRESSURE),
        cap = match cap {
            1.0 => "CAP OPEN",
            -1.0 => "cap lets air in",
            _ => "cap shut",
        },
        opens = Value::of(Kind::GaugePressure, get(cushion.opens)),
        vacuum = Value::of(Kind::PressureDifference, get(cushion.vacuum)),
        filled_at = Value::of(Kind::Temperature, get(cushion.filled_at)),
        filled = Value::of(Kind::GaugePressure, get(cushion.fill_pressure)),
        air = Value::of(Kind::Volume, air),
        coolant = scene.at(Id::Circuit(c), &q::COOLANT_VOLUME),
        vapour = vapour,
        expansion = scene.at(id, &q::EXPANSION),
        swelling = scene.at(id, &q::SWELLING),
        gas = scene.at(id, &q::GAS_VOLUME),
        since = since,
    )
}

/// A point of the survey.
struct Point {
    /// The part, tank or junction that it is read at.
    of: Id,
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
    /// Whether its pressure would be below a perfect vacuum.
    below_vacuum: bool,
}

impl Point {
    fn cells(&self, lowest: bool) -> [Cell; 11] {
        let mark = match (self.pump_inlet, lowest) {
            (true, true) => "pump inlet, LOWEST",
            (true, false) => "pump inlet",
            (false, true) => "LOWEST",
            (false, false) => "",
        };
        // Where nothing is steady there are no temperatures, and no margins either.
        let known = |kind, si: f64| Cell::from((!si.is_nan()).then(|| Value::of(kind, si)));
        let pressure = |pa| known(Kind::PressureDifference, pa);
        let velocity = self.bore.map(|_| Value::of(Kind::Velocity, self.velocity.abs()));
        [
            (&self.after).into(),
            (&self.before).into(),
            // Heights that add up to nothing are nothing.
            Value::of(Kind::Distance, (self.height * 1e4).round() / 1e4).into(),
            self.bore.map(|bore| Value::of(Kind::Length, bore)).into(),
            velocity.into(),
            pressure(self.total),
            pressure(self.of_bore),
            known(Kind::Temperature, self.coolant),
            pressure(self.vapour),
            pressure(self.margin),
            mark.into(),
        ]
    }
}

/// The quantities of a point at one end of a part.
struct End {
    height: &'static Quantity,
    bore: &'static Quantity,
    velocity: &'static Quantity,
    total: &'static Quantity,
    of_bore: &'static Quantity,
    coolant: &'static Quantity,
    vapour: &'static Quantity,
    margin: &'static Quantity,
}

static INLET: End = End {
    height: &q::HEIGHT_IN,
    bore: &q::BORE_IN,
    velocity: &q::VELOCITY_IN,
    total: &q::TOTAL_IN,
    of_bore: &q::PRESSURE_IN,
    coolant: &q::COOLANT_IN,
    vapour: &q::VAPOUR_IN,
    margin: &q::MARGIN_IN,
};

static OUTLET: End = End {
    height: &q::HEIGHT_OUT,
    bore: &q::BORE_OUT,
    velocity: &q::VELOCITY_OUT,
    total: &q::TOTAL_OUT,
    of_bore: &q::PRESSURE_OUT,
    coolant: &q::COOLANT_OUT,
    vapour: &q::VAPOUR_OUT,
    margin: &q::MARGIN_OUT,
};

/// Collects the points of a circuit in the order of flow.
struct Walk<'a> {
    scene: &'a Scene<'a>,
    c: usize,
    circuit: &'a Circuit,
    /// `None` sets two runs apart.
    rows: Vec<Option<Point>>,
    done: Vec<bool>,
}

impl Walk<'_> {
    /// From the reference along the flow; what the flow does not reach from there comes last.
    fn all(&mut self) {
        match self.circuit.reference.map(|reference| reference.at) {
            Some(ReferencePoint::Part(run, part)) => self.around(run, part),
            Some(ReferencePoint::Junction(junction)) => {
                let (coolant, vapour) = (&q::JUNCTION_TEMPERATURE, &q::JUNCTION_VAPOUR);
                let name = made::plain(&self.circuit.junctions[junction].name);
                self.tank_rows(Id::Junction(self.c, junction), &name, coolant, vapour);
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
        let vapour = if forward { &q::VAPOUR_OUT } else { &q::VAPOUR_IN };
        let name = spec.parts[part].name.clone();
        let tank = self.tank_rows(Id::Part(self.c, run, part), &name, &q::TEMPERATURE_OUT, vapour);
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
                let spec = &self.circuit.runs[run];
                let count = spec.parts.len();
                if count > 0 {
                    // Short ones stand together.
                    let long = count > 2 && !is_piece(spec);
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
        let flow = self.scene.of(Id::Run(self.c, run), &q::MASS_FLOW).unwrap_or(0.0);
        if flow.abs() < STILL { 0.0 } else { flow }
    }

    /// The junctions that a run flows away from and to.
    fn ends(&self, run: usize) -> (usize, usize) {
        let spec = &self.circuit.runs[run];
        if self.flow(run) >= 0.0 { (spec.from, spec.to) } else { (spec.to, spec.from) }
    }

    /// The two rows of the tank at the reference: its surface, and still coolant at its ports. False
    /// where there is no tank.
    fn tank_rows(
        &mut self,
        id: Id,
        name: &str,
        coolant: &'static Quantity,
        vapour: &'static Quantity,
    ) -> bool {
        let of = |quantity| self.scene.of(id, quantity);
        let (Some(gas), Some(inside)) = (of(&q::GAS_PRESSURE), of(&q::PORTS_PRESSURE)) else {
            return false;
        };
        let ambient = self.scene.of(Id::Site, &q::AMBIENT).unwrap_or(f64::NAN);
        let number = |quantity| of(quantity).unwrap_or(f64::NAN);
        let (level, coolant, vapour) = (number(&q::LEVEL), number(coolant), number(vapour));
        for (place, height, gauge) in [("(surface)", level, gas), ("(ports)", 0.0, inside)] {
            self.rows.push(Some(Point {
                of: id,
                after: name.to_owned(),
                before: place.to_owned(),
                height,
                bore: None,
                velocity: 0.0,
                total: gauge,
                of_bore: gauge,
                coolant,
                vapour,
                margin: gauge + ambient - vapour,
                pump_inlet: false,
                below_vacuum: false,
            }));
        }
        true
    }

    /// Points of a run from one to another of its points, in the order of flow.
    fn points(&mut self, run: usize, (first, last): (usize, usize)) {
        let mut order: Vec<usize> = (first..=last).collect();
        if is_piece(&self.circuit.runs[run]) {
            order.truncate(1);
        }
        if self.flow(run) < 0.0 {
            order.reverse();
        }
        for k in order {
            // The bore change before it does nothing.
            if k == 0 || k == first || !self.is_nothing(run, k - 1) {
                let row = self.point(run, k);
                self.rows.push(Some(row));
            }
        }
    }

    /// Whether a part stands there by itself and does nothing.
    fn is_nothing(&self, run: usize, part: usize) -> bool {
        let placed = &self.circuit.runs[run].parts[part];
        let fall = self.scene.of(Id::Part(self.c, run, part), &q::FALL).unwrap_or(0.0);
        placed.automatic && fall.abs() < LEAST_FALL
    }

    /// The parts on both sides of a point of a run, as far as they do something.
    fn neighbours(&self, run: usize, k: usize) -> [Option<usize>; 2] {
        let spec = &self.circuit.runs[run];
        if is_piece(spec) {
            return [None, None];
        }
        let count = spec.parts.len();
        let something = |part: &usize| !self.is_nothing(run, *part);
        let upstream = (0..k).rev().find(something);
        let downstream = (k..count).find(something);
        if self.is_plain_loop() {
            return [
                upstream.or_else(|| (0..count).rev().find(something)),
                downstream.or_else(|| (0..count).find(something)),
            ];
        }
        [upstream, downstream]
    }

    /// One point of a run.
    fn point(&self, run: usize, k: usize) -> Point {
        let spec: &Run = &self.circuit.runs[run];
        let several = self.circuit.runs.iter().filter(|run| !run.automatic).count() > 1;
        let name = |part: usize| {
            let Placed { name, automatic, .. } = &spec.parts[part];
            let name = if several { format!("{}/{name}", spec.path) } else { name.clone() };
            if *automatic { made::plain(&name) } else { name }
        };
        let junction = |index: usize| made::plain(&self.circuit.junctions[index].name);
        let [upstream, downstream] = self.neighbours(run, k);
        let mut after = upstream.map_or_else(|| junction(spec.from), name);
        let mut before = downstream.map_or_else(|| junction(spec.to), name);
        let mut next = downstream;
        if self.flow(run) < 0.0 {
            std::mem::swap(&mut after, &mut before);
            next = upstream;
        }
        let (part, end) = if k < spec.parts.len() { (k, &INLET) } else { (k - 1, &OUTLET) };
        let id = Id::Part(self.c, run, part);
        let of = |quantity| self.scene.of(id, quantity).unwrap_or(f64::NAN);
        let solved = self.scene.results.of(id, end.of_bore).is_some_and(f64::is_finite);
        Point {
            below_vacuum: solved && self.scene.of(id, end.of_bore).is_none(),
            of: id,
            after,
            before,
            height: of(end.height),
            bore: Some(of(end.bore)),
            velocity: of(end.velocity),
            total: of(end.total),
            of_bore: of(end.of_bore),
            coolant: of(end.coolant),
            vapour: of(end.vapour),
            margin: of(end.margin),
            pump_inlet: next.is_some_and(|next| spec.parts[next].part.as_pump().is_some()),
        }
    }
}
