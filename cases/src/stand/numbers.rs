//! Numbers and times of day as loggers write them, straight from bytes.

/// A field without blanks and quotation marks around it.
pub(super) fn bare(mut field: &[u8]) -> &[u8] {
    field = field.trim_ascii();
    if let [b'"', inner @ .., b'"'] = field {
        field = inner.trim_ascii();
    }
    field
}

/// No number of a log is longer than this, bytes.
const LONGEST: usize = 64;

/// A finite number; `comma` says that a comma is the decimal mark.
pub(super) fn number(field: &[u8], comma: bool) -> Option<f64> {
    let field = bare(field);
    if field.len() > LONGEST || !field.iter().any(u8::is_ascii_digit) {
        return None;
    }
    let mut bytes = [0; LONGEST];
    let own = &mut bytes[..field.len()];
    own.copy_from_slice(field);
    if comma && let Some(mark) = own.iter_mut().find(|byte| **byte == b',') {
        *mark = b'.';
    }
    let value: f64 = std::str::from_utf8(own).ok()?.parse().ok()?;
    value.is_finite().then_some(value)
}

/// A time of day in s, with a day before it or not: `14:03:07.25`, `2031-05-04 14:03`, `04.05.2031 14:03:07`.
///
/// Days are counted one after the other within a month; what a new month adds is a jump of the clock like any other.
pub(super) fn time_of_day(field: &[u8], comma: bool) -> Option<f64> {
    let field = bare(field);
    let at = field.iter().rposition(|byte| *byte == b' ' || *byte == b'T');
    let (day, time) = match at {
        Some(at) => (Some(&field[..at]), &field[at + 1..]),
        None => (None, field),
    };
    let time = time.strip_suffix(b"Z").unwrap_or(time);
    let mut parts = time.split(|byte| *byte == b':');
    let hours = number(parts.next()?, comma)?;
    let minutes = number(parts.next()?, comma)?;
    let seconds = parts.next().map_or(Some(0.0), |text| number(text, true))?;
    let sound = parts.next().is_none() && minutes < 60.0 && seconds < 61.0 && hours >= 0.0;
    let day = match day {
        None => 0.0,
        Some(day) => {
            let mut parts = day.split(|byte| b"-./".contains(byte)).map(|text| number(text, false));
            let [a, _, c] = [parts.next()??, parts.next()??, parts.next()??];
            // The year is the long one.
            if a > 31.0 { c } else { a }
        }
    };
    sound.then_some(86400.0 * day + 3600.0 * hours + 60.0 * minutes + seconds)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn same(text: &str, comma: bool, want: f64) {
        let got = number(text.as_bytes(), comma);
        assert_eq!(got.map(f64::to_bits), Some(want.to_bits()), "{text}");
    }

    #[test]
    fn numbers_are_read_as_they_are_written() {
        for text in
            ["0", "-0.0", "12.5", "+7", "1e-3", "-2.5E+02", "0.1", "123456789.125", ".5", "5."]
        {
            same(text, false, text.parse().expect("a number"));
        }
        same("9007199254740993.5", false, 9007199254740993.5);
        same("0.000000000000000000000123", false, 1.23e-22);
        same(" \"12,75\" ", true, 12.75);
        for text in ["", "-", "n/a", "1.2.3", "NaN", "inf", "1 2", "0x10", "12,5"] {
            assert_eq!(number(text.as_bytes(), false), None, "{text}");
        }
    }

    #[test]
    fn times_of_day_are_seconds() {
        let close = |text: &str, want: f64| {
            let got = time_of_day(text.as_bytes(), false).unwrap_or(f64::NAN);
            assert!((got - want).abs() < 1e-9, "{text}: {got}");
        };
        close("01:02:03.5", 3723.5);
        close("14:03", 50580.0);
        close("2031-05-04T00:00:01Z", 345601.0);
        close("04.05.2031 00:00:01,5", 345601.5);
        assert_eq!(time_of_day(b"12:99:00", false), None);
        assert_eq!(time_of_day(b"warm", false), None);
    }
}
