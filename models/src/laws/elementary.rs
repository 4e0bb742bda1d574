//! Logarithm and exponential without branches, so that a compiler turns a loop over them into
//! vector instructions, and without a machine's own mathematics library, so that the last bit is
//! the same everywhere.

/// High part of ln 2, exact with a factor of up to 2²⁰, and what is left of it.
const LN_2_HIGH: f64 = f64::from_bits(0x3FE6_2E42_FEE0_0000);
const LN_2_LOW: f64 = 1.9082149292705877e-10;

const ONE: u64 = 0x3FF0_0000_0000_0000;
const SQRT_HALF: u64 = 0x3FE6_A09E_667F_3BCD;
const FRACTION: u64 = 0x000F_FFFF_FFFF_FFFF;
/// 2⁵², as a number and in bits: the bits of 2⁵² + k are those of 2⁵² with k in their last places.
const WHOLE: f64 = 4503599627370496.0;
const WHOLE_BITS: u64 = 0x4330_0000_0000_0000;
/// Added and taken away again, it leaves the nearest whole number.
const ROUND: f64 = 1.5 * WHOLE;

/// Natural logarithm of a positive normal number, to within 1e-15 of it or 1e-16, whichever is more.
///
/// ln x = k ln 2 + ln m, x = 2^k m, √½ ≤ m < √2; ln(1 + f) = f − f²/2 + s (f²/2 + R),
/// s = f/(2 + f), R = s² (2/3 + 2/5 s² + 2/7 s⁴ + …), of which nine terms leave 3e-17.
///
/// Other arguments give a finite number without meaning.
// A call would keep the loop around it from being vectorised.
#[allow(clippy::inline_always)]
#[inline(always)]
pub(crate) fn ln(x: f64) -> f64 {
    let shifted = x.to_bits().wrapping_add(ONE - SQRT_HALF);
    let m = f64::from_bits((shifted & FRACTION) + SQRT_HALF);
    let k = f64::from_bits((shifted >> 52) | WHOLE_BITS) - (WHOLE + 1023.0);
    let f = m - 1.0;
    let s = f / (f + 2.0);
    let z = s * s;
    let w = z * z;
    let even = 2.0 / 3.0 + w * (2.0 / 7.0 + w * (2.0 / 11.0 + w * (2.0 / 15.0 + w * (2.0 / 19.0))));
    let odd = 2.0 / 5.0 + w * (2.0 / 9.0 + w * (2.0 / 13.0 + w * (2.0 / 17.0)));
    let rest = z * (even + z * odd);
    let half = 0.5 * f * f;
    k * LN_2_HIGH - ((half - (s * (half + rest) + k * LN_2_LOW)) - f)
}

/// Natural exponential, to within 4e-16 of it; the argument is held between −708 and 709.
///
/// eˣ = 2^k eʳ, |r| ≤ ½ ln 2; eʳ by its series up to r¹³/13!, which leaves 4e-18.
#[allow(clippy::inline_always)] // As above.
#[inline(always)]
pub(crate) fn exp(x: f64) -> f64 {
    let x = if x < -708.0 { -708.0 } else { x };
    let x = if x > 709.0 { 709.0 } else { x };
    let shifted = x * std::f64::consts::LOG2_E + ROUND;
    let k = shifted - ROUND;
    let r = (x - k * LN_2_HIGH) - k * LN_2_LOW;
    let z = r * r;
    let even = 1.0 / 2.0
        + z * (1.0 / 24.0
            + z * (1.0 / 720.0
                + z * (1.0 / 40320.0 + z * (1.0 / 3628800.0 + z * (1.0 / 479001600.0)))));
    let odd = 1.0 / 6.0
        + z * (1.0 / 120.0
            + z * (1.0 / 5040.0
                + z * (1.0 / 362880.0 + z * (1.0 / 39916800.0 + z * (1.0 / 6227020800.0)))));
    let power = f64::from_bits(shifted.to_bits().wrapping_add(1023) << 52);
    power + power * (r + z * (even + r * odd))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the machine's mathematics library, over all magnitudes.
    #[test]
    fn logarithm_and_exponential_agree_with_the_library() {
        for step in 1..200_000 {
            let x = f64::from(step) * 7e-3 - 700.0;
            let (got, want) = (exp(x), x.exp());
            assert!((got - want).abs() <= 4e-16 * want, "exp({x}): got {got}, want {want}");
            let (got, want) = (ln(want), want.ln());
            assert!((got - want).abs() <= 4e-16 * want.abs(), "ln(e^{x}): got {got}, want {want}");
            let near = 1.0 + f64::from(step - 100_000) * 4e-6;
            let (got, want) = (ln(near), near.ln());
            assert!((got - want).abs() <= 4e-16 * want.abs(), "ln({near}): got {got}, want {want}");
        }
        let ends = [ln(1.0), exp(0.0)].map(f64::to_bits);
        assert_eq!(ends, [0.0_f64, 1.0].map(f64::to_bits));
    }
}
