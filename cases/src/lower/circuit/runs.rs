//! Runs of the file as runs of the model: pumps side by side cut one run into several.

use coolwright_models::circuit::{Arrangement, End, Placed, Run, made};
use coolwright_models::parts::{BoreChange, Part};
use coolwright_models::slots::Slot;

use super::{Draft, LOOP};
use crate::diagnostic::Problem;
use crate::file::{Case, Circuit as CircuitSpec, PartSpec, Run as RunSpec};
use crate::lower::Names;
use crate::lower::context::{BORE, Context};
use crate::lower::parts::{self, Lowered, Spot};
use crate::quantity::{Kind, Length};
use crate::text::Spanned;

impl Draft {
    /// Lowers one run of the file; pumps side by side cut it into several of the model.
    pub(super) fn run(
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
        let mut silent_rises = Vec::new();
        let writes = context.writes;
        let address = |part: &str| format!("{}/{}/{part}", self.name, name.value);
        let silent = |part: &PartSpec| matches!(part, PartSpec::Hose { rise: None, route, .. } if route.is_empty());
        let told = |part: &str, spec: &PartSpec| {
            !silent(spec) || writes.contains_key(&format!("{}:rise", address(part)))
        };
        for (part, part_spec) in &spec.parts {
            let mut spot = Spot {
                address: address(&part.value),
                bore,
                before,
                case,
                capped: self.capped,
                names,
                span: part.span,
            };
            if let Some(part_lowered) = parts::part(context, &mut spot, part_spec) {
                if let Lowered::One(one) = &part_lowered {
                    before = one.bores()[1].unwrap_or(before);
                    if !told(&part.value, part_spec) {
                        silent_rises.extend(one.rise());
                    }
                }
                if let Some(last) = part_lowered.last_in_series() {
                    before = last.bores()[1].unwrap_or(before);
                }
                lowered.push((part.value.clone(), part_lowered));
            } else {
                context.failed.push(address(&part.value));
            }
        }
        if spec.parts.is_empty() {
            context.absent(name.span, "this run has no parts", "a run holds at least a hose");
        }
        let rise_known = spec.parts.iter().all(|(part, spec)| told(&part.value, spec));
        self.silent.extend(silent_rises);
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
                        push(&mut run, made::unit(&part_name, k + 1), unit);
                        group.push((self.runs.len(), run.parts.len() - 1));
                    }
                    self.group(format!("{path}/{part_name}"), Arrangement::Series, group);
                }
                Lowered::Parallel(units) => {
                    let group_path = format!("{path}/{part_name}");
                    let inlet = self.junction(context, &made::inlet(&group_path), true);
                    let outlet = self.junction(context, &made::outlet(&group_path), true);
                    run.to = inlet;
                    self.push_run(run, name.span, rise_known);
                    let mut group = Vec::new();
                    for (k, (pump, valve)) in units.into_iter().enumerate() {
                        let unit = made::unit(&part_name, k + 1);
                        let mut branch = make(made::branch(&group_path, k + 1), &path, true, inlet);
                        branch.to = outlet;
                        push(&mut branch, unit.clone(), pump);
                        group.push((self.runs.len(), branch.parts.len() - 1));
                        if let Some(valve) = valve {
                            push(&mut branch, made::valve(&unit), valve);
                        }
                        self.push_run(branch, name.span, true);
                    }
                    run = make(made::behind(&group_path), &path, true, outlet);
                    self.group(group_path, Arrangement::Parallel, group);
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
}

/// The bore of a run: its own, that of the circuit, or that of its first part with a bore.
fn run_bore(
    context: &mut Context<'_>,
    (circuit_name, name): (&str, &Spanned<String>),
    circuit: &CircuitSpec,
    spec: &RunSpec,
) -> Slot {
    let own = spec.parts.iter().find_map(|(part, spec)| match spec {
        PartSpec::Hose { bore, .. } => bore.map(|bore| (&part.value, bore)),
        _ => None,
    });
    let address = format!("{circuit_name}/{}:bore", name.value);
    if let Some(bore) = spec.bore {
        return context.given(&address, bore, BORE, "bore");
    }
    if let Some(bore) = circuit.bore {
        return follow_bore(context, (&format!("{circuit_name}:bore"), &address), bore);
    }
    if let Some((part, bore)) = own {
        let hose = format!("{circuit_name}/{}/{part}:bore", name.value);
        return follow_bore(context, (&hose, &address), bore);
    }
    if !context.damaged() {
        context.problems.push(
            Problem::error(name.span, format!("the bore of the run `{}` is not known", name.value))
                .label("this run")
                .help("add `bore: \"{one Length}\"` to the run, to its circuit, or to its hoses"),
        );
    }
    // Its parts are still looked at.
    context.structural += 1;
    context.fixed(0.025)
}

/// The bore of a run that follows another, which gets its slot where it has none yet.
fn follow_bore(context: &mut Context<'_>, (leader, own): (&str, &str), bore: Length) -> Slot {
    let leader = match context.slot(leader) {
        Some(slot) => slot,
        None => context.given(leader, bore, BORE, "bore"),
    };
    let value = context.values.get(leader);
    let slot = context.addressed(own, Kind::Length, value, Some(bore.span()));
    context.bind(own, BORE, "bore");
    context.follows(slot, &[leader], move |values| values.get(leader))
}

/// Adds a part to a run, with the bore change before it where it has a bore of its own.
fn push(run: &mut Run, name: String, part: Box<dyn Part>) {
    // Parts without a bore of their own have that of the part before, the first that of the run.
    let last = (!run.parts.is_empty()).then(|| run.end_bores()[1]);
    if let (Some(from), Some(to)) = (last, part.bores()[0])
        && from != to
    {
        let change = Placed {
            name: made::ahead(&name),
            automatic: true,
            part: Box::new(BoreChange { from, to }),
        };
        run.parts.push(change);
    }
    run.parts.push(Placed { name, automatic: false, part });
}
