//! Films in hand: decoding a film takes a tenth of a second, so the last few stay open, by the hash of
//! their bytes. A film's picture never changes; what is known of it comes from the record each time.

use crate::{AppState, error::PageError};
use axum::body::Bytes;
use film::{Film, Limits, Window};
use reading::Reader;
use record::{ContentHash, FilmRecord};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use terms::View;

/// How many films stay open; two feet, two views, now and before.
const MOST_OPEN: usize = 8;

/// A film decoded once.
#[derive(Debug)]
pub struct OpenFilm {
    pub film: Film,
    pub display: Vec<u16>,
    pub window: Window,
    /// The display picture as little-endian bytes, as the page takes it.
    pub grey: Bytes,
}

/// The films and the readers in hand.
#[derive(Debug, Default)]
pub struct FilmCache {
    open: Mutex<Vec<(ContentHash, Arc<OpenFilm>)>>,
    readers: OnceLock<BTreeMap<View, Reader>>,
}

impl FilmCache {
    /// The compiled measures of a view.
    pub fn reader(&self, knowledge: &'static knowledge::Knowledge, view: View) -> Option<&Reader> {
        self.readers
            .get_or_init(|| {
                View::ALL
                    .into_iter()
                    .map(|v| (v, Reader::new(knowledge, v)))
                    .collect()
            })
            .get(&view)
    }

    fn find(&self, content: ContentHash) -> Option<Arc<OpenFilm>> {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        let at = open.iter().position(|(hash, _)| *hash == content)?;
        let found = open.remove(at);
        open.push(found.clone());
        Some(found.1)
    }

    fn keep(&self, content: ContentHash, film: Arc<OpenFilm>) {
        let mut open = self.open.lock().unwrap_or_else(PoisonError::into_inner);
        open.retain(|(hash, _)| *hash != content);
        open.push((content, film));
        if open.len() > MOST_OPEN {
            open.remove(0);
        }
    }
}

/// The decoded film of a record.
///
/// # Errors
/// The bytes are gone or damaged, or the file is none that can be read (which was found when it came in).
pub async fn open(state: &AppState, record: &FilmRecord) -> Result<Arc<OpenFilm>, PageError> {
    if let Some(film) = state.films.find(record.content) {
        return Ok(film);
    }
    let bytes = state.store.film_bytes(record.id).await?;
    let film = tokio::task::spawn_blocking(move || decode(&bytes))
        .await
        .map_err(|e| PageError::ours("opening the film", e))??;
    let film = Arc::new(film);
    state.films.keep(record.content, film.clone());
    Ok(film)
}

fn decode(bytes: &[u8]) -> Result<OpenFilm, PageError> {
    let film =
        film::open(bytes, &Limits::default()).map_err(|e| PageError::input(e.to_string()))?;
    let display = film.display16();
    let grey: Vec<u8> = display
        .iter()
        .flat_map(|level| level.to_le_bytes())
        .collect();
    Ok(OpenFilm {
        window: film.default_window(),
        display,
        grey: grey.into(),
        film,
    })
}
