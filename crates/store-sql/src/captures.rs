//! Prints, pressures, photographs, clips and marker files: the columns of what is known of them, and the
//! revisions of what was done to them. How they come in and are listed stands in `intake`.

use crate::SqlStore;
use crate::act::{Entry, Step};
use crate::cells::{Cells, day_text_if_any, from_word, json_text, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::findings::{check_seen, step_back};
use crate::intake::{self, Import};
use crate::people;
use record::{
    ActKind, BadRecord, CaptureId, CaptureKind, CaptureRecord, ContentHash, Doing, PatientId,
    Stamp, StepsRecord, Subject, VisitId,
};
use store::StoreError;
use terms::Side;

const STEPS: &str = "the steps on a capture";

impl Import for CaptureRecord {
    const TABLE: &'static str = "capture";
    const THIS: &'static str = "the capture";
    const ITS_ID: &'static str = "the id of this capture";
    const TAKEN_IN: ActKind = ActKind::CaptureImported;
    const CHANGED: ActKind = ActKind::CaptureSaved;
    type Id = CaptureId;

    fn id(&self) -> CaptureId {
        self.id
    }
    fn subject(&self) -> Subject {
        Subject::Capture(self.id)
    }
    fn patient(&self) -> PatientId {
        self.patient
    }
    fn visit(&self) -> VisitId {
        self.visit
    }
    fn content(&self) -> ContentHash {
        self.content
    }
    fn check(&self) -> Result<(), BadRecord> {
        self.check()
    }

    fn came_as(&self, before: &Self) -> bool {
        (self.patient, self.visit, self.content) == (before.patient, before.visit, before.content)
            && (self.kind, &self.file_name, &self.media_type)
                == (before.kind, &before.file_name, &before.media_type)
    }

    fn insert<'c>(&'c self, db: &'c mut Db) -> Step<'c, ()> {
        Box::pin(async move {
            query(
                "INSERT INTO capture (id, patient, visit, kind, doing, side, taken_on, file_name,
                   content, media_type, note)
                 VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
            )
            .bind(self.id.to_string())
            .bind(self.patient.to_string())
            .bind(self.visit.to_string())
            .bind(self.kind.key())
            .bind(self.doing.map(Doing::key))
            .bind(self.side.map(Side::word))
            .bind(day_text_if_any(self.taken_on)?)
            .bind(&self.file_name)
            .bind(self.content.to_string())
            .bind(&self.media_type)
            .bind(&self.note)
            .execute(db)
            .await?;
            Ok(())
        })
    }

    fn update<'c>(&'c self, db: &'c mut Db) -> Step<'c, ()> {
        Box::pin(async move {
            query(
                "UPDATE capture SET doing = $2, side = $3, taken_on = $4, note = $5 WHERE id = $1",
            )
            .bind(self.id.to_string())
            .bind(self.doing.map(Doing::key))
            .bind(self.side.map(Side::word))
            .bind(day_text_if_any(self.taken_on)?)
            .bind(&self.note)
            .execute(db)
            .await?;
            Ok(())
        })
    }

    fn read(row: &Row) -> Result<Self, Fault> {
        let cells = Cells {
            table: "capture",
            row,
        };
        Ok(CaptureRecord {
            id: cells.parsed("id")?,
            patient: cells.parsed("patient")?,
            visit: cells.parsed("visit")?,
            kind: cells.word("kind", CaptureKind::from_key)?,
            doing: cells.word_if_any("doing", Doing::from_key)?,
            side: cells.word_if_any("side", from_word)?,
            taken_on: cells.day_if_any("taken_on")?,
            file_name: cells.text("file_name")?,
            content: cells.parsed("content")?,
            media_type: cells.text("media_type")?,
            note: cells.text("note")?,
        })
    }
}

impl SqlStore {
    pub(crate) async fn keep_steps(
        &self,
        stamp: Stamp,
        steps: StepsRecord,
        seen: u32,
    ) -> Result<StepsRecord, StoreError> {
        steps.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                let now = self::steps(db, steps.capture).await?;
                let revision = check_seen(STEPS, seen, now.map_or(0, |s| s.revision))?;
                let steps = StepsRecord {
                    revision,
                    content_of: revision,
                    saved_at: stamp.at,
                    ..steps
                };
                add(db, stamp, &steps).await?;
                Ok((entry(ActKind::StepsSaved, &steps), steps))
            })
        })
        .await
    }

    pub(crate) async fn step_back_steps(
        &self,
        stamp: Stamp,
        id: CaptureId,
        seen: u32,
    ) -> Result<StepsRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                let now = steps(db, id).await?;
                let revision = check_seen(STEPS, seen, now.map_or(0, |s| s.revision))?;
                let Some(before) = before(db, id).await? else {
                    return Err(StoreError::NothingToUndo { what: STEPS }.into());
                };
                let steps = StepsRecord {
                    revision,
                    saved_at: stamp.at,
                    ..before
                };
                add(db, stamp, &steps).await?;
                Ok((entry(ActKind::StepsUndone, &steps), steps))
            })
        })
        .await
    }
}

fn entry(kind: ActKind, steps: &StepsRecord) -> Entry {
    Entry::saying(
        kind,
        Subject::Capture(steps.capture),
        format_args!("revision {}", steps.revision),
    )
}

async fn add(db: &mut Db, stamp: Stamp, steps: &StepsRecord) -> Result<(), Fault> {
    query(
        "INSERT INTO capture_steps (capture, revision, content_of, steps, readings, saved_at, saved_by)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(steps.capture.to_string())
    .bind(steps.revision)
    .bind(steps.content_of)
    .bind(json_text(&steps.steps)?)
    .bind(json_text(&steps.readings)?)
    .bind(moment_text(stamp.at)?)
    .bind(stamp.by.to_string())
    .execute(db)
    .await?;
    Ok(())
}

/// As they stand now; `None` before the first save.
pub async fn steps(db: &mut Db, id: CaptureId) -> Result<Option<StepsRecord>, Fault> {
    intake::must_be_there::<CaptureRecord>(db, id).await?;
    let row =
        query("SELECT * FROM capture_steps WHERE capture = $1 ORDER BY revision DESC LIMIT 1")
            .bind(id.to_string())
            .fetch_optional(db)
            .await?;
    row.as_ref().map(read).transpose()
}

pub async fn before(db: &mut Db, id: CaptureId) -> Result<Option<StepsRecord>, Fault> {
    let now = steps(db, id).await?;
    let Some(earlier) = now.and_then(|now| step_back(now.content_of)) else {
        return Ok(None);
    };
    let row = query("SELECT * FROM capture_steps WHERE capture = $1 AND revision = $2")
        .bind(id.to_string())
        .bind(earlier)
        .fetch_one(db)
        .await?;
    read(&row).map(Some)
}

pub async fn of(db: &mut Db, patient: PatientId) -> Result<Vec<StepsRecord>, Fault> {
    people::must_be_there(db, patient).await?;
    let rows = query(
        "SELECT capture_steps.* FROM capture JOIN capture_steps ON capture_steps.capture = capture.id
         WHERE capture.patient = $1 AND revision = (
           SELECT max(revision) FROM capture_steps AS later WHERE later.capture = capture.id)
         ORDER BY capture.seq",
    )
    .bind(patient.to_string())
    .fetch_all(db)
    .await?;
    rows.iter().map(read).collect()
}

fn read(row: &Row) -> Result<StepsRecord, Fault> {
    let cells = Cells {
        table: "capture_steps",
        row,
    };
    Ok(StepsRecord {
        capture: cells.parsed("capture")?,
        steps: cells.json("steps")?,
        readings: cells.json("readings")?,
        revision: cells.number("revision")?,
        content_of: cells.number("content_of")?,
        saved_at: cells.moment("saved_at")?,
    })
}
