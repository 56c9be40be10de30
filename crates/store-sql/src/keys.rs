//! Keys by which other programs come in, and passkeys by which people do.

use crate::SqlStore;
use crate::access::account;
use crate::act::{Step, in_transaction};
use crate::cells::{Cells, day_text, day_text_if_any, moment_text};
use crate::db::{Db, Row, query};
use crate::fault::Fault;
use record::{
    AccountId, BadRecord, KeyId, MachineKey, MachineMay, Passkey, PasskeyId, ToNote, fold,
};
use store::{Answer, Keys, Saved, StoreError};
use time::{Date, OffsetDateTime};

impl Keys for SqlStore {
    fn make_key(&self, note: ToNote, key: MachineKey) -> Answer<'_, Saved> {
        Box::pin(async move {
            key.check()?;
            check_token(&key.token)?;
            self.noted(note, move |db| Box::pin(make_key(db, key)))
                .await
        })
    }
    fn key_of(&self, token: String) -> Answer<'_, Option<MachineKey>> {
        Box::pin(self.read(async move |db| key_of(db, token).await))
    }
    fn keys(&self) -> Answer<'_, Vec<MachineKey>> {
        Box::pin(self.read(async move |db| keys(db).await))
    }
    fn key_used(&self, id: KeyId, day: Date) -> Answer<'_, Saved> {
        Box::pin(self.written_down(move |db| {
            Box::pin(async move {
                query(
                    "UPDATE machine_key SET last_used = $2
                     WHERE id = $1 AND (last_used IS NULL OR last_used < $2)",
                )
                .bind(id.to_string())
                .bind(day_text(day)?)
                .execute(db)
                .await?;
                Ok(())
            })
        }))
    }
    fn take_back_key(&self, note: ToNote, id: KeyId) -> Answer<'_, Saved> {
        let at = note.at;
        Box::pin(self.noted(note, move |db| Box::pin(take_back_key(db, id, at))))
    }

    fn add_passkey(&self, note: ToNote, passkey: Passkey) -> Answer<'_, Saved> {
        Box::pin(async move {
            passkey.check()?;
            check_json(&passkey.credential)?;
            self.noted(note, move |db| Box::pin(add_passkey(db, passkey)))
                .await
        })
    }
    fn passkey(&self, id: PasskeyId) -> Answer<'_, Passkey> {
        Box::pin(self.read(async move |db| passkey(db, id).await))
    }
    fn passkeys_of(&self, account: AccountId) -> Answer<'_, Vec<Passkey>> {
        Box::pin(self.read(async move |db| passkeys_of(db, account).await))
    }
    fn passkey_used(
        &self,
        id: PasskeyId,
        credential: String,
        at: OffsetDateTime,
    ) -> Answer<'_, Saved> {
        Box::pin(async move {
            check_json(&credential)?;
            self.written_down(move |db| {
                Box::pin(async move {
                    let changed = query(
                        "UPDATE passkey SET credential = $2, used_at = $3
                         WHERE id = $1 AND taken_back IS NULL",
                    )
                    .bind(id.to_string())
                    .bind(credential)
                    .bind(moment_text(at)?)
                    .execute(db)
                    .await?;
                    there(changed, PasskeyId::WHAT, id)
                })
            })
            .await
        })
    }
    fn take_back_passkey(
        &self,
        note: ToNote,
        account: AccountId,
        id: PasskeyId,
    ) -> Answer<'_, Saved> {
        let at = note.at;
        Box::pin(self.noted(note, move |db| {
            Box::pin(take_back_passkey(db, account, id, at))
        }))
    }
}

impl SqlStore {
    /// A change without an entry in journal or trail. Runs to its end even when nobody waits for it.
    async fn written_down<F>(&self, step: F) -> Result<Saved, StoreError>
    where
        F: for<'c> FnOnce(&'c mut Db) -> Step<'c, ()> + Send + 'static,
    {
        let writer = self.writer.clone();
        let done =
            tokio::spawn(
                async move { in_transaction(&writer, async move |db| step(db).await).await },
            );
        self.ended(done.await, "write down the use of a key")
    }
}

fn check_token(token: &str) -> Result<(), BadRecord> {
    let plain = token.len() == 64 && token.bytes().all(|b| b.is_ascii_hexdigit());
    plain.then_some(()).ok_or_else(|| {
        BadRecord::new(
            "what is kept of a key",
            "another text",
            "64 hexadecimal digits",
        )
    })
}

fn check_json(credential: &str) -> Result<(), BadRecord> {
    match serde_json::from_str::<serde_json::Value>(credential) {
        Ok(_) => Ok(()),
        Err(_) => Err(BadRecord::new(
            "the credential of a passkey",
            "no JSON",
            "JSON",
        )),
    }
}

fn there(changed: u64, what: &'static str, id: impl std::fmt::Display) -> Result<(), Fault> {
    match changed {
        0 => Err(StoreError::missing(what, id).into()),
        _ => Ok(()),
    }
}

async fn make_key(db: &mut Db, key: MachineKey) -> Result<(), Fault> {
    let label = key.label.trim();
    let same = query("SELECT id FROM machine_key WHERE id = $1 OR find_by = $2 OR token = $3")
        .bind(key.id.to_string())
        .bind(fold(label))
        .bind(&key.token)
        .texts(&mut *db)
        .await?;
    if !same.is_empty() {
        let what = "this label of a key";
        return Err(StoreError::Taken { what }.into());
    }
    query(
        "INSERT INTO machine_key (id, label, find_by, token, read_records, send_films, read_films,
           closed_too, made_at, made_by, last_used, taken_back)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)",
    )
    .bind(key.id.to_string())
    .bind(label)
    .bind(fold(label))
    .bind(&key.token)
    .bind(key.may.contains(&MachineMay::ReadRecords))
    .bind(key.may.contains(&MachineMay::SendFilms))
    .bind(key.may.contains(&MachineMay::ReadFilms))
    .bind(&key.closed_too)
    .bind(moment_text(key.made_at)?)
    .bind(key.made_by.to_string())
    .bind(day_text_if_any(key.last_used)?)
    .bind(key.taken_back.map(moment_text).transpose()?)
    .execute(db)
    .await?;
    Ok(())
}

async fn key_of(db: &mut Db, token: String) -> Result<Option<MachineKey>, Fault> {
    let row = query("SELECT * FROM machine_key WHERE token = $1")
        .bind(token)
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read_key).transpose()
}

async fn keys(db: &mut Db) -> Result<Vec<MachineKey>, Fault> {
    let rows = query("SELECT * FROM machine_key ORDER BY seq")
        .fetch_all(db)
        .await?;
    rows.iter().map(read_key).collect()
}

fn read_key(row: &Row) -> Result<MachineKey, Fault> {
    let table = "machine_key";
    let cells = Cells { table, row };
    let mut may = Vec::new();
    for (column, what) in [
        ("read_records", MachineMay::ReadRecords),
        ("send_films", MachineMay::SendFilms),
        ("read_films", MachineMay::ReadFilms),
    ] {
        if cells.flag(column)? {
            may.push(what);
        }
    }
    Ok(MachineKey {
        id: cells.parsed("id")?,
        label: cells.text("label")?,
        token: cells.text("token")?,
        may,
        closed_too: cells.text_if_any("closed_too")?,
        made_at: cells.moment("made_at")?,
        made_by: cells.parsed("made_by")?,
        last_used: cells.day_if_any("last_used")?,
        taken_back: cells.moment_if_any("taken_back")?,
    })
}

async fn take_back_key(db: &mut Db, id: KeyId, at: OffsetDateTime) -> Result<(), Fault> {
    let changed =
        query("UPDATE machine_key SET taken_back = coalesce(taken_back, $2) WHERE id = $1")
            .bind(id.to_string())
            .bind(moment_text(at)?)
            .execute(db)
            .await?;
    there(changed, KeyId::WHAT, id)
}

async fn add_passkey(db: &mut Db, passkey: Passkey) -> Result<(), Fault> {
    account(db, passkey.account).await?;
    let same = query("SELECT id FROM passkey WHERE id = $1")
        .bind(passkey.id.to_string())
        .texts(&mut *db)
        .await?;
    if !same.is_empty() {
        let what = "this id of a passkey";
        return Err(StoreError::Taken { what }.into());
    }
    query(
        "INSERT INTO passkey (id, account, label, credential, made_at, used_at, taken_back)
         VALUES ($1, $2, $3, $4, $5, $6, $7)",
    )
    .bind(passkey.id.to_string())
    .bind(passkey.account.to_string())
    .bind(passkey.label)
    .bind(passkey.credential)
    .bind(moment_text(passkey.made_at)?)
    .bind(passkey.used_at.map(moment_text).transpose()?)
    .bind(passkey.taken_back.map(moment_text).transpose()?)
    .execute(db)
    .await?;
    Ok(())
}

async fn passkey(db: &mut Db, id: PasskeyId) -> Result<Passkey, Fault> {
    let row = query("SELECT * FROM passkey WHERE id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    read_passkey(&row.ok_or_else(|| StoreError::missing(PasskeyId::WHAT, id))?)
}

async fn passkeys_of(db: &mut Db, of: AccountId) -> Result<Vec<Passkey>, Fault> {
    account(db, of).await?;
    let rows = query("SELECT * FROM passkey WHERE account = $1 ORDER BY seq")
        .bind(of.to_string())
        .fetch_all(db)
        .await?;
    rows.iter().map(read_passkey).collect()
}

fn read_passkey(row: &Row) -> Result<Passkey, Fault> {
    let table = "passkey";
    let cells = Cells { table, row };
    Ok(Passkey {
        id: cells.parsed("id")?,
        account: cells.parsed("account")?,
        label: cells.text("label")?,
        credential: cells.text("credential")?,
        made_at: cells.moment("made_at")?,
        used_at: cells.moment_if_any("used_at")?,
        taken_back: cells.moment_if_any("taken_back")?,
    })
}

async fn take_back_passkey(
    db: &mut Db,
    account: AccountId,
    id: PasskeyId,
    at: OffsetDateTime,
) -> Result<(), Fault> {
    let changed = query(
        "UPDATE passkey SET taken_back = coalesce(taken_back, $3) WHERE id = $1 AND account = $2",
    )
    .bind(id.to_string())
    .bind(account.to_string())
    .bind(moment_text(at)?)
    .execute(db)
    .await?;
    there(changed, PasskeyId::WHAT, id)
}
