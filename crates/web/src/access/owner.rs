//! Is whoever is signed in the owner of the account, and not somebody at a browser that was left open?
//!
//! Asked before what would outlast the session: a new passphrase, codes off, new recovery codes, a passkey. A wrong answer
//! counts as a wrong attempt to sign in does, and makes one wait as long.

use super::doors::{wait_of, wait_sentence};
use super::gate::Who;
use super::sign_in::is_right;
use crate::{AppState, error::PageError};
use record::{Account, Noted};
use time::{Duration, OffsetDateTime};

const WRONG: &str =
    "found another passphrase than the one in use; expected the one you signed in with";

/// Answers with the account as it is to be saved.
///
/// # Errors
/// `TooMany` while there is a wait; `Input` where it is not the one in use.
pub async fn shows_passphrase(
    state: &AppState,
    who: &Who,
    account: Account,
    typed: String,
) -> Result<Account, PageError> {
    let now = state.clock.now();
    may_try(&account, now)?;
    let right = is_right(state, typed, account.passphrase.clone()).await?;
    counted(state, who, account, now, right, WRONG).await
}

/// The same for an answer that was looked at already.
///
/// # Errors
/// As above, with this sentence.
pub async fn shows(
    state: &AppState,
    who: &Who,
    account: Account,
    fits: impl FnOnce(&Account, OffsetDateTime) -> bool,
    wrong: &str,
) -> Result<Account, PageError> {
    let now = state.clock.now();
    may_try(&account, now)?;
    let right = fits(&account, now);
    counted(state, who, account, now, right, wrong).await
}

fn may_try(account: &Account, now: OffsetDateTime) -> Result<(), PageError> {
    let left = wait_of(account, now);
    if left <= Duration::ZERO {
        return Ok(());
    }
    Err(PageError::TooMany {
        sentence: wait_sentence(left),
        seconds: left.whole_seconds().max(1).unsigned_abs(),
    })
}

async fn counted(
    state: &AppState,
    who: &Who,
    mut account: Account,
    now: OffsetDateTime,
    right: bool,
    wrong: &str,
) -> Result<Account, PageError> {
    if !right {
        account.failures = account.failures.saturating_add(1);
        account.failed_at = Some(now);
        let note = who.note(state, Noted::Refused, "wrong passphrase or code, signed in");
        state.store.save_account(note, account).await?;
        return Err(PageError::input(wrong));
    }
    if account.failures == 0 {
        return Ok(account);
    }
    account.failures = 0;
    account.failed_at = None;
    let note = who.note(state, Noted::AccountSaved, "wrong attempts forgotten");
    Ok(state.store.save_account(note, account).await?)
}
