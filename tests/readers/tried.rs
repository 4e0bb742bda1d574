//! Tries texts one after the other: none makes the reader panic, take long, or take more memory than its size explains.

use std::collections::BTreeMap;
use std::fmt::Debug;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::Instant;

use crate::common::Random;

/// No text takes longer, s of the processor's time: that of others on a busy machine does not count.
const SLOWEST_S: f64 = 1.0;
/// Memory that a reader may have at once whatever it reads (tables of liquids, messages), bytes.
const MEMORY: u64 = 48 << 20;
/// And for each byte of the text.
const MEMORY_PER_BYTE: u64 = 8000;

/// A whole number that the environment says.
fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|text| text.parse().ok())
}

/// How long this thread was at work, s; by the clock where the system does not tell.
fn at_work(began: Instant) -> f64 {
    let told = fs::read_to_string("/proc/thread-self/schedstat").ok();
    let ns = told.as_deref().and_then(|text| text.split(' ').next()?.parse::<f64>().ok());
    ns.map_or_else(|| began.elapsed().as_secs_f64(), |ns| ns * 1e-9)
}

/// Makes texts and tries them: `make` gives a text and what it is tried with, `read` says in a word how far it came, or what
/// is wrong. `inputs` are tried where the environment says nothing.
pub(crate) fn tried<T: Debug>(
    name: &str,
    inputs: u64,
    make: impl Fn(&mut Random) -> (String, T),
    read: impl Fn(&str, &T) -> Result<&'static str, String>,
) {
    let inputs = asked("READER_INPUTS").unwrap_or(inputs);
    let seed = asked("READER_SEED").unwrap_or(1);
    let began = Instant::now();
    let mut counts: BTreeMap<&str, u64> = BTreeMap::new();
    let (mut slowest, mut largest, mut failures) = (0.0_f64, 0, Vec::new());
    for k in 0..inputs {
        let mut random = Random(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ k);
        // Neighbours must not begin alike.
        for _ in 0..4 {
            random.next();
        }
        let (text, with) = make(&mut random);
        let before = at_work(began);
        let mut outcome = Err("it panics".to_owned());
        let memory = allocation_counter::measure(|| {
            if let Ok(came) = catch_unwind(AssertUnwindSafe(|| read(&text, &with))) {
                outcome = came;
            }
        });
        let took = at_work(began) - before;
        slowest = slowest.max(took);
        largest = largest.max(memory.bytes_max);
        let allowed = MEMORY + MEMORY_PER_BYTE * text.len() as u64;
        let outcome = match outcome {
            Ok(_) if took > SLOWEST_S => Err(format!("it takes {took:.2} s")),
            Ok(_) if memory.bytes_max > allowed => {
                Err(format!("it takes {} bytes", memory.bytes_max))
            }
            other => other,
        };
        match outcome {
            Ok(word) => *counts.entry(word).or_default() += 1,
            Err(why) => failures.push(kept(name, k, (&text, &with), &why)),
        }
    }
    println!(
        "{name}: {inputs} texts of seed {seed} in {:.0?}, {counts:?}; slowest {slowest:.3} s, most memory {largest} bytes",
        began.elapsed()
    );
    assert!(
        failures.is_empty(),
        "{} failed:\n{}",
        failures.len(),
        failures[..failures.len().min(20)].join("\n")
    );
    // Neither all nor none: both ways are tried.
    assert!(counts.len() > 1, "{counts:?}");
}

/// Puts a text that failed into a file; tells where.
fn kept<T: Debug>(name: &str, k: u64, (text, with): (&str, &T), why: &str) -> String {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("readers");
    let path = folder.join(format!("{name}-{k}.txt"));
    let put = fs::create_dir_all(&folder).and_then(|()| fs::write(&path, text));
    let place = put.map_or_else(|error| error.to_string(), |()| path.display().to_string());
    format!("text {k} ({with:?}): {why}; {place}")
}
