//! Sentences with slots for values.

use coolwright_cases::quantity::{Asked, Kind, Spoken, Way, pieces};

/// Numbers that differ by no more than this share of themselves are told as one.
const LIKE: f64 = 1e-3;

/// How a number is to be written for people.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// About three digits, in the unit that suits its size; what no gauge could show is zero.
    Usual,
    /// As [`Form::Usual`], and what no gauge could show too.
    Full,
    /// As [`Form::Usual`], with its sign: a change.
    Change,
    /// As [`Form::Usual`], and in so many digits more as show on which side of this number, SI, it is.
    Beside(f64),
    /// As [`Form::Usual`], rounded to a smaller number: a bound that holds up to there.
    UpTo,
    /// As [`Form::Usual`], rounded to a larger number: a bound that holds from there on.
    From,
    /// What a number may be off by: two digits.
    Off,
    /// So many digits behind the point, in the first unit of its kind.
    Decimals(u8),
    /// A share in percent, with so many digits behind the point.
    Percent(u8),
    /// A time as minutes and seconds, 12:07.5, or from an hour on with hours, 1:02:05.
    Clock,
    /// An energy with the unit and digits that suit the largest of its column.
    OfColumn,
}

/// A number with its kind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Number {
    /// The number, SI.
    pub si: f64,
    /// Its kind, which fixes its units.
    pub kind: Kind,
    /// How it is written for people.
    pub form: Form,
}

/// What can stand in a slot of a sentence or in a cell of a table.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Nothing: there is no such number.
    Nothing,
    /// A number.
    Number(Number),
    /// How many.
    Count(usize),
    /// A name, an address, a word.
    Text(String),
    /// A sentence of its own.
    Sentence(Box<Sentence>),
    /// Several, with words between them.
    List(Vec<Value>, &'static str),
    /// What says that a limit is kept or broken.
    Judged(bool, Box<Value>),
    /// How a quantity can be written.
    Ways(Way, Asked),
}

impl Value {
    /// A number in its usual form.
    pub fn of(kind: Kind, si: f64) -> Self {
        Self::Number(Number { si, kind, form: Form::Usual })
    }

    /// A number in a form.
    pub fn formed(kind: Kind, si: f64, form: Form) -> Self {
        Self::Number(Number { si, kind, form })
    }

    /// A share in percent with so many digits behind the point.
    pub fn percent(share: f64, digits: u8) -> Self {
        Self::formed(Kind::Fraction, share, Form::Percent(digits))
    }

    /// A time as minutes and seconds.
    pub fn clock(seconds: f64) -> Self {
        Self::formed(Kind::Time, seconds, Form::Clock)
    }

    /// A plain number with so many digits behind the point.
    pub fn decimals(number: f64, digits: u8) -> Self {
        Self::formed(Kind::Number, number, Form::Decimals(digits))
    }

    /// Several with words between them.
    pub fn list<V: Into<Value>>(
        values: impl IntoIterator<Item = V>,
        between: &'static str,
    ) -> Self {
        Self::List(values.into_iter().map(Into::into).collect(), between)
    }

    /// What says that a limit is kept or broken.
    pub fn judged(holds: bool, value: impl Into<Value>) -> Self {
        Self::Judged(holds, Box::new(value.into()))
    }

    /// A text with quantities in braces, as [`coolwright_cases::quantity::spoken`] puts them.
    pub fn spoken(text: &str) -> Self {
        let value = |piece| match piece {
            Spoken::Words(words) => words.into(),
            Spoken::Quantity(kind, si) => Self::of(kind, si),
            Spoken::Ways(way, asked) => Self::Ways(way, asked),
        };
        let mut values: Vec<Self> = pieces(text).into_iter().map(value).collect();
        if values.len() == 1 {
            return values.remove(0);
        }
        Self::from(Sentence::new("{text}", vec![("text", Self::List(values, ""))]))
    }

    /// Whether both say the same, numbers to about three digits.
    pub fn is_like(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Number(a), Self::Number(b)) => {
                let largest = a.si.abs().max(b.si.abs());
                a.kind == b.kind && (a.si - b.si).abs() <= LIKE * largest
            }
            (Self::Sentence(a), Self::Sentence(b)) => a.is_like(b),
            (Self::List(a, _), Self::List(b, _)) => {
                a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.is_like(b))
            }
            (Self::Judged(a, of), Self::Judged(b, other)) => a == b && of.is_like(other),
            (a, b) => a == b,
        }
    }

    /// Whether there is nothing.
    pub fn is_nothing(&self) -> bool {
        matches!(self, Self::Nothing)
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<&String> for Value {
    fn from(text: &String) -> Self {
        Self::Text(text.clone())
    }
}

impl From<usize> for Value {
    fn from(count: usize) -> Self {
        Self::Count(count)
    }
}

impl From<Sentence> for Value {
    fn from(sentence: Sentence) -> Self {
        Self::Sentence(Box::new(sentence))
    }
}

/// What stands there, or nothing.
impl<V: Into<Value>> From<Option<V>> for Value {
    fn from(value: Option<V>) -> Self {
        value.map_or(Self::Nothing, Into::into)
    }
}

/// Words with named slots in braces, and what stands in them. [`crate::say!`] makes one.
#[derive(Clone, Debug, PartialEq)]
pub struct Sentence {
    /// The words, slots as `{name}`.
    pub words: &'static str,
    /// What stands in the slots.
    pub slots: Vec<(&'static str, Value)>,
}

/// A piece of a sentence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Piece<'a> {
    /// Words.
    Words(&'static str),
    /// A slot.
    Slot(&'static str, &'a Value),
}

impl Sentence {
    /// A text with quantities in braces, as [`coolwright_cases::quantity::spoken`] puts them.
    pub fn spoken(text: &str) -> Self {
        Self::new("{text}", vec![("text", Value::spoken(text))])
    }

    /// Words with their slots.
    pub fn new(words: &'static str, slots: Vec<(&'static str, Value)>) -> Self {
        let sentence = Self { words, slots };
        debug_assert!(sentence.fits(), "slots of {:?} do not fit", sentence.words);
        sentence
    }

    /// Whether every slot of the words has a value, and every value its slot.
    pub fn fits(&self) -> bool {
        let named = self.words.split('{').skip(1).filter_map(|rest| rest.split('}').next());
        let named: Vec<&str> = named.collect();
        named.iter().all(|name| self.slots.iter().any(|(slot, _)| slot == name))
            && self.slots.iter().all(|(slot, _)| named.contains(slot))
    }

    /// Whether both say the same, numbers to about three digits.
    pub fn is_like(&self, other: &Self) -> bool {
        let same = |(a, b): (&(&str, Value), &(&str, Value))| a.0 == b.0 && a.1.is_like(&b.1);
        self.words == other.words
            && self.slots.len() == other.slots.len()
            && self.slots.iter().zip(&other.slots).all(same)
    }

    /// Words and slots in their order.
    pub fn pieces(&self) -> Vec<Piece<'_>> {
        let mut pieces = Vec::new();
        let mut rest = self.words;
        while let Some((words, behind)) = rest.split_once('{') {
            let (name, behind) = behind.split_once('}').unwrap_or((behind, ""));
            if !words.is_empty() {
                pieces.push(Piece::Words(words));
            }
            if let Some((slot, value)) = self.slots.iter().find(|(slot, _)| *slot == name) {
                pieces.push(Piece::Slot(slot, value));
            }
            rest = behind;
        }
        if !rest.is_empty() {
            pieces.push(Piece::Words(rest));
        }
        pieces
    }
}

impl From<&'static str> for Sentence {
    fn from(words: &'static str) -> Self {
        Self::new(words, Vec::new())
    }
}

/// What somebody else has put into words.
impl From<String> for Sentence {
    fn from(text: String) -> Self {
        Self::new("{text}", vec![("text", Value::Text(text))])
    }
}

impl From<&String> for Sentence {
    fn from(text: &String) -> Self {
        Self::from(text.clone())
    }
}

/// A sentence: words, then what stands in each slot.
///
/// ```
/// let sentence = coolwright::say!("`{pump}` stands on crossing {at}", pump = "loop/pump", at = 2);
/// assert!(sentence.fits());
/// ```
#[macro_export]
macro_rules! say {
    ($words:expr $(, $slot:ident = $value:expr)* $(,)?) => {
        $crate::answer::Sentence::new(
            $words,
            vec![$((stringify!($slot), $crate::answer::Value::from($value))),*],
        )
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_follow_the_words() {
        let sentence = crate::say!("{a} and {b}, {a}", a = "x", b = 2);
        let value = |k: usize| &sentence.slots[k].1;
        let pieces = [
            Piece::Slot("a", value(0)),
            Piece::Words(" and "),
            Piece::Slot("b", value(1)),
            Piece::Words(", "),
            Piece::Slot("a", value(0)),
        ];
        assert_eq!(sentence.pieces(), pieces);
    }

    #[test]
    fn a_slot_without_value_or_a_value_without_slot_does_not_fit() {
        let with = |words| Sentence { words, slots: vec![("a", Value::Nothing)] };
        assert!(with("of {a}").fits());
        assert!(!with("of {b}").fits());
        assert!(!with("of {a} and {b}").fits());
        assert!(!with("of nothing").fits());
    }
}
