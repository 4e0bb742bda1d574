//! Every number of every demo case, written at its address and in the file.

use crate::common::demo_cases;
use crate::common::written::{Tally, check};

/// Numbers, and the operating points that they lead to, are the same to the last bit.
#[test]
fn an_address_is_the_file() {
    for (name, text) in demo_cases() {
        let mut tally = Tally::default();
        check(&text, |_| true, &mut tally);
        println!("{name}: {tally:?}");
        assert!(tally.fast > 40 && tally.edited > 40 && tally.points > 40, "{name}: {tally:?}");
    }
}
