//! The number at the start of a quantity.

use super::parse::QuantityError;
use crate::text::quoted;

/// Splits a quantity into its number and what follows. Numbers are decimal, with an exponent, or
/// inch fractions: `3/4`, `1-1/2`, `1 1/2`, `1½`.
pub(super) fn take(text: &str) -> Result<(f64, &str), QuantityError> {
    let unsigned = text.strip_prefix(['-', '−', '+']).unwrap_or(text);
    let sign = if text.starts_with(['-', '−']) { -1.0 } else { 1.0 };
    let digits = unsigned.len() - unsigned.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let (whole, rest) = unsigned.split_at(digits);
    let starts = digits > 0 || rest.starts_with('.') || vulgar(rest).is_some();
    if !starts {
        return Err(no_number(text, unsigned));
    }
    if let Some((number, rest)) = fraction(whole, rest) {
        return finish(text, sign * number, rest);
    }
    refuse_separators(text, whole, rest)?;
    let (length, significant) = decimal_length(unsigned);
    let (literal, rest) = unsigned.split_at(length);
    let number: f64 = literal.parse().map_err(|_| {
        QuantityError::new(format!("{} does not begin with a number", quoted(text)))
    })?;
    if number == 0.0 && significant {
        return Err(QuantityError::new(format!("{} is too small a number", quoted(literal))));
    }
    finish(text, sign * number, rest)
}

fn finish<'a>(text: &str, number: f64, rest: &'a str) -> Result<(f64, &'a str), QuantityError> {
    if !number.is_finite() {
        return Err(QuantityError::new(format!("{} is too large a number", quoted(text))));
    }
    let next = rest.chars().next();
    if next.is_some_and(|c| ".,-−+".contains(c)) {
        let message = format!("the number in {} cannot be read", quoted(text));
        return Err(QuantityError::new(message).help("write one number and one unit"));
    }
    let after = rest.trim_start();
    let unit_begins_with_one =
        after.strip_prefix("1/").is_some_and(|u| !u.starts_with(|c: char| c.is_ascii_digit()));
    if after.starts_with(|c: char| c.is_ascii_digit()) && !unit_begins_with_one {
        return Err(separated(text));
    }
    Ok((number, after))
}

fn no_number(text: &str, unsigned: &str) -> QuantityError {
    let lower: String = unsigned.chars().take(3).flat_map(char::to_lowercase).collect();
    if lower == "nan" || lower == "inf" || unsigned.starts_with('∞') {
        return QuantityError::new(format!("{} is not a finite number", quoted(text)));
    }
    QuantityError::new(format!("{} does not begin with a number", quoted(text)))
}

/// The value of a fraction, with the whole number before it if there is one.
fn fraction<'a>(whole: &str, rest: &'a str) -> Option<(f64, &'a str)> {
    let before: f64 = if whole.is_empty() { 0.0 } else { whole.parse().ok()? };
    if let Some((part, width)) = vulgar(rest) {
        return Some((before + part, &rest[width..]));
    }
    if let Some(below) = rest.strip_prefix('/') {
        let (denominator, rest) = digits(below)?;
        return (denominator > 0.0).then_some((before / denominator, rest));
    }
    let joined = rest.strip_prefix('-').or_else(|| rest.strip_prefix(' '))?;
    let (above, rest) = digits(joined.trim_start())?;
    let (below, rest) = digits(rest.strip_prefix('/')?)?;
    (!whole.is_empty() && below > 0.0).then_some((before + above / below, rest))
}

fn digits(text: &str) -> Option<(f64, &str)> {
    let rest = text.trim_start_matches(|c: char| c.is_ascii_digit());
    let number = text[..text.len() - rest.len()].parse().ok()?;
    Some((number, rest))
}

fn vulgar(text: &str) -> Option<(f64, usize)> {
    let sign = text.chars().next()?;
    let eighths = match sign {
        '½' => 4.0,
        '¼' => 2.0,
        '¾' => 6.0,
        '⅛' => 1.0,
        '⅜' => 3.0,
        '⅝' => 5.0,
        '⅞' => 7.0,
        _ => return None,
    };
    Some((eighths / 8.0, sign.len_utf8()))
}

/// Length of a decimal number with its exponent, and whether a digit before the exponent counts.
fn decimal_length(text: &str) -> (usize, bool) {
    let count = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let mut length = count(text);
    if text[length..].starts_with('.') {
        length += 1 + count(&text[length + 1..]);
    }
    let significant = text[..length].bytes().any(|b| (b'1'..=b'9').contains(&b));
    let rest = &text[length..];
    if let Some(exponent) = rest.strip_prefix(['e', 'E']) {
        let sign = usize::from(exponent.starts_with(['+', '-']));
        let digits = count(&exponent[sign..]);
        if digits > 0 {
            length += 1 + sign + digits;
        }
    }
    (length, significant)
}

fn refuse_separators(text: &str, whole: &str, rest: &str) -> Result<(), QuantityError> {
    let mut signs = rest.chars();
    let (first, next) = (signs.next(), signs.next());
    if !next.is_some_and(|c| c.is_ascii_digit()) {
        return Ok(());
    }
    match first {
        Some(',') => Err(comma(text, whole, &rest[1..])),
        Some('_') => Err(separated(text)),
        // `12'000` is a number in thousands, `12'6"` one of feet and one of inches.
        Some('\'' | '’') if signs.clone().take(2).filter(char::is_ascii_digit).count() == 2 => {
            Err(separated(text))
        }
        _ => Ok(()),
    }
}

fn comma(text: &str, whole: &str, rest: &str) -> QuantityError {
    let after: String = rest.chars().take_while(char::is_ascii_digit).take(12).collect();
    let error =
        QuantityError::new(format!("a comma does not belong in the number of {}", quoted(text)));
    let whole: String = whole.chars().take(12).collect();
    if after.len() == 3 {
        let help = format!(
            "write `{whole}{after}`, or `{whole}.{after}` if the comma is the decimal sign"
        );
        error.help(help)
    } else {
        error.help(format!("the decimal sign is a point: `{whole}.{after}`"))
    }
}

fn separated(text: &str) -> QuantityError {
    QuantityError::new(format!("the number in {} cannot be read", quoted(text)))
        .help("write thousands without separators, as in `12000`")
}
