//! What can be asked on the command line.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use coolwright::answer::Topic;
use coolwright::sections;
use coolwright_cases::quantity::UnitSystem;

/// What every help ends with.
const CAUTIONS: &str = "Results are estimates, to be checked on a stand. Hot coolant under pressure scalds: never open \
                        a hot cap. Fans and pumps start by themselves. Glycol is poisonous. Local codes and licensed \
                        practice come first.";

/// Lays out and proves the cooling of hard-worked vehicles before the metal is cut.
#[derive(Debug, Parser)]
#[command(name = "coolwright", version, about, max_term_width = 100)]
#[command(
    after_help = format!(
        "Exit status: 0 all limits were judged and hold, 1 some limit is broken or was not judged, 2 the case \
         could not be read or solved.\n{CAUTIONS}"
    )
)]
pub(crate) struct Cli {
    /// The question.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The questions.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Write a starter case of thirty lines
    #[command(after_help = CAUTIONS)]
    New(New),
    /// Does the case read, is the plumbing complete and sensible?
    #[command(after_help = CAUTIONS)]
    Check(Asked),
    /// A survey of one moment: flows, pressures, temperatures, heat, margins
    #[command(after_help = CAUTIONS)]
    Point(Point),
    /// The duty cycle: peaks, time over limit, time until ready again, stored and rejected heat
    #[command(after_help = CAUTIONS)]
    Cycle(Cycle),
    /// Variants side by side, judged by the duty cycle where there is one
    #[command(after_help = CAUTIONS)]
    Compare(Compare),
    /// One page with all answers and pictures, in a file that needs nothing else
    #[command(after_help = CAUTIONS)]
    Report(Report),
    /// One picture of the page alone; without a name it lists them
    #[command(after_help = CAUTIONS)]
    Chart(Chart),
}

/// What `report` is asked.
#[derive(Args, Debug)]
pub(crate) struct Report {
    /// The case file
    pub(crate) case: PathBuf,
    /// The file to write, as `page.html` (`-` for standard output)
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: PathBuf,
    /// Units that the page opens with; a reader can switch
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    pub(crate) units: Units,
}

/// What `chart` is asked.
#[derive(Args, Debug)]
pub(crate) struct Chart {
    /// The case file
    pub(crate) case: PathBuf,
    /// The name of the picture; all names are listed where it is left out
    pub(crate) name: Option<String>,
    /// The file to write, as `picture.svg` [default: standard output]
    #[arg(short, long, value_name = "FILE", requires = "name")]
    pub(crate) output: Option<PathBuf>,
    /// Units of the picture
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    pub(crate) units: Units,
}

/// Where a starter case is written.
#[derive(Args, Debug)]
pub(crate) struct New {
    /// The file to write; it must not exist
    pub(crate) file: PathBuf,
}

/// A case, and how the answer is wanted.
#[derive(Args, Debug)]
pub(crate) struct Asked {
    /// The case file
    pub(crate) case: PathBuf,
    /// Units of the answer
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    pub(crate) units: Units,
    /// Write the answer as JSON, in SI units
    #[arg(long)]
    pub(crate) json: bool,
}

/// What `point` is asked.
#[derive(Args, Debug)]
pub(crate) struct Point {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Point), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// The variant to solve instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// The phase of the duty cycle whose settings hold, instead of full power
    #[arg(long, value_name = "NAME")]
    pub(crate) phase: Option<String>,
    /// The time of the duty cycle that is shown, as `12 s`, instead of full power kept up
    #[arg(long, value_name = "TIME", conflicts_with = "phase")]
    pub(crate) at: Option<String>,
    /// Write all results as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// What `cycle` is asked.
#[derive(Args, Debug)]
pub(crate) struct Cycle {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Cycle), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// The variant to follow instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// Find how long each phase under load may last until a limit breaks, the rest of the cycle as it is
    #[arg(long)]
    pub(crate) longest: bool,
    /// Find how long each rest must last for every limit to hold and every pull to start ready
    #[arg(long)]
    pub(crate) rest: bool,
    /// Write the histories as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// Histories of these results in JSON and CSV, by address; `*` stands for anything, so `*` alone is all
    /// [default: those under limits, and what the answer plots]
    #[arg(long, value_name = "ADDRESS", value_delimiter = ',')]
    pub(crate) columns: Vec<String>,
    /// Interval of the histories in JSON and CSV, such as `0.5 s` [default: with `--columns` every time that
    /// was worked out, without some six hundred over the cycle]
    #[arg(long, value_name = "TIME")]
    pub(crate) every: Option<String>,
}

/// What `compare` is asked.
#[derive(Args, Debug)]
pub(crate) struct Compare {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Compare), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Only these variants, beside the case as it stands; all of them where left out
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Vec<String>,
    /// Write the comparison as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
    /// Judge by the duty cycle; that is so without it too where the case has one
    #[arg(long, conflicts_with = "point")]
    pub(crate) cycle: bool,
    /// Compare operating points, everything kept up, instead of duty cycles
    #[arg(long)]
    pub(crate) point: bool,
}

/// The help of `--only`.
fn only(topic: Topic) -> String {
    format!("Print this section alone, whole: {}", sections::names(topic).join(", "))
}

/// Units of the answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Units {
    /// gpm, psi, °F
    Us,
    /// L/min, kPa, °C
    Metric,
    /// m³/s, Pa, K
    Si,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Us => Self::Us,
            Units::Metric => Self::Metric,
            Units::Si => Self::Si,
        }
    }
}
