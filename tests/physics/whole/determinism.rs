//! The same input gives the same bytes, however many threads there are.

use assert_cmd::Command;

fn printed(arguments: &[&str], threads: &str) -> Vec<u8> {
    let output = Command::cargo_bin("coolwright")
        .expect("the program is built")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("RAYON_NUM_THREADS", threads)
        .args(arguments)
        .output()
        .expect("the program runs");
    assert!(output.status.code().is_some_and(|code| code < 2), "{arguments:?}: {output:?}");
    output.stdout
}

#[test]
fn the_same_input_gives_the_same_bytes_on_one_thread_and_on_two() {
    for command in ["point", "cycle", "compare"] {
        let arguments = [command, "cases/first.ron", "--json"];
        let one = printed(&arguments, "1");
        assert!(one.len() > 500, "{command} prints an answer");
        assert!(one == printed(&arguments, "2"), "{command}: one thread and two differ");
        assert!(one == printed(&arguments, "1"), "{command}: two runs differ");
    }
}
