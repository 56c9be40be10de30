//! What does the page of sending show: what can go out, to whom, and what became of it.

use super::{
    made::{Object, of_film, of_letter},
    post::{self, Sending, What},
};
use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    today::film_words,
    words,
};
use askama::Template;
use axum::{
    Form,
    extract::Path,
    http::header,
    response::{IntoResponse, Redirect, Response},
};
use record::{FilmId, LetterId, Noted, Patient, PatientId};
use std::collections::BTreeMap;
use store::jobs::{Job, JobState};
use time::OffsetDateTime;

#[derive(Template)]
#[template(path = "outgoing/send.html")]
pub struct SendPage {
    pub shell: Shell,
    /// `/film/ID` or `/letter/ID`.
    pub at: String,
    pub what: String,
    pub patient: String,
    pub name: String,
    pub objects: Vec<ObjectRow>,
    pub peers: Vec<String>,
    pub sendings: Vec<SendingRow>,
    /// Something is on its way.
    pub moving: bool,
}

pub struct ObjectRow {
    pub key: &'static str,
    pub words: &'static str,
    pub size: String,
}

pub struct SendingRow {
    pub to: String,
    pub objects: String,
    pub asked: String,
    pub state: &'static str,
    pub class: &'static str,
    pub more: String,
}

/// `GET /film/{id}/send`
pub async fn film(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let id: FilmId = id.parse()?;
    let objects = of_film(&context.state, id).await?;
    let film = context.state.store.film(id).await?;
    let patient = context.state.store.patient(film.patient).await?;
    let what = words::capitalised(&film_words(&film));
    shown(&context, What::Film(id), what, &patient, &objects).await
}

/// `GET /letter/{id}/send`
pub async fn letter(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let id: LetterId = id.parse()?;
    let objects = of_letter(&context.state, id).await?;
    let letter = context.state.store.letter(id).await?;
    let visit = context.state.store.visit(letter.visit).await?;
    let patient = context.state.store.patient(visit.patient).await?;
    shown(&context, What::Letter(id), letter.title, &patient, &objects).await
}

fn address(what: What) -> String {
    match what {
        What::Film(id) => format!("/film/{id}"),
        What::Letter(id) => format!("/letter/{id}"),
    }
}

async fn shown(
    context: &Context,
    what: What,
    title: String,
    patient: &Patient,
    objects: &[Object],
) -> Result<Response, PageError> {
    let sendings = post::of(&context.state, what).await?;
    let peers = &context.state.outside.peers;
    page(&SendPage {
        shell: context.shell(format!("Send: {title}"), Nav::Inside),
        at: address(what),
        what: title,
        patient: patient.id.to_string(),
        name: words::full_name(patient),
        objects: objects
            .iter()
            .map(|o| ObjectRow {
                key: o.key,
                words: o.words,
                size: words::size(o.made.file.len() as u64),
            })
            .collect(),
        peers: peers.iter().map(|p| p.name.clone()).collect(),
        moving: sendings.iter().any(|(job, _)| job.is_open()),
        sendings: sendings
            .iter()
            .map(|(job, sending)| row(context, job, sending))
            .collect(),
    })
}

fn row(context: &Context, job: &Job, sending: &Sending) -> SendingRow {
    let moment = |at: OffsetDateTime| words::moment(at, context.now.offset());
    let why = job.why.as_deref().map(crate::error::sentence);
    let tried = words::count(job.tries as usize, "try", "tries");
    let (state, class, more) = match job.state {
        JobState::Waiting { due_at } => match why {
            Some(why) => (
                "waits for another try",
                "attention",
                format!("{why} After {tried}; again at {}.", moment(due_at)),
            ),
            None => ("waits", "", String::new()),
        },
        JobState::InHand { .. } => ("is being sent", "", String::new()),
        JobState::Done { at } => ("sent", "good", format!("Kept there {}.", moment(at))),
        JobState::GivenUp { at } => (
            "failed",
            "alarm",
            format!(
                "{} Given up {} after {tried}.",
                why.unwrap_or_default(),
                moment(at)
            ),
        ),
    };
    SendingRow {
        to: sending.to.clone(),
        objects: sending.objects.join(", "),
        asked: moment(job.asked_at),
        state,
        class,
        more,
    }
}

/// `POST /film/{id}/send`: `to`, and a field for each object that goes.
pub async fn send_film(
    context: Context,
    Path(id): Path<String>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let id: FilmId = id.parse()?;
    let film = context.state.store.film(id).await?;
    let objects = of_film(&context.state, id).await?;
    send(&context, What::Film(id), film.patient, objects, &fields).await
}

/// `POST /letter/{id}/send`
pub async fn send_letter(
    context: Context,
    Path(id): Path<String>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let id: LetterId = id.parse()?;
    let letter = context.state.store.letter(id).await?;
    let visit = context.state.store.visit(letter.visit).await?;
    let objects = of_letter(&context.state, id).await?;
    send(&context, What::Letter(id), visit.patient, objects, &fields).await
}

async fn send(
    context: &Context,
    what: What,
    patient: PatientId,
    mut objects: Vec<Object>,
    fields: &BTreeMap<String, String>,
) -> Result<Redirect, PageError> {
    let to = fields.get("to").map(String::as_str).unwrap_or_default();
    let peers = &context.state.outside.peers;
    if peers.iter().all(|p| p.name != to) {
        return Err(PageError::input(
            "found nobody to send to by this name; choose one of those on the page",
        ));
    }
    objects.retain(|o| fields.contains_key(o.key));
    if objects.is_empty() {
        return Err(PageError::input(
            "found nothing to send; choose at least one thing",
        ));
    }
    let sending = Sending {
        to: to.to_owned(),
        what,
        objects: objects.iter().map(|o| o.key.to_owned()).collect(),
        patient,
    };
    let note = context.who.note(&context.state, Noted::SentOut, "");
    let note = post::asked(note, &sending);
    post::ask(&context.state, note, sending, &objects).await?;
    Ok(Redirect::to(&format!("{}/send#sendings", address(what))))
}

/// `GET /film/{id}/object/{name}`: one object as a file.
pub async fn film_object(
    context: Context,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let objects = of_film(&context.state, id.parse()?).await?;
    file(objects, &name)
}

/// `GET /letter/{id}/object/{name}`
pub async fn letter_object(
    context: Context,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let objects = of_letter(&context.state, id.parse()?).await?;
    file(objects, &name)
}

fn file(objects: Vec<Object>, name: &str) -> Result<Response, PageError> {
    let wanted = name.strip_suffix(".dcm");
    let Some(object) = objects.into_iter().find(|o| Some(o.key) == wanted) else {
        return Err(PageError::NotFound { what: "file" });
    };
    let heads = [
        (header::CONTENT_TYPE, "application/dicom".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"{}.dcm\"", object.key),
        ),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    Ok((heads, object.made.file).into_response())
}
