//! A header as a row of tees: each port is the side of a tee, and short lengths of the header's own
//! bore lie between them. An end without a run is capped.

use coolwright_models::circuit::{End, Joint, Leg, Placed, Run, made};
use coolwright_models::parts::{BoreChange, Hose};
use coolwright_models::slots::Slot;

use super::circuit::{Draft, tee_set};
use super::context::{BORE, Bound, Context};
use crate::diagnostic::Problem;
use crate::file::Junction as JunctionSpec;
use crate::lower::usual::PORT_SPACING;
use crate::text::Spanned;

/// Makes a junction a header.
pub(super) fn header(
    context: &mut Context<'_>,
    draft: &mut Draft,
    (name, junction): (&Spanned<String>, usize),
    spec: &JunctionSpec,
) {
    let JunctionSpec::Header { inlet, outlet, outlets, inlets, bore, spacing, formulas } = spec
    else {
        return;
    };
    let address = format!("{}/{}", draft.name, name.value);
    let bore = context.given(&format!("{address}:bore"), *bore, BORE, "bore of a header");
    let bore_m = context.values.get(bore);
    let spaced = spacing.is_some();
    let spacing = context.or_assumed(
        &format!("{address}:spacing"),
        *spacing,
        Bound::Within(1e-3, 10.0),
        PORT_SPACING.of(bore_m),
    );
    if !spaced {
        context.follows(spacing, &[bore], move |values| PORT_SPACING.at(values.get(bore)));
    }
    let contrary = match (inlet, outlet, inlets.first(), outlets.first()) {
        (_, _, Some(_), Some(_)) => {
            Some(("inlets` and `outlets", "the ports along it all enter or all leave"))
        }
        (Some(_), None, Some(_), None) => {
            Some(("inlet` and `inlets", "nothing would leave this header"))
        }
        (None, Some(_), None, Some(_)) => {
            Some(("outlet` and `outlets", "nothing would enter this header"))
        }
        _ => None,
    };
    if let Some((both, label)) = contrary {
        let problem =
            Problem::error(name.span, format!("a header cannot have `{both}` alone")).label(label);
        context.problems.push(problem.help(
            "one that spreads has `inlet` and `outlets`, one that gathers `inlets` and `outlet`",
        ));
        return;
    }
    let ports: Vec<&Spanned<String>> = outlets.iter().chain(inlets).collect();
    let ends: Vec<&Spanned<String>> = inlet.iter().chain(outlet).collect();
    if ports.len() < 2 || ends.is_empty() || !(outlets.is_empty() || inlets.is_empty()) {
        context.error(
            name.span,
            "a header has a run at its end and two or more ports along it",
            "give `inlet` and `outlets`, or `inlets` and `outlet`",
        );
        return;
    }
    let named: Vec<&Spanned<String>> = ends.iter().chain(&ports).copied().collect();
    draft.check_all_named(context, junction, name, &named);
    let port_ends: Option<Vec<(usize, End)>> =
        ports.iter().map(|run| draft.end_at(context, junction, run)).collect();
    let inlet_end = inlet.as_ref().map(|run| draft.end_at(context, junction, run));
    let outlet_end = outlet.as_ref().map(|run| draft.end_at(context, junction, run));
    let (Some(port_ends), Some(inlet_end), Some(outlet_end)) =
        (port_ends, all_found(inlet_end), all_found(outlet_end))
    else {
        return;
    };
    let row = Row { name: &name.value, bore, spacing, span: name.span };
    row.build(context, draft, junction, &port_ends, [inlet_end, outlet_end], tee_set(*formulas));
}

/// Turns "not given" into `Some(None)`, "found" into `Some(Some(…))`, "given and not found" into
/// `None`.
#[expect(clippy::option_option, reason = "the three states are those named above")]
fn all_found(end: Option<Option<(usize, End)>>) -> Option<Option<(usize, End)>> {
    match end {
        None => Some(None),
        Some(found) => found.map(Some),
    }
}

/// What is the same along a header.
struct Row<'a> {
    name: &'a str,
    bore: Slot,
    spacing: Slot,
    span: crate::text::Span,
}

impl Row<'_> {
    /// Builds the row of tees. The first stands at the junction that the file names.
    fn build(
        &self,
        context: &mut Context<'_>,
        draft: &mut Draft,
        junction: usize,
        ports: &[(usize, End)],
        [inlet, outlet]: [Option<(usize, End)>; 2],
        set: coolwright_models::laws::tee::TeeSet,
    ) {
        let angle = context.fixed(std::f64::consts::FRAC_PI_2);
        let mut tees = vec![junction];
        for k in 1..ports.len() {
            tees.push(draft.junction(context, &made::port(self.name, k + 1), true));
        }
        for (&(run, end), &tee) in ports.iter().zip(&tees) {
            attach(draft, run, end, tee);
        }
        let last = tees[tees.len() - 1];
        let mut before = self.end_leg(context, draft, inlet, (junction, "start"));
        for (k, (&tee, &(run, end))) in tees.iter().zip(ports).enumerate() {
            let (after, next) = if k + 1 < tees.len() {
                let segment = self.segment(context, draft, (tee, tees[k + 1]), k + 1);
                let leg = |end| Leg { run: segment, end, bore: self.bore };
                (leg(End::From), leg(End::To))
            } else {
                let leg = self.end_leg(context, draft, outlet, (last, "end"));
                (leg, leg)
            };
            let side = Leg { run, end, bore: draft.end_bore(run, end) };
            draft.junctions[tee].joint = Joint::Tee { legs: [before, after, side], angle, set };
            draft.size(context, tee, [self.bore]);
            before = next;
        }
    }

    /// The leg at an end of the header: the run there, brought to the header's bore, or a cap.
    fn end_leg(
        &self,
        context: &mut Context<'_>,
        draft: &mut Draft,
        end: Option<(usize, End)>,
        (tee, which): (usize, &str),
    ) -> Leg {
        if let Some((run, end)) = end {
            attach(draft, run, end, tee);
            let own = draft.end_bore(run, end);
            let (change, at) = match end {
                End::From => (BoreChange { from: self.bore, to: own }, 0),
                End::To => (BoreChange { from: own, to: self.bore }, draft.runs[run].parts.len()),
            };
            let name = made::joint(self.name);
            let placed = Placed { name, automatic: true, part: Box::new(change) };
            draft.insert_part(run, at, placed);
            return Leg { run, end, bore: self.bore };
        }
        let name = made::shut(self.name, which);
        let cap = draft.junction(context, &name, true);
        draft.size(context, cap, [self.bore]);
        let run = Run {
            path: name.clone(),
            name,
            automatic: true,
            from: tee,
            to: cap,
            bore: self.bore,
            parts: Vec::new(),
        };
        let run = draft.push_run(run, self.span, true);
        Leg { run, end: End::From, bore: self.bore }
    }

    /// The length of header between two ports.
    fn segment(
        &self,
        context: &mut Context<'_>,
        draft: &mut Draft,
        (from, to): (usize, usize),
        number: usize,
    ) -> usize {
        let (length, bore) = (self.spacing, self.bore);
        let cells =
            context.count(move |values| Hose::cells_for(values.get(length), values.get(bore)));
        let hose = Hose {
            bore: self.bore,
            length: self.spacing,
            roughness: context.fixed(5e-6),
            loss: context.fixed(0.0),
            rise: context.fixed(0.0),
            swelling: context.fixed(0.0),
            bends: Vec::new(),
            corners: Vec::new(),
            cells,
            skin: None,
        };
        let name = made::between(self.name, number);
        let placed = Placed { name: "length".to_owned(), automatic: true, part: Box::new(hose) };
        let run = Run {
            path: name.clone(),
            name,
            automatic: true,
            from,
            to,
            bore: self.bore,
            parts: vec![placed],
        };
        draft.push_run(run, self.span, true)
    }
}

/// Moves the end of a run to a tee of the header.
fn attach(draft: &mut Draft, run: usize, end: End, tee: usize) {
    match end {
        End::From => draft.runs[run].from = tee,
        End::To => draft.runs[run].to = tee,
    }
}
