//! Logs and stand files that cannot be used: a clear message with its place, and no answer.

use std::process::Command;

/// Learns from a stand file and a log beside the case of the demo: status, standard output, standard error.
fn learn(stand: &str, log: &str, words: &[&str]) -> (Option<i32>, String, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let case = include_str!("../../../cases/learn/tender.ron");
    for (name, text) in [("tender.ron", case), ("stand.ron", stand), ("stand.csv", log)] {
        std::fs::write(folder.path().join(name), text).expect("it can be written");
    }
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .current_dir(folder.path())
        .arg("learn")
        .arg("tender.ron")
        .args(words)
        .output()
        .expect("the program runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code(), text(&output.stdout), text(&output.stderr))
}

const STAND: &str = "Stand(\n    log: \"stand.csv\",\n    time: (\"t\", \"s\"),\n    drives: [(\"power\", \"P\", \"kW\")],\n    \
                     gauges: [(\"engine_out\", \"T\", \"°C\")],\n)\n";

fn log() -> String {
    (0..60).fold("t,P,T\n".to_owned(), |log, k| {
        format!("{log}{k},50,{}\n", 60.0 + 0.01 * f64::from(k))
    })
}

#[test]
fn a_stand_file_that_does_not_fit_is_refused_at_its_place() {
    for (was, is, told) in [
        (
            "\"engine_out\"",
            "\"engine_uot\"",
            &["the case has no gauge `engine_uot`", "did you mean `engine_out`?", "stand.ron:5:15"]
                [..],
        ),
        (
            "\"power\"",
            "\"engine_sped\"",
            &["there is no value at `engine_sped`", "did you mean `engine_speed`?"],
        ),
        ("\"°C\"", "\"kPa\"", &["the unit of this column", "stand.ron:5"]),
        ("\"kW\"", "\"°C\"", &["expected a power", "stand.ron:4"]),
        ("(\"t\", \"s\")", "(\"t\", \"kg\")", &["expected a time"]),
        (
            "log: \"stand.csv\"",
            "log: \"other.csv\"",
            &["cannot read the log `other.csv`", "there is no such file", "stand.ron:2:10"],
        ),
        ("log: \"stand.csv\"", "log: \"../stand.csv\"", &["cannot read the log", "no such file"]),
        ("\"P\"", "\"Pwr\"", &["the log has no column `Pwr`", "it has: t, P, T"]),
        ("gauges: [(\"engine_out\", \"T\", \"°C\")]", "gauges: []", &["nothing to compare"]),
        ("gauges:", "gages:", &["did you mean `gauges`?"]),
        (
            "\n)",
            "\n    fit: [Fit(at: \"charge/loop/pump:hed_scale\")],\n)",
            &[
                "there is no value at `charge/loop/pump:hed_scale`",
                "did you mean `charge/loop/pump:head_scale`?",
                "stand.ron:6:19",
            ],
        ),
        (
            "\n)",
            "\n    fit: [Fit(at: \"cores/radiator:blocked\")],\n)",
            &["in which range may `cores/radiator:blocked` be?", "give `from` and `to`"],
        ),
        (
            "\n)",
            "\n    fit: [Fit(at: \"cores/radiator:heat\", from: \"80 kW\", to: \"60 kW\")],\n)",
            &["is empty"],
        ),
        (
            "\n)",
            "\n    fit: [Fit(at: \"cores/radiator:heat\", from: \"3 bar\")],\n)",
            &["expected a"],
        ),
        (
            "\n)",
            "\n    fit: [Fit(at: \"air_paths/front/fan:count\", from: 1, to: 3)],\n)",
            &["cannot be fitted"],
        ),
    ] {
        assert!(STAND.contains(was), "{was}");
        let (code, out, err) = learn(&STAND.replacen(was, is, 1), &log(), &["stand.ron"]);
        assert!(code == Some(2) && out.is_empty(), "{is}: {code:?} {out}");
        for told in told {
            assert!(err.contains(told), "{is}: {told} is not in\n{err}");
        }
        assert!(!err.contains("panicked"), "{err}");
    }
}

#[test]
fn a_log_that_is_none_is_refused_at_the_place_that_names_it() {
    let units = "t,P,T\ns,kW,°F\n".to_owned() + log().split_once('\n').expect("rows").1;
    let cold = log().replace(",60.", ",-160.");
    let text = log().replace(",60.", ",warm 60.");
    for (log, told) in [
        (String::new(), &["the log is empty"][..]),
        ("t,P,T\n".to_owned(), &["no rows of numbers"]),
        ("t,P,T\n0,1,2\n".to_owned(), &["a single row"]),
        ("time;P;T\n0;1;2\n1;1;2\n".to_owned(), &["no line of the log has a column `t`"]),
        (units, &["of `T` the log says `°F`", "stand.ron:5"]),
        (cold, &["no gauge of the log has numbers to compare"]),
        (text, &["no gauge of the log has numbers to compare"]),
        ("\u{0}\u{1}".to_owned(), &["no plain text"]),
        (
            "t;P;T\n0;50;60,123\n1;50;60,456\n".to_owned(),
            &["`60,123` in the column `T` can be read in two ways", "60.123 or 60123", "line 2"],
        ),
    ] {
        let (code, out, err) = learn(STAND, &log, &["stand.ron"]);
        assert!(code == Some(2) && out.is_empty(), "{told:?}: {code:?} {out}");
        for told in told {
            assert!(err.contains(told), "{told} is not in\n{err}");
        }
        assert!(err.contains("stand.ron:"), "{err}");
    }
    let (code, _, err) = learn(STAND, &log(), &["none.ron"]);
    assert!(code == Some(2) && err.contains("no such file"), "{err}");
    let (code, _, err) = learn(STAND, &log(), &[]);
    assert!(code == Some(2) && err.contains("--columns"), "{err}");
}

/// Full power that is not what the log means: the case boils, and that is what is said.
#[test]
fn a_log_that_boils_the_case_is_refused_with_where_to_look() {
    let hot: String =
        (0..2000).fold("t,P,T\n".to_owned(), |log, k| format!("{log}{k},210,{}\n", 60 + k % 7));
    let (code, _, err) = learn(STAND, &hot, &["stand.ron"]);
    assert_eq!(code, Some(2), "{err}");
    assert!(err.contains("boils at") && err.contains("look at what drives"), "{err}");
}

/// Columns by their names: what is printed is a stand file.
#[test]
fn columns_are_proposed_by_words_and_units() {
    let log = include_str!("../../../cases/learn/stand.csv");
    let (code, proposed, err) = learn(STAND, log, &["--columns", "stand.csv"]);
    assert_eq!(code, Some(0), "{err}");
    for row in [
        "time: (\"t\", \"s\")",
        "(\"power\", \"P_shaft\", \"kW\")",
        "(\"engine_speed\", \"n_eng\", \"rpm\")",
        "(\"site:air\", \"T_amb\", \"°C\")",
        "(\"engine_out\", \"T_eng_out\", \"°C\")",
        "(\"engine_in\", \"T_eng_in\", \"°C\")",
        "(\"engine_flow\", \"Q_eng\", \"L/min\")",
        "(\"charge_hot\", \"T_chg_hot\", \"°C\")",
        "(\"charge_cold\", \"T_chg_cold\", \"°C\")",
        "(\"pump_delivery\", \"p_pump\", \"kPa\")",
        "// Not placed: note",
    ] {
        assert!(proposed.contains(row), "{row} is not in\n{proposed}");
    }
}

/// A pressure may be told against the air or against nothing: either is read off the row of units, and held against the
/// stand file.
#[test]
fn pressures_of_a_log_say_what_they_are_against() {
    let stand = STAND.replace("\"°C\")]", "\"°C\"), (\"pump_delivery\", \"p_pump\", \"kPa\")]");
    let log = |unit: &str| {
        let head = format!("t,P,T,p_pump\ns,kW,°C,{unit}\n");
        (0..60).fold(head, |log, k| format!("{log}{k},50,{},42\n", 60.0 + 0.01 * f64::from(k)))
    };
    for (unit, differs) in [("psig", true), ("barg", true), ("kPag", false), ("kPa(g)", false)] {
        let (_, proposed, err) = learn(&stand, &log(unit), &["--columns", "stand.csv"]);
        let row = format!("(\"pump_delivery\", \"p_pump\", \"{unit}\")");
        assert!(proposed.contains(&row), "{row} is not in\n{proposed}{err}");
        let (code, _, err) = learn(&stand, &log(unit), &["stand.ron"]);
        assert_eq!(code == Some(2) && err.contains("the log says"), differs, "{unit}: {err}");
    }
    for unit in ["kPa abs", "kPa(a)", "psia"] {
        let (code, _, err) = learn(&stand, &log(unit), &["stand.ron"]);
        assert!(code == Some(2) && err.contains(&format!("the log says `{unit}`")), "{err}");
        // Told so, it is an absolute pressure: nothing to refuse.
        let told = stand.replace("\"kPa\"", &format!("\"{unit}\""));
        let (_, _, err) = learn(&told, &log(unit), &["stand.ron"]);
        assert!(!err.contains("absolute") && !err.contains("the log says"), "{unit}: {err}");
        // And a log against the air is not that.
        let (code, _, err) = learn(&told, &log("psig"), &["stand.ron"]);
        assert!(code == Some(2) && err.contains("the log says `psig`"), "{unit}: {err}");
    }
}

/// A gauge that is called as its column is placed there, whatever else is in its name; and a name may hold what separates.
#[test]
fn a_gauge_that_is_called_as_its_column_is_placed_there() {
    let case = include_str!("../../../cases/learn/tender.ron");
    let folder = tempfile::tempdir().expect("a folder");
    let rows: String = (0..30).map(|k| format!("{k},50,60.{k},140.{k}\n")).collect();
    let log = format!("t,\"P, shaft\",pressure,flow\ns,kW,kPa,L/min\n{rows}");
    let case = case
        .replace("\"engine_flow\":", "\"flow\":")
        .replace("\"pump_delivery\":", "\"pressure\":");
    for (name, text) in [("tender.ron", &case), ("stand.csv", &log)] {
        std::fs::write(folder.path().join(name), text).expect("it can be written");
    }
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .current_dir(folder.path())
        .args(["learn", "tender.ron", "--columns", "stand.csv"])
        .output()
        .expect("the program runs");
    let proposed = String::from_utf8_lossy(&output.stdout);
    for row in [
        "(\"flow\", \"flow\", \"L/min\")",
        "(\"pressure\", \"pressure\", \"kPa\")",
        "(\"power\", \"P, shaft\", \"kW\")",
    ] {
        assert!(proposed.contains(row), "{row} is not in\n{proposed}");
    }
}

/// One thermometer of the engine shows head and flow of its pump and the radiator together: what cannot be told apart is
/// said, and which gauge would.
#[test]
fn what_cannot_be_told_apart_is_said_with_the_gauge_that_would() {
    let log = include_str!("../../../cases/learn/stand.csv");
    let stand = r#"Stand(log: "stand.csv", time: ("t", "s"), drives: [("power", "P_shaft", "kW")],
        gauges: [("engine_out", "T_eng_out", "°C")],
        fit: [Fit(at: "engine/loop/pump:head_scale"), Fit(at: "engine/loop/pump:flow_scale"),
            Fit(at: "cores/radiator:heat")])"#;
    let (code, out, err) = learn(stand, log, &["stand.ron", "--full"]);
    assert!(code.is_some_and(|code| code < 2), "{err}");
    let words: Vec<&str> = out.split_whitespace().collect();
    let told = words.join(" ");
    assert!(told.contains("NOT TOLD by this log"), "{out}");
    assert!(told.contains("cannot be told apart from this log"), "{out}");
    assert!(told.contains("a flow meter in `engine/loop`"), "{out}");
    assert!(told.contains("In `engine` heat cannot be measured: it has no flow meter"), "{out}");
}

#[test]
fn us_units_are_us_units() {
    let log = include_str!("../../../cases/learn/stand.csv");
    let stand = include_str!("../../../cases/learn/stand.ron");
    let (_, out, err) = learn(stand, log, &["stand.ron", "--units", "us", "--full"]);
    assert!(out.contains("VERDICT"), "{err}");
    for unit in [" °C", " kPa", " L/min", " kW", " K "] {
        assert!(!out.contains(unit), "{unit} in\n{out}");
    }
    for line in out.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
    let (_, short, _) = learn(stand, log, &["stand.ron"]);
    assert!(short.lines().count() <= 100, "{}", short.lines().count());
    // However short it is, it says what the numbers do not.
    assert!(short.contains("What the fitted numbers do not say, they swallow"), "{short}");
}

/// What a thermometer shows that no number explains: nothing holds with it, and the verdict says why.
#[test]
fn with_a_log_that_does_not_fit_nothing_holds() {
    let wild = (0..300).fold("t,P,T\n".to_owned(), |log, k| {
        format!("{log}{k},50,{:.2}\n", 60.0 + 20.0 * (0.2 * f64::from(k)).sin())
    });
    let stand = STAND.replace("\n)", "\n    fit: [Fit(at: \"cores/radiator:heat\")],\n)");
    let (code, out, err) = learn(&stand, &wild, &["stand.ron"]);
    assert_eq!(code, Some(1), "{out}{err}");
    assert!(out.starts_with("VERDICT  NOT JUDGED with what was learnt"), "{out}");
    assert!(out.contains("`engine_out` does not fit with what was learnt: off by"), "{out}");
}

/// A log is measured once: no answer is written over it, nor over the stand file.
#[test]
fn a_log_is_not_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let log = log();
    let case = include_str!("../../../cases/learn/tender.ron");
    let stand = STAND.replace("\n)", "\n    fit: [Fit(at: \"cores/radiator:heat\")],\n)");
    let files = [("tender.ron", case), ("stand.ron", &stand), ("stand.csv", &log)];
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("it can be written");
    }
    for words in [
        ["-o", "stand.csv"],
        ["--csv", "./stand.csv"],
        ["--xlsx", "stand.csv"],
        ["-o", "stand.ron"],
    ] {
        let done = Command::new(env!("CARGO_BIN_EXE_coolwright"))
            .current_dir(folder.path())
            .args(["learn", "tender.ron", "stand.ron"])
            .args(words)
            .output()
            .expect("the program runs");
        let said = String::from_utf8_lossy(&done.stderr);
        assert_eq!(done.status.code(), Some(2), "{words:?}: {said}");
        assert!(said.contains("would be written over"), "{words:?}: {said}");
        for (name, text) in files {
            assert_eq!(
                std::fs::read_to_string(folder.path().join(name)).expect("it is there"),
                text
            );
        }
    }
}
