//! How does everything of one patient leave the practice, readable without this program?

use crate::{context::Context, error::PageError};
use axum::{
    body::Body,
    extract::Path,
    http::header,
    response::{IntoResponse, Response},
};
use record::{ContentHash, Noted, PatientId, ToNote};
use std::collections::BTreeMap;
use std::io::Cursor;
use store::StoreError;

/// `POST /patient/{id}/take-out`: a ZIP with a page to read, all data and all files as they came.
///
/// A file that is damaged is told on that page, and the rest is there all the same.
pub async fn take_out(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let store = &*context.state.store;
    let patient: PatientId = id.parse()?;
    let chart = store::chart(store, patient).await?;
    let mut files: BTreeMap<ContentHash, Vec<u8>> = BTreeMap::new();
    for file in chart.files() {
        match store::file_bytes(store, &chart, file.content).await {
            Ok(Some(bytes)) => {
                files.insert(file.content, bytes);
            }
            Ok(None) | Err(StoreError::Damaged { .. }) => {}
            Err(failed) => return Err(failed.into()),
        }
    }
    let note = ToNote {
        patient: Some(patient),
        ..context
            .who
            .note(&context.state, Noted::TookOut, "readable, with every file")
    };
    store.note(note).await?;
    let packed = tokio::task::spawn_blocking(move || {
        let mut out = Cursor::new(Vec::new());
        exchange_readable::export(&chart, &mut out, |content| Ok(files.remove(content)))
            .map(|_| out.into_inner())
    })
    .await
    .map_err(|e| PageError::ours("packing a record", e))?
    .map_err(|e| PageError::ours("packing a record", e))?;
    let heads = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        // The name holds the patient's id and never a name.
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"record-{patient}.zip\""),
        ),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    Ok((heads, Body::from(packed)).into_response())
}
