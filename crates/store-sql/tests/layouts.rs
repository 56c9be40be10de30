//! Is a practice of every layout that ever was brought up to date with everything that it held?
//!
//! A full practice of today's layout is cut back to what each earlier one could hold, column by column, in a record
//! file that the earlier steps have laid out; then it is opened as any practice is.

mod servers;

use servers::{Fresh, servers};
use sqlx::{AssertSqlSafe, Connection, Row, SqliteConnection};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::Arc;
use store::Store;
use store_sql::{SqlStore, Unsealed, copy};
use tempfile::TempDir;

const NONE: Vec<String> = Vec::new();

async fn database(folder: &Path) -> SqliteConnection {
    let file = folder.join("records.sqlite3");
    SqliteConnection::connect(&format!("sqlite://{}", file.display()))
        .await
        .unwrap()
}

async fn texts(db: &mut SqliteConnection, sql: String) -> Vec<String> {
    sqlx::query_scalar(AssertSqlSafe(sql))
        .fetch_all(db)
        .await
        .unwrap()
}

/// Names of tables with their columns.
async fn shape(db: &mut SqliteConnection, of: &str) -> BTreeMap<String, Vec<String>> {
    let names = texts(
        db,
        format!(
            "SELECT name FROM {of}.sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite~_%' ESCAPE '~'
             AND name <> '_sqlx_migrations'"
        ),
    )
    .await;
    let mut shape = BTreeMap::new();
    for name in names {
        let columns = format!("SELECT name FROM pragma_table_info('{name}', '{of}') ORDER BY name");
        let columns = texts(db, columns).await;
        shape.insert(name, columns);
    }
    shape
}

/// Every row of these tables and columns, as text.
async fn rows(
    folder: &Path,
    shape: &BTreeMap<String, Vec<String>>,
) -> BTreeMap<String, Vec<String>> {
    let mut db = database(folder).await;
    let mut all = BTreeMap::new();
    for (table, columns) in shape {
        let cells: Vec<String> = columns.iter().map(|c| format!("quote({c})")).collect();
        let cells = cells.join(" || ' ' || ");
        let sql = format!("SELECT {cells} AS row FROM {table} ORDER BY row");
        all.insert(table.clone(), texts(&mut db, sql).await);
    }
    db.close().await.unwrap();
    all
}

/// Everything that any promise of the store is about.
async fn a_full_practice() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let store = Arc::new(SqlStore::open_folder(folder.path()).await.unwrap());
    store::conformance::every_promise(store.clone(), 5).await;
    store::conformance::every_promise_of_jobs(store.clone(), 5).await;
    assert_eq!(store.verify().await.unwrap(), NONE);
    store.close().await;
    folder
}

/// The full practice as this layout could hold it. Answers with what the two have in common.
async fn cut_back(full: &Path, to: i64) -> (TempDir, BTreeMap<String, Vec<String>>) {
    let folder = tempfile::tempdir().unwrap();
    let plain = Arc::new(Unsealed);
    let store = SqlStore::open_folder_as_of(folder.path(), plain, to)
        .await
        .unwrap();
    store.close().await;
    drop(store);
    let mut db = database(folder.path()).await;
    let attach = format!(
        "PRAGMA foreign_keys = OFF; ATTACH '{}' AS newest",
        full.join("records.sqlite3").display()
    );
    sqlx::raw_sql(AssertSqlSafe(attach))
        .execute(&mut db)
        .await
        .unwrap();
    let newest = shape(&mut db, "newest").await;
    let mut common = shape(&mut db, "main").await;
    for (table, columns) in &mut common {
        let there = newest.get(table).expect("no table was ever taken away");
        columns.retain(|column| there.contains(column) || since_moved(table, column).is_some());
    }
    let triggers = sqlx::query("SELECT name, sql FROM main.sqlite_schema WHERE type = 'trigger'")
        .fetch_all(&mut db)
        .await
        .unwrap();
    let mut steps = Vec::new();
    for trigger in &triggers {
        steps.push(format!("DROP TRIGGER {}", trigger.get::<&str, _>(0)));
    }
    for (table, columns) in &common {
        let cells = columns
            .iter()
            .map(|c| since_moved(table, c).unwrap_or(c.as_str()));
        let cells = cells.collect::<Vec<_>>().join(", ");
        let columns = columns.join(", ");
        steps.push(format!(
            "INSERT INTO main.{table} ({columns}) SELECT {cells} FROM newest.{table} ORDER BY rowid"
        ));
    }
    for (table, columns) in &mut common {
        columns.retain(|column| since_moved(table, column).is_none());
    }
    steps.extend(triggers.iter().map(|t| t.get::<String, _>(1)));
    for step in steps {
        let done = sqlx::raw_sql(AssertSqlSafe(step.clone()))
            .execute(&mut db)
            .await;
        done.unwrap_or_else(|e| panic!("layout {to}: {step}: {e}"));
    }
    db.close().await.unwrap();
    files_of(full, folder.path());
    (folder, common)
}

/// Where a column that was moved stands today.
fn since_moved(table: &str, column: &str) -> Option<&'static str> {
    (table == "letter" && column == "facts").then_some(
        "(SELECT body.facts FROM newest.letter_body AS body WHERE body.letter = letter.id)",
    )
}

fn files_of(from: &Path, to: &Path) {
    for shelf in fs::read_dir(from.join("files")).unwrap() {
        let shelf = shelf.unwrap();
        let into = to.join("files").join(shelf.file_name());
        fs::create_dir_all(&into).unwrap();
        for file in fs::read_dir(shelf.path()).unwrap() {
            let file = file.unwrap();
            fs::copy(file.path(), into.join(file.file_name())).unwrap();
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_practice_of_every_layout_is_brought_up_to_date_with_everything_that_it_held() {
    let full = a_full_practice().await;
    let newest = {
        let mut db = database(full.path()).await;
        let layout: i64 = sqlx::query_scalar("PRAGMA user_version")
            .fetch_one(&mut db)
            .await
            .unwrap();
        layout
    };
    let servers = servers("every layout on PostgreSQL");
    for layout in 1..=newest {
        let (folder, common) = cut_back(full.path(), layout).await;
        let held = rows(folder.path(), &common).await;
        let many: usize = held.values().map(Vec::len).sum();
        assert!(many > 100, "layout {layout}: {many} rows");
        let as_it_was = fs::read(folder.path().join("records.sqlite3")).unwrap();

        // A copy of that time, made while it was of that time.
        let old = SqlStore::open_folder_as_of(folder.path(), Arc::new(Unsealed), layout)
            .await
            .unwrap();
        let mut stream = Vec::new();
        copy::dump(&old, &mut stream).await.unwrap();
        old.close().await;
        drop(old);

        let store = SqlStore::open_folder(folder.path()).await.unwrap();
        let faults = store.verify().await.unwrap();
        assert_eq!(faults, NONE, "layout {layout}");
        let kept = folder
            .path()
            .join(format!("before-update/records-of-layout-{layout}.sqlite3"));
        if layout < newest {
            assert_eq!(fs::read(&kept).unwrap().len(), as_it_was.len());
            assert!(store.notes()[0].contains(&format!("from layout {layout} to {newest}")));
        }
        assert_eq!(kept.exists(), layout < newest);
        let now = rows(folder.path(), &common).await;
        for (table, rows) in &held {
            // The trail begins with an entry of its own.
            let now: Vec<_> = now[table].iter().filter(|r| rows.contains(r)).collect();
            assert_eq!(now.len(), rows.len(), "layout {layout}: {table}");
        }
        assert_eq!(copy::layout(&mut &stream[..]).unwrap(), layout);
        put_back(&stream, layout, &store).await;
        if let Some(servers) = &servers {
            put_back_on_a_server(&stream, layout, newest, servers.fresh().await, &store).await;
        }
        println!(
            "layout {layout}: {} tables, {many} rows came along",
            held.len()
        );
        store.close().await;
    }
}

/// What was copied at that layout is put back today and brought up to date.
async fn put_back(stream: &[u8], layout: i64, expected: &SqlStore) {
    let folder = tempfile::tempdir().unwrap();
    let empty = SqlStore::open_folder_as_of(folder.path(), Arc::new(Unsealed), layout)
        .await
        .unwrap();
    copy::restore(&mut &*stream, &empty).await.unwrap();
    empty.close().await;
    drop(empty);
    let restored = SqlStore::open_folder(folder.path()).await.unwrap();
    assert_eq!(restored.verify().await.unwrap(), NONE, "layout {layout}");
    same_but_the_start(expected, &restored, layout).await;
    restored.close().await;
}

async fn put_back_on_a_server(
    stream: &[u8],
    layout: i64,
    newest: i64,
    fresh: Fresh,
    expected: &SqlStore,
) {
    let empty = SqlStore::open_postgres_as_of(&fresh.address, fresh.shelf(), layout)
        .await
        .unwrap();
    copy::restore(&mut &*stream, &empty).await.unwrap();
    empty.close().await;
    drop(empty);
    let restored = fresh.store().await;
    assert_eq!(restored.verify().await.unwrap(), NONE, "layout {layout}");
    same_but_the_start(expected, &restored, layout).await;
    if layout < newest {
        assert!(restored.notes()[0].contains(&format!("from layout {layout} to {newest}")));
        let kept = format!("SELECT count(*) FROM before_layout_{}.patient", layout + 1);
        servers::say(&fresh.address, &kept).await.unwrap();
    }
    restored.close().await;
}

/// A trail that begins at a start begins with the moment of that start.
async fn same_but_the_start(expected: &SqlStore, restored: &SqlStore, layout: i64) {
    let mut off = copy::equality(expected, restored).await.unwrap();
    off.retain(|off| layout >= 7 || !off.contains("the table trail "));
    assert_eq!(off, NONE, "layout {layout}");
}
