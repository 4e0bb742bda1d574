//! A loop with a pump, a cooler and a core, to be asked with words changed.

use serde_json::Value;
use std::process::Command;

/// A loop of 25 mm with a tank, a pump, a cooler and a core; words of a case in the places of its parts.
#[derive(Clone, Copy)]
pub(crate) struct Case {
    pub(crate) air: &'static str,
    pub(crate) coolant: &'static str,
    pub(crate) start: &'static str,
    pub(crate) tank: &'static str,
    pub(crate) pump: &'static str,
    pub(crate) core: bool,
    pub(crate) fans: &'static str,
    pub(crate) cooler: &'static str,
    pub(crate) duty: &'static str,
    pub(crate) rest: &'static str,
}

/// 24 kW into 30 % glycol at 300 m above the sea, air at 30 °C.
pub(crate) const PLAIN: Case = Case {
    air: "30 °C",
    coolant: "EthyleneGlycol(by_volume: \"30 %\")",
    start: "30 °C",
    tank: "volume: \"8 L\"",
    pump: "shut_off: \"75 kPa\", free_flow: \"95 L/min\"",
    core: true,
    fans: "count: 2",
    cooler: "share: \"8 %\", fall: (fall: \"30 kPa\", at: \"45 L/min\")",
    duty: "power: \"300 kW\"",
    rest: "",
};

impl Case {
    pub(crate) fn text(&self) -> String {
        let Self { air, coolant, start, tank, pump, fans, cooler, duty, rest, .. } = self;
        let (part, core) = if self.core {
            (
                "\"radiator\": CoreSide(core: \"radiator\"),",
                format!(
                    "cores: {{ \"radiator\": Core(rated: (heat: \"40 kW\", coolant: \"60 L/min\", \
                     air: \"1.6 kg/s\", difference: \"40 K\")) }}, air_paths: {{ \"front\": AirPath(cores: \
                     [\"radiator\"], fans: {{ \"fan\": Fan({fans}, shut_off: \"260 Pa\", free_flow: \
                     \"2600 m3/h\") }}) }},"
                ),
            )
        } else {
            ("", String::new())
        };
        format!(
            "Case(site: Site(air: \"{air}\", altitude: \"300 m\"), circuits: {{ \"loop\": Circuit(coolant: \
             {coolant}, start: \"{start}\", bore: \"25 mm\", runs: {{ \"way\": Run(parts: {{ \"tank\": \
             Tank({tank}), \"pump\": Pump({pump}), \"delivery\": Hose(length: \"2 m\"), \"cooler\": \
             Pass(cooler: \"block\"), \"back\": Hose(length: \"1.5 m\"), {part} }}) }}) }}, coolers: {{ \
             \"block\": Cooler({cooler}) }}, {core} duty: Duty({duty}), {rest})"
        )
    }

    /// The exit status and the answer as JSON.
    pub(crate) fn ask(&self, words: &[&str]) -> (i32, Value) {
        let (code, answer, _) = self.run(words);
        (code, answer)
    }

    pub(crate) fn run(&self, words: &[&str]) -> (i32, Value, String) {
        run(&self.text(), words)
    }
}

/// The exit status, the answer as JSON and what was said beside it, of a case.
pub(crate) fn run(text: &str, words: &[&str]) -> (i32, Value, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("case.ron");
    std::fs::write(&path, text).expect("it can be written");
    let (command, options) = words.split_first().expect("a command");
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .arg(command)
        .arg(&path)
        .args(options)
        .arg("--json")
        .output()
        .expect("the program runs");
    let err = String::from_utf8_lossy(&output.stderr).into_owned();
    let answer = serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{words:?}: {error}: {err}\n{text}"));
    (output.status.code().expect("an exit status"), answer, err)
}

pub(crate) fn rows<'a>(answer: &'a Value, section: &str) -> &'a [Value] {
    let sections = answer["sections"].as_array().expect("sections");
    let found = sections.iter().find(|s| s["name"] == section);
    let table = &found.unwrap_or_else(|| panic!("no section {section} in {answer}"))["tables"][0];
    table["rows"].as_array().unwrap_or_else(|| panic!("no table in {section}"))
}

/// The row of a limit.
pub(crate) fn limit<'a>(answer: &'a Value, address: &str) -> &'a Value {
    let found = rows(answer, "limits").iter().find(|row| row["address"] == address);
    found.unwrap_or_else(|| panic!("no limit on {address}"))
}

pub(crate) fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}

/// The first words of an answer.
pub(crate) fn verdict(answer: &Value) -> String {
    let sections = answer["sections"].as_array().expect("sections");
    let found = sections.iter().find(|s| s["name"] == "verdict").expect("a verdict");
    found["says"][0]["text"].as_str().expect("words").to_owned()
}
