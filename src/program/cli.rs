//! What can be asked on the command line.

use std::ffi::OsStr;
use std::path::PathBuf;

use clap::builder::{EnumValueParser, PossibleValue, TypedValueParser};
use clap::{Args, Parser, Subcommand, ValueEnum};
use coolwright::answer::Topic;
use coolwright::sections;
use coolwright_cases::quantity::UnitSystem;

/// What every help ends with.
const CAUTIONS: &str = "Results are estimates, to be checked on a stand. Hot coolant under pressure scalds: never open \
                        a hot cap. Fans and pumps start by themselves. Glycol is poisonous. Local codes and licensed \
                        practice come first.";

/// The version, and whether the pages of this program solve.
#[cfg(feature = "live")]
macro_rules! version {
    () => {
        concat!(env!("CARGO_PKG_VERSION"), ", with the live page")
    };
}
/// The version, and whether the pages of this program solve.
#[cfg(not(feature = "live"))]
macro_rules! version {
    () => {
        concat!(env!("CARGO_PKG_VERSION"), ", without the live page")
    };
}

/// What was built in, and for which machine (`build.rs` hands that on).
const BUILT: &str = concat!(
    version!(),
    "\nbuilt for ",
    env!("COOLWRIGHT_TARGET"),
    ", ",
    env!("COOLWRIGHT_PROFILE")
);

/// Lays out and proves the cooling of hard-worked vehicles before the metal is cut.
#[derive(Debug, Parser)]
#[command(name = "coolwright", version, long_version = BUILT, about, max_term_width = 100)]
#[command(
    after_help = format!(
        "Exit status: 0 all limits were judged and hold, 1 some limit is broken or was not judged, 2 the case \
         could not be read or solved, 130 it was interrupted, 141 nobody read its rows any more.\n{CAUTIONS}"
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
    /// Which change moves which limit most, and what it costs elsewhere
    #[command(
        after_help = format!(
            "Every change that a builder can make to the case is made alone and solved anew: the next hose bore, one \
             more pump or fan, full speed, a larger core, another mixture, a stronger cap; over a duty cycle also \
             more ice, larger tanks, more metal, longer rests, a colder start.\n\
             Exit status: that of the case as it stands, 0 where all limits were judged and hold.\n{CAUTIONS}"
        )
    )]
    Levers(Levers),
    /// The value of a bore, a speed, a core… that just meets all limits
    #[command(
        after_help = format!(
            "The range is looked at with some values, each solved anew, and every edge of what holds is found between \
             them: so a window with values on both sides that do not hold is seen. Of several addresses all get one \
             value.\n\
             Exit status: 0 a value was found that holds, 1 none was, 2 the case could not be read or solved.\n\
             {CAUTIONS}"
        )
    )]
    Size(Size),
    /// What each failure breaks, how soon, and which gauge shows it first
    #[command(
        after_help = format!(
            "Each fails alone: pumps and fans stop, belts come off, thermostats stick, cores are half blocked, hoses are \
             pinched, coolant is lost, caps leak, the alternator is lost. Over a duty cycle a failure is there from its \
             start on. With `--pairs` two fail together.\n\
             Exit status: that of the case with nothing failed, 0 where all limits were judged and hold.\n{CAUTIONS}"
        )
    )]
    Failures(Failures),
    /// With what chance limits hold where numbers are not known exactly, and what drives that
    #[command(
        after_help = format!(
            "Cases are drawn from the tolerances of the case (`chance`), from what it leaves out, each as likely as in \
             its range, and from what published laws disagree by. Each is solved and judged; one that cannot be solved \
             counts as broken.\n\
             Exit status: that of the case as it stands, 0 where all limits were judged and hold.\n{CAUTIONS}"
        )
    )]
    Chance(Chance),
    /// Does it hold in the weather of the day: highest start, longest pull, wait, ice
    #[command(
        after_help = format!(
            "Exit status: 0 all limits were judged and hold on this day, 1 some limit is broken or was not judged.\n{CAUTIONS}"
        )
    )]
    Day(Day),
    /// How one number comes about: formula, law, source, what it rests on, where it is written
    #[command(
        after_help = format!(
            "Addresses stand in every answer and in `--json`; the path of a thing alone, as `main/loop/pump`, lists all that \
             there is of it. Each address that an answer rests on can be asked for next, down to the line of the case.\n\
             Exit status: 0 the number is there, 2 it is not, or the case could not be read or solved.\n{CAUTIONS}"
        )
    )]
    Why(Why),
    /// The papers: order list, coolant, ports, fill and bleed, pressure test, wiring, stand card
    #[command(
        after_help = format!(
            "With `-o` they are a page that prints, each sheet on its own.\nExit status: 0 the sheets are made, 2 the case could not be \
             read or solved.\n{CAUTIONS}"
        )
    )]
    Sheets(Sheets),
    /// What a log from the stand tells: prediction beside measurement, fitted numbers, the verdict again
    #[command(
        after_help = format!(
            "The case is driven by the log, and what its gauges would have shown stands beside what they did. Numbers \
             that the log tells are fitted: those of the stand file, or pumps, cores and shares of heat. What it cannot \
             tell is said, with the gauge that would.\n\
             Exit status: that of the case with what was learnt, 0 where all limits were judged and hold.\n{CAUTIONS}"
        )
    )]
    Learn(Learn),
    /// Many cases over any addresses, a row each; in pieces, taken up again where they ended
    #[command(
        after_help = format!(
            "Every combination of the lists is solved and judged as a variant would be, the last list changing fastest; a \
             `--table` gives cases line by line. Rows are written as they come: the same command on a file that was left \
             half done goes on where it is whole. In a job array each job works out one `--piece`, and `--join` puts them \
             together.\n\
             Exit status: 0 all cases hold, 1 some are broken or were not judged, 2 nothing could be solved.\n{CAUTIONS}"
        )
    )]
    Grid(Grid),
    /// One page with all answers and pictures, in a file that needs nothing else
    #[command(after_help = CAUTIONS)]
    Report(Report),
    /// One picture of the page alone; without a name it lists them
    #[command(after_help = CAUTIONS)]
    Chart(Chart),
    /// A script by which a shell completes commands and options, on standard output
    #[command(
        after_help = "As `coolwright completions bash > ~/.local/share/bash-completion/completions/coolwright`. A new shell reads \
                      it: zsh as `_coolwright` in a folder of its `fpath`, fish as `coolwright.fish` in \
                      `~/.config/fish/completions`; PowerShell and elvish from the file that they start with."
    )]
    Completions(Completions),
    /// Manual pages, one for each command
    #[command(
        after_help = "As `coolwright man -o ~/.local/share/man/man1`, then `man coolwright-point`. The folder is made where it is \
                      missing; pages that are there already are written anew."
    )]
    Man(Man),
}

/// Which shell completes.
#[derive(Args, Debug)]
pub(crate) struct Completions {
    /// The shell
    #[arg(value_enum)]
    pub(crate) shell: clap_complete::Shell,
}

/// Where manual pages go.
#[derive(Args, Debug)]
pub(crate) struct Man {
    /// The folder to write them into
    #[arg(short, long, value_name = "FOLDER")]
    pub(crate) output: PathBuf,
}

/// What `report` is asked.
#[derive(Args, Debug)]
pub(crate) struct Report {
    /// The case file
    pub(crate) case: PathBuf,
    /// The file to write, as `page.html` (`-` for standard output)
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: PathBuf,
    /// Studies that the page holds too, each of which takes its time
    #[arg(long, value_parser = StudyName, value_name = "STUDY", value_delimiter = ',')]
    pub(crate) with: Vec<Study>,
    /// A stand file, or a log: what it tells becomes a chapter
    #[arg(long, value_name = "STAND")]
    pub(crate) learn: Option<PathBuf>,
    /// A number with a slider on the page, by its address, as `charge/feed:bore`; more beside those that the page has by
    /// itself (a program with the live page only)
    #[arg(long, value_name = "ADDRESS")]
    pub(crate) live: Vec<String>,
    /// Leave the solver and the text of the case out of the page
    #[arg(long, conflicts_with = "live")]
    pub(crate) still: bool,
    /// Units that the page opens with; a reader can switch
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    pub(crate) units: Units,
}

/// A study of a page.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Study {
    /// Which change moves which limit most
    Levers,
    /// What each failure breaks
    Failures,
    /// With what chance limits hold
    Chance,
    /// How far the day may go
    Day,
}

impl From<Study> for coolwright::ask::Study {
    fn from(study: Study) -> Self {
        match study {
            Study::Levers => Self::Levers,
            Study::Failures => Self::Failures,
            Study::Chance => Self::Chance,
            Study::Day => Self::Day,
        }
    }
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
    /// A stand file, or a log, for the pictures of what it tells
    #[arg(long, value_name = "STAND")]
    pub(crate) learn: Option<PathBuf>,
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
    /// Write all of the answer as a workbook to this file, as `answer.xlsx`
    #[arg(long, value_name = "FILE")]
    pub(crate) xlsx: Option<PathBuf>,
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

/// What `levers` is asked.
#[derive(Args, Debug)]
pub(crate) struct Levers {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// The variant instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Levers), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Only what moves this limit; those of the case and those that are not kept where left out
    #[arg(long, value_name = "NAME")]
    pub(crate) limit: Vec<String>,
    /// Judge by the operating point, everything kept up, instead of the duty cycle
    #[arg(long)]
    pub(crate) point: bool,
    /// Write what every change does to every limit as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// What `size` is asked.
#[derive(Args, Debug)]
pub(crate) struct Size {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// What is sized, by its address, as `charge/feed:bore`; several get one value together
    #[arg(required = true, value_name = "ADDRESS")]
    pub(crate) address: Vec<String>,
    /// By how much every limit is to hold: a quantity for the limits that it fits, as `2 K` or `1 gpm`, or a share
    /// of every bound, as `10 %` (of a temperature, of what it is above the air of the site)
    #[arg(long, value_name = "QUANTITY")]
    pub(crate) margin: Option<String>,
    /// The least and the most value to look at [default: the range of an assumption, else a quarter to four times,
    /// of a temperature 30 K either way]
    #[arg(long, value_names = ["LEAST", "MOST"], num_args = 2)]
    pub(crate) between: Option<Vec<String>>,
    /// Judge by the operating point, everything kept up, instead of the duty cycle
    #[arg(long)]
    pub(crate) point: bool,
    /// The variant instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Size), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Write all values that were tried as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// What `failures` is asked.
#[derive(Args, Debug)]
pub(crate) struct Failures {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// The variant instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Failures), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Let two fail together as well, of those that break nothing alone
    #[arg(long)]
    pub(crate) pairs: bool,
    /// Judge by the operating point, everything kept up, instead of the duty cycle
    #[arg(long)]
    pub(crate) point: bool,
    /// Write what every failure breaks as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// What `chance` is asked.
#[derive(Args, Debug)]
pub(crate) struct Chance {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// From how many cases the chance is told [default: what the case says, else 256, or 64 over a duty cycle]
    #[arg(long, value_name = "NUMBER")]
    pub(crate) samples: Option<usize>,
    /// The variant instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Chance), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Judge by the operating point, everything kept up, instead of the duty cycle
    #[arg(long)]
    pub(crate) point: bool,
    /// Write every drawn case with its limits as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// What `day` is asked.
#[derive(Args, Debug)]
pub(crate) struct Day {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// Air temperature of the day, as `34 °C` [default: that of the case]
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub(crate) air: Option<String>,
    /// Altitude of the place [default: that of the case]
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    pub(crate) altitude: Option<String>,
    /// Relative humidity of the day [default: that of the case]
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    pub(crate) humidity: Option<String>,
    /// The variant instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Day), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Write how it stands by air and start as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// What `why` is asked.
#[derive(Args, Debug)]
pub(crate) struct Why {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// The number by its address, as `main/loop:flow` or `cores/radiator:heat`, or the path of a thing
    pub(crate) address: String,
    /// The variant to solve instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// The phase of the duty cycle whose settings hold, instead of full power
    #[arg(long, value_name = "NAME")]
    pub(crate) phase: Option<String>,
    /// The time of the duty cycle that is looked at, as `12 s`, instead of full power kept up
    #[arg(long, value_name = "TIME", conflicts_with = "phase")]
    pub(crate) at: Option<String>,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Why), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Write what it rests on as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// What `sheets` is asked.
#[derive(Args, Debug)]
pub(crate) struct Sheets {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// Write a page that prints to this file, as `sheets.html` (`-` for standard output)
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// The variant instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    #[arg(long, value_name = "SECTION", help = only(Topic::Sheets), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Write all tables as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// What `learn` is asked.
#[derive(Args, Debug)]
pub(crate) struct Learn {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// The stand file, which names the log and its columns; or the log itself, with its columns taken by their names
    #[arg(value_name = "STAND")]
    pub(crate) stand: Option<PathBuf>,
    /// Propose a stand file for this log and print it
    #[arg(long, value_name = "LOG", conflicts_with = "stand")]
    pub(crate) columns: Option<PathBuf>,
    /// Write what was learnt to this file, for the case to include
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Learn), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Write what was measured and predicted over time as CSV to this file (`-` for standard output)
    #[arg(long, value_name = "FILE")]
    pub(crate) csv: Option<PathBuf>,
}

/// Reads the name of a study, blanks around it or not.
#[derive(Clone, Debug)]
struct StudyName;

impl TypedValueParser for StudyName {
    type Value = Study;

    fn parse_ref(
        &self,
        command: &clap::Command,
        arg: Option<&clap::Arg>,
        value: &OsStr,
    ) -> Result<Study, clap::Error> {
        let bare = value.to_str().map_or(value, |text| OsStr::new(text.trim()));
        EnumValueParser::<Study>::new().parse_ref(command, arg, bare)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        let known = Study::value_variants().iter().filter_map(ValueEnum::to_possible_value);
        Some(Box::new(known))
    }
}

/// What `grid` is asked.
#[derive(Args, Debug)]
pub(crate) struct Grid {
    /// Case and form of the answer.
    #[command(flatten)]
    pub(crate) asked: Asked,
    /// An address and its values, as `main/feed:bore=16 mm,19 mm` or `main/feed:bore=10 mm..40 mm by 5 mm`
    #[arg(long, value_name = "LIST")]
    pub(crate) over: Vec<String>,
    /// A table of cases as CSV, with addresses as its header; an empty field leaves the case as it is
    #[arg(long, value_name = "FILE")]
    pub(crate) table: Option<PathBuf>,
    /// Write a row for every case to this file, or go on with it: as Parquet where its name ends in `.parquet` (until
    /// all rows are there they are kept beside it, in `FILE.part`), else as CSV (`-` for standard output)
    #[arg(short, long, value_name = "FILE", visible_alias = "csv")]
    pub(crate) output: Option<PathBuf>,
    /// Only this piece of the cases, as `2/5`
    #[arg(long, value_name = "PIECE", conflicts_with = "join")]
    pub(crate) piece: Option<String>,
    /// Join these pieces, each whole and all CSV or all Parquet, instead of solving anything
    #[arg(long, value_name = "FILE", num_args = 1..)]
    pub(crate) join: Vec<PathBuf>,
    /// The variant instead of the case as it stands
    #[arg(long, value_name = "NAME")]
    pub(crate) variant: Option<String>,
    /// Print all, not only what matters on two screens
    #[arg(long, conflicts_with = "only")]
    pub(crate) full: bool,
    #[arg(long, value_name = "SECTION", help = only(Topic::Grid), conflicts_with = "json")]
    pub(crate) only: Option<String>,
    /// Judge by the operating point, everything kept up, instead of the duty cycle
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
