//! Does everything of one patient go, nothing of anybody else, and can it be proved afterwards that it went?

mod servers;

#[path = "actor/acts.rs"]
#[allow(dead_code, reason = "shared with the tests on a folder")]
mod acts;

use record::{ClinicianId, Erasure, Noted, Patient, PatientId, ToNote};
use servers::servers;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use store::{Access, Store, StoreError, chart};
use store_sql::SqlStore;
use store_sql::copy::dump;
use time::OffsetDateTime;
use time::macros::datetime;

/// The bytes of the first two are the same.
const PATIENTS: u64 = 3;
const AT: OffsetDateTime = datetime!(2026-11-27 10:00 UTC);
const NONE: Vec<String> = Vec::new();

fn noted(patient: PatientId) -> ToNote {
    ToNote {
        at: AT,
        account: None,
        person: None,
        kind: Noted::Erased,
        patient: Some(patient),
        detail: "asked for by the person".into(),
    }
}

fn erasure(patient: PatientId, by: ClinicianId, reason: &str) -> Erasure {
    Erasure {
        patient,
        by,
        at: AT,
        reason: reason.into(),
    }
}

async fn filled(store: &SqlStore) -> Vec<Patient> {
    for n in 0..=acts::STEPS * PATIENTS {
        acts::perform(store, acts::Act { run: 1, n }).await.unwrap();
    }
    store.find_patients(String::new(), 10).await.unwrap()
}

async fn dumped(store: &SqlStore) -> Vec<u8> {
    let mut copy = Vec::new();
    dump(store, &mut copy).await.unwrap();
    copy
}

fn holds(bytes: &[u8], words: &str) -> bool {
    bytes.windows(words.len()).any(|w| w == words.as_bytes())
}

async fn one_goes_and_the_others_stay(store: &SqlStore) -> Patient {
    let patients = filled(store).await;
    let by = store.clinicians().await.unwrap()[0].id;
    let mut before = Vec::new();
    for patient in &patients {
        before.push(chart(store, patient.id).await.unwrap());
    }
    let gone = patients[0].clone();
    let files: Vec<_> = before[0].files().iter().map(|f| f.content).collect();
    assert!(files.len() >= 4);
    assert!(holds(&dumped(store).await, &gone.family_name));
    let acts = store.journal(0, u32::MAX).await.unwrap();

    let said = "they asked for it in writing";
    let refused = store
        .erase(noted(gone.id), erasure(gone.id, by, "no"))
        .await
        .unwrap_err();
    assert!(matches!(refused, StoreError::Refused(_)), "{refused}");
    let tombstone = store
        .erase(noted(gone.id), erasure(gone.id, by, said))
        .await
        .unwrap();
    assert!(tombstone.rows > 15, "{tombstone:?}");
    assert_eq!(
        store.tombstones().await.unwrap(),
        std::slice::from_ref(&tombstone)
    );

    let again = store
        .erase(noted(gone.id), erasure(gone.id, by, said))
        .await;
    assert!(matches!(again, Err(StoreError::Missing { .. })));
    assert!(matches!(
        store.patient(gone.id).await,
        Err(StoreError::Missing { .. })
    ));
    let all = dumped(store).await;
    assert!(!holds(&all, &gone.family_name), "the name is still there");
    for visit in &before[0].visits {
        // The journal names what was acted on, and it is all that does.
        assert!(!before[1].visits.iter().any(|v| v.id == visit.id));
        assert!(store.visit(visit.id).await.is_err());
    }
    for before in &before[1..] {
        let now = chart(store, before.patient.id).await.unwrap();
        assert_eq!(now, *before, "nobody else is touched");
        for file in now.files() {
            store::file_bytes(store, &now, file.content)
                .await
                .unwrap()
                .expect("each file of the others is there");
        }
    }
    assert_eq!(store.journal(0, u32::MAX).await.unwrap(), acts);
    assert_eq!(store.verify().await.unwrap(), NONE);
    assert_eq!(store.unnamed_files().await.unwrap(), NONE);
    let last = store.trail_end().await.unwrap().unwrap();
    assert_eq!((last.kind, last.patient), (Noted::Erased, Some(gone.id)));
    // Nobody brings the id back.
    let back = store.patient(gone.id).await;
    assert!(back.is_err());
    gone
}

fn all_files(folder: &Path) -> Vec<PathBuf> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => all.extend(all_files(&path)),
            false => all.push(path),
        }
    }
    all
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn in_a_folder_nothing_of_them_is_left_on_the_disk_either() {
    let folder = tempfile::tempdir().unwrap();
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    // What an update would have put aside.
    let aside = folder.path().join("before-update");
    fs::create_dir(&aside).unwrap();
    fs::write(aside.join("records-of-layout-1.sqlite3"), "older state").unwrap();
    let gone = one_goes_and_the_others_stay(&store).await;
    assert!(!aside.exists());
    for file in all_files(folder.path()) {
        let bytes = fs::read(&file).unwrap();
        assert!(!holds(&bytes, &gone.family_name), "{}", file.display());
    }
    // The practice goes on, also after a start.
    store.close().await;
    drop(store);
    let store = SqlStore::open_folder(folder.path()).await.unwrap();
    assert_eq!(store.notes(), NONE);
    let first = acts::STEPS * PATIENTS + 1;
    for n in first..=first + acts::STEPS {
        acts::perform(&store, acts::Act { run: 1, n })
            .await
            .unwrap();
    }
    assert_eq!(store.verify().await.unwrap(), NONE);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn on_a_server_one_goes_and_the_others_stay() {
    let Some(servers) = servers("erasing on PostgreSQL and S3") else {
        return;
    };
    let fresh = servers.fresh().await;
    let store = fresh.store().await;
    servers::say(
        &fresh.address,
        "CREATE SCHEMA before_layout_2; CREATE TABLE before_layout_2.patient AS TABLE patient",
    )
    .await
    .unwrap();
    one_goes_and_the_others_stay(&store).await;
    let gone = servers::say(&fresh.address, "SELECT * FROM before_layout_2.patient").await;
    assert!(gone.is_err(), "the older state is gone");
}

/// A practice with everything that any promise of the store is about.
async fn everybody_goes(store: Arc<SqlStore>) {
    store::conformance::every_promise(store.clone(), 12).await;
    let by = store.clinicians().await.unwrap()[0].id;
    let patients = store.find_patients(String::new(), u32::MAX).await.unwrap();
    assert!(patients.len() > 20, "{}", patients.len());
    // Where several may write, a file whose record was refused stays.
    let unnamed = store.unnamed_files().await.unwrap();
    let before = store.tombstones().await.unwrap().len();
    let mut rows = 0;
    for patient in &patients {
        let said = erasure(patient.id, by, "the practice is given up");
        rows += store.erase(noted(patient.id), said).await.unwrap().rows;
    }
    assert!(rows > 400, "{rows}");
    let stones = store.tombstones().await.unwrap().len();
    assert_eq!(stones, before + patients.len());
    let left = store.find_patients(String::new(), u32::MAX).await.unwrap();
    assert!(left.is_empty());
    assert_eq!(store.verify().await.unwrap(), NONE);
    assert_eq!(store.unnamed_files().await.unwrap(), unnamed);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn everybody_of_a_full_practice_can_be_erased() {
    let folder = tempfile::tempdir().unwrap();
    everybody_goes(Arc::new(
        SqlStore::open_folder(folder.path()).await.unwrap(),
    ))
    .await;
    if let Some(servers) = servers("erasing everybody, on PostgreSQL and S3") {
        everybody_goes(Arc::new(servers.fresh().await.store().await)).await;
    }
}
