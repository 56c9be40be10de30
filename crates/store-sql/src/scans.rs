//! Foot scans: the columns of what is known of them. How they come in and are listed is the same as for
//! films and stands in `intake`.

use crate::act::Step;
use crate::cells::{Cells, day_text_if_any, from_word, word_of};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::intake::Import;
use crate::orders;
use record::{ActKind, BadRecord, ContentHash, PatientId, ScanId, ScanRecord, Subject, VisitId};
use store::StoreError;
use terms::Side;

impl Import for ScanRecord {
    const TABLE: &'static str = "scan";
    const THIS: &'static str = "the scan";
    const ITS_ID: &'static str = "the id of this scan";
    const TAKEN_IN: ActKind = ActKind::ScanImported;
    const CHANGED: ActKind = ActKind::ScanSaved;
    type Id = ScanId;

    fn id(&self) -> ScanId {
        self.id
    }
    fn subject(&self) -> Subject {
        Subject::Scan(self.id)
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
            && (&self.file_name, &self.media_type) == (&before.file_name, &before.media_type)
    }

    /// What was sent was made on the foot as its answers told it; a draft's foot stays on its side.
    fn check_change<'c>(&'c self, before: &'c Self, db: &'c mut Db) -> Step<'c, ()> {
        Box::pin(async move {
            let shape = |s: &Self| (s.side, s.load, s.unit.clone());
            if shape(self) != shape(before) && orders::was_sent_on(db, self.id).await? {
                return Err(StoreError::Frozen {
                    what: "a scan",
                    state: "the ground of a sent order",
                    instead: "its day and note may still be written; for another side, load or unit scan the foot again",
                }
                .into());
            }
            for side in orders::sides_on(db, self.id).await? {
                if let Some(said) = self.side.filter(|s| *s != side) {
                    let found = format!("the {} side", said.word());
                    let expected = "the side of the order that stands on it";
                    return Err(BadRecord::new(Self::THIS, found, expected).into());
                }
            }
            Ok(())
        })
    }

    fn insert<'c>(&'c self, db: &'c mut Db) -> Step<'c, ()> {
        Box::pin(async move {
            query(
                "INSERT INTO scan (id, patient, visit, side, load, unit, taken_on, file_name, content,
                   media_type, note)
                 VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)",
            )
            .bind(self.id.to_string())
            .bind(self.patient.to_string())
            .bind(self.visit.to_string())
            .bind(self.side.map(Side::word))
            .bind(self.load.as_ref().map(word_of).transpose()?)
            .bind(&self.unit)
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
                "UPDATE scan SET side = $2, load = $3, unit = $4, taken_on = $5, note = $6
                 WHERE id = $1",
            )
            .bind(self.id.to_string())
            .bind(self.side.map(Side::word))
            .bind(self.load.as_ref().map(word_of).transpose()?)
            .bind(&self.unit)
            .bind(day_text_if_any(self.taken_on)?)
            .bind(&self.note)
            .execute(db)
            .await?;
            Ok(())
        })
    }

    fn read(row: &Row) -> Result<Self, Fault> {
        let cells = Cells { table: "scan", row };
        Ok(ScanRecord {
            id: cells.parsed("id")?,
            patient: cells.parsed("patient")?,
            visit: cells.parsed("visit")?,
            side: cells.word_if_any("side", from_word)?,
            load: cells.word_if_any("load", from_word)?,
            unit: cells.text_if_any("unit")?,
            taken_on: cells.day_if_any("taken_on")?,
            file_name: cells.text("file_name")?,
            content: cells.parsed("content")?,
            media_type: cells.text("media_type")?,
            note: cells.text("note")?,
        })
    }
}
