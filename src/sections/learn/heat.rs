//! Heat as it was measured.

use coolwright_cases::quantity::Kind;

use super::Told;
use crate::answer::{Cell, Form, Lay, Section, Seen, Table, Value};
use crate::say;

/// Heat as it was measured.
pub(super) fn heat(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("circuit", "circuit")
        .words("phase", "stretch")
        .numbers("measured", "measured", Kind::HeatRate)
        .numbers("sure", "±", Kind::HeatRate)
        .numbers("learnt", "as learnt", Kind::HeatRate)
        .words("agrees", "agrees")
        .words("between", "between the thermometers")
        .for_programs("gauges", None);
    let mut before = String::new();
    for of in &told.balances {
        let sure = 2.0 * of.uncertainty_w;
        let agrees = (of.measured_w - of.learnt_w).abs() <= sure;
        let cells: [Cell; 8] = [
            (&of.circuit).into(),
            (&of.phase).into(),
            Value::of(Kind::HeatRate, of.measured_w).into(),
            Value::formed(Kind::HeatRate, sure, Form::Off).into(),
            Value::of(Kind::HeatRate, of.learnt_w).into(),
            Value::judged(agrees, if agrees { "yes" } else { "NO" }).into(),
            Value::list(of.between.iter().cloned(), ", ").into(),
            Value::list(of.gauges.iter().cloned(), " ").into(),
        ];
        if !before.is_empty() && before != of.circuit {
            table.gap();
        }
        before.clone_from(&of.circuit);
        let seen = if table.rows_of_people() < 8 { Seen::All } else { Seen::Programs };
        table.add(Some(of.circuit.clone()), cells, seen);
    }
    let mut section =
        Section::new("heat", "Heat into the coolant, by flow times rise").support().table(table);
    if !told.balances.is_empty() {
        section = section.say(
            "± is twice the standard uncertainty after the GUM (JCGM 100:2008): each gauge anywhere within what it may be \
             off by.",
            Lay::Paragraph,
        );
    }
    for of in &told.no_balance {
        let what = if of.no_flow {
            "it has no flow meter"
        } else {
            "it lacks a thermometer on both sides"
        };
        section = section.say(
            say!(
                "In `{circuit}` heat cannot be measured: {what} in one run.",
                circuit = &of.circuit,
                what = what
            ),
            Lay::Paragraph,
        );
    }
    section
}
