//! What each failure breaks and how soon, how it shows, and what to do.

use coolwright_cases::lower::BuiltInKind;
use coolwright_cases::quantity::Kind;

use super::verdict;
use crate::answer::{Cell, Form, Lay, Section, Sentence, Table, Value, Verdict, kinds};
use crate::say;
use crate::study::{Failure, Judged};

/// The case without a failure.
#[derive(Clone, Debug)]
pub struct Sound {
    /// How it stands.
    pub verdict: Verdict,
    /// What that says beside its word.
    pub told: Vec<Sentence>,
    /// Whether it was followed through its duty cycle.
    pub over_cycle: bool,
    /// When the first pull ends and the next begins, s after the start.
    pub pulls_s: Option<[f64; 2]>,
    /// Whether the case has gauges.
    pub has_gauges: bool,
    /// What a phase sets itself, so that it cannot fail here.
    pub set: Vec<Sentence>,
}

/// Something that fails, and what comes of it, or why that is not known.
#[derive(Clone, Debug)]
pub struct Failed {
    /// What fails.
    pub failure: Failure,
    /// What comes of it.
    pub outcome: Result<Outcome, Sentence>,
}

/// What comes of a failure.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// How the case stands with it.
    pub verdict: Verdict,
    /// What stands against it that no limit speaks of, and does not without it.
    pub grave: Option<Sentence>,
    /// The rest that does not make ready, and does without it.
    pub late: Option<Sentence>,
    /// The limit that breaks first and is kept without it.
    pub breaks: Option<Broken>,
    /// What breaks where it comes as the last pull begins, or why that is not known; nothing where it cannot come on
    /// the way, or breaks nothing more then.
    pub hot: Option<Result<WhenHot, Else>>,
    /// A limit that is kept without it and cannot be judged with it, by its name, and why.
    pub unjudged: Option<(String, Sentence)>,
    /// The source that keeps the least of its flow.
    pub left: Option<Left>,
    /// The metal that is warmed most by it.
    pub hottest: Option<Hottest>,
    /// The gauge that shows it first; `None` where that is not known, as nothing is steady.
    pub shows: Option<Shown>,
    /// All limits.
    pub judged: Vec<Judged>,
}

/// A limit that breaks.
#[derive(Clone, Debug)]
pub struct Broken {
    /// The first.
    pub first: Judged,
    /// How many more there are.
    pub more: usize,
    /// The first of those that guard against harm: what boils, runs dry, or gets hotter than it stands.
    pub harm: Option<Judged>,
}

/// What else comes of a failure that comes as the last pull begins and breaks nothing: in a word, and why.
#[derive(Clone, Debug)]
pub struct Else {
    /// In a word.
    pub word: &'static str,
    /// Why.
    pub why: Sentence,
}

/// What breaks where a failure comes as the last pull begins.
#[derive(Clone, Debug)]
pub struct WhenHot {
    /// The first limit.
    pub first: Judged,
    /// How long after the failure, s.
    pub after_s: f64,
    /// How long after it the first of those breaks that guard against harm, s.
    pub harm_after_s: Option<f64>,
}

/// Whether a limit guards against harm: a built-in one, but for what is lost through a cap or freezes, which hurts
/// nothing at once.
pub fn guards(judged: &Judged) -> bool {
    let slow = [BuiltInKind::Spill, BuiltInKind::Freezing];
    judged.limit.built_in.is_some_and(|kind| !slow.contains(&kind))
}

/// Flow that is left, in the mean while the vehicle works.
#[derive(Clone, Debug)]
pub struct Left {
    /// Through which source of heat.
    pub source: String,
    /// As a share of what it is without the failure.
    pub share: f64,
}

/// How hot metal gets.
#[derive(Clone, Debug)]
pub struct Hottest {
    /// Of which source of heat.
    pub source: String,
    /// At most, K.
    pub metal_k: f64,
    /// By how much more than without the failure, K.
    pub by_k: f64,
}

/// What gauges show of a failure.
#[derive(Clone, Debug)]
pub enum Shown {
    /// One shows it first.
    On(Shows),
    /// None of them does.
    OnNone,
}

impl Outcome {
    /// What the gauge shows that shows it first.
    fn gauge(&self) -> Option<&Shows> {
        match &self.shows {
            Some(Shown::On(shows)) => Some(shows),
            Some(Shown::OnNone) | None => None,
        }
    }

    /// That gauge, or why there is none in a few words.
    fn gauge_or(&self, none: &'static str) -> Value {
        match &self.shows {
            Some(Shown::On(shows)) => Value::from(&shows.gauge),
            Some(Shown::OnNone) => none.into(),
            None => "not known".into(),
        }
    }
}

/// What a gauge shows.
#[derive(Clone, Debug)]
pub struct Shows {
    /// Its name.
    pub gauge: String,
    /// What it reads.
    pub kind: Kind,
    /// From when on that can be seen, s after the start.
    pub from_s: f64,
    /// The most that its reading differs from what it is without the failure, SI.
    pub change: f64,
    /// The same, counted in what can just be seen on it.
    pub times: f64,
}

/// What there is to do, the most urgent first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Do {
    Stop,
    Ease,
    Finish,
    StopBefore,
    Rest,
    GoOn,
    Unknown,
}

impl Do {
    fn of(sound: &Sound, failed: &Failed) -> Self {
        let Ok(outcome) = &failed.outcome else { return Self::Unknown };
        let Some(broken) = &outcome.breaks else {
            return match (&outcome.grave, &outcome.unjudged, &outcome.late) {
                (Some(_), ..) => Self::Stop,
                (None, Some(_), _) => Self::Ease,
                (None, None, Some(_)) => Self::Rest,
                (None, None, None) => Self::GoOn,
            };
        };
        // How many of the end of the first pull and the beginning of the next have passed.
        let passed = |judged: &Judged| {
            let times = sound.pulls_s.zip(judged.first_s);
            times.map_or(0, |(pulls, first)| pulls.iter().filter(|pull_s| first > **pull_s).count())
        };
        let soon = |harm: &Judged| harm.first_s.is_some_and(|first_s| first_s < NO_TIME_S);
        let hot = outcome.hot.as_ref().and_then(|hot| hot.as_ref().ok()?.harm_after_s);
        let harms = broken.harm.as_ref().is_some_and(|harm| passed(harm) == 0 || soon(harm))
            || hot.is_some_and(|after_s| after_s < NO_TIME_S);
        match passed(&broken.first) {
            _ if outcome.grave.is_some() || harms => Self::Stop,
            0 => Self::Ease,
            1 => Self::Finish,
            _ => Self::StopBefore,
        }
    }

    fn words(self, sound: &Sound, failed: &Failed) -> Sentence {
        let broken = failed.outcome.as_ref().ok().and_then(|outcome| outcome.breaks.as_ref());
        let first_s = broken.and_then(|broken| broken.first.first_s);
        match (self, sound.pulls_s.is_some()) {
            (Self::Stop, _) => "stop now".into(),
            (Self::Ease, _) => "ease off, or stop".into(),
            (Self::Finish, _) => "finish pull, then stop".into(),
            (Self::StopBefore, _) => {
                say!("stop before {time}", time = first_s.map(Value::clock))
            }
            (Self::Rest, _) => "finish, not ready after".into(),
            (Self::GoOn, true) => "finish, then mend it".into(),
            (Self::GoOn, false) => "go on, mend it soon".into(),
            (Self::Unknown, _) => "not known".into(),
        }
    }
}

/// What is harmed within this time, s, is harmed before a crew has done anything (common practice, no source).
const NO_TIME_S: f64 = 60.0;

/// Puts the failures in order: the most urgent first, of those the soonest, then that with the least flow left.
pub fn sort(sound: &Sound, all: &mut [Failed]) {
    let key = |failed: &Failed| {
        let outcome = failed.outcome.as_ref().ok();
        let first_s = outcome.and_then(|of| of.breaks.as_ref()?.first.first_s);
        let left = outcome.and_then(|of| of.left.as_ref().map(|left| left.share));
        (Do::of(sound, failed), first_s.unwrap_or(f64::INFINITY), left.unwrap_or(f64::INFINITY))
    };
    all.sort_by(|a, b| {
        let ((a_do, a_s, a_left), (b_do, b_s, b_left)) = (key(a), key(b));
        a_do.cmp(&b_do).then(a_s.total_cmp(&b_s)).then(a_left.total_cmp(&b_left))
    });
}

/// So many failures are named beside the verdict.
const MOST: usize = 3;
/// Before each line of a verdict.
const NEXT: &str = "\n         ";

/// How the case stands without a failure, and which are the worst.
pub fn summary(sound: &Sound, all: &[Failed]) -> Section {
    let mut lines =
        vec![say!("with nothing failed: {verdict}", verdict = verdict::word(sound.verdict))];
    lines.extend(sound.told.iter().map(|told| say!("  - {told}", told = told.clone())));
    let of = |wanted: Do| all.iter().filter(move |failed| Do::of(sound, failed) == wanted);
    let urgent = of(Do::Stop).count() + of(Do::Ease).count();
    lines.push(say!(
        "of {all} failures, so many ask for a stop or less power at once: {urgent}; leave some time: {later}; break \
         nothing more: {none}",
        urgent = urgent,
        all = all.len(),
        later = of(Do::Finish).count() + of(Do::StopBefore).count() + of(Do::Rest).count(),
        none = of(Do::GoOn).count()
    ));
    let worst = of(Do::Stop).chain(of(Do::Ease)).take(MOST);
    lines.extend(worst.map(|failed| {
        say!("{what}: {does}", what = failed.failure.what.clone(), does = does(failed))
    }));
    let lines = Value::list(lines, NEXT);
    Section::plain("verdict").say(say!("VERDICT  {lines}", lines = lines), Lay::Lines)
}

/// What a failure does, in a few words.
fn does(failed: &Failed) -> Sentence {
    let outcome = match &failed.outcome {
        Ok(outcome) => outcome,
        Err(why) => return say!("not known: {why}", why = why.clone()),
    };
    let Some(broken) = &outcome.breaks else {
        return why(outcome).unwrap_or_else(|| "breaks nothing more".into());
    };
    let name = &broken.first.limit.name;
    match broken.first.first_s {
        Some(first_s) if first_s < AT_ONCE_S => say!("{limit} breaks at once", limit = name),
        Some(first_s) => say!(
            "{limit} breaks {first} after the start",
            limit = name,
            first = Value::formed(Kind::Time, first_s, Form::Decimals(1))
        ),
        None => say!("{limit} breaks, if it is kept up", limit = name),
    }
}

/// What breaks within this, s, breaks at once.
const AT_ONCE_S: f64 = 0.05;

/// What no broken limit says of it.
fn why(outcome: &Outcome) -> Option<Sentence> {
    let unjudged = outcome
        .unjudged
        .as_ref()
        .map(|(limit, why)| say!("{limit} is not judged: {why}", limit = limit, why = why.clone()));
    let quiet = outcome.breaks.is_some();
    let else_ = unjudged.or_else(|| outcome.late.clone()).filter(|_| !quiet);
    outcome.grave.clone().or(else_)
}

/// What each failure breaks, how soon, and what to do.
pub fn breaks(sound: &Sound, all: &[Failed]) -> Section {
    let title = "Each failure alone, the most urgent first";
    Section::new("failures", title).table(what_breaks(sound, all))
}

/// Whether a failure breaks nothing more alone, nor leaves anything unjudged.
pub fn is_borne(sound: &Sound, failed: &Failed) -> bool {
    Do::of(sound, failed) == Do::GoOn
}

/// The pairs that break something together which neither breaks alone, out of so many that were tried.
pub fn pairs(sound: &Sound, tried: usize, all: &[Failed]) -> Section {
    let title = "Two failures together, where each alone breaks nothing more";
    let said = if tried == 0 {
        "There are no two failures that break nothing alone, so no pair was tried.".into()
    } else {
        say!(
            "Pairs tried: {tried}; so many break something together: {bad}. A failure that breaks something alone does \
             so with any other too, and mostly sooner than the times above say.",
            tried = tried,
            bad = all.len()
        )
    };
    Section::new("pairs", title).table(what_breaks(sound, all)).say(said, Lay::Paragraph)
}

/// What failures break, how soon, and what to do.
fn what_breaks(sound: &Sound, all: &[Failed]) -> Table {
    let table = Table::new()
        .broken_words("failure", "what fails", 22)
        .words("do", "what to do")
        .broken_words("breaks", "breaks first", 16)
        .numbers("after", "after\nmin:s", Kind::Time)
        .numbers("when_hot", "when hot\nmin:s", Kind::Time);
    let table = if sound.has_gauges { table.words("gauge", "shows on") } else { table };
    let mut table = table
        .for_programs("verdict", None)
        .for_programs("more", None)
        .for_programs("margin", None)
        .for_programs("variant", None)
        .for_programs("why", None)
        .for_programs("breaks_when_hot", None)
        .only_filled();
    for failed in all {
        let outcome = failed.outcome.as_ref().ok();
        let broken = outcome.and_then(|of| of.breaks.as_ref());
        let first = broken.map(|of| &of.first);
        let kind = first.map(|one| kinds::difference(one.limit.kind));
        let margin = first.and_then(Judged::margin).zip(kind);
        let why = match &failed.outcome {
            Err(why) => Some(why.clone()),
            Ok(of) => why(of),
        };
        let unjudged = outcome.filter(|of| of.grave.is_none()).and_then(|of| of.unjudged.as_ref());
        let named = match (broken, unjudged, &why) {
            (Some(of), ..) => Value::from(&of.first.limit.name),
            (None, Some((limit, _)), _) => say!("{limit}: not judged", limit = limit).into(),
            (None, None, Some(why)) => why.clone().into(),
            (None, None, None) => Value::Nothing,
        };
        let gauge = outcome.map_or_else(|| "no gauge".into(), |of| of.gauge_or("no gauge"));
        let shows_s = outcome.and_then(Outcome::gauge).map(|of| of.from_s);
        let broken_s = first.and_then(|one| one.first_s);
        let late =
            sound.over_cycle && shows_s.zip(broken_s).is_some_and(|(shows, broken)| shows > broken);
        let gauge = if late { say!("{gauge}, too late", gauge = gauge).into() } else { gauge };
        let hot = outcome.and_then(|of| of.hot.as_ref());
        let people: [Cell; 5] = [
            failed.failure.what.clone().into(),
            Do::of(sound, failed).words(sound, failed).into(),
            Cell::from(named).judged(broken.is_none()),
            first.and_then(|one| one.first_s).map(Value::clock).into(),
            when_hot(hot),
        ];
        let programs: [Cell; 6] = [
            outcome.map_or(Verdict::Unsolved, |of| of.verdict).word().into(),
            broken.map(|of| Value::Count(of.more)).into(),
            margin.map(|(si, kind)| Value::of(kind, si)).into(),
            as_variant(&failed.failure).into(),
            why.map(Value::from).into(),
            hot.map(|of| match of {
                Ok(of) => Value::from(&of.first.limit.name),
                Err(other) => other.why.clone().into(),
            })
            .into(),
        ];
        let gauge = sound.has_gauges.then(|| gauge.into());
        table.row(address(failed), people.into_iter().chain(gauge).chain(programs));
    }
    table
}

/// When it breaks where it comes as the last pull begins.
fn when_hot(hot: Option<&Result<WhenHot, Else>>) -> Cell {
    match hot {
        None => Value::Nothing.into(),
        Some(Ok(of)) => Value::clock(of.after_s).into(),
        Some(Err(other)) => Cell::from(Value::from(other.word)).judged(false),
    }
}

/// The address that a failure changes first.
fn address(failed: &Failed) -> String {
    failed.failure.changes.first().map_or_else(String::new, |change| change.address.clone())
}

/// A flow that keeps more than this share of itself is as it was.
const AS_IT_WAS: f64 = 0.98;

/// What each failure does: how much flow is left, and what gets hot.
pub fn effects(all: &[Failed]) -> Section {
    let mut table = Table::new()
        .broken_words("failure", "what fails", 30)
        .numbers("left", "flow\nleft", Kind::Fraction)
        .words("through", "through")
        .words("hottest", "warmest for it")
        .numbers("metal", "its\nmetal", Kind::Temperature)
        .numbers("by", "more\nby", Kind::TemperatureDifference)
        .for_programs("share", None)
        .for_programs("least", None)
        .only_filled();
    for failed in all {
        let outcome = failed.outcome.as_ref().ok();
        let least = outcome.and_then(|of| of.left.as_ref());
        let left = least.filter(|of| of.share < AS_IT_WAS);
        let hot = outcome.and_then(|of| of.hottest.as_ref()).filter(|of| of.by_k > SEEN_K);
        let warmer = |k| Value::formed(Kind::TemperatureDifference, k, Form::Change);
        let cells: [Cell; 8] = [
            failed.failure.what.clone().into(),
            left.map(|of| Value::percent(of.share, 0)).into(),
            left.map(|of| Value::from(&of.source)).into(),
            hot.map(|of| Value::from(&of.source)).into(),
            hot.map(|of| Value::of(Kind::Temperature, of.metal_k)).into(),
            hot.map(|of| warmer(of.by_k)).into(),
            least.map(|of| Value::of(Kind::Number, of.share)).into(),
            least.map(|of| Value::from(&of.source)).into(),
        ];
        table.row(address(failed), cells);
    }
    Section::new("effects", "What it does, beside the case with nothing failed")
        .support()
        .table(table)
}

/// Which gauge shows each failure first.
pub fn shows(sound: &Sound, all: &[Failed]) -> Section {
    let mut table = Table::new()
        .broken_words("failure", "what fails", 44)
        .words("gauge", "gauge")
        .values("change", "its reading\nchanges by")
        .numbers("from", "from\nmin:s", Kind::Time)
        .numbers("times", "times what\nis seen", Kind::Number)
        .only_filled()
        .mixed();
    for failed in all.iter().filter(|failed| sound.has_gauges && failed.outcome.is_ok()) {
        let outcome = failed.outcome.as_ref().ok();
        let shows = outcome.and_then(Outcome::gauge);
        let change =
            |of: &Shows| Value::formed(kinds::difference(of.kind), of.change, Form::Change);
        let from = shows.filter(|_| sound.over_cycle).map(|of| Value::clock(of.from_s));
        let cells: [Cell; 5] = [
            failed.failure.what.clone().into(),
            outcome.map(|of| of.gauge_or("none shows it")).into(),
            shows.map(change).into(),
            from.into(),
            shows.map(|of| Value::of(Kind::Number, of.times)).into(),
        ];
        table.row(address(failed), cells);
    }
    let section =
        Section::new("shows", "What the gauge shows that shows it first").support().table(table);
    if !sound.has_gauges {
        return section;
    }
    let unknown =
        all.iter().any(|failed| failed.outcome.as_ref().is_ok_and(|of| of.shows.is_none()));
    let section = if unknown {
        section.say(
            Sentence::from(
                "Where nothing is steady with a failure, what gauges show of it is not known here: `failures` over a duty \
                 cycle tells it.",
            ),
            Lay::Paragraph,
        )
    } else {
        section
    };
    section.aside(
        say!(
            "A gauge shows what moves its reading by more than {pressure}, {warmth}, or {flow} of a flow (common \
             practice, no source), or by more than its own error where that is \
             larger, beside its reading at the same moment with nothing failed.",
            pressure = Value::of(Kind::PressureDifference, SEEN_PA),
            warmth = Value::of(Kind::TemperatureDifference, SEEN_ON_GAUGE_K),
            flow = Value::percent(SEEN_OF_FLOW, 0)
        ),
        Lay::Paragraph,
    )
}

/// What a reader of a gauge sees for sure: a change of so much. A pressure by a dial of 250 kPa in class 2, a temperature
/// by a dial in a vehicle, a flow as a share of itself. Common practice, no source.
pub const SEEN_PA: f64 = 5e3;
/// See [`SEEN_PA`].
pub const SEEN_ON_GAUGE_K: f64 = 2.0;
/// See [`SEEN_PA`].
pub const SEEN_OF_FLOW: f64 = 0.05;

/// Metal that is warmer by less than this is not spoken of, K.
const SEEN_K: f64 = 0.5;

/// A failure as a variant of the case file makes it.
fn as_variant(failure: &Failure) -> String {
    let one = |change: &coolwright_cases::case::Change| {
        format!("(\"{}\", {})", change.address, change.text)
    };
    let all: Vec<String> = failure.changes.iter().map(one).collect();
    format!("[{}]", all.join(", "))
}

/// How all of it is meant, and whose decision it is.
pub fn mind(sound: &Sound) -> Section {
    let start = if sound.over_cycle {
        "Each failure is there from the start of the cycle on, and times count from there. `when hot` it comes as the last \
         pull begins, and counts from there; without a time it breaks nothing more then, or is nothing that comes on the \
         way. What breaks then may be another limit (`breaks_when_hot` in JSON and CSV). Another \
         pull, or a moment within one, may leave less time."
    } else {
        "Each failure is there for good; times count from a start at the temperatures of the case with it: what fails when \
         all is hot leaves far less time."
    };
    let gauges = (!sound.has_gauges).then_some(
        "The case has no gauges, so nothing is said of which shows it first: add `gauges`.",
    );
    let section = Section::new("mind", "Mind").points(gauges).points([
        start,
        "What a failure leaves within a limit may be there by less than ± and assumptions leave open: that is not worked out \
         here. `compare` tells it of a variant with the failure.",
        "Not tried: a hose that bursts, which empties the circuit, and air left in a high point, which `sheets` tells how to \
         sweep out.",
        "What to do is what these numbers say, no more: the decision is the crew's, and what they see, hear and smell comes \
         first. In doubt stop.",
    ]);
    if sound.set.is_empty() {
        return section;
    }
    let names = Value::list(sound.set.iter().cloned(), "; ");
    section.points([say!("Not tried, as a phase of the duty sets it: {names}.", names = names)])
}
