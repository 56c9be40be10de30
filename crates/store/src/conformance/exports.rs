//! Promises about the files of exports.

use super::desk::Desk;
use crate::StoreError;
use crate::exports::{ExportFile, KIND};
use crate::jobs::{Job, JobId, JobState, Lease, NewJob};
use record::{ContentHash, Erasure, Noted, ToNote};
use serde_json::json;
use time::Duration;

const LEASE: Duration = Duration::minutes(5);

fn file(name: &str, bytes: &[u8]) -> ExportFile {
    ExportFile {
        name: name.to_owned(),
        holds: "Line".into(),
        lines: 2,
        bytes: bytes.len() as u64,
        content: ContentHash::of(bytes),
    }
}

/// An export in hand. The store has no other that is open.
async fn in_hand(desk: &Desk) -> (Job, Lease) {
    let at = desk.stamp().at;
    let job = NewJob {
        id: JobId(desk.uuid()),
        kind: KIND.into(),
        key: desk.uuid().to_string(),
        payload: json!({}),
        at,
        due_at: at,
        most_tries: 3,
    };
    let id = desk.store.enqueue(job).await.unwrap().id;
    let kinds = vec![KIND.to_owned()];
    let taken = desk
        .store
        .take_job(kinds, desk.uuid(), at, at + LEASE)
        .await;
    let job = taken.unwrap().expect("an export is due");
    assert_eq!(job.id, id);
    let lease = job.lease().expect("it is in hand");
    (job, lease)
}

pub async fn an_export_keeps_its_files_in_order_and_begins_anew_with_a_second_try(desk: Desk) {
    let store = &desk.store;
    let (job, lease) = in_hand(&desk).await;
    store.begin_export(lease).await.unwrap();
    let (first, second) = (desk.uuid().to_string(), desk.uuid().to_string());
    let files = [
        file("b/one", first.as_bytes()),
        file("a", second.as_bytes()),
    ];
    for (file, bytes) in files.iter().zip([&first, &second]) {
        store
            .keep_export_file(lease, file.clone(), bytes.clone().into_bytes())
            .await
            .unwrap();
    }
    let again = store
        .keep_export_file(lease, file("a", b"other"), b"other".into())
        .await;
    assert!(matches!(again, Err(StoreError::Taken { .. })), "{again:?}");
    for (bad, bytes) in [
        (file("", b"x"), "x"),
        (file("c", b"x"), "y"),
        (file(&"n".repeat(201), b"x"), "x"),
    ] {
        let refused = store.keep_export_file(lease, bad, bytes.into()).await;
        assert!(
            matches!(refused, Err(StoreError::Refused(_))),
            "{refused:?}"
        );
    }
    assert_eq!(store.export_files(job.id).await.unwrap(), files);
    assert_eq!(
        store.export_bytes(job.id, "a".into()).await.unwrap(),
        second.as_bytes()
    );
    assert!(matches!(
        store.export_bytes(job.id, "b".into()).await,
        Err(StoreError::Missing { .. })
    ));
    store.begin_export(lease).await.unwrap();
    assert_eq!(store.export_files(job.id).await.unwrap(), []);
    store.job_done(lease, desk.stamp().at).await.unwrap();
    for late in [
        store.begin_export(lease).await,
        store
            .keep_export_file(lease, files[0].clone(), first.into_bytes())
            .await,
    ] {
        assert!(matches!(late, Err(StoreError::LeaseOver)), "{late:?}");
    }
    assert_eq!(store.export_files(job.id).await.unwrap(), []);
}

pub async fn the_files_of_an_export_go_and_those_that_a_record_names_stay(desk: Desk) {
    let store = &desk.store;
    let film = desk.film().await;
    let film_bytes = store.film_bytes(film.id).await.unwrap();
    let (early, lease) = in_hand(&desk).await;
    // The same bytes as a film's.
    store
        .keep_export_file(lease, file("film", &film_bytes), film_bytes.clone())
        .await
        .unwrap();
    store.job_done(lease, desk.stamp().at).await.unwrap();
    let between = desk.stamp().at;
    let (late, lease) = in_hand(&desk).await;
    let bytes = desk.uuid().to_string();
    store
        .keep_export_file(lease, file("late", bytes.as_bytes()), bytes.clone().into())
        .await
        .unwrap();
    assert!(store.forget_exports_before(between).await.unwrap() >= 1);
    assert_eq!(store.export_files(early.id).await.unwrap(), []);
    assert_eq!(store.export_files(late.id).await.unwrap().len(), 1);
    assert_eq!(store.film_bytes(film.id).await.unwrap(), film_bytes);
    store.forget_export(late.id).await.unwrap();
    assert_eq!(store.export_files(late.id).await.unwrap(), []);
    assert_eq!(store.verify().await.unwrap(), Vec::<String>::new());
    store.job_done(lease, desk.stamp().at).await.unwrap();
}

pub async fn exports_are_withdrawn_and_those_in_hand_come_to_nothing(desk: Desk) {
    let store = &desk.store;
    let (job, lease) = in_hand(&desk).await;
    let bytes = desk.uuid().to_string();
    let named = file("one", bytes.as_bytes());
    store
        .keep_export_file(lease, named.clone(), bytes.clone().into())
        .await
        .unwrap();
    let now = desk.stamp().at;
    store
        .withdraw_exports("a record was closed".into(), now)
        .await
        .unwrap();
    assert_eq!(store.export_files(job.id).await.unwrap(), []);
    let late = store.keep_export_file(lease, named, bytes.into()).await;
    assert!(matches!(late, Err(StoreError::LeaseOver)), "{late:?}");
    let job = store.job(job.id).await.unwrap();
    assert!(matches!(job.state, JobState::GivenUp { .. }), "{job:?}");
    assert_eq!(job.why.as_deref(), Some("a record was closed"));
}

pub async fn nothing_of_the_erased_stays_in_an_export(desk: Desk) {
    let store = &desk.store;
    let patient = desk.film().await.patient;
    let (job, lease) = in_hand(&desk).await;
    let bytes = desk.uuid().to_string();
    store
        .keep_export_file(lease, file("one", bytes.as_bytes()), bytes.into())
        .await
        .unwrap();
    desk.with_clinician().await;
    let stamp = desk.stamp();
    let note = ToNote {
        at: stamp.at,
        account: None,
        person: Some(stamp.by),
        kind: Noted::Erased,
        patient: Some(patient),
        detail: String::new(),
    };
    let erasure = Erasure {
        patient,
        by: stamp.by,
        at: stamp.at,
        reason: "they asked for it".into(),
    };
    store.erase(note, erasure).await.unwrap();
    assert_eq!(store.export_files(job.id).await.unwrap(), []);
    let over = store.job_done(lease, desk.stamp().at).await;
    assert!(matches!(over, Err(StoreError::LeaseOver)), "{over:?}");
}
