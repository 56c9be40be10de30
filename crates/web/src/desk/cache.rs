//! Which films are in hand, decoded and ready, so that a moved point is answered in about a millisecond?
//!
//! What an answer to a moved point needs is small: it is kept of many films by their ids, and whatever changes what is
//! known of a film or its patient forgets it. Pictures are large: only the last few are kept, by their content.

use crate::{AppState, adapt::person::person_on, error::PageError};
use film::{Film, Header, Limits, ScaleAnswer, ScaleWish, SpacingFacts, Window};
use knowledge::yardstick::Person;
use reading::{FilmFacts, PlacedPoint, PointSet, Reader, ReadingSheet};
use record::{ClinicianId, ContentHash, FilmId, FilmRecord, Kept, Patient};
use std::{
    collections::{BTreeMap, VecDeque},
    sync::{Arc, Mutex, PoisonError},
};
use terms::{LandmarkKey, View};

/// A large film takes about 60 MB decoded.
const MOST_FILMS: usize = 6;
/// Without their pictures: a few kilobytes each.
const MOST_OPEN: usize = 400;

pub const WISH_FORMAT: &str = "tiebeam-scale-wish";
pub const ANSWER_FORMAT: &str = "tiebeam-scale-answer";
pub const SCALE_VERSION: u32 = 1;
/// Standard deviation of the foot's rotation on a film taken in daily work.
const YAW_SD_DEG: f64 = reading::points::USUAL_YAW_SD_DEG;

/// The picture as decoded: the same for as long as the file is.
pub struct Picture {
    pub film: Film,
    /// Linear grey, full range, bone bright.
    pub grey: Vec<u16>,
    pub window: Window,
}

impl Picture {
    fn plate(&self) -> Plate {
        Plate {
            header: self.film.header.clone(),
            spacing: self.film.spacing.clone(),
            notes: self.film.notes.clone(),
            window: self.window,
        }
    }
}

/// What the file says beside its picture.
pub struct Plate {
    pub header: Header,
    pub spacing: SpacingFacts,
    /// What was odd about the file.
    pub notes: Vec<String>,
    pub window: Window,
}

/// A film ready to be read.
pub struct OpenFilm {
    pub record: FilmRecord,
    pub patient: Patient,
    pub person: Person,
    pub facts: FilmFacts,
    pub scale: ScaleAnswer,
    pub plate: Arc<Plate>,
}

#[derive(Default)]
pub struct FilmCache {
    /// One film is decoded at a time, so that none is decoded twice at once.
    decoding: tokio::sync::Mutex<()>,
    films: Mutex<VecDeque<Arc<OpenFilm>>>,
    plates: Mutex<VecDeque<(ContentHash, Arc<Plate>)>>,
    pictures: Mutex<VecDeque<(ContentHash, Arc<Picture>)>>,
    readers: Mutex<BTreeMap<(ClinicianId, View), Arc<Reader>>>,
    /// How far apart each reader reads one film, of the whole practice.
    repeats: Mutex<Option<Arc<Vec<change::OwnRepeats>>>>,
}

impl FilmCache {
    fn known(&self, id: FilmId) -> Option<Arc<OpenFilm>> {
        let mut films = self.films.lock().unwrap_or_else(PoisonError::into_inner);
        let place = films.iter().position(|f| f.record.id == id)?;
        let film = films.remove(place)?;
        films.push_front(film.clone());
        Some(film)
    }

    fn keep(&self, film: Arc<OpenFilm>) {
        let mut films = self.films.lock().unwrap_or_else(PoisonError::into_inner);
        films.retain(|f| f.record.id != film.record.id);
        films.push_front(film);
        films.truncate(MOST_OPEN);
    }

    fn keep_picture(&self, content: ContentHash, picture: &Arc<Picture>) -> Arc<Plate> {
        let plate = Arc::new(picture.plate());
        keep_first(&self.plates, content, plate.clone(), MOST_OPEN);
        keep_first(&self.pictures, content, picture.clone(), MOST_FILMS);
        plate
    }

    /// Nothing kept may be out of step with the record.
    pub fn forget_all(&self) {
        self.films
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }

    /// The pictures too.
    pub fn forget_files(&self) {
        self.forget_all();
        self.plates
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
        self.pictures
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }

    pub(super) fn reader(&self, worker: ClinicianId, view: View) -> Option<Arc<Reader>> {
        let readers = self.readers.lock().unwrap_or_else(PoisonError::into_inner);
        readers.get(&(worker, view)).cloned()
    }

    pub(super) fn keep_reader(&self, worker: ClinicianId, view: View, reader: Arc<Reader>) {
        let mut readers = self.readers.lock().unwrap_or_else(PoisonError::into_inner);
        readers.insert((worker, view), reader);
    }

    /// After a second placing there is more to learn from.
    pub(super) fn forget_reader(&self, worker: ClinicianId, view: View) {
        let mut readers = self.readers.lock().unwrap_or_else(PoisonError::into_inner);
        readers.remove(&(worker, view));
        *self.repeats.lock().unwrap_or_else(PoisonError::into_inner) = None;
    }

    pub(crate) fn repeats(&self) -> Option<Arc<Vec<change::OwnRepeats>>> {
        self.repeats
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    pub(crate) fn keep_repeats(&self, repeats: Arc<Vec<change::OwnRepeats>>) {
        *self.repeats.lock().unwrap_or_else(PoisonError::into_inner) = Some(repeats);
    }
}

fn first<T: Clone>(kept: &Mutex<VecDeque<(ContentHash, T)>>, content: ContentHash) -> Option<T> {
    let mut kept = kept.lock().unwrap_or_else(PoisonError::into_inner);
    let place = kept.iter().position(|(known, _)| *known == content)?;
    let found = kept.remove(place)?;
    kept.push_front(found.clone());
    Some(found.1)
}

fn keep_first<T>(
    kept: &Mutex<VecDeque<(ContentHash, T)>>,
    content: ContentHash,
    new: T,
    most: usize,
) {
    let mut kept = kept.lock().unwrap_or_else(PoisonError::into_inner);
    kept.retain(|(known, _)| *known != content);
    kept.push_front((content, new));
    kept.truncate(most);
}

/// The film, from the cache or decoded now.
pub async fn open(state: &AppState, id: FilmId) -> Result<Arc<OpenFilm>, PageError> {
    // Where other programs work on the same records, what is known of a film is asked each time; its picture stays.
    if state.store.is_alone()
        && let Some(known) = state.films.known(id)
    {
        return Ok(known);
    }
    let record = state.store.film(id).await?;
    let plate = match first(&state.films.plates, record.content) {
        Some(plate) => plate,
        None => {
            let picture = decoded(state, id, record.content).await?;
            state.films.keep_picture(record.content, &picture)
        }
    };
    with_plate(state, record, plate).await
}

/// The picture of an open film, from the cache or decoded now.
pub async fn picture(state: &AppState, open: &OpenFilm) -> Result<Arc<Picture>, PageError> {
    decoded(state, open.record.id, open.record.content).await
}

async fn decoded(
    state: &AppState,
    id: FilmId,
    content: ContentHash,
) -> Result<Arc<Picture>, PageError> {
    if let Some(known) = first(&state.films.pictures, content) {
        return Ok(known);
    }
    let _alone = state.films.decoding.lock().await;
    if let Some(known) = first(&state.films.pictures, content) {
        return Ok(known);
    }
    let picture = Arc::new(decode(state.store.film_bytes(id).await?).await?);
    state.films.keep_picture(content, &picture);
    Ok(picture)
}

/// Opens the films of a page that leads to them, while somebody still reads it.
/// A film that cannot be opened says so when it is asked for.
pub fn open_ahead(state: &AppState, ids: Vec<FilmId>) {
    let state = state.clone();
    tokio::spawn(async move {
        for id in ids.into_iter().take(MOST_FILMS) {
            if !state.is_quiet() {
                return;
            }
            if let Ok(film) = open(&state, id).await {
                let _ = picture(&state, &film).await;
            }
        }
    });
}

/// After a change of what is known of the film: the same picture, new facts.
pub async fn save_record(
    state: &AppState,
    stamp: record::Stamp,
    open: &OpenFilm,
    record: FilmRecord,
) -> Result<Arc<OpenFilm>, PageError> {
    state.store.save_film(stamp, record.clone()).await?;
    with_plate(state, record, open.plate.clone()).await
}

async fn with_plate(
    state: &AppState,
    record: FilmRecord,
    plate: Arc<Plate>,
) -> Result<Arc<OpenFilm>, PageError> {
    let open = Arc::new(assembled(state, record, plate).await?);
    state.films.keep(open.clone());
    Ok(open)
}

/// What readings need to know of a film, without its picture and without being kept ready: for whoever goes through all
/// of them.
pub async fn facts_alone(state: &AppState, record: FilmRecord) -> Result<OpenFilm, PageError> {
    let plate = match first(&state.films.plates, record.content) {
        Some(plate) => plate,
        None => {
            let _alone = state.films.decoding.lock().await;
            let bytes = state.store.film_bytes(record.id).await?;
            Arc::new(decode(bytes).await?.plate())
        }
    };
    assembled(state, record, plate).await
}

async fn assembled(
    state: &AppState,
    record: FilmRecord,
    plate: Arc<Plate>,
) -> Result<OpenFilm, PageError> {
    let patient = state.store.patient(record.patient).await?;
    let visit = state.store.visit(record.visit).await?;
    let scale = film::scale::choose(&plate.spacing, &wish_of(&record));
    Ok(OpenFilm {
        person: person_on(&patient, record.taken_on.unwrap_or(visit.on)),
        facts: FilmFacts {
            width_px: record.width_px,
            height_px: record.height_px,
            pixel_aspect: Some(scale.pixel_aspect()),
            scale: scale.known(),
            no_scale_reason: match &scale {
                ScaleAnswer::Known { .. } => None,
                ScaleAnswer::Unknown { reason, .. } => Some(reason.clone()),
            },
            stance: record.stance,
            yaw_sd_deg: YAW_SD_DEG,
        },
        patient,
        scale,
        plate,
        record,
    })
}

/// Decoding takes a while and must not hold up other pages.
pub async fn decode(bytes: Vec<u8>) -> Result<Picture, PageError> {
    tokio::task::spawn_blocking(move || {
        let film =
            film::open(&bytes, &Limits::default()).map_err(|e| PageError::input(e.to_string()))?;
        Ok(Picture {
            grey: film.display16(),
            window: film.default_window(),
            film,
        })
    })
    .await
    .map_err(|e| PageError::ours("opening the film", e))?
}

/// What the clinician asked for; the file's own spacing where nothing was asked.
pub fn wish_of(record: &FilmRecord) -> ScaleWish {
    record
        .scale_wish
        .as_ref()
        .and_then(|kept| kept.read(WISH_FORMAT, SCALE_VERSION).ok())
        .unwrap_or(ScaleWish::File { object: None })
}

pub fn kept_scale(wish: &ScaleWish, answer: &ScaleAnswer) -> Result<(Kept, Kept), PageError> {
    let fault = |e| PageError::ours("keeping the scale", e);
    Ok((
        Kept::of(WISH_FORMAT, SCALE_VERSION, wish).map_err(fault)?,
        Kept::of(ANSWER_FORMAT, SCALE_VERSION, answer).map_err(fault)?,
    ))
}

impl OpenFilm {
    /// The points as `reading` takes them.
    ///
    /// # Errors
    /// The view is not known, a key is no key, a coordinate is no number.
    pub fn point_set(&self, points: &BTreeMap<String, [f64; 2]>) -> Result<PointSet, PageError> {
        let view = self.view()?;
        let mut set = PointSet::new(view, self.record.side);
        for (key, [x, y]) in points {
            let key =
                LandmarkKey::new(key.as_str()).map_err(|e| PageError::input(e.to_string()))?;
            if !(x.is_finite() && y.is_finite()) {
                return Err(PageError::input(
                    "found a point whose place is not a number; place it again",
                ));
            }
            set.points.insert(key, PlacedPoint::at(*x, *y));
        }
        Ok(set)
    }

    pub fn view(&self) -> Result<View, PageError> {
        self.record.view.ok_or_else(|| PageError::NotNow {
            sentence: "the view of this film is not known yet; say which view it is before points are placed".to_owned(),
        })
    }

    pub fn read(&self, reader: &Reader, set: &PointSet) -> ReadingSheet {
        reader.read(set, &self.facts)
    }

    pub fn scale_words(&self) -> String {
        match &self.scale {
            ScaleAnswer::Known { words, .. } => crate::error::sentence(words),
            ScaleAnswer::Unknown { reason, .. } => {
                format!("No scale: {reason}. Angles work; millimetres do not.")
            }
        }
    }

    /// What the file says that the record contradicts, and what was odd about the file.
    pub fn notes(&self) -> Vec<String> {
        let header = &self.plate.header;
        let mut notes = Vec::new();
        let chart = header
            .patient_id
            .as_deref()
            .map(str::trim)
            .filter(|c| !c.is_empty());
        if chart.is_some_and(|c| c != self.patient.chart_number.trim()) {
            notes.push("The file carries another chart number than this patient's. Check that the film belongs here.".to_owned());
        }
        if header.birth_date.is_some()
            && self.patient.born_on.is_some()
            && header.birth_date != self.patient.born_on
        {
            notes.push("The file carries another birth date than this patient's. Check that the film belongs here.".to_owned());
        }
        if header.side.is_some() && self.record.side.is_some() && header.side != self.record.side {
            notes.push(
                "The file and the record name different sides. Check the side marker on the film."
                    .to_owned(),
            );
        }
        notes.extend(self.plate.notes.iter().map(|n| crate::error::sentence(n)));
        notes
    }
}
