//! How does a film leave for teaching or a second opinion, without saying whose it is?
//!
//! The copy is made by [`exchange_dicom::nameless`]. What can be read in the picture itself only a person can see: the
//! page shows the copy as it would leave, and edges can be blackened.

use crate::{
    context::Context,
    desk::cache,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::{
    Form,
    extract::{Path, Query},
    http::header,
    response::{IntoResponse, Response},
};
use exchange_dicom::nameless::{Look, Nameless, NamelessError, Rect, Secret, nameless};
use record::{FilmId, Noted, PatientId, ToNote};
use serde::Deserialize;
use std::sync::Arc;

/// Pixels across of the picture on the page.
const SHOWN: u32 = 900;

/// Shares of the stored picture that are blackened from each edge, in percent.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize)]
pub struct Black {
    #[serde(default)]
    top: f64,
    #[serde(default)]
    bottom: f64,
    #[serde(default)]
    left: f64,
    #[serde(default)]
    right: f64,
}

impl Black {
    fn rects(&self, width: u32, height: u32) -> Vec<Rect> {
        // Rounded outwards: rather a line too much.
        let of = |percent: f64, side: u32| {
            let share = if percent.is_finite() {
                percent.clamp(0.0, 100.0)
            } else {
                0.0
            };
            (f64::from(side) * share / 100.0).ceil() as u32
        };
        let (top, bottom) = (of(self.top, height), of(self.bottom, height));
        let (left, right) = (of(self.left, width), of(self.right, width));
        let rect = |x, y, width, height| Rect {
            x,
            y,
            width,
            height,
        };
        [
            rect(0, 0, width, top),
            rect(0, height - bottom, width, bottom),
            rect(0, 0, left, height),
            rect(width - right, 0, right, height),
        ]
        .into_iter()
        .filter(|r| r.width > 0 && r.height > 0)
        .collect()
    }

    fn query(&self) -> String {
        format!(
            "top={}&bottom={}&left={}&right={}",
            self.top, self.bottom, self.left, self.right
        )
    }
}

struct Copy {
    made: Nameless,
    patient: PatientId,
}

/// The practice's own secret ties the copies of one person together; where there is none each copy stands alone.
async fn copy(context: &Context, id: FilmId, black: Black) -> Result<Copy, PageError> {
    let store = &context.state.store;
    let film = store.film(id).await?;
    let bytes = store.film_bytes(id).await?;
    let patient = film.patient;
    let doors = &context.state.doors;
    let secret = context
        .state
        .safety
        .copies
        .unwrap_or_else(|| doors.random());
    let made = tokio::task::spawn_blocking(move || {
        let rects = black.rects(film.width_px, film.height_px);
        nameless(&bytes, &patient.to_string(), &Secret::new(secret), &rects)
    })
    .await
    .map_err(|e| PageError::ours("copying a film without names", e))?
    .map_err(refused)?;
    Ok(Copy { made, patient })
}

fn refused(error: NamelessError) -> PageError {
    PageError::input(error.to_string())
}

#[derive(Template)]
#[template(path = "access/nameless.html")]
pub struct NamelessPage {
    pub shell: Shell,
    pub id: String,
    pub name: String,
    pub black: Black,
    pub query: String,
    pub looks: Vec<&'static str>,
    pub alone: bool,
}

/// `GET /film/{id}/nameless`
pub async fn show(
    context: Context,
    Path(id): Path<String>,
    Query(black): Query<Black>,
) -> Result<Response, PageError> {
    let id: FilmId = id.parse()?;
    let copy = copy(&context, id, black).await?;
    let patient = context.state.store.patient(copy.patient).await?;
    page(&NamelessPage {
        id: id.to_string(),
        name: words::full_name(&patient),
        query: black.query(),
        black,
        looks: copy
            .made
            .looks
            .iter()
            .map(|l: &Look| l.sentence())
            .collect(),
        alone: context.state.safety.copies.is_none(),
        shell: context.shell("Copy without names", Nav::Inside),
    })
}

/// `GET /film/{id}/nameless/picture.png`: the copy as it would leave, as it is stored.
pub async fn picture(
    context: Context,
    Path(id): Path<String>,
    Query(black): Query<Black>,
) -> Result<Response, PageError> {
    let copy = copy(&context, id.parse()?, black).await?;
    let picture = Arc::new(cache::decode(copy.made.file).await?);
    let png = tokio::task::spawn_blocking(move || {
        let (w, h) = (picture.film.width, picture.film.height);
        let step = (w / SHOWN).max(1);
        let (small, sw, sh) = film::tone::averaged(&picture.grey, w, h, step);
        let grey: Vec<u8> = small
            .iter()
            .map(|level| picture.window.grey8(f64::from(*level)))
            .collect();
        film::encode_png8(&grey, sw, sh).map_err(|e| PageError::ours("packing the picture", e))
    })
    .await
    .map_err(|e| PageError::ours("drawing the copy", e))??;
    let heads = [
        (header::CONTENT_TYPE, "image/png"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    Ok((heads, png).into_response())
}

#[derive(Debug, Default, Deserialize)]
pub struct Wanted {
    #[serde(flatten)]
    black: BlackTexts,
    #[serde(default)]
    looked: String,
}

/// Numbers of a form come as texts.
#[derive(Debug, Default, Deserialize)]
struct BlackTexts {
    #[serde(default)]
    top: String,
    #[serde(default)]
    bottom: String,
    #[serde(default)]
    left: String,
    #[serde(default)]
    right: String,
}

impl BlackTexts {
    fn read(&self) -> Result<Black, PageError> {
        let percent = |text: &str| {
            match text.trim() {
            "" => Ok(0.0),
            number => number.parse::<f64>().ok().filter(|p| (0.0..=100.0).contains(p)).ok_or_else(|| {
                PageError::input("found a share that is no number from 0 to 100; expected percent of the picture: correct it")
            }),
        }
        };
        Ok(Black {
            top: percent(&self.top)?,
            bottom: percent(&self.bottom)?,
            left: percent(&self.left)?,
            right: percent(&self.right)?,
        })
    }
}

/// `POST /film/{id}/nameless`: the copy as a DICOM file.
pub async fn give(
    context: Context,
    Path(id): Path<String>,
    Form(wanted): Form<Wanted>,
) -> Result<Response, PageError> {
    if wanted.looked.is_empty() {
        return Err(PageError::input(
            "found that nobody has looked at the picture; expected somebody to say so: what is written into it only a person can see",
        ));
    }
    let copy = copy(&context, id.parse()?, wanted.black.read()?).await?;
    let note = ToNote {
        patient: Some(copy.patient),
        ..context.who.note(
            &context.state,
            Noted::TookOut,
            "a film, copied without names",
        )
    };
    context.state.store.note(note).await?;
    let heads = [
        (header::CONTENT_TYPE, "application/dicom".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"{}.dcm\"", copy.made.instance_uid),
        ),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    Ok((heads, copy.made.file).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_of_the_picture_become_rectangles_within_it() {
        let black = Black {
            top: 10.0,
            bottom: 0.05,
            left: f64::NAN,
            right: 250.0,
        };
        let rects = black.rects(200, 100);
        let sides: Vec<_> = rects
            .iter()
            .map(|r| (r.x, r.y, r.width, r.height))
            .collect();
        assert_eq!(sides, [(0, 0, 200, 10), (0, 99, 200, 1), (0, 0, 200, 100)]);
        assert!(Black::default().rects(200, 100).is_empty());
    }
}
