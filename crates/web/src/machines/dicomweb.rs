//! How are films found, given out and taken in? QIDO-RS, WADO-RS and STOW-RS (docs/dicom-conformance.md).
//!
//! Films go out as they came in: nothing is transcoded. What comes in waits for somebody of the practice.

use super::heads::{self, Listed};
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
                "found another media type or transfer syntax wanted; films are given as they came in, as application/dicom"
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

async fn fitting(machine: &Machine, query: &Query) -> Result<Vec<Listed>, Refused> {
    let _turn = machine
        .state
        .machines
        .gathering
        .acquire()
        .await
        .map_err(|e| PageError::ours("gathering films", e))?;
    let mut all = heads::all(machine).await?;
    all.retain(|film| query.fits(&film.head.facts));
    Ok(all)
}

async fn answers(
    machine: &Machine,
    level: Level,
    scope: Scope,
    query: Option<String>,
) -> Result<Response, Refused> {
    let query = Query::read(&query.unwrap_or_default()).map_err(Refused::Web)?;
    let query = scope.narrowed(query);
    let mut there = BTreeSet::new();
    let mut found = fitting(machine, &query).await?;
    found.retain(|film| {
        let facts = &film.head.facts;
        there.insert(match level {
            Level::Studies => (facts.study_uid.clone(), None, None),
            Level::Series => (facts.study_uid.clone(), facts.series_uid.clone(), None),
            Level::Instances => (
                facts.study_uid.clone(),
                facts.series_uid.clone(),
                facts.instance_uid.clone(),
            ),
        })
    });
    let page = query.page(found);
    let what = match level {
        Level::Studies => "studies searched",
        Level::Series => "series searched",
        Level::Instances => "films searched",
    };
    machine.saw(patients(&page), what).await?;
    if page.is_empty() {
        return Ok(StatusCode::NO_CONTENT.into_response());
    }
    described(&page, level, &query)
}

fn patients(films: &[Listed]) -> BTreeSet<PatientId> {
    films.iter().map(|film| film.patient).collect()
}

fn described(films: &[Listed], level: Level, query: &Query) -> Result<Response, Refused> {
    let mut answers = Vec::with_capacity(films.len());
    for film in films {
        let answer = web::described(&film.head.file, level, query)
            .map_err(|e| PageError::ours("reading the head of a film", e))?;
        answers.extend(answer);
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

/// Every film that the address names, or that there is none.
async fn named(machine: &Machine, scope: Scope, what: &str) -> Result<Vec<Listed>, Refused> {
    let found = fitting(machine, &scope.narrowed(Query::default())).await?;
    machine.saw(patients(&found), what).await?;
    match found.is_empty() {
        true => Err(Refused::NoSuch),
        false => Ok(found),
    }
}

async fn heads_of(machine: &Machine, scope: Scope) -> Result<Response, Refused> {
    let found = named(machine, scope, "heads of films given").await?;
    let query = Query {
        all_fields: true,
        ..Query::default()
    };
    described(&found, Level::Instances, &query)
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

/// How whole films are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Wanted {
    Alone,
    InParts,
}

/// One of the media types in `Accept` that can be given: a film alone where it is one, parts otherwise.
fn wanted(headers: &HeaderMap, films: &[Listed]) -> Option<Wanted> {
    let mut accepted = headers
        .get_all(header::ACCEPT)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(','))
        .peekable();
    if accepted.peek().is_none() {
        return Some(Wanted::InParts);
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
        let as_kept = |s: &String| s == "*" || films.iter().all(|f| f.head.transfer_syntax == *s);
        if !syntax.as_ref().is_none_or(as_kept) {
            return None;
        }
        match kind.as_str() {
            "application/dicom" if films.len() == 1 => Some(Wanted::Alone),
            "multipart/related" if of.is_none_or(|of| of.eq_ignore_ascii_case(web::OBJECT)) => {
                Some(Wanted::InParts)
            }
            "*/*" | "multipart/*" => Some(Wanted::InParts),
            _ => None,
        }
    })
}

async fn whole(machine: &Machine, scope: Scope, headers: &HeaderMap) -> Result<Response, Refused> {
    let films = named(machine, scope, "films given").await?;
    let how = wanted(headers, &films).ok_or(Refused::NotAcceptable)?;
    let mut objects = Vec::with_capacity(films.len());
    let mut size = 0;
    for film in &films {
        let bytes = machine.state.store.film_bytes(film.film).await?;
        size += bytes.len();
        if size > MOST_OUT {
            return Err(Refused::Web(WebError::TooMuch {
                limit: MOST_OUT,
                what: "bytes",
            }));
        }
        objects.push(bytes);
    }
    if how == Wanted::Alone {
        return Ok(given(web::OBJECT, objects.pop().unwrap_or_default()));
    }
    let boundary = machine.state.ids.fresh().simple().to_string();
    let parts: Vec<&[u8]> = objects.iter().map(Vec::as_slice).collect();
    let (media_type, body) = multipart::body(&boundary, &parts).map_err(Refused::Web)?;
    Ok(given(&media_type, body))
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
    let named: Vec<(String, String)> = stored
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
    let outcomes: Vec<Outcome<'_>> = named
        .iter()
        .zip(&fates)
        .map(|((class, instance), failed)| Outcome {
            sop_class: class,
            sop_instance: instance,
            failed: *failed,
        })
        .collect();
    let (status, bytes) = web::stowed(&outcomes, stored.refused.len()).map_err(Refused::Web)?;
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
