//! What is known of a film on record: its scale, and what a reader needs beside the points.

use super::cache::OpenFilm;
use film::{ScaleAnswer, ScaleWish};
use reading::FilmFacts;
use record::FilmRecord;

pub const WISH_FORMAT: &str = "tiebeam-scale-wish";
pub const WISH_VERSION: u32 = 1;
pub const ANSWER_FORMAT: &str = "tiebeam-scale-answer";
pub const ANSWER_VERSION: u32 = 1;

/// What the clinician asked for as scale; without a wish, what the file says.
pub fn wish(record: &FilmRecord) -> ScaleWish {
    record
        .scale_wish
        .as_ref()
        .and_then(|kept| kept.read(WISH_FORMAT, WISH_VERSION).ok())
        .unwrap_or(ScaleWish::File { object: None })
}

pub fn scale(record: &FilmRecord, open: &OpenFilm) -> ScaleAnswer {
    film::scale::choose(&open.film.spacing, &wish(record))
}

pub fn scale_words(answer: &ScaleAnswer) -> String {
    match answer {
        ScaleAnswer::Known { words, .. } => crate::error::sentence(words),
        ScaleAnswer::Unknown { reason, .. } => crate::error::sentence(&format!(
            "no scale: {reason}; angles work, millimetres are not given"
        )),
    }
}

pub fn film_facts(record: &FilmRecord, open: &OpenFilm) -> FilmFacts {
    let answer = scale(record, open);
    FilmFacts {
        pixel_aspect: Some(answer.pixel_aspect()),
        scale: answer.known(),
        no_scale_reason: match &answer {
            ScaleAnswer::Unknown { reason, .. } => Some(reason.clone()),
            ScaleAnswer::Known { .. } => None,
        },
        stance: record.stance,
        ..FilmFacts::of_size(open.film.width, open.film.height)
    }
}

/// `left lateral foot, 24 Nov 2026`
pub fn title(record: &FilmRecord) -> String {
    let side = record.side.map_or("side not said", |s| s.word());
    let view = record.view.map_or("view not said", |v| v.words());
    let day = record
        .taken_on
        .map(|d| format!(", {}", crate::words::short_day(d)))
        .unwrap_or_default();
    format!("{side} {view}{day}")
}
