//! Films come in: the file is opened before it is kept, and what it does not say is asked.

use crate::context::Context;
use crate::desk::cache;
use crate::error::PageError;
use axum::{
    extract::{Multipart, Path},
    response::Redirect,
};
use film::{ScaleWish, scale};
use record::{ContentHash, DisplayTurn, FilmId, FilmRecord, VisitId};
use terms::{Side, Stance, View, Worn};

/// `POST /visit/{id}/films`: the file, and view, side, standing and what was worn where the person says them.
pub async fn take_in(
    context: Context,
    Path(id): Path<String>,
    mut form: Multipart,
) -> Result<Redirect, PageError> {
    let visit = context.state.store.visit(id.parse::<VisitId>()?).await?;
    let (mut bytes, mut file_name) = (Vec::new(), String::new());
    let (mut view, mut side, mut stance) = (String::new(), String::new(), String::new());
    let mut worn = String::new();
    let broken = |_| PageError::input("the upload broke off; choose the file again");
    while let Some(field) = form.next_field().await.map_err(broken)? {
        match field.name().unwrap_or_default() {
            "film" => {
                file_name = crate::words::file_name(field.file_name());
                bytes = field
                    .bytes()
                    .await
                    .map_err(|_| {
                        PageError::input(
                            "the file could not be taken in whole; send one film of at most 256 MB",
                        )
                    })?
                    .to_vec();
            }
            "view" => view = field.text().await.map_err(broken)?,
            "side" => side = field.text().await.map_err(broken)?,
            "stance" => stance = field.text().await.map_err(broken)?,
            "worn" => worn = field.text().await.map_err(broken)?,
            _ => {}
        }
    }
    if bytes.is_empty() {
        return Err(PageError::input(
            "found no file; choose a film (DICOM, PNG, JPEG or TIFF) first",
        ));
    }
    let content = ContentHash::of(&bytes);
    let copies = context.state.store.films_with(content).await?;
    if let Some(own) = copies.iter().find(|f| f.patient == visit.patient) {
        return Ok(Redirect::to(&format!("/film/{}", own.id)));
    }
    if !copies.is_empty() {
        return Err(PageError::input(
            "this very file is already kept for another patient; check whose film it is",
        ));
    }
    let media_type = media_type(&bytes);
    let (bytes, picture) = opened(bytes).await?;
    let header = &picture.film.header;
    let wish = ScaleWish::File { object: None };
    let answer = scale::choose(&picture.film.spacing, &wish);
    let (scale_wish, scale_answer) = cache::kept_scale(&wish, &answer)?;
    let record = FilmRecord {
        id: FilmId::new(context.state.ids.fresh()),
        patient: visit.patient,
        visit: visit.id,
        view: View::from_key(&view).or(header.view),
        side: match side.as_str() {
            "left" => Some(Side::Left),
            "right" => Some(Side::Right),
            _ => header.side,
        },
        stance: match stance.as_str() {
            "standing" => Stance::Standing,
            "not-standing" => Stance::NotStanding,
            _ => header.stance,
        },
        worn: Worn::from_key(&worn),
        taken_on: header.taken_on,
        file_name,
        content,
        media_type: media_type.to_owned(),
        width_px: picture.film.width,
        height_px: picture.film.height,
        scale_wish: Some(scale_wish),
        scale_answer: Some(scale_answer),
        turn: DisplayTurn::default(),
        note: picture.film.notes.join(" "),
    };
    let film = record.id;
    context
        .state
        .store
        .import_film(context.stamp(), record, bytes)
        .await?;
    Ok(Redirect::to(&format!("/film/{film}")))
}

/// Opens the film off the request's thread; gives the bytes back.
async fn opened(bytes: Vec<u8>) -> Result<(Vec<u8>, cache::Picture), PageError> {
    let picture = cache::decode(bytes.clone()).await?;
    Ok((bytes, picture))
}

/// By the file's own first bytes; the name it came with says nothing.
fn media_type(bytes: &[u8]) -> &'static str {
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => "image/png",
        [0xFF, 0xD8, 0xFF, ..] => "image/jpeg",
        [b'I', b'I', 42, 0, ..] | [b'M', b'M', 0, 42, ..] => "image/tiff",
        _ => "application/dicom",
    }
}
