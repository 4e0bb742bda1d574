//! Where the numbers of a model stand in its case.

use coolwright_cases::lower::Ready;
use coolwright_models::slots::Slot;

/// The addresses at which a number of the model stands: its own, else those that it follows from.
pub fn addresses_of(ready: &Ready, slot: Slot) -> Vec<String> {
    let own = ready.addresses.iter().find(|(_, entry)| entry.slots.contains(&slot));
    if let Some((address, _)) = own {
        return vec![address.clone()];
    }
    let rule = ready.model.rules.list().iter().find(|rule| rule.sets == slot);
    let from = rule.into_iter().flat_map(|rule| &rule.from);
    let mut all = Vec::new();
    for address in from.flat_map(|&slot| addresses_of(ready, slot)) {
        if !all.contains(&address) {
            all.push(address);
        }
    }
    all
}
