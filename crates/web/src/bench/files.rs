//! The files of an order, as they were made last; they are given out only while the order stays as it is.

use super::finish::current;
use super::order::open;
use crate::context::Context;
use crate::error::PageError;
use axum::{
    body::Body,
    extract::Path,
    http::header,
    response::{IntoResponse, Response},
};

/// `GET /order/{id}/files/{name}`
pub async fn give(
    context: Context,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let files = current(&opened).ok_or_else(|| PageError::NotNow {
        sentence: "found no files of this order as it stands now; make them first".to_owned(),
    })?;
    let file = files
        .file(&name)
        .ok_or(PageError::NotFound { what: "file" })?;
    let shown = format!(
        "{}-{}-{}",
        opened.record.code,
        opened.record.side.word(),
        file.name
    );
    Ok(attached(&shown, file.media_type, file.bytes.clone()))
}

/// A download. The name holds the order's code, never a person's.
pub fn attached(name: &str, media_type: &'static str, bytes: Vec<u8>) -> Response {
    let heads = [
        (header::CONTENT_TYPE, media_type.to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}\""),
        ),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    (heads, Body::from(bytes)).into_response()
}
