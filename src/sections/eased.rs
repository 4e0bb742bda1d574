//! What a variant changes of what is asked: less of power, heat, time, warmth and height, or other limits.

use coolwright_cases::lower::{BuiltInKind, LimitSpec, LoweredPhase, Ready, ReadySpec};
use coolwright_cases::quantity::Kind;
use coolwright_cases::text::Spanned;
use coolwright_models::charge::expected_heats_w;
use coolwright_models::ids::Id;
use coolwright_models::inputs::ROAD_SPEED;
use coolwright_models::slots::Values;

use crate::answer::{Sentence, Value};
use crate::say;
use crate::study::{full_power_w, pulling, pulls, values_in};

/// A change below this share of a value is rounding.
const ROUNDING: f64 = 1e-9;
/// Of how many bodies that get less heat, and starts that are colder, is told.
const MOST: usize = 2;

/// What was found, and how much more of it there is.
#[derive(Default)]
struct Eased {
    told: Vec<Sentence>,
}

impl Eased {
    /// Adds a number that is less than it was.
    fn tell(&mut self, what: Sentence, [now, was]: [Value; 2]) {
        self.told.push(say!("{what} {now} (else {was})", what = what, now = now, was = was));
    }

    /// Adds the first of several, and how many more there are.
    fn tell_some(&mut self, found: Vec<(Sentence, [Value; 2])>) {
        let more = found.len().saturating_sub(MOST);
        for (what, values) in found.into_iter().take(MOST) {
            self.tell(what, values);
        }
        if more > 0 {
            self.told.push(say!("{more} more of that kind", more = more));
        }
    }
}

fn less([now, was]: [f64; 2]) -> bool {
    now < was - ROUNDING * was.abs()
}

/// What a variant asks less of than the case: power, heat, time at it, warmth of the air or of the start, thick air,
/// standing still. It may hold for that alone.
pub(super) fn eased(ready: &Ready, plain: &Ready) -> Option<Sentence> {
    let mut eased = Eased::default();
    let full = [full_power_w(ready), full_power_w(plain)];
    let most = [most_power(ready), most_power(plain)];
    if less(full) {
        eased.tell("full power".into(), full.map(|si| Value::of(Kind::Power, si)));
    } else if less(most) {
        eased.tell("power at most".into(), most.map(|si| Value::of(Kind::Power, si)));
    } else {
        eased.tell_some(heats(ready, plain));
    }
    times(ready, plain, &mut eased);
    let air = |ready: &Ready, values: &Values| values.get(ready.model.site.temperature);
    in_phases(ready, plain, ("air", Kind::Temperature), &air, &mut eased);
    // Slower on the road is harder.
    let still = |ready: &Ready, values: &Values| -ready.model.inputs.value(values, ROAD_SPEED);
    in_phases(ready, plain, ("on the road at", Kind::Speed), &still, &mut eased);
    let height = [ready, plain].map(|ready| ready.model.values.get(ready.model.site.altitude));
    if less(height) {
        eased.tell("altitude".into(), height.map(|si| Value::of(Kind::Distance, si)));
    }
    eased.tell_some(starts(ready, plain));
    let less = Value::list(eased.told.iter().cloned(), ", ");
    (!eased.told.is_empty()).then(|| say!("this variant asks for less: {less}", less = less))
}

/// The phases that a variant and its case both have, each once; where there are none, the case as it stands.
fn shared<'a>(ready: &'a Ready, plain: &'a Ready) -> Vec<Option<[&'a LoweredPhase; 2]>> {
    let mut shared: Vec<Option<[&LoweredPhase; 2]>> = Vec::new();
    for was in &plain.duty.phases {
        let known = shared.iter().flatten().any(|[_, known]| known.plain == was.plain);
        let now = ready.duty.phases.iter().find(|now| now.plain == was.plain);
        if let Some(now) = now.filter(|_| !known) {
            shared.push(Some([now, was]));
        }
    }
    if plain.duty.phases.is_empty() || ready.duty.phases.is_empty() {
        shared.push(None);
    }
    shared
}

/// The numbers in such a phase of both, and how it is called in a sentence.
fn values_of(
    ready: &Ready,
    plain: &Ready,
    phase: Option<[&LoweredPhase; 2]>,
) -> ([Values; 2], Sentence) {
    match phase {
        Some([now, was]) => {
            let name = say!(" in `{phase}`", phase = &was.plain);
            ([values_in(ready, now), values_in(plain, was)], name)
        }
        None => ([ready.model.values.clone(), plain.model.values.clone()], "".into()),
    }
}

/// Adds the first phase in which something is less; what is below zero is told without its sign.
fn in_phases(
    ready: &Ready,
    plain: &Ready,
    (what, kind): (&'static str, Kind),
    of: &dyn Fn(&Ready, &Values) -> f64,
    eased: &mut Eased,
) {
    for phase in shared(ready, plain) {
        let ([now, was], name) = values_of(ready, plain, phase);
        let values = [of(ready, &now), of(plain, &was)];
        if less(values) {
            let told = values.map(|si| Value::of(kind, si.abs()));
            eased.tell(say!("{what}{name}", what = what, name = name), told);
            return;
        }
    }
}

/// The heats into bodies that are less in a phase that both have.
fn heats(ready: &Ready, plain: &Ready) -> Vec<(Sentence, [Value; 2])> {
    let of = |ready: &Ready, values: &Values| -> Vec<(String, f64)> {
        let heats = expected_heats_w(&ready.model, values).into_iter().enumerate();
        heats.map(|(k, heat)| (ready.model.address(Id::Body(k)), heat)).collect()
    };
    let mut found: Vec<(String, Sentence, [Value; 2])> = Vec::new();
    for phase in shared(ready, plain) {
        let ([now, was], name) = values_of(ready, plain, phase);
        let now = of(ready, &now);
        for (path, was) in of(plain, &was) {
            let now = now.iter().find(|(known, _)| *known == path).map(|(_, heat)| *heat);
            let Some(heat) = now.map(|now| [now, was]).filter(|heat| less(*heat)) else { continue };
            if found.iter().all(|(known, ..)| *known != path) {
                let what = say!("heat into `{path}`{name}", path = &path, name = name.clone());
                found.push((path, what, heat.map(|si| Value::of(Kind::Power, si))));
            }
        }
    }
    found.into_iter().map(|(_, what, values)| (what, values)).collect()
}

/// Adds pulls that are shorter, and fewer of them.
fn times(ready: &Ready, plain: &Ready, eased: &mut Eased) {
    let pull = |name: &str| {
        let phases = &plain.duty.phases;
        phases.iter().zip(pulling(phases)).any(|(phase, pulls)| pulls && phase.plain == name)
    };
    for [now, was] in shared(ready, plain).into_iter().flatten() {
        let times = [now.time_s, was.time_s];
        if pull(&was.plain) && less(times) {
            let what = say!("time of `{phase}`", phase = &was.plain);
            eased.tell(what, times.map(|si| Value::of(Kind::Time, si)));
        }
    }
    let [now, was] = [ready, plain].map(|ready| pulls(&ready.duty.phases).len());
    if now < was {
        eased.tell("pulls".into(), [now, was].map(Value::from));
    }
}

/// Circuits without ice that start colder.
fn starts(ready: &Ready, plain: &Ready) -> Vec<(Sentence, [Value; 2])> {
    let circuits = plain.model.circuits.iter().filter_map(|was| {
        let now = ready.model.circuits.iter().find(|now| now.name == was.name)?;
        let start = [ready.model.values.get(now.start), plain.model.values.get(was.start)];
        let what = say!("start of `{circuit}`", circuit = &was.name);
        (!now.has_ice() && less(start))
            .then(|| (what, start.map(|si| Value::of(Kind::Temperature, si))))
    });
    circuits.collect()
}

/// The most power of any phase, W; 0 where there is none.
fn most_power(ready: &Ready) -> f64 {
    let shares = ready.duty.phases.iter().map(|phase| phase.power_share);
    shares.fold(0.0, f64::max) * full_power_w(ready)
}

/// Limits that a variant has changed, added or taken away.
pub(super) fn moved(ready: &Ready, plain: &Ready) -> Vec<Sentence> {
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
    let targets = |ready: &Ready| -> Vec<_> {
        let text = |text: &Option<Spanned<String>>| text.as_ref().map(|text| text.value.clone());
        let of = |spec: &ReadySpec| (spec.of.value.clone(), text(&spec.below), text(&spec.above));
        ready.duty.ready.iter().map(of).collect()
    };
    if targets(ready) != targets(plain) {
        names.push("ready");
    }
    let changed = BuiltInKind::ALL.iter().filter(|kind| now.get(kind) != was.get(kind));
    names.extend(changed.map(|kind| kind.word()));
    if names.is_empty() {
        return Vec::new();
    }
    let told = |name: &str| {
        let spec = |among: &[LimitSpec]| among.iter().find(|spec| spec.name == name).map(text);
        let what = match [&ready.limits, &plain.limits].map(|limits| spec(limits)) {
            [None, Some(_)] => "taken away",
            [Some(_), None] => "new",
            [Some(now), Some(was)] if now.0 != was.0 => "of another result",
            [Some(now), Some(was)] if now.1 != was.1 => "another bound",
            [Some(_), Some(_)] => "in other phases",
            [None, None] => return say!("`{name}`", name = name),
        };
        say!("`{name}` ({what})", name = name, what = what)
    };
    let names = Value::list(names.into_iter().map(told), ", ");
    vec![say!("this variant changes limits: {names}", names = names)]
}
