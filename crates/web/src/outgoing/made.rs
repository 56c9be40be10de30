//! Which objects does a film, or a letter, give?
//!
//! The identifiers are made from what goes into an object: the same readings of the same film give the same object,
//! byte for byte, however often it is made; where anything in it changes, it is another object.

use crate::{
    AppState,
    desk::{cache, picture::lined_png},
    error::PageError,
};
use exchange_dicom::objects::{
    About, Drawn, Made, MakeError, PictureOf, PresentationOf, ReportOf, Rgb, SourceFilm, Study,
    document, picture, presentation, report, sheet_of,
};
use exchange_dicom::uids::{Uids, uid_of};
use record::{
    ContentHash, FilmId, FilmRecord, LetterId, LetterState, Patient, PointsRecord, Practice, Visit,
};
use serde::Serialize;
use terms::MeasureKey;
use uuid::Uuid;

/// Across the annotated picture.
const PICTURE_WIDTH: u32 = 1600;
const DICOM: &str = "application/dicom";
/// Beyond the series that a console numbers.
const SERIES: u32 = 9001;

/// One object, ready to go out.
pub struct Object {
    /// Also the name of its file.
    pub key: &'static str,
    pub words: &'static str,
    pub made: Made,
}

/// Identifiers that follow from a digest.
struct Derived {
    from: String,
    given: u32,
}

impl Derived {
    fn of(what: &impl Serialize) -> Result<Self, PageError> {
        let text = serde_json::to_vec(what)
            .map_err(|e| PageError::ours("making an object to be sent", e))?;
        Ok(Self {
            from: ContentHash::of(&text).to_string(),
            given: 0,
        })
    }
}

impl Uids for Derived {
    fn uuid(&mut self) -> Uuid {
        self.given += 1;
        let digest = ContentHash::of(format!("{} {}", self.from, self.given).as_bytes());
        let digits: String = digest.to_string().chars().take(32).collect();
        Uuid::from_u128(u128::from_str_radix(&digits, 16).unwrap_or_default())
    }
}

impl From<MakeError> for PageError {
    fn from(error: MakeError) -> Self {
        PageError::ours("making an object to be sent", error)
    }
}

/// The placing that goes out: the last one that is finished.
pub fn finished(placings: &[PointsRecord]) -> Option<&PointsRecord> {
    placings
        .iter()
        .filter(|p| p.finished)
        .max_by_key(|p| p.placed_at)
}

async fn source(state: &AppState, film: &FilmRecord) -> Result<Option<SourceFilm>, PageError> {
    if film.media_type != DICOM {
        return Ok(None);
    }
    let bytes = state.store.film_bytes(film.id).await?;
    let read = tokio::task::spawn_blocking(move || SourceFilm::of_file(&bytes)).await;
    let read = read.map_err(|e| PageError::ours("reading the film's head", e))?;
    Ok(read.ok().flatten())
}

/// A study of our own for a visit whose films have none.
fn own_study(visit: &Visit) -> Result<Study, PageError> {
    let mut uids = Derived::of(&("tiebeam study 1", visit.id))?;
    Ok(Study::new(&mut uids, Some(visit.on)))
}

async fn practice_of(state: &AppState) -> Result<Practice, PageError> {
    Ok(state.store.practice().await?.unwrap_or_default())
}

fn about(
    patient: &Patient,
    study: Study,
    practice: Practice,
    made_at: time::OffsetDateTime,
) -> About {
    About {
        subject: patient.into(),
        study,
        made_at,
        practice,
        version: env!("CARGO_PKG_VERSION").to_owned(),
        series_number: SERIES,
        instance_number: 1,
    }
}

/// Report, picture and, over a film that came as DICOM, drawing of the last finished placing.
///
/// # Errors
/// `NotNow` where no placing is finished.
pub async fn of_film(state: &AppState, film: FilmId) -> Result<Vec<Object>, PageError> {
    let placings = state.store.points_of(film).await?;
    let Some(points) = finished(&placings).cloned() else {
        return Err(PageError::NotNow {
            sentence: "no placing on this film is finished yet; finish the points first".to_owned(),
        });
    };
    let open = cache::open(state, film).await?;
    let film = open.record.clone();
    let source = source(state, &film).await?;
    let visit = state.store.visit(film.visit).await?;
    let study = match &source {
        Some(source) => source.study.clone(),
        None => own_study(&visit)?,
    };
    let practice = practice_of(state).await?;
    let seed = (&points, &open.patient, &film, &practice, &study.uid);
    let uids = |kind: &str| Derived::of(&(kind, env!("CARGO_PKG_VERSION"), &seed));
    let sheet = sheet_of(&points)?;
    let mut about = about(
        &open.patient,
        study.clone(),
        practice.clone(),
        points.placed_at,
    );
    let knowledge = state.knowledge;
    let name_of = |key: &MeasureKey| knowledge.measure(key).map(|m| m.name.clone());
    let mut objects = vec![Object {
        key: "report",
        words: "Readings, as a structured report",
        made: report(
            &ReportOf {
                about: &about,
                film: source.as_ref(),
                sheet: &sheet,
                reader_name: &points.reader_name,
                placed_at: points.placed_at,
                tracking_uid: &uid_of(points.id.uuid()),
                name_of: &name_of,
            },
            &mut uids("report")?,
        )?,
    }];
    let png = lined_png(state, &open, &points, &sheet, PICTURE_WIDTH).await?;
    about.series_number += 1;
    objects.push(Object {
        key: "picture",
        words: "The film with its lines, as a picture",
        made: picture(
            PictureOf {
                about: &about,
                film: source.as_ref(),
                side: film.side,
                picture: Rgb::of_png(&png)?,
                description: "Film with readings",
                // A film may carry a name burned in, and nobody has looked.
                names_in_picture: true,
            },
            &mut uids("picture")?,
        )?,
    });
    if let Some(source) = &source {
        about.series_number += 1;
        objects.push(Object {
            key: "drawing",
            words: "The lines alone, to lie over the film (presentation state)",
            made: presentation(
                &PresentationOf {
                    about: &about,
                    film: source,
                    side: film.side,
                    drawn: &Drawn::of_sheet(&sheet, &name_of),
                    turn: film.turn,
                    window: None,
                    creator: &points.reader_name,
                },
                &mut uids("drawing")?,
            )?,
        });
    }
    Ok(objects)
}

/// The paper of a signed letter, in the study of its visit's first film where that has one.
///
/// # Errors
/// `NotSigned`; `NotNow` where its seal does not hold.
pub async fn of_letter(state: &AppState, letter: LetterId) -> Result<Vec<Object>, PageError> {
    let letter = state.store.letter(letter).await?;
    let pdf = state.store.letter_pdf(letter.id).await?;
    let LetterState::Signed { at, .. } = letter.state else {
        return Err(store::StoreError::NotSigned.into());
    };
    if letter.seal_holds() != Some(true) {
        return Err(PageError::NotNow {
            sentence:
                "the seal of this letter does not hold; restore the last backup and do not send it"
                    .to_owned(),
        });
    }
    let visit = state.store.visit(letter.visit).await?;
    let patient = state.store.patient(visit.patient).await?;
    let mut study = None;
    for film in state.store.films_of_visit(visit.id).await? {
        study = study.or(source(state, &film).await?.map(|s| s.study));
    }
    let study = match study {
        Some(study) => study,
        None => own_study(&visit)?,
    };
    let practice = practice_of(state).await?;
    let seed = (
        &letter.id,
        &letter.title,
        ContentHash::of(&pdf),
        &patient,
        &practice,
        &study.uid,
    );
    let mut uids = Derived::of(&("letter", env!("CARGO_PKG_VERSION"), &seed))?;
    let mut about = about(&patient, study, practice, at);
    about.series_number += 3;
    Ok(vec![Object {
        key: "letter",
        words: "The letter as it was signed, as a document (PDF)",
        made: document(&about, &letter.title, &pdf, &mut uids)?,
    }])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identifiers_follow_from_what_goes_in_and_no_two_are_alike() {
        let take = |what: &str| {
            let mut uids = Derived::of(&what).unwrap();
            (uids.uid(), uids.uid())
        };
        let (first, second) = take("a film");
        assert_ne!(first, second);
        assert_eq!(take("a film"), (first.clone(), second));
        assert_ne!(take("another film").0, first);
        assert!(exchange_dicom::uids::is_uid(&first), "{first}");
    }
}
