//! The program.

use std::process::ExitCode;

use clap::Parser;
use coolwright::cli::Cli;

fn main() -> ExitCode {
    let outcome = coolwright::commands::run(&Cli::parse());
    ExitCode::from(outcome.code())
}
