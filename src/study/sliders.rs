//! Numbers of a case that a reader of its page can move, and how far.

use coolwright_cases::lower::{Address, Bound as Allowed, Ready, Role};
use coolwright_cases::quantity::Kind;

/// A number that can be moved, at one address or at several that have one value.
#[derive(Clone, Debug, PartialEq)]
pub struct Slider {
    /// Where it stands.
    pub addresses: Vec<String>,
    /// What it is, in words.
    pub what: String,
    /// Its kind.
    pub kind: Kind,
    /// What it is in the file, or by assumption, SI.
    pub now: f64,
    /// The least and the most that it is moved to, SI.
    pub range: [f64; 2],
}

/// How many numbers can be moved if nothing else is said: more do not fit beside their answers.
const USUAL_SLIDERS: usize = 8;
/// How many of them at most are what variants change, so that what is assumed has its place too.
const OF_VARIANTS: usize = 5;
/// How many of them are assumed before what is told in the file has its turn.
const OF_ASSUMED: usize = 3;
/// How far a temperature is moved either way, K: from a cold to a hot day.
const WARMER_K: f64 = 20.0;
/// How far a share is moved that is nothing as it stands.
const SHARE: f64 = 0.5;

/// The numbers that matter most, none twice: those that were `told`, then what variants change (with the values that they
/// write, SI), then some of what is assumed (`assumed` has the addresses of each, the most influential first), then what else
/// moves an answer (`moving`), then the rest of what is assumed.
pub fn sliders(
    ready: &Ready,
    told: Vec<Slider>,
    of_variants: &[(String, Vec<f64>)],
    (assumed, moving): (&[Vec<String>], &[String]),
) -> Vec<Slider> {
    let mut all = told;
    let room = USUAL_SLIDERS.max(all.len());
    let of_them = (all.len() + OF_VARIANTS).min(room);
    for (address, values) in of_variants {
        add(&mut all, of_them, slider(ready, std::slice::from_ref(address), values));
    }
    let (first, rest) = assumed.split_at(assumed.len().min(OF_ASSUMED));
    for addresses in first {
        add(&mut all, room, slider(ready, addresses, &[]));
    }
    for address in moving {
        add(&mut all, room, slider(ready, std::slice::from_ref(address), &[]));
    }
    for addresses in rest {
        add(&mut all, room, slider(ready, addresses, &[]));
    }
    all
}

fn add(all: &mut Vec<Slider>, most: usize, slider: Option<Slider>) {
    let Some(slider) = slider.filter(|_| all.len() < most) else { return };
    let known = |address: &String| all.iter().any(|other| other.addresses.contains(address));
    if !slider.addresses.iter().any(known) {
        all.push(slider);
    }
}

/// The slider of a number at addresses, wide enough for these values too; nothing where there is no such number, something
/// else sets it, or nothing says how far it could go.
pub fn slider(ready: &Ready, addresses: &[String], values: &[f64]) -> Option<Slider> {
    let first = addresses.first()?;
    let entry = ready.addresses.get(first)?;
    if matches!(entry.role, Role::OfRoute | Role::Driven) {
        return None;
    }
    let range = range_of(ready, (first, entry), values)?;
    let (what, kind, now) = (entry.what.clone(), entry.kind, entry.value);
    // Equal machines under one name have one address.
    let mut all: Vec<String> = Vec::new();
    for address in addresses {
        if !all.contains(address) {
            all.push(address.clone());
        }
    }
    Some(Slider { addresses: all, what, kind, now, range })
}

/// How far a number goes: over the range of its assumption, else from half of it to twice, a temperature 20 K either way, a
/// share no further than all; always as far as `values`, and within what the file allows.
fn range_of(
    ready: &Ready,
    (address, entry): (&String, &Address),
    values: &[f64],
) -> Option<[f64; 2]> {
    let now = entry.value;
    let of_it = ready.assumptions.iter().find(|one| one.addresses.contains(address));
    let assumed = of_it.map(|one| [one.range.0, one.range.1]).filter(|[low, high]| low < high);
    let [low, high] = assumed.unwrap_or(match entry.kind {
        Kind::Temperature => [now - WARMER_K, now + WARMER_K],
        Kind::Count => [1.0, (2.0 * now).max(now + 1.0)],
        Kind::Fraction if now <= 0.0 => [now, SHARE],
        Kind::Fraction if now <= 1.0 => [0.5 * now, (2.0 * now).min(1.0)],
        _ if now < 0.0 => [2.0 * now, 0.5 * now],
        _ => [0.5 * now, 2.0 * now],
    });
    let ends = values.iter().chain([&now]).filter(|value| value.is_finite());
    let [low, high] = ends.fold([low, high], |[low, high], si| [low.min(*si), high.max(*si)]);
    let [low, high] = match entry.bound {
        Allowed::Within(least, most) => [low.max(least), high.min(most)],
        Allowed::NotNegative => [low.max(0.0), high],
        // Nothing at all is refused where it must be above zero.
        Allowed::Positive => [if low > 0.0 { low } else { 0.01 * high }, high],
    };
    (low < high && low.is_finite() && high.is_finite()).then_some([low, high])
}
