//! Who may see what waits, and what does it look like?
//!
//! A film that waits belongs to nobody yet, but it may name somebody whose record is closed. Who is kept out of the
//! record is kept out of the film.

use super::inbox::open;
use crate::{AppState, context::Context, error::PageError};
use axum::{
    extract::Path,
    http::header,
    response::{IntoResponse, Response},
};
use record::{ArrivalId, ArrivalRecord, ContentHash, Patient, PatientId};
use std::collections::{BTreeSet, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

/// A few kilobytes each.
const MOST_GLIMPSES: usize = 100;
const GLIMPSE_WIDTH: u32 = 260;
/// People of one name who are looked at.
const MOST_NAMESAKES: u32 = 20;

/// Small pictures that were made already.
#[derive(Default)]
pub struct Glimpses {
    /// One film is unpacked at a time.
    unpacking: tokio::sync::Mutex<()>,
    made: Mutex<VecDeque<(ContentHash, Arc<Vec<u8>>)>>,
}

impl Glimpses {
    pub fn forget_all(&self) {
        self.made
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }

    fn known(&self, content: ContentHash) -> Option<Arc<Vec<u8>>> {
        let made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        let found = made.iter().find(|(known, _)| *known == content);
        found.map(|(_, png)| png.clone())
    }

    fn keep(&self, content: ContentHash, png: Arc<Vec<u8>>) {
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        made.push_front((content, png));
        made.truncate(MOST_GLIMPSES);
    }
}

/// The words of a name as the head writes it (family^given^middle).
pub fn name_words(written: &str) -> String {
    let parts: Vec<&str> = written.split('^').take(3).collect();
    parts.join(" ").trim().to_owned()
}

/// Whose film it may be: first whoever has its number, then whoever has its name.
pub async fn candidates(
    state: &AppState,
    arrival: &ArrivalRecord,
) -> Result<Vec<(Patient, &'static str)>, PageError> {
    let says = &arrival.says;
    let mut found: Vec<(Patient, &'static str)> = Vec::new();
    if let Some(number) = &says.chart_number {
        let numbered = state.store.patients_numbered(number.clone()).await?;
        found.extend(numbered.into_iter().map(|p| (p, "the same chart number")));
    }
    let name = says.name.as_deref().map(name_words).unwrap_or_default();
    if !record::fold(&name).is_empty() {
        for patient in state.store.find_patients(name, MOST_NAMESAKES).await? {
            if found.iter().all(|(p, _)| p.id != patient.id) {
                let same_birth = says.born_on.is_some() && says.born_on == patient.born_on;
                let how = match same_birth {
                    true => "the same name and birth date",
                    false => "the same name",
                };
                found.push((patient, how));
            }
        }
    }
    Ok(found)
}

/// Is it, by number or by name and birth date, somebody's whose record is closed to this person?
pub fn is_closed(
    arrival: &ArrivalRecord,
    candidates: &[(Patient, &'static str)],
    hidden: &BTreeSet<PatientId>,
) -> bool {
    candidates.iter().any(|(patient, how)| {
        let other_birth = matches!(
            (arrival.says.born_on, patient.born_on),
            (Some(a), Some(b)) if a != b
        );
        hidden.contains(&patient.id) && (*how == "the same chart number" || !other_birth)
    })
}

/// The film, where this person may see it.
///
/// # Errors
/// `MayNot` where it names somebody whose record is closed to them.
pub async fn seen(context: &Context, id: &str) -> Result<ArrivalRecord, PageError> {
    let id: ArrivalId = id.parse()?;
    let arrival = context.state.store.arrival(id).await?;
    let hidden = context.hidden().await?;
    if !hidden.is_empty() {
        let candidates = candidates(&context.state, &arrival).await?;
        if is_closed(&arrival, &candidates, &hidden) {
            return Err(closed());
        }
    }
    Ok(arrival)
}

pub fn closed() -> PageError {
    PageError::MayNot {
        sentence: "this film seems to belong to a record that is closed to you; somebody to whom it is open can take it".to_owned(),
    }
}

/// `GET /arrival/{id}/picture.png`
pub async fn picture(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let arrival = seen(&context, &id).await?;
    let png = glimpse(&context.state, &arrival).await?;
    let heads = [
        (header::CONTENT_TYPE, "image/png"),
        (header::CACHE_CONTROL, "private, no-cache"),
    ];
    Ok((heads, png.as_ref().clone()).into_response())
}

async fn glimpse(state: &AppState, arrival: &ArrivalRecord) -> Result<Arc<Vec<u8>>, PageError> {
    let glimpses = &state.glimpses;
    if let Some(known) = glimpses.known(arrival.content) {
        return Ok(known);
    }
    let _alone = glimpses.unpacking.lock().await;
    if let Some(known) = glimpses.known(arrival.content) {
        return Ok(known);
    }
    let picture = open(state, arrival).await?;
    let png = tokio::task::spawn_blocking(move || {
        let (w, h) = (picture.film.width, picture.film.height);
        let step = w.max(h).div_ceil(GLIMPSE_WIDTH).max(1);
        let (small, sw, sh) = film::tone::averaged(&picture.grey, w, h, step);
        let grey: Vec<u8> = small
            .iter()
            .map(|level| picture.window.grey8(f64::from(*level)))
            .collect();
        film::encode_png8(&grey, sw, sh)
    })
    .await
    .map_err(|e| PageError::ours("drawing the film", e))?
    .map_err(|e| PageError::ours("packing the picture", e))?;
    let png = Arc::new(png);
    glimpses.keep(arrival.content, png.clone());
    Ok(png)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_of_a_head_becomes_words_to_search_by() {
        assert_eq!(name_words("Müller^Anna^Maria^Dr"), "Müller Anna Maria");
        assert_eq!(name_words("Müller"), "Müller");
        assert_eq!(name_words("^^"), "");
    }
}
