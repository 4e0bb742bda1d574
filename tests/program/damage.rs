//! However a case is damaged, the program comes back with an answer or with a refusal.

use std::time::{Duration, Instant};

use coolwright_cases::case::Reading;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::text::Sources;
use coolwright_models::point::operating_point;

const LOOP: &str = include_str!("../physics/cases/one_loop.ron");
const EVERY_PART: &str = include_str!("../physics/cases/every_part.ron");

/// Numbers that go in the place of others.
const NUMBERS: [&str; 12] =
    ["0", "-1", "1", "2", "1e-9", "1e9", "1e300", "NaN", "inf", "0.5", "100", "007"];

/// A generator of numbers without much ado: `x ← 6364136223846793005 x + 1442695040888963407`
/// modulo 2⁶⁴ (Knuth's MMIX), its upper half.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        usize::try_from(self.0 >> 33).expect("31 bits") % n
    }
}

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
    cuts.windows(2).map(|cut| &text[cut[0]..cut[1]]).collect()
}

fn damaged(text: &str, dice: &mut Dice) -> String {
    let mut tokens = tokens(text);
    let all = tokens.clone();
    for _ in 0..=dice.below(3) {
        let at = dice.below(tokens.len());
        let numbers: Vec<usize> = (0..tokens.len())
            .filter(|&k| tokens[k].starts_with(|c: char| c.is_ascii_digit()))
            .collect();
        let number = numbers[dice.below(numbers.len())];
        match dice.below(6) {
            0 => drop(tokens.remove(at)),
            1 => tokens.insert(at, tokens[at]),
            2 => tokens[at] = all[dice.below(all.len())],
            _ => tokens[number] = NUMBERS[dice.below(NUMBERS.len())],
        }
    }
    tokens.concat()
}

/// Reads and solves; gives whether there was an operating point. A refusal must say why.
fn try_out(text: &str) -> bool {
    let mut sources = Sources::new();
    let file = sources.add("try.ron", text);
    let mut problems = Problems::new();
    let mut nothing = |_: &str| Err("no such file".to_owned());
    let reading = Reading::new(&mut sources, file, &mut nothing, &mut problems);
    let ready = reading.as_ref().and_then(|reading| reading.build(&mut problems));
    assert!(ready.is_some() || problems.has_errors(), "no model and no word about it:\n{text}");
    for problem in problems.iter() {
        assert!(!problem.message.contains("NaN and"), "{}", problem.message);
        assert!(problem.primary.0.end > 0, "no place: {problem:?}\n{text}");
    }
    assert_eq!(problems.render(&sources, false).is_empty(), problems.is_empty());
    let (Some(ready), false) = (ready, problems.has_errors()) else { return false };
    match operating_point(&ready.model, ready.model.values.clone(), None) {
        Ok(point) => {
            let entries = point.results.catalogue.entries().iter();
            for (entry, value) in entries.zip(&point.results.values) {
                assert!(!value.is_infinite(), "{} is infinite in\n{text}", entry.address);
            }
            true
        }
        Err(error) => {
            assert!(!error.to_string().is_empty());
            false
        }
    }
}

/// Damages a case in 300 ways; gives how many could still be solved, and the longest time.
fn damage(text: &str, seed: u64) -> (usize, Duration) {
    let mut dice = Dice(seed);
    let (mut solved, mut slowest) = (0, Duration::ZERO);
    for _ in 0..300 {
        let text = damaged(text, &mut dice);
        let start = Instant::now();
        solved += usize::from(try_out(&text));
        slowest = slowest.max(start.elapsed());
    }
    (solved, slowest)
}

#[test]
fn a_damaged_case_is_answered_or_refused() {
    for text in [LOOP, EVERY_PART] {
        let (solved, slowest) = damage(text, 2024);
        // Both ends are reached: some damage is harmless, most is not.
        assert!((20..250).contains(&solved), "{solved} of 300 were solved");
        assert!(slowest < Duration::from_secs(20), "one took {slowest:?}");
    }
}
