//! Answers for programs, as JSON in SI units. The form is described in DEVELOPERS.md and has a version.

use coolwright_cases::quantity::{InUnit, Kind, UnitSystem};
use serde_json::{Map, Value as Json, json};

use super::numbers::Style;
use crate::answer::{
    Answer, Block, Cell, Column, Histories, Lay, Number, ResultValue, Row, Section, Sentence,
    State, Table, Value, VariantAnswer, kinds,
};
use crate::refusal::Refusal;

/// Version of the form of all answers.
pub const VERSION: u32 = 5;

/// An answer as JSON.
pub fn json(answer: &Answer) -> String {
    written(tree(answer))
}

/// An answer as JSON that is to be put into more of it.
pub fn tree(answer: &Answer) -> Map<String, Json> {
    let mut map = head(&format!("coolwright-{}", answer.topic.word()));
    map.insert("title".into(), json!(answer.title));
    map.insert("verdict".into(), json!(answer.verdict.map(crate::answer::Verdict::word)));
    map.insert("beside".into(), answer.beside.iter().map(sentence).collect());
    map.insert("variant".into(), json!(answer.variant));
    map.insert("phase".into(), json!(answer.phase));
    map.insert("sections".into(), sections(&answer.sections));
    map.insert(
        "cautions".into(),
        answer.cautions.iter().map(|of| json!(Style::SI.sentence(of))).collect(),
    );
    if !answer.results.is_empty() {
        map.insert("results".into(), results(&answer.results));
    }
    if let Some(histories) = &answer.histories {
        map.insert("histories".into(), histories_json(histories));
    }
    if !answer.variants.is_empty() {
        map.insert("variants".into(), answer.variants.iter().map(variant).collect());
    }
    map
}

/// Why there is no answer, as JSON.
pub fn refusal(refusal: &Refusal) -> String {
    let mut map = head("coolwright-error");
    let problem = |problem: &crate::refusal::Complaint| {
        let place = |place: &crate::refusal::At| {
            json!({
                "file": place.file,
                "line": place.line,
                "column": place.column,
                "label": place.label,
            })
        };
        json!({
            "severity": problem.severity,
            "message": problem.message,
            "help": problem.help,
            "places": problem.places.iter().map(place).collect::<Json>(),
        })
    };
    map.insert("errors".into(), refusal.complaints().iter().map(problem).collect());
    written(map)
}

fn head(format: &str) -> Map<String, Json> {
    let mut map = Map::new();
    map.insert("format".into(), json!(format));
    map.insert("version".into(), json!(VERSION));
    map.insert("program".into(), json!(env!("CARGO_PKG_VERSION")));
    map.insert("units".into(), json!("SI"));
    map
}

/// A number, or null where there is none.
fn number(value: f64) -> Json {
    if value.is_finite() { json!(value) } else { Json::Null }
}

/// The SI unit of a kind; what a pressure is counted from is said by its kind.
fn unit(kind: Kind) -> &'static str {
    match InUnit::of(kind, UnitSystem::Si).symbol {
        "" => "1",
        "Pa gauge" | "Pa abs" => "Pa",
        unit => unit,
    }
}

fn sections(all: &[Section]) -> Json {
    let seen = all.iter().filter(|section| section.seen.by_programs() && !section.is_empty());
    seen.map(section).collect()
}

fn section(section: &Section) -> Json {
    let mut map = Map::new();
    map.insert("name".into(), json!(section.name));
    if let Some(of) = &section.of {
        map.insert("of".into(), json!(of));
    }
    if let Some(title) = &section.title {
        map.insert("title".into(), sentence(title));
    }
    let mut says = Vec::new();
    let mut tables = Vec::new();
    for block in &section.blocks {
        match block {
            Block::Say(words, lay, _) => {
                let mut said = sentence(words);
                if matches!(lay, Lay::Point | Lay::Numbered(_)) {
                    said["point"] = json!(true);
                }
                says.push(said);
            }
            Block::Table(table) => tables.push(self::table(table)),
        }
    }
    if !says.is_empty() {
        map.insert("says".into(), Json::Array(says));
    }
    if !tables.is_empty() {
        map.insert("tables".into(), Json::Array(tables));
    }
    Json::Object(map)
}

/// A sentence in SI units, its words, and what stands in its slots.
fn sentence(sentence: &Sentence) -> Json {
    let text = Style::SI.sentence(sentence);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if sentence.slots.is_empty() || sentence.words == "{text}" {
        return json!({ "text": text });
    }
    let words = sentence.words.split_whitespace().collect::<Vec<_>>().join(" ");
    let slots: Map<String, Json> =
        sentence.slots.iter().map(|(name, v)| ((*name).to_owned(), value(v))).collect();
    json!({ "text": text, "words": words, "slots": slots })
}

fn value(of: &Value) -> Json {
    match of {
        Value::Nothing => Json::Null,
        Value::Number(of) => quantity(of),
        Value::Count(count) => json!(count),
        Value::Text(text) => json!(text),
        // Words with quantities in them, that is all: text, as words without any.
        Value::Sentence(words) if matches!(words.slots[..], [("text", Value::List(..))]) => {
            json!(Style::SI.sentence(words))
        }
        Value::Sentence(words) => sentence(words),
        Value::List(values, _) => values.iter().map(value).collect(),
        Value::Judged(holds, of) => json!({ "holds": holds, "says": value(of) }),
        Value::Ways(..) => json!(Style::SI.value(of)),
    }
}

fn quantity(of: &Number) -> Json {
    json!({ "value": number(of.si), "kind": kinds::word(of.kind), "unit": unit(of.kind) })
}

fn table(table: &Table) -> Json {
    let mut columns = Vec::new();
    let shown = |column: &&(usize, &Column)| column.1.seen.by_programs();
    let all: Vec<(usize, &Column)> = table.columns.iter().enumerate().collect();
    for &(k, column) in all.iter().filter(shown) {
        let heading = column.heading.replace('\n', " ");
        let mut about = json!({ "name": column.name, "heading": heading });
        if let Some(kind) = column.kind {
            about["kind"] = json!(kinds::word(kind));
            about["unit"] = json!(unit(kind));
        }
        columns.push(about);
        if table.column(k).any(|cell| cell.uncertainty.is_some()) {
            let mut off = json!({
                "name": format!("{}_uncertainty", column.name),
                "heading": "\u{b1}",
            });
            if let Some(kind) = column.kind.map(kinds::difference) {
                off["kind"] = json!(kinds::word(kind));
                off["unit"] = json!(unit(kind));
            }
            columns.push(off);
        }
    }
    let rows = table.rows.iter().filter_map(|row| match row {
        Row::Gap => None,
        Row::Cells { seen, .. } if !seen.by_programs() => None,
        Row::Cells { of, cells, .. } => {
            let mut map = Map::new();
            if let Some(of) = of {
                map.insert("address".into(), json!(of));
            }
            for &(k, column) in all.iter().filter(shown) {
                let cell = &cells[k];
                put_cell(&column.name, column.kind.is_some(), cell, &mut map);
            }
            Some(Json::Object(map))
        }
    });
    json!({ "columns": columns, "rows": rows.collect::<Json>() })
}

/// A cell under its column's name: a bare number where the column has a kind.
fn put_cell(name: &str, of_kind: bool, cell: &Cell, map: &mut Map<String, Json>) {
    let content = match &cell.value {
        Value::Number(of) if of_kind => number(of.si),
        other => value(other),
    };
    map.insert(name.to_owned(), content);
    if let Some(off) = cell.uncertainty {
        let content = match &cell.value {
            Value::Number(of) if !of_kind => {
                quantity(&Number { si: off, kind: kinds::difference(of.kind), form: of.form })
            }
            _ => number(off),
        };
        map.insert(format!("{name}_uncertainty"), content);
    }
    if let Some([least, most]) = cell.bounds {
        map.insert(format!("{name}_least"), number(least));
        map.insert(format!("{name}_most"), number(most));
    }
    match cell.state {
        State::Free => {}
        state => {
            map.insert(format!("{name}_holds"), json!(state == State::Holds));
        }
    }
}

fn results(results: &[ResultValue]) -> Json {
    let one = |result: &ResultValue| {
        let inside = json!({
            "value": number(result.value),
            "uncertainty": result.uncertainty.map(number),
            "least": result.bounds.map(|[least, _]| number(least)),
            "most": result.bounds.map(|[_, most]| number(most)),
            "kind": kinds::word(result.kind),
            "unit": unit(result.kind),
            "label": result.label,
            "formula": result.formula,
        });
        (result.address.clone(), inside)
    };
    Json::Object(results.iter().map(one).collect())
}

fn variant(variant: &VariantAnswer) -> Json {
    json!({
        "name": variant.name,
        "verdict": variant.verdict.word(),
        "beside": variant.beside.iter().map(sentence).collect::<Json>(),
        "unsolved": variant.unsolved.as_ref().map(sentence),
        "limits": variant.limits.as_ref().map(section),
        "results": results(&variant.results),
    })
}

fn histories_json(histories: &Histories) -> Json {
    let columns = histories.columns.iter().map(|column| {
        json!({
            "address": column.address,
            "kind": kinds::word(column.kind),
            "unit": unit(column.kind),
            "label": column.label,
            "formula": column.formula,
        })
    });
    let phases = histories
        .phases
        .iter()
        .map(|(name, rows)| json!({ "name": name, "first_row": rows.start, "rows": rows.len() }));
    let row = |row: &Vec<f64>| row.iter().map(|value| number(*value)).collect::<Json>();
    json!({
        "columns": columns.collect::<Json>(),
        "phases": phases.collect::<Json>(),
        "times_s": histories.times_s,
        "rows": histories.rows.iter().map(row).collect::<Json>(),
    })
}

/// A finished answer as text: what holds nothing but plain values stands on one line.
fn written(map: Map<String, Json>) -> String {
    let mut out = String::new();
    put(&Json::Object(map), 0, &mut out);
    out.push('\n');
    out
}

fn put(value: &Json, depth: usize, out: &mut String) {
    let nested = |value: &Json| value.is_object() || value.is_array();
    let flat = match value {
        Json::Array(list) => !list.iter().any(nested),
        Json::Object(map) => !map.values().any(nested),
        _ => true,
    };
    if flat {
        out.push_str(&value.to_string());
        return;
    }
    let line = |out: &mut String, k: usize, depth: usize| {
        out.push_str(if k > 0 { ",\n" } else { "\n" });
        out.push_str(&"  ".repeat(depth));
    };
    match value {
        Json::Array(list) => {
            out.push('[');
            for (k, inside) in list.iter().enumerate() {
                line(out, k, depth + 1);
                put(inside, depth + 1, out);
            }
            line(out, 0, depth);
            out.push(']');
        }
        Json::Object(map) => {
            out.push('{');
            for (k, (name, inside)) in map.iter().enumerate() {
                line(out, k, depth + 1);
                out.push_str(&format!("{}: ", json!(name)));
                put(inside, depth + 1, out);
            }
            line(out, 0, depth);
            out.push('}');
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answer::Topic;
    use crate::say;

    fn read(answer: &Answer) -> Json {
        serde_json::from_str(&json(answer)).expect("it is JSON")
    }

    #[test]
    fn every_number_has_a_kind_and_a_unit_and_no_number_is_null() {
        let mut table = Table::new()
            .words("run", "run")
            .numbers("flow", "flow", Kind::VolumeFlow)
            .values("under_limit", "under\nlimit");
        let flow = Cell::from(Value::of(Kind::VolumeFlow, 1e-3)).within(Some(1e-5));
        let limited = Cell::from(Value::of(Kind::Temperature, 350.0)).judged(false);
        table.row("main/loop", ["loop".into(), flow, limited]);
        let unknown = Cell::from(Value::of(Kind::VolumeFlow, f64::NAN));
        table.row("main/other", ["other".into(), unknown, Value::Nothing.into()]);
        let mut answer = Answer::new(Topic::Point, "A case");
        let say = say!("{flow} in {n} runs", flow = Value::of(Kind::VolumeFlow, 1e-3), n = 2);
        answer
            .sections
            .push(Section::new("runs", "Runs").of("main").table(table).say(say, Lay::Point));
        let read = read(&answer);
        let section = &read["sections"][0];
        assert_eq!(section["of"], "main");
        let table = &section["tables"][0];
        assert_eq!(
            table["columns"][1],
            json!({"name": "flow", "heading": "flow", "kind": "volume_flow", "unit": "m³/s"})
        );
        assert_eq!(table["columns"][2]["name"], "flow_uncertainty");
        assert_eq!(
            table["rows"][0],
            json!({
                "address": "main/loop", "run": "loop", "flow": 1e-3, "flow_uncertainty": 1e-5,
                "under_limit": {"value": 350.0, "kind": "temperature", "unit": "K"},
                "under_limit_holds": false,
            })
        );
        assert_eq!(table["rows"][1]["flow"], Json::Null);
        let said = &section["says"][0];
        assert_eq!(said["text"], "0.001 m³/s in 2 runs");
        assert_eq!(said["words"], "{flow} in {n} runs");
        assert_eq!(said["slots"]["flow"]["value"], 1e-3);
        assert_eq!(said["slots"]["n"], 2);
    }

    #[test]
    fn plain_values_stand_on_one_line() {
        let mut out = String::new();
        put(&json!({"a": [1.0, null], "b": {"c": "d"}}), 0, &mut out);
        assert_eq!(out, "{\n  \"a\": [1.0,null],\n  \"b\": {\"c\":\"d\"}\n}");
    }
}
