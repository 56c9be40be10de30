//! The practice: first start, people, who is working, which light, the journal.

use crate::{
    AppState,
    access::{gate::any_account, people, sign_in},
    context::{Context, THEME_COOKIE, WORKER_COOKIE, theme},
    error::PageError,
    layout::{Nav, Shell, Theme, page},
    words,
};
use askama::Template;
use axum::{
    extract::{Form, State},
    http::{HeaderMap, header},
    response::{IntoResponse, Redirect, Response},
};
use record::{ActId, Clinician, ClinicianId, Practice, Stamp};
use serde::Deserialize;

const MOST_ACTS: u32 = 40;

#[derive(Template)]
#[template(path = "practice/practice.html")]
pub struct PracticePage {
    pub shell: Shell,
    pub practice: Practice,
    pub address: String,
    pub people: Vec<Clinician>,
    pub acts: Vec<ActRow>,
    pub may_take_out: bool,
}

pub struct ActRow {
    pub number: u64,
    pub when: String,
    pub who: String,
    pub what: String,
}

/// `GET /practice`
pub async fn show(context: Context) -> Result<Response, PageError> {
    let store = &context.state.store;
    let people = store.clinicians().await?;
    page(&PracticePage {
        address: context.practice.address.join("\n"),
        practice: context.practice.clone(),
        acts: last_acts(&context, &people).await?,
        people,
        may_take_out: context.who.may(account::Action::TakeOut),
        shell: context.shell("Practice", Nav::Practice),
    })
}

/// The newest entries of the journal, newest first.
async fn last_acts(context: &Context, people: &[Clinician]) -> Result<Vec<ActRow>, PageError> {
    let store = &context.state.store;
    // The journal counts without a gap, so its end is found by doubling steps.
    let (mut after, mut step) = (0u64, 1u64 << 20);
    while step > 0 {
        if store.journal(after + step, 1).await?.is_empty() {
            step /= 2;
        } else {
            after += step;
        }
    }
    let newest = store
        .journal((after + 1).saturating_sub(u64::from(MOST_ACTS)), MOST_ACTS)
        .await?;
    let offset = context.now.offset();
    Ok(newest
        .iter()
        .rev()
        .map(|a| ActRow {
            number: a.number,
            when: words::moment(a.at, offset),
            who: people.iter().find(|p| p.id == a.by).map_or_else(
                || words::not_on_the_list(a.by).to_owned(),
                |p| p.name.clone(),
            ),
            what: a.summary.clone(),
        })
        .collect())
}

#[derive(Debug, Default, Deserialize)]
pub struct PracticeForm {
    #[serde(default)]
    name: String,
    #[serde(default)]
    address: String,
    #[serde(default)]
    telephone: String,
}

impl PracticeForm {
    fn read(&self, demo: bool) -> Practice {
        let telephone = self.telephone.trim();
        Practice {
            name: self.name.trim().to_owned(),
            address: self
                .address
                .lines()
                .map(str::trim)
                .filter(|l| !l.is_empty())
                .map(str::to_owned)
                .collect(),
            telephone: (!telephone.is_empty()).then(|| telephone.to_owned()),
            demo,
        }
    }
}

/// `POST /practice`
pub async fn save(context: Context, Form(form): Form<PracticeForm>) -> Result<Redirect, PageError> {
    let practice = form.read(context.practice.demo);
    context
        .state
        .store
        .save_practice(context.stamp(), practice)
        .await?;
    Ok(Redirect::to("/practice"))
}

#[derive(Debug, Default, Deserialize)]
pub struct PersonForm {
    #[serde(default)]
    id: String,
    #[serde(default)]
    name: String,
    #[serde(default)]
    qualification: String,
    #[serde(default)]
    left: String,
}

/// `POST /practice/people`: adds somebody, or changes who is there.
pub async fn save_person(
    context: Context,
    Form(form): Form<PersonForm>,
) -> Result<Redirect, PageError> {
    let id = match form.id.trim() {
        "" => ClinicianId::new(context.state.ids.fresh()),
        id => context.state.store.clinician(id.parse()?).await?.id,
    };
    let active = form.left.is_empty();
    if !active && id == context.worker.id {
        return Err(PageError::NotNow {
            sentence: "you cannot take yourself off the list while you are the one working"
                .to_owned(),
        });
    }
    let clinician = Clinician {
        id,
        name: form.name.trim().to_owned(),
        qualification: form.qualification.trim().to_owned(),
        active,
    };
    context
        .state
        .store
        .save_clinician(context.stamp(), clinician)
        .await?;
    Ok(Redirect::to("/practice"))
}

#[derive(Template)]
#[template(path = "practice/start.html")]
pub struct StartPage {
    pub shell: Shell,
    /// Reached from elsewhere than this machine: the first account is made here and cannot be left out.
    pub from_outside: bool,
    /// People of a practice that is there already; the account is one of theirs.
    pub people: Vec<Clinician>,
}

/// `GET /start`: the first page of an empty record, and of one that is reached from outside for the first time.
pub async fn start(
    State(state): State<AppState>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let from_outside = state.doors.reached.from_outside;
    let there = is_set_up(&state).await?;
    if any_account(&state).await? || (there && !from_outside) {
        return Ok(Redirect::to("/").into_response());
    }
    let people = if there {
        active(&state).await?
    } else {
        Vec::new()
    };
    page(&StartPage {
        from_outside,
        people,
        shell: Shell::bare("First start", theme(&headers), state.assets.clone()),
    })
}

async fn active(state: &AppState) -> Result<Vec<Clinician>, PageError> {
    let mut people = state.store.clinicians().await?;
    people.retain(|c| c.active);
    Ok(people)
}

#[derive(Default, Deserialize)]
pub struct StartForm {
    #[serde(default)]
    practice: String,
    #[serde(default)]
    name: String,
    #[serde(default)]
    qualification: String,
    /// From outside only.
    #[serde(default)]
    code: String,
    #[serde(default)]
    person: String,
    #[serde(default)]
    login: String,
    #[serde(default)]
    passphrase: String,
    #[serde(default)]
    again: String,
}

/// `POST /start`
pub async fn set_up(
    State(state): State<AppState>,
    Form(form): Form<StartForm>,
) -> Result<Response, PageError> {
    let from_outside = state.doors.reached.from_outside;
    let there = is_set_up(&state).await?;
    if any_account(&state).await? || (there && !from_outside) {
        return Ok(Redirect::to("/").into_response());
    }
    if !from_outside {
        begin_practice(&state, &form).await?;
        return Ok(Redirect::to("/").into_response());
    }
    // 80 random bits: no count of attempts is needed.
    if !state.doors.is_set_up_code(&form.code) {
        return Err(PageError::input(
            "found another code than the one printed where the program was started; expected that one",
        ));
    }
    if form.passphrase != form.again {
        return Err(PageError::input(
            "found two different passphrases; expected the same twice",
        ));
    }
    let kept = sign_in::kept_of(&state, form.passphrase.clone(), &form.login).await?;
    let person = if there {
        state.store.clinician(form.person.parse()?).await?.id
    } else {
        begin_practice(&state, &form).await?
    };
    let account = people::first_account(&state, person, &form.login, kept);
    let note = record::ToNote {
        at: state.clock.now(),
        account: Some(account.id),
        person: Some(person),
        kind: record::Noted::AccountSaved,
        patient: None,
        detail: "first account, from outside with the set-up code".to_owned(),
    };
    let account = state.store.save_account(note, account).await?;
    sign_in::begin(&state, &account, "/", state.clock.now()).await
}

/// The practice and its first person.
async fn begin_practice(state: &AppState, form: &StartForm) -> Result<ClinicianId, PageError> {
    let me = Clinician {
        id: ClinicianId::new(state.ids.fresh()),
        name: form.name.trim().to_owned(),
        qualification: form.qualification.trim().to_owned(),
        active: true,
    };
    let practice = PracticeForm {
        name: form.practice.clone(),
        ..PracticeForm::default()
    }
    .read(false);
    practice
        .check()
        .and_then(|()| me.check())
        .map_err(|bad| PageError::input(bad.to_string()))?;
    let by = me.id;
    let stamp = || Stamp {
        act: ActId::new(state.ids.fresh()),
        at: state.clock.now(),
        by,
    };
    state.store.save_clinician(stamp(), me).await?;
    state.store.save_practice(stamp(), practice).await?;
    Ok(by)
}

async fn is_set_up(state: &AppState) -> Result<bool, PageError> {
    let somebody = state.store.clinicians().await?.iter().any(|c| c.active);
    Ok(somebody && state.store.practice().await?.is_some())
}

#[derive(Template)]
#[template(path = "practice/who.html")]
pub struct WhoPage {
    pub shell: Shell,
    pub people: Vec<Clinician>,
}

/// `GET /who`
pub async fn who(State(state): State<AppState>, headers: HeaderMap) -> Result<Response, PageError> {
    if state.doors.reached.from_outside || any_account(&state).await? {
        return Ok(Redirect::to("/").into_response());
    }
    page(&WhoPage {
        people: active(&state).await?,
        shell: Shell::bare("Who is working?", theme(&headers), state.assets.clone()),
    })
}

#[derive(Debug, Deserialize)]
pub struct WhoForm {
    worker: String,
}

/// `POST /who`
pub async fn be(
    State(state): State<AppState>,
    Form(form): Form<WhoForm>,
) -> Result<Response, PageError> {
    if state.doors.reached.from_outside || any_account(&state).await? {
        return Ok(Redirect::to("/sign-in").into_response());
    }
    let worker = state.store.clinician(form.worker.parse()?).await?;
    let cookie = format!(
        "{WORKER_COOKIE}={}; Path=/; HttpOnly; SameSite=Strict; Max-Age=43200",
        worker.id
    );
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response())
}

#[derive(Debug, Deserialize)]
pub struct LightForm {
    light: String,
}

/// `POST /light`: daylight or film room light, kept in a cookie.
pub async fn light(headers: HeaderMap, Form(form): Form<LightForm>) -> Response {
    let cookie = format!(
        "{THEME_COOKIE}={}; Path=/; HttpOnly; SameSite=Strict; Max-Age=31536000",
        Theme::from_key(&form.light).key()
    );
    (
        [(header::SET_COOKIE, cookie)],
        Redirect::to(&back(&headers)),
    )
        .into_response()
}

/// The page the request came from, as a path of our own; Today where that cannot be told.
fn back(headers: &HeaderMap) -> String {
    let own_path = |address: &str| {
        let uri: axum::http::Uri = address.parse().ok()?;
        let host = headers.get(header::HOST)?.to_str().ok()?;
        (uri.authority()?.as_str() == host).then(|| uri.path().to_owned())
    };
    headers
        .get(header::REFERER)
        .and_then(|v| v.to_str().ok())
        .and_then(own_path)
        .filter(|path| path.starts_with('/') && !path.starts_with("//"))
        .unwrap_or_else(|| "/".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn from(referer: &str) -> String {
        let mut headers = HeaderMap::new();
        headers.insert(header::HOST, "127.0.0.1:8080".parse().unwrap());
        headers.insert(header::REFERER, referer.parse().unwrap());
        back(&headers)
    }

    #[test]
    fn changing_the_light_leads_back_to_our_own_page_only() {
        assert_eq!(from("http://127.0.0.1:8080/visit/1"), "/visit/1");
        assert_eq!(from("http://evil.example/visit/1"), "/");
        assert_eq!(from("http://127.0.0.1:8080//evil.example"), "/");
        assert_eq!(from("rubbish"), "/");
    }
}
