//! The program around the library: arguments, files, threads, the terminal, the exit status.

#![forbid(unsafe_code)]

mod program;

use std::process::ExitCode;

use clap::Parser;

/// Large cases make millions of small texts and lists.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    program::run(&program::cli::Cli::parse())
}
