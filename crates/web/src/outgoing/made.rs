//! Which objects does a film, or a letter, give?
//!
//! The identifiers are made from what goes into an object: the same readings of the same film give the same object,
//! byte for byte, however often it is made; where anything in it changes, it is another object. They are known before
//! anything is drawn, so that a search need not draw what nobody fetches.

use crate::{
    AppState,
    desk::{cache, picture::lined_png},
    error::PageError,
    machines::heads,
};
use exchange_dicom::objects::{
    About, Drawn, Made, MakeError, PictureOf, PresentationOf, ReportOf, Rgb, SourceFilm, Study,
    document, picture, picture_head, presentation, report, sheet_of,
};
use exchange_dicom::send::web::{self, Head};
use exchange_dicom::uids::{Uids, uid_of};
use reading::ReadingSheet;
use record::{
    ContentHash, FilmId, FilmRecord, LetterHead, LetterId, LetterRecord, LetterState, Patient,
    PointsId, PointsRecord, Practice, SheetRecord, Visit, VisitId,
};
use serde::Serialize;
use terms::MeasureKey;
use time::OffsetDateTime;
use uuid::Uuid;

/// Across the annotated picture.
const PICTURE_WIDTH: u32 = 1600;
/// Beyond the series that a console numbers.
const SERIES: u32 = 9001;
const VERSION: &str = env!("CARGO_PKG_VERSION");

/// One object, ready to go out.
pub struct Object {
    /// Also the name of its file.
    pub key: &'static str,
    pub words: &'static str,
    pub made: Made,
}

/// What is made of a film that is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Report,
    Picture,
    /// Only over a film that came as DICOM.
    Drawing,
}

impl Kind {
    const ALL: [Kind; 3] = [Kind::Report, Kind::Picture, Kind::Drawing];

    fn key(self) -> &'static str {
        match self {
            Kind::Report => "report",
            Kind::Picture => "picture",
            Kind::Drawing => "drawing",
        }
    }

    fn words(self) -> &'static str {
        match self {
            Kind::Report => "Readings, as a structured report",
            Kind::Picture => "The film with its lines, as a picture",
            Kind::Drawing => "The lines alone, to lie over the film (presentation state)",
        }
    }

    fn series_number(self) -> u32 {
        SERIES
            + match self {
                Kind::Report => 0,
                Kind::Picture => 1,
                Kind::Drawing => 2,
            }
    }
}

/// Identifiers that follow from a digest.
struct Derived {
    from: ContentHash,
    given: u32,
}

impl Derived {
    fn of(what: &impl Serialize) -> Result<Self, PageError> {
        Ok(Self {
            from: digest(what)?,
            given: 0,
        })
    }
}

fn digest(what: &impl Serialize) -> Result<ContentHash, PageError> {
    let text =
        serde_json::to_vec(what).map_err(|e| PageError::ours("making an object to be sent", e))?;
    Ok(ContentHash::of(&text))
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
pub fn last_finished<T: Placing>(placings: impl IntoIterator<Item = T>) -> Option<T> {
    let finished = placings.into_iter().filter(Placing::is_finished);
    finished.max_by_key(Placing::placed_at)
}

/// A placing, with its points or without.
pub trait Placing {
    fn is_finished(&self) -> bool;
    fn placed_at(&self) -> OffsetDateTime;
}

impl Placing for PointsRecord {
    fn is_finished(&self) -> bool {
        self.finished
    }
    fn placed_at(&self) -> OffsetDateTime {
        self.placed_at
    }
}

impl Placing for &SheetRecord {
    fn is_finished(&self) -> bool {
        self.finished
    }
    fn placed_at(&self) -> OffsetDateTime {
        self.placed_at
    }
}

/// The film as an object that others are tied to; `None` where it did not come as DICOM.
async fn source(state: &AppState, film: &FilmRecord) -> Result<Option<SourceFilm>, PageError> {
    let head = heads::of_film(state, film).await?;
    Ok(head.and_then(|head| SourceFilm::of_file(&head.file).ok().flatten()))
}

/// A study of our own for a visit whose films have none.
fn own_study(visit: &Visit) -> Result<Study, PageError> {
    Ok(Study::new(&mut own_study_uids(visit.id)?, Some(visit.on)))
}

fn own_study_uids(visit: VisitId) -> Result<Derived, PageError> {
    Derived::of(&("tiebeam study 1", visit))
}

/// The study that whatever is made of the first of these films that has one joins.
///
/// # Errors
/// Whatever the store fails with.
pub async fn study_uid(
    state: &AppState,
    visit: VisitId,
    films: &[&FilmRecord],
) -> Result<String, PageError> {
    for film in films {
        if let Some(source) = source(state, film).await? {
            return Ok(source.study.uid);
        }
    }
    Ok(own_study_uids(visit)?.uid())
}

async fn practice_of(state: &AppState) -> Result<Practice, PageError> {
    Ok(state.store.practice().await?.unwrap_or_default())
}

fn about(
    patient: &Patient,
    study: Study,
    practice: Practice,
    made_at: OffsetDateTime,
    series_number: u32,
) -> About {
    About {
        subject: patient.into(),
        study,
        made_at,
        practice,
        version: VERSION.to_owned(),
        series_number,
        instance_number: 1,
    }
}

/// Everything that the objects of a film are made from, but its pixels.
struct Basis {
    film: FilmRecord,
    patient: Patient,
    points: PointsRecord,
    sheet: ReadingSheet,
    source: Option<SourceFilm>,
    study: Study,
    practice: Practice,
}

impl Basis {
    async fn of(state: &AppState, film: FilmId) -> Result<Self, PageError> {
        let placings = state.store.points_of(film).await?;
        let Some(points) = last_finished(placings) else {
            return Err(PageError::NotNow {
                sentence: "no placing on this film is finished yet; finish the points first"
                    .to_owned(),
            });
        };
        let film = state.store.film(film).await?;
        let source = source(state, &film).await?;
        let study = match &source {
            Some(source) => source.study.clone(),
            None => own_study(&state.store.visit(film.visit).await?)?,
        };
        Ok(Self {
            sheet: sheet_of(&points)?,
            practice: practice_of(state).await?,
            patient: state.store.patient(film.patient).await?,
            film,
            points,
            source,
            study,
        })
    }

    fn uids(&self, kind: Kind) -> Result<Derived, PageError> {
        let seed = (
            &self.points,
            &self.patient,
            &self.film,
            &self.practice,
            &self.study.uid,
        );
        Derived::of(&(kind.key(), VERSION, &seed))
    }

    fn digest(&self, kind: Kind) -> Result<ContentHash, PageError> {
        film_digest(
            kind,
            self.points.id,
            &self.patient,
            &self.film,
            &self.practice,
            &self.study.uid,
        )
    }

    fn about(&self, kind: Kind) -> About {
        about(
            &self.patient,
            self.study.clone(),
            self.practice.clone(),
            self.points.placed_at,
            kind.series_number(),
        )
    }

    fn report(&self, name_of: NameOf<'_>) -> Result<Made, PageError> {
        Ok(report(
            &ReportOf {
                about: &self.about(Kind::Report),
                film: self.source.as_ref(),
                sheet: &self.sheet,
                reader_name: &self.points.reader_name,
                placed_at: self.points.placed_at,
                tracking_uid: &uid_of(self.points.id.uuid()),
                name_of,
            },
            &mut self.uids(Kind::Report)?,
        )?)
    }

    fn drawing(&self, film: &SourceFilm, name_of: NameOf<'_>) -> Result<Made, PageError> {
        Ok(presentation(
            &PresentationOf {
                about: &self.about(Kind::Drawing),
                film,
                side: self.film.side,
                drawn: &Drawn::of_sheet(&self.sheet, name_of),
                turn: self.film.turn,
                window: None,
                creator: &self.points.reader_name,
            },
            &mut self.uids(Kind::Drawing)?,
        )?)
    }

    fn picture_of<'a>(&'a self, about: &'a About) -> PictureOf<'a> {
        PictureOf {
            about,
            film: self.source.as_ref(),
            side: self.film.side,
            description: "Film with readings",
            // A film may carry a name burned in, and nobody has looked.
            names_in_picture: true,
        }
    }

    async fn picture(&self, state: &AppState) -> Result<Made, PageError> {
        let open = cache::open(state, self.film.id).await?;
        let png = lined_png(state, &open, &self.points, &self.sheet, PICTURE_WIDTH).await?;
        let about = self.about(Kind::Picture);
        Ok(picture(
            &self.picture_of(&about),
            Rgb::of_png(&png)?,
            &mut self.uids(Kind::Picture)?,
        )?)
    }

    /// `None` for a drawing with nothing to lie over.
    async fn whole(&self, state: &AppState, kind: Kind) -> Result<Option<Made>, PageError> {
        let name_of = |key: &MeasureKey| state.knowledge.measure(key).map(|m| m.name.clone());
        Ok(match (kind, &self.source) {
            (Kind::Report, _) => Some(self.report(&name_of)?),
            (Kind::Picture, _) => Some(self.picture(state).await?),
            (Kind::Drawing, Some(film)) => Some(self.drawing(film, &name_of)?),
            (Kind::Drawing, None) => None,
        })
    }

    /// Nothing is drawn for it: the size of a picture is not in it.
    async fn head(&self, state: &AppState, kind: Kind) -> Result<Option<Head>, PageError> {
        if kind == Kind::Picture {
            let about = self.about(kind);
            let head = picture_head(&self.picture_of(&about), &mut self.uids(kind)?)?;
            return Ok(Some(head));
        }
        match self.whole(state, kind).await? {
            Some(made) => Ok(Some(head_of(&made)?)),
            None => Ok(None),
        }
    }
}

type NameOf<'a> = &'a dyn Fn(&MeasureKey) -> Option<String>;

/// # Errors
/// Only for our own fault: what was made cannot be read.
pub fn head_of(made: &Made) -> Result<Head, PageError> {
    let fault = "reading the head of an object made here";
    web::head(&made.file)
        .map_err(|e| PageError::ours(fault, e))?
        .ok_or_else(|| PageError::ours(fault, "it lacks an identifier"))
}

/// Report, picture and, over a film that came as DICOM, drawing of the last finished placing.
///
/// # Errors
/// `NotNow` where no placing is finished.
pub async fn of_film(state: &AppState, film: FilmId) -> Result<Vec<Object>, PageError> {
    let basis = Basis::of(state, film).await?;
    let mut objects = Vec::new();
    for kind in Kind::ALL {
        if let Some(made) = basis.whole(state, kind).await? {
            objects.push(Object {
                key: kind.key(),
                words: kind.words(),
                made,
            });
        }
    }
    Ok(objects)
}

/// The paper of a signed letter, in the study of its visit's first film where that has one.
///
/// # Errors
/// `NotSigned`; `NotNow` where its seal does not hold.
pub async fn of_letter(state: &AppState, letter: LetterId) -> Result<Vec<Object>, PageError> {
    let letter = state.store.letter(letter).await?;
    let (_, made) = letter_object(state, &letter).await?;
    Ok(vec![Object {
        key: "letter",
        words: "The letter as it was signed, as a document (PDF)",
        made,
    }])
}

async fn letter_object(
    state: &AppState,
    letter: &LetterRecord,
) -> Result<(ContentHash, Made), PageError> {
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
        if let Some(source) = source(state, &film).await? {
            study = Some(source.study);
            break;
        }
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
    let mut uids = Derived::of(&("letter", VERSION, &seed))?;
    let from = letter_digest(&letter.head(), &patient, &practice, &study.uid)?;
    let about = about(&patient, study, practice, at, SERIES + 3);
    Ok((from, document(&about, &letter.title, &pdf, &mut uids)?))
}

/// An object that can be asked for, before it is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    OfFilm(FilmId, Kind),
    OfLetter(LetterId),
}

impl Which {
    /// Whole, as it is made now.
    ///
    /// # Errors
    /// As for [`of_film`] and [`of_letter`]; `NotFound` for a drawing with nothing to lie over.
    pub async fn whole(self, state: &AppState) -> Result<Made, PageError> {
        match self {
            Which::OfFilm(film, kind) => Basis::of(state, film)
                .await?
                .whole(state, kind)
                .await?
                .ok_or(PageError::NotFound { what: "object" }),
            Which::OfLetter(letter) => {
                let letter = state.store.letter(letter).await?;
                Ok(letter_object(state, &letter).await?.1)
            }
        }
    }

    /// Its head and what that was made from (see [`Promised`]); no head for a drawing with nothing to lie over.
    ///
    /// # Errors
    /// As for the whole.
    pub async fn head(self, state: &AppState) -> Result<(ContentHash, Option<Head>), PageError> {
        match self {
            Which::OfFilm(film, kind) => {
                let basis = Basis::of(state, film).await?;
                let head = basis.head(state, kind).await?;
                Ok((basis.digest(kind)?, head))
            }
            Which::OfLetter(letter) => {
                let letter = state.store.letter(letter).await?;
                let (from, made) = letter_object(state, &letter).await?;
                Ok((from, Some(head_of(&made)?)))
            }
        }
    }
}

/// An object and a digest of what it is made from: alike for as long as it would be the same object.
pub struct Promised {
    pub which: Which,
    pub from: ContentHash,
}

impl Promised {
    /// What a film gives. `sheets`: of all films of its patient; `study`: the one that what is made of it joins.
    ///
    /// # Errors
    /// Only for our own fault.
    pub fn of_film(
        film: &FilmRecord,
        sheets: &[SheetRecord],
        patient: &Patient,
        practice: &Practice,
        study: &str,
    ) -> Result<Vec<Self>, PageError> {
        let Some(placing) = last_finished(sheets.iter().filter(|s| s.film == film.id)) else {
            return Ok(Vec::new());
        };
        let promised = |kind: Kind| {
            Ok(Self {
                which: Which::OfFilm(film.id, kind),
                from: film_digest(kind, placing.id, patient, film, practice, study)?,
            })
        };
        Kind::ALL.into_iter().map(promised).collect()
    }

    /// What a signed letter gives.
    ///
    /// # Errors
    /// Only for our own fault.
    pub fn of_letter(
        letter: &LetterHead,
        patient: &Patient,
        practice: &Practice,
        study: &str,
    ) -> Result<Self, PageError> {
        Ok(Self {
            which: Which::OfLetter(letter.id),
            from: letter_digest(letter, patient, practice, study)?,
        })
    }
}

/// A finished placing never changes: its id stands for its points and readings.
fn film_digest(
    kind: Kind,
    placing: PointsId,
    patient: &Patient,
    film: &FilmRecord,
    practice: &Practice,
    study: &str,
) -> Result<ContentHash, PageError> {
    let seed = (placing, patient, film, practice, study);
    digest(&("promised", kind.key(), VERSION, seed))
}

/// The head of a signed letter holds the hash of its paper and its seal.
fn letter_digest(
    letter: &LetterHead,
    patient: &Patient,
    practice: &Practice,
    study: &str,
) -> Result<ContentHash, PageError> {
    digest(&(
        "promised",
        "letter",
        VERSION,
        (letter, patient, practice, study),
    ))
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
