//! Is a session still running?
//!
//! It ends half an hour after the last request and twelve hours after it began, whichever comes first (our own choice).

use record::Session;
use time::{Duration, OffsetDateTime};

pub const IDLE: Duration = Duration::minutes(30);
pub const LONGEST: Duration = Duration::hours(12);
/// The last request is written down no more often than this.
pub const NOTED_EVERY: Duration = Duration::minutes(1);

/// A clock set back does not lengthen a session: one that was begun or used later than now has ended.
pub fn runs(session: &Session, now: OffsetDateTime) -> bool {
    let slack = Duration::minutes(2);
    session.ended_at.is_none()
        && session.begun_at <= now + slack
        && session.seen_at <= now + slack
        && now < session.seen_at + IDLE
        && now < session.begun_at + LONGEST
}

/// Is it time to write down that it was used?
pub fn wants_noting(session: &Session, now: OffsetDateTime) -> bool {
    now - session.seen_at >= NOTED_EVERY
}

#[cfg(test)]
mod tests {
    use super::*;
    use record::AccountId;

    fn begun(begun_at: OffsetDateTime, seen_at: OffsetDateTime) -> Session {
        Session {
            token: "00".repeat(32),
            account: AccountId::new(Default::default()),
            begun_at,
            seen_at,
            ended_at: None,
        }
    }

    #[test]
    fn a_session_ends_when_idle_when_long_and_when_ended() {
        let now = OffsetDateTime::UNIX_EPOCH + Duration::days(20_000);
        let minutes = |n| Duration::minutes(n);
        assert!(runs(&begun(now - minutes(100), now - minutes(29)), now));
        assert!(!runs(&begun(now - minutes(100), now - minutes(30)), now));
        assert!(runs(&begun(now - minutes(719), now), now));
        assert!(!runs(&begun(now - minutes(720), now), now));
        let mut ended = begun(now, now);
        ended.ended_at = Some(now);
        assert!(!runs(&ended, now));
    }

    #[test]
    fn a_clock_set_back_ends_a_session_instead_of_lengthening_it() {
        let now = OffsetDateTime::UNIX_EPOCH + Duration::days(20_000);
        assert!(!runs(
            &begun(now + Duration::hours(1), now + Duration::hours(1)),
            now
        ));
    }
}
