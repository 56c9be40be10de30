//! The steps change: by a hand, by finding them anew, by going back.

use super::fields::{self, BadField, Texts};
use super::hand::{self, OpenPrint, Read};
use super::page;
use super::take_in::kept;
use crate::context::{Context, wants_json};
use crate::error::PageError;
use crate::shell::OwnPage;
use axum::{
    Form, Json,
    extract::Path,
    http::{HeaderMap, StatusCode},
    response::{IntoResponse, Redirect, Response},
};
use print::{Taken, Wish};
use record::CaptureId;
use serde::Serialize;

/// What a moving hand gets back.
#[derive(Serialize)]
struct Answer {
    revision: u32,
    can_undo: bool,
    svg: String,
    readings: String,
    texts: Texts,
}

#[derive(Serialize)]
struct Refused {
    field: String,
    error: String,
    todo: &'static str,
}

/// `POST /capture/{id}/steps`: `revision` as the page showed it, `act` to find anew, and the texts.
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    headers: HeaderMap,
    Form(texts): Form<Texts>,
) -> Result<Response, PageError> {
    let mut opened = hand::open(&context, id.parse()?).await?;
    let seen = seen(&texts)?;
    let json = wants_json(&headers);
    match changed(&context, &opened, &texts).await? {
        Ok(read) => {
            if read.work != opened.read.work {
                let steps = kept(&context, opened.record.id, &read)?;
                let store = &context.state.store;
                let saved = store.save_steps(context.stamp(), steps, seen).await?;
                hand::keep(&context.state, &opened.record, read.clone());
                opened = OpenPrint {
                    revision: saved.revision,
                    // What stood there before can be brought back.
                    can_undo: true,
                    read,
                    ..opened
                };
            }
            answer(&context, &opened, json).await
        }
        Err(bad) if json => {
            let refused = Refused {
                field: bad.field,
                error: bad.sentence,
                todo: "What you typed is still here.",
            };
            let mut response = (StatusCode::UNPROCESSABLE_ENTITY, Json(refused)).into_response();
            response.extensions_mut().insert(OwnPage);
            Ok(response)
        }
        Err(bad) => Err(PageError::input(bad.sentence)),
    }
}

async fn changed(
    context: &Context,
    opened: &OpenPrint,
    texts: &Texts,
) -> Result<Result<Read, BadField>, PageError> {
    let work = &opened.read.work;
    let state = &context.state;
    let taken = match fields::taken(work, texts) {
        Ok(taken) => taken,
        Err(bad) => return Ok(Err(bad)),
    };
    let medium = |t: &Taken| match t {
        Taken::Picture { medium, .. } => *medium,
        Taken::Grid { .. } => None,
    };
    let anew = texts.get("act").is_some_and(|a| a == "find");
    if anew || medium(&taken) != medium(&work.taken) {
        let wish = Wish::default();
        let found = hand::found_anew(state, &opened.record, taken, wish).await?;
        return Ok(Ok(found));
    }
    match fields::applied(work, texts) {
        Ok(work) => Ok(Ok(hand::reread(state, &opened.record, work).await?)),
        Err(bad) => Ok(Err(bad)),
    }
}

/// `POST /capture/{id}/undo`
pub async fn undo(
    context: Context,
    Path(id): Path<String>,
    headers: HeaderMap,
    Form(texts): Form<Texts>,
) -> Result<Response, PageError> {
    let id = id.parse::<CaptureId>()?;
    let store = &context.state.store;
    store.undo_steps(context.stamp(), id, seen(&texts)?).await?;
    let opened = hand::open(&context, id).await?;
    answer(&context, &opened, wants_json(&headers)).await
}

fn seen(texts: &Texts) -> Result<u32, PageError> {
    let revision = texts.get("revision").and_then(|r| r.parse().ok());
    revision.ok_or_else(|| {
        PageError::input("found no revision; load the page again and make the change once more")
    })
}

async fn answer(context: &Context, opened: &OpenPrint, json: bool) -> Result<Response, PageError> {
    if !json {
        let place = format!("/capture/{}#readings", opened.record.id);
        return Ok(Redirect::to(&place).into_response());
    }
    Ok(Json(Answer {
        revision: opened.revision,
        can_undo: opened.can_undo,
        svg: page::drawing(&opened.read, None),
        readings: page::readings(context, opened).await?,
        texts: fields::texts(&opened.read.work),
    })
    .into_response())
}
