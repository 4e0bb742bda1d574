//! The stand card.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;

use crate::answer::{Cell, Form, Lay, Section, Sentence, Table, Value, kinds};
use crate::say;
use crate::study::sheets::{Card, OnGauge, Step};

/// What each gauge shows at each step.
pub fn stand(ready: &Ready, card: &Card) -> Vec<Section> {
    let mut sections = vec![head(ready)];
    sections.extend(card.steps.iter().enumerate().map(|(k, step)| of_step(ready, k, step)));
    sections
}

fn head(ready: &Ready) -> Section {
    let section = Section::new(
        "stand",
        "STAND CARD: step by step, each from where the one before ended, but where it says otherwise",
    );
    let section = section.say(
        "Band: what the design may be off by because published laws disagree. In the band: it is as designed. Outside: \
         stop and find out why, before the next step. Where the gauge's own error is over half of the band the reading \
         cannot tell; where nobody told its error, nothing is promised. The band is that of the reading at the \
         end of a step; `no band` where that never comes to rest by itself, or coolant boils first. Stop: at \
         that reading take the load off at once, pumps and fans on.",
        Lay::Paragraph,
    );
    let section = section.say(
        "Hot coolant scalds, fans start by themselves, hoses burst: shields up, nobody beside the core, one hand on the stop.",
        Lay::Paragraph,
    );
    let section = section.say(
        "Before the first step all thermometers of a cold circuit must show the same, within their errors. Heats that come \
         in by themselves are taken to go with the load.",
        Lay::Paragraph,
    );
    if ready.model.gauges.is_empty() {
        return section.say(
            "The case has no `gauges`: there is nothing to read, so the card has currents only.",
            Lay::Paragraph,
        );
    }
    section
}

fn of_step(ready: &Ready, k: usize, step: &Step) -> Section {
    let title = say!("Step {number}: {name}", number = k + 1, name = &step.name);
    let mut table = Table::new()
        .words("gauge", "gauge")
        .values("start", "start")
        .values("quarter", "after 1/4")
        .values("half", "1/2")
        .values("end", "at the end")
        .values("band", "band \u{b1}")
        .values("error", "gauge \u{b1}")
        .words("stop", "stop")
        .words("verdict", "verdict")
        .mixed();
    for of in &step.gauges {
        let gauge = &ready.model.gauges[of.gauge];
        table.row(format!("gauges/{}", gauge.name), row(of, &gauge.name));
    }
    let hold = Value::of(Kind::Time, step.hold_s);
    let machines: Value =
        if step.runs.is_empty() { "nothing".into() } else { Value::list(&step.runs, ", ") };
    let mut section = Section::new("stand_steps", title)
        .of(&step.name)
        .say(
            say!(
                "hold {hold}, {share} of full power; runs, where its switch lets it: {machines}",
                hold = hold,
                share = Value::percent(step.share, 0),
                machines = machines
            ),
            Lay::Paragraph,
        )
        .table(table);
    for (circuit, start_k) in &step.warm {
        section = section.say(
            say!(
                "before this step warm up `{circuit}` until all of it is at {start}, with as little load as that takes",
                circuit = circuit,
                start = Value::of(Kind::Temperature, *start_k)
            ),
            Lay::Inset,
        );
    }
    if step.engine_speed > 0.0 {
        let speed = Value::of(Kind::RotationalSpeed, step.engine_speed);
        section = section.say(
            say!(
                "engine at {speed}: its pump turns with it, so every reading hangs on that",
                speed = speed
            ),
            Lay::Inset,
        );
    }
    for (supply, amps) in &step.currents_a {
        section = section.say(
            say!(
                "`{supply}` gives {amps}",
                supply = supply,
                amps = Value::of(Kind::Current, *amps)
            ),
            Lay::Inset,
        );
    }
    if let Some(at) = step.boils_s {
        section = section.say(
            say!(
                "by the model the coolant boils {at} into this step: do not go there",
                at = Value::of(Kind::Time, at)
            ),
            Lay::Inset,
        );
    } else if step.gauges.is_empty() && !ready.model.gauges.is_empty() {
        section = section.say("not reached by the model: do not go there", Lay::Inset);
    }
    for (limit, at_s) in &step.breaks {
        let mind = if step.share > 0.0 {
            "take the load off before that"
        } else {
            "nothing loads it here, so the limit is of other work, or the step is not for this vehicle"
        };
        section = section.say(
            say!(
                "by the model `{limit}` breaks {at} into this step: {mind}",
                limit = limit,
                at = Value::of(Kind::Time, *at_s),
                mind = mind
            ),
            Lay::Inset,
        );
    }
    for circuit in &step.opens {
        section = section.say(
            say!(
                "the cap of `{circuit}` opens in this step: keep away, coolant or gas comes out",
                circuit = circuit
            ),
            Lay::Inset,
        );
    }
    section
}

fn row(of: &OnGauge, name: &str) -> Vec<Cell> {
    let kind = kinds::difference(of.kind);
    let off = |si: f64| Value::formed(kind, si, Form::Off);
    let shows = of.shows.map(|si| Cell::from(Value::of(of.kind, si)));
    let stop: Value = match of.stop {
        Some((at, true)) => say!("at {at}", at = Value::of(of.kind, at)).into(),
        Some((at, false)) => say!("below {at}", at = Value::of(of.kind, at)).into(),
        None => Value::Nothing,
    };
    let verdict: Sentence = match (of.band, of.tells()) {
        (None, _) => "no band".into(),
        (Some(_), Some(false)) => "cannot tell".into(),
        (Some(_), None) => "no error told".into(),
        (Some(_), Some(true)) => "[ ] pass [ ] fail".into(),
    };
    let [start, quarter, half, end] = shows;
    vec![
        name.into(),
        start,
        quarter,
        half,
        end,
        of.band.map(off).into(),
        of.error.map(off).into(),
        stop.into(),
        verdict.into(),
    ]
}
