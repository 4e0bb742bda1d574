//! Bracketed roots, against closed forms.

use coolwright_solver::roots::{RootError, bracketed};

#[test]
fn roots_are_found_to_the_spacing_of_numbers() {
    type Case = (&'static str, fn(f64) -> f64, f64, f64, f64);
    let cases: [Case; 7] = [
        ("cos x", f64::cos, 0.0, 3.0, std::f64::consts::FRAC_PI_2),
        ("x³ − 2", |x| x * x * x - 2.0, 0.0, 10.0, 2.0_f64.cbrt()),
        ("e^x − 1e6", |x| x.exp() - 1e6, -100.0, 100.0, 1e6_f64.ln()),
        ("a jump", |x| if x < 0.3 { -1.0 } else { 1.0 }, 0.0, 1.0, 0.3),
        ("a triple root", |x| (x - 1.0).powi(3), 0.0, 3.7, 1.0),
        (
            "a kink of 12 decades",
            |x| if x < 1.0 { 1e-6 * (x - 1.0) } else { 1e6 * (x - 1.0) },
            0.0,
            9.0,
            1.0,
        ),
        ("upside down", |x| 5.0 - x, 100.0, -100.0, 5.0),
    ];
    for (name, f, lower, upper, want) in cases {
        let root = bracketed(f, lower, upper, 0.0).unwrap();
        // The triple root is flat: a cube below the smallest number is zero.
        let tolerance =
            if name == "a triple root" { 1e-7 } else { 1e-15 * want.abs().max(1.0) * 4.0 };
        assert!((root.x - want).abs() <= tolerance, "{name}: got {}, want {want}", root.x);
        assert!(root.value == 0.0 || f(root.opposite) * root.value < 0.0, "{name}: {root:?}");
        assert!(root.evaluations < 200, "{name}: {root:?}");
    }
    let smooth = bracketed(|x| x.exp() - 2.0, 0.0, 2.0, 1e-12).unwrap();
    assert!(smooth.evaluations < 12, "{smooth:?}");
}

#[test]
fn errors_carry_the_numbers() {
    let none = bracketed(|x| x * x + 1.0, -1.0, 2.0, 1e-9);
    assert_eq!(none, Err(RootError::NoSignChange { at_lower: 2.0, at_upper: 5.0 }));
    let nan = bracketed(|x| if x > 0.2 && x < 0.8 { f64::NAN } else { x - 0.5 }, 0.0, 1.0, 1e-9);
    assert!(matches!(nan, Err(RootError::NotFinite { x, .. }) if x > 0.2 && x < 0.8), "{nan:?}");
    let end = bracketed(|x| x, f64::NEG_INFINITY, 1.0, 1e-9);
    assert!(matches!(end, Err(RootError::NotFinite { .. })), "{end:?}");
}
