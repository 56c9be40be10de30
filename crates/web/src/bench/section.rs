//! The workshop drawings of an order: plan, inner side, from behind, and one section that moves.

use super::order::{Opened, Texts, open, refused};
use super::preview::{blocking, device_of};
use crate::context::Context;
use crate::error::PageError;
use ::shell::Device;
use axum::{
    Json,
    extract::{Path, Query},
    http::header,
    response::{IntoResponse, Response},
};
use figure::device::{DeviceModel, Views, section_view, views};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use workshop::sheet::Wish;

#[derive(Deserialize, Default)]
pub struct Where {
    /// From the rearmost edge forward, mm; the navicular where it is not said.
    pub x: Option<f64>,
}

#[derive(Deserialize)]
pub struct Asked {
    #[serde(default)]
    texts: Texts,
    x: Option<f64>,
}

#[derive(Serialize)]
struct Section {
    svg: String,
    alt: String,
}

/// `POST /order/{id}/section`: of the device in hand, saved or not.
pub async fn live(
    context: Context,
    Path(id): Path<String>,
    Json(asked): Json<Asked>,
) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let wish = match opened.with(&asked.texts) {
        Ok(wish) => wish,
        Err(bad) => return Ok(refused(&bad)),
    };
    let device = match device_of(&context, &opened, &wish).await {
        Ok(device) => device,
        Err(bad) => return Ok(refused(&bad)),
    };
    let drawing = move || {
        section_view(&DeviceModel {
            device: &device,
            wanted: &wish.sheet.prescription,
            found: &[],
            section_mm: asked.x,
            spoken: None,
        })
    };
    let drawn = blocking(drawing)
        .await?
        .ok_or_else(|| PageError::ours("drawing the device", "it has no shell"))?;
    Ok(Json(Section {
        svg: drawn.svg,
        alt: drawn.alt,
    })
    .into_response())
}

/// `GET /order/{id}/{plan,inner,behind,section}.svg`: as saved.
pub async fn saved(
    context: Context,
    Path((id, view)): Path<(String, String)>,
    Query(place): Query<Where>,
) -> Result<Response, PageError> {
    let opened = open(&context, &id).await?;
    let drawn = of_saved(&context, &opened, place.x).await?;
    let svg = match view.as_str() {
        "plan.svg" => drawn.plan.svg,
        "inner.svg" => drawn.inner.svg,
        "behind.svg" => drawn.behind.svg,
        "section.svg" => drawn.section.svg,
        _ => return Err(PageError::NotFound { what: "drawing" }),
    };
    let heads = [
        (header::CONTENT_TYPE, "image/svg+xml"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    Ok((heads, svg).into_response())
}

/// # Errors
/// A prescription that cannot be made.
pub async fn of_saved(
    context: &Context,
    opened: &Opened,
    x: Option<f64>,
) -> Result<Views, PageError> {
    let device = device_of(context, opened, &opened.wish)
        .await
        .map_err(|bad| PageError::input(bad.sentence))?;
    drawn(device, opened.wish.clone(), x).await
}

async fn drawn(device: Arc<Device>, wish: Wish, x: Option<f64>) -> Result<Views, PageError> {
    let drawing = move || {
        views(&DeviceModel {
            device: &device,
            wanted: &wish.sheet.prescription,
            found: &[],
            section_mm: x,
            spoken: None,
        })
    };
    blocking(drawing)
        .await?
        .ok_or_else(|| PageError::ours("drawing the device", "it has no shell"))
}
