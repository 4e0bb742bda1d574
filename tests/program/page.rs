//! The page of a case and its pictures: whole, closed to the outside, and with the numbers of the answers.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;
use std::sync::OnceLock;

use coolwright::answer::drawing::Report;
use coolwright::answer::{Block, Row, Section};
use coolwright::ask::{Case, Study};
use coolwright::page::page;
use coolwright::pictures::limits::limits;
use coolwright::pictures::{Pen, Picture, Pictures};
use coolwright::render::Style;
use coolwright::workers::Alone;
use coolwright_cases::quantity::UnitSystem;
use sha2::{Digest, Sha256};

use crate::common::included;

/// Ten ports side by side, a way past the core, and a title that means harm.
const TEN_PORTS: &str = include_str!("ten_ports.ron");
const GUIDE: &str = include_str!("../../cases/guide/5_variants.ron");
/// A case of the guide with every study, asked for in any order and twice.
const STUDIED: &str = "5_variants.ron with all studies";
const STUDIES: [Study; 5] =
    [Study::Day, Study::Chance, Study::Failures, Study::Levers, Study::Chance];
/// No page may be larger, bytes: it has to open on a phone, and with the solver it has 1.66 MB more and is to stay below three.
const MOST_BYTES: usize = 1_300_000;

fn read(name: &str, text: &str) -> Report {
    read_with(name, text, &[])
}

fn read_with(name: &str, text: &str, studies: &[Study]) -> Report {
    let case = Case::read(name, text, &mut included);
    let case = case.unwrap_or_else(|refusal| panic!("{name}: {}", refusal.text(&Style::SI)));
    let report = case.report(studies, &Alone);
    report.unwrap_or_else(|refusal| panic!("{name}: {}", refusal.text(&Style::SI)))
}

/// All demo and guide cases, and the one with ten ports, solved once.
fn reports() -> &'static [(String, Report)] {
    static REPORTS: OnceLock<Vec<(String, Report)>> = OnceLock::new();
    REPORTS.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
        let mut files = Vec::new();
        for folder in [folder.clone(), folder.join("guide")] {
            for entry in std::fs::read_dir(folder).expect("a folder") {
                files.push(entry.expect("an entry").path());
            }
        }
        files.sort();
        let text = |path: &Path| std::fs::read_to_string(path).expect("a text");
        let cases = files.iter().filter(|path| path.extension().is_some_and(|e| e == "ron"));
        let cases = cases.map(|path| (path.display().to_string(), text(path)));
        // A file of parts is no case.
        let cases = cases.filter(|(_, text)| text.contains("\nCase("));
        let all = cases.chain([("ten_ports.ron".to_owned(), TEN_PORTS.to_owned())]);
        let studied = read_with("5_variants.ron", GUIDE, &STUDIES);
        let plain = all.map(|(name, text)| (name.clone(), read(&name, &text)));
        std::iter::once((STUDIED.to_owned(), studied)).chain(plain).collect()
    })
}

fn pages() -> &'static [(String, String)] {
    static PAGES: OnceLock<Vec<(String, String)>> = OnceLock::new();
    PAGES.get_or_init(|| {
        let one =
            |(name, report): &(String, Report)| (name.clone(), page(report, UnitSystem::Metric));
        reports().iter().map(one).collect()
    })
}

/// The text of an element that is no markup.
fn inside<'a>(page: &'a str, tag: &str) -> &'a str {
    let (_, rest) = page.split_once(&format!("<{tag}>")).unwrap_or_else(|| panic!("no <{tag}>"));
    rest.split_once(&format!("</{tag}>")).expect("it ends").0
}

/// A tag: its name, its attributes, whether it opens.
#[derive(Debug)]
struct Tag<'a> {
    name: &'a str,
    attributes: Vec<(&'a str, &'a str)>,
    opens: bool,
}

/// The tags of a page, style and script left out.
///
/// # Panics
/// Where a tag does not end, or an attribute is not quoted.
fn tags(page: &str) -> Vec<Tag<'_>> {
    let mut rest = page.strip_prefix("<!DOCTYPE html>").expect("a page begins so");
    let mut found: Vec<Tag<'_>> = Vec::new();
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let opens = !rest.starts_with('/');
        rest = rest.trim_start_matches('/');
        let end = rest.find(|c: char| c.is_whitespace() || c == '>').expect("a tag has a name");
        let name = &rest[..end];
        // An element of a page's own has a dash in its name (HTML).
        assert!(name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-'), "a tag <{name}");
        rest = &rest[end..];
        let mut attributes = Vec::new();
        loop {
            rest = rest.trim_start();
            if let Some(behind) = rest.strip_prefix('>') {
                rest = behind;
                break;
            }
            let end = rest.find(['=', ' ', '>']).expect("an attribute ends");
            let key = &rest[..end];
            rest = &rest[end..];
            let mut value = "";
            if let Some(behind) = rest.strip_prefix("=\"") {
                let (text, behind) = behind.split_once('"').expect("a value ends");
                (value, rest) = (text, behind);
            } else {
                assert!(!rest.starts_with('='), "`{key}` of <{name}> is not quoted");
            }
            attributes.push((key, value));
        }
        if opens && ["style", "script"].contains(&name) {
            let end = rest.find(&format!("</{name}>")).expect("it ends");
            rest = &rest[end..];
        }
        found.push(Tag { name, attributes, opens });
    }
    found
}

/// Every tag ends, no name stands twice, and what is pointed at is there.
/// Elements of tables that end where a tag comes without an end tag of their own (HTML, 13.1.2.4).
fn ended_by(tag: &Tag<'_>) -> &'static [&'static str] {
    match (tag.name, tag.opens) {
        ("td" | "th", true) => &["td", "th"],
        ("tr", true) | ("table" | "thead" | "tbody", false) => &["td", "th", "tr"],
        _ => &[],
    }
}

pub(super) fn assert_whole(name: &str, page: &str) {
    let mut open: Vec<&str> = Vec::new();
    let (mut ids, mut wanted) = (BTreeSet::new(), BTreeSet::new());
    for tag in tags(page) {
        for (key, value) in &tag.attributes {
            match *key {
                "id" => assert!(ids.insert(value.to_string()), "{name}: two of {value}"),
                "href" => drop(wanted.insert(value.trim_start_matches('#').to_owned())),
                "for" | "aria-labelledby" => drop(wanted.insert((*value).to_owned())),
                _ => {}
            }
        }
        if ["meta", "input", "br"].contains(&tag.name) {
            continue;
        }
        while open.last().is_some_and(|last| ended_by(&tag).contains(last)) {
            open.pop();
        }
        if tag.opens {
            open.push(tag.name);
        } else {
            assert_eq!(open.pop(), Some(tag.name), "{name}");
        }
    }
    assert!(open.is_empty(), "{name}: {open:?}");
    let missing: Vec<&String> = wanted.difference(&ids).collect();
    assert!(missing.is_empty(), "{name}: nothing is called {missing:?}");
}

#[test]
fn every_demo_and_guide_case_gives_a_whole_page() {
    for (name, page) in pages() {
        assert!(page.len() < MOST_BYTES, "{name}: {} bytes", page.len());
        assert_whole(name, page);
    }
}

#[test]
fn a_page_asks_nothing_of_anyone() {
    for (name, page) in pages() {
        for tag in tags(page) {
            assert!(
                !["link", "iframe", "img", "object", "embed", "base", "form", "image", "use"]
                    .contains(&tag.name),
                "{name}: <{}>",
                tag.name
            );
            for (key, value) in tag.attributes {
                assert!(!key.starts_with("on") && key != "src" && key != "style", "{name}: {key}");
                assert!(key != "href" || value.starts_with('#'), "{name}: {key}={value}");
            }
        }
        let (style, script) = (inside(page, "style"), inside(page, "script"));
        assert!(!style.contains("url(") && !style.contains("@import"), "{name}");
        for asking in ["fetch(", "XMLHttp", "import(", "sendBeacon", "WebSocket"] {
            assert!(!script.contains(asking), "{name}: {asking}");
        }
        let policy = page.split("Content-Security-Policy\" content=\"").nth(1).expect("a policy");
        let policy = policy.split('"').next().expect("it ends").replace("&#39;", "'");
        assert!(policy.starts_with("default-src 'none'; "), "{policy}");
        for text in [style, script] {
            // The first bytes of the hash, written out by hand: three are four signs of Base64.
            let hash = Sha256::digest(text.as_bytes());
            let signs = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
            let bits = u32::from_be_bytes([0, hash[0], hash[1], hash[2]]);
            let four: String = [18, 12, 6, 0]
                .iter()
                .map(|shift| char::from(signs[(bits >> shift & 63) as usize]))
                .collect();
            assert!(policy.contains(&format!("'sha256-{four}")), "{name}: {four} in {policy}");
        }
    }
}

#[test]
fn what_a_case_says_is_never_markup() {
    let (_, page) = pages().last().expect("the case with ten ports");
    assert!(!page.contains("<script>alert"), "the title is a script");
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;quoted&quot;"));
}

/// A title of many words, or of one that does not end, is the title, whole.
#[test]
fn a_very_long_title_is_told_whole() {
    let long = format!("{} {}", "word ".repeat(400), "x".repeat(4000));
    let text = include_str!("../../cases/guide/1_one_loop.ron");
    let (head, rest) = text.split_once("title: \"").expect("a title");
    let (_, rest) = rest.split_once('"').expect("it ends");
    let report = read("long.ron", &format!("{head}title: \"{long}\"{rest}"));
    let page = page(&report, UnitSystem::Metric);
    assert_whole("long.ron", &page);
    assert!(page.contains(&format!("<h1>{long}</h1>")), "the title is cut");
}

#[test]
fn every_heading_of_the_answers_stands_in_the_page() {
    let escaped = |text: &str| text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
    for ((name, page), (_, report)) in pages().iter().zip(reports()) {
        let sections = report.answers().into_iter().flat_map(|answer| &answer.sections);
        let shown = |s: &&Section| s.seen.by_people() && !s.is_empty() && s.title.is_some();
        let mut count = 0;
        for section in sections.filter(shown) {
            let Some(title) = &section.title else { continue };
            for units in [UnitSystem::Metric, UnitSystem::Us] {
                let text = Style { units, color: false }.sentence(title);
                for piece in text.split('`') {
                    assert!(page.contains(&escaped(piece)), "{name}: no `{piece}` of {text}");
                }
            }
            count += 1;
        }
        assert!(count > 4, "{name}: {count} headings");
    }
}

#[test]
fn the_first_screen_shows_every_limit_with_its_bar_and_its_word() {
    for ((name, page), (_, report)) in pages().iter().zip(reports()) {
        let shown = limits(report.judge());
        let bars: Vec<&str> = page.split("<div class=\"limit-bar\">").skip(1).collect();
        assert_eq!(bars.len(), shown.len(), "{name}");
        for (limit, bar) in shown.iter().zip(bars) {
            let bar = bar.split("</li>").next().expect("it ends");
            let state = bar.split("limit-state ").nth(1).expect("a state").to_lowercase();
            assert!(state.contains(&limit.word().to_lowercase()), "{name}: {}", limit.name);
            assert!(bar.contains("class=\"bound\""), "{name}: {}", limit.name);
            for units in [UnitSystem::Metric, UnitSystem::Us] {
                let style = Style { units, color: false };
                for value in [&limit.value, &limit.bound] {
                    let text = style.value(value);
                    assert!(bar.contains(&text), "{name}: {} is {text}", limit.name);
                }
            }
        }
    }
}

/// Numbers of a page are those of the text: every row of every table of the answers, cell by cell.
#[test]
fn the_numbers_of_a_page_are_those_of_the_text() {
    for ((name, page), (_, report)) in pages().iter().zip(reports()) {
        let text = coolwright::render::text::text(
            &Style { units: UnitSystem::Us, color: false },
            &report.point,
            &coolwright::render::Extent::Only("heat_sources".to_owned()),
        );
        let rows = text.lines().filter(|line| line.trim_start().starts_with("cool"));
        let numbers: Vec<&str> = rows
            .flat_map(str::split_whitespace)
            .filter(|word| word.parse::<f64>().is_ok())
            .collect();
        assert!(numbers.len() > 3 || name.contains("1_one_loop"), "{name}: {text}");
        for number in numbers {
            assert!(page.contains(&format!(">{number}")), "{name}: no {number} of\n{text}");
        }
    }
}

/// A text of a picture: left, top, right, bottom, as narrow as letters are drawn.
type Frame = ([f64; 4], String);

fn frames(picture: &Picture) -> Vec<Frame> {
    let told = |tag: &str, key: &str| -> Option<f64> {
        let value = tag.split(&format!(" {key}=\"")).nth(1)?;
        Some(value.split('"').next().expect("it ends").parse().expect("a number"))
    };
    let number = |tag: &str, key: &str| told(tag, key).expect("it is there");
    let mut found = Vec::new();
    for piece in picture.body.0.split("<text").skip(1) {
        let (tag, rest) = piece.split_once('>').expect("a tag ends");
        let text = rest.split("</text>").next().expect("a text ends");
        let text = text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&");
        let (x, y, size) =
            (number(tag, "x"), number(tag, "y"), told(tag, "font-size").unwrap_or(10.0));
        let width = text.chars().count() as f64 * size * 0.5;
        let left = if tag.contains("anchor=\"end\"") {
            x - width
        } else if tag.contains("anchor=\"middle\"") {
            x - width / 2.0
        } else {
            x
        };
        found.push(([left, y - 0.7 * size, left + width, y], text));
    }
    found
}

#[test]
fn texts_of_pictures_stand_apart_and_within_the_sheet() {
    for (name, report) in reports() {
        for units in [UnitSystem::Metric, UnitSystem::Us, UnitSystem::Si] {
            let pictures = Pictures::of(&Pen::of(units), report);
            assert!(pictures.all().count() > 3, "{name}");
            for picture in pictures.all() {
                let frames = frames(picture);
                let [width, height] = picture.size;
                for (k, (frame, text)) in frames.iter().enumerate() {
                    let within = frame[0] >= -0.5
                        && frame[1] >= -0.5
                        && frame[2] <= width + 0.5
                        && frame[3] <= height + 0.5;
                    assert!(within, "{name} {units:?} {}: `{text}` at {frame:?}", picture.name);
                    for (other, of) in &frames[k + 1..] {
                        let apart = frame[2] <= other[0] + 0.5
                            || frame[0] >= other[2] - 0.5
                            || frame[3] <= other[1] + 0.5
                            || frame[1] >= other[3] - 0.5;
                        assert!(apart, "{name} {units:?} {}: `{text}` over `{of}`", picture.name);
                    }
                }
            }
        }
    }
}

/// The system is asked at forced flows; the operating point was solved without. They agree.
#[test]
fn curves_cross_where_the_operating_point_stands() {
    let mut count = 0;
    for (name, report) in reports() {
        for curves in &report.drawing.curves {
            let [flow, rise] = curves.stands;
            let meets = |(at, gives, _): &(f64, f64, bool)| {
                (at - flow).abs() < 1e-3 * flow && (gives - rise).abs() < 1e-3 * rise.abs()
            };
            assert!(
                curves.crossings.iter().any(meets),
                "{name}: {} stands at {flow} m³/s and {rise} Pa: {:?}",
                curves.of,
                curves.crossings
            );
            count += 1;
        }
    }
    assert!(count >= 15, "{count} pumps and fans");
}

/// Every part of a case is drawn once, but for those that the program put there.
#[test]
fn every_part_is_drawn() {
    for (name, report) in reports() {
        for circuit in &report.drawing.circuits {
            let survey = report.point.sections.iter().find(|section| {
                section.name == "budget" && section.of.as_deref() == Some(&circuit.name)
            });
            let parts: Vec<&str> = circuit
                .ways
                .iter()
                .flat_map(|way| &way.parts)
                .map(|part| part.address.as_str())
                .collect();
            let once: BTreeSet<&str> = parts.iter().copied().collect();
            assert_eq!(once.len(), parts.len(), "{name}: {parts:?}");
            for block in &survey.expect("a budget").blocks {
                let Block::Table(table) = block else { continue };
                for row in &table.rows {
                    let Row::Cells { of: Some(of), cells, .. } = row else { continue };
                    let word = format!("{:?}", cells[1].value);
                    let made = ["header", "bore change", " to ", "loop", "tee", "port"];
                    if !made.iter().any(|made| word.contains(made)) {
                        assert!(once.contains(of.as_str()), "{name}: {of} ({word})");
                    }
                }
            }
        }
    }
}

/// A circuit is cut at one place, so both ends of the cut have one pressure.
#[test]
fn both_ends_of_a_cut_have_one_pressure() {
    let mut count = 0;
    for (name, report) in reports() {
        for circuit in &report.drawing.circuits {
            let cuts = circuit.nodes.iter().enumerate().filter(|(_, node)| node.word == "cut");
            let [start, end] = &cuts.map(|(k, _)| k).collect::<Vec<_>>()[..] else { continue };
            let from = circuit.ways.iter().find(|way| way.from == *start).expect("it starts");
            let to = circuit.ways.iter().find(|way| way.to == *end).expect("it ends");
            let off_pa = from.ends_pa[0] - to.ends_pa[1];
            assert!(off_pa.abs() < 1.0, "{name}: {} is {off_pa} Pa off at its cut", circuit.name);
            count += 1;
        }
    }
    assert!(count >= 8, "{count} circuits with a cut");
}

fn run(arguments: &[&str], threads: &str) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("RAYON_NUM_THREADS", threads)
        .args(arguments)
        .output()
        .expect("the program runs");
    let text = |bytes| String::from_utf8(bytes).expect("text");
    (output.status.code().expect("a status"), text(output.stdout), text(output.stderr))
}

#[test]
fn a_page_is_the_same_to_the_last_byte_on_any_number_of_threads() {
    let (code, one, _) = run(&["report", "cases/first.ron", "-o", "-"], "1");
    let (_, two, _) = run(&["report", "cases/first.ron", "-o", "-"], "2");
    // The first case breaks a limit, which is what it is for.
    assert_eq!(code, 1);
    assert!(one == two, "the page differs");
    assert!(one.ends_with("</html>"), "the page is whole");
}

#[test]
fn a_page_opens_in_the_units_that_were_asked_for() {
    let (_, page, _) =
        run(&["report", "cases/guide/1_one_loop.ron", "-o", "-", "--units", "us"], "2");
    let checked = page.split("<input").find(|tag| tag.contains(" checked")).expect("one is chosen");
    assert!(checked.contains("id=\"units-us\""), "{checked}");
}

#[test]
fn what_cannot_be_read_solved_or_written_leaves_no_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("page.html");
    let path = file.to_str().expect("a path");
    let (code, _, error) = run(&["report", "tests/faults/no_bore.ron", "-o", path], "2");
    assert_eq!(code, 2, "{error}");
    assert!(!file.exists(), "a page of a faulty case");
    let (code, _, error) = run(&["report", "cases/first.ron", "-o", "/dev/full"], "2");
    assert_eq!(code, 2);
    assert!(error.contains("the disk is full"), "{error}");
    let missing = folder.path().join("nowhere").join("page.html");
    let (code, _, error) =
        run(&["report", "cases/first.ron", "-o", missing.to_str().expect("a path")], "2");
    assert_eq!(code, 2);
    assert!(error.contains("cannot write"), "{error}");
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("a folder").collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn every_listed_picture_can_be_had_alone() {
    let case = "cases/guide/1_one_loop.ron";
    let (code, names, _) = run(&["chart", case], "2");
    assert_eq!(code, 0);
    let names: Vec<&str> = names.lines().collect();
    assert!(names.len() > 3, "{names:?}");
    for name in names {
        let (code, picture, error) = run(&["chart", case, name], "2");
        assert_eq!(code, 0, "{error}");
        assert!(picture.starts_with("<svg xmlns=") && picture.trim_end().ends_with("</svg>"));
    }
    let (code, _, error) = run(&["chart", case, "limit"], "2");
    assert_eq!(code, 2);
    assert!(error.contains("Did you mean"), "{error}");
}

/// What a study says stands in the page as the command says it, in a chapter of its own; what helps most on the first
/// screen.
#[test]
fn studies_have_their_chapters() {
    let page = &pages().iter().find(|(name, _)| name == STUDIED).expect("it is there").1;
    let mut behind = 0;
    for (id, name) in [
        ("levers", "What to change"),
        ("failures", "If something fails"),
        ("chance", "How sure"),
        ("day", "The day"),
    ] {
        let at = page.find(&format!("<section id=\"{id}\" class=\"chapter\"")).expect(id);
        assert!(at > behind, "{id} in its order");
        assert_eq!(page.matches(&format!("id=\"{id}\"")).count(), 1, "{id}");
        assert!(page.contains(&format!("<a href=\"#{id}\">{name}</a>")), "{id} in the head");
        behind = at;
    }
    let (first, _) = page.split_once("class=\"chapter\"").expect("chapters");
    let (_, helps) = first.split_once("What helps most").expect("on the first screen");
    assert!(helps.contains("wider hose in"), "{helps}");
    assert!(page.contains("What moves port_split") && page.contains("so many ask for a stop"));
}

/// A study that has nothing to say leaves a chapter that says so, and the page all the others.
#[test]
fn a_chance_of_nothing_is_a_chapter() {
    let text = include_str!("../../cases/first.ron");
    let nothing = "    chance: Chance(without: [\"laws\", \"assumptions\"]),\n)\n";
    let text = format!("{}{nothing}", text.trim_end().trim_end_matches(')'));
    let report = read_with("first.ron", &text, &[Study::Chance]);
    let page = page(&report, UnitSystem::Metric);
    assert!(page.contains("id=\"chance\""), "no chapter");
    assert!(page.contains("nothing is uncertain in this case"), "not said");
    assert!(page.contains("id=\"point\""), "the others are there");
}

/// Blanks behind the commas of a list of studies are no part of their names; what is none is refused with those that are.
#[test]
fn studies_are_listed_with_blanks_or_without() {
    let run = |with: &str| run(&["report", "cases/none.ron", "-o", "-", "--with", with], "1");
    for with in ["levers,day", "levers, day", " levers , day "] {
        let (_, _, said) = run(with);
        assert!(said.contains("there is no such file"), "{with}: {said}");
    }
    let (_, _, said) = run("levers, dya");
    assert!(said.contains("dya") && said.contains("failures"), "{said}");
}
