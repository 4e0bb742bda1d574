//! The names of the sections that an answer can have.

use crate::answer::Topic;

const CHECK: &[&str] = &["findings", "not_looked_at", "read", "assumptions", "notes", "cautions"];

const POINT: &[&str] = &[
    "verdict",
    "moment",
    "title",
    "conditions",
    "held",
    "limits",
    "warnings",
    "layout",
    "survey",
    "heat_sources",
    "walls",
    "passes",
    "exchangers",
    "cores",
    "limiting",
    "air",
    "charge_air",
    "circuit",
    "pumps",
    "pumps_take",
    "runs",
    "budget",
    "tees",
    "uncertainty",
    "gauges",
    "supply",
    "crossings",
    "assumptions",
    "notes",
    "cautions",
    "results",
];

const CYCLE: &[&str] = &[
    "verdict",
    "boiled",
    "title",
    "conditions",
    "log",
    "story",
    "limits",
    "pulls",
    "warnings",
    "layout",
    "ready",
    "lasting",
    "switches",
    "ran_on",
    "refills",
    "caps",
    "peaks",
    "gauges",
    "gauges_in_pulls",
    "heat",
    "heat_stores",
    "heat_ways",
    "histories",
    "assumptions",
    "notes",
    "cautions",
];

const COMPARE: &[&str] = &[
    "verdict",
    "judged_by",
    "held",
    "boiled",
    "changes",
    "limits",
    "pumps",
    "totals",
    "unsolved",
    "warnings",
    "layout",
    "assumptions",
    "cautions",
];

const SIZE: &[&str] = &["verdict", "title", "judged_by", "ranges", "tried", "cautions"];

const FAILURES: &[&str] =
    &["verdict", "title", "judged_by", "failures", "pairs", "effects", "shows", "mind", "cautions"];

const LEVERS: &[&str] = &["verdict", "title", "judged_by", "levers", "changes", "cautions"];

const DAY: &[&str] = &["verdict", "title", "judged_by", "bounds", "table", "mind", "cautions"];

const SHEETS: &[&str] = &[
    "standing",
    "title",
    "order_hoses",
    "order_bends",
    "order_fittings",
    "coolant",
    "coolant_parts",
    "ports",
    "filling",
    "summits",
    "pressure_test",
    "wiring",
    "run_on",
    "stand",
    "stand_steps",
    "cautions",
];

const WHY: &[&str] = &[
    "why",
    "thing",
    "rests_on",
    "limits",
    "laws",
    "moves",
    "off",
    "number",
    "numbers",
    "conditions",
    "cautions",
];

const GRID: &[&str] =
    &["verdict", "title", "judged_by", "limits", "holding", "unsolved", "cautions"];

const LEARN: &[&str] = &[
    "verdict", "title", "read", "beside", "learnt", "apart", "next", "steps", "heat", "limits",
    "day", "mind", "cautions",
];

const CHANCE: &[&str] =
    &["verdict", "title", "judged_by", "limits", "drivers", "inputs", "draws", "mind", "cautions"];

/// The names of the sections that an answer can have, in their order: those of JSON.
pub fn names(topic: Topic) -> &'static [&'static str] {
    match topic {
        Topic::Check => CHECK,
        Topic::Point => POINT,
        Topic::Cycle => CYCLE,
        Topic::Compare => COMPARE,
        Topic::Size => SIZE,
        Topic::Failures => FAILURES,
        Topic::Levers => LEVERS,
        Topic::Day => DAY,
        Topic::Sheets => SHEETS,
        Topic::Why => WHY,
        Topic::Grid => GRID,
        Topic::Learn => LEARN,
        Topic::Chance => CHANCE,
    }
}
