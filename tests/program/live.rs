//! The solver as a page has it: the same entry that the page calls, asked here. What it says at once is what the program
//! says of the same change, and what stands in the page can be put into the case.

use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;

use coolwright::ask::{Case, Lengths, Moment, Question, Wanted};
use coolwright::live::Session;
use coolwright::page::{Solver, live_page};
use coolwright::render::{Style, json};
use coolwright::study::Slider;
use coolwright::workers::Alone;
use coolwright_cases::case::Change;
use coolwright_cases::quantity::{InUnit, Kind, UnitSystem, parse};
use serde_json::{Value as Json, json};

/// Numbers of both ways may differ by this share of themselves.
const LIKE: f64 = 1e-9;
/// The same between the ends of a cycle: where it keeps its moments for what assumptions could change, flows are settled there
/// once more, and go on from that. What settling leaves is far below what a step of the integration may be off by.
const ALONG: f64 = 1e-7;
const UNITS: [UnitSystem; 3] = [UnitSystem::Us, UnitSystem::Metric, UnitSystem::Si];

/// A demo case: what it is called, its texts, and the numbers that its page can move.
struct Demo {
    name: String,
    texts: Vec<(String, String)>,
    sliders: Vec<Slider>,
    page: String,
}

fn case(name: &str, texts: &[(String, String)]) -> Case {
    let mut fetch = |file: &str| {
        let found = texts.iter().find(|(known, _)| known == file);
        found.map(|(_, text)| text.clone()).ok_or_else(|| format!("no {file}"))
    };
    let case = Case::read(name, &texts[0].1, &mut fetch);
    case.unwrap_or_else(|refusal| panic!("{name}: {}", refusal.text(&Style::SI)))
}

/// Every demo case, with its page.
fn demos() -> &'static [Demo] {
    static DEMOS: OnceLock<Vec<Demo>> = OnceLock::new();
    DEMOS.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
        let read = |file: &str| std::fs::read_to_string(folder.join(file));
        let entries = std::fs::read_dir(&folder).expect("a folder");
        let files =
            entries.map(|entry| Path::new(&entry.expect("an entry").file_name()).to_owned());
        let files =
            files.filter(|file| file.extension().is_some_and(|extension| extension == "ron"));
        let mut names: Vec<String> = files.map(|file| file.display().to_string()).collect();
        names.sort();
        let mut demos = Vec::new();
        for name in names {
            let text = read(&name).expect("a text");
            // A file of parts is no case.
            if !text.contains("\nCase(") {
                continue;
            }
            let mut fetch = |file: &str| read(file).map_err(|error| error.to_string());
            let case = Case::read(&name, &text, &mut fetch).expect("it reads");
            let report = case.report(&[], &Alone).expect("it is solved");
            let sliders = case.sliders(Vec::new(), &report, &Alone).expect("it is solved");
            let texts: Vec<(String, String)> =
                case.texts().map(|(name, text)| (name.to_owned(), text.to_owned())).collect();
            let solver = Solver { packed: b"\x1f\x8b", texts: &texts, sliders: &sliders };
            let page = live_page(&report, UnitSystem::Metric, &solver);
            demos.push(Demo { name, texts, sliders, page });
        }
        assert!(demos.len() >= 5, "{} demo cases", demos.len());
        demos
    })
}

/// A slider moved by a share of the way from one end of its range to the other, as the page writes it.
fn change(slider: &Slider, share: f64) -> Vec<Change> {
    let [low, high] = slider.range;
    let si = low + share * (high - low);
    let text = if slider.kind == Kind::Count {
        format!("{}", si.round())
    } else {
        let unit = InUnit::suited(slider.kind, slider.now, UnitSystem::Metric);
        quoted(&format!("{:.4}", unit.number(si)), unit.symbol)
    };
    slider.addresses.iter().map(|address| Change::text(address, &text)).collect()
}

fn quoted(number: &str, symbol: &str) -> String {
    if symbol.is_empty() { number.to_owned() } else { format!("\"{number} {symbol}\"") }
}

fn pairs(changes: &[Change]) -> Json {
    changes.iter().map(|change| json!([change.address, change.text])).collect()
}

fn opened(demo: &Demo) -> Session {
    let mut session = Session::default();
    let request = json!({ "do": "open", "texts": demo.texts, "units": ["metric", "us"] });
    let said: Json = serde_json::from_str(&session.ask(&request.to_string())).expect("JSON");
    assert_eq!(said, json!({ "opened": true }), "{}", demo.name);
    session
}

fn asked(session: &mut Session, what: &str, changes: &[Change]) -> Json {
    let request = json!({ "do": what, "changes": pairs(changes) });
    serde_json::from_str(&session.ask(&request.to_string())).expect("JSON")
}

/// The rows of the limits of an answer.
fn limits(answer: &Json) -> Vec<Json> {
    let sections = answer["sections"].as_array().expect("sections");
    let named = sections.iter().find(|section| section["name"] == "limits").expect("limits");
    named["tables"][0]["rows"].as_array().expect("rows").clone()
}

/// What the program says of the case with a variant: the text of the case is changed, nothing else is shared.
fn by_the_program(demo: &Demo, changes: &[Change], question: &Question) -> Result<Json, String> {
    let line = coolwright::ask::variant_line(changes);
    let mut texts = demo.texts.clone();
    let own = &mut texts[0].1;
    if let Some(at) = own.find("    variants: {") {
        own.insert_str(at + "    variants: {".len(), &format!("\n{line}\n"));
    } else {
        let at = own.rfind(')').expect("a case ends");
        own.insert_str(at, &format!("    variants: {{ {line} }},\n"));
    }
    let mut fetch = |file: &str| {
        let found = texts.iter().find(|(known, _)| known == file);
        found.map(|(_, text)| text.clone()).ok_or_else(|| format!("no {file}"))
    };
    let read = Case::read(&demo.name, &texts[0].1, &mut fetch);
    let answer = read.and_then(|case| case.ask(question, &Alone));
    let answer = answer.map_err(|refusal| Style::SI.sentence(&refusal.message()))?;
    Ok(serde_json::from_str(&json::json(&answer)).expect("JSON"))
}

/// Two limits are the same: what is a number to a share of itself, all else to the letter.
fn assert_like(quick: &Json, whole: &Json, share: f64, place: &str) -> usize {
    let mut count = 0;
    for key in
        ["limit", "of", "bound_side", "standing", "bound_value", "value", "worst", "margin_value"]
    {
        let (quick, whole) = (&quick[key], &whole[key]);
        match (quick["value"].as_f64(), whole["value"].as_f64()) {
            (Some(quick), Some(whole)) => {
                let scale = quick.abs().max(whole.abs());
                assert!((quick - whole).abs() <= share * scale, "{place} {key}: {quick} {whole}");
                count += 1;
            }
            _ => assert_eq!(quick, whole, "{place} {key}"),
        }
    }
    count
}

#[test]
fn what_is_said_at_once_is_what_the_program_says() {
    let question =
        Question::Point { variant: Some("tried".to_owned()), moment: Moment::Full, off: false };
    for demo in demos() {
        let mut session = opened(demo);
        let mut numbers = 0;
        for (k, slider) in demo.sliders.iter().enumerate() {
            let changes = change(slider, if k % 2 == 0 { 0.31 } else { 0.83 });
            let place = format!("{} {changes:?}", demo.name);
            let said = asked(&mut session, "point", &changes);
            let whole = match by_the_program(demo, &changes, &question) {
                Ok(whole) => whole,
                Err(why) => {
                    assert_eq!(said["refused"], json!(why), "{place}");
                    continue;
                }
            };
            assert_eq!(said["answer"]["verdict"], whole["verdict"], "{place}: {said}");
            let (quick, whole) = (limits(&said["answer"]), limits(&whole));
            assert_eq!(quick.len(), whole.len(), "{place}");
            for (quick, whole) in quick.iter().zip(&whole) {
                numbers += assert_like(quick, whole, LIKE, &place);
            }
            assert_eq!(said["variant"], coolwright::ask::variant_line(&changes), "{place}");
        }
        assert!(numbers > 20, "{}: {numbers} numbers", demo.name);
    }
}

/// All at once, and in any order: nothing of what was asked before is left.
#[test]
fn nothing_is_left_of_what_was_asked_before() {
    for demo in demos() {
        let mut session = opened(demo);
        let first = asked(&mut session, "point", &[]);
        let all: Vec<Change> = demo.sliders.iter().flat_map(|s| change(s, 0.6)).collect();
        let together = asked(&mut session, "point", &all);
        for slider in &demo.sliders {
            asked(&mut session, "point", &change(slider, 0.99));
        }
        assert_eq!(asked(&mut session, "point", &all), together, "{}", demo.name);
        assert_eq!(asked(&mut session, "point", &[])["answer"], first["answer"], "{}", demo.name);
        assert_ne!(first["answer"], together["answer"], "{}: nothing moves", demo.name);
    }
}

#[test]
fn a_cycle_is_that_of_the_program_and_its_histories_are_numbers() {
    let (wanted, lengths) = (Wanted::default(), Lengths::default());
    let question = Question::Cycle { variant: Some("tried".to_owned()), wanted, lengths };
    let mut cycles = 0;
    for demo in demos() {
        let mut session = opened(demo);
        let changes = change(&demo.sliders[0], 0.7);
        let said = asked(&mut session, "cycle", &changes);
        let place = format!("{} {changes:?}", demo.name);
        let whole = match by_the_program(demo, &changes, &question) {
            Ok(whole) => whole,
            Err(why) => {
                assert_eq!(said["refused"], json!(why), "{place}");
                continue;
            }
        };
        assert_eq!(said["answer"]["verdict"], whole["verdict"], "{place}: {said}");
        for (quick, whole) in limits(&said["answer"]).iter().zip(&limits(&whole)) {
            assert_like(quick, whole, ALONG, &place);
        }
        assert!(said["answer"]["histories"].is_null(), "{place}: histories as JSON");
        let numbers = session.numbers();
        let histories = &whole["histories"];
        let times = histories["times_s"].as_array().expect("times");
        let columns = said["columns"].as_array().expect("columns");
        assert_eq!(numbers.len(), 1 + times.len() * (1 + columns.len()), "{place}");
        assert!((numbers[0] - times.len() as f64).abs() < 0.5, "{place}");
        let known = histories["columns"].as_array().expect("columns");
        for (k, column) in columns.iter().enumerate() {
            let of = known.iter().position(|known| known["address"] == *column);
            let of = of.unwrap_or_else(|| panic!("{place}: no {column}"));
            for row in 0..times.len() {
                let own = numbers[1 + times.len() * (k + 1) + row];
                let whole = histories["rows"][row][of].as_f64();
                let like = |whole: f64| (own - whole).abs() <= ALONG * own.abs().max(whole.abs());
                assert!(whole.map_or(!own.is_finite(), like), "{place} {column}: {own} {whole:?}");
            }
        }
        cycles += 1;
    }
    assert!(cycles >= 3, "{cycles} cycles");
}

/// What stands behind the quick answer is the whole one, in the form of the program's JSON.
#[test]
fn the_whole_answer_is_that_of_the_program() {
    let demo = demos().iter().find(|demo| demo.name == "first.ron").expect("it is there");
    let mut session = opened(demo);
    let changes = change(&demo.sliders[0], 0.4);
    let point = Question::Point { variant: None, moment: Moment::Full, off: false };
    for (about, question) in [("check", Question::Check), ("point", point)] {
        let request = json!({ "do": "tell", "about": about, "changes": pairs(&changes) });
        let said: Json = serde_json::from_str(&session.ask(&request.to_string())).expect("JSON");
        let case = case(&demo.name, &demo.texts).as_changed(&changes).expect("it reads");
        let answer = case.ask(&question, &Alone).expect("it is solved");
        let whole: Json = serde_json::from_str(&json::json(&answer)).expect("JSON");
        assert_eq!(said, whole, "{about}");
        assert_eq!(said["format"], json!(format!("coolwright-{about}")));
    }
    let whole = asked(&mut session, "whole", &changes);
    let limits = limits(&whole["answer"]);
    let off =
        |limit: &Json| limit["value_uncertainty"]["value"].as_f64().is_some_and(|off| off > 0.0);
    assert!(limits.iter().any(off), "no limit has its \u{b1}: {limits:?}");
    assert!(whole["markup"].as_str().expect("markup").contains('\u{b1}'));
}

#[test]
fn a_value_that_is_none_is_refused_in_the_words_of_the_program() {
    let demo = demos().iter().find(|demo| demo.name == "first.ron").expect("it is there");
    let mut session = opened(demo);
    let slider = &demo.sliders[0];
    let wrong = [Change::text(&slider.addresses[0], "\"12 parsecs\"")];
    let said = asked(&mut session, "point", &wrong);
    let question =
        Question::Point { variant: Some("tried".to_owned()), moment: Moment::Full, off: false };
    by_the_program(demo, &wrong, &question).expect_err("no such unit");
    let why = parse(slider.kind, "12 parsecs").expect_err("no such unit").message;
    assert_eq!(said["refused"], json!(format!("`{}`: {why}", slider.addresses[0])));
    assert!(said["markup"].as_str().expect("markup").contains("NOT SOLVED"), "{said}");
    let after = asked(&mut session, "point", &[]);
    assert!(after["refused"].is_null(), "a refusal does not last: {after}");
    let nothing: Json = serde_json::from_str(&Session::default().ask("{}")).expect("JSON");
    assert_eq!(nothing["refused"], json!("no case is open"));
    let noise: Json = serde_json::from_str(&Session::default().ask("noise")).expect("JSON");
    assert!(noise["refused"].as_str().expect("a sentence").starts_with("no request"), "{noise}");
}

/// In every unit that a page writes the file reads the number again, and no slider leaves what the file allows.
#[test]
fn sliders_move_within_what_the_file_allows_in_every_unit() {
    for demo in demos() {
        assert!((6..=10).contains(&demo.sliders.len()), "{}: {:?}", demo.name, demo.sliders);
        let ready = case(&demo.name, &demo.texts).build(None).expect("it is built");
        for slider in &demo.sliders {
            let place = format!("{} {:?}", demo.name, slider.addresses);
            let entry = &ready.addresses[&slider.addresses[0]];
            let [low, high] = slider.range;
            assert!(low <= slider.now && slider.now <= high && low < high, "{place}: {slider:?}");
            for si in slider.range {
                assert_eq!(entry.bound.fault(entry.kind, si), None, "{place}: {si}");
            }
            for units in UNITS {
                let unit = InUnit::suited(slider.kind, slider.now, units);
                for si in slider.range {
                    let text = format!("{} {}", unit.number(si), unit.symbol);
                    let read = parse(slider.kind, text.trim()).expect("a quantity");
                    assert!((read - si).abs() <= LIKE * si.abs(), "{place}: {text} is {read}");
                }
            }
        }
    }
}

#[test]
fn a_live_page_asks_nothing_of_anyone_and_a_still_one_may_not_solve() {
    for demo in demos() {
        super::page::assert_whole(&demo.name, &demo.page);
        let policy = demo.page.split("Content-Security-Policy\" content=\"").nth(1).expect("one");
        let policy = policy.split('"').next().expect("it ends").replace("&#39;", "'");
        assert!(policy.starts_with("default-src 'none'; style-src 'sha256-"), "{policy}");
        let wanted = "'wasm-unsafe-eval'; worker-src blob:; base-uri 'none'; form-action 'none'";
        assert!(policy.ends_with(wanted), "{policy}");
        assert_eq!(policy.matches("'sha256-").count(), 3, "{policy}");
        assert!(!policy.contains("connect") && !policy.contains("http"), "{policy}");
        for script in demo.page.split("<script>").skip(1) {
            let script = script.split("</script>").next().expect("it ends");
            for asking in ["fetch(", "XMLHttp", "import(", "sendBeacon", "WebSocket", "http://"] {
                let asks = script.replace("http://www.w3.org/2000/svg", "").contains(asking);
                assert!(!asks, "{}: {asking}", demo.name);
            }
        }
        for (k, slider) in demo.sliders.iter().enumerate() {
            let label = format!("<label for=\"move-{k}\">");
            assert_eq!(demo.page.matches(&label).count(), 1, "{}", demo.name);
            assert!(demo.page.contains(&format!("<code>{}</code>", slider.addresses[0])));
        }
        // What a case says ends no element that it stands in.
        let data = demo.page.split("id=\"live-data\">").nth(1).expect("data");
        let data = data.split("</script>").next().expect("it ends");
        let data: Json = serde_json::from_str(data).expect("JSON");
        assert_eq!(data["texts"][0][1], json!(demo.texts[0].1), "{}", demo.name);
    }
}

fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(arguments)
        .output()
        .expect("the program runs");
    let text = |bytes| String::from_utf8(bytes).expect("text");
    (output.status.code().expect("a status"), text(output.stdout), text(output.stderr))
}

#[test]
fn the_program_says_whether_its_pages_solve() {
    let (_, version, _) = run(&["--version"]);
    let with = cfg!(feature = "live");
    let word = if with { "with" } else { "without" };
    let own = env!("CARGO_PKG_VERSION");
    assert!(version.starts_with(&format!("coolwright {own}, {word} the live page\n")), "{version}");
    let case = "cases/guide/1_one_loop.ron";
    let (_, page, _) = run(&["report", case, "-o", "-"]);
    assert_eq!(page.contains("id=\"live-solver\""), with);
    let (_, still, _) = run(&["report", case, "-o", "-", "--still"]);
    assert!(!still.contains("id=\"live") && !still.contains("wasm-unsafe-eval"));
    let (code, _, error) = run(&["report", case, "-o", "-", "--live", "nowhere:bore"]);
    assert_eq!(code, 2, "{error}");
    if !with {
        assert!(error.contains("without the live page"), "{error}");
    }
}

#[test]
fn a_number_that_is_told_has_the_first_slider_and_one_that_is_none_is_refused() {
    let demo = demos().iter().find(|demo| demo.name == "desert_racer.ron").expect("it is there");
    let case = case(&demo.name, &demo.texts);
    let report = case.report(&[], &Alone).expect("it is solved");
    let address = "drive/loop/pump_1:speed".to_owned();
    let told = case.movable(&[address.clone(), address.clone()]).expect("it is a number");
    let sliders = case.sliders(told, &report, &Alone).expect("it is solved");
    assert_eq!(sliders[0].addresses, [address]);
    let all: Vec<&String> = sliders.iter().flat_map(|slider| &slider.addresses).collect();
    for (k, address) in all.iter().enumerate() {
        assert!(!all[..k].contains(address), "two sliders write {address}");
    }
    let wrong = case.movable(&["drive/loop/pump_1:sped".to_owned()]).expect_err("no such number");
    let said = wrong.text(&Style::SI);
    assert!(said.contains("Did you mean `drive/loop/pump_1:speed`?"), "{said}");
}
