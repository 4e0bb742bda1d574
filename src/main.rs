//! The program around the library: arguments, files, threads, the terminal, the exit status.

mod program;

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    program::run(&program::cli::Cli::parse())
}
