//! Letters: drafts change, are taken away and put back; signed ones do not change.
//!
//! What a letter is set from lies in a table of its own, so that no list reads it.

use crate::SqlStore;
use crate::act::Entry;
use crate::cells::{Cells, json_text, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::{Fault, damaged};
use crate::findings::check_seen;
use crate::{people, visits};
use record::{
    ActKind, BadRecord, ContentHash, LetterHead, LetterId, LetterKind, LetterRecord, LetterState,
    ListedLetter, PatientId, Stamp, Subject, VisitId,
};
use sqlx::AssertSqlSafe;
use store::StoreError;

const HEAD: &str = "letter.id AS letter_id, letter.visit, letter.kind, letter.title,
    letter.addendum_to, letter.drafted_at, letter.revision, letter.taken_away_at,
    letter.taken_away_by, letter.signed_at, letter.signed_by, letter.pdf, letter.seal";

/// A letter changes only while it is a draft in its place.
fn check_in_hand(letter: &LetterHead) -> Result<(), StoreError> {
    let (state, instead) = match letter.state {
        LetterState::Draft => return Ok(()),
        LetterState::TakenAway { .. } => ("taken away", "put it back first"),
        LetterState::Signed { .. } => ("signed", "write an addendum to it"),
    };
    Err(StoreError::Frozen {
        what: "a letter",
        state,
        instead,
    })
}

impl SqlStore {
    pub(crate) async fn keep_letter(
        &self,
        stamp: Stamp,
        letter: LetterRecord,
        seen: u32,
    ) -> Result<LetterRecord, StoreError> {
        check_draft(&letter)?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                let letter = write(db, letter, seen).await?;
                let kind = match letter.revision {
                    1 => ActKind::LetterDrafted,
                    _ => ActKind::LetterSaved,
                };
                Ok((entry(kind, &letter.head()), letter))
            })
        })
        .await
    }

    pub(crate) async fn seal_letter(
        &self,
        stamp: Stamp,
        letter: LetterRecord,
        seen: u32,
        pdf: Vec<u8>,
    ) -> Result<LetterRecord, StoreError> {
        check_draft(&letter)?;
        if !pdf.starts_with(b"%PDF-") {
            return Err(BadRecord::new("the letter's paper", "another file", "a PDF").into());
        }
        let pdf = self.hashed(pdf).await?;
        let content = pdf.content;
        self.with_files(stamp, vec![pdf], move |store| async move {
            store.keep_seal(stamp, letter, seen, content).await
        })
        .await
    }

    async fn keep_seal(
        &self,
        stamp: Stamp,
        letter: LetterRecord,
        seen: u32,
        pdf: ContentHash,
    ) -> Result<LetterRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                let id = letter.id;
                head_by_id(db, id).await?;
                people::clinician(db, stamp.by).await?;
                write(db, letter, seen).await?;
                // Sealed as it reads back, so that the seal can be checked from what is kept.
                let mut letter = by_id(db, id).await?;
                let seal = letter.seal(stamp.at, stamp.by, pdf);
                query(
                    "UPDATE letter SET signed_at = $2, signed_by = $3, pdf = $4, seal = $5
                     WHERE id = $1",
                )
                .bind(id.to_string())
                .bind(moment_text(stamp.at)?)
                .bind(stamp.by.to_string())
                .bind(pdf.to_string())
                .bind(seal.to_string())
                .execute(db)
                .await?;
                letter.state = LetterState::Signed {
                    at: stamp.at,
                    by: stamp.by,
                    pdf,
                    seal,
                };
                Ok((entry(ActKind::LetterSigned, &letter.head()), letter))
            })
        })
        .await
    }

    pub(crate) async fn take_away(
        &self,
        stamp: Stamp,
        id: LetterId,
        seen: u32,
    ) -> Result<(), StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                let letter = head_by_id(db, id).await?;
                check_in_hand(&letter)?;
                check_seen(WHAT, seen, letter.revision)?;
                people::clinician(db, stamp.by).await?;
                let (at, by) = (Some(moment_text(stamp.at)?), Some(stamp.by.to_string()));
                set_aside(db, id, at, by).await?;
                Ok((entry(ActKind::LetterTakenAway, &letter), ()))
            })
        })
        .await
    }

    pub(crate) async fn put_back(&self, stamp: Stamp, id: LetterId) -> Result<(), StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                let letter = head_by_id(db, id).await?;
                if !matches!(letter.state, LetterState::TakenAway { .. }) {
                    return Err(StoreError::NotTakenAway.into());
                }
                set_aside(db, id, None, None).await?;
                Ok((entry(ActKind::LetterPutBack, &letter), ()))
            })
        })
        .await
    }

    pub(crate) async fn paper(&self, id: LetterId) -> Result<Vec<u8>, StoreError> {
        let letter = self.read(async |db| by_id(db, id).await).await?;
        match letter.state {
            LetterState::Draft | LetterState::TakenAway { .. } => Err(StoreError::NotSigned),
            LetterState::Signed { pdf, .. } => self.bytes(pdf).await,
        }
    }
}

const WHAT: &str = "the letter";

fn entry(kind: ActKind, letter: &LetterHead) -> Entry {
    Entry::saying(kind, Subject::Letter(letter.id), letter.kind.words())
}

fn check_draft(letter: &LetterRecord) -> Result<(), StoreError> {
    letter.check()?;
    match letter.state {
        LetterState::Draft => Ok(()),
        _ => Err(BadRecord::new("the letter", "another state", "a draft, signed later").into()),
    }
}

/// Adds the draft or changes it, as its next revision.
async fn write(db: &mut Db, letter: LetterRecord, seen: u32) -> Result<LetterRecord, Fault> {
    visits::must_be_there(db, letter.visit).await?;
    let before = head_if_any(db, letter.id).await?;
    if let Some(before) = &before {
        check_in_hand(before)?;
        if before.visit != letter.visit {
            return Err(StoreError::Taken {
                what: "the id of this letter",
            }
            .into());
        }
    }
    let revision = check_seen(WHAT, seen, before.as_ref().map_or(0, |b| b.revision))?;
    let letter = LetterRecord {
        revision,
        drafted_at: before.map_or(letter.drafted_at, |b| b.drafted_at),
        ..letter
    };
    check_addendum(db, &letter).await?;
    query(
        "INSERT INTO letter (id, visit, kind, title, addendum_to, drafted_at, revision)
         VALUES ($1, $2, $3, $4, $5, $6, $7)
         ON CONFLICT (id) DO UPDATE SET kind = excluded.kind, title = excluded.title,
           addendum_to = excluded.addendum_to, revision = excluded.revision",
    )
    .bind(letter.id.to_string())
    .bind(letter.visit.to_string())
    .bind(letter.kind.key())
    .bind(&letter.title)
    .bind(letter.addendum_to.map(|id| id.to_string()))
    .bind(moment_text(letter.drafted_at)?)
    .bind(revision)
    .execute(&mut *db)
    .await?;
    query(
        "INSERT INTO letter_body (letter, facts) VALUES ($1, $2)
         ON CONFLICT (letter) DO UPDATE SET facts = excluded.facts",
    )
    .bind(letter.id.to_string())
    .bind(json_text(&letter.facts)?)
    .execute(db)
    .await?;
    Ok(letter)
}

async fn set_aside(
    db: &mut Db,
    id: LetterId,
    at: Option<String>,
    by: Option<String>,
) -> Result<(), Fault> {
    query("UPDATE letter SET taken_away_at = $2, taken_away_by = $3 WHERE id = $1")
        .bind(id.to_string())
        .bind(at)
        .bind(by)
        .execute(db)
        .await?;
    Ok(())
}

async fn check_addendum(db: &mut Db, letter: &LetterRecord) -> Result<(), Fault> {
    let Some(first) = letter.addendum_to else {
        return Ok(());
    };
    let first = head_by_id(db, first).await?;
    if !matches!(first.state, LetterState::Signed { .. }) {
        let bad = BadRecord::new(
            "the addendum",
            "a letter that is not signed",
            "a signed letter",
        );
        return Err(bad.into());
    }
    let here = visits::by_id(db, letter.visit).await?.patient;
    let there = visits::by_id(db, first.visit).await?.patient;
    if here != there {
        let bad = BadRecord::new(
            "the addendum",
            "a letter about another patient",
            "one about this",
        );
        return Err(bad.into());
    }
    Ok(())
}

fn missing(id: LetterId) -> Fault {
    StoreError::missing(LetterId::WHAT, id).into()
}

async fn head_if_any(db: &mut Db, id: LetterId) -> Result<Option<LetterHead>, Fault> {
    let row = query(AssertSqlSafe(format!(
        "SELECT {HEAD} FROM letter WHERE id = $1"
    )))
    .bind(id.to_string())
    .fetch_optional(db)
    .await?;
    row.as_ref().map(read_head).transpose()
}

async fn head_by_id(db: &mut Db, id: LetterId) -> Result<LetterHead, Fault> {
    head_if_any(db, id).await?.ok_or_else(|| missing(id))
}

pub async fn by_id(db: &mut Db, id: LetterId) -> Result<LetterRecord, Fault> {
    let row = query(AssertSqlSafe(format!(
        "SELECT {HEAD}, facts FROM letter LEFT JOIN letter_body ON letter = id WHERE id = $1"
    )))
    .bind(id.to_string())
    .fetch_optional(db)
    .await?;
    read(&row.ok_or_else(|| missing(id))?)
}

pub async fn of_visit(db: &mut Db, visit: VisitId) -> Result<Vec<LetterHead>, Fault> {
    visits::must_be_there(db, visit).await?;
    let rows = query(AssertSqlSafe(format!(
        "SELECT {HEAD} FROM letter WHERE visit = $1 AND taken_away_at IS NULL ORDER BY seq"
    )))
    .bind(visit.to_string())
    .fetch_all(db)
    .await?;
    rows.iter().map(read_head).collect()
}

pub async fn of(db: &mut Db, patient: PatientId) -> Result<Vec<LetterHead>, Fault> {
    people::must_be_there(db, patient).await?;
    let rows = query(AssertSqlSafe(format!(
        "SELECT {HEAD} FROM letter JOIN visit ON visit.id = letter.visit
         WHERE visit.patient = $1 AND letter.taken_away_at IS NULL ORDER BY letter.seq"
    )))
    .bind(patient.to_string())
    .fetch_all(db)
    .await?;
    rows.iter().map(read_head).collect()
}

/// The ids alone: all bodies at once may not fit into memory.
pub async fn ids(db: &mut Db) -> Result<Vec<LetterId>, Fault> {
    let ids = query("SELECT id FROM letter ORDER BY seq")
        .texts(db)
        .await?;
    ids.iter()
        .map(|id| {
            id.parse()
                .map_err(|_| damaged("the record file", "letter.id does not read back").into())
        })
        .collect()
}

/// Over all patients: which letters, in which order, and how many at most.
async fn listed(db: &mut Db, which_in_order: &str, most: i64) -> Result<Vec<ListedLetter>, Fault> {
    let rows = query(AssertSqlSafe(format!(
        "SELECT {HEAD}, patient.*, visit.id AS visit_id, visit.day, visit.reason, visit.state
         FROM letter
         JOIN visit ON visit.id = letter.visit
         JOIN patient ON patient.id = visit.patient
         WHERE {which_in_order} LIMIT $1"
    )))
    .bind(most)
    .fetch_all(db)
    .await?;
    rows.iter()
        .map(|row| {
            let (visit, patient) = visits::read_with_patient(row)?;
            Ok(ListedLetter {
                letter: read_head(row)?,
                visit,
                patient,
            })
        })
        .collect()
}

pub async fn waiting(db: &mut Db) -> Result<Vec<ListedLetter>, Fault> {
    let which = "letter.signed_at IS NULL AND letter.taken_away_at IS NULL ORDER BY letter.seq";
    listed(db, which, i64::MAX).await
}

pub async fn taken_away(db: &mut Db) -> Result<Vec<ListedLetter>, Fault> {
    let which = "letter.signed_at IS NULL AND letter.taken_away_at IS NOT NULL
         ORDER BY letter.taken_away_at DESC, letter.seq DESC";
    listed(db, which, i64::MAX).await
}

pub async fn signed(db: &mut Db, most: u32) -> Result<Vec<ListedLetter>, Fault> {
    let which = "letter.signed_at IS NOT NULL ORDER BY letter.signed_at DESC, letter.seq DESC";
    listed(db, which, i64::from(most)).await
}

fn read_head(row: &Row) -> Result<LetterHead, Fault> {
    let cells = Cells {
        table: "letter",
        row,
    };
    let taken_away = (
        cells.moment_if_any("taken_away_at")?,
        cells.parsed_if_any("taken_away_by")?,
    );
    let signature = (
        cells.moment_if_any("signed_at")?,
        cells.parsed_if_any("signed_by")?,
        cells.parsed_if_any("pdf")?,
        cells.parsed_if_any("seal")?,
    );
    let state = match (taken_away, signature) {
        ((None, None), (None, None, None, None)) => LetterState::Draft,
        ((Some(at), Some(by)), (None, None, None, None)) => LetterState::TakenAway { at, by },
        ((None, None), (Some(at), Some(by), Some(pdf), Some(seal))) => {
            LetterState::Signed { at, by, pdf, seal }
        }
        _ => {
            let detail = "a letter is signed or taken away in part";
            return Err(damaged("the record file", detail).into());
        }
    };
    Ok(LetterHead {
        id: cells.parsed("letter_id")?,
        visit: cells.parsed("visit")?,
        kind: cells.word("kind", LetterKind::from_key)?,
        title: cells.text("title")?,
        addendum_to: cells.parsed_if_any("addendum_to")?,
        drafted_at: cells.moment("drafted_at")?,
        revision: cells.number("revision")?,
        state,
    })
}

fn read(row: &Row) -> Result<LetterRecord, Fault> {
    let body = Cells {
        table: "letter_body",
        row,
    };
    Ok(read_head(row)?.with_facts(body.json("facts")?))
}
