//! Which feet and devices are in hand, so that a change is answered while the hand still moves?
//!
//! A foot is made once from its bytes and kept; the device of the last change is kept with each order, for
//! sections and maps. Only the last few of both are kept. A foot asked for by several requests at once is
//! made once.

use super::finish::Job;
use super::thinnest::Search;
use crate::visit::gather::Gathered;
use crate::{AppState, error::PageError, heavy};
use ::shell::{Detail, Device};
use record::{OrderId, OrderRecord, OrderSource, ScanRecord};
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::OnceCell;
use workshop::Computed;
use workshop::foot::{
    self as source, Asked, MEASURES_FORMAT, MEASURES_VERSION, Measures, OpenFoot,
};
use workshop::sheet::Wish;

/// A foot takes about 20 MB with its tree.
const MOST_FEET: usize = 8;
/// An order in hand takes about 5 MB, with its files 40 MB.
const MOST_ORDERS: usize = 6;
/// Pages that look at one order at the same time.
const MOST_PAGES: usize = 16;

/// Made once, however many ask for it at the same time.
type FootCell = Arc<OnceCell<Arc<OpenFoot>>>;

#[derive(Default)]
pub struct Bench {
    feet: Mutex<VecDeque<(String, FootCell)>>,
    orders: Mutex<VecDeque<(OrderId, Arc<InHand>)>>,
}

/// One order that somebody works on.
#[derive(Default)]
pub struct InHand {
    /// By page: the newest request that has come in.
    newest: Mutex<BTreeMap<String, u64>>,
    /// The last preview. Held while one is made, so that they are made one after the other.
    pub device: tokio::sync::Mutex<Option<Made>>,
    job: Mutex<Option<Arc<Job>>>,
    /// What is known of the person, as the page last showed it.
    person: Mutex<Option<Arc<Gathered>>>,
    /// The last computation of strength, with what it was computed from.
    strength: Mutex<Option<(String, Arc<Computed>)>>,
    /// The search for the thinnest wall that goes on, or went last.
    search: Mutex<Option<Arc<Search>>>,
}

/// A device with what it was made from.
#[derive(Clone)]
pub struct Made {
    pub key: String,
    pub device: Arc<Device>,
}

impl Bench {
    /// Nothing of any foot or order stays.
    pub fn forget_all(&self) {
        self.feet
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
        self.orders
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clear();
    }
}

impl InHand {
    /// Notes a request of a page; gives its number.
    pub fn arrived(&self, page: &str) -> u64 {
        let mut newest = self.newest.lock().unwrap_or_else(PoisonError::into_inner);
        if newest.len() >= MOST_PAGES && !newest.contains_key(page) {
            newest.pop_first();
        }
        let number = newest.entry(page.to_owned()).or_insert(0);
        *number += 1;
        *number
    }

    /// Has the same page asked again since?
    pub fn is_superseded(&self, page: &str, number: u64) -> bool {
        let newest = self.newest.lock().unwrap_or_else(PoisonError::into_inner);
        newest.get(page).is_some_and(|n| *n != number)
    }

    pub fn job(&self) -> Option<Arc<Job>> {
        self.job
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    pub fn person(&self) -> Option<Arc<Gathered>> {
        self.person
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    pub fn keep_person(&self, person: Arc<Gathered>) {
        *self.person.lock().unwrap_or_else(PoisonError::into_inner) = Some(person);
    }

    /// Only what was computed from this wish and for this weight.
    pub fn strength(&self, key: &str, weight_kg: Option<f64>) -> Option<Arc<Computed>> {
        let kept = self.strength.lock().unwrap_or_else(PoisonError::into_inner);
        kept.as_ref()
            .filter(|(k, c)| k == key && Some(c.weight_kg) == weight_kg)
            .map(|(_, c)| c.clone())
    }

    pub fn keep_strength(&self, key: String, computed: Arc<Computed>) {
        *self.strength.lock().unwrap_or_else(PoisonError::into_inner) = Some((key, computed));
    }

    pub fn search(&self) -> Option<Arc<Search>> {
        self.search
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }

    /// Puts a search in its place and stops the one before it.
    pub fn begin_search(&self, search: Arc<Search>) {
        let before = self
            .search
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .replace(search);
        if let Some(before) = before {
            before.stop();
        }
    }

    /// Puts a job in its place and stops the one before it.
    pub fn begin(&self, job: Arc<Job>) {
        let before = self
            .job
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .replace(job);
        if let Some(before) = before {
            before.stop();
        }
    }
}

/// Moves what was asked for to the front; drops what was not asked for longest.
fn kept<K: PartialEq + Clone, T: Clone + Default>(
    all: &Mutex<VecDeque<(K, T)>>,
    key: &K,
    most: usize,
) -> T {
    let mut all = all.lock().unwrap_or_else(PoisonError::into_inner);
    let place = all.iter().position(|(k, _)| k == key);
    let entry = place
        .and_then(|p| all.remove(p))
        .unwrap_or_else(|| (key.clone(), T::default()));
    all.push_front(entry.clone());
    all.truncate(most);
    entry.1
}

impl Bench {
    pub fn order(&self, id: OrderId) -> Arc<InHand> {
        kept(&self.orders, &id, MOST_ORDERS)
    }

    fn foot(&self, key: &str) -> FootCell {
        kept(&self.feet, &key.to_owned(), MOST_FEET)
    }

    /// Only where it is there already.
    fn foot_in_hand(&self, key: &str) -> Option<Arc<OpenFoot>> {
        let feet = self.feet.lock().unwrap_or_else(PoisonError::into_inner);
        let cell = feet.iter().find(|(k, _)| k == key)?;
        cell.1.get().cloned()
    }
}

/// The answers that a scan's foot follows from.
///
/// # Errors
/// The load was not said.
pub async fn asked_with(state: &AppState, scan: &ScanRecord) -> Result<Asked, PageError> {
    let load = scan.load.ok_or_else(|| PageError::NotNow {
        sentence: "how the foot was loaded while it was scanned is not said; say it beside the scan on the visit's page".to_owned(),
    })?;
    let patient = state.store.patient(scan.patient).await?;
    let visit = state.store.visit(scan.visit).await?;
    Ok(Asked {
        unit: scan.unit.clone(),
        side: scan.side,
        load,
        age_years: patient.age_years_on(scan.taken_on.unwrap_or(visit.on)),
    })
}

fn scan_key(scan: &ScanRecord, asked: &Asked) -> String {
    format!("{} {asked:?}", scan.content)
}

/// The foot of a scan, in hand or made now.
///
/// # Errors
/// A file that is no foot scan, or one whose load was not said.
pub async fn foot_of_scan(state: &AppState, scan: &ScanRecord) -> Result<Arc<OpenFoot>, PageError> {
    let asked = asked_with(state, scan).await?;
    let cell = state.bench.foot(&scan_key(scan, &asked));
    let made = cell.get_or_try_init(|| async {
        let bytes = state.store.scan_bytes(scan.id).await?;
        made(move || source::of_scan(&bytes, &asked)).await
    });
    made.await.cloned()
}

/// The foot of bytes that are not kept yet; it is in hand from now on.
///
/// # Errors
/// As [`foot_of_scan`].
pub async fn foot_of_bytes(
    state: &AppState,
    scan: &ScanRecord,
    bytes: Arc<Vec<u8>>,
) -> Result<Arc<OpenFoot>, PageError> {
    let asked = asked_with(state, scan).await?;
    let cell = state.bench.foot(&scan_key(scan, &asked));
    let made = cell.get_or_try_init(|| made(move || source::of_scan(&bytes, &asked)));
    made.await.cloned()
}

/// Keeps a foot under another answer that gives the same one, so that it is not made twice.
///
/// # Errors
/// The load was not said.
pub async fn keep_as(
    state: &AppState,
    scan: &ScanRecord,
    foot: Arc<OpenFoot>,
) -> Result<(), PageError> {
    let asked = asked_with(state, scan).await?;
    let cell = state.bench.foot(&scan_key(scan, &asked));
    let _ = cell.set(foot);
    Ok(())
}

/// What was found in a scan, where its foot is in hand; never waits.
pub async fn found_in_hand(state: &AppState, scan: &ScanRecord) -> Option<Vec<String>> {
    let asked = asked_with(state, scan).await.ok()?;
    let foot = state.bench.foot_in_hand(&scan_key(scan, &asked))?;
    Some(foot.found.clone())
}

/// Makes the feet of a page that leads to them, while somebody still reads it.
pub fn open_ahead(state: &AppState, scans: Vec<ScanRecord>) {
    let state = state.clone();
    tokio::spawn(async move {
        for scan in scans.iter().take(MOST_FEET / 2) {
            if !state.is_quiet() {
                return;
            }
            let _ = foot_of_scan(&state, scan).await;
        }
    });
}

/// The foot an order is shaped on.
///
/// # Errors
/// As [`foot_of_scan`], or kept measurements that do not read back.
pub async fn foot_of(state: &AppState, order: &OrderRecord) -> Result<Arc<OpenFoot>, PageError> {
    match &order.source {
        OrderSource::Scan { scan } => {
            let mut scan = state.store.scan(*scan).await?;
            // A scan whose side was never said is the order's side.
            scan.side = scan.side.or(Some(order.side));
            foot_of_scan(state, &scan).await
        }
        OrderSource::Measured { measures } => {
            let side = order.side;
            let key = format!("{side:?} {}", record::kept::canonical(&measures.body));
            let measures: Measures = measures
                .read(MEASURES_FORMAT, MEASURES_VERSION)
                .map_err(|e| PageError::ours("reading measurements back", e))?;
            let cell = state.bench.foot(&key);
            let made = cell.get_or_try_init(|| made(move || source::of_measures(side, &measures)));
            made.await.cloned()
        }
    }
}

async fn made(
    make: impl FnOnce() -> Result<OpenFoot, String> + Send + 'static,
) -> Result<Arc<OpenFoot>, PageError> {
    tokio::task::spawn_blocking(|| heavy::done(make))
        .await
        .map_err(|e| PageError::ours("making the foot", e))?
        .map(Arc::new)
        .map_err(PageError::input)
}

/// Makes a device off the server's own threads.
///
/// # Errors
/// What `shell` refuses, with the field it belongs to.
pub async fn device(
    open: Arc<OpenFoot>,
    wish: Wish,
    making: ::shell::Making,
    detail: Detail,
) -> Result<Arc<Device>, ::shell::ShellError> {
    off_thread(move || {
        let foot = wish.foot(&open.foot);
        ::shell::build(&foot, &wish.sheet.prescription, &making, detail)
    })
    .await
}

/// A device as it is drawn while the hand still moves.
///
/// # Errors
/// As [`device`].
pub async fn led(
    open: Arc<OpenFoot>,
    wish: Wish,
    making: ::shell::Making,
) -> Result<Arc<Device>, ::shell::ShellError> {
    off_thread(move || {
        let foot = wish.foot(&open.foot);
        ::shell::lead(&foot, &wish.sheet.prescription, &making)
    })
    .await
}

async fn off_thread(
    make: impl FnOnce() -> Result<Device, ::shell::ShellError> + Send + 'static,
) -> Result<Arc<Device>, ::shell::ShellError> {
    tokio::task::spawn_blocking(move || heavy::done(make).map(Arc::new))
        .await
        .unwrap_or(Err(::shell::ShellError::Foot(
            "that could not be computed on",
        )))
}
