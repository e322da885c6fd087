//! Says on a terminal how far a long file is, with the time left; silent elsewhere.

use std::io::{IsTerminal, Write};
use std::time::{Duration, Instant};

/// Nothing is said of what takes less.
const PATIENCE: Duration = Duration::from_millis(700);

/// The progress of one file.
pub(crate) struct Progress {
    name: String,
    /// Length of the file, bytes.
    length: u64,
    started: Instant,
    said: Option<Instant>,
    is_terminal: bool,
}

impl Progress {
    /// Starts the clock.
    pub(crate) fn new(name: &str, length: u64) -> Self {
        Self {
            name: name.to_owned(),
            length,
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
        let line = line((&self.name, self.length), share, self.started.elapsed());
        // A closed standard error is no reason to stop.
        let _ = write!(std::io::stderr(), "\r\x1b[K{line}");
    }

    /// Takes the line away.
    pub(crate) fn clear(&self) {
        if self.said.is_some() {
            clear_line();
        }
    }
}

/// Takes away what may stand in the last line of a terminal.
pub(crate) fn clear_line() {
    let mut to = std::io::stderr();
    if to.is_terminal() {
        let _ = write!(to, "\r\x1b[K");
    }
}

/// `art.tif: 40 %, 3.2 MB/s, 8 s left`.
fn line((name, length): (&str, u64), share: f64, spent: Duration) -> String {
    let spent = spent.as_secs_f64().max(1e-3);
    let rate = length as f64 * share / spent / 1e6;
    let left = spent / share - spent;
    let left = match left.round() as u64 {
        seconds if seconds < 100 => format!("{seconds} s"),
        seconds => format!("{} min", seconds.div_ceil(60)),
    };
    format!(
        "{name}: {:.0} %, {rate:.1} MB/s, {left} left",
        share * 100.0
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_tells_rate_and_time_left() {
        let spent = Duration::from_secs(2);
        assert_eq!(
            line(("art.tif", 50_000_000), 0.25, spent),
            "art.tif: 25 %, 6.2 MB/s, 6 s left"
        );
        assert_eq!(
            line(("art.tif", 50_000_000), 0.01, spent),
            "art.tif: 1 %, 0.2 MB/s, 4 min left"
        );
    }
}
