//! Limits: what must hold, those that hold without being written included.

use coolwright_cases::diagnostic::{Problem, Problems};
use coolwright_cases::lower::{BuiltInKind, BuiltInLimits, LimitSpec, Ready};
use coolwright_cases::quantity::{Kind, parse};
use coolwright_cases::text::{Spanned, nearest};
use coolwright_models::circuit::Circuit;
use coolwright_models::ids::Id;
use coolwright_models::model::Model;
use coolwright_models::results::quantities as q;
use coolwright_models::results::{Catalogue, Entry};
pub use coolwright_models::watch::Bound;
use coolwright_models::watch::Watch;

/// A limit on a result.
#[derive(Clone, Debug)]
pub struct Limit {
    /// Its name.
    pub name: String,
    /// The address of the result.
    pub of: String,
    /// The result's place in the catalogue; `None` where a variant took away what it is about.
    pub index: Option<usize>,
    /// Its kind.
    pub kind: Kind,
    /// Which side is bounded.
    pub bound: Bound,
    /// The bound, SI.
    pub value: f64,
    /// The phases that it is tied to, by their names in the file.
    pub during: Option<Vec<String>>,
    /// The place of the worst of what its result is the mean or the sum of, where it is one.
    pub worst_of_mean: Option<usize>,
    /// Which of those it is that hold without being written, if it is one.
    pub built_in: Option<BuiltInKind>,
}

impl Limit {
    /// Margin of a value: positive on the good side.
    pub fn margin(&self, value: f64) -> f64 {
        self.bound.margin(value, self.value)
    }

    /// Whether it holds in a phase, by its name in the file.
    pub fn in_phase(&self, plain: &str) -> bool {
        self.during.as_ref().is_none_or(|during| during.iter().any(|name| name == plain))
    }
}

/// Finds what the limits of a case speak of, and reads their values. What is not in the catalogue but
/// is in that of the case as it stands, a variant has taken away.
pub fn resolve(
    specs: &[LimitSpec],
    catalogue: &Catalogue,
    plain: Option<&Catalogue>,
    problems: &mut Problems,
) -> Vec<Limit> {
    let mut limits = Vec::new();
    for spec in specs {
        let Some((index, kind)) = find(&spec.of, catalogue, plain, problems) else { continue };
        let bounds = [&spec.min, &spec.max].map(|text| {
            text.as_ref().and_then(|text| Some((parse(kind, &text.value).ok()?, text.span)))
        });
        if let [Some((min, first)), Some((max, second))] = bounds
            && min > max
        {
            problems.push(
                Problem::error(second, format!("nothing can hold the limit `{}`", spec.name))
                    .label("`max` is below `min`")
                    .also(first, "`min`"),
            );
        }
        for (text, bound) in [(&spec.min, Bound::AtLeast), (&spec.max, Bound::AtMost)] {
            let Some(text) = text else { continue };
            if let Some(value) = read(kind, text, problems) {
                let (name, of) = (spec.name.clone(), spec.of.value.clone());
                let during = spec.during.clone();
                let worst_of_mean = worst_of_mean(&of, bound, catalogue);
                limits.push(Limit {
                    name,
                    of,
                    index,
                    kind,
                    bound,
                    value,
                    during,
                    worst_of_mean,
                    built_in: None,
                });
            }
        }
    }
    limits
}

/// What a cooler with several passes has a mean or a sum of, behind which one pass that gets little can hide.
fn worst_of_mean(of: &str, bound: Bound, catalogue: &Catalogue) -> Option<usize> {
    let (path, quantity) = of.rsplit_once(':')?;
    let behind = [
        (&q::COOLANT_RISE, Bound::AtMost, &q::LARGEST_RISE),
        (&q::METAL_MEAN, Bound::AtMost, &q::METAL),
        (&q::COOLANT_FLOW, Bound::AtLeast, &q::STARVED_FLOW),
    ];
    let (_, _, worst) = behind.into_iter().find(|(q, b, _)| q.name == quantity && *b == bound)?;
    catalogue.find(&format!("{path}:{}", worst.name))
}

/// How a built-in limit bounds its result.
struct Rule {
    kind: BuiltInKind,
    bound: Bound,
    /// Where the case says nothing else, SI.
    usual: f64,
    name: fn(&str) -> String,
}

/// Coolant with ice in it stands at its freezing point: only what is colder by more than this, K, freezes.
const FROZEN_K: f64 = -0.01;

/// Most temperatures of metal, K: cast aluminium alloys lose their temper from some 200 °C on and copper
/// is soldered or brazed, iron stands more before it scales and cracks. Common practice, no source; these
/// are rough, and a case that knows better says so. Metal of which only the heat capacity is known, or
/// nothing, is taken for aluminium, of which most coolers and jackets are.
const ALUMINIUM_K: f64 = 473.15;
const IRON_K: f64 = 623.15;
const COPPER_K: f64 = 473.15;
/// Most temperatures of a hot wall at its hottest place, K: cast aluminium heads crack between the valves from
/// some 250 °C on, grey iron from some 400 °C. Common practice, no source.
const WALL_ALUMINIUM_K: f64 = 523.15;
const WALL_IRON_K: f64 = 673.15;
const WALL_COPPER_K: f64 = 523.15;

static RULES: [Rule; 14] = [
    Rule {
        kind: BuiltInKind::Boiling,
        bound: Bound::AtLeast,
        usual: 0.0,
        name: |of| format!("no boiling in {of}"),
    },
    Rule {
        kind: BuiltInKind::Freezing,
        bound: Bound::AtLeast,
        usual: FROZEN_K,
        name: |of| format!("margin against freezing in {of}"),
    },
    Rule {
        kind: BuiltInKind::Spill,
        bound: Bound::AtMost,
        usual: 0.0,
        name: |of| format!("coolant lost from {of}"),
    },
    Rule {
        kind: BuiltInKind::Dry,
        bound: Bound::AtLeast,
        usual: 0.0,
        name: |of| format!("coolant left in {of}"),
    },
    Rule {
        kind: BuiltInKind::Suction,
        bound: Bound::AtLeast,
        usual: 0.0,
        name: |of| format!("inlet of {of} above vapour pressure"),
    },
    Rule {
        kind: BuiltInKind::Npsh,
        bound: Bound::AtLeast,
        usual: 0.0,
        name: |of| format!("suction head to spare at {of}"),
    },
    Rule {
        kind: BuiltInKind::Aluminium,
        bound: Bound::AtMost,
        usual: ALUMINIUM_K,
        name: |of| format!("aluminium of {of}"),
    },
    Rule {
        kind: BuiltInKind::Iron,
        bound: Bound::AtMost,
        usual: IRON_K,
        name: |of| format!("iron of {of}"),
    },
    Rule {
        kind: BuiltInKind::Copper,
        bound: Bound::AtMost,
        usual: COPPER_K,
        name: |of| format!("copper of {of}"),
    },
    Rule {
        kind: BuiltInKind::Metal,
        bound: Bound::AtMost,
        usual: ALUMINIUM_K,
        name: |of| format!("metal of {of}, taken for aluminium"),
    },
    Rule {
        kind: BuiltInKind::WallAluminium,
        bound: Bound::AtMost,
        usual: WALL_ALUMINIUM_K,
        name: |of| format!("aluminium wall of {of}"),
    },
    Rule {
        kind: BuiltInKind::WallIron,
        bound: Bound::AtMost,
        usual: WALL_IRON_K,
        name: |of| format!("iron wall of {of}"),
    },
    Rule {
        kind: BuiltInKind::WallCopper,
        bound: Bound::AtMost,
        usual: WALL_COPPER_K,
        name: |of| format!("copper wall of {of}"),
    },
    Rule {
        kind: BuiltInKind::Critical,
        bound: Bound::AtMost,
        usual: 1.0,
        name: |of| format!("critical heat flux of {of}"),
    },
];

/// Which built-in limit is on a result.
fn rule_on(model: &Model, told: &BuiltInLimits, entry: &Entry) -> Option<BuiltInKind> {
    let pump = |id: Id| match id {
        Id::Group(..) => true,
        // Of several pumps under one name the worst stands under that name.
        Id::Part(c, r, p) => !model.circuits[c].groups.iter().any(|g| g.units.contains(&(r, p))),
        _ => false,
    };
    match entry.id {
        Id::Circuit(_) if entry.quantity == &q::BOIL_MARGIN => Some(BuiltInKind::Boiling),
        Id::Circuit(_) if entry.quantity == &q::FREEZE_MARGIN => Some(BuiltInKind::Freezing),
        _ if entry.quantity == &q::LOST => Some(BuiltInKind::Spill),
        _ if entry.quantity == &q::CONTENTS => Some(BuiltInKind::Dry),
        id if entry.quantity == &q::SUCTION_MARGIN && pump(id) => Some(BuiltInKind::Suction),
        id if entry.quantity == &q::SUCTION_HEAD_MARGIN && pump(id) => Some(BuiltInKind::Npsh),
        Id::Body(_) if entry.quantity == &q::METAL => {
            let path = entry.address.split(':').next().unwrap_or_default();
            told.metals.iter().find(|(body, _)| body == path).map(|(_, kind)| *kind)
        }
        Id::Body(_) if entry.quantity == &q::WALL => {
            let path = entry.address.split(':').next().unwrap_or_default();
            told.walls.iter().find(|(body, _)| body == path).map(|(_, kind)| *kind)
        }
        Id::Body(_) if entry.quantity == &q::CRITICAL_SHARE => Some(BuiltInKind::Critical),
        _ => None,
    }
}

/// The limits that hold for every case, written or not; those that the case has switched off are left
/// out.
///
/// Static pressure below absolute zero is below any vapour pressure, so it counts as boiling; pressure
/// over a cap cannot rise above that at which it opens, so what goes out through it counts instead.
pub fn built_in(ready: &Ready, catalogue: &Catalogue) -> Vec<Limit> {
    let entries = catalogue.entries().iter().enumerate();
    let mut limits: Vec<Limit> = entries
        .filter_map(|(index, entry)| {
            let kind = rule_on(&ready.model, &ready.built_in, entry)?;
            told(ready, kind, entry.address.clone(), Some(index))
        })
        .collect();
    limits.extend(ready.model.circuits.iter().filter_map(|circuit| {
        let of = format!("{}:{}", circuit.name, q::LOST.name);
        without_room(ready, circuit).then(|| told(ready, BuiltInKind::Spill, of, None))?
    }));
    // By what they are about, in the order of the kinds.
    limits.sort_by_key(|limit| limit.built_in);
    limits
}

/// A built-in limit with the bound that the case wants; none where it has switched it off.
fn told(ready: &Ready, kind: BuiltInKind, of: String, index: Option<usize>) -> Option<Limit> {
    let rule = RULES.iter().find(|rule| rule.kind == kind)?;
    let value = match ready.built_in.changed.get(&kind) {
        None => rule.usual,
        Some(told) => (*told)?,
    };
    let name = (rule.name)(of.split(':').next().unwrap_or_default());
    let (bound, kind_of) = (rule.bound, kind.of());
    Some(Limit {
        name,
        of,
        index,
        kind: kind_of,
        bound,
        value,
        during: None,
        worst_of_mean: None,
        built_in: Some(kind),
    })
}

/// Built-in limits that a case has made looser than usual: their side, the bound that it wants, the usual one.
pub fn loosened(told: &BuiltInLimits) -> Vec<(BuiltInKind, Bound, f64, f64)> {
    let bounds = told.changed.iter().filter_map(|(kind, bound)| Some((*kind, (*bound)?)));
    let looser = bounds.filter_map(|(kind, bound)| {
        let rule = RULES.iter().find(|rule| rule.kind == kind)?;
        let gives = rule.bound.margin(rule.usual, bound);
        (gives > 0.0).then_some((kind, rule.bound, bound, rule.usual))
    });
    looser.collect()
}

/// Whether coolant that warms has nowhere to go: the circuit is closed, has no tank, and the case does not
/// say what its pressure is.
fn without_room(ready: &Ready, circuit: &Circuit) -> bool {
    let address = format!("{}:pressure", circuit.name);
    let assumed = ready.assumptions.iter().any(|a| a.addresses.contains(&address));
    assumed && !circuit.has_room()
}

/// Limits as bounds that a cycle watches; where each limit stands among them. Behind a limit on a mean the worst
/// of what it is the mean of is watched too, and behind one that is tied to phases the same in all of them.
pub fn watches(limits: &[Limit], phases: &[&str]) -> (Vec<Watch>, Vec<Option<usize>>) {
    let mut watches = Vec::new();
    let mut places = Vec::new();
    for limit in limits {
        let Some(place) = limit.index else {
            places.push(None);
            continue;
        };
        let holds_in = || (0..phases.len()).filter(|&k| limit.in_phase(phases[k])).collect();
        places.push(Some(watches.len()));
        for place in std::iter::once(place).chain(limit.worst_of_mean) {
            watches.push(Watch {
                place,
                side: limit.bound,
                bound: limit.value,
                phases: limit.during.as_ref().map(|_| holds_in()),
            });
        }
        if limit.during.is_some() {
            let Limit { bound: side, value: bound, .. } = *limit;
            watches.push(Watch { place, side, bound, phases: None });
        }
    }
    (watches, places)
}

/// The place and kind of a result; of one that is only in the catalogue of the case as it stands, the
/// kind alone.
pub(super) fn find(
    of: &Spanned<String>,
    catalogue: &Catalogue,
    plain: Option<&Catalogue>,
    problems: &mut Problems,
) -> Option<(Option<usize>, Kind)> {
    let kind = |catalogue: &Catalogue, index: usize| catalogue.entries()[index].quantity.kind;
    if let Some(index) = catalogue.find(&of.value) {
        return Some((Some(index), kind(catalogue, index)));
    }
    if let Some((plain, index)) = plain.and_then(|plain| Some((plain, plain.find(&of.value)?))) {
        return Some((None, kind(plain, index)));
    }
    let addresses = catalogue.entries().iter().map(|entry| entry.address.as_str());
    let mut problem =
        Problem::error(of.span, format!("there is no result at `{}`", of.value)).label("not known");
    let (path, _) = of.value.rsplit_once(':').unwrap_or((&of.value, ""));
    let here: Vec<&str> = catalogue
        .entries()
        .iter()
        .filter(|entry| entry.address.rsplit_once(':').is_some_and(|(p, _)| p == path))
        .map(|entry| entry.quantity.name)
        .collect();
    let one_of = format!("{path}/1:{}", of.value.rsplit(':').next().unwrap_or_default());
    if catalogue.find(&one_of).is_some() {
        problem = problem.help(format!(
            "`{path}` is several, each with results of its own: name one, as in `{one_of}`"
        ));
    }
    if here.is_empty() {
        problem = match nearest(&of.value, addresses) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => problem
                .help("an address is a path and a result: `main/loop:flow`, `coolers/motor:rise`")
                .help("`point --json` lists all of them"),
        };
    } else {
        if let Some(whole) = catalogue.of_whole(&of.value) {
            problem = problem.help(format!("did you mean `{whole}`? {}", belongs(whole)));
        }
        problem = problem.help(format!("`{path}` has: {}", here.join(", ")));
    }
    problems.push(problem);
    None
}

/// To what a result belongs that was asked of one of its parts.
fn belongs(address: &str) -> String {
    let (path, name) = address.rsplit_once(':').unwrap_or((address, ""));
    let whole = match path.split('/').next() {
        Some("engines") => "the engine",
        Some("coolers") => "the cooler",
        Some("exchangers") => "the exchanger",
        Some("cores") => "the core",
        _ => "the whole run",
    };
    format!("`{name}` belongs to {whole}")
}

/// A value of a kind as written in the case.
pub(super) fn read(kind: Kind, text: &Spanned<String>, problems: &mut Problems) -> Option<f64> {
    match parse(kind, &text.value) {
        Ok(value) => Some(value),
        Err(error) => {
            let mut problem = Problem::error(text.span, error.message);
            for help in error.help {
                problem = problem.help(help);
            }
            problems.push(problem);
            None
        }
    }
}
