//! Films: the bytes in the folder, what is known of them in the record file.
//!
//! The file goes first: a record that names a file which is not there would be a loss, a file
//! that no record names is only moved aside at the next start.

use crate::SqliteStore;
use crate::act::Entry;
use crate::cells::{Cells, day_text_if_any, from_word, json_text_if_any, word_of};
use crate::fault::Fault;
use crate::{people, visits};
use record::{
    ActKind, BadRecord, ContentHash, DisplayTurn, FilmId, FilmRecord, Patient, PatientId, Stamp,
    Subject, VisitId, WaitingFilm,
};
use sqlx::{SqliteConnection, sqlite::SqliteRow};
use std::collections::BTreeMap;
use store::StoreError;
use terms::View;

impl SqliteStore {
    pub(crate) async fn take_in_film(
        &self,
        stamp: Stamp,
        film: FilmRecord,
        bytes: Vec<u8>,
    ) -> Result<(), StoreError> {
        film.check()?;
        let content = film.content;
        let checked = tokio::task::spawn_blocking(move || {
            if ContentHash::of(&bytes) == content {
                Ok(bytes)
            } else {
                Err(
                    BadRecord::new("the film", "bytes with another hash", "the hash it names")
                        .into(),
                )
            }
        })
        .await;
        let bytes = self.ended(checked, "take in the film")?;
        self.with_file(stamp, content, bytes, move |store| async move {
            store.keep_new_film(stamp, film).await
        })
        .await
    }

    /// Puts a file in place, then keeps the record that names it; takes the file back where the
    /// record could not be kept. Runs to its end even when nobody waits for it.
    pub(crate) async fn with_file<T, F, R>(
        &self,
        stamp: Stamp,
        content: ContentHash,
        bytes: Vec<u8>,
        keep: F,
    ) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: FnOnce(SqliteStore) -> R + Send + 'static,
        R: Future<Output = Result<T, StoreError>> + Send,
    {
        let store = self.clone();
        let done = tokio::spawn(async move {
            // One at a time: else one act could take back the file another has just named.
            let _turn = store.file_turn.clone().lock_owned().await;
            let files = store.files.clone();
            let put = tokio::task::spawn_blocking(move || files.put(content, &bytes, stamp.act));
            let new = match put.await {
                Ok(put) => put?,
                Err(_) => {
                    return Err(StoreError::Failed {
                        doing: "write the file",
                        detail: "a fault in the program".into(),
                    }
                    .into());
                }
            };
            let kept = keep(store.clone()).await;
            if kept.is_err() && new {
                let files = store.files.clone();
                let _ = tokio::task::spawn_blocking(move || files.take_back(content)).await;
            }
            kept.map_err(Fault::Said)
        });
        self.ended(done.await, "write the file")
    }

    async fn keep_new_film(&self, stamp: Stamp, film: FilmRecord) -> Result<(), StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                if there(db, film.id).await? {
                    return Err(StoreError::Taken {
                        what: "the id of this film",
                    }
                    .into());
                }
                let visit = visits::by_id(db, film.visit).await?;
                if visit.patient != film.patient {
                    return Err(BadRecord::new(
                        "the film",
                        "another patient than the visit's",
                        "the patient of the visit",
                    )
                    .into());
                }
                sqlx::query(
                    "INSERT INTO film (id, patient, visit, view, side, stance, taken_on, file_name,
                       content, media_type, width_px, height_px, scale_wish, scale_answer,
                       quarter_turns, mirrored, note)
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16,
                       ?17)",
                )
                .bind(film.id.to_string())
                .bind(film.patient.to_string())
                .bind(film.visit.to_string())
                .bind(film.view.map(View::key))
                .bind(film.side.map(terms::Side::word))
                .bind(word_of(&film.stance)?)
                .bind(day_text_if_any(film.taken_on)?)
                .bind(&film.file_name)
                .bind(film.content.to_string())
                .bind(&film.media_type)
                .bind(film.width_px)
                .bind(film.height_px)
                .bind(json_text_if_any(&film.scale_wish)?)
                .bind(json_text_if_any(&film.scale_answer)?)
                .bind(film.turn.quarter_turns)
                .bind(film.turn.mirrored)
                .bind(&film.note)
                .execute(db)
                .await?;
                Ok((
                    Entry::new(ActKind::FilmImported, Subject::Film(film.id)),
                    (),
                ))
            })
        })
        .await
    }

    pub(crate) async fn keep_film(&self, stamp: Stamp, film: FilmRecord) -> Result<(), StoreError> {
        film.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                let before = by_id(db, film.id).await?;
                let same = (before.patient, before.visit, before.content)
                    == (film.patient, film.visit, film.content)
                    && (before.width_px, before.height_px) == (film.width_px, film.height_px)
                    && (&before.file_name, &before.media_type)
                        == (&film.file_name, &film.media_type);
                if !same {
                    return Err(BadRecord::new(
                        "the film",
                        "another file, patient or visit",
                        "those it was taken in with",
                    )
                    .into());
                }
                sqlx::query(
                    "UPDATE film SET view = ?2, side = ?3, stance = ?4, taken_on = ?5,
                       scale_wish = ?6, scale_answer = ?7, quarter_turns = ?8, mirrored = ?9,
                       note = ?10
                     WHERE id = ?1",
                )
                .bind(film.id.to_string())
                .bind(film.view.map(View::key))
                .bind(film.side.map(terms::Side::word))
                .bind(word_of(&film.stance)?)
                .bind(day_text_if_any(film.taken_on)?)
                .bind(json_text_if_any(&film.scale_wish)?)
                .bind(json_text_if_any(&film.scale_answer)?)
                .bind(film.turn.quarter_turns)
                .bind(film.turn.mirrored)
                .bind(&film.note)
                .execute(db)
                .await?;
                Ok((Entry::new(ActKind::FilmSaved, Subject::Film(film.id)), ()))
            })
        })
        .await
    }
}

async fn there(db: &mut SqliteConnection, id: FilmId) -> Result<bool, Fault> {
    let found: i64 = sqlx::query_scalar("SELECT count(*) FROM film WHERE id = ?1")
        .bind(id.to_string())
        .fetch_one(db)
        .await?;
    Ok(found > 0)
}

pub async fn must_be_there(db: &mut SqliteConnection, id: FilmId) -> Result<(), Fault> {
    if there(db, id).await? {
        Ok(())
    } else {
        Err(StoreError::missing(FilmId::WHAT, id).into())
    }
}

pub async fn by_id(db: &mut SqliteConnection, id: FilmId) -> Result<FilmRecord, Fault> {
    let row = sqlx::query("SELECT * FROM film WHERE id = ?1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    read(&row.ok_or_else(|| StoreError::missing(FilmId::WHAT, id))?)
}

pub async fn of_visit(db: &mut SqliteConnection, visit: VisitId) -> Result<Vec<FilmRecord>, Fault> {
    visits::must_be_there(db, visit).await?;
    let rows = sqlx::query("SELECT * FROM film WHERE visit = ?1 ORDER BY seq")
        .bind(visit.to_string())
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn of(db: &mut SqliteConnection, patient: PatientId) -> Result<Vec<FilmRecord>, Fault> {
    people::must_be_there(db, patient).await?;
    let rows = sqlx::query("SELECT * FROM film WHERE patient = ?1 ORDER BY seq")
        .bind(patient.to_string())
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn with(
    db: &mut SqliteConnection,
    content: ContentHash,
) -> Result<Vec<FilmRecord>, Fault> {
    let rows = sqlx::query("SELECT * FROM film WHERE content = ?1 ORDER BY seq")
        .bind(content.to_string())
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn waiting(db: &mut SqliteConnection) -> Result<Vec<WaitingFilm>, Fault> {
    let rows = sqlx::query(
        "SELECT film.*, visit.day,
                EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 0) AS begun,
                EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 1) AS read
         FROM film JOIN visit ON visit.id = film.visit
         WHERE begun OR NOT read
         ORDER BY visit.day DESC, film.seq DESC",
    )
    .fetch_all(&mut *db)
    .await?;
    let mut patients: BTreeMap<PatientId, Patient> = BTreeMap::new();
    let mut waiting = Vec::new();
    for row in &rows {
        let film = read(row)?;
        let patient = match patients.get(&film.patient) {
            Some(known) => known.clone(),
            None => {
                let patient = people::patient(db, film.patient).await?;
                patients.insert(film.patient, patient.clone());
                patient
            }
        };
        let cells = Cells { table: "film", row };
        waiting.push(WaitingFilm {
            film,
            patient,
            visit_on: cells.day("day")?,
            begun: cells.flag("begun")?,
            read: cells.flag("read")?,
        });
    }
    Ok(waiting)
}

fn read(row: &SqliteRow) -> Result<FilmRecord, Fault> {
    let cells = Cells { table: "film", row };
    Ok(FilmRecord {
        id: cells.parsed("id")?,
        patient: cells.parsed("patient")?,
        visit: cells.parsed("visit")?,
        view: cells.word_if_any("view", View::from_key)?,
        side: cells.word_if_any("side", from_word)?,
        stance: cells.word("stance", from_word)?,
        taken_on: cells.day_if_any("taken_on")?,
        file_name: cells.text("file_name")?,
        content: cells.parsed("content")?,
        media_type: cells.text("media_type")?,
        width_px: cells.number("width_px")?,
        height_px: cells.number("height_px")?,
        scale_wish: cells.json_if_any("scale_wish")?,
        scale_answer: cells.json_if_any("scale_answer")?,
        turn: DisplayTurn {
            quarter_turns: cells.number("quarter_turns")?,
            mirrored: cells.flag("mirrored")?,
        },
        note: cells.text("note")?,
    })
}
