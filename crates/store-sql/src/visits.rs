//! Visits: the day's list, a patient's time line, who is due.

use crate::SqlStore;
use crate::act::Entry;
use crate::cells::{Cells, day_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::people;
use record::{ActKind, Due, Patient, PatientId, Stamp, Subject, Visit, VisitId, VisitState};
use store::StoreError;
use time::Date;

impl SqlStore {
    pub(crate) async fn keep_new_visit(&self, stamp: Stamp, kept: Visit) -> Result<(), StoreError> {
        kept.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                people::must_be_there(db, kept.patient).await?;
                if there(db, kept.id).await? {
                    return Err(StoreError::Taken {
                        what: "the id of this visit",
                    }
                    .into());
                }
                query(
                    "INSERT INTO visit (id, patient, day, reason, state)
                     VALUES ($1, $2, $3, $4, $5)",
                )
                .bind(kept.id.to_string())
                .bind(kept.patient.to_string())
                .bind(day_text(kept.on)?)
                .bind(kept.reason)
                .bind(kept.state.word())
                .execute(db)
                .await?;
                Ok((
                    Entry::new(ActKind::VisitOpened, Subject::Visit(kept.id)),
                    (),
                ))
            })
        })
        .await
    }

    pub(crate) async fn keep_visit(&self, stamp: Stamp, kept: Visit) -> Result<(), StoreError> {
        kept.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                let before = by_id(db, kept.id).await?;
                if before.patient != kept.patient {
                    return Err(record::BadRecord::new(
                        "the visit",
                        "another patient",
                        "the patient it was opened for",
                    )
                    .into());
                }
                query("UPDATE visit SET day = $2, reason = $3, state = $4 WHERE id = $1")
                    .bind(kept.id.to_string())
                    .bind(day_text(kept.on)?)
                    .bind(kept.reason)
                    .bind(kept.state.word())
                    .execute(db)
                    .await?;
                let kind = match (before.state, kept.state) {
                    (VisitState::Open, VisitState::Closed) => ActKind::VisitClosed,
                    (VisitState::Closed, VisitState::Open) => ActKind::VisitReopened,
                    _ => ActKind::VisitSaved,
                };
                Ok((Entry::new(kind, Subject::Visit(kept.id)), ()))
            })
        })
        .await
    }
}

async fn there(db: &mut Db, id: VisitId) -> Result<bool, Fault> {
    let found = query("SELECT count(*) FROM visit WHERE id = $1")
        .bind(id.to_string())
        .number(db)
        .await?;
    Ok(found > 0)
}

pub async fn must_be_there(db: &mut Db, id: VisitId) -> Result<(), Fault> {
    if there(db, id).await? {
        Ok(())
    } else {
        Err(StoreError::missing(VisitId::WHAT, id).into())
    }
}

pub async fn by_id(db: &mut Db, id: VisitId) -> Result<Visit, Fault> {
    let row = query("SELECT * FROM visit WHERE id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    read(&row.ok_or_else(|| StoreError::missing(VisitId::WHAT, id))?)
}

pub async fn of(db: &mut Db, patient: PatientId) -> Result<Vec<Visit>, Fault> {
    people::must_be_there(db, patient).await?;
    let rows = query("SELECT * FROM visit WHERE patient = $1 ORDER BY day DESC, seq DESC")
        .bind(patient.to_string())
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn on(db: &mut Db, day: Date) -> Result<Vec<(Visit, Patient)>, Fault> {
    let rows = query(
        "SELECT patient.*, visit.id AS visit_id, visit.day, visit.reason, visit.state
         FROM visit JOIN patient ON patient.id = visit.patient
         WHERE visit.day = $1 ORDER BY visit.seq",
    )
    .bind(day_text(day)?)
    .fetch_all(db)
    .await?;
    rows.iter().map(read_with_patient).collect()
}

/// The last visit of each patient up to the day, where its plan asks them back by the day.
pub async fn due(db: &mut Db, day: Date) -> Result<Vec<Due>, Fault> {
    // Two ways in, each by its own index: nobody came since, or they come only after the day.
    let rows = query(
        "SELECT patient.*, visit.id AS visit_id, visit.day, visit.reason, visit.state,
                visit.review_on
         FROM (SELECT id FROM visit WHERE next_day IS NULL AND review_on <= $1
               UNION ALL
               SELECT id FROM visit WHERE next_day > $1 AND review_on <= $1) AS back
         JOIN visit ON visit.id = back.id
         JOIN patient ON patient.id = visit.patient
         WHERE visit.day <= $1
         ORDER BY visit.review_on, patient.find_by, patient.id",
    )
    .bind(day_text(day)?)
    .fetch_all(db)
    .await?;
    rows.iter()
        .map(|row| {
            let (planned_at, patient) = read_with_patient(row)?;
            let review_on = Cells {
                table: "visit",
                row,
            }
            .day("review_on")?;
            Ok(Due {
                patient,
                planned_at,
                review_on,
            })
        })
        .collect()
}

fn read(row: &Row) -> Result<Visit, Fault> {
    let cells = Cells {
        table: "visit",
        row,
    };
    read_as(&cells, cells.parsed("id")?, cells.parsed("patient")?)
}

pub fn read_with_patient(row: &Row) -> Result<(Visit, Patient), Fault> {
    let patient = people::read_patient(row)?;
    let cells = Cells {
        table: "visit",
        row,
    };
    Ok((
        read_as(&cells, cells.parsed("visit_id")?, patient.id)?,
        patient,
    ))
}

fn read_as(cells: &Cells<'_>, id: VisitId, patient: PatientId) -> Result<Visit, Fault> {
    Ok(Visit {
        id,
        patient,
        on: cells.day("day")?,
        reason: cells.text("reason")?,
        state: cells.word("state", |word| match word {
            "open" => Some(VisitState::Open),
            "closed" => Some(VisitState::Closed),
            _ => None,
        })?,
    })
}
