//! What was found in the log, and prediction beside measurement.

use coolwright_cases::quantity::Kind;

use super::{Beside, Told};
use crate::answer::{Cell, Form, Lay, Section, Sentence, Table, Value, kinds};
use crate::say;

/// What was found in the log.
pub(super) fn read(told: &Told<'_>) -> Section {
    let mut points: Vec<Sentence> = told.read.iter().map(|text| Sentence::spoken(text)).collect();
    for of in &told.started {
        let apart = if of.apart_k > 3.0 {
            say!(
                " (its thermometers are {apart} apart then: it was not at rest)",
                apart = Value::of(Kind::TemperatureDifference, of.apart_k)
            )
            .into()
        } else {
            Value::from("")
        };
        points.push(say!(
            "`{circuit}` starts at {k}, as its thermometers show; the case says {case}{apart}",
            circuit = &of.circuit,
            k = Value::of(Kind::Temperature, of.k),
            case = Value::of(Kind::Temperature, of.case_k),
            apart = apart
        ));
    }
    for (address, along) in told.drives.iter().filter(|(_, along)| along.lines > 0) {
        let kind = kinds::difference(along.kind);
        let amount = |si: f64| match along.kind {
            Kind::Fraction => Value::percent(si, 1),
            _ => Value::formed(kind, si, Form::Off),
        };
        points.push(say!(
            "`{address}` drives along {lines}, of the same mean as the log and off it by {spread} (one standard \
             deviation), {most} at most",
            address = address.clone(),
            lines = if along.lines == 1 {
                Value::from("one straight line")
            } else {
                say!("{count} straight lines", count = along.lines).into()
            },
            spread = amount(along.spread),
            most = amount(along.most)
        ));
    }
    for of in told.gauges.iter().filter(|of| of.behind_s != 0.0) {
        let way = if of.behind_s > 0.0 { "behind" } else { "ahead of" };
        points.push(say!(
            "the clock of `{gauge}` is {time} {way} what drives, beyond transport and lag: taken back",
            gauge = &of.gauge,
            time = Value::formed(Kind::Time, of.behind_s.abs(), Form::Usual),
            way = way
        ));
    }
    for (gauge, why) in &told.left_gauges {
        points.push(say!("`{gauge}` is not compared: {why}", gauge = gauge, why = *why));
    }
    if !told.unused.is_empty() {
        let shown = told.unused.iter().take(12).cloned();
        points.push(say!(
            "not used: {names}{more}",
            names = Value::list(shown, ", "),
            more = if told.unused.len() > 12 { " and more" } else { "" }
        ));
    }
    let works = told.phases.iter().filter(|(name, _)| name.starts_with("work")).count();
    let rests = told.phases.iter().filter(|(name, _)| name.starts_with("rest")).count();
    if works + rests > 0 {
        points.push(say!(
            "by its power {works} stretches at work and {rests} at rest",
            works = works,
            rests = rests
        ));
    }
    let guessed: Vec<&str> =
        (told.gauges.iter().filter(|of| !of.is_told)).map(|of| of.gauge.as_str()).collect();
    if !guessed.is_empty() {
        points.push(say!(
            "the case gives no `error` of {gauges}: what such gauges are usually off by is assumed",
            gauges = Value::list(guessed, ", ")
        ));
    }
    Section::new("read", "The log").support().points(points)
}

/// Gauge by gauge.
pub(super) fn beside(told: &Told<'_>) -> Section {
    let mut table = Table::new()
        .words("gauge", "gauge")
        .values("tolerance", "may be\noff by")
        .values("plain", "measured less\nas it stands")
        .for_programs("plain_spread", None)
        .for_programs("learnt", None)
        .values("learnt_spread", "around what\nwas learnt")
        .values("most", "at most")
        .may_go()
        .for_programs("most_at", Some(Kind::Time))
        .values("offset", "its own\noffset")
        .values("offset_sure", "±")
        .words("agrees", "agrees")
        .for_programs("cells", None)
        .for_programs("wild", None)
        .for_programs("behind_s", Some(Kind::Time))
        .for_programs("alike", Some(Kind::Number))
        .mixed();
    for of in &told.gauges {
        let kind = kinds::difference(of.kind);
        let change = |si: f64| Value::formed(kind, si, Form::Change);
        let agrees = of.agrees(&of.learnt);
        let cells: [Cell; 15] = [
            (&of.gauge).into(),
            Value::of(kind, of.tolerance).into(),
            change(of.plain.mean).into(),
            Value::formed(kind, of.plain.spread, Form::Off).into(),
            change(of.learnt.mean).into(),
            Value::formed(kind, of.learnt.spread, Form::Off).into(),
            change(of.learnt.most).into(),
            Value::clock(of.learnt.at_s).into(),
            change(of.offset).into(),
            Value::formed(kind, of.offset_u, Form::Off).into(),
            Value::judged(agrees, if agrees { "yes" } else { "NO" }).into(),
            of.cells.into(),
            of.wild.into(),
            Value::of(Kind::Time, of.behind_s).into(),
            Value::of(Kind::Number, of.alike).into(),
        ];
        table.row(format!("gauges/{}", of.gauge), cells);
    }
    let mut section =
        Section::new("beside", "Prediction beside measurement, gauge by gauge").table(table);
    let off: Vec<&Beside> = told.gauges.iter().filter(|of| !of.agrees(&of.learnt)).collect();
    for of in off {
        let kind = kinds::difference(of.kind);
        section = section.say(
            say!(
                "`{gauge}` does not fit with what was learnt either: {most} at {at}. Something is there that these numbers \
                 do not say, or the gauge is wrong.",
                gauge = &of.gauge,
                most = Value::formed(kind, of.learnt.most, Form::Change),
                at = Value::clock(of.learnt.at_s)
            ),
            Lay::Paragraph,
        );
    }
    section
}
