//! A circuit on its way from the file into the model.

mod coolant;
mod joints;
mod reference;
mod runs;
mod seams;

pub(super) use coolant::coolant;
pub(super) use joints::tee_set;

use std::collections::BTreeMap;

use coolwright_models::circuit::{
    Arrangement, Circuit, CoolantSpec, End, Joint, Junction, Placed, PumpGroup, Run,
};
use coolwright_models::fluids::Coolant;
use coolwright_models::slots::Slot;

use super::context::{BORE, Bound, Context};
use super::{Names, heights};
use crate::file::{Case, Circuit as CircuitSpec};
use crate::lower::usual::{ICE_START, START};
use crate::text::{Span, Spanned};

/// A circuit in the making.
pub(super) struct Draft {
    pub name: String,
    /// Its coolant, and where its share of glycol stands.
    fluid: Coolant,
    coolant: CoolantSpec,
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
    /// Rises of the hoses that tell none.
    pub silent: Vec<Slot>,
    /// Where the name of each model run stands.
    pub run_spans: Vec<Span>,
    /// Whether one of its tanks has a cap.
    capped: bool,
}

/// Name of the junction of a run that closes on itself.
const LOOP: &str = "loop";

/// Lowers a circuit. `None` after a problem that leaves nothing to go on with.
pub(super) fn lower(
    context: &mut Context<'_>,
    case: &Case,
    names: &mut Names,
    (name, coolant): (&Spanned<String>, CoolantSpec),
    spec: &CircuitSpec,
) -> Option<Circuit> {
    if [
        "engines",
        "coolers",
        "exchangers",
        "cores",
        "air_paths",
        "charge_air",
        "gauges",
        "site",
        "bay",
        "supply",
        "supplies",
        "liquids",
        "duty",
    ]
    .contains(&name.value.as_str())
    {
        let message = format!("a circuit cannot be called `{}`", name.value);
        context.error(name.span, message, "this word begins other addresses");
        return None;
    }
    if let Some(bore) = spec.bore {
        context.given(&format!("{}:bore", name.value), bore, BORE, "bore");
    }
    let start = start(context, name, spec)?;
    let mut draft = Draft {
        name: name.value.clone(),
        fluid: super::fluid_of(&coolant, &context.values),
        coolant: coolant.clone(),
        runs: Vec::new(),
        junctions: Vec::new(),
        index: BTreeMap::new(),
        ends: BTreeMap::new(),
        uses: Vec::new(),
        groups: Vec::new(),
        tanks: Vec::new(),
        rise_known: Vec::new(),
        silent: Vec::new(),
        run_spans: Vec::new(),
        capped: spec.has_cap(),
    };
    coolant::check_frozen(context, case, (name, start), (spec, &draft.fluid));
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
    draft.seams(spec);
    draft.note_plain(context);
    draft.check_pieces(context, name, spec);
    draft.check_outlets(context, spec);
    heights::close(context, &draft);
    draft.check_caps(context, spec);
    let reference = draft.reference(context, name, spec);
    let Draft { runs, junctions, groups, .. } = draft;
    Some(Circuit { name: name.value.clone(), coolant, junctions, runs, groups, reference, start })
}

/// Temperature of a circuit at the start: as told; else that of the air, with ice that of melting ice.
fn start(context: &mut Context<'_>, name: &Spanned<String>, spec: &CircuitSpec) -> Option<Slot> {
    let air = context.slot("site:air")?;
    let ice = spec.has_ice();
    let assumed = if ice { ICE_START.fixed() } else { START.of(context.values.get(air)) };
    let bound = Bound::Within(223.15, 423.15);
    let slot = context.or_assumed(&format!("{}:start", name.value), spec.start, bound, assumed);
    if spec.start.is_none() && !ice {
        context.follows_at_start(slot, &[air], move |values| values.get(air));
    }
    Some(slot)
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
            joint: Joint::Plain { known: automatic },
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
}
