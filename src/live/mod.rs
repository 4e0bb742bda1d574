//! The solver as a page has it: a request as JSON goes in, an answer as JSON comes out, and histories as numbers.
//!
//! A request is an object. `{"do": "open", "name": …, "texts": [[name, text], …], "units": ["metric", …]}` gives the
//! case, its own text first, and the unit systems of the page. All others have `changes`, a list of pairs of an address
//! and a value as a variant writes them, with its quotation marks where it has any:
//!
//! - `point`: the operating point at once, without what it may be off by;
//! - `whole`: the same with that, and with what assumptions could change;
//! - `cycle`: the duty cycle; its histories lie in [`Session::numbers`];
//! - `tell`: all that `about` (`check`, `point` or `cycle`) answers, in the form of the program's own JSON.
//!
//! The first three answer with `answer` (the same form, of a quick answer with fewer sections), `markup` (verdict and
//! limits as the page shows them, beside those of the case as it stands), `strip` (the same in a line), `numbers` (what each
//! change comes to, SI), `changed` (the same as the page shows it), `variant` (the line for the case), and of a cycle
//! `columns`. Where there is no answer `refused` has the program's sentence, and `markup` the same for the page.

#[cfg(target_family = "wasm")]
mod exports;

use coolwright_cases::case::Change;
use coolwright_cases::quantity::UnitSystem;
use maud::Markup;
use serde_json::{Value as Json, json};

use crate::answer::{Answer, Histories};
use crate::ask::{About, Case, Live, variant_line};
use crate::page::live::{Differs, differing, moved, refused, strip};
use crate::pictures::Pen;
use crate::refusal::Refusal;
use crate::render::json::{refusal, tree};
use crate::say;

/// A page that is open: its case, and the answers of the case as it stands.
#[derive(Debug, Default)]
pub struct Session {
    open: Option<Open>,
    numbers: Vec<f64>,
}

#[derive(Debug)]
struct Open {
    live: Live,
    pen: Pen,
    /// The operating point and the duty cycle as they stand, made when they are first needed.
    point: Option<Answer>,
    cycle: Option<Answer>,
}

impl Session {
    /// Histories of the last cycle, one after the other: how many times there are, the times in s, then the values of each
    /// column of `columns` at these times, SI.
    pub fn numbers(&self) -> &[f64] {
        &self.numbers
    }

    /// Answers a request.
    pub fn ask(&mut self, request: &str) -> String {
        let answer = match serde_json::from_str::<Json>(request) {
            Err(error) => Err(Refusal::said(say!("no request: {why}", why = error.to_string()))),
            Ok(request) => self.answered(&request),
        };
        answer.unwrap_or_else(|why| self.refused(&why)).to_string()
    }

    fn answered(&mut self, request: &Json) -> Result<Json, Refusal> {
        let what = request["do"].as_str().unwrap_or_default();
        if what == "open" {
            self.open = Some(Open::of(request)?);
            return Ok(json!({ "opened": true }));
        }
        let Some(open) = &mut self.open else { return Err(Refusal::said("no case is open")) };
        let changes = changes(request)?;
        open.live.quantities(&changes)?;
        match what {
            "point" => open.point(&changes),
            "whole" => open.whole(&changes),
            "cycle" => open.cycle(&changes, &mut self.numbers),
            "tell" => open.tell(&changes, request["about"].as_str().unwrap_or_default()),
            _ => Err(Refusal::said(say!("a page cannot ask `{what}`", what = what))),
        }
    }

    /// Why there is no answer.
    fn refused(&self, why: &Refusal) -> Json {
        let pen = self.open.as_ref().map_or_else(|| Pen::of(UnitSystem::Metric), |o| o.pen.clone());
        let said = crate::render::Style::SI.sentence(&why.message());
        json!({ "refused": said, "errors": parsed(&refusal(why)), "markup": text(refused(&pen, why)) })
    }
}

impl Open {
    fn of(request: &Json) -> Result<Self, Refusal> {
        let pair = |pair: &Json| Some((pair[0].as_str()?.to_owned(), pair[1].as_str()?.to_owned()));
        let texts: Vec<(String, String)> =
            request["texts"].as_array().into_iter().flatten().filter_map(pair).collect();
        let own = texts.first().ok_or_else(|| Refusal::said("no text of a case is given"))?;
        let mut fetch = |name: &str| {
            let found = texts[1..].iter().find(|(known, _)| known == name);
            found
                .map(|(_, text)| text.clone())
                .ok_or_else(|| "the page does not hold it".to_owned())
        };
        let live = Live::of(Case::read(&own.0, &own.1, &mut fetch)?)?;
        let units = request["units"].as_array().into_iter().flatten();
        let pen = Pen::of_several(units.filter_map(|unit| unit.as_str().and_then(units_named)));
        Ok(Self { live, pen, point: None, cycle: None })
    }

    fn point(&mut self, changes: &[Change]) -> Result<Json, Refusal> {
        let answer = self.live.point(changes)?;
        Ok(self.point_told(changes, &answer))
    }

    fn whole(&mut self, changes: &[Change]) -> Result<Json, Refusal> {
        let answer = self.live.whole(changes, About::Point)?;
        Ok(self.point_told(changes, &answer))
    }

    fn point_told(&mut self, changes: &[Change], answer: &Answer) -> Json {
        if self.point.is_none() {
            self.point = self.live.point(&[]).ok();
        }
        let own = self.point.as_ref().filter(|_| !changes.is_empty());
        self.told(changes, answer, own)
    }

    /// An answer with what the page shows of it.
    fn told(&self, changes: &[Change], answer: &Answer, own: Option<&Answer>) -> Json {
        let numbers = self.live.numbers(changes);
        let pairs = changes.iter().zip(&numbers);
        let differs: Vec<Differs<'_>> = pairs
            .filter_map(|(change, number)| {
                number.map(|(kind, from, to)| (change.address.as_str(), kind, from, to))
            })
            .collect();
        let to: Json = numbers.iter().map(|number| number.map(|(.., to)| to)).collect();
        json!({
            "answer": tree(answer),
            "markup": text(moved(&self.pen, answer, own)),
            "strip": text(strip(&self.pen, answer)),
            "changed": text(differing(&self.pen, &differs)),
            "numbers": to,
            "variant": variant_line(changes),
        })
    }

    fn cycle(&mut self, changes: &[Change], numbers: &mut Vec<f64>) -> Result<Json, Refusal> {
        if self.cycle.is_none() && !changes.is_empty() {
            self.cycle = self.live.cycle(&[]).ok();
        }
        let mut answer = self.live.cycle(changes)?;
        let histories = answer.histories.take();
        let columns = histories.map_or_else(Vec::new, |histories| put(histories, numbers));
        let own = self.cycle.as_ref().filter(|_| !changes.is_empty());
        let mut told = self.told(changes, &answer, own);
        told["columns"] = json!(columns);
        Ok(told)
    }

    fn tell(&self, changes: &[Change], about: &str) -> Result<Json, Refusal> {
        let about = match about {
            "check" => About::Check,
            "point" => About::Point,
            "cycle" => About::Cycle,
            _ => return Err(Refusal::said(say!("a page cannot tell of `{about}`", about = about))),
        };
        Ok(Json::Object(tree(&self.live.whole(changes, about)?)))
    }
}

/// Puts histories down as numbers; gives the addresses of their columns.
fn put(histories: Histories, numbers: &mut Vec<f64>) -> Vec<String> {
    let Histories { columns, times_s, rows, .. } = histories;
    numbers.clear();
    numbers.push(times_s.len() as f64);
    numbers.extend(&times_s);
    for k in 0..columns.len() {
        numbers.extend(rows.iter().map(|row| row[k]));
    }
    columns.into_iter().map(|column| column.address).collect()
}

fn changes(request: &Json) -> Result<Vec<Change>, Refusal> {
    let pair = |pair: &Json| Some(Change::text(pair[0].as_str()?, pair[1].as_str()?));
    let pairs = request["changes"].as_array().into_iter().flatten().map(pair);
    pairs
        .collect::<Option<Vec<Change>>>()
        .ok_or_else(|| Refusal::said("a change is an address and a value"))
}

fn units_named(name: &str) -> Option<UnitSystem> {
    match name {
        "us" => Some(UnitSystem::Us),
        "metric" => Some(UnitSystem::Metric),
        "si" => Some(UnitSystem::Si),
        _ => None,
    }
}

fn text(markup: Markup) -> String {
    markup.into_string()
}

fn parsed(text: &str) -> Json {
    serde_json::from_str(text).unwrap_or(Json::Null)
}
