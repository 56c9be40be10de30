//! Promises about prints, pressures, photographs, clips and what was done to them.

use super::desk::{Desk, is_missing, is_refused, is_stale, is_taken, kept};
use crate::StoreError;
use record::{CaptureId, CaptureKind, CaptureRecord, ContentHash, Doing, StepsRecord};
use serde_json::json;
use terms::Side;

pub async fn a_capture_comes_back_with_every_byte_and_every_field(desk: Desk) {
    let visit = desk.visit().await;
    let bytes: Vec<u8> = (0..200_000_u32).map(|i| (i * 13 % 256) as u8).collect();
    let full = desk.some_capture(&visit, &bytes);
    let mut all = vec![full.clone()];
    for kind in CaptureKind::ALL {
        all.push(CaptureRecord {
            kind: *kind,
            doing: kind.doings().last().copied(),
            side: None,
            taken_on: None,
            note: String::new(),
            ..desk.some_capture(&visit, &bytes)
        });
    }
    for capture in &all {
        desk.store
            .import_capture(desk.stamp(), capture.clone(), bytes.clone())
            .await
            .unwrap();
        assert_eq!(desk.store.capture(capture.id).await.unwrap(), *capture);
    }
    assert_eq!(desk.store.capture_bytes(full.id).await.unwrap(), bytes);
    let later = desk.visit_of(visit.patient, desk.day(3)).await;
    let last = desk.capture_of(&later).await;
    assert_eq!(desk.store.captures_of_visit(visit.id).await.unwrap(), all);
    all.push(last);
    assert_eq!(desk.store.captures_of(visit.patient).await.unwrap(), all);
    assert!(is_taken(
        desk.store.import_capture(desk.stamp(), full, bytes).await
    ));
}

pub async fn a_capture_whose_bytes_do_not_match_or_whose_patient_is_another_is_not_kept(
    desk: Desk,
) {
    let visit = desk.visit().await;
    let capture = desk.some_capture(&visit, b"one print");
    let other = b"another print".to_vec();
    assert!(is_refused(
        desk.store
            .import_capture(desk.stamp(), capture.clone(), other)
            .await
    ));
    let strange = CaptureRecord {
        patient: desk.patient().await.id,
        ..capture.clone()
    };
    let bytes = b"one print".to_vec();
    assert!(is_refused(
        desk.store
            .import_capture(desk.stamp(), strange, bytes)
            .await
    ));
    assert!(is_missing(desk.store.capture(capture.id).await));
    let nowhere = CaptureId::new(desk.uuid());
    assert!(is_missing(desk.store.capture_bytes(nowhere).await));
    assert!(is_missing(desk.store.steps(nowhere).await));
    assert!(is_missing(desk.store.steps_before(nowhere).await));
}

pub async fn what_is_known_of_a_capture_changes_and_the_capture_itself_does_not(desk: Desk) {
    let visit = desk.visit().await;
    let capture = desk.capture_of(&visit).await;
    let known = CaptureRecord {
        doing: None,
        side: Some(Side::Right),
        taken_on: Some(desk.day(1)),
        note: "after a walk".into(),
        ..capture.clone()
    };
    desk.store
        .save_capture(desk.stamp(), known.clone())
        .await
        .unwrap();
    assert_eq!(desk.store.capture(capture.id).await.unwrap(), known);
    let change = |with: &dyn Fn(&mut CaptureRecord)| {
        let mut other = known.clone();
        with(&mut other);
        other
    };
    for bad in [
        change(&|c| c.kind = CaptureKind::HeelRise),
        change(&|c| c.content = ContentHash::of(b"other")),
        change(&|c| c.file_name = "b".into()),
        change(&|c| c.doing = Some(Doing::OneLeg)),
    ] {
        assert!(is_refused(desk.store.save_capture(desk.stamp(), bad).await));
    }
    assert_eq!(desk.store.capture(capture.id).await.unwrap(), known);
}

pub async fn steps_have_revisions_and_undo_walks_back_to_the_first_save(desk: Desk) {
    let store = &desk.store;
    let visit = desk.visit().await;
    let capture = desk.capture_of(&visit).await;
    let with = |toe_line: f64| StepsRecord {
        capture: capture.id,
        steps: kept("print-steps", json!({"toe_line_mm": toe_line})),
        readings: kept(
            "print-readings",
            json!({"readings": [{
                "measure": "arch_index",
                "estimate": {"value": toe_line / 1000.0, "standard_error": 0.01, "unit": "ratio"},
                "method_version": 1,
            }]}),
        ),
        revision: 0,
        content_of: 0,
        saved_at: desk.stamp().at,
    };
    assert_eq!(store.steps(capture.id).await.unwrap(), None);
    let first = store
        .save_steps(desk.stamp(), with(200.0), 0)
        .await
        .unwrap();
    assert_eq!((first.revision, first.content_of), (1, 1));
    assert_eq!(store.steps_before(capture.id).await.unwrap(), None);
    let second = store
        .save_steps(desk.stamp(), with(210.0), 1)
        .await
        .unwrap();
    assert_eq!(store.steps(capture.id).await.unwrap(), Some(second));
    assert!(is_stale(
        store.save_steps(desk.stamp(), with(220.0), 1).await
    ));
    assert!(is_stale(
        store.undo_steps(desk.stamp(), capture.id, 1).await
    ));
    let told = store.steps_before(capture.id).await.unwrap().unwrap();
    let back = store.undo_steps(desk.stamp(), capture.id, 2).await.unwrap();
    assert_eq!((back.revision, back.content_of), (3, 1));
    assert_eq!((&back.steps, &back.readings), (&told.steps, &told.readings));
    assert_eq!(back.steps, first.steps);
    assert!(matches!(
        store.undo_steps(desk.stamp(), capture.id, 3).await,
        Err(StoreError::NothingToUndo { .. })
    ));
    let mut bare = with(230.0);
    bare.readings.body["readings"][0]["method_version"] = json!(null);
    assert!(is_refused(store.save_steps(desk.stamp(), bare, 3).await));
    // Of two captures what stands now, and nothing of one without steps.
    let other = desk.capture_of(&visit).await;
    desk.capture_of(&visit).await;
    let theirs = StepsRecord {
        capture: other.id,
        ..with(190.0)
    };
    let theirs = store.save_steps(desk.stamp(), theirs, 0).await.unwrap();
    assert_eq!(store.steps_of(visit.patient).await.unwrap(), [back, theirs]);
}
