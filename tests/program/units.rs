//! Units of one system alone: whatever is asked of whatever case, faults included.
//!
//! What the file itself says, it may say in its own units.

use std::collections::BTreeSet;
use std::path::Path;

use assert_cmd::Command;

const DEMOS: [&str; 4] = ["first", "sled_tractor", "desert_racer", "hill_climb_coupe"];
const COMMANDS: [&str; 4] = ["check", "point", "cycle", "compare"];

/// Units that are no word, and those that count only behind a number.
struct Units {
    anywhere: &'static [&'static str],
    behind_numbers: &'static [&'static str],
}

const METRIC: Units = Units {
    anywhere: &[
        "°C",
        "kPa",
        "Pa",
        "MPa",
        "bar",
        "mbar",
        "L/min",
        "L/s",
        "L/h",
        "m³/h",
        "m³/s",
        "m³",
        "kW",
        "kJ",
        "MJ",
        "mm",
        "cm",
        "µm",
        "km",
        "kg",
        "kg/s",
        "kg/m³",
        "m/s",
        "km/h",
        "kJ/K",
        "W/K",
        "kW/K",
        "kJ/(kg·K)",
        "mPa·s",
        "W/(m²·K)",
        "cm²",
        "m²",
        "mmH2O",
        "mH2O",
        "mmHg",
        "mL",
    ],
    behind_numbers: &["K", "L", "W", "J", "m", "g", "t"],
};

const US: Units = Units {
    anywhere: &[
        "°F",
        "psi",
        "psig",
        "psia",
        "gpm",
        "gph",
        "cfm",
        "fl",
        "in²",
        "ft²",
        "ft³",
        "lb",
        "lb/min",
        "lb/ft³",
        "Btu",
        "Btu/min",
        "Btu/°F",
        "Btu/(h·°F)",
        "Btu/(min·°F)",
        "hp",
        "mph",
        "ft/s",
        "inH2O",
        "ftH2O",
        "inHg",
    ],
    behind_numbers: &["ft", "gal", "qt", "pt", "mi", "yd", "in"],
};

impl Units {
    /// The first of them in a line, with the number before it if there is one.
    fn found_in(&self, line: &str) -> Option<String> {
        let trim = |word: &str| word.trim_matches(|c: char| ",;:.()`\"'[]".contains(c)).to_owned();
        let words: Vec<String> = line.split_whitespace().map(trim).collect();
        words.iter().enumerate().find_map(|(k, word)| {
            let number = k.checked_sub(1).map(|before| words[before].as_str()).filter(|before| {
                // A time on the clock has no unit.
                before.ends_with(|c: char| c.is_ascii_digit())
                    && !before.contains(':')
                    && before.starts_with(|c: char| c.is_ascii_digit() || "+-".contains(c))
            });
            // `2 in parallel` is no length.
            let preposition = word == "in"
                && words.get(k + 1).is_some_and(|next| next.starts_with(char::is_alphabetic));
            let anywhere = self.anywhere.iter().any(|unit| trim(unit) == *word);
            let behind =
                number.is_some() && self.behind_numbers.contains(&word.as_str()) && !preposition;
            (anywhere || behind)
                .then(|| number.map_or(word.clone(), |number| format!("{number} {word}")))
        })
    }
}

/// What a command prints for people, without the lines of the file that errors show.
fn printed(folder: &Path, args: &[&str]) -> String {
    let mut program = Command::cargo_bin("coolwright").expect("the program");
    let output = program.current_dir(folder).args(args).output().expect("it runs");
    let said = [output.stdout, output.stderr]
        .map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
        .concat();
    let of_file = |line: &str| {
        let line = line
            .trim_start()
            .trim_start_matches(|c: char| c.is_ascii_digit())
            .trim_start_matches("...");
        line.trim_start().starts_with('|')
    };
    said.lines().filter(|line| !of_file(line)).map(|line| format!("{line}\n")).collect()
}

/// The lines that hold a unit of the other system which the file does not write itself.
fn strangers(
    folder: &Path,
    args: &[&str],
    (units, own): (&Units, &str),
    into: &mut BTreeSet<String>,
) {
    for line in printed(folder, args).lines() {
        // A list of units that can be written names the US ones behind those of a metric reader.
        let line = line.split_once("; US ones: ").map_or(line, |(own, _)| own);
        // What the file writes in feet or pounds is answered in their like: feet of water, inches, psi.
        let like = |found: &str| {
            let pairs = [(" ft", "ftH2O"), (" lb", "psi"), ("'", "ft"), ("'", "in")];
            pairs.iter().any(|(written, told)| own.contains(written) && found.ends_with(told))
        };
        // Electric power is in watts in all systems.
        let electric = |found: &str| {
            found.ends_with('W') && ["electric", "draws"].iter().any(|word| line.contains(word))
        };
        if let Some(found) = units.found_in(line)
            && !own.contains(&found)
            && !like(&found)
            && !electric(&found)
        {
            into.insert(format!("{}: {found:?} in {}", args.join(" "), line.trim()));
        }
    }
}

#[test]
fn answers_hold_units_of_the_system_that_was_asked_for_alone() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
    let mut found = BTreeSet::new();
    for (system, others) in [("us", &METRIC), ("metric", &US)] {
        for demo in DEMOS {
            let name = format!("{demo}.ron");
            let text = std::fs::read_to_string(folder.join(&name)).expect("a case");
            // The title is the file's own.
            let title = text.lines().find(|line| line.contains("title:")).unwrap_or_default();
            for command in COMMANDS {
                strangers(
                    &folder,
                    &[command, &name, "--units", system],
                    (others, title),
                    &mut found,
                );
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn studies_hold_units_of_the_system_that_was_asked_for_alone() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
    let mut found = BTreeSet::new();
    for (system, others) in [("us", &METRIC), ("metric", &US)] {
        for demo in ["first.ron", "sled_tractor.ron", "guide/5_variants.ron"] {
            let text = std::fs::read_to_string(folder.join(demo)).expect("a case");
            let title = text.lines().find(|line| line.contains("title:")).unwrap_or_default();
            let address = match demo {
                "first.ron" => "drive/loop/pump:shut_off",
                "sled_tractor.ron" => "charge/feed/tank:ice",
                _ => "charge/far:bore",
            };
            for words in [
                &["levers", demo, "--full"][..],
                &["failures", demo, "--full"],
                &["size", demo, address, "--point", "--full"],
                &["chance", demo, "--point", "--samples", "8", "--full"],
                &["grid", demo, "--over", "site:air=20 °C,30 °C", "--point", "--full"],
            ] {
                let words = [words, &["--units", system]].concat();
                let own = format!("{title} {}", variants_of(&folder, &words));
                strangers(&folder, &words, (others, &own), &mut found);
            }
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

/// What an answer shows of the file: changes as a variant writes them, in the units of the file.
fn variants_of(folder: &Path, words: &[&str]) -> String {
    let words = [words, &["--json"]].concat();
    let said = printed(folder, &words);
    let lines = said.lines().filter(|line| line.contains("\"variant\": \"["));
    lines.collect::<Vec<_>>().join(" ")
}

/// A case of which nearly every finding with a number in its words is told.
#[test]
fn findings_hold_units_of_the_system_that_was_asked_for_alone() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/program/cases");
    let mut found = BTreeSet::new();
    let name = "much_to_look_at.ron";
    let said = printed(&folder, &["check", name, "--units", "us", "--json"]);
    for subject in
        ["suction below the pressure of the air", "long suction line", "tank nearly empty"]
    {
        assert!(said.contains(subject), "{subject} is not in {said}");
    }
    for (system, others) in [("us", &METRIC), ("metric", &US)] {
        for command in ["check", "point", "cycle"] {
            strangers(&folder, &[command, name, "--units", system], (others, ""), &mut found);
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

#[test]
fn errors_hold_units_of_the_system_that_was_asked_for_alone() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faults");
    let mut found = BTreeSet::new();
    for entry in std::fs::read_dir(&folder).expect("the folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_none_or(|extension| extension != "ron") {
            continue;
        }
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let text = std::fs::read_to_string(&path).expect("a text");
        let command =
            text.lines().find_map(|line| line.strip_prefix("//! run: ")).unwrap_or("check");
        let body: String = text.lines().filter(|line| !line.starts_with("//!")).collect();
        let words = command.split_whitespace();
        for (system, others) in [("us", &METRIC), ("metric", &US)] {
            let mut args = vec![words.clone().next().unwrap_or("check"), name.as_str()];
            args.extend(words.clone().skip(1));
            args.extend(["--units", system]);
            strangers(&folder, &args, (others, &body), &mut found);
        }
    }
    assert!(found.is_empty(), "{found:#?}");
}

/// Air is told in inches of water: 20 000 Pa are 80.3 of them, of 249.0889 Pa each (NIST SP 811, appendix B.8).
#[test]
fn pressures_of_air_are_told_in_inches_of_water() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faults");
    let said = printed(&folder, &["check", "fan_pressure_over_range.ron", "--units", "us"]);
    assert!(said.contains("must lie between 0.00401 inH2O and 80.3 inH2O"), "{said}");
    assert!(said.contains("must lie between 0.000401 inH2O and 40.1 inH2O"), "{said}");
    assert!(!said.contains("psi"), "{said}");
}
