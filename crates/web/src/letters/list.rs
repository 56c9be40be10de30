//! Which drafts wait for a signature, what was signed last, and what was taken away?

use super::page::moment;
use crate::access::closed::without_name;
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::words;
use askama::Template;
use axum::{extract::Query, response::Response};
use record::{LetterState, ListedLetter};
use serde::Deserialize;

const MOST_SIGNED: u32 = 20;

#[derive(Template)]
#[template(path = "letters/list.html")]
pub struct LettersPage {
    pub shell: Shell,
    pub waiting: Vec<LetterLine>,
    pub signed: Vec<LetterLine>,
    pub taken_away: Vec<LetterLine>,
    /// The draft that was taken away just now.
    pub just_away: Option<LetterLine>,
}

#[derive(Clone)]
pub struct LetterLine {
    pub id: String,
    pub title: String,
    pub patient: String,
    pub name: String,
    pub visit: String,
    pub visit_day: String,
    /// When it was drafted, signed or taken away.
    pub when: String,
    pub revision: u32,
}

#[derive(Default, Deserialize)]
pub struct Told {
    #[serde(default)]
    away: String,
}

/// `GET /letters`
pub async fn show(context: Context, Query(told): Query<Told>) -> Result<Response, PageError> {
    let store = &context.state.store;
    let hidden = context.hidden().await?;
    let lines = |listed: Vec<ListedLetter>| -> Vec<LetterLine> {
        let named = |mut l: ListedLetter| {
            without_name(&mut l.patient, &hidden);
            line(&context, &l)
        };
        listed.into_iter().map(named).collect()
    };
    let taken_away = lines(store.letters_taken_away().await?);
    page(&LettersPage {
        waiting: lines(store.letters_waiting().await?),
        signed: lines(store.letters_signed(MOST_SIGNED).await?),
        just_away: taken_away.iter().find(|l| l.id == told.away).cloned(),
        taken_away,
        shell: context.shell("Letters", Nav::Letters),
    })
}

fn line(context: &Context, listed: &ListedLetter) -> LetterLine {
    let ListedLetter {
        letter,
        visit,
        patient,
    } = listed;
    let at = match letter.state {
        LetterState::Draft => letter.drafted_at,
        LetterState::TakenAway { at, .. } | LetterState::Signed { at, .. } => at,
    };
    LetterLine {
        id: letter.id.to_string(),
        title: letter.title.clone(),
        patient: patient.id.to_string(),
        name: words::list_name(patient),
        visit: visit.id.to_string(),
        visit_day: words::short_day(visit.on),
        when: moment(context, at),
        revision: letter.revision,
    }
}
