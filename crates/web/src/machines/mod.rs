//! How do other programs ask, in open standards, and how do films come in from them?
//!
//! | file | question |
//! |---|---|
//! | [`key`] | with which key does a machine come in, and what is written down of it? |
//! | [`fhir`] | how are health records read and searched (FHIR R4)? |
//! | [`bulk`] | how are everybody's asked for at once, and fetched when they are ready? |
//! | [`dicomweb`] | how are films found, given out and taken in (QIDO-RS, WADO-RS, STOW-RS)? |
//! | [`heads`] | what does each object's head say, without reading every film and drawing every picture for every question? |
//!
//! Architecture invariant: these addresses know keys alone. A session's cookie opens none of them, and a key opens no
//! page.

pub mod bulk;
pub mod dicomweb;
pub mod fhir;
pub mod heads;
pub mod key;

use crate::{AppState, shell::FILM_BODY};
use axum::{
    Router,
    extract::DefaultBodyLimit,
    routing::{get, post},
};
use tokio::sync::Semaphore;

/// What the addresses for machines hold between requests.
pub struct Machines {
    /// Gathering many charts, or the heads of many films, is done by one request at a time.
    pub gathering: Semaphore,
    pub heads: heads::Heads,
}

impl Default for Machines {
    fn default() -> Self {
        Self {
            gathering: Semaphore::new(1),
            heads: heads::Heads::default(),
        }
    }
}

/// Is this one of the addresses for machines?
pub fn is_machines(path: &str) -> bool {
    ["/fhir", "/dicomweb"].iter().any(|start| {
        path.strip_prefix(start)
            .is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
    })
}

pub fn routes() -> Router<AppState> {
    let films = Router::new()
        .route(
            "/dicomweb/studies",
            get(dicomweb::studies).post(dicomweb::store),
        )
        .route(
            "/dicomweb/studies/{study}",
            get(dicomweb::study).post(dicomweb::store_in_study),
        )
        .layer(DefaultBodyLimit::max(FILM_BODY));
    Router::new()
        .route("/fhir/metadata", get(fhir::metadata))
        .route("/fhir/$export", get(bulk::everybody))
        .route("/fhir/Patient/$export", get(bulk::everybody))
        .route("/fhir/$export/{job}", get(bulk::state).delete(bulk::off))
        .route("/fhir/$export/{job}/{file}", get(bulk::file))
        .route("/fhir/{kind}", get(fhir::search))
        .route("/fhir/{kind}/_search", post(fhir::search_by_form))
        .route("/fhir/{kind}/{id}", get(fhir::read))
        .merge(films)
        .route("/dicomweb/series", get(dicomweb::all_series))
        .route("/dicomweb/instances", get(dicomweb::all_instances))
        .route("/dicomweb/studies/{study}/series", get(dicomweb::series))
        .route(
            "/dicomweb/studies/{study}/instances",
            get(dicomweb::instances),
        )
        .route(
            "/dicomweb/studies/{study}/metadata",
            get(dicomweb::study_heads),
        )
        .route(
            "/dicomweb/studies/{study}/series/{series}",
            get(dicomweb::one_series),
        )
        .route(
            "/dicomweb/studies/{study}/series/{series}/metadata",
            get(dicomweb::series_heads),
        )
        .route(
            "/dicomweb/studies/{study}/series/{series}/instances",
            get(dicomweb::instances_of_series),
        )
        .route(
            "/dicomweb/studies/{study}/series/{series}/instances/{instance}",
            get(dicomweb::instance),
        )
        .route(
            "/dicomweb/studies/{study}/series/{series}/instances/{instance}/metadata",
            get(dicomweb::instance_head),
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_for_machines_are_told_by_their_first_part() {
        for ours in [
            "/fhir",
            "/fhir/metadata",
            "/dicomweb/studies",
            "/fhir/{kind}",
        ] {
            assert!(is_machines(ours), "{ours}");
        }
        for other in ["/", "/fhirs", "/people/keys", "/film/fhir/"] {
            assert!(!is_machines(other), "{other}");
        }
    }
}
