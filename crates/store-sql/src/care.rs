//! What was given or done: revisions, and the heads that the day's list asks.
//!
//! A head is written in the same act as the revision it is of, so that a list of all patients need not
//! look for the last revision of everything that was ever given.

use crate::SqlStore;
use crate::act::Entry;
use crate::cells::{Cells, day_text, day_text_if_any, from_word, json_text, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::findings::{check_seen, step_back};
use crate::{intake, people};
use record::{ActKind, BadRecord, CareId, CareRecord, Patient, PatientId, Stamp, Subject};
use sqlx::AssertSqlSafe;
use store::StoreError;
use terms::Side;
use time::Date;

const THIS: &str = "the entry of care";

const COLUMNS: &str = "care.id AS care_id, care.patient, care.visit, care.about, care.kind,
    care_revision.revision, care_revision.content_of, care_revision.side, care_revision.began_on,
    care_revision.ended_on, care_revision.review_on, care_revision.answers,
    care_revision.taken_away, care_revision.saved_at";
const REVISIONS: &str = "care JOIN care_revision ON care_revision.care = care.id";
const LAST: &str = "care_revision.revision = care.revision";

impl SqlStore {
    pub(crate) async fn keep_care(
        &self,
        stamp: Stamp,
        care: CareRecord,
        seen: u32,
    ) -> Result<CareRecord, StoreError> {
        care.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                let before = now_if_any(db, care.id).await?;
                if let Some(before) = &before {
                    check_same(before, &care)?;
                }
                let revision = check_seen(THIS, seen, before.as_ref().map_or(0, |b| b.revision))?;
                let care = CareRecord {
                    revision,
                    content_of: revision,
                    saved_at: stamp.at,
                    ..care
                };
                if before.is_none() {
                    begin(db, &care).await?;
                }
                add_revision(db, stamp, &care).await?;
                Ok((entry(ActKind::CareSaved, &care), care))
            })
        })
        .await
    }

    pub(crate) async fn step_back_care(
        &self,
        stamp: Stamp,
        id: CareId,
        seen: u32,
    ) -> Result<CareRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                let now = by_id(db, id).await?;
                let revision = check_seen(THIS, seen, now.revision)?;
                let Some(earlier) = step_back(now.content_of) else {
                    return Err(StoreError::NothingToUndo { what: THIS }.into());
                };
                let care = CareRecord {
                    revision,
                    saved_at: stamp.at,
                    ..at(db, id, earlier).await?
                };
                add_revision(db, stamp, &care).await?;
                Ok((entry(ActKind::CareUndone, &care), care))
            })
        })
        .await
    }
}

/// Neither the kind nor the foot: together with the patient's id they would tell of an illness.
fn entry(kind: ActKind, care: &CareRecord) -> Entry {
    Entry::saying(
        kind,
        Subject::Care(care.id),
        format_args!("revision {}", care.revision),
    )
}

fn check_same(before: &CareRecord, care: &CareRecord) -> Result<(), BadRecord> {
    let stays = |c: &CareRecord| (c.patient, c.visit, c.about);
    if stays(before) == stays(care) && before.kind == care.kind {
        return Ok(());
    }
    Err(BadRecord::new(
        THIS,
        "another patient, visit, kind or entry it is about",
        "those it was begun with",
    ))
}

async fn begin(db: &mut Db, care: &CareRecord) -> Result<(), Fault> {
    people::must_be_there(db, care.patient).await?;
    if let Some(visit) = care.visit {
        intake::check_patient(db, THIS, visit, care.patient).await?;
    }
    if let Some(about) = care.about
        && by_id(db, about).await?.patient != care.patient
    {
        let found = "a check of another patient's entry";
        return Err(BadRecord::new(THIS, found, "a check of this patient's own").into());
    }
    query(
        "INSERT INTO care (id, patient, visit, about, kind, revision, began_on, taken_away)
         VALUES ($1, $2, $3, $4, $5, 1, $6, 0)",
    )
    .bind(care.id.to_string())
    .bind(care.patient.to_string())
    .bind(care.visit.map(|v| v.to_string()))
    .bind(care.about.map(|a| a.to_string()))
    .bind(&care.kind)
    .bind(day_text(care.began_on)?)
    .execute(db)
    .await?;
    Ok(())
}

async fn add_revision(db: &mut Db, stamp: Stamp, care: &CareRecord) -> Result<(), Fault> {
    query(
        "INSERT INTO care_revision (care, revision, content_of, side, began_on, ended_on, review_on,
           answers, taken_away, saved_at, saved_by)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
    )
    .bind(care.id.to_string())
    .bind(care.revision)
    .bind(care.content_of)
    .bind(care.side.map(Side::word))
    .bind(day_text(care.began_on)?)
    .bind(day_text_if_any(care.ended_on)?)
    .bind(day_text_if_any(care.review_on)?)
    .bind(json_text(&care.answers)?)
    .bind(care.taken_away)
    .bind(moment_text(stamp.at)?)
    .bind(stamp.by.to_string())
    .execute(&mut *db)
    .await?;
    query(
        "UPDATE care SET revision = $2, began_on = $3, ended_on = $4, review_on = $5, taken_away = $6
         WHERE id = $1",
    )
    .bind(care.id.to_string())
    .bind(care.revision)
    .bind(day_text(care.began_on)?)
    .bind(day_text_if_any(care.ended_on)?)
    .bind(day_text_if_any(care.review_on)?)
    .bind(care.taken_away)
    .execute(db)
    .await?;
    Ok(())
}

async fn now_if_any(db: &mut Db, id: CareId) -> Result<Option<CareRecord>, Fault> {
    let row = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS} FROM {REVISIONS} WHERE care.id = $1 AND {LAST}"
    )))
    .bind(id.to_string())
    .fetch_optional(db)
    .await?;
    row.as_ref().map(read).transpose()
}

/// As it stands now, also one that was taken away.
pub async fn by_id(db: &mut Db, id: CareId) -> Result<CareRecord, Fault> {
    now_if_any(db, id)
        .await?
        .ok_or_else(|| StoreError::missing(CareId::WHAT, id).into())
}

async fn at(db: &mut Db, id: CareId, revision: u32) -> Result<CareRecord, Fault> {
    let row = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS} FROM {REVISIONS} WHERE care.id = $1 AND care_revision.revision = $2"
    )))
    .bind(id.to_string())
    .bind(revision)
    .fetch_one(db)
    .await?;
    read(&row)
}

pub async fn before(db: &mut Db, id: CareId) -> Result<Option<CareRecord>, Fault> {
    let now = by_id(db, id).await?;
    match step_back(now.content_of) {
        Some(earlier) => Ok(Some(at(db, id, earlier).await?)),
        None => Ok(None),
    }
}

pub async fn of(db: &mut Db, patient: PatientId) -> Result<Vec<CareRecord>, Fault> {
    people::must_be_there(db, patient).await?;
    let rows = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS} FROM {REVISIONS} WHERE care.patient = $1 AND {LAST}
         ORDER BY care_revision.began_on, care.seq"
    )))
    .bind(patient.to_string())
    .fetch_all(db)
    .await?;
    rows.iter().map(read).collect()
}

pub async fn due(db: &mut Db, day: Date) -> Result<Vec<(CareRecord, Patient)>, Fault> {
    let rows = query(AssertSqlSafe(format!(
        "SELECT {COLUMNS}, patient.* FROM {REVISIONS}
         JOIN patient ON patient.id = care.patient
         WHERE care.review_on <= $1 AND care.taken_away = 0 AND {LAST}
           AND NOT EXISTS (
             SELECT 1 FROM care AS root WHERE root.id = coalesce(care.about, care.id)
               AND (root.taken_away = 1 OR root.ended_on <= $1))
           AND NOT EXISTS (
             SELECT 1 FROM care AS later WHERE later.about = coalesce(care.about, care.id)
               AND later.taken_away = 0 AND later.id <> care.id
               AND (care.about IS NULL OR (later.began_on, later.seq) > (care.began_on, care.seq)))
         ORDER BY care.review_on, care.seq"
    )))
    .bind(day_text(day)?)
    .fetch_all(db)
    .await?;
    rows.iter()
        .map(|row| Ok((read(row)?, people::read_patient(row)?)))
        .collect()
}

/// One sentence for each head that is not its last revision's.
pub async fn faults(db: &mut Db) -> Result<Vec<String>, Fault> {
    let off = query(
        "SELECT care.id FROM care LEFT JOIN care_revision AS last
           ON last.care = care.id AND last.revision = care.revision
         WHERE last.care IS NULL OR last.review_on IS DISTINCT FROM care.review_on
            OR last.began_on <> care.began_on OR last.ended_on IS DISTINCT FROM care.ended_on
            OR last.taken_away <> care.taken_away
            OR care.revision <> (SELECT count(*) FROM care_revision AS each WHERE each.care = care.id)
         ORDER BY care.seq",
    )
    .texts(db)
    .await?;
    Ok(off
        .iter()
        .map(|id| {
            format!("found the entry of care {id} at odds with its revisions; expected its head to be its last one: restore the last backup")
        })
        .collect())
}

fn read(row: &Row) -> Result<CareRecord, Fault> {
    let cells = Cells {
        table: "care_revision",
        row,
    };
    Ok(CareRecord {
        id: cells.parsed("care_id")?,
        patient: cells.parsed("patient")?,
        visit: cells.parsed_if_any("visit")?,
        about: cells.parsed_if_any("about")?,
        kind: cells.text("kind")?,
        side: cells.word_if_any("side", from_word)?,
        began_on: cells.day("began_on")?,
        ended_on: cells.day_if_any("ended_on")?,
        review_on: cells.day_if_any("review_on")?,
        answers: cells.json("answers")?,
        taken_away: cells.flag("taken_away")?,
        revision: cells.number("revision")?,
        content_of: cells.number("content_of")?,
        saved_at: cells.moment("saved_at")?,
    })
}
