//! Least values between two points, against closed forms.

use coolwright_solver::minima::least;

#[test]
fn lows_are_found_where_they_are() {
    type Case = (&'static str, fn(f64) -> f64, f64, f64, f64);
    let cases: [Case; 6] = [
        ("cos x", f64::cos, 0.0, 6.0, std::f64::consts::PI),
        // d/dx (x ln x) = ln x + 1.
        ("x ln x", |x| x * x.ln(), 0.01, 3.0, (-1.0_f64).exp()),
        ("a kink", |x| (x - 0.7).abs(), 0.0, 1.0, 0.7),
        ("flat below", |x| (x - 2.0).powi(4), 0.0, 9.0, 2.0),
        ("at the lower end", |x| x, 0.0, 1.0, 0.0),
        ("at the upper end", |x| -x, 0.0, 1.0, 1.0),
    ];
    for (name, f, lower, upper, want) in cases {
        let (x, value) = least(|x| Some(f(x)), lower, upper, 1e-7).expect("it gives numbers");
        // A fourth power is flat: (x − 2)⁴ is below the spacing of its values near 10⁻⁴ from there.
        let tolerance = if name == "flat below" { 1e-3 } else { 3e-7 };
        assert!((x - want).abs() <= tolerance, "{name}: {x}, want {want}");
        assert_eq!(value.to_bits(), f(x).to_bits(), "{name}");
    }
}

#[test]
fn a_smooth_low_takes_few_values() {
    let mut asked = 0;
    let found = least(
        |x: f64| {
            asked += 1;
            Some((x - 0.3).powi(2) + 0.1 * (x - 0.3).powi(3))
        },
        0.0,
        1.0,
        1e-5,
    );
    assert!((found.expect("numbers").0 - 0.3).abs() < 1e-5);
    assert!(asked < 12, "{asked}");
}

#[test]
fn what_gives_nothing_has_no_low() {
    assert_eq!(least(|x| (x < 0.5).then_some(-x), 0.0, 1.0, 1e-6), None);
}
