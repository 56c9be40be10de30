//! Who has an account, with which roles?
//!
//! The first account turns signing in on for everybody. An administrator gives a first passphrase that the person must
//! change; nobody can take the last administrator away.

use super::gate::{Who, any_account};
use super::sign_in::{begin, kept_of};
use crate::{
    AppState,
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
};
use askama::Template;
use axum::{
    extract::Form,
    response::{IntoResponse, Redirect, Response},
};
use record::{Account, AccountId, Clinician, ClinicianId, Noted, Role};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Template)]
#[template(path = "access/people.html")]
pub struct PeoplePage {
    pub shell: Shell,
    /// Nobody signs in yet.
    pub none_yet: bool,
    pub accounts: Vec<AccountRow>,
    /// People who have no account.
    pub others: Vec<Clinician>,
    pub roles: Vec<(&'static str, &'static str)>,
}

pub struct AccountRow {
    pub id: String,
    pub name: String,
    pub login: String,
    pub revision: u32,
    pub active: bool,
    /// Key and whether it is given.
    pub roles: Vec<(&'static str, bool)>,
    pub state: String,
}

/// `GET /people`
pub async fn show(context: Context) -> Result<Response, PageError> {
    let store = &context.state.store;
    let people = store.clinicians().await?;
    let accounts = store.accounts().await?;
    let name_of = |a: &Account| {
        people
            .iter()
            .find(|p| p.id == a.person)
            .map_or_else(String::new, |p| p.name.clone())
    };
    let now = context.now;
    page(&PeoplePage {
        none_yet: accounts.is_empty(),
        others: people
            .iter()
            .filter(|p| p.active && !accounts.iter().any(|a| a.person == p.id))
            .cloned()
            .collect(),
        accounts: accounts
            .iter()
            .map(|a| AccountRow {
                id: a.id.to_string(),
                name: name_of(a),
                login: a.login.clone(),
                revision: a.revision,
                active: a.active,
                roles: Role::ALL.iter().map(|r| (r.key(), a.has(*r))).collect(),
                state: state_of(a, now),
            })
            .collect(),
        roles: Role::ALL.iter().map(|r| (r.key(), r.words())).collect(),
        shell: context.shell("People", Nav::People),
    })
}

fn state_of(account: &Account, now: time::OffsetDateTime) -> String {
    let mut told = Vec::new();
    if account.must_choose {
        told.push("has not chosen a passphrase of their own yet".to_owned());
    }
    told.push(
        match account.one_time.as_ref().is_some_and(|o| o.confirmed) {
            true => "one-time codes on".to_owned(),
            false => "no one-time codes".to_owned(),
        },
    );
    if super::doors::wait_of(account, now) > time::Duration::ZERO {
        told.push(format!("{} wrong attempts in a row", account.failures));
    }
    told.join("; ")
}

#[derive(Default, Deserialize)]
pub struct FirstForm {
    #[serde(default)]
    login: String,
    #[serde(default)]
    passphrase: String,
    #[serde(default)]
    again: String,
}

/// `POST /people/first`: the one who works now becomes clinician and administrator; from then on everybody signs in.
pub async fn first(context: Context, Form(form): Form<FirstForm>) -> Result<Response, PageError> {
    if any_account(&context.state).await? {
        return Ok(Redirect::to("/people").into_response());
    }
    if form.passphrase != form.again {
        return Err(PageError::input(
            "found two different passphrases; expected the same twice",
        ));
    }
    let kept = kept_of(&context.state, form.passphrase, &form.login).await?;
    let account = first_account(&context.state, context.worker.id, &form.login, kept);
    let note = context.who.note(
        &context.state,
        Noted::AccountSaved,
        "first account; everybody signs in",
    );
    let account = context.state.store.save_account(note, account).await?;
    begin(&context.state, &account, "/people", context.now).await
}

/// Clinician and administrator in one.
pub fn first_account(
    state: &AppState,
    person: ClinicianId,
    login: &str,
    passphrase: String,
) -> Account {
    Account {
        must_choose: false,
        ..fresh(
            state,
            person,
            login,
            vec![Role::Clinician, Role::Administrator],
            passphrase,
        )
    }
}

/// An account that was never saved; its person has to choose a passphrase of their own.
fn fresh(
    state: &AppState,
    person: ClinicianId,
    login: &str,
    roles: Vec<Role>,
    passphrase: String,
) -> Account {
    Account {
        id: AccountId::new(state.ids.fresh()),
        person,
        login: login.trim().to_owned(),
        roles,
        active: true,
        passphrase: Some(passphrase),
        must_choose: true,
        one_time: None,
        recovery: Vec::new(),
        failures: 0,
        failed_at: None,
        revision: 0,
    }
}

/// Texts of a form; a role that is ticked has its key as name.
type Texts = BTreeMap<String, String>;

fn text<'t>(texts: &'t Texts, name: &str) -> &'t str {
    texts.get(name).map_or("", |t| t.trim())
}

/// `POST /people`: adds an account, or changes name, roles and whether it lets anybody in.
pub async fn save(context: Context, Form(texts): Form<Texts>) -> Result<Redirect, PageError> {
    if !any_account(&context.state).await? {
        return Err(PageError::NotNow {
            sentence: "the first account is yours; make it before the others".to_owned(),
        });
    }
    let roles: Vec<Role> = Role::ALL
        .into_iter()
        .filter(|r| texts.contains_key(r.key()))
        .collect();
    let store = &context.state.store;
    let (account, detail) = match text(&texts, "id") {
        "" => {
            let login = text(&texts, "login").to_owned();
            let passphrase = text(&texts, "passphrase").to_owned();
            let kept = kept_of(&context.state, passphrase, &login).await?;
            let person = person(&context, &texts).await?;
            let account = fresh(&context.state, person, &login, roles, kept);
            let detail = format!("account {} added: {}", account.id, words(&account));
            (account, detail)
        }
        id => {
            let there = store.account(id.parse()?).await?;
            let seen = text(&texts, "revision")
                .parse()
                .map_err(|_| PageError::Stale)?;
            let account = Account {
                login: text(&texts, "login").to_owned(),
                roles,
                active: !texts.contains_key("barred"),
                revision: seen,
                ..there
            };
            let detail = format!("account {} changed: {}", account.id, words(&account));
            (account, detail)
        }
    };
    keep_an_administrator(&context, &account).await?;
    let ended = !account.active;
    let id = account.id;
    let note = context
        .who
        .note(&context.state, Noted::AccountSaved, detail);
    store.save_account(note, account).await?;
    if ended {
        let detail = format!("account {id} everywhere, barred");
        let note = context.who.note(&context.state, Noted::SignedOut, detail);
        store.end_sessions(note, id, None).await?;
    }
    Ok(Redirect::to("/people"))
}

fn words(account: &Account) -> String {
    let roles: Vec<&str> = account.roles.iter().map(|r| r.key()).collect();
    match account.active {
        true => roles.join(", "),
        false => format!("{}; lets nobody in", roles.join(", ")),
    }
}

/// The person of a new account: one of the list, or somebody new.
async fn person(context: &Context, texts: &Texts) -> Result<ClinicianId, PageError> {
    let store = &context.state.store;
    match text(texts, "person") {
        "" => {
            let somebody = Clinician {
                id: ClinicianId::new(context.state.ids.fresh()),
                name: text(texts, "name").to_owned(),
                qualification: String::new(),
                active: true,
            };
            let id = somebody.id;
            store.save_clinician(context.stamp(), somebody).await?;
            Ok(id)
        }
        id => Ok(store.clinician(id.parse()?).await?.id),
    }
}

/// Without an administrator nobody could ever change an account again.
async fn keep_an_administrator(context: &Context, changed: &Account) -> Result<(), PageError> {
    let stays = changed.active && changed.has(Role::Administrator);
    let others = context
        .state
        .store
        .accounts()
        .await?
        .iter()
        .any(|a| a.id != changed.id && a.active && a.has(Role::Administrator));
    if stays || others {
        return Ok(());
    }
    Err(PageError::NotNow {
        sentence: "this is the last administrator; give somebody else the role first".to_owned(),
    })
}

#[derive(Default, Deserialize)]
pub struct AgainForm {
    #[serde(default)]
    id: String,
    #[serde(default)]
    passphrase: String,
}

/// `POST /people/again`: a new first passphrase for somebody who lost theirs; ends all their sessions.
pub async fn new_passphrase(
    context: Context,
    Form(form): Form<AgainForm>,
) -> Result<Redirect, PageError> {
    let store = &context.state.store;
    let mut account = store.account(form.id.parse()?).await?;
    account.passphrase = Some(kept_of(&context.state, form.passphrase, &account.login).await?);
    account.must_choose = true;
    account.one_time = None;
    account.failures = 0;
    account.failed_at = None;
    let id = account.id;
    let detail = format!("account {id} given a new first passphrase; one-time codes off");
    let note = context
        .who
        .note(&context.state, Noted::AccountSaved, detail);
    store.save_account(note, account).await?;
    let detail = format!("account {id} everywhere, given a new passphrase");
    let note = context.who.note(&context.state, Noted::SignedOut, detail);
    let but = match &context.who {
        Who::SignedIn(own, session) if own.id == id => Some(session.token.clone()),
        _ => None,
    };
    store.end_sessions(note, id, but).await?;
    Ok(Redirect::to("/people"))
}
