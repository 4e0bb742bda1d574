//! `size`: the value of an address that just meets all limits.

use coolwright_cases::case::Change;
use coolwright_cases::lower::{Address, Bound as Allowed, Ready, Role};
use coolwright_cases::quantity::{Kind, parse};
use coolwright_cases::text::nearest;

use super::case::{Built, did_you_mean};
use super::compare::over_cycle;
use super::trial::{Trial, tried};
use super::{Case, Judge};
use crate::answer::{Answer, Sentence, Topic, Value, Verdict, kinds};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::cautions::cautions;
use crate::sections::size::Sought;
use crate::sections::{self, compare};
use crate::study::{Range, Room, Sample, Sizing, bore_from, fan_paths, sizing, usual_range};
use crate::workers::Workers;

/// What is sought.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Size {
    /// The addresses that get one value together.
    pub addresses: Vec<String>,
    /// The room that every limit is to have, as it was written.
    pub margin: Option<String>,
    /// Between which values, as they were written.
    pub between: Option<[String; 2]>,
}

/// Finds the values with which all limits hold.
pub(super) fn answer(
    case: &Case,
    size: &Size,
    by: Judge,
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    let built = case.built(None)?;
    let ready = &built.ready;
    let over_cycle = over_cycle(ready, by)?;
    let entries = entries(ready, &size.addresses)?;
    let room = room(&built, size.margin.as_deref())?;
    let range = range(ready, size, &entries)?;
    let trial = |si: f64| sample(case, (&size.addresses, range.kind, si), (&room, over_cycle));
    let found = sizing(range, &trial, workers);
    if let Some(why) = all_refused(&found) {
        let words = say!(
            "no value of {addresses} that was tried can be solved: {why}",
            addresses = names(size),
            why = why
        );
        return Err(Refusal::said(words));
    }
    let sought = Sought {
        addresses: &size.addresses,
        range,
        room: &room,
        sold: sold(size, range, &found, &trial),
    };
    let mut answer = Answer::new(Topic::Size, &ready.title);
    let any = !found.windows.is_empty();
    answer.verdict = Some(if any { Verdict::Holds } else { Verdict::Broken });
    let all = &mut answer.sections;
    all.push(sections::size::summary(&sought, &found));
    all.push(sections::title(ready));
    all.push(compare::judged_by(over_cycle, !ready.duty.phases.is_empty()));
    all.push(sections::size::ranges(&sought, &found));
    all.push(sections::size::tried(&sought, &found));
    answer.cautions = cautions(ready, Vec::new());
    Ok(answer)
}

/// What comes of one value.
fn sample(
    case: &Case,
    (addresses, kind, si): (&[String], Kind, f64),
    (room, over_cycle): (&Room, bool),
) -> Sample {
    let changes = addresses.iter().map(|address| Change::number(address, kind, si));
    match tried(case, &changes.collect::<Vec<_>>(), over_cycle) {
        Ok(trial) => {
            let spare = trial.judged.iter().map(|judged| {
                judged.margin().map(|margin| margin - room.of(&judged.limit, trial.air_k))
            });
            let spare = spare.collect();
            let against = trial.beside.late.iter().chain(&trial.beside.grave).next().cloned();
            let Trial { judged, verdict, .. } = trial;
            Sample { si, spare, judged, verdict, against, refused: None, at_first: true }
        }
        Err(refusal) => Sample {
            si,
            judged: Vec::new(),
            spare: Vec::new(),
            verdict: Verdict::Unsolved,
            against: None,
            at_first: true,
            refused: Some(refusal.message()),
        },
    }
}

/// Why nothing could be solved, where nothing could.
fn all_refused(found: &Sizing) -> Option<Sentence> {
    let all = found.samples.iter().all(|sample| sample.refused.is_some());
    found.samples.first().filter(|_| all)?.refused.clone()
}

/// Of a bore the next that is sold in the range that holds, and whether it does.
fn sold(
    size: &Size,
    range: Range,
    found: &Sizing,
    trial: &dyn Fn(f64) -> Sample,
) -> Option<(f64, bool)> {
    let is_bore = size.addresses.iter().all(|address| address.ends_with(":bore"));
    let window = sections::size::chosen(range, found)?;
    let (bore_m, _) = bore_from(window.from.si).filter(|_| is_bore)?;
    Some((bore_m, trial(bore_m).holds()))
}

fn names(size: &Size) -> Value {
    let all = size.addresses.iter().map(|address| say!("`{address}`", address = address));
    Value::list(all, " and ")
}

/// The numbers at the addresses, which must be of one kind.
fn entries(ready: &Ready, addresses: &[String]) -> Result<Vec<Address>, Refusal> {
    let entries: Result<Vec<Address>, Refusal> =
        addresses.iter().map(|address| entry(ready, address)).collect();
    let entries = entries?;
    if let Some(other) = entries.iter().position(|entry| entry.kind != entries[0].kind) {
        return Err(Refusal::said(say!(
            "`{first}` ({kind}) and `{other}` ({other_kind}) cannot have one value",
            first = &addresses[0],
            kind = kinds::word(entries[0].kind).replace('_', " "),
            other = &addresses[other],
            other_kind = kinds::word(entries[other].kind).replace('_', " "),
        )));
    }
    Ok(entries)
}

fn entry(ready: &Ready, address: &str) -> Result<Address, Refusal> {
    if let Some(entry) = ready.addresses.get(address) {
        if let Role::OfRoute | Role::Driven = entry.role {
            let why = entry.role.refusal().unwrap_or_default();
            return Err(Refusal::said(say!(
                "`{address}` cannot be sized: {why}",
                address = address,
                why = why
            )));
        }
        return Ok(entry.clone());
    }
    // One fan is not counted in the file.
    if let Some(fan) =
        address.strip_suffix(":count").filter(|fan| fan_paths(ready).iter().any(|f| f == fan))
    {
        let what = format!("count of `{fan}`");
        return Ok(Address {
            kind: Kind::Count,
            slots: Vec::new(),
            span: None,
            bound: Allowed::Positive,
            what,
            role: Role::Structure,
            value: 1.0,
        });
    }
    let refusal = Refusal::said(say!(
        "there is no number at `{address}` that could be sized.{hint}",
        address = address,
        hint = did_you_mean(nearest(address, ready.addresses.keys().map(String::as_str))),
    ));
    if address.starts_with("duty/") && address.ends_with(":time") {
        return Err(refusal
            .help("`cycle --longest` and `cycle --rest` find how long phases may last, or must"));
    }
    let path = address.split(':').next().unwrap_or_default();
    let here =
        ready.addresses.keys().filter_map(|known| known.strip_prefix(path)?.strip_prefix(':'));
    let here: Vec<&str> = here.collect();
    Err(if here.is_empty() {
        refusal
            .help("an address is a path and a name, as in `main/feed:bore` or `cores/front:heat`")
    } else {
        refusal.help(say!("`{path}` has: {names}", path = path, names = Value::list(here, ", ")))
    })
}

/// Where the value is sought.
fn range(ready: &Ready, size: &Size, entries: &[Address]) -> Result<Range, Refusal> {
    let Some(first) = entries.first() else {
        return Err(Refusal::said("no address was given: what is to be sized?"));
    };
    let (kind, now, address) = (first.kind, first.value, &size.addresses[0]);
    let Some(between) = &size.between else {
        let ends = usual_range(ready, address, first).filter(|[a, b]| a < b);
        return ends.map(|ends| Range { kind, ends, now }).ok_or_else(|| {
            Refusal::said(say!(
                "`{address}` is {now}, so nothing says where to look: give the least and the most with `--between`",
                address = address,
                now = Value::of(kind, now)
            ))
        });
    };
    let read = |text: &String| {
        parse(kind, text).map_err(|error| {
            let why = Value::spoken(&error.message);
            let refusal = Refusal::said(say!("`--between`: {why}", why = why));
            error.help.iter().fold(refusal, |refusal, help| refusal.help(Sentence::spoken(help)))
        })
    };
    let (a, b) = (read(&between[0])?, read(&between[1])?);
    let ends = [a.min(b), a.max(b)];
    for (entry, address) in entries.iter().zip(&size.addresses) {
        let fault = ends.iter().find_map(|si| entry.bound.fault(kind, *si));
        if let Some(fault) = fault {
            let why = Value::spoken(&fault);
            return Err(Refusal::said(say!(
                "`--between`: `{address}` {why}",
                address = address,
                why = why
            )));
        }
    }
    if ends[0] >= ends[1] {
        return Err(Refusal::said("`--between` needs two values that differ"));
    }
    Ok(Range { kind, ends, now })
}

/// The room that limits are to have.
fn room(built: &Built<'_>, text: Option<&str>) -> Result<Room, Refusal> {
    let Some(text) = text else { return Ok(Room::None) };
    let told = |si: f64| si.is_finite() && si >= 0.0;
    if text.trim().ends_with('%')
        && let Ok(share) = parse(Kind::Fraction, text)
        && told(share)
    {
        return Ok(Room::Share(share));
    }
    let mut found: Vec<(Kind, f64)> = Vec::new();
    for limit in built.limits.iter().filter(|limit| Room::counts_for(limit)) {
        let kind = kinds::difference(limit.kind);
        let known = found.iter().any(|(of, _)| *of == kind);
        if let Ok(si) = parse(kind, text)
            && told(si)
            && !known
        {
            found.push((kind, si));
        }
    }
    if found.is_empty() {
        return Err(Refusal::said(say!(
            "`--margin`: no limit of the case can be kept by `{text}`",
            text = text
        ))
        .help("a quantity as the limit has it, such as `2 K` or `1 gpm`, or a share of every bound, such as `10 %`"));
    }
    Ok(Room::Of(found))
}
