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

/// A finite number without thousands; `comma` says that a comma is the decimal mark.
fn decimal(field: &[u8], comma: bool) -> Option<f64> {
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

/// What a field can be as a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Written {
    /// A number without a mark, or with marks that leave no doubt; then with the decimal mark that it tells of.
    Plain(f64, Option<u8>),
    /// A single mark that may be the decimal one, or part thousands: the mark, and the number by both readings.
    Either(u8, [f64; 2]),
}

/// Signs that part thousands and are no decimal mark: blank, apostrophe, and the blanks and the apostrophe of typesetters,
/// in UTF-8 and in Latin-1.
const PARTS: [&[u8]; 6] = [b" ", b"'", b"\xc2\xa0", b"\xe2\x80\xaf", b"\xe2\x80\x99", b"\xa0"];

/// Reads a field as it is written: `12.5`, `12,5`, `1.234,5`, `12 345.6`, `1'234`. A mark before the last of two kinds, or
/// one that comes several times, parts thousands.
pub(super) fn written(field: &[u8]) -> Option<Written> {
    let field = bare(field);
    if field.len() > LONGEST || !field.iter().any(u8::is_ascii_digit) {
        return None;
    }
    let mark = |byte: &u8| matches!(byte, b'.' | b',');
    let Some(last) = field.iter().rposition(mark) else {
        return Some(Written::Plain(joined(field, None)?, None));
    };
    let sign = field[last];
    let other = if sign == b'.' { b',' } else { b'.' };
    let again = field[..last].contains(&sign);
    if again {
        // It parts thousands, and there is no decimal mark behind it.
        return Some(Written::Plain(parted(field, b"", sign)?, Some(other)));
    }
    let (whole, rest) = (&field[..last], &field[last..]);
    if whole.contains(&other) {
        return Some(Written::Plain(parted(whole, rest, other)?, Some(sign)));
    }
    let decimal = joined(whole, Some(rest))?;
    let digits = whole.strip_prefix(b"-").or(whole.strip_prefix(b"+")).unwrap_or(whole);
    let short = (1..=3).contains(&digits.len()) && digits.iter().all(u8::is_ascii_digit);
    let three = rest.len() == 4 && rest[1..].iter().all(u8::is_ascii_digit);
    if short && three && digits[0] != b'0' {
        return Some(Written::Either(sign, [decimal, parted(field, b"", sign)?]));
    }
    Some(Written::Plain(decimal, Some(sign)))
}

/// A number whose thousands are parted by a sign, with what stands from its decimal mark on.
fn parted(whole: &[u8], rest: &[u8], by: u8) -> Option<f64> {
    joined_by(whole, rest, &|bytes| usize::from(bytes.first() == Some(&by)))
}

/// A number whose thousands may be parted by blanks or apostrophes.
fn joined(whole: &[u8], rest: Option<&[u8]>) -> Option<f64> {
    let part = |bytes: &[u8]| {
        PARTS.iter().find(|part| bytes.starts_with(part)).map_or(0, |part| part.len())
    };
    joined_by(whole, rest.unwrap_or_default(), &part)
}

/// Puts a number together that is parted in threes; `part` tells how long the sign is that parts there, 0 where none is.
fn joined_by(whole: &[u8], rest: &[u8], part: &dyn Fn(&[u8]) -> usize) -> Option<f64> {
    let mut bytes = [0; LONGEST];
    let (mut count, mut at, mut group, mut parts) = (0, 0, 0, 0);
    while at < whole.len() {
        let skip = part(&whole[at..]);
        if skip > 0 {
            let full = if parts == 0 { (1..=3).contains(&group) } else { group == 3 };
            if !full {
                return None;
            }
            (group, parts, at) = (0, parts + 1, at + skip);
            continue;
        }
        group += usize::from(whole[at].is_ascii_digit());
        if parts > 0 && !whole[at].is_ascii_digit() {
            return None;
        }
        bytes[count] = whole[at];
        (count, at) = (count + 1, at + 1);
    }
    if parts > 0 && group != 3 {
        return None;
    }
    for &byte in rest {
        bytes[count] = if byte == b',' { b'.' } else { byte };
        count += 1;
    }
    let value: f64 = std::str::from_utf8(&bytes[..count]).ok()?.parse().ok()?;
    value.is_finite().then_some(value)
}

/// Which decimal marks numbers told of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Marks {
    dot: bool,
    comma: bool,
}

impl Marks {
    /// Takes one more.
    pub(super) fn take(&mut self, mark: Option<u8>) {
        self.dot |= mark == Some(b'.');
        self.comma |= mark == Some(b',');
    }

    /// All of both.
    pub(super) fn and(self, other: Self) -> Self {
        Self { dot: self.dot || other.dot, comma: self.comma || other.comma }
    }

    /// Whether there is any.
    fn any(self) -> bool {
        self.dot || self.comma
    }

    /// The decimal mark, where they tell one: those of the column itself, else those of the log.
    pub(super) fn decimal(self, log: Self) -> Option<u8> {
        let of = if self.any() { self } else { log };
        match of {
            Self { dot: true, comma: false } => Some(b'.'),
            Self { dot: false, comma: true } => Some(b','),
            _ => None,
        }
    }
}

/// A field as a number by a decimal mark, where it needs one to be told.
pub(super) fn number(field: &[u8], decimal: Option<u8>) -> Option<f64> {
    match written(field)? {
        Written::Plain(value, _) => Some(value),
        Written::Either(mark, [whole, parted]) => {
            decimal.map(|decimal| if decimal == mark { whole } else { parted })
        }
    }
}

/// A time of day in s, with a day before it or not: `14:03:07.25`, `2031-05-04 14:03`, `04.05.2031 14:03:07`.
///
/// Days are counted one after the other within a month; what a new month adds is a jump of the clock like any other.
pub(super) fn time_of_day(field: &[u8]) -> Option<f64> {
    let field = bare(field);
    let at = field.iter().rposition(|byte| *byte == b' ' || *byte == b'T');
    let (day, time) = match at {
        Some(at) => (Some(&field[..at]), &field[at + 1..]),
        None => (None, field),
    };
    let time = time.strip_suffix(b"Z").unwrap_or(time);
    let mut parts = time.split(|byte| *byte == b':');
    let hours = decimal(parts.next()?, false)?;
    let minutes = decimal(parts.next()?, false)?;
    let seconds = parts.next().map_or(Some(0.0), |text| decimal(text, true))?;
    let sound = parts.next().is_none() && minutes < 60.0 && seconds < 61.0 && hours >= 0.0;
    let day = match day {
        None => 0.0,
        Some(day) => {
            let mut parts =
                day.split(|byte| b"-./".contains(byte)).map(|text| decimal(text, false));
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

    fn same(text: &str, want: f64, mark: Option<u8>) {
        match written(text.as_bytes()) {
            Some(Written::Plain(got, told)) => {
                assert_eq!((got.to_bits(), told), (want.to_bits(), mark), "{text}");
            }
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn numbers_are_read_as_they_are_written() {
        for text in ["0", "+7", "1234567", "-12"] {
            same(text, text.parse().expect("a number"), None);
        }
        for text in
            ["-0.0", "12.5", "1e-3", "-2.5E+02", "0.1", "123456789.125", ".5", "5.", "0.744"]
        {
            let mark = text.contains('.').then_some(b'.');
            same(text, text.parse().expect("a number"), mark);
        }
        same("9007199254740993.5", 9007199254740993.5, Some(b'.'));
        same("0.000000000000000000000123", 1.23e-22, Some(b'.'));
        same(" \"12,75\" ", 12.75, Some(b','));
        for text in ["", "-", "n/a", "1.2.3", "NaN", "inf", "1 2", "0x10", "04.05.2031"] {
            assert_eq!(written(text.as_bytes()), None, "{text}");
        }
    }

    /// Thousands in every country's way, by hand.
    #[test]
    fn thousands_are_told_by_their_marks() {
        same("1.234,5", 1234.5, Some(b','));
        same("1,234.5", 1234.5, Some(b'.'));
        same("1,234,567", 1234567.0, Some(b'.'));
        same("-1.234.567,25", -1234567.25, Some(b','));
        same("12 345.6", 12345.6, Some(b'.'));
        same("12\u{a0}345,6", 12345.6, Some(b','));
        same("12\u{202f}345", 12345.0, None);
        same("1'234", 1234.0, None);
        same("1’234.5", 1234.5, Some(b'.'));
        same("1'234.567", 1234.567, Some(b'.'));
        same("1234.567", 1234.567, Some(b'.'));
        for text in
            ["12,34,567", "1234,567.5", "1,23.5", "1,234.5,6", "12 34", "1 234 5", "1,,234.5"]
        {
            assert_eq!(written(text.as_bytes()), None, "{text}");
        }
        assert_eq!(written(b"149,744"), Some(Written::Either(b',', [149.744, 149_744.0])));
        assert_eq!(written(b"-1.500"), Some(Written::Either(b'.', [-1.5, -1500.0])));
        let [dot, comma] = [b'.', b','].map(Some);
        assert_eq!(number(b"149,744", dot), Some(149_744.0));
        assert_eq!(number(b"149,744", comma), Some(149.744));
        assert_eq!(number(b"149,744", None), None);
    }

    #[test]
    fn times_of_day_are_seconds() {
        let close = |text: &str, want: f64| {
            let got = time_of_day(text.as_bytes()).unwrap_or(f64::NAN);
            assert!((got - want).abs() < 1e-9, "{text}: {got}");
        };
        close("01:02:03.5", 3723.5);
        close("14:03", 50580.0);
        close("2031-05-04T00:00:01Z", 345601.0);
        close("04.05.2031 00:00:01,5", 345601.5);
        close("14:03:17.250", 50597.25);
        close("14:03:17,250", 50597.25);
        assert_eq!(time_of_day(b"12:99:00"), None);
        assert_eq!(time_of_day(b"warm"), None);
    }
}
