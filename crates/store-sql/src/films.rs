//! Films: the columns of what is known of them, and which of them wait for points. How they come in and
//! are listed is the same as for scans and stands in `intake`.

use crate::act::Step;
use crate::cells::{Cells, day_text_if_any, from_word, json_text_if_any, word_of};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::intake::Import;
use crate::people;
use record::{
    ActKind, BadRecord, ContentHash, DisplayTurn, FilmId, FilmRecord, Patient, PatientId, Subject,
    VisitId, WaitingFilm,
};
use std::collections::BTreeMap;
use terms::{Side, View, Worn};

impl Import for FilmRecord {
    const TABLE: &'static str = "film";
    const THIS: &'static str = "the film";
    const ITS_ID: &'static str = "the id of this film";
    const TAKEN_IN: ActKind = ActKind::FilmImported;
    const CHANGED: ActKind = ActKind::FilmSaved;
    type Id = FilmId;

    fn id(&self) -> FilmId {
        self.id
    }
    fn subject(&self) -> Subject {
        Subject::Film(self.id)
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
            && (self.width_px, self.height_px) == (before.width_px, before.height_px)
            && (&self.file_name, &self.media_type) == (&before.file_name, &before.media_type)
    }

    fn insert<'c>(&'c self, db: &'c mut Db) -> Step<'c, ()> {
        Box::pin(async move {
            query(
                "INSERT INTO film (id, patient, visit, view, side, stance, taken_on, file_name,
                   content, media_type, width_px, height_px, scale_wish, scale_answer,
                   quarter_turns, mirrored, note, worn)
                 VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16,
                   $17, $18)",
            )
            .bind(self.id.to_string())
            .bind(self.patient.to_string())
            .bind(self.visit.to_string())
            .bind(self.view.map(View::key))
            .bind(self.side.map(Side::word))
            .bind(word_of(&self.stance)?)
            .bind(day_text_if_any(self.taken_on)?)
            .bind(&self.file_name)
            .bind(self.content.to_string())
            .bind(&self.media_type)
            .bind(self.width_px)
            .bind(self.height_px)
            .bind(json_text_if_any(&self.scale_wish)?)
            .bind(json_text_if_any(&self.scale_answer)?)
            .bind(self.turn.quarter_turns)
            .bind(self.turn.mirrored)
            .bind(&self.note)
            .bind(self.worn.map(Worn::key))
            .execute(db)
            .await?;
            Ok(())
        })
    }

    fn update<'c>(&'c self, db: &'c mut Db) -> Step<'c, ()> {
        Box::pin(async move {
            query(
                "UPDATE film SET view = $2, side = $3, stance = $4, taken_on = $5,
                   scale_wish = $6, scale_answer = $7, quarter_turns = $8, mirrored = $9,
                   note = $10, worn = $11
                 WHERE id = $1",
            )
            .bind(self.id.to_string())
            .bind(self.view.map(View::key))
            .bind(self.side.map(Side::word))
            .bind(word_of(&self.stance)?)
            .bind(day_text_if_any(self.taken_on)?)
            .bind(json_text_if_any(&self.scale_wish)?)
            .bind(json_text_if_any(&self.scale_answer)?)
            .bind(self.turn.quarter_turns)
            .bind(self.turn.mirrored)
            .bind(&self.note)
            .bind(self.worn.map(Worn::key))
            .execute(db)
            .await?;
            Ok(())
        })
    }

    fn read(row: &Row) -> Result<Self, Fault> {
        let cells = Cells { table: "film", row };
        Ok(FilmRecord {
            id: cells.parsed("id")?,
            patient: cells.parsed("patient")?,
            visit: cells.parsed("visit")?,
            view: cells.word_if_any("view", View::from_key)?,
            side: cells.word_if_any("side", from_word)?,
            stance: cells.word("stance", from_word)?,
            worn: cells.word_if_any("worn", Worn::from_key)?,
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
}

pub async fn waiting(db: &mut Db) -> Result<Vec<WaitingFilm>, Fault> {
    let rows = query(
        "SELECT film.*, visit.day,
                EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 0) AS begun,
                EXISTS (SELECT 1 FROM points WHERE points.film = film.id AND finished = 1) AS read
         FROM film JOIN visit ON visit.id = film.visit
         WHERE film.waits = 1
         ORDER BY visit.day DESC, film.seq DESC",
    )
    .fetch_all(&mut *db)
    .await?;
    let mut patients: BTreeMap<PatientId, Patient> = BTreeMap::new();
    let mut waiting = Vec::new();
    for row in &rows {
        let film = FilmRecord::read(row)?;
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
