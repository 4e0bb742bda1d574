//! The pressure test.

use coolwright_cases::lower::Ready;
use coolwright_cases::quantity::Kind;

use crate::answer::{Lay, Section, Table, Value};
use crate::say;
use crate::study::sheets::PressureTest;

/// How high, how the reading goes with temperature, what is stored.
pub fn pressing(ready: &Ready, all: &[PressureTest]) -> Section {
    let mut table = Table::new()
        .words("circuit", "circuit")
        .values("opens", "cap opens")
        .values("test", "test")
        .numbers("falls_coolant", "falls when\ncolder,\ncoolant", Kind::PressureDifference)
        .numbers("falls_air", "falls when\ncolder,\nair", Kind::PressureDifference)
        .numbers("stored_coolant", "stored,\ncoolant", Kind::Energy)
        .numbers("stored_air", "stored,\nair", Kind::Energy)
        .mixed();
    for of in all {
        let name = &ready.model.circuits[of.circuit].name;
        let gauge = |si: f64| Value::of(Kind::GaugePressure, si);
        let open: Value = "open, no cap".into();
        let known = of.test_pa.is_some();
        let per_k = |k: usize| known.then(|| Value::of(Kind::PressureDifference, of.falls_pa_k[k]));
        let stored = |k: usize| known.then(|| Value::of(Kind::Energy, of.stored_j[k]));
        table.row(
            name,
            [
                name.into(),
                of.opens_pa.map_or(open, gauge).into(),
                of.test_pa.map(gauge).into(),
                per_k(0).into(),
                per_k(1).into(),
                stored(0).into(),
                stored(1).into(),
            ],
        );
    }
    let steps = [
        "Full of coolant, bled, with the gas in its tank as when it is filled, cold, at one temperature; a tester in the place of the cap; nobody beside it.",
        "Raise the pressure in three steps, looking for drops at each; no higher than the weakest part allows, whatever \
         stands here.",
        "Hold for ten minutes. Read pressure and temperature before and after: what the temperature explains is in the \
         table, the rest is a leak.",
        "Let the pressure off before anything is touched.",
    ];
    let title = "PRESSURE TEST: what the reading falls by when it gets colder, and what is stored";
    let mut section = Section::new("pressure_test", title).table(table).say(
        say!(
            "Colder is by {k}. Full of coolant counts the gas in the tank too, which stores most of it.",
            k = Value::of(Kind::TemperatureDifference, 1.0)
        ),
        Lay::Inset,
    );
    for (k, step) in steps.into_iter().enumerate() {
        section = section.say(step, Lay::Numbered(k + 1));
    }
    section.say(
        "Pressure tests burst hoses. With air the same pressure stores many times the energy and throws parts: test with \
         coolant. Test at 1.3 of the cap and ten minutes: common practice, no source; local codes and licensed practice \
         come first. Energy of air by ASME PCC-2, compression of the coolant as of water (both from memory).",
        Lay::Paragraph,
    )
}
