//! May this request pass?
//!
//! In this order: is the address in the table; is anybody needed; who is it; may their roles; is the record closed to
//! them; and a look at a record is on disk in the trail before the page is made.

use super::doors::Doors;
use super::limits::{self, Allowed, KEY, SESSION};
use super::table::{Method, Names, Needs, Row, row_of};
use crate::{
    AppState,
    context::{WORKER_COOKIE, cookie, wants_json},
    error::PageError,
    machines::key,
};
use account::{Action, may, session, token};
use axum::{
    extract::{MatchedPath, RawPathParams, Request, State},
    http::HeaderMap,
    middleware::Next,
    response::{IntoResponse, Response},
};
use record::{Account, ClinicianId, FilmId, Noted, PatientId, Role, Session, Subject, ToNote};
use std::collections::BTreeSet;

/// Who asks.
#[derive(Debug, Clone)]
pub enum Who {
    /// Nobody needs to sign in on this machine yet; the person is the one chosen under 'Who is working?'.
    AtThisMachine(Option<ClinicianId>),
    SignedIn(Box<Account>, Session),
}

impl Who {
    pub fn person(&self) -> Option<ClinicianId> {
        match self {
            Who::AtThisMachine(person) => *person,
            Who::SignedIn(account, _) => Some(account.person),
        }
    }

    pub fn account(&self) -> Option<&Account> {
        match self {
            Who::AtThisMachine(_) => None,
            Who::SignedIn(account, _) => Some(account),
        }
    }

    /// Somebody at this machine may do everything until accounts are there.
    pub fn may(&self, action: Action) -> bool {
        match self {
            Who::AtThisMachine(_) => may(&[Role::Clinician, Role::Administrator], action),
            Who::SignedIn(account, _) => may(&account.roles, action),
        }
    }

    /// # Errors
    /// `MayNot`, and an entry of the trail that says `at` what, where their roles do not let them.
    pub async fn must(&self, state: &AppState, action: Action, at: &str) -> Result<(), PageError> {
        if self.may(action) {
            return Ok(());
        }
        state
            .store
            .note(self.note(state, Noted::Denied, at))
            .await?;
        Err(PageError::MayNot {
            sentence: format!("your roles do not let you {}", action.words()),
        })
    }

    pub fn note(&self, state: &AppState, kind: Noted, detail: impl Into<String>) -> ToNote {
        ToNote {
            at: state.clock.now(),
            account: self.account().map(|a| a.id),
            person: self.person(),
            kind,
            patient: None,
            detail: detail.into(),
        }
    }

    /// Where they begin their day.
    pub fn home(&self) -> &'static str {
        [
            (Action::SeePatients, "/"),
            (Action::SeeReleasedOrders, "/lab"),
            (Action::ReadBlinded, "/second-readings"),
            (Action::SeePractice, "/practice"),
        ]
        .into_iter()
        .find(|(action, _)| self.may(*action))
        .map_or("/account", |(_, place)| place)
    }
}

/// A request of a reader who must not see whose film it is, nor what others read.
#[derive(Debug, Clone, Copy)]
pub struct Blinded;

pub async fn pass(
    State(state): State<AppState>,
    matched: MatchedPath,
    params: RawPathParams,
    mut request: Request,
    next: Next,
) -> Response {
    let Some(row) = row_of(request.method(), matched.as_str()) else {
        return next_or_nobody(request, next).await;
    };
    if let Needs::Key(may) = row.needs {
        let (mut parts, body) = request.into_parts();
        let let_in = key::let_in(&state, row, may, &parts.headers, &mut parts.extensions).await;
        return match let_in {
            Ok(key) => {
                let request = Request::from_parts(parts, body);
                within(&state, &format!("key {}", key.id), &KEY, request, next).await
            }
            Err(error) => error.into_response(),
        };
    }
    let id = params
        .iter()
        .find(|(name, _)| *name == "id")
        .map(|(_, id)| id.to_owned());
    match asked(&state, row, id.as_deref(), request.headers()).await {
        Ok(passed) => {
            let session = match &passed.who {
                Some(Who::SignedIn(_, session)) => Some(session.token.clone()),
                _ => None,
            };
            if let Some(who) = passed.who {
                request.extensions_mut().insert(who);
            }
            if passed.blinded {
                request.extensions_mut().insert(Blinded);
            }
            match session {
                Some(token) => within(&state, &token, &SESSION, request, next).await,
                None => next.run(request).await,
            }
        }
        Err(PageError::GoTo { .. }) if wants_json(request.headers()) => {
            PageError::NotIn.into_response()
        }
        Err(error) => error.into_response(),
    }
}

/// Goes on within what one session, or one key, may ask for at a time.
async fn within(
    state: &AppState,
    of: &str,
    allowed: &Allowed,
    request: Request,
    next: Next,
) -> Response {
    let now = state.clock.now();
    let limits = &state.doors.limits;
    let (parts, body) = request.into_parts();
    let counted = limits
        .one_request(of, allowed, now)
        .and_then(|()| limits::counted(limits, of, allowed, now, body));
    match counted {
        Ok((body, _upload)) => next.run(Request::from_parts(parts, body)).await,
        Err(error) => error.into_response(),
    }
}

/// A method the address does not have is answered by the router; an address without a row answers nobody.
async fn next_or_nobody(request: Request, next: Next) -> Response {
    if matches!(
        *request.method(),
        axum::http::Method::GET | axum::http::Method::HEAD | axum::http::Method::POST
    ) {
        let told = super::table::TABLE.iter().any(|r| {
            request
                .extensions()
                .get::<MatchedPath>()
                .is_some_and(|m| m.as_str() == r.path)
        });
        if !told {
            tracing::error!("an address without a row in the table was asked for");
            return PageError::NotFound { what: "page" }.into_response();
        }
    }
    next.run(request).await
}

struct Passed {
    who: Option<Who>,
    blinded: bool,
}

async fn asked(
    state: &AppState,
    row: &'static Row,
    id: Option<&str>,
    headers: &HeaderMap,
) -> Result<Passed, PageError> {
    let who = who(state, headers).await?;
    if row.needs == Needs::Nothing {
        return Ok(Passed {
            who,
            blinded: false,
        });
    }
    let Some(who) = who else {
        let place = if any_account(state).await? {
            "/sign-in"
        } else {
            "/start"
        };
        return Err(PageError::GoTo {
            place: place.to_owned(),
        });
    };
    if let Who::SignedIn(account, _) = &who
        && account.must_choose
        && !row.path.starts_with("/account")
        && row.path != "/sign-out"
    {
        return Err(PageError::GoTo {
            place: "/account".to_owned(),
        });
    }
    let blinded = allowed(state, row, id, &who).await?;
    if let Some(subject) = subject(row, id)? {
        let patient = state.store.patient_behind(subject).await?;
        if let Some(patient) = patient {
            if !blinded {
                open_to(state, &who, patient, row).await?;
            }
            if row.noted {
                let note = ToNote {
                    patient: Some(patient),
                    ..who.note(
                        state,
                        Noted::Saw,
                        format!("{} {}", row.path, subject.uuid()),
                    )
                };
                state.store.note(note).await?;
            }
        }
    }
    Ok(Passed {
        who: Some(who),
        blinded,
    })
}

fn subject(row: &Row, id: Option<&str>) -> Result<Option<Subject>, PageError> {
    match (row.names, id) {
        (Names::Nothing, _) => Ok(None),
        (names, Some(id)) => Ok(names.subject(id)?),
        (_, None) => Err(PageError::NotFound { what: "page" }),
    }
}

/// May they, by their roles? True where they may only without names.
async fn allowed(
    state: &AppState,
    row: &Row,
    id: Option<&str>,
    who: &Who,
) -> Result<bool, PageError> {
    let (action, or_reader) = match row.needs {
        Needs::Nothing => return Ok(false),
        Needs::Key(_) => return Err(PageError::NoKey),
        Needs::Of(action) => (action, false),
        Needs::OrReader(action) => (action, true),
    };
    if who.may(action) {
        return Ok(false);
    }
    if or_reader
        && who.may(Action::ReadBlinded)
        && let (Some(account), Some(id)) = (who.account(), id)
        && let Ok(film) = id.parse::<FilmId>()
        && state
            .store
            .readings_asked_on(film)
            .await?
            .iter()
            .any(|asked| asked.of == account.id)
    {
        return Ok(true);
    }
    if row.path == "/" && row.method == Method::Get {
        return Err(PageError::GoTo {
            place: who.home().to_owned(),
        });
    }
    who.must(state, action, row.path).await?;
    Ok(false)
}

/// Is this record open to them?
async fn open_to(
    state: &AppState,
    who: &Who,
    patient: PatientId,
    row: &Row,
) -> Result<(), PageError> {
    let Some(closure) = state.store.closure(patient).await? else {
        return Ok(());
    };
    if may_open(state, who, &closure).await? {
        return Ok(());
    }
    if row.method == Method::Get && row.noted {
        return Err(PageError::GoTo {
            place: format!("/patient/{patient}/closed"),
        });
    }
    Err(PageError::MayNot {
        sentence: "this record is closed to you; open it with a reason from the patient's page"
            .to_owned(),
    })
}

async fn may_open(
    state: &AppState,
    who: &Who,
    closure: &record::Closure,
) -> Result<bool, PageError> {
    let Some(person) = who.person() else {
        return Ok(false);
    };
    if closure.open_to.contains(&person) {
        return Ok(true);
    }
    let now = state.clock.now();
    Ok(state
        .store
        .opening(closure.patient, person)
        .await?
        .is_some_and(|o| o.at <= now && now < o.until))
}

/// Whose names this person must not see in a list.
pub async fn hidden_from(state: &AppState, who: &Who) -> Result<BTreeSet<PatientId>, PageError> {
    let mut hidden = BTreeSet::new();
    for closure in state.store.closures().await? {
        if !may_open(state, who, &closure).await? {
            hidden.insert(closure.patient);
        }
    }
    Ok(hidden)
}

pub async fn any_account(state: &AppState) -> Result<bool, PageError> {
    let doors = &state.doors;
    if !doors.known_somebody() {
        if !state.store.has_accounts().await? {
            return Ok(false);
        }
        doors.is_somebody();
    }
    Ok(true)
}

/// Who asks? `None`: they must sign in, or set the program up.
async fn who(state: &AppState, headers: &HeaderMap) -> Result<Option<Who>, PageError> {
    if !any_account(state).await? {
        if state.doors.reached.from_outside {
            return Ok(None);
        }
        let chosen = cookie(headers, WORKER_COOKIE).and_then(|c| c.parse().ok());
        return Ok(Some(Who::AtThisMachine(chosen)));
    }
    let Some((session, account)) = session_of(state, headers).await? else {
        return Ok(None);
    };
    let now = state.clock.now();
    if !session::runs(&session, now) || !account.active {
        return Ok(None);
    }
    if session::wants_noting(&session, now) {
        state
            .store
            .touch_session(session.token.clone(), now)
            .await?;
    }
    Ok(Some(Who::SignedIn(Box::new(account), session)))
}

async fn session_of(
    state: &AppState,
    headers: &HeaderMap,
) -> Result<Option<(Session, Account)>, PageError> {
    let doors: &Doors = &state.doors;
    let token = cookie(headers, doors.session_cookie()).and_then(token::kept);
    match token {
        Some(token) => Ok(state.store.session(token).await?),
        None => Ok(None),
    }
}
