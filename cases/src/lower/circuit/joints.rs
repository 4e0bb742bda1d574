//! Junctions: which runs end there, and what each is.

use coolwright_models::circuit::{End, Joint, Junction, Leg, Placed, made};
use coolwright_models::laws::tee::TeeSet;
use coolwright_models::parts::TankPort;
use coolwright_models::slots::{Slot, Values};

use super::Draft;
use crate::diagnostic::Problem;
use crate::file::{Circuit as CircuitSpec, Junction as JunctionSpec, TeeFormulas};
use crate::lower::context::{Bound, Context};
use crate::lower::parts::tank;
use crate::lower::usual::ENTERING;
use crate::lower::{fluid_of, headers};
use crate::quantity::{Flow, Kind};
use crate::text::{Spanned, nearest};

impl Draft {
    /// Every junction must be used at least twice: what flows in has to flow on.
    pub(super) fn check_uses(&mut self, context: &mut Context<'_>, spec: &CircuitSpec) -> bool {
        let before = context.problems.error_count();
        // A run may end there alone.
        let open = |name: &str| {
            let ends = spec.junctions.get(name);
            matches!(ends, Some(JunctionSpec::Open { .. } | JunctionSpec::Tank { .. }))
        };
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
                .help("a junction joins at least two ends of runs, or is `Open` or a `Tank`"),
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
    pub(in crate::lower) fn end_at(
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
    pub(in crate::lower) fn end_bore(&self, run: usize, end: End) -> Slot {
        self.runs[run].end_bores()[usize::from(end == End::To)]
    }

    /// Makes a junction what the file says it is.
    pub(super) fn joint(
        &mut self,
        context: &mut Context<'_>,
        name: &Spanned<String>,
        spec: &JunctionSpec,
    ) {
        let junction = self.index[&name.value];
        match spec {
            JunctionSpec::Joint {} => {
                self.junctions[junction].joint = Joint::Plain { known: true };
            }
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
            JunctionSpec::Tank { volume, air, level, cap } => {
                let address = format!("{}/{}", self.name, name.value);
                let sizes = (*volume, *air, *level);
                let room = tank::room(context, &address, sizes, cap.as_ref());
                self.junctions[junction].joint = Joint::Tank(room);
                self.tank_ports(junction);
            }
            JunctionSpec::Open { pressure, flow, temperature } => {
                let address = format!("{}/{}", self.name, name.value);
                let Some(air) = context.slot("site:air") else { return };
                let air_k = context.values.get(air);
                let given = temperature.is_some();
                let temperature = context.or_assumed(
                    &format!("{address}:temperature"),
                    *temperature,
                    Bound::Within(233.15, 420.0),
                    ENTERING.of(air_k),
                );
                if !given {
                    context.follows(temperature, &[air], move |values| values.get(air));
                }
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
                        let flow = self.fed(context, &address, *flow, temperature);
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

    /// The flow that is fed in at an open end. A mass flow is turned into a volume flow by the coolant
    /// that enters.
    fn fed(&self, context: &mut Context<'_>, at: &str, flow: Flow, temperature: Slot) -> Slot {
        let address = format!("{at}:flow");
        let most = Bound::Within(-1.0, 1.0);
        let span = flow.span();
        let volume = match flow {
            Flow::Volume(volume) => volume.si(),
            Flow::Mass(mass) => mass.si() / self.fluid.density(context.values.get(temperature)),
        };
        let (value, at) = context.told(&address).unwrap_or((volume, span));
        let value = context.check(value, at, Kind::VolumeFlow, most, "flow");
        let slot = context.addressed(&address, Kind::VolumeFlow, value, Some(span));
        context.bind(&address, most, "flow");
        if let Flow::Mass(mass) = flow {
            let coolant = self.coolant.clone();
            let from = [&[temperature], coolant.slots()].concat();
            context.follows(slot, &from, move |values| {
                mass.si() / fluid_of(&coolant, values).density(values.get(temperature))
            });
        }
        slot
    }

    /// Gives every run that ends in a tank its port there.
    fn tank_ports(&mut self, junction: usize) {
        for (run, end, _) in self.uses[junction].clone() {
            let Some(&[first, last]) = self.ends.get(&run) else { continue };
            let starts = end == End::From;
            let run = if starts { first } else { last };
            let port = TankPort { bore: self.end_bore(run, end), starts };
            let name = made::joint(&self.junctions[junction].name);
            let at = if starts { 0 } else { self.runs[run].parts.len() };
            let placed = Placed { name, automatic: true, part: Box::new(port) };
            self.insert_part(run, at, placed);
        }
    }

    /// A tee or header must name every run that ends at it, once.
    pub(in crate::lower) fn check_all_named(
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
    pub(in crate::lower) fn size<const N: usize>(
        &mut self,
        context: &mut Context<'_>,
        junction: usize,
        bores: [Slot; N],
    ) {
        let volume = self.junctions[junction].volume;
        context.follows(volume, &bores, move |values| piece(values, &bores));
    }

    /// Sizes plain joints, and says which are taken without loss though nothing tells.
    pub(super) fn note_plain(&mut self, context: &mut Context<'_>) {
        let mut plain = Vec::new();
        let mut bores = vec![Vec::new(); self.junctions.len()];
        for run in &self.runs {
            let [from, to] = run.end_bores();
            bores[run.from].push(from);
            bores[run.to].push(to);
        }
        for junction in 0..self.junctions.len() {
            if !matches!(self.junctions[junction].joint, Joint::Plain { .. }) {
                continue;
            }
            let bores = std::mem::take(&mut bores[junction]);
            let volume = self.junctions[junction].volume;
            let from = bores.clone();
            context.follows(volume, &from, move |values| piece(values, &bores).max(1e-7));
            let meets = self.uses[junction].len();
            let Junction { name, joint, .. } = &mut self.junctions[junction];
            match joint {
                Joint::Plain { known } if !*known && meets > 2 => plain.push(name.clone()),
                joint => *joint = Joint::Plain { known: true },
            }
        }
        if !plain.is_empty() {
            let list = plain.join(", ");
            context.notes.push(format!(
                "In `{}` these are plain joints without loss: {list}. A Tee or a Header there would add \
                 its losses; `Joint()` says that a roomy manifold has none.",
                self.name
            ));
        }
    }
}

/// A piece of the largest of some bores, two bores long, m³.
fn piece(values: &Values, bores: &[Slot]) -> f64 {
    let bore = bores.iter().map(|&b| values.get(b)).fold(0.0, f64::max);
    std::f64::consts::FRAC_PI_4 * bore * bore * 2.0 * bore
}

/// The formulas of a tee; the unified law where the file says nothing.
pub(in crate::lower) fn tee_set(formulas: Option<TeeFormulas>) -> TeeSet {
    match formulas {
        None | Some(TeeFormulas::Unified) => TeeSet::Unified,
        Some(TeeFormulas::Gardel) => TeeSet::Gardel,
        Some(TeeFormulas::Tp410) => TeeSet::Tp410,
    }
}
