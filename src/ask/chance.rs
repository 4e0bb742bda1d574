//! `chance`: with what chance limits hold where numbers are not known exactly, and what drives that.

use std::collections::BTreeMap;

use coolwright_cases::case::Change;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Count;
use coolwright_models::cycle::Columns;
use coolwright_models::instance::Instance;
use coolwright_models::results::quantities as q;

use super::case::Built;
use super::compare::over_cycle;
use super::cycle::{Course, phases};
use super::point::solve;
use super::trial::{Trial, of_built, tried};
use super::{Case, Judge};
use crate::answer::{Answer, Lay, Section, Sentence, Topic};
use crate::refusal::Refusal;
use crate::say;
use crate::sections::cautions::cautions;
use crate::sections::chance::{Drawn, Driver, Driving, LawsTold, LimitTold, Told};
use crate::sections::{self, compare, verdict};
use crate::study::chance::{
    Input, Inputs, LawMoves, Laws, MOST_POINTS, Normals, Shares, Source, Spread, coordinate,
    inputs, quantile, quantile_of, shares, side, spread_of,
};
use crate::study::{Bound, Judged, Kept, Limit, Standing, cycle_laws, point_laws};
use crate::workers::{self, Workers};

/// From how many cases a chance is told where nothing else is asked for: at operating points, and over duty cycles.
const SAMPLES: [usize; 2] = [256, 64];
/// How many of the tolerances that the case tells have shares of their own.
const OWN: usize = 12;
/// How many other inputs have; what is left has one together.
const SINGLE: usize = 5;
/// What a limit that never breaks counts for beside one that does, where those are chosen.
const SAFE: f64 = 0.25;
/// With how many points inputs are looked at beforehand, to find those.
const LOOKED_AT: usize = 4;

/// What is asked.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Chance {
    /// From how many cases; what the case says where left out.
    pub samples: Option<usize>,
    /// By what they are judged.
    pub by: Judge,
}

/// What is said where nothing is uncertain.
const NOTHING: &str = "nothing is uncertain in this case, so no chance is told";

/// Draws cases, solves and judges each, and tells with what chance the limits hold.
pub(super) fn answer(case: &Case, asked: Chance, workers: &dyn Workers) -> Result<Answer, Refusal> {
    drawn_from(case, asked, workers)?.ok_or_else(|| {
        Refusal::said(NOTHING).help(
            "for example chance: Chance(of: [Tolerance(at: \"main/loop/pump:speed\", spread: Normal(\"3 %\"))])",
        )
    })
}

/// The same for a page with other answers: that nothing is uncertain is an answer there.
pub(super) fn chapter(
    case: &Case,
    asked: Chance,
    workers: &dyn Workers,
) -> Result<Answer, Refusal> {
    if let Some(answer) = drawn_from(case, asked, workers)? {
        return Ok(answer);
    }
    let mut answer = Answer::new(Topic::Chance, &case.build(None)?.title);
    let says = say!("Here {nothing}: `chance` in the case tells what is.", nothing = NOTHING);
    answer.sections.push(Section::plain("verdict").say(says, Lay::Paragraph));
    Ok(answer)
}

/// Draws cases; `None` where nothing is uncertain.
fn drawn_from(
    case: &Case,
    asked: Chance,
    workers: &dyn Workers,
) -> Result<Option<Answer>, Refusal> {
    let built = case.built(None)?;
    let ready = &built.ready;
    let over_cycle = over_cycle(ready, asked.by)?;
    let mut problems = Problems::new();
    let inputs = inputs(ready, &mut problems);
    if problems.has_errors() {
        return Err(Refusal::faults(&case.sources, problems));
    }
    let stands = of_built(&built, over_cycle)?;
    let (laws, laws_told) = laws(&built, &inputs, over_cycle, workers)?;
    if inputs.numbers.is_empty() && laws.laws.is_empty() {
        return Ok(None);
    }
    let points = points(ready, asked.samples, over_cycle)?;
    let study = Study { case, built: &built, over_cycle, inputs: &inputs, laws: &laws, points };
    let found = study.drawn(workers);
    let limits = study.limits(&stands, &found);
    let told = Told {
        ready,
        stands: stands.verdict,
        told: (stands.beside.told().cloned())
            .chain(verdict::counted_details(&ready.model, &stands.judged))
            .collect(),
        inputs: &inputs,
        laws: laws_told,
        drawn: drawn(&found, &limits),
        limits,
        solves: found.solves,
        seed: study.seed(),
    };
    let mut answer = Answer::new(Topic::Chance, &ready.title);
    answer.verdict = Some(told.stands);
    answer.beside.clone_from(&told.told);
    let all = &mut answer.sections;
    all.push(sections::chance::summary(&told));
    all.push(sections::title(ready));
    all.push(compare::judged_by(over_cycle, !ready.duty.phases.is_empty()));
    all.push(sections::chance::limits(&told));
    all.extend(sections::chance::drivers(&told));
    all.push(sections::chance::inputs(&told));
    all.push(sections::chance::draws(&told));
    all.push(sections::chance::mind(&told));
    answer.cautions = cautions(ready, Vec::new());
    Ok(Some(answer))
}

/// How many points the sequence has: each gives two cases.
fn points(ready: &Ready, asked: Option<usize>, over_cycle: bool) -> Result<usize, Refusal> {
    let told = ready.chance.samples.map(|count| count.get() as usize);
    let samples = asked.or(told).unwrap_or(SAMPLES[usize::from(over_cycle)]);
    let most = 2 * MOST_POINTS;
    if !(2..=most).contains(&samples) {
        return Err(Refusal::said(say!(
            "a chance is told from 2 to {most} cases, not from {samples}",
            most = most,
            samples = samples
        )));
    }
    Ok(samples.div_ceil(2))
}

/// What laws disagree by, carried to every limit.
fn laws(
    built: &Built<'_>,
    inputs: &Inputs,
    over_cycle: bool,
    workers: &dyn Workers,
) -> Result<(Laws, LawsTold), Refusal> {
    let Some(exact) = &inputs.exact_laws else { return Ok((Laws::default(), LawsTold::Exact)) };
    let moves = if over_cycle { of_cycle(built, workers)? } else { of_point(built)? };
    Ok(moves.map_or((Laws::default(), LawsTold::NotCarried), |moves| {
        let laws = Laws::of(moves, exact);
        let told = LawsTold::Spread(laws.laws.clone());
        (laws, told)
    }))
}

fn of_point(built: &Built<'_>) -> Result<Option<LawMoves>, Refusal> {
    let values = built.ready.model.values.clone();
    let solved = solve(built, values, None).map_err(|error| built.unsolved(&error))?;
    let uncertain = solved.uncertainty(built)?;
    Ok(point_laws(&built.ready, &uncertain, (&solved.point.results.catalogue, &solved.judged)))
}

fn of_cycle(built: &Built<'_>, workers: &dyn Workers) -> Result<Option<LawMoves>, Refusal> {
    let Ready { model, duty, .. } = &built.ready;
    let course = Course::of(built, phases(built));
    let mut instance = Instance::new(model);
    instance.keep_moments();
    let columns = Columns::Only(&course.columns);
    let history = instance.follow(&model.values, &course.program, columns, &mut |_| true);
    let history = history.map_err(|error| built.unsolved(&error))?.clone();
    let judged = course.judged(built, &history);
    let Some(moments) = instance.moments() else { return Ok(None) };
    let plain: Vec<&str> = duty.phases.iter().map(|phase| phase.plain.as_str()).collect();
    let kept = Kept { program: &course.program, instance: &instance, moments };
    Ok(cycle_laws(&built.ready, kept, (&plain, &judged), workers))
}

/// How a limit stands in a drawn case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stand {
    Kept,
    Broken,
    Open,
}

/// What came of a drawn case.
#[derive(Clone, Debug)]
struct One {
    /// Its numbers, SI, in the order of the inputs, and the same as a variant writes them.
    numbers: (Vec<f64>, Vec<Change>),
    /// How each limit stands by the numbers alone, and its value, SI.
    limits: Vec<(Stand, Option<f64>)>,
    /// A rest that does not make ready.
    late: Option<Sentence>,
    /// What stands against it that no limit speaks of.
    grave: Option<Sentence>,
    /// Why it was not solved.
    refused: Option<Sentence>,
}

/// All drawn cases.
struct Found {
    /// The cases of A, then those of B.
    both: Vec<One>,
    /// The inputs that have shares of their own, and for each the cases of A with that of B.
    single: Vec<(usize, Vec<One>)>,
    /// The same of all that are left together.
    rest: Option<(Vec<usize>, Vec<One>)>,
    solves: usize,
}

struct Study<'a> {
    case: &'a Case,
    built: &'a Built<'a>,
    over_cycle: bool,
    inputs: &'a Inputs,
    laws: &'a Laws,
    points: usize,
}

impl Study<'_> {
    fn seed(&self) -> u32 {
        self.built.ready.chance.seed.map_or(1, Count::get)
    }

    /// One coordinate of a point of A (0) or B (1): of the numbers, then of the laws, then of the laws at their places.
    fn coordinate(&self, point: usize, which: usize, dimension: usize) -> f64 {
        let point = u32::try_from(point).unwrap_or(u32::MAX);
        coordinate(point, dimension, side(self.seed(), which))
    }

    /// Where each number of a case of A (0) or B (1) lies in its spread.
    fn shares_of(&self, point: usize, which: usize) -> Vec<f64> {
        (0..self.inputs.numbers.len()).map(|k| self.coordinate(point, which, k)).collect()
    }

    /// The same with some of A from B.
    fn mixed(&self, point: usize, from_b: &[usize]) -> Vec<f64> {
        let (mut a, b) = (self.shares_of(point, 0), self.shares_of(point, 1));
        for &k in from_b {
            a[k] = b[k];
        }
        a
    }

    /// What laws are off by in a case of A (0) or B (1).
    fn normals(&self, point: usize, which: usize) -> Normals {
        let (laws, places) = (self.laws.laws.len(), self.laws.places());
        let begin = self.inputs.numbers.len();
        let normal = |dimension: usize| quantile(self.coordinate(point, which, dimension));
        Normals {
            laws: (begin..begin + laws).map(normal).collect(),
            places: (begin + laws..begin + laws + places).map(normal).collect(),
        }
    }

    /// Solves all cases.
    fn drawn(&self, workers: &dyn Workers) -> Found {
        let (points, count) = (self.points, self.inputs.numbers.len());
        let looked_at = if count > SINGLE + self.own() { LOOKED_AT.min(points) } else { 0 };
        let first = 2 * points;
        let mut both =
            workers::map(workers, first + looked_at * count, |k| match k.checked_sub(first) {
                None => self.one(&self.shares_of(k % points, k / points)),
                Some(k) => self.one(&self.mixed(k / count, &[k % count])),
            });
        let looks = both.split_off(first);
        let (single, rest) = self.chosen(&both, &looks);
        let groups: Vec<Vec<usize>> = single
            .iter()
            .map(|k| vec![*k])
            .chain((!rest.is_empty()).then(|| rest.clone()))
            .collect();
        // Those that were looked at beforehand are there already.
        let jobs: Vec<(usize, usize)> = (0..groups.len())
            .flat_map(|g| (0..points).map(move |point| (g, point)))
            .filter(|(g, point)| !(groups[*g].len() == 1 && *point < looked_at))
            .collect();
        let solved = workers::map(workers, jobs.len(), |k| {
            let (group, point) = jobs[k];
            self.one(&self.mixed(point, &groups[group]))
        });
        let solves = both.len() + looks.len() + solved.len();
        let mut by_group: Vec<Vec<One>> = groups
            .iter()
            .map(|group| match group[..] {
                [k] => (0..looked_at).map(|point| looks[point * count + k].clone()).collect(),
                _ => Vec::new(),
            })
            .collect();
        for ((group, _), one) in jobs.into_iter().zip(solved) {
            by_group[group].push(one);
        }
        let rest = (!rest.is_empty()).then(|| (rest, by_group.pop().unwrap_or_default()));
        let single = single.into_iter().zip(by_group).collect();
        Found { both, single, rest, solves }
    }

    /// The inputs that move a limit most, by what few points show, and all others.
    fn chosen(&self, both: &[One], looks: &[One]) -> (Vec<usize>, Vec<usize>) {
        let count = self.inputs.numbers.len();
        if looks.is_empty() {
            return ((0..count).collect(), Vec::new());
        }
        let value = |one: &One, limit: usize| one.limits[limit].1.unwrap_or(f64::NAN);
        let mut weights: Vec<(f64, usize)> = (0..count).map(|k| (0.0, k)).collect();
        for limit in self.matter(both) {
            let moved = |k: usize| {
                let of = looks.iter().skip(k).step_by(count).zip(both);
                let squares = of.map(|(mixed, a)| (value(mixed, limit) - value(a, limit)).powi(2));
                squares.filter(|square| square.is_finite()).sum::<f64>()
            };
            let moved: Vec<f64> = (0..count).map(moved).collect();
            let all = moved.iter().sum::<f64>().max(f64::MIN_POSITIVE);
            let breaks = both.iter().any(|one| one.limits[limit].0 != Stand::Kept);
            let matters = if breaks { 1.0 } else { SAFE };
            for (weight, moved) in weights.iter_mut().zip(moved) {
                weight.0 = weight.0.max(matters * moved / all);
            }
        }
        let own = self.own();
        weights.iter_mut().take(own).for_each(|weight| weight.0 = f64::INFINITY);
        weights.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut single: Vec<usize> = weights.iter().take(own + SINGLE).map(|(_, k)| *k).collect();
        single.sort_unstable();
        let rest = (0..count).filter(|k| !single.contains(k)).collect();
        (single, rest)
    }

    /// How many of the tolerances of the case, which come first, are told alone whatever they move.
    fn own(&self) -> usize {
        let told = self.inputs.numbers.iter().take(OWN);
        told.filter(|input| input.source == Source::Case).count()
    }

    /// The limits that what drives is told of: those of the case, and those that break somewhere; all where there are
    /// none.
    fn matter(&self, both: &[One]) -> Vec<usize> {
        let limits = &self.built.limits;
        let matters = |k: &usize| {
            limits[*k].built_in.is_none() || both.iter().any(|one| one.limits[*k].0 != Stand::Kept)
        };
        let found: Vec<usize> = (0..limits.len()).filter(matters).collect();
        if found.is_empty() { (0..limits.len()).collect() } else { found }
    }

    /// The numbers of a drawn case, SI, and the changes with which a variant writes them.
    fn numbers(&self, shares: &[f64]) -> (Vec<f64>, Vec<Change>) {
        let all = &self.inputs.numbers;
        let mut numbers: Vec<f64> =
            all.iter().zip(shares).map(|(input, u)| input.spread.at(*u)).collect();
        let own = all.iter().zip(&numbers).filter(|(input, _)| input.source == Source::Case);
        let mut changes: Vec<Change> = own.flat_map(|(input, si)| written(input, *si)).collect();
        // What is assumed may follow from what a tolerance moves: a start as warm as the air.
        let moved = (!changes.is_empty()).then(|| {
            let mut sources = self.case.sources.clone();
            self.case.reading.build_changed(&mut sources, &changes, &mut Problems::new())
        });
        let moved = moved.flatten();
        let ready = moved.as_ref().unwrap_or(&self.built.ready);
        let ranges: BTreeMap<(&str, Option<&String>), Spread> = (ready.assumptions.iter())
            .map(|of| ((of.what, of.addresses.first()), spread_of(of)))
            .collect();
        for (k, input) in all.iter().enumerate() {
            let Source::Assumed(assumption) = input.source else { continue };
            let of = &self.built.ready.assumptions[assumption];
            if let Some(spread) = ranges.get(&(of.what, of.addresses.first())) {
                numbers[k] = spread.at(shares[k]);
            }
            changes.extend(written(input, numbers[k]));
        }
        (numbers, changes)
    }

    /// Solves and judges a drawn case.
    fn one(&self, shares: &[f64]) -> One {
        let numbers = self.numbers(shares);
        let (limits, late, grave, refused) = match tried(self.case, &numbers.1, self.over_cycle) {
            Ok(trial) => (
                self.judged(&trial),
                trial.beside.late.first().cloned(),
                trial.beside.grave.first().cloned(),
                None,
            ),
            Err(refusal) => {
                let open = vec![(Stand::Open, None); self.built.limits.len()];
                (open, None, None, Some(refusal.advice()))
            }
        };
        One { numbers, limits, late, grave, refused }
    }

    /// How each limit stands by the numbers alone, in the order of the limits of the case.
    fn judged(&self, trial: &Trial) -> Vec<(Stand, Option<f64>)> {
        let one = |(k, limit): (usize, &Limit)| {
            let is_same =
                |of: &&Judged| of.limit.name == limit.name && of.limit.bound == limit.bound;
            // Numbers change no limits, so its place is mostly the same.
            let near = trial.judged.get(k).filter(is_same);
            let Some(judged) = near.or_else(|| trial.judged.iter().find(is_same)) else {
                return (Stand::Open, None);
            };
            let stand = match judged.standing {
                Standing::Kept => Stand::Kept,
                Standing::Broken => Stand::Broken,
                Standing::NotJudged(_) => Stand::Open,
            };
            (stand, judged.value)
        };
        self.built.limits.iter().enumerate().map(one).collect()
    }

    /// What is moved to first order may come out beyond what it can be: of two flows that change places the ratio of the
    /// larger to the smaller goes on beyond one on the other side.
    fn folded(&self, limit: usize, value: f64) -> f64 {
        let limit = &self.built.limits[limit];
        let entry = limit.index.map(|index| &self.built.catalogue.entries()[index]);
        let is_ratio = entry.is_some_and(|entry| entry.quantity == &q::FLOW_RATIO);
        if is_ratio { 1.0 + (value - 1.0).abs() } else { value }
    }

    /// How a limit stands with laws that are off.
    fn stand(&self, limit: usize, one: &One, moved: f64) -> (Stand, Option<f64>) {
        let (stand, value) = one.limits[limit];
        match value.map(|value| self.folded(limit, value + moved)) {
            Some(value) if stand != Stand::Open && moved != 0.0 => {
                let kept = self.built.limits[limit].margin(value) >= 0.0;
                (if kept { Stand::Kept } else { Stand::Broken }, Some(value))
            }
            value => (stand, value),
        }
    }

    /// What laws move every limit by in each case of A, then of B.
    fn moved(&self) -> Vec<Vec<f64>> {
        let limits = self.built.limits.len();
        let of = |which: usize| {
            (0..self.points).map(move |point| {
                let normals = self.normals(point, which);
                (0..limits).map(|limit| self.laws.all_move(limit, &normals)).collect()
            })
        };
        of(0).chain(of(1)).collect()
    }

    /// What every limit comes to.
    fn limits(&self, stands: &Trial, found: &Found) -> Vec<LimitTold> {
        let moved = self.moved();
        let matter = self.matter(&found.both);
        let one = |(limit, judged): (usize, &Judged)| {
            let all: Vec<(Stand, Option<f64>)> = (found.both.iter().zip(&moved))
                .map(|(one, moved)| self.stand(limit, one, moved[limit]))
                .collect();
            let count = |wanted: Stand| all.iter().filter(|(stand, _)| *stand == wanted).count();
            let worst = match judged.limit.bound {
                Bound::AtMost => f64::INFINITY,
                Bound::AtLeast => f64::NEG_INFINITY,
            };
            let mut values: Vec<f64> =
                all.iter().map(|(_, value)| value.unwrap_or(worst)).collect();
            values.sort_by(f64::total_cmp);
            let at = |share: f64| quantile_of(&values, share).filter(|value| value.is_finite());
            let drivers = if matter.contains(&limit) {
                self.drivers(limit, found, &moved)
            } else {
                Vec::new()
            };
            LimitTold {
                judged: judged.clone(),
                kept: count(Stand::Kept),
                open: count(Stand::Open),
                without_value: all.iter().filter(|(_, value)| value.is_none()).count(),
                quantiles: [at(0.05), at(0.5), at(0.95)],
                drivers,
                values: all.iter().map(|(stand, value)| (*stand == Stand::Kept, *value)).collect(),
                moved: moved.iter().map(|of| of[limit]).collect(),
            }
        };
        stands.judged.iter().enumerate().map(one).collect()
    }

    /// What drives the value of a limit, the most first.
    fn drivers(&self, limit: usize, found: &Found, moved: &[Vec<f64>]) -> Vec<Driver> {
        let points = self.points;
        let value = |one: &One, moved: f64| one.limits[limit].1.map_or(f64::NAN, |v| v + moved);
        let by = |which: usize, point: usize| moved[which * points + point][limit];
        let of = |which: usize| -> Vec<f64> {
            (0..points).map(|k| value(&found.both[which * points + k], by(which, k))).collect()
        };
        let (a, b) = (of(0), of(1));
        let told = |ab: &[f64]| shares(&a, &b, ab);
        let with = |ones: &[One]| -> Vec<f64> {
            ones.iter().enumerate().map(|(k, one)| value(one, by(0, k))).collect()
        };
        let mut drivers: Vec<Driver> = Vec::new();
        let mut add = |what: Driving, shares: Option<Shares>| {
            drivers.extend(shares.map(|shares| Driver { what, shares }));
        };
        for (input, ones) in &found.single {
            add(Driving::Input(*input), told(&with(ones)));
        }
        if let Some((rest, ones)) = &found.rest {
            add(Driving::Rest(rest.len()), told(&with(ones)));
        }
        for (k, law) in self.laws.laws.iter().enumerate() {
            let ab: Vec<f64> = (0..points)
                .map(|point| {
                    let own = |which| self.laws.moved_by(k, limit, &self.normals(point, which));
                    a[point] - own(0) + own(1)
                })
                .collect();
            add(Driving::Law(*law), told(&ab));
        }
        drivers.sort_by(|a, b| b.shares.in_all.value.total_cmp(&a.shares.in_all.value));
        drivers
    }
}

/// The drawn cases as they are told.
fn drawn(found: &Found, limits: &[LimitTold]) -> Vec<Drawn> {
    let judged = |limit: &&LimitTold| !limit.is_open();
    let one = |(k, one): (usize, &One)| {
        let holds = one.refused.is_none()
            && one.late.is_none()
            && one.grave.is_none()
            && limits.iter().filter(judged).all(|limit| limit.values[k].0);
        let (numbers, changes) = one.numbers.clone();
        Drawn {
            numbers,
            changes,
            holds,
            late: one.late.clone(),
            grave: one.grave.clone(),
            refused: one.refused.clone(),
        }
    };
    found.both.iter().enumerate().map(one).collect()
}

/// A number in all its places.
fn written(input: &Input, si: f64) -> impl Iterator<Item = Change> {
    input.addresses.iter().map(move |address| Change::number(address, input.kind, si))
}
