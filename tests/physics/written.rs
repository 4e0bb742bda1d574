//! Every number of every demo case and of the last step of the guide, written at its address and in the file.

use crate::common::written::{Tally, check};
use crate::common::{demo_cases, guide_cases};

/// Numbers, and the operating points that they lead to, are the same to the last bit.
#[test]
fn an_address_is_the_file() {
    for (name, text) in demo_cases().into_iter().chain(guide_cases().pop()) {
        let mut tally = Tally::default();
        check(&text, |_| true, &mut tally);
        println!("{name}: {tally:?}");
        assert!(tally.fast > 40 && tally.edited > 40 && tally.points > 40, "{name}: {tally:?}");
    }
}
