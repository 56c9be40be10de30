//! What does each film's head say, without reading every film for every question?
//!
//! Heads are kept in memory, as many as fit; what is not there is read from the film. A film never changes, so a head is
//! found by the hash of its film.

use super::key::Machine;
use crate::error::PageError;
use exchange_dicom::{classes, send::web};
use record::{ContentHash, FilmId, FilmRecord, PatientId};
use std::{
    collections::{BTreeSet, HashMap},
    sync::{Arc, Mutex, MutexGuard},
};

/// Heads are a few kilobytes each.
const MOST_BYTES: usize = 64 * 1024 * 1024;
const MOST_PATIENTS: u32 = 100_000;

/// A film of the practice that is a DICOM object.
#[derive(Clone)]
pub struct Listed {
    pub film: FilmId,
    pub patient: PatientId,
    pub head: Arc<web::Head>,
}

#[derive(Default)]
pub struct Heads(Mutex<Kept>);

#[derive(Default)]
struct Kept {
    bytes: usize,
    /// `None`: a file that is no object others could ask for.
    of: HashMap<ContentHash, Option<Arc<web::Head>>>,
}

impl Heads {
    fn kept(&self) -> MutexGuard<'_, Kept> {
        match self.0.lock() {
            Ok(kept) => kept,
            Err(poisoned) => poisoned.into_inner(),
        }
    }

    fn keep(&self, content: ContentHash, head: Option<Arc<web::Head>>) {
        let mut kept = self.kept();
        let more = head.as_ref().map_or(0, |h| h.file.len()) + 256;
        if kept.bytes + more > MOST_BYTES {
            *kept = Kept::default();
        }
        kept.bytes += more;
        kept.of.insert(content, head);
    }
}

/// Every film that the key is given and that is a DICOM object, each object once.
///
/// # Errors
/// Whatever the store fails with.
pub async fn all(machine: &Machine) -> Result<Vec<Listed>, PageError> {
    let store = &machine.state.store;
    let hidden = machine.hidden().await?;
    let mut people = store.find_patients(String::new(), MOST_PATIENTS).await?;
    people.retain(|p| !hidden.contains(&p.id));
    people.sort_by_key(|p| p.id);
    let (mut found, mut there) = (Vec::new(), BTreeSet::new());
    for patient in people {
        for film in store.films_of(patient.id).await? {
            let Some(head) = head_of(machine, &film).await? else {
                continue;
            };
            if there.insert(head.facts.instance_uid.clone()) {
                found.push(Listed {
                    film: film.id,
                    patient: patient.id,
                    head,
                });
            }
        }
    }
    Ok(found)
}

async fn head_of(
    machine: &Machine,
    film: &FilmRecord,
) -> Result<Option<Arc<web::Head>>, PageError> {
    if film.media_type != web::OBJECT {
        return Ok(None);
    }
    let heads = &machine.state.machines.heads;
    let there = heads.kept().of.get(&film.content).cloned();
    if let Some(head) = there {
        return Ok(head);
    }
    let bytes = machine.state.store.film_bytes(film.id).await?;
    // A film without its preamble reads here and is no file that others would take.
    let head = tokio::task::spawn_blocking(move || web::head(&bytes).ok().flatten())
        .await
        .map_err(|e| PageError::ours("reading the head of a film", e))?
        .filter(|h| h.facts.class_uid.as_deref().is_some_and(classes::is_taken))
        .map(Arc::new);
    heads.keep(film.content, head.clone());
    Ok(head)
}
