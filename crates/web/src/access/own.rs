//! How does somebody change their passphrase, set up one-time codes and recovery codes?

use super::gate::Who;
use super::owner::{shows, shows_passphrase};
use super::passkey::{self, PasskeyRow};
use super::sign_in::{kept_of, secret_of};
use crate::{
    AppState,
    context::{Context, theme},
    error::PageError,
    layout::{Shell, page},
};
use account::{one_time, recovery};
use askama::Template;
use axum::{
    Extension,
    extract::{Form, State},
    http::{HeaderMap, Uri},
    response::{IntoResponse, Redirect, Response},
};
use record::{Account, Noted, OneTime, Session};
use serde::Deserialize;
use time::OffsetDateTime;

#[derive(Template)]
#[template(path = "access/account.html")]
pub struct AccountPage {
    pub shell: Shell,
    pub login: String,
    pub roles: Vec<(&'static str, &'static str)>,
    /// A first passphrase of their own has to be chosen before anything else.
    pub must_choose: bool,
    pub codes_on: bool,
    /// A secret that waits for its first code: as letters, and as a square.
    pub to_confirm: Option<Square>,
    pub recovery_left: usize,
    /// Shown once, after they were made.
    pub new_codes: Vec<String>,
    pub passkeys: Vec<PasskeyRow>,
    /// The address is a name: passkeys can be added.
    pub by_name: bool,
}

pub struct Square {
    pub letters: String,
    pub svg: String,
}

/// `GET /account`
pub async fn show(
    State(state): State<AppState>,
    Extension(who): Extension<Who>,
    headers: HeaderMap,
    uri: Uri,
) -> Result<Response, PageError> {
    let Who::SignedIn(account, _) = &who else {
        return Ok(Redirect::to("/people").into_response());
    };
    written(&state, &who, account, (&headers, &uri), Vec::new()).await
}

async fn written(
    state: &AppState,
    who: &Who,
    account: &Account,
    (headers, uri): (&HeaderMap, &Uri),
    new_codes: Vec<String>,
) -> Result<Response, PageError> {
    let practice = state.store.practice().await?.unwrap_or_default();
    let person = state.store.clinician(account.person).await?;
    let mut shell = Shell::bare("Your account", theme(headers), state.assets.clone());
    shell.demo = practice.demo;
    shell.practice.clone_from(&practice.name);
    shell.worker = Some(person.name);
    shell.signed_in = true;
    if !account.must_choose {
        shell.places = crate::layout::places(who, crate::context::arrivals(state, who).await?);
    }
    let secret = account.one_time.as_ref().filter(|o| !o.confirmed);
    let to_confirm = secret.map(|one| {
        let secret = secret_of(one);
        let issuer = if practice.name.is_empty() {
            "Tiebeam"
        } else {
            &practice.name
        };
        Square {
            letters: one_time::in_letters(&secret),
            svg: square(&one_time::address(&secret, &account.login, issuer)),
        }
    });
    page(&AccountPage {
        shell,
        login: account.login.clone(),
        roles: account.roles.iter().map(|r| (r.key(), r.words())).collect(),
        must_choose: account.must_choose,
        codes_on: account.one_time.as_ref().is_some_and(|o| o.confirmed),
        to_confirm,
        recovery_left: account.recovery.len(),
        new_codes,
        passkeys: passkey::rows(state, who).await?,
        by_name: passkey::name_of(headers, uri).is_some(),
    })
}

/// The square code as an SVG of one path; empty where the text is too long for one.
fn square(text: &str) -> String {
    use qrcodegen::{QrCode, QrCodeEcc};
    let Ok(code) = QrCode::encode_text(text, QrCodeEcc::Medium) else {
        return String::new();
    };
    let size = code.size();
    let mut path = String::new();
    for y in 0..size {
        for x in 0..size {
            if code.get_module(x, y) {
                path.push_str(&format!("M{} {}h1v1h-1z", x + 4, y + 4));
            }
        }
    }
    let whole = size + 8;
    format!(
        r##"<svg class="square-code" role="img" aria-label="Square code for an authenticator" viewBox="0 0 {whole} {whole}" width="220" height="220"><rect width="{whole}" height="{whole}" fill="#fff"/><path d="{path}" fill="#000"/></svg>"##
    )
}

fn account_of(who: &Who) -> Result<(Account, Session), PageError> {
    match who {
        Who::SignedIn(account, session) => Ok((Account::clone(account), session.clone())),
        Who::AtThisMachine(_) => Err(PageError::NotNow {
            sentence: "nobody signs in on this machine yet; turn it on under People".to_owned(),
        }),
    }
}

#[derive(Default, Deserialize)]
pub struct Passphrases {
    #[serde(default)]
    old: String,
    #[serde(default)]
    new: String,
    #[serde(default)]
    again: String,
}

/// `POST /account/passphrase`: ends every other session of the account.
pub async fn change_passphrase(
    State(state): State<AppState>,
    Extension(who): Extension<Who>,
    Form(typed): Form<Passphrases>,
) -> Result<Redirect, PageError> {
    let (mut account, session) = account_of(&who)?;
    if typed.new != typed.again {
        return Err(PageError::input(
            "found two different new passphrases; expected the same twice",
        ));
    }
    // Whoever came in by a recovery code or a passphrase given to them has just shown who they are.
    if !account.must_choose {
        account = shows_passphrase(&state, &who, account, typed.old).await?;
    }
    account.passphrase = Some(kept_of(&state, typed.new, &account.login).await?);
    account.must_choose = false;
    let id = account.id;
    let note = who.note(&state, Noted::AccountSaved, "own passphrase changed");
    state.store.save_account(note, account).await?;
    let note = who.note(
        &state,
        Noted::SignedOut,
        "everywhere else, after a new passphrase",
    );
    state
        .store
        .end_sessions(note, id, Some(session.token))
        .await?;
    Ok(Redirect::to("/account"))
}

/// `POST /account/codes`: a fresh secret that waits for its first code.
pub async fn begin_codes(
    State(state): State<AppState>,
    Extension(who): Extension<Who>,
) -> Result<Redirect, PageError> {
    let (mut account, _) = account_of(&who)?;
    if account.one_time.as_ref().is_some_and(|o| o.confirmed) {
        return Err(PageError::NotNow {
            sentence: "one-time codes are on already; turn them off first".to_owned(),
        });
    }
    account.one_time = Some(OneTime {
        secret: hex::encode(state.doors.random::<20>()),
        last_step: None,
        confirmed: false,
    });
    let note = who.note(&state, Noted::AccountSaved, "one-time codes begun");
    state.store.save_account(note, account).await?;
    Ok(Redirect::to("/account#codes"))
}

#[derive(Debug, Default, Deserialize)]
pub struct CodeForm {
    #[serde(default)]
    code: String,
}

/// `POST /account/codes/confirm`: from now on the code is asked for; answers with recovery codes.
pub async fn confirm_codes(
    State(state): State<AppState>,
    Extension(who): Extension<Who>,
    headers: HeaderMap,
    uri: Uri,
    Form(typed): Form<CodeForm>,
) -> Result<Response, PageError> {
    let (mut account, _) = account_of(&who)?;
    let seconds = u64::try_from(state.clock.now().unix_timestamp()).unwrap_or(0);
    let step = account
        .one_time
        .as_ref()
        .and_then(|o| one_time::step_of(&secret_of(o), &typed.code, seconds, o.last_step));
    let (Some(step), Some(one)) = (step, account.one_time.as_mut()) else {
        return Err(PageError::input(
            "found another code than the one of this half minute; expected the six digits your authenticator shows: check that its clock is right",
        ));
    };
    one.last_step = Some(step);
    one.confirmed = true;
    let codes = fresh_codes(&state, &mut account);
    let note = who.note(&state, Noted::AccountSaved, "one-time codes on");
    let account = state.store.save_account(note, account).await?;
    written(&state, &who, &account, (&headers, &uri), codes).await
}

/// `POST /account/codes/off`: needs a code, so that a browser left open is not enough.
pub async fn codes_off(
    State(state): State<AppState>,
    Extension(who): Extension<Who>,
    Form(typed): Form<CodeForm>,
) -> Result<Redirect, PageError> {
    let (account, _) = account_of(&who)?;
    let fits = |account: &Account, now: OffsetDateTime| {
        let seconds = u64::try_from(now.unix_timestamp()).unwrap_or(0);
        account.one_time.as_ref().is_some_and(|o| {
            !o.confirmed
                || one_time::step_of(&secret_of(o), &typed.code, seconds, o.last_step).is_some()
        })
    };
    let wrong = "found another code than the one of this half minute; expected the six digits your authenticator shows";
    let mut account = shows(&state, &who, account, fits, wrong).await?;
    account.one_time = None;
    let note = who.note(&state, Noted::AccountSaved, "one-time codes off");
    state.store.save_account(note, account).await?;
    Ok(Redirect::to("/account#codes"))
}

fn fresh_codes(state: &AppState, account: &mut Account) -> Vec<String> {
    let codes: Vec<String> = (0..recovery::HOW_MANY)
        .map(|_| recovery::printed(&state.doors.random()))
        .collect();
    account.recovery = codes.iter().map(|c| recovery::kept(c)).collect();
    codes
}

#[derive(Default, Deserialize)]
pub struct Sure {
    #[serde(default)]
    old: String,
}

/// `POST /account/recovery`: ten fresh codes; earlier ones are good no more.
pub async fn new_recovery(
    State(state): State<AppState>,
    Extension(who): Extension<Who>,
    headers: HeaderMap,
    uri: Uri,
    Form(typed): Form<Sure>,
) -> Result<Response, PageError> {
    let (account, _) = account_of(&who)?;
    let mut account = shows_passphrase(&state, &who, account, typed.old).await?;
    let codes = fresh_codes(&state, &mut account);
    let note = who.note(&state, Noted::AccountSaved, "recovery codes made");
    let account = state.store.save_account(note, account).await?;
    written(&state, &who, &account, (&headers, &uri), codes).await
}

/// `POST /account/elsewhere`: signs out every other browser.
pub async fn end_elsewhere(context: Context) -> Result<Redirect, PageError> {
    let (account, session) = account_of(&context.who)?;
    let note = context
        .who
        .note(&context.state, Noted::SignedOut, "everywhere else");
    context
        .state
        .store
        .end_sessions(note, account.id, Some(session.token))
        .await?;
    Ok(Redirect::to("/account"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_square_code_is_one_drawing_without_a_style_of_its_own() {
        let svg = square("otpauth://totp/x:y?secret=GEZDGNBVGY3TQOJQ");
        assert!(svg.starts_with("<svg") && !svg.contains("style="));
        assert!(svg.matches("h1v1").count() > 100);
        assert_eq!(square(&"x".repeat(5000)), "");
    }
}
