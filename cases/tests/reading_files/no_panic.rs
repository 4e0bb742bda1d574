//! Whatever stands in a text, the reader comes back with a value or with problems.

use std::collections::BTreeMap;

use crate::sample::Case;
use coolwright_cases::diagnostic::Problems;
use coolwright_cases::quantity::{Kind, parse};
use coolwright_cases::text::{self, Sources, Tree};
use proptest::prelude::*;
use ron::extensions::Extensions;
use serde::Deserialize;

const TEXT: &str = r#"Case(title: "Sled", air: "33 °C", cap: Some("15 psig"), runs: {
    "feed": Run(from: "c", to: "s", bore: "1-1/2 in", flow: "12 gpm", parts: {
        "tank": Tank(volume: "40 L", ice: "15 kg", stage: 2), // ice
        "hose": Hose(length: "3.1 m", bends: [(angle: "90°", radius: "90 mm", count: 2)],
            route: [("0 m", "0 m", "0.4 m")], loss: 0.9),
        "pump": Pump(curve: "inline", count: Parallel(2), check_valves: true, speed: 1.5e3),
        "end": Plug /* here */ }) },
    changes: [("feed:bore", "40 mm")])"#;

const TOKENS: &[&str] = &[
    "(", ")", "[", "]", "{", "}", ",", ":", "=", "\"", "\"a\"", "\"1 in\"", "'", "'x'", "\\", "//",
    "/*", "*/", "\n", " ", "1", "-", "+", ".", "1.5", "1e999", "NaN", "inf", "r#\"", "\"#",
    "b\"x\"", "r#a", "#", "Case", "Run", "Tank", "Plug", "Some", "None", "true", "title", "runs",
    "bore", "..", "°", "\u{0}", "\u{FEFF}", "\u{301}", "é", "_", "0x1F", "1_000", "3u8",
];

/// Reads, and renders whatever came of it. A refusal must say where and why.
fn try_out(content: &str) -> Result<(), TestCaseError> {
    let mut sources = Sources::new();
    let file = sources.add("try.ron", content);
    let mut problems = Problems::new();
    let case: Option<Case> = text::read(&sources, file, &mut problems);
    prop_assert!(case.is_some() || problems.has_errors(), "no case and no word about it");
    for problem in problems.iter() {
        let span = problem.primary.0;
        prop_assert!(span.start <= span.end && span.end <= content.len(), "{problem:?}");
        prop_assert!(content.is_char_boundary(span.start) && content.is_char_boundary(span.end));
    }
    let output = problems.render(&sources, false);
    prop_assert!(output.len() < 60_000, "{} bytes of output", output.len());
    prop_assert_eq!(output.is_empty(), problems.is_empty());
    Ok(())
}

/// What the RON library takes, this parser takes as well, but for forms without use in a case.
fn agrees_with_the_library(content: &str) -> Result<(), TestCaseError> {
    if ron::value::RawValue::from_ron(content).is_err() {
        return Ok(());
    }
    let mut sources = Sources::new();
    let file = sources.add("try.ron", content);
    let mut problems = Problems::new();
    let tree = Tree::parse(&sources, file, &mut problems);
    // Also combining marks in bare names, which the library counts as letters.
    let left_out = ["\u{301}", "b\"", "br", "b'", "r#", "..", "\u{0}", "#!"];
    let expected = left_out.iter().any(|form| content.contains(form));
    prop_assert!(tree.is_some() || expected, "{}", problems.render(&sources, false));
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn any_bytes_are_survived(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        try_out(&String::from_utf8_lossy(&bytes))?;
    }

    #[test]
    fn any_text_is_survived(content in "\\PC*") {
        try_out(&content)?;
    }

    #[test]
    fn any_tokens_are_survived(tokens in prop::collection::vec(prop::sample::select(TOKENS), 0..60)) {
        let content = tokens.concat();
        try_out(&content)?;
        agrees_with_the_library(&content)?;
    }

    #[test]
    fn a_damaged_case_is_survived(
        damage in prop::collection::vec((0usize..1000, 0usize..12, prop::sample::select(TOKENS)), 1..5),
    ) {
        let mut content: Vec<char> = TEXT.chars().collect();
        for (at, length, token) in damage {
            let start = at % content.len();
            let end = (start + length).min(content.len());
            content.splice(start..end, token.chars());
        }
        let content: String = content.into_iter().collect();
        try_out(&content)?;
        agrees_with_the_library(&content)?;
    }

    #[test]
    fn any_quantity_is_finite_or_refused(
        number in prop_oneof!["\\PC{0,12}", "[-+0-9.,eE/ ½]{1,8}", any::<f64>().prop_map(|x| x.to_string())],
        unit in prop_oneof!["\\PC{0,8}", "(mm|in|gpm|psig|°F|%|W/\\(m2 K\\)|kPa abs)"],
        kind in prop::sample::select(&Kind::ALL[..]),
    ) {
        if let Ok(si) = parse(kind, &format!("{number} {unit}")) {
            prop_assert!(si.is_finite() && si.abs() <= 1e15, "{number} {unit} gave {si}");
        }
    }
}

#[derive(Debug, PartialEq, Deserialize)]
struct Plain {
    numbers: Vec<(f64, i32)>,
    texts: BTreeMap<String, Option<String>>,
    shape: Shape,
    nested: Option<Box<Plain>>,
    nothing: (),
    marker: Unit,
    sign: char,
}

#[derive(Debug, PartialEq, Deserialize)]
struct Unit;

#[derive(Debug, PartialEq, Deserialize)]
enum Shape {
    Point,
    Wrapped(Vec<u8>),
    Pair(u8, bool),
    Named { left: u64, right: i8 },
}

/// The RON library, version 0.12, is the reference for what a text means.
#[test]
fn values_are_those_of_the_ron_library() {
    let texts = [
        r##"Plain(numbers: [(1, 2), (-1.5e3, -7), (.5, 0x1F), (+2., 1_000)], texts: {"a": "b\n\u{e9}\"", "c": None, "d": Some("e"), r#"f"g"#: r"\h"}, shape: Point, nothing: (), marker: Unit, sign: '\'')"##,
        "/* a /* b */ */ (numbers: [], texts: {}, shape: Wrapped([1, 2,],), nested: (numbers: [(1, 1)], texts: {}, shape: Pair(3, true), nothing: (), marker: Unit, sign: 'x', ), nothing: (), marker: Unit, sign: 'é') // end",
        "Plain ( numbers : [ ] , texts : { } , shape : Named ( left : 18446744073709551615 , right : -128 ) , nothing : () , marker : Unit , sign : '\"' )",
    ];
    let options = ron::Options::default().with_default_extension(Extensions::IMPLICIT_SOME);
    for content in texts {
        let want: Plain = options.from_str(content).expect("the library reads it");
        let mut sources = Sources::new();
        let file = sources.add("plain.ron", content);
        let mut problems = Problems::new();
        let got: Option<Plain> = text::read(&sources, file, &mut problems);
        assert!(problems.is_empty(), "{}", problems.render(&sources, false));
        assert_eq!(got, Some(want), "{content}");
    }
}
