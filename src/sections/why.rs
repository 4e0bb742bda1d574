//! How one number comes about: its formula with the numbers in it, what it rests on, the laws at its place, what
//! makes it uncertain, what moves it; of a number of the case where it stands.

mod law;
mod number;

pub use number::{Known, OfNumber, Written, known, number, numbers};

use coolwright_models::laws::card::Applied;
use coolwright_models::reasons::{Comes, Origin, Reason};
use coolwright_models::results::Entry;
use coolwright_models::uncertainty::Term;

use super::Scene;
use crate::answer::{Cell, Form, Lay, Section, Seen, Table, Value, kinds};
use crate::say;
use crate::study::{Bound, Judged, Move, addresses_of};
use crate::words::plain::plain;
use law::of_law;

/// A result, and all that is told of it.
#[derive(Debug)]
pub struct OfResult<'a> {
    /// What it is.
    pub entry: &'a Entry,
    /// Its value, SI.
    pub value: f64,
    /// How it comes about.
    pub reason: Reason,
    /// The law that gives it, where one does.
    pub by: Option<Applied>,
    /// The laws at its place.
    pub laws: Vec<Applied>,
    /// What each law alone would change it by, SI, the most first.
    pub off: Vec<(Term, f64)>,
    /// What numbers of the case move it by; `None` where that was not worked out.
    pub moves: Option<Vec<Move>>,
    /// The limits on it.
    pub judged: Vec<&'a Judged>,
}

/// So many laws and numbers of the case are told by default as making a result uncertain or moving it.
const MOST: usize = 8;

/// How a result comes about.
pub fn result(scene: &Scene<'_>, of: &OfResult<'_>) -> Vec<Section> {
    let mut all = vec![head(scene, of), rests_on(scene, &of.reason)];
    all.push(limits(&of.judged));
    all.push(moves(of));
    all.push(off(scene, of));
    // The law that gives it is told first; the others where there is room.
    all.extend(of.by.iter().map(of_law));
    let others = of.laws.iter().filter(|law| of.by.as_ref() != Some(*law));
    all.extend(others.map(|law| of_law(law).support()));
    all
}

/// The number, what it is, and its formula.
fn head(scene: &Scene<'_>, of: &OfResult<'_>) -> Section {
    let quantity = of.entry.quantity;
    let off = scene.off(of.entry.id, quantity).filter(|off| *off > 0.0);
    let within = match (off, scene.bounds(of.entry.id, quantity)) {
        (_, Some([least, most])) => say!(
            ", between {least} and {most}",
            least = Value::of(quantity.kind, least),
            most = Value::of(quantity.kind, most)
        ),
        (Some(off), None) => {
            let kind = kinds::difference(quantity.kind);
            say!(" \u{b1} {off}", off = Value::formed(kind, off, Form::Off))
        }
        (None, None) => "".into(),
    };
    if scene.of(of.entry.id, quantity).is_none() {
        let untold = |c| scene.coolant(c).is_some_and(|coolant| !coolant.has_vapour());
        let no_vapour = quantity.is_of_vapour() && of.entry.id.circuit().is_some_and(untold);
        let why = if no_vapour {
            "No vapour pressure of its liquid is told, so nothing is known of its boiling: give the liquid `vapour` or \
             `boils`."
        } else {
            "What has no steady state has no temperature and no heat of its own at this point: `point` tells which \
                 circuit that is and why. A time of the duty cycle has all of them: `--at`."
        };
        return Section::plain("why")
            .of(&of.entry.address)
            .say(say!("{address} has no value here", address = &of.entry.address), Lay::Lines)
            .say(say!("{label}", label = quantity.label), Lay::Paragraph)
            .say(why, Lay::Paragraph);
    }
    let number = say!(
        "{address} = {value}{within}",
        address = &of.entry.address,
        value = Value::formed(quantity.kind, of.value, Form::Full),
        within = within
    );
    let section = Section::plain("why")
        .of(&of.entry.address)
        .say(number, Lay::Lines)
        .say(say!("{label}", label = quantity.label), Lay::Paragraph)
        .say(say!("how: {formula}", formula = quantity.formula), Lay::Paragraph);
    let is_known = |formula: &str| of.reason.work(formula).is_none_or(f64::is_finite);
    let not_known = "not worked out with numbers here: not all of them are known where there is no steady state";
    match &of.reason.comes {
        Comes::Formula(formula) if !is_known(formula) => {
            section.say(say!("{formula}, {why}", formula = formula, why = not_known), Lay::Paragraph)
        }
        Comes::Balance([left, right]) if !(is_known(left) && is_known(right)) => section.say(
            say!("{left} = {right}, {why}", left = left, right = right, why = not_known),
            Lay::Paragraph,
        ),
        Comes::Formula(formula) => section.say(
            say!(
                "here, in SI units: {formula} = {written} = {value}",
                formula = formula,
                written = put_in(&of.reason, formula),
                value = digits(of.value)
            ),
            Lay::Paragraph,
        ),
        Comes::Balance([left, right]) => section.say(
            say!(
                "found with all flows of its circuit together, so that here, in SI units: {left} = {right}; \
                 {left_put} = {right_put}",
                left = left,
                right = right,
                left_put = put_in(&of.reason, left),
                right_put = put_in(&of.reason, right)
            ),
            Lay::Paragraph,
        ),
        Comes::Law(_) => match &of.by {
            Some(law) => {
                section.say(say!("by the law below: {law}", law = law.card.name), Lay::Paragraph)
            }
            None => section,
        },
        Comes::Together if of.reason.inputs.is_empty() => section,
        Comes::Together => section.say(
            "it has no formula of one line: it follows from what stands below",
            Lay::Paragraph,
        ),
    }
}

/// What goes into a result, each with the address to ask for next.
fn rests_on(scene: &Scene<'_>, reason: &Reason) -> Section {
    let mut table = Table::new()
        .words("sign", "sign")
        .values("value", "value")
        .broken_words("what", "what it is", 44)
        .words("address", "ask `why` of")
        .mixed();
    for input in &reason.inputs {
        let (what, address) = match input.from {
            Origin::Result(id, quantity) => {
                (quantity.label.into(), format!("{}:{}", scene.address(id), quantity.name))
            }
            Origin::Number(slot) => {
                let addresses = addresses_of(scene.ready, slot);
                if let [one] = &addresses[..] {
                    (Value::spoken(&scene.ready.addresses[one].what), one.clone())
                } else {
                    // What follows from several stands above them.
                    let what = "follows from the numbers below";
                    table.line([
                        (&input.sign).into(),
                        Value::formed(input.kind, input.value, Form::Full).into(),
                        what.into(),
                        "".into(),
                    ]);
                    for address in &addresses {
                        let entry = &scene.ready.addresses[address];
                        let value =
                            entry.slots.first().map_or(entry.value, |&of| scene.values.get(of));
                        table.row(
                            address,
                            [
                                "".into(),
                                Value::formed(entry.kind, value, Form::Full).into(),
                                Value::spoken(&entry.what).into(),
                                address.into(),
                            ],
                        );
                    }
                    continue;
                }
            }
            Origin::Property(what) => (what.into(), String::new()),
        };
        let cells: [Cell; 4] = [
            (&input.sign).into(),
            Value::formed(input.kind, input.value, Form::Full).into(),
            what.into(),
            (&address).into(),
        ];
        table.add((!address.is_empty()).then_some(address), cells, Seen::All);
    }
    Section::new("rests_on", "It rests on").table(table)
}

/// The limits on it.
fn limits(judged: &[&Judged]) -> Section {
    let mut table = Table::new()
        .words("limit", "limit")
        .words("bound", "bound")
        .values("margin", "margin")
        .mixed();
    for judged in judged {
        let limit = &judged.limit;
        let bound = Value::of(limit.kind, limit.value);
        let bound = match limit.bound {
            Bound::AtLeast => say!("at least {bound}", bound = bound),
            Bound::AtMost => say!("at most {bound}", bound = bound),
        };
        let margin = judged.margin().map(|si| Value::of(kinds::difference(limit.kind), si));
        let margin = Cell::from(margin).judged(judged.holds());
        table.row(limit.of.clone(), [(&limit.name).into(), bound.into(), margin]);
    }
    Section::new("limits", "Limits on it").table(table)
}

/// Numbers of the case that move it most.
fn moves(of: &OfResult<'_>) -> Section {
    let section = Section::new(
        "moves",
        "What moves it most: one number of the case changed, all solved anew",
    );
    let Some(moves) = &of.moves else {
        return section.say(
            "Not worked out here: only a steady point of all circuits can be solved anew beside itself.",
            Lay::Inset,
        );
    };
    let kind = kinds::difference(of.entry.quantity.kind);
    let mut table = Table::new()
        .words("address", "number")
        .values("from", "from")
        .values("to", "to")
        .numbers("change", "it moves by", kind)
        .mixed();
    for (k, one) in moves.iter().enumerate() {
        let cells = [
            (&one.address).into(),
            Value::formed(one.kind, one.from, Form::Full).into(),
            Value::formed(one.kind, one.to, Form::Beside(one.from)).into(),
            Value::formed(kind, one.change, Form::Change).into(),
        ];
        let seen = if k < MOST { Seen::All } else { Seen::Programs };
        table.add(Some(one.address.clone()), cells, seen);
    }
    if moves.is_empty() {
        return section.say("No number of the case moves it by itself.", Lay::Inset);
    }
    section.table(table).aside(
        "Numbers are changed one at a time, by a tenth, temperatures by 5 K; what may not be more is made less. Counts, \
         points of curves and what follows from a route are not tried, nor a height that has to close a loop.",
        Lay::Paragraph,
    )
}

/// What makes it uncertain.
fn off(scene: &Scene<'_>, of: &OfResult<'_>) -> Section {
    let kind = kinds::difference(of.entry.quantity.kind);
    let mut table = Table::new().words("law", "law").words("at", "at").numbers(
        "alone",
        "alone moves\nit by \u{b1}",
        kind,
    );
    for (k, (term, change)) in of.off.iter().enumerate() {
        let from = scene.address(term.from);
        let cells = [
            term.law.words().into(),
            (&from).into(),
            Value::formed(kind, change.abs(), Form::Off).into(),
        ];
        table.add(Some(from), cells, if k < MOST { Seen::All } else { Seen::Programs });
    }
    let section =
        Section::new("off", "What its \u{b1} is made of: laws that published values disagree on");
    if of.off.is_empty() {
        return section;
    }
    section.table(table).aside(
        "Put together as the root of the sum of squares; errors of parts that follow the same law are taken as half \
         common. What a gauge may be off by of itself is not among them, and adds its square.",
        Lay::Paragraph,
    )
}

/// All results of a thing.
pub fn thing(scene: &Scene<'_>, path: &str) -> Section {
    let mut table = Table::new()
        .words("address", "result")
        .values("value", "value")
        .broken_words("label", "what it is", 60)
        .mixed();
    for entry in scene.results.catalogue.entries() {
        if entry.address.rsplit_once(':').is_none_or(|(own, _)| own != path) {
            continue;
        }
        let cells = [
            (&entry.address).into(),
            scene.within(entry.id, entry.quantity),
            entry.quantity.label.into(),
        ];
        table.row(entry.address.clone(), cells);
    }
    Section::plain("thing")
        .of(path)
        .say(
            say!("`{path}` has these results; ask `why` of one by its address", path = path),
            Lay::Lines,
        )
        .table(table)
}

/// A number with five digits that count.
fn digits(number: f64) -> String {
    plain(number, 5).replacen('-', "\u{2212}", usize::from(number < 0.0))
}

/// A formula with its numbers put in; what is added below zero is taken away.
fn put_in(reason: &Reason, formula: &str) -> String {
    reason
        .written(formula, digits)
        .replace("\u{2212}\u{2212}", "")
        .replace("+ \u{2212}", "\u{2212} ")
        .replace("\u{2212} \u{2212}", "+ ")
}
