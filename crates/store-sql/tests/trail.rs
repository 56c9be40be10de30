//! A trail that somebody changed behind the program's back is told, entry by entry.

use record::{ActId, ClinicianId, Noted, Practice, Stamp, ToNote};
use sqlx::{Connection, SqliteConnection};
use std::path::Path;
use store::{Access, Store};
use store_sql::SqlStore;
use time::macros::datetime;
use uuid::Uuid;

const AT: time::OffsetDateTime = datetime!(2026-11-27 08:00 UTC);

async fn practice_with_ten_acts_and_ten_looks(folder: &Path) {
    let store = SqlStore::open_folder(folder).await.unwrap();
    for n in 0..10u128 {
        let stamp = Stamp {
            act: ActId::new(Uuid::from_u128(n + 1)),
            at: AT,
            by: ClinicianId::new(Uuid::from_u128(99)),
        };
        let practice = Practice {
            name: format!("Invented {n}"),
            ..Default::default()
        };
        store.save_practice(stamp, practice).await.unwrap();
        let look = ToNote {
            at: AT,
            account: None,
            person: None,
            kind: Noted::Saw,
            patient: None,
            detail: format!("page {n}"),
        };
        store.note(look).await.unwrap();
    }
    assert_eq!(store.verify().await.unwrap(), Vec::<String>::new());
    store.close().await;
}

/// What `verify` says after the statements were run on the file itself, its guards taken off.
async fn after(statements: &[&'static str]) -> Vec<String> {
    let folder = tempfile::tempdir().unwrap();
    practice_with_ten_acts_and_ten_looks(folder.path()).await;
    let file = folder.path().join("records.sqlite3");
    let mut db = SqliteConnection::connect(&format!("sqlite:{}", file.display()))
        .await
        .unwrap();
    for guard in [
        "trail_stays",
        "trail_is_kept",
        "trail_counts_on",
        "journal_stays",
        "journal_is_kept",
    ] {
        sqlx::query(sqlx::AssertSqlSafe(format!("DROP TRIGGER {guard}")))
            .execute(&mut db)
            .await
            .unwrap();
    }
    for statement in statements {
        sqlx::query(*statement).execute(&mut db).await.unwrap();
    }
    db.close().await.unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    store.verify().await.unwrap()
}

#[tokio::test]
async fn a_changed_a_missing_and_a_slipped_in_entry_are_named() {
    assert_eq!(after(&[]).await, Vec::<String>::new());
    let changed = after(&["UPDATE trail SET detail = 'another page' WHERE number = 8"]).await;
    assert!(
        changed[0].contains("entry 8 of the trail changed"),
        "{changed:?}"
    );
    let missing = after(&["DELETE FROM trail WHERE number = 5"]).await;
    assert!(
        missing[0].contains("entry 6 of the trail where 5"),
        "{missing:?}"
    );
    let moved = after(&[
        "DELETE FROM trail WHERE number = 5",
        "UPDATE trail SET number = number - 1 WHERE number > 5",
    ])
    .await;
    assert!(
        moved[0].contains("entry 5 of the trail changed"),
        "{moved:?}"
    );
}

#[tokio::test]
async fn an_act_changed_in_the_journal_is_at_odds_with_the_trail() {
    let changed =
        after(&["UPDATE journal SET summary = 'nothing happened' WHERE number = 3"]).await;
    assert!(
        changed[0].contains("act 3 of the journal at odds"),
        "{changed:?}"
    );
    let slipped = after(&[
        "INSERT INTO journal (number, id, at, by, kind, subject, subject_id, summary)
         SELECT 11, 'x', at, by, kind, subject, subject_id, summary FROM journal WHERE number = 10",
    ])
    .await;
    assert!(
        slipped
            .iter()
            .any(|f| f.contains("11 acts in the journal and 10")),
        "{slipped:?}"
    );
}

#[tokio::test]
async fn a_trail_cut_off_at_its_end_is_seen_by_the_acts_it_lacks() {
    let cut = after(&["DELETE FROM trail WHERE number > 15"]).await;
    assert!(
        cut.iter()
            .any(|f| f.contains("10 acts in the journal and 8")),
        "{cut:?}"
    );
}

#[tokio::test]
async fn a_practice_from_before_the_trail_is_bound_by_its_first_entry() {
    let bound = after(&["DELETE FROM trail"]).await;
    assert_eq!(bound, Vec::<String>::new(), "begun anew over the journal");
    let folder = tempfile::tempdir().unwrap();
    practice_with_ten_acts_and_ten_looks(folder.path()).await;
    let file = format!("sqlite:{}", folder.path().join("records.sqlite3").display());
    let mut db = SqliteConnection::connect(&file).await.unwrap();
    for statement in ["DROP TRIGGER trail_is_kept", "DELETE FROM trail"] {
        sqlx::query(statement).execute(&mut db).await.unwrap();
    }
    db.close().await.unwrap();
    SqlStore::open_folder(folder.path())
        .await
        .unwrap()
        .close()
        .await;
    let mut db = SqliteConnection::connect(&file).await.unwrap();
    for statement in [
        "DROP TRIGGER journal_stays",
        "UPDATE journal SET summary = 'x' WHERE number = 2",
    ] {
        sqlx::query(statement).execute(&mut db).await.unwrap();
    }
    db.close().await.unwrap();
    let said = SqlStore::open_folder(folder.path())
        .await
        .unwrap()
        .verify()
        .await
        .unwrap();
    assert!(
        said[0].contains("before the trail began changed"),
        "{said:?}"
    );
}
