//! What of an answer people get: what matters, as far as it fits on two screens, all of it, or one section.
//!
//! Where a section is made it says what of it is a headline, what may come where there is room, and what
//! is detail. This is the one place that chooses by it.

use super::grid::grid;
use super::numbers::Style;
use super::text::put;
use crate::answer::{
    Abreast, Answer, Block, Form, Lay, Row, Section, Seen, Sentence, State, Table, Value, Weight,
};
use crate::say;

/// Lines up to which what supports the headlines is added: with what it leaves out, two screens at most.
const ROOM: usize = 80;
/// Signs in a line of a screen.
pub(super) const LINE: usize = 100;

/// How much of an answer is wanted.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Extent {
    /// What matters, on two screens.
    #[default]
    Short,
    /// All of it.
    Full,
    /// The sections of this name, whole.
    Only(String),
}

/// The sections that are put down, in their order.
pub(super) fn planned(style: &Style, answer: &Answer, extent: &Extent) -> Vec<Section> {
    let cautions = || Section::new("cautions", "Cautions").points(answer.cautions.iter().cloned());
    let whole = |section: &&Section| !section.brief && seen(section);
    match extent {
        Extent::Full => answer.sections.iter().filter(whole).cloned().chain([cautions()]).collect(),
        Extent::Only(name) => {
            let all = answer.sections.iter().filter(whole).cloned();
            let all = all.chain([cautions(), results(answer)]).filter(|s| s.name == name);
            let mut found: Vec<Section> = all.map(|s| Section { below: false, ..s }).collect();
            if found.is_empty() {
                let none = say!("There is nothing under `{name}` in this answer.", name = name);
                found.push(Section::plain("nothing").say(none, Lay::Lines));
            }
            found[0].apart = false;
            found
        }
        Extent::Short => {
            let mut sections = short(&Style { color: false, ..*style }, answer, &cautions());
            sections.push(cautions());
            sections
        }
    }
}

/// Whether people see anything of a section.
fn seen(section: &Section) -> bool {
    let says = |block: &Block| match block {
        Block::Table(table) => table.rows_of_people() > 0,
        Block::Say(..) => true,
    };
    section.seen.by_people() && section.blocks.iter().any(says)
}

/// What matters; what supports it where there is room; and what that leaves out.
fn short(style: &Style, answer: &Answer, cautions: &Section) -> Vec<Section> {
    let all: Vec<&Section> = answer.sections.iter().filter(|s| seen(s)).collect();
    let lines = |section: &Section| {
        let mut text = String::new();
        put(style, section, &mut text);
        text.lines().count()
    };
    let at = |section: &Section, level: Weight| Cut::of(style, section, level);
    let mut chosen: Vec<Cut> = all.iter().map(|section| at(section, Weight::Headline)).collect();
    let mut used: usize =
        chosen.iter().map(|cut| lines(&cut.section)).sum::<usize>() + lines(cautions);
    for (section, cut) in all.iter().zip(&mut chosen) {
        let more = at(section, Weight::Support);
        let (before, after) = (lines(&cut.section), lines(&more.section));
        if used - before + after <= ROOM {
            used = used - before + after;
            *cut = more;
        }
    }
    let left = left_out(&all, &chosen);
    let shown = chosen.into_iter().map(|cut| cut.section).filter(seen);
    shown.chain(left).collect()
}

/// A section cut to a level.
struct Cut {
    section: Section,
    /// Rows, remarks and columns that the cut takes away.
    rows: usize,
    remarks: usize,
    columns: usize,
}

impl Cut {
    fn of(style: &Style, section: &Section, level: Weight) -> Self {
        let stays = section.weight <= level;
        let mut cut = Section { blocks: Vec::new(), below: false, ..section.clone() };
        let (mut rows, mut remarks, mut columns) = (0, 0, 0);
        for block in &section.blocks {
            match block {
                Block::Table(table) => {
                    let mut kept = if stays { rows_at(style, table, level) } else { Table::new() };
                    columns += fit(style, &mut kept);
                    rows += table.rows_of_people() - kept.rows_of_people();
                    cut.blocks.push(Block::Table(kept));
                }
                Block::Say(_, _, weight) if stays && *weight <= level => {
                    cut.blocks.push(block.clone());
                }
                Block::Say(..) => remarks += 1,
            }
        }
        Self { section: cut, rows, remarks, columns }
    }
}

/// A table with the rows of a level.
fn rows_at(style: &Style, table: &Table, level: Weight) -> Table {
    let keep = |row: &Row| match row {
        Row::Gap => true,
        Row::Cells { cells, weight, seen, .. } => {
            // What is broken matters even where it is so in all columns.
            let broken = cells.iter().any(|cell| cell.state == State::Broken);
            let differs = table.abreast != Abreast::Compared || broken || {
                let mut says = cells[1..].iter().map(|cell| style.value(&cell.value));
                let first = says.next();
                let alone = cells.len() < 3;
                alone || says.any(|other| Some(other) != first)
            };
            seen.by_people() && *weight <= level && differs
        }
    };
    let mut rows: Vec<Row> = Vec::new();
    for row in table.rows.iter().filter(|row| keep(row)) {
        let after_gap = rows.last().is_none_or(|last| matches!(last, Row::Gap));
        if !(matches!(row, Row::Gap) && after_gap) {
            rows.push(row.clone());
        }
    }
    while matches!(rows.last(), Some(Row::Gap)) {
        rows.pop();
    }
    Table { columns: table.columns.clone(), rows, ..*table }
}

/// Takes columns away, the last first, until a table is no wider than a screen; says how many.
fn fit(style: &Style, table: &mut Table) -> usize {
    let mut gone = 0;
    if table.rows_of_people() == 0 {
        return gone;
    }
    loop {
        let widest = grid(style, table).lines().map(|line| line.chars().count()).max();
        let may_go = |column: &crate::answer::Column| {
            column.weight != Weight::Headline && column.seen.by_people()
        };
        match table.columns.iter().rposition(may_go) {
            Some(last) if widest.unwrap_or(0) > LINE => {
                let filled = table.column(last).any(|cell| !cell.value.is_nothing());
                table.columns[last].seen = Seen::Programs;
                gone += usize::from(filled);
            }
            _ => return gone,
        }
    }
}

/// One sentence that counts what is not there, and says how to see it.
fn left_out(all: &[&Section], chosen: &[Cut]) -> Option<Section> {
    let mut sections: Vec<&str> = Vec::new();
    let mut of: Vec<&str> = Vec::new();
    let (mut rows, mut remarks, mut columns) = (0, 0, 0);
    for (section, cut) in all.iter().zip(chosen) {
        let same = |other: &&Section| other.name == section.name && other.of == section.of;
        let brief = all.iter().zip(chosen).find(|(other, _)| other.brief && same(other));
        match brief {
            // What it stands for is counted.
            Some(_) if section.brief => {}
            Some((_, brief)) => {
                let shown: usize = tables(&brief.section).map(Table::rows_of_people).sum();
                let whole: usize = tables(section).map(Table::rows_of_people).sum();
                rows += whole - shown;
                if whole > shown {
                    of.push(section.name);
                }
            }
            None if seen(&cut.section) => {
                if cut.rows > 0 {
                    of.push(section.name);
                }
                (rows, remarks, columns) =
                    (rows + cut.rows, remarks + cut.remarks, columns + cut.columns);
            }
            None => sections.push(section.name),
        }
    }
    // A section that there is several times stands under its name once.
    let shown = |name: &&str| !chosen.iter().any(|c| c.section.name == *name && seen(&c.section));
    let partly: Vec<&str> = sections.iter().copied().filter(|name| !shown(name)).collect();
    of.extend(partly);
    sections.retain(shown);
    once(&mut sections);
    once(&mut of);
    let several = |count: usize, one: &'static str, many: &'static str| {
        (count > 0).then(|| {
            say!("{count} more {what}", count = count, what = if count == 1 { one } else { many })
        })
    };
    let rows = several(rows, "row", "rows")
        .map(|rows| say!("{rows} ({of})", rows = rows, of = Value::list(of.iter().copied(), ", ")));
    let named = (!sections.is_empty())
        .then(|| say!("sections {names}", names = Value::list(sections.iter().copied(), ", ")));
    let parts: Vec<Sentence> =
        [rows, several(columns, "column", "columns"), several(remarks, "remark", "remarks"), named]
            .into_iter()
            .flatten()
            .collect();
    (!parts.is_empty()).then(|| {
        let words = say!(
            "Left out: {parts}. `--full` prints all, `--only SECTION` one section whole.",
            parts = Value::list(parts, "; ")
        );
        Section::plain("left_out").apart().say(words, Lay::Flush)
    })
}

fn once(names: &mut Vec<&str>) {
    let mut known: Vec<String> = Vec::new();
    names.retain(|name| {
        let new = !known.iter().any(|other| other == name);
        known.push((*name).to_owned());
        new
    });
}

fn tables(section: &Section) -> impl Iterator<Item = &Table> {
    section.blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        Block::Say(..) => None,
    })
}

/// Every result by its address, as in JSON and CSV.
fn results(answer: &Answer) -> Section {
    let mut table = Table::new().words("address", "address").values("value", "value").mixed();
    table = table.words("label", "what it is");
    for result in &answer.results {
        let value =
            result.value.is_finite().then(|| Value::formed(result.kind, result.value, Form::Full));
        let value = crate::answer::Cell::from(value).within(result.uncertainty);
        let value = value.between(result.bounds);
        table.row(&result.address, [(&result.address).into(), value, result.label.into()]);
    }
    Section::new("results", "Results").table(table)
}

#[cfg(test)]
mod tests {
    use coolwright_cases::quantity::{Kind, UnitSystem};

    use super::*;
    use crate::answer::{Cell, Topic};
    use crate::render::text::text;

    const METRIC: Style = Style { units: UnitSystem::Metric, color: false };

    fn rows(weights: &[Weight]) -> Table {
        let mut table = Table::new().words("name", "name");
        for (k, weight) in weights.iter().enumerate() {
            table.line([format!("row {k}").into()]);
            table.weigh(*weight);
        }
        table
    }

    fn short(sections: Vec<Section>) -> String {
        let mut answer = Answer::new(Topic::Point, "");
        answer.sections = sections;
        text(&METRIC, &answer, &Extent::Short)
    }

    #[test]
    fn what_is_left_out_is_counted() {
        use Weight::{Detail, Headline, Support};
        let said = short(vec![
            Section::new("first", "First")
                .table(rows(&[Headline, Detail, Support, Detail]))
                .aside("How it is made.", Lay::Inset),
            Section::new("second", "Second").detail().table(rows(&[Headline, Headline])),
        ]);
        assert_eq!(
            said,
            "First\n  name\n  row 0\n  row 2\n\nLeft out: 2 more rows (first); 1 more remark; sections \
             second. `--full` prints all, `--only\nSECTION` one section whole.\n"
        );
    }

    /// 60 rows with a heading and two lines above them leave room for 17 lines up to 80.
    #[test]
    fn what_supports_comes_where_there_is_room() {
        let long = Section::new("long", "Long").table(rows(&[Weight::Headline; 60]));
        let fits = Section::new("fits", "Fits").support().table(rows(&[Weight::Headline; 14]));
        let not = Section::new("not", "Not").support().table(rows(&[Weight::Headline; 15]));
        let said = short(vec![long.clone(), fits]);
        assert!(said.contains("Fits") && !said.contains("Left out"), "{said}");
        let said = short(vec![long, not]);
        assert!(!said.contains("\nNot\n") && said.contains("sections not."), "{said}");
    }

    #[test]
    fn rows_that_say_the_same_are_left_out_of_a_comparison() {
        let of = |table: Table| {
            let mut table = table.values("a", "a").values("b", "b");
            for (name, a, b) in [("same", 1e-3, 1.0001e-3), ("other", 1e-3, 2e-3)] {
                let flow = |si| Value::of(Kind::VolumeFlow, si).into();
                table.line([name.into(), flow(a), flow(b)]);
            }
            // Broken in all columns is no less broken.
            let broken = || Cell::from(Value::of(Kind::VolumeFlow, 3e-3)).judged(false);
            table.line(["broken".into(), broken(), broken()]);
            table
        };
        let whole = of(Table::new().words("name", "").mixed());
        let said = short(vec![
            Section::new("flows", "Flows")
                .table(of(Table::new().words("name", "").compared()))
                .brief(),
            Section::new("flows", "Flows, whole").table(whole).detail(),
        ]);
        assert!(said.starts_with(
            "Flows\n                     a      b\n  other   L/min     60    120\n  broken  L/min  180 !  180 !\n\nLeft out: 1 \
             more row (flows)."
        ), "{said}");
    }

    #[test]
    fn columns_that_may_go_do_so_where_the_table_is_too_wide() {
        let long = "x".repeat(60);
        let of = |first: &str| {
            let mut table = Table::new().words("name", "name").words("of", "of").may_go();
            table.line([first.into(), long.as_str().into()]);
            short(vec![Section::new("names", "Names").table(table)])
        };
        assert!(of("short").contains(&long) && !of("short").contains("Left out"));
        assert!(!of(&"y".repeat(60)).contains(&long));
        assert!(of(&"y".repeat(60)).contains("1 more column."));
    }
}
