//! Letters: drafts change, signed ones do not.

use crate::SqliteStore;
use crate::act::Entry;
use crate::cells::{Cells, json_text, moment_text};
use crate::fault::{Fault, damaged};
use crate::{people, visits};
use record::{
    ActKind, BadRecord, ContentHash, LetterId, LetterKind, LetterRecord, LetterState, Patient,
    PatientId, Stamp, Subject, VisitId,
};
use sqlx::{SqliteConnection, sqlite::SqliteRow};
use store::StoreError;

const FROZEN: StoreError = StoreError::Frozen {
    what: "a letter",
    state: "signed",
    instead: "write an addendum to it",
};

impl SqliteStore {
    pub(crate) async fn keep_letter(
        &self,
        stamp: Stamp,
        letter: LetterRecord,
    ) -> Result<(), StoreError> {
        letter.check()?;
        if letter.is_signed() {
            return Err(
                BadRecord::new("the letter", "a signature", "a draft, signed later").into(),
            );
        }
        self.act(stamp, move |db| {
            Box::pin(async move {
                visits::must_be_there(db, letter.visit).await?;
                let kind = match if_any(db, letter.id).await? {
                    Some(before) if before.is_signed() => return Err(FROZEN.into()),
                    Some(before) if before.visit != letter.visit => {
                        return Err(StoreError::Taken {
                            what: "the id of this letter",
                        }
                        .into());
                    }
                    Some(_) => ActKind::LetterSaved,
                    None => ActKind::LetterDrafted,
                };
                check_addendum(db, &letter).await?;
                sqlx::query(
                    "INSERT INTO letter (id, visit, kind, title, facts, addendum_to, drafted_at)
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
                     ON CONFLICT (id) DO UPDATE SET kind = excluded.kind, title = excluded.title,
                       facts = excluded.facts, addendum_to = excluded.addendum_to",
                )
                .bind(letter.id.to_string())
                .bind(letter.visit.to_string())
                .bind(letter.kind.key())
                .bind(&letter.title)
                .bind(json_text(&letter.facts)?)
                .bind(letter.addendum_to.map(|id| id.to_string()))
                .bind(moment_text(letter.drafted_at)?)
                .execute(db)
                .await?;
                let on = Subject::Letter(letter.id);
                Ok((Entry::saying(kind, on, letter.kind.words()), ()))
            })
        })
        .await
    }

    pub(crate) async fn seal_letter(
        &self,
        stamp: Stamp,
        id: LetterId,
        pdf: Vec<u8>,
    ) -> Result<LetterRecord, StoreError> {
        if !pdf.starts_with(b"%PDF-") {
            return Err(BadRecord::new("the letter's paper", "another file", "a PDF").into());
        }
        let content = ContentHash::of(&pdf);
        self.with_file(stamp, content, pdf, move |store| async move {
            store.keep_seal(stamp, id, content).await
        })
        .await
    }

    async fn keep_seal(
        &self,
        stamp: Stamp,
        id: LetterId,
        pdf: ContentHash,
    ) -> Result<LetterRecord, StoreError> {
        self.act(stamp, move |db| {
            Box::pin(async move {
                // Sealed as it reads back, so that the seal can be checked from what is kept.
                let mut letter = by_id(db, id).await?;
                if letter.is_signed() {
                    return Err(FROZEN.into());
                }
                people::clinician(db, stamp.by).await?;
                let seal = letter.seal(stamp.at, stamp.by, pdf);
                sqlx::query(
                    "UPDATE letter SET signed_at = ?2, signed_by = ?3, pdf = ?4, seal = ?5
                     WHERE id = ?1",
                )
                .bind(id.to_string())
                .bind(moment_text(stamp.at)?)
                .bind(stamp.by.to_string())
                .bind(pdf.to_string())
                .bind(seal.to_string())
                .execute(db)
                .await?;
                letter.state = LetterState::Signed {
                    at: stamp.at,
                    by: stamp.by,
                    pdf,
                    seal,
                };
                let on = Subject::Letter(id);
                Ok((
                    Entry::saying(ActKind::LetterSigned, on, letter.kind.words()),
                    letter,
                ))
            })
        })
        .await
    }

    pub(crate) async fn paper(&self, id: LetterId) -> Result<Vec<u8>, StoreError> {
        let letter = self.read(async |db| by_id(db, id).await).await?;
        match letter.state {
            LetterState::Draft => Err(StoreError::NotSigned),
            LetterState::Signed { pdf, .. } => self.bytes(pdf).await,
        }
    }
}

async fn check_addendum(db: &mut SqliteConnection, letter: &LetterRecord) -> Result<(), Fault> {
    let Some(first) = letter.addendum_to else {
        return Ok(());
    };
    let first = by_id(db, first).await?;
    if !first.is_signed() {
        let bad = BadRecord::new(
            "the addendum",
            "a letter that is not signed",
            "a signed letter",
        );
        return Err(bad.into());
    }
    let here = visits::by_id(db, letter.visit).await?.patient;
    let there = visits::by_id(db, first.visit).await?.patient;
    if here != there {
        let bad = BadRecord::new(
            "the addendum",
            "a letter about another patient",
            "one about this",
        );
        return Err(bad.into());
    }
    Ok(())
}

async fn if_any(db: &mut SqliteConnection, id: LetterId) -> Result<Option<LetterRecord>, Fault> {
    let row = sqlx::query("SELECT letter.*, id AS letter_id FROM letter WHERE id = ?1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    row.as_ref().map(read).transpose()
}

pub async fn by_id(db: &mut SqliteConnection, id: LetterId) -> Result<LetterRecord, Fault> {
    if_any(db, id)
        .await?
        .ok_or_else(|| StoreError::missing(LetterId::WHAT, id).into())
}

pub async fn of_visit(
    db: &mut SqliteConnection,
    visit: VisitId,
) -> Result<Vec<LetterRecord>, Fault> {
    visits::must_be_there(db, visit).await?;
    let rows =
        sqlx::query("SELECT letter.*, id AS letter_id FROM letter WHERE visit = ?1 ORDER BY seq")
            .bind(visit.to_string())
            .fetch_all(db)
            .await?;
    rows.iter().map(read).collect()
}

pub async fn of(db: &mut SqliteConnection, patient: PatientId) -> Result<Vec<LetterRecord>, Fault> {
    people::must_be_there(db, patient).await?;
    let rows = sqlx::query(
        "SELECT letter.*, letter.id AS letter_id
         FROM letter JOIN visit ON visit.id = letter.visit
         WHERE visit.patient = ?1 ORDER BY letter.seq",
    )
    .bind(patient.to_string())
    .fetch_all(db)
    .await?;
    rows.iter().map(read).collect()
}

pub async fn all(db: &mut SqliteConnection) -> Result<Vec<LetterRecord>, Fault> {
    let rows = sqlx::query("SELECT letter.*, id AS letter_id FROM letter ORDER BY seq")
        .fetch_all(db)
        .await?;
    rows.iter().map(read).collect()
}

pub async fn waiting(db: &mut SqliteConnection) -> Result<Vec<(LetterRecord, Patient)>, Fault> {
    let rows = sqlx::query(
        "SELECT patient.*, letter.id AS letter_id, letter.visit, letter.kind, letter.title,
                letter.facts, letter.addendum_to, letter.drafted_at, letter.signed_at,
                letter.signed_by, letter.pdf, letter.seal
         FROM letter
         JOIN visit ON visit.id = letter.visit
         JOIN patient ON patient.id = visit.patient
         WHERE letter.signed_at IS NULL ORDER BY letter.seq",
    )
    .fetch_all(db)
    .await?;
    rows.iter()
        .map(|row| Ok((read(row)?, people::read_patient(row)?)))
        .collect()
}

fn read(row: &SqliteRow) -> Result<LetterRecord, Fault> {
    let cells = Cells {
        table: "letter",
        row,
    };
    let signature = (
        cells.moment_if_any("signed_at")?,
        cells.parsed_if_any("signed_by")?,
        cells.parsed_if_any("pdf")?,
        cells.parsed_if_any("seal")?,
    );
    let state = match signature {
        (None, None, None, None) => LetterState::Draft,
        (Some(at), Some(by), Some(pdf), Some(seal)) => LetterState::Signed { at, by, pdf, seal },
        _ => return Err(damaged("the record file", "a letter is signed in part").into()),
    };
    Ok(LetterRecord {
        id: cells.parsed("letter_id")?,
        visit: cells.parsed("visit")?,
        kind: cells.word("kind", LetterKind::from_key)?,
        title: cells.text("title")?,
        facts: cells.json("facts")?,
        addendum_to: cells.parsed_if_any("addendum_to")?,
        drafted_at: cells.moment("drafted_at")?,
        state,
    })
}
