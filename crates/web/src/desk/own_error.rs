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
    let read_twice = state.store.films_read_twice().await?;
    let of_view = read_twice.iter().filter(|(f, _)| f.view == Some(view));
    Ok(of_view
        .filter_map(|(film, placings)| {
            let placings: Vec<PointSet> = placings
                .iter()
                .filter(|p| p.reader == worker)
                .filter_map(|p| p.points.read(POINTS_FORMAT, VERSION).ok())
                .collect();
            (placings.len() > 1).then(|| Repeats {
                film: facts(film),
                placings,
            })
        })
        .collect())
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
