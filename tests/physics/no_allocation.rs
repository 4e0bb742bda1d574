//! Settling the flows of a whole model allocates nothing once it has been done: studies and time
//! steps call it thousands of times. The counter counts this thread's allocations only.

use crate::common::{demo_cases, read};
use coolwright_models::simulate::Simulator;

const TWO_CIRCUITS: &str = include_str!("cases/two_circuits.ron");

#[test]
fn settling_a_model_again_allocates_nothing() {
    let mut cases = demo_cases();
    cases.push(("two circuits".to_owned(), TWO_CIRCUITS.to_owned()));
    for (name, text) in cases {
        let ready = read(&text);
        let model = &ready.model;
        let mut simulator =
            Simulator::new(model, model.values.clone()).expect("the numbers are in range");
        let mut states = simulator.start();
        simulator.evaluate(&states).expect("flows come to rest");
        for warmer_by in [0.5, 5.0] {
            for state in &mut states {
                *state += warmer_by;
            }
            let count = allocation_counter::measure(|| {
                simulator.evaluate(&states).expect("flows come to rest");
            });
            assert_eq!(
                count.count_total, 0,
                "{name}: settling at temperatures {warmer_by} K higher allocated {} bytes",
                count.bytes_total
            );
        }
    }
}
