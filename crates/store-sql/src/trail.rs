//! Who saw and did what? Entries that hold each other by their hashes.
//!
//! An act writes its entry in its own transaction. Everything else is handed to one task that writes what has
//! gathered meanwhile in one transaction: a hundred looks at a time cost one flush of the disk, and each is answered
//! only after it.

use crate::SqlStore;
use crate::act::{Entry, in_transaction};
use crate::cells::{Cells, moment_text};
use crate::db::{Db, Pool, Row, query};
use crate::fault::{Fault, Place, damaged};
use record::{Noted, PatientId, Stamp, Subject, ToNote, TrailEntry};
use sha2::{Digest, Sha256};
use store::StoreError;
use tokio::sync::{mpsc, oneshot};

/// As many looks as are written in one transaction.
const MOST_AT_ONCE: usize = 256;

type Waiting = (ToNote, oneshot::Sender<Result<u64, StoreError>>);

/// Where looks are handed in.
#[derive(Debug, Clone)]
pub struct Notebook(mpsc::UnboundedSender<Waiting>);

impl Notebook {
    /// Runs until the last store that holds it is dropped.
    pub fn open(writer: Pool, place: Place) -> Self {
        let (hand_in, mut handed) = mpsc::unbounded_channel::<Waiting>();
        tokio::spawn(async move {
            let mut waiting = Vec::new();
            while handed.recv_many(&mut waiting, MOST_AT_ONCE).await > 0 {
                let notes: Vec<ToNote> = waiting.iter().map(|(note, _)| note.clone()).collect();
                let written = in_transaction(&writer, async move |db| {
                    let mut numbers = Vec::with_capacity(notes.len());
                    for note in notes {
                        numbers.push(add(db, note).await?);
                    }
                    Ok(numbers)
                })
                .await;
                match written {
                    Ok(numbers) => {
                        for ((_, answer), number) in waiting.drain(..).zip(numbers) {
                            // Nobody listens any more: it is written all the same.
                            let _ = answer.send(Ok(number));
                        }
                    }
                    Err(fault) => {
                        let failed = fault.said(&place, "write down what was seen");
                        for (_, answer) in waiting.drain(..) {
                            let _ = answer.send(Err(failed.clone()));
                        }
                    }
                }
            }
        });
        Self(hand_in)
    }

    pub async fn note(&self, note: ToNote) -> Result<u64, StoreError> {
        let gone = || StoreError::Failed {
            doing: "write down what was seen",
            detail: "the program is stopping".into(),
        };
        let (answer, wait) = oneshot::channel();
        self.0.send((note, answer)).map_err(|_| gone())?;
        wait.await.map_err(|_| gone())?
    }
}

/// Adds one entry in the transaction that is open.
pub async fn add(db: &mut Db, note: ToNote) -> Result<u64, Fault> {
    let last = query("SELECT number, hash FROM trail ORDER BY number DESC LIMIT 1")
        .fetch_optional(&mut *db)
        .await?;
    let (number, before) = match &last {
        Some(row) => {
            let cells = Cells {
                table: "trail",
                row,
            };
            (cells.number::<i64>("number")? + 1, cells.text("hash")?)
        }
        None => (1, String::new()),
    };
    let mut entry = TrailEntry {
        number: u64::try_from(number).unwrap_or_default(),
        at: note.at,
        account: note.account,
        person: note.person,
        kind: note.kind,
        patient: note.patient,
        detail: note.detail,
        hash: String::new(),
    };
    entry.hash = entry.hash_after(&before);
    query(
        "INSERT INTO trail (number, at, account, person, kind, patient, detail, hash)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
    )
    .bind(number)
    .bind(moment_text(entry.at)?)
    .bind(entry.account.map(|id| id.to_string()))
    .bind(entry.person.map(|id| id.to_string()))
    .bind(entry.kind.key())
    .bind(entry.patient.map(|id| id.to_string()))
    .bind(&entry.detail)
    .bind(&entry.hash)
    .execute(db)
    .await?;
    Ok(entry.number)
}

/// What the trail says of an act: all that its row of the journal says.
fn detail_of_act(number: i64, stamp: Stamp, entry: &Entry) -> String {
    format!(
        "{number} {} {} {} {} {}",
        stamp.act,
        entry.kind.key(),
        entry.on.key(),
        entry.on.uuid(),
        entry.summary
    )
}

/// Beside the act's row of the journal, in its own transaction.
pub async fn add_act(db: &mut Db, number: i64, stamp: Stamp, entry: &Entry) -> Result<(), Fault> {
    let patient = behind(db, entry.on).await?;
    let note = ToNote {
        at: stamp.at,
        account: None,
        person: Some(stamp.by),
        kind: Noted::Did,
        patient,
        detail: detail_of_act(number, stamp, entry),
    };
    add(db, note).await?;
    Ok(())
}

/// Whose record it is.
pub async fn behind(db: &mut Db, on: Subject) -> Result<Option<PatientId>, Fault> {
    let ask = match on {
        Subject::Practice | Subject::Clinician(_) => return Ok(None),
        // Nobody's until it is taken.
        Subject::Arrival(id) => return crate::arrivals::patient_of(db, id).await,
        Subject::Patient(_) => "SELECT id FROM patient WHERE id = $1",
        Subject::Visit(_) => "SELECT patient FROM visit WHERE id = $1",
        Subject::Film(_) => "SELECT patient FROM film WHERE id = $1",
        Subject::Points(_) => {
            "SELECT film.patient FROM points JOIN film ON film.id = points.film WHERE points.id = $1"
        }
        Subject::Letter(_) => {
            "SELECT visit.patient FROM letter JOIN visit ON visit.id = letter.visit WHERE letter.id = $1"
        }
        Subject::Scan(_) => "SELECT patient FROM scan WHERE id = $1",
        Subject::Order(_) => "SELECT patient FROM device_order WHERE id = $1",
        Subject::Care(_) => "SELECT patient FROM care WHERE id = $1",
        Subject::Capture(_) => "SELECT patient FROM capture WHERE id = $1",
    };
    let found = query(ask).bind(on.uuid().to_string()).texts(db).await?;
    match found.first() {
        Some(id) => match id.parse() {
            Ok(id) => Ok(Some(id)),
            Err(_) => Err(damaged("the record file", "a patient's id does not read back").into()),
        },
        None => Err(StoreError::missing(on.key(), on.uuid()).into()),
    }
}

/// The first entry of a practice that kept a journal before it kept a trail: binds what the journal said until then.
pub async fn begin(db: &mut Db) -> Result<(), Fault> {
    let there = query("SELECT count(*) FROM trail").number(&mut *db).await?;
    let last = query("SELECT at FROM journal ORDER BY number DESC LIMIT 1")
        .texts(&mut *db)
        .await?
        .pop();
    let (0, Some(at)) = (there, last) else {
        return Ok(());
    };
    let at = time::OffsetDateTime::parse(&at, &time::format_description::well_known::Rfc3339)
        .map_err(|_| damaged("the record file", "journal.at does not read back"))?;
    let (count, digest) = journal_until(db, i64::MAX).await?;
    let note = ToNote {
        at,
        account: None,
        person: None,
        kind: Noted::Began,
        patient: None,
        detail: format!("{count} {digest}"),
    };
    add(db, note).await?;
    Ok(())
}

/// How many rows the journal has up to a number, and the SHA-256 over them.
async fn journal_until(db: &mut Db, last: i64) -> Result<(i64, String), Fault> {
    let mut hash = Sha256::new();
    let (mut count, mut after) = (0, 0);
    loop {
        let rows = journal_rows(db, after, last).await?;
        let Some(row) = rows.last() else {
            return Ok((count, hex::encode(hash.finalize())));
        };
        after = row.0;
        for row in &rows {
            count += 1;
            for field in [&row.1, &row.2, &row.3, &row.4, &row.5, &row.6, &row.7] {
                hash.update((field.len() as u64).to_be_bytes());
                hash.update(field.as_bytes());
            }
        }
    }
}

/// number, id, at, by, kind, subject, subject_id, summary
type JournalRow = (i64, String, String, String, String, String, String, String);
const JOURNAL: &str = "SELECT number, id, at, by, kind, subject, subject_id, summary FROM journal
     WHERE number > $1 AND number <= $2 ORDER BY number LIMIT 1000";

async fn journal_rows(db: &mut Db, after: i64, last: i64) -> Result<Vec<JournalRow>, Fault> {
    let rows = query(JOURNAL).bind(after).bind(last).fetch_all(db).await?;
    rows.iter()
        .map(|row| {
            let cells = Cells {
                table: "journal",
                row,
            };
            Ok((
                cells.number("number")?,
                cells.text("id")?,
                cells.text("at")?,
                cells.text("by")?,
                cells.text("kind")?,
                cells.text("subject")?,
                cells.text("subject_id")?,
                cells.text("summary")?,
            ))
        })
        .collect()
}

/// Is the trail one chain, and does the journal say what the trail says it said?
pub async fn faults(db: &mut Db) -> Result<Vec<String>, Fault> {
    let mut faults = Vec::new();
    let (mut before, mut expected, mut told) = (String::new(), 1u64, 0i64);
    loop {
        let entries = after(db, expected - 1, 1000).await?;
        if entries.is_empty() {
            break;
        }
        for entry in entries {
            if entry.number != expected {
                faults.push(format!(
                    "found entry {} of the trail where {expected} was expected; entries are missing: compare with the last backup",
                    entry.number
                ));
                return Ok(faults);
            }
            if entry.hash != entry.hash_after(&before) {
                faults.push(format!(
                    "found entry {expected} of the trail changed, or one before it; expected every entry to hold the hash of the one before: compare with the last backup"
                ));
                return Ok(faults);
            }
            match entry.kind {
                Noted::Began => {
                    let count = entry
                        .detail
                        .split(' ')
                        .next()
                        .and_then(|n| n.parse::<i64>().ok());
                    let (found, digest) = journal_until(db, count.unwrap_or(0)).await?;
                    told = found;
                    if entry.detail != format!("{found} {digest}") {
                        faults.push("found the journal before the trail began changed; expected what it said then: compare with the last backup".to_owned());
                    }
                }
                Noted::Did => {
                    told += 1;
                    if !journal_says(db, &entry).await? {
                        faults.push(format!(
                            "found act {told} of the journal at odds with entry {expected} of the trail; expected the same: compare with the last backup"
                        ));
                    }
                }
                _ => {}
            }
            before = entry.hash;
            expected += 1;
        }
    }
    let acts = query("SELECT count(*) FROM journal")
        .number(&mut *db)
        .await?;
    if acts != told {
        faults.push(format!(
            "found {acts} acts in the journal and {told} in the trail; expected as many: compare with the last backup"
        ));
    }
    Ok(faults)
}

async fn journal_says(db: &mut Db, entry: &TrailEntry) -> Result<bool, Fault> {
    let number = entry
        .detail
        .split(' ')
        .next()
        .and_then(|n| n.parse::<i64>().ok());
    let Some(number) = number else {
        return Ok(false);
    };
    let row = journal_rows(db, number - 1, number).await?.pop();
    Ok(
        row.is_some_and(|(n, id, at, by, kind, subject, subject_id, summary)| {
            entry.detail == format!("{n} {id} {kind} {subject} {subject_id} {summary}")
                && moment_text(entry.at).is_ok_and(|told| told == at)
                && entry.person.is_some_and(|p| p.to_string() == by)
        }),
    )
}

pub async fn after(db: &mut Db, after: u64, most: u32) -> Result<Vec<TrailEntry>, Fault> {
    let rows = query("SELECT * FROM trail WHERE number > $1 ORDER BY number LIMIT $2")
        .bind(i64::try_from(after).unwrap_or(i64::MAX))
        .bind(i64::from(most))
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn of(db: &mut Db, patient: PatientId, most: u32) -> Result<Vec<TrailEntry>, Fault> {
    let rows = query("SELECT * FROM trail WHERE patient = $1 ORDER BY number DESC LIMIT $2")
        .bind(patient.to_string())
        .bind(i64::from(most))
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn end(db: &mut Db) -> Result<Option<TrailEntry>, Fault> {
    let row = query("SELECT * FROM trail ORDER BY number DESC LIMIT 1")
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read).transpose()
}

fn read(row: &Row) -> Result<TrailEntry, Fault> {
    let cells = Cells {
        table: "trail",
        row,
    };
    Ok(TrailEntry {
        number: cells.number("number")?,
        at: cells.moment("at")?,
        account: cells.parsed_if_any("account")?,
        person: cells.parsed_if_any("person")?,
        kind: cells.word("kind", Noted::from_key)?,
        patient: cells.parsed_if_any("patient")?,
        detail: cells.text("detail")?,
        hash: cells.text("hash")?,
    })
}

impl SqlStore {
    /// A change that is no act of the journal, with its entry of the trail in one transaction.
    pub(crate) async fn noted<T, F>(&self, note: ToNote, step: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut Db) -> crate::act::Step<'c, T> + Send + 'static,
    {
        let writer = self.writer.clone();
        let done = tokio::spawn(async move {
            in_transaction(&writer, async move |db| {
                let answer = step(&mut *db).await?;
                add(db, note).await?;
                Ok(answer)
            })
            .await
        });
        self.ended(done.await, "save")
    }
}
