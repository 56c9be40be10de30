//! Films that came in without a person at the page: how they are kept, taken into a visit and put away.

use crate::SqlStore;
use crate::act::{Entry, Step};
use crate::cells::{Cells, json_text, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::intake::{self, Import, check_patient};
use crate::people;
use record::arrival::check_reason;
use record::{
    ActKind, ArrivalId, ArrivalRecord, ArrivalState, ArrivalWay, BadRecord, FilmRecord, Patient,
    PatientId, Stamp, Subject,
};
use store::{Answer, Arrivals, Saved, StoreError};

const THIS: &str = "a film that came in";

/// A question to one of the reading connections.
macro_rules! ask {
    ($store:ident, $db:ident => $question:expr) => {
        Box::pin($store.read(async move |$db| $question.await))
    };
}

impl Arrivals for SqlStore {
    fn keep_arrival(
        &self,
        stamp: Stamp,
        arrival: ArrivalRecord,
        bytes: Vec<u8>,
    ) -> Answer<'_, ArrivalRecord> {
        Box::pin(self.keep_what_came(stamp, arrival, bytes))
    }
    fn arrival(&self, id: ArrivalId) -> Answer<'_, ArrivalRecord> {
        ask!(self, db => by_id(db, id))
    }
    fn arrival_bytes(&self, id: ArrivalId) -> Answer<'_, Vec<u8>> {
        Box::pin(async move {
            let arrival = self.read(async |db| by_id(db, id).await).await?;
            self.bytes(arrival.content).await
        })
    }
    fn arrivals_waiting(&self) -> Answer<'_, Vec<ArrivalRecord>> {
        ask!(self, db => waiting(db))
    }
    fn count_arrivals_waiting(&self) -> Answer<'_, u32> {
        ask!(self, db => count_waiting(db))
    }
    fn arrivals_put_away(&self, most: u32) -> Answer<'_, Vec<ArrivalRecord>> {
        ask!(self, db => put_away(db, most))
    }

    fn take_arrival(&self, stamp: Stamp, id: ArrivalId, film: FilmRecord) -> Answer<'_, Saved> {
        Box::pin(async move {
            Import::check(&film)?;
            self.act(stamp, move |db| Box::pin(take(db, stamp, id, film)))
                .await
        })
    }
    fn put_away_arrival(&self, stamp: Stamp, id: ArrivalId, reason: String) -> Answer<'_, Saved> {
        Box::pin(async move {
            check_reason(&reason)?;
            self.act(stamp, move |db| {
                Box::pin(async move {
                    must_wait(db, id).await?;
                    let state = ArrivalState::PutAway {
                        reason,
                        at: stamp.at,
                        by: stamp.by,
                    };
                    set_state(db, id, &state).await?;
                    let on = Subject::Arrival(id);
                    Ok((Entry::new(ActKind::ArrivalPutAway, on), ()))
                })
            })
            .await
        })
    }
    fn put_back_arrival(&self, stamp: Stamp, id: ArrivalId) -> Answer<'_, Saved> {
        Box::pin(self.act(stamp, move |db| {
            Box::pin(async move {
                let arrival = by_id(db, id).await?;
                if !matches!(arrival.state, ArrivalState::PutAway { .. }) {
                    return Err(not_in_hand(&arrival).into());
                }
                set_state(db, id, &ArrivalState::Waiting).await?;
                let on = Subject::Arrival(id);
                Ok((Entry::new(ActKind::ArrivalPutBack, on), ()))
            })
        }))
    }

    fn patients_numbered(&self, number: String) -> Answer<'_, Vec<Patient>> {
        ask!(self, db => numbered(db, number))
    }
}

impl SqlStore {
    async fn keep_what_came(
        &self,
        stamp: Stamp,
        arrival: ArrivalRecord,
        bytes: Vec<u8>,
    ) -> Result<ArrivalRecord, StoreError> {
        arrival.check()?;
        let file = self.hashed(bytes).await?;
        if file.content != arrival.content {
            let bad = BadRecord::new(THIS, "bytes with another hash", "the hash it names");
            return Err(bad.into());
        }
        let known = || self.read(async |db| same(db, &arrival).await);
        if let Some(known) = known().await? {
            return Ok(known);
        }
        let new = arrival.clone();
        let kept = self
            .with_files(stamp, vec![file], move |store| async move {
                store.act(stamp, move |db| Box::pin(insert(db, new))).await
            })
            .await;
        match kept {
            // Sent over two lines at once.
            Err(StoreError::Taken { .. }) => match known().await? {
                Some(known) => Ok(known),
                None => kept,
            },
            kept => kept,
        }
    }
}

async fn insert(db: &mut Db, mut new: ArrivalRecord) -> Result<(Entry, ArrivalRecord), Fault> {
    let taken =
        query("SELECT count(*) FROM arrival WHERE id = $1 OR (instance = $2 AND content = $3)")
            .bind(new.id.to_string())
            .bind(&new.instance)
            .bind(new.content.to_string())
            .number(&mut *db)
            .await?;
    if taken > 0 {
        let what = "the id of this film that came in";
        return Err(StoreError::Taken { what }.into());
    }
    new.other_bytes = query("SELECT count(*) FROM arrival WHERE instance = $1")
        .bind(&new.instance)
        .number(&mut *db)
        .await?
        > 0;
    let title = match &new.way {
        ArrivalWay::Network { title } => Some(title.clone()),
        ArrivalWay::Folder | ArrivalWay::Web => None,
    };
    query(
        "INSERT INTO arrival (id, instance, content, came_at, way, title, file_name, says,
           other_bytes, state)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, 'waiting')",
    )
    .bind(new.id.to_string())
    .bind(&new.instance)
    .bind(new.content.to_string())
    .bind(moment_text(new.came_at)?)
    .bind(new.way.key())
    .bind(title)
    .bind(&new.file_name)
    .bind(json_text(&new.says)?)
    .bind(new.other_bytes)
    .execute(db)
    .await?;
    Ok((
        Entry::new(ActKind::ArrivalKept, Subject::Arrival(new.id)),
        new,
    ))
}

fn take(db: &mut Db, stamp: Stamp, id: ArrivalId, film: FilmRecord) -> Step<'_, (Entry, ())> {
    Box::pin(async move {
        let arrival = must_wait(db, id).await?;
        if arrival.content != film.content {
            let bad = BadRecord::new("the film", "other bytes", "those that came in");
            return Err(bad.into());
        }
        match intake::if_there::<FilmRecord>(db, film.id).await? {
            Some(there) if there.came_as(&film) => {}
            Some(_) => {
                let what = FilmRecord::ITS_ID;
                return Err(StoreError::Taken { what }.into());
            }
            None => {
                check_patient(db, FilmRecord::THIS, film.visit, film.patient).await?;
                film.insert(db).await?;
            }
        }
        let state = ArrivalState::Taken {
            film: film.id,
            at: stamp.at,
            by: stamp.by,
        };
        set_state(db, id, &state).await?;
        Ok((
            Entry::new(ActKind::ArrivalTaken, Subject::Film(film.id)),
            (),
        ))
    })
}

fn not_in_hand(arrival: &ArrivalRecord) -> StoreError {
    StoreError::Frozen {
        what: THIS,
        state: match arrival.state {
            ArrivalState::Waiting => "waiting",
            ArrivalState::Taken { .. } => "taken into a visit",
            ArrivalState::PutAway { .. } => "put away",
        },
        instead: "load the page again to see what became of it",
    }
}

async fn must_wait(db: &mut Db, id: ArrivalId) -> Result<ArrivalRecord, Fault> {
    let arrival = by_id(db, id).await?;
    match arrival.state {
        ArrivalState::Waiting => Ok(arrival),
        _ => Err(not_in_hand(&arrival).into()),
    }
}

async fn set_state(db: &mut Db, id: ArrivalId, state: &ArrivalState) -> Result<(), Fault> {
    let (film, reason, ended) = match state {
        ArrivalState::Waiting => (None, None, None),
        ArrivalState::Taken { film, at, by } => (Some(film.to_string()), None, Some((at, by))),
        ArrivalState::PutAway { reason, at, by } => (None, Some(reason.clone()), Some((at, by))),
    };
    let ended_at = ended.map(|(at, _)| moment_text(*at)).transpose()?;
    query(
        "UPDATE arrival SET state = $2, film = $3, reason = $4, ended_at = $5, ended_by = $6
         WHERE id = $1",
    )
    .bind(id.to_string())
    .bind(state.key())
    .bind(film)
    .bind(reason)
    .bind(ended_at)
    .bind(ended.map(|(_, by)| by.to_string()))
    .execute(db)
    .await?;
    Ok(())
}

async fn by_id(db: &mut Db, id: ArrivalId) -> Result<ArrivalRecord, Fault> {
    let row = query("SELECT * FROM arrival WHERE id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    read(&row.ok_or_else(|| StoreError::missing(ArrivalId::WHAT, id))?)
}

async fn same(db: &mut Db, arrival: &ArrivalRecord) -> Result<Option<ArrivalRecord>, Fault> {
    let row = query("SELECT * FROM arrival WHERE instance = $1 AND content = $2")
        .bind(&arrival.instance)
        .bind(arrival.content.to_string())
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read).transpose()
}

async fn waiting(db: &mut Db) -> Result<Vec<ArrivalRecord>, Fault> {
    let rows = query("SELECT * FROM arrival WHERE state = 'waiting' ORDER BY seq")
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

async fn count_waiting(db: &mut Db) -> Result<u32, Fault> {
    let count = query("SELECT count(*) FROM arrival WHERE state = 'waiting'")
        .number(db)
        .await?;
    Ok(u32::try_from(count).unwrap_or(u32::MAX))
}

async fn put_away(db: &mut Db, most: u32) -> Result<Vec<ArrivalRecord>, Fault> {
    let rows = query(
        "SELECT * FROM arrival WHERE state = 'put-away' ORDER BY ended_at DESC, seq DESC LIMIT $1",
    )
    .bind(most)
    .fetch_all(db)
    .await?;
    rows.iter().map(read).collect()
}

/// The databases know capitals of plain letters only: the others are compared here.
async fn numbered(db: &mut Db, number: String) -> Result<Vec<Patient>, Fault> {
    let wanted = number.trim().to_lowercase();
    let rows = match wanted.is_ascii() {
        true => {
            query("SELECT * FROM patient WHERE lower(trim(chart_number)) = $1 ORDER BY find_by, id")
                .bind(&wanted)
        }
        false => query("SELECT * FROM patient ORDER BY find_by, id"),
    }
    .fetch_all(db)
    .await?;
    let patients: Vec<Patient> = rows
        .iter()
        .map(people::read_patient)
        .collect::<Result<_, _>>()?;
    let same = |p: &Patient| p.chart_number.trim().to_lowercase() == wanted;
    Ok(patients.into_iter().filter(same).collect())
}

/// Whose it is since it was taken.
pub async fn patient_of(db: &mut Db, id: ArrivalId) -> Result<Option<PatientId>, Fault> {
    match by_id(db, id).await?.state {
        ArrivalState::Taken { film, .. } => {
            let film: FilmRecord = intake::by_id(db, film).await?;
            Ok(Some(film.patient))
        }
        _ => Ok(None),
    }
}

fn read(row: &Row) -> Result<ArrivalRecord, Fault> {
    let table = "arrival";
    let cells = Cells { table, row };
    let way = match cells.text("way")?.as_str() {
        "network" => ArrivalWay::Network {
            title: cells.text("title")?,
        },
        "folder" => ArrivalWay::Folder,
        "web" => ArrivalWay::Web,
        _ => return Err(cells.wrong("way")),
    };
    let state = match cells.text("state")?.as_str() {
        "waiting" => ArrivalState::Waiting,
        "taken" => ArrivalState::Taken {
            film: cells.parsed("film")?,
            at: cells.moment("ended_at")?,
            by: cells.parsed("ended_by")?,
        },
        "put-away" => ArrivalState::PutAway {
            reason: cells.text("reason")?,
            at: cells.moment("ended_at")?,
            by: cells.parsed("ended_by")?,
        },
        _ => return Err(cells.wrong("state")),
    };
    Ok(ArrivalRecord {
        id: cells.parsed("id")?,
        instance: cells.text("instance")?,
        content: cells.parsed("content")?,
        came_at: cells.moment("came_at")?,
        way,
        file_name: cells.text("file_name")?,
        says: cells.json("says")?,
        other_bytes: cells.flag("other_bytes")?,
        state,
    })
}
