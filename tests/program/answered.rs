//! Every answer on every demo, worked out once for all tests that read them.

use std::path::Path;
use std::sync::LazyLock;

use coolwright::answer::{Answer, Topic};
use coolwright::ask::{Case, Judge, Lengths, Moment, Question, Wanted};
use coolwright::render::{Extent, Style, text};
use coolwright::workers::Alone;
use coolwright_cases::quantity::UnitSystem;

const DEMOS: [&str; 4] = ["first", "desert_racer", "sled_tractor", "hill_climb_coupe"];

/// Each with the word of its command and the name of the demo.
pub(crate) static ANSWERS: LazyLock<Vec<(String, Answer)>> = LazyLock::new(|| {
    std::thread::scope(|scope| {
        let asked = DEMOS.map(|demo| scope.spawn(move || of(demo)));
        asked.into_iter().flat_map(|of| of.join().expect("its answers")).collect()
    })
});

fn of(demo: &str) -> Vec<(String, Answer)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases");
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).map_err(|e| e.to_string());
    let name = format!("{demo}.ron");
    let case = Case::read(&name, &read(&name).expect("a demo"), &mut |name| read(name));
    let case = case.unwrap_or_else(|refusal| panic!("{demo}: {:?}", refusal.complaints()));
    let questions = [
        Question::Check,
        Question::Point { variant: None, moment: Moment::Full, off: false },
        Question::Cycle { variant: None, wanted: Wanted::default(), lengths: Lengths::default() },
        Question::Compare { only: Vec::new(), by: Judge::Usual },
    ];
    let ask = |question| {
        let answer = case.ask(&question, &Alone);
        let answer = answer.unwrap_or_else(|refusal| panic!("{:?}", refusal.complaints()));
        (format!("{} {demo}", answer.topic.word()), answer)
    };
    questions.map(ask).into()
}

/// Those of an operating point, a duty cycle and variants.
pub(crate) fn solved() -> impl Iterator<Item = &'static (String, Answer)> {
    ANSWERS.iter().filter(|(_, answer)| answer.topic != Topic::Check)
}

/// The answer of a command on a demo, as `cycle sled_tractor`.
pub(crate) fn answer(name: &str) -> &'static Answer {
    let found = ANSWERS.iter().find(|(of, _)| of == name);
    &found.unwrap_or_else(|| panic!("no answer to {name}")).1
}

/// An answer as it is printed.
pub(crate) fn printed(answer: &Answer, units: UnitSystem, extent: &Extent) -> String {
    text::text(&Style { units, color: false }, answer, extent)
}
