//! Limits that nothing could break, so that keeping them says nothing.

use coolwright_cases::lower::LimitSpec;
use coolwright_cases::quantity::{Kind, parse};

use super::view::View;
use super::{Finding, Findings, Severity};

/// A coolant above this boils under any cap, K: water at 15.5 bar (IAPWS-IF97, table 35, from memory: 473 K).
const BOILS_K: f64 = 473.0;

pub(super) fn check(view: &View<'_>, found: &mut Findings) {
    found.list.extend(view.ready.limits.iter().filter_map(idle));
}

/// Why a limit cannot be broken, and what is likely meant.
fn idle(limit: &LimitSpec) -> Option<Finding> {
    let (thing, name) = limit.of.value.split_once(':')?;
    let number = |kind: Kind, text: &str| parse(kind, text).ok();
    let min = limit.min.as_ref().map(|text| text.value.as_str());
    let max = limit.max.as_ref().map(|text| text.value.as_str());
    let bodies = ["coolers/", "engines/", "exchangers/"];
    let in_circuit = !bodies.iter().any(|group| thing.starts_with(group));
    let coolant = ["in", "out", "hottest"].contains(&name) && in_circuit;
    let (why, remedy) = match (name, min, max) {
        ("flow_ratio", Some(min), None)
            if min.trim().parse::<f64>().is_ok_and(|min| min <= 1.0) =>
        {
            ("the largest flow is never less than the smallest", "write `max`, as `max: \"1.10\"`")
        }
        (_, None, Some(_)) if name.ends_with("_margin") => {
            ("a margin is good when it is large, and this asks that it be small", "write `min`")
        }
        (_, None, Some(max)) if coolant && number(Kind::Temperature, max)? > BOILS_K => (
            "coolant boils under any cap before it gets there",
            "look for a slip in its number or unit",
        ),
        _ => return None,
    };
    Some(Finding {
        severity: Severity::Warning,
        beside: true,
        subject: "limit that nothing breaks",
        what: format!("the limit `{}` asks next to nothing", limit.name),
        places: vec![format!("limits/{}", limit.name)],
        why: why.to_owned(),
        remedy: remedy.to_owned(),
    })
}
