//! The demo cases against answers that come from outside the program: sums done by hand, written out
//! beside each, and bands of common practice. Nothing here was read off the program's own output.

use std::process::Command;

use serde_json::Value;

/// Runs the program on a demo case; its exit status and its answer as JSON.
pub(crate) fn ask(words: &[&str]) -> (i32, Value) {
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(words)
        .arg("--json")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    let text = String::from_utf8(output.stdout).expect("the answer is UTF-8");
    let code = output.status.code().expect("an exit status");
    let answer = serde_json::from_str(&text).unwrap_or_else(|error| {
        panic!("{words:?}: {error}: {}", String::from_utf8_lossy(&output.stderr))
    });
    (code, answer)
}

/// A number under `results` of an answer or of a column of `compare`, SI.
pub(crate) fn result(answer: &Value, address: &str) -> f64 {
    answer["results"][address]["value"].as_f64().unwrap_or_else(|| panic!("no {address}"))
}

/// The rows of the table in a section.
fn rows<'a>(answer: &'a Value, section: &str) -> &'a [Value] {
    let sections = answer["sections"].as_array().expect("sections");
    let found = sections.iter().find(|s| s["name"] == section);
    let table = &found.unwrap_or_else(|| panic!("no section {section}"))["tables"][0];
    table["rows"].as_array().unwrap_or_else(|| panic!("no table in {section}"))
}

/// A column of `compare`.
pub(crate) fn variant<'a>(answer: &'a Value, name: &str) -> &'a Value {
    let variants = answer["variants"].as_array().expect("variants");
    variants.iter().find(|v| v["name"] == name).unwrap_or_else(|| panic!("no variant {name}"))
}

pub(crate) fn within(what: &str, got: f64, low: f64, high: f64) {
    assert!((low..=high).contains(&got), "{what}: got {got}, wanted {low} to {high}");
}

/// The root of a falling function by halving.
pub(crate) fn root(mut low: f64, mut high: f64, falling: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if falling(middle) > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

pub(crate) const L_MIN: f64 = 1.0 / 60e3;

/// Fall of a smooth hose in kPa by Blasius, f = 0.316/Re^0.25, with loss coefficients for its bends
/// (0.2 for a smooth right angle of 1.5 bores: handbooks say 0.14 to 0.3).
pub(crate) fn hose_kpa(
    flow: f64,
    bore: f64,
    length: f64,
    bends: f64,
    density: f64,
    viscosity: f64,
) -> f64 {
    let velocity = flow * L_MIN / (std::f64::consts::FRAC_PI_4 * bore * bore);
    let reynolds = density * velocity * bore / viscosity;
    let friction = 0.316 / reynolds.powf(0.25) * length / bore;
    (friction + 0.2 * bends) * 0.5 * density * velocity * velocity / 1e3
}

/// How the pumps of the first case stand.
#[derive(Clone, Copy)]
enum Pumps {
    One,
    Behind,
    Beside,
}

/// First case, by hand: the flow in L/min at a density and a viscosity of its 50 % ethylene glycol by volume.
///
///   pumps     50 (1 − (Q/60)²), twice at one flow behind each other, at half the flow beside each other
///   inverters 18 (Q/15)^1.8, twice; motor 14 (Q/15)^1.8
///   core      12 (Q/30)^1.8    (the program's assumption: 12 kPa at its rated flow)
///   hoses     5.5 m of 19 mm with 8 right angles
///   tank      1.5 velocity heads
///
/// Heads and falls are rated with water at 20 °C, 998.2 kg/m³ and 1.002 mPa·s (IAPWS R7-97 and R12-08): a head in kPa
/// goes with ρ, and a fall of exponent 1.8 as Blasius has it, with ρ^0.8 μ^0.2.
fn first_case(pumps: Pumps, density: f64, viscosity: f64) -> f64 {
    let thicker = (density / 998.2_f64).powf(0.8) * (viscosity / 1.002e-3).powf(0.2);
    let label = |q: f64| 50.0 * (1.0 - (q / 60.0).powi(2));
    root(1.0, 59.0, |q| {
        let velocity = q * L_MIN / (std::f64::consts::FRAC_PI_4 * 0.019 * 0.019);
        let tank = 1.5 * 0.5 * density * velocity * velocity / 1e3;
        let parts = (18.0 + 18.0 + 14.0) * (q / 15.0).powf(1.8) + 12.0 * (q / 30.0).powf(1.8);
        let head = match pumps {
            Pumps::One => label(q),
            Pumps::Behind => 2.0 * label(q),
            Pumps::Beside => label(q / 2.0),
        };
        let hoses = hose_kpa(q, 0.019, 5.5, 8.0, density, viscosity);
        density / 998.2 * head - thicker * parts - tank - hoses
    })
}

const PUMPS: [(&str, Pumps); 3] =
    [("as it stands", Pumps::One), ("behind", Pumps::Behind), ("beside", Pumps::Beside)];

/// The first use of the program: what does a second pump do, behind the first or beside it? The inverters need
/// 14 L/min, least of all when the coolant is cold at the start, 30 °C: 1069 kg/m³ and 2.93 mPa·s (between 20 and
/// 40 °C of `tests/reference/fluids_ashrae_glycol.csv`, ASHRAE Handbook of Fundamentals 2001, chapter 21).
///
/// By hand 12.1, 17.3 and 12.3 L/min: the loop resists so much that one pump hardly gives more for half the flow.
#[test]
fn a_second_pump_helps_the_first_case_behind_and_not_beside() {
    let (code, answer) = ask(&["compare", "cases/first.ron"]);
    assert_eq!(code, 1, "two of them break a limit");
    for (name, pumps) in PUMPS {
        let flow = first_case(pumps, 1069.0, 2.93e-3);
        let column = variant(&answer, name);
        assert_eq!(column["verdict"], if flow >= 14.0 { "holds" } else { "broken" }, "{name}");
        let limits = column["limits"]["tables"][0]["rows"].as_array().expect("limits");
        let row = limits.iter().find(|row| row["address"] == "coolers/left_inverter:flow");
        let got = &row.expect("a limit on flow")["worst"]["value"];
        // Laws of friction and of bends differ by some 10 % of a tenth of the loop; the flow by less.
        let got = got.as_f64().expect("a flow") / L_MIN;
        within(&format!("{name}: least flow in L/min"), got, 0.98 * flow, 1.02 * flow);
    }
}

/// Warm at the mean of its duty, near 47 °C: 1060 kg/m³ and 1.90 mPa·s, between 40 and 60 °C of the same table.
#[test]
fn the_first_case_meets_its_pumps_where_the_sums_by_hand_do() {
    let (_, answer) = ask(&["compare", "cases/first.ron", "--point"]);
    for (name, pumps) in PUMPS {
        let flow = first_case(pumps, 1060.0, 1.90e-3);
        let column = variant(&answer, name);
        let got = result(column, "coolers/left_inverter:flow") / L_MIN;
        within(&format!("{name}: flow in L/min"), got, 0.98 * flow, 1.02 * flow);
        let (share, count) = match pumps {
            Pumps::One => (flow, 1.0),
            Pumps::Behind => (flow, 2.0),
            Pumps::Beside => (0.5 * flow, 1.0),
        };
        let head = count * 1.062 * 50.0 * (1.0 - (share / 60.0_f64).powi(2));
        let got = result(column, "drive/loop/pump:head") / 1e3;
        within(&format!("{name}: head in kPa"), got, 0.98 * head, 1.02 * head);
    }
    // A fan of 2600 m³/h behind a core: 45 to 65 % of free flow is planned with, more with a thin core (common
    // practice, no source).
    let air = result(variant(&answer, "as it stands"), "air_paths/front:flow") * 3600.0 / 2600.0;
    within("share of the fan's free flow", air, 0.45, 0.75);
}

/// Heat in and out of a cycle, J: bodies, and what the audit leaves open.
fn audit(answer: &Value) -> (f64, f64) {
    let rows = rows(answer, "heat");
    let phases = rows.iter().filter(|row| row["phase"] != "all");
    let sum = |name: &str| phases.clone().map(|p| p[name].as_f64().expect("a number")).sum::<f64>();
    (sum("in"), sum("open"))
}

/// Highest value of a result in a cycle.
fn peak(answer: &Value, address: &str) -> f64 {
    let peak = rows(answer, "peaks").iter().find(|row| row["address"] == address);
    let peak = &peak.unwrap_or_else(|| panic!("{address}"))["most"];
    peak["value"].as_f64().expect("a number")
}

/// First case: six pulls of 15 s at 9 % of 400 kW and six rests of 60 s at a fiftieth: 6 · (540 + 43.2) kJ.
///
/// In the mean 583.2 kJ in 75 s are 7.78 kW. The core, 17 kW at 40 K with more of both flows than here, takes 0.35 to
/// 0.43 kW/K of what its coolant is over the air, so that comes in with 18 to 22 K, and 13 L/min of 0.79 kW/K go out
/// 9.9 K colder: the feed is 8 to 12 K over the air in the mean. Some 10 L of coolant (36 kJ/K) and the metals (12 kg
/// of aluminium, 40 kg of iron: 29 kJ/K) rise by 8 K in a pull, half of it above the mean; 450 s are 2.8 times
/// 65 kJ/K over 0.4 kW/K, so some 6 % of the way is left: 40 to 47 °C, and a little for what is not yet mixed.
#[test]
fn the_first_cycle_counts_its_heat_and_keeps_its_feed_cool() {
    let (code, cycle) = ask(&["cycle", "cases/first.ron"]);
    assert_eq!(code, 1, "one pump gives too little flow");
    let (heat, open) = audit(&cycle);
    within("heat in, kJ", heat / 1e3, 3499.1, 3499.3);
    within("open, share", open.abs() / heat, 0.0, 2e-3);
    let feed = rows(&cycle, "limits").iter().find(|row| row["address"] == "drive/loop/left:in");
    let feed = feed.expect("a limit on the feed");
    assert_eq!(feed["standing"], "kept");
    within("feed, °C", feed["worst"]["value"].as_f64().expect("K") - 273.15, 40.0, 49.0);
}

/// Desert racer: 6 % of 640 kW at the mean of a lap (20 s · 100 % + 60 s · 26 % + 40 s · 9.5 % =
/// 39.4 s of full power) for 20 laps is 30.26 MJ in the pack, 43 K of 700 kJ/K if it were not cooled.
///
/// With the core at some 2.9 m/s, 2.5 kW/(K·m²) · 0.55 m² = 1.38 kW/K, the plates' films at about
/// 10 kW/K and half the coolant's rise (74 L/min: 4.6 kW/K) in the way, G = 1/(1/1.38 + 1/10 +
/// 1/(2 · 4.6)) = 1.07 kW/K; the core's figure is good to 15 %, so G is 0.93 to 1.20. Then
/// T = 45 + 12.6/G − (20 + 12.6/G) e^(−2400 G/700): 57.2 to 55.0 °C, and the last dune of 20 s adds
/// up to (38.4 − 12.6) · 20/700 = 0.7 K over the mean.
#[test]
fn the_desert_racer_keeps_its_pack_below_its_limit() {
    let (code, cycle) = ask(&["cycle", "cases/desert_racer.ron"]);
    assert_eq!(code, 0);
    assert_eq!(cycle["verdict"], "holds");
    let (heat, open) = audit(&cycle);
    let full_power_s = 20.0 * (20.0 + 60.0 * 0.26 + 40.0 * 0.095);
    let expected = 640e3 * full_power_s * (0.05 + 0.03 + 0.06);
    within("heat in over that by hand", heat / expected, 0.9999, 1.0001);
    within("open, share", open.abs() / heat, 0.0, 1e-3);
    // The hottest of six cells is 5/12 of the coolant's rise above the mean, which the sum by hand has.
    let mean = peak(&cycle, "coolers/pack:metal") - 5.0 / 12.0 * peak(&cycle, "coolers/pack:rise");
    within("pack, °C", mean - 273.15, 55.0, 57.9);
    let uncooled = 640e3 * full_power_s * 0.06 / 700e3;
    within("rise of the uncooled pack, K", uncooled, 42.5, 43.5);
}

/// The eight plates: a header of 25 mm carries 74 L/min at 2.5 m/s, 3.3 kPa of velocity head. A plate
/// falls by some 19 kPa at 9.3 L/min (Blasius, 2.4 m of 10 mm, with 3 heads of turns). If all of a
/// velocity head came on top at one end of either header, flows would differ by
/// √((19 + 2 · 3.3)/19) = 1.16; fed and drained at the same end, the two headers' gains partly
/// cancel.
#[test]
fn the_eight_plates_share_within_what_their_headers_can_do() {
    let (code, point) = ask(&["point", "cases/desert_racer.ron"]);
    assert_eq!(code, 0);
    within("spread", result(&point, "coolers/pack:flow_ratio"), 1.0, 1.16);
    let flows: Vec<f64> =
        (1..=8).map(|k| result(&point, &format!("pack/plate_{k}:mass_flow"))).collect();
    let sum: f64 = flows.iter().sum();
    let feed = result(&point, "pack/feed:mass_flow");
    within("plates over feed", sum / feed, 1.0 - 1e-9, 1.0 + 1e-9);
    // Shares are of mass, and add up to one.
    for (k, flow) in (1..=8).zip(&flows) {
        let share = result(&point, &format!("pack/plate_{k}/pass:share"));
        within("share of mass", share / (flow / sum), 1.0 - 1e-9, 1.0 + 1e-9);
    }
    // Blasius at 40 % glycol and 55 °C: 1042 kg/m³, 1.25 mPa·s (handbook tables, from memory).
    for k in 1..=8 {
        let flow = result(&point, &format!("pack/plate_{k}:flow")) / L_MIN;
        let velocity = flow * L_MIN / (std::f64::consts::FRAC_PI_4 * 1e-4);
        let turns = 3.0 * 0.5 * 1042.0 * velocity * velocity / 1e3;
        let by_hand = hose_kpa(flow, 0.010, 2.4, 0.0, 1042.0, 1.25e-3) + turns;
        let got = result(&point, &format!("pack/plate_{k}/pass:fall")) / 1e3;
        within(&format!("fall of plate {k}, kPa"), got, 0.93 * by_hand, 1.07 * by_hand);
    }
}

/// Drive loop by hand: n pumps of 90 (1 − (Q/130)²), inverters 32 (Q/80)², motors 42 (Q/80)², core
/// 9 (Q/80)^1.8, 9 m of 35 mm with 12 right angles, a tank of 1.5 heads; 50 % glycol at 68 °C:
/// 1047 kg/m³, 1.25 mPa·s (handbook tables, from memory). All rated falls and heads are those of water.
fn drive_loop(head: impl Fn(f64) -> f64) -> f64 {
    root(5.0, 129.0, |q| {
        let velocity = q * L_MIN / (std::f64::consts::FRAC_PI_4 * 0.035 * 0.035);
        let tank = 1.5 * 0.5 * 1047.0 * velocity * velocity / 1e3;
        let hoses = hose_kpa(q, 0.035, 9.0, 12.0, 1047.0, 1.25e-3);
        let rated = 74.0 * (q / 80.0_f64).powi(2) + 9.0 * (q / 80.0_f64).powf(1.8);
        1.049 * (head(q) - rated) - tank - hoses
    })
}

#[test]
fn the_desert_racer_needs_its_second_pump() {
    let (code, answer) = ask(&["compare", "cases/desert_racer.ron", "--point"]);
    assert_eq!(code, 1);
    let label = |q: f64| 90.0 * (1.0 - (q / 130.0_f64).powi(2));
    // Flow, and whether it is the 72 L/min that the inverters ask for.
    let cases: [(&str, f64); 3] = [
        ("as it stands", drive_loop(|q| 2.0 * label(q))),
        ("one_pump", drive_loop(label)),
        ("parallel", drive_loop(|q| label(q / 2.0) - 4.0 * (q / 156.0).powi(2))),
    ];
    for (name, flow) in cases {
        let column = variant(&answer, name);
        let got = result(column, "coolers/inverters:flow") / L_MIN;
        within(&format!("{name}: flow in L/min"), got, 0.96 * flow, 1.04 * flow);
        assert_eq!(column["verdict"], if flow >= 72.0 { "holds" } else { "broken" }, "{name}");
    }
    // A stopped pump in series is only a resistance: a little less than one pump alone.
    let flow = |name: &str| result(variant(&answer, name), "coolers/inverters:flow");
    assert!(flow("pump_2_stopped") < flow("one_pump"), "a stopped pump costs flow");
    assert!(flow("pump_2_stopped") > 0.85 * flow("one_pump"), "and is no plug");
    assert_eq!(variant(&answer, "mud")["verdict"], "broken", "mud takes the last margin");
}

/// The duty cycle is the judge where there is one: kept up, full power boils the engine of the sled
/// tractor whatever is changed about its charge cooling; in its pulls of 14 s it holds.
#[test]
fn variants_are_judged_by_the_duty_cycle() {
    let (code, usual) = ask(&["compare", "cases/sled_tractor.ron"]);
    let (_, cycle) = ask(&["compare", "cases/sled_tractor.ron", "--cycle"]);
    assert_eq!((code, &usual), (1, &cycle));
    assert_eq!(variant(&usual, "as it stands")["verdict"], "holds");
    let (code, kept_up) = ask(&["compare", "cases/sled_tractor.ron", "--point"]);
    assert_eq!(code, 1);
    for column in kept_up["variants"].as_array().expect("variants") {
        assert_eq!(column["verdict"], "broken", "{}", column["name"]);
    }
}

/// Sled tractor: a pull gives (148 + 330) kW · 14 s = 6.69 MJ.
///
/// Engine: 330 kW · 14 s = 4.62 MJ, of which the core takes some 45 kW · 14 s = 0.6 MJ away, into
/// 26 L · 1.02 · 3.78 kJ = 100 kJ/K of coolant, 29 of iron and 7 of core: 29 K on top of the mean of
/// the start, (100 · 60 + 29 · 70 + 7 · 60)/136 = 62 °C: 91 °C well mixed. The hottest coolant, before
/// it is mixed, is above that by at most a pass's rise of 16 K.
#[test]
fn the_sled_tractor_lives_on_storage() {
    let (code, cycle) = ask(&["cycle", "cases/sled_tractor.ron"]);
    assert_eq!(code, 0);
    let heat = rows(&cycle, "heat")[0]["in"].as_f64().expect("a number");
    within("heat of a pull, MJ", heat / 1e6, 6.691, 6.693);
    let (heat, open) = audit(&cycle);
    within("open, share", open.abs() / heat, 0.0, 1e-3);
    within("hottest engine coolant, °C", peak(&cycle, "engine:hottest") - 273.15, 88.0, 107.0);
    // 148 kW into 142 L/min of water is 14.9 K when steady; 14 s come close.
    within("charge rise, K", peak(&cycle, "coolers/charge_cooler:rise"), 12.0, 15.0);
    // 15 kg of ice leave 25 L in the tank; with some 8 L around it and 12.6 kJ/K of aluminium that is
    // C = 151 kJ/K. 3.9 m² of ice at 700 W/(m²·K) take 2.75 kW/K: with 148 kW and the 2 °C of the start,
    // T = 53.8 − 51.8 e^(−14/55) = 13.6 °C well mixed at the end of the pull, 12.7 °C some 4 s later.
    let water = "charge/feed/delivery:in";
    let (_, cycle) = ask(&["cycle", "cases/sled_tractor.ron", "--columns", water]);
    let rows = cycle["histories"]["rows"].as_array().expect("rows");
    let warmest = rows.iter().filter_map(|row| row[0].as_f64()).fold(f64::NEG_INFINITY, f64::max);
    within("water from the tank, °C", warmest - 273.15, 11.7, 14.0);
}

/// Two branches' worth of flow by one pump is not what the charge cooler needs: rise is heat over flow.
/// A loop this wide wants its pumps side by side: with 95 kPa and 120 L/min each, one behind the other
/// they run out near 120 L/min and cannot give what two in parallel do.
#[test]
fn the_sled_tractor_needs_its_pumps_side_by_side() {
    let (code, answer) = ask(&["compare", "cases/sled_tractor.ron", "--cycle"]);
    assert_eq!(code, 1);
    for (name, verdict) in [
        ("as it stands", "holds"),
        ("one_pump", "broken"),
        ("two_in_series", "broken"),
        ("no_ice", "broken"),
    ] {
        assert_eq!(variant(&answer, name)["verdict"], verdict, "{name}");
    }
    // Flows and heads of the start, kept up: the ice melts, so nothing is steady.
    let (_, answer) = ask(&["compare", "cases/sled_tractor.ron", "--point"]);
    let flow = |name: &str| result(variant(&answer, name), "charge/feed/pump:flow") / L_MIN;
    assert!(flow("two_in_series") < 120.0, "no more than a single pump's free flow");
    assert!(flow("as it stands") > 120.0);
    for name in ["as it stands", "one_pump", "two_in_series"] {
        // The head is that of the curve in the parts file, 95 (1 − (q/120)²) for each.
        let (share, count) = match name {
            "as it stands" => (flow(name) / 2.0, 1.0),
            "one_pump" => (flow(name), 1.0),
            _ => (flow(name), 2.0),
        };
        let head = count * 95.0 * (1.0 - (share / 120.0).powi(2));
        let got = result(variant(&answer, name), "charge/feed/pump:head") / 1e3;
        within(&format!("{name}: head, kPa"), got, 0.985 * head, 1.015 * head);
    }
}

/// Kept up, full power boils the engine: 330 kW through 0.38 m² · 1.9 to 2.5 kW/(K·m²) would be
/// 350 K above the air. From 62 °C well mixed, 100 + 29 + 7 = 136 kJ/K warm by (330 − q)/136 K/s with
/// 30 to 80 kW taken by the core: 70 K to the boiling point of some 132 °C under a cap of 110 kPa take
/// 32 to 38 s; the hottest coolant, up to 16 K above the mean, is there 0 to 8 s before.
#[test]
fn the_sled_tractor_has_no_steady_state_at_full_power() {
    let (code, point) = ask(&["point", "cases/sled_tractor.ron"]);
    assert_eq!(code, 1);
    assert_eq!(point["verdict"], "broken");
    let limits = rows(&point, "limits");
    let boils = limits.iter().find(|row| row["address"] == "engine:boil_margin").expect("a limit");
    assert_eq!(boils["standing"], "broken");
    within("boils after, s", boils["first_broken"].as_f64().expect("a time"), 24.0, 38.0);
    // What has no steady state has no temperature, whatever circuit it is in.
    for address in [
        "coolers/charge_cooler:rise",
        "engines/engine:metal",
        "engine:boil_margin",
        "charge:hottest",
    ] {
        assert!(point["results"][address]["value"].is_null(), "{address}");
    }
}

#[test]
fn every_demo_reads_and_can_be_checked() {
    for case in ["first", "desert_racer", "sled_tractor", "hill_climb_coupe"]
        .map(|name| format!("cases/{name}.ron"))
    {
        let case = case.as_str();
        assert_eq!(ask(&["check", case]).0, 0, "{case}");
    }
}

/// The coupe's charge air at 46 % of full power, by hand. First stage: ratio 1 + 0.55 · 0.46 = 1.253; 0.193 kg/s of 31 °C and 93.4 kPa are
/// 0.215 kg/s in the air of the map: 63.7 % at a ratio of 1.1, 69.5 % at 1.4, so 66.7 %: behind it 304.15 K · (1 + (1.253^0.2857 − 1)/0.667).
/// Second: ratio 1 + 0.68 · 0.46 = 1.313 at 72 %. 0.193 kg/s · 1.010 kJ/(kg·K) over the fall is the heat.
#[test]
fn the_coupe_breathes_cold_air() {
    let (_, point) = ask(&["point", "cases/hill_climb_coupe.ron"]);
    let of = |name: &str| result(&point, &format!("charge_air/intake/{name}"));
    let behind = |from_k: f64, ratio: f64, efficiency: f64| {
        from_k * (1.0 + (f64::powf(ratio, 0.2857) - 1.0) / efficiency)
    };
    let hot = behind(304.15, 1.253, 0.667);
    within("behind the first stage, K", of("low:out"), hot - 0.5, hot + 0.5);
    let hot = behind(of("high:in"), 1.313, 0.72);
    within("behind the second, K", of("high:out"), hot - 0.5, hot + 0.5);
    let heat = 0.42 * 0.46 * 1.010e3 * (of("cooler:in") - of("cooler:out"));
    within("heat over that by hand", of("cooler:heat") / heat, 0.99, 1.02);
    within("effectiveness", of("cooler:effectiveness"), 0.9, 0.98);
    within("manifold, °C", of("cooler:out") - 273.15, 40.0, 52.0);
    let (code, cycle) = ask(&["cycle", "cases/hill_climb_coupe.ron"]);
    assert_eq!((code, &cycle["verdict"]), (0, &Value::from("holds")));
    let (heat, open) = audit(&cycle);
    within("open, share", open.abs() / heat, 0.0, 1e-3);
}
