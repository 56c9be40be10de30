//! Is this a quiet moment, in which something may be got ready that nobody has asked for yet?
//!
//! A page opens films and scans ahead, so that the next click is answered at once. With many people at work that would
//! take the time of those who did ask.

use std::sync::{Mutex, PoisonError};
use time::OffsetDateTime;

/// Requests in two seconds that still count as quiet: one or two people at work.
const FEW: u32 = 24;

#[derive(Default)]
pub struct Pace(Mutex<Counted>);

#[derive(Default)]
struct Counted {
    second: i64,
    now: u32,
    before: u32,
}

impl Counted {
    fn turn_to(&mut self, second: i64) {
        if second != self.second {
            self.before = if second == self.second + 1 {
                self.now
            } else {
                0
            };
            (self.second, self.now) = (second, 0);
        }
    }
}

impl Pace {
    /// Somebody asks.
    pub fn asked(&self, at: OffsetDateTime) {
        let mut counted = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        counted.turn_to(at.unix_timestamp());
        counted.now = counted.now.saturating_add(1);
    }

    pub fn is_quiet(&self, at: OffsetDateTime) -> bool {
        let mut counted = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        counted.turn_to(at.unix_timestamp());
        counted.now.saturating_add(counted.before) <= FEW
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::{Duration, macros::datetime};

    #[test]
    fn many_requests_make_it_busy_and_two_seconds_without_any_make_it_quiet() {
        let (pace, at) = (Pace::default(), datetime!(2026-11-27 10:00 UTC));
        for _ in 0..FEW {
            pace.asked(at);
        }
        assert!(pace.is_quiet(at));
        pace.asked(at);
        assert!(!pace.is_quiet(at) && !pace.is_quiet(at + Duration::seconds(1)));
        assert!(pace.is_quiet(at + Duration::seconds(2)));
        // A clock that was set back starts anew.
        pace.asked(at - Duration::hours(1));
        assert!(pace.is_quiet(at - Duration::hours(1)));
    }
}
