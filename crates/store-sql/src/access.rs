//! Accounts, sessions, closed records, and what a lab and a reader may see.

use crate::SqlStore;
use crate::cells::{Cells, json_text, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use crate::{intake, orders, people, trail};
use record::{
    Account, AccountId, ClinicianId, Closure, Erasure, FilmId, FilmRecord, Opening, OrderId,
    OrderRecord, PatientId, ReadingAsked, Release, Session, Subject, ToNote, Tombstone, TrailEntry,
    fold,
};
use store::{Access, Answer, Saved, StoreError};
use time::OffsetDateTime;

/// A question to one of the reading connections.
macro_rules! ask {
    ($store:ident, $db:ident => $question:expr) => {
        Box::pin($store.read(async move |$db| $question.await))
    };
}

impl Access for SqlStore {
    fn save_account(&self, note: ToNote, account: Account) -> Answer<'_, Account> {
        Box::pin(async move {
            account.check()?;
            self.noted(note, move |db| Box::pin(keep_account(db, account)))
                .await
        })
    }
    fn account(&self, id: AccountId) -> Answer<'_, Account> {
        ask!(self, db => account(db, id))
    }
    fn account_named(&self, login: String) -> Answer<'_, Option<Account>> {
        ask!(self, db => account_named(db, login))
    }
    fn accounts(&self) -> Answer<'_, Vec<Account>> {
        ask!(self, db => accounts(db))
    }
    fn has_accounts(&self) -> Answer<'_, bool> {
        ask!(self, db => has_accounts(db))
    }

    fn begin_session(&self, note: ToNote, session: Session) -> Answer<'_, Saved> {
        Box::pin(self.noted(note, move |db| Box::pin(begin_session(db, session))))
    }
    fn session(&self, token: String) -> Answer<'_, Option<(Session, Account)>> {
        ask!(self, db => session(db, token))
    }
    fn touch_session(&self, token: String, at: OffsetDateTime) -> Answer<'_, Saved> {
        Box::pin(async move {
            let writer = self.writer.clone();
            let touched = tokio::spawn(async move {
                crate::act::in_transaction(&writer, async move |db| {
                    query("UPDATE session SET seen_at = $2 WHERE token = $1 AND ended_at IS NULL")
                        .bind(token)
                        .bind(moment_text(at)?)
                        .execute(db)
                        .await?;
                    Ok(())
                })
                .await
            });
            self.ended(touched.await, "write down a session")
        })
    }
    fn end_session(&self, note: ToNote, token: String) -> Answer<'_, Saved> {
        let at = note.at;
        Box::pin(self.noted(note, move |db| Box::pin(end_session(db, token, at))))
    }
    fn end_sessions(
        &self,
        note: ToNote,
        account: AccountId,
        but: Option<String>,
    ) -> Answer<'_, Saved> {
        let at = note.at;
        Box::pin(self.noted(note, move |db| Box::pin(end_sessions(db, account, but, at))))
    }

    fn note(&self, note: ToNote) -> Answer<'_, u64> {
        Box::pin(self.notebook.note(note))
    }
    fn trail(&self, after: u64, most: u32) -> Answer<'_, Vec<TrailEntry>> {
        ask!(self, db => trail::after(db, after, most))
    }
    fn trail_of(&self, patient: PatientId, most: u32) -> Answer<'_, Vec<TrailEntry>> {
        ask!(self, db => trail::of(db, patient, most))
    }
    fn trail_end(&self) -> Answer<'_, Option<TrailEntry>> {
        ask!(self, db => trail::end(db))
    }

    fn patient_behind(&self, subject: Subject) -> Answer<'_, Option<PatientId>> {
        ask!(self, db => trail::behind(db, subject))
    }
    fn set_closure(
        &self,
        note: ToNote,
        patient: PatientId,
        open_to: Option<Vec<ClinicianId>>,
    ) -> Answer<'_, Saved> {
        Box::pin(self.noted(note, move |db| Box::pin(set_closure(db, patient, open_to))))
    }
    fn closure(&self, patient: PatientId) -> Answer<'_, Option<Closure>> {
        ask!(self, db => closure(db, patient))
    }
    fn closures(&self) -> Answer<'_, Vec<Closure>> {
        ask!(self, db => closures(db))
    }
    fn break_glass(&self, note: ToNote, opening: Opening) -> Answer<'_, Saved> {
        Box::pin(async move {
            opening.check()?;
            self.noted(note, move |db| Box::pin(break_glass(db, opening)))
                .await
        })
    }
    fn opening(&self, patient: PatientId, by: ClinicianId) -> Answer<'_, Option<Opening>> {
        ask!(self, db => opening(db, patient, by))
    }

    fn erase(&self, note: ToNote, erasure: Erasure) -> Answer<'_, Tombstone> {
        Box::pin(self.erased(note, erasure))
    }
    fn tombstones(&self) -> Answer<'_, Vec<Tombstone>> {
        ask!(self, db => crate::erase::tombstones(db))
    }

    fn release_order(&self, note: ToNote, release: Release) -> Answer<'_, Saved> {
        Box::pin(self.noted(note, move |db| Box::pin(release_order(db, release))))
    }
    fn take_back_release(
        &self,
        note: ToNote,
        order: OrderId,
        from: AccountId,
    ) -> Answer<'_, Saved> {
        Box::pin(self.noted(note, move |db| Box::pin(take_back(db, order, from))))
    }
    fn releases_of(&self, order: OrderId) -> Answer<'_, Vec<Release>> {
        ask!(self, db => releases(db, "order_id", order.to_string()))
    }
    fn releases_to(&self, account: AccountId) -> Answer<'_, Vec<(Release, OrderRecord)>> {
        ask!(self, db => releases_to(db, account))
    }
    fn ask_reading(&self, note: ToNote, asked: ReadingAsked) -> Answer<'_, Saved> {
        Box::pin(self.noted(note, move |db| Box::pin(ask_reading(db, asked))))
    }
    fn readings_asked_on(&self, film: FilmId) -> Answer<'_, Vec<ReadingAsked>> {
        ask!(self, db => asked(db, "film", film.to_string()))
    }
    fn readings_asked_of(&self, account: AccountId) -> Answer<'_, Vec<(ReadingAsked, FilmRecord)>> {
        ask!(self, db => asked_of(db, account))
    }
}

async fn keep_account(db: &mut Db, mut kept: Account) -> Result<Account, Fault> {
    people::clinician(db, kept.person).await?;
    let login = fold(&kept.login);
    let same_name = query("SELECT id FROM account WHERE login = $1")
        .bind(&login)
        .texts(&mut *db)
        .await?;
    if same_name.iter().any(|id| *id != kept.id.to_string()) {
        let what = "this sign-in name";
        return Err(StoreError::Taken { what }.into());
    }
    let found = query("SELECT revision FROM account WHERE id = $1")
        .bind(kept.id.to_string())
        .number_if_any(&mut *db)
        .await?;
    let found = found.map_or(0, |r| u32::try_from(r).unwrap_or(u32::MAX));
    if found != kept.revision {
        return Err(StoreError::ChangedMeanwhile {
            what: "this account",
            seen: kept.revision,
            found,
        }
        .into());
    }
    kept.revision += 1;
    query(
        "INSERT INTO account (id, login, person, revision, body) VALUES ($1, $2, $3, $4, $5)
         ON CONFLICT (id) DO UPDATE SET login = excluded.login, person = excluded.person,
           revision = excluded.revision, body = excluded.body",
    )
    .bind(kept.id.to_string())
    .bind(login)
    .bind(kept.person.to_string())
    .bind(i64::from(kept.revision))
    .bind(json_text(&kept)?)
    .execute(db)
    .await?;
    Ok(kept)
}

pub async fn account(db: &mut Db, id: AccountId) -> Result<Account, Fault> {
    let row = query("SELECT * FROM account WHERE id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    read_account(&row.ok_or_else(|| StoreError::missing(AccountId::WHAT, id))?)
}

async fn account_named(db: &mut Db, login: String) -> Result<Option<Account>, Fault> {
    let row = query("SELECT * FROM account WHERE login = $1")
        .bind(fold(&login))
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read_account).transpose()
}

async fn accounts(db: &mut Db) -> Result<Vec<Account>, Fault> {
    let rows = query("SELECT * FROM account ORDER BY login")
        .fetch_all(db)
        .await?;
    rows.iter().map(read_account).collect()
}

async fn has_accounts(db: &mut Db) -> Result<bool, Fault> {
    Ok(!query("SELECT id FROM account LIMIT 1")
        .texts(db)
        .await?
        .is_empty())
}

fn read_account(row: &Row) -> Result<Account, Fault> {
    let table = "account";
    Cells { table, row }.json("body")
}

async fn begin_session(db: &mut Db, begun: Session) -> Result<(), Fault> {
    account(db, begun.account).await?;
    query("INSERT INTO session (token, account, begun_at, seen_at) VALUES ($1, $2, $3, $4)")
        .bind(begun.token)
        .bind(begun.account.to_string())
        .bind(moment_text(begun.begun_at)?)
        .bind(moment_text(begun.seen_at)?)
        .execute(db)
        .await?;
    Ok(())
}

async fn session(db: &mut Db, token: String) -> Result<Option<(Session, Account)>, Fault> {
    let row = query(
        "SELECT session.token, session.account, session.begun_at, session.seen_at, session.ended_at,
                account.body
         FROM session JOIN account ON account.id = session.account WHERE session.token = $1",
    )
    .bind(token)
    .fetch_optional(db)
    .await?;
    row.map(|row| {
        let cells = Cells {
            table: "session",
            row: &row,
        };
        let session = Session {
            token: cells.text("token")?,
            account: cells.parsed("account")?,
            begun_at: cells.moment("begun_at")?,
            seen_at: cells.moment("seen_at")?,
            ended_at: cells.moment_if_any("ended_at")?,
        };
        Ok((session, cells.json("body")?))
    })
    .transpose()
}

async fn end_session(db: &mut Db, token: String, at: OffsetDateTime) -> Result<(), Fault> {
    query("UPDATE session SET ended_at = $2 WHERE token = $1 AND ended_at IS NULL")
        .bind(token)
        .bind(moment_text(at)?)
        .execute(db)
        .await?;
    Ok(())
}

async fn end_sessions(
    db: &mut Db,
    account: AccountId,
    but: Option<String>,
    at: OffsetDateTime,
) -> Result<(), Fault> {
    query(
        "UPDATE session SET ended_at = $3 WHERE account = $1 AND token <> $2 AND ended_at IS NULL",
    )
    .bind(account.to_string())
    .bind(but.unwrap_or_default())
    .bind(moment_text(at)?)
    .execute(db)
    .await?;
    Ok(())
}

async fn set_closure(
    db: &mut Db,
    patient: PatientId,
    open_to: Option<Vec<ClinicianId>>,
) -> Result<(), Fault> {
    people::must_be_there(db, patient).await?;
    match open_to {
        Some(open_to) => {
            query(
                "INSERT INTO closure (patient, open_to) VALUES ($1, $2)
                 ON CONFLICT (patient) DO UPDATE SET open_to = excluded.open_to",
            )
            .bind(patient.to_string())
            .bind(json_text(&open_to)?)
            .execute(db)
            .await?
        }
        None => {
            query("DELETE FROM closure WHERE patient = $1")
                .bind(patient.to_string())
                .execute(db)
                .await?
        }
    };
    Ok(())
}

async fn closure(db: &mut Db, patient: PatientId) -> Result<Option<Closure>, Fault> {
    let row = query("SELECT * FROM closure WHERE patient = $1")
        .bind(patient.to_string())
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read_closure).transpose()
}

async fn closures(db: &mut Db) -> Result<Vec<Closure>, Fault> {
    let rows = query("SELECT * FROM closure ORDER BY patient")
        .fetch_all(db)
        .await?;
    rows.iter().map(read_closure).collect()
}

fn read_closure(row: &Row) -> Result<Closure, Fault> {
    let table = "closure";
    let cells = Cells { table, row };
    Ok(Closure {
        patient: cells.parsed("patient")?,
        open_to: cells.json("open_to")?,
    })
}

async fn break_glass(db: &mut Db, opening: Opening) -> Result<(), Fault> {
    people::must_be_there(db, opening.patient).await?;
    query(
        "INSERT INTO opening (patient, opened_by, opened_at, open_until, reason)
         VALUES ($1, $2, $3, $4, $5)",
    )
    .bind(opening.patient.to_string())
    .bind(opening.by.to_string())
    .bind(moment_text(opening.at)?)
    .bind(moment_text(opening.until)?)
    .bind(opening.reason)
    .execute(db)
    .await?;
    Ok(())
}

async fn opening(
    db: &mut Db,
    patient: PatientId,
    by: ClinicianId,
) -> Result<Option<Opening>, Fault> {
    let row = query(
        "SELECT * FROM opening WHERE patient = $1 AND opened_by = $2 ORDER BY seq DESC LIMIT 1",
    )
    .bind(patient.to_string())
    .bind(by.to_string())
    .fetch_optional(db)
    .await?;
    row.map(|row| {
        let cells = Cells {
            table: "opening",
            row: &row,
        };
        Ok(Opening {
            patient: cells.parsed("patient")?,
            by: cells.parsed("opened_by")?,
            at: cells.moment("opened_at")?,
            until: cells.moment("open_until")?,
            reason: cells.text("reason")?,
        })
    })
    .transpose()
}

async fn release_order(db: &mut Db, release: Release) -> Result<(), Fault> {
    account(db, release.to).await?;
    if orders::by_id(db, release.order).await?.sent.is_none() {
        return Err(StoreError::NotSent.into());
    }
    query(
        "INSERT INTO order_release (order_id, account, with_name, released_at, act)
         VALUES ($1, $2, $3, $4, $5)
         ON CONFLICT (order_id, account) DO UPDATE SET with_name = excluded.with_name,
           released_at = excluded.released_at, act = excluded.act",
    )
    .bind(release.order.to_string())
    .bind(release.to.to_string())
    .bind(i64::from(release.with_name))
    .bind(moment_text(release.at)?)
    .bind(release.act.to_string())
    .execute(db)
    .await?;
    Ok(())
}

async fn take_back(db: &mut Db, order: OrderId, from: AccountId) -> Result<(), Fault> {
    query("DELETE FROM order_release WHERE order_id = $1 AND account = $2")
        .bind(order.to_string())
        .bind(from.to_string())
        .execute(db)
        .await?;
    Ok(())
}

async fn releases(db: &mut Db, column: &'static str, id: String) -> Result<Vec<Release>, Fault> {
    let rows = query(sqlx::AssertSqlSafe(format!(
        "SELECT * FROM order_release WHERE {column} = $1 ORDER BY seq DESC"
    )))
    .bind(id)
    .fetch_all(db)
    .await?;
    rows.iter()
        .map(|row| {
            let table = "order_release";
            let cells = Cells { table, row };
            Ok(Release {
                order: cells.parsed("order_id")?,
                to: cells.parsed("account")?,
                with_name: cells.flag("with_name")?,
                at: cells.moment("released_at")?,
                act: cells.parsed("act")?,
            })
        })
        .collect()
}

async fn releases_to(db: &mut Db, to: AccountId) -> Result<Vec<(Release, OrderRecord)>, Fault> {
    account(db, to).await?;
    let mut found = Vec::new();
    for release in releases(db, "account", to.to_string()).await? {
        let order = orders::by_id(db, release.order).await?;
        found.push((release, order));
    }
    Ok(found)
}

async fn ask_reading(db: &mut Db, asked: ReadingAsked) -> Result<(), Fault> {
    account(db, asked.of).await?;
    intake::must_be_there::<FilmRecord>(db, asked.film).await?;
    query(
        "INSERT INTO reading_asked (film, account, asked_at) VALUES ($1, $2, $3)
         ON CONFLICT (film, account) DO NOTHING",
    )
    .bind(asked.film.to_string())
    .bind(asked.of.to_string())
    .bind(moment_text(asked.at)?)
    .execute(db)
    .await?;
    Ok(())
}

async fn asked(db: &mut Db, column: &'static str, id: String) -> Result<Vec<ReadingAsked>, Fault> {
    let rows = query(sqlx::AssertSqlSafe(format!(
        "SELECT * FROM reading_asked WHERE {column} = $1 ORDER BY seq"
    )))
    .bind(id)
    .fetch_all(db)
    .await?;
    rows.iter()
        .map(|row| {
            let table = "reading_asked";
            let cells = Cells { table, row };
            Ok(ReadingAsked {
                film: cells.parsed("film")?,
                of: cells.parsed("account")?,
                at: cells.moment("asked_at")?,
            })
        })
        .collect()
}

async fn asked_of(db: &mut Db, of: AccountId) -> Result<Vec<(ReadingAsked, FilmRecord)>, Fault> {
    account(db, of).await?;
    let mut found = Vec::new();
    for asked in asked(db, "account", of.to_string()).await? {
        let film = intake::by_id(db, asked.film).await?;
        found.push((asked, film));
    }
    Ok(found)
}
