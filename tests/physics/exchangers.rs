//! Exchangers between two liquids against the formulas of handbooks, and against themselves said otherwise.

use crate::common::{at, near, point, read, solve};

/// Two liquids, each in from outside and out again, through an exchanger rated at 60 L/min from 90 °C and 90 L/min from 20 °C.
fn bench(exchanger: &str, [first, second]: [f64; 2], liquids: [&str; 2], turned: bool) -> String {
    let ends = |flow: f64, warm: f64| {
        format!(
            r#"junctions: {{ "in": Open(flow: "{flow} L/min", temperature: "{warm} °C"), "out": Open(pressure: "300 kPa", temperature: "{warm} °C") }}"#
        )
    };
    let circuit = |name: &str, liquid: &str, side: &str, ends: String| {
        format!(
            r#""{name}": Circuit(coolant: {liquid}, start: "50 °C", bore: "30 mm", runs: {{ "line": Run(from: "in", to: "out", parts: {{ "x": ExchangerSide(exchanger: "x", side: {side}) }}) }}, {ends}),"#
        )
    };
    let mut circuits = [
        circuit("a", liquids[0], "First", ends(first, 90.0)),
        circuit("b", liquids[1], "Second", ends(second, 20.0)),
    ];
    if turned {
        circuits.reverse();
    }
    format!(
        r#"Case(site: Site(air: "20 °C"), circuits: {{ {} }}, exchangers: {{ "x": Exchanger({exchanger}) }})"#,
        circuits.concat()
    )
}

fn rated(heat: f64, more: &str) -> String {
    format!(
        r#"heat: "{heat} kW", first: LiquidSide(at: "60 L/min", entering: "90 °C", fluid: Water, fall: "20 kPa"), second: LiquidSide(at: "90 L/min", entering: "20 °C", fluid: Water, fall: "20 kPa"){more}"#
    )
}

/// At the flows and temperatures of its rating it passes on the rated heat, in whatever order the circuits stand. What its
/// pieces cost is what `EXCHANGER_CELLS` says of an uncut plate: with an effectiveness of 60 % half a percent, of 85 % less
/// than two.
#[test]
fn an_exchanger_meets_its_rating() {
    for (way, most) in [("", 0.85), (", way: ParallelFlow", 0.5)] {
        for share in [0.3, 0.7, 1.0] {
            // Capacity flows of water at 90 and 20 °C: some 4.06 and 6.26 kW/K, so 284 kW is the most.
            let heat = share * most * 284.0;
            for turned in [false, true] {
                let case = bench(&rated(heat, way), [60.0, 90.0], ["Water", "Water"], turned);
                let results = solve(&case);
                let got = at(&results, "exchangers/x:heat");
                let pieces = if share * most > 0.7 { 0.02 } else { 0.006 };
                near(&format!("{way} {heat} {turned}"), got, heat * 1e3, pieces * heat * 1e3);
                near("into the second", at(&results, "b/line/x:heat"), got, 1e-6 * got);
                near("out of the first", at(&results, "a/line/x:heat"), -got, 1e-6 * got);
            }
        }
    }
}

/// The effectiveness of counterflow and of parallel flow at its own conductance and flows, away from the rating: Kays & London,
/// Compact Heat Exchangers, ch. 2: ε = (1 − e^(−N(1 − R)))/(1 − R·e^(−N(1 − R))); (1 − e^(−N(1 + R)))/(1 + R).
#[test]
fn away_from_its_rating_it_follows_the_formulas() {
    for (way, counter) in [("", true), (", way: ParallelFlow", false)] {
        for heat in [60.0, 110.0] {
            for flows in [[20.0, 90.0], [60.0, 20.0], [100.0, 100.0], [15.0, 25.0]] {
                let case = bench(&rated(heat, way), flows, ["Water", "Water"], false);
                let results = solve(&case);
                let of = |address: &str| at(&results, address);
                let heat = of("exchangers/x:heat");
                let flow = |circuit: &str| {
                    let rise =
                        of(&format!("{circuit}/line/x:out")) - of(&format!("{circuit}/line/x:in"));
                    (heat / rise).abs()
                };
                let (a, b) = (flow("a"), flow("b"));
                let (least, ratio) = (a.min(b), a.min(b) / a.max(b));
                let n = of("exchangers/x:ua") / least;
                let effectiveness = if counter {
                    let e = (-n * (1.0 - ratio)).exp();
                    if (1.0 - ratio).abs() < 1e-3 {
                        n / (1.0 + n)
                    } else {
                        (1.0 - e) / (1.0 - ratio * e)
                    }
                } else {
                    (1.0 - (-n * (1.0 + ratio)).exp()) / (1.0 + ratio)
                };
                let want = effectiveness * least * 70.0;
                near(&format!("{way} {heat} {flows:?}"), heat, want, 0.012 * want);
            }
        }
    }
}

/// Oil against water: the film of the oil holds most of the resistance, and at half its flow the heat falls by more than at
/// half the flow of the water. The engine's oil is invented.
#[test]
fn the_film_of_an_oil_counts_for_most() {
    let oil = r#"Liquid("oil")"#;
    let liquids = r#"liquids: { "oil": Liquid(table: [
        (temperature: "20 °C", density: "870 kg/m3", heat_capacity: "1.9 kJ/(kg K)", viscosity: "200 mPas", conductivity: "0.14 W/(m K)"),
        (temperature: "120 °C", density: "810 kg/m3", heat_capacity: "2.3 kJ/(kg K)", viscosity: "8 mPas", conductivity: "0.13 W/(m K)")]) },"#;
    let exchanger = r#"heat: "20 kW", first: LiquidSide(at: "60 L/min", entering: "90 °C"), second: LiquidSide(at: "90 L/min", entering: "20 °C")"#;
    let heat = |flows: [f64; 2]| {
        let case = bench(exchanger, flows, [oil, "Water"], false);
        at(
            &solve(&case.replacen("circuits:", &format!("{liquids} circuits:"), 1)),
            "exchangers/x:heat",
        )
    };
    let (whole, less_oil, less_water) =
        (heat([60.0, 90.0]), heat([30.0, 90.0]), heat([60.0, 45.0]));
    near("at the rating, W", whole, 20e3, 100.0);
    assert!(less_oil < 0.75 * whole && less_water > 0.9 * whole, "{whole} {less_oil} {less_water}");
}

/// A closed circuit whose heat leaves through an exchanger alone comes to rest; one whose other side stands does not.
#[test]
fn an_exchanger_is_a_way_out() {
    let case = |flow: &str| {
        format!(
            r#"Case(site: Site(air: "20 °C"), circuits: {{
            "hot": Circuit(coolant: Water, start: "40 °C", bore: "30 mm", runs: {{ "loop": Run(parts: {{
                "tank": Tank(volume: "3 L"), "pump": Pump(shut_off: "80 kPa", free_flow: "150 L/min"),
                "heater": Pass(cooler: "heater"), "x": ExchangerSide(exchanger: "x", side: First) }}) }}),
            "lake": Circuit(coolant: Water, start: "20 °C", bore: "30 mm", runs: {{ "line": Run(from: "in", to: "out", parts: {{
                "x": ExchangerSide(exchanger: "x", side: Second) }}) }}, junctions: {{
                "in": Open({flow}, temperature: "20 °C"), "out": Open(pressure: "0 kPa", temperature: "20 °C") }}) }},
            coolers: {{ "heater": Cooler(heat: "30 kW", fall: Resistance(fall: "10 kPa", at: "60 L/min")) }},
            exchangers: {{ "x": Exchanger({}) }})"#,
            rated(80.0, "")
        )
    };
    let ready = read(&case(r#"flow: "60 L/min""#));
    let found = point(&ready.model, &ready.model.values);
    assert!(found.held.is_empty(), "{:?}", found.held);
    let heat = at(&found.results, "exchangers/x:heat");
    let pumps = at(&found.results, "hot/loop/pump:pump_heat");
    near("all heat passes, W", heat, 30e3 + pumps, 1.0);
    let ready = read(&case(r#"flow: "0 L/min""#));
    let found = point(&ready.model, &ready.model.values);
    assert!(
        found.held.iter().any(|held| held.circuit == 0),
        "nothing takes the heat: {:?}",
        found.held
    );
}
