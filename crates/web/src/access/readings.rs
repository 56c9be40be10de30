//! Which films was a reader asked to read?
//!
//! A reader sees view and side of each, places the points on the film desk, and sees neither whose film it is nor what
//! others read.

use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    today::film_words,
    words,
};
use askama::Template;
use axum::{
    extract::{Form, Path},
    response::{Redirect, Response},
};
use record::{FilmId, Noted, ReadingAsked, Role, ToNote};
use serde::Deserialize;

#[derive(Template)]
#[template(path = "access/readings.html")]
pub struct ReadingsPage {
    pub shell: Shell,
    pub films: Vec<AskedRow>,
}

pub struct AskedRow {
    pub film: String,
    pub number: usize,
    pub what: String,
    pub asked: String,
    pub done: bool,
}

/// `GET /second-readings`
pub async fn show(context: Context) -> Result<Response, PageError> {
    let store = &context.state.store;
    let Some(account) = context.who.account() else {
        return Err(PageError::NotFound { what: "reader" });
    };
    let mut films = Vec::new();
    for (n, (asked, film)) in store
        .readings_asked_of(account.id)
        .await?
        .iter()
        .enumerate()
    {
        let placings = store.points_of(film.id).await?;
        films.push(AskedRow {
            film: film.id.to_string(),
            number: n + 1,
            what: film_words(film),
            asked: words::short_day(asked.at.to_offset(context.now.offset()).date()),
            done: placings
                .iter()
                .any(|p| p.reader == context.worker.id && p.finished),
        });
    }
    page(&ReadingsPage {
        films,
        shell: context.shell("Films to read", Nav::Readings),
    })
}

/// What the film's page says about readers.
pub struct AskView {
    /// Account id, name, asked already.
    pub readers: Vec<(String, String, bool)>,
}

pub async fn view(context: &Context, film: FilmId) -> Result<AskView, PageError> {
    let store = &context.state.store;
    if !context.who.may(account::Action::AskSecondReading) {
        return Ok(AskView {
            readers: Vec::new(),
        });
    }
    let people = store.clinicians().await?;
    let asked = store.readings_asked_on(film).await?;
    let readers = store
        .accounts()
        .await?
        .into_iter()
        .filter(|a| a.active && a.has(Role::Reader))
        .map(|a| {
            let name = people.iter().find(|p| p.id == a.person);
            (
                a.id.to_string(),
                name.map_or(a.login, |p| p.name.clone()),
                asked.iter().any(|r| r.of == a.id),
            )
        })
        .collect();
    Ok(AskView { readers })
}

#[derive(Debug, Default, Deserialize)]
pub struct AskForm {
    reader: String,
}

/// `POST /film/{id}/ask`
pub async fn ask(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<AskForm>,
) -> Result<Redirect, PageError> {
    let store = &context.state.store;
    let film = store.film(id.parse::<FilmId>()?).await?;
    let reader = store.account(form.reader.parse()?).await?;
    if !reader.has(Role::Reader) {
        return Err(PageError::input(
            "found an account that is no reader; expected a reader",
        ));
    }
    let asked = ReadingAsked {
        film: film.id,
        of: reader.id,
        at: context.now,
    };
    let note = ToNote {
        patient: Some(film.patient),
        ..context.who.note(
            &context.state,
            Noted::Asked,
            format!("film {} of account {}", film.id, reader.id),
        )
    };
    store.ask_reading(note, asked).await?;
    Ok(Redirect::to(&format!("/film/{}#second", film.id)))
}
