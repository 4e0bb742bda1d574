//! All threads of the machine, and how far they have come.

use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use coolwright::workers::Workers;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use rayon::prelude::*;

/// Who waits no longer than this needs no bar.
const PATIENCE: Duration = Duration::from_secs(1);

/// All threads of the machine. A bar on standard error shows how far long work has come, where that is a
/// terminal; it goes when the work is done.
pub(super) struct Threads {
    bar: ProgressBar,
}

impl Threads {
    pub(super) fn new() -> Self {
        // It draws nothing where standard error is no terminal.
        let bar = ProgressBar::with_draw_target(Some(1000), ProgressDrawTarget::stderr());
        if let Ok(style) = ProgressStyle::with_template("{bar:40} {percent} % {msg}") {
            bar.set_style(style);
        }
        Self { bar }
    }

    /// Tells how far work has come, from 0 to 1.
    pub(super) fn shows(&self, share: f64, what: &'static str) {
        if self.bar.elapsed() < PATIENCE {
            return;
        }
        // So many thousandths as of a second milliseconds.
        let thousandths = Duration::try_from_secs_f64(share).unwrap_or_default().as_millis();
        self.bar.set_message(what);
        self.bar.set_position(u64::try_from(thousandths).unwrap_or_default());
    }
}

impl Workers for Threads {
    fn each(&self, count: usize, job: &(dyn Fn(usize) + Sync)) {
        let done = AtomicU32::new(0);
        (0..count).into_par_iter().for_each(|k| {
            job(k);
            let done = done.fetch_add(1, Ordering::Relaxed) + 1;
            self.shows(f64::from(done) / count as f64, "of what is worked out side by side");
        });
    }

    fn hears(&self, share: f64) {
        self.shows(share, "of the duty cycle");
    }
}

impl Drop for Threads {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
