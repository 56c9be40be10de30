//! How are everybody's records asked for at once, and fetched when they are ready?
//!
//! By the FHIR Bulk Data Access guide, version 2 (hl7.org/fhir/uv/bulkdata/STU2/export.html, read in part): a request with
//! `Prefer: respond-async` is taken as a job, its state is told at an address of its own, the files lie beside it. Only the
//! key that asked is given them.

use super::fhir::{Refused, prefers, with_status};
use super::key::Machine;
use crate::{
    error::PageError,
    exports::{
        asked::{self, By, KEPT_FOR, Wanted, What},
        make::ABOUT,
        page,
    },
};
use axum::{
    Json,
    extract::{Path, Query, rejection::QueryRejection},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Response},
};
use exchange_fhir::{
    OperationOutcome, ResourceType,
    bulk::{Manifest, Output},
    outcome::IssueCode,
};
use record::Noted;
use store::jobs::{Job, JobState};
use time::{OffsetDateTime, format_description::well_known::Rfc3339, macros::format_description};

/// In which the files are written.
const LINES: &str = "application/fhir+ndjson";
const ALSO_CALLED: [&str; 3] = [LINES, "application/ndjson", "ndjson"];
const LOOK_AGAIN_AFTER: &str = "2";

type Asked = Result<Query<Vec<(String, String)>>, QueryRejection>;

fn refused(code: IssueCode, sentence: impl Into<String>) -> Refused {
    Refused::Told(OperationOutcome::error(code, sentence))
}

/// The types that are wanted; none for all.
fn types_of(asked: Vec<(String, String)>, lenient: bool) -> Result<Vec<String>, Refused> {
    let mut types: Vec<&'static str> = Vec::new();
    let mut only = false;
    for (name, value) in asked {
        match name.as_str() {
            "_type" => {
                only = true;
                for kind in value.split(',').map(str::trim) {
                    match ResourceType::from_name(kind) {
                        Some(kind) => types.push(kind.name()),
                        None if lenient => {}
                        None => {
                            return Err(refused(
                                IssueCode::NotSupported,
                                "found a type of resource in _type that is not kept here; expected types that the server's statement lists",
                            ));
                        }
                    }
                }
            }
            "_outputFormat" if ALSO_CALLED.contains(&value.as_str()) => {}
            "_outputFormat" => {
                return Err(refused(
                    IssueCode::NotSupported,
                    format!("found another _outputFormat; expected {LINES}"),
                ));
            }
            _ if lenient => {}
            _ => {
                return Err(refused(
                    IssueCode::NotSupported,
                    "found a parameter that is not known here; expected _type and _outputFormat: leave it out, or send Prefer: handling=lenient",
                ));
            }
        }
    }
    if only && types.is_empty() {
        return Err(refused(
            IssueCode::NotSupported,
            "found no type of resource in _type that is kept here; expected one that the server's statement lists",
        ));
    }
    types.sort_unstable();
    types.dedup();
    Ok(types.into_iter().map(str::to_owned).collect())
}

fn by(machine: &Machine) -> By {
    By::Key(machine.key.id.uuid())
}

/// `GET /fhir/$export`, `GET /fhir/Patient/$export`: whatever is kept is somebody's, so both give the same.
pub async fn everybody(
    machine: Machine,
    asked: Asked,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    if !prefers(&headers, "respond-async") {
        return Err(refused(
            IssueCode::NotSupported,
            "found a request for an answer at once; expected the header Prefer: respond-async: send it",
        ));
    }
    let Ok(Query(asked)) = asked else {
        return Err(refused(
            IssueCode::Processing,
            "found parameters that could not be read; expected names and values of a form",
        ));
    };
    let types = types_of(asked, prefers(&headers, "handling=lenient"))?;
    let request = match types.is_empty() {
        true => format!("{}/fhir/$export", machine.address),
        false => format!("{}/fhir/$export?_type={}", machine.address, types.join(",")),
    };
    let wanted = Wanted {
        what: What::Records,
        by: by(&machine),
        closed_too: machine.key.closed_too.is_some(),
        types,
        request: Some(request),
    };
    let detail = format!("{}: asked for", wanted.what.words());
    let note = machine.to_note(Noted::TookOut, None, detail);
    let job = asked::ask(&machine.state, machine.now, note, wanted).await?;
    let headers = [(header::CONTENT_LOCATION, address(&machine, &job))];
    Ok((StatusCode::ACCEPTED, headers).into_response())
}

fn address(machine: &Machine, job: &Job) -> String {
    format!("{}/fhir/$export/{}", machine.address, job.id)
}

fn none() -> Refused {
    refused(
        IssueCode::NotFound,
        "found no such export of this key, or its files are gone; ask for it again",
    )
}

async fn mine(machine: &Machine, job: &str) -> Result<(Job, Wanted), Refused> {
    asked::one(&machine.state, by(machine), job)
        .await
        .map_err(|error| match error {
            PageError::NotFound { .. } => none(),
            other => Refused::Page(other),
        })
}

/// `GET /fhir/$export/{job}`
pub async fn state(machine: Machine, Path(job): Path<String>) -> Result<Response, Refused> {
    let (job, wanted) = mine(&machine, &job).await?;
    match job.state {
        JobState::Waiting { .. } | JobState::InHand { .. } => {
            let progress = match job.progress.filter(|p| p.of > 0) {
                Some(p) => format!("{} of {} patients", p.done, p.of),
                None => "waiting".to_owned(),
            };
            let headers = [
                (header::HeaderName::from_static("x-progress"), progress),
                (header::RETRY_AFTER, LOOK_AGAIN_AFTER.to_owned()),
            ];
            return Ok((StatusCode::ACCEPTED, headers).into_response());
        }
        JobState::GivenUp { .. } => {
            let why = job.why.as_deref().unwrap_or("no reason was told");
            let said = format!("found this export given up ({why}); ask for it again");
            let outcome = OperationOutcome::error(IssueCode::Processing, said);
            return Ok(with_status(StatusCode::GONE, &outcome));
        }
        JobState::Done { .. } => {}
    }
    let files = machine.state.store.export_files(job.id).await?;
    if files.is_empty() {
        return Err(none());
    }
    let folder = address(&machine, &job);
    let mut output = Vec::new();
    for file in files.iter().filter(|f| f.name != ABOUT) {
        let Some(kind) = ResourceType::from_name(&file.holds) else {
            continue;
        };
        output.push(Output {
            kind: kind.name(),
            url: format!("{folder}/{}", file.name),
            count: file.lines,
        });
    }
    let manifest = Manifest {
        // Whatever changed after it was asked for may be missing.
        transaction_time: job
            .asked_at
            .format(&Rfc3339)
            .map_err(|e| PageError::ours("writing a moment", e))?,
        request: wanted.request.unwrap_or_default(),
        requires_access_token: true,
        output,
        error: Vec::new(),
    };
    let headers = [
        (header::EXPIRES, http_date(job.asked_at + KEPT_FOR)?),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    Ok((headers, Json(manifest)).into_response())
}

/// As RFC 9110 writes it.
fn http_date(at: OffsetDateTime) -> Result<String, PageError> {
    at.to_offset(time::UtcOffset::UTC)
        .format(format_description!(
            "[weekday repr:short], [day] [month repr:short] [year] [hour]:[minute]:[second] GMT"
        ))
        .map_err(|e| PageError::ours("writing a moment", e))
}

/// `DELETE /fhir/$export/{job}`
pub async fn off(machine: Machine, Path(job): Path<String>) -> Result<Response, Refused> {
    let (job, _) = mine(&machine, &job).await?;
    page::off(&machine.state, machine.now, job.id).await?;
    Ok(StatusCode::ACCEPTED.into_response())
}

/// `GET /fhir/$export/{job}/{file}`
pub async fn file(
    machine: Machine,
    Path((job, file)): Path<(String, String)>,
) -> Result<Response, Refused> {
    let (job, _) = mine(&machine, &job).await?;
    if !matches!(job.state, JobState::Done { .. }) || file == ABOUT {
        return Err(none());
    }
    let detail = format!("{file} of export {}: fetched", job.id);
    let bytes = match machine.state.store.export_bytes(job.id, file).await {
        Err(store::StoreError::Missing { .. }) => return Err(none()),
        found => found?,
    };
    machine.note(Noted::TookOut, None, detail).await?;
    let headers = [
        (header::CONTENT_TYPE, LINES),
        (header::CACHE_CONTROL, "no-store"),
    ];
    Ok((headers, bytes).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    fn asked(pairs: &[(&str, &str)], lenient: bool) -> Option<Vec<String>> {
        let pairs = pairs
            .iter()
            .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()));
        types_of(pairs.collect(), lenient).ok()
    }

    #[test]
    fn types_are_read_and_what_is_not_known_is_refused_or_let_be() {
        assert_eq!(asked(&[], false), Some(vec![]));
        let two = asked(
            &[("_type", "Patient, Observation"), ("_type", "Patient")],
            false,
        );
        assert_eq!(two, Some(vec!["Observation".into(), "Patient".into()]));
        let since = [("_since", "2026-01-01")];
        assert_eq!(asked(&since, false), None);
        assert_eq!(asked(&since, true), Some(vec![]));
        let other = [("_type", "Medication,Patient")];
        assert_eq!(asked(&other, false), None);
        assert_eq!(asked(&other, true), Some(vec!["Patient".into()]));
        // None of those asked for must not become all.
        assert_eq!(asked(&[("_type", "Medication")], true), None);
        for format in ALSO_CALLED {
            assert_eq!(asked(&[("_outputFormat", format)], false), Some(vec![]));
        }
        assert_eq!(asked(&[("_outputFormat", "csv")], true), None);
    }

    #[test]
    fn a_moment_stands_as_http_writes_it() {
        // The example of RFC 9110, section 5.6.7.
        let at = datetime!(1994-11-06 08:49:37 UTC);
        assert_eq!(http_date(at).unwrap(), "Sun, 06 Nov 1994 08:49:37 GMT");
    }
}
