//! How are films found, given out and taken in? QIDO-RS, WADO-RS and STOW-RS (docs/dicom-conformance.md).
//!
//! Films go out as they came in: nothing is transcoded. What was read on them and signed letters go out as the objects
//! that are sent to other systems too, made when they are fetched. What comes in waits for somebody of the practice.

use super::heads::{self, Listed, Of, Wanted};
use super::key::Machine;
use crate::{FilmInbox, error::PageError, shell::OwnPage};
use axum::{
    Json,
    body::Bytes,
    extract::{Path, RawQuery},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Response},
};
use exchange_dicom::{
    inbox::{Inbox, Received},
    send::{
        multipart,
        web::{self, Level, Outcome, Query, WebError},
    },
    tree::Limits,
    uids::is_uid,
};
use record::{Noted, PatientId};
use serde_json::json;
use std::collections::BTreeSet;

/// Of one answer of whole films.
pub const MOST_OUT: usize = 512 * 1024 * 1024;
/// Class or identifier of the object are not those asked for (PS3.4 table B.2-1).
const ANOTHER_STUDY: u16 = 0xA900;
/// No object of a kind that is taken.
const NOT_UNDERSTOOD: u16 = 0xC000;

/// Why a request is not answered.
pub enum Refused {
    Web(WebError),
    Page(PageError),
    /// None of what is accepted can be given.
    NotAcceptable,
    NoSuch,
}

impl<E: Into<PageError>> From<E> for Refused {
    fn from(error: E) -> Self {
        Refused::Page(error.into())
    }
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        let (status, sentence, todo) = match self {
            Refused::Page(error) => return error.into_response(),
            Refused::Web(error) => (
                StatusCode::from_u16(error.status()).unwrap_or(StatusCode::BAD_REQUEST),
                error.to_string(),
                "Correct it and ask again.",
            ),
            Refused::NotAcceptable => (
                StatusCode::NOT_ACCEPTABLE,
                "found another media type or transfer syntax wanted; objects are given as they came in or were made, as application/dicom"
                    .to_owned(),
                "Ask for multipart/related; type=\"application/dicom\"; transfer-syntax=*.",
            ),
            Refused::NoSuch => (
                StatusCode::NOT_FOUND,
                "found no such study, series or object here".to_owned(),
                "Search for it.",
            ),
        };
        let said = json!({"error": crate::error::sentence(&sentence), "todo": todo});
        let mut response = (status, Json(said)).into_response();
        response.extensions_mut().insert(OwnPage);
        response
    }
}

/// What the address names, each part an identifier.
#[derive(Debug, Clone, Default)]
struct Scope {
    study: Option<String>,
    series: Option<String>,
    instance: Option<String>,
}

impl Scope {
    fn of(parts: [Option<String>; 3]) -> Result<Self, Refused> {
        if parts.iter().flatten().any(|uid| !is_uid(uid)) {
            return Err(Refused::NoSuch);
        }
        let [study, series, instance] = parts;
        Ok(Self {
            study,
            series,
            instance,
        })
    }

    fn narrowed(self, mut query: Query) -> Query {
        query.study_uid = self.study.or(query.study_uid);
        query.series_uid = self.series.or(query.series_uid);
        query.instance_uid = self.instance.or(query.instance_uid);
        query
    }
}

async fn fitting(machine: &Machine, query: &Query, wanted: Wanted) -> Result<Vec<Listed>, Refused> {
    let _turn = machine
        .state
        .machines
        .gathering
        .acquire()
        .await
        .map_err(|e| PageError::ours("gathering films", e))?;
    Ok(heads::fitting(machine, query, wanted).await?)
}

async fn answers(
    machine: &Machine,
    level: Level,
    scope: Scope,
    query: Option<String>,
) -> Result<Response, Refused> {
    let query = Query::read(&query.unwrap_or_default()).map_err(Refused::Web)?;
    let query = scope.narrowed(query);
    let page = fitting(machine, &query, Wanted::Page(level)).await?;
    match level {
        Level::Studies => machine.saw(patients(&page), "studies searched").await?,
        Level::Series => machine.saw(patients(&page), "series searched").await?,
        Level::Instances => saw(machine, &page, "searched").await?,
    }
    if page.is_empty() {
        return Ok(StatusCode::NO_CONTENT.into_response());
    }
    described(&page, level, &query)
}

fn patients(objects: &[Listed]) -> BTreeSet<PatientId> {
    objects.iter().map(|object| object.patient).collect()
}

/// A look at each record, which tells whether films alone were seen.
async fn saw(machine: &Machine, objects: &[Listed], what: &str) -> Result<(), Refused> {
    let of_ours = |o: &&Listed| matches!(o.of, Of::Made(_));
    let with_ours: BTreeSet<PatientId> = objects
        .iter()
        .filter(of_ours)
        .map(|object| object.patient)
        .collect();
    let mut films_alone = patients(objects);
    films_alone.retain(|p| !with_ours.contains(p));
    if with_ours.is_empty() || !films_alone.is_empty() {
        machine.saw(films_alone, &format!("films {what}")).await?;
    }
    if !with_ours.is_empty() {
        let words = format!("films, readings and letters {what}");
        machine.saw(with_ours, &words).await?;
    }
    Ok(())
}

fn described(objects: &[Listed], level: Level, query: &Query) -> Result<Response, Refused> {
    let mut answers = Vec::with_capacity(objects.len());
    for object in objects {
        let answer = web::described(&object.head.file, level, query)
            .map_err(|e| PageError::ours("reading the head of a film", e))?;
        answers.extend(answer.map(|answer| match level {
            Level::Studies => web::of_study(answer, &object.modalities),
            Level::Series | Level::Instances => answer,
        }));
    }
    let bytes = web::json(&answers).map_err(Refused::Web)?;
    Ok(given(web::ANSWERS, bytes))
}

fn given(media_type: &str, bytes: Vec<u8>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, media_type),
        (header::CACHE_CONTROL, "no-store"),
    ];
    (headers, bytes).into_response()
}

/// `GET /dicomweb/studies`
pub async fn studies(machine: Machine, RawQuery(query): RawQuery) -> Result<Response, Refused> {
    answers(&machine, Level::Studies, Scope::default(), query).await
}

/// `GET /dicomweb/series`
pub async fn all_series(machine: Machine, RawQuery(query): RawQuery) -> Result<Response, Refused> {
    answers(&machine, Level::Series, Scope::default(), query).await
}

/// `GET /dicomweb/instances`
pub async fn all_instances(
    machine: Machine,
    RawQuery(query): RawQuery,
) -> Result<Response, Refused> {
    answers(&machine, Level::Instances, Scope::default(), query).await
}

/// `GET /dicomweb/studies/{study}/series`
pub async fn series(
    machine: Machine,
    Path(study): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refused> {
    let scope = Scope::of([Some(study), None, None])?;
    answers(&machine, Level::Series, scope, query).await
}

/// `GET /dicomweb/studies/{study}/instances`
pub async fn instances(
    machine: Machine,
    Path(study): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refused> {
    let scope = Scope::of([Some(study), None, None])?;
    answers(&machine, Level::Instances, scope, query).await
}

/// `GET /dicomweb/studies/{study}/series/{series}/instances`
pub async fn instances_of_series(
    machine: Machine,
    Path((study, series)): Path<(String, String)>,
    RawQuery(query): RawQuery,
) -> Result<Response, Refused> {
    let scope = Scope::of([Some(study), Some(series), None])?;
    answers(&machine, Level::Instances, scope, query).await
}

/// Every object that the address names, or that there is none.
async fn named(machine: &Machine, scope: Scope, what: &str) -> Result<Vec<Listed>, Refused> {
    let query = scope.narrowed(Query::default());
    let found = fitting(machine, &query, Wanted::All).await?;
    saw(machine, &found, what).await?;
    match found.is_empty() {
        true => Err(Refused::NoSuch),
        false => Ok(found),
    }
}

async fn heads_of(machine: &Machine, scope: Scope) -> Result<Response, Refused> {
    let mut found = named(machine, scope, "given as heads").await?;
    let mut left_out = None;
    let mut whole = Vec::with_capacity(found.len());
    for mut object in found.drain(..) {
        match heads::full(&machine.state, &object).await {
            Ok(head) => {
                object.head = head;
                whole.push(object);
            }
            Err(fault) => left_out = Some(without(&object, fault)?),
        }
    }
    if whole.is_empty() {
        return Err(left_out.unwrap_or(Refused::NoSuch));
    }
    let query = Query {
        all_fields: true,
        ..Query::default()
    };
    described(&whole, Level::Instances, &query)
}

/// What could not be made is left out; a film that is not there is a fault.
fn without(object: &Listed, fault: PageError) -> Result<Refused, Refused> {
    match object.of {
        Of::Film(_) => Err(Refused::Page(fault)),
        Of::Made(which) => {
            heads::not_made(which, &fault);
            Ok(Refused::Page(fault))
        }
    }
}

/// `GET /dicomweb/studies/{study}/metadata`
pub async fn study_heads(machine: Machine, Path(study): Path<String>) -> Result<Response, Refused> {
    heads_of(&machine, Scope::of([Some(study), None, None])?).await
}

/// `GET /dicomweb/studies/{study}/series/{series}/metadata`
pub async fn series_heads(
    machine: Machine,
    Path((study, series)): Path<(String, String)>,
) -> Result<Response, Refused> {
    heads_of(&machine, Scope::of([Some(study), Some(series), None])?).await
}

/// `GET /dicomweb/studies/{study}/series/{series}/instances/{instance}/metadata`
pub async fn instance_head(
    machine: Machine,
    Path((study, series, instance)): Path<(String, String, String)>,
) -> Result<Response, Refused> {
    let scope = Scope::of([Some(study), Some(series), Some(instance)])?;
    heads_of(&machine, scope).await
}

/// `GET /dicomweb/studies/{study}`
pub async fn study(
    machine: Machine,
    Path(study): Path<String>,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    let scope = Scope::of([Some(study), None, None])?;
    whole(&machine, scope, &headers).await
}

/// `GET /dicomweb/studies/{study}/series/{series}`
pub async fn one_series(
    machine: Machine,
    Path((study, series)): Path<(String, String)>,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    let scope = Scope::of([Some(study), Some(series), None])?;
    whole(&machine, scope, &headers).await
}

/// `GET /dicomweb/studies/{study}/series/{series}/instances/{instance}`
pub async fn instance(
    machine: Machine,
    Path((study, series, instance)): Path<(String, String, String)>,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    let scope = Scope::of([Some(study), Some(series), Some(instance)])?;
    whole(&machine, scope, &headers).await
}

/// How whole objects are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Accepted {
    Alone,
    InParts,
}

/// One of the media types in `Accept` that can be given: an object alone where it is one, parts otherwise.
fn wanted(headers: &HeaderMap, objects: &[Listed]) -> Option<Accepted> {
    let mut accepted = headers
        .get_all(header::ACCEPT)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(','))
        .peekable();
    if accepted.peek().is_none() {
        return Some(Accepted::InParts);
    }
    accepted.find_map(|range| {
        let mut parts = range.split(';').map(str::trim);
        let kind = parts.next()?.to_ascii_lowercase();
        let (mut of, mut syntax) = (None, None);
        for part in parts {
            if let Some((name, value)) = part.split_once('=') {
                let value = value.trim().trim_matches('"').to_owned();
                match name.trim().to_ascii_lowercase().as_str() {
                    "type" => of = Some(value),
                    "transfer-syntax" => syntax = Some(value),
                    _ => {}
                }
            }
        }
        let as_kept = |s: &String| s == "*" || objects.iter().all(|f| f.head.transfer_syntax == *s);
        if !syntax.as_ref().is_none_or(as_kept) {
            return None;
        }
        match kind.as_str() {
            "application/dicom" if objects.len() == 1 => Some(Accepted::Alone),
            "multipart/related" if of.is_none_or(|of| of.eq_ignore_ascii_case(web::OBJECT)) => {
                Some(Accepted::InParts)
            }
            "*/*" | "multipart/*" => Some(Accepted::InParts),
            _ => None,
        }
    })
}

async fn whole(machine: &Machine, scope: Scope, headers: &HeaderMap) -> Result<Response, Refused> {
    let found = named(machine, scope, "given").await?;
    let how = wanted(headers, &found).ok_or(Refused::NotAcceptable)?;
    let mut objects = Vec::with_capacity(found.len());
    let (mut size, mut left_out) = (0, None);
    for object in &found {
        let bytes = match bytes_of(machine, object).await {
            Ok(bytes) => bytes,
            Err(fault) => {
                left_out = Some(without(object, fault)?);
                continue;
            }
        };
        size += bytes.len();
        if size > MOST_OUT {
            return Err(Refused::Web(WebError::TooMuch {
                limit: MOST_OUT,
                what: "bytes",
            }));
        }
        objects.push(bytes);
    }
    if objects.is_empty() {
        return Err(left_out.unwrap_or(Refused::NoSuch));
    }
    if how == Accepted::Alone {
        return Ok(given(web::OBJECT, objects.pop().unwrap_or_default()));
    }
    let boundary = machine.state.ids.fresh().simple().to_string();
    let parts: Vec<&[u8]> = objects.iter().map(Vec::as_slice).collect();
    let (media_type, body) = multipart::body(&boundary, &parts).map_err(Refused::Web)?;
    Ok(given(&media_type, body))
}

async fn bytes_of(machine: &Machine, object: &Listed) -> Result<Vec<u8>, PageError> {
    let which = match object.of {
        Of::Film(film) => return Ok(machine.state.store.film_bytes(film).await?),
        Of::Made(which) => which,
    };
    let made = which.whole(&machine.state).await?;
    match Some(made.instance_uid) == object.head.facts.instance_uid {
        true => Ok(made.file),
        // Read anew since it was looked for.
        false => Err(PageError::NotFound { what: "object" }),
    }
}

/// `POST /dicomweb/studies`
pub async fn store(machine: Machine, headers: HeaderMap, body: Bytes) -> Result<Response, Refused> {
    taken_in(&machine, None, &headers, body).await
}

/// `POST /dicomweb/studies/{study}`
pub async fn store_in_study(
    machine: Machine,
    Path(study): Path<String>,
    headers: HeaderMap,
    body: Bytes,
) -> Result<Response, Refused> {
    let scope = Scope::of([Some(study), None, None])?;
    taken_in(&machine, scope.study, &headers, body).await
}

async fn taken_in(
    machine: &Machine,
    study: Option<String>,
    headers: &HeaderMap,
    body: Bytes,
) -> Result<Response, Refused> {
    let media_type = headers
        .get(header::CONTENT_TYPE)
        .and_then(|v| v.to_str().ok())
        .unwrap_or_default()
        .to_owned();
    let read = move || web::stow(&media_type, &body, &Limits::default());
    let stored = tokio::task::spawn_blocking(read)
        .await
        .map_err(|e| PageError::ours("reading what was sent", e))?
        .map_err(Refused::Web)?;
    let mut named: Vec<(String, String)> = stored
        .objects
        .iter()
        .map(|o| (o.sop_class.clone(), o.sop_instance.clone()))
        .collect();
    let mut fates = Vec::with_capacity(stored.objects.len());
    let inbox = FilmInbox::new(machine.state.clone());
    for object in stored.objects {
        fates.push(one_taken_in(&inbox, study.as_deref(), object).await);
    }
    let kept = fates.iter().filter(|f| f.is_none()).count();
    let refused = fates.len() - kept + stored.refused.len();
    let detail = format!("{kept} objects kept, {refused} not");
    machine.note(Noted::MachineSent, None, detail).await?;
    let all_refused = stored.refused.len();
    let refused: Vec<_> = stored.refused.into_iter().filter_map(|r| r.named).collect();
    let unread = all_refused - refused.len();
    fates.extend(refused.iter().map(|_| Some(NOT_UNDERSTOOD)));
    named.extend(refused);
    let outcomes: Vec<Outcome<'_>> = named
        .iter()
        .zip(&fates)
        .map(|((class, instance), failed)| Outcome {
            sop_class: class,
            sop_instance: instance,
            failed: *failed,
        })
        .collect();
    let (status, bytes) = web::stowed(&outcomes, unread).map_err(Refused::Web)?;
    let status = StatusCode::from_u16(status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let mut response = (status, given(web::ANSWERS, bytes)).into_response();
    response.extensions_mut().insert(OwnPage);
    Ok(response)
}

/// `None` for kept, else why not.
async fn one_taken_in(inbox: &FilmInbox, study: Option<&str>, object: Received) -> Option<u16> {
    if study.is_some() && object.facts.study_uid.as_deref() != study {
        return Some(ANOTHER_STUDY);
    }
    inbox
        .keep(object)
        .await
        .err()
        .map(|refusal| refusal.status())
}
