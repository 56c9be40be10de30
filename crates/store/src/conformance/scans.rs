//! Promises about foot scans.

use super::desk::{Desk, is_missing, is_refused, is_taken};
use record::ScanRecord;
use terms::{Load, Side};

pub async fn a_scan_comes_back_with_every_byte_and_every_field(desk: Desk) {
    let visit = desk.visit().await;
    // Longer than one page, with every byte value in it.
    let bytes: Vec<u8> = (0..300_000_u32).map(|i| (i * 11 % 256) as u8).collect();
    let full = desk.some_scan(&visit, &bytes);
    let bare = ScanRecord {
        side: None,
        load: None,
        unit: None,
        taken_on: None,
        note: String::new(),
        ..desk.some_scan(&visit, &bytes)
    };
    for scan in [&full, &bare] {
        desk.store
            .import_scan(desk.stamp(), scan.clone(), bytes.clone())
            .await
            .unwrap();
        assert_eq!(desk.store.scan(scan.id).await.unwrap(), *scan);
        assert_eq!(desk.store.scan_bytes(scan.id).await.unwrap(), bytes);
    }
    let later = desk.visit_of(visit.patient, desk.day(3)).await;
    let third = desk.scan_of(&later).await;
    let both = [full.clone(), bare.clone()];
    assert_eq!(desk.store.scans_of_visit(visit.id).await.unwrap(), both);
    assert_eq!(
        desk.store.scans_of(visit.patient).await.unwrap(),
        [full.clone(), bare, third]
    );
    assert!(is_taken(
        desk.store.import_scan(desk.stamp(), full, bytes).await
    ));
}

pub async fn a_scan_whose_bytes_do_not_match_or_whose_patient_is_another_is_not_kept(desk: Desk) {
    let visit = desk.visit().await;
    let scan = desk.some_scan(&visit, b"one scan");
    let other = b"another scan".to_vec();
    assert!(is_refused(
        desk.store
            .import_scan(desk.stamp(), scan.clone(), other)
            .await
    ));
    let stranger = desk.patient().await;
    let strange = ScanRecord {
        patient: stranger.id,
        ..scan.clone()
    };
    let bytes = b"one scan".to_vec();
    assert!(is_refused(
        desk.store.import_scan(desk.stamp(), strange, bytes).await
    ));
    assert!(is_missing(desk.store.scan(scan.id).await));
}

pub async fn what_is_known_of_a_scan_changes_and_the_scan_itself_does_not(desk: Desk) {
    let visit = desk.visit().await;
    let scan = desk.scan_of(&visit).await;
    let bare = ScanRecord {
        side: None,
        load: None,
        unit: None,
        taken_on: None,
        note: String::new(),
        ..scan.clone()
    };
    let full = ScanRecord {
        side: Some(Side::Right),
        load: Some(Load::None),
        unit: Some("mm".into()),
        taken_on: Some(desk.day(1)),
        note: "in the bath".into(),
        ..scan.clone()
    };
    for changed in [&bare, &full] {
        desk.store
            .save_scan(desk.stamp(), changed.clone())
            .await
            .unwrap();
        assert_eq!(desk.store.scan(scan.id).await.unwrap(), *changed);
    }
    let elsewhere = desk.visit_of(visit.patient, desk.day(1)).await;
    let other_visit = ScanRecord {
        visit: elsewhere.id,
        ..full.clone()
    };
    let other_name = ScanRecord {
        file_name: "b".into(),
        ..full.clone()
    };
    let other_kind = ScanRecord {
        media_type: "model/obj".into(),
        ..full.clone()
    };
    let other_bytes = ScanRecord {
        content: record::ContentHash::of(b"other"),
        ..full.clone()
    };
    for bad in [other_visit, other_name, other_kind, other_bytes] {
        assert!(is_refused(desk.store.save_scan(desk.stamp(), bad).await));
    }
    assert_eq!(desk.store.scan(scan.id).await.unwrap(), full);
}

pub async fn the_file_of_a_film_stays_when_the_same_file_is_refused_as_a_scan(desk: Desk) {
    let visit = desk.visit().await;
    let bytes = desk.uuid().as_bytes().to_vec();
    let film = desk.some_film(&visit, &bytes);
    desk.store
        .import_film(desk.stamp(), film.clone(), bytes.clone())
        .await
        .unwrap();
    let strange = ScanRecord {
        patient: desk.patient().await.id,
        ..desk.some_scan(&visit, &bytes)
    };
    let refused = desk.store.import_scan(desk.stamp(), strange, bytes.clone());
    assert!(is_refused(refused.await));
    assert_eq!(desk.store.film_bytes(film.id).await.unwrap(), bytes);
}
