//! What one gets with the program besides answers: completions, manual pages, what was built in.

use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command, Output};

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(arguments)
        .env("COLUMNS", "1000")
        .output()
        .expect("the program runs")
}

fn printed(arguments: &[&str]) -> String {
    let output = run(arguments);
    let err = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!((output.status.code(), err.as_str()), (Some(0), ""), "{arguments:?}");
    String::from_utf8(output.stdout).expect("text")
}

/// The commands that the help lists, but for `help` itself.
fn commands() -> Vec<String> {
    let help = printed(&["--help"]);
    let (_, rest) = help.split_once("Commands:\n").expect("a list of commands");
    let lines = rest.lines().take_while(|line| !line.trim().is_empty());
    let word = |line: &str| {
        line.strip_prefix("  ").and_then(|line| line.split(' ').next()).map(str::to_owned)
    };
    let found: Vec<String> =
        lines.filter_map(word).filter(|w| !w.is_empty() && w != "help").collect();
    assert!(found.len() >= 18, "{found:?}");
    found
}

/// The long options that the help of a command lists.
fn options(help: &str) -> BTreeSet<String> {
    let long = |line: &str| {
        let line = line.trim_start();
        let line =
            line.split_once(", ").filter(|(short, _)| short.len() == 2).map_or(line, |(_, l)| l);
        let name: String = line
            .strip_prefix("--")?
            .chars()
            .take_while(|c| c.is_ascii_lowercase() || *c == '-')
            .collect();
        (!name.is_empty()).then(|| format!("--{name}"))
    };
    help.lines().filter(|line| line.starts_with("  ")).filter_map(long).collect()
}

fn is_there(program: &str) -> bool {
    Command::new("sh")
        .args(["-c", &format!("command -v {program} >/dev/null")])
        .status()
        .is_ok_and(|status| status.success())
}

#[test]
fn every_command_has_a_manual_page_that_names_its_options() {
    let folder = tempfile::tempdir().expect("a folder");
    let pages = folder.path().join("man 1");
    let said = printed(&["man", "-o", pages.to_str().expect("a name")]);
    let commands = commands();
    assert!(said.starts_with(&format!("Wrote {} pages into ", commands.len() + 1)), "{said}");
    let read = |name: &str| {
        let text = std::fs::read_to_string(pages.join(name));
        text.unwrap_or_else(|error| panic!("{name}: {error}")).replace("\\-", "-")
    };
    let whole = read("coolwright.1");
    let mut seen = 0;
    for command in &commands {
        assert!(
            whole.contains(&format!("coolwright-{command}(1)")),
            "{command} is not in\n{whole}"
        );
        let page = read(&format!("coolwright-{command}.1"));
        let options = options(&printed(&[command, "--help"]));
        for option in &options {
            assert!(page.contains(option.as_str()), "{option} is not in\n{page}");
        }
        seen += options.len();
        assert!(page.contains(concat!("coolwright ", env!("CARGO_PKG_VERSION"))), "{page}");
    }
    assert!(seen > 80, "{seen} options");
    let count = std::fs::read_dir(&pages).expect("a folder").count();
    assert_eq!(count, commands.len() + 1, "nothing else is there");
    for command in std::iter::once(String::new()).chain(commands.iter().map(|c| format!("-{c}"))) {
        typeset(&pages.join(format!("coolwright{command}.1")));
    }
    // A second run writes the same bytes over them.
    let before = std::fs::read(pages.join("coolwright-point.1")).expect("a page");
    printed(&["man", "-o", pages.to_str().expect("a name")]);
    assert_eq!(before, std::fs::read(pages.join("coolwright-point.1")).expect("a page"));
}

/// Has a page set by groff, where that is at hand, with all its warnings: it has none.
fn typeset(page: &Path) {
    if !is_there("groff") {
        println!("not set: there is no groff here");
        return;
    }
    let output = Command::new("groff")
        .args(["-man", "-Tutf8", "-Kutf8", "-ww", "-P-cbou"])
        .arg(page)
        .output()
        .expect("groff runs");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success() && said.is_empty(), "{}: {said}", page.display());
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(text.contains("NAME") && text.contains("coolwright"), "{text}");
}

#[test]
fn every_shell_completes_commands_and_options() {
    let commands = commands();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = printed(&["completions", shell]);
        for command in &commands {
            assert!(script.contains(command.as_str()), "{shell} does not know {command}");
        }
        for option in ["units", "xlsx", "longest", "between", "with"] {
            assert!(script.contains(option), "{shell} does not know --{option}");
        }
        assert!(script.ends_with('\n'), "{shell}");
    }
    let unknown = run(&["completions", "tcsh"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&unknown.stderr).contains("bash"), "it names those it knows");
}

/// bash itself, asked what may come next.
#[test]
fn bash_completes() {
    if !is_there("bash") {
        println!("not asked: there is no bash here");
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let script = folder.path().join("coolwright");
    std::fs::write(&script, printed(&["completions", "bash"])).expect("it can be written");
    let asked = |words: &str, at: usize| {
        let ask = format!(
            "set -u; . '{}'; COMP_WORDS=({words}); COMP_CWORD={at}; COMP_LINE='{words}'; \
             _coolwright coolwright \"${{COMP_WORDS[{at}]}}\" \"${{COMP_WORDS[{}]}}\"; printf '%s\\n' \"${{COMPREPLY[@]}}\"",
            script.display(),
            at - 1
        );
        let output = Command::new("bash").args(["-c", &ask]).output().expect("bash runs");
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(output.status.success() && said.is_empty(), "{words}: {said}");
        String::from_utf8_lossy(&output.stdout).lines().map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(asked("coolwright comp", 1), ["compare", "completions"]);
    assert_eq!(asked("coolwright cycle --lo", 2), ["--longest"]);
    assert_eq!(asked("coolwright point --units u", 3), ["us"]);
}

/// In short the version alone; whoever asks in full is told what was built in, and for what.
#[test]
fn the_version_says_what_was_built() {
    let version = env!("CARGO_PKG_VERSION");
    assert_eq!(printed(&["-V"]), format!("coolwright {version}\n"));
    let said = printed(&["--version"]);
    let lines: Vec<&str> = said.lines().collect();
    let page = if cfg!(feature = "live") { "with" } else { "without" };
    assert_eq!(lines[0], format!("coolwright {version}, {page} the live page"));
    let profile = if cfg!(debug_assertions) { "debug" } else { "release" };
    let (target, built) = lines[1]
        .strip_prefix("built for ")
        .and_then(|rest| rest.split_once(", "))
        .unwrap_or_else(|| panic!("{said}"));
    assert!(target.contains(std::env::consts::ARCH), "{said}");
    assert_eq!((built, lines.len()), (profile, 2), "{said}");
}
