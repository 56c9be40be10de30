//! What lies under the drawing: the picture, or the pressures as greys.

use super::base::base;
use super::print::hand;
use crate::bench::preview::blocking;
use crate::context::Context;
use crate::error::PageError;
use axum::{
    extract::Path,
    http::header,
    response::{IntoResponse, Response},
};
use image::{ExtendedColorType, ImageEncoder, codecs::png::PngEncoder, imageops};
use print::Sheet;
use record::CaptureKind;

/// No page shows more pixels than this along a side.
const LONGEST_PX: u32 = 1800;

/// `GET /capture/{id}/picture.png`
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let store = &context.state.store;
    let record = store.capture(id.parse()?).await?;
    let png = match record.kind {
        CaptureKind::HeelRise | CaptureKind::Markers => {
            return Err(PageError::NotFound { what: "picture" });
        }
        CaptureKind::Pressure => {
            let base = base(&context, record.id).await?;
            let sheet = hand::open(&context, base).await?.read.sheet;
            blocking(move || pressures(&sheet)).await??
        }
        _ => {
            let bytes = store.capture_bytes(record.id).await?;
            blocking(move || shrunk(&bytes)).await??
        }
    };
    let heads = [
        (header::CONTENT_TYPE, "image/png"),
        (header::CACHE_CONTROL, "private, max-age=3600, immutable"),
    ];
    Ok((heads, png).into_response())
}

fn packing(fault: impl std::fmt::Display) -> PageError {
    PageError::ours("packing the picture", fault)
}

fn shrunk(bytes: &[u8]) -> Result<Vec<u8>, PageError> {
    let picture = picture::open(bytes, &picture::Limits::default()).map_err(packing)?;
    let (w, h) = (picture.width, picture.height);
    let whole = image::RgbImage::from_raw(w, h, picture.rgb)
        .ok_or_else(|| packing("a picture without its pixels"))?;
    let longest = w.max(h);
    let shown = match longest > LONGEST_PX {
        true => {
            let to = |side: u32| {
                (u64::from(side) * u64::from(LONGEST_PX) / u64::from(longest)).max(1) as u32
            };
            imageops::thumbnail(&whole, to(w), to(h))
        }
        false => whole,
    };
    packed(
        shown.as_raw(),
        shown.width(),
        shown.height(),
        ExtendedColorType::Rgb8,
    )
}

/// The highest pressure white, each sensor a square.
fn pressures(sheet: &Sheet) -> Result<Vec<u8>, PageError> {
    let (w, h, values) = sheet.worked();
    let most = values.iter().copied().fold(0.0_f32, f32::max).max(1e-6);
    let side = (900 / w.max(h).max(1)).clamp(1, 24);
    let mut grey = Vec::with_capacity(w * h * side * side);
    for row in values.chunks_exact(w.max(1)) {
        let line: Vec<u8> = row
            .iter()
            .flat_map(|v| std::iter::repeat_n((255.0 * (v / most).clamp(0.0, 1.0)) as u8, side))
            .collect();
        for _ in 0..side {
            grey.extend_from_slice(&line);
        }
    }
    let size = |cells: usize| u32::try_from(cells * side).unwrap_or(u32::MAX);
    packed(&grey, size(w), size(h), ExtendedColorType::L8)
}

fn packed(
    pixels: &[u8],
    width: u32,
    height: u32,
    colour: ExtendedColorType,
) -> Result<Vec<u8>, PageError> {
    let mut out = Vec::new();
    PngEncoder::new(&mut out)
        .write_image(pixels, width, height, colour)
        .map_err(packing)?;
    Ok(out)
}
