//! Makes logs: the model with a hidden truth, driven by a known profile, its gauges off, late, noisy, and with the
//! faults that loggers have.

use std::fmt::Write as _;
use std::path::Path;

use coolwright::answer::Histories;
use coolwright::ask::{Case, Lengths, Question, Wanted};
use coolwright::workers::Alone;

/// Numbers that look random and are the same everywhere.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1);
        for _ in 0..8 {
            dice.share();
        }
        dice
    }

    /// From 0 to 1, by Marsaglia's xorshift with a multiplication (S. Vigna, ACM Trans. Math. Softw. 42 (2016) 30).
    pub(crate) fn share(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_f491_4f6c_dd1d) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A standard normal deviate, as the sum of twelve (to four deviations).
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.share()).sum::<f64>() - 6.0
    }
}

/// A case followed through a drive of one row in a second: power in kW, engine speed in rpm, air in °C. `learnt` are
/// the hidden numbers, as a case writes them. What its gauges show every `every_s`.
pub(crate) fn truth(
    case: &str,
    (drive, learnt): (&dyn Fn(f64) -> [f64; 3], &str),
    (whole_s, every_s): (f64, f64),
) -> Histories {
    let mut log = "t,P,n,air\n".to_owned();
    let mut t = 0.0;
    while t <= whole_s {
        let [power, speed, air] = drive(t);
        writeln!(log, "{t},{power},{speed},{air}").expect("text");
        t += 1.0;
    }
    let from = case.find("    duty: Duty(").expect("a duty");
    let to = from + case[from..].find("\n    limits:").expect("limits");
    let duty = "    duty: Duty(power: \"110 kW\", engine_speed: \"2500 rpm\", log: Log(file: \"drive.csv\", time: (\"t\", \"s\"), \
                set: [(\"power\", \"P\", \"kW\"), (\"engine_speed\", \"n\", \"rpm\"), (\"site:air\", \"air\", \"°C\")])),";
    let text = format!("{}{duty}\n    learnt: [{learnt}],{}", &case[..from], &case[to..]);
    let case = Case::read("truth.ron", &text, &mut |_| Ok(log.clone()));
    let case = case.unwrap_or_else(|refusal| panic!("{:?}", refusal.complaints()));
    let wanted = Wanted { columns: vec!["gauges/*:reading".to_owned()], every_s: Some(every_s) };
    let question = Question::Cycle { variant: None, wanted, lengths: Lengths::default() };
    let answer = case.ask(&question, &Alone);
    let answer = answer.unwrap_or_else(|refusal| panic!("{:?}", refusal.complaints()));
    answer.histories.expect("histories")
}

/// The value of a column at a time, straight between rows.
pub(crate) fn at(histories: &Histories, address: &str, t: f64) -> f64 {
    let column = histories.columns.iter().position(|column| column.address == address);
    let column = column.unwrap_or_else(|| panic!("no {address}"));
    let times = &histories.times_s;
    let after = times.partition_point(|time| *time <= t).clamp(1, times.len() - 1);
    let (from, to) = (times[after - 1], times[after]);
    let [a, b] = [after - 1, after].map(|row| histories.rows[row][column]);
    if to > from { a + (b - a) * ((t - from) / (to - from)).clamp(0.0, 1.0) } else { b }
}

/// Holds a log in the tree to that of its generator, as far as the model has not changed since: `WRITE_DEMO=1` writes it
/// anew.
pub(crate) fn hold_to_generator(path: &str, made: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    if std::env::var_os("WRITE_DEMO").is_some() {
        std::fs::write(&path, made).expect("it can be written");
    }
    let known = std::fs::read_to_string(&path).expect("the log");
    assert_eq!(known.lines().count(), made.lines().count());
    for (known, made) in known.lines().zip(made.lines()) {
        for (a, b) in known.split(';').zip(made.split(';')) {
            let [a_number, b_number] =
                [a, b].map(|x| x.replace(',', ".").parse::<f64>().unwrap_or(f64::NAN));
            let close = (a_number - b_number).abs() <= 0.05 * a_number.abs().max(1.0);
            assert!(a == b || close, "{known}\n{made}");
        }
    }
}
