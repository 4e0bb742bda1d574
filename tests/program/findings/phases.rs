//! What phases do.

use coolwright::study::Severity;

use super::{LOOP, beside, has, of, one};

/// The loop with a duty.
fn with_duty(text: &str, duty: &str) -> String {
    text.replacen("Case(", &format!("Case(duty: Duty({duty}), "), 1)
}

#[test]
fn an_engine_at_speed_through_a_rest_is_told() {
    let subject = "engine at speed through a rest";
    let case = |rest: &str| {
        let curve = "pump_curves: { \"own\": PumpCurve(points: [(\"0 L/min\", \"60 kPa\"), (\"30 L/min\", \"45 kPa\"), (\"70 L/min\", \"0 kPa\")], at_speed: \"6000 rpm\") }, ";
        let pump = "\"pump\": Pump(curve: \"own\", driven_by: Engine(ratio: 1))";
        let text =
            LOOP.text().replace(LOOP.pump, pump).replacen("Case(", &format!("Case({curve}"), 1);
        with_duty(
            &text,
            &format!(
                "power: \"100 kW\", engine_speed: \"6000 rpm\", phases: {{ \"pull\": Phase(time: \"10 s\"), \"rest\": Phase(time: \"60 s\", {rest}) }}, repeat: 2"
            ),
        )
    };
    let finding = one(&case("power: \"2 %\""), subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    assert!(finding.beside);
    has(&finding.what, "at 6000 rpm in the phase `rest`");
    for quiet in ["power: \"2 %\", engine_speed: \"900 rpm\"", "power: \"10 %\""] {
        assert!(of(&case(quiet), subject).is_empty(), "{quiet}");
    }
}

/// A loop whose pump, or pumps, a phase stops.
fn stopping(pumps: &str, pull: &str) -> String {
    let duty = format!(
        "power: \"100 kW\", phases: {{ \"pull\": Phase(time: \"10 s\", {pull}) }}, repeat: 2"
    );
    with_duty(&LOOP.text().replacen("Pump(", &format!("Pump({pumps}"), 1), &duty)
}

/// It weighs as much as where a variant stops it.
#[test]
fn a_pump_that_a_phase_stops_under_power_is_told() {
    let subject = "all pumps stopped";
    let set = "set: [(\"rig/loop/pump:speed\", \"0 %\")]";
    for stops in ["pumps: \"0 %\"", set] {
        let finding = one(&stopping("", stops), subject);
        assert_eq!(finding.places, ["rig/loop/pump"]);
        assert_eq!(finding.severity, Severity::Serious);
        has(&finding.what, "in the phase `pull`, `rig/loop/pump` does not turn");
    }
    assert!(of(&stopping("", "pumps: \"50 %\""), subject).is_empty());
    // A tenth of the power: of a constant heat all still comes in, of a share of the power little.
    let idle = stopping("", "power: \"10 %\", pumps: \"0 %\"");
    assert_eq!(one(&idle, subject).severity, Severity::Serious);
    assert!(of(&idle.replace("heat: \"2 kW\"", "share: \"2 %\""), subject).is_empty());
}

/// One of two side by side: coolant runs back through it, which is serious; behind check valves it is only missing.
#[test]
fn one_of_two_pumps_that_a_phase_stops_is_told() {
    let stops = "set: [(\"rig/loop/pump/1:speed\", \"0 %\")]";
    let finding =
        one(&stopping("count: Parallel(2), ", stops), "short circuit through a stopped pump");
    assert_eq!((finding.severity, finding.beside), (Severity::Serious, false));
    has(&finding.what, "in the phase `pull`, ");
    let valves = stopping("count: Parallel(2), check_valves: true, ", stops);
    let finding = one(&valves, "pump stopped while heat comes in");
    assert_eq!((finding.severity, finding.beside), (Severity::Warning, true));
    has(&finding.what, "the phase `pull` stops `rig/loop/pump/1`");
}

/// On the road the wind stands in for the fan: 60 km/h.
#[test]
fn a_fan_that_a_phase_stops_under_power_is_told() {
    let subject = "fan stopped while heat comes in";
    let case = |pull: &str| {
        with_duty(
            &with_cores(["0.25 m2"; 2], FAN),
            &format!("power: \"100 kW\", phases: {{ \"pull\": Phase(time: \"10 s\", {pull}) }}"),
        )
    };
    let finding = one(&case("fans: \"0 %\""), subject);
    assert_eq!(finding.places, ["air_paths/nose/fan"]);
    for quiet in ["fans: \"50 %\"", "fans: \"0 %\", road_speed: \"60 km/h\""] {
        assert!(of(&case(quiet), subject).is_empty(), "{quiet}");
    }
}

/// Between both ends stands what the main way falls, 20 to 30 kPa: less than 50 kPa, more than 1 kPa.
#[test]
fn a_check_valve_that_the_pressure_does_not_open_is_told() {
    let case = |cracking: &str| {
        let valve = format!(
            "from: \"out\", to: \"back\", parts: {{ \"valve\": CheckValve(fall: \"60 kPa\", at: \"40 L/min\", cracking: \"{cracking}\"), \"plate_2\": Pass(cooler: \"plate_2\") }}"
        );
        let text = beside(&valve, "\"second\"", "");
        text.replace(
            "coolers: {",
            "coolers: { \"plate_2\": Cooler(heat: \"1 kW\", fall: (fall: \"20 kPa\", at: \"40 L/min\")),",
        )
    };
    let finding = one(&case("50 kPa"), "nothing flows");
    assert_eq!(finding.places, ["rig/second/plate_2"]);
    has(&finding.what, "`rig/second/valve` needs 50 kPa to open and has only 2");
    assert!(of(&case("1 kPa"), "nothing flows").is_empty());
}

/// Its curve is taken as H₀ (1 − (Q/Q₀)²), whose hydraulic power is highest at Q₀/√3: 0.3849 · 600 kPa · 0.7 m³/min/60
/// = 2694 W, over 40 % 6.74 kW, at 13.5 V 499 A.
#[test]
fn a_pump_of_a_power_out_of_practice_is_told() {
    let subject = "pump of a power out of practice";
    let large = "\"pump\": Pump(shut_off: \"600 kPa\", free_flow: \"700 L/min\")";
    let finding = one(&LOOP.text().replace(LOOP.pump, large), subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    has(&finding.what, "draws 6.74 kW and 499 A");
    has(&finding.remedy, "flow or pressure");
    // What it takes is told: no guess.
    let curve = "pump_curves: { \"own\": PumpCurve(points: [(\"0 L/min\", \"600 kPa\"), (\"300 L/min\", \"490 kPa\"), (\"700 L/min\", \"0 kPa\")], power: [\"7 kW\", \"7 kW\", \"7 kW\"]) }, ";
    let told = LOOP.text().replace(LOOP.pump, "\"pump\": Pump(curve: \"own\")");
    assert!(of(&told.replacen("Case(", &format!("Case({curve}"), 1), subject).is_empty());
    assert!(of(&LOOP.text(), subject).is_empty());
}

#[test]
fn heat_of_an_engine_out_of_practice_is_told() {
    let subject = "heat of an engine out of practice";
    let case = |heat: &str| {
        let jacket = format!("\"jacket\": Jacket(engine: \"v8\"), {}", LOOP.back);
        let engine = format!(
            "engines: {{ \"v8\": Engine({heat}fall: (fall: \"8 kPa\", at: \"50 L/min\")) }}, "
        );
        let text = LOOP.text().replace(LOOP.back, &jacket);
        with_duty(&text.replacen("Case(", &format!("Case({engine}"), 1), "power: \"20 kW\"")
    };
    for slip in ["share: \"4 %\", ", "share: \"130 %\", "] {
        assert_eq!(one(&case(slip), subject).places, ["engines/v8"]);
    }
    for usual in ["share: \"45 %\", ", "share: \"100 %\", ", "", "heat: \"500 W\", "] {
        assert!(of(&case(usual), subject).is_empty(), "{usual}");
    }
}

/// Twice 60 % of the power are 120 %, twice 40 % are 80 %.
#[test]
fn more_heat_than_power_is_told() {
    let subject = "more heat than there can be";
    let case = |share: &str| {
        let cooler =
            format!("Cooler(share: \"{share}\", fall: (fall: \"20 kPa\", at: \"40 L/min\"))");
        let both = format!("coolers: {{ \"plate\": {cooler}, \"motor\": {cooler} }}");
        let pass = format!("\"motor\": Pass(cooler: \"motor\"), {}", LOOP.back);
        let text = LOOP.text().replace(LOOP.back, &pass);
        let from = text.find("coolers:").expect("coolers");
        with_duty(&format!("{}{both})", &text[..from]), "power: \"20 kW\"")
    };
    let finding = one(&case("60 %"), subject);
    has(&finding.what, "120 % of the power");
    assert!(of(&case("40 %"), subject).is_empty());
}

/// 30 m³/s of some 1.2 kg/m³ are 36 kg/s.
#[test]
fn air_out_of_practice_is_told() {
    let subject = "air out of practice";
    let text = with_cores(["0.25 m2"; 2], FAN);
    let cores = of(&text.replace("air: \"1 kg/s\"", "air: \"40 kg/s\""), subject);
    let places: Vec<&String> = cores.iter().flat_map(|finding| &finding.places).collect();
    assert_eq!(places, ["cores/first", "cores/second"]);
    let fan = one(&text.replace("free_flow: \"1 m3/s\"", "free_flow: \"30 m3/s\""), subject);
    assert_eq!(fan.places, ["air_paths/nose/fan"]);
    has(&fan.what, "with 36");
    assert!(of(&text, subject).is_empty());
}

/// Some 35 to 40 L/min flow.
#[test]
fn a_required_suction_head_beyond_what_is_given_is_told() {
    let subject = "required suction head beyond what is given";
    let case = |to: &str| {
        let curve = format!(
            "pump_curves: {{ \"own\": PumpCurve(points: [(\"0 L/min\", \"60 kPa\"), (\"30 L/min\", \"45 kPa\"), (\"70 L/min\", \"0 kPa\")], npsh_required_at: [(\"5 L/min\", \"0.5 m\"), (\"10 L/min\", \"0.7 m\"), (\"{to}\", \"1 m\")]) }}, "
        );
        let text = LOOP.text().replace(LOOP.pump, "\"pump\": Pump(curve: \"own\")");
        text.replacen("Case(", &format!("Case({curve}"), 1)
    };
    let finding = one(&case("20 L/min"), subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    has(&finding.what, "from 5 L/min to 20 L/min");
    assert!(of(&case("60 L/min"), subject).is_empty());
}

/// The curve falls in a line from 60 kPa to 70 L/min, so between 10 and 60 L/min it gives more than
/// 10 L/min times 8.6 kPa, 1.4 W: with 1.2 W the pump would give more than it takes, with 100 W it does not.
#[test]
fn a_pump_that_gives_more_than_it_takes_is_serious() {
    let subject = "efficiency over 100 %";
    let case = |power: &str| {
        let curve = format!(
            "pump_curves: {{ \"own\": PumpCurve(points: [(\"0 L/min\", \"60 kPa\"), (\"1 L/min\", \"59.1 kPa\"), (\"70 L/min\", \"0 kPa\")], power: [\"{power}\", \"{power}\", \"{power}\"]) }}, "
        );
        let text = LOOP.text().replace(LOOP.pump, "\"pump\": Pump(curve: \"own\")");
        text.replacen("Case(", &format!("Case({curve}"), 1)
    };
    let finding = one(&case("1.2 W"), subject);
    assert_eq!(finding.places, ["rig/loop/pump"]);
    assert_eq!(finding.severity, Severity::Serious);
    has(&finding.what, "of what it takes");
    assert!(of(&case("100 W"), subject).is_empty());
}

/// The loop with two cores, one behind the other on the air side.
fn with_cores(faces: [&str; 2], fans: &str) -> String {
    let core = |face: &str| {
        format!(
            "Core(rated: (heat: \"10 kW\", coolant: \"40 L/min\", air: \"1 kg/s\", difference: \"40 K\"), face: \"{face}\")"
        )
    };
    let rest = format!(
        "cores: {{ \"first\": {}, \"second\": {} }}, air_paths: {{ \"nose\": AirPath(cores: [\"first\", \"second\"], fans: {{ {fans} }}) }},",
        core(faces[0]),
        core(faces[1])
    );
    let back = format!(
        "\"one\": CoreSide(core: \"first\"), \"two\": CoreSide(core: \"second\"), {}",
        LOOP.back
    );
    LOOP.text().replace(LOOP.back, &back).replacen("Case(", &format!("Case({rest} "), 1)
}

const FAN: &str = "\"fan\": Fan(shut_off: \"200 Pa\", free_flow: \"1 m3/s\")";

/// 0.2 of 0.25 m² are 20 % less, 0.24 of 0.25 m² only 4 %.
#[test]
fn cores_of_different_faces_are_told() {
    let subject = "cores of different faces";
    let finding = one(&with_cores(["0.2 m2", "0.25 m2"], FAN), subject);
    assert_eq!(finding.places, ["cores/first", "cores/second"]);
    assert_eq!(finding.severity, Severity::Warning);
    has(&finding.what, "in front of `cores/second`");
    assert!(of(&with_cores(["0.24 m2", "0.25 m2"], FAN), subject).is_empty());
}

#[test]
fn fans_that_stand_are_told() {
    let subject = "stopped fan";
    let still = "\"still\": Fan(shut_off: \"200 Pa\", free_flow: \"1 m3/s\", speed: \"0 %\")";
    let faces = ["0.25 m2"; 2];
    let alone = one(&with_cores(faces, still), subject);
    assert_eq!(alone.places, ["air_paths/nose/still"]);
    assert_eq!(alone.severity, Severity::Warning);
    has(&alone.what, "only the road");
    assert!(alone.beside);
    let beside = one(&with_cores(faces, &format!("{FAN}, {still}")), subject);
    assert_eq!(beside.places, ["air_paths/nose/still"]);
    has(&beside.what, "does not turn, and ");
    has(&beside.what, "from the others come back through");
    assert!(!beside.beside);
    assert!(of(&with_cores(faces, FAN), subject).is_empty());
}
