//! A case that no other test knows: three circuits, a bridge whose flow reverses, stopped pumps.

use coolwright_models::results::Results;

use super::case;
use crate::common::{at, cycle, near, phases, point, read, read_variant, with};

fn solved(variant: Option<&str>, changes: &[(&str, f64)]) -> Results {
    let ready = read_variant(case("three_circuits"), variant);
    point(&ready.model, &with(&ready, changes)).results
}

/// Equal branches: nothing goes over the bridge. A bore that is scanned through that of the other
/// branch turns the flow of the bridge round, without a jump and always the same way.
#[test]
fn the_bridge_reverses_as_a_bore_goes_through_balance() {
    let ready = read(case("three_circuits"));
    let changes = |bore| {
        [
            ("bridged/upper_in/hose:bore", bore),
            ("coolers/motor:share", 0.04),
            ("coolers/inverter:share", 0.04),
        ]
    };
    let bridge = |bore: f64| {
        let results = point(&ready.model, &with(&ready, &changes(bore))).results;
        let pressure =
            at(&results, "bridged/upper:pressure") - at(&results, "bridged/lower:pressure");
        let flow = at(&results, "bridged/bridge:mass_flow");
        assert!(flow * pressure >= -1e-9, "flow {flow} goes down the pressure {pressure}");
        (flow, at(&results, "bridged/feed:mass_flow"))
    };
    let (balanced, through) = bridge(0.020);
    near("flow of the balanced bridge", balanced, 0.0, 1e-6 * through);
    let bores: Vec<f64> = (0..=200).map(|k| 0.018 + 0.004 * f64::from(k) / 200.0).collect();
    let flows: Vec<f64> = bores.iter().map(|&bore| bridge(bore).0).collect();
    assert!(flows[0] < -0.02 * through && flows[200] > 0.02 * through, "{flows:?}");
    let most = flows[200] - flows[0];
    for (bore, pair) in bores.iter().zip(flows.windows(2)) {
        let step = pair[1] - pair[0];
        assert!(
            step > 0.0,
            "a wider upper branch brings more over the bridge, at {bore} m: {pair:?}"
        );
        // Near balance a bridge in laminar flow answers most steeply; a jump would be all of it.
        assert!(step < 0.06 * most, "a jump at {bore} m: {pair:?} of {most}");
    }
}

/// Of two pumps in series one stops: the other pushes through it. The stopped one falls by
/// r Δ (Q/Q₀)², by 61 % of its shut-off pressure at its free flow where nothing is told, r the density over
/// that of water at 20 °C.
#[test]
fn a_stopped_pump_in_series_is_a_resistance() {
    let both = solved(None, &[]);
    let one = solved(None, &[("series/loop/pump/2:speed", 0.0)]);
    let flow = at(&one, "series/loop:flow");
    assert!(flow > 0.0 && flow < at(&both, "series/loop:flow"), "less than both: {flow}");
    let fall = at(&one, "series/loop/pump/2:fall");
    let through = at(&one, "series/loop/pump/2:flow") / (95.0 / 60e3);
    let ratio = at(&one, "series/loop:mass_flow") / at(&one, "series/loop:flow") / 998.2;
    near("fall of the stopped pump", fall, ratio * 0.61 * 75e3 * through * through, 1e-3 * fall);
    near("power of the stopped pump", at(&one, "series/loop/pump/2:power"), 0.0, 0.0);
    let head = at(&one, "series/loop/pump/1:head") - fall;
    near("head of the pair", at(&one, "series/loop/pump:head"), head, 1e-6 * head);
    // Its place does not matter: the first one stopped gives the same flow.
    let other = solved(None, &[("series/loop/pump/1:speed", 0.0)]);
    near("flow", at(&other, "series/loop:mass_flow"), at(&one, "series/loop:mass_flow"), 1e-4);
}

/// Of two pumps in parallel one stops. Its check valve holds: it leaks 1e-4 of its rated flow per
/// 100 kPa. Without valves the other pump feeds it backwards.
#[test]
fn a_stopped_pump_in_parallel_is_held_by_its_valve() {
    let stop = [("parallel/loop/pump/2:speed", 0.0)];
    let both = solved(None, &[]);
    let held = solved(None, &stop);
    let open = solved(Some("without_valves"), &stop);
    let flow = |results: &Results, unit: &str| at(results, &format!("parallel/loop/{unit}:flow"));
    near("equal pumps", flow(&both, "pump/1"), flow(&both, "pump/2"), 1e-9);

    let leak = -flow(&held, "pump/2");
    let valve = at(&held, "parallel/loop/pump/2/valve:fall");
    let rated = 0.6 * 80.0 / 60e3;
    assert!(valve < -1e3, "the valve holds a pressure: {valve} Pa");
    near("leak", leak, 1e-4 * rated * -valve / 1e5, 1e-3 * leak);
    assert!(leak < 1e-4 * flow(&held, "pump/1"), "the valve holds: {leak} m³/s");

    let back = -flow(&open, "pump/2");
    assert!(back > 0.2 * flow(&open, "pump/1"), "without valves it goes backwards: {back} m³/s");
    let through = back / (80.0 / 60e3);
    let ratio = at(&open, "parallel/loop:mass_flow") / at(&open, "parallel/loop:flow") / 998.2;
    let fall = ratio * 1.86 * 60e3 * through * through;
    near("fall", -at(&open, "parallel/loop/pump/2:fall"), fall, 1.0);
    let net = |results: &Results| flow(results, "pump/1") + flow(results, "pump/2");
    assert!(
        net(&both) > net(&held) && net(&held) > net(&open),
        "both, one with, one without valve"
    );
    near("flow of the group", flow(&open, "pump"), net(&open), 1e-9);
}

/// All of it at once, through a cycle: bridge out of balance, one pump of each pair stopped.
#[test]
fn the_case_goes_through_its_cycle_with_both_pumps_stopped() {
    for variant in [None, Some("without_valves")] {
        let ready = read_variant(case("three_circuits"), variant);
        let values = with(
            &ready,
            &[
                ("bridged/upper_in/hose:bore", 0.017),
                ("series/loop/pump/1:speed", 0.0),
                ("parallel/loop/pump/1:speed", 0.0),
            ],
        );
        let history = cycle(&ready.model, &values, &phases(&ready));
        assert!(history.boiled.is_none(), "nothing boils");
        point(&ready.model, &values);
    }
}
