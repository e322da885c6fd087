//! Says on a terminal how far a long file is, with the time left; silent elsewhere.

use std::io::{IsTerminal, Write};
use std::time::{Duration, Instant};

/// Nothing is said of what takes less.
const PATIENCE: Duration = Duration::from_millis(700);

/// The progress of one file.
pub(crate) struct Progress {
    name: String,
    started: Instant,
    said: Option<Instant>,
    is_terminal: bool,
}

impl Progress {
    /// Starts the clock.
    pub(crate) fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            started: Instant::now(),
            said: None,
            is_terminal: std::io::stderr().is_terminal(),
        }
    }

    /// `share` is done, 0 to 1.
    pub(crate) fn at(&mut self, share: f64) {
        let since = self.said.unwrap_or(self.started);
        if !self.is_terminal || since.elapsed() < PATIENCE || share <= 0.0 {
            return;
        }
        self.said = Some(Instant::now());
        let spent = self.started.elapsed().as_secs_f64();
        let left = spent / share - spent;
        let line = format!("{}: {:.0} %, {left:.0} s left", self.name, share * 100.0);
        // A closed standard error is no reason to stop.
        let _ = write!(std::io::stderr(), "\r\x1b[K{line}");
    }

    /// Takes the line away.
    pub(crate) fn clear(&self) {
        if self.said.is_some() {
            let _ = write!(std::io::stderr(), "\r\x1b[K");
        }
    }
}
