//! What was learnt as an answer.

use std::sync::atomic::Ordering;

use coolwright_cases::case::Change;
use coolwright_models::cycle::History;

use super::driven::Driven;
use super::fits::Fits;
use super::log::{CELLS, Logged};
use super::stand::{Number, Shows};
use super::{Learning, Learnt, heat, next, steps};
use crate::answer::{Answer, Histories, HistoryColumn, Topic};
use crate::ask::Judge;
use crate::ask::compare::over_cycle;
use crate::ask::trial::{Trial, of_built, tried};
use crate::refusal::Refusal;
use crate::sections::cautions::cautions;
use crate::sections::learn as told;
use crate::sections::{self};
use crate::study::Judged;
use crate::study::learn::series::{Cells, means};
use crate::workers;

impl Learning<'_> {
    pub(super) fn answer(
        &self,
        driven: &Driven<'_>,
        (logged, started): (&Logged, Vec<told::Started>),
        (before, after): (&History, &History),
        (fits, parts): (Fits, String),
    ) -> Result<Learnt, Refusal> {
        let ready = &self.built.ready;
        let over_cycle = over_cycle(ready, Judge::Usual)?;
        let plain = of_built(self.built, over_cycle)?;
        let changes: Vec<Change> =
            self.changes(&fits, logged).into_iter().map(|(change, _)| change).collect();
        let with = tried(self.case, &changes, over_cycle)?;
        let shows: Vec<Shows> = logged.compared.iter().map(|(shows, _)| shows.clone()).collect();
        let ranges: Vec<(f64, f64)> = fits.numbers.iter().map(|n| n.range).collect();
        let open = self.open(&fits, (&changes, &with), over_cycle);
        let next = next::next(driven, &shows, (&fits.found, &ranges), self.workers);
        let steps = steps::steps(driven, logged, (&fits.found, &ranges), self.workers);
        let (balances, no_balance) =
            heat::balances(&ready.model, &shows, (&logged.table, &logged.phases), after);
        let margins = self.margins(&fits, (&changes, &with), over_cycle);
        let hottest = workers::map(self.workers, 2, |k| {
            self.hottest(if k == 0 { &[] } else { &changes }, over_cycle)
        });
        let told = told::Told {
            ready,
            plain: (&plain.judged, plain.verdict),
            with: (&with.judged, with.verdict),
            beside: with.beside.told().cloned().collect(),
            margins,
            hottest,
            over_cycle,
            read: logged.table.words(),
            unused: logged.table.unused.clone(),
            started,
            drives: logged.drives.iter().map(|d| (d.address.clone(), d.along)).collect(),
            at_rest: fits.found.at_rest,
            followed: driven.followed.load(Ordering::Relaxed),
            phases: logged.phases.clone(),
            gauges: self.gauges(logged, (before, after), &fits),
            left_gauges: logged
                .left
                .iter()
                .map(|(s, why)| (ready.model.gauges[s.gauge].name.clone(), *why))
                .collect(),
            numbers: self.numbers(&fits, logged),
            left: fits.left.clone(),
            changes: changes.iter().map(|change| change.address.clone()).collect(),
            balances,
            no_balance,
            next,
            steps,
            open,
        }
        .weighed();
        let mut answer = Answer::new(Topic::Learn, &ready.title);
        answer.verdict = Some(told.with.1);
        answer.beside.clone_from(&told.beside);
        answer.sections = told::sections(&told);
        answer.sections.insert(1, sections::title(ready));
        answer.cautions = cautions(ready, Vec::new());
        answer.histories = Some(self.histories(logged, (before, after), &fits.behind));
        Ok(Learnt { answer, parts })
    }

    /// What breaks where a number that the log does not tell is at an end of its range.
    fn open(
        &self,
        fits: &Fits,
        (changes, with): (&[Change], &Trial),
        over_cycle: bool,
    ) -> Vec<told::Open> {
        let untold = fits.numbers.iter().zip(&fits.tells).filter(|(_, tells)| !tells.is_told());
        let untold = untold.map(|(number, _)| number).chain(&fits.left_numbers);
        let ends: Vec<(&Number, f64)> =
            untold.flat_map(|n| [(n, n.range.0), (n, n.range.1)]).collect();
        let found = workers::map(self.workers, ends.len(), |k| {
            let (number, si) = ends[k];
            let own = Change::number(&number.address, number.kind, si);
            let others = changes.iter().filter(|change| change.address != number.address);
            let all: Vec<Change> = others.cloned().chain([own]).collect();
            // What cannot be solved there says nothing good of it.
            let trial = tried(self.case, &all, over_cycle);
            let broken = trial.ok().and_then(|trial| {
                let new = |judged: &&Judged| {
                    let held = |known: &&Judged| known.limit.name == judged.limit.name;
                    judged.is_broken() && with.judged.iter().find(held).is_some_and(Judged::holds)
                };
                trial.judged.iter().find(new).map(|judged| judged.limit.name.clone())
            });
            broken.map(|limit| told::Open {
                address: number.address.clone(),
                kind: number.kind,
                at: si,
                limit,
            })
        });
        found.into_iter().flatten().collect()
    }

    pub(super) fn gauges(
        &self,
        logged: &Logged,
        (before, _): (&History, &History),
        fits: &Fits,
    ) -> Vec<told::Beside> {
        let found = &fits.found;
        let of = |(c, (shows, cells)): (usize, &(Shows, Cells))| {
            let gauge = &self.built.ready.model.gauges[shows.gauge];
            let column = before.catalogue.find(&shows.result);
            let values: Vec<f64> =
                column.map_or_else(Vec::new, |k| before.rows.iter().map(|row| row[k]).collect());
            let plain = if values.is_empty() {
                Vec::new()
            } else {
                means(&before.times_s, &values, &cells.windows, fits.behind[c])
            };
            let off = |shown: &[f64], by: f64| -> Vec<f64> {
                shown.iter().zip(&cells.values).map(|(p, m)| m - p - by).collect()
            };
            told::Beside {
                gauge: gauge.name.clone(),
                kind: shows.kind,
                cells: cells.values.len(),
                tolerance: shows.tolerance,
                is_told: shows.is_told,
                behind_s: fits.behind[c],
                plain: told::Off::of(&off(&plain, 0.0), &cells.windows),
                learnt: told::Off::of(&off(&found.predicted[c], found.offsets[c]), &cells.windows),
                offset: found.offsets[c],
                offset_u: found.factor * found.uncertainty(fits.numbers.len() + c),
                wild: found.wild[c],
                alike: found.spreads[c][1].powi(2),
            }
        };
        logged.compared.iter().enumerate().map(of).collect()
    }

    pub(super) fn numbers(&self, fits: &Fits, logged: &Logged) -> Vec<told::Fitted> {
        let all: Vec<usize> = (0..fits.numbers.len()).collect();
        let of = |(k, number): (usize, &Number)| told::Fitted {
            address: number.address.clone(),
            kind: number.kind,
            is: number.is,
            range: number.range,
            to: fits.found.numbers[k],
            u: fits.wider[k].uncertainty,
            sure: fits.found.intervals[k].map(|edge| (edge.at, edge.is_bound)),
            is_told: fits.tells[k].is_told(),
            is_unfelt: fits.tells[k].is_unfelt(),
            like: self.names(&fits.tells[k].like, &all, (&fits.numbers, logged)),
            as_long: Self::as_long(fits, k),
        };
        fits.numbers.iter().enumerate().map(of).collect()
    }

    /// What has to be as it was taken to be for a number to be as it was found.
    fn as_long(fits: &Fits, k: usize) -> Vec<told::AsLong> {
        let left = fits.wider[k].hangs_on.iter().map(|&j| &fits.left_numbers[j]);
        let left = left.map(|n| (n, n.is, false));
        // What was fitted and is not told is as it was found; what is known of it is in the interval.
        let own = fits.tells[k].like.iter().filter_map(|(other, _)| {
            let number = fits.numbers.get(*other)?;
            (!fits.tells[*other].is_told()).then(|| (number, fits.found.numbers[*other], true))
        });
        let of = |(number, at, is_fitted): (&Number, f64, bool)| told::AsLong {
            address: number.address.clone(),
            kind: number.kind,
            at,
            is_fitted,
        };
        left.chain(own).take(2).map(of).collect()
    }

    /// Measured, as it stands and as learnt, over time.
    pub(super) fn histories(
        &self,
        logged: &Logged,
        (before, after): (&History, &History),
        behind: &[f64],
    ) -> Histories {
        let table = &logged.table;
        let whole = table.times_s[table.times_s.len() - 1];
        let length = (whole / CELLS).max(table.step_s);
        let mut windows = Vec::new();
        let mut at = 0.0;
        while at < whole {
            windows.push([at, (at + length).min(whole)]);
            at += length;
        }
        let mut columns = Vec::new();
        let mut series: Vec<Vec<f64>> = Vec::new();
        for (c, (shows, cells)) in logged.compared.iter().enumerate() {
            let name = &self.built.ready.model.gauges[shows.gauge].name;
            let mut add = |word: &str, label: &'static str, formula: &'static str, values| {
                let address = format!("gauges/{name}:{word}");
                columns.push(HistoryColumn { address, kind: shows.kind, label, formula });
                series.push(values);
            };
            let mut measured = vec![f64::NAN; windows.len()];
            for (window, value) in cells.windows.iter().zip(&cells.values) {
                let middle = 0.5 * (window[0] + window[1]);
                let place = windows.partition_point(|own| own[1] <= middle);
                if let Some(slot) = measured.get_mut(place) {
                    *slot = *value;
                }
            }
            add("measured", "what was measured", "mean over the stretch", measured);
            for (history, word, label) in [
                (before, "as_it_stands", "what the case as it stands would have shown"),
                (after, "as_learnt", "the same with what was learnt"),
            ] {
                let column = history.catalogue.find(&shows.result);
                let values: Vec<f64> = column
                    .map_or_else(Vec::new, |k| history.rows.iter().map(|row| row[k]).collect());
                let shown = if values.is_empty() {
                    vec![f64::NAN; windows.len()]
                } else {
                    means(&history.times_s, &values, &windows, behind[c])
                };
                add(word, label, "mean over the stretch, late as the clock of the gauge is", shown);
            }
        }
        let times_s: Vec<f64> = windows.iter().map(|w| 0.5 * (w[0] + w[1])).collect();
        let rows = (0..windows.len()).map(|k| series.iter().map(|of| of[k]).collect()).collect();
        let mut phases = Vec::new();
        let (mut from, mut end) = (0, 0.0);
        for (name, time_s) in &logged.phases {
            end += time_s;
            let to = times_s.partition_point(|at| *at <= end);
            phases.push((name.clone(), from..to));
            from = to;
        }
        Histories { columns, times_s, phases, rows }
    }
}
