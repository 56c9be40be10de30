//! Examination, decision, plan and joint wear: every save is a new revision.

use crate::SqlStore;
use crate::act::Entry;
use crate::cells::{Cells, day_text_if_any, from_word, json_text, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::{intake, people, visits};
use record::{
    ActKind, DecisionRecord, ExamRecord, ExamineOf, FilmId, FilmRecord, Kept, PatientId,
    PlanRecord, Stamp, Subject, VisitId, WearGrades, WearRecord,
};
use store::StoreError;
use terms::Side;

/// Two open pages must not overwrite each other.
pub fn check_seen(what: &'static str, seen: u32, found: u32) -> Result<u32, StoreError> {
    if seen == found {
        Ok(found + 1)
    } else {
        Err(StoreError::ChangedMeanwhile { what, seen, found })
    }
}

/// The revision that stood there when the content shown now was first saved: the one before that save.
/// It may itself show the content of an earlier one. `None` at the first save.
pub fn step_back(content_of: u32) -> Option<u32> {
    content_of.checked_sub(1).filter(|before| *before > 0)
}

impl SqlStore {
    pub(crate) async fn keep_exam(
        &self,
        stamp: Stamp,
        visit: VisitId,
        of: ExamineOf,
        exam: Kept,
        seen: u32,
    ) -> Result<ExamRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                visits::must_be_there(db, visit).await?;
                let found = exam_now(db, visit, of).await?.map_or(0, |e| e.revision);
                let revision = check_seen("the examination", seen, found)?;
                let record = ExamRecord {
                    visit,
                    of,
                    exam,
                    revision,
                    content_of: revision,
                    saved_at: stamp.at,
                };
                write_exam(db, stamp, &record).await?;
                Ok((exam_entry(ActKind::ExamSaved, &record), record))
            })
        })
        .await
    }

    pub(crate) async fn step_back_exam(
        &self,
        stamp: Stamp,
        visit: VisitId,
        of: ExamineOf,
        seen: u32,
    ) -> Result<ExamRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                visits::must_be_there(db, visit).await?;
                let found = exam_now(db, visit, of).await?.map_or(0, |e| e.revision);
                let revision = check_seen("the examination", seen, found)?;
                let Some(before) = before_now(db, visit, of).await? else {
                    return Err(StoreError::NothingToUndo {
                        what: "the examination",
                    }
                    .into());
                };
                let record = ExamRecord {
                    revision,
                    saved_at: stamp.at,
                    ..before
                };
                write_exam(db, stamp, &record).await?;
                Ok((exam_entry(ActKind::ExamUndone, &record), record))
            })
        })
        .await
    }

    pub(crate) async fn keep_decision(
        &self,
        stamp: Stamp,
        decision: DecisionRecord,
        seen: u32,
    ) -> Result<DecisionRecord, StoreError> {
        decision.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                visits::must_be_there(db, decision.visit).await?;
                let before = decision_now(db, decision.visit, decision.side).await?;
                let found = before.map_or(0, |d| d.revision);
                let revision = check_seen("the decision", seen, found)?;
                let record = DecisionRecord {
                    revision,
                    saved_at: stamp.at,
                    ..decision
                };
                query(
                    "INSERT INTO decision (visit, side, revision, report, chosen, overruled_reason,
                       saved_at, saved_by)
                     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
                )
                .bind(record.visit.to_string())
                .bind(record.side.word())
                .bind(revision)
                .bind(json_text(&record.report)?)
                .bind(&record.chosen)
                .bind(&record.overruled_reason)
                .bind(moment_text(stamp.at)?)
                .bind(stamp.by.to_string())
                .execute(db)
                .await?;
                let entry = Entry::saying(
                    ActKind::DecisionSaved,
                    Subject::Visit(record.visit),
                    format_args!("{} foot, revision {revision}", record.side.word()),
                );
                Ok((entry, record))
            })
        })
        .await
    }

    pub(crate) async fn keep_plan(
        &self,
        stamp: Stamp,
        plan: PlanRecord,
        seen: u32,
    ) -> Result<PlanRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                visits::must_be_there(db, plan.visit).await?;
                let found = plan_now(db, plan.visit).await?.map_or(0, |p| p.revision);
                let revision = check_seen("the plan", seen, found)?;
                let record = PlanRecord {
                    revision,
                    saved_at: stamp.at,
                    ..plan
                };
                query(
                    "INSERT INTO plan (visit, revision, plan, review_on, saved_at, saved_by)
                     VALUES ($1, $2, $3, $4, $5, $6)",
                )
                .bind(record.visit.to_string())
                .bind(revision)
                .bind(json_text(&record.plan)?)
                .bind(day_text_if_any(record.review_on)?)
                .bind(moment_text(stamp.at)?)
                .bind(stamp.by.to_string())
                .execute(db)
                .await?;
                let entry = Entry::saying(
                    ActKind::PlanSaved,
                    Subject::Visit(record.visit),
                    format_args!("revision {revision}"),
                );
                Ok((entry, record))
            })
        })
        .await
    }

    pub(crate) async fn keep_wear(
        &self,
        stamp: Stamp,
        film: FilmId,
        grades: WearGrades,
        seen: u32,
    ) -> Result<WearRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                intake::must_be_there::<FilmRecord>(db, film).await?;
                let found = wear_now(db, film).await?.map_or(0, |w| w.revision);
                let revision = check_seen("the joint wear", seen, found)?;
                query(
                    "INSERT INTO wear (film, revision, grades, saved_at, saved_by)
                     VALUES ($1, $2, $3, $4, $5)",
                )
                .bind(film.to_string())
                .bind(revision)
                .bind(json_text(&grades)?)
                .bind(moment_text(stamp.at)?)
                .bind(stamp.by.to_string())
                .execute(db)
                .await?;
                let entry = Entry::saying(
                    ActKind::WearSaved,
                    Subject::Film(film),
                    format_args!("revision {revision}"),
                );
                Ok((
                    entry,
                    WearRecord {
                        film,
                        grades,
                        revision,
                        saved_at: stamp.at,
                    },
                ))
            })
        })
        .await
    }
}

fn exam_entry(kind: ActKind, record: &ExamRecord) -> Entry {
    Entry::saying(
        kind,
        Subject::Visit(record.visit),
        format_args!("{}, revision {}", record.of.words(), record.revision),
    )
}

async fn write_exam(db: &mut Db, stamp: Stamp, record: &ExamRecord) -> Result<(), Fault> {
    query(
        "INSERT INTO exam (visit, subject, revision, content_of, exam, saved_at, saved_by)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(record.visit.to_string())
    .bind(record.of.key())
    .bind(record.revision)
    .bind(record.content_of)
    .bind(json_text(&record.exam)?)
    .bind(moment_text(stamp.at)?)
    .bind(stamp.by.to_string())
    .execute(db)
    .await?;
    Ok(())
}

/// As it stands now; `None` before the first save.
pub async fn exam(db: &mut Db, visit: VisitId, of: ExamineOf) -> Result<Option<ExamRecord>, Fault> {
    visits::must_be_there(db, visit).await?;
    exam_now(db, visit, of).await
}

/// Of all visits of a patient what stands now in a table of revisions, newest visit first.
async fn standing_of<T>(
    db: &mut Db,
    patient: PatientId,
    now: &'static str,
    read: fn(&Row) -> Result<T, Fault>,
) -> Result<Vec<T>, Fault> {
    people::must_be_there(db, patient).await?;
    let rows = query(now).bind(patient.to_string()).fetch_all(db).await?;
    rows.iter().map(read).collect()
}

pub async fn exams_of(db: &mut Db, patient: PatientId) -> Result<Vec<ExamRecord>, Fault> {
    let now = "SELECT exam.* FROM visit JOIN exam ON exam.visit = visit.id
         WHERE visit.patient = $1 AND exam.revision = (
           SELECT max(revision) FROM exam AS later
           WHERE later.visit = exam.visit AND later.subject = exam.subject)
         ORDER BY visit.day DESC, visit.seq DESC, exam.subject";
    standing_of(db, patient, now, read_exam).await
}

pub async fn decisions_of(db: &mut Db, patient: PatientId) -> Result<Vec<DecisionRecord>, Fault> {
    let now = "SELECT decision.* FROM visit JOIN decision ON decision.visit = visit.id
         WHERE visit.patient = $1 AND decision.revision = (
           SELECT max(revision) FROM decision AS later
           WHERE later.visit = decision.visit AND later.side = decision.side)
         ORDER BY visit.day DESC, visit.seq DESC, decision.side";
    standing_of(db, patient, now, read_decision).await
}

pub async fn plans_of(db: &mut Db, patient: PatientId) -> Result<Vec<PlanRecord>, Fault> {
    let now = "SELECT plan.* FROM visit JOIN plan ON plan.visit = visit.id
         WHERE visit.patient = $1 AND plan.revision = (
           SELECT max(revision) FROM plan AS later WHERE later.visit = plan.visit)
         ORDER BY visit.day DESC, visit.seq DESC";
    standing_of(db, patient, now, read_plan).await
}

pub async fn exam_before(
    db: &mut Db,
    visit: VisitId,
    of: ExamineOf,
) -> Result<Option<ExamRecord>, Fault> {
    visits::must_be_there(db, visit).await?;
    before_now(db, visit, of).await
}

pub async fn decision(
    db: &mut Db,
    visit: VisitId,
    side: Side,
) -> Result<Option<DecisionRecord>, Fault> {
    visits::must_be_there(db, visit).await?;
    decision_now(db, visit, side).await
}

pub async fn plan(db: &mut Db, visit: VisitId) -> Result<Option<PlanRecord>, Fault> {
    visits::must_be_there(db, visit).await?;
    plan_now(db, visit).await
}

pub async fn wear(db: &mut Db, film: FilmId) -> Result<Option<WearRecord>, Fault> {
    intake::must_be_there::<FilmRecord>(db, film).await?;
    wear_now(db, film).await
}

async fn exam_now(db: &mut Db, visit: VisitId, of: ExamineOf) -> Result<Option<ExamRecord>, Fault> {
    let row = query(
        "SELECT * FROM exam WHERE visit = $1 AND subject = $2 ORDER BY revision DESC LIMIT 1",
    )
    .bind(visit.to_string())
    .bind(of.key())
    .fetch_optional(db)
    .await?;
    row.as_ref().map(read_exam).transpose()
}

async fn before_now(
    db: &mut Db,
    visit: VisitId,
    of: ExamineOf,
) -> Result<Option<ExamRecord>, Fault> {
    let now = exam_now(db, visit, of).await?;
    match now.and_then(|now| step_back(now.content_of)) {
        Some(before) => Ok(Some(exam_at(db, visit, of, before).await?)),
        None => Ok(None),
    }
}

async fn exam_at(
    db: &mut Db,
    visit: VisitId,
    of: ExamineOf,
    revision: u32,
) -> Result<ExamRecord, Fault> {
    let row = query("SELECT * FROM exam WHERE visit = $1 AND subject = $2 AND revision = $3")
        .bind(visit.to_string())
        .bind(of.key())
        .bind(revision)
        .fetch_one(db)
        .await?;
    read_exam(&row)
}

pub async fn exam_revisions(
    db: &mut Db,
    visit: VisitId,
    of: ExamineOf,
) -> Result<Vec<ExamRecord>, Fault> {
    visits::must_be_there(db, visit).await?;
    let rows = query("SELECT * FROM exam WHERE visit = $1 AND subject = $2 ORDER BY revision")
        .bind(visit.to_string())
        .bind(of.key())
        .fetch_all(db)
        .await?;
    rows.iter().map(read_exam).collect()
}

fn read_exam(row: &Row) -> Result<ExamRecord, Fault> {
    let cells = Cells { table: "exam", row };
    Ok(ExamRecord {
        visit: cells.parsed("visit")?,
        of: cells.word("subject", ExamineOf::from_key)?,
        exam: cells.json("exam")?,
        revision: cells.number("revision")?,
        content_of: cells.number("content_of")?,
        saved_at: cells.moment("saved_at")?,
    })
}

async fn decision_now(
    db: &mut Db,
    visit: VisitId,
    side: Side,
) -> Result<Option<DecisionRecord>, Fault> {
    let row = query(
        "SELECT * FROM decision WHERE visit = $1 AND side = $2 ORDER BY revision DESC LIMIT 1",
    )
    .bind(visit.to_string())
    .bind(side.word())
    .fetch_optional(db)
    .await?;
    row.as_ref().map(read_decision).transpose()
}

fn read_decision(row: &Row) -> Result<DecisionRecord, Fault> {
    let cells = Cells {
        table: "decision",
        row,
    };
    Ok(DecisionRecord {
        visit: cells.parsed("visit")?,
        side: cells.word("side", from_word)?,
        report: cells.json("report")?,
        chosen: cells.text_if_any("chosen")?,
        overruled_reason: cells.text_if_any("overruled_reason")?,
        revision: cells.number("revision")?,
        saved_at: cells.moment("saved_at")?,
    })
}

async fn plan_now(db: &mut Db, visit: VisitId) -> Result<Option<PlanRecord>, Fault> {
    let row = query("SELECT * FROM plan WHERE visit = $1 ORDER BY revision DESC LIMIT 1")
        .bind(visit.to_string())
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read_plan).transpose()
}

fn read_plan(row: &Row) -> Result<PlanRecord, Fault> {
    let cells = Cells { table: "plan", row };
    Ok(PlanRecord {
        visit: cells.parsed("visit")?,
        plan: cells.json("plan")?,
        review_on: cells.day_if_any("review_on")?,
        revision: cells.number("revision")?,
        saved_at: cells.moment("saved_at")?,
    })
}

async fn wear_now(db: &mut Db, film: FilmId) -> Result<Option<WearRecord>, Fault> {
    let row = query("SELECT * FROM wear WHERE film = $1 ORDER BY revision DESC LIMIT 1")
        .bind(film.to_string())
        .fetch_optional(db)
        .await?;
    row.map(|row| {
        let cells = Cells {
            table: "wear",
            row: &row,
        };
        Ok(WearRecord {
            film: cells.parsed("film")?,
            grades: cells.json("grades")?,
            revision: cells.number("revision")?,
            saved_at: cells.moment("saved_at")?,
        })
    })
    .transpose()
}
