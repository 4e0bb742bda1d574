//! Texts damaged token by token, and logs damaged as loggers and transfers do.

use crate::common::Random;
use crate::corpus::Corpus;

/// What is put in the place of a token, or between two.
const TOKENS: [&str; 46] = [
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    ",",
    ":",
    "=",
    "\"",
    "\"\"",
    "'",
    "\\",
    "//",
    "/*",
    "*/",
    "\n",
    " ",
    "-",
    "+",
    ".",
    "..",
    "0",
    "-1",
    "1",
    "2",
    "1e-9",
    "1e9",
    "1e300",
    "1e999",
    "NaN",
    "inf",
    "007",
    "4294967296",
    "None",
    "true",
    "r#\"",
    "\"#",
    "°",
    "\u{0}",
    "\u{feff}",
    "\u{202e}",
    "é",
    "Some(",
    "Each([",
    "\u{1b}[2J",
];

/// A text cut into words, numbers, blanks and single signs.
fn tokens(text: &str) -> Vec<&str> {
    let kind = |c: char| match c {
        _ if c.is_ascii_digit() || c == '.' => 1,
        _ if c.is_alphabetic() || c == '_' => 2,
        _ if c.is_whitespace() => 3,
        _ => 0,
    };
    let mut cuts = vec![0];
    let mut before = None;
    for (at, c) in text.char_indices() {
        if before.is_some_and(|before| before == 0 || before != kind(c)) {
            cuts.push(at);
        }
        before = Some(kind(c));
    }
    cuts.push(text.len());
    cuts.windows(2).map(|cut| &text[cut[0]..cut[1]]).filter(|token| !token.is_empty()).collect()
}

/// The text with some damage: tokens that go, come twice, move or become others, and stretches that do.
pub(crate) fn damaged(random: &mut Random, corpus: &Corpus, text: &str) -> String {
    let mut tokens: Vec<String> = tokens(text).into_iter().map(str::to_owned).collect();
    // Mostly one damage: with more, few texts come far.
    let most = 1 + random.below(4);
    for _ in 0..=random.below(most) {
        if tokens.is_empty() {
            tokens.push(random.one_of(&TOKENS).to_string());
        }
        let at = random.below(tokens.len());
        let other = random.below(tokens.len());
        match random.below(13) {
            0 => drop(tokens.remove(at)),
            1 => tokens.insert(at, tokens[at].clone()),
            2 => {
                let copied = tokens[other].clone();
                tokens[at] = copied;
            }
            3 => tokens[at] = random.one_of(&TOKENS).to_string(),
            4 => tokens.insert(at, random.one_of(&TOKENS).to_string()),
            5 => tokens.swap(at, other),
            6 => tokens[at].clone_from(random.one_of(&corpus.literals)),
            7 => tokens[at].clone_from(random.one_of(&corpus.names)),
            8 => drop(tokens.drain(at.min(other)..at.max(other).min(at.min(other) + 40))),
            9 => tokens.truncate(at),
            10 => {
                let piece = tokens[at.min(other)..at.max(other).min(at.min(other) + 200)].to_vec();
                tokens.splice(at..at, piece);
            }
            11 => {
                let fields: Vec<&String> = corpus.values.keys().collect();
                let field = *random.one_of(&fields);
                let value = random.one_of(&corpus.values[field]);
                tokens.insert(at, format!("{field}: {value}, "));
            }
            _ => number(random, &mut tokens),
        }
    }
    tokens.concat()
}

/// One number becomes another: of a text's tokens they break most when all around is sound.
fn number(random: &mut Random, tokens: &mut [String]) {
    let is_number = |token: &String| token.starts_with(|c: char| c.is_ascii_digit());
    let numbers: Vec<usize> = (0..tokens.len()).filter(|&k| is_number(&tokens[k])).collect();
    if numbers.is_empty() {
        return;
    }
    let new = match random.below(4) {
        0 => random
            .one_of(&["0", "1", "-1", "1e-300", "1e300", "65536", "99999999999999999999"])
            .to_string(),
        1 => random.below(100_000).to_string(),
        2 => format!("{:e}", random.decades(1e-12, 1e12)),
        _ => format!("{:.3}", random.between(-10.0, 1000.0)),
    };
    tokens[*random.one_of(&numbers)] = new;
}

/// Fields that loggers write, and some that none should.
const FIELDS: [&str; 22] = [
    "",
    "OPEN",
    "NaN",
    "inf",
    "-inf",
    "1e400",
    "9999",
    "-9999",
    "1,5",
    "1.234.567,8",
    "1'000",
    "12:00:00",
    "00:00:01.5",
    "24:61:61",
    "2024-02-30 12:00:00",
    "\"",
    "\"a\"\"b\"",
    "0x10",
    "１２",
    "+-3",
    "\u{0}",
    "\u{1b}[31m",
];

/// The log with some damage: fields, lines and whole columns of it, other signs between them, a beginning or end that is
/// missing. Bytes that are no UTF-8 are written as `\xFF` here (see [`bytes`]).
pub(crate) fn log(random: &mut Random, text: &str) -> String {
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_owned).collect();
    for _ in 0..=random.below(5) {
        if lines.is_empty() {
            break;
        }
        let at = random.below(lines.len());
        let other = random.below(lines.len());
        match random.below(12) {
            0 => drop(lines.remove(at)),
            1 => lines.insert(at, lines[other].clone()),
            2 => lines.swap(at, other),
            3..=6 => {
                let mut fields: Vec<String> = lines[at].split(';').map(str::to_owned).collect();
                let field = random.below(fields.len());
                match random.below(4) {
                    0 => drop(fields.remove(field)),
                    1 => fields.insert(field, random.one_of(&FIELDS).to_string()),
                    _ => fields[field] = random.one_of(&FIELDS).to_string(),
                }
                lines[at] = fields.join(";");
            }
            7 => {
                let sign = *random.one_of(&[",", "\t", "|", " ", ";;", "\u{0}"]);
                lines = lines.iter().map(|line| line.replace(';', sign)).collect();
            }
            8 => lines[at].insert_str(
                0,
                random.one_of::<&str>(&[
                    "\\xFF",
                    "\\xFE\\x00",
                    "\u{feff}",
                    "#",
                    "\"",
                    "PK\u{3}\u{4}",
                ]),
            ),
            9 => lines.truncate(at),
            10 => lines[at] = random.one_of(&FIELDS).repeat(1 + random.below(2000)) + "\n",
            _ => lines = lines.iter().map(|line| line.replace('.', ",")).collect(),
        }
    }
    lines.concat()
}

/// The bytes of a text in which `\xFF` stands for one.
pub(crate) fn bytes(text: &str) -> Vec<u8> {
    let mut pieces = text.split("\\x");
    let mut bytes = pieces.next().unwrap_or_default().as_bytes().to_vec();
    for piece in pieces {
        match piece.get(..2).and_then(|two| u8::from_str_radix(two, 16).ok()) {
            Some(byte) => {
                bytes.push(byte);
                bytes.extend(&piece.as_bytes()[2..]);
            }
            None => bytes.extend(piece.as_bytes()),
        }
    }
    bytes
}
