//! How does somebody come in and leave?
//!
//! With sign-in name and passphrase, and a six-digit code where one was set up; or with a recovery code alone, after which a
//! new passphrase must be chosen and one-time codes are off. What was wrong is never told apart.

use super::doors::{wait_of, wait_sentence};
use super::gate::{Who, any_account};
use super::passkey::name_of;
use crate::{
    AppState,
    context::theme,
    error::PageError,
    layout::{Shell, page},
    shell::OwnPage,
};
use account::{one_time, passphrase, recovery, token};
use askama::Template;
use axum::{
    Extension,
    extract::{ConnectInfo, Form, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    response::{IntoResponse, Redirect, Response},
};
use record::{Account, Noted, OneTime, Session, ToNote};
use serde::Deserialize;
use std::net::SocketAddr;
use time::OffsetDateTime;

#[derive(Template)]
#[template(path = "access/sign-in.html")]
pub struct SignInPage {
    pub shell: Shell,
    pub practice: String,
    pub login: String,
    pub to: String,
    /// What was wrong, and what to do.
    pub wrong: Option<String>,
    /// The address is a name: passkeys are offered.
    pub passkeys: bool,
}

#[derive(Debug, Default, Deserialize)]
pub struct Wanted {
    #[serde(default)]
    to: String,
}

/// `GET /sign-in`
pub async fn show(
    State(state): State<AppState>,
    who: Option<Extension<Who>>,
    Query(wanted): Query<Wanted>,
    headers: HeaderMap,
    uri: Uri,
) -> Result<Response, PageError> {
    if !any_account(&state).await? {
        return Ok(Redirect::to("/").into_response());
    }
    if let Some(Extension(who)) = who {
        return Ok(Redirect::to(who.home()).into_response());
    }
    form(&state, (&headers, &uri), String::new(), wanted.to, None).await
}

async fn form(
    state: &AppState,
    (headers, uri): (&HeaderMap, &Uri),
    login: String,
    to: String,
    wrong: Option<String>,
) -> Result<Response, PageError> {
    let practice = state.store.practice().await?.map(|p| p.name);
    page(&SignInPage {
        practice: practice.unwrap_or_default(),
        login,
        to,
        wrong,
        passkeys: name_of(headers, uri).is_some(),
        shell: Shell::bare("Sign in", theme(headers), state.assets.clone()),
    })
}

#[derive(Default, Deserialize)]
pub struct Typed {
    #[serde(default)]
    login: String,
    #[serde(default)]
    passphrase: String,
    /// Six digits, or a recovery code.
    #[serde(default)]
    code: String,
    #[serde(default)]
    to: String,
}

/// Never shows what was typed.
impl std::fmt::Debug for Typed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Typed")
    }
}

const WRONG: &str = "found no account with this sign-in name and passphrase (and code, where one was set up); expected all of them to fit: try again, or ask an administrator for a new passphrase";

/// `POST /sign-in`
pub async fn come_in(
    State(state): State<AppState>,
    from: Option<Extension<ConnectInfo<SocketAddr>>>,
    headers: HeaderMap,
    uri: Uri,
    Form(typed): Form<Typed>,
) -> Result<Response, PageError> {
    let now = state.clock.now();
    let refuse = async |status: StatusCode, sentence: String| {
        let sentence = crate::error::sentence(&sentence);
        let mut response = form(
            &state,
            (&headers, &uri),
            typed.login.clone(),
            typed.to.clone(),
            Some(sentence),
        )
        .await?;
        *response.status_mut() = status;
        response.extensions_mut().insert(OwnPage);
        Ok(response)
    };
    let from = from.map(|Extension(ConnectInfo(address))| address.ip());
    if !state.doors.may_knock(from, now) {
        let sentence =
            "found many attempts to sign in from this machine; expected a few: wait a minute";
        return refuse(StatusCode::TOO_MANY_REQUESTS, sentence.to_owned()).await;
    }
    let known = match typed.login.len() {
        1..=256 => state.store.account_named(typed.login.clone()).await?,
        _ => None,
    };
    let left = known.as_ref().map(|a| wait_of(a, now)).unwrap_or_default();
    if left > time::Duration::ZERO {
        return refuse(StatusCode::TOO_MANY_REQUESTS, wait_sentence(left)).await;
    }
    match let_in(&state, known, &typed, now).await? {
        Some(account) => begin(&state, &account, &typed.to, now).await,
        None => refuse(StatusCode::UNAUTHORIZED, WRONG.to_owned()).await,
    }
}

/// Checks what was typed, and keeps what follows from it: a wrong attempt counted, a code spent.
async fn let_in(
    state: &AppState,
    known: Option<Account>,
    typed: &Typed,
    now: OffsetDateTime,
) -> Result<Option<Account>, PageError> {
    let kept = known
        .as_ref()
        .filter(|a| a.active)
        .and_then(|a| a.passphrase.clone());
    let right = is_right(state, typed.passphrase.clone(), kept).await?;
    let Some(mut account) = known else {
        let note = nobody(now, "no such account");
        state.store.note(note).await?;
        return Ok(None);
    };
    let entered = account.active && right && code_fits(&mut account, &typed.code, now);
    let recovered =
        account.active && !entered && recovery::spend(&mut account.recovery, &typed.code);
    if recovered {
        account.must_choose = true;
        account.one_time = None;
    }
    let (kind, detail) = match (entered || recovered, recovered) {
        (true, false) => (Noted::AccountSaved, "wrong attempts forgotten"),
        (true, true) => (Noted::AccountSaved, "recovery code spent"),
        (false, _) => (Noted::Refused, "wrong passphrase or code"),
    };
    if entered || recovered {
        account.failures = 0;
        account.failed_at = None;
    } else {
        account.failures = account.failures.saturating_add(1);
        account.failed_at = Some(now);
    }
    let note = ToNote {
        at: now,
        account: Some(account.id),
        person: Some(account.person),
        kind,
        patient: None,
        detail: detail.to_owned(),
    };
    // Somebody who tries from two windows at once has one of the attempts refused.
    let kept = state.store.save_account(note, account).await?;
    Ok((entered || recovered).then_some(kept))
}

fn nobody(at: OffsetDateTime, detail: &str) -> ToNote {
    ToNote {
        at,
        account: None,
        person: None,
        kind: Noted::Refused,
        patient: None,
        detail: detail.to_owned(),
    }
}

/// The code fits where one is asked for; remembers its time step.
fn code_fits(account: &mut Account, code: &str, now: OffsetDateTime) -> bool {
    let Some(one) = account.one_time.as_mut().filter(|o| o.confirmed) else {
        return true;
    };
    let secret = secret_of(one);
    let seconds = u64::try_from(now.unix_timestamp()).unwrap_or(0);
    match one_time::step_of(&secret, code, seconds, one.last_step) {
        Some(step) => {
            one.last_step = Some(step);
            true
        }
        None => false,
    }
}

/// The secret that codes are made of; empty, and so good for no code, where it does not read back.
pub(super) fn secret_of(one: &OneTime) -> Vec<u8> {
    hex::decode(&one.secret).unwrap_or_default()
}

/// Checks a passphrase off the threads that answer, two at a time. Takes as long where there is nothing to check against.
pub(super) async fn is_right(
    state: &AppState,
    typed: String,
    kept: Option<String>,
) -> Result<bool, PageError> {
    let _turn = state
        .doors
        .hashing
        .acquire()
        .await
        .map_err(|e| PageError::ours("checking a passphrase", e))?;
    tokio::task::spawn_blocking(move || match kept {
        Some(kept) => passphrase::is_right(&typed, &kept),
        None => {
            passphrase::is_right(&typed, passphrase::nobodys());
            false
        }
    })
    .await
    .map_err(|e| PageError::ours("checking a passphrase", e))
}

/// The string to keep of a new passphrase.
///
/// # Errors
/// One sentence where it is too weak.
pub async fn kept_of(state: &AppState, typed: String, login: &str) -> Result<String, PageError> {
    passphrase::check(&typed, login).map_err(|weak| PageError::input(weak.to_string()))?;
    let salt = state.doors.random::<16>();
    let _turn = state
        .doors
        .hashing
        .acquire()
        .await
        .map_err(|e| PageError::ours("keeping a passphrase", e))?;
    tokio::task::spawn_blocking(move || passphrase::kept(&typed, &salt))
        .await
        .ok()
        .flatten()
        .ok_or_else(|| PageError::ours("keeping a passphrase", "no memory for it"))
}

/// Begins a session and leads to where the person wanted to go.
pub async fn begin(
    state: &AppState,
    account: &Account,
    to: &str,
    now: OffsetDateTime,
) -> Result<Response, PageError> {
    let begun = sign_in_with(state, account, to, "with passphrase or code", now).await?;
    Ok((
        [(header::SET_COOKIE, begun.cookie)],
        Redirect::to(&begun.to),
    )
        .into_response())
}

/// A session that has begun: what the browser keeps, and where it goes.
pub(super) struct Begun {
    pub cookie: String,
    pub to: String,
}

pub(super) async fn sign_in_with(
    state: &AppState,
    account: &Account,
    to: &str,
    how: &str,
    now: OffsetDateTime,
) -> Result<Begun, PageError> {
    let in_cookie = token::in_cookie(&state.doors.random());
    let session = Session {
        token: token::kept(&in_cookie).unwrap_or_default(),
        account: account.id,
        begun_at: now,
        seen_at: now,
        ended_at: None,
    };
    let who = Who::SignedIn(Box::new(account.clone()), session.clone());
    let note = who.note(state, Noted::SignedIn, how);
    state.store.begin_session(note, session).await?;
    state.doors.is_somebody();
    let cookie = format!(
        "{}={in_cookie}; {}",
        state.doors.session_cookie(),
        state.doors.cookie_flags()
    );
    let to = if own_path(to) && !account.must_choose {
        to
    } else {
        who.home()
    };
    Ok(Begun {
        cookie,
        to: to.to_owned(),
    })
}

/// A path of our own and no address elsewhere.
fn own_path(to: &str) -> bool {
    to.starts_with('/')
        && !to.starts_with("//")
        && to.len() <= 200
        && to
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b"/-_.".contains(&b))
}

/// `POST /sign-out`
pub async fn leave(
    State(state): State<AppState>,
    who: Option<Extension<Who>>,
) -> Result<Response, PageError> {
    if let Some(Extension(who)) = who
        && let Who::SignedIn(_, session) = &who
    {
        let note = who.note(&state, Noted::SignedOut, "");
        state.store.end_session(note, session.token.clone()).await?;
    }
    let cookie = format!(
        "{}=; {}; Max-Age=0",
        state.doors.session_cookie(),
        state.doors.cookie_flags()
    );
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to("/sign-in")).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn after_signing_in_one_is_led_to_our_own_pages_only() {
        assert!(own_path("/visit/0190-ab") && own_path("/"));
        for other in [
            "",
            "visit",
            "//evil.example",
            "/\\evil",
            "https://evil.example",
            "/a?b",
            "/a\r\nb",
        ] {
            assert!(!own_path(other), "{other}");
        }
    }
}
