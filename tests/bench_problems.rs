//! The problems that the benches time have the right answers.

#[path = "../benches/problems/mod.rs"]
mod problems;

use problems::split::Split;

#[test]
fn the_split_has_its_known_answer_again_and_again() {
    let mut split = Split::new();
    for _ in 0..2 {
        let iterations = split.solve();
        split.check().unwrap_or_else(|off| panic!("{off}"));
        assert!(iterations <= 7, "it took {iterations} iterations; 6 are enough");
    }
}
