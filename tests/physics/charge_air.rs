//! Charge air against closed forms, printed examples, and itself said in other ways.

use coolwright_models::charge::{Gas, latent_heat};
use coolwright_models::fluids::{Air, water};
use coolwright_models::laws::compressor::compressed_k;

use crate::common::{at, near, solve};

const CASE: &str = include_str!("cases/charge_air.ron");

/// A charge cooler between coolant of a temperature that comes from outside and air of the site behind a
/// compressor.
fn bench(passes: &str, cooler: &str, stage: &str, site: &str) -> String {
    format!(
        r#"Case(
            site: Site({site}),
            circuits: {{ "c": Circuit(coolant: Water, start: "25 °C", bore: "30 mm", runs: {{
                {passes}
            }}, junctions: {{
                "in": Open(flow: "60 L/min", temperature: "25 °C"),
                "out": Open(pressure: "0 kPa", temperature: "25 °C"),
            }}) }},
            coolers: {{ "c": Cooler({cooler}fall: (fall: "10 kPa", at: "60 L/min")) }},
            charge_air: {{ "a": ChargeAir(flow: "0.6 kg/s", stages: {{
                "blower": Compressor(ratio: 2.4, efficiency: "71 %"),
                "cooler": ChargeCooler(cooler: "c", coolant: "60 L/min", coolant_in: "25 °C", {stage}),
            }}) }},
        )"#
    )
}

const ONE: &str = r#""r": Run(from: "in", to: "out", parts: { "p": Pass(cooler: "c") }),"#;
const IN_TURN: &str = r#""r": Run(from: "in", to: "out", parts: { "p": Pass(cooler: "c", pass: 1), "q": Pass(cooler: "c", pass: 2), "s": Pass(cooler: "c", pass: 3) }),"#;
const BESIDE: &str = r#""r": Run(from: "in", to: "out", parts: { "p": Pass(cooler: "c", pass: 1) }),
    "s": Run(from: "in", to: "out", parts: { "p": Pass(cooler: "c", pass: 2) }),
    "t": Run(from: "in", to: "out", parts: { "p": Pass(cooler: "c", pass: 3) }),"#;
const DRY: &str = r#"air: "25 °C", humidity: "0 %""#;

/// At the flows of its rating a cooler has the effectiveness told, however air and coolant meet and whoever
/// says how good its film is. The air is compressed so little that the coolant stays as warm as at the rating;
/// its heat capacity is counted at 100 °C in the rating: that is what is left of a difference.
#[test]
fn a_charge_cooler_meets_its_rating() {
    let three = "passes: 3, ";
    let film = r#"film: (conductance: "30 kW/K", at: "60 L/min", fluid_temperature: "25 °C"), "#;
    for (passes, cooler, way) in [
        (ONE, String::new(), "SideBySide"),
        (ONE, film.to_owned(), "SideBySide"),
        (BESIDE, three.to_owned(), "SideBySide"),
        (BESIDE, three.to_owned(), "FirstToLast"),
        (IN_TURN, three.to_owned(), "SideBySide"),
        (IN_TURN, three.to_owned(), "FirstToLast"),
        (IN_TURN, three.to_owned(), "LastToFirst"),
        (IN_TURN, format!("{three}{film}"), "LastToFirst"),
    ] {
        for told in [30.0, 60.0, 80.0] {
            let stage = format!("effectiveness: \"{told} %\", way: {way}");
            let text = bench(passes, &cooler, &stage, DRY).replace("ratio: 2.4", "ratio: 1.02");
            let results = solve(&text);
            let got = at(&results, "charge_air/a/cooler:effectiveness");
            near(&format!("{cooler} {way} {told} %"), got, told / 100.0, 2e-3);
        }
    }
}

/// Passes in turn against the coolant do more than along it, with the same metal and films.
#[test]
fn against_is_better_than_along() {
    let most = |way: &str| {
        let of = |told: f64| {
            let stage = format!("effectiveness: \"{told} %\", way: {way}");
            let text = bench(IN_TURN, "passes: 3, ", &stage, DRY);
            let mut sources = coolwright_cases::text::Sources::new();
            let mut problems = coolwright_cases::diagnostic::Problems::new();
            let file = sources.add("case.ron", text);
            let mut fetch = |_: &str| Err(String::new());
            let reading =
                coolwright_cases::case::Reading::new(&mut sources, file, &mut fetch, &mut problems);
            reading
                .and_then(|reading| reading.build(&mut problems))
                .is_some_and(|_| !problems.has_errors())
        };
        (1..100).map(f64::from).filter(|told| of(*told)).fold(0.0, f64::max)
    };
    let [across, along, against] = ["SideBySide", "FirstToLast", "LastToFirst"].map(most);
    assert!(along < against && across < against, "{along} {across} {against}");
    // C_a/C_c = 606/4150: an endless counterflow cooler of three passes reaches nearly all, one along
    // the coolant 1/(1 + R) of it (Kays & London, Compact Heat Exchangers, ch. 2).
    near("along", along, 100.0 / (1.0 + 606.0 / 4150.0), 1.5);
    assert!(against > 98.0, "{against}");
}

/// Çengel & Boles, Thermodynamics, 7th ed., example 7-14: air from 100 kPa and 12 °C to 800 kPa, 0.2 kg/s,
/// isentropic efficiency 80 %: 569.5 K and 58.0 kW (from memory), by tables of air with variable heat capacity.
#[test]
fn a_compressor_of_a_printed_example() {
    let air = Air::dry(100e3);
    let gas = Gas::<f64>::of(&air, 285.15).compressed(8.0, 0.80);
    near("temperature behind it", gas.temperature_k, 569.5, 1.0);
    let power = 0.2 * (air.enthalpy(gas.temperature_k) - air.enthalpy(285.15));
    near("power", power, 58.0e3, 0.2e3);
    // With a constant exponent it is the printed closed form.
    let closed = 300.0 * (1.0 + (2.0_f64.powf(0.4 / 1.4) - 1.0) / 0.7);
    near("closed form", compressed_k(300.0, 2.0, 0.7, |_| 0.4 / 1.4), closed, 1e-9);
}

/// Heat of condensing against enthalpies of saturated water and steam: IAPWS R7-97 at 0.01, 25, 50, 75 and
/// 100 °C gives 2500.9, 2441.7, 2381.9, 2320.6, 2256.4 kJ/kg (printed steam tables, from memory).
#[test]
fn the_heat_of_condensing_is_that_of_steam_tables() {
    for (celsius, want) in
        [(0.01, 2500.9), (25.0, 2441.7), (50.0, 2381.9), (75.0, 2320.6), (100.0, 2256.4)]
    {
        let got: f64 = latent_heat(273.15 + celsius) / 1e3;
        near(&format!("at {celsius} °C"), got, want, 0.003 * want);
    }
}

/// A cooler that brings the air next to the temperature of cold water leaves it next to saturated there: what
/// is condensed is what it holds too much, and the heat is that of both.
#[test]
fn moisture_condenses_as_far_as_the_air_can_hold_it() {
    let stage = r#"effectiveness: "98 %", coolant_share: "1 %", at: "0.6 kg/s", way: LastToFirst"#;
    let site = r#"air: "35 °C", humidity: "90 %""#;
    let results = solve(&bench(IN_TURN, "passes: 3, ", stage, site));
    let of = |address: &str| at(&results, address);
    let entering = 0.90 * water::saturation_pressure_pa(308.15);
    let ambient = of("site:air_pressure");
    let ratio = |vapour: f64, all: f64| 0.62198 * vapour / (all - vapour);
    let (before, pressure) = (ratio(entering, ambient), of("charge_air/a/cooler:pressure_in"));
    let behind = of("charge_air/a/cooler:out");
    let held = ratio(water::saturation_pressure_pa(behind), pressure);
    let dry = 0.6 / (1.0 + before);
    let most = dry * (before - held);
    let got = of("charge_air/a/cooler:condensed");
    // The air leaves a little drier than saturated at its own temperature: the metal is colder.
    assert!(got > 0.97 * most && got < 1.1 * most, "{got} of {most} kg/s");
    let heat = of("charge_air/a/cooler:heat");
    let entering_k = of("charge_air/a/cooler:in");
    let air = |t: f64| Air { pressure_pa: pressure, humidity_ratio: before }.enthalpy(t);
    let sensible = 0.6 * (air(entering_k) - air(behind));
    near("heat", heat, sensible + got * 2.44e6, 0.02 * heat);
    // And it ends in the coolant.
    near("into coolant", of("coolers/c:heat"), heat, 1e-3 * heat);
}

/// Dry air gives no water, and more moisture gives more heat.
#[test]
fn dry_air_condenses_nothing() {
    let of = |humidity: &str| {
        let site = format!("air: \"35 °C\", humidity: \"{humidity}\"");
        let results = solve(&bench(ONE, "", "effectiveness: \"70 %\"", &site));
        ["charge_air/a:condensed", "charge_air/a:heat"].map(|address| at(&results, address))
    };
    let [[none, dry], [some, moist]] = ["0 %", "100 %"].map(of);
    near("condensed of dry air", none, 0.0, 0.0);
    assert!(some > 1e-3 && moist > 1.05 * dry, "{some} kg/s, {moist} W of {dry} W");
}

/// Stage by stage the air leaves one as it enters the next; ratios multiply, falls are taken off; what the
/// coolers take is what their coolant gets.
#[test]
fn the_way_hangs_together() {
    let results = solve(CASE);
    let of = |address: &str| at(&results, address);
    let stages = ["filter", "low", "pipe", "inter", "high", "wind", "after", "trim"];
    for pair in stages.windows(2) {
        for (out, into) in [("out", "in"), ("pressure_out", "pressure_in")] {
            let [out, into] = [(pair[0], out), (pair[1], into)]
                .map(|(stage, name)| of(&format!("charge_air/intake/{stage}:{name}")));
            near(pair[1], into, out, 1e-9);
        }
    }
    let boosted =
        of("charge_air/intake/low:pressure_out") / of("charge_air/intake/low:pressure_in");
    near("ratio", boosted, 1.8, 1e-12);
    near("manifold", of("charge_air/intake:manifold"), of("charge_air/intake/trim:out"), 0.0);
    let coolers = ["inter", "after", "trim"];
    let given: f64 = coolers.iter().map(|c| of(&format!("charge_air/intake/{c}:heat"))).sum();
    near("heat", given, of("charge_air/intake:heat"), 1e-6);
    for cooler in coolers {
        let (into, got) = (
            of(&format!("charge_air/intake/{cooler}:heat")),
            of(&format!("coolers/{cooler}:heat")),
        );
        near(cooler, got, into, 1e-4 * into);
    }
}

/// A pipe that takes up heat brings the air towards that around it by e^(−G/C): a wall at one temperature (Kays &
/// London, Compact Heat Exchangers, ch. 2).
#[test]
fn a_pipe_soaks_as_a_closed_form_says() {
    let soaking = r#""pipe": Duct(soak: "60 W/K"), "cooler":"#;
    let text = bench(ONE, "", "effectiveness: \"70 %\"", DRY).replace("\"cooler\":", soaking);
    let results = solve(&text);
    let [hot, behind] = ["in", "out"].map(|end| at(&results, &format!("charge_air/a/pipe:{end}")));
    let capacity = 0.6 * Air::dry(101_325.0).heat_capacity(hot);
    let want = 298.15 + (hot - 298.15) * (-60.0 / capacity).exp();
    near("behind the pipe", behind, want, 1e-6);
    assert!(hot - behind > 5.0, "{hot} {behind}");
}

/// Half of full boost is half of what a ratio is above one.
#[test]
fn boost_scales_what_a_ratio_is_above_one() {
    let ratio = |duty: &str| {
        let text = bench(ONE, "", "effectiveness: \"70 %\"", DRY);
        let results = solve(&text.replace("coolers:", &format!("duty: Duty({duty}), coolers:")));
        at(&results, "charge_air/a/blower:pressure_out")
            / at(&results, "charge_air/a/blower:pressure_in")
    };
    near("told", ratio("power: \"100 kW\", boost: \"50 %\""), 1.7, 1e-12);
    near("with the power", ratio("power: \"100 kW\", point: \"25 %\""), 1.35, 1e-12);
}

/// A map that is the same everywhere is the efficiency that it tells; one that is not is met at its points, where its flows are
/// counted in the air that the compressor breathes.
#[test]
fn a_compressor_follows_its_map() {
    let behind = |compressor: &str| {
        let text = bench(ONE, "", r#"effectiveness: "70 %""#, DRY);
        let text = text.replace(r#"Compressor(ratio: 2.4, efficiency: "71 %")"#, compressor);
        at(&solve(&text), "charge_air/a/blower:out")
    };
    let flat = |percent: f64| {
        behind(&format!(
            r#"Compressor(ratio: 2.4, map: [(flow: "0.2 kg/s", ratio: 1.5, efficiency: "{percent} %"), (flow: "0.9 kg/s", ratio: 1.5, efficiency: "{percent} %"),
            (flow: "0.2 kg/s", ratio: 3, efficiency: "{percent} %"), (flow: "0.9 kg/s", ratio: 3, efficiency: "{percent} %")])"#
        ))
    };
    let told =
        |percent: f64| behind(&format!(r#"Compressor(ratio: 2.4, efficiency: "{percent} %")"#));
    near("71 % everywhere", flat(71.0), told(71.0), 1e-9);
    // 0.6 kg/s at 25 °C and sea level: half the way from 0.5 to 0.7 kg/s where the map counts in that air; at a ratio of 2.4
    // 60 % of the way from 1.5 to 3: 0.4·(60 + 70)/2 + 0.6·(70 + 80)/2 = 71 %.
    let map = r#"Compressor(ratio: 2.4, map_air: "25 °C", map_pressure: "101.325 kPa abs", map: [
        (flow: "0.5 kg/s", ratio: 1.5, efficiency: "60 %"), (flow: "0.7 kg/s", ratio: 1.5, efficiency: "70 %"),
        (flow: "0.5 kg/s", ratio: 3, efficiency: "70 %"), (flow: "0.7 kg/s", ratio: 3, efficiency: "80 %")])"#;
    near("between its points", behind(map), told(71.0), 1e-6);
}

/// A rating by heat is one by effectiveness: 0.6 kg/s of air from 120 °C that give 30 kW to coolant of 25 °C.
#[test]
fn a_charge_cooler_rated_by_its_heat() {
    let air = Air::dry(101_325.0);
    let mean = air.heat_capacity(393.15 - 0.5 * 30e3 / (0.6 * air.heat_capacity(393.15)));
    let percent = 100.0 * 30e3 / (0.6 * mean * 95.0);
    let heat = |stage: &str| {
        let text = bench(ONE, "", stage, DRY);
        at(&solve(&text), "coolers/c:heat")
    };
    let by_heat = heat(r#"heat: "30 kW", air_in: "120 °C""#);
    let by_share = heat(&format!(r#"effectiveness: "{percent} %""#));
    near("the same heat, W", by_heat, by_share, 1e-6 * by_share);
}
