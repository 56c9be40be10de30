//! The practice, its clinicians and its patients.

use crate::SqlStore;
use crate::act::Entry;
use crate::cells::{Cells, day_text_if_any, from_word, json_text, word_of};
use crate::db::{Db, Row, Value, query};
use crate::fault::Fault;
use record::{ActKind, Clinician, ClinicianId, Patient, PatientId, Practice, Stamp, Subject};
use record::{fold, search};
use sqlx::AssertSqlSafe;
use store::StoreError;

impl SqlStore {
    pub(crate) async fn keep_practice(
        &self,
        stamp: Stamp,
        kept: Practice,
    ) -> Result<(), StoreError> {
        kept.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                query(
                    "INSERT INTO practice (one, name, address, telephone, demo)
                     VALUES (1, $1, $2, $3, $4)
                     ON CONFLICT (one) DO UPDATE SET name = excluded.name,
                       address = excluded.address, telephone = excluded.telephone,
                       demo = excluded.demo",
                )
                .bind(kept.name)
                .bind(json_text(&kept.address)?)
                .bind(kept.telephone)
                .bind(kept.demo)
                .execute(db)
                .await?;
                Ok((Entry::new(ActKind::PracticeSaved, Subject::Practice), ()))
            })
        })
        .await
    }

    pub(crate) async fn keep_clinician(
        &self,
        stamp: Stamp,
        kept: Clinician,
    ) -> Result<(), StoreError> {
        kept.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                query(
                    "INSERT INTO clinician (id, name, qualification, active)
                     VALUES ($1, $2, $3, $4)
                     ON CONFLICT (id) DO UPDATE SET name = excluded.name,
                       qualification = excluded.qualification, active = excluded.active",
                )
                .bind(kept.id.to_string())
                .bind(kept.name)
                .bind(kept.qualification)
                .bind(kept.active)
                .execute(db)
                .await?;
                Ok((
                    Entry::new(ActKind::ClinicianSaved, Subject::Clinician(kept.id)),
                    (),
                ))
            })
        })
        .await
    }

    pub(crate) async fn keep_new_patient(
        &self,
        stamp: Stamp,
        kept: Patient,
    ) -> Result<(), StoreError> {
        kept.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                if there(db, kept.id).await? {
                    return Err(StoreError::Taken {
                        what: "the id of this patient",
                    }
                    .into());
                }
                free_chart_number(db, &kept).await?;
                query(
                    "INSERT INTO patient (id, chart_number, given_name, family_name, born_on, sex,
                       note, find_by)
                     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
                )
                .bind(kept.id.to_string())
                .bind(kept.chart_number.trim())
                .bind(&kept.given_name)
                .bind(&kept.family_name)
                .bind(day_text_if_any(kept.born_on)?)
                .bind(kept.sex.as_ref().map(word_of).transpose()?)
                .bind(&kept.note)
                .bind(search::text_of(&kept))
                .execute(db)
                .await?;
                Ok((
                    Entry::new(ActKind::PatientAdded, Subject::Patient(kept.id)),
                    (),
                ))
            })
        })
        .await
    }

    pub(crate) async fn keep_patient(&self, stamp: Stamp, kept: Patient) -> Result<(), StoreError> {
        kept.check()?;
        self.act(stamp, move |db| {
            Box::pin(async move {
                must_be_there(db, kept.id).await?;
                free_chart_number(db, &kept).await?;
                query(
                    "UPDATE patient SET chart_number = $2, given_name = $3, family_name = $4,
                       born_on = $5, sex = $6, note = $7, find_by = $8
                     WHERE id = $1",
                )
                .bind(kept.id.to_string())
                .bind(kept.chart_number.trim())
                .bind(&kept.given_name)
                .bind(&kept.family_name)
                .bind(day_text_if_any(kept.born_on)?)
                .bind(kept.sex.as_ref().map(word_of).transpose()?)
                .bind(&kept.note)
                .bind(search::text_of(&kept))
                .execute(db)
                .await?;
                Ok((
                    Entry::new(ActKind::PatientSaved, Subject::Patient(kept.id)),
                    (),
                ))
            })
        })
        .await
    }
}

async fn there(db: &mut Db, id: PatientId) -> Result<bool, Fault> {
    let found = query("SELECT count(*) FROM patient WHERE id = $1")
        .bind(id.to_string())
        .number(db)
        .await?;
    Ok(found > 0)
}

pub async fn must_be_there(db: &mut Db, id: PatientId) -> Result<(), Fault> {
    if there(db, id).await? {
        Ok(())
    } else {
        Err(StoreError::missing(PatientId::WHAT, id).into())
    }
}

async fn free_chart_number(db: &mut Db, patient: &Patient) -> Result<(), Fault> {
    let others = query("SELECT count(*) FROM patient WHERE chart_number = $1 AND id <> $2")
        .bind(patient.chart_number.trim())
        .bind(patient.id.to_string())
        .number(db)
        .await?;
    if others > 0 {
        Err(StoreError::Taken {
            what: "this chart number",
        }
        .into())
    } else {
        Ok(())
    }
}

pub async fn practice(db: &mut Db) -> Result<Option<Practice>, Fault> {
    let row = query("SELECT * FROM practice").fetch_optional(db).await?;
    row.map(|row| {
        let cells = Cells {
            table: "practice",
            row: &row,
        };
        Ok(Practice {
            name: cells.text("name")?,
            address: cells.json("address")?,
            telephone: cells.text_if_any("telephone")?,
            demo: cells.flag("demo")?,
        })
    })
    .transpose()
}

pub async fn clinician(db: &mut Db, id: ClinicianId) -> Result<Clinician, Fault> {
    let row = query("SELECT * FROM clinician WHERE id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    read_clinician(&row.ok_or_else(|| StoreError::missing(ClinicianId::WHAT, id))?)
}

pub async fn clinicians(db: &mut Db) -> Result<Vec<Clinician>, Fault> {
    let rows = query("SELECT * FROM clinician ORDER BY name, id")
        .fetch_all(db)
        .await?;
    rows.iter().map(read_clinician).collect()
}

fn read_clinician(row: &Row) -> Result<Clinician, Fault> {
    let cells = Cells {
        table: "clinician",
        row,
    };
    Ok(Clinician {
        id: cells.parsed("id")?,
        name: cells.text("name")?,
        qualification: cells.text("qualification")?,
        active: cells.flag("active")?,
    })
}

pub async fn patient(db: &mut Db, id: PatientId) -> Result<Patient, Fault> {
    let row = query("SELECT * FROM patient WHERE id = $1")
        .bind(id.to_string())
        .fetch_optional(db)
        .await?;
    read_patient(&row.ok_or_else(|| StoreError::missing(PatientId::WHAT, id))?)
}

/// The folded words hold letters, digits and blanks only, so they cannot act as a pattern.
pub async fn find(db: &mut Db, words: &str, most: u32) -> Result<Vec<Patient>, Fault> {
    let folded = fold(words);
    let words: Vec<String> = folded
        .split(' ')
        .filter(|word| !word.is_empty())
        .map(|word| format!(" {word}"))
        .collect();
    let place_in = db.word("instr", "strpos");
    let each: String = (1..=words.len())
        .map(|n| format!(" AND {place_in}(' ' || find_by, ${n}) > 0"))
        .collect();
    let last = words.len() + 1;
    let rows = query(AssertSqlSafe(format!(
        "SELECT * FROM patient WHERE 1 = 1{each} ORDER BY find_by, id LIMIT ${last}"
    )))
    .bind_all(words.into_iter().map(Value::from))
    .bind(most)
    .fetch_all(db)
    .await?;
    rows.iter().map(read_patient).collect()
}

/// Reads a row that has the patient's columns under their own names.
pub fn read_patient(row: &Row) -> Result<Patient, Fault> {
    let cells = Cells {
        table: "patient",
        row,
    };
    Ok(Patient {
        id: cells.parsed("id")?,
        chart_number: cells.text("chart_number")?,
        given_name: cells.text("given_name")?,
        family_name: cells.text("family_name")?,
        born_on: cells.day_if_any("born_on")?,
        sex: cells.word_if_any("sex", from_word)?,
        note: cells.text("note")?,
    })
}
