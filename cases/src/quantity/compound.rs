//! Quantities of several numbers: `12 ft 6 in`, `1 h 20 min`, and times as clocks show them, `1:02:05`.

use super::number;
use super::parse::QuantityError;
use super::units::{self, Unit};
use crate::text::quoted;

/// Units that may follow one another, each smaller than the one before.
const CHAINS: [&[&str]; 3] = [&["mi", "yd", "ft", "in"], &["h", "min", "s"], &["lb", "oz"]];

/// The unit at the start of what stands behind a number, and the smaller amounts behind it: of `ft 6 in`
/// the foot, and `6 in`.
pub(super) fn split(rest: &str) -> Option<(&'static Unit, &str)> {
    let number = |c: char| c.is_ascii_digit() || "½¼¾⅛⅜⅝⅞.".contains(c);
    let starts = rest.char_indices().filter(|&(at, c)| at > 0 && number(c));
    starts.map(|(at, _)| rest.split_at(at)).find_map(|(unit, more)| {
        // `12 ft -6 in` has a sign, `12'-6"` a dash.
        if unit.strip_suffix('-').is_some_and(|unit| unit.ends_with(char::is_whitespace)) {
            return None;
        }
        let unit = unit.trim_end_matches(|c: char| c.is_whitespace() || c == '-' || c == ',');
        let unit = unit.strip_suffix(" and").unwrap_or(unit).trim_end();
        let unit = units::find(unit)?;
        let leads = |chain: &&&[&str]| chain[..chain.len() - 1].contains(&unit.symbol);
        CHAINS.iter().find(leads).map(|_| (unit, more))
    })
}

/// The sum of amounts in units below `above`, SI.
pub(super) fn sum(above: &Unit, text: &str) -> Result<f64, QuantityError> {
    let (number, rest) = number::take(text)?;
    let (unit, more) = match split(rest) {
        Some((unit, more)) => (Some(unit), more),
        None => (units::find(rest), ""),
    };
    let chain = CHAINS.iter().find(|chain| chain.contains(&above.symbol)).copied().unwrap_or(&[]);
    let place = |unit: &Unit| chain.iter().position(|symbol| *symbol == unit.symbol);
    let Some(unit) = unit.filter(|unit| place(unit) > place(above)) else {
        let message =
            format!("expected {} after `{}`, found {}", after(above), above.symbol, quoted(text));
        let help = match chain.get(place(above).map_or(0, |at| at + 1)) {
            Some(next) if rest.is_empty() => {
                format!("each number needs its unit: write \"… {} {text} {next}\"", above.symbol)
            }
            _ => "write one number and one unit".to_owned(),
        };
        return Err(QuantityError::new(message).help(help));
    };
    let si = number * unit.factor;
    if !(0.0..above.factor).contains(&si) {
        let message = format!(
            "{} after `{}` must be less than one `{}`",
            quoted(text),
            above.symbol,
            above.symbol
        );
        return Err(QuantityError::new(message).help("write one number and one unit"));
    }
    Ok(si + if more.is_empty() { 0.0 } else { sum(unit, more)? })
}

fn after(above: &Unit) -> &'static str {
    match above.symbol {
        "mi" => "yards, feet or inches",
        "yd" => "feet or inches",
        "ft" => "inches",
        "h" => "minutes or seconds",
        "min" => "seconds",
        _ => "ounces",
    }
}

/// A time as a clock shows it, s: `min:s` or `h:min:s`. `None` where a text has no colon.
pub(super) fn clock(text: &str) -> Option<Result<f64, QuantityError>> {
    if !text.contains(':') {
        return None;
    }
    let fields: Vec<Option<f64>> = text.split(':').map(clock_field).collect();
    let seconds = match fields.as_slice() {
        [Some(min), Some(s)] if *s < 60.0 && min.fract() == 0.0 => Some(60.0 * min + s),
        [Some(h), Some(min), Some(s)]
            if *s < 60.0 && *min < 60.0 && min.fract() == 0.0 && h.fract() == 0.0 =>
        {
            Some(3600.0 * h + 60.0 * min + s)
        }
        _ => None,
    };
    Some(seconds.ok_or_else(|| {
        QuantityError::new(format!("{} is no time", quoted(text)))
            .help("write it as `min:s` or `h:min:s`, as in \"5:30\" or \"1:02:05\", or with a unit")
    }))
}

fn clock_field(text: &str) -> Option<f64> {
    let digits = text.starts_with(|c: char| c.is_ascii_digit())
        && text.chars().all(|c| c.is_ascii_digit() || c == '.');
    digits.then(|| text.parse().ok()).flatten()
}
