//! What pictures say of pressures, of liquids of which little is told, of gauges, and of what never comes to rest.

use coolwright::answer::drawing::Report;
use coolwright::ask::Case;
use coolwright::page::page;
use coolwright::pictures::limits::{LimitShown, every, limits};
use coolwright::pictures::{Pen, Picture, Pictures};
use coolwright::render::Style;
use coolwright::workers::Alone;
use coolwright_cases::quantity::UnitSystem;

const TEN_PORTS: &str = include_str!("ten_ports.ron");
const OIL: &str = include_str!("cases/dielectric_without_vapour.ron");

/// A radiator far too small: with everything kept up it boils, and in the cycle too where that is long enough.
const BOILS: &str = r#"Case(
    site: Site(air: "25 °C", altitude: "2500 m"),
    circuits: { "engine": Circuit(coolant: EthyleneGlycol(by_volume: "60 %"), start: "80 °C", bore: "38 mm", runs: {
        "loop": Run(parts: {
            "tank": Tank(volume: "8 L", air: "2 L", cap: Cap(opens: "100 kPa", vacuum: "5 kPa")),
            "pump": Pump(shut_off: "80 kPa", free_flow: "200 L/min"),
            "block": Jacket(engine: "groomer"),
            "upper": Hose(length: "1 m"),
            "core": CoreSide(core: "small"),
        }),
    }) },
    engines: { "groomer": Engine(share: "50 %", metal: Iron("300 kg"), fall: (fall: "40 kPa", at: "150 L/min")) },
    cores: { "small": Core(rated: (heat: "60 kW", coolant: "120 L/min", air: "2 kg/s", difference: "60 K"), air_fall: (fall: "150 Pa", at: "2 kg/s")) },
    air_paths: { "front": AirPath(cores: ["small"], fans: { "fan": Fan(shut_off: "300 Pa", free_flow: "6000 m3/h") }) },
    duty: Duty(power: "180 kW", phases: { "climb": Phase(time: "4 min"), "turn": Phase(time: "1 min", power: "20 %") }),
    limits: { "out": Limit(of: "engine/loop/block:out", max: "105 °C") },
)"#;

fn read(text: &str) -> Report {
    let mut none = |file: &str| Err(file.to_owned());
    let case = Case::read("case.ron", text, &mut none);
    let case = case.unwrap_or_else(|refusal| panic!("{}", refusal.text(&Style::SI)));
    let report = case.report(&[], &Alone);
    report.unwrap_or_else(|refusal| panic!("{}", refusal.text(&Style::SI)))
}

fn drawn(report: &Report) -> Pictures {
    Pictures::of(&Pen::of(UnitSystem::Si), report)
}

/// The texts of a picture that bear a class.
fn texts<'a>(picture: &'a Picture, class: &str) -> Vec<&'a str> {
    let texts = picture.body.0.split("<text").skip(1);
    let of = |piece: &'a str| {
        let (tag, rest) = piece.split_once('>')?;
        tag.contains(&format!("class=\"{class}\"")).then(|| rest.split("</text>").next())?
    };
    texts.filter_map(of).collect()
}

/// A pressure as a picture writes it, Pa.
fn pascal(text: &str) -> f64 {
    let text = text.replace('\u{2212}', "-");
    let (number, unit) = text.split_once(' ').unwrap_or((&text, "Pa"));
    let factor = match unit {
        "Pa" => 1.0,
        "kPa" => 1e3,
        other => panic!("{other} of {text}"),
    };
    factor * number.parse::<f64>().unwrap_or_else(|_| panic!("{text}"))
}

/// Along one way around the falls are what the pumps give. Ten ports side by side were once added up to more than that.
#[test]
fn a_budget_adds_no_falls_that_lie_side_by_side() {
    let report = read(TEN_PORTS);
    let pictures = drawn(&report);
    let [budget] = &pictures.budgets[..] else { panic!("{} budgets", pictures.budgets.len()) };
    let falls: Vec<f64> = texts(budget, "num").into_iter().map(pascal).collect();
    let lift = -falls.iter().copied().fold(0.0, f64::min);
    assert!(lift > 10e3, "{falls:?}");
    assert!((falls[0] + lift).abs() < 1e-9, "it begins at the pump: {falls:?}");
    let sum: f64 = falls.iter().sum();
    assert!(sum.abs() < 0.02 * lift, "{sum} of {falls:?}");
    let title = &budget.title[0].1;
    assert!(title.contains("along its main way"), "{title}");
    let foot = texts(budget, "unit").join(" ");
    assert!(foot.contains("between the same two joints: 9 more ways."), "{foot}");
    assert!(foot.contains("between the same two joints: bypass."), "{foot}");
    assert!(foot.contains("feed, radiator, delivery, port_"), "{foot}");
}

/// Where no vapour pressure is told nothing is drawn of it, and no limit that follows from it is kept.
#[test]
fn a_liquid_without_vapour_pressure_has_no_line_and_no_margin_of_it() {
    let report = read(OIL);
    let pictures = drawn(&report);
    let [circuit] = &pictures.circuits[..] else { panic!("{}", pictures.circuits.len()) };
    let drawing = &circuit.body.0;
    assert!(drawing.contains("its vapour pressure is not told"), "{drawing}");
    for never in ["least room", "boils\"", "line dashed", ">vapour<"] {
        assert!(!drawing.contains(never), "{never}: {drawing}");
    }
    let limits = every(&report.point);
    let open: Vec<&LimitShown> = limits
        .iter()
        .filter(|limit| limit.of.contains("margin") && limit.of.starts_with("oil"))
        .collect();
    let names: Vec<&str> = open.iter().map(|limit| limit.of.as_str()).collect();
    assert!(names.contains(&"oil/loop/pump:suction_margin"), "{names:?}");
    for limit in open.iter().filter(|limit| !limit.of.ends_with("freeze_margin")) {
        assert_eq!(limit.standing, "not_judged", "{}", limit.of);
    }
    let page = page(&report, UnitSystem::Metric);
    assert!(page.contains("so there is no margin over it"));
    let margin = page.split("margin at the inlet against boiling<td>").nth(1).expect("its row");
    assert!(margin.starts_with("no value here"), "{}", &margin[..80]);
}

/// A case with a limit on a thermometer that is off by 1.5 K of itself.
fn gauged(bound: &str) -> Report {
    let with = TEN_PORTS.replace(
        "limits: {",
        &format!(
            "gauges: {{ \"out\": Gauge(reads: Temperature, at: \"pack/feed/back\", error: \"1.5 K\") }},\n    limits: {{ \
             \"shown\": Limit(of: \"gauges/out:reading\", max: \"{bound}\"),"
        ),
    );
    read(&with)
}

/// What a gauge is off by of itself counts over a cycle as it does at a point: in the ±, and in what could turn a limit.
#[test]
fn a_limit_on_a_gauge_counts_its_own_error_over_a_cycle() {
    let shown = |report: &Report| {
        let cycle = report.cycle.as_ref().expect("a cycle");
        every(cycle).into_iter().find(|limit| limit.name == "shown").expect("the limit")
    };
    let far = shown(&gauged("140 °C"));
    let off = far.off.expect("its ±");
    assert!((1.5..3.0).contains(&off), "{off}");
    assert!(far.turns.is_none(), "{far:?}");
    let worst = far.si.expect("a value");
    let near = gauged(&format!("{} K", worst + 1.0));
    let limit = shown(&near);
    assert_eq!(limit.standing, "kept");
    let turns = format!("{:?}", limit.turns.expect("it could turn"));
    assert!(turns.contains("most of it what the gauge is off by of itself"), "{turns}");
}

/// What has no steady state with everything kept up, and comes through its cycle, is drawn where it is hottest in that.
#[test]
fn a_circuit_that_only_its_cycle_keeps_cool_is_drawn_where_it_is_hottest() {
    let pictures = drawn(&read(BOILS));
    let title = &pictures.circuits[0].title[0].1;
    assert!(title.contains("in `turn`, where it is hottest"), "{title}");
    assert!(texts(&pictures.circuits[0], "num").iter().any(|text| text.ends_with('K')), "{title}");
}

/// What boils in its cycle is drawn at the last moment before that, and says so.
#[test]
fn a_circuit_that_never_comes_to_rest_is_drawn_at_a_moment_of_its_cycle() {
    let report = read(&BOILS.replace("4 min", "40 min"));
    let pictures = drawn(&report);
    let title = &pictures.circuits[0].title[0].1;
    assert!(title.contains("it never comes to rest, so it is drawn"), "{title}");
    assert!(title.contains("in `climb`, just before it boils"), "{title}");
    assert!(texts(&pictures.circuits[0], "num").iter().any(|text| text.ends_with('K')), "{title}");
    let air = &pictures.air[0];
    assert!(air.title[0].1.contains("just before it boils"), "{:?}", air.title);
    assert!(!air.body.0.contains("no temperatures to show"));
}

/// The first screen tells what speaks against a point that holds, as the point itself does.
#[test]
fn the_first_screen_carries_what_the_point_leaves_open() {
    let report = read(TEN_PORTS);
    let page = page(&report, UnitSystem::Metric);
    let said = page.split("Everything kept up for good: ").nth(1).expect("it is said");
    let said = said.split("</p>").next().expect("it ends");
    let word = said.split("</strong>. ").nth(1).expect("the word, and what is behind it");
    assert!(word.contains("limits"), "{said}");
}

/// The bound against freezing leaves a little for rounding, which no picture tells.
#[test]
fn a_bound_reads_the_same_in_words_and_pictures() {
    let report = read(TEN_PORTS);
    for picture in drawn(&report).all() {
        assert!(
            !picture.body.0.contains("-0.01") && !picture.body.0.contains("\u{2212}0.01"),
            "{}",
            picture.name
        );
    }
}

/// Names longer than any sheet are cut on it, and none is lost or leaves it.
#[test]
fn long_names_are_cut_to_what_their_sheet_has_room_for() {
    let long = format!("port_with_{}", "a_very_long_name_".repeat(6));
    let text = TEN_PORTS.replace("\"hot\": Limit", &format!("\"{long}\": Limit"));
    let report = read(&text.replace("\"beside\": Variant", &format!("\"{long}\": Variant")));
    let pictures = drawn(&report);
    let cut = |picture: &Picture| {
        texts(picture, "name")
            .iter()
            .any(|text| text.starts_with("port_with_") && text.ends_with('\u{2026}'))
    };
    assert!(pictures.limits.iter().all(cut), "limits");
    // How each limit stands is never left out.
    let state = |class: &str| texts(&pictures.limits[0], class).len();
    let told = ["state kept", "state broken", "state open"].map(state).iter().sum::<usize>();
    assert_eq!(told, limits(report.judge()).len());
    assert!(pictures.variants.iter().all(cut), "variants");
    let page = page(&report, UnitSystem::Metric);
    assert!(page.contains(".limits li{display:grid;overflow-wrap:anywhere"));
}

/// On paper a picture is no higher than a sheet that lies, and what leads to it lies on that sheet too: no heading is left
/// alone at the foot of the one before.
#[test]
fn what_leads_to_a_picture_is_printed_with_it() {
    let page = page(&read(TEN_PORTS), UnitSystem::Metric);
    for rule in [
        ".sheet svg{max-width:100%;max-height:165mm",
        "figure.lying,.chapter:has(>figure.lying:first-of-type)>:is(h2,.key){page:lying}",
        ".chapter>.key{break-after:avoid}",
    ] {
        assert!(page.contains(rule), "{rule}");
    }
}
