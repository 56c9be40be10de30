//! Clips in hand: the last few stay in memory, so that a frame comes out at once.

use crate::AppState;
use crate::bench::preview::blocking;
use crate::context::Context;
use crate::error::PageError;
use axum::{
    extract::Path,
    http::header,
    response::{IntoResponse, Response},
};
use motion::frames::packed::Packed;
use record::{CaptureKind, CaptureRecord, ContentHash};
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

/// A minute of frames takes some 100 MB.
const MOST_CLIPS: usize = 2;

#[derive(Default)]
pub struct Clips(Mutex<VecDeque<(ContentHash, Packed)>>);

impl Clips {
    pub fn forget_all(&self) {
        self.0
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }

    fn known(&self, content: ContentHash) -> Option<Packed> {
        let clips = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let found = clips.iter().find(|(c, _)| *c == content);
        found.map(|(_, packed)| packed.clone())
    }

    fn keep(&self, content: ContentHash, packed: Packed) {
        let mut clips = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        clips.retain(|(c, _)| *c != content);
        clips.push_front((content, packed));
        clips.truncate(MOST_CLIPS);
    }
}

/// The frames of a capture.
///
/// # Errors
/// The file is not there or no longer what it was.
pub async fn frames(state: &AppState, record: &CaptureRecord) -> Result<Packed, PageError> {
    if let Some(known) = state.captures.clips.known(record.content) {
        return Ok(known);
    }
    let bytes: Arc<[u8]> = state.store.capture_bytes(record.id).await?.into();
    let packed = blocking(move || Packed::open(bytes))
        .await?
        .map_err(|e| PageError::input(crate::error::sentence(&e.to_string())))?;
    state.captures.clips.keep(record.content, packed.clone());
    Ok(packed)
}

/// `GET /capture/{id}/frame/{frame}`: the picture as it was packed.
pub async fn frame(
    context: Context,
    Path((id, frame)): Path<(String, usize)>,
) -> Result<Response, PageError> {
    let record = context.state.store.capture(id.parse()?).await?;
    if record.kind != CaptureKind::HeelRise {
        return Err(PageError::NotFound { what: "frame" });
    }
    let mut packed = frames(&context.state, &record).await?;
    let bytes = packed
        .picture(frame)
        .map_err(|_| PageError::NotFound { what: "frame" })?;
    let kind = match bytes.as_slice() {
        [0x89, b'P', b'N', b'G', ..] => "image/png",
        [0xFF, 0xD8, 0xFF, ..] => "image/jpeg",
        _ => return Err(PageError::NotFound { what: "frame" }),
    };
    let heads = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "private, max-age=3600, immutable"),
    ];
    Ok((heads, bytes).into_response())
}
