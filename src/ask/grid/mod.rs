//! `grid`: many cases over any addresses, one after the other, each in a row of its own.

mod rows;

pub use rows::{Column, Field, Holds};

use coolwright_cases::case::Change;
use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::{InUnit, Kind, UnitSystem, parse};
use coolwright_cases::text::nearest;
use sha2::{Digest, Sha256};

use super::case::{Built, did_you_mean};
use super::compare::over_cycle;
use super::trial::tried;
use super::{Case, Judge};
use crate::answer::{Answer, Sentence, Topic, Value, Verdict, kinds};
use crate::refusal::Refusal;
use crate::render::{Style, csv};
use crate::say;
use crate::sections::cautions::cautions;
use crate::sections::grid::{Extreme, LimitTally, Tally};
use crate::sections::{self, compare};
use crate::study::{Judged, Standing};

/// Which cases are wanted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Over {
    /// Lists, each as it was written: an address, `=`, and values with commas between them or a range.
    pub lists: Vec<String>,
    /// A table of cases as CSV, with addresses as its header.
    pub table: Option<String>,
    /// By what cases are judged.
    pub by: Judge,
}

/// What goes through values: an address, with its kind where it is a number.
#[derive(Clone, Debug)]
struct Axis {
    address: String,
    kind: Option<Kind>,
}

/// A value of an axis: the number, or the text as a variant writes it; nothing where the case stays as it is.
#[derive(Clone, Debug)]
enum Setting {
    Number(f64),
    Text(String),
    AsItIs,
}

/// Many cases, none of which is solved before it is asked for.
pub struct Grid<'a> {
    built: Built<'a>,
    over_cycle: bool,
    units: UnitSystem,
    axes: Vec<Axis>,
    /// The rows of the table, for the first axes; one without values where there is none.
    table: Vec<Vec<Setting>>,
    /// The values of the axes behind those.
    lists: Vec<Vec<Setting>>,
    /// What every row is signed with.
    seal: [u8; 32],
}

/// Every value of a list that is no longer is looked at beforehand.
const LOOKED_AT: usize = 16;
/// So many signs of a row's seal stand at its end.
const SEAL: usize = 12;

impl Case {
    /// The cases of a grid. `units` are those of its rows.
    ///
    /// # Errors
    /// When the case has faults, or an address or a value cannot be.
    pub fn grid(&self, over: &Over, units: UnitSystem) -> Result<Grid<'_>, Refusal> {
        let built = self.built(None)?;
        let over_cycle = over_cycle(&built.ready, over.by)?;
        let (mut axes, table) = match &over.table {
            Some(text) => cases_of(&built.ready, text)?,
            None => (Vec::new(), vec![Vec::new()]),
        };
        let mut lists = Vec::new();
        for text in &over.lists {
            let (axis, values) = list(&built.ready, text)?;
            axes.push(axis);
            lists.push(values);
        }
        if axes.is_empty() {
            return Err(Refusal::said("no address was given: what is to be varied?")
                .help("for example --over \"main/loop/pump:speed=3000 rpm,4000 rpm\"")
                .help("to join pieces, the same `--over` as they were made with: they are held against it"));
        }
        for (k, axis) in axes.iter().enumerate() {
            if axes[..k].iter().any(|other| other.address == axis.address) {
                return Err(Refusal::said(say!(
                    "`{address}` is varied twice",
                    address = &axis.address
                )));
            }
        }
        let mut sealed = Sha256::new();
        sealed.update(env!("CARGO_PKG_VERSION"));
        sealed.update(format!("{over:?}{units:?}{over_cycle}{:?}", self.variant));
        for (file, _) in self.sources.files() {
            sealed.update(self.sources.text(file));
        }
        let seal = sealed.finalize().into();
        let grid = Grid { built, over_cycle, units, axes, table, lists, seal };
        grid.look()?;
        Ok(grid)
    }
}

/// The cases of a table.
fn cases_of(ready: &Ready, text: &str) -> Result<(Vec<Axis>, Vec<Vec<Setting>>), Refusal> {
    let rows = csv::records(text)
        .map_err(|why| Refusal::said(say!("the table cannot be read: {why}", why = why)))?;
    let Some((head, rows)) = rows.split_first() else {
        return Err(Refusal::said("the table is empty: its first line holds addresses"));
    };
    if rows.is_empty() {
        return Err(Refusal::said("the table has addresses, and no case below them"));
    }
    let axes: Result<Vec<Axis>, Refusal> = head.iter().map(|of| axis(ready, of.trim())).collect();
    let axes = axes?;
    let mut cases = Vec::with_capacity(rows.len());
    for (k, row) in rows.iter().enumerate() {
        if row.len() != axes.len() {
            return Err(Refusal::said(say!(
                "line {line} of the table has {count} values, its header {wanted} addresses",
                line = k + 2,
                count = row.len(),
                wanted = axes.len()
            )));
        }
        let case: Result<Vec<Setting>, Refusal> = axes
            .iter()
            .zip(row)
            .map(|(axis, text)| match text.trim() {
                "" => Ok(Setting::AsItIs),
                text => setting(axis, text),
            })
            .collect();
        cases.push(case?);
    }
    Ok((axes, cases))
}

/// An address that may be varied.
fn axis(ready: &Ready, address: &str) -> Result<Axis, Refusal> {
    let is_time = |phase: &str| format!("duty/{phase}:time") == address;
    let kind = match ready.addresses.get(address) {
        Some(entry) => Some(entry.kind),
        None if ready.duty.phases.iter().any(|phase| is_time(&phase.plain)) => Some(Kind::Time),
        None => None,
    };
    let path = address.split(':').next().unwrap_or_default();
    let is_known = kind.is_some() || has_place(ready, path);
    let near = nearest(address, ready.addresses.keys().map(String::as_str));
    if !address.contains(':') || (!is_known && near.is_some()) {
        return Err(Refusal::said(say!(
            "there is nothing at `{address}`.{hint}",
            address = address,
            hint = did_you_mean(near)
        ))
        .help("an address is a path and a name, as in `main/feed:bore` or `cores/front:heat`"));
    }
    Ok(Axis { address: address.to_owned(), kind })
}

/// Whether something of the file stands at a path, or may: what has no numbers, or none yet, has its own complaints.
fn has_place(ready: &Ready, path: &str) -> bool {
    const OTHERS: [&str; 8] =
        ["limits", "duty", "site", "bay", "supply", "supplies", "pump_curves", "fan_curves"];
    let first = path.split('/').next().unwrap_or_default();
    ready.places.contains_key(path) || OTHERS.contains(&first)
}

/// A list as it is written: `ADDRESS=VALUE,VALUE`, or `ADDRESS=FROM..TO by STEP`.
fn list(ready: &Ready, text: &str) -> Result<(Axis, Vec<Setting>), Refusal> {
    let Some((address, values)) = text.split_once('=') else {
        return Err(Refusal::said(say!("`--over {text}` has no `=`", text = text))
            .help("an address and its values, as in `main/feed:bore=16 mm,19 mm` or `main/feed:bore=10 mm..40 mm by 5 mm`"));
    };
    let axis = axis(ready, address.trim())?;
    if let Some((from, to, step)) = range(values) {
        let Some(kind) = axis.kind else {
            return Err(Refusal::said(say!(
                "`{address}` is no number, so it has no range: write its values with commas between them",
                address = &axis.address
            )));
        };
        let read = |kind: Kind, text: &str| {
            parse(kind, text).map_err(|error| refused(&axis, &error.message, &error.help))
        };
        let (from, to, step) =
            (read(kind, from)?, read(kind, to)?, read(kinds::difference(kind), step)?);
        let count = ((to - from) / step * (1.0 + 1e-9)).floor();
        if !(step > 0.0 && (0.0..1e6).contains(&count)) {
            return Err(Refusal::said(say!(
                "`{address}`: a range goes from the smaller value to the larger, in a million steps at most",
                address = &axis.address
            )));
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 to a million"
        )]
        let count = count as usize;
        let values = (0..=count).map(|k| Setting::Number(from + step * k as f64)).collect();
        return Ok((axis, values));
    }
    if axis.kind.is_some() && values.contains("..") {
        return Err(Refusal::said(say!("`{text}` does not tell its step", text = text))
            .help("a range is `FROM..TO by STEP`, as in `main/feed:bore=10 mm..40 mm by 5 mm`"));
    }
    let values: Result<Vec<Setting>, Refusal> =
        at_commas(values).into_iter().map(|text| setting(&axis, text)).collect();
    let values = values?;
    Ok((axis, values))
}

/// `FROM..TO by STEP`.
fn range(text: &str) -> Option<(&str, &str, &str)> {
    let (ends, step) = text.split_once(" by ")?;
    let (from, to) = ends.split_once("..")?;
    Some((from.trim(), to.trim(), step.trim()))
}

/// Cuts a text at the commas that stand in no brackets and no quotation marks.
fn at_commas(text: &str) -> Vec<&str> {
    let (mut depth, mut quoted, mut begin) = (0_i32, false, 0);
    let mut found = Vec::new();
    for (at, sign) in text.char_indices() {
        match sign {
            '"' => quoted = !quoted,
            '(' | '[' | '{' if !quoted => depth += 1,
            ')' | ']' | '}' if !quoted => depth -= 1,
            ',' if !quoted && depth == 0 => {
                found.push(text[begin..at].trim());
                begin = at + 1;
            }
            _ => {}
        }
    }
    found.push(text[begin..].trim());
    found
}

/// A value of an axis.
fn setting(axis: &Axis, text: &str) -> Result<Setting, Refusal> {
    let bare = text.trim_matches('"');
    if let Some(kind) = axis.kind {
        return match parse(kind, bare) {
            Ok(si) => Ok(Setting::Number(si)),
            // A count may be told as one behind the other or side by side.
            Err(_) if is_of_the_file(text) => Ok(Setting::Text(text.to_owned())),
            Err(error) => Err(refused(axis, &error.message, &error.help)),
        };
    }
    let as_written = is_of_the_file(text) || text.starts_with('"') || text.parse::<f64>().is_ok();
    Ok(Setting::Text(if as_written { text.to_owned() } else { format!("\"{text}\"") }))
}

/// Whether a text is a word or a block of the file, `Series(2)` or `Water`, and no quantity.
fn is_of_the_file(text: &str) -> bool {
    let word = text.split('(').next().unwrap_or_default();
    word.starts_with(char::is_uppercase) && word.chars().all(|c| c.is_alphanumeric() || c == '_')
}

fn refused(axis: &Axis, message: &str, helps: &[String]) -> Refusal {
    let refusal = Refusal::said(say!(
        "`{address}`: {why}",
        address = &axis.address,
        why = Value::spoken(message)
    ));
    helps.iter().fold(refusal, |refusal, help| refusal.help(Sentence::spoken(help)))
}

impl Grid<'_> {
    /// How many cases there are.
    pub fn len(&self) -> usize {
        self.lists.iter().fold(self.table.len(), |count, list| count.saturating_mul(list.len()))
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Looks whether values may stand in the file, each alone: of a long list the first and the last. Where one may, those that
    /// may not have rows that say so.
    fn look(&self) -> Result<(), Refusal> {
        let behind = self.axes.len() - self.lists.len();
        for (k, list) in self.lists.iter().enumerate() {
            let step = if list.len() > LOOKED_AT { list.len() - 1 } else { 1 };
            let tried = list.iter().step_by(step).map(|setting| {
                let change: Vec<Change> = self.change(behind + k, setting).into_iter().collect();
                self.built.case.built_with(&change).map(|_| ())
            });
            let mut refused = Vec::new();
            if tried.into_iter().all(|of| of.map_err(|why| refused.push(why)).is_err())
                && let Some(first) = refused.into_iter().next()
            {
                return Err(first);
            }
        }
        Ok(())
    }

    /// What each axis is in a case, counted from 0: the last list changes fastest.
    fn settings(&self, case: usize) -> Vec<&Setting> {
        let mut rest = case;
        let mut behind = Vec::new();
        for list in self.lists.iter().rev() {
            behind.push(&list[rest % list.len()]);
            rest /= list.len();
        }
        self.table[rest].iter().chain(behind.into_iter().rev()).collect()
    }

    fn change(&self, axis: usize, setting: &Setting) -> Option<Change> {
        let Axis { address, kind } = &self.axes[axis];
        match (setting, kind) {
            (Setting::Number(si), Some(kind)) => Some(Change::number(address, *kind, *si)),
            (Setting::Text(text), _) => Some(Change::text(address, text)),
            _ => None,
        }
    }

    /// Solves a case, counted from 0, and puts it into a row, without the end of its line.
    pub fn row(&self, case: usize) -> String {
        let settings = self.settings(case);
        let changes = settings.iter().enumerate().filter_map(|(k, of)| self.change(k, of));
        let changes: Vec<Change> = changes.collect();
        let mut fields = vec![(case + 1).to_string()];
        fields.extend(self.axes.iter().zip(&settings).map(|(axis, of)| self.field(axis, of)));
        let words = Style { units: self.units, color: false };
        let said = |why: Sentence| words.value(&why.into()).replace(['\n', '\r'], " ");
        match tried(self.built.case, &changes, self.over_cycle) {
            Ok(trial) => {
                let beside = trial.beside.late.iter().chain(&trial.beside.grave).next();
                fields.push(trial.verdict.word().to_owned());
                fields.push(beside.cloned().map_or_else(String::new, said));
                for limit in &self.built.limits {
                    let is_it =
                        |of: &&Judged| of.limit.name == limit.name && of.limit.bound == limit.bound;
                    fields.extend(self.limit(trial.judged.iter().find(is_it)));
                }
            }
            Err(refusal) => {
                fields.push(Verdict::Unsolved.word().to_owned());
                fields.push(said(refusal.advice()));
                fields.extend(vec![String::new(); 3 * self.built.limits.len()]);
            }
        }
        let line = csv::line(&fields);
        let seal = self.seal_of(&line);
        format!("{line},{seal}")
    }

    fn field(&self, axis: &Axis, setting: &Setting) -> String {
        match (setting, axis.kind) {
            (Setting::Number(si), Some(kind)) => {
                csv::field(InUnit::of(kind, self.units).number(*si))
            }
            (Setting::Text(text), _) => text.clone(),
            _ => String::new(),
        }
    }

    fn limit(&self, judged: Option<&Judged>) -> [String; 3] {
        let Some(judged) = judged else {
            return [String::new(), String::new(), "not_judged".to_owned()];
        };
        let kind = judged.limit.kind;
        let number = |kind: Kind, si: Option<f64>| {
            si.map_or_else(String::new, |si| csv::field(InUnit::of(kind, self.units).number(si)))
        };
        let standing = match judged.standing {
            Standing::Kept => "kept",
            Standing::Broken => "broken",
            Standing::NotJudged(_) => "not_judged",
        };
        [
            number(kind, judged.value),
            number(kinds::difference(kind), judged.margin()),
            standing.to_owned(),
        ]
    }

    /// The seal of a row: of all that it was made from, and of its own text.
    fn seal_of(&self, line: &str) -> String {
        let sealed = Sha256::new().chain_update(self.seal).chain_update(line).finalize();
        sealed.iter().map(|byte| format!("{byte:02x}")).collect::<String>()[..SEAL].to_owned()
    }

    /// The case, counted from 0, of a row that is whole and of this grid; `None` for any other.
    pub fn is_own(&self, row: &str) -> Option<usize> {
        let (line, seal) = row.rsplit_once(',')?;
        if self.seal_of(line) != seal {
            return None;
        }
        let case: usize = line.split(',').next()?.parse().ok()?;
        case.checked_sub(1).filter(|case| *case < self.len())
    }

    /// An empty tally of its rows.
    pub fn tally(&self) -> Tally {
        let limit = |limit: &crate::study::Limit| LimitTally {
            limit: limit.clone(),
            kept: 0,
            broken: 0,
            best: None,
            worst: None,
            beyond: None,
        };
        Tally { limits: self.built.limits.iter().map(limit).collect(), ..Tally::default() }
    }

    /// Counts a row that is whole and of this grid.
    pub fn count(&self, row: &str, tally: &mut Tally) {
        let Ok(rows) = csv::records(row) else { return };
        let Some(fields) = rows.first() else { return };
        let case: usize = fields.first().and_then(|of| of.parse().ok()).unwrap_or(0);
        let behind = 1 + self.axes.len();
        let inputs = || -> Vec<(String, String)> {
            let named = self.axes.iter().zip(&fields[1..behind]);
            named.map(|(axis, field)| (axis.address.clone(), self.shown(axis, field))).collect()
        };
        tally.all += 1;
        match fields[behind].as_str() {
            "holds" => {
                tally.holds += 1;
                if tally.holding.len() < Tally::SHOWN {
                    tally.holding.push((case, inputs()));
                }
            }
            "broken" => tally.broken += 1,
            "unsolved" => {
                tally.unsolved += 1;
                if tally.why.len() < Tally::SHOWN {
                    tally.why.push((case, inputs(), fields[behind + 1].clone()));
                }
            }
            _ => tally.not_judged += 1,
        }
        for (k, of) in tally.limits.iter_mut().enumerate() {
            let at = behind + 2 + 3 * k;
            let [value, margin, standing] = [0, 1, 2].map(|n| fields[at + n].as_str());
            of.kept += usize::from(standing == "kept");
            of.broken += usize::from(standing == "broken");
            let unit = |kind: Kind| InUnit::of(kind, self.units);
            // What a cycle that ended early, or a source at rest, did not judge is neither best nor worst.
            if standing != "kept" && standing != "broken" {
                continue;
            }
            let (Ok(value), Ok(margin)) = (value.parse(), margin.parse()) else {
                if standing == "broken" && of.beyond.is_none() {
                    of.beyond = Some((case, inputs()));
                }
                continue;
            };
            let kind = of.limit.kind;
            let si = unit(kind).si(value);
            let margin = unit(kinds::difference(kind)).si(margin);
            let extreme = || Extreme { case, inputs: inputs(), si, margin };
            if of.best.as_ref().is_none_or(|best| margin > best.margin) {
                of.best = Some(extreme());
            }
            if of.worst.as_ref().is_none_or(|worst| margin < worst.margin) {
                of.worst = Some(extreme());
            }
        }
    }

    /// A value of an axis as people read it.
    fn shown(&self, axis: &Axis, field: &str) -> String {
        match (axis.kind, field) {
            (_, "") => "as it is".to_owned(),
            (Some(kind), field) => {
                match (field.parse::<f64>(), InUnit::of(kind, self.units).symbol) {
                    (Ok(_), "%") => format!("{field} %"),
                    (Ok(_), symbol) if !symbol.is_empty() => format!("{field} {symbol}"),
                    _ => field.to_owned(),
                }
            }
            (None, field) => field.to_owned(),
        }
    }

    /// What all rows come to.
    pub fn answer(&self, tally: &Tally) -> Answer {
        let ready = &self.built.ready;
        let mut answer = Answer::new(Topic::Grid, &ready.title);
        answer.verdict = Some(tally.verdict());
        let all = &mut answer.sections;
        all.push(sections::grid::summary(tally));
        all.push(sections::title(ready));
        all.push(compare::judged_by(self.over_cycle, !ready.duty.phases.is_empty()));
        all.push(sections::grid::limits(tally));
        all.push(sections::grid::holding(tally));
        all.push(sections::grid::unsolved(tally));
        answer.cautions = cautions(ready, Vec::new());
        self.built.case.name_variant(&mut answer);
        answer
    }
}
