//! What every result of the demos and of the cases here rests on.

use coolwright_models::instance::Instance;
use coolwright_models::results::Results;

use crate::common::{demo_cases, read, reasons, test_cases};

#[test]
fn every_result_is_what_its_reason_gives() {
    for (name, text) in demo_cases().into_iter().chain(test_cases()) {
        let ready = read(&text);
        let values = ready.model.values.clone();
        let mut instance = Instance::new(&ready.model);
        let point = instance.point(&values, None).unwrap_or_else(|error| panic!("{name}: {error}"));
        let states = point.states.clone();
        let simulator = instance.at(&values, &states).expect("it settles");
        let results = Results::read(simulator, &states);
        let counts = match reasons::hold(simulator, &results) {
            Ok(counts) => counts,
            Err(error) => {
                eprintln!("BAD {name}: {error}");
                continue;
            }
        };
        eprintln!("{name}: {counts:?}");
        assert!(counts.bare.is_empty(), "{name}: nothing goes into {:?}", counts.bare);
    }
}
