//! A line on standard error about work that takes more than a second; nothing where nobody looks.

use std::io::IsTerminal;
use std::time::{Duration, Instant};

const QUIET: Duration = Duration::from_secs(1);
const BETWEEN: Duration = Duration::from_millis(200);

pub struct Progress {
    shown: bool,
    begun: Instant,
    last: Option<Instant>,
}

impl Progress {
    pub fn new() -> Progress {
        Progress {
            shown: std::io::stderr().is_terminal(),
            begun: Instant::now(),
            last: None,
        }
    }

    /// `of` is 0 where nobody knows how much there is.
    pub fn tell(&mut self, doing: &str, done: u64, of: u64) {
        let due = self.last.map_or(QUIET, |last| {
            last.saturating_duration_since(self.begun) + BETWEEN
        });
        if !self.shown || self.begun.elapsed() < due {
            return;
        }
        self.last = Some(Instant::now());
        if of == 0 {
            eprint!("\r\x1b[2K{doing}: {done}");
            return;
        }
        let share = 100.0 * done as f64 / of as f64;
        eprint!("\r\x1b[2K{share:3.0} %  {doing}");
    }
}

/// The line is taken away: what follows stands alone.
impl Drop for Progress {
    fn drop(&mut self) {
        if self.last.is_some() {
            eprint!("\r\x1b[2K");
        }
    }
}
