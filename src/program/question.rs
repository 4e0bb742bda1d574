//! What a command asks, from its arguments.

use coolwright::answer::{Sentence, Value};
use coolwright::ask::{Chance, Day, Judge, Lengths, Moment, Question, Size, Wanted, Why};
use coolwright::refusal::Refusal;
use coolwright::say;
use coolwright_cases::quantity::{Kind, parse};

use super::cli::Command;

/// What a command asks.
pub(super) fn question(command: &Command) -> Result<Question, Refusal> {
    Ok(match command {
        Command::Check(_)
        | Command::New(_)
        | Command::Grid(_)
        | Command::Learn(_)
        | Command::Report(_)
        | Command::Chart(_)
        | Command::Completions(_)
        | Command::Man(_) => Question::Check,
        Command::Point(args) => {
            let moment = moment(args.phase.as_deref(), args.at.as_deref())?;
            Question::Point { variant: args.variant.clone(), moment, off: args.full }
        }
        Command::Sheets(args) => Question::Sheets { variant: args.variant.clone() },
        Command::Why(args) => Question::Why(Why {
            address: args.address.clone(),
            variant: args.variant.clone(),
            moment: moment(args.phase.as_deref(), args.at.as_deref())?,
        }),
        Command::Cycle(args) => {
            let every_s = args.every.as_deref().map(|text| seconds("--every", text)).transpose()?;
            let wanted = Wanted { columns: args.columns.clone(), every_s };
            let lengths = Lengths { longest: args.longest, rest: args.rest };
            Question::Cycle { variant: args.variant.clone(), wanted, lengths }
        }
        Command::Compare(args) => {
            let by = match (args.cycle, args.point) {
                (true, _) => Judge::Cycle,
                (_, true) => Judge::Point,
                _ => Judge::Usual,
            };
            Question::Compare { only: args.variant.clone(), by }
        }
        Command::Levers(args) => {
            let by = if args.point { Judge::Point } else { Judge::Usual };
            Question::Levers { limits: args.limit.clone(), by }
        }
        Command::Failures(args) => {
            let by = if args.point { Judge::Point } else { Judge::Usual };
            Question::Failures { by, pairs: args.pairs }
        }
        Command::Day(args) => Question::Day(Day {
            air: args.air.clone(),
            altitude: args.altitude.clone(),
            humidity: args.humidity.clone(),
        }),
        Command::Chance(args) => {
            let by = if args.point { Judge::Point } else { Judge::Usual };
            Question::Chance(Chance { samples: args.samples, by })
        }
        Command::Size(args) => {
            let by = if args.point { Judge::Point } else { Judge::Usual };
            let between = args.between.as_ref().and_then(|ends| {
                let [least, most] = &ends[..] else { return None };
                Some([least.clone(), most.clone()])
            });
            let (addresses, margin) = (args.address.clone(), args.margin.clone());
            Question::Size { size: Size { addresses, margin, between }, by }
        }
    })
}

/// Which moment is asked for.
fn moment(phase: Option<&str>, at: Option<&str>) -> Result<Moment, Refusal> {
    Ok(match (phase, at) {
        (Some(phase), _) => Moment::Phase(phase.to_owned()),
        (None, Some(at)) => Moment::At(seconds("--at", at)?),
        (None, None) => Moment::Full,
    })
}

/// A time with its unit, given with an option.
fn seconds(option: &'static str, text: &str) -> Result<f64, Refusal> {
    parse(Kind::Time, text).map_err(|error| {
        let refusal = Refusal::said(say!(
            "`{option}`: {why}",
            option = option,
            why = Value::spoken(&error.message)
        ));
        let helps = error.help.iter().map(|help| Sentence::spoken(help));
        helps.fold(refusal, Refusal::help)
    })
}
