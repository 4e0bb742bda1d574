//! The weather of the day, against the same weather written into the file.

use serde_json::Value;

use crate::demos::within;
use crate::levers::{number, of_text, printed, rows, sections};

/// The last step of the guide with its wide hose, which holds.
fn tender() -> String {
    let of_far = "\"far\": Run(from: \"spreader\", to: \"collector\", bore: \"16 mm\"";
    let guide = include_str!("../../cases/guide/6_duty_cycle.ron");
    assert_eq!(guide.matches(of_far).count(), 1);
    guide.replace(of_far, &of_far.replace("16 mm", "19 mm"))
}

fn bound<'a>(answer: &'a Value, address: &str) -> &'a Value {
    let found = rows(sections(answer, "bounds")[0]).iter();
    found.clone().find(|row| row["address"] == address).unwrap_or_else(|| panic!("no {address}"))
}

fn holds(text: &str) -> bool {
    of_text(text, &["cycle"], &[]).0 == 0
}

#[test]
fn every_bound_holds_in_the_file_and_a_little_beyond_it_fails() {
    let (code, day) = of_text(&tender(), &["day"], &[]);
    assert_eq!((code, day["verdict"].as_str()), (0, Some("holds")));
    let with = |was: &str, is: &str| {
        assert_eq!(tender().matches(was).count(), 1, "{was}");
        tender().replace(was, is)
    };
    let air = number(&bound(&day, "site:air")["bound"]).expect("an air");
    let of_air = |k: f64| with("air: \"30 °C\"", &format!("air: \"{k} K\""));
    assert!(holds(&of_air(air)) && !holds(&of_air(air + 0.5)), "{air} K");
    let start = number(&bound(&day, "engine:start")["bound"]).expect("a start");
    let of_start = |k: f64| with("start: \"80 °C\"", &format!("start: \"{k} K\""));
    assert!(holds(&of_start(start)) && !holds(&of_start(start + 0.5)), "{start} K");
    // Lengths are those of `cycle`.
    let (_, cycle) = of_text(&tender(), &["cycle"], &["--longest", "--rest"]);
    for row in rows(sections(&cycle, "lasting")[0]) {
        let name = row["phase"].as_str().expect("a phase");
        let told = number(&bound(&day, &format!("duty/{name}:time"))["bound"]);
        let is = number(&row["lasts"]);
        assert_eq!(told.map(f64::to_bits), is.map(f64::to_bits), "{name}");
    }
    let words = sections(&day, "verdict")[0]["says"][0]["text"].as_str().expect("words");
    assert!(words.contains("no limit is broken today; the decision is the crew's"), "{words}");
}

/// The weather given is the weather in the file: the same verdict, and in the table the same margin as `cycle` has, for
/// an air and a start.
#[test]
fn the_weather_of_the_day_is_that_of_a_file() {
    let weather = ["--air", "38 °C", "--altitude", "1500 m", "--humidity", "20 %"];
    let (code, day) = of_text(&tender(), &["day"], &weather);
    let site = "site: Site(air: \"30 °C\", altitude: \"200 m\")";
    let other = "site: Site(air: \"38 °C\", altitude: \"1500 m\", humidity: \"20 %\")";
    assert_eq!(tender().matches(site).count(), 1);
    let (told, cycle) = of_text(&tender().replace(site, other), &["cycle"], &[]);
    assert_eq!((code, &day["verdict"]), (told, &cycle["verdict"]));
    let table = rows(sections(&day, "table")[0]);
    assert_eq!(table.len(), 20);
    let first = &table[0];
    let [air, start] = ["air", "start"].map(|name| number(&first[name]).expect("a temperature"));
    within("coolest air of the table, K", air, 301.149, 301.151);
    let title = sections(&day, "table")[0]["title"]["text"].as_str().expect("a title");
    let was = if title.contains("`engine`") { "start: \"80 °C\"" } else { "start: \"30 °C\"" };
    let text = tender()
        .replace(site, &other.replace("38 °C", &format!("{air} K")))
        .replace(was, &format!("start: \"{start} K\""));
    let (code, cycle) = of_text(&text, &["cycle"], &[]);
    assert_eq!(first["holds"] == "true", code == 0);
    let limit = rows(sections(&cycle, "limits")[0]).iter();
    let limit = limit.clone().find(|row| row["limit"] == first["tightest"]).expect("the limit");
    let (told, is) = (number(&first["margin_value"]), number(&limit["margin_value"]));
    assert_eq!(told.map(f64::to_bits), is.map(f64::to_bits));
}

/// Of a case with ice: the least that holds, held against the file.
#[test]
fn ice_to_bring_is_the_least_that_holds() {
    let text = include_str!("../../cases/sled_tractor.ron");
    let (_, day) = of_text(text, &["day"], &[]);
    let least = number(&bound(&day, "charge/feed/tank:ice")["bound"]).expect("ice");
    let with = |kg: f64| text.replace("ice: \"15 kg\"", &format!("ice: \"{kg} kg\""));
    assert!(holds(&with(least)), "{least} kg");
    assert!(least < 0.1 || !holds(&with(least - 0.15)), "{least} kg");
}

#[test]
fn a_day_that_breaks_says_what_breaks_first() {
    let (code, day) = of_text(&tender(), &["day"], &["--air", "55 °C"]);
    assert_eq!((code, day["verdict"].as_str()), (1, Some("broken")));
    let words = sections(&day, "verdict")[0]["says"][0]["text"].as_str().expect("words");
    assert!(words.contains("breaks first") || words.contains("does not hold"), "{words}");
    assert!(words.contains("the decision is the crew's"), "{words}");
    // Today's air is beyond what holds.
    let air = bound(&day, "site:air");
    assert!(number(&air["bound"]).is_none_or(|k| k < 328.15), "{air:#}");
}

#[test]
fn the_same_bytes_come_from_one_thread_and_from_three() {
    let words = ["day", "cases/first.ron", "--units", "us", "--full"];
    assert_eq!(printed("1", &words), printed("3", &words));
}

#[test]
fn weather_that_cannot_be_is_refused() {
    for (words, hint) in [
        (&["--air", "40 kPa"][..], "`--air`: expected a temperature"),
        (&["--air", "80 °C"], "must lie between"),
        (&["--humidity", "40"], "`--humidity`"),
    ] {
        let said = printed("1", &[&["day", "cases/first.ron"], words].concat());
        let said = String::from_utf8(said).expect("text");
        assert!(said.contains(hint), "{words:?}: {said}");
    }
}
