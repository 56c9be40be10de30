//! How long must somebody wait after wrong attempts?
//!
//! Three attempts are free; then the wait doubles from 2 seconds to 15 minutes (common practice). It never locks for good, so
//! that nobody can shut a colleague out of a clinic day by guessing wrongly.

use time::{Duration, OffsetDateTime};

const FREE: u32 = 3;
const LONGEST: Duration = Duration::minutes(15);

/// The wait after so many wrong attempts in a row.
pub fn after(failures: u32) -> Duration {
    match failures.checked_sub(FREE) {
        None | Some(0) => Duration::ZERO,
        Some(more) => (Duration::SECOND * 2_i32.pow(more.min(10))).min(LONGEST),
    }
}

/// What is left of the wait. A clock that was set back makes nobody wait longer than the whole wait.
pub fn left(failures: u32, failed_at: Option<OffsetDateTime>, now: OffsetDateTime) -> Duration {
    let whole = after(failures);
    let Some(failed_at) = failed_at else {
        return Duration::ZERO;
    };
    let left = failed_at + whole - now;
    left.clamp(Duration::ZERO, whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_wait_grows_to_a_quarter_of_an_hour_and_stays_there() {
        let seconds: Vec<i64> = (0..15).map(|n| after(n).whole_seconds()).collect();
        assert_eq!(
            seconds,
            [0, 0, 0, 0, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900]
        );
        assert_eq!(after(u32::MAX), LONGEST);
    }

    #[test]
    fn a_clock_set_back_by_a_year_costs_no_more_than_the_wait() {
        let now = OffsetDateTime::UNIX_EPOCH + Duration::days(20_000);
        assert_eq!(left(6, Some(now + Duration::days(365)), now), after(6));
        assert_eq!(left(6, Some(now - Duration::hours(1)), now), Duration::ZERO);
        assert_eq!(
            left(6, Some(now - Duration::seconds(3)), now),
            Duration::seconds(5)
        );
        assert_eq!(left(0, None, now), Duration::ZERO);
    }
}
