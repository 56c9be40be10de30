//! The PDF of a letter, and the reading sheet of a film.

use super::draft::practice_lines_in;
use super::films;
use super::kept::KeptLetter;
use super::spoken::{self, Wish};
use crate::context::Context;
use crate::desk::cache;
use crate::error::PageError;
use axum::{
    extract::{Path, Query},
    http::header,
    response::{IntoResponse, Response},
};
use letter::{Document, LetterError, PatientLine, Pictures, SheetFacts};
use record::{LetterKind, LetterRecord, LetterState};

/// `GET /letter/{id}/pdf`: the frozen paper of a signed letter; a draft is set as it stands, and says so.
pub async fn pdf(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let letter = context.state.store.letter(id.parse()?).await?;
    let bytes = match letter.state {
        LetterState::Signed { .. } => context.state.store.letter_pdf(letter.id).await?,
        LetterState::Draft | LetterState::TakenAway { .. } => {
            let kept = KeptLetter::of(&letter)?;
            set(kept.document, kept.pictures).await?
        }
    };
    Ok(as_pdf(&file_name(&letter), bytes))
}

/// Kind and state only: a file name is seen by everybody who passes the folder.
fn file_name(letter: &LetterRecord) -> String {
    let kind = match letter.kind {
        kind @ (LetterKind::ReadingSheet | LetterKind::HomeSheet) => kind.key().to_owned(),
        kind => format!("letter-{}", kind.key()),
    };
    let addendum = if letter.addendum_to.is_some() {
        "-addendum"
    } else {
        ""
    };
    let draft = if letter.is_signed() { "" } else { "-draft" };
    format!("{kind}{addendum}{draft}.pdf")
}

/// Sets a document off the request's thread.
///
/// # Errors
/// What the typesetter refuses. Its own words may repeat the letter's, so they are not passed on.
pub async fn set(document: Document, pictures: Pictures) -> Result<Vec<u8>, PageError> {
    let set = tokio::task::spawn_blocking(move || letter::render(&document, &pictures)).await;
    Ok(set
        .map_err(|e| PageError::ours(SETTING, e))?
        .map_err(refused)?
        .bytes)
}

const SETTING: &str = "setting the letter";

fn refused(error: LetterError) -> PageError {
    let detail = match error {
        LetterError::PictureMissing { .. } => "a picture is missing",
        LetterError::NoWordsForPicture { .. } => "a picture has no words",
        LetterError::NotSet(_) => "the typesetter refused the document",
    };
    PageError::ours(SETTING, detail)
}

/// A PDF shown in the browser, kept by no cache: it names a person.
pub fn as_pdf(file_name: &str, bytes: Vec<u8>) -> Response {
    let heads = [
        (header::CONTENT_TYPE, "application/pdf".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("inline; filename=\"{file_name}\""),
        ),
        (header::CACHE_CONTROL, "no-store".to_owned()),
    ];
    (heads, bytes).into_response()
}

/// `GET /letter/{id}/picture/{name}`: a picture of the letter, for its preview.
pub async fn picture(
    context: Context,
    Path((id, name)): Path<(String, String)>,
) -> Result<Response, PageError> {
    let letter = context.state.store.letter(id.parse()?).await?;
    let mut pictures = KeptLetter::of(&letter)?.pictures;
    let bytes = pictures
        .remove(&name)
        .ok_or(PageError::NotFound { what: "picture" })?;
    let media_type = if name.ends_with(".svg") {
        "image/svg+xml"
    } else {
        "image/png"
    };
    let heads = [
        (header::CONTENT_TYPE, media_type),
        (header::CACHE_CONTROL, "no-store"),
    ];
    Ok((heads, bytes).into_response())
}

/// `GET /film/{id}/sheet.pdf`: one page from the placing that stands for the film; `language` in the query.
pub async fn sheet(
    context: Context,
    Path(id): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Response, PageError> {
    let words = spoken::wished(&wish)?;
    let open = cache::open(&context.state, id.parse()?).await?;
    let (film, placing) = films::for_sheet(&context, &open, words).await?;
    let knowledge = context.state.knowledge;
    let practice = practice_lines_in(words, &context.practice);
    let date = crate::words::day(context.today());
    let set = tokio::task::spawn_blocking(move || {
        let patient = &open.patient;
        let name = crate::words::full_name(patient);
        let born = patient.born_on.map(crate::words::day);
        letter::reading_sheet(&SheetFacts {
            words,
            knowledge,
            practice: &practice,
            patient: PatientLine {
                name: Some(&name),
                born: born.as_deref(),
                chart: Some(&patient.chart_number),
            },
            date: &date,
            reader: Some(&placing.reader_name),
            person: film.person,
            film: film.film(knowledge),
        })
    })
    .await;
    let pdf = set
        .map_err(|e| PageError::ours(SETTING, e))?
        .map_err(refused)?;
    Ok(as_pdf(
        &spoken::file_name("reading-sheet", words),
        pdf.bytes,
    ))
}

#[cfg(test)]
mod tests {
    use super::super::tests::{document, draft_record};
    use super::*;

    #[test]
    fn a_file_name_tells_kind_and_state_and_nobodys_name() {
        let kept = KeptLetter {
            document: document(),
            pictures: Pictures::new(),
            asked: super::super::asked::Asked::default(),
        };
        let mut letter = draft_record(&kept);
        assert_eq!(file_name(&letter), "letter-to-referrer-draft.pdf");
        letter.kind = LetterKind::ReadingSheet;
        assert_eq!(file_name(&letter), "reading-sheet-draft.pdf");
    }
}
