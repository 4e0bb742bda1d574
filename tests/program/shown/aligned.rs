//! Where the lines of a block stand in what is printed now.
//!
//! The lines of a block and those printed now are laid side by side in their order, so that what is alike in words comes
//! together: numbers may differ. Of each stretch between two `[...]` the block then has what stands from its first line to
//! its last.

use super::LEFT_OUT;

/// Lines printed between those of one stretch cost this much each, so that a stretch stays together.
const APART: f64 = 0.05;
/// What is less alike than this is another line.
const ALIKE: f64 = 0.5;

/// The block with the lines of now, or why it cannot be told where they stand.
pub(super) fn again<'a>(shown: &[&'a str], now: &[&'a str]) -> Result<Vec<&'a str>, String> {
    let stretches: Vec<&[&str]> = shown.split(|line| *line == LEFT_OUT).collect();
    let lines: Vec<(usize, &str)> = stretches
        .iter()
        .enumerate()
        .flat_map(|(of, lines)| lines.iter().map(move |line| (of, *line)))
        .collect();
    let places = places(&lines, now);
    let mut spans = Vec::new();
    for (of, stretch) in stretches.iter().enumerate() {
        if stretch.is_empty() {
            continue;
        }
        let found: Vec<usize> = lines
            .iter()
            .zip(&places)
            .filter_map(|((own, _), place)| place.filter(|_| *own == of))
            .collect();
        let (Some(&first), Some(&last)) = (found.first(), found.last()) else {
            return Err(format!("nothing printed now is like\n{}", stretch.join("\n")));
        };
        // The block begins and ends with the answer where nothing is left out there.
        let from = if of == 0 { 0 } else { first };
        let to = if of + 1 == stretches.len() { now.len() } else { last + 1 };
        if to - from > 2 * stretch.len() + 10 {
            return Err(format!("too much is printed now in the place of\n{}", stretch.join("\n")));
        }
        spans.push((from, to));
    }
    let mut block = Vec::new();
    let mut reached = 0;
    for (from, to) in spans {
        if from > reached {
            block.push(LEFT_OUT);
        }
        block.extend(&now[from..to]);
        reached = to;
    }
    if reached < now.len() {
        block.push(LEFT_OUT);
    }
    Ok(block)
}

/// Of each line, with the number of its stretch, the place that it has now: the places in their order that are most alike.
fn places(lines: &[(usize, &str)], now: &[&str]) -> Vec<Option<usize>> {
    let alike: Vec<Vec<f64>> =
        lines.iter().map(|(_, a)| now.iter().map(|b| likeness(a, b)).collect()).collect();
    let (rows, columns) = (lines.len() + 1, now.len() + 1);
    let mut best = vec![vec![0.0_f64; columns]; rows];
    let apart = |i: usize| {
        let within = i > 0 && i < lines.len() && lines[i - 1].0 == lines[i].0;
        if within { APART } else { 0.0 }
    };
    for i in 0..rows {
        for j in 0..columns {
            let mut most = if i == 0 && j == 0 { 0.0 } else { f64::NEG_INFINITY };
            if i > 0 {
                most = most.max(best[i - 1][j]);
            }
            if j > 0 {
                most = most.max(best[i][j - 1] - apart(i));
            }
            if i > 0 && j > 0 && alike[i - 1][j - 1] >= ALIKE {
                most = most.max(best[i - 1][j - 1] + alike[i - 1][j - 1]);
            }
            best[i][j] = most;
        }
    }
    let mut places = vec![None; lines.len()];
    let (mut i, mut j) = (lines.len(), now.len());
    while i > 0 && j > 0 {
        let met = best[i - 1][j - 1] + alike[i - 1][j - 1];
        if alike[i - 1][j - 1] >= ALIKE && best[i][j] <= met {
            (i, j) = (i - 1, j - 1);
            places[i] = Some(j);
        } else if best[i][j] <= best[i - 1][j] {
            i -= 1;
        } else {
            j -= 1;
        }
    }
    places
}

/// How alike two lines are: 0 where nothing is, 1 where all words are, 2 where they are the same. A number counts for
/// little, and another number for nearly as much.
fn likeness(a: &str, b: &str) -> f64 {
    if a == b {
        return 2.0;
    }
    let [a, b] = [a, b].map(|line| line.split_whitespace().collect::<Vec<_>>());
    let weight = |word: &str| if is_number(word) { 0.25 } else { 1.0 };
    let whole: f64 = a.iter().chain(&b).map(|word| weight(word)).sum();
    let mut left = b;
    let mut shared = 0.0;
    for word in a {
        let like = |other: &&str| *other == word || (is_number(other) && is_number(word));
        if let Some(place) = left.iter().position(like) {
            let other = left.remove(place);
            shared += weight(word) + weight(other);
        }
    }
    if whole > 0.0 { shared / whole } else { 1.0 }
}

/// Whether a word is a number, a time or a number with a sign behind it.
fn is_number(word: &str) -> bool {
    let bare = word.trim_matches(['(', ')', ',', ';', '.', '%', '+', '-', '!']);
    !bare.is_empty() && bare.chars().all(|c| c.is_ascii_digit() || ".:-".contains(c))
}

#[test]
fn a_block_finds_its_lines_again() {
    let now = [
        "VERDICT  HOLDS: all 16 limits are kept",
        "",
        "Limits",
        "  limit        worst",
        "  charge_feed  41 °C",
        "  a_new_one    7 K",
        "  port_split   1.02",
        "",
        "Heat",
        "  all  5 kW",
        "",
        "Cautions",
        "  - hot",
    ];
    let shown = [
        "VERDICT  HOLDS: all 15 limits are kept",
        "[...]",
        "  charge_feed  40.2 °C",
        "  port_split   1.01",
        "[...]",
        "  all  4.9 kW",
        "[...]",
    ];
    let wanted = [
        "VERDICT  HOLDS: all 16 limits are kept",
        "[...]",
        "  charge_feed  41 °C",
        "  a_new_one    7 K",
        "  port_split   1.02",
        "[...]",
        "  all  5 kW",
        "[...]",
    ];
    assert_eq!(again(&shown, &now), Ok(wanted.to_vec()));
    assert!(again(&["[...]", "  nothing like it", "[...]"], &now).is_err());
}

#[test]
fn a_block_that_shows_the_end_shows_it_again() {
    let now = ["a 1", "b 2", "c 3"];
    assert_eq!(again(&["[...]", "b 1", "c 2"], &now), Ok(vec!["[...]", "b 2", "c 3"]));
    assert_eq!(again(&["a 2", "b 1", "c 2"], &now), Ok(now.to_vec()));
}
