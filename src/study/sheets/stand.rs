//! The stand card: what each gauge shows at each step on the stand, within which band, and where to stop.

mod plan;

pub(super) use plan::stopped;
pub use plan::{Plan, plans};

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;
use coolwright_models::cycle::{Columns, History, Program};
use coolwright_models::gauge::{Gauge, GaugePlace, Reads};
use coolwright_models::ids::Id;
use coolwright_models::instance::Instance;
use coolwright_models::results::Catalogue;
use coolwright_models::results::quantities as q;
use coolwright_models::slots::{Slot, Values};

use super::Papers;
use crate::study::load::cooled_by;
use crate::study::{Bound, Limit};

/// With more runs than this no bands are worked out.
const MOST_RUNS: usize = 60;
/// All steps.
#[derive(Clone, Debug)]
pub struct Card {
    /// The steps in their order.
    pub steps: Vec<Step>,
}

/// A step on the stand.
#[derive(Clone, Debug)]
pub struct Step {
    /// What it is.
    pub name: String,
    /// How long it is held, s.
    pub hold_s: f64,
    /// Share of full power.
    pub share: f64,
    /// Machines that run.
    pub runs: Vec<String>,
    /// What each gauge shows; none where the coolant boiled before.
    pub gauges: Vec<OnGauge>,
    /// Current of each supply at its end, A.
    pub currents_a: Vec<(String, f64)>,
    /// Where in the step the coolant boils, s after its start, if it does.
    pub boils_s: Option<f64>,
    /// Limits that break in it, by name, and when, s after its start.
    pub breaks: Vec<(String, f64)>,
    /// Circuits whose caps open in it.
    pub opens: Vec<String>,
    /// Speed of the engine, rad/s; 0 where it drives no pump.
    pub engine_speed: f64,
    /// Circuits that are warmed up before it, and how warm, K.
    pub warm: Vec<(String, f64)>,
}

/// A gauge in a step.
#[derive(Clone, Debug)]
pub struct OnGauge {
    /// The gauge.
    pub gauge: usize,
    /// Its kind.
    pub kind: Kind,
    /// What it shows at the start of the step, after a quarter, half and all of it, SI.
    pub shows: [f64; 4],
    /// What the design may be off by there because published laws disagree, SI; `None` where the step has no steady
    /// state to tell it from.
    pub band: Option<f64>,
    /// What the gauge may be off by of itself, SI.
    pub error: Option<f64>,
    /// The reading at which to stop, and whether that is above what it shows, SI.
    pub stop: Option<(f64, bool)>,
}

impl OnGauge {
    /// Whether a reading tells if the step is as designed: `false` where the gauge's own error is over half the band.
    /// `None` where either is not known.
    pub fn tells(&self) -> Option<bool> {
        self.band.zip(self.error).map(|(band, error)| error <= 0.5 * band)
    }

    /// How fast what it shows rises over the second half of a step that was followed for so many seconds, SI a second.
    fn rate(&self, followed_s: f64) -> f64 {
        (self.shows[3] - self.shows[2]) / (0.5 * followed_s).max(1e-9)
    }
}

/// The card of a case. `limits` are those that it has.
pub fn stand(papers: &Papers<'_>, limits: &[Limit]) -> Card {
    let ready = papers.ready;
    let plans = plans(ready);
    let mut instance = Instance::new(&ready.model);
    let Ok(catalogue) = instance.catalogue(&ready.model.values) else {
        return Card { steps: Vec::new() };
    };
    let places = columns(ready, &catalogue, limits);
    let (cold, warm) = cold(ready);
    // What starts warm is warmed up between the steps without load and those with it.
    let loaded = plans.iter().position(|plan| plan.share > 0.0).filter(|_| !warm.is_empty());
    let (before, behind) = plans.split_at(loaded.unwrap_or(plans.len()));
    let mut steps: Vec<Step> = Vec::new();
    for (plans, values, warm) in [(before, &cold, Vec::new()), (behind, &ready.model.values, warm)]
    {
        let phases = plans.iter().map(Plan::phase).collect();
        let program = Program { phases, ..Program::default() };
        let only = Columns::Only(&places);
        let history = instance.follow(values, &program, only, &mut |_| true).cloned().ok();
        let history = history.as_ref();
        let told = Told { ready, history, limits, catalogue: &catalogue, places: &places };
        for (k, plan) in plans.iter().enumerate() {
            let last = steps.last().filter(|_| k > 0);
            let mut step = told.step((k, plan), last, &mut instance);
            if k == 0 {
                step.warm.clone_from(&warm);
            }
            steps.push(step);
        }
    }
    Card { steps }
}

/// The numbers of the case with all that starts warmer than the air as cold as that, and the circuits that do, with how warm, K:
/// a stand is begun cold.
fn cold(ready: &Ready) -> (Values, Vec<(String, f64)>) {
    let model = &ready.model;
    let mut values = model.values.clone();
    let air_k = values.get(model.site.temperature);
    let is_warm = |slot: &Slot| model.values.get(*slot) > air_k + WARM_K;
    let circuits = model.circuits.iter().filter(|circuit| is_warm(&circuit.start));
    let warm = circuits.map(|circuit| (circuit.name.clone(), model.values.get(circuit.start)));
    let warm: Vec<(String, f64)> = warm.collect();
    let starts = model.circuits.iter().map(|circuit| circuit.start);
    let starts = starts.chain(model.bodies.iter().filter_map(|body| body.start));
    let writes: Vec<_> = starts.filter(is_warm).map(|slot| (slot, air_k)).collect();
    model.write(&mut values, &writes);
    (values, warm)
}

/// What starts by more than this above the air, K, is warm.
const WARM_K: f64 = 5.0;

/// Where a reading comes to rest.
#[derive(Clone, Copy, Debug)]
struct Rest {
    /// What it may be off by there, SI.
    off: f64,
    /// What it shows there, SI.
    shows: f64,
}

impl Rest {
    /// What a temperature may be off by at the end of a step that begins and ends at these readings, `before` at its begin:
    /// it goes from that to what it is off by at rest as the reading goes there itself, as one that comes to rest by a first
    /// order does.
    ///
    /// `d = s d_rest + (1 − s) d_before, s = (T_end − T_begin)/(T_rest − T_begin)`
    fn on_the_way(&self, [begins, ends]: [f64; 2], before: f64) -> f64 {
        let way = self.shows - begins;
        let gone = if way.abs() <= self.off { 1.0 } else { (ends - begins) / way };
        let gone = gone.clamp(0.0, 1.0);
        gone * self.off + (1.0 - gone) * before
    }
}

/// The columns that are followed: gauges, supplies, and what limits are on; each once.
fn columns(ready: &Ready, catalogue: &Catalogue, limits: &[Limit]) -> Vec<usize> {
    let model = &ready.model;
    let gauges = model.gauges.iter().enumerate();
    let gauges = gauges.filter_map(|(g, gauge)| catalogue.place(Id::Gauge(g), gauge.reading()));
    let supplies =
        (0..model.supplies.len()).filter_map(|s| catalogue.place(Id::Supply(s), &q::SUPPLY));
    let truths =
        (0..model.gauges.len()).filter_map(|g| catalogue.place(Id::Gauge(g), &q::TRUE_TEMPERATURE));
    let limited = limits.iter().filter_map(|limit| limit.index).chain(truths);
    let caps = (0..model.circuits.len()).filter_map(|c| cap(ready, catalogue, c));
    let mut places: Vec<usize> = Vec::new();
    for place in gauges.chain(supplies).chain(limited).chain(caps) {
        if !places.contains(&place) {
            places.push(place);
        }
    }
    places
}

/// The place of what the cap of a circuit does.
fn cap(ready: &Ready, catalogue: &Catalogue, circuit: usize) -> Option<usize> {
    catalogue.place(ready.model.reference_id(circuit)?, &q::CAP)
}

/// What was followed.
struct Told<'a> {
    ready: &'a Ready,
    history: Option<&'a History>,
    limits: &'a [Limit],
    catalogue: &'a Catalogue,
    places: &'a [usize],
}

impl Told<'_> {
    fn step(
        &self,
        (k, plan): (usize, &Plan),
        before: Option<&Step>,
        instance: &mut Instance<'_>,
    ) -> Step {
        let values = plan.values(self.ready);
        let known = self.history.and_then(|history| Some((history, history.phases.get(k)?)));
        let rows = known.map(|(_, phase)| phase.rows.clone()).filter(|rows| !rows.is_empty());
        let rests = self.rests(&values, instance);
        let before = before.map_or(&[][..], |step| &step.gauges);
        let boiled = known.and_then(|(history, phase)| {
            let last = k + 1 == history.phases.len();
            let at_s = history.boiled.filter(|_| last)?.at_s;
            Some(at_s - history.times_s[phase.rows.start])
        });
        let gauges = rows.clone().map_or_else(Vec::new, |rows| {
            let all = 0..self.ready.model.gauges.len();
            all.filter_map(|g| self.gauge(g, rows.clone(), (&rests, before))).collect()
        });
        let supplies = self.ready.model.supplies.iter().enumerate();
        let currents_a = supplies.filter_map(|(s, supply)| {
            let place = self.catalogue.place(Id::Supply(s), &q::SUPPLY)?;
            Some((supply.path.clone(), self.at(rows.clone()?.end - 1, place)?))
        });
        let breaks = rows.clone().map_or_else(Vec::new, |rows| self.breaks(rows));
        let opens = rows.clone().map_or_else(Vec::new, |rows| self.opens(rows));
        Step {
            name: plan.name.clone(),
            hold_s: plan.hold_s,
            share: plan.share,
            runs: plan.runs.clone(),
            gauges,
            currents_a: currents_a.collect(),
            boils_s: boiled,
            breaks,
            opens,
            engine_speed: plan.engine_speed,
            warm: Vec::new(),
        }
    }

    /// A recorded number.
    fn at(&self, row: usize, place: usize) -> Option<f64> {
        let column = self.places.iter().position(|known| *known == place)?;
        self.history.map(|history| history.rows[row][column]).filter(|si| si.is_finite())
    }

    /// Where the reading of each gauge comes to rest in a step; none where it does not.
    fn rests(&self, values: &Values, instance: &mut Instance<'_>) -> Vec<Option<Rest>> {
        let none = vec![None; self.ready.model.gauges.len()];
        // With many runs what laws may be off by takes longer than all else.
        let runs: usize = self.ready.model.circuits.iter().map(|circuit| circuit.runs.len()).sum();
        if runs > MOST_RUNS {
            return none;
        }
        let Ok(point) = instance.point(values, None) else { return none };
        let held: Vec<usize> = point.held.iter().map(|held| held.circuit).collect();
        let states = point.states.clone();
        let shown = |g: usize| {
            let results = &point.results;
            results.of(Id::Gauge(g), self.ready.model.gauges[g].reading())
        };
        let shown: Vec<Option<f64>> = (0..none.len()).map(shown).collect();
        let Ok(known) = instance.uncertainty(values, &states, &held) else { return none };
        let of = |g: usize| {
            let gauge = &self.ready.model.gauges[g];
            // What is never steady has flows and pressures, and no temperature that could be off.
            if gauge.reads == Reads::Temperature && held.contains(&gauge.circuit) {
                return None;
            }
            let all = known.of(Id::Gauge(g), gauge.reading())?;
            // The gauge's own error is told beside it.
            let own = gauge.error.map_or(0.0, |slot| values.get(slot));
            Some(Rest { off: (all * all - own * own).max(0.0).sqrt(), shows: shown[g]? })
        };
        (0..none.len()).map(of).collect()
    }

    fn gauge(
        &self,
        g: usize,
        rows: std::ops::Range<usize>,
        (rests, before): (&[Option<Rest>], &[OnGauge]),
    ) -> Option<OnGauge> {
        let quantity = self.ready.model.gauges[g].reading();
        let place = self.catalogue.place(Id::Gauge(g), quantity)?;
        let history = self.history?;
        let (from_s, to_s) = (history.times_s[rows.start], history.times_s[rows.end - 1]);
        let near = |share: f64| {
            let at_s = from_s + share * (to_s - from_s);
            let by = |row: &usize| (history.times_s[*row] - at_s).abs();
            let row = rows.clone().min_by(|a, b| by(a).total_cmp(&by(b)))?;
            self.at(row, place)
        };
        let shows = [near(0.0)?, near(0.25)?, near(0.5)?, near(1.0)?];
        let values = &self.ready.model.values;
        let was = before.iter().find(|of| of.gauge == g).map_or(Some(0.0), |of| of.band);
        let band = rests.get(g).copied().flatten().map(|rest| match quantity.kind {
            Kind::Temperature => rest.on_the_way([shows[0], shows[3]], was.unwrap_or(rest.off)),
            _ => rest.off,
        });
        let mut shown = OnGauge {
            gauge: g,
            kind: quantity.kind,
            shows,
            band,
            error: self.ready.model.gauges[g].error.map(|slot| values.get(slot)),
            stop: None,
        };
        shown.stop = self.stop(&shown, place, (rows.end - 1, shown.rate(to_s - from_s)));
        Some(shown)
    }

    /// The reading at which to stop: the bound of a limit on it; else where the tightest limit of its kind on what it sees
    /// is reached, if both go alike from the end of the step: a temperature of its circuit, a pressure there, a flow of its
    /// run. The gauge may be off by its error, and be behind by its lag at the rate at which it rises; what is behind a fall
    /// is no room.
    fn stop(&self, of: &OnGauge, place: usize, (row, rate): (usize, f64)) -> Option<(f64, bool)> {
        let (g, shows) = (of.gauge, of.shows[3]);
        let own = self.limits.iter().filter(|limit| limit.index == Some(place));
        let room = |limit: &&Limit| limit.margin(shows);
        if let Some(limit) = own.min_by(|a, b| room(a).total_cmp(&room(b))) {
            return Some((limit.value, limit.bound == Bound::AtMost));
        }
        let gauge = &self.ready.model.gauges[g];
        let values = &self.ready.model.values;
        let seen = self.limits.iter().filter(|limit| self.sees(gauge, limit));
        let room =
            seen.filter_map(|limit| Some((limit.margin(self.at(row, limit.index?)?), limit)));
        let (least, limit) = room.min_by(|a, b| a.0.total_cmp(&b.0))?;
        let error = of.error.unwrap_or(0.0);
        if gauge.reads != Reads::Temperature {
            let rises = limit.bound == Bound::AtMost;
            let by = least - error;
            return Some((if rises { shows + by } else { shows - by }, rises));
        }
        let truth = self.catalogue.place(Id::Gauge(g), &q::TRUE_TEMPERATURE);
        let truth = truth.and_then(|place| self.at(row, place));
        let now = truth.map_or(shows, |truth| truth + values.get(gauge.offset));
        let lag_s = gauge.sheath.map_or(0.0, |sheath| values.get(sheath.lag));
        let late = error + lag_s * rate.max(0.0);
        Some((now + least - late, true))
    }

    /// Whether what a gauge shows goes as what a limit is on.
    fn sees(&self, gauge: &Gauge, limit: &Limit) -> bool {
        let model = &self.ready.model;
        let circuit = &model.circuits[gauge.circuit];
        let of = |path: &str| {
            limit.of.strip_prefix(path).is_some_and(|rest| rest.starts_with([':', '/']))
        };
        match gauge.reads {
            Reads::Temperature => self.warms(limit, gauge.circuit),
            Reads::Pressure => limit.kind == Kind::GaugePressure && of(&circuit.name),
            Reads::Flow => {
                let GaugePlace::Part { run, .. } = gauge.place else { return false };
                let run = model.address(Id::Run(gauge.circuit, run));
                limit.kind == Kind::VolumeFlow && of(&run)
            }
        }
    }

    /// Whether a limit breaks as a circuit gets hotter.
    fn warms(&self, limit: &Limit, circuit: usize) -> bool {
        let hot = match limit.kind {
            Kind::Temperature => limit.bound == Bound::AtMost,
            Kind::TemperatureDifference => {
                limit.bound == Bound::AtLeast && limit.of.ends_with(":boil_margin")
            }
            _ => false,
        };
        let model = &self.ready.model;
        let spec = &model.circuits[circuit];
        let bodies = cooled_by(spec).into_iter().map(|body| model.address(Id::Body(body)));
        let mut things = std::iter::once(spec.name.clone()).chain(bodies);
        hot && things.any(|thing| {
            limit.of.strip_prefix(&thing).is_some_and(|rest| rest.starts_with([':', '/']))
        })
    }

    /// The limits that break in some rows, and when first, s after their start.
    fn breaks(&self, rows: std::ops::Range<usize>) -> Vec<(String, f64)> {
        let Some(history) = self.history else { return Vec::new() };
        let first = |limit: &Limit| {
            let place = limit.index?;
            let beyond =
                |row: &usize| self.at(*row, place).is_some_and(|si| limit.margin(si) < 0.0);
            let row = rows.clone().find(beyond)?;
            Some((limit.name.clone(), history.times_s[row] - history.times_s[rows.start]))
        };
        // A limit of certain phases says nothing of the stand.
        let mut all: Vec<(String, f64)> =
            self.limits.iter().filter(|limit| limit.during.is_none()).filter_map(first).collect();
        all.dedup_by(|a, b| a.0 == b.0);
        all
    }

    /// The circuits whose caps open in some rows.
    fn opens(&self, rows: std::ops::Range<usize>) -> Vec<String> {
        let circuits = self.ready.model.circuits.iter().enumerate();
        let opens = circuits.filter(|(c, _)| {
            cap(self.ready, self.catalogue, *c).is_some_and(|place| {
                rows.clone().any(|row| self.at(row, place).is_some_and(|cap| cap > 0.5))
            })
        });
        opens.map(|(_, circuit)| circuit.name.clone()).collect()
    }
}
