//! Which page shows a capture, and where do changed steps go? Each kind has pages of its own.

use super::base::{Base, Texts, base, seen};
use super::{clip, markers, photo, print};
use crate::context::Context;
use crate::error::PageError;
use axum::{
    Form,
    extract::{Path, Query},
    response::Response,
};
use record::CaptureKind;
use serde::Deserialize;

/// What may be shown: lines of one index, or a frame.
#[derive(Debug, Default, Deserialize)]
pub struct Wish {
    #[serde(default)]
    show: String,
    #[serde(default)]
    frame: String,
}

/// `GET /capture/{id}`
pub async fn show(
    context: Context,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Response, PageError> {
    let base = base(&context, id.parse()?).await?;
    match base.record.kind {
        CaptureKind::Print | CaptureKind::Pressure => {
            print::page::show(context, base, &wish.show).await
        }
        CaptureKind::FromBehind | CaptureKind::FromSide => photo::page::show(context, base).await,
        CaptureKind::HeelRise => clip::page::show(context, base, &wish.frame).await,
        CaptureKind::Markers => markers::page::show(context, base).await,
    }
}

/// `POST /capture/{id}/steps`: `revision` as the page showed it, and the texts of its fields.
pub async fn save_steps(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<Texts>,
) -> Result<Response, PageError> {
    let base = base(&context, id.parse()?).await?;
    let seen = seen(&texts)?;
    match base.record.kind {
        CaptureKind::Print | CaptureKind::Pressure => {
            print::steps::save(&context, base, &texts, seen).await
        }
        CaptureKind::FromBehind | CaptureKind::FromSide => {
            photo::steps::save(&context, base, &texts, seen).await
        }
        CaptureKind::HeelRise => clip::steps::save(&context, base, &texts, seen).await,
        CaptureKind::Markers => markers::steps::save(&context, base, &texts, seen).await,
    }
}

/// `POST /capture/{id}/undo`
pub async fn undo(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<Texts>,
) -> Result<Response, PageError> {
    let id = id.parse()?;
    let store = &context.state.store;
    store.undo_steps(context.stamp(), id, seen(&texts)?).await?;
    let base = base(&context, id).await?;
    answer(&context, base, &texts).await
}

async fn answer(context: &Context, base: Base, texts: &Texts) -> Result<Response, PageError> {
    match base.record.kind {
        CaptureKind::Print | CaptureKind::Pressure => {
            let opened = print::hand::open(context, base).await?;
            print::steps::answer(context, &opened).await
        }
        CaptureKind::FromBehind | CaptureKind::FromSide => {
            let opened = photo::steps::open(context, base).await?;
            photo::steps::answer(context, &opened).await
        }
        CaptureKind::HeelRise => {
            let opened = clip::steps::open(base)?;
            let frame = texts.get("frame").map(String::as_str);
            let frame = clip::steps::frame_of(&opened.work, frame);
            clip::steps::answer(context, &opened, frame).await
        }
        CaptureKind::Markers => {
            let opened = markers::steps::open(context, base).await?;
            markers::steps::answer(context, &opened).await
        }
    }
}
