//! A progress bar on standard error while sites are judged; nothing where standard error is not a terminal.

use indicatif::{ProgressBar, ProgressStyle};
use std::time::Duration;

/// What the run tells the person who waits. The results do not depend on it.
pub struct Progress {
    bar: ProgressBar,
}

impl Progress {
    /// A progress that shows itself on a terminal and nowhere else.
    pub fn shown() -> Self {
        Self { bar: ProgressBar::no_length() }
    }

    /// A progress that shows nothing, for programs and tests.
    pub fn hidden() -> Self {
        Self { bar: ProgressBar::hidden() }
    }

    /// A stage without a known length: "reading portfolio.xlsx".
    pub fn stage(&self, words: String) {
        self.bar.set_style(ProgressStyle::default_spinner());
        self.bar.enable_steady_tick(Duration::from_millis(120));
        self.bar.set_message(words);
    }

    /// The judging of `sites` sites begins.
    pub fn judging(&self, sites: u64) {
        self.bar.disable_steady_tick();
        // The template is fixed: if it did not parse, the default bar serves as well.
        if let Ok(style) = ProgressStyle::with_template("{msg} {bar:40} {pos} of {len} sites, {eta} left") {
            self.bar.set_style(style);
        }
        self.bar.set_length(sites);
        self.bar.set_position(0);
        self.bar.set_message("judging");
    }

    /// Some more sites are judged.
    pub fn judged(&self, sites: u64) {
        self.bar.inc(sites);
    }

    /// The run is over; the bar goes.
    pub fn done(&self) {
        self.bar.finish_and_clear();
    }
}
