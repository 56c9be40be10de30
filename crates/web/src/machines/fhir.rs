//! How are health records read and searched? FHIR R4, read only (docs/fhir.md).
//!
//! Every answer is JSON, a refusal an OperationOutcome with the status that the standard names. A closed record is not
//! there for a key that does not open it.

use super::key::Machine;
use crate::{AppState, error::PageError, shell::OwnPage};
use axum::{
    extract::{Path, RawQuery},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Response},
};
use exchange_fhir::{
    Base, Handling, OperationOutcome, Query, ResourceType, outcome::IssueCode, search::noticing,
};
use record::{Chart, Patient, PatientId};
use serde::Serialize;
use std::collections::BTreeSet;
use time::{Date, macros::date};

/// Of the program's last release.
const RELEASED: Date = date!(2026 - 11 - 27);
pub const JSON: &str = "application/fhir+json; fhirVersion=4.0; charset=utf-8";
/// Whole charts that one search goes through; beyond, it must name one patient.
pub const MOST_CHARTS: usize = 500;
/// Patients that a search for patients goes through.
const MOST_PATIENTS: usize = 20_000;

/// Why a request is not answered.
pub enum Refused {
    Told(OperationOutcome),
    Page(PageError),
}

impl<E: Into<PageError>> From<E> for Refused {
    fn from(error: E) -> Self {
        Refused::Page(error.into())
    }
}

impl IntoResponse for Refused {
    fn into_response(self) -> Response {
        match self {
            // Becomes an outcome where every error becomes what its asker reads.
            Refused::Page(error) => error.into_response(),
            Refused::Told(outcome) => told(&outcome),
        }
    }
}

/// An outcome with its own status.
pub fn told(outcome: &OperationOutcome) -> Response {
    let status =
        StatusCode::from_u16(outcome.http_status()).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    with_status(status, outcome)
}

/// What any other error becomes on these addresses.
pub fn told_as(status: StatusCode, sentence: &str) -> Response {
    let code = match status {
        StatusCode::UNAUTHORIZED => IssueCode::Login,
        StatusCode::FORBIDDEN => IssueCode::Forbidden,
        StatusCode::NOT_FOUND => IssueCode::NotFound,
        StatusCode::METHOD_NOT_ALLOWED => IssueCode::NotSupported,
        StatusCode::TOO_MANY_REQUESTS => IssueCode::Throttled,
        StatusCode::GATEWAY_TIMEOUT => IssueCode::Timeout,
        StatusCode::SERVICE_UNAVAILABLE => IssueCode::Transient,
        s if s.is_server_error() => IssueCode::Exception,
        _ => IssueCode::Processing,
    };
    with_status(status, &OperationOutcome::error(code, sentence))
}

pub fn with_status(status: StatusCode, outcome: &OperationOutcome) -> Response {
    let body = serde_json::to_vec(outcome).unwrap_or_default();
    let mut response = (status, [(header::CONTENT_TYPE, JSON)], body).into_response();
    response.extensions_mut().insert(OwnPage);
    response
}

fn answer(body: &impl Serialize) -> Result<Response, Refused> {
    let bytes = serde_json::to_vec(body).map_err(|e| PageError::ours("writing a record", e))?;
    let headers = [
        (header::CONTENT_TYPE, JSON),
        (header::CACHE_CONTROL, "no-store"),
    ];
    Ok((headers, bytes).into_response())
}

fn kind_of(name: &str) -> Result<ResourceType, Refused> {
    ResourceType::from_name(name).ok_or_else(|| {
        Refused::Told(OperationOutcome::error(
            IssueCode::NotFound,
            "found a type of resource that is not kept here; expected one that the server's statement lists",
        ))
    })
}

fn base(machine: &Machine) -> Base {
    Base::at(&format!("{}/fhir", machine.address))
}

/// `GET /fhir/metadata`
pub async fn metadata(machine: Machine) -> Result<Response, Refused> {
    answer(&exchange_fhir::capability(
        &base(&machine),
        env!("CARGO_PKG_VERSION"),
        RELEASED,
    ))
}

/// `GET /fhir/{kind}`
pub async fn search(
    machine: Machine,
    Path(kind): Path<String>,
    RawQuery(query): RawQuery,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    found(&machine, &kind, &query.unwrap_or_default(), &headers).await
}

/// `POST /fhir/{kind}/_search`: what is asked for stands in the body and so in no log of addresses.
pub async fn search_by_form(
    machine: Machine,
    Path(kind): Path<String>,
    RawQuery(query): RawQuery,
    headers: HeaderMap,
    body: String,
) -> Result<Response, Refused> {
    let form = headers
        .get(header::CONTENT_TYPE)
        .and_then(|v| v.to_str().ok())
        .is_some_and(|v| v.starts_with("application/x-www-form-urlencoded"));
    if !form && !body.is_empty() {
        return Err(Refused::Told(OperationOutcome::error(
            IssueCode::NotSupported,
            "found a body of another media type; expected application/x-www-form-urlencoded",
        )));
    }
    let both = match query.filter(|q| !q.is_empty()) {
        Some(query) => format!("{query}&{body}"),
        None => body,
    };
    found(&machine, &kind, &both, &headers).await
}

/// Is this among what the request prefers?
pub fn prefers(headers: &HeaderMap, what: &str) -> bool {
    headers
        .get_all("prefer")
        .iter()
        .filter_map(|v| v.to_str().ok())
        .any(|v| v.split([',', ';']).any(|p| p.trim() == what))
}

async fn found(
    machine: &Machine,
    kind: &str,
    query: &str,
    headers: &HeaderMap,
) -> Result<Response, Refused> {
    let kind = kind_of(kind)?;
    let handling = match prefers(headers, "handling=strict") {
        true => Handling::Strict,
        false => Handling::Lenient,
    };
    let query = Query::parse(kind, query, handling).map_err(Refused::Told)?;
    let _turn = turn(&machine.state).await?;
    let charts = charts(machine, kind, query.only_patient()).await?;
    let (bundle, seen) = noticing(&query, &charts, &base(machine));
    // People of the practice are nobody's record.
    let seen = match kind {
        ResourceType::Practitioner => BTreeSet::new(),
        _ => seen,
    };
    machine
        .saw(seen, &format!("{} searched", kind.name()))
        .await?;
    answer(&bundle)
}

async fn turn(state: &AppState) -> Result<tokio::sync::SemaphorePermit<'_>, PageError> {
    state
        .machines
        .gathering
        .acquire()
        .await
        .map_err(|e| PageError::ours("gathering records", e))
}

/// The charts that a search goes through: one patient's where it says so, else everybody's.
async fn charts(
    machine: &Machine,
    kind: ResourceType,
    only: Option<&str>,
) -> Result<Vec<Chart>, Refused> {
    let hidden = machine.hidden().await?;
    let store = &*machine.state.store;
    if let Some(id) = only {
        let Ok(id) = id.parse::<PatientId>() else {
            return Ok(Vec::new());
        };
        if hidden.contains(&id) {
            return Ok(Vec::new());
        }
        return match store::chart(store, id).await {
            Ok(chart) => Ok(vec![chart]),
            Err(store::StoreError::Missing { .. }) => Ok(Vec::new()),
            Err(other) => Err(other.into()),
        };
    }
    let slim = matches!(kind, ResourceType::Patient | ResourceType::Practitioner);
    let most = if slim { MOST_PATIENTS } else { MOST_CHARTS };
    let mut people = everybody(machine, &hidden, most).await?;
    if kind == ResourceType::Practitioner {
        people.truncate(1);
    }
    if slim {
        return slim_charts(machine, people).await;
    }
    let mut charts = Vec::with_capacity(people.len());
    for patient in people {
        charts.push(store::chart(store, patient.id).await?);
    }
    Ok(charts)
}

async fn everybody(
    machine: &Machine,
    hidden: &BTreeSet<PatientId>,
    most: usize,
) -> Result<Vec<Patient>, Refused> {
    let ask = u32::try_from(most + 1).unwrap_or(u32::MAX);
    let store = &machine.state.store;
    let mut people = store.find_patients(String::new(), ask).await?;
    if people.len() > most {
        return Err(Refused::Told(OperationOutcome::error(
            IssueCode::TooCostly,
            format!(
                "found more than {most} patients to go through; expected a search of one patient; name it with patient=ID"
            ),
        )));
    }
    people.retain(|p| !hidden.contains(&p.id));
    // By id, so that pages stay what they are when somebody's name changes.
    people.sort_by_key(|p| p.id);
    Ok(people)
}

/// Charts of nothing but the person and the practice's people.
async fn slim_charts(machine: &Machine, people: Vec<Patient>) -> Result<Vec<Chart>, Refused> {
    let store = &machine.state.store;
    let practice = store.practice().await?;
    let clinicians = store.clinicians().await?;
    let slim = |patient| Chart::of(practice.clone(), clinicians.clone(), patient);
    Ok(people.into_iter().map(slim).collect())
}

/// `GET /fhir/{kind}/{id}`
pub async fn read(
    machine: Machine,
    Path((kind, id)): Path<(String, String)>,
) -> Result<Response, Refused> {
    let kind = kind_of(&kind)?;
    // Says what is no id before any chart is opened.
    let none = match exchange_fhir::read(kind, &id, []) {
        Err(outcome) => outcome,
        Ok(resource) => return answer(&resource),
    };
    if none.http_status() != 404 {
        return Err(Refused::Told(none));
    }
    let _turn = turn(&machine.state).await?;
    let people = match whose(&machine, kind, &id).await? {
        Some(one) => charts(&machine, kind, Some(&one.to_string())).await?,
        None => Vec::new(),
    };
    if let Ok(resource) = exchange_fhir::read(kind, &id, &people) {
        let patient = people.first().map(|c| c.patient.id);
        machine
            .saw(patient, &format!("{} read", kind.name()))
            .await?;
        return answer(&resource);
    }
    match derived(&machine, kind, &id).await? {
        Some((patient, response)) => {
            machine
                .saw(patient, &format!("{} read", kind.name()))
                .await?;
            Ok(response)
        }
        None => {
            machine.saw([], &format!("{} read", kind.name())).await?;
            Err(Refused::Told(none))
        }
    }
}

/// Whose resource it is, where its id is one of the record's own.
async fn whose(
    machine: &Machine,
    kind: ResourceType,
    id: &str,
) -> Result<Option<PatientId>, Refused> {
    use record::Subject::{Capture, Care, Film, Letter, Order, Patient, Scan, Visit};
    let Ok(uuid) = id.parse::<uuid::Uuid>() else {
        return Ok(None);
    };
    let subjects = match kind {
        ResourceType::Patient => vec![Patient(PatientId::new(uuid))],
        ResourceType::Encounter => vec![Visit(record::VisitId::new(uuid))],
        ResourceType::Procedure => vec![Care(record::CareId::new(uuid))],
        ResourceType::DeviceRequest => vec![Order(record::OrderId::new(uuid))],
        ResourceType::DocumentReference => vec![
            Film(record::FilmId::new(uuid)),
            Scan(record::ScanId::new(uuid)),
            Capture(record::CaptureId::new(uuid)),
            Letter(record::LetterId::new(uuid)),
        ],
        _ => Vec::new(),
    };
    for subject in subjects {
        match machine.state.store.patient_behind(subject).await {
            Ok(found) => return Ok(found),
            Err(store::StoreError::Missing { .. }) => {}
            Err(other) => return Err(other.into()),
        }
    }
    Ok(None)
}

/// A resource whose id is made from what it is of: looked for chart by chart, one at a time.
async fn derived(
    machine: &Machine,
    kind: ResourceType,
    id: &str,
) -> Result<Option<(Option<PatientId>, Response)>, Refused> {
    if matches!(
        kind,
        ResourceType::Patient | ResourceType::Encounter | ResourceType::Procedure
    ) {
        return Ok(None);
    }
    let hidden = machine.hidden().await?;
    if kind == ResourceType::Practitioner {
        let mut people = everybody(machine, &hidden, MOST_PATIENTS).await?;
        people.truncate(1);
        let charts = slim_charts(machine, people).await?;
        return match exchange_fhir::read(kind, id, &charts) {
            Ok(resource) => Ok(Some((None, answer(&resource)?))),
            Err(_) => Ok(None),
        };
    }
    for patient in everybody(machine, &hidden, MOST_PATIENTS).await? {
        let chart = [store::chart(&*machine.state.store, patient.id).await?];
        if let Ok(resource) = exchange_fhir::read(kind, id, &chart) {
            return Ok(Some((Some(patient.id), answer(&resource)?)));
        }
    }
    Ok(None)
}
