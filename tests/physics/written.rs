//! Every number of every demo case and of the last step of the guide in which nothing was learnt, written at its address and
//! in the file.

use crate::common::written::{Tally, check};
use crate::common::{demo_cases, guide_cases};

/// Numbers, and the operating points that they lead to, are the same to the last bit.
#[test]
fn an_address_is_the_file() {
    // What was learnt counts before the file.
    let guide = guide_cases().into_iter().rfind(|(_, text)| !text.contains("include:"));
    for (name, text) in demo_cases().into_iter().chain(guide) {
        let mut tally = Tally::default();
        check(&text, |_| true, &mut tally);
        println!("{name}: {tally:?}");
        assert!(tally.fast > 40 && tally.edited > 40 && tally.points > 40, "{name}: {tally:?}");
    }
}
