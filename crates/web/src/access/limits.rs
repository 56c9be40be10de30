//! How much may one session, or one key, ask for at a time?
//!
//! Requests and bytes are taken out of buckets that fill again with time; the time is passed in. A hand that drags a
//! point asks with every movement that the browser tells, two requests under way at most, each answered within a few
//! milliseconds: some 400 a second at the utmost. A session's bucket lets that through for a quarter of a minute without
//! a pause and stops a script that never pauses.

use crate::error::PageError;
use axum::body::{Body, HttpBody};
use futures_util::StreamExt;
use std::{
    collections::HashMap,
    sync::{Arc, Mutex, MutexGuard},
};
use time::{Duration, OffsetDateTime};

/// What one of a kind may ask for. Our own choice, not a measure of anything.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Allowed {
    pub requests_at_once: f64,
    pub requests_each_second: f64,
    pub bytes_at_once: f64,
    pub bytes_each_minute: f64,
    pub uploads_beside_each_other: u32,
}

const MIB: f64 = 1024.0 * 1024.0;

pub const SESSION: Allowed = Allowed {
    requests_at_once: 2_500.0,
    requests_each_second: 250.0,
    bytes_at_once: 1024.0 * MIB,
    bytes_each_minute: 512.0 * MIB,
    uploads_beside_each_other: 4,
};

pub const KEY: Allowed = Allowed {
    requests_at_once: 200.0,
    requests_each_second: 20.0,
    ..SESSION
};

/// A larger body, or one that does not say how large it is, is an upload.
const LARGE: u64 = 1024 * 1024;
/// Sessions and keys remembered; the one that asked longest ago is forgotten beyond.
const REMEMBERED: usize = 10_000;

#[derive(Default)]
pub struct Limits(Mutex<HashMap<String, Held>>);

struct Held {
    requests: f64,
    /// Below nothing after an upload that was larger than what was left.
    bytes: f64,
    uploads: u32,
    at: OffsetDateTime,
}

/// One upload under way; ends when it is dropped.
pub struct Upload {
    limits: Arc<Limits>,
    of: String,
}

impl Drop for Upload {
    fn drop(&mut self) {
        if let Some(held) = self.limits.held().get_mut(&self.of) {
            held.uploads = held.uploads.saturating_sub(1);
        }
    }
}

impl Limits {
    fn held(&self) -> MutexGuard<'_, HashMap<String, Held>> {
        match self.0.lock() {
            Ok(held) => held,
            Err(poisoned) => poisoned.into_inner(),
        }
    }

    fn with<T>(
        &self,
        of: &str,
        allowed: &Allowed,
        now: OffsetDateTime,
        ask: impl FnOnce(&mut Held) -> T,
    ) -> T {
        let mut all = self.held();
        if all.len() >= REMEMBERED && !all.contains_key(of) {
            // One with an upload under way is still needed.
            let idle = all.iter().filter(|(_, h)| h.uploads == 0);
            let oldest = idle.min_by_key(|(_, h)| h.at).map(|(of, _)| of.clone());
            if let Some(oldest) = oldest {
                all.remove(&oldest);
            }
        }
        let held = all.entry(of.to_owned()).or_insert(Held {
            requests: allowed.requests_at_once,
            bytes: allowed.bytes_at_once,
            uploads: 0,
            at: now,
        });
        // A clock set back gives nothing and takes nothing.
        let passed = (now - held.at).max(Duration::ZERO).as_seconds_f64();
        held.requests =
            (held.requests + passed * allowed.requests_each_second).min(allowed.requests_at_once);
        held.bytes =
            (held.bytes + passed * allowed.bytes_each_minute / 60.0).min(allowed.bytes_at_once);
        held.at = now;
        ask(held)
    }

    /// Takes one request.
    ///
    /// # Errors
    /// `TooMany` with the seconds until the next.
    pub fn one_request(
        &self,
        of: &str,
        allowed: &Allowed,
        now: OffsetDateTime,
    ) -> Result<(), PageError> {
        self.with(of, allowed, now, |held| {
            if held.requests < 1.0 {
                let wait = (1.0 - held.requests) / allowed.requests_each_second;
                return Err(PageError::TooMany {
                    sentence: "more was asked for at once than is answered".to_owned(),
                    seconds: wait.ceil() as u64,
                });
            }
            held.requests -= 1.0;
            Ok(())
        })
    }

    /// Begins an upload; its bytes are taken as they come.
    ///
    /// # Errors
    /// `TooMany` where too many are under way or too many bytes came in the last minutes.
    pub fn begin_upload(
        self: &Arc<Self>,
        of: &str,
        allowed: &Allowed,
        now: OffsetDateTime,
    ) -> Result<Upload, PageError> {
        self.with(of, allowed, now, |held| {
            if held.uploads >= allowed.uploads_beside_each_other {
                return Err(PageError::TooMany {
                    sentence: format!(
                        "{} uploads are under way already; expected no more beside each other",
                        held.uploads
                    ),
                    seconds: 5,
                });
            }
            if held.bytes <= 0.0 {
                let wait = (1.0 - held.bytes) / (allowed.bytes_each_minute / 60.0);
                return Err(PageError::TooMany {
                    sentence: "more bytes came in within a minute than are taken".to_owned(),
                    seconds: wait.ceil() as u64,
                });
            }
            held.uploads += 1;
            Ok(())
        })?;
        Ok(Upload {
            limits: self.clone(),
            of: of.to_owned(),
        })
    }

    fn take_bytes(&self, of: &str, bytes: usize) {
        if let Some(held) = self.held().get_mut(of) {
            held.bytes -= bytes as f64;
        }
    }
}

/// A body whose bytes are counted, and the upload that it is; as it came where it is none.
///
/// # Errors
/// As for [`Limits::begin_upload`].
pub fn counted(
    limits: &Arc<Limits>,
    of: &str,
    allowed: &Allowed,
    now: OffsetDateTime,
    body: Body,
) -> Result<(Body, Option<Upload>), PageError> {
    if body.size_hint().exact().is_some_and(|n| n <= LARGE) {
        return Ok((body, None));
    }
    let upload = limits.begin_upload(of, allowed, now)?;
    let (limits, of) = (limits.clone(), of.to_owned());
    let stream = body.into_data_stream().map(move |piece| {
        if let Ok(bytes) = &piece {
            limits.take_bytes(&of, bytes.len());
        }
        piece
    });
    Ok((Body::from_stream(stream), Some(upload)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FEW: Allowed = Allowed {
        requests_at_once: 5.0,
        requests_each_second: 2.0,
        bytes_at_once: 4.0 * MIB,
        bytes_each_minute: 60.0 * MIB,
        uploads_beside_each_other: 2,
    };

    fn noon() -> OffsetDateTime {
        OffsetDateTime::UNIX_EPOCH + Duration::days(20_000)
    }

    fn seconds_to_wait(refused: PageError) -> u64 {
        match refused {
            PageError::TooMany { seconds, .. } => seconds,
            other => panic!("{other}"),
        }
    }

    #[test]
    fn a_bucket_empties_and_fills_again_and_another_one_is_another_matter() {
        let limits = Limits::default();
        let ask = |of: &str, at| limits.one_request(of, &FEW, at);
        let passed = (0..9).filter(|_| ask("a", noon()).is_ok()).count();
        assert_eq!(passed, 5);
        assert_eq!(seconds_to_wait(ask("a", noon()).unwrap_err()), 1);
        assert!(ask("b", noon()).is_ok());
        let later = noon() + Duration::seconds(1);
        let passed = (0..9).filter(|_| ask("a", later).is_ok()).count();
        assert_eq!(passed, 2);
        assert!(
            ask("a", later - Duration::days(1)).is_err(),
            "a clock set back"
        );
        let passed = (0..99).filter(|_| ask("a", later + Duration::days(1)).is_ok());
        assert_eq!(passed.count(), 5, "never more than at once");
    }

    #[test]
    fn a_hand_that_drags_for_a_quarter_of_a_minute_is_not_stopped() {
        let limits = Limits::default();
        for n in 0..(15 * 400) {
            let at = noon() + Duration::seconds_f64(f64::from(n) / 400.0);
            assert!(limits.one_request("a", &SESSION, at).is_ok(), "{n}");
        }
        let at = noon() + Duration::seconds(15);
        let stopped = (0..5_000).any(|_| limits.one_request("a", &SESSION, at).is_err());
        assert!(stopped, "a script that never pauses is");
    }

    #[test]
    fn so_many_uploads_run_beside_each_other_and_an_ended_one_makes_room() {
        let limits = Arc::new(Limits::default());
        let begin = || limits.begin_upload("a", &FEW, noon());
        let (first, _second) = (begin().unwrap(), begin().unwrap());
        assert!(begin().is_err());
        drop(first);
        assert!(begin().is_ok());
    }

    #[tokio::test]
    async fn bytes_are_counted_as_they_come_and_a_small_body_is_no_upload() {
        let limits = Arc::new(Limits::default());
        let of = |bytes: usize| counted(&limits, "a", &FEW, noon(), Body::from(vec![0; bytes]));
        let (body, small) = of(1_000).unwrap();
        assert!(small.is_none());
        assert_eq!(
            axum::body::to_bytes(body, usize::MAX).await.unwrap().len(),
            1_000
        );
        let (body, large) = of(6 * 1024 * 1024).unwrap();
        let whole = axum::body::to_bytes(body, usize::MAX).await.unwrap();
        assert_eq!(whole.len(), 6 * 1024 * 1024);
        drop(large);
        // Two MiB too many, at one each second.
        let wait = seconds_to_wait(of(2 * 1024 * 1024).err().expect("refused"));
        assert!((2..=4).contains(&wait), "{wait}");
        let later = noon() + Duration::seconds(4);
        assert!(limits.begin_upload("a", &FEW, later).is_ok());
    }

    #[test]
    fn what_is_remembered_is_bounded() {
        let limits = Limits::default();
        for n in 0..(REMEMBERED + 50) {
            let at = noon() + Duration::milliseconds(n as i64);
            let _ = limits.one_request(&n.to_string(), &FEW, at);
        }
        assert_eq!(limits.held().len(), REMEMBERED);
        assert!(!limits.held().contains_key("0"));
    }
}
