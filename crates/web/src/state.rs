//! What does every handler hold: the record, the knowledge, a clock, fresh ids and the films and feet in hand.
//!
//! Clock and ids come from outside, so that a test can say what time it is and every page can be
//! made again byte for byte.

use crate::{
    Outside,
    access::doors::Doors,
    arrivals::seen::Glimpses,
    assets::Assets,
    bench::hand::Bench,
    captures::in_hand::InHand,
    desk::{cache::FilmCache, pictures::Pictures},
    machines::Machines,
    pace::Pace,
};
use knowledge::Knowledge;
use std::sync::Arc;
use store::Store;
use time::OffsetDateTime;
use uuid::Uuid;

/// Tells the time in the practice's own zone.
pub trait Clock: Send + Sync {
    fn now(&self) -> OffsetDateTime;
}

/// Makes a fresh id with every call (UUID version 7 in the running program).
pub trait Ids: Send + Sync {
    fn fresh(&self) -> Uuid;
}

/// A backup that was proved, as a page tells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct KeptBackup {
    pub at: OffsetDateTime,
    pub bytes: u64,
}

/// Backups that are made by the clock.
pub trait Backups: Send + Sync {
    fn folder(&self) -> String;
    /// Between two of them.
    fn hours(&self) -> u32;
    /// Oldest first.
    ///
    /// # Errors
    /// A sentence where they cannot be looked at.
    fn kept(&self) -> Result<Vec<KeptBackup>, String>;
}

/// What a loss of the disk or of the machine would mean.
#[derive(Clone, Default)]
pub struct Safety {
    /// Records and files are sealed where they lie.
    pub sealed: bool,
    /// Ties the copies without names of one person together; `None` where the practice has no keyring.
    pub copies: Option<[u8; 32]>,
    /// `None` where none are made by the clock.
    pub backups: Option<Arc<dyn Backups>>,
}

/// Cheap to clone; one per program.
#[derive(Clone)]
pub struct AppState {
    pub store: Arc<dyn Store>,
    pub knowledge: &'static Knowledge,
    pub clock: Arc<dyn Clock>,
    pub ids: Arc<dyn Ids>,
    pub doors: Arc<Doors>,
    pub safety: Safety,
    pub outside: Arc<Outside>,
    pub(crate) assets: Arc<Assets>,
    pub(crate) films: Arc<FilmCache>,
    pub(crate) pictures: Arc<Pictures>,
    pub(crate) pace: Arc<Pace>,
    pub(crate) glimpses: Arc<Glimpses>,
    /// Held while a film that comes in by itself is taken in.
    pub(crate) taking_in: Arc<tokio::sync::Mutex<()>>,
    pub(crate) bench: Arc<Bench>,
    pub(crate) captures: Arc<InHand>,
    pub(crate) machines: Arc<Machines>,
}

impl AppState {
    pub fn new(
        store: Arc<dyn Store>,
        knowledge: &'static Knowledge,
        clock: Arc<dyn Clock>,
        ids: Arc<dyn Ids>,
        doors: Doors,
    ) -> Self {
        Self {
            doors: Arc::new(doors),
            safety: Safety::default(),
            outside: Arc::default(),
            store,
            knowledge,
            clock,
            ids,
            assets: Arc::new(Assets::found()),
            films: Arc::new(FilmCache::default()),
            pictures: Arc::default(),
            pace: Arc::default(),
            glimpses: Arc::default(),
            taking_in: Arc::default(),
            bench: Arc::new(Bench::default()),
            captures: Arc::new(InHand::default()),
            machines: Arc::new(Machines::default()),
        }
    }

    /// Whatever is held ready of any record: after an erasure nothing of it may stay in memory.
    pub(crate) fn forget_all(&self) {
        self.films.forget_files();
        self.pictures.forget_all();
        self.bench.forget_all();
        self.captures.forget_all();
        self.glimpses.forget_all();
        self.machines.heads.forget_all();
    }

    /// May something be got ready that nobody has asked for yet?
    pub(crate) fn is_quiet(&self) -> bool {
        self.pace.is_quiet(self.clock.now())
    }

    #[must_use]
    pub fn with_safety(self, safety: Safety) -> Self {
        Self { safety, ..self }
    }

    /// With ways in and out.
    pub fn with_outside(mut self, outside: Outside) -> Self {
        self.outside = Arc::new(outside);
        self
    }
}
