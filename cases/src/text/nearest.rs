//! Guesses at what a misspelt name was meant to be, and safe quoting of foreign text.

use std::fmt::Write as _;

/// The candidate most like `name`, if any is like enough to be worth a hint.
///
/// Letter case does not count. Names may differ by a third of their letters (edit distance with
/// swaps of neighbours), at least by one; or one of three letters and more is how just one of them begins.
pub fn nearest<'a>(name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // A name of many thousand letters is like nothing, and comparing it would take long.
    if name.len() > 80 {
        return None;
    }
    let folded = name.to_lowercase();
    let allowed = (folded.chars().count() / 3).max(1);
    let distance = |other: &str| strsim::damerau_levenshtein(&folded, &other.to_lowercase());
    let candidates: Vec<&str> = candidates.into_iter().collect();
    let close = candidates
        .iter()
        .map(|&other| (distance(other), other))
        .filter(|&(distance, other)| distance <= allowed && distance < other.len().max(name.len()))
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, other)| other);
    close.or_else(|| {
        let begins = |other: &&&str| folded.len() >= 3 && other.to_lowercase().starts_with(&folded);
        let mut longer = candidates.iter().filter(begins);
        longer.next().copied().filter(|_| longer.next().is_none())
    })
}

/// A hint line for a misspelt name.
pub(crate) fn did_you_mean<'a>(
    name: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    nearest(name, candidates).map(|near| format!("did you mean `{near}`?"))
}

/// Whether a character would steer a terminal or turn the order of reading round: control characters, ends of lines, and the
/// marks of direction of the Unicode bidirectional algorithm (UAX 9).
pub fn steers(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2066}'..='\u{2069}')
}

/// Foreign text in a line: each character that would steer a terminal or turn reading round is shown as `�`.
pub fn calm(text: &str) -> String {
    text.chars().map(|c| if steers(c) { '\u{FFFD}' } else { c }).collect()
}

/// Foreign text in back-quotes, cut to a length that fits a line, calm.
pub(crate) fn quoted(text: &str) -> String {
    const LONGEST: usize = 40;
    let mut shown: String = calm(&text.chars().take(LONGEST).collect::<String>());
    if text.chars().nth(LONGEST).is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
}

/// A list of names for people, cut when it is long.
pub(crate) fn listed(names: &[&str]) -> String {
    const MOST: usize = 24;
    let mut shown = names.iter().take(MOST).copied().collect::<Vec<_>>().join(", ");
    if names.len() > MOST {
        let _ = write!(shown, " and {} more", names.len() - MOST);
    }
    shown
}
