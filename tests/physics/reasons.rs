//! What every result of the demos and of the cases here rests on.

use coolwright_models::instance::Instance;
use coolwright_models::results::Results;

use crate::common::{demo_cases, read, reasons, test_cases};

/// What a formula gives with what goes in is the result, and nothing comes from nowhere.
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
        let counts =
            reasons::hold(simulator, &results).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert!(counts.bare.is_empty(), "{name}: nothing goes into {:?}", counts.bare);
        let [formulas, laws, balances, together] = counts.ways;
        // Formulas that cannot be worked out would count as none.
        assert!(formulas > 2 * together && laws > 10 && balances > 0, "{name}: {:?}", counts.ways);
    }
}
