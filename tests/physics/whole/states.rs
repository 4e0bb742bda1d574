//! Which thing each state belongs to.

use coolwright_models::ids::Id;
use coolwright_models::simulate::{Simulator, StateOf};

use crate::common::{demo_cases, read};

/// Every state is found again from the cells and junctions that the layout gives out.
#[test]
fn every_state_is_named_after_the_part_or_junction_that_holds_it() {
    for (name, text) in demo_cases() {
        let ready = read(&text);
        let simulator =
            Simulator::new(&ready.model, ready.model.values.clone()).expect("numbers in range");
        let setup = &simulator.setup;
        let mut named = 0;
        for cells in &setup.layout.parts {
            let (c, r, p) = cells.at;
            for state in cells.first..cells.first + cells.count {
                let want = StateOf::Coolant(Id::Part(c, r, p));
                assert_eq!(setup.state_of(state), want, "{name}, state {state}");
                named += 1;
            }
        }
        for (c, circuit) in ready.model.circuits.iter().enumerate() {
            for j in 0..circuit.junctions.len() {
                let state = setup.layout.junctions[c] + j;
                let want = StateOf::Coolant(Id::Junction(c, j));
                assert_eq!(setup.state_of(state), want, "{name}, state {state}");
                named += 1;
            }
        }
        let coolant = (0..setup.layout.states).filter(|&k| setup.layout.coolant[k].is_some());
        assert_eq!(named, coolant.count(), "{name}: coolant states");
        for state in (0..setup.layout.states).filter(|&k| setup.layout.coolant[k].is_none()) {
            assert!(!matches!(setup.state_of(state), StateOf::Coolant(_)), "{name}, state {state}");
        }
    }
}
