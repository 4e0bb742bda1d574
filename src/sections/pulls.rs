//! What each pull of a cycle brings: limits at their worst in it and in the rest behind it, and gauges at its end.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::History;
use coolwright_models::ids::Id;
use coolwright_models::results::quantities as q;

use super::verdict::{margin, seen, value};
use crate::answer::{Lay, Section, Seen, Sentence, Table, Value};
use crate::study::{InPull, Judged, Standing, pulls};

/// So many limits people see pull by pull: those that come closest.
const LIMITS: usize = 3;
/// Of more pulls than this people see the first and the last ones.
const MOST: usize = 6;

/// Whether people see a pull of so many.
fn by_people(pull: usize, of: usize) -> bool {
    of <= MOST || pull < MOST / 2 || pull + MOST / 2 >= of
}

/// Limits in each pull, where there are several.
pub fn limits(judged: &[Judged]) -> Section {
    let mut table = Table::new()
        .words("limit", "limit")
        .may_go()
        .numbers("pull", "pull", Kind::Number)
        .numbers("from", "from\nmin:s", Kind::Time)
        .values("worst", "worst")
        .numbers("at", "when\nmin:s", Kind::Time)
        .words("margin", "margin")
        .numbers("broken_from", "broken\nfrom\nmin:s", Kind::Time)
        .numbers("broken_for", "broken\nfor\nmin:s", Kind::Time)
        .only_filled();
    let close = closest(judged);
    for (k, limit) in judged.iter().enumerate() {
        for (p, pull) in limit.pulls.iter().enumerate() {
            let of_pull = of_pull(limit, pull);
            let time = |s: Option<f64>| s.map(Value::clock);
            let cells = [
                (&limit.limit.name).into(),
                Value::decimals((p + 1) as f64, 0).into(),
                Value::clock(pull.from_s).into(),
                value(&of_pull).into(),
                Value::clock(pull.at_s).into(),
                margin(&of_pull).into(),
                time(pull.first_s).into(),
                time(pull.first_s.map(|_| pull.beyond_s)).into(),
            ];
            let people = close.contains(&k) && by_people(p, limit.pulls.len());
            let seen = if people { Seen::All } else { Seen::Programs };
            table.add(Some(limit.limit.of.clone()), cells, seen);
        }
    }
    let title = "Limits in each pull, with the rest behind it";
    Section::new("pulls", title).support().table(table)
}

/// The limits that people see in each pull: those that leave the least of the margin that they began with.
fn closest(judged: &[Judged]) -> Vec<usize> {
    let left = |limit: &Judged| {
        let margins = || limit.pulls.iter().map(|pull| limit.limit.margin(pull.worst));
        let (least, most) = margins().fold((f64::INFINITY, 0.0_f64), |(least, most), margin| {
            (least.min(margin), most.max(margin.abs()))
        });
        let scale = limit.limit.value.abs().max(most);
        if scale > 0.0 { least / scale } else { least }
    };
    let shown = |k: &usize| seen(&judged[*k]).by_people() && !judged[*k].pulls.is_empty();
    let mut order: Vec<usize> = (0..judged.len()).filter(shown).collect();
    order.sort_by(|&a, &b| left(&judged[a]).total_cmp(&left(&judged[b])));
    order.truncate(LIMITS);
    order
}

/// A limit as it stands in one pull.
pub(super) fn of_pull(limit: &Judged, pull: &InPull) -> Judged {
    let broken = pull.first_s.is_some() || limit.limit.margin(pull.worst) < 0.0;
    let standing = if broken { Standing::Broken } else { Standing::Kept };
    Judged {
        standing,
        value: Some(pull.worst),
        at_s: Some(pull.at_s),
        first_s: pull.first_s,
        beyond_s: pull.first_s.map(|_| pull.beyond_s),
        ..limit.clone()
    }
}

/// What every gauge shows at the end of each pull, and its coolant's own temperature, where there are several pulls.
pub fn gauges(ready: &Ready, history: &History) -> Section {
    let mut table = Table::new()
        .words("gauge", "gauge")
        .numbers("pull", "pull", Kind::Number)
        .numbers("at", "ends\nmin:s", Kind::Time)
        .values("shows", "shows")
        .numbers("coolant", "its coolant", Kind::Temperature)
        .only_filled();
    let count = history.phases.len().min(ready.duty.phases.len());
    let pulls = pulls(&ready.duty.phases[..count]);
    let model = &ready.model;
    let gauges = model.gauges.iter().enumerate().map(|(g, gauge)| {
        (Id::Gauge(g), &gauge.name, history.catalogue.place(Id::Gauge(g), gauge.reading()))
    });
    let rises = model.rises.iter().enumerate().map(|(r, rise)| {
        (Id::Rise(r), &rise.name, history.catalogue.place(Id::Rise(r), rise.shown(&model.gauges)))
    });
    for (id, name, place) in gauges.chain(rises) {
        let Some(place) = place.filter(|_| pulls.len() > 1) else { continue };
        let kind = history.catalogue.entries()[place].quantity.kind;
        let coolant = history.catalogue.place(id, &q::TRUE_TEMPERATURE);
        for (p, pull) in pulls.iter().enumerate() {
            let phase = &history.phases[pull.end - 1];
            let row = &history.rows[phase.rows.end - 1];
            let cells = [
                name.into(),
                Value::decimals((p + 1) as f64, 0).into(),
                Value::clock(phase.to_s).into(),
                Value::of(kind, row[place]).into(),
                coolant.map(|place| Value::of(Kind::Temperature, row[place])).into(),
            ];
            let seen = if by_people(p, pulls.len()) { Seen::All } else { Seen::Programs };
            table.add(Some(model.address(id)), cells, seen);
        }
    }
    let section = Section::new("gauges_in_pulls", "Gauges at the end of each pull").support();
    let behind = "A thermometer shows what its sheath has come to; its coolant is ahead of it.";
    section.table(table).aside(Sentence::from(behind), Lay::Inset)
}
