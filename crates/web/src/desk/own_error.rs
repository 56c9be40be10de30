//! How far does this clinician miss a point? Learnt from placings they finished twice on the same film.
//!
//! Looked for once for each clinician and view, and again after a second placing was finished. While
//! nobody has placed anything twice, the usual errors of the knowledge folder are used.

use crate::{
    AppState,
    desk::{
        cache::{ANSWER_FORMAT, SCALE_VERSION},
        live::{POINTS_FORMAT, VERSION},
    },
    error::PageError,
};
use film::ScaleAnswer;
use reading::{
    FilmFacts, PointSet, Reader,
    placing::{Repeats, learn},
};
use record::{ClinicianId, FilmRecord};
use std::sync::Arc;
use terms::View;

/// More patients than a practice of this size keeps.
const MOST_PATIENTS: u32 = 20_000;

/// The view's reader with the clinician's own placing errors.
pub async fn reader(
    state: &AppState,
    worker: ClinicianId,
    view: View,
) -> Result<Arc<Reader>, PageError> {
    if let Some(known) = state.films.reader(worker, view) {
        return Ok(known);
    }
    let plain = Reader::new(state.knowledge, view);
    let repeats = repeats(state, worker, view).await?;
    let reader = Arc::new(if repeats.is_empty() {
        plain
    } else {
        let errors = learn(&plain, &repeats);
        plain.with_placing(&errors)
    });
    state.films.keep_reader(worker, view, reader.clone());
    Ok(reader)
}

async fn repeats(
    state: &AppState,
    worker: ClinicianId,
    view: View,
) -> Result<Vec<Repeats>, PageError> {
    let mut all = Vec::new();
    for patient in state
        .store
        .find_patients(String::new(), MOST_PATIENTS)
        .await?
    {
        for film in state.store.films_of(patient.id).await? {
            if film.view != Some(view) {
                continue;
            }
            let placings: Vec<PointSet> = state
                .store
                .points_of(film.id)
                .await?
                .iter()
                .filter(|p| p.finished && p.reader == worker)
                .filter_map(|p| p.points.read(POINTS_FORMAT, VERSION).ok())
                .collect();
            if placings.len() > 1 {
                all.push(Repeats {
                    film: facts(&film),
                    placings,
                });
            }
        }
    }
    Ok(all)
}

/// From what was kept when the film came in; the picture itself is not needed.
fn facts(film: &FilmRecord) -> FilmFacts {
    let answer: Option<ScaleAnswer> = film
        .scale_answer
        .as_ref()
        .and_then(|k| k.read(ANSWER_FORMAT, SCALE_VERSION).ok());
    FilmFacts {
        pixel_aspect: answer.as_ref().map(ScaleAnswer::pixel_aspect),
        scale: answer.as_ref().and_then(ScaleAnswer::known),
        stance: film.stance,
        ..FilmFacts::of_size(film.width_px, film.height_px)
    }
}
