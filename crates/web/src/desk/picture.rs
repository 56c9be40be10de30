//! The film's picture: every grey level for the desk, or a small 8-bit one for pages without script.

use crate::{
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
use serde::Deserialize;
use std::sync::Arc;

/// Pages never need more; the desk has every pixel from `grey16`.
const WIDEST: u32 = 2000;
const USUAL_WIDTH: u32 = 900;

/// `GET /film/{id}/grey16`: width × height little-endian 16-bit levels of the stored picture.
///
/// Kept by the browser by its content hash; the address names the film, so the browser asks whether it
/// has changed, and is told no.
pub async fn grey16(
    context: Context,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Result<Response, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let tag = format!("\"{}-grey16\"", open.record.content);
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
    ];
    Ok((heads, Bytes::from_owner(GreyBytes(open.picture.clone()))).into_response())
}

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
        let own = open.picture.window;
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
    let png = drawn(move || small_png(&open, &look).map(|(png, _)| png)).await?;
    Ok(png_response(png))
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
    let png = drawn(move || {
        let (png, shown_width) = small_png(&open, &look)?;
        let (Some(points), Some(reader)) = (standing, reader) else {
            return Ok(png);
        };
        let set = open.point_set(&points)?;
        let sheet = open.read(&reader, &set);
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
        let model = overlay_model(state.knowledge, &open, &set, &sheet, &wish);
        figure::annotated_film_png(&png, &model, shown_width)
            .map_err(|e| PageError::ours("drawing over the film", e))
    })
    .await?;
    Ok(png_response(png))
}

async fn drawn(
    make: impl FnOnce() -> Result<Vec<u8>, PageError> + Send + 'static,
) -> Result<Vec<u8>, PageError> {
    tokio::task::spawn_blocking(make)
        .await
        .map_err(|e| PageError::ours("drawing the film", e))?
}

fn png_response(png: Vec<u8>) -> Response {
    (
        [
            (header::CONTENT_TYPE, "image/png"),
            (header::CACHE_CONTROL, "private, no-cache"),
        ],
        png,
    )
        .into_response()
}

/// The film as shown (turned, mirrored), windowed, averaged down to about the width asked for.
pub fn small_png(open: &Arc<OpenFilm>, look: &Look) -> Result<(Vec<u8>, u32), PageError> {
    let (w, h) = (open.record.width_px, open.record.height_px);
    let turn = film_turn(open.record.turn);
    let step = (turn.shown_size(w, h).0 / look.width()).max(1);
    let (small, sw, sh) = averaged(&open.picture.grey, w, h, step);
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

/// Mean over blocks of `step` × `step` pixels; the last partial blocks are averaged over what is there.
fn averaged(grey: &[u16], w: u32, h: u32, step: u32) -> (Vec<u16>, u32, u32) {
    let (w, h, step) = (w as usize, h as usize, step.max(1) as usize);
    let (sw, sh) = (w.div_ceil(step), h.div_ceil(step));
    let mut out = Vec::with_capacity(sw * sh);
    for row in 0..sh {
        let rows = row * step..((row + 1) * step).min(h);
        for column in 0..sw {
            let columns = column * step..((column + 1) * step).min(w);
            let mut sum = 0u64;
            for y in rows.clone() {
                let line = grey
                    .get(y * w + columns.start..y * w + columns.end)
                    .unwrap_or(&[]);
                sum += line.iter().map(|v| u64::from(*v)).sum::<u64>();
            }
            let n = (rows.len() * columns.len()).max(1) as u64;
            out.push((sum / n) as u16);
        }
    }
    (out, sw as u32, sh as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_smaller_picture_holds_the_mean_of_each_block_also_at_the_border() {
        let grey = [10, 20, 30, 30, 40, 50, 7, 9, 11];
        let (small, w, h) = averaged(&grey, 3, 3, 2);
        assert_eq!((w, h), (2, 2));
        assert_eq!(small, [25, 40, 8, 11]);
    }
}
