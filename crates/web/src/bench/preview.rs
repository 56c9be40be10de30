//! A change goes out, the device comes back while the hand still moves.
//!
//! Previews of one order are made one after the other. Who waits while the same page asks again is told to
//! forget it, so that a fast hand is never followed by a tail of old answers.

use super::facts::{self, LimitShown};
use super::hand::{self, Made};
use super::order::{Opened, Texts, open, refused};
use super::picture::{self, Picture};
use super::values::{BadText, field_of};
use crate::context::Context;
use crate::error::PageError;
use crate::heavy;
use crate::visit::gather::{Gathered, gather};
use ::shell::{Detail, Device, ShellError};
use axum::{
    Json,
    extract::Path,
    http::{StatusCode, header},
    response::{IntoResponse, Response},
};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use workshop::sheet::Wish;

#[derive(Deserialize)]
pub struct Asked {
    #[serde(default)]
    texts: Texts,
    /// Which page asks: several may look at one order.
    #[serde(default)]
    page: String,
    /// The hand still moves: sheets instead of a solid will do.
    #[serde(default)]
    led: bool,
}

#[derive(Serialize)]
struct Head {
    #[serde(flatten)]
    picture: Picture,
    /// Drawn from sheets; the solid has not been made.
    led: bool,
    cautions: Vec<String>,
    limits: Vec<LimitShown>,
    /// What a post like this was seen to do; empty without one.
    effect: String,
}

/// `GET /order/{id}/foot`: the foot's own triangles.
pub async fn foot(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let foot = opened.foot.clone();
    let bytes = blocking(move || picture::of_foot(&foot)).await?;
    Ok(binary(bytes))
}

/// `POST /order/{id}/preview`: nothing is stored.
pub async fn preview(
    context: Context,
    Path(id): Path<String>,
    Json(asked): Json<Asked>,
) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let wish = match opened.with(&asked.texts) {
        Ok(wish) => wish,
        Err(bad) => return Ok(refused(&bad)),
    };
    let page: String = asked.page.chars().take(40).collect();
    let number = opened.hand.arrived(&page);
    let gathered = gathered(&context, &opened).await?;
    let device = if asked.led {
        // Not kept, and not behind a solid that nobody waits for any more.
        let making = workshop::making(context.state.knowledge, &wish.sheet.prescription);
        hand::led(opened.foot.clone(), wish.clone(), making).await
    } else {
        let mut in_hand = opened.hand.device.lock().await;
        if opened.hand.is_superseded(&page, number) {
            return Ok(StatusCode::NO_CONTENT.into_response());
        }
        made(&context, &opened, &wish, &mut in_hand).await
    };
    let device = match device {
        Ok(device) => device,
        Err(fault) => return Ok(refused(&bad_text(&fault))),
    };
    let foot = opened.foot.clone();
    let side = opened.record.side;
    let bytes = blocking(move || {
        let points = wish.moved.over(&foot.foot.points);
        let mut picture = Picture::of(&device, &wish.sheet, &points);
        if asked.led {
            // Sheets that run into one another hold no volume to be told.
            picture.sizes = None;
        }
        let head = Head {
            picture,
            led: asked.led,
            cautions: device
                .cautions
                .iter()
                .map(|c| crate::error::sentence(&c.0))
                .collect(),
            limits: facts::limits(&gathered, side, &foot, &wish.sheet, Some(&device)),
            effect: super::page::effect_words(&wish.sheet),
        };
        picture::packed(&head, head.picture.numbers())
    })
    .await?;
    Ok(binary(bytes))
}

/// The preview of a wish, kept or made now. The lock is held by the caller.
///
/// # Errors
/// What `shell` refuses.
async fn made(
    context: &Context,
    opened: &Opened,
    wish: &Wish,
    in_hand: &mut Option<Made>,
) -> Result<Arc<Device>, ShellError> {
    let key = wish.key();
    if let Some(made) = in_hand.as_ref().filter(|m| m.key == key) {
        return Ok(made.device.clone());
    }
    let making = workshop::making(context.state.knowledge, &wish.sheet.prescription);
    let device = hand::device(opened.foot.clone(), wish.clone(), making, Detail::PREVIEW).await?;
    *in_hand = Some(Made {
        key,
        device: device.clone(),
    });
    Ok(device)
}

/// The preview of a wish, when those before it are made.
///
/// # Errors
/// What `shell` refuses, with its field.
pub async fn device_of(
    context: &Context,
    opened: &Opened,
    wish: &Wish,
) -> Result<Arc<Device>, BadText> {
    let mut in_hand = opened.hand.device.lock().await;
    made(context, opened, wish, &mut in_hand)
        .await
        .map_err(|fault| bad_text(&fault))
}

/// What is known of the person, kept with the order so that a moving hand does not wait for it.
pub async fn gathered(context: &Context, opened: &Opened) -> Result<Arc<Gathered>, PageError> {
    if let Some(known) = opened.hand.person() {
        return Ok(known);
    }
    let fresh = Arc::new(gather(context, opened.record.visit).await?);
    opened.hand.keep_person(fresh.clone());
    Ok(fresh)
}

/// A fault of `shell` at the field that it names.
pub fn bad_text(fault: &ShellError) -> BadText {
    let field = match fault {
        ShellError::Value { what, .. } => field_of(what).unwrap_or_default(),
        ShellError::Foot(_) | ShellError::Open { .. } => "",
    };
    BadText {
        field: field.to_owned(),
        sentence: fault.to_string(),
    }
}

pub async fn blocking<T: Send + 'static>(
    make: impl FnOnce() -> T + Send + 'static,
) -> Result<T, PageError> {
    tokio::task::spawn_blocking(make)
        .await
        .map_err(|e| PageError::ours("drawing the device", e))
}

/// The same for what takes seconds of every core.
pub async fn long<T: Send + 'static>(
    make: impl FnOnce() -> T + Send + 'static,
) -> Result<T, PageError> {
    blocking(|| heavy::done(make)).await
}

pub fn binary(bytes: Vec<u8>) -> Response {
    let heads = [
        (header::CONTENT_TYPE, "application/octet-stream"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    (heads, bytes).into_response()
}
