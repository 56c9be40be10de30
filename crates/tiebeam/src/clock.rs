//! The wall clock and fresh ids, handed to everything that must not make its own.

use record::{ActId, ClinicianId, Stamp};
use time::OffsetDateTime;
use uuid::Uuid;

pub struct WallClock;

impl web::Clock for WallClock {
    fn now(&self) -> OffsetDateTime {
        OffsetDateTime::now_utc()
    }
}

pub struct FreshIds;

impl web::Ids for FreshIds {
    fn fresh(&self) -> Uuid {
        Uuid::now_v7()
    }
}

/// Whole seconds, so that a stored time reads the same everywhere.
pub fn now() -> OffsetDateTime {
    let now = OffsetDateTime::now_utc();
    now.replace_nanosecond(0).unwrap_or(now)
}

pub fn stamp(by: ClinicianId) -> Stamp {
    Stamp {
        act: ActId::new(Uuid::now_v7()),
        at: now(),
        by,
    }
}

/// Bytes nobody can guess, from the operating system's own source.
pub fn fresh_bytes(bytes: &mut [u8]) {
    use rand::TryRngCore;
    // Without random bytes no token and no key may be made.
    #[allow(clippy::expect_used)]
    rand::rngs::OsRng
        .try_fill_bytes(bytes)
        .expect("the operating system gives random bytes");
}
