//! Machines that stand, turn backwards or have another voltage.

use coolwright::study::Severity;

use super::{LOOP, Loop, PUMP, has, of, one, two_pumps};

#[test]
fn stopped_pumps_are_told_with_what_gets_no_coolant() {
    let stopped = "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\", speed: \"0 %\")";
    let finding = one(&Loop { pump: stopped, ..LOOP }.text(), "all pumps stopped");
    assert_eq!(finding.severity, Severity::Serious);
    has(&finding.what, "`rig/loop/plate` get no coolant");
    let two = format!(
        "{PUMP}, \"dead\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\", speed: \"0 %\")"
    );
    let text = LOOP.text().replace(LOOP.pump, &two);
    let finding = one(&text, "stopped pump in the way");
    assert_eq!(finding.places, ["rig/loop/dead"]);
    assert!(of(&LOOP.text(), "stopped pump in the way").is_empty());
}

#[test]
fn a_pump_that_turns_and_is_driven_backwards_is_serious() {
    let weak = "\"pump\": Pump(shut_off: \"10 kPa\", free_flow: \"60 L/min\")";
    let finding = one(&two_pumps(PUMP, weak), "pump driven backwards");
    assert_eq!(finding.severity, Severity::Serious);
    has(&finding.what, "is stronger");
    assert!(of(&two_pumps(PUMP, PUMP), "pump driven backwards").is_empty());
}

/// 12/16: 75 %.
#[test]
fn another_voltage_than_that_of_the_curve_is_told() {
    let subject = "another voltage than that of the curve";
    let slow =
        "\"pump\": Pump(shut_off: \"60 kPa\", free_flow: \"60 L/min\", rated_voltage: \"16 V\")";
    let text = Loop { pump: slow, ..LOOP }.text();
    let text = text.replacen("Case(", "Case(supply: Supply(voltage: \"12 V\"), ", 1);
    let finding = one(&text, subject);
    has(&finding.what, "it turns at 75 % of its speed");
    assert!(of(&LOOP.text(), subject).is_empty());
}
