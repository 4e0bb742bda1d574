//! Formulas as they are printed: read, worked out, and written with numbers put in.
//!
//! `+ − · / ^`, superscripts, brackets, bars for a size, `√`, and the functions of [`FUNCTIONS`]. A
//! product is always written with its dot.

use std::error::Error;
use std::fmt;

/// Functions that a formula may ask for.
pub const FUNCTIONS: [&str; 10] =
    ["ln", "log10", "exp", "sin", "cos", "tan", "atan2", "sign", "min", "max"];

/// Why a formula has no value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormulaError {
    /// Where in the formula, in characters from 0.
    pub at: usize,
    /// What is wrong there.
    pub what: &'static str,
}

impl fmt::Display for FormulaError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "at character {}: {}", self.at, self.what)
    }
}

impl Error for FormulaError {}

/// Whether a name may begin with this character.
fn begins(c: char) -> bool {
    c.is_alphabetic() && superscript(c).is_none() && c != 'ⁿ'
}

/// Whether a name may go on with this character.
fn goes_on(c: char) -> bool {
    begins(c) || c.is_ascii_digit() || matches!(c, '_' | '₀'..='₉')
}

/// The digit of a superscript.
fn superscript(c: char) -> Option<f64> {
    "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().position(|digit| digit == c).map(|digit| digit as f64)
}

/// The names in a formula, functions and π among them, in their order.
pub fn names(formula: &str) -> Vec<String> {
    let mut found = Vec::new();
    split(formula, |piece, is_name| {
        if is_name {
            found.push(piece.to_owned());
        }
    });
    found
}

/// The formula with names replaced by what `number` gives for them.
pub fn written(formula: &str, number: impl Fn(&str) -> Option<String>) -> String {
    let mut text = String::with_capacity(2 * formula.len());
    split(formula, |piece, is_name| {
        let put = if is_name { number(piece) } else { None };
        text.push_str(put.as_deref().unwrap_or(piece));
    });
    text
}

/// Cuts a formula into names and what stands between them.
fn split(formula: &str, mut each: impl FnMut(&str, bool)) {
    let mut rest = formula;
    while let Some(first) = rest.chars().next() {
        let is_name = begins(first);
        // A number takes its own digits, so that none of them begins a name.
        let end = if is_name { rest.find(|c: char| !goes_on(c)) } else { rest.find(begins) };
        let (piece, left) = rest.split_at(end.unwrap_or(rest.len()));
        each(piece, is_name);
        rest = left;
    }
}

/// The value of a formula, from the values of its names.
///
/// # Errors
/// When it is none, or asks for a name that has no value.
pub fn value(formula: &str, lookup: &dyn Fn(&str) -> Option<f64>) -> Result<f64, FormulaError> {
    let mut reader = Reader { chars: formula.chars().collect(), at: 0, lookup };
    let value = reader.sum()?;
    if reader.peek().is_some() { Err(reader.wrong("nothing can stand here")) } else { Ok(value) }
}

/// Reads a formula from left to right and works it out on the way.
struct Reader<'a> {
    chars: Vec<char>,
    at: usize,
    lookup: &'a dyn Fn(&str) -> Option<f64>,
}

impl Reader<'_> {
    fn wrong(&self, what: &'static str) -> FormulaError {
        FormulaError { at: self.at, what }
    }

    /// The next character that is no blank.
    fn peek(&mut self) -> Option<char> {
        while self.chars.get(self.at).is_some_and(|c| c.is_whitespace()) {
            self.at += 1;
        }
        self.chars.get(self.at).copied()
    }

    fn take(&mut self, wanted: char) -> bool {
        let found = self.peek() == Some(wanted);
        self.at += usize::from(found);
        found
    }

    fn expect(&mut self, wanted: char) -> Result<(), FormulaError> {
        if self.take(wanted) { Ok(()) } else { Err(self.wrong("a bracket is not closed")) }
    }

    fn sum(&mut self) -> Result<f64, FormulaError> {
        let mut sum = if self.take('−') { -self.product()? } else { self.product()? };
        loop {
            if self.take('+') {
                sum += self.product()?;
            } else if self.take('−') {
                sum -= self.product()?;
            } else {
                return Ok(sum);
            }
        }
    }

    fn product(&mut self) -> Result<f64, FormulaError> {
        let mut product = self.power()?;
        loop {
            if self.take('·') {
                product *= self.power()?;
            } else if self.take('/') {
                product /= self.power()?;
            } else {
                return Ok(product);
            }
        }
    }

    fn power(&mut self) -> Result<f64, FormulaError> {
        let base = self.single()?;
        if self.take('^') {
            let exponent = if self.take('−') { -self.single()? } else { self.single()? };
            return Ok(base.powf(exponent));
        }
        let sign = if self.take('⁻') { -1.0 } else { 1.0 };
        let mut digits = None;
        while let Some(digit) = self.peek().and_then(superscript) {
            self.at += 1;
            digits = Some(10.0 * digits.unwrap_or(0.0) + digit);
        }
        Ok(digits.map_or(base, |digits| base.powf(sign * digits)))
    }

    fn single(&mut self) -> Result<f64, FormulaError> {
        match self.peek() {
            Some('(') => self.within('(', ')'),
            Some('[') => self.within('[', ']'),
            Some('|') => self.within('|', '|').map(f64::abs),
            Some('√') => {
                self.at += 1;
                self.single().map(f64::sqrt)
            }
            Some(c @ ('¼' | '½' | '¾')) => {
                self.at += 1;
                Ok(if c == '¼' {
                    0.25
                } else if c == '½' {
                    0.5
                } else {
                    0.75
                })
            }
            Some(c) if c.is_ascii_digit() => self.number(),
            Some(c) if begins(c) => self.named(),
            _ => Err(self.wrong("a number, a name or a bracket is missing")),
        }
    }

    fn within(&mut self, open: char, close: char) -> Result<f64, FormulaError> {
        self.take(open);
        let value = self.sum()?;
        self.expect(close)?;
        Ok(value)
    }

    fn run(&mut self, belongs: impl Fn(char) -> bool) -> String {
        let start = self.at;
        while self.chars.get(self.at).is_some_and(|c| belongs(*c)) {
            self.at += 1;
        }
        self.chars[start..self.at].iter().collect()
    }

    fn number(&mut self) -> Result<f64, FormulaError> {
        let digits = self.run(|c| c.is_ascii_digit() || c == '.');
        digits.parse().map_err(|_| self.wrong("this is no number"))
    }

    fn named(&mut self) -> Result<f64, FormulaError> {
        let name = self.run(goes_on);
        if !FUNCTIONS.contains(&name.as_str()) {
            let known =
                if name == "π" { Some(std::f64::consts::PI) } else { (self.lookup)(&name) };
            return known.ok_or_else(|| self.wrong("this name has no value"));
        }
        if !self.take('(') {
            return Err(self.wrong("a function needs brackets"));
        }
        let first = self.sum()?;
        let second = if self.take(';') { Some(self.sum()?) } else { None };
        self.expect(')')?;
        Ok(match (name.as_str(), second) {
            ("ln", None) => first.ln(),
            ("log10", None) => first.log10(),
            ("exp", None) => first.exp(),
            ("sin", None) => first.sin(),
            ("cos", None) => first.cos(),
            ("tan", None) => first.tan(),
            ("sign", None) => first.signum(),
            ("atan2", Some(second)) => first.atan2(second),
            ("min", Some(second)) => first.min(second),
            ("max", Some(second)) => first.max(second),
            _ => return Err(self.wrong("the function has another number of arguments")),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(formula: &str) -> Result<f64, FormulaError> {
        value(formula, &|name| match name {
            "x" => Some(2.0),
            "c_Q" => Some(3.0),
            "Δp" => Some(-5.0),
            _ => None,
        })
    }

    #[test]
    fn formulas_have_their_values() {
        let close = |formula: &str, want: f64| {
            let got = at(formula).unwrap_or_else(|error| panic!("{formula}: {error}"));
            assert!((got - want).abs() < 1e-14 * want.abs(), "{formula}: got {got}, want {want}");
        };
        close("1 + 2·x^3/c_Q − 4", 1.0 + 16.0 / 3.0 - 4.0);
        close("−x²·|Δp|", -20.0);
        close("(1 + [x − 1]·x)⁻²", 1.0 / 9.0);
        close("½·√(x·8) + ¾·|Δp·|x||", 9.5);
        close("x^(−1/2)·max(x; c_Q)", 3.0 / 2.0_f64.sqrt());
        close(
            "8·((8/x)^12 + 1)^(1/12) + x^−1",
            8.0 * (4.0_f64.powi(12) + 1.0).powf(1.0 / 12.0) + 0.5,
        );
        close("π·sin(x)·exp(−x)/ln(c_Q)", {
            std::f64::consts::PI * 2.0_f64.sin() * (-2.0_f64).exp() / 3.0_f64.ln()
        });
    }

    #[test]
    fn what_is_no_formula_says_where() {
        let wrong = |formula: &str, place: usize, what: &str| {
            let error = at(formula).expect_err(formula);
            assert_eq!((error.at, error.what), (place, what), "{formula}");
        };
        wrong("2·(x", 4, "a bracket is not closed");
        wrong("2·y", 3, "this name has no value");
        wrong("2 x", 2, "nothing can stand here");
        wrong("min(x)", 6, "the function has another number of arguments");
        wrong("2·", 2, "a number, a name or a bracket is missing");
        wrong("1.2.3", 5, "this is no number");
    }

    #[test]
    fn numbers_are_put_in_for_names() {
        let put = |name: &str| (name == "x" || name == "c_Q").then(|| "7".to_owned());
        assert_eq!(written("8·x²/(c_Q·ln(Δp))", put), "8·7²/(7·ln(Δp))");
        assert_eq!(names("2.5·x^2 + log10(c_Q)·π"), ["x", "log10", "c_Q", "π"]);
    }
}
