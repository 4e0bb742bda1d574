//! Every factor of the unit table against tables from outside.

use std::collections::BTreeMap;

use coolwright_cases::quantity::{Dimension, Kind, UNITS, find_unit, parse};

fn table(name: &str) -> Vec<Vec<String>> {
    let path = format!("{}/tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("the reference table is there");
    let rows = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    rows.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// Half a unit of the last printed digit.
fn half_digit(printed: &str) -> f64 {
    let (digits, exponent) = printed.split_once('E').expect("printed with an exponent");
    let decimals = digits.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    let exponent: i32 = exponent.parse().expect("an exponent");
    0.5 * 10f64.powi(exponent - i32::try_from(decimals).expect("few digits"))
}

#[test]
fn factors_agree_with_nist_sp_811_to_the_printed_digits() {
    for row in table("units_sp811.csv") {
        let [symbol, printed, bold] = row.as_slice() else { panic!("three columns: {row:?}") };
        let want: f64 = printed.parse().expect("a number");
        let got = find_unit(symbol).unwrap_or_else(|| panic!("{symbol} is in the table")).factor;
        let allowed = if bold == "exact" { want * 4.0 * f64::EPSILON } else { half_digit(printed) };
        assert!((got - want).abs() <= allowed * 1.000001, "{symbol}: got {got:e}, want {printed}");
    }
}

#[test]
fn factors_agree_with_the_library_pint() {
    for row in table("units_pint.csv") {
        let [symbol, number] = row.as_slice() else { panic!("two columns: {row:?}") };
        let want: f64 = number.parse().expect("a number");
        let got = find_unit(symbol).unwrap_or_else(|| panic!("{symbol} is in the table")).factor;
        // pint takes mercury at 0 °C as 13.5951 kg/L as well; all else is by definition.
        assert!((got / want - 1.0).abs() < 1e-9, "{symbol}: got {got:e}, want {want:e}");
    }
}

#[test]
fn every_unit_but_those_of_size_one_is_checked_against_a_table() {
    let mut checked: Vec<String> =
        table("units_sp811.csv").into_iter().map(|row| row[0].clone()).collect();
    checked.extend(table("units_pint.csv").into_iter().map(|row| row[0].clone()));
    // Metres of water: a thousand of the millimetres in the tables.
    checked.push("mH2O".to_owned());
    let unchecked: Vec<&str> = UNITS
        .iter()
        .filter(|unit| (unit.factor - 1.0).abs() > 1e-12)
        .filter(|unit| unit.dimension != Dimension::Temperature)
        .map(|unit| unit.symbol)
        .filter(|symbol| !checked.iter().any(|known| known == symbol))
        .collect();
    assert!(unchecked.is_empty(), "not checked: {unchecked:?}");
    let metre = find_unit("mH2O").expect("mH2O").factor;
    assert!((metre / find_unit("mmH2O").expect("mmH2O").factor - 1000.0).abs() < 1e-9);
}

/// NIST SP 811, B.8: t/°C = (t/°F − 32)/1.8 and T/K = t/°C + 273.15.
#[test]
fn temperatures_follow_the_formulas_of_nist_sp_811() {
    for fahrenheit in [-459.67f64, -40.0, 0.0, 32.0, 98.6, 195.0, 212.0, 451.0] {
        let want = (fahrenheit - 32.0) / 1.8 + 273.15;
        let got = parse(Kind::Temperature, &format!("{fahrenheit} °F")).expect("a temperature");
        assert!((got - want).abs() < 1e-9, "{fahrenheit} °F: got {got} K, want {want} K");
        let step = parse(Kind::TemperatureDifference, &format!("{fahrenheit} °F")).expect("a step");
        assert!((step - fahrenheit / 1.8).abs() < 1e-9, "{fahrenheit} °F step: got {step} K");
    }
    let boiling = parse(Kind::Temperature, "100 °C").expect("a temperature");
    assert!((boiling - 373.15).abs() < 1e-12, "100 °C: got {boiling} K");
}

#[test]
fn no_unit_is_named_twice() {
    let mut seen: BTreeMap<&str, &str> = BTreeMap::new();
    for unit in UNITS {
        for name in std::iter::once(unit.symbol).chain(unit.aliases.iter().copied()) {
            let before = seen.insert(name, unit.symbol);
            assert!(before.is_none(), "{name} means {before:?} and {}", unit.symbol);
            let found = find_unit(name).map(|found| found.symbol);
            assert_eq!(found, Some(unit.symbol), "{name}");
        }
    }
}
