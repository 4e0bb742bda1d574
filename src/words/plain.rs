//! Numbers without a unit, as they stand in formulas.

/// A number with so many digits that count.
pub fn plain(number: f64, digits: i32) -> String {
    let size = number.abs();
    if number == 0.0 || !number.is_finite() {
        return if number.is_infinite() { "\u{221e}".to_owned() } else { "0".to_owned() };
    }
    if !(1e-3..1e6).contains(&size) {
        #[expect(clippy::cast_sign_loss, reason = "one digit at least")]
        let places = (digits - 1).max(0) as usize;
        return format!("{number:.places$e}");
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 6")]
    let places = (f64::from(digits - 1) - size.log10().floor()).clamp(0.0, 6.0) as usize;
    let text = format!("{number:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
