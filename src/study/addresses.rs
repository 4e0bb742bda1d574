//! Where the numbers of a model stand in its case.

use coolwright_cases::lower::Ready;
use coolwright_models::slots::Slot;

/// The addresses at which a number of the model stands: its own, else those that it follows from.
pub fn addresses_of(ready: &Ready, slot: Slot) -> Vec<String> {
    let own = ready.addresses.iter().find(|(_, entry)| entry.slots.contains(&slot));
    match own {
        Some((address, _)) => vec![address.clone()],
        None => follows(ready, slot).unwrap_or_default(),
    }
}

/// The addresses that a number follows from by a rule; `None` where it follows none.
pub fn follows(ready: &Ready, slot: Slot) -> Option<Vec<String>> {
    let rule = ready.model.rules.list().iter().find(|rule| rule.sets == slot)?;
    let mut all = Vec::new();
    for address in rule.from.iter().flat_map(|&slot| addresses_of(ready, slot)) {
        if !all.contains(&address) {
            all.push(address);
        }
    }
    Some(all)
}
