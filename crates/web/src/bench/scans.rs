//! Foot scans come in: the surface is made before the file is kept, and what no file says is asked.
//!
//! What a visit and a patient show of scans and orders is put together here too.

use super::hand;
use super::preview::blocking;
use super::sizes::{Scanned, Sizes, sizes};
use crate::AppState;
use crate::adapt::person::person_on;
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::words;
use askama::Template;
use axum::{
    Form,
    extract::{Multipart, Path},
    response::{Redirect, Response},
};
use record::{
    ContentHash, OrderRecord, OrderSource, Patient, PatientId, ScanId, ScanRecord, VisitId,
};
use std::collections::BTreeMap;
use std::sync::Arc;
use surface::Unit;
use terms::{Load, Side};
use workshop::foot::{OpenFoot, units};

/// Loads by the key of the form.
pub const LOADS: [(&str, Load); 3] = [
    ("none", Load::None),
    ("partial", Load::Partial),
    ("full", Load::Full),
];

fn load_of(key: &str) -> Option<Load> {
    LOADS.iter().find(|(k, _)| *k == key).map(|(_, l)| *l)
}

fn side_of(key: &str) -> Option<Side> {
    match key {
        "left" => Some(Side::Left),
        "right" => Some(Side::Right),
        _ => None,
    }
}

fn unit_of(key: &str) -> Option<String> {
    Unit::from_key(key).map(|u| u.key().to_owned())
}

/// `POST /visit/{id}/scans`: the file, the load, and side and unit where the person says them.
pub async fn take_in(
    context: Context,
    Path(id): Path<String>,
    mut form: Multipart,
) -> Result<Redirect, PageError> {
    let state = &context.state;
    let visit = state.store.visit(id.parse::<VisitId>()?).await?;
    let (mut bytes, mut file_name) = (Vec::new(), String::new());
    let (mut side, mut load, mut unit) = (String::new(), String::new(), String::new());
    let broken = |_| PageError::input("the upload broke off; choose the file again");
    while let Some(field) = form.next_field().await.map_err(broken)? {
        match field.name().unwrap_or_default() {
            "scan" => {
                file_name = crate::words::file_name(field.file_name());
                let whole = field.bytes().await.map_err(|_| {
                    PageError::input(
                        "the file could not be taken in whole; send one scan of at most 64 MB",
                    )
                })?;
                bytes = whole.to_vec();
            }
            "side" => side = field.text().await.map_err(broken)?,
            "load" => load = field.text().await.map_err(broken)?,
            "unit" => unit = field.text().await.map_err(broken)?,
            _ => {}
        }
    }
    if bytes.is_empty() {
        return Err(PageError::input(
            "found no file; choose a foot scan (STL, OBJ, PLY or 3MF) first",
        ));
    }
    let load = load_of(&load).ok_or_else(|| {
        PageError::input("found nothing about the load; say whether the foot was scanned hanging, sitting or standing")
    })?;
    let content = ContentHash::of(&bytes);
    let known = state.store.scans_of(visit.patient).await?;
    if let Some(own) = known.iter().find(|s| s.content == content) {
        return Ok(Redirect::to(&format!("/scan/{}", own.id)));
    }
    let mut record = ScanRecord {
        id: ScanId::new(state.ids.fresh()),
        patient: visit.patient,
        visit: visit.id,
        side: side_of(&side),
        load: Some(load),
        unit: unit_of(&unit),
        taken_on: Some(visit.on),
        file_name,
        content,
        media_type: media_type(&bytes).to_owned(),
        note: String::new(),
    };
    let bytes = Arc::new(bytes);
    let foot = hand::foot_of_bytes(state, &record, bytes.clone()).await?;
    // What the surface shows is taken over; the clinician can say otherwise on the scan's page.
    record.side = Some(foot.foot.side);
    hand::keep_as(state, &record, foot).await?;
    let bytes = Arc::try_unwrap(bytes).unwrap_or_else(|shared| (*shared).clone());
    let scan = record.id;
    state
        .store
        .import_scan(context.stamp(), record, bytes)
        .await?;
    Ok(Redirect::to(&format!("/scan/{scan}")))
}

/// By the file's own first bytes; the name it came with says nothing.
fn media_type(bytes: &[u8]) -> &'static str {
    match bytes {
        [b'P', b'K', ..] => "model/3mf",
        [b'p', b'l', b'y', ..] => "application/ply",
        [b'<', ..] => "application/xml",
        [b'v' | b'#' | b'o' | b'g' | b'm', ..] => "model/obj",
        _ => "model/stl",
    }
}

#[derive(Template)]
#[template(path = "bench/scan.html")]
struct ScanPage {
    shell: Shell,
    id: String,
    patient: String,
    visit: String,
    name: String,
    what: String,
    file_name: String,
    found: Vec<String>,
    fault: Option<String>,
    sizes: Option<Sizes>,
    side: &'static str,
    load: &'static str,
    unit: String,
    taken_on: String,
    note: String,
    loads: Vec<(&'static str, &'static str)>,
    units: Vec<(&'static str, &'static str)>,
}

/// `GET /scan/{id}`: what was found in it, and the answers that go with it.
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let store = &context.state.store;
    let scan = store.scan(id.parse::<ScanId>()?).await?;
    let patient = store.patient(scan.patient).await?;
    let (found, fault, sizes) = match hand::foot_of_scan(&context.state, &scan).await {
        Ok(foot) => (
            foot.found.clone(),
            None,
            Some(measured(&context, &scan, &patient, foot).await?),
        ),
        Err(why) => (
            Vec::new(),
            Some(crate::error::sentence(&why.to_string())),
            None,
        ),
    };
    let load = LOADS.iter().find(|(_, l)| Some(*l) == scan.load);
    page(&ScanPage {
        id: scan.id.to_string(),
        patient: patient.id.to_string(),
        visit: scan.visit.to_string(),
        name: words::full_name(&patient),
        what: scan_words(&scan),
        file_name: scan.file_name.clone(),
        found,
        fault,
        sizes,
        side: scan.side.map_or("", |s| s.word()),
        load: load.map_or("", |(k, _)| k),
        unit: scan.unit.clone().unwrap_or_default(),
        taken_on: scan.taken_on.map(words::iso_day).unwrap_or_default(),
        note: scan.note.clone(),
        loads: load_choices(),
        units: units(),
        shell: context.shell(format!("Foot scan, {}", scan_words(&scan)), Nav::Inside),
    })
}

/// The foot's sizes, beside those of the other foot where this visit has its scan.
async fn measured(
    context: &Context,
    scan: &ScanRecord,
    patient: &Patient,
    foot: Arc<OpenFoot>,
) -> Result<Sizes, PageError> {
    let store = &context.state.store;
    let visit = store.visit(scan.visit).await?;
    let person = person_on(patient, scan.taken_on.unwrap_or(visit.on));
    let side = foot.foot.side.other();
    let beside = store
        .scans_of(scan.patient)
        .await?
        .into_iter()
        .rev()
        .find(|s| s.visit == scan.visit && s.side == Some(side) && s.load.is_some());
    let mut other = None;
    if let Some(record) = beside {
        // A scan that is no foot says so on its own page.
        if let Ok(foot) = hand::foot_of_scan(&context.state, &record).await {
            other = Some((record, foot));
        }
    }
    let (own, knowledge) = (scan.clone(), context.state.knowledge);
    blocking(move || {
        let other = other
            .as_ref()
            .map(|(record, foot)| Scanned { record, foot });
        let own = Scanned {
            record: &own,
            foot: &foot,
        };
        sizes(&own, other.as_ref(), &person, knowledge)
    })
    .await
}

fn load_choices() -> Vec<(&'static str, &'static str)> {
    LOADS.iter().map(|(k, l)| (*k, l.words())).collect()
}

/// `POST /scan/{id}`
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Form(texts): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let store = &context.state.store;
    let scan = store.scan(id.parse::<ScanId>()?).await?;
    let said = |key: &str| texts.get(key).map_or("", |t| t.trim());
    let changed = ScanRecord {
        side: side_of(said("side")),
        load: load_of(said("load")),
        unit: unit_of(said("unit")),
        taken_on: words::parse_day(said("taken_on")),
        note: said("note").to_owned(),
        ..scan
    };
    if changed.load.is_none() {
        return Err(PageError::input(
            "found nothing about the load; say whether the foot was scanned hanging, sitting or standing",
        ));
    }
    // What was said must fit the surface before it is kept.
    hand::foot_of_scan(&context.state, &changed).await?;
    let id = changed.id;
    store.save_scan(context.stamp(), changed).await?;
    Ok(Redirect::to(&format!("/scan/{id}")))
}

/// `left foot, standing, full weight`
pub fn scan_words(scan: &ScanRecord) -> String {
    let side = scan
        .side
        .map_or("side not said".to_owned(), |s| format!("{} foot", s.word()));
    format!(
        "{side}, {}",
        scan.load.map_or("load not said", |l| l.words())
    )
}

/// What the visit's page shows of scans and orders.
pub struct DevicePart {
    pub columns: Vec<ScanColumn>,
    /// Of earlier visits.
    pub earlier: Vec<ScanLine>,
    pub orders: Vec<OrderLine>,
    pub loads: Vec<(&'static str, &'static str)>,
    pub units: Vec<(&'static str, &'static str)>,
}

impl DevicePart {
    pub fn no_scan(&self) -> bool {
        self.columns.iter().all(|c| c.scans.is_empty())
    }
}

pub struct ScanColumn {
    pub head: &'static str,
    pub scans: Vec<ScanLine>,
}

pub struct ScanLine {
    pub id: String,
    pub what: String,
    pub side: &'static str,
    /// `None` while it is not in hand; its own page shows it.
    pub found: Option<Vec<String>>,
    pub usable: bool,
}

pub struct OrderLine {
    pub id: String,
    pub what: String,
    pub state: String,
    pub sent: bool,
}

/// # Errors
/// No such visit.
pub async fn device_part(
    context: &Context,
    visit: VisitId,
    patient: PatientId,
) -> Result<DevicePart, PageError> {
    let store = &context.state.store;
    let (mut here, mut earlier) = (Vec::new(), Vec::new());
    let scans = store.scans_of(patient).await?;
    let own: Vec<ScanRecord> = scans.iter().filter(|s| s.visit == visit).cloned().collect();
    for scan in &scans {
        let line = scan_line(&context.state, scan).await;
        if scan.visit == visit {
            here.push((scan.side, line))
        } else {
            earlier.push(line)
        }
    }
    hand::open_ahead(&context.state, own);
    let mut columns: Vec<ScanColumn> = [
        (Some(Side::Left), "Left"),
        (Some(Side::Right), "Right"),
        (None, "Side not said"),
    ]
    .into_iter()
    .map(|(side, head)| {
        let (of_it, others) = std::mem::take(&mut here)
            .into_iter()
            .partition(|(s, _)| *s == side);
        here = others;
        let of_it: Vec<_> = of_it;
        ScanColumn {
            head,
            scans: of_it.into_iter().map(|(_, l)| l).collect(),
        }
    })
    .collect();
    if columns.last().is_some_and(|c| c.scans.is_empty()) {
        columns.pop();
    }
    let orders = store.orders_of_visit(visit).await?;
    Ok(DevicePart {
        columns,
        earlier,
        orders: orders.iter().map(|o| order_line(context, o)).collect(),
        loads: load_choices(),
        units: units(),
    })
}

async fn scan_line(state: &AppState, scan: &ScanRecord) -> ScanLine {
    ScanLine {
        id: scan.id.to_string(),
        what: scan_words(scan),
        side: scan.side.map_or("", |s| s.word()),
        found: hand::found_in_hand(state, scan).await,
        usable: scan.load.is_some(),
    }
}

pub fn order_line(context: &Context, order: &OrderRecord) -> OrderLine {
    let from = match order.source {
        OrderSource::Scan { .. } => "from a scan",
        OrderSource::Measured { .. } => "from measurements",
    };
    let day =
        |at: time::OffsetDateTime| words::short_day(at.to_offset(context.now.offset()).date());
    OrderLine {
        id: order.id.to_string(),
        what: format!("Device {}, {} foot", order.code, order.side.word()),
        state: match &order.sent {
            Some(sent) => format!("{from}, sent {}", day(sent.at)),
            None => format!("{from}, draft, last changed {}", day(order.saved_at)),
        },
        sent: order.sent.is_some(),
    }
}
