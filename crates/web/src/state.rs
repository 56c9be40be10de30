//! What does every handler hold: the record, the knowledge, a clock, fresh ids and the films and feet in hand.
//!
//! Clock and ids come from outside, so that a test can say what time it is and every page can be
//! made again byte for byte.

use crate::{
    Outside, access::doors::Doors, arrivals::seen::Glimpses, assets::Assets, bench::hand::Bench,
    captures::in_hand::InHand, desk::cache::FilmCache,
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

/// Cheap to clone; one per program.
#[derive(Clone)]
pub struct AppState {
    pub store: Arc<dyn Store>,
    pub knowledge: &'static Knowledge,
    pub clock: Arc<dyn Clock>,
    pub ids: Arc<dyn Ids>,
    pub doors: Arc<Doors>,
    pub outside: Arc<Outside>,
    pub(crate) assets: Arc<Assets>,
    pub(crate) films: Arc<FilmCache>,
    pub(crate) glimpses: Arc<Glimpses>,
    pub(crate) bench: Arc<Bench>,
    pub(crate) captures: Arc<InHand>,
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
            outside: Arc::default(),
            store,
            knowledge,
            clock,
            ids,
            assets: Arc::new(Assets::found()),
            films: Arc::new(FilmCache::default()),
            glimpses: Arc::default(),
            bench: Arc::new(Bench::default()),
            captures: Arc::new(InHand::default()),
        }
    }

    /// With ways in and out.
    pub fn with_outside(mut self, outside: Outside) -> Self {
        self.outside = Arc::new(outside);
        self
    }
}
