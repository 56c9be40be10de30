//! Orders of devices: revisions while a draft, then sent with their files and never changed again.
//!
//! Three tables that are only added to: what stays with an order, its revisions, and what was sent.
//! Sending makes no revision: it freezes the one that was seen.

use crate::SqlStore;
use crate::act::Entry;
use crate::cells::{Cells, from_word, json_text, json_text_if_any, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::{Fault, damaged};
use crate::findings::{check_seen, step_back};
use crate::{intake, people, visits};
use record::{
    ActKind, BadRecord, ContentHash, OrderId, OrderRecord, OrderSource, Patient, PatientId, ScanId,
    ScanRecord, Sent, Stamp, Subject, VisitId,
};
use sqlx::AssertSqlSafe;
use store::StoreError;
use terms::Side;

const THIS: &str = "the order";

/// Every revision of every order; what was sent stands at the revision that was.
const COLUMNS: &str = "device_order.id AS order_id, device_order.patient, device_order.visit,
    device_order.side, device_order.code, order_revision.revision, order_revision.content_of,
    order_revision.scan, order_revision.measures, order_revision.points,
    order_revision.prescription, order_revision.saved_at, order_sent.sent_at, order_sent.sheet,
    order_sent.solids";
const REVISIONS: &str = "device_order
    JOIN order_revision ON order_revision.order_id = device_order.id
    LEFT JOIN order_sent ON order_sent.order_id = device_order.id
     AND order_sent.revision = order_revision.revision";
const LAST: &str =
    "order_revision.revision = (SELECT max(each.revision) FROM order_revision AS each
    WHERE each.order_id = device_order.id)";

/// Begins every 3MF, which is a ZIP archive (APPNOTE 4.3.7).
const ZIP: &[u8] = b"PK\x03\x04";

impl SqlStore {
    pub(crate) async fn keep_order(
        &self,
        stamp: Stamp,
        order: OrderRecord,
        seen: u32,
    ) -> Result<OrderRecord, StoreError> {
        order.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                let before = now_if_any(db, order.id).await?;
                if let Some(before) = &before {
                    check_in_hand(before)?;
                    check_same(before, &order)?;
                }
                if order.sent.is_some() {
                    let expected = "a draft, sent later";
                    return Err(BadRecord::new(THIS, "one that is sent", expected).into());
                }
                let found = before.as_ref().map_or(0, |b| b.revision);
                let revision = check_seen(THIS, seen, found)?;
                let order = OrderRecord {
                    revision,
                    content_of: revision,
                    saved_at: stamp.at,
                    ..order
                };
                if before.is_none() {
                    begin(db, &order).await?;
                }
                check_scan(db, &order).await?;
                add_revision(db, stamp, &order).await?;
                Ok((entry(ActKind::OrderSaved, &order), order))
            })
        })
        .await
    }

    pub(crate) async fn step_back_order(
        &self,
        stamp: Stamp,
        id: OrderId,
        seen: u32,
    ) -> Result<OrderRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                let now = by_id(db, id).await?;
                check_in_hand(&now)?;
                let revision = check_seen(THIS, seen, now.revision)?;
                let Some(earlier) = step_back(now.content_of) else {
                    return Err(StoreError::NothingToUndo { what: THIS }.into());
                };
                let order = OrderRecord {
                    revision,
                    saved_at: stamp.at,
                    ..at(db, id, earlier).await?
                };
                add_revision(db, stamp, &order).await?;
                Ok((entry(ActKind::OrderUndone, &order), order))
            })
        })
        .await
    }

    pub(crate) async fn freeze_order(
        &self,
        stamp: Stamp,
        id: OrderId,
        seen: u32,
        sheet: Vec<u8>,
        solids: Vec<u8>,
    ) -> Result<OrderRecord, StoreError> {
        if !sheet.starts_with(b"%PDF-") {
            return Err(BadRecord::new("the order's sheet", "another file", "a PDF").into());
        }
        if !solids.starts_with(ZIP) {
            return Err(BadRecord::new("the order's solids", "another file", "a 3MF").into());
        }
        let (sheet, solids) = (self.hashed(sheet).await?, self.hashed(solids).await?);
        let sent = Sent {
            at: stamp.at,
            sheet: sheet.content,
            solids: solids.content,
        };
        self.with_files(stamp, vec![sheet, solids], move |store| async move {
            store.keep_sent(stamp, id, seen, sent).await
        })
        .await
    }

    async fn keep_sent(
        &self,
        stamp: Stamp,
        id: OrderId,
        seen: u32,
        sent: Sent,
    ) -> Result<OrderRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                let now = by_id(db, id).await?;
                check_in_hand(&now)?;
                check_seen(THIS, seen, now.revision)?;
                query(
                    "INSERT INTO order_sent (order_id, revision, sent_at, sent_by, sheet, solids)
                     VALUES ($1, $2, $3, $4, $5, $6)",
                )
                .bind(id.to_string())
                .bind(now.revision)
                .bind(moment_text(sent.at)?)
                .bind(stamp.by.to_string())
                .bind(sent.sheet.to_string())
                .bind(sent.solids.to_string())
                .execute(db)
                .await?;
                let order = OrderRecord {
                    sent: Some(sent),
                    ..now
                };
                Ok((entry(ActKind::OrderSent, &order), order))
            })
        })
        .await
    }

    /// One of the files that were sent.
    pub(crate) async fn sent_file(
        &self,
        id: OrderId,
        which: fn(&Sent) -> ContentHash,
    ) -> Result<Vec<u8>, StoreError> {
        match self.read(async |db| by_id(db, id).await).await?.sent {
            Some(sent) => self.bytes(which(&sent)).await,
            None => Err(StoreError::NotSent),
        }
    }
}

fn entry(kind: ActKind, order: &OrderRecord) -> Entry {
    Entry::saying(
        kind,
        Subject::Order(order.id),
        format_args!("{} foot, revision {}", order.side.word(), order.revision),
    )
}

fn check_in_hand(order: &OrderRecord) -> Result<(), StoreError> {
    match order.sent {
        None => Ok(()),
        Some(_) => Err(StoreError::Frozen {
            what: "an order",
            state: "sent",
            instead: "begin a new order",
        }),
    }
}

fn check_same(before: &OrderRecord, order: &OrderRecord) -> Result<(), BadRecord> {
    let whose = |o: &OrderRecord| (o.patient, o.visit, o.side);
    if whose(before) == whose(order) && before.code == order.code {
        return Ok(());
    }
    Err(BadRecord::new(
        THIS,
        "another patient, visit, side or code",
        "those it was begun with",
    ))
}

/// A scan of another person under this person's foot would be a device for the wrong one.
async fn check_scan(db: &mut Db, order: &OrderRecord) -> Result<(), Fault> {
    let OrderSource::Scan { scan } = order.source else {
        return Ok(());
    };
    let scan: ScanRecord = intake::by_id(db, scan).await?;
    if scan.patient != order.patient {
        return Err(BadRecord::new(THIS, "a scan of another patient", "a scan of this one").into());
    }
    if scan.side.is_some_and(|side| side != order.side) {
        return Err(
            BadRecord::new(THIS, "a scan of the other foot", "a scan of its own side").into(),
        );
    }
    Ok(())
}

/// Was a device sent that was shaped on this scan?
pub async fn was_sent_on(db: &mut Db, scan: ScanId) -> Result<bool, Fault> {
    let sent = query(
        "SELECT count(*) FROM order_sent
         JOIN order_revision USING (order_id, revision) WHERE order_revision.scan = $1",
    )
    .bind(scan.to_string())
    .number(db)
    .await?;
    Ok(sent > 0)
}

/// Sides of the orders that were ever shaped on this scan: an undo may bring each of them back.
pub async fn sides_on(db: &mut Db, scan: ScanId) -> Result<Vec<Side>, Fault> {
    let rows = query(
        "SELECT DISTINCT device_order.side FROM device_order
         JOIN order_revision ON order_revision.order_id = device_order.id
         WHERE order_revision.scan = $1 ORDER BY device_order.side",
    )
    .bind(scan.to_string())
    .fetch_all(db)
    .await?;
    let cells = |row| Cells {
        table: "device_order",
        row,
    };
    rows.iter()
        .map(|row| cells(row).word("side", from_word))
        .collect()
}

async fn begin(db: &mut Db, order: &OrderRecord) -> Result<(), Fault> {
    intake::check_patient(db, THIS, order.visit, order.patient).await?;
    let others = query("SELECT count(*) FROM device_order WHERE code = $1")
        .bind(&order.code)
        .number(&mut *db)
        .await?;
    if others > 0 {
        return Err(StoreError::Taken {
            what: "this order code",
        }
        .into());
    }
    query("INSERT INTO device_order (id, patient, visit, side, code) VALUES ($1, $2, $3, $4, $5)")
        .bind(order.id.to_string())
        .bind(order.patient.to_string())
        .bind(order.visit.to_string())
        .bind(order.side.word())
        .bind(&order.code)
        .execute(db)
        .await?;
    Ok(())
}

async fn add_revision(db: &mut Db, stamp: Stamp, order: &OrderRecord) -> Result<(), Fault> {
    let (scan, measures) = match &order.source {
        OrderSource::Scan { scan } => (Some(scan.to_string()), None),
        OrderSource::Measured { measures } => (None, Some(json_text(measures)?)),
    };
    query(
        "INSERT INTO order_revision (order_id, patient, revision, content_of, scan, measures, points,
           prescription, saved_at, saved_by)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
    )
    .bind(order.id.to_string())
    .bind(order.patient.to_string())
    .bind(order.revision)
    .bind(order.content_of)
    .bind(scan)
    .bind(measures)
    .bind(json_text_if_any(&order.points)?)
    .bind(json_text(&order.prescription)?)
    .bind(moment_text(stamp.at)?)
    .bind(stamp.by.to_string())
    .execute(db)
    .await?;
    Ok(())
}

fn missing(id: OrderId) -> Fault {
    StoreError::missing(OrderId::WHAT, id).into()
}

async fn now_if_any(db: &mut Db, id: OrderId) -> Result<Option<OrderRecord>, Fault> {
    let row = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS} FROM {REVISIONS} WHERE device_order.id = $1 AND {LAST}"
    )))
    .bind(id.to_string())
    .fetch_optional(db)
    .await?;
    row.as_ref().map(read).transpose()
}

/// As it stands now.
pub async fn by_id(db: &mut Db, id: OrderId) -> Result<OrderRecord, Fault> {
    now_if_any(db, id).await?.ok_or_else(|| missing(id))
}

async fn at(db: &mut Db, id: OrderId, revision: u32) -> Result<OrderRecord, Fault> {
    let row = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS} FROM {REVISIONS}
         WHERE device_order.id = $1 AND order_revision.revision = $2"
    )))
    .bind(id.to_string())
    .bind(revision)
    .fetch_one(db)
    .await?;
    read(&row)
}

pub async fn before(db: &mut Db, id: OrderId) -> Result<Option<OrderRecord>, Fault> {
    let now = by_id(db, id).await?;
    match step_back(now.content_of).filter(|_| now.sent.is_none()) {
        Some(earlier) => Ok(Some(at(db, id, earlier).await?)),
        None => Ok(None),
    }
}

pub async fn revisions(db: &mut Db, id: OrderId) -> Result<Vec<OrderRecord>, Fault> {
    let rows = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS} FROM {REVISIONS} WHERE device_order.id = $1
         ORDER BY order_revision.revision"
    )))
    .bind(id.to_string())
    .fetch_all(db)
    .await?;
    if rows.is_empty() {
        return Err(missing(id));
    }
    rows.iter().map(read).collect()
}

pub async fn of_visit(db: &mut Db, visit: VisitId) -> Result<Vec<OrderRecord>, Fault> {
    visits::must_be_there(db, visit).await?;
    last_of(db, "device_order.visit", visit.to_string()).await
}

pub async fn of(db: &mut Db, patient: PatientId) -> Result<Vec<OrderRecord>, Fault> {
    people::must_be_there(db, patient).await?;
    last_of(db, "device_order.patient", patient.to_string()).await
}

async fn last_of(
    db: &mut Db,
    column: &'static str,
    value: String,
) -> Result<Vec<OrderRecord>, Fault> {
    let rows = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS} FROM {REVISIONS} WHERE {column} = $1 AND {LAST}
         ORDER BY device_order.seq"
    )))
    .bind(value)
    .fetch_all(db)
    .await?;
    rows.iter().map(read).collect()
}

pub async fn in_hand(db: &mut Db) -> Result<Vec<(OrderRecord, Patient)>, Fault> {
    let rows = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS}, patient.* FROM {REVISIONS}
         JOIN patient ON patient.id = device_order.patient
         WHERE NOT EXISTS (SELECT 1 FROM order_sent AS each WHERE each.order_id = device_order.id)
           AND {LAST}
         ORDER BY device_order.seq"
    )))
    .fetch_all(db)
    .await?;
    rows.iter()
        .map(|row| Ok((read(row)?, people::read_patient(row)?)))
        .collect()
}

/// One sentence for each order whose rows do not make an order.
///
/// That its patient, its scan and its files are there is asked for all tables at once.
pub async fn faults(db: &mut Db) -> Result<Vec<String>, Fault> {
    let ids = query("SELECT id FROM device_order ORDER BY seq")
        .texts(&mut *db)
        .await?;
    let mut faults = Vec::new();
    for text in ids {
        let Ok(id) = text.parse::<OrderId>() else {
            let wrong = damaged("the record file", "device_order.id does not read back");
            faults.push(wrong.to_string());
            continue;
        };
        match revisions(db, id).await {
            Ok(all) if is_whole(&all, sent_revision(db, id).await?) => {}
            Ok(_) | Err(Fault::Said(StoreError::Missing { .. })) => faults.push(format!(
                "found order {id} with a revision that is not there, or sent at an earlier one than its last; expected them to count on from 1: restore the last backup"
            )),
            Err(Fault::Said(said)) => faults.push(said.to_string()),
            Err(other) => return Err(other),
        }
    }
    Ok(faults)
}

fn is_whole(all: &[OrderRecord], sent: Option<u32>) -> bool {
    let counts_on = all.iter().zip(1..).all(|(order, n)| order.revision == n);
    counts_on && sent.is_none_or(|sent| all.last().is_some_and(|last| last.revision == sent))
}

async fn sent_revision(db: &mut Db, id: OrderId) -> Result<Option<u32>, Fault> {
    let row = query("SELECT revision FROM order_sent WHERE order_id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    let cells = |row| Cells {
        table: "order_sent",
        row,
    };
    row.as_ref()
        .map(|row| cells(row).number("revision"))
        .transpose()
}

fn read(row: &Row) -> Result<OrderRecord, Fault> {
    let cells = Cells {
        table: "order_revision",
        row,
    };
    let measures = cells.json_if_any("measures")?;
    let source = match (cells.parsed_if_any("scan")?, measures) {
        (Some(scan), None) => OrderSource::Scan { scan },
        (None, Some(measures)) => OrderSource::Measured { measures },
        _ => {
            let detail = "an order is shaped on a scan and on measurements, or on nothing";
            return Err(damaged("the record file", detail).into());
        }
    };
    let sent = (
        cells.moment_if_any("sent_at")?,
        cells.parsed_if_any("sheet")?,
        cells.parsed_if_any("solids")?,
    );
    let sent = match sent {
        (None, None, None) => None,
        (Some(at), Some(sheet), Some(solids)) => Some(Sent { at, sheet, solids }),
        _ => return Err(damaged("the record file", "an order is sent in part").into()),
    };
    Ok(OrderRecord {
        id: cells.parsed("order_id")?,
        patient: cells.parsed("patient")?,
        visit: cells.parsed("visit")?,
        side: cells.word("side", from_word)?,
        code: cells.text("code")?,
        source,
        points: cells.json_if_any("points")?,
        prescription: cells.json("prescription")?,
        sent,
        revision: cells.number("revision")?,
        content_of: cells.number("content_of")?,
        saved_at: cells.moment("saved_at")?,
    })
}
