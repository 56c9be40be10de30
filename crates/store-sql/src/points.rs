//! Placings of points with what was read from them: saved while in hand, frozen when finished.

use crate::SqlStore;
use crate::act::Entry;
use crate::cells::{Cells, json_text, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::intake::Import;
use crate::{intake, people};
use record::{
    ActKind, FilmId, FilmRecord, PatientId, PointsId, PointsRecord, PointsToSave, SheetRecord,
    Stamp, Subject,
};
use store::StoreError;

impl SqlStore {
    pub(crate) async fn keep_points(
        &self,
        stamp: Stamp,
        points: PointsToSave,
    ) -> Result<PointsRecord, StoreError> {
        points.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                let record = match if_any(db, points.id).await? {
                    Some(before) => next_save(before, points, stamp)?,
                    None => first_save(db, points, stamp).await?,
                };
                write(db, &record).await?;
                let kind = match record.finished {
                    true => ActKind::PointsFinished,
                    false => ActKind::PointsSaved,
                };
                let entry = Entry::saying(
                    kind,
                    Subject::Points(record.id),
                    format_args!("attempt {}", record.attempt),
                );
                Ok((entry, record))
            })
        })
        .await
    }
}

fn next_save(
    before: PointsRecord,
    points: PointsToSave,
    stamp: Stamp,
) -> Result<PointsRecord, StoreError> {
    if (before.film, before.reader) != (points.film, points.reader) {
        return Err(StoreError::Taken {
            what: "the id of these points",
        });
    }
    if before.finished {
        return Err(StoreError::Frozen {
            what: "a set of points",
            state: "finished",
            instead: "begin a second reading",
        });
    }
    Ok(PointsRecord {
        placed_at: stamp.at,
        finished: points.finished,
        points: points.points,
        sheet: points.sheet,
        ..before
    })
}

async fn first_save(
    db: &mut Db,
    points: PointsToSave,
    stamp: Stamp,
) -> Result<PointsRecord, Fault> {
    intake::must_be_there::<FilmRecord>(db, points.film).await?;
    let reader = people::clinician(db, points.reader).await?;
    let before = query("SELECT count(*) FROM points WHERE film = $1 AND reader = $2")
        .bind(points.film.to_string())
        .bind(points.reader.to_string())
        .number(db)
        .await?;
    Ok(PointsRecord {
        id: points.id,
        film: points.film,
        reader: points.reader,
        reader_name: reader.name,
        attempt: u32::try_from(before + 1).unwrap_or(u32::MAX),
        placed_at: stamp.at,
        finished: points.finished,
        points: points.points,
        sheet: points.sheet,
    })
}

async fn write(db: &mut Db, record: &PointsRecord) -> Result<(), Fault> {
    query(
        "INSERT INTO points (id, film, reader, reader_name, attempt, placed_at, finished, points,
           sheet)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)
         ON CONFLICT (id) DO UPDATE SET placed_at = excluded.placed_at,
           finished = excluded.finished, points = excluded.points, sheet = excluded.sheet",
    )
    .bind(record.id.to_string())
    .bind(record.film.to_string())
    .bind(record.reader.to_string())
    .bind(&record.reader_name)
    .bind(record.attempt)
    .bind(moment_text(record.placed_at)?)
    .bind(record.finished)
    .bind(json_text(&record.points)?)
    .bind(json_text(&record.sheet)?)
    .execute(db)
    .await?;
    Ok(())
}

async fn if_any(db: &mut Db, id: PointsId) -> Result<Option<PointsRecord>, Fault> {
    let row = query("SELECT * FROM points WHERE id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read).transpose()
}

pub async fn by_id(db: &mut Db, id: PointsId) -> Result<PointsRecord, Fault> {
    if_any(db, id)
        .await?
        .ok_or_else(|| StoreError::missing(PointsId::WHAT, id).into())
}

pub async fn of(db: &mut Db, film: FilmId) -> Result<Vec<PointsRecord>, Fault> {
    intake::must_be_there::<FilmRecord>(db, film).await?;
    let rows = query("SELECT * FROM points WHERE film = $1 ORDER BY seq")
        .bind(film.to_string())
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn sheets_of(db: &mut Db, patient: PatientId) -> Result<Vec<SheetRecord>, Fault> {
    people::must_be_there(db, patient).await?;
    let rows = query(
        "SELECT points.id, points.film, reader, reader_name, attempt, placed_at, finished, sheet
         FROM film JOIN points ON points.film = film.id
         WHERE film.patient = $1 ORDER BY film.seq, points.seq",
    )
    .bind(patient.to_string())
    .fetch_all(db)
    .await?;
    rows.iter().map(read_sheet).collect()
}

pub async fn films_read_twice(db: &mut Db) -> Result<Vec<(FilmRecord, Vec<PointsRecord>)>, Fault> {
    let rows = query(
        "SELECT * FROM film WHERE id IN (
           SELECT film FROM points WHERE finished = 1 GROUP BY film HAVING count(*) > 1)
         ORDER BY seq",
    )
    .fetch_all(&mut *db)
    .await?;
    let mut films = Vec::new();
    for row in &rows {
        let film = FilmRecord::read(row)?;
        let mut placings = of(db, film.id).await?;
        placings.retain(|p| p.finished);
        films.push((film, placings));
    }
    Ok(films)
}

fn read_sheet(row: &Row) -> Result<SheetRecord, Fault> {
    let cells = Cells {
        table: "points",
        row,
    };
    Ok(SheetRecord {
        id: cells.parsed("id")?,
        film: cells.parsed("film")?,
        reader: cells.parsed("reader")?,
        reader_name: cells.text("reader_name")?,
        attempt: cells.number("attempt")?,
        placed_at: cells.moment("placed_at")?,
        finished: cells.flag("finished")?,
        sheet: cells.json("sheet")?,
    })
}

fn read(row: &Row) -> Result<PointsRecord, Fault> {
    let cells = Cells {
        table: "points",
        row,
    };
    let read = read_sheet(row)?;
    Ok(PointsRecord {
        id: read.id,
        film: read.film,
        reader: read.reader,
        reader_name: read.reader_name,
        attempt: read.attempt,
        placed_at: read.placed_at,
        finished: read.finished,
        points: cells.json("points")?,
        sheet: read.sheet,
    })
}
