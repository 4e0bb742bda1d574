//! Numbers and sentences as pictures and pages write them: in every unit system that may be shown.

use coolwright_cases::quantity::UnitSystem;
use maud::{Markup, PreEscaped, html};

use crate::answer::{Sentence, Value};
use crate::render::Style;

/// A text, and the class of the unit system that it is for; none where all write it alike.
pub type Told = Vec<(Option<&'static str>, String)>;

/// Writes for readers of one or several unit systems; the first is the one that was asked for.
#[derive(Clone, Debug)]
pub struct Pen {
    units: Vec<UnitSystem>,
    /// Whether what is drawn leads to what is told of it on the same page.
    pub linked: bool,
}

/// The class of what is for one unit system only.
fn class(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Us => "uu",
        UnitSystem::Metric => "um",
        UnitSystem::Si => "us",
    }
}

/// The element of a page for what has this class: some ten thousand of them stand in one, so it is as short as an
/// element of a page's own may be (HTML, "valid custom element name").
fn element(class: &str) -> &'static str {
    match class {
        "uu" => "u-u",
        "um" => "u-m",
        _ => "u-s",
    }
}

impl Pen {
    /// For one unit system.
    pub fn of(units: UnitSystem) -> Self {
        Self { units: vec![units], linked: false }
    }

    /// For a page: the unit system that was asked for, and those of workshops.
    pub fn of_page(asked: UnitSystem) -> Self {
        let mut units = vec![asked];
        for other in [UnitSystem::Metric, UnitSystem::Us] {
            if other != asked {
                units.push(other);
            }
        }
        Self { units, linked: true }
    }

    /// For a page that has these unit systems, the first of which was asked for.
    pub fn of_several(units: impl Iterator<Item = UnitSystem>) -> Self {
        let units: Vec<UnitSystem> = units.collect();
        if units.is_empty() { Self::of(UnitSystem::Metric) } else { Self { units, linked: true } }
    }

    /// The unit systems.
    pub fn units(&self) -> &[UnitSystem] {
        &self.units
    }

    /// The styles with the classes of what is written in them; no class where there is but one.
    pub fn styles(&self) -> impl Iterator<Item = (Style, Option<&'static str>)> + '_ {
        let several = self.units.len() > 1;
        let one = move |units: &UnitSystem| {
            (Style { units: *units, color: false }, several.then(|| class(*units)))
        };
        self.units.iter().map(one)
    }

    /// A text as every unit system has it.
    pub fn told(&self, write: impl Fn(&Style) -> String) -> Told {
        let all: Told = self.styles().map(|(style, class)| (class, write(&style))).collect();
        if all.iter().all(|(_, text)| *text == all[0].1) {
            return vec![(None, all[0].1.clone())];
        }
        all
    }

    /// A value.
    pub fn value(&self, value: &Value) -> Told {
        self.told(|style| style.value(value))
    }

    /// A sentence.
    pub fn sentence(&self, sentence: &Sentence) -> Told {
        self.told(|style| style.sentence(sentence))
    }
}

/// Words that are the same in every unit system.
pub fn words(text: impl Into<String>) -> Told {
    vec![(None, text.into())]
}

/// A text in a page: names between back-quotes stand as such.
pub fn in_page(told: &Told) -> Markup {
    html! {
        @for (class, text) in told {
            @if let Some(class) = class {
                @let name = element(class);
                (PreEscaped(format!("<{name}>"))) (quoted(text)) (PreEscaped(format!("</{name}>")))
            }
            @else { (quoted(text)) }
        }
    }
}

fn quoted(text: &str) -> Markup {
    html! {
        @for (k, piece) in text.split('`').enumerate() {
            @if k % 2 == 1 { code { (piece) } } @else { (piece) }
        }
    }
}
