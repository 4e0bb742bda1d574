//! What the trade writes in the place of a quantity, and what to write here instead.

use super::parse::QuantityError;
use super::units::Unit;
use crate::text::quoted;

/// Why a size of the trade is no length: dash sizes, nominal sizes, threads. `None` for anything else.
///
/// A dash number counts sixteenths of an inch of the tube that the fitting is made for (common practice, no
/// source); the bore of hose and fitting is its own.
pub(super) fn size(text: &str) -> Option<QuantityError> {
    let lower = text.to_lowercase();
    let number = |text: &str| -> Option<u32> {
        let text = text.trim_matches(|c: char| c.is_whitespace() || "-−#.".contains(c));
        text.parse().ok().filter(|n| (1..=64).contains(n))
    };
    let words = ["dash size", "dash", "size", "an", "jic", "no.", "#"];
    let worded = words.iter().find_map(|word| {
        let before = lower.strip_prefix(word).and_then(number);
        before.or_else(|| lower.strip_suffix(word).and_then(number))
    });
    // `-16` alone: no length that is asked for is below zero without a unit.
    let bare =
        || lower.strip_prefix(['-', '−']).filter(|rest| !rest.starts_with(' ')).and_then(number);
    if let Some(dash) = worded.or_else(bare) {
        return Some(
            QuantityError::new(format!("{} is a dash size, not a length", quoted(text)))
                .help(format!(
                    "a dash number counts sixteenths of an inch of tube: {dash} is nominally {} (common practice, \
                     no source)",
                    sixteenths(dash)
                ))
                .help("bores differ from maker to maker, so measure yours and write it with its unit"),
        );
    }
    let starts = |word: &str| {
        let rest = lower.strip_prefix(word).map(str::trim_start);
        rest.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    };
    let nominal = ["dn", "nps", "npt", "bsp", "g"].into_iter().any(starts);
    let thread = ["npt", "bspp", "bspt", "bsp", "nps"].iter().any(|word| lower.ends_with(word));
    (nominal || thread).then(|| {
        QuantityError::new(format!("{} is a nominal size, not a length", quoted(text)))
            .help("a nominal size names pipe or thread, not the bore: measure that and write it with its unit")
    })
}

/// So many sixteenths of an inch, as people write them.
fn sixteenths(count: u32) -> String {
    let (whole, mut above, mut below) = (count / 16, count % 16, 16);
    while above > 0 && above.is_multiple_of(2) {
        (above, below) = (above / 2, below / 2);
    }
    match (whole, above) {
        (whole, 0) => format!("{whole} in"),
        (0, above) => format!("{above}/{below} in"),
        (whole, above) => format!("{whole}-{above}/{below} in"),
    }
}

/// What to write for a head in words, such as `ft of head`. `None` where a unit is none.
pub(super) fn head(unit: &str) -> Option<String> {
    let lower = unit.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().filter(|word| *word != "of").collect();
    let column = match words.as_slice() {
        ["ft" | "ft." | "feet" | "foot" | "'", "head" | "hd" | "tdh" | "fluid" | "coolant"] => {
            "ftH2O"
        }
        [
            "m" | "meter" | "metre" | "meters" | "metres",
            "head" | "hd" | "tdh" | "fluid" | "coolant",
        ] => "mH2O",
        _ => return None,
    };
    Some(format!(
        "write it as a column of water, in `{column}`: a head is the same in any liquid, but its pressure is not, \
         and curves are mostly taken in water"
    ))
}

/// What a metric horsepower is, 75 kgf·m/s (NIST SP 811, appendix B.8). `None` where a unit is none.
pub(super) fn metric_horsepower(unit: &str) -> Option<&'static str> {
    matches!(unit.to_lowercase().as_str(), "ps" | "metric hp" | "hp(m)" | "metric horsepower")
        .then_some("a metric horsepower is {Power 735.49875}")
}

/// The unit of a column of water as high as a unit of length.
pub(super) fn column(unit: &Unit) -> Option<&'static str> {
    match unit.symbol {
        "ft" => Some("ftH2O"),
        "in" => Some("inH2O"),
        "m" => Some("mH2O"),
        "mm" => Some("mmH2O"),
        _ => None,
    }
}
