//! `completions` and `man`: what a shell and a reader of manuals have of the arguments, made from these.

use clap::CommandFactory;
use clap_mangen::Man;
use coolwright::answer::Verdict;
use coolwright::refusal::Refusal;
use coolwright::say;

use super::cli::{self, Cli};
use super::files;

/// The section of manuals that programs stand in.
const SECTION: &str = "1";

/// Prints the script by which a shell completes.
pub(super) fn completions(args: &cli::Completions) -> Result<Option<Verdict>, Refusal> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut Cli::command(), "coolwright", &mut script);
    files::to_stdout(&String::from_utf8_lossy(&script)).map_err(Refusal::said)?;
    Ok(None)
}

/// Writes a manual page for the program and for each command.
pub(super) fn pages(args: &cli::Man) -> Result<Option<Verdict>, Refusal> {
    let folder = &args.output;
    let refused = |why: &std::io::Error| {
        let (folder, why) = (folder.display().to_string(), files::message(why));
        Refusal::said(say!("cannot write {folder}: {why}", folder = folder, why = why))
    };
    std::fs::create_dir_all(folder).map_err(|why| refused(&why))?;
    let mut program = Cli::command().disable_help_subcommand(true);
    program.build();
    let mut written = 0;
    for command in std::iter::once(&program).chain(program.get_subcommands()) {
        let name = command.get_display_name().unwrap_or_else(|| command.get_name()).to_owned();
        let source = concat!("coolwright ", env!("CARGO_PKG_VERSION"));
        let man = Man::new(command.clone()).title(&name).section(SECTION).source(source);
        let mut page = Vec::new();
        man.render(&mut page).map_err(|why| refused(&why))?;
        let path = folder.join(format!("{name}.{SECTION}"));
        files::write_bytes(&path, &page).map_err(Refusal::said)?;
        written += 1;
    }
    let said = format!("Wrote {written} pages into {}.\n", folder.display());
    files::to_stdout(&said).map_err(Refusal::said)?;
    Ok(None)
}
