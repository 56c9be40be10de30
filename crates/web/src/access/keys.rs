//! With which keys do other programs come in?
//!
//! A key is shown once, when it is made; the practice keeps only its SHA-256.

use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use account::token;
use askama::Template;
use axum::{
    extract::Form,
    response::{Redirect, Response},
};
use record::{Clinician, KeyId, MachineKey, MachineMay, Noted};
use serde::Deserialize;
use std::collections::BTreeMap;

#[derive(Template)]
#[template(path = "access/keys.html")]
pub struct KeysPage {
    pub shell: Shell,
    /// Label and token of the one that was made just now.
    pub made: Option<(String, String)>,
    pub good: Vec<KeyRow>,
    pub taken_back: Vec<KeyRow>,
    pub choices: Vec<(&'static str, &'static str)>,
}

pub struct KeyRow {
    pub id: String,
    pub label: String,
    pub may: Vec<&'static str>,
    pub closed_too: Option<String>,
    pub made: String,
    pub used: String,
    pub taken_back: Option<String>,
}

/// `GET /people/keys`
pub async fn show(context: Context) -> Result<Response, PageError> {
    written(&context, None).await
}

async fn written(context: &Context, made: Option<(String, String)>) -> Result<Response, PageError> {
    let store = &context.state.store;
    let people = store.clinicians().await?;
    let rows = |all: &[MachineKey], good: bool| -> Vec<KeyRow> {
        let kept = all.iter().filter(|k| k.is_good() == good);
        kept.map(|key| row(context, key, &people)).collect()
    };
    let mut all = store.keys().await?;
    all.reverse();
    page(&KeysPage {
        made,
        good: rows(&all, true),
        taken_back: rows(&all, false),
        choices: MachineMay::ALL
            .iter()
            .map(|may| (may.key(), may.words()))
            .collect(),
        shell: context.shell("Keys for machines", Nav::People),
    })
}

fn row(context: &Context, key: &MachineKey, people: &[Clinician]) -> KeyRow {
    let offset = context.now.offset();
    let day = |at: time::OffsetDateTime| words::short_day(at.to_offset(offset).date());
    let by = people.iter().find(|p| p.id == key.made_by);
    KeyRow {
        id: key.id.to_string(),
        label: key.label.clone(),
        may: key.may.iter().map(|m| m.words()).collect(),
        closed_too: key.closed_too.clone(),
        made: match by {
            Some(person) => format!("{}, by {}", day(key.made_at), person.name),
            None => day(key.made_at),
        },
        used: key
            .last_used
            .map_or_else(|| "never".to_owned(), words::short_day),
        taken_back: key.taken_back.map(day),
    }
}

/// Texts of a form; what is ticked has its key as name.
type Texts = BTreeMap<String, String>;

/// `POST /people/keys`: answers with the token, once.
pub async fn make(context: Context, Form(texts): Form<Texts>) -> Result<Response, PageError> {
    let text = |name: &str| texts.get(name).map_or("", |t| t.trim());
    let in_words = token::in_cookie(&context.state.doors.random());
    let key = MachineKey {
        id: KeyId::new(context.state.ids.fresh()),
        label: text("label").to_owned(),
        token: token::kept(&in_words).unwrap_or_default(),
        may: MachineMay::ALL
            .into_iter()
            .filter(|may| texts.contains_key(may.key()))
            .collect(),
        closed_too: match texts.contains_key("closed") {
            true => Some(text("why").to_owned()),
            false => None,
        },
        made_at: context.now,
        made_by: context.worker.id,
        last_used: None,
        taken_back: None,
    };
    let may: Vec<&str> = key.may.iter().map(|m| m.key()).collect();
    let mut detail = format!("key '{}' {}: {}", key.label, key.id, may.join(", "));
    if let Some(why) = &key.closed_too {
        detail.push_str(&format!("; closed records too: {why}"));
    }
    let note = context.who.note(&context.state, Noted::KeyMade, detail);
    let label = key.label.clone();
    context.state.store.make_key(note, key).await?;
    written(&context, Some((label, in_words))).await
}

#[derive(Debug, Default, Deserialize)]
pub struct BackForm {
    #[serde(default)]
    id: String,
}

/// `POST /people/keys/back`
pub async fn take_back(
    context: Context,
    Form(form): Form<BackForm>,
) -> Result<Redirect, PageError> {
    let id: KeyId = form.id.parse()?;
    let store = &context.state.store;
    let all = store.keys().await?;
    let label = all
        .iter()
        .find(|k| k.id == id)
        .map_or(String::new(), |k| format!("key '{}' ", k.label));
    let detail = format!("{label}{id}");
    let note = context
        .who
        .note(&context.state, Noted::KeyTakenBack, detail);
    store.take_back_key(note, id).await?;
    Ok(Redirect::to("/people/keys"))
}
