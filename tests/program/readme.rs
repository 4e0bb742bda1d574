//! What the README shows is what the program prints.

use std::path::PathBuf;

use crate::shown::hold;

#[test]
fn every_answer_in_the_readme_is_what_the_program_prints() {
    let shown = hold(&[PathBuf::from("README.md")]);
    assert!(shown >= 3, "the README shows {shown} commands, the three uses need three");
}
