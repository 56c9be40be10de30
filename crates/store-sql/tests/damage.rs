//! Is damage to what lies on disk found and named, and never read as good?

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "the tests check acts, the actor performs them")]
mod acts;

use acts::Act;
use rand::{Rng, RngCore, SeedableRng, rngs::StdRng};
use sqlx::{AssertSqlSafe, Connection, Row, SqliteConnection};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use store::{Store, StoreError};
use store_sql::SqlStore;
use tempfile::TempDir;

const SEED: u64 = 20_261_201;
const ACTS: u64 = 3 * acts::STEPS;
const PAGE: usize = 4096;

fn dice() -> StdRng {
    println!("seed {SEED}");
    StdRng::seed_from_u64(SEED)
}

/// A data folder with three patients' visits in it, closed or left as a dropped store leaves it.
async fn a_practice(closed: bool) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    for n in 0..=ACTS {
        acts::perform(&store, Act { run: 1, n }).await.unwrap();
    }
    if closed {
        store.close().await;
    }
    folder
}

fn records(folder: &Path) -> PathBuf {
    folder.join("records.sqlite3")
}

fn copied(from: &Path) -> TempDir {
    fn copy(from: &Path, to: &Path) {
        fs::create_dir_all(to).unwrap();
        for entry in fs::read_dir(from).unwrap() {
            let entry = entry.unwrap();
            let to = to.join(entry.file_name());
            if entry.path().is_dir() {
                copy(&entry.path(), &to);
            } else {
                fs::copy(entry.path(), to).unwrap();
            }
        }
    }
    let to = tempfile::tempdir().unwrap();
    copy(from, to.path());
    to
}

async fn database(folder: &Path) -> SqliteConnection {
    let file = records(folder);
    SqliteConnection::connect(&format!("sqlite://{}?mode=rwc", file.display()))
        .await
        .unwrap()
}

/// Every row of every table, as text.
async fn rows(folder: &Path) -> Result<BTreeMap<String, Vec<String>>, sqlx::Error> {
    let mut db = database(folder).await;
    let tables: Vec<String> =
        sqlx::query_scalar("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
            .fetch_all(&mut db)
            .await?;
    let mut all = BTreeMap::new();
    for table in tables {
        let columns: Vec<String> = sqlx::query_scalar(AssertSqlSafe(format!(
            "SELECT name FROM pragma_table_info('{table}')"
        )))
        .fetch_all(&mut db)
        .await?;
        let cells: Vec<String> = columns.iter().map(|c| format!("quote(\"{c}\")")).collect();
        let select = format!("SELECT {} FROM \"{table}\"", cells.join(" || '|' || "));
        let mut rows: Vec<String> = sqlx::query_scalar(AssertSqlSafe(select))
            .fetch_all(&mut db)
            .await?;
        rows.sort();
        all.insert(table, rows);
    }
    db.close().await?;
    Ok(all)
}

/// A page of the record file, the table or index it belongs to, and how many cells stand on it.
struct Page {
    number: usize,
    name: String,
    kind: String,
    cells: i64,
}

async fn pages(folder: &Path) -> Vec<Page> {
    let mut db = database(folder).await;
    let found = sqlx::query("SELECT pageno, name, pagetype, ncell FROM dbstat ORDER BY pageno")
        .fetch_all(&mut db)
        .await
        .unwrap();
    let pages = found
        .iter()
        .map(|row| Page {
            number: row.get::<i64, _>(0) as usize,
            name: row.get(1),
            kind: row.get(2),
            cells: row.get(3),
        })
        .collect();
    db.close().await.unwrap();
    pages
}

/// What was told of the damage: by the start, or by `verify`.
async fn told(folder: &Path) -> Vec<String> {
    match SqlStore::open_folder(folder).await {
        Err(refused) => vec![refused.to_string()],
        Ok(store) => {
            let mut told = store.notes().to_vec();
            match store.verify().await {
                Ok(faults) => told.extend(faults),
                Err(refused) => told.push(refused.to_string()),
            }
            store.close().await;
            told
        }
    }
}

#[tokio::test]
async fn a_page_of_the_record_file_that_was_overwritten_is_found_whatever_lay_on_it() {
    let mut dice = dice();
    let practice = a_practice(true).await;
    let pages = pages(practice.path()).await;
    let before = rows(practice.path()).await.unwrap();
    let (mut named, mut tried, mut empty) = (0, 0, 0);
    for Page {
        number: page,
        name,
        cells,
        ..
    } in &pages
    {
        for kind in ["noise", "zeros", "another page"] {
            let folder = copied(practice.path());
            let mut bytes = fs::read(records(folder.path())).unwrap();
            let at = (page - 1) * PAGE;
            let other = (at + 3 * PAGE) % bytes.len();
            let over = match kind {
                "zeros" => vec![0; PAGE],
                "noise" => {
                    let mut noise = vec![0; PAGE];
                    dice.fill_bytes(&mut noise);
                    noise
                }
                _ => bytes[other..other + PAGE].to_vec(),
            };
            if bytes[at..at + PAGE] == over {
                continue;
            }
            bytes[at..at + PAGE].copy_from_slice(&over);
            fs::write(records(folder.path()), bytes).unwrap();
            let told = told(folder.path()).await;
            tried += 1;
            if told.is_empty() {
                // SQLite's own check passes over what an index without entries consists of.
                let after = rows(folder.path()).await;
                assert_eq!(
                    *cells, 0,
                    "page {page} of {name} ({kind}): nothing was told"
                );
                assert!(after.is_ok_and(|after| after == before));
                empty += 1;
                continue;
            }
            named += usize::from(told.iter().any(|line| line.contains(name.as_str())));
            let file = records(folder.path()).display().to_string();
            assert!(
                told.iter().any(|line| line.contains(&file)
                    || line.contains("the record file")
                    || line.contains(name.as_str())
                    || line.contains("restore")),
                "page {page} of {name} ({kind}): {told:?}"
            );
        }
    }
    println!(
        "{tried} overwritten pages: {empty} where nothing lay, all others told; in {named} the sentence names the \
         table or index itself"
    );
    assert!(tried > 60);
}

#[tokio::test]
async fn an_index_that_no_longer_fits_its_table_is_found_and_named_by_verify() {
    let mut dice = dice();
    let practice = a_practice(true).await;
    let mut tried = 0;
    for one in pages(practice.path()).await {
        let (page, name, kind) = (one.number, one.name, one.kind);
        if kind != "leaf" || name.starts_with("sqlite_schema") {
            continue;
        }
        let mut db = database(practice.path()).await;
        let is_index: i64 = sqlx::query_scalar(
            "SELECT count(*) FROM sqlite_schema WHERE type = 'index' AND name = $1",
        )
        .bind(&name)
        .fetch_one(&mut db)
        .await
        .unwrap();
        db.close().await.unwrap();
        let folder = copied(practice.path());
        let mut bytes = fs::read(records(folder.path())).unwrap();
        // A digit inside a text, near the end of the page where the cells lie.
        let is_text = |at: usize| bytes[at - 3..at + 3].iter().all(u8::is_ascii_graphic);
        // Where no cell was ever freed, all from the first cell on is in use.
        let head = (page - 1) * PAGE;
        let two =
            |at: usize| usize::from(u16::from_be_bytes([bytes[head + at], bytes[head + at + 1]]));
        let (freed, first) = (two(1), two(5));
        let from = (head + first + 3).max(page * PAGE - 300);
        let cells: Vec<usize> = (from..page * PAGE - 3)
            .filter(|at| freed == 0 && bytes[*at].is_ascii_digit() && is_text(*at))
            .collect();
        if is_index == 0 || one.cells == 0 || cells.is_empty() {
            continue;
        }
        let at = cells[dice.random_range(0..cells.len())];
        bytes[at] = if bytes[at] == b'7' { b'8' } else { b'7' };
        fs::write(records(folder.path()), bytes).unwrap();
        let told = told(folder.path()).await;
        tried += 1;
        assert!(
            told.iter().any(|line| line.contains(&name)),
            "page {page} of {name}: {told:?}"
        );
    }
    println!("{tried} changed keys of an index, each named by verify");
    assert!(tried >= 15, "{tried}");
}

#[tokio::test]
async fn a_record_file_cut_at_any_length_is_refused_and_left_as_it_was() {
    let mut dice = dice();
    let practice = a_practice(true).await;
    let whole = fs::read(records(practice.path())).unwrap();
    let mut lengths: Vec<usize> = (0..12).map(|_| dice.random_range(1..whole.len())).collect();
    lengths.extend([
        1,
        15,
        16,
        99,
        100,
        PAGE,
        2 * PAGE,
        whole.len() - PAGE,
        whole.len() - 1,
    ]);
    for length in lengths {
        let folder = copied(practice.path());
        fs::write(records(folder.path()), &whole[..length]).unwrap();
        let refused = SqlStore::open_folder(folder.path())
            .await
            .map(drop)
            .expect_err(&format!("cut at {length} of {}", whole.len()));
        assert!(
            matches!(
                refused,
                StoreError::Damaged { .. } | StoreError::NotOurs { .. }
            ),
            "cut at {length}: {refused}"
        );
        assert!(
            refused.to_string().contains("record"),
            "cut at {length}: {refused}"
        );
        assert_eq!(
            fs::read(records(folder.path())).unwrap(),
            whole[..length],
            "cut at {length}"
        );
    }
}

#[tokio::test]
async fn a_record_file_that_is_gone_or_empty_beside_its_films_is_not_taken_for_a_new_practice() {
    let practice = a_practice(true).await;
    for gone in [true, false] {
        let folder = copied(practice.path());
        if gone {
            fs::remove_file(records(folder.path())).unwrap();
        } else {
            fs::write(records(folder.path()), b"").unwrap();
        }
        let films = fs::read_dir(folder.path().join("files")).unwrap().count();
        let opened = SqlStore::open_folder(folder.path()).await;
        assert!(
            opened.is_err(),
            "gone {gone}: opened as a new practice beside {films} shelves of files"
        );
        assert_eq!(
            fs::read_dir(folder.path().join("files")).unwrap().count(),
            films
        );
    }
}

#[tokio::test]
async fn a_damaged_log_loses_only_whole_acts_from_its_end_and_tears_none() {
    let mut dice = dice();
    let practice = a_practice(false).await;
    let log = practice.path().join("records.sqlite3-wal");
    let whole = fs::read(&log).unwrap();
    assert!(whole.len() > 100 * PAGE, "the acts stand in the log");
    let (mut lost, mut tried) = (0, 0);
    for number in 0..30 {
        let folder = copied(practice.path());
        let _ = fs::remove_file(folder.path().join("records.sqlite3-shm"));
        let mut bytes = whole.clone();
        let at = dice.random_range(0..bytes.len());
        match number % 3 {
            0 => bytes.truncate(at),
            1 => bytes[at] ^= 1 << dice.random_range(0..8),
            _ => {
                let end = (at + dice.random_range(1..20_000)).min(bytes.len());
                dice.fill_bytes(&mut bytes[at..end]);
            }
        }
        fs::write(folder.path().join("records.sqlite3-wal"), bytes).unwrap();
        tried += 1;
        let Ok(store) = SqlStore::open_folder(folder.path()).await else {
            continue;
        };
        let there = store.journal(0, u32::MAX).await.unwrap().len() as u64;
        lost += ACTS + 1 - there;
        if there == 0 {
            assert_eq!(store.clinicians().await.unwrap(), []);
            continue;
        }
        // The last one that is there may be the one 'under way'.
        let faults = acts::faults(&store, 1, there - 1).await.unwrap();
        assert_eq!(faults, Vec::<String>::new(), "damage {number}");
        for n in there..=ACTS {
            assert!(!acts::is_there(&store, Act { run: 1, n }).await.unwrap());
        }
    }
    println!("{tried} damaged logs: {lost} acts at their ends lost, 0 torn");
}

fn files_of(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for shelf in fs::read_dir(folder.join("files")).unwrap() {
        let shelf = fs::read_dir(shelf.unwrap().path()).unwrap();
        files.extend(shelf.map(|file| file.unwrap().path()));
    }
    files.sort();
    files
}

#[tokio::test]
async fn every_kind_of_damage_to_a_kept_file_is_named_by_verify_and_never_handed_out() {
    let mut dice = dice();
    let practice = a_practice(true).await;
    let files = files_of(practice.path());
    assert_eq!(
        files.len(),
        10,
        "films, papers, scans, sheets and solids; two patients share theirs"
    );
    let (mut tried, wholes): (u32, Vec<_>) =
        (0, files.iter().map(|f| fs::read(f).unwrap()).collect());
    for number in 0..40 {
        let hit = dice.random_range(0..files.len());
        let mut bytes = wholes[hit].clone();
        match number % 5 {
            0 => {
                let at = dice.random_range(0..bytes.len());
                bytes[at] ^= 1 << dice.random_range(0..8);
            }
            1 => bytes.truncate(dice.random_range(0..bytes.len())),
            2 => bytes.push(0),
            3 => bytes.clear(),
            _ => bytes.clone_from(&wholes[(hit + 1) % files.len()]),
        }
        fs::write(&files[hit], bytes).unwrap();
        let store = SqlStore::open_folder(practice.path()).await.unwrap();
        let faults = store.verify().await.unwrap();
        let name = files[hit].file_name().unwrap().to_str().unwrap();
        assert_eq!(faults.len(), 1, "damage {number}: {faults:?}");
        assert!(faults[0].contains(name), "damage {number}: {faults:?}");
        tried += 1;
        let mut refused = 0;
        for n in 1..=ACTS {
            match acts::is_there(&store, Act { run: 1, n }).await {
                Ok(there) => assert!(there, "damage {number}: act {n}"),
                Err(StoreError::Damaged { place, .. }) => {
                    assert!(place.contains(name));
                    refused += 1;
                }
                Err(other) => panic!("{other}"),
            }
        }
        assert!(
            refused == 1 || refused == 2,
            "damage {number}: whoever asks for the file is told, nobody else"
        );
        store.close().await;
        fs::write(&files[hit], &wholes[hit]).unwrap();
    }
    println!("{tried} damaged files, each named by verify and refused to whoever asks for it");
}

#[tokio::test]
async fn how_many_single_flipped_bits_of_the_record_file_are_told() {
    let mut dice = dice();
    let practice = a_practice(true).await;
    let whole = fs::read(records(practice.path())).unwrap();
    let before = rows(practice.path()).await.unwrap();
    let (mut told_of, mut harmless, mut silent) = (0, 0, 0);
    for _ in 0..120 {
        let folder = copied(practice.path());
        let mut bytes = whole.clone();
        let at = loop {
            // Most of a small file is empty: where something stands.
            let at = dice.random_range(0..bytes.len());
            if bytes[at] != 0 {
                break at;
            }
        };
        bytes[at] ^= 1 << dice.random_range(0..8);
        fs::write(records(folder.path()), bytes).unwrap();
        if !told(folder.path()).await.is_empty() {
            told_of += 1;
        } else if rows(folder.path()).await.is_ok_and(|after| after == before) {
            harmless += 1;
        } else {
            silent += 1;
        }
    }
    println!(
        "120 flipped bits: {told_of} told, {harmless} where nothing lay, {silent} read as good"
    );
    // An unsealed record file has no checks of its own over what stands in a cell; a sealed one has.
    assert!(told_of > 0 && told_of + harmless + silent == 120);
}

#[tokio::test]
async fn a_clock_that_jumps_back_between_acts_changes_no_order_and_breaks_no_seal() {
    use record::{ActId, Clinician, ClinicianId, ExamineOf, Kept, Stamp};
    use time::macros::datetime;
    let folder = tempfile::tempdir().unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    for n in 0..=acts::STEPS {
        acts::perform(&store, Act { run: 1, n }).await.unwrap();
    }
    let by = ClinicianId::new(uuid::Uuid::from_u64_pair(1, 1 << 48));
    let visit = store
        .journal(0, u32::MAX)
        .await
        .unwrap()
        .iter()
        .find_map(|act| match act.on {
            record::Subject::Visit(id) => Some(id),
            _ => None,
        });
    let (visit, of) = (visit.unwrap(), ExamineOf::Foot(terms::Side::Right));
    let clock = [
        datetime!(2026-11-24 09:00 UTC),
        datetime!(2026-11-24 08:59:59 UTC),
        datetime!(2024-02-29 23:59:59 UTC),
        datetime!(1970-01-01 00:00 UTC),
        datetime!(2031-01-01 00:00 UTC),
        datetime!(2026-11-24 09:00 UTC),
    ];
    for (n, at) in clock.into_iter().enumerate() {
        let act = ActId::new(uuid::Uuid::from_u128(n as u128 + 1));
        let exam = Kept::of("examination", 1, &n).unwrap();
        let kept = store
            .save_exam(Stamp { act, at, by }, visit, of, exam, n as u32)
            .await
            .unwrap();
        assert_eq!((kept.revision, kept.saved_at), (n as u32 + 1, at));
    }
    let check = async |store: &SqlStore| {
        let revisions = store.exam_revisions(visit, of).await.unwrap();
        assert_eq!(
            revisions.iter().map(|e| e.saved_at).collect::<Vec<_>>(),
            clock
        );
        let now = store.exam(visit, of).await.unwrap().unwrap();
        assert_eq!(now.exam, Kept::of("examination", 1, &5).unwrap());
        let journal = store.journal(0, u32::MAX).await.unwrap();
        let times: Vec<_> = journal.iter().map(|act| act.at).collect();
        assert_eq!(
            times[times.len() - clock.len()..],
            clock,
            "the journal keeps the order of the acts"
        );
        assert!(
            journal
                .windows(2)
                .all(|two| two[0].number + 1 == two[1].number)
        );
        assert_eq!(store.verify().await.unwrap(), Vec::<String>::new());
    };
    check(&store).await;
    // A letter drafted after the moment it is signed at.
    for n in acts::STEPS + 1..=acts::STEPS + 12 {
        acts::perform(&store, Act { run: 1, n }).await.unwrap();
    }
    let letter = store.letters_waiting().await.unwrap()[0].letter.id;
    let letter = store.letter(letter).await.unwrap();
    let stamp = Stamp {
        act: ActId::new(uuid::Uuid::from_u128(99)),
        at: datetime!(2001-01-01 00:00 UTC),
        by,
    };
    let (id, revision) = (letter.id, letter.revision);
    let signed = store
        .sign_letter(stamp, letter, revision, b"%PDF-1.7 invented".to_vec())
        .await
        .unwrap();
    assert_eq!(signed.seal_holds(), Some(true));
    store.close().await;
    drop(store);
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    assert_eq!(store.letter(id).await.unwrap(), signed);
    assert_eq!(store.verify().await.unwrap(), Vec::<String>::new());
    let clinician: Clinician = store.clinician(by).await.unwrap();
    assert!(clinician.active);
}

#[cfg(unix)]
#[test]
fn of_many_processes_that_start_at_once_one_has_the_folder_and_the_others_are_told() {
    use std::io::{BufRead, BufReader, Write};
    use std::process::{Command, Stdio};
    let mut held = 0;
    for _ in 0..12 {
        let folder = tempfile::tempdir().unwrap();
        let mut all: Vec<_> = (0..4)
            .map(|_| {
                Command::new(env!("CARGO_BIN_EXE_store-actor"))
                    .arg("hold")
                    .arg(folder.path())
                    .stdin(Stdio::piped())
                    .stdout(Stdio::piped())
                    .spawn()
                    .unwrap()
            })
            .collect();
        let said: Vec<String> = all
            .iter_mut()
            .map(|one| {
                let mut line = String::new();
                BufReader::new(one.stdout.as_mut().unwrap())
                    .read_line(&mut line)
                    .unwrap();
                line
            })
            .collect();
        let open = said.iter().filter(|line| *line == "open\n").count();
        assert_eq!(open, 1, "{said:?}");
        assert_eq!(
            said.iter().filter(|line| *line == "refused\n").count(),
            3,
            "{said:?}"
        );
        held += open;
        for mut one in all {
            let _ = one.stdin.take().unwrap().write_all(b"\n");
            assert!(one.wait().unwrap().success());
        }
    }
    println!("12 times four processes at once: {held} opened, each the only one");
}
