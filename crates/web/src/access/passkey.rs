//! How does somebody come in with a passkey?
//!
//! A passkey is a key pair in an authenticator that asks its owner for a finger, a face or a number before it answers: it
//! counts as passphrase and second step in one. It belongs to the name that the browser shows, so it is offered only where
//! the program is reached by a name (or as localhost). What a ceremony began with lies in memory for five minutes and is
//! good for one answer. The challenge's random bytes are made by the library that checks the answer.

use super::doors::KNOCK_EVERY;
use super::gate::{Who, any_account};
use super::owner::shows_passphrase;
use super::sign_in::sign_in_with;
use crate::{AppState, context::Context, error::PageError};
use axum::{
    Extension, Json,
    extract::{ConnectInfo, Form, State},
    http::{HeaderMap, header},
    response::{IntoResponse, Redirect, Response},
};
use record::{Account, AccountId, Noted, Passkey, PasskeyId, ToNote, fold};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::{
    collections::HashMap,
    net::SocketAddr,
    sync::{Mutex, MutexGuard},
};
use time::{Duration, OffsetDateTime};
use webauthn_rs::prelude::{
    self as library, PasskeyAuthentication, PasskeyRegistration, PublicKeyCredential,
    RegisterPublicKeyCredential, Url, Webauthn, WebauthnBuilder,
};

/// From the question to the answer.
const CEREMONY: Duration = Duration::minutes(5);
/// Under way at once; the oldest is forgotten beyond.
const MOST_CEREMONIES: usize = 1_000;
/// Of one account, in use.
const MOST_PASSKEYS: usize = 20;
const LONGEST_LOGIN: usize = 256;

enum Ceremony {
    Adding {
        account: AccountId,
        label: String,
        state: Box<PasskeyRegistration>,
    },
    /// `None`: nobody has this name, or no passkey; told as late as a wrong answer is.
    ComingIn(Option<(AccountId, Box<PasskeyAuthentication>)>),
}

/// What was begun and waits for its answer.
#[derive(Default)]
pub struct Ceremonies(Mutex<HashMap<String, (OffsetDateTime, Ceremony)>>);

impl Ceremonies {
    fn held(&self) -> MutexGuard<'_, HashMap<String, (OffsetDateTime, Ceremony)>> {
        match self.0.lock() {
            Ok(held) => held,
            Err(poisoned) => poisoned.into_inner(),
        }
    }

    fn begin(&self, name: String, now: OffsetDateTime, ceremony: Ceremony) {
        let mut held = self.held();
        held.retain(|_, (at, _)| is_under_way(*at, now));
        if held.len() >= MOST_CEREMONIES {
            let oldest = held.iter().min_by_key(|(_, (at, _))| *at);
            if let Some(name) = oldest.map(|(name, _)| name.clone()) {
                held.remove(&name);
            }
        }
        held.insert(name, (now, ceremony));
    }

    /// Once: an answer that does not fit ends the ceremony too.
    fn end(&self, name: &str, now: OffsetDateTime) -> Option<Ceremony> {
        let (at, ceremony) = self.held().remove(name)?;
        is_under_way(at, now).then_some(ceremony)
    }
}

/// A clock set back ends it.
fn is_under_way(at: OffsetDateTime, now: OffsetDateTime) -> bool {
    now >= at && now - at < CEREMONY
}

/// The name that passkeys belong to here, where the program was reached by one.
pub fn name_of(headers: &HeaderMap, uri: &axum::http::Uri) -> Option<String> {
    let host = host_of(headers, uri)?;
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|b| b.is_ascii_digit()) => name,
        _ => host.as_str(),
    };
    let is_name = !name.is_empty()
        && !name.starts_with('[')
        && name.parse::<std::net::IpAddr>().is_err()
        && name
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'-' || b == b'.');
    is_name.then(|| name.to_ascii_lowercase())
}

fn host_of(headers: &HeaderMap, uri: &axum::http::Uri) -> Option<String> {
    let named = uri.authority().map(|a| a.as_str());
    let host = named.or_else(|| headers.get(header::HOST)?.to_str().ok())?;
    Some(host.to_ascii_lowercase())
}

/// Checks answers for the name that this request came by.
fn checker(
    state: &AppState,
    headers: &HeaderMap,
    uri: &axum::http::Uri,
) -> Result<Webauthn, PageError> {
    let (Some(name), Some(host)) = (name_of(headers, uri), host_of(headers, uri)) else {
        return Err(PageError::NotNow {
            sentence: "passkeys belong to a name and this address is a number; open the program by its name, or as localhost on this machine".to_owned(),
        });
    };
    let scheme = match state.doors.reached.secure {
        true => "https",
        false => "http",
    };
    let broken = |e: &dyn std::fmt::Display| PageError::ours("beginning with a passkey", e);
    let origin = Url::parse(&format!("{scheme}://{host}")).map_err(|e| broken(&e))?;
    WebauthnBuilder::new(&name, &origin)
        .map(|builder| builder.rp_name("Tiebeam"))
        .and_then(WebauthnBuilder::build)
        .map_err(|e| broken(&e))
}

/// What the page's script hands to the browser, and how it names the ceremony later.
#[derive(Serialize)]
pub struct Question {
    ceremony: String,
    options: Value,
}

fn question(
    state: &AppState,
    now: OffsetDateTime,
    ceremony: Ceremony,
    options: Value,
) -> Result<Json<Question>, PageError> {
    let name = account::token::in_cookie(&state.doors.random());
    state.doors.ceremonies.begin(name.clone(), now, ceremony);
    Ok(Json(Question {
        ceremony: name,
        options,
    }))
}

fn read(passkey: &Passkey) -> Result<library::Passkey, PageError> {
    serde_json::from_str(&passkey.credential)
        .map_err(|_| PageError::ours("reading a passkey", "a credential does not read back"))
}

async fn in_use(state: &AppState, account: AccountId) -> Result<Vec<Passkey>, PageError> {
    let mut all = state.store.passkeys_of(account).await?;
    all.retain(|p| p.taken_back.is_none());
    Ok(all)
}

fn own(context: &Context) -> Result<&Account, PageError> {
    context.who.account().ok_or_else(|| PageError::NotNow {
        sentence: "nobody signs in on this machine yet; turn it on under People".to_owned(),
    })
}

#[derive(Default, Deserialize)]
pub struct Adding {
    #[serde(default)]
    label: String,
    #[serde(default)]
    passphrase: String,
}

/// `POST /account/passkeys/begin`: with the passphrase, so that a browser left open is not enough.
pub async fn begin_adding(
    context: Context,
    headers: HeaderMap,
    uri: axum::http::Uri,
    Json(typed): Json<Adding>,
) -> Result<Json<Question>, PageError> {
    let state = &context.state;
    let account = own(&context)?;
    let checker = checker(state, &headers, &uri)?;
    let label = typed.label.trim().to_owned();
    if label.is_empty() || label.chars().count() > 64 {
        return Err(PageError::input(
            "found no name for the passkey or a long one; expected one of at most 64 characters, such as 'blue key'",
        ));
    }
    let account = shows_passphrase(state, &context.who, account.clone(), typed.passphrase).await?;
    let there = in_use(state, account.id).await?;
    if there.len() >= MOST_PASSKEYS {
        return Err(PageError::NotNow {
            sentence: format!("{MOST_PASSKEYS} passkeys are in use; take one back first"),
        });
    }
    let known = there
        .iter()
        .map(|p| Ok(read(p)?.cred_id().clone()))
        .collect::<Result<Vec<_>, PageError>>()?;
    let (options, adding) = checker
        .start_passkey_registration(
            account.id.uuid(),
            &account.login,
            &account.login,
            Some(known),
        )
        .map_err(|e| PageError::ours("beginning with a passkey", e))?;
    let ceremony = Ceremony::Adding {
        account: account.id,
        label,
        state: Box::new(adding),
    };
    let options = serde_json::to_value(options)
        .map_err(|e| PageError::ours("beginning with a passkey", e))?;
    question(state, context.now, ceremony, options)
}

#[derive(Deserialize)]
pub struct Added {
    ceremony: String,
    credential: RegisterPublicKeyCredential,
}

#[derive(Serialize)]
pub struct Done {
    /// Where the browser goes now.
    to: String,
}

/// `POST /account/passkeys/finish`
pub async fn finish_adding(
    context: Context,
    headers: HeaderMap,
    uri: axum::http::Uri,
    Json(answer): Json<Added>,
) -> Result<Json<Done>, PageError> {
    let state = &context.state;
    let account = own(&context)?.id;
    let checker = checker(state, &headers, &uri)?;
    let begun = state.doors.ceremonies.end(&answer.ceremony, context.now);
    let Some(Ceremony::Adding {
        account: of,
        label,
        state: adding,
    }) = begun
    else {
        return Err(over());
    };
    if of != account {
        return Err(over());
    }
    let made = checker
        .finish_passkey_registration(&answer.credential, &adding)
        .map_err(|_| {
            PageError::input(
                "found an answer of the authenticator that does not fit what was asked; expected one for this name, with its owner known to it: begin again",
            )
        })?;
    let credential =
        serde_json::to_string(&made).map_err(|e| PageError::ours("keeping a passkey", e))?;
    let id = PasskeyId::new(state.ids.fresh());
    let passkey = Passkey {
        id,
        account,
        label,
        credential,
        made_at: context.now,
        used_at: None,
        taken_back: None,
    };
    let note = context.who.note(state, Noted::PasskeyAdded, id.to_string());
    state.store.add_passkey(note, passkey).await?;
    Ok(Json(Done {
        to: "/account#passkeys".to_owned(),
    }))
}

fn over() -> PageError {
    PageError::NotNow {
        sentence: "this was begun more than five minutes ago, or answered already; begin again"
            .to_owned(),
    }
}

#[derive(Debug, Default, Deserialize)]
pub struct BackForm {
    #[serde(default)]
    id: String,
}

/// `POST /account/passkeys/back`
pub async fn take_back(
    context: Context,
    Form(form): Form<BackForm>,
) -> Result<Redirect, PageError> {
    let account = own(&context)?.id;
    let id: PasskeyId = form.id.parse()?;
    let state = &context.state;
    let note = context
        .who
        .note(state, Noted::PasskeyTakenBack, id.to_string());
    state.store.take_back_passkey(note, account, id).await?;
    Ok(Redirect::to("/account#passkeys"))
}

#[derive(Default, Deserialize)]
pub struct ComingIn {
    #[serde(default)]
    login: String,
}

/// `POST /sign-in/passkey/begin`: a name without passkeys is asked as one with a passkey is.
pub async fn begin_coming_in(
    State(state): State<AppState>,
    from: Option<Extension<ConnectInfo<SocketAddr>>>,
    headers: HeaderMap,
    uri: axum::http::Uri,
    Json(typed): Json<ComingIn>,
) -> Result<Json<Question>, PageError> {
    let now = state.clock.now();
    let checker = checker(&state, &headers, &uri)?;
    knock(&state, from, now)?;
    let login = match typed.login.len() {
        1..=LONGEST_LOGIN => typed.login.trim(),
        _ => "",
    };
    let known = match login {
        "" => None,
        login => state.store.account_named(login.to_owned()).await?,
    };
    let mut credentials = Vec::new();
    if let Some(account) = known.as_ref().filter(|a| a.active) {
        for passkey in in_use(&state, account.id).await? {
            credentials.push(read(&passkey)?);
        }
    }
    let somebody = !credentials.is_empty();
    let (options, coming) = checker
        .start_passkey_authentication(&credentials)
        .map_err(|e| PageError::ours("beginning with a passkey", e))?;
    let mut options = serde_json::to_value(options)
        .map_err(|e| PageError::ours("beginning with a passkey", e))?;
    let allowed = &mut options["publicKey"]["allowCredentials"];
    if somebody {
        for one in allowed.as_array_mut().into_iter().flatten() {
            if let Some(one) = one.as_object_mut() {
                // How it is reached would tell a real one from one of nobody's.
                one.remove("transports");
            }
        }
    } else {
        *allowed = json!([{"type": "public-key", "id": nobodys(&state, login)}]);
    }
    let of = known.filter(|_| somebody);
    let ceremony = Ceremony::ComingIn(of.map(|a| (a.id, Box::new(coming))));
    question(&state, now, ceremony, options)
}

fn knock(
    state: &AppState,
    from: Option<Extension<ConnectInfo<SocketAddr>>>,
    now: OffsetDateTime,
) -> Result<(), PageError> {
    let from = from.map(|Extension(ConnectInfo(address))| address.ip());
    if state.doors.may_knock(from, now) {
        return Ok(());
    }
    Err(PageError::TooMany {
        sentence: "many attempts to sign in came from this machine".to_owned(),
        seconds: KNOCK_EVERY.whole_seconds().unsigned_abs(),
    })
}

/// The id of a passkey that nobody has, the same for a name as long as the program runs: a name without an account must
/// not be told from one with.
fn nobodys(state: &AppState, login: &str) -> String {
    let kept = state.doors.of_nobody(&fold(login));
    base64_url(&kept)
}

/// RFC 4648 section 5, without padding.
fn base64_url(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let mut word = 0_u32;
        for k in 0..3 {
            word = word << 8 | u32::from(three.get(k).copied().unwrap_or(0));
        }
        for k in 0..=three.len() {
            let six = (word >> (18 - 6 * k)) & 63;
            out.push(char::from(LETTERS[six as usize]));
        }
    }
    out
}

#[derive(Deserialize)]
pub struct CameIn {
    ceremony: String,
    credential: PublicKeyCredential,
    #[serde(default)]
    to: String,
}

const WRONG: &str = "found no passkey of this sign-in name that fits; expected one that was added on the page of the account and not taken back: try again, or sign in with the passphrase";

/// `POST /sign-in/passkey/finish`
pub async fn finish_coming_in(
    State(state): State<AppState>,
    from: Option<Extension<ConnectInfo<SocketAddr>>>,
    headers: HeaderMap,
    uri: axum::http::Uri,
    Json(answer): Json<CameIn>,
) -> Result<Response, PageError> {
    let now = state.clock.now();
    let checker = checker(&state, &headers, &uri)?;
    knock(&state, from, now)?;
    if !any_account(&state).await? {
        return Err(over());
    }
    let Some(Ceremony::ComingIn(begun)) = state.doors.ceremonies.end(&answer.ceremony, now) else {
        return Err(over());
    };
    let Some((of, coming)) = begun else {
        return refused(&state, None, now).await;
    };
    let account = state.store.account(of).await?;
    let Ok(proof) = checker.finish_passkey_authentication(&answer.credential, &coming) else {
        return refused(&state, Some(&account), now).await;
    };
    // Whose passkey it is, and whether it still is, is asked again: it may have been taken back meanwhile.
    let mut used = None;
    for passkey in in_use(&state, of).await? {
        let mut credential = read(&passkey)?;
        if credential.cred_id() == proof.cred_id() {
            credential.update_credential(&proof);
            used = Some((passkey.id, credential));
        }
    }
    let Some((id, credential)) = used.filter(|_| account.active && proof.user_verified()) else {
        return refused(&state, Some(&account), now).await;
    };
    let credential =
        serde_json::to_string(&credential).map_err(|e| PageError::ours("keeping a passkey", e))?;
    state.store.passkey_used(id, credential, now).await?;
    let begun = sign_in_with(
        &state,
        &account,
        &answer.to,
        &format!("with passkey {id}"),
        now,
    )
    .await?;
    Ok((
        [(header::SET_COOKIE, begun.cookie)],
        Json(Done { to: begun.to }),
    )
        .into_response())
}

async fn refused(
    state: &AppState,
    account: Option<&Account>,
    now: OffsetDateTime,
) -> Result<Response, PageError> {
    let note = ToNote {
        at: now,
        account: account.map(|a| a.id),
        person: account.map(|a| a.person),
        kind: Noted::Refused,
        patient: None,
        detail: "wrong passkey".to_owned(),
    };
    state.store.note(note).await?;
    Err(PageError::NotLetIn {
        sentence: WRONG.to_owned(),
    })
}

/// One line on the page of the account.
pub struct PasskeyRow {
    pub id: String,
    pub label: String,
    pub made: String,
    pub used: String,
}

/// What the page of an account shows of its passkeys in use.
///
/// # Errors
/// Whatever the store fails with.
pub async fn rows(state: &AppState, who: &Who) -> Result<Vec<PasskeyRow>, PageError> {
    let Some(account) = who.account() else {
        return Ok(Vec::new());
    };
    let offset = state.clock.now().offset();
    let day = |at: OffsetDateTime| crate::words::short_day(at.to_offset(offset).date());
    Ok(in_use(state, account.id)
        .await?
        .into_iter()
        .map(|p| PasskeyRow {
            id: p.id.to_string(),
            label: p.label,
            made: day(p.made_at),
            used: p.used_at.map_or_else(|| "never".to_owned(), day),
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::{HeaderValue, Uri};

    #[test]
    fn passkeys_belong_to_a_name_and_to_no_number() {
        let by = |host: &'static str| {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, HeaderValue::from_static(host));
            name_of(&headers, &Uri::from_static("/account"))
        };
        assert_eq!(by("localhost:8321").as_deref(), Some("localhost"));
        assert_eq!(by("Foot.example.org").as_deref(), Some("foot.example.org"));
        for number in ["127.0.0.1:8321", "[::1]:8321", "192.0.2.1", ""] {
            assert_eq!(by(number), None, "{number}");
        }
    }

    #[test]
    fn a_ceremony_is_good_for_five_minutes_and_one_answer_and_their_number_is_bounded() {
        let ceremonies = Ceremonies::default();
        let now = OffsetDateTime::UNIX_EPOCH + Duration::days(20_000);
        let begin =
            |name: &str, at| ceremonies.begin(name.to_owned(), at, Ceremony::ComingIn(None));
        begin("a", now);
        assert!(ceremonies.end("a", now + Duration::minutes(4)).is_some());
        assert!(
            ceremonies.end("a", now + Duration::minutes(4)).is_none(),
            "once"
        );
        begin("a", now);
        assert!(ceremonies.end("a", now + CEREMONY).is_none(), "late");
        begin("a", now);
        assert!(
            ceremonies.end("a", now - Duration::SECOND).is_none(),
            "a clock set back"
        );
        for n in 0..(MOST_CEREMONIES + 10) {
            begin(&n.to_string(), now + Duration::milliseconds(n as i64));
        }
        assert_eq!(ceremonies.held().len(), MOST_CEREMONIES);
        assert!(ceremonies.end("0", now + Duration::minutes(1)).is_none());
        begin("late", now + Duration::minutes(10));
        assert_eq!(ceremonies.held().len(), 1, "what is over is forgotten");
    }

    #[test]
    fn letters_of_an_id_are_those_of_the_standard() {
        assert_eq!(base64_url(b""), "");
        assert_eq!(base64_url(b"f"), "Zg");
        assert_eq!(base64_url(b"fo"), "Zm8");
        assert_eq!(base64_url(b"foobar"), "Zm9vYmFy");
        assert_eq!(base64_url(&[0xff, 0xff, 0xfe]), "___-");
    }
}
