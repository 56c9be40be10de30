//! The film's picture: every grey level for the desk, or a small 8-bit one for pages without script.

use crate::{
    AppState,
    context::Context,
    desk::{
        cache::{self, OpenFilm, Picture},
        drawing::{DrawWish, film_turn, overlay_model},
        live::points_of,
        own_error,
    },
    error::PageError,
};
use axum::{
    body::Bytes,
    extract::{Path, Query},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Response},
};
use film::Window;
use reading::{PointSet, ReadingSheet};
use record::PointsRecord;
use serde::Deserialize;
use std::sync::Arc;

/// Pages never need more; the desk has every pixel from `grey16`.
const WIDEST: u32 = 2000;
const USUAL_WIDTH: u32 = 900;

/// The stage, in device pixels, that a coarse picture has to serve.
#[derive(Debug, Default, Deserialize)]
pub struct ForStage {
    /// Width and height, `1440x900`; without it every pixel is sent.
    #[serde(rename = "for")]
    stage: Option<String>,
}

impl ForStage {
    /// Film pixels across a block, so that the whole film on the stage shows each block at least once.
    fn step(&self, width: u32, height: u32) -> u32 {
        let Some((w, h)) = self.stage.as_deref().and_then(|s| s.split_once('x')) else {
            return 1;
        };
        let fits =
            |side: &str, film: u32| Some(film / side.parse::<u32>().ok().filter(|s| *s > 0)?);
        match (fits(w, width), fits(h, height)) {
            (Some(across), Some(down)) => across.max(down).clamp(1, 16),
            _ => 1,
        }
    }
}

/// `GET /film/{id}/grey16`: width × height little-endian 16-bit levels of the stored picture, or with
/// `for` the means of its blocks of N × N pixels, N told in `x-film-pixels`.
///
/// Kept by the browser by its content hash; the address names the film, so the browser asks whether it
/// has changed, and is told no.
pub async fn grey16(
    context: Context,
    Path(id): Path<String>,
    Query(stage): Query<ForStage>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let step = stage.step(open.record.width_px, open.record.height_px);
    let tag = format!("\"{}-grey16-{step}\"", open.record.content);
    if headers
        .get(header::IF_NONE_MATCH)
        .is_some_and(|seen| seen.as_bytes() == tag.as_bytes())
    {
        return Ok((StatusCode::NOT_MODIFIED, [(header::ETAG, tag)]).into_response());
    }
    let heads = [
        (header::CONTENT_TYPE, "application/octet-stream".to_owned()),
        (
            header::CACHE_CONTROL,
            "private, max-age=3600, immutable".to_owned(),
        ),
        (header::ETAG, tag),
        (FILM_PIXELS, step.to_string()),
    ];
    let body = if step == 1 {
        Bytes::from_owner(GreyBytes(cache::picture(&context.state, &open).await?))
    } else {
        let key = format!("grey {} {step}", open.record.content);
        made(&context, key, &open.clone(), move |picture| {
            let (w, h) = (open.record.width_px, open.record.height_px);
            let (levels, ..) = film::tone::averaged(&picture.grey, w, h, step);
            Ok(bytemuck::cast_slice(&levels).to_vec())
        })
        .await?
    };
    Ok((heads, body).into_response())
}

const FILM_PIXELS: header::HeaderName = header::HeaderName::from_static("x-film-pixels");

/// The levels as they lie in memory: the answer copies nothing.
struct GreyBytes(Arc<Picture>);

impl AsRef<[u8]> for GreyBytes {
    fn as_ref(&self) -> &[u8] {
        // The page reads little-endian numbers; so does every machine this is built for.
        const { assert!(cfg!(target_endian = "little")) };
        bytemuck::cast_slice(&self.0.grey)
    }
}

/// Which part of the grey range, and how wide.
#[derive(Debug, Default, Deserialize)]
pub struct Look {
    /// Shares of the full range, 0 to 1.
    centre: Option<f64>,
    range: Option<f64>,
    width: Option<u32>,
    #[serde(default)]
    invert: bool,
}

impl Look {
    fn window(&self, open: &OpenFilm) -> Window {
        let own = open.plate.window;
        let share = |v: Option<f64>, low: f64| {
            v.filter(|v| v.is_finite())
                .map(|v| v.clamp(low, 1.0) * film::tone::WHITE)
        };
        Window {
            centre: share(self.centre, 0.0).unwrap_or(own.centre),
            width: share(self.range, 0.001).unwrap_or(own.width),
            invert: self.invert || own.invert,
        }
    }

    fn width(&self) -> u32 {
        self.width.unwrap_or(USUAL_WIDTH).clamp(40, WIDEST)
    }
}

/// `GET /film/{id}/picture.png`
pub async fn picture(
    context: Context,
    Path(id): Path<String>,
    Query(look): Query<Look>,
) -> Result<Response, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let key = format!(
        "small {} {:?} {look:?}",
        open.record.content, open.record.turn
    );
    let png = made(&context, key, &open.clone(), move |picture| {
        small_png(&open, &picture, &look).map(|(png, _)| png)
    })
    .await?;
    Ok(png_response(png))
}

/// Made lately, or now.
async fn made(
    context: &Context,
    key: String,
    open: &OpenFilm,
    make: impl FnOnce(Arc<Picture>) -> Result<Vec<u8>, PageError> + Send + 'static,
) -> Result<Bytes, PageError> {
    if let Some(known) = context.state.pictures.known(&key) {
        return Ok(known);
    }
    let picture = cache::picture(&context.state, open).await?;
    let bytes = Bytes::from(drawn(move || make(picture)).await?);
    context.state.pictures.keep(key, bytes.clone());
    Ok(bytes)
}

/// `GET /film/{id}/annotated.png`: the picture with the lines of the placing that stands.
pub async fn annotated(
    context: Context,
    Path(id): Path<String>,
    Query(look): Query<Look>,
) -> Result<Response, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let placings = context.state.store.points_of(open.record.id).await?;
    let standing = crate::adapt::readings::standing(&placings).map(points_of);
    let state = context.state.clone();
    let reader = match open.record.view {
        Some(view) => Some(own_error::reader(&state, context.worker.id, view).await?),
        None => None,
    };
    let picture = cache::picture(&state, &open).await?;
    let png = drawn(move || {
        let (png, shown_width) = small_png(&open, &picture, &look)?;
        let (Some(points), Some(reader)) = (standing, reader) else {
            return Ok(png);
        };
        let set = open.point_set(&points)?;
        let sheet = open.read(&reader, &set);
        with_lines(&state, &open, &set, &sheet, (&png, shown_width))
    })
    .await?;
    Ok(png_response(png))
}

/// The lines of a sheet over a small picture of its film.
fn with_lines(
    state: &AppState,
    open: &OpenFilm,
    set: &PointSet,
    sheet: &ReadingSheet,
    (png, shown_width): (&[u8], u32),
) -> Result<Vec<u8>, PageError> {
    let full = f64::from(
        film_turn(open.record.turn)
            .shown_size(open.record.width_px, open.record.height_px)
            .0,
    );
    let wish = DrawWish {
        turn: open.record.turn,
        pen: full / f64::from(shown_width) * 1.2,
        active: None,
        with_points: true,
    };
    let model = overlay_model(state.knowledge, open, set, sheet, &wish);
    figure::annotated_film_png(png, &model, shown_width)
        .map_err(|e| PageError::ours("drawing over the film", e))
}

/// The film with the lines of what was read from a placing, as it was read then.
pub async fn lined_png(
    state: &AppState,
    open: &Arc<OpenFilm>,
    points: &PointsRecord,
    sheet: &ReadingSheet,
    width: u32,
) -> Result<Vec<u8>, PageError> {
    let set = open.point_set(&points_of(points))?;
    let picture = cache::picture(state, open).await?;
    let (state, open, sheet) = (state.clone(), open.clone(), sheet.clone());
    drawn(move || {
        let look = Look {
            width: Some(width),
            ..Look::default()
        };
        let (png, shown_width) = small_png(&open, &picture, &look)?;
        with_lines(&state, &open, &set, &sheet, (&png, shown_width))
    })
    .await
}

async fn drawn(
    make: impl FnOnce() -> Result<Vec<u8>, PageError> + Send + 'static,
) -> Result<Vec<u8>, PageError> {
    tokio::task::spawn_blocking(make)
        .await
        .map_err(|e| PageError::ours("drawing the film", e))?
}

fn png_response(png: impl Into<Bytes>) -> Response {
    (
        [
            (header::CONTENT_TYPE, "image/png"),
            (header::CACHE_CONTROL, "private, no-cache"),
        ],
        png.into(),
    )
        .into_response()
}

/// The film as shown (turned, mirrored), windowed, averaged down to about the width asked for.
pub fn small_png(
    open: &OpenFilm,
    picture: &Picture,
    look: &Look,
) -> Result<(Vec<u8>, u32), PageError> {
    let (w, h) = (open.record.width_px, open.record.height_px);
    let turn = film_turn(open.record.turn);
    let step = (turn.shown_size(w, h).0 / look.width()).max(1);
    let (small, sw, sh) = film::tone::averaged(&picture.grey, w, h, step);
    let window = look.window(open);
    let grey: Vec<u8> = small
        .iter()
        .map(|level| window.grey8(f64::from(*level)))
        .collect();
    let shown = turn.shown(&grey, sw, sh);
    let (tw, th) = turn.shown_size(sw, sh);
    let png =
        film::encode_png8(&shown, tw, th).map_err(|e| PageError::ours("packing the picture", e))?;
    Ok((png, tw))
}
