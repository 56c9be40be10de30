//! What does each object's head say, without reading every film and drawing every picture for every question?
//!
//! Heads are kept in memory, as many as fit; what is not there is read from the film, or made of what was read on it. A
//! film never changes, so its head is found by the hash of its file; an object made here by the hash of what it is made
//! from.

use super::key::Machine;
use crate::{
    AppState,
    error::PageError,
    outgoing::made::{self, Kind, Promised, Which},
};
use exchange_dicom::{
    classes,
    send::web::{self, Level, Query},
};
use record::{
    ContentHash, FilmId, FilmRecord, LetterHead, LetterState, Patient, PatientId, Practice,
};
use std::{
    collections::{BTreeMap, BTreeSet, HashMap},
    sync::{Arc, Mutex, MutexGuard},
};

/// Heads are a few kilobytes each.
const MOST_BYTES: usize = 64 * 1024 * 1024;
const MOST_PATIENTS: u32 = 100_000;

/// An object that can be asked for.
#[derive(Clone)]
pub struct Listed {
    pub of: Of,
    pub patient: PatientId,
    pub head: Arc<web::Head>,
    /// Of all objects of its study, where studies are asked for.
    pub modalities: Arc<BTreeSet<String>>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// A film as it came in.
    Film(FilmId),
    /// Made here, of readings or a letter.
    Made(Which),
}

#[derive(Default)]
pub struct Heads(Mutex<Kept>);

#[derive(Default)]
struct Kept {
    bytes: usize,
    /// `None`: no object that others could ask for.
    of: HashMap<ContentHash, Option<Arc<web::Head>>>,
}

impl Heads {
    fn kept(&self) -> MutexGuard<'_, Kept> {
        match self.0.lock() {
            Ok(kept) => kept,
            Err(poisoned) => poisoned.into_inner(),
        }
    }

    fn known(&self, from: ContentHash) -> Option<Option<Arc<web::Head>>> {
        self.kept().of.get(&from).cloned()
    }

    fn keep(&self, from: ContentHash, head: Option<Arc<web::Head>>) {
        let mut kept = self.kept();
        let more = head.as_ref().map_or(0, |h| h.file.len()) + 256;
        if kept.bytes + more > MOST_BYTES {
            *kept = Kept::default();
        }
        kept.bytes += more;
        kept.of.insert(from, head);
    }

    /// After an erasure nothing of it may stay in memory.
    pub fn forget_all(&self) {
        *self.kept() = Kept::default();
    }
}

/// Which of the objects that fit are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// One of each study, series or object: the stretch that the query asks for.
    Page(Level),
    /// Every object.
    All,
}

/// Objects of the practice that the key is given and that fit, each once. Besides what is answered only one patient's heads
/// are held meanwhile.
///
/// # Errors
/// Whatever the store fails with.
pub async fn fitting(
    machine: &Machine,
    query: &Query,
    wanted: Wanted,
) -> Result<Vec<Listed>, PageError> {
    let store = &machine.state.store;
    let hidden = machine.hidden().await?;
    let practice = store.practice().await?.unwrap_or_default();
    let mut people = store.find_patients(String::new(), MOST_PATIENTS).await?;
    people.retain(|p| !hidden.contains(&p.id));
    people.sort_by_key(|p| p.id);
    let (mut found, mut there, mut told) = (Vec::new(), BTreeSet::new(), BTreeSet::new());
    let most = match wanted {
        Wanted::Page(_) => query.most(),
        Wanted::All => usize::MAX,
    };
    let mut passed = 0;
    for patient in people {
        if found.len() >= most {
            break;
        }
        let mut objects = of_patient(&machine.state, &patient, &practice, query).await?;
        objects.retain(|o| there.insert(o.head.facts.instance_uid.clone()));
        if wanted == Wanted::Page(Level::Studies) {
            with_modalities(&mut objects);
        }
        for object in objects {
            if !query.fits(&object.head.facts) {
                continue;
            }
            if let Wanted::Page(level) = wanted {
                if !told.insert(name_of(&object, level)) {
                    continue;
                }
                passed += 1;
                if passed <= query.offset || found.len() >= most {
                    continue;
                }
            }
            found.push(object);
        }
    }
    Ok(found)
}

type Name = [Option<String>; 3];

fn name_of(object: &Listed, level: Level) -> Name {
    let facts = &object.head.facts;
    let study = facts.study_uid.clone();
    match level {
        Level::Studies => [study, None, None],
        Level::Series => [study, facts.series_uid.clone(), None],
        Level::Instances => [study, facts.series_uid.clone(), facts.instance_uid.clone()],
    }
}

fn with_modalities(objects: &mut [Listed]) {
    let mut of_study: BTreeMap<Option<String>, BTreeSet<String>> = BTreeMap::new();
    for object in objects.iter() {
        let facts = &object.head.facts;
        let modalities = of_study.entry(facts.study_uid.clone()).or_default();
        modalities.extend(facts.modality.clone());
    }
    let of_study: BTreeMap<_, _> = of_study
        .into_iter()
        .map(|(study, modalities)| (study, Arc::new(modalities)))
        .collect();
    for object in objects {
        if let Some(modalities) = of_study.get(&object.head.facts.study_uid) {
            object.modalities = modalities.clone();
        }
    }
}

/// Films, each followed by what is made of it, then letters. Where one study is asked for, nothing is made for others.
async fn of_patient(
    state: &AppState,
    patient: &Patient,
    practice: &Practice,
    query: &Query,
) -> Result<Vec<Listed>, PageError> {
    let films = state.store.films_of(patient.id).await?;
    let letters = state.store.letters_of(patient.id).await?;
    let sheets = match films.is_empty() {
        true => Vec::new(),
        false => state.store.sheets_of(patient.id).await?,
    };
    let asked_for = |study: &str| {
        query
            .study_uid
            .as_deref()
            .is_none_or(|asked| asked == study)
    };
    let listed = |of, head| Listed {
        of,
        patient: patient.id,
        head,
        modalities: Arc::default(),
    };
    let mut found = Vec::new();
    for film in &films {
        let head = of_film(state, film).await?;
        if let Some(head) = head.filter(|h| is_film(h)) {
            found.push(listed(Of::Film(film.id), head));
        }
        let study = made::study_uid(state, film.visit, &[film]).await?;
        if !asked_for(&study) {
            continue;
        }
        for promised in Promised::of_film(film, &sheets, patient, practice, &study)? {
            let head = of_promised(state, &promised).await;
            found.extend(head.map(|head| listed(Of::Made(promised.which), head)));
        }
    }
    let is_signed = |l: &&LetterHead| matches!(l.state, LetterState::Signed { .. });
    for letter in letters.iter().filter(is_signed) {
        let beside: Vec<&FilmRecord> = films.iter().filter(|f| f.visit == letter.visit).collect();
        let study = made::study_uid(state, letter.visit, &beside).await?;
        if !asked_for(&study) {
            continue;
        }
        let promised = Promised::of_letter(letter, patient, practice, &study)?;
        let head = of_promised(state, &promised).await;
        found.extend(head.map(|head| listed(Of::Made(promised.which), head)));
    }
    Ok(found)
}

fn is_film(head: &web::Head) -> bool {
    head.facts
        .class_uid
        .as_deref()
        .is_some_and(classes::is_taken)
}

/// The head of a film's file; `None` where it is no DICOM object with every identifier.
///
/// # Errors
/// Whatever the store fails with.
pub async fn of_film(
    state: &AppState,
    film: &FilmRecord,
) -> Result<Option<Arc<web::Head>>, PageError> {
    if film.media_type != web::OBJECT {
        return Ok(None);
    }
    let heads = &state.machines.heads;
    if let Some(head) = heads.known(film.content) {
        return Ok(head);
    }
    let bytes = state.store.film_bytes(film.id).await?;
    // A film without its preamble reads here and is no file that others would take.
    let head = tokio::task::spawn_blocking(move || web::head(&bytes).ok().flatten())
        .await
        .map_err(|e| PageError::ours("reading the head of a film", e))?
        .map(Arc::new);
    heads.keep(film.content, head.clone());
    Ok(head)
}

/// An object that cannot be made is not there, and the others are.
async fn of_promised(state: &AppState, promised: &Promised) -> Option<Arc<web::Head>> {
    let heads = &state.machines.heads;
    if let Some(head) = heads.known(promised.from) {
        return head;
    }
    match promised.which.head(state).await {
        Ok((from, head)) => {
            let head = head.map(Arc::new);
            heads.keep(from, head.clone());
            head
        }
        Err(fault) => {
            not_made(promised.which, &fault);
            None
        }
    }
}

pub fn not_made(which: Which, fault: &PageError) {
    tracing::warn!(
        ?which,
        ?fault,
        "an object could not be made and is left out"
    );
}

/// The head with what only making the whole tells: how large a picture is.
///
/// # Errors
/// Where it could not be made.
pub async fn full(state: &AppState, object: &Listed) -> Result<Arc<web::Head>, PageError> {
    let Of::Made(which @ Which::OfFilm(_, Kind::Picture)) = object.of else {
        return Ok(object.head.clone());
    };
    let instance = object
        .head
        .facts
        .instance_uid
        .as_deref()
        .unwrap_or_default();
    let from = ContentHash::of(format!("drawn {instance}").as_bytes());
    let heads = &state.machines.heads;
    if let Some(Some(head)) = heads.known(from) {
        return Ok(head);
    }
    let head = Arc::new(made::head_of(&which.whole(state).await?)?);
    if head.facts.instance_uid != object.head.facts.instance_uid {
        return Err(PageError::NotFound { what: "object" });
    }
    heads.keep(from, Some(head.clone()));
    Ok(head)
}
