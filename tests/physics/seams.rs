//! The same pipework, however its parts are listed and cut into runs, has the same flow.

use crate::common::{at, near, solve};

/// Tank of 25 mm, pump and load without a bore of their own, hoses of 10 and 25 mm.
const PARTS: [&str; 5] = [
    r#""tank": Tank(volume: "10 L")"#,
    r#""thin": Hose(length: "2 m", bore: "10 mm")"#,
    r#""load": Resistance(fall: "10 kPa", at: "30 L/min", exponent: 2)"#,
    r#""pump": Pump(shut_off: "100 kPa", free_flow: "60 L/min")"#,
    r#""wide": Hose(length: "1 m", bore: "25 mm")"#,
];

/// Flow of the pump in a circuit of these runs, m³/s.
fn flow(runs: &str, pump: &str) -> f64 {
    let results = solve(&format!(
        r#"Case(site: Site(air: "20 °C"), circuits: {{ "c": Circuit(coolant: Water, start: "20 °C", bore: "25 mm",
            runs: {{ {runs} }}) }})"#
    ));
    at(&results, pump)
}

/// The parts from one place on, round to it.
fn turned(first: usize) -> Vec<&'static str> {
    (0..PARTS.len()).map(|k| PARTS[(first + k) % PARTS.len()]).collect()
}

/// What has no bore of its own between two thin hoses stays in their bore, at the seam as within the list.
#[test]
fn what_has_no_bore_of_its_own_has_that_of_what_is_before_it() {
    let [tank, thin, load, pump, _] = PARTS;
    let again = thin.replace("thin", "again");
    let loops = [[tank, thin, load, &again, pump], [load, &again, pump, tank, thin]].map(|parts| {
        flow(&format!(r#""loop": Run(parts: {{ {} }})"#, parts.join(", ")), "c/loop/pump:flow")
    });
    near("seam before the load", loops[1], loops[0], 1e-9 * loops[0]);
}

#[test]
fn a_loop_has_one_flow_wherever_its_list_begins() {
    let of = |first: usize| {
        let parts = turned(first).join(", ");
        flow(&format!(r#""loop": Run(parts: {{ {parts} }})"#), "c/loop/pump:flow")
    };
    let want = of(0);
    for first in 1..PARTS.len() {
        near(&format!("from part {first}"), of(first), want, 1e-9 * want);
    }
}

/// Cut in two at every place, the second half in the direction of the flow or against it.
#[test]
fn a_loop_cut_into_two_runs_has_its_flow() {
    let all = PARTS.join(", ");
    let want = flow(&format!(r#""loop": Run(parts: {{ {all} }})"#), "c/loop/pump:flow");
    for first in 0..PARTS.len() {
        let parts = turned(first);
        for cut in 1..PARTS.len() {
            let (a, b) = (parts[..cut].join(", "), parts[cut..].join(", "));
            let runs = format!(
                r#""a": Run(from: "x", to: "y", parts: {{ {a} }}), "b": Run(from: "y", to: "x", parts: {{ {b} }})"#
            );
            let run = if a.contains("pump") { "a" } else { "b" };
            let got = flow(&runs, &format!("c/{run}/pump:flow"));
            near(&format!("from part {first}, cut behind {cut}"), got, want, 1e-9 * want);
        }
    }
    // A run that is told against the flow: thin, then wide, met from behind.
    let [tank, thin, load, pump, wide] = PARTS;
    let against = format!(
        r#""a": Run(from: "x", to: "y", parts: {{ {tank}, {thin}, {load}, {pump} }}),
           "b": Run(from: "x", to: "y", parts: {{ {wide} }})"#
    );
    near("against", flow(&against, "c/a/pump:flow"), want, 1e-9 * want);
}
