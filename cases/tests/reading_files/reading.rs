//! What is well written is read as it was meant.

use crate::sample::{Arrangement, Case, Part};
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::quantity::{Count, Flow};
use coolwright_cases::text::{self, Edit, PathStep, Sources, Tree};

const TEXT: &str = r#"
// invented
Case(
    title: "Sled tractor",
    air: "33 °C",
    cap: Some("15 psig"),
    barometer: None,
    humidity: 0.5,
    runs: {
        "feed": Run(from: "collector", to: "spreader", bore: "1-1/2 in", flow: "12 gpm", parts: {
            "tank": Tank(volume: "40 L", ice: "15 kg"),
            "hose": Hose(length: "3.1 m", bends: [(angle: "90°", radius: "90 mm", count: 2)]),
            "pump": Pump(curve: "inline", count: Parallel(2), check_valves: true),
            "end": Plug,
        }),
        "back": Run(from: "spreader", to: "collector", bore: "32 mm", flow: "24 lb/min"),
    },
    changes: [("feed:bore", "40 mm"), ("feed/pump", Pump(curve: "big"))],
)
"#;

fn steps(path: &str) -> Vec<PathStep> {
    path.split('/').map(|name| PathStep::Name(name.to_owned())).collect()
}

#[test]
fn a_case_is_read_with_order_and_places() {
    let mut sources = Sources::new();
    let file = sources.add("tractor.ron", TEXT);
    let mut problems = Problems::new();
    let case: Option<Case> = text::read(&sources, file, &mut problems);
    assert!(problems.is_empty(), "{}", problems.render(&sources, false));
    let case = case.expect("no problems, so a case");
    assert_eq!(case.runs.names().collect::<Vec<_>>(), ["feed", "back"]);
    let feed = case.runs.get("feed").expect("feed");
    assert_eq!(sources.slice(feed.bore.span()), "\"1-1/2 in\"");
    assert!((feed.bore.si() - 0.0381).abs() < 1e-15);
    assert_eq!(sources.slice(feed.from.span), "\"collector\"");
    assert!(matches!(feed.flow, Some(Flow::Volume(_))));
    assert!(matches!(case.runs.get("back").and_then(|run| run.flow), Some(Flow::Mass(_))));
    assert_eq!(feed.parts.names().collect::<Vec<_>>(), ["tank", "hose", "pump", "end"]);
    assert!(matches!(feed.parts.get("tank"), Some(Part::Tank(tank)) if tank.ice.is_some()));
    assert!(matches!(
        feed.parts.get("pump"),
        Some(Part::Pump { count: Arrangement::Parallel(2), .. })
    ));
    assert_eq!(sources.slice(case.changes[1].1.span), "Pump(curve: \"big\")");
    assert!(case.barometer.is_none());
}

#[test]
fn edits_replace_add_and_remove() {
    let mut sources = Sources::new();
    let file = sources.add("tractor.ron", TEXT);
    let mut problems = Problems::new();
    let case: Case = text::read(&sources, file, &mut problems).expect("a case");
    let extra = sources.add("--set", "\"2 psi\"");
    let whole = coolwright_cases::text::Span::new(extra, 0, 7);
    let at = case.changes[0].0.span;
    let edit = |path: &str, value| Edit { path: steps(path), at, value };
    let edits = [
        edit("runs/feed/bore", Some(case.changes[0].1.span)),
        edit("runs/feed/parts/pump", Some(case.changes[1].1.span)),
        edit("runs/feed/parts/tank/stage", None),
        edit("runs/feed/parts/hose", None),
        edit("cap", Some(whole)),
    ];
    let changed: Option<Case> = text::read_with_edits(&sources, file, &edits, &mut problems);
    // `stage` is not there, so it cannot be removed: one problem, and all else is done.
    assert_eq!(problems.error_count(), 1, "{}", problems.render(&sources, false));
    let changed = changed.expect("a case");
    let feed = changed.runs.get("feed").expect("feed");
    assert!((feed.bore.si() - 0.040).abs() < 1e-15);
    assert_eq!(feed.parts.names().collect::<Vec<_>>(), ["tank", "pump", "end"]);
    assert!(matches!(feed.parts.get("pump"), Some(Part::Pump { curve, .. }) if curve == "big"));
    assert_eq!(changed.cap.map(|cap| cap.span().file), Some(extra));
}

#[test]
fn a_problem_in_a_replacement_points_at_the_replacement() {
    let mut sources = Sources::new();
    let file = sources.add("tractor.ron", TEXT);
    let extra = sources.add("--set bore", "\"12 gpm\"");
    let whole = coolwright_cases::text::Span::new(extra, 0, 8);
    let edit = Edit { path: steps("runs/feed/bore"), at: whole, value: Some(whole) };
    let mut problems = Problems::new();
    let _: Option<Case> = text::read_with_edits(&sources, file, &[edit], &mut problems);
    assert_eq!(problems.iter().map(|p| p.primary.0).collect::<Vec<_>>(), [whole]);
}

#[test]
fn included_files_join_maps_and_report_doubled_names_with_both_files() {
    let mut sources = Sources::new();
    let file = sources.add("tractor.ron", TEXT);
    let parts = sources.add(
        "parts.ron",
        "Parts(runs: {\"feed\": Run(from: \"a\", to: \"b\", bore: \"1 in\"), \"more\": Run(from: \"a\", to: \"b\", bore: \"1 in\")})",
    );
    let mut problems = Problems::new();
    let mut tree = Tree::parse(&sources, file, &mut problems).expect("a tree");
    let other = Tree::parse(&sources, parts, &mut problems).expect("a tree");
    tree.absorb(other, &mut problems);
    let case: Case = tree.read(&mut problems).expect("a case");
    assert_eq!(case.runs.names().collect::<Vec<_>>(), ["feed", "back", "more"]);
    let problem = problems.iter().next().expect("feed is doubled");
    assert_eq!((problem.primary.0.file, problem.secondary[0].0.file), (parts, file));
    assert_eq!(problems.len(), 1);
}

#[derive(Debug, serde::Deserialize)]
#[serde(try_from = "u8")]
struct Even;

impl TryFrom<u8> for Even {
    type Error = String;

    fn try_from(number: u8) -> Result<Self, String> {
        if number.is_multiple_of(2) { Ok(Self) } else { Err(format!("{number} is not even")) }
    }
}

#[derive(Debug, serde::Deserialize)]
#[expect(dead_code, reason = "only the problems are looked at")]
struct Strict {
    first: Even,
    second: Vec<Even>,
    third: (Even, Even),
    fourth: Even,
}

#[test]
fn what_a_type_refuses_does_not_hide_what_follows() {
    let mut sources = Sources::new();
    let text = "Strict(first: 1, second: [3, 4, 5, 7], third: (9, 11), fourth: 13)";
    let file = sources.add("strict.ron", text);
    let mut problems = Problems::new();
    let _: Option<Strict> = text::read(&sources, file, &mut problems);
    let found: Vec<&str> = problems.iter().map(|problem| problem.message.as_str()).collect();
    let wanted = ["1", "3", "5", "7", "9", "13"].map(|n| format!("{n} is not even"));
    // The 11 comes to light when the 9 before it is mended: a pair cannot go on without it.
    assert_eq!(found, wanted);
}

#[test]
fn edits_reach_into_lists_and_variants() {
    let mut sources = Sources::new();
    let file = sources.add("tractor.ron", TEXT);
    let extra = sources.add("--set", "\"45 deg\" 7 (angle: \"1 rad\", radius: \"1 m\")");
    let at = |start, end| coolwright_cases::text::Span::new(extra, start, end);
    let mut path = steps("runs/feed/parts/hose/bends");
    path.push(PathStep::Index(0));
    let bend = |name: &str| [&path[..], &[PathStep::Name(name.to_owned())]].concat();
    let mut second = path.clone();
    second[5] = PathStep::Index(1);
    let edits = [
        Edit { path: bend("angle"), at: at(0, 8), value: Some(at(0, 8)) },
        Edit { path: bend("count"), at: at(9, 10), value: Some(at(9, 10)) },
        Edit { path: second.clone(), at: at(0, 8), value: Some(at(11, 42)) },
    ];
    let mut problems = Problems::new();
    let mut tree = Tree::parse(&sources, file, &mut problems).expect("a tree");
    assert!(tree.contains(&path) && !tree.contains(&second));
    assert!(edits.iter().all(|edit| tree.apply(&sources, edit, &mut problems)));
    let case: Case = tree.read(&mut problems).expect("a case");
    assert!(problems.is_empty(), "{}", problems.render(&sources, false));
    let Some(Part::Hose { bends, .. }) = case.runs.get("feed").and_then(|r| r.parts.get("hose"))
    else {
        panic!("the hose is still there");
    };
    assert_eq!(bends.len(), 2);
    assert_eq!(bends[0].count.map(Count::get), Some(7));
    assert!((bends[0].angle.si() - std::f64::consts::FRAC_PI_4).abs() < 1e-15);
}
