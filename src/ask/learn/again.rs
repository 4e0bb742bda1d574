//! The verdict and the hottest day again, with what was learnt.

use coolwright_cases::case::Change;
use coolwright_cases::quantity::Kind;

use super::Learning;
use super::fits::Fits;
use crate::ask::day::fails;
use crate::ask::trial::{Trial, tried};
use crate::sections::learn as told;
use crate::study::{Judged, edge};
use crate::workers;

/// By how much hotter air is tried, K, and how finely.
const HOTTER_K: f64 = 30.0;
const FINE_K: f64 = 0.5;

impl Learning<'_> {
    /// How far the air may be hotter, K, and what fails beyond.
    pub(super) fn hottest(&self, changes: &[Change], over_cycle: bool) -> told::Hottest {
        let ready = &self.built.ready;
        let air_k = ready.model.values.get(ready.model.site.temperature);
        let ends = [air_k, (air_k + HOTTER_K).min(333.15), (air_k - HOTTER_K).max(223.15)];
        edge(ends, FINE_K, &|si| {
            let mut all = changes.to_vec();
            all.push(Change::number("site:air", Kind::Temperature, si));
            let trial = tried(self.case, &all, over_cycle);
            match trial {
                Ok(trial) => fails(&trial).map_or(Ok(()), Err),
                Err(refusal) => Err(refusal.advice()),
            }
        })
    }

    /// By limit what its margin is off by because the numbers are, one standard uncertainty.
    pub(super) fn margins(
        &self,
        fits: &Fits,
        (changes, with): (&[Change], &Trial),
        over: bool,
    ) -> Vec<f64> {
        let told: Vec<usize> =
            (0..fits.numbers.len()).filter(|&k| fits.tells[k].is_told()).collect();
        let moved = workers::map(self.workers, told.len(), |job| {
            let k = told[job];
            let number = &fits.numbers[k];
            let (least, most) = number.range;
            let u = fits.uncertainty(k);
            let up = fits.found.numbers[k] + u;
            let to = if up > most { fits.found.numbers[k] - u } else { up };
            let change = Change::number(&number.address, number.kind, to.clamp(least, most));
            let sign = if up > most { -1.0 } else { 1.0 };
            let all = changes.iter().filter(|known| known.address != number.address);
            let all: Vec<Change> = all.cloned().chain([change]).collect();
            tried(self.case, &all, over).ok().map(|trial| (sign, trial))
        });
        let margin = |trial: &Trial, k: usize| trial.judged.get(k).and_then(Judged::margin);
        (0..with.judged.len())
            .map(|limit| {
                let Some(plain) = margin(with, limit) else { return f64::NAN };
                let by: Vec<f64> = moved
                    .iter()
                    .map(|moved| {
                        let moved = moved.as_ref();
                        let to = moved.and_then(|(sign, t)| Some((sign, margin(t, limit)?)));
                        to.map_or(0.0, |(sign, to)| sign * (to - plain))
                    })
                    .collect();
                let mut variance = 0.0;
                for (a, &ka) in told.iter().enumerate() {
                    for (b, &kb) in told.iter().enumerate() {
                        variance += by[a] * by[b] * fits.found.correlation(ka, kb);
                    }
                }
                variance.max(0.0).sqrt()
            })
            .collect()
    }
}
