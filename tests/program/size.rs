//! The value that just meets all limits, against the same value written into the file, and a textbook's question asked
//! the other way round.

use serde_json::Value;

use crate::demos::{ask, within};
use crate::levers::{number, of_text, printed, rows, sections};

/// The ranges that hold, SI.
fn ranges(answer: &Value) -> Vec<[f64; 2]> {
    let found = sections(answer, "ranges");
    let rows = found.into_iter().flat_map(rows);
    rows.map(|row| ["from", "to"].map(|end| number(&row[end]).expect("an end"))).collect()
}

/// The guide's fifth step with another bore of the far hose.
fn with_bore(bore_m: f64) -> String {
    let of_far = "\"far\": Run(from: \"spreader\", to: \"collector\", bore: \"16 mm\"";
    let guide = include_str!("../../cases/guide/5_variants.ron");
    assert_eq!(guide.matches(of_far).count(), 1);
    guide.replace(of_far, &of_far.replace("16 mm", &format!("{bore_m} m")))
}

#[test]
fn the_value_told_holds_in_the_file_and_a_little_beyond_it_breaks() {
    let holds = |bore_m: f64| of_text(&with_bore(bore_m), &["point"], &[]).0 == 0;
    let (code, answer) = ask(&["size", "cases/guide/5_variants.ron", "charge/far:bore"]);
    assert_eq!((code, answer["verdict"].as_str()), (0, Some("holds")));
    let found = ranges(&answer);
    let [[from, to]] = found[..] else { panic!("{found:?}") };
    assert!(holds(from) && !holds(0.999 * from), "{from} m");
    // So is the number that people read.
    let read = printed("1", &["size", "cases/guide/5_variants.ron", "charge/far:bore"]);
    let read = String::from_utf8(read).expect("text");
    let (_, told) = read.split_once("of at least ").expect("an edge");
    let told: f64 = told.split_once(" mm").expect("millimetres").0.parse().expect("a number");
    assert!(1e-3 * told >= from && holds(1e-3 * told), "{told} mm, {from} m");
    within("up to four times the bore, m", to, 0.063999, 0.064001);
    // With a margin on the split of 3 % a hose that is too wide fails too: a window, and both its ends hold.
    let words = ["size", "cases/guide/5_variants.ron", "charge/far:bore", "--margin", "3 %"];
    let (_, answer) = ask(&words);
    let found = ranges(&answer);
    let [[from, to]] = found[..] else { panic!("{found:?}") };
    let split = |bore_m: f64| {
        let (_, point) = of_text(&with_bore(bore_m), &["point"], &[]);
        crate::demos::result(&point, "coolers/charge_cooler:flow_ratio")
    };
    let most = 1.1 - 0.03 * 1.1;
    for (end, beyond) in [(from, 0.985 * from), (to, 1.015 * to)] {
        assert!(split(end) <= most, "{end} m");
        assert!(split(beyond) > most, "{beyond} m");
    }
}

/// Over a duty cycle, with something that no limit speaks of: the tractor's ice must be enough to be ready again.
#[test]
fn a_rest_that_makes_ready_counts_too() {
    let with_ice = |kg: f64| {
        let text = include_str!("../../cases/sled_tractor.ron");
        of_text(&text.replace("ice: \"15 kg\"", &format!("ice: \"{kg} kg\"")), &["cycle"], &[]).0
    };
    let words =
        ["size", "cases/sled_tractor.ron", "charge/feed/tank:ice", "--between", "8 kg", "16 kg"];
    let (code, answer) = ask(&words);
    let found = ranges(&answer);
    let [[from, _]] = found[..] else { panic!("{found:?}") };
    assert_eq!((code, with_ice(from), with_ice(0.98 * from)), (0, 0, 1), "{from} kg");
    let below = rows(sections(&answer, "ranges")[0])[0]["below"].to_string();
    assert!(below.contains("not ready"), "{below}");
}

/// Pumps in series and parallel (no source; by hand, as in `tests/reference/printed_pumps.csv`): a system of
/// 15 + 0.03 Q² and pumps of 20 − 0.08 Q² (m, L/s) give 6.74 L/s with one pump, 10.00 with two side by side and 11.47
/// with two one behind the other. Asked the other way round: what may the system resist for those flows? 3 m at 10 L/s,
/// which are 0.03 Q².
pub(crate) fn system(count: &str, flow: f64) -> String {
    // Water of 20 °C weighs 998.21 kg/m³ (IAPWS R12-08, at 101.325 kPa).
    let metre = 998.21 * 9.80665;
    let (lift, head, falls) = (15.0 * metre, 20.0 * metre / 1e3, 0.08 * metre / 1e3);
    format!(
        r#"Case(
    site: Site(air: "20 °C", altitude: "0 m"),
    circuits: {{ "water": Circuit(coolant: Water, start: "20 °C", bore: "100 mm", runs: {{
        "line": Run(from: "low", to: "high", parts: {{
            "pump": Pump(curve: "head"{count}),
            "system": Resistance(fall: "60 kPa", at: "10 L/s", exponent: 2, fluid: Water, fluid_temperature: "20 °C"),
        }}) }}, junctions: {{ "low": Open(pressure: "0 Pa", temperature: "20 °C"),
            "high": Open(pressure: "{lift} Pa", temperature: "20 °C") }}) }},
    pump_curves: {{ "head": PumpCurve(polynomial: Polynomial(rise: "kPa", flow: "L/s",
        coefficients: [{head}, 0, -{falls}], to: "15 L/s")) }},
    limits: {{ "flow": Limit(of: "water/line:flow", min: "{flow} L/s") }},
)"#
    )
}

#[test]
fn the_resistance_of_a_textbook_system_is_found_from_its_flows() {
    let wanted_kpa = 3.0 * 998.21 * 9.80665 / 1e3;
    for (count, flow) in [
        ("", (5.0_f64 / 0.11).sqrt()),
        (", count: Parallel(2)", (5.0_f64 / 0.05).sqrt()),
        (", count: Series(2)", (25.0_f64 / 0.19).sqrt()),
    ] {
        let text = system(count, flow);
        let (code, answer) = of_text(&text, &["size"], &["water/line/system:fall"]);
        let found = ranges(&answer);
        let [[_, most]] = found[..] else { panic!("{count}: {found:?}") };
        // What the edge is found within, and the last digit of the density: the fall is a tenth of what the pump lifts.
        let [least, largest] = [0.9995, 1.0005].map(|share| share * wanted_kpa);
        within(&format!("most fall, kPa{count}"), most / 1e3, least, largest);
        assert_eq!(code, 0);
        let with =
            |fall_pa: f64| text.replace("fall: \"60 kPa\"", &format!("fall: \"{fall_pa} Pa\""));
        let holds = |fall_pa: f64| of_text(&with(fall_pa), &["point"], &[]).0 == 0;
        assert!(holds(most) && !holds(1.001 * most), "{count}: {most} Pa");
    }
}

/// The first case: no bore gives its inverters their flow, as their own passes resist too much for its pump.
#[test]
fn where_no_value_holds_the_limit_in_the_way_is_named() {
    let (code, answer) = ask(&["size", "cases/first.ron", "drive/loop:bore", "--point"]);
    assert_eq!((code, answer["verdict"].as_str()), (1, Some("broken")));
    assert!(ranges(&answer).is_empty());
    let words =
        sections(&answer, "verdict")[0]["says"][0]["text"].as_str().expect("words").to_owned();
    assert!(
        words.contains("NO VALUE") && words.contains("no value mends inverter_flow"),
        "{words}"
    );
}

/// Whole numbers are tried as whole numbers, also where the file does not count: one fan.
#[test]
fn counts_stay_whole() {
    let words = ["size", "cases/first.ron", "air_paths/front/fan:count", "--point"];
    let (_, answer) = ask(&words);
    let tried: Vec<f64> = rows(sections(&answer, "tried")[0])
        .iter()
        .filter_map(|row| number(&row["value"]))
        .collect();
    assert_eq!(tried, [1.0, 2.0, 3.0, 4.0]);
}

#[test]
fn what_cannot_be_sized_is_refused_with_a_hint() {
    let guide = "cases/guide/5_variants.ron";
    for (words, hint) in [
        (&["charge/fer:bore"][..], "Did you mean `charge/far:bore`?"),
        (&["charge/far:bre"], "`charge/far` has: bore"),
        (&["duty/pull:time"], "`cycle --longest`"),
        (&["charge/far:bore", "cores/radiator:heat"], "cannot have one value"),
        (&["charge/far:bore", "--between", "1 mm", "banana"], "`--between`"),
        (&["charge/far:bore", "--between", "9 mm", "9 mm"], "two values that differ"),
        (&["charge/far:bore", "--margin", "3 L"], "no limit of the case can be kept by `3 L`"),
        (&["charge/far/hose:loss"], "give the least and the most with `--between`"),
    ] {
        let said =
            String::from_utf8(printed("1", &[&["size", guide], words].concat())).expect("text");
        assert!(said.contains(hint), "{words:?}: {said}");
    }
}
