//! What the generator draws from: numbers over decades, chances, choices, and quantities as text.

use crate::common::Random;

impl Random {
    /// A number between two, even over the decades.
    pub(crate) fn decades(&mut self, low: f64, high: f64) -> f64 {
        (low.ln() + (high.ln() - low.ln()) * self.next()).exp()
    }

    /// Whether something of this chance happens.
    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.next() < share
    }

    /// A whole number from 0 up to `count`.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 up to count
        let index = (self.next() * count as f64) as usize;
        index.min(count.saturating_sub(1))
    }

    /// One of several.
    pub(crate) fn one_of<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len())]
    }
}

/// A quantity as the file wants it, with five digits.
pub(crate) fn text(value: f64, unit: &str) -> String {
    if value == 0.0 {
        return format!("\"0 {unit}\"");
    }
    let decade = value.abs().log10().floor();
    let grain = 10_f64.powf(decade - 4.0);
    let round = (value / grain).round();
    // Divided where the grain is below one, so that the digits end where they should.
    let value = if decade < 4.0 { round / 10_f64.powf(4.0 - decade) } else { round * grain };
    format!("\"{value} {unit}\"")
}
