//! Films come in: the file is opened before it is kept, and what it does not say is asked.

use crate::context::Context;
use crate::desk::cache;
use crate::error::PageError;
use crate::intake::{Brought, Said, film_record, kept_already, media_type};
use axum::{
    extract::{Multipart, Path},
    response::Redirect,
};
use record::{ContentHash, VisitId};
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
    if let Some(own) = kept_already(&context.state, visit.patient, content).await? {
        return Ok(Redirect::to(&format!("/film/{}", own.id)));
    }
    let brought = Brought {
        file_name,
        content,
        media_type: media_type(&bytes),
    };
    let said = Said {
        view: View::from_key(&view),
        side: match side.as_str() {
            "left" => Some(Side::Left),
            "right" => Some(Side::Right),
            _ => None,
        },
        stance: match stance.as_str() {
            "standing" => Some(Stance::Standing),
            "not-standing" => Some(Stance::NotStanding),
            _ => None,
        },
        worn: Worn::from_key(&worn),
    };
    let picture = cache::decode(bytes.clone()).await?;
    let record = film_record(&context.state, &visit, brought, &picture, said)?;
    drop(picture);
    let film = record.id;
    context
        .state
        .store
        .import_film(context.stamp(), record, bytes)
        .await?;
    Ok(Redirect::to(&format!("/film/{film}")))
}
