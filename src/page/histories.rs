//! Results over time, and what a cursor needs to read them.

use coolwright_cases::quantity::{InUnit, Kind, UnitSystem};
use maud::{Markup, PreEscaped, html};
use serde_json::{Value as Json, json};

use super::{Page, chapters::figure};
use crate::answer::Histories;
use crate::pictures::histories::{PLOT, events};

impl Page<'_> {
    /// The plots of the duty cycle.
    pub(super) fn histories(&self) -> Markup {
        let plots = &self.pictures.histories;
        html! {
            @if !plots.is_empty() {
                p class="key" {
                    "Every other phase is shaded; a broken line across is a limit, a mark below is an event (a switch, a cap, ready). "
                    span class="script-only" {
                        "Move over a plot, or use the arrow keys in it, to read all of them at one time; drag over a stretch, or use \
                         + and \u{2212}, to look closer, 0 to see all."
                    }
                }
                p class="looks script-only" {
                    button type="button" data-look="in" { "closer" }
                    button type="button" data-look="out" { "wider" }
                    button type="button" data-look="all" { "all" }
                }
                div id="reading" class="reading script-only" aria-live="polite" hidden {}
                div id="histories" class="figures one" {
                    @for plot in plots { (figure(plot, "history")) }
                }
            }
        }
    }

    /// Times and numbers of the plots, for the script.
    pub(super) fn data(&self) -> Markup {
        let Some(histories) = self.report.cycle.as_ref().and_then(|cycle| cycle.histories.as_ref())
        else {
            return html! {};
        };
        let events = self.report.cycle.iter().flat_map(events);
        let events: Vec<Json> = events.map(|event| json!([event.at_s, event.what])).collect();
        let phases = histories.phases.iter().map(|(name, rows)| {
            let at = |row: usize| histories.times_s.get(row).copied();
            json!([name, at(rows.start), at(rows.end.saturating_sub(1))])
        });
        let data = json!({
            "plot": PLOT,
            "times": histories.times_s.iter().map(|s| rounded(*s)).collect::<Json>(),
            "columns": self.columns(histories),
            "phases": phases.collect::<Json>(),
            "events": events,
        });
        // Nothing in it may end the element that it stands in.
        let text = data.to_string().replace('<', "\\u003c");
        html! { script type="application/json" id="data" { (PreEscaped(text)) } }
    }

    fn columns(&self, histories: &Histories) -> Json {
        let one = |k: usize| {
            let column = &histories.columns[k];
            let rows = || histories.rows.iter().map(|row| row[k]);
            let largest = rows().filter(|x| x.is_finite()).fold(0.0, |m: f64, x| m.max(x.abs()));
            let step = if largest > 0.0 { largest * STEP } else { 1.0 };
            let units = self.pen.units().iter().map(|units| unit(column.kind, largest, *units));
            json!({
                "name": column.address,
                "one": column.kind == Kind::Temperature,
                "units": units.collect::<Json>(),
                "step": step,
                "rows": steps(rows(), step),
            })
        };
        (0..histories.columns.len()).map(one).collect()
    }
}

/// A unit: its class, factor and offset over SI, and its sign.
pub(super) fn unit(kind: Kind, largest: f64, units: UnitSystem) -> Json {
    let unit = InUnit::suited(kind, largest, units);
    let offset = unit.number(0.0);
    let (id, _) = super::units_of(units);
    json!([id, unit.number(1.0) - offset, offset, unit.symbol])
}

/// The numbers of a column go by steps of this share of the largest, which is six digits: more than any plot shows.
const STEP: f64 = 1e-6;

/// The numbers of a column in whole steps, each over the last that is known: most of them are short.
fn steps(rows: impl Iterator<Item = f64>, step: f64) -> Json {
    let mut last = 0;
    let one = |number: f64| {
        if !number.is_finite() {
            return Json::Null;
        }
        #[expect(clippy::cast_possible_truncation, reason = "a million at most")]
        let now = (number / step).round() as i64;
        let over = now - last;
        last = now;
        json!(over)
    };
    rows.map(one).collect()
}

/// A number with six digits: more than any plot shows.
fn rounded(number: f64) -> Json {
    if !number.is_finite() {
        return Json::Null;
    }
    format!("{number:.5e}").parse::<f64>().map_or(Json::Null, |number| json!(number))
}
