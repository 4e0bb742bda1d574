//! The pressure survey as printed, recomputed from what is printed: nothing but its own text is used.

use std::process::Command;

use coolwright_models::parts::GRAVITY;

/// A row of the survey: height, bore, velocity, total, static, coolant, vapour, margin; SI.
#[derive(Clone, Debug)]
struct Row {
    after: String,
    before: String,
    numbers: Vec<Option<f64>>,
    mark: String,
}

impl Row {
    fn number(&self, column: usize) -> f64 {
        self.numbers[column].unwrap_or_else(|| panic!("no number {column} in {self:?}"))
    }
}

/// The answer of `point` on a demo case, at a time of its cycle where one is given, in SI units.
fn answer(case: &str, at: Option<&str>) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_coolwright"))
        .args(["point", case, "--full", "--units", "si"])
        .args(at.iter().flat_map(|at| ["--at", at]))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    String::from_utf8(output.stdout).expect("the answer is UTF-8")
}

/// The number before a unit that follows a phrase.
fn number_after(text: &str, phrase: &str) -> f64 {
    let rest = &text[text.find(phrase).unwrap_or_else(|| panic!("no {phrase:?}")) + phrase.len()..];
    let word = rest.split_whitespace().next().expect("a word");
    word.parse().unwrap_or_else(|_| panic!("{word:?} after {phrase:?}"))
}

/// Air of the site, and the rows of each circuit's survey.
fn surveys(text: &str) -> Vec<(String, f64, Vec<Row>)> {
    let mut found = Vec::new();
    for part in text.split("PRESSURE SURVEY of `").skip(1) {
        let name = part.split('`').next().expect("a name").to_owned();
        let air = number_after(part, "air of the site ");
        let table = part.split("  static = total").next().expect("a table");
        let rows = table.lines().filter_map(row).collect();
        found.push((name, air, rows));
    }
    found
}

fn row(line: &str) -> Option<Row> {
    // Names of what the program makes have spaces; columns are two apart.
    let words = line.split("  ").map(str::trim).filter(|word| !word.is_empty());
    let words: Vec<&str> = words.collect();
    if words.len() < 10 {
        return None;
    }
    let numbers: Vec<Option<f64>> = words[2..10].iter().map(|word| word.parse().ok()).collect();
    // Height and pressures are numbers in every row, words in the headings.
    numbers[3]?;
    let [after, before] = [words[0], words[1]].map(str::to_owned);
    Some(Row { after, before, numbers, mark: words[10..].join(" ") })
}

/// Density at the coldest and at the hottest coolant of a circuit, as printed: (K, kg/m³).
fn densities(text: &str, circuit: &str) -> [(f64, f64); 2] {
    let start = text.find(&format!("CIRCUIT `{circuit}`")).expect("the circuit");
    let lines: Vec<&str> =
        text[start..].lines().filter(|line| line.trim_start().starts_with("at ")).take(2).collect();
    let at = |line: &str| (number_after(line, "at "), number_after(line, "density "));
    [at(lines[0]), at(lines[lines.len() - 1])]
}

fn close(what: &str, row: &Row, got: f64, want: f64, tolerance: f64) {
    assert!(
        (got - want).abs() <= tolerance,
        "{what}: {got}, by hand {want} ± {tolerance}: {row:?}"
    );
}

/// static = total − ½ρv², margin = static + air − vapour, in every row of every demo; the marks stand where
/// they belong; and inside a tank the ports stand ρ g z below the surface.
#[test]
fn every_row_of_the_survey_can_be_recomputed() {
    for (case, at) in [
        ("cases/first.ron", None),
        ("cases/desert_racer.ron", None),
        // Its ice melts, so nothing is steady there: a moment of its pull.
        ("cases/sled_tractor.ron", Some("5 s")),
    ] {
        let text = answer(case, at);
        for (circuit, air, rows) in surveys(&text) {
            assert!(rows.len() > 5, "{case} {circuit}");
            let [(cold, dense), (hot, light)] = densities(&text, &circuit);
            let slope = if hot > cold { (light - dense) / (hot - cold) } else { 0.0 };
            for row in &rows {
                let velocity = row.numbers[2].unwrap_or(0.0);
                let density = dense + slope * (row.number(5) - cold);
                let head = 0.5 * density * velocity * velocity;
                // Velocity has three digits, density four, the pressures whole pascals.
                let digits = 0.012 * head + 2.0;
                close("static", row, row.number(4), row.number(3) - head, digits);
                let margin = row.number(4) + air - row.number(6);
                close("margin", row, row.number(7), margin, 2.0);
            }
            let lowest = rows.iter().map(|row| row.number(7)).fold(f64::INFINITY, f64::min);
            for row in &rows {
                let is_lowest = row.number(7) <= lowest + 1.0;
                assert!(!row.mark.contains("LOWEST") || is_lowest, "{row:?}");
                // What the program makes around pumps is no pump.
                let made = row.before.contains(" of ") || row.before.ends_with("/valve");
                let inlet = row.before.contains("pump") && !made;
                assert_eq!(row.mark.contains("pump inlet"), inlet, "{row:?}");
            }
            assert_eq!(
                rows.iter().filter(|row| row.mark.contains("LOWEST")).count(),
                1,
                "{circuit}"
            );
            let surface = rows.iter().find(|row| row.before == "(surface)").expect("a tank");
            let ports = rows.iter().find(|row| row.before == "(ports)").expect("a tank");
            let density = dense + slope * (ports.number(5) - cold);
            let weight = density * GRAVITY * surface.number(0);
            close("ports", ports, ports.number(4), surface.number(4) + weight, 3.0);
        }
    }
}

/// From one row to the next of a single loop the total falls by the budget's fall and ρ g for what is gained
/// in height; the way around ends where it began.
#[test]
fn the_survey_and_the_budget_tell_the_same() {
    let text = answer("cases/desert_racer.ron", None);
    let (_, _, rows) = surveys(&text).into_iter().next().expect("the drive circuit");
    let budget = text.split("Where the pressure goes").nth(1).expect("a budget");
    let fall = |part: &str| {
        let line = budget.lines().find(|line| line.split_whitespace().next() == Some(part));
        let line = line.unwrap_or_else(|| panic!("no {part}"));
        let fall = line.split_whitespace().find_map(|word| word.parse::<f64>().ok());
        fall.unwrap_or_else(|| panic!("no fall in {line:?}"))
    };
    // Between what flows into the tank and out of it stand the rows of what is in it.
    let inside = |row: &&Row| row.before.starts_with('(');
    let loop_rows: Vec<&Row> = rows.iter().filter(|row| !inside(row)).collect();
    assert_eq!(rows.len() - loop_rows.len(), 2);
    for pair in loop_rows.windows(2) {
        assert_eq!(pair[0].before, pair[1].after, "rows follow each other");
        let drop = pair[0].number(3) - pair[1].number(3);
        let own = fall(&pair[0].before);
        let rise = pair[1].number(0) - pair[0].number(0);
        // 50 % glycol at 68 °C: 1047 kg/m³ (handbook tables, from memory).
        let weight = 1047.0 * GRAVITY * rise;
        let digits = 2.0 + 0.003 * weight.abs() + 0.0005 * own.abs();
        close("total from row to row", pair[0], drop, own + weight, digits);
    }
    let (first, last) = (loop_rows[0], loop_rows[loop_rows.len() - 1]);
    assert_eq!(last.before, first.after, "around the loop");
    assert!(first.before.contains("pump"), "it begins at a pump: {first:?}");
}
