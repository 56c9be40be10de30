//! A large invented practice, made of one small one: every person of it is a copy of the template's
//! first visit with films, under an invented name, seen again and again.
//!
//! `many_patients TEMPLATE OUT PATIENTS VISITS TODAY` prints the ids of some hundred of its patients. Rows
//! are written past the acts of the store: this is a practice to measure on, not to work in.

use sqlx::sqlite::{SqliteConnectOptions, SqliteRow};
use sqlx::{Connection, Row, SqliteConnection};
use std::error::Error;
use std::path::Path;
use store_sql::SqlStore;
use time::{Date, Duration, macros::format_description};
use uuid::Uuid;

type Outcome<T = ()> = Result<T, Box<dyn Error>>;

const DAY: &[time::format_description::BorrowedFormatItem<'static>] =
    format_description!("[year]-[month]-[day]");
/// Between two visits of a person.
const DAYS_BETWEEN: i64 = 91;
/// One person in so many was asked back and has not come.
const ONE_OVERDUE_IN: u64 = 50;
const PRINTED: u64 = 400;

/// The template's visit, and whose it is.
struct Template {
    visit: String,
    patient: String,
}

#[tokio::main(flavor = "current_thread")]
async fn main() -> Outcome {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let [template, out, patients, visits, today] = args.as_slice() else {
        return Err("expected TEMPLATE OUT PATIENTS VISITS TODAY".into());
    };
    let (patients, visits): (u64, u64) = (patients.parse()?, visits.parse()?);
    let today = Date::parse(today, DAY)?;
    copy(Path::new(template), Path::new(out))?;
    // Brings the copy's layout up to date.
    SqlStore::open_folder(out).await?.close().await;
    let options = SqliteConnectOptions::new()
        .filename(Path::new(out).join("records.sqlite3"))
        .foreign_keys(true);
    let mut db = SqliteConnection::connect_with(&options).await?;
    let (visit, patient): (String, String) = sqlx::query_as(
        "SELECT film.visit, film.patient FROM film JOIN points ON points.film = film.id
         WHERE finished = 1 GROUP BY film.visit ORDER BY count(*) DESC, film.visit LIMIT 1",
    )
    .fetch_one(&mut db)
    .await?;
    let template = Template { visit, patient };
    sqlx::query("BEGIN").execute(&mut db).await?;
    for person in 0..patients {
        let id = add_person(&mut db, person, &template).await?;
        for time in 0..visits {
            let on = day_of(today, person, time, visits);
            let review = match (time + 1 == visits, person % ONE_OVERDUE_IN) {
                (true, 0) => Some(on),
                (true, _) => None,
                (false, _) => Some(on + Duration::days(DAYS_BETWEEN)),
            };
            let visit = fresh(person, time, 1);
            add_visit(&mut db, [&visit, &id], on, review, &template).await?;
            for (number, film) in films(&mut db, &template).await?.iter().enumerate() {
                let number = number as u64;
                let (film_id, points_id) = (
                    fresh(person, time, 16 + number),
                    fresh(person, time, 32 + number),
                );
                let ids: [&str; 4] = [&film_id, &points_id, &visit, &id];
                // A slow drift and some scatter, the same every time.
                let scatter = ((person * 31 + time * 17 + number * 7) % 100) as f64 / 50.0 - 1.0;
                add_film(&mut db, ids, on, 0.3 * time as f64 + scatter, film).await?;
            }
        }
        add_care(&mut db, person, &id, today).await?;
        if person.is_multiple_of((patients / PRINTED).max(1)) {
            println!("{id}");
        }
    }
    sqlx::query("COMMIT").execute(&mut db).await?;
    db.close().await?;
    Ok(())
}

fn copy(from: &Path, to: &Path) -> Outcome {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            copy(&entry.path(), &target)?;
        } else {
            std::fs::copy(entry.path(), target)?;
        }
    }
    Ok(())
}

/// An id that no other thing has: whose, which visit, what.
fn fresh(person: u64, time: u64, what: u64) -> String {
    let high = 0x7000_0000_0000_7000 | (person << 16);
    Uuid::from_u64_pair(high, 0x8000_0000_0000_0000 | (time << 16) | what).to_string()
}

/// The last visits lie within the last quarter, the first person's is today.
fn day_of(today: Date, person: u64, time: u64, visits: u64) -> Date {
    let back = (visits - 1 - time) as i64 * DAYS_BETWEEN + (person % DAYS_BETWEEN as u64) as i64;
    today - Duration::days(back)
}

const GIVEN: [&str; 8] = ["Ada", "Bo", "Cleo", "Dov", "Esme", "Finn", "Gwen", "Hal"];
const FAMILY: [&str; 8] = [
    "Thistledown",
    "Brambleby",
    "Fernhollow",
    "Mossgrove",
    "Pebblewick",
    "Larkrise",
    "Oakhurst",
    "Wrenfield",
];

async fn add_person(
    db: &mut SqliteConnection,
    person: u64,
    template: &Template,
) -> Outcome<String> {
    let id = fresh(person, 0, 0);
    let given = GIVEN[(person % 8) as usize];
    let family = format!("{}-{person}", FAMILY[(person / 8 % 8) as usize]);
    let born = Date::from_ordinal_date(1940 + (person % 60) as i32, 1 + (person % 365) as u16)?
        .format(DAY)?;
    let find_by = format!("{family} {given} m-{person:05} {born}").to_lowercase();
    sqlx::query(
        "INSERT INTO patient (id, chart_number, given_name, family_name, born_on, sex, note, find_by)
         SELECT ?1, ?2, ?3, ?4, ?5, sex, '', ?6 FROM patient WHERE id = ?7",
    )
    .bind(&id)
    .bind(format!("M-{person:05}"))
    .bind(given)
    .bind(&family)
    .bind(&born)
    .bind(find_by)
    .bind(&template.patient)
    .execute(db)
    .await?;
    Ok(id)
}

async fn add_visit(
    db: &mut SqliteConnection,
    [id, patient]: [&str; 2],
    on: Date,
    review: Option<Date>,
    template: &Template,
) -> Outcome {
    sqlx::query(
        "INSERT INTO visit (id, patient, day, reason, state)
         SELECT ?1, ?2, ?3, reason, 'closed' FROM visit WHERE id = ?4",
    )
    .bind(id)
    .bind(patient)
    .bind(on.format(DAY)?)
    .bind(&template.visit)
    .execute(&mut *db)
    .await?;
    let rows = [
        "INSERT INTO exam (visit, subject, revision, content_of, exam, saved_at, saved_by)
         SELECT ?1, subject, 1, 1, exam, saved_at, saved_by FROM exam AS e WHERE visit = ?2
           AND revision = (SELECT max(revision) FROM exam
                           WHERE visit = e.visit AND subject = e.subject)",
        "INSERT INTO decision (visit, side, revision, report, chosen, overruled_reason, saved_at,
           saved_by)
         SELECT ?1, side, 1, report, chosen, overruled_reason, saved_at, saved_by
         FROM decision AS d WHERE visit = ?2
           AND revision = (SELECT max(revision) FROM decision
                           WHERE visit = d.visit AND side = d.side)",
    ];
    for row in rows {
        sqlx::query(row)
            .bind(id)
            .bind(&template.visit)
            .execute(&mut *db)
            .await?;
    }
    sqlx::query(
        "INSERT INTO plan (visit, revision, plan, review_on, saved_at, saved_by)
         SELECT ?1, 1, plan, ?3, saved_at, saved_by FROM plan WHERE visit = ?2
         ORDER BY revision DESC LIMIT 1",
    )
    .bind(id)
    .bind(&template.visit)
    .bind(review.map(|r| r.format(DAY)).transpose()?)
    .execute(db)
    .await?;
    Ok(())
}

async fn films(db: &mut SqliteConnection, template: &Template) -> Outcome<Vec<SqliteRow>> {
    let rows = sqlx::query(
        "SELECT film.id, points.id AS points_id, points.sheet FROM film
         JOIN points ON points.film = film.id AND points.finished = 1 AND points.attempt = 1
         WHERE film.visit = ?1 AND view IN ('lateral', 'dorsoplantar') ORDER BY film.seq LIMIT 2",
    )
    .bind(&template.visit)
    .fetch_all(db)
    .await?;
    Ok(rows)
}

/// A film and its finished points; `shift` moves every value.
async fn add_film(
    db: &mut SqliteConnection,
    [id, points, visit, patient]: [&str; 4],
    on: Date,
    shift: f64,
    template: &SqliteRow,
) -> Outcome {
    sqlx::query(
        "INSERT INTO film (id, patient, visit, view, side, stance, taken_on, file_name, content,
           media_type, width_px, height_px, scale_wish, scale_answer, quarter_turns, mirrored, note,
           worn)
         SELECT ?1, ?2, ?3, view, side, stance, ?4, file_name, content, media_type, width_px,
           height_px, scale_wish, scale_answer, quarter_turns, mirrored, note, worn
         FROM film WHERE id = ?5",
    )
    .bind(id)
    .bind(patient)
    .bind(visit)
    .bind(on.format(DAY)?)
    .bind(template.try_get::<String, _>("id")?)
    .execute(&mut *db)
    .await?;
    let sheet: String = template.try_get("sheet")?;
    let mut sheet: serde_json::Value = serde_json::from_str(&sheet)?;
    for reading in sheet["readings"].as_array_mut().into_iter().flatten() {
        if let Some(value) = reading["estimate"]["value"].as_f64() {
            reading["estimate"]["value"] = (value + shift).into();
        }
    }
    sqlx::query(
        "INSERT INTO points (id, film, reader, reader_name, attempt, placed_at, finished, points,
           sheet)
         SELECT ?1, ?2, reader, reader_name, 1, placed_at, 1, points, ?3
         FROM points WHERE id = ?4",
    )
    .bind(points)
    .bind(id)
    .bind(sheet.to_string())
    .bind(template.try_get::<String, _>("points_id")?)
    .execute(db)
    .await?;
    Ok(())
}

/// A boot that is over, and a device that is worn; one in a hundred waits for a look.
async fn add_care(db: &mut SqliteConnection, person: u64, patient: &str, today: Date) -> Outcome {
    let days = |back: i64| (today - Duration::days(back)).format(DAY);
    let review = (person.is_multiple_of(100)).then(|| days(0)).transpose()?;
    let things = [
        (64, "boot", Some(days(365)?), None),
        (65, "device", None, review),
    ];
    for (number, kind, ended, review) in things {
        let id = fresh(person, 0, number);
        sqlx::query(
            "INSERT INTO care (id, patient, kind, revision, began_on, ended_on, review_on, taken_away)
             VALUES (?1, ?2, ?3, 1, ?4, ?5, ?6, 0)",
        )
        .bind(&id)
        .bind(patient)
        .bind(kind)
        .bind(days(400)?)
        .bind(&ended)
        .bind(&review)
        .execute(&mut *db)
        .await?;
        let answers = serde_json::json!({"format": "tiebeam-given", "version": 1, "body":
            {"format": "tiebeam-given", "version": 1, "answers": {}}});
        sqlx::query(
            "INSERT INTO care_revision (care, revision, content_of, side, began_on, ended_on,
               review_on, answers, taken_away, saved_at, saved_by)
             SELECT ?1, 1, 1, 'left', ?2, ?3, ?4, ?5, 0, at, by FROM journal
             ORDER BY number LIMIT 1",
        )
        .bind(&id)
        .bind(days(400)?)
        .bind(&ended)
        .bind(&review)
        .bind(answers.to_string())
        .execute(&mut *db)
        .await?;
    }
    Ok(())
}
