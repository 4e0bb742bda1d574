//! Which numbers of a case a reader of its page can move.

use coolwright_cases::lower::{Ready, Role};
use coolwright_cases::quantity::parse;
use coolwright_cases::text::nearest;

use crate::answer::drawing::Report;
use crate::answer::{Answer, Block, Row, Value};
use crate::ask::Case;
use crate::ask::case::{Built, did_you_mean};
use crate::ask::point::{Solved, solve};
use crate::refusal::Refusal;
use crate::say;
use crate::study::{Slider, levers, moves, slider, sliders};
use crate::workers::Workers;

/// With more numbers than this they are not tried one by one.
const MOST_NUMBERS: usize = 1_000;

impl Case {
    /// The numbers at these addresses as they can be moved.
    ///
    /// # Errors
    /// Where there is no such number, it follows from others, or nothing says how far it could go.
    pub fn movable(&self, addresses: &[String]) -> Result<Vec<Slider>, Refusal> {
        let ready = self.build(None)?;
        let mut all: Vec<Slider> = Vec::new();
        for address in addresses {
            let slider = movable(&ready, address)?;
            if !all.contains(&slider) {
                all.push(slider);
            }
        }
        Ok(all)
    }

    /// The numbers that matter most, with those that were `told` first: what variants change, what is assumed and could
    /// use up most of a margin, and what else moves the tightest limit most.
    ///
    /// # Errors
    /// When the case has faults that only building it shows, or cannot be solved.
    pub fn sliders(
        &self,
        told: Vec<Slider>,
        report: &Report,
        workers: &dyn Workers,
    ) -> Result<Vec<Slider>, Refusal> {
        let built = self.built(None)?;
        let ready = &built.ready;
        let mut of_variants: Vec<(String, Vec<f64>)> = Vec::new();
        for (address, text) in self.reading.changed_by_variants(&self.sources) {
            let Some(entry) = ready.addresses.get(address) else { continue };
            let Some(si) = text.and_then(|text| parse(entry.kind, &text).ok()) else { continue };
            match of_variants.iter_mut().find(|(known, _)| known == address) {
                Some((_, values)) => values.push(si),
                None => of_variants.push((address.to_owned(), vec![si])),
            }
        }
        let mut assumed = assumed(report.judge());
        if assumed.is_empty() {
            assumed = self::assumed(&report.point);
        }
        let moving = moving(&built, workers);
        Ok(sliders(ready, told, &of_variants, (&assumed, &moving)))
    }
}

/// A number that can be moved.
fn movable(ready: &Ready, address: &String) -> Result<Slider, Refusal> {
    let Some(entry) = ready.addresses.get(address) else {
        let known = ready.addresses.keys().map(String::as_str);
        return Err(Refusal::said(say!(
            "there is no number at `{address}` that could be moved.{hint}",
            address = address,
            hint = did_you_mean(nearest(address, known)),
        ))
        .help("an address is a path and a name, as in `main/feed:bore` or `cores/front:heat`"));
    };
    if let Role::OfRoute | Role::Driven = entry.role {
        let why = entry.role.refusal().unwrap_or_default();
        return Err(Refusal::said(say!(
            "`{address}` cannot be moved: {why}",
            address = address,
            why = why
        )));
    }
    slider(ready, std::slice::from_ref(address), &[]).ok_or_else(|| {
        Refusal::said(say!(
            "`{address}` is {now}, so nothing says how far it could be moved",
            address = address,
            now = Value::of(entry.kind, entry.value)
        ))
    })
}

/// The addresses of every assumption of an answer, the most influential first.
fn assumed(answer: &Answer) -> Vec<Vec<String>> {
    let mut all = Vec::new();
    let sections = answer.sections.iter().filter(|section| section.name == "assumptions");
    for block in sections.flat_map(|section| &section.blocks) {
        let Block::Table(table) = block else { continue };
        let place = table.columns.iter().position(|column| column.name == "addresses");
        for row in &table.rows {
            let (Some(place), Row::Cells { cells, .. }) = (place, row) else { continue };
            if let Some(Value::List(addresses, _)) = cells.get(place).map(|cell| &cell.value) {
                let texts = addresses.iter().filter_map(|address| match address {
                    Value::Text(text) => Some(text.clone()),
                    _ => None,
                });
                all.push(texts.collect());
            }
        }
    }
    all
}

/// What moves the limit that has the least room at the operating point, the most moving first, and of that first what can be
/// set. Where the point is not steady, or there are too many numbers to try, what can be set as it comes.
fn moving(built: &Built<'_>, workers: &dyn Workers) -> Vec<String> {
    let ready = &built.ready;
    let tried = || {
        if ready.addresses.len() > MOST_NUMBERS {
            return None;
        }
        let solved = solve(built, ready.model.values.clone(), None).ok()?;
        let uncertain = solved.uncertainty(built).ok()?;
        let tangent = uncertain.tangent.as_ref().filter(|_| solved.point.held.is_empty())?;
        let (place, now) = tightest(&solved)?;
        Some(moves(ready, &solved.values, (tangent, place, now), workers))
    };
    // What a builder or a driver sets comes before what a maker measured.
    let levers = levers(ready, !ready.duty.phases.is_empty());
    let own: Vec<&str> =
        levers.iter().flat_map(|l| &l.changes).map(|c| c.address.as_str()).collect();
    let is_set = |address: &String| {
        let set = ["site:", "duty:"].iter().any(|begin| address.starts_with(begin));
        set || address.ends_with(":speed") || own.contains(&address.as_str())
    };
    let Some(moved) = tried() else {
        let first = ["site:air", "duty:power"].into_iter().chain(own.iter().copied());
        return first.map(str::to_owned).collect();
    };
    let all = moved.into_iter().map(|one| one.address);
    let (set, measured): (Vec<String>, Vec<String>) = all.partition(is_set);
    set.into_iter().chain(measured).collect()
}

/// The result of the limit whose margin is the least share of its bound, and its value.
fn tightest(solved: &Solved) -> Option<(usize, f64)> {
    let shares = solved.judged.iter().filter_map(|judged| {
        let (place, value, margin) = (judged.limit.index?, judged.value?, judged.margin()?);
        let scale = judged.limit.value.abs().max(value.abs());
        (value.is_finite() && scale > 0.0).then_some((place, value, margin / scale))
    });
    let least = shares.min_by(|a, b| a.2.total_cmp(&b.2))?;
    Some((least.0, least.1))
}
