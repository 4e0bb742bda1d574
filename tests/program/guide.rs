//! The guide in `guide/`: what it shows is what the program prints, draws and reads, its chapters lead where it says,
//! and the numbers on the way are those of sums done by hand.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::demos::{L_MIN, ask, hose_kpa, result, root, variant, within};
use crate::shown::{blocks, guide_pages, hold, printed, text, words};

/// Where the pages of the guide lie.
const PAGES: &str = "guide/src";

fn file(path: impl AsRef<Path>) -> PathBuf {
    crate::shown::root().join(path)
}

/// The cases of the chapters, in their order: the name of the file and its text.
fn steps() -> Vec<(String, String)> {
    let entries = std::fs::read_dir(file("cases/guide")).expect("the guide has cases");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    let cases = paths.filter(|path| path.extension().is_some_and(|ending| ending == "ron"));
    let step = |path: PathBuf| {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        (name, std::fs::read_to_string(path).expect("a text"))
    };
    let mut steps: Vec<(String, String)> = cases.map(step).collect();
    steps.sort();
    steps
}

#[test]
fn every_answer_in_the_guide_is_what_the_program_prints() {
    let shown = hold(&guide_pages());
    assert!(shown > 50, "the guide shows {shown} commands");
}

/// A picture stands in a page, and in the paragraph below it the command that draws it.
#[test]
fn every_picture_in_the_guide_is_what_the_program_draws() {
    let mut drawn = Vec::new();
    for page in guide_pages() {
        let text = text(&page);
        for picture in text.split("](").skip(1) {
            let (path, rest) = picture.split_once(')').expect("the end of a link");
            if Path::new(path).extension().is_none_or(|ending| ending != "svg") {
                continue;
            }
            let command = rest.split("`coolwright ").nth(1).and_then(|rest| rest.split('`').next());
            let command = command.filter(|command| command.starts_with("chart "));
            let command = command.unwrap_or_else(|| panic!("{path}: no command below it"));
            let path = page.parent().expect("a folder").join(path);
            let now = printed(command);
            assert!(now.starts_with("<svg") && now.len() < 60_000, "{command}: {now:.200}");
            if std::env::var_os("WRITE_PRINTED").is_some() {
                std::fs::write(file(&path), &now).expect("the picture can be written");
            }
            let known = std::fs::read_to_string(file(&path)).unwrap_or_default();
            assert!(known == now, "{}: WRITE_PRINTED=1 draws it anew", path.display());
            drawn.push(path.file_name().expect("a name").to_owned());
        }
    }
    let kept = std::fs::read_dir(file(PAGES).join("pictures")).expect("a folder of pictures");
    for picture in kept {
        let name = picture.expect("a picture").file_name();
        assert!(drawn.contains(&name), "{} stands in no page", name.display());
    }
}

/// A piece of a case stands in one of the cases that its page names.
#[test]
fn what_the_guide_shows_of_cases_stands_in_them() {
    for page in guide_pages() {
        let text = text(&page);
        let named = text.split('`').filter(|word| {
            let path = Path::new(word);
            word.starts_with("cases/") && path.extension().is_some_and(|ending| ending == "ron")
        });
        let cases: Vec<String> = named
            .map(|name| std::fs::read_to_string(file(name)).unwrap_or_else(|_| panic!("no {name}")))
            .collect();
        for (word, lines) in blocks(&text) {
            let block = lines.join("\n");
            let stands = cases.iter().any(|case| case.contains(&block));
            assert!(word != "ron" || stands, "{}: no case holds\n{block}", page.display());
        }
    }
}

/// A chapter adds to the case of the one before it: of that all lines stay but the few that it changes.
#[test]
fn each_step_adds_to_the_one_before() {
    let steps = steps();
    for pair in steps.windows(2) {
        let [(_, before), (name, text)] = pair else { unreachable!("windows of two") };
        let lost = before.lines().filter(|line| !text.lines().any(|other| other == *line));
        // The comment, the title, and what the step is about.
        let most = if name.starts_with('2') { 8 } else { 5 };
        let lost: Vec<&str> = lost.collect();
        assert!(lost.len() <= most, "{name} lost:\n{}", lost.join("\n"));
        assert!(text.lines().count() > before.lines().count(), "{name} adds nothing");
    }
}

#[test]
fn every_step_reads_and_leads_where_the_guide_says() {
    for (name, _) in steps() {
        let path = format!("cases/guide/{name}");
        let (status, found) = ask(&["check", &path]);
        assert_eq!(status, 0, "{name}: {found:#}");
        let broken = ["4", "5", "6"].iter().any(|number| name.starts_with(number));
        let (status, _) = ask(&["point", &path]);
        assert_eq!(status, i32::from(broken), "{name}");
        let has_phases = name.as_str() >= "6";
        let status = if has_phases { ask(&["cycle", &path]).0 } else { i32::from(broken) };
        assert_eq!(status, i32::from(broken), "{name}");
        let chapter = format!("{PAGES}/job/{}", name.replace(".ron", ".md"));
        let told = std::fs::read_to_string(file(&chapter)).expect("a chapter");
        assert!(told.contains(&format!("`{path}`")), "{chapter} does not name its case");
    }
    for (step, holding) in
        [("5_variants", ["both"].as_slice()), ("6_duty_cycle", ["wide_far", "both"].as_slice())]
    {
        let (_, answer) = ask(&["compare", &format!("cases/guide/{step}.ron")]);
        for name in ["as it stands", "wide_far", "second_pump", "more_fans", "both"] {
            let holds = variant(&answer, name)["verdict"] == "holds";
            let wanted = holding.contains(&name) || name == "wide_far";
            assert_eq!(holds, wanted, "{step} {name}");
            let beside = variant(&answer, name)["beside"].as_array().expect("sentences");
            assert_eq!(beside.is_empty(), holding.contains(&name), "{step} {name}: {beside:#?}");
        }
    }
}

/// The summary lists every page once, and every link leads to something in the tree.
#[test]
fn the_summary_lists_every_page_and_every_link_leads_somewhere() {
    let summary = text(Path::new("guide/src/SUMMARY.md"));
    for page in guide_pages().iter().filter(|page| !page.ends_with("SUMMARY.md")) {
        let path = page.strip_prefix(PAGES).expect("in the guide").display().to_string();
        assert_eq!(summary.matches(&format!("({path})")).count(), 1, "{path} in the summary");
    }
    for page in crate::shown::pages() {
        let text = text(&page);
        for link in text.split("](").skip(1) {
            let (target, _) = link.split_once(')').expect("the end of a link");
            let (path, mark) = target.split_once('#').unwrap_or((target, ""));
            if path.starts_with("http") {
                continue;
            }
            let folder = file(&page).parent().expect("a folder").to_owned();
            let goal = if path.is_empty() { file(&page) } else { folder.join(path) };
            assert!(goal.exists(), "{}: {target} leads nowhere", page.display());
            if !mark.is_empty() {
                let goal = std::fs::read_to_string(&goal).expect("a page");
                let named = |line: &str| {
                    line.trim_start_matches('#').trim().to_lowercase() == mark
                        || line.contains(&format!("<a id=\"{mark}\">"))
                };
                assert!(goal.lines().any(named), "{}: no heading {target}", page.display());
            }
        }
    }
}

/// The commands that take a case, and the one that writes one, by their names.
fn commands() -> Vec<String> {
    let help = printed("--help");
    let listed = help.split("Commands:\n").nth(1).expect("commands");
    let names = listed.lines().take_while(|line| line.starts_with("  "));
    let names = names.filter_map(|line| line.split_whitespace().next().map(str::to_owned));
    let asked =
        |name: &String| name == "new" || printed(&format!("{name} --help")).contains("<CASE>");
    names.filter(asked).collect()
}

/// Each command has a page that shows its options, an example, what it does not do and how it ends.
#[test]
fn each_command_has_its_page_in_the_guide() {
    let commands = commands();
    assert!(commands.len() >= 16, "{commands:?}");
    for name in commands {
        let page = text(Path::new(&format!("{PAGES}/commands/{name}.md")));
        for part in [
            format!("# {name}: "),
            format!("\n$ coolwright {name} -h\n"),
            format!("coolwright {name} cases/"),
            "\n## What it does not do\n".to_owned(),
            "\nExit status: ".to_owned(),
        ] {
            let found = page.contains(&part) || (name == "new" && part.ends_with("cases/"));
            assert!(found, "the page of {name} lacks {part:?}");
        }
        let help = printed(&format!("{name} --help"));
        let options = help.split_whitespace().filter(|word| word.starts_with("--"));
        for option in options.map(|word| word.trim_end_matches([',', '.', '`', ')', ']'])) {
            assert!(page.contains(option), "the page of {name} does not name {option}");
        }
    }
}

/// Each line of a block of commands runs, in a copy of the cases; once where only what it writes has another name.
#[test]
fn every_command_of_the_guide_runs() {
    let folder = tempfile::tempdir().expect("a folder");
    copy(&file("cases"), &folder.path().join("cases"));
    let mut ran = BTreeSet::new();
    for page in guide_pages() {
        for (word, lines) in blocks(&text(&page)) {
            let commands = lines.iter().filter_map(|line| line.strip_prefix("coolwright "));
            for command in commands.filter(|_| word == "sh") {
                let asked = command.split(" -o ").next().unwrap_or(command);
                if !ran.insert(asked.to_owned()) {
                    continue;
                }
                let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
                    .args(words(command))
                    .current_dir(folder.path())
                    .output()
                    .expect("the program runs");
                let said = String::from_utf8_lossy(&output.stderr);
                let code = output.status.code();
                assert!(matches!(code, Some(0 | 1)), "{}: {command}: {said}", page.display());
            }
        }
    }
}

/// Copies the cases of a folder and of those in it.
fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let (path, goal) = (entry.path(), to.join(entry.file_name()));
        let is_case = path.extension().is_some_and(|ending| ending == "ron" || ending == "csv");
        if entry.file_type().expect("its kind").is_dir() {
            copy(&path, &goal);
        } else if is_case {
            std::fs::copy(&path, &goal).expect("a copy");
        }
    }
}

/// What the pages for those who work on the program name is there: files, and the functions in them.
#[test]
fn what_the_inside_of_the_guide_names_is_there() {
    for name in ["one_number", "add_a_part"] {
        for line in text(Path::new(&format!("{PAGES}/inside/{name}.md"))).lines() {
            let words: Vec<&str> = line.split('`').skip(1).step_by(2).collect();
            let folders = ["src/", "cases/", "models/", "solver/", "tests/"];
            let (paths, names): (Vec<&str>, Vec<&str>) = words
                .into_iter()
                .partition(|word| folders.iter().any(|start| word.starts_with(start)));
            let at = |path: &&str| file(path.split(':').next().unwrap_or_default());
            assert!(paths.iter().all(|path| at(path).exists()), "not all is there: {line}");
            if name != "one_number" || !line.starts_with("| ") {
                continue;
            }
            let files = paths.iter().filter_map(|path| std::fs::read_to_string(at(path)).ok());
            let texts: String = files.collect();
            let is_name = |word: &&&str| word.chars().all(|c| c.is_alphanumeric() || c == '_');
            for word in names.iter().filter(is_name) {
                assert!(texts.contains(*word), "`{word}` is not in the file: {line}");
            }
        }
    }
}

/// Step 1 by hand, with 40 % ethylene glycol by volume at 41 °C: 1050 kg/m³, 3.54 kJ/(kg·K) and 1.71 mPa·s (just above
/// the row of 40 °C in `tests/reference/fluids_ashrae_glycol.csv`, ASHRAE Handbook of Fundamentals 2001, chapter 21).
///
///   pump     70 (1 − (Q/90)²)
///   cooler   25 (Q/40)^1.8
///   core     12 (Q/45)^1.8    (the program's assumption: 12 kPa at its rated flow)
///   hoses    4.6 m of 25 mm with 6 right angles
///   tank     1.5 velocity heads
///
/// Rated with water of 20 °C: a head goes with ρ, a fall of exponent 1.8 with ρ^0.8 μ^0.2. 14 % of 110 kW warm it.
#[test]
fn the_first_step_is_what_hand_sums_say() {
    let (density, heat_capacity, viscosity) = (1050.0, 3540.0, 1.71e-3);
    let thicker = (density / 998.2_f64).powf(0.8) * (viscosity / 1.002e-3_f64).powf(0.2);
    let flow = root(1.0, 89.0, |q| {
        let velocity = q * L_MIN / (std::f64::consts::FRAC_PI_4 * 0.025 * 0.025);
        let parts = 25.0 * (q / 40.0).powf(1.8) + 12.0 * (q / 45.0).powf(1.8);
        let open = hose_kpa(q, 0.025, 4.6, 6.0, density, viscosity)
            + 1.5 * 0.5 * density * velocity * velocity / 1e3;
        density / 998.2 * 70.0 * (1.0 - (q / 90.0).powi(2)) - thicker * parts - open
    });
    let rise = 15.4e3 / (flow * L_MIN * density * heat_capacity);
    let (_, answer) = ask(&["point", "cases/guide/1_one_loop.ron"]);
    let got = result(&answer, "coolers/charge_cooler:flow") / L_MIN;
    within("flow in L/min", got, 0.98 * flow, 1.02 * flow);
    within("rise in K", result(&answer, "coolers/charge_cooler:rise"), 0.98 * rise, 1.02 * rise);
}

/// Step 3: the radiator gets air that the charge core has warmed by its heat over mass flow times 1.007 kJ/(kg·K) (dry
/// air at 35 °C, any table), and all heat of the engine, 60 % of 110 kW, goes through it, with what its pump adds:
/// some 150 L/min against some 60 kPa are 150 W at the least, and 400 W with half of it lost in the pump.
#[test]
fn the_radiator_of_the_third_step_stands_in_warmed_air() {
    let (_, answer) = ask(&["point", "cases/guide/3_second_circuit.ron"]);
    let get = |address: &str| result(&answer, address);
    let warmed = get("cores/charge_core:heat") / (get("air_paths/front:mass_flow") * 1007.0);
    let met = get("cores/radiator:air_in") - (273.15 + 30.0);
    within("air before the radiator, K over the site's", met, 0.985 * warmed, 1.015 * warmed);
    within("heat of the radiator, kW", get("cores/radiator:heat") / 1e3, 66.1, 66.4);
}
