//! Variants side by side: for each limit, where every variant stands against the bound.

use super::canvas::{Anchor, Canvas, Picture, at, fitted, width_of};
use super::limits::{LimitShown, limits_of};
use super::pen::{Pen, Told, words};
use super::scale::Scale;
use crate::answer::{Answer, Value};

const WIDTH: f64 = 560.0;
const ROW: f64 = 24.0;

/// A picture for each limit of the case that some variant was judged by.
pub(super) fn pictures(pen: &Pen, answer: &Answer) -> Vec<Picture> {
    let all: Vec<(&str, Vec<LimitShown>)> = answer
        .variants
        .iter()
        .map(|v| (v.name.as_str(), v.limits.as_ref().map(limits_of).unwrap_or_default()))
        .collect();
    let mut names: Vec<&str> = Vec::new();
    for limit in all.iter().flat_map(|(_, limits)| limits) {
        let shown = !limit.built_in || limit.standing != "kept";
        if shown && !names.contains(&limit.name.as_str()) {
            names.push(&limit.name);
        }
    }
    names.iter().map(|name| picture(pen, name, &all)).collect()
}

fn picture(pen: &Pen, name: &str, all: &[(&str, Vec<LimitShown>)]) -> Picture {
    let of = |limits: &'_ [LimitShown]| limits.iter().find(|limit| limit.name == name).cloned();
    let rows: Vec<(&str, Option<LimitShown>)> =
        all.iter().map(|(variant, limits)| (*variant, of(limits))).collect();
    let mut canvas = Canvas::new(pen, WIDTH, ROW * rows.len() as f64 + 44.0);
    let names: Vec<Told> = rows.iter().map(|(variant, _)| words(*variant)).collect();
    let widest = names.iter().map(|name| width_of(name, 11.0)).fold(0.0, f64::max);
    let (left, right) = ((widest + 22.0).min(240.0), WIDTH - 190.0);
    let shown = || rows.iter().filter_map(|(_, limit)| limit.as_ref());
    let numbers = shown().flat_map(|limit| [limit.si.unwrap_or(f64::NAN), limit.bound_si]);
    let x = Scale::around(numbers, 0.12, [left, right]);
    let bottom = 12.0 + ROW * rows.len() as f64;
    if let Some(limit) = shown().next() {
        bound(&mut canvas, limit, (&x, bottom));
    }
    for (k, ((_, limit), told)) in rows.iter().zip(&names).enumerate() {
        let y = 10.0 + ROW * (k as f64 + 0.5);
        let name = fitted(told, 11.0, left - 14.0);
        canvas.label(&[at(left - 12.0, y + 4.0, Anchor::End, 11.0)], "name", &name);
        row(&mut canvas, limit.as_ref(), (&x, y));
    }
    let title = shown().next().map_or_else(
        || words(name),
        |limit| pen.told(|style| format!("`{name}`: {}", style.value(&limit.bound))),
    );
    canvas.done(format!("variants/{name}"), title)
}

/// The bound, and what lies beyond it.
fn bound(canvas: &mut Canvas<'_>, limit: &LimitShown, (x, bottom): (&Scale, f64)) {
    let place = x.at(limit.bound_si);
    let [left, right] = x.px;
    let frame =
        if limit.at_most { [place, 8.0, right, bottom] } else { [left, 8.0, place, bottom] };
    canvas.rect(frame, "beyond");
    canvas.line([place, 6.0], [place, bottom + 2.0], "bound");
    let told = canvas.pen.told(|style| {
        let bound = style.value(&Value::of(limit.kind, limit.bound_told));
        format!("{} {bound}", if limit.at_most { "at most" } else { "at least" })
    });
    let places = [Anchor::Middle, Anchor::Start, Anchor::End];
    canvas.label(&places.map(|anchor| at(place, bottom + 18.0, anchor, 10.0)), "num", &told);
}

/// A variant against the bound.
fn row(canvas: &mut Canvas<'_>, limit: Option<&LimitShown>, (x, y): (&Scale, f64)) {
    let [left, right] = x.px;
    canvas.line([left, y], [right, y], "grid");
    let place = at(right + 14.0, y + 4.0, Anchor::Start, 11.0);
    let Some(limit) = limit else {
        canvas.label(&[place], "num", &words("not solved, or has no such result"));
        return;
    };
    let class = format!("state {}", limit.class());
    if let Some(si) = limit.si {
        if let Some(off) = limit.off {
            let [low, high] = [x.at(si - off).max(left), x.at(si + off).min(right)];
            canvas.line([low, y], [high, y], "whisker");
        }
        let place = [x.at(si), y];
        if limit.standing == "kept" {
            canvas.circle(place, 5.0, "point kept");
        } else {
            let [x, y] = place;
            canvas.path(
                &format!("M{:.1} {:.1}l10 10m0 -10l-10 10", x - 5.0, y - 5.0),
                &format!("point {}", limit.class()),
            );
        }
    }
    let told = canvas.pen.told(|style| format!("{}  {}", style.value(&limit.value), limit.word()));
    canvas.label(&[place], &class, &told);
}
