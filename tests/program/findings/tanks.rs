//! Tanks, and what hoses stand.

use coolwright::study::Severity;

use super::{LOOP, PUMP, has, of, one, two_pumps};

/// Two tanks at the ends of 20 m of hose: the one that does not hold the pressure stands above or below.
#[test]
fn an_open_tank_beside_the_one_that_holds_the_pressure_runs_over() {
    let subject = "open tanks under pressure";
    let text = two_pumps(PUMP, PUMP).replace(
        ", \"tank\": Tank(volume: \"5 L\") }) }) })",
        " }) }, junctions: { \"back\": Tank(volume: \"5 L\"), \"out\": Tank(volume: \"5 L\") }) })",
    );
    let finding = one(&text, subject);
    assert_eq!(finding.places, ["rig/out"]);
    assert!(of(&two_pumps(PUMP, PUMP), subject).is_empty());
}

/// With next to no flow the second tank has at its ports what the first holds, the pressure of the air, so its
/// surface 0.2 m higher has 998.2 · 9.80665 · 0.2 = 1958 Pa less; 0.03 m make 294 Pa.
#[test]
fn a_second_tank_in_a_run_has_the_pressure_of_its_place() {
    let subject = "open tanks under pressure";
    let case = |level: &str| {
        let slow = "\"pump\": Pump(shut_off: \"6 kPa\", free_flow: \"1 L/min\")";
        let far = format!("\"far\": Tank(volume: \"2 L\", level: \"{level}\"), {}", LOOP.suction);
        let text = LOOP.text().replace(LOOP.pump, slow).replace(LOOP.suction, &far);
        text.replace("pressure: \"50 kPa\"", "pressure: \"0 kPa\"")
    };
    let finding = one(&case("0.2 m"), subject);
    assert_eq!(finding.places, ["rig/loop/far"]);
    assert_eq!(finding.severity, Severity::Serious);
    has(&finding.what, "-1.96 kPa");
    has(&finding.why, "as full of coolant");
    assert!(of(&case("0.03 m"), subject).is_empty());
}

/// 5 L less 4.6 L of air are 0.4 L, 8 %; less 4.4 L, 12 %.
#[test]
fn a_tank_that_is_nearly_empty_is_told() {
    let subject = "tank nearly empty";
    let case = |air: &str| {
        let tank = format!("Tank(volume: \"5 L\", air: \"{air}\")");
        LOOP.text().replace("Tank(volume: \"5 L\")", &tank)
    };
    let finding = one(&case("4.6 L"), subject);
    assert_eq!(finding.places, ["rig/loop/tank"]);
    assert!(finding.beside);
    has(&finding.what, "only 0.4 L are coolant");
    assert!(of(&case("4.4 L"), subject).is_empty());
}

/// Behind the pump stands more than before it: there it is highest.
#[test]
fn more_pressure_than_hoses_stand_is_told() {
    let subject = "more pressure than hoses stand";
    let given = |pressure: &str| {
        LOOP.text().replace("pressure: \"50 kPa\"", &format!("pressure: \"{pressure}\""))
    };
    let finding = one(&given("290 kPa"), subject);
    assert!(["rig/loop/pump", "rig/loop/delivery"].contains(&finding.places[0].as_str()));
    assert!(finding.beside);
    has(&finding.why, "some 300 kPa gauge");
    assert!(of(&given("200 kPa"), subject).is_empty());
    let capped = |opens: &str| {
        let tank = format!("Tank(volume: \"5 L\", cap: Cap(opens: \"{opens}\"))");
        let text = LOOP.text().replace("Tank(volume: \"5 L\")", &tank);
        text.replace("pressure: \"50 kPa\",", "")
    };
    let finding = one(&capped("320 kPa"), subject);
    assert_eq!(finding.places, ["rig/loop/tank"]);
    has(&finding.what, "320 kPa gauge before its cap opens");
    assert!(of(&capped("100 kPa"), subject).is_empty());
}
