//! Texts that mean harm: the page shows them and obeys none, by the parser of a browser's own rules (html5ever); a terminal
//! gets no sign that would steer it.

use std::cell::RefCell;
use std::fs;
use std::path::Path;

use html5ever::tendril::StrTendril;
use html5ever::tokenizer::states::{Rawtext, Rcdata, ScriptData};
use html5ever::tokenizer::{
    BufferQueue, Tag, TagKind, Token, TokenSink, TokenSinkResult, Tokenizer, TokenizerOpts,
};

use crate::machine::{fill, program, run, said};

/// What is tried as a title, a name of a file, a name of a column: markup, quotes, ends of what it stands in, signs that steer
/// a terminal (ECMA-48) and marks that turn reading round (UAX 9).
const TEXTS: [&str; 10] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "'><svg/onload=alert(1)>",
    "</style></title></script><script>alert(1)</script>",
    "<!--",
    "]]><![CDATA[",
    "&lt;b&gt; &amp; &#x3c;",
    "`${alert(1)}` {{7*7}} \\u003cscript\\u003e",
    "\u{1b}[2J\u{1b}]0;owned\u{7}\u{9b}31m",
    "safe \u{202e}SKAERB\u{2066}\u{200f} \u{2028}",
];

/// What a parser finds in a page.
#[derive(Default)]
struct Found {
    /// Its tags with the names of their attributes, in order.
    tags: RefCell<Vec<(String, Vec<String>)>>,
    /// Values of attributes, and what stands between tags.
    values: RefCell<Vec<String>>,
    text: RefCell<String>,
    faults: RefCell<Vec<String>>,
    /// What kind of element is open that holds a text and no tags.
    holds: RefCell<Option<String>>,
    policy: RefCell<Option<String>>,
}

impl Found {
    fn tag(&self, tag: &Tag) {
        let name = tag.name.to_string();
        if tag.kind == TagKind::StartTag {
            let names = tag.attrs.iter().map(|attribute| attribute.name.local.to_string());
            self.tags.borrow_mut().push((name.clone(), names.collect()));
            let value = |key: &str| {
                let of = tag.attrs.iter().find(|attribute| &*attribute.name.local == key);
                of.map(|attribute| attribute.value.to_string())
            };
            if value("http-equiv").as_deref() == Some("Content-Security-Policy") {
                *self.policy.borrow_mut() = value("content");
            }
            self.values.borrow_mut().extend(tag.attrs.iter().map(|of| of.value.to_string()));
        }
        let opens = tag.kind == TagKind::StartTag && ["script", "style", "title"].contains(&&*name);
        *self.holds.borrow_mut() = opens.then_some(name);
    }
}

impl TokenSink for Found {
    type Handle = ();

    fn process_token(&self, token: Token, line: u64) -> TokenSinkResult<()> {
        match token {
            Token::TagToken(tag) => {
                self.tag(&tag);
                // What a tree builder tells the tokenizer (HTML, 13.2.6.4).
                return match self.holds.borrow().as_deref() {
                    Some("script") => TokenSinkResult::RawData(ScriptData),
                    Some("style") => TokenSinkResult::RawData(Rawtext),
                    Some("title") => TokenSinkResult::RawData(Rcdata),
                    _ => TokenSinkResult::Continue,
                };
            }
            Token::CharacterTokens(text) => {
                let is_code = ["script", "style"].map(|name| Some(name.to_owned()));
                if !is_code.contains(&self.holds.borrow()) {
                    self.text.borrow_mut().push_str(&text);
                }
            }
            Token::ParseError(fault) => self.faults.borrow_mut().push(format!("{line}: {fault}")),
            Token::CommentToken(_) | Token::NullCharacterToken => {
                self.faults.borrow_mut().push(format!("{line}: a comment, or a sign that is none"));
            }
            _ => {}
        }
        TokenSinkResult::Continue
    }
}

fn parsed(page: &str) -> Found {
    let input = BufferQueue::default();
    input.push_back(StrTendril::from(page));
    let tokenizer = Tokenizer::new(Found::default(), TokenizerOpts::default());
    let _ = tokenizer.feed(&input);
    tokenizer.end();
    tokenizer.sink
}

/// A text as RON writes it.
fn in_ron(text: &str) -> String {
    text.replace('\\', "\\\\")
        .replace('"', "\\\"")
        .replace('\u{1b}', "\\u{1b}")
        .replace('\u{7}', "\\u{7}")
}

/// Signs that steer a terminal or turn reading round; neither has any business in an answer.
fn steers(c: char) -> bool {
    (c.is_control() && !"\n\t".contains(c))
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[track_caller]
fn assert_calm(what: &str, text: &str) {
    let at = text.chars().position(steers);
    let near: String = text.chars().skip(at.unwrap_or(0).saturating_sub(30)).take(60).collect();
    assert!(at.is_none(), "{what}: {near:?}");
}

/// A case whose title is a text.
fn titled(text: &str) -> String {
    let case = include_str!("../physics/cases/one_loop.ron");
    let (head, rest) = case.split_once("title: \"").expect("a title");
    let (_, rest) = rest.split_once('"').expect("it ends");
    format!("{head}title: \"{}\"{rest}", in_ron(text))
}

/// Whatever the title says, the page has the same elements with the same attributes, and shows what it says.
#[test]
fn a_title_is_never_markup() {
    let folder = tempfile::tempdir().expect("a folder");
    let of = |text: &str, words: &[&str]| {
        fs::write(folder.path().join("case.ron"), titled(text)).expect("it can be written");
        let output = run(folder.path(), words);
        assert_ne!(output.status.code(), Some(2), "{text:?}: {}", said(&output));
        String::from_utf8(output.stdout).expect("text")
    };
    for words in [&["report", "case.ron", "-o", "-"][..], &["sheets", "case.ron", "-o", "-"]] {
        let plain = parsed(&of("harmless", words));
        assert_eq!(*plain.faults.borrow(), Vec::<String>::new());
        assert!(plain.tags.borrow().len() > 100);
        for text in TEXTS.into_iter().filter(|text| !text.chars().any(steers)) {
            let page = of(text, words);
            let found = parsed(&page);
            assert_eq!(*found.faults.borrow(), Vec::<String>::new(), "{text:?}");
            // Words between back-quotes are set as what is written in a file, whoever writes them; that is all they do.
            let shaped = |found: &Found| {
                let tags = found.tags.borrow();
                tags.iter().filter(|(name, _)| name != "code").cloned().collect::<Vec<_>>()
            };
            assert!(shaped(&found) == shaped(&plain), "{text:?} changes elements");
            assert_calm("a page", &page);
            assert_eq!(*found.policy.borrow(), *plain.policy.borrow(), "{text:?}");
            if !text.contains('`') {
                assert!(found.text.borrow().contains(text), "{text:?} is not shown");
            }
        }
    }
}

/// The page may show itself and run its own script; it can be sent nowhere and fetch nothing (CSP 3).
#[test]
fn a_page_may_fetch_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("case.ron"), titled(TEXTS[0])).expect("it can be written");
    for words in
        [&["report", "case.ron", "-o", "-", "--still"][..], &["sheets", "case.ron", "-o", "-"]]
    {
        let page = String::from_utf8(run(folder.path(), words).stdout).expect("text");
        let found = parsed(&page);
        let policy = found.policy.borrow().clone().expect("a policy");
        let mut seen = Vec::new();
        for part in policy.split("; ") {
            let (name, sources) = part.split_once(' ').unwrap_or((part, ""));
            let own = |source: &str| source.starts_with("'sha256-");
            match name {
                "default-src" | "base-uri" | "form-action" => {
                    assert_eq!(sources, "'none'", "{policy}");
                }
                "style-src" | "script-src" => assert!(sources.split(' ').all(own), "{policy}"),
                _ => panic!("{part} in {policy}"),
            }
            seen.push(name);
        }
        assert!(["default-src", "base-uri", "form-action"].iter().all(|name| seen.contains(name)));
        for (tag, attributes) in found.tags.borrow().iter() {
            for name in attributes {
                assert!(
                    !name.starts_with("on") && name != "src" && name != "style",
                    "{tag}: {name}"
                );
            }
        }
        for value in found.values.borrow().iter() {
            assert!(!value.to_lowercase().contains("javascript:"), "{value}");
        }
    }
}

/// In the words of answers and refusals no text of a case steers the terminal.
#[test]
fn no_text_steers_a_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    fill(folder.path());
    let path = folder.path().join("case.ron");
    let ask = |words: &[&str]| {
        let output = program(folder.path()).args(words).output().expect("it runs");
        assert_calm(&format!("{words:?}"), &said(&output));
    };
    let stand = fs::read_to_string(folder.path().join("stand.ron")).expect("a text");
    let log = fs::read_to_string(folder.path().join("stand.csv")).expect("a text");
    for text in TEXTS {
        fs::write(&path, titled(text)).expect("it can be written");
        for command in ["check", "point", "cycle", "compare"] {
            ask(&[command, "case.ron"]);
        }
        ask(&["point", "case.ron", "--json"]);
        ask(&["point", "case.ron", "--csv", "-"]);
        ask(&["chart", "case.ron", "circuit/charge"]);
        let own = in_ron(text);
        let with = |was: &str, is: &str| {
            let text = titled("a case");
            assert!(text.contains(was), "{was}");
            fs::write(&path, text.replacen(was, is, 1)).expect("it can be written");
        };
        for (was, is) in [
            ("Case(", format!("Case(\n    include: [\"{own}\"],")),
            ("air: \"", format!("air: \"{own}")),
            ("\"charge\": Circuit", format!("\"{own}\": Circuit")),
            ("site: Site(", format!("\"{own}\": Site(")),
            ("cooler: \"charge_cooler\"", format!("cooler: \"{own}\"")),
            ("of: \"", format!("of: \"{own}")),
            ("Hose(", format!("{own}(")),
        ] {
            with(was, &is);
            ask(&["check", "case.ron"]);
            ask(&["point", "case.ron", "--json"]);
        }
        hostile_log(folder.path(), (&stand, &log), (text, &own));
        ask(&["learn", "small.ron", "--columns", "bad.csv"]);
        if text.chars().any(steers) {
            ask(&["learn", "small.ron", "bad.ron"]);
        }
        ask(&["point", "case.ron", "--variant", text]);
        ask(&["why", "case.ron", text]);
        ask(&["chart", "case.ron", text]);
    }
}

/// A log with a text as the name of a column that is read, of one that is not, as a unit and as a value.
fn hostile_log(folder: &Path, (stand, log): (&str, &str), (text, own): (&str, &str)) {
    let quoted = format!("\"{}\"", text.replace('"', "\"\""));
    let mut lines: Vec<String> = log.lines().map(str::to_owned).collect();
    lines[0] = format!("Bench {text}");
    lines[1] =
        lines[1].replacen("T_eng_out", &quoted, 1).replacen("note", &quoted.to_uppercase(), 1);
    lines[2] = lines[2].replacen("°C", &quoted, 1);
    let row = lines.len() / 2;
    let value = lines[row].split(';').nth(5).expect("a field").to_owned();
    lines[row] = lines[row].replacen(&value, &quoted, 1);
    fs::write(folder.join("bad.csv"), lines.join("\n") + "\n").expect("it can be written");
    let stand = stand.replace("T_eng_out", own).replace("stand.csv", "bad.csv");
    fs::write(folder.join("bad.ron"), stand).expect("it can be written");
}

/// What a hostile log says comes into the page by `--learn`, escaped.
#[test]
fn a_log_is_never_markup() {
    let folder = tempfile::tempdir().expect("a folder");
    fill(folder.path());
    let stand = fs::read_to_string(folder.path().join("stand.ron")).expect("a text");
    let log = fs::read_to_string(folder.path().join("stand.csv")).expect("a text");
    let mut plain: Option<Vec<(String, Vec<String>)>> = None;
    for text in ["harmless", TEXTS[1], TEXTS[3]] {
        hostile_log(folder.path(), (&stand, &log), (text, &in_ron(text)));
        let output = run(folder.path(), &["report", "small.ron", "--learn", "bad.ron", "-o", "-"]);
        assert_ne!(output.status.code(), Some(2), "{text:?}: {}", said(&output));
        let found = parsed(&String::from_utf8(output.stdout).expect("text"));
        assert_eq!(*found.faults.borrow(), Vec::<String>::new(), "{text:?}");
        let tags = found.tags.take();
        let first = plain.get_or_insert_with(|| tags.clone());
        assert!(*first == tags, "{text:?} changes elements");
    }
}
