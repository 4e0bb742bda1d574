//! Air in lanes side by side: cores in pieces, gaps, fans in series, and air that comes round again.

use crate::common::{at, near, solve};

/// A loop of 1.2 kg/s of half glycol at 90 °C through the pieces of a core, side by side or in turn.
fn pieces(in_turn: bool, shares: &[f64], lanes: &str) -> String {
    let name = |k: usize| format!("piece{k}");
    let part = |k: usize| format!(r#""{0}": CoreSide(core: "{0}")"#, name(k));
    let count = shares.len();
    let runs: Vec<String> = if in_turn {
        let parts: Vec<String> = (0..count).map(part).collect();
        vec![format!(r#""way": Run(from: "in", to: "out", parts: {{ {} }})"#, parts.join(", "))]
    } else {
        let run =
            |k| format!(r#""way{k}": Run(from: "split", to: "meet", parts: {{ {} }})"#, part(k));
        let ends = [("feed", "in", "split"), ("back", "meet", "out")];
        let ends = ends.map(|(name, from, to)| {
            format!(r#""{name}": Run(from: "{from}", to: "{to}", parts: {{ "hose": Hose(length: "0.2 m") }})"#)
        });
        (0..count).map(run).chain(ends).collect()
    };
    let joints = if in_turn { "" } else { r#""split": Joint(), "meet": Joint(),"# };
    let cut = if in_turn { ", cut: InTurn" } else { "" };
    let told = |(k, share): (usize, &f64)| {
        format!(r#""{}": Core(piece: (of: "whole", share: "{share} %"{cut}))"#, name(k))
    };
    let told: Vec<String> = shares.iter().enumerate().map(told).collect();
    case(&runs.join(", "), joints, &told.join(", "), lanes)
}

fn case(runs: &str, joints: &str, cores: &str, path: &str) -> String {
    format!(
        r#"Case(
            site: Site(air: "30 °C", altitude: "0 m", humidity: "0 %"),
            circuits: {{ "c": Circuit(coolant: EthyleneGlycol(by_volume: "50 %"), start: "90 °C", bore: "30 mm", runs: {{ {runs} }},
                junctions: {{ {joints} "in": Open(flow: "1.2 kg/s", temperature: "90 °C"), "out": Open(pressure: "50 kPa", temperature: "90 °C") }}) }},
            cores: {{ "whole": Core(rated: (heat: "60 kW", coolant: "1.2 kg/s", air: "1.5 kg/s", difference: "60 K"), face: "0.3 m2",
                air_fall: (fall: "150 Pa", at: "1.5 kg/s"), fall: (fall: "14 kPa", at: "70 L/min")), {cores} }},
            air_paths: {{ "front": AirPath({path}) }},
            duty: Duty(road_speed: "20 m/s"),
        )"#
    )
}

const ONE: &str =
    r#""way": Run(from: "in", to: "out", parts: { "core": CoreSide(core: "whole") })"#;
const FAN: &str = r#"Fan(shut_off: "300 Pa", free_flow: "5000 m3/h")"#;

/// Pieces that meet the same air are the whole core: the same heat, air and falls, however it is cut.
#[test]
fn pieces_in_the_same_air_are_the_whole_core() {
    let fans = format!(r#"fans: {{ "fan": {FAN} }}"#);
    let whole = solve(&case(ONE, "", "", &format!(r#"cores: ["whole"], {fans}"#)));
    for (in_turn, shares) in [(false, &[30.0, 45.0, 25.0][..]), (true, &[35.0, 65.0])] {
        let lanes: String = (0..shares.len())
            .map(|k| format!(r#""lane{k}": Lane(cores: ["piece{k}"]), "#))
            .collect();
        let cut = solve(&pieces(in_turn, shares, &format!("lanes: {{ {lanes} }}, {fans}")));
        let of = |k: usize, what: &str| at(&cut, &format!("cores/piece{k}:{what}"));
        let sum = |what: &str| (0..shares.len()).map(|k| of(k, what)).sum::<f64>();
        let heat = at(&whole, "cores/whole:heat");
        // In turn the liquid is taken in twenty cells, not in ten, and the air of the warmer piece is thinner.
        let within = if in_turn { 2e-3 } else { 1e-9 };
        near("heat, W", sum("heat"), heat, within * heat);
        near("UA, W/K", sum("ua"), at(&whole, "cores/whole:ua"), within * sum("ua"));
        let air = at(&whole, "air_paths/front:mass_flow");
        near("air, kg/s", at(&cut, "air_paths/front:mass_flow"), air, within * air);
        for (k, share) in shares.iter().enumerate() {
            let lane = at(&cut, &format!("air_paths/front/lane{k}:mass_flow"));
            let close = if in_turn { 0.02 } else { 1e-9 };
            near("air of a lane, kg/s", lane, share * 0.01 * air, close * lane);
            near(
                "fall of the air, Pa",
                of(k, "air_fall"),
                at(&whole, "cores/whole:air_fall"),
                1e-2 * within.max(1e-6) * 150.0,
            );
            let velocity = at(&whole, "cores/whole:face_velocity");
            near("velocity, m/s", of(k, "face_velocity"), velocity, close * velocity);
        }
        if in_turn {
            let fall = at(&whole, "c/way/core:fall");
            let falls = at(&cut, "c/way/piece0:fall") + at(&cut, "c/way/piece1:fall");
            near("fall of the coolant, Pa", falls, fall, 2e-3 * fall);
        } else {
            for (k, share) in shares.iter().enumerate() {
                let flow = at(&cut, &format!("c/way{k}:mass_flow"));
                near("coolant of a piece, kg/s", flow, 0.012 * share, 1e-9);
            }
        }
    }
}

/// A core in front of one piece takes from that one only, and the whole gives less than in the open.
#[test]
fn a_core_in_front_of_a_piece_warms_its_air_alone() {
    let runs = r#""way": Run(from: "split", to: "meet", parts: { "low": CoreSide(core: "low") }),
        "beside": Run(from: "split", to: "meet", parts: { "high": CoreSide(core: "high") }),
        "first": Run(from: "in", to: "split", parts: { "ahead": CoreSide(core: "ahead") }),
        "back": Run(from: "meet", to: "out", parts: { "hose": Hose(length: "0.2 m") })"#;
    let cores = r#""low": Core(piece: (of: "whole", share: "40 %")), "high": Core(piece: (of: "whole")),
        "ahead": Core(rated: (heat: "20 kW", coolant: "1.2 kg/s", air: "0.6 kg/s", difference: "60 K"), air_fall: (fall: "60 Pa", at: "0.6 kg/s"))"#;
    let path = format!(
        r#"lanes: {{ "low": Lane(cores: ["ahead", "low"]), "high": Lane(cores: ["high"]) }}, fans: {{ "fan": {FAN} }}"#
    );
    let results = solve(&case(runs, r#""split": Joint(), "meet": Joint(),"#, cores, &path));
    let of = |address: &str| at(&results, address);
    near("air of the open piece, K", of("cores/high:air_in"), 303.15, 1e-9);
    near(
        "air behind the core in front, K",
        of("cores/low:air_in"),
        of("cores/ahead:air_out"),
        1e-9,
    );
    assert!(of("cores/low:air_in") > 303.15 + 15.0);
    // Both lanes begin in one space and end in one.
    let falls = of("cores/ahead:air_fall") + of("cores/low:air_fall");
    near("falls of both lanes, Pa", falls, of("cores/high:air_fall"), 1e-6 * falls);
    let heat = of("cores/low:heat") / of("cores/high:heat");
    assert!(heat < 0.5 * 0.4 / 0.6, "{heat}");
}

/// Through a gap goes Q = A √(2 Δp/(ζ ρ)), past the core; by sharp edges ζ = ((π + 2)/π)² (Kirchhoff 1869).
#[test]
fn a_gap_passes_what_its_edges_let_through() {
    let path = format!(
        r#"lanes: {{ "core": Lane(cores: ["whole"]), "gap": Lane(gap: "150 cm2") }}, fans: {{ "fan": {FAN} }}"#
    );
    let results = solve(&case(ONE, "", "", &path));
    let of = |address: &str| at(&results, address);
    let fall = of("cores/whole:air_fall");
    let density = 101_325.0 / (287.052_87 * 303.15);
    let sharp = ((std::f64::consts::PI + 2.0) / std::f64::consts::PI).powi(2);
    let want = 0.015 * (2.0 * fall / (sharp * density)).sqrt();
    near("m³/s through the gap", of("air_paths/front/gap:flow"), want, 2e-3 * want);
    near("Pa at the gap", of("air_paths/front/gap:ducts_fall"), fall, 1e-6 * fall);
    let both = of("air_paths/front/gap:mass_flow") + of("air_paths/front/core:mass_flow");
    near("kg/s", both, of("air_paths/front:mass_flow"), 1e-9);
}

/// One fan in front and one behind stand in series: their rises add up to what a single fan of twice the pressure gives
/// while the air is as dense at both: the one in front warms its air by some 0.3 K, which thins it by 0.1 %. The air of a lane with a fan of its own is that of the fan.
#[test]
fn fans_in_front_and_behind_stand_in_series() {
    // Next to no heat, so that the air is as dense in front as behind.
    let cold = |path: &str| {
        let text = case(ONE, "", "", path).replace("\"60 kW\"", "\"10 W\"");
        solve(&text)
    };
    let twice = FAN.replace("300 Pa", "600 Pa");
    let single = cold(&format!(r#"cores: ["whole"], fans: {{ "fan": {twice} }}"#));
    let ahead = FAN.replace("Fan(", "Fan(pushes: true, ");
    let both = cold(&format!(r#"cores: ["whole"], fans: {{ "fan": {FAN}, "ahead": {ahead} }}"#));
    let flow = at(&single, "air_paths/front:mass_flow");
    near("kg/s", at(&both, "air_paths/front:mass_flow"), flow, 1e-3 * flow);
    let rises =
        at(&both, "air_paths/front/fan:pressure") + at(&both, "air_paths/front/ahead:pressure");
    near("Pa", rises, at(&single, "air_paths/front/fan:pressure"), 0.2);
    let own = FAN.replace("Fan(", "Fan(lane: \"core\", ");
    let lanes = format!(
        r#"lanes: {{ "core": Lane(cores: ["whole"]), "gap": Lane(gap: "300 cm2") }}, fans: {{ "own": {own} }}"#
    );
    let results = cold(&lanes);
    let of = |address: &str| at(&results, address);
    near(
        "kg/s of the fan",
        of("air_paths/front/core:mass_flow"),
        of("air_paths/front/own:flow") * of("air_paths/front:mass_flow")
            / of("air_paths/front:flow"),
        1e-3,
    );
}

/// With the share s of what leaves in front again, the air in front is at `T + s (T_e − T)`, and the core warms it
/// from there to `T_e`.
#[test]
fn what_comes_round_again_is_as_warm_as_what_leaves() {
    for (share, path) in [
        (0.2, format!(r#"cores: ["whole"], recirculation: "20 %", fans: {{ "fan": {FAN} }}"#)),
        (0.35, r#"lanes: { "core": Lane(cores: ["whole"]), "gap": Lane(gap: "150 cm2") }, recirculation: "35 %""#.to_owned()),
    ] {
        let results = solve(&case(ONE, "", "", &path));
        let of = |address: &str| at(&results, address);
        let (front, flow) = (of("cores/whole:air_in"), of("air_paths/front:mass_flow"));
        // Dry air of some 330 K: 1.0065 kJ/(kg·K) (ISO 2533, ratio of 1.4 and R of 287.05 give 1.0047).
        // What a fan takes at 13.5 V warms the air too.
        let fan = results.get("air_paths/front/fan:current").unwrap_or(0.0) * 13.5;
        let leaves = front + (of("cores/whole:heat") + fan) / (flow * 1006.0);
        near("K in front", front, 303.15 + share * (leaves - 303.15), 0.02);
        assert!(front > 305.0, "{front}");
    }
}

/// A fan in the lane of the core, a gap beside it: what the fan blows out comes back through the gap, and mixes in front with what
/// is fresh, as warm as it left.
#[test]
fn what_comes_back_through_a_gap_is_as_warm_as_what_leaves() {
    let fan = FAN.replace("Fan(", "Fan(lane: \"core\", ");
    let path = |gap: &str| {
        let text = format!(
            r#"lanes: {{ "core": Lane(cores: ["whole"]), "gap": Lane(gap: "{gap}") }}, ram: "0 %", loss: (fall: "80 Pa", at: "1 kg/s"), fans: {{ "own": {fan} }}"#
        );
        solve(&case(ONE, "", "", &text))
    };
    let results = path("300 cm2");
    let of = |address: &str| at(&results, address);
    let (fresh, back) = (of("air_paths/front:mass_flow"), -of("air_paths/front/gap:mass_flow"));
    let (through, front) = (of("air_paths/front/core:mass_flow"), of("cores/whole:air_in"));
    near("kg/s", fresh + back, through, 1e-9);
    assert!(back > 0.1, "{back}");
    // The fan warms it by what it takes at 13.5 V, but for what stays behind next to rest: see the law.
    let slow = 0.05 * 1.2 * 5000.0 / 3600.0;
    let goes = through * through / (through * through + slow * slow);
    let fan = of("air_paths/front/own:current") * 13.5 * goes;
    let leaves = of("cores/whole:air_out") + fan / (through * 1006.0);
    near("K in front", front, (fresh * 303.15 + back * leaves) / through, 3e-6 * front);
    let heat = |gap: &str| at(&path(gap), "cores/whole:heat");
    assert!(heat("100 cm2") < heat("10 cm2") && heat("1000 cm2") < heat("100 cm2"));
}

/// A weak fan in one lane beside a strong one in another: its air turns round as it slows down, with a balance at each speed,
/// and the flow goes over without a jump.
#[test]
fn a_lane_turns_round_without_a_jump() {
    let flow = |percent: f64| {
        let fan = |lane: &str, speed: f64| {
            FAN.replace("Fan(", &format!("Fan(lane: \"{lane}\", speed: \"{speed} %\", "))
        };
        let path = format!(
            r#"lanes: {{ "lane0": Lane(cores: ["piece0"]), "lane1": Lane(cores: ["piece1"]) }}, ram: "0 %", fans: {{ "weak": {}, "strong": {} }}"#,
            fan("lane0", percent),
            fan("lane1", 100.0)
        );
        at(&solve(&pieces(false, &[40.0, 60.0], &path)), "air_paths/front/lane0:mass_flow")
    };
    let flows: Vec<f64> = (0..60).map(|k| flow(10.0 + 0.5 * f64::from(k))).collect();
    assert!(flows[0] < -0.02 && flows[59] > 0.05, "{flows:?}");
    for pair in flows.windows(2) {
        assert!(pair[1] > pair[0] && pair[1] - pair[0] < 0.03, "{pair:?}");
    }
}
