//! A circuit on its way from the file into the model.

use std::collections::BTreeMap;

use coolwright_models::circuit::{
    Arrangement, Circuit, CoolantSpec, End, Joint, Junction, Leg, Placed, PumpGroup, Reference,
    ReferencePoint, Run,
};
use coolwright_models::fluids::{Base, Coolant, FluidError, Share};
use coolwright_models::laws::tee::TeeSet;
use coolwright_models::parts::{BoreChange, Part};
use coolwright_models::slots::Slot;

use super::context::{Assumed, BORE, Bound, Context};
use super::parts::{self, Lowered, Spot};
use super::{Names, headers, heights, mix};
use crate::diagnostic::Problem;
use crate::file::{Case, Circuit as CircuitSpec, Junction as JunctionSpec, Run as RunSpec};
use crate::file::{PartSpec, TeeFormulas};
use crate::quantity::{Flow, Kind, Temperature};
use crate::text::{Span, Spanned, nearest};

/// A circuit in the making.
pub(super) struct Draft {
    pub name: String,
    /// Its coolant.
    fluid: Coolant,
    pub runs: Vec<Run>,
    pub junctions: Vec<Junction>,
    /// Junctions by name.
    pub index: BTreeMap<String, usize>,
    /// Which model run holds the start and the end of each run of the file.
    pub ends: BTreeMap<String, [usize; 2]>,
    /// Where each junction is named: (run, end, place).
    pub uses: Vec<Vec<(String, End, Span)>>,
    groups: Vec<PumpGroup>,
    /// Tanks in order: (run, part).
    tanks: Vec<(usize, usize)>,
    /// For each model run: whether all its hoses tell their rise.
    pub rise_known: Vec<bool>,
    /// Where the name of each model run stands.
    pub run_spans: Vec<Span>,
}

/// Name of the junction of a run that closes on itself.
const LOOP: &str = "loop";

/// Lowers a circuit. `None` after a problem that leaves nothing to go on with.
pub(super) fn lower(
    context: &mut Context<'_>,
    case: &Case,
    names: &mut Names,
    (name, air_k): (&Spanned<String>, f64),
    spec: &CircuitSpec,
) -> Option<Circuit> {
    if ["engines", "coolers", "cores", "air_paths", "site", "supply", "duty"]
        .contains(&name.value.as_str())
    {
        let message = format!("a circuit cannot be called `{}`", name.value);
        context.error(name.span, message, "this word begins other addresses");
        return None;
    }
    let coolant = coolant(context, &name.value, spec);
    let start = context.or_assumed(
        &format!("{}:start", name.value),
        spec.start,
        Bound::Within(223.15, 423.15),
        Assumed {
            what: "temperature of a circuit at the start",
            value: air_k,
            range: (air_k, air_k + 50.0),
            why: "as warm as the air",
        },
    );
    let mut draft = Draft {
        name: name.value.clone(),
        fluid: super::coolant_of(&spec.coolant.value),
        runs: Vec::new(),
        junctions: Vec::new(),
        index: BTreeMap::new(),
        ends: BTreeMap::new(),
        uses: Vec::new(),
        groups: Vec::new(),
        tanks: Vec::new(),
        rise_known: Vec::new(),
        run_spans: Vec::new(),
    };
    check_frozen(context, case, (name, air_k), spec);
    if spec.runs.is_empty() {
        context.absent(name.span, "this circuit has no run", "add one under `runs`");
        return None;
    }
    for (run_name, run) in &spec.runs {
        draft.run(context, (case, names), (run_name, spec), run);
    }
    let joined = draft.check_uses(context, spec);
    for (junction, joint) in &spec.junctions {
        if draft.index.contains_key(&junction.value) {
            draft.joint(context, junction, joint);
        }
    }
    if draft.runs.is_empty() || !joined || context.loose(&name.value) {
        return None;
    }
    draft.note_plain(context, spec);
    draft.check_pieces(context, name, spec);
    draft.check_outlets(context, spec);
    heights::close(context, &draft);
    let reference = draft.reference(context, name, spec);
    let Draft { runs, junctions, groups, .. } = draft;
    Some(Circuit { name: name.value.clone(), coolant, junctions, runs, groups, reference, start })
}

/// The coolant, checked against the range of its tables.
fn coolant(context: &mut Context<'_>, name: &str, spec: &CircuitSpec) -> CoolantSpec {
    use crate::file::CoolantMix;
    let (base, value) = mix(&spec.coolant.value);
    if let CoolantMix::EthyleneGlycol { by_volume, by_mass }
    | CoolantMix::PropyleneGlycol { by_volume, by_mass } = &spec.coolant.value
        && by_volume.is_some() == by_mass.is_some()
    {
        context.problems.push(
            Problem::error(
                spec.coolant.span,
                "give the share of glycol either by volume or by mass",
            )
            .label("one of them")
            .help("for example `EthyleneGlycol(by_volume: \"50 %\")`"),
        );
    }
    check_share(context, base, &spec.coolant.value);
    let address = format!("{name}:glycol");
    if base == Base::Water {
        return CoolantSpec { base, share: context.fixed(0.0) };
    }
    let share = context.addressed(&address, Kind::Fraction, value, Some(spec.coolant.span));
    let bound = Bound::Within(0.0, most_glycol(base, Share::ByVolume));
    context.bind(&address, bound, "share of glycol by volume");
    CoolantSpec { base, share }
}

/// The largest share of glycol for which there are properties.
fn most_glycol(base: Base, share: fn(f64) -> Share) -> f64 {
    match Coolant::new(base, share(2.0)) {
        Err(FluidError::OutOfRange { highest, .. }) => highest,
        Ok(_) => 1.0,
    }
}

/// Points at a share of glycol for which there are no properties.
fn check_share(context: &mut Context<'_>, base: Base, mix: &crate::file::CoolantMix) {
    use crate::file::CoolantMix;
    let (CoolantMix::EthyleneGlycol { by_volume, by_mass }
    | CoolantMix::PropyleneGlycol { by_volume, by_mass }) = mix
    else {
        return;
    };
    if let Some(given) = by_volume {
        let bound = Bound::Within(0.0, most_glycol(base, Share::ByVolume));
        context.checked(*given, bound, "share of glycol by volume");
    }
    if let Some(given) = by_mass {
        let bound = Bound::Within(0.0, most_glycol(base, Share::ByMass));
        context.checked(*given, bound, "share of glycol by mass");
    }
}

/// A circuit must not start as ice.
fn check_frozen(
    context: &mut Context<'_>,
    case: &Case,
    (name, air_k): (&Spanned<String>, f64),
    spec: &CircuitSpec,
) {
    let start = spec.start.map_or(air_k, Temperature::si);
    let freezing = super::coolant_of(&spec.coolant.value).freezing_point_k();
    if start.is_nan() || start >= freezing {
        return;
    }
    let celsius = |k: f64| format!("{:.1} °C", k - 273.15);
    let message = format!(
        "the coolant of `{}` is frozen at the start: its first ice forms at {}",
        name.value,
        celsius(freezing)
    );
    let (span, label) = match (spec.start, case.site.air) {
        (Some(start), _) => (start.span(), "colder than that"),
        (None, Some(air)) => (air.span(), "the circuit starts as cold as this air"),
        (None, None) => (name.span, "as cold as the air"),
    };
    let problem =
        Problem::error(span, message).label(label).also(spec.coolant.span, "this coolant");
    context.value_error(problem.help("take more glycol, or give the circuit a warmer `start`"));
}

impl Draft {
    /// The junction of that name, made where it is new.
    pub(super) fn junction(
        &mut self,
        context: &mut Context<'_>,
        name: &str,
        automatic: bool,
    ) -> usize {
        if let Some(&index) = self.index.get(name) {
            return index;
        }
        let index = self.junctions.len();
        self.index.insert(name.to_owned(), index);
        self.uses.push(Vec::new());
        let volume = context.fixed(1e-5);
        self.junctions.push(Junction {
            name: name.to_owned(),
            automatic,
            joint: Joint::Plain,
            volume,
        });
        index
    }

    /// Adds a model run.
    pub(super) fn push_run(&mut self, run: Run, span: Span, rise_known: bool) -> usize {
        self.runs.push(run);
        self.rise_known.push(rise_known);
        self.run_spans.push(span);
        self.runs.len() - 1
    }

    /// Lowers one run of the file; pumps side by side cut it into several of the model.
    fn run(
        &mut self,
        context: &mut Context<'_>,
        (case, names): (&Case, &mut Names),
        (name, circuit): (&Spanned<String>, &CircuitSpec),
        spec: &RunSpec,
    ) {
        let Some((from, to)) = self.ends_of(context, name, circuit, spec) else { return };
        let bore = run_bore(context, (&self.name, name), circuit, spec);
        let mut before = bore;
        let mut lowered = Vec::new();
        for (part, part_spec) in &spec.parts {
            let mut spot = Spot {
                address: format!("{}/{}/{}", self.name, name.value, part.value),
                bore,
                before,
                case,
                names,
                span: part.span,
            };
            if let Some(part_lowered) = parts::part(context, &mut spot, part_spec) {
                if let Lowered::One(one) = &part_lowered {
                    before = one.bores()[1].unwrap_or(before);
                }
                lowered.push((part.value.clone(), part_lowered));
            }
        }
        if spec.parts.is_empty() {
            context.absent(name.span, "this run has no parts", "a run holds at least a hose");
        }
        let told = |part: &PartSpec| !matches!(part, PartSpec::Hose { rise: None, route, .. } if route.is_empty());
        let rise_known = spec.parts.values().all(told);
        self.assemble(context, name, (from, to, bore), (lowered, rise_known));
    }

    /// The junctions of a run; those of a run that closes on itself.
    fn ends_of(
        &mut self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        circuit: &CircuitSpec,
        spec: &RunSpec,
    ) -> Option<(usize, usize)> {
        match (&spec.from, &spec.to) {
            (Some(from), Some(to)) => {
                let mut end = |at: &Spanned<String>, end| {
                    let index = self.junction(context, &at.value, false);
                    self.uses[index].push((name.value.clone(), end, at.span));
                    index
                };
                Some((end(from, End::From), end(to, End::To)))
            }
            (None, None) if circuit.runs.len() == 1 => {
                let index = self.junction(context, LOOP, true);
                for end in [End::From, End::To] {
                    self.uses[index].push((name.value.clone(), end, name.span));
                }
                Some((index, index))
            }
            _ => {
                let message = "this run needs both `from` and `to`";
                let label = "only the single run of a plain loop goes without them";
                if !context.loose(&self.name) {
                    context.error(name.span, message, label);
                }
                None
            }
        }
    }

    /// Makes the model's runs out of lowered parts.
    fn assemble(
        &mut self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        (from, to, bore): (usize, usize, Slot),
        (lowered, rise_known): (Vec<(String, Lowered)>, bool),
    ) {
        let make = |name: String, path: &str, automatic: bool, from: usize| Run {
            name,
            path: path.to_owned(),
            automatic,
            from,
            to: from,
            bore,
            parts: Vec::new(),
        };
        let path = name.value.clone();
        let mut run = make(path.clone(), &path, false, from);
        let first = self.runs.len();
        for (part_name, part) in lowered {
            match part {
                Lowered::One(part) => push(&mut run, part_name, part),
                Lowered::Series(units) => {
                    let mut group = Vec::new();
                    for (k, unit) in units.into_iter().enumerate() {
                        push(&mut run, format!("{part_name}.{}", k + 1), unit);
                        group.push((self.runs.len(), run.parts.len() - 1));
                    }
                    self.group(format!("{path}/{part_name}"), Arrangement::Series, group);
                }
                Lowered::Parallel(units) => {
                    let inlet = self.junction(context, &format!("{path}.{part_name}.in"), true);
                    let outlet = self.junction(context, &format!("{path}.{part_name}.out"), true);
                    run.to = inlet;
                    self.push_run(run, name.span, rise_known);
                    let mut group = Vec::new();
                    for (k, (pump, valve)) in units.into_iter().enumerate() {
                        let unit = format!("{part_name}.{}", k + 1);
                        let mut branch = make(format!("{path}.{unit}"), &path, true, inlet);
                        branch.to = outlet;
                        push(&mut branch, unit.clone(), pump);
                        group.push((self.runs.len(), branch.parts.len() - 1));
                        if let Some(valve) = valve {
                            push(&mut branch, format!("{unit}.valve"), valve);
                        }
                        self.push_run(branch, name.span, true);
                    }
                    self.group(format!("{path}/{part_name}"), Arrangement::Parallel, group);
                    run = make(format!("{path}.after-{part_name}"), &path, true, outlet);
                }
            }
        }
        run.to = to;
        let last = self.push_run(run, name.span, rise_known);
        self.ends.insert(path, [first, last]);
        for run in first..=last {
            for (part, placed) in self.runs[run].parts.iter().enumerate() {
                if placed.part.as_tank().is_some() {
                    self.tanks.push((run, part));
                }
            }
        }
    }

    /// Puts a part into a run that is already made; what points behind it moves on.
    pub(super) fn insert_part(&mut self, run: usize, at: usize, placed: Placed) {
        self.runs[run].parts.insert(at, placed);
        let places = self.groups.iter_mut().flat_map(|g| &mut g.units).chain(&mut self.tanks);
        for place in places {
            if place.0 == run && place.1 >= at {
                place.1 += 1;
            }
        }
    }

    fn group(&mut self, path: String, arrangement: Arrangement, units: Vec<(usize, usize)>) {
        self.groups.push(PumpGroup { path, arrangement, units });
    }

    /// Every junction must be used at least twice: what flows in has to flow on.
    fn check_uses(&mut self, context: &mut Context<'_>, spec: &CircuitSpec) -> bool {
        let before = context.problems.error_count();
        let open = |name: &str| matches!(spec.junctions.get(name), Some(JunctionSpec::Open { .. }));
        for (name, &index) in &self.index {
            let told = !self.junctions[index].automatic;
            if let Some(run) = spec.runs.key(name).filter(|_| told) {
                let mut problem = Problem::error(
                    run.span,
                    format!("a run and a junction are both called `{name}`"),
                )
                .label("so an address could mean either");
                if let Some((_, _, span)) = self.uses[index].first() {
                    problem = problem.also(*span, "here it is a junction");
                }
                context.problems.push(problem);
            }
            let [(run, _, span)] = self.uses[index].as_slice() else { continue };
            if open(name) || context.loose(&self.name) {
                continue;
            }
            let others = self.index.keys().filter(|other| *other != name).map(String::as_str);
            let help = nearest(name, others).map(|n| format!("did you mean `{n}`?"));
            context.problems.push(
                Problem::error(
                    *span,
                    format!("only the run `{run}` ends at `{name}`, so nothing flows there"),
                )
                .label("used once")
                .help_if(help)
                .help("a junction joins at least two ends of runs, or is `Open`"),
            );
        }
        for (name, _) in &spec.junctions {
            if !self.index.contains_key(&name.value) && !context.loose(&self.name) {
                let known = self.index.keys().map(String::as_str).collect::<Vec<_>>();
                let help = nearest(&name.value, known.iter().copied());
                context.problems.push(
                    Problem::error(name.span, format!("no run starts or ends at `{}`", name.value))
                        .label("not used")
                        .help_if(help.map(|n| format!("did you mean `{n}`?"))),
                );
            }
        }
        context.problems.error_count() == before
    }

    /// The end of a run at a junction, where exactly one of its ends is there.
    pub(super) fn end_at(
        &self,
        context: &mut Context<'_>,
        junction: usize,
        run: &Spanned<String>,
    ) -> Option<(usize, End)> {
        let ends: Vec<End> = self.uses[junction]
            .iter()
            .filter(|(name, _, _)| *name == run.value)
            .map(|(_, end, _)| *end)
            .collect();
        let at = &self.junctions[junction].name;
        match ends.as_slice() {
            [end] => {
                let [first, last] = *self.ends.get(&run.value)?;
                Some((if *end == End::From { first } else { last }, *end))
            }
            // It may end there by what could not be read.
            [] if context.loose(&self.name) => {
                context.structural += 1;
                None
            }
            [] => {
                let here = self.uses[junction].iter().map(|(name, _, _)| name.as_str());
                context.unknown(run.span, &format!("run at `{at}`"), &run.value, here);
                None
            }
            _ => {
                let message = format!("both ends of `{}` are at `{at}`", run.value);
                context.error(run.span, message, "split this run in two with a plain joint");
                None
            }
        }
    }

    /// Bore of a run at one of its ends.
    pub(super) fn end_bore(&self, run: usize, end: End) -> Slot {
        self.runs[run].end_bores()[usize::from(end == End::To)]
    }

    /// Makes a junction what the file says it is.
    fn joint(&mut self, context: &mut Context<'_>, name: &Spanned<String>, spec: &JunctionSpec) {
        let junction = self.index[&name.value];
        match spec {
            JunctionSpec::Joint {} => {}
            JunctionSpec::Tee { straight: (a, b), side, angle, formulas } => {
                let legs: Vec<Option<Leg>> = [a, b, side]
                    .into_iter()
                    .map(|run| {
                        let (run, end) = self.end_at(context, junction, run)?;
                        Some(Leg { run, end, bore: self.end_bore(run, end) })
                    })
                    .collect();
                self.check_all_named(context, junction, name, &[a, b, side]);
                let [Some(a), Some(b), Some(side)] = legs[..] else { return };
                let angle = context.or_default(
                    &format!("{}/{}:angle", self.name, name.value),
                    *angle,
                    Bound::Within(0.2, 2.95),
                    ("angle of a tee", std::f64::consts::FRAC_PI_2),
                );
                let set = tee_set(*formulas);
                self.junctions[junction].joint = Joint::Tee { legs: [a, b, side], angle, set };
                self.size(context, junction, [a.bore, b.bore, side.bore]);
            }
            JunctionSpec::Header { .. } => headers::header(context, self, (name, junction), spec),
            JunctionSpec::Open { pressure, flow, temperature } => {
                let address = format!("{}/{}", self.name, name.value);
                let air = context.addresses.get("site:air").map(|a| a.slots[0]);
                let air_k = air.map_or(298.15, |slot| context.values.get(slot));
                let temperature = context.or_assumed(
                    &format!("{address}:temperature"),
                    *temperature,
                    Bound::Within(250.0, 420.0),
                    Assumed {
                        what: "temperature of what enters at an open end",
                        value: air_k,
                        range: (283.15, 303.15),
                        why: "as warm as the air",
                    },
                );
                self.junctions[junction].joint = match (pressure, flow) {
                    (Some(pressure), None) => Joint::Held {
                        pressure: context.given(
                            &format!("{address}:pressure"),
                            *pressure,
                            Bound::Within(-1e5, 5e6),
                            "pressure",
                        ),
                        temperature,
                    },
                    (None, Some(flow)) => {
                        let value = match flow {
                            Flow::Volume(volume) => volume.si(),
                            Flow::Mass(mass) => {
                                let entering = context.values.get(temperature);
                                mass.si() / self.fluid.density(entering)
                            }
                        };
                        let address = format!("{address}:flow");
                        let span = Some(flow.span());
                        let most = Bound::Within(-1.0, 1.0);
                        let value =
                            context.check(value, flow.span(), Kind::VolumeFlow, most, "flow");
                        let flow = context.addressed(&address, Kind::VolumeFlow, value, span);
                        context.bind(&address, most, "flow");
                        Joint::Fed { flow, temperature }
                    }
                    _ => {
                        let message = "an open end is held at a pressure or at a flow";
                        context.error(name.span, message, "give `pressure` or `flow`, one of them");
                        return;
                    }
                };
            }
        }
    }

    /// A tee or header must name every run that ends at it, once.
    pub(super) fn check_all_named(
        &self,
        context: &mut Context<'_>,
        junction: usize,
        name: &Spanned<String>,
        named: &[&Spanned<String>],
    ) {
        let at = |run: &str| self.uses[junction].iter().any(|(name, _, _)| name == run);
        let mut slip = false;
        for (k, run) in named.iter().enumerate() {
            if let Some(first) = named[..k].iter().find(|first| first.value == run.value) {
                slip = true;
                let message = format!("`{}` names the run `{}` twice", name.value, run.value);
                let problem = Problem::error(run.span, message).label("again here");
                context.problems.push(problem.also(first.span, "first here"));
            }
            slip |= !at(&run.value);
        }
        // What is missing is behind the slip, most likely.
        if slip || context.loose(&self.name) {
            return;
        }
        for (run, _, span) in &self.uses[junction] {
            if !named.iter().any(|n| n.value == *run) {
                context.problems.push(
                    Problem::error(
                        name.span,
                        format!("`{}` does not name the run `{run}`", name.value),
                    )
                    .label("every run that ends here has a place in it")
                    .also(*span, "this run ends here"),
                );
            }
        }
    }

    /// Gives a junction the coolant of a short piece of its largest bore: two bores long.
    pub(super) fn size<const N: usize>(
        &mut self,
        context: &mut Context<'_>,
        junction: usize,
        bores: [Slot; N],
    ) {
        let bore = bores.into_iter().map(|b| context.values.get(b)).fold(0.0, f64::max);
        let volume = std::f64::consts::FRAC_PI_4 * bore * bore * 2.0 * bore;
        context.values.set(self.junctions[junction].volume, volume);
    }

    /// Sizes plain joints and says that they have no loss.
    fn note_plain(&mut self, context: &mut Context<'_>, spec: &CircuitSpec) {
        let mut plain = Vec::new();
        for junction in 0..self.junctions.len() {
            if !matches!(self.junctions[junction].joint, Joint::Plain) {
                continue;
            }
            let mut bore = 0.0_f64;
            for run in &self.runs {
                let [from, to] = run.end_bores();
                if run.from == junction {
                    bore = bore.max(context.values.get(from));
                }
                if run.to == junction {
                    bore = bore.max(context.values.get(to));
                }
            }
            let volume = std::f64::consts::FRAC_PI_4 * bore * bore * 2.0 * bore;
            context.values.set(self.junctions[junction].volume, volume.max(1e-7));
            let name = &self.junctions[junction].name;
            if !self.junctions[junction].automatic
                && self.uses[junction].len() > 2
                && !spec.junctions.contains(name)
            {
                plain.push(name.clone());
            }
        }
        if !plain.is_empty() {
            let list = plain.join(", ");
            context.notes.push(format!(
                "In `{}` these are plain joints without loss: {list}. A Tee or a Header there would add \
                 its losses.",
                self.name
            ));
        }
    }

    /// The circuit must hang together, and something must move its coolant.
    fn check_pieces(&self, context: &mut Context<'_>, name: &Spanned<String>, spec: &CircuitSpec) {
        let mut piece: Vec<usize> = (0..self.junctions.len()).collect();
        for run in &self.runs {
            let (a, b) = (piece[run.from], piece[run.to]);
            piece.iter_mut().filter(|p| **p == b).for_each(|p| *p = a);
        }
        if let Some(apart) = (1..piece.len()).find(|&j| piece[j] != piece[0]) {
            let message = format!("the circuit `{}` falls into separate pieces", name.value);
            let label = format!(
                "`{}` and `{}` are not connected: make them two circuits",
                self.junctions[0].name, self.junctions[apart].name
            );
            context.error(name.span, message, label);
        }
        let mut parts = spec.runs.values().flat_map(|run| run.parts.values());
        let has_pump = parts.any(|part| matches!(part, PartSpec::Pump { .. }));
        let open = self
            .junctions
            .iter()
            .any(|j| matches!(j.joint, Joint::Held { .. } | Joint::Fed { .. }));
        if !has_pump && !open {
            let message = format!("the circuit `{}` has no pump", name.value);
            context.absent(name.span, message, "nothing moves its coolant");
        }
    }

    /// What is fed into a circuit must leave it again: at an end held at a pressure, or by feeding
    /// as much out as in.
    fn check_outlets(&self, context: &mut Context<'_>, spec: &CircuitSpec) {
        let mut sum = 0.0;
        let mut most: f64 = 0.0;
        for junction in &self.junctions {
            match junction.joint {
                Joint::Held { .. } => return,
                Joint::Fed { flow, .. } => {
                    sum += context.values.get(flow);
                    most = most.max(context.values.get(flow).abs());
                }
                Joint::Plain | Joint::Tee { .. } => {}
            }
        }
        if sum.abs() <= 1e-9 * most {
            return;
        }
        let fed = |joint: &JunctionSpec| matches!(joint, JunctionSpec::Open { flow: Some(_), .. });
        let Some((name, _)) = spec.junctions.iter().find(|(_, joint)| fed(joint)) else { return };
        let way = if sum > 0.0 { "enters the circuit" } else { "is drawn off the circuit" };
        let message = format!(
            "{:.1} L/min {way} at its open ends and cannot {}",
            sum.abs() * 60e3,
            if sum > 0.0 { "leave" } else { "be made up" }
        );
        context.problems.push(
            Problem::error(name.span, message)
                .label("this end has a given flow")
                .help("hold a pressure at another end: `Open(pressure: \"0 kPa\")`"),
        );
    }

    /// Where the pressure is known: at the tank, at a named junction, or at the first pump.
    fn reference(
        &self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        spec: &CircuitSpec,
    ) -> Option<Reference> {
        let held = self.junctions.iter().any(|j| matches!(j.joint, Joint::Held { .. }));
        if held {
            if let Some(pressure) = spec.pressure {
                let label = "leave this out, or close the circuit";
                context.error(pressure.span(), "an open end already holds the pressure", label);
            }
            return None;
        }
        let at = match &spec.pressure_at {
            Some(at) => {
                let Some(&junction) = self.index.get(&at.value) else {
                    let known = self.index.keys().map(String::as_str);
                    context.unknown(at.span, "junction", &at.value, known);
                    return None;
                };
                ReferencePoint::Junction(junction)
            }
            None => self.default_reference(),
        };
        let place = match at {
            ReferencePoint::Junction(j) => format!("at `{}`", self.junctions[j].name),
            ReferencePoint::Part(run, part) => {
                format!("at `{}/{}`", self.runs[run].path, self.runs[run].parts[part].name)
            }
        };
        let gauge = context.or_assumed(
            &format!("{}:pressure", name.value),
            spec.pressure,
            Bound::Within(-1e5, 5e6),
            Assumed {
                what: "gauge pressure where the circuit's pressure is known",
                value: 0.0,
                range: (0.0, 100e3),
                why: "a cold or uncapped system stands near zero gauge",
            },
        );
        if spec.pressure.is_none() || spec.pressure_at.is_none() {
            context
                .notes
                .push(format!("The pressure of `{}` is counted from that {place}.", name.value));
        }
        Some(Reference { at, gauge })
    }

    fn default_reference(&self) -> ReferencePoint {
        if let Some(&(run, part)) = self.tanks.first() {
            return ReferencePoint::Part(run, part);
        }
        let pump = self.runs.iter().enumerate().find_map(|(r, run)| {
            run.parts.iter().position(|p| p.part.as_pump().is_some()).map(|p| (r, p))
        });
        pump.map_or(ReferencePoint::Junction(0), |(run, part)| ReferencePoint::Part(run, part))
    }
}

/// The bore of a run: its own, that of the circuit, or that of its first part with a bore.
fn run_bore(
    context: &mut Context<'_>,
    (circuit_name, name): (&str, &Spanned<String>),
    circuit: &CircuitSpec,
    spec: &RunSpec,
) -> Slot {
    let own = spec.parts.values().find_map(|part| match part {
        PartSpec::Hose { bore, .. } => *bore,
        _ => None,
    });
    let address = format!("{circuit_name}/{}:bore", name.value);
    if let Some(bore) = spec.bore.or(circuit.bore).or(own) {
        return context.given(&address, bore, BORE, "bore");
    }
    if !context.damaged() {
        context.problems.push(
            Problem::error(name.span, format!("the bore of the run `{}` is not known", name.value))
                .label("this run")
                .help("add `bore: \"32 mm\"` to the run, to its circuit, or to its hoses"),
        );
    }
    // Its parts are still looked at.
    context.structural += 1;
    context.fixed(0.025)
}

/// Adds a part to a run, with the bore change before it where it has a bore of its own.
pub(super) fn push(run: &mut Run, name: String, part: Box<dyn Part>) {
    let last = run.parts.iter().rev().find_map(|placed| placed.part.bores()[1]);
    if let (Some(from), Some(to)) = (last, part.bores()[0])
        && from != to
    {
        let change = Placed {
            name: format!("to-{name}"),
            automatic: true,
            part: Box::new(BoreChange { from, to }),
        };
        run.parts.push(change);
    }
    run.parts.push(Placed { name, automatic: false, part });
}

/// The formulas of a tee; the unified law where the file says nothing.
pub(super) fn tee_set(formulas: Option<TeeFormulas>) -> TeeSet {
    match formulas {
        None | Some(TeeFormulas::Unified) => TeeSet::Unified,
        Some(TeeFormulas::Gardel) => TeeSet::Gardel,
        Some(TeeFormulas::Crane) => TeeSet::Crane,
    }
}
