//! On which addresses does the program answer, must everybody sign in, and where do random bytes come from?

use super::limits::Limits;
use super::passkey::Ceremonies;
use account::waiting;
use std::collections::HashMap;
use std::net::IpAddr;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use time::{Duration, OffsetDateTime};
use tokio::sync::Semaphore;

/// Makes bytes nobody can guess. Comes from outside, like the clock.
pub trait Entropy: Send + Sync {
    fn fill(&self, bytes: &mut [u8]);
}

impl<F: Fn(&mut [u8]) + Send + Sync> Entropy for F {
    fn fill(&self, bytes: &mut [u8]) {
        self(bytes);
    }
}

/// How the program is reached.
#[derive(Debug, Clone, Default)]
pub struct Reached {
    /// Names and addresses beside the loopback's that are this program's own.
    pub names: Vec<String>,
    /// Over TLS: cookies go over nothing else.
    pub secure: bool,
    /// Not only from this machine: nobody works without an account.
    pub from_outside: bool,
    /// Typed at the first start from outside, so that the first to come is the one who started the program.
    pub set_up_code: Option<String>,
}

pub struct Doors {
    pub reached: Reached,
    pub entropy: Box<dyn Entropy>,
    /// Checking a passphrase takes 64 MiB: two at a time.
    pub hashing: Semaphore,
    /// Set once an account is there; accounts are never taken away.
    pub(crate) somebody: AtomicBool,
    /// Attempts to sign in.
    knocks: Knocks,
    /// Attempts of machines with a wrong key.
    pub key_knocks: Knocks,
    pub limits: Arc<Limits>,
    pub(crate) ceremonies: Ceremonies,
    /// Of this run of the program.
    secret: [u8; 32],
}

/// How often each address may still try.
#[derive(Default)]
pub struct Knocks(Mutex<HashMap<IpAddr, Left>>);

#[derive(Clone, Copy)]
struct Left {
    left: f64,
    at: OffsetDateTime,
}

/// Attempts to sign in from one address: so many at once, then one every so often.
const KNOCKS: f64 = 20.0;
pub const KNOCK_EVERY: Duration = Duration::seconds(3);
/// Addresses remembered; the oldest are forgotten beyond.
const REMEMBERED: usize = 10_000;

impl Doors {
    pub fn new(reached: Reached, entropy: Box<dyn Entropy>) -> Self {
        let mut secret = [0; 32];
        entropy.fill(&mut secret);
        Self {
            secret,
            ceremonies: Ceremonies::default(),
            reached,
            entropy,
            hashing: Semaphore::new(2),
            somebody: AtomicBool::new(false),
            knocks: Knocks::default(),
            key_knocks: Knocks::default(),
            limits: Arc::default(),
        }
    }

    pub fn random<const N: usize>(&self) -> [u8; N] {
        let mut bytes = [0; N];
        self.entropy.fill(&mut bytes);
        bytes
    }

    /// Bytes that belong to a name of nobody's, the same until the program stops.
    pub(crate) fn of_nobody(&self, name: &str) -> [u8; 32] {
        use sha2::{Digest, Sha256};
        // Both parts have their lengths before them or fixed: no two names give the same bytes.
        Sha256::new()
            .chain_update(self.secret)
            .chain_update(name.as_bytes())
            .finalize()
            .into()
    }

    pub fn session_cookie(&self) -> &'static str {
        if self.reached.secure {
            "__Host-tiebeam_session"
        } else {
            "tiebeam_session"
        }
    }

    /// The flags every cookie of ours has.
    pub fn cookie_flags(&self) -> &'static str {
        if self.reached.secure {
            "Path=/; HttpOnly; SameSite=Strict; Secure"
        } else {
            "Path=/; HttpOnly; SameSite=Strict"
        }
    }

    /// Is it the code that was printed where the program was started? Compared in full whatever is typed.
    pub fn is_set_up_code(&self, typed: &str) -> bool {
        let Some(code) = &self.reached.set_up_code else {
            return false;
        };
        account::recovery::kept(typed) == account::recovery::kept(code)
    }

    pub(crate) fn known_somebody(&self) -> bool {
        self.somebody.load(Ordering::Relaxed)
    }

    pub(crate) fn is_somebody(&self) {
        self.somebody.store(true, Ordering::Relaxed);
    }

    /// May this address try to sign in once more?
    ///
    /// Beside the wait of the account ([`waiting`]), so that one machine cannot try many accounts.
    pub fn may_knock(&self, from: Option<IpAddr>, now: OffsetDateTime) -> bool {
        self.knocks.take(from, now)
    }
}

impl Knocks {
    /// Takes one attempt; false where none is left.
    pub fn take(&self, from: Option<IpAddr>, now: OffsetDateTime) -> bool {
        self.with(from, now, |entry| {
            if entry.left < 1.0 {
                return false;
            }
            entry.left -= 1.0;
            true
        })
    }

    /// Is an attempt left? Takes none.
    pub fn has_left(&self, from: Option<IpAddr>, now: OffsetDateTime) -> bool {
        self.with(from, now, |entry| entry.left >= 1.0)
    }

    fn with(
        &self,
        from: Option<IpAddr>,
        now: OffsetDateTime,
        ask: impl FnOnce(&mut Left) -> bool,
    ) -> bool {
        let Some(from) = from else {
            return true;
        };
        let mut knocks = match self.0.lock() {
            Ok(knocks) => knocks,
            Err(poisoned) => poisoned.into_inner(),
        };
        if knocks.len() >= REMEMBERED && !knocks.contains_key(&from) {
            let oldest = knocks.iter().min_by_key(|(_, k)| k.at).map(|(ip, _)| *ip);
            if let Some(oldest) = oldest {
                knocks.remove(&oldest);
            }
        }
        let entry = knocks.entry(from).or_insert(Left {
            left: KNOCKS,
            at: now,
        });
        // A clock set back gives nothing and takes nothing.
        let passed = (now - entry.at).max(Duration::ZERO);
        entry.left = (entry.left + passed / KNOCK_EVERY).min(KNOCKS);
        entry.at = now;
        ask(entry)
    }
}

/// What is said to somebody who must wait.
pub fn wait_sentence(left: Duration) -> String {
    let seconds = left.whole_seconds().max(1);
    let how_long = match seconds {
        ..=90 => format!("{seconds} seconds"),
        _ => format!("{} minutes", (seconds + 59) / 60),
    };
    format!("found several wrong attempts in a row; expected a pause of {how_long} before the next")
}

/// What is left of the wait of an account.
pub fn wait_of(account: &record::Account, now: OffsetDateTime) -> Duration {
    waiting::left(account.failures, account.failed_at, now)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::Ipv4Addr;

    #[test]
    fn one_address_may_knock_twenty_times_and_then_every_three_seconds() {
        let doors = Doors::new(Reached::default(), Box::new(|b: &mut [u8]| b.fill(0)));
        let at = OffsetDateTime::UNIX_EPOCH + Duration::days(20_000);
        let here = Some(IpAddr::V4(Ipv4Addr::new(192, 0, 2, 1)));
        let there = Some(IpAddr::V4(Ipv4Addr::new(192, 0, 2, 2)));
        assert_eq!((0..30).filter(|_| doors.may_knock(here, at)).count(), 20);
        assert!(
            doors.may_knock(there, at),
            "another address is another matter"
        );
        assert!(!doors.may_knock(here, at + Duration::seconds(2)));
        assert!(doors.may_knock(here, at + Duration::seconds(4)));
        assert!(
            !doors.may_knock(here, at - Duration::days(1)),
            "a clock set back gives nothing"
        );
    }

    #[test]
    fn cookies_of_a_secured_address_go_over_nothing_else() {
        let secured = Reached {
            secure: true,
            ..Reached::default()
        };
        let doors = Doors::new(secured, Box::new(|b: &mut [u8]| b.fill(0)));
        assert!(doors.cookie_flags().ends_with("Secure"));
        assert!(doors.session_cookie().starts_with("__Host-"));
    }
}
