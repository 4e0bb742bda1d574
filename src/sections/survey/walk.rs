//! The way of a hand along the hoses of a circuit, and the points that it comes to.

use coolwright_cases::quantity::Kind;
use coolwright_models::circuit::{Circuit, Placed, ReferencePoint, Run, made};
use coolwright_models::ids::Id;
use coolwright_models::results::Quantity;
use coolwright_models::results::quantities as q;

use super::super::Scene;
use super::super::circuit::{LEAST_FALL, is_piece};
use crate::answer::{Cell, Value};

/// Below this mass flow nothing flows, kg/s.
const STILL: f64 = 1e-9;

/// A point of the survey.
pub(super) struct Point {
    /// The part, tank or junction that it is read at.
    pub(super) of: Id,
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
    pub(super) margin: f64,
    pump_inlet: bool,
    /// Whether its pressure would be below a perfect vacuum.
    pub(super) below_vacuum: bool,
}

impl Point {
    pub(super) fn cells(&self, lowest: bool) -> [Cell; 11] {
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

/// The runs of a circuit as the coolant goes through them.
struct Ways {
    /// Mass flow of each run, kg/s; zero where nothing flows.
    flow: Vec<f64>,
    /// The junctions that each run flows away from and to.
    ends: Vec<(usize, usize)>,
    /// Runs that flow away from each junction.
    out: Vec<Vec<usize>>,
    /// Runs that flow into each junction.
    into: Vec<Vec<usize>>,
    /// Whether the file tells several runs.
    several: bool,
}

impl Ways {
    fn of(scene: &Scene<'_>, c: usize) -> Self {
        let circuit = scene.circuit(c);
        let flow = |run: usize| {
            let flow = scene.of(Id::Run(c, run), &q::MASS_FLOW).unwrap_or(0.0);
            if flow.abs() < STILL { 0.0 } else { flow }
        };
        let flow: Vec<f64> = (0..circuit.runs.len()).map(flow).collect();
        let ends = |(run, flow): (&Run, &f64)| {
            if *flow >= 0.0 { (run.from, run.to) } else { (run.to, run.from) }
        };
        let ends: Vec<(usize, usize)> = circuit.runs.iter().zip(&flow).map(ends).collect();
        let mut out = vec![Vec::new(); circuit.junctions.len()];
        let mut into = out.clone();
        for (run, (from, to)) in ends.iter().enumerate() {
            out[*from].push(run);
            into[*to].push(run);
        }
        let several = circuit.runs.iter().filter(|run| !run.automatic).count() > 1;
        Self { flow, ends, out, into, several }
    }
}

/// Collects the points of a circuit as a hand follows its hoses: from a pump along the flow, one branch after
/// another, beyond a junction once all that flows into it has been followed, round to the pump.
pub(super) struct Walk<'a> {
    scene: &'a Scene<'a>,
    c: usize,
    circuit: &'a Circuit,
    ways: Ways,
    /// `None` sets two runs apart.
    pub(super) rows: Vec<Option<Point>>,
    /// Runs that have been followed.
    done: Vec<bool>,
    /// Junctions that have been left.
    left: Vec<bool>,
    /// Where the walk begins within a run: what leads there comes last.
    cut: Option<(usize, usize)>,
    /// Whether the last run that was followed is a long one: they are set apart.
    long: bool,
    /// Whether the rows of the tank are there.
    tank: bool,
}

/// What is followed next.
enum Next {
    Run(usize),
    /// The tank at a junction.
    Tank(usize),
}

impl<'a> Walk<'a> {
    pub(super) fn new(scene: &'a Scene<'a>, c: usize) -> Self {
        let circuit = scene.circuit(c);
        Self {
            scene,
            c,
            circuit,
            ways: Ways::of(scene, c),
            rows: Vec::new(),
            done: vec![false; circuit.runs.len()],
            left: vec![false; circuit.junctions.len()],
            cut: None,
            long: false,
            tank: false,
        }
    }

    pub(super) fn all(&mut self) {
        let reference = self.circuit.reference.map(|reference| reference.at);
        match (self.first_pump(), reference) {
            (Some((run, part)), _) => {
                let (start, _) = self.ends(run);
                if self.ways.out[start].len() > 1 {
                    self.follow(start);
                } else {
                    self.begin(run, if self.flow(run) >= 0.0 { part } else { part + 1 });
                }
            }
            (None, Some(ReferencePoint::Part(run, part))) => {
                self.tank_of_part(run, part);
                self.begin(run, if self.flow(run) >= 0.0 { part + 1 } else { part });
            }
            (None, Some(ReferencePoint::Junction(junction))) => self.follow(junction),
            (None, None) => self.follow(0),
        }
        while let Some(junction) = self.next_start() {
            self.follow(junction);
        }
        if let (false, Some(ReferencePoint::Part(run, part))) = (self.tank, reference) {
            self.tank_of_part(run, part);
        }
        while self.rows.last().is_some_and(Option::is_none) {
            self.rows.pop();
        }
        while self.rows.first().is_some_and(Option::is_none) {
            self.rows.remove(0);
        }
    }

    /// The first pump along the flow from where the pressure is known: run and part.
    fn first_pump(&self) -> Option<(usize, usize)> {
        let pump = |run: usize, parts: &mut dyn Iterator<Item = usize>| {
            let parts: Vec<usize> = parts.collect();
            let is_pump =
                |part: &&usize| self.circuit.runs[run].parts[**part].part.as_pump().is_some();
            let first = if self.flow(run) >= 0.0 {
                parts.iter().find(is_pump)
            } else {
                parts.iter().rev().find(is_pump)
            };
            first.map(|part| (run, *part))
        };
        let whole = |run: usize| pump(run, &mut (0..self.circuit.runs[run].parts.len()));
        let mut open = match self.circuit.reference?.at {
            ReferencePoint::Part(run, part) => {
                let count = self.circuit.runs[run].parts.len();
                let beyond = if self.flow(run) >= 0.0 { part + 1..count } else { 0..part };
                if let Some(found) = pump(run, &mut beyond.into_iter()) {
                    return Some(found);
                }
                vec![self.ends(run).1]
            }
            ReferencePoint::Junction(junction) => vec![junction],
        };
        let mut seen = vec![false; self.circuit.junctions.len()];
        seen[open[0]] = true;
        let mut next = 0;
        while next < open.len() {
            for &run in &self.ways.out[open[next]] {
                if let Some(found) = whole(run) {
                    return Some(found);
                }
                let end = self.ends(run).1;
                if !std::mem::replace(&mut seen[end], true) {
                    open.push(end);
                }
            }
            next += 1;
        }
        (0..self.circuit.runs.len()).find_map(whole)
    }

    /// Begins at a point of a run.
    fn begin(&mut self, run: usize, point: usize) {
        let count = self.circuit.runs[run].parts.len();
        let forward = self.flow(run) >= 0.0;
        if self.is_plain_loop() {
            // Its two ends are one point, whose row names the parts on both sides.
            let order: Vec<usize> = match (forward, point) {
                (true, 0) => (0..count).collect(),
                (true, point) => (point..=count).chain(1..point).collect(),
                (false, point) if point == count => (1..=count).rev().collect(),
                (false, point) => (0..=point).rev().chain((point + 1..count).rev()).collect(),
            };
            self.done[run] = true;
            self.points(run, &order);
            return;
        }
        let order: Vec<usize> =
            if forward { (point..=count).collect() } else { (0..=point).rev().collect() };
        self.cut = Some((run, point));
        self.points(run, &order);
        self.long = true;
        let end = self.ends(run).1;
        self.arrive(end);
    }

    /// The points of a run that lead to where the walk began in it; all of them where it did not.
    fn order(&self, run: usize) -> Vec<usize> {
        let count = self.circuit.runs[run].parts.len();
        match (self.cut, self.flow(run) >= 0.0) {
            (Some((cut, point)), true) if cut == run => (0..point).collect(),
            (Some((cut, point)), false) if cut == run => (point + 1..=count).rev().collect(),
            (_, true) => (0..=count).collect(),
            (_, false) => (0..=count).rev().collect(),
        }
    }

    /// Goes on from a junction if nothing that flows into it is left to be followed.
    fn arrive(&mut self, junction: usize) {
        if !self.is_open(junction) {
            self.follow(junction);
        }
    }

    /// Whether something flows into a junction that has not been followed.
    fn is_open(&self, junction: usize) -> bool {
        let began = |run: usize| self.cut.is_some_and(|(cut, _)| cut == run);
        self.ways.into[junction].iter().any(|&run| !self.done[run] && !began(run))
    }

    /// Follows all that flows from a junction, as far as that goes.
    fn follow(&mut self, junction: usize) {
        let mut open = self.leave(junction);
        while let Some(next) = open.pop() {
            let run = match next {
                Next::Tank(junction) => {
                    self.tank_of_junction(junction);
                    continue;
                }
                Next::Run(run) => run,
            };
            if std::mem::replace(&mut self.done[run], true) {
                continue;
            }
            let spec = &self.circuit.runs[run];
            if !spec.parts.is_empty() {
                // Short ones stand together.
                let long = spec.parts.len() > 2 && !is_piece(spec);
                if (long || self.long) && self.rows.last().is_some_and(Option::is_some) {
                    self.rows.push(None);
                }
                self.long = long;
                let order = self.order(run);
                self.points(run, &order);
            }
            let end = self.ends(run).1;
            if !self.left[end] && !self.is_open(end) {
                open.extend(self.leave(end));
            }
        }
    }

    /// What flows from a junction, the first last.
    fn leave(&mut self, junction: usize) -> Vec<Next> {
        self.left[junction] = true;
        let mut next: Vec<Next> = self.ways.out[junction]
            .iter()
            .copied()
            .filter(|run| !self.done[*run])
            .map(Next::Run)
            .collect();
        next.reverse();
        let reference = self.circuit.reference.map(|reference| reference.at);
        let here = matches!(reference, Some(ReferencePoint::Junction(at)) if at == junction);
        next.extend(here.then_some(Next::Tank(junction)));
        next
    }

    /// Where to go on when the flow from the pump has been followed as far as it goes: where nothing is missing
    /// that flows in, else where something has been followed to, else anywhere.
    fn next_start(&self) -> Option<usize> {
        let starts = || (0..self.done.len()).filter(|&run| !self.done[run]).map(|r| self.ends(r).0);
        let reached =
            |junction: &usize| self.ways.into[*junction].iter().any(|&run| self.done[run]);
        starts()
            .find(|junction| !self.is_open(*junction))
            .or_else(|| starts().find(reached))
            .or_else(|| starts().next())
    }

    fn tank_of_part(&mut self, run: usize, part: usize) {
        let vapour = if self.flow(run) >= 0.0 { &q::VAPOUR_OUT } else { &q::VAPOUR_IN };
        let name = made::plain(&self.circuit.runs[run].parts[part].name);
        self.tank = true;
        self.tank_rows(Id::Part(self.c, run, part), &name, &q::TEMPERATURE_OUT, vapour);
    }

    fn tank_of_junction(&mut self, junction: usize) {
        let (coolant, vapour) = (&q::JUNCTION_TEMPERATURE, &q::JUNCTION_VAPOUR);
        let name = made::plain(&self.circuit.junctions[junction].name);
        self.tank_rows(Id::Junction(self.c, junction), &name, coolant, vapour);
    }

    /// Whether the circuit is one run that closes on itself.
    fn is_plain_loop(&self) -> bool {
        self.circuit.runs.len() == 1 && self.circuit.runs[0].from == self.circuit.runs[0].to
    }

    fn flow(&self, run: usize) -> f64 {
        self.ways.flow[run]
    }

    /// The junctions that a run flows away from and to.
    fn ends(&self, run: usize) -> (usize, usize) {
        self.ways.ends[run]
    }

    /// The two rows of the tank at the reference: its surface, and still coolant at its ports; nothing where
    /// there is no tank.
    fn tank_rows(
        &mut self,
        id: Id,
        name: &str,
        coolant: &'static Quantity,
        vapour: &'static Quantity,
    ) {
        let of = |quantity| self.scene.of(id, quantity);
        let (Some(gas), Some(inside)) = (of(&q::GAS_PRESSURE), of(&q::PORTS_PRESSURE)) else {
            return;
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
    }

    /// Points of a run, and the rows of the tank between them.
    fn points(&mut self, run: usize, order: &[usize]) {
        let piece = is_piece(&self.circuit.runs[run]);
        let order = if piece { order.get(..1).unwrap_or(order) } else { order };
        let forward = self.flow(run) >= 0.0;
        let reference = self.circuit.reference.map(|reference| reference.at);
        for (n, &k) in order.iter().enumerate() {
            // The end of a tank from which the flow leaves it.
            let leaves = |part: usize| k == if forward { part + 1 } else { part };
            if let Some(ReferencePoint::Part(of, part)) = reference
                && of == run
                && leaves(part)
                && !self.tank
                && !self.rows.is_empty()
            {
                self.tank_of_part(run, part);
            }
            // The bore change before it does nothing.
            if k == 0 || n == 0 || !self.is_nothing(run, k - 1) {
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
        let several = self.ways.several;
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
