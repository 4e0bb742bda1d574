//! What stands beside a verdict: what speaks against one that holds, and the bars that were moved for it.

use coolwright_cases::lower::{BuiltInKind, LimitSpec, LoweredPhase, Ready};
use coolwright_cases::quantity::Kind;
use coolwright_models::body::Body;
use coolwright_models::cycle::History;
use coolwright_models::ids::Id;
use coolwright_models::inputs::POWER;
use coolwright_models::results::Results;
use coolwright_models::results::quantities as q;
use coolwright_models::slots::Values;
use coolwright_models::warnings::Warning;

use super::check;
use crate::answer::{Sentence, Value, Verdict};
use crate::say;
use crate::study::{Bound, Findings, Readiness, ReadyTarget, loosened};
use crate::words::warnings;

/// What stands beside a verdict.
#[derive(Clone, Debug, Default)]
pub struct Beside {
    /// What takes the right from a verdict that holds: it will not work, whatever the limits say.
    pub grave: Vec<Sentence>,
    /// Rests that do not make ready, where the case says when it is.
    pub late: Vec<Sentence>,
    /// What speaks against a verdict that holds.
    pub against: Vec<Sentence>,
    /// Limits that the case has loosened or switched off.
    pub case_bars: Vec<Sentence>,
    /// Limits that a variant has changed, and what it asks less of.
    pub variant_bars: Vec<Sentence>,
}

impl Beside {
    /// What the case and its variant say of their limits. `plain` is the case without the variant.
    pub fn of(ready: &Ready, plain: Option<&Ready>) -> Self {
        let variant_bars = plain.map_or_else(Vec::new, |plain| {
            moved(ready, plain).into_iter().chain(eased(ready, plain)).collect()
        });
        Self { case_bars: case_bars(ready), variant_bars, ..Self::default() }
    }

    /// Whether nothing speaks against a verdict, and no variant has moved a bar for it.
    pub fn is_quiet(&self) -> bool {
        self.told().next().is_none() && self.variant_bars.is_empty()
    }

    /// All that speaks against a verdict, the gravest first.
    pub fn told(&self) -> impl Iterator<Item = &Sentence> {
        self.grave.iter().chain(&self.late).chain(&self.against)
    }

    /// A verdict on limits, with what no limit speaks of: readiness that is missed is broken, and where something
    /// grave stands nothing holds.
    pub fn weighs(&self, verdict: Verdict) -> Verdict {
        match verdict {
            Verdict::Holds if !self.late.is_empty() => Verdict::Broken,
            Verdict::Holds if !self.grave.is_empty() => Verdict::NotJudged,
            other => other,
        }
    }

    /// Adds what `check` finds that will not work.
    pub fn layout(&mut self, findings: &Findings) {
        let of = |what| say!("layout: {what}; see `check`", what = what);
        self.grave.extend(check::serious(findings).into_iter().map(of));
        self.against.extend(check::beside(findings).into_iter().map(of));
    }

    /// Adds what was met that no limit speaks of.
    pub fn met<'w>(&mut self, ready: &Ready, met: impl Iterator<Item = &'w Warning>) {
        for warning in met {
            if warnings::is_grave(warning) {
                self.grave.push(warnings::sentence(&ready.model, warning));
            } else if warnings::speaks_against(warning) {
                self.against.push(warnings::sentence(&ready.model, warning));
            }
        }
    }

    /// Takes the gravity from what is grave where no heat comes in: then nothing needs what does not work.
    pub fn cold(&mut self, ready: &Ready, values: &Values) {
        let air_k = values.get(ready.model.site.temperature);
        let cold = |body: &Body, values: &Values| {
            body.heat_w(values, air_k) <= 0.0 && values.get(body.power) <= 0.0
        };
        let bodies = &ready.model.bodies;
        if !bodies.iter().all(|body| cold(body, values)) {
            return;
        }
        let grave = std::mem::take(&mut self.grave);
        self.against.splice(0..0, grave);
        let full = &ready.model.values;
        if !bodies.is_empty() && bodies.iter().all(|body| cold(body, full)) {
            self.against.push("no heat comes in at full power either: only flows are tried".into());
        }
    }

    /// Adds what became of ice: that the next round has less than it needs, or of one round that all of it is gone.
    pub fn ice(&mut self, ready: &Ready, history: &History) {
        let phases = &ready.duty.phases[..history.phases.len()];
        let again = |phase: &LoweredPhase| phase.plain == phases[0].plain;
        let Some(last) = phases.iter().rposition(again) else { return };
        let row_s = &history.times_s;
        for (index, entry) in history.catalogue.entries().iter().enumerate() {
            let at = |row: usize| history.rows[row][index];
            let end = at(history.rows.len() - 1);
            let melts = at(history.phases[last].rows.start) - end;
            if entry.quantity != &q::ICE || at(0) <= 0.0 {
                continue;
            }
            let tank = ready.model.address(entry.id);
            let gone = (0..history.rows.len()).find(|&row| at(row) <= GONE * at(0));
            match gone {
                Some(row) => self.against.push(say!(
                    "all ice of `{tank}` is gone {at} after the start",
                    tank = tank,
                    at = Value::clock(row_s[row])
                )),
                None if last > 0 && end < melts => self.against.push(say!(
                    "`{tank}` has {end} of ice left of {start}, and the last round melted {melts}: the next one runs \
                     out of it",
                    tank = tank,
                    end = Value::of(Kind::Mass, end),
                    start = Value::of(Kind::Mass, at(0)),
                    melts = Value::of(Kind::Mass, melts)
                )),
                None => {}
            }
        }
    }

    /// Adds pulls that begin before the vehicle is ready for them, where the case says when it is.
    pub fn rests(&mut self, ready: &Ready, targets: &[ReadyTarget], rests: &[Readiness]) {
        if targets.iter().all(|target| target.assumed) {
            return;
        }
        if rests.is_empty() {
            self.grave.push(
                "`ready` is not judged: the cycle is one pull, and nothing follows it".into(),
            );
        }
        let late: Vec<&Readiness> = rests.iter().filter(|rest| rest.after_s.is_none()).collect();
        let Some(first) = late.first() else { return };
        let when = match first.pull {
            Some(pull) => say!("when `{pull}` begins", pull = &ready.duty.phases[pull].name),
            None => "at the end of the cycle".into(),
        };
        let more = match late.len() - 1 {
            0 => Sentence::from(""),
            1 => ", and once more".into(),
            more => say!(", and {more} times more", more = more),
        };
        let of = &targets[first.last].of;
        self.late.push(say!("not ready {when}{more}: {of}", when = when, more = more, of = of));
    }

    /// Adds that a survey takes fans as on that their switches would leave off.
    pub fn switches(&mut self, ready: &Ready, results: &Results) {
        for switch in &ready.model.switches {
            let (c, r, p) = switch.feels;
            let feels = results.of(Id::Part(c, r, p), &q::TEMPERATURE_OUT);
            let on = ready.model.values.get(switch.on);
            if let Some(feels) = feels.filter(|feels| *feels < on) {
                self.against.push(say!(
                    "taken as on, though its switch feels {feels} only and goes on at {on}: {fan}; `cycle` \
                     follows switches",
                    fan = &switch.name,
                    feels = Value::of(Kind::Temperature, feels),
                    on = Value::of(Kind::Temperature, on),
                ));
            }
        }
    }
}

/// Built-in limits that are off, or looser than usual.
fn case_bars(ready: &Ready) -> Vec<Sentence> {
    let mut bars = Vec::new();
    let off = ready.built_in.changed.iter().filter(|(_, bound)| bound.is_none());
    let off: Vec<Sentence> = off.map(|(kind, _)| say!("`{name}`", name = kind.word())).collect();
    if !off.is_empty() {
        bars.push(say!(
            "The case switches built-in limits off: {names}",
            names = Value::list(off, ", ")
        ));
    }
    let looser = loosened(&ready.built_in);
    if !looser.is_empty() {
        let names = Value::list(looser.into_iter().map(loose), ", ");
        bars.push(say!("The case loosens built-in limits: {names}", names = names));
    }
    bars
}

fn loose((kind, bound, told, usual): (BuiltInKind, Bound, f64, f64)) -> Sentence {
    let side = match bound {
        Bound::AtLeast => "at least",
        Bound::AtMost => "at most",
    };
    let of = |si| Value::of(kind.of(), si);
    say!(
        "`{name}` {side} {told} (usual {usual})",
        name = kind.word(),
        side = side,
        told = of(told),
        usual = of(usual)
    )
}

/// What a variant asks less of than the case: power, driving, warmth of the air. It may hold for that alone.
fn eased(ready: &Ready, plain: &Ready) -> Option<Sentence> {
    let air = |ready: &Ready| ready.model.values.get(ready.model.site.temperature);
    let asked: [(&'static str, Kind, [f64; 2]); 3] = [
        ("full power", Kind::Power, [full_power(ready), full_power(plain)]),
        ("driving at full power, in all", Kind::Time, [driven_s(ready), driven_s(plain)]),
        ("air", Kind::Temperature, [air(ready), air(plain)]),
    ];
    let less = asked.into_iter().filter(|(_, _, [now, was])| *now < was - ROUNDING * was.abs());
    let less: Vec<Sentence> = less
        .map(|(what, kind, [now, was])| {
            let of = |si| match kind {
                Kind::Time => Value::clock(si),
                _ => Value::of(kind, si),
            };
            say!("{what} {now} (else {was})", what = what, now = of(now), was = of(was))
        })
        .collect();
    let told = |less| say!("this variant asks for less: {less}", less = Value::list(less, ", "));
    (!less.is_empty()).then(|| told(less))
}

/// Full power of a case, W; 0 where it tells none.
fn full_power(ready: &Ready) -> f64 {
    let share = ready.duty.point_share.filter(|share| *share > 0.0).unwrap_or(1.0);
    ready.model.inputs.value(&ready.model.values, POWER) / share
}

/// How long full power would be given for as much work as the duty cycle asks for, s.
fn driven_s(ready: &Ready) -> f64 {
    ready.duty.phases.iter().map(|phase| phase.power_share * phase.time_s).sum()
}

/// Ice below this share of what there was is gone.
const GONE: f64 = 1e-3;

/// A change below this share of a value is rounding.
const ROUNDING: f64 = 1e-9;

/// Limits that a variant has changed, added or taken away.
fn moved(ready: &Ready, plain: &Ready) -> Vec<Sentence> {
    let text = |spec: &LimitSpec| {
        let bounds = [&spec.min, &spec.max].map(|bound| bound.as_ref().map(|b| b.value.clone()));
        (spec.of.value.clone(), bounds, spec.during.clone())
    };
    let other =
        |name: &str, among: &[LimitSpec]| among.iter().find(|spec| spec.name == name).map(text);
    let all = plain.limits.iter().chain(&ready.limits);
    let mut names: Vec<&str> = Vec::new();
    for spec in all {
        let differs = other(&spec.name, &plain.limits) != other(&spec.name, &ready.limits);
        if differs && !names.contains(&spec.name.as_str()) {
            names.push(&spec.name);
        }
    }
    let (now, was) = (&ready.built_in.changed, &plain.built_in.changed);
    let changed = BuiltInKind::ALL.iter().filter(|kind| now.get(kind) != was.get(kind));
    names.extend(changed.map(|kind| kind.word()));
    if names.is_empty() {
        return Vec::new();
    }
    let names = Value::list(names.into_iter().map(|name| say!("`{name}`", name = name)), ", ");
    vec![say!("this variant changes limits: {names}", names = names)]
}
