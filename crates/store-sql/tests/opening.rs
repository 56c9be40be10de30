//! Does every folder that must not be opened get its sentence, and stay as it was?

use record::{
    ClinicianId, ContentHash, Kept, LetterId, LetterKind, LetterRecord, LetterState, VisitId,
};
use sqlx::{AssertSqlSafe, Connection, SqliteConnection};
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use store::{Store, StoreError};
use store_sql::SqlStore;
use tempfile::TempDir;

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "the tests check acts, the actor performs them")]
mod acts;

async fn refusal(folder: &Path) -> StoreError {
    match SqlStore::open_folder(folder).await {
        Ok(_) => panic!("the folder was opened"),
        Err(refused) => refused,
    }
}

/// A closed data folder with one patient's visit in it.
async fn a_practice() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    for n in 0..=acts::STEPS {
        acts::perform(&store, acts::Act { run: 1, n })
            .await
            .unwrap();
    }
    store.close().await;
    folder
}

async fn database(folder: &Path) -> SqliteConnection {
    let file = folder.join("records.sqlite3");
    SqliteConnection::connect(&format!("sqlite://{}?mode=rwc", file.display()))
        .await
        .unwrap()
}

async fn say(folder: &Path, sql: &str) -> Result<(), sqlx::Error> {
    let mut db = database(folder).await;
    let said = sqlx::query(AssertSqlSafe(sql)).execute(&mut db).await;
    db.close().await?;
    said.map(drop)
}

#[tokio::test]
async fn a_second_process_is_told_the_folder_who_holds_it_and_what_to_do() {
    let folder = tempfile::tempdir().unwrap();
    let mut other = Command::new(env!("CARGO_BIN_EXE_store-actor"))
        .arg("hold")
        .arg(folder.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(other.stdout.take().unwrap())
        .read_line(&mut line)
        .unwrap();
    assert_eq!(line, "open\n");

    let said = refusal(folder.path()).await.to_string();
    assert!(
        said.contains(&folder.path().display().to_string()),
        "{said}"
    );
    assert!(said.contains(&format!("number {}", other.id())), "{said}");
    assert!(said.contains("close the other one"), "{said}");

    other.kill().unwrap();
    other.wait().unwrap();
    SqlStore::open_folder(folder.path()).await.unwrap();
}

#[tokio::test]
async fn a_store_that_was_dropped_frees_its_folder() {
    let folder = tempfile::tempdir().unwrap();
    let first = SqlStore::open_folder(folder.path()).await.unwrap();
    assert!(matches!(
        refusal(folder.path()).await,
        StoreError::InUse { .. }
    ));
    assert_eq!(
        first.practice().await.unwrap(),
        None,
        "a new folder has no practice yet"
    );
    drop(first);
    SqlStore::open_folder(folder.path()).await.unwrap();
}

#[tokio::test]
async fn a_file_in_place_of_the_folder_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("notes.txt");
    fs::write(&file, "notes").unwrap();
    let said = refusal(&file).await.to_string();
    assert!(said.contains("a file and not a folder"), "{said}");
}

#[tokio::test]
async fn a_record_file_that_is_no_database_is_refused_and_left_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("records.sqlite3");
    for content in ["chart;name\n1;Invented\n", "x"] {
        fs::write(&file, content).unwrap();
        let said = refusal(folder.path()).await.to_string();
        assert!(said.contains("no database"), "{said}");
        assert_eq!(fs::read_to_string(&file).unwrap(), content);
    }
}

#[tokio::test]
async fn the_database_of_another_program_is_refused_and_left_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    say(folder.path(), "CREATE TABLE songs (title TEXT)")
        .await
        .unwrap();
    let before = fs::read(folder.path().join("records.sqlite3")).unwrap();
    let said = refusal(folder.path()).await.to_string();
    assert!(said.contains("the database of another program"), "{said}");
    assert_eq!(
        fs::read(folder.path().join("records.sqlite3")).unwrap(),
        before
    );
}

#[tokio::test]
async fn a_newer_layout_is_refused_with_both_numbers() {
    let folder = a_practice().await;
    say(folder.path(), "PRAGMA user_version = 999")
        .await
        .unwrap();
    let said = refusal(folder.path()).await.to_string();
    assert!(
        said.contains("layout 999") && said.contains("up to"),
        "{said}"
    );
    say(folder.path(), "PRAGMA user_version = 3").await.unwrap();
    SqlStore::open_folder(folder.path()).await.unwrap();
}

/// A record file as the first layout has it: a patient's visit with a draft and a signed letter.
async fn the_first_layout(folder: &Path, signed: &LetterRecord) {
    let first = folder.join("first");
    fs::create_dir(&first).unwrap();
    let name = "0001_records.sql";
    let all = Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations/sqlite");
    fs::copy(all.join(name), first.join(name)).unwrap();
    let LetterState::Signed { at, by, pdf, seal } = signed.state else {
        panic!("not signed")
    };
    let at = at
        .format(&time::format_description::well_known::Rfc3339)
        .unwrap();
    let facts = serde_json::to_string(&signed.facts).unwrap();
    let (patient, visit) = (uuid::Uuid::from_u128(9), signed.visit);
    let mut db = database(folder).await;
    let migrator = sqlx::migrate::Migrator::new(first.as_path()).await.unwrap();
    migrator.run(&mut db).await.unwrap();
    let rows = format!(
        "PRAGMA application_id = 1414088002;
         INSERT INTO clinician VALUES ('{by}', 'Invented Clinician', '', 1);
         INSERT INTO patient VALUES ('{patient}', '1', 'Invented', 'Person', NULL, NULL, '', 'person');
         INSERT INTO visit VALUES (1, '{visit}', '{patient}', '2026-11-24', '', 'open');
         INSERT INTO letter VALUES (1, '{draft}', '{visit}', 'to-patient', 'A draft', '{facts}', NULL,
           '{at}', NULL, NULL, NULL, NULL);
         INSERT INTO letter VALUES (2, '{id}', '{visit}', '{kind}', '{title}', '{facts}', NULL, '{at}',
           '{at}', '{by}', '{pdf}', '{seal}');",
        draft = uuid::Uuid::from_u128(8),
        id = signed.id,
        kind = signed.kind.key(),
        title = signed.title,
    );
    sqlx::raw_sql(AssertSqlSafe(rows))
        .execute(&mut db)
        .await
        .unwrap();
    db.close().await.unwrap();
}

#[tokio::test]
async fn a_folder_of_the_first_layout_is_brought_up_to_date_with_every_letter_as_it_was() {
    let at = time::macros::datetime!(2026-11-24 09:00 UTC);
    let by = ClinicianId::new(uuid::Uuid::from_u128(1));
    let mut signed = LetterRecord {
        id: LetterId::new(uuid::Uuid::from_u128(7)),
        visit: VisitId::new(uuid::Uuid::from_u128(2)),
        kind: LetterKind::ToReferrer,
        title: "Signed".into(),
        facts: Kept::of("letter", 1, &("an invented body", 0.1 + 0.2)).unwrap(),
        addendum_to: None,
        drafted_at: at,
        revision: 1,
        state: LetterState::Draft,
    };
    let pdf = ContentHash::of(b"%PDF-invented");
    let seal = signed.seal(at, by, pdf);
    signed.state = LetterState::Signed { at, by, pdf, seal };
    let folder = tempfile::tempdir().unwrap();
    the_first_layout(folder.path(), &signed).await;

    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    assert_eq!(store.letter(signed.id).await.unwrap(), signed);
    assert_eq!(signed.seal_holds(), Some(true));
    let waiting = store.letters_waiting().await.unwrap();
    let draft = store.letter(waiting[0].letter.id).await.unwrap();
    assert_eq!((waiting.len(), draft.revision), (1, 1));
    assert_eq!(draft.facts, signed.facts);
    assert_eq!(store.orders_in_hand().await.unwrap(), []);
    // Only the invented paper is not there.
    let faults = store.verify().await.unwrap();
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert!(faults[0].contains(&pdf.to_string()), "{faults:?}");
    store.close().await;
    drop(store);
    for change in [
        "UPDATE letter SET title = '' WHERE signed_at IS NOT NULL",
        "UPDATE letter_body SET facts = '{}'",
        "DELETE FROM letter",
    ] {
        assert!(say(folder.path(), change).await.is_err(), "{change}");
    }
}

#[tokio::test]
async fn no_list_of_letters_reads_what_they_are_set_from() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    for n in 0..=10 {
        acts::perform(&store, acts::Act { run: 1, n })
            .await
            .unwrap();
    }
    store.close().await;
    drop(store);
    // A body that cannot be read: whoever reads it fails.
    say(folder.path(), "UPDATE letter_body SET facts = '0'")
        .await
        .unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    let waiting = store.letters_waiting().await.unwrap();
    assert_eq!(waiting.len(), 1);
    let (id, visit) = (waiting[0].letter.id, &waiting[0].visit);
    assert!(matches!(
        store.letter(id).await,
        Err(StoreError::Damaged { .. })
    ));
    assert_eq!(store.letters_of_visit(visit.id).await.unwrap().len(), 1);
    assert_eq!(store.letters_of(visit.patient).await.unwrap().len(), 1);
    acts::perform(&store, acts::Act { run: 1, n: 11 })
        .await
        .unwrap();
    assert_eq!(store.letters_taken_away().await.unwrap().len(), 1);
    assert!(store.letters_signed(9).await.unwrap().is_empty());
}

#[tokio::test]
async fn a_damaged_record_file_is_refused_as_damaged() {
    let folder = a_practice().await;
    let file = folder.path().join("records.sqlite3");
    let mut bytes = fs::read(&file).unwrap();
    // The pages after the first: tables and indexes.
    for byte in &mut bytes[4096 * 3..4096 * 12] {
        *byte = !*byte;
    }
    fs::write(&file, bytes).unwrap();
    let refused = refusal(folder.path()).await;
    assert!(matches!(refused, StoreError::Damaged { .. }), "{refused}");
    assert!(
        refused.to_string().contains("restore the last backup"),
        "{refused}"
    );
}

#[tokio::test]
async fn a_record_file_cut_short_is_refused_as_damaged() {
    let folder = a_practice().await;
    let file = folder.path().join("records.sqlite3");
    let bytes = fs::read(&file).unwrap();
    fs::write(&file, &bytes[..bytes.len() / 2]).unwrap();
    let refused = refusal(folder.path()).await;
    assert!(matches!(refused, StoreError::Damaged { .. }), "{refused}");
}

#[tokio::test]
async fn a_file_that_changed_or_went_missing_is_told_at_the_start_or_by_verify() {
    let folder = a_practice().await;
    let mut files = Vec::new();
    for shelf in fs::read_dir(folder.path().join("files")).unwrap() {
        files.extend(
            fs::read_dir(shelf.unwrap().path())
                .unwrap()
                .map(|f| f.unwrap().path()),
        );
    }
    assert_eq!(
        files.len(),
        5,
        "one film, one paper, one scan, one sheet and its solids"
    );
    for gone in 0..files.len() {
        let changed = (gone + 1) % files.len();
        let whole = [gone, changed].map(|n| fs::read(&files[n]).unwrap());
        fs::remove_file(&files[gone]).unwrap();
        fs::write(&files[changed], "scribbled over").unwrap();
        let store = SqlStore::open_folder(folder.path()).await.unwrap();
        let notes = store.notes();
        assert_eq!(notes.len(), 1, "{notes:?}");
        assert!(notes[0].contains("is not there"), "{notes:?}");
        let faults = store.verify().await.unwrap();
        assert_eq!(faults.len(), 2, "{faults:?}");
        let told = |n: usize, what| {
            let name = files[n].file_name().unwrap().to_str().unwrap();
            faults.iter().any(|f| f.contains(name) && f.contains(what))
        };
        assert!(told(gone, "not readable"), "{faults:?}");
        assert!(told(changed, "its content changed"), "{faults:?}");
        store.close().await;
        for (n, bytes) in [gone, changed].into_iter().zip(whole) {
            fs::write(&files[n], bytes).unwrap();
        }
    }
}

#[tokio::test]
async fn a_letter_changed_behind_our_back_is_told_by_verify() {
    let folder = a_practice().await;
    say(folder.path(), "DROP TRIGGER signed_letters_stay")
        .await
        .unwrap();
    say(folder.path(), "UPDATE letter SET title = 'Another'")
        .await
        .unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    let faults = store.verify().await.unwrap();
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert!(
        faults[0].contains("changed after it was signed"),
        "{faults:?}"
    );
}

/// Another layout's or another program's hand: no trigger, no reference holds it.
async fn force(folder: &Path, sql: &str) {
    let mut db = database(folder).await;
    let forced = format!("PRAGMA foreign_keys = OFF; {sql}");
    sqlx::raw_sql(AssertSqlSafe(forced))
        .execute(&mut db)
        .await
        .unwrap();
    db.close().await.unwrap();
}

#[tokio::test]
async fn orders_and_scans_changed_behind_our_back_are_told_by_verify() {
    let changes = [
        (
            "DROP TRIGGER order_revisions_are_kept; DELETE FROM order_revision WHERE revision = 2",
            "a revision that is not there",
        ),
        (
            "DROP TRIGGER what_was_sent_stays; UPDATE order_sent SET revision = 1",
            "sent at an earlier one",
        ),
        (
            "DROP TRIGGER order_revisions_stay; DROP TRIGGER order_revisions_are_kept;
             DROP TRIGGER what_was_sent_is_kept; DELETE FROM order_sent; DELETE FROM order_revision",
            "a revision that is not there",
        ),
        (
            "DROP TRIGGER order_revisions_stay; UPDATE order_revision SET prescription = '0'",
            "order_revision.prescription does not read back",
        ),
        (
            "DROP TRIGGER scans_are_kept; DELETE FROM scan",
            "found an entry of order_revision that names one of scan which is not there",
        ),
        (
            "DROP TRIGGER scan_content_stays; UPDATE scan SET patient = 'another'",
            "found an entry of scan that names one of visit which is not there",
        ),
    ];
    for (change, told) in changes {
        let folder = a_practice().await;
        force(folder.path(), change).await;
        let store = SqlStore::open_folder(folder.path()).await.unwrap();
        let faults = store.verify().await.unwrap();
        assert!(
            faults.iter().any(|f| f.contains(told)),
            "{change}: {faults:?}"
        );
    }
}

/// Sees that a statement breaks a rule of the record file, and is not only badly written.
async fn refused_by(folder: &TempDir, change: &str, rule: &str) {
    let error = say(folder.path(), change).await.unwrap_err();
    let error = error.as_database_error().expect("SQLite refuses it");
    let code: i32 = error.code().unwrap().parse().unwrap();
    assert_eq!(code & 0xff, 19, "SQLITE_CONSTRAINT: {change}: {error}");
    assert!(error.message().contains(rule), "{change}: {error}");
}

#[tokio::test]
async fn the_record_file_itself_refuses_what_makes_no_order() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    // A draft at its third revision, and another patient with a scan.
    let draft = 0..acts::STEPS;
    let other = acts::STEPS + 1..=acts::STEPS + 14;
    for n in draft.chain(other) {
        acts::perform(&store, acts::Act { run: 1, n })
            .await
            .unwrap();
    }
    store.close().await;
    drop(store);
    let next = |revision: u32, scan: &str, measures: &str| {
        format!(
            "INSERT INTO order_revision
             SELECT order_id, patient, {revision}, {revision}, {scan}, {measures}, points,
               prescription, saved_at, saved_by FROM order_revision WHERE revision = 3"
        )
    };
    let others = "(SELECT id FROM scan ORDER BY seq DESC LIMIT 1)";
    let changes = [
        (next(5, "scan", "NULL"), "count on"),
        (next(4, others, "NULL"), "FOREIGN KEY"),
        (next(4, "scan", "'{}'"), "CHECK"),
        (next(4, "NULL", "NULL"), "CHECK"),
        (
            "INSERT OR REPLACE INTO order_revision SELECT * FROM order_revision WHERE revision = 3"
                .into(),
            "count on",
        ),
        (
            "INSERT INTO order_sent SELECT order_id, 2, saved_at, saved_by, printf('%064d', 0),
               printf('%064d', 0) FROM order_revision WHERE revision = 2"
                .into(),
            "the last revision is sent",
        ),
        (
            "INSERT INTO device_order SELECT 9, id || 'x', patient, visit, side, code
             FROM device_order"
                .into(),
            "UNIQUE",
        ),
        (
            format!("UPDATE scan SET patient = (SELECT patient FROM scan WHERE id = {others})"),
            "the scan itself never changes",
        ),
    ];
    for (change, rule) in changes {
        refused_by(&folder, &change, rule).await;
    }
    // The same statement without its fault is taken, so that each was refused for its fault.
    say(folder.path(), &next(4, "scan", "NULL")).await.unwrap();
}

#[tokio::test]
async fn the_record_file_itself_refuses_to_change_what_must_stay() {
    let folder = a_practice().await;
    let changes = [
        "UPDATE journal SET summary = ''",
        "DELETE FROM journal",
        "UPDATE exam SET exam = '{}'",
        "DELETE FROM exam",
        "DELETE FROM plan",
        "UPDATE points SET points = '{}'",
        "DELETE FROM points",
        "UPDATE letter SET title = ''",
        "DELETE FROM letter",
        "UPDATE letter SET taken_away_at = signed_at, taken_away_by = signed_by",
        "UPDATE letter_body SET facts = '{}'",
        "DELETE FROM letter_body",
        "UPDATE film SET content = printf('%064d', 0)",
        "DELETE FROM film",
        "DELETE FROM patient",
        "UPDATE scan SET content = printf('%064d', 0)",
        "UPDATE scan SET file_name = ''",
        "DELETE FROM scan",
        "UPDATE device_order SET code = 'X'",
        "UPDATE device_order SET side = 'right'",
        "DELETE FROM device_order",
        "UPDATE order_revision SET prescription = '{}'",
        "DELETE FROM order_revision",
        "INSERT OR REPLACE INTO order_revision SELECT * FROM order_revision WHERE revision = 1",
        "INSERT INTO order_revision
         SELECT order_id, patient, 4, 4, scan, measures, points, prescription, saved_at, saved_by
         FROM order_revision WHERE revision = 3",
        "UPDATE order_sent SET sheet = printf('%064d', 0)",
        "DELETE FROM order_sent",
        "INSERT OR REPLACE INTO order_sent SELECT * FROM order_sent",
    ];
    for change in changes {
        refused_by(&folder, change, "").await;
    }
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    assert_eq!(
        acts::faults(&store, 1, acts::STEPS + 1).await.unwrap(),
        Vec::<String>::new()
    );
}

#[cfg(unix)]
#[tokio::test]
async fn a_new_data_folder_is_for_its_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let outside = tempfile::tempdir().unwrap();
    let folder = outside.path().join("practice").join("data");
    SqlStore::open_folder(&folder).await.unwrap();
    assert_eq!(
        fs::metadata(&folder).unwrap().permissions().mode() & 0o777,
        0o700
    );
}
