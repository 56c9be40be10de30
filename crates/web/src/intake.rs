//! How does a file become a film of a visit? The same for what a person brings and for what comes in by itself.

use crate::{
    AppState,
    desk::cache::{self, Picture},
    error::PageError,
};
use film::{ScaleWish, scale};
use record::{ContentHash, DisplayTurn, FilmId, FilmRecord, PatientId, Visit};
use terms::{Side, Stance, View, Worn};

/// What a person said of the film beside what its file says; it goes before the file.
#[derive(Debug, Clone, Copy, Default)]
pub struct Said {
    pub view: Option<View>,
    pub side: Option<Side>,
    pub stance: Option<Stance>,
    pub worn: Option<Worn>,
}

/// The file: its name, what it holds and of which kind it is.
#[derive(Debug, Clone)]
pub struct Brought {
    pub file_name: String,
    pub content: ContentHash,
    pub media_type: &'static str,
}

/// The very file as a film of this patient, where it is one already.
///
/// # Errors
/// `Input` where it is another patient's.
pub async fn kept_already(
    state: &AppState,
    patient: PatientId,
    content: ContentHash,
) -> Result<Option<FilmRecord>, PageError> {
    let mut copies = state.store.films_with(content).await?;
    if let Some(own) = copies.iter().position(|f| f.patient == patient) {
        return Ok(Some(copies.swap_remove(own)));
    }
    if copies.is_empty() {
        return Ok(None);
    }
    Err(PageError::input(
        "this very file is already kept for another patient; check whose film it is",
    ))
}

/// The film's record, not yet kept.
///
/// # Errors
/// Where the scale cannot be written down: a fault of the program.
pub fn film_record(
    state: &AppState,
    visit: &Visit,
    brought: Brought,
    picture: &Picture,
    said: Said,
) -> Result<FilmRecord, PageError> {
    let header = &picture.film.header;
    let wish = ScaleWish::File { object: None };
    let answer = scale::choose(&picture.film.spacing, &wish);
    let (scale_wish, scale_answer) = cache::kept_scale(&wish, &answer)?;
    Ok(FilmRecord {
        id: FilmId::new(state.ids.fresh()),
        patient: visit.patient,
        visit: visit.id,
        view: said.view.or(header.view),
        side: said.side.or(header.side),
        stance: said.stance.unwrap_or(header.stance),
        worn: said.worn,
        taken_on: header.taken_on,
        file_name: brought.file_name,
        content: brought.content,
        media_type: brought.media_type.to_owned(),
        width_px: picture.film.width,
        height_px: picture.film.height,
        scale_wish: Some(scale_wish),
        scale_answer: Some(scale_answer),
        turn: DisplayTurn::default(),
        note: picture.film.notes.join(" "),
    })
}

/// By the file's own first bytes; the name it came with says nothing.
pub fn media_type(bytes: &[u8]) -> &'static str {
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => "image/png",
        [0xFF, 0xD8, 0xFF, ..] => "image/jpeg",
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => "image/tiff",
        _ => "application/dicom",
    }
}
