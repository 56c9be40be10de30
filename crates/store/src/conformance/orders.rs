//! Promises about orders of devices.

use super::desk::{
    Desk, PAPER, SOLIDS, is_frozen, is_missing, is_refused, is_stale, is_taken, kept, together,
};
use crate::StoreError;
use record::{
    ActKind, ContentHash, OrderId, OrderRecord, OrderSource, ScanRecord, Sent, Subject, Visit,
    VisitId,
};
use serde_json::json;
use terms::Side;

async fn save(
    desk: &Desk,
    order: &OrderRecord,
    thickness_mm: u32,
    seen: u32,
) -> Result<OrderRecord, StoreError> {
    let order = OrderRecord {
        prescription: kept("prescription", json!({"thickness_mm": thickness_mm})),
        ..order.clone()
    };
    desk.store.save_order(desk.stamp(), order, seen).await
}

async fn undo(desk: &Desk, order: &OrderRecord, seen: u32) -> Result<OrderRecord, StoreError> {
    desk.store.undo_order(desk.stamp(), order.id, seen).await
}

async fn send(desk: &Desk, order: &OrderRecord, seen: u32) -> Result<OrderRecord, StoreError> {
    desk.store
        .send_order(desk.stamp(), order.id, seen, PAPER.into(), SOLIDS.into())
        .await
}

fn thickness(order: &OrderRecord) -> u64 {
    order.prescription.body["thickness_mm"].as_u64().unwrap()
}

fn nothing_to_undo<T>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::NothingToUndo { .. }))
}

fn not_sent<T>(answer: Result<T, StoreError>) -> bool {
    matches!(answer, Err(StoreError::NotSent))
}

pub async fn an_order_has_revisions_and_the_last_one_stands(desk: Desk) {
    let visit = desk.visit().await;
    let scan = desk.scan_of(&visit).await.id;
    let asked = desk.some_order(&visit, OrderSource::Scan { scan });
    let stamp = desk.stamp();
    let first = desk
        .store
        .save_order(stamp, asked.clone(), 0)
        .await
        .unwrap();
    let expected = OrderRecord {
        revision: 1,
        content_of: 1,
        saved_at: stamp.at,
        ..asked
    };
    assert_eq!(first, expected);
    assert_eq!(desk.store.order(first.id).await.unwrap(), first);

    // From the scan to measurements, and no point moved any more.
    let measures = kept("foot-measures", json!({"length_mm": 0.1 + 0.2}));
    let changed = OrderRecord {
        source: OrderSource::Measured { measures },
        points: None,
        ..first.clone()
    };
    let second = desk
        .store
        .save_order(desk.stamp(), changed.clone(), 1)
        .await
        .unwrap();
    assert_eq!((second.revision, second.content_of), (2, 2));
    assert_eq!((&second.source, &second.points), (&changed.source, &None));
    assert_eq!(desk.store.order(first.id).await.unwrap(), second);
    assert_eq!(
        desk.store.order_revisions(first.id).await.unwrap(),
        [first, second.clone()]
    );
    let later = desk.visit_of(visit.patient, desk.day(4)).await;
    let other = desk.order(&later).await;
    let third = save(&desk, &second, 5, 2).await.unwrap();
    let of_visit = desk.store.orders_of_visit(visit.id).await.unwrap();
    assert_eq!(of_visit, std::slice::from_ref(&third));
    assert_eq!(
        desk.store.orders_of(visit.patient).await.unwrap(),
        [third, other],
        "in the order they were begun, each as it stands"
    );
}

pub async fn undo_walks_an_order_back_to_its_first_save_and_tells_before_what_it_brings(
    desk: Desk,
) {
    let visit = desk.visit().await;
    let order = desk.order(&visit).await;
    let before = async || desk.store.order_before(order.id).await.unwrap();
    assert_eq!(before().await, None, "the first save is not taken back");
    assert!(nothing_to_undo(undo(&desk, &order, 1).await));
    save(&desk, &order, 20, 1).await.unwrap();
    save(&desk, &order, 30, 2).await.unwrap();
    assert_eq!(before().await.as_ref().map(thickness), Some(20));
    let back = undo(&desk, &order, 3).await.unwrap();
    assert_eq!(
        (thickness(&back), back.revision, back.content_of),
        (20, 4, 2)
    );
    let told = before().await.unwrap();
    let back = undo(&desk, &order, 4).await.unwrap();
    assert_eq!((back.revision, back.content_of), (5, 1));
    assert_eq!(
        (&told.prescription, &told.source, told.content_of),
        (&back.prescription, &back.source, back.content_of)
    );
    assert_eq!(back.prescription, order.prescription);
    assert_eq!(desk.store.order(order.id).await.unwrap(), back);
    assert_eq!(before().await, None);
    assert!(nothing_to_undo(undo(&desk, &order, 5).await));
    // A save after an undo is taken back to what the undo showed.
    save(&desk, &order, 40, 5).await.unwrap();
    let back = undo(&desk, &order, 6).await.unwrap();
    assert_eq!(
        (&back.prescription, back.revision),
        (&order.prescription, 7)
    );
    let all = desk.store.order_revisions(order.id).await.unwrap();
    let origins: Vec<_> = all.iter().map(|o| (o.revision, o.content_of)).collect();
    assert_eq!(
        origins,
        [(1, 1), (2, 2), (3, 3), (4, 2), (5, 1), (6, 6), (7, 1)]
    );
    let acts = desk.store.journal_of(Subject::Order(order.id)).await;
    let undone = |kind| kind == ActKind::OrderUndone;
    let kinds: Vec<_> = acts.unwrap().iter().map(|a| undone(a.kind)).collect();
    assert_eq!(kinds, [false, false, false, true, true, false, true]);
}

pub async fn patient_visit_side_and_code_of_an_order_stay(desk: Desk) {
    let visit = desk.visit().await;
    let order = desk.order(&visit).await;
    let elsewhere = desk.visit_of(visit.patient, desk.day(1)).await;
    let stranger = desk.visit().await;
    let visit_moved = OrderRecord {
        visit: elsewhere.id,
        ..order.clone()
    };
    let patient_moved = OrderRecord {
        visit: stranger.id,
        patient: stranger.patient,
        ..order.clone()
    };
    let other_side = OrderRecord {
        side: Side::Right,
        ..order.clone()
    };
    let other_code = OrderRecord {
        code: "OTHER-1".into(),
        ..order.clone()
    };
    for bad in [visit_moved, patient_moved, other_side, other_code] {
        assert!(is_refused(
            desk.store.save_order(desk.stamp(), bad, 1).await
        ));
    }
    assert_eq!(desk.store.order(order.id).await.unwrap(), order);
    // A new one whose patient is not the visit's.
    let strange = OrderRecord {
        patient: stranger.patient,
        ..desk.some_order(&visit, order.source)
    };
    assert!(is_refused(
        desk.store
            .save_order(desk.stamp(), strange.clone(), 0)
            .await
    ));
    assert!(is_missing(desk.store.order(strange.id).await));
}

pub async fn a_code_belongs_to_one_order(desk: Desk) {
    let visit = desk.visit().await;
    let first = desk.order(&visit).await;
    let second = OrderRecord {
        code: first.code.clone(),
        ..desk.some_order(&desk.visit().await, first.source.clone())
    };
    assert!(is_taken(
        desk.store.save_order(desk.stamp(), second.clone(), 0).await
    ));
    assert!(is_missing(desk.store.order(second.id).await));
    send(&desk, &first, 1).await.unwrap();
    assert!(
        is_taken(desk.store.save_order(desk.stamp(), second.clone(), 0).await),
        "a sent order keeps its code"
    );
    let unreadable = OrderRecord {
        code: "small".into(),
        ..second
    };
    assert!(is_refused(
        desk.store.save_order(desk.stamp(), unreadable, 0).await
    ));
}

pub async fn an_order_is_shaped_on_a_scan_of_its_own_patient(desk: Desk) {
    let visit = desk.visit().await;
    let earlier = desk.visit_of(visit.patient, desk.day(-1)).await;
    let on = |scan| OrderSource::Scan { scan };
    let own = on(desk.scan_of(&earlier).await.id);
    let strange = on(desk.scan_of(&desk.visit().await).await.id);
    let wrong = desk.some_order(&visit, strange.clone());
    assert!(is_refused(
        desk.store.save_order(desk.stamp(), wrong.clone(), 0).await
    ));
    assert!(is_missing(desk.store.order(wrong.id).await));
    let order = desk.some_order(&visit, own);
    let order = desk.store.save_order(desk.stamp(), order, 0).await.unwrap();
    let changed = OrderRecord {
        source: strange,
        ..order.clone()
    };
    assert!(is_refused(
        desk.store.save_order(desk.stamp(), changed, 1).await
    ));
    assert_eq!(desk.store.order(order.id).await.unwrap(), order);
}

pub async fn an_order_and_its_scan_are_of_one_foot(desk: Desk) {
    let visit = desk.visit().await;
    let scan = desk.scan_of(&visit).await;
    let on = OrderSource::Scan { scan: scan.id };
    let other_foot = OrderRecord {
        side: Side::Right,
        ..desk.some_order(&visit, on.clone())
    };
    assert!(is_refused(
        desk.store.save_order(desk.stamp(), other_foot, 0).await
    ));
    let order = desk.some_order(&visit, on);
    desk.store.save_order(desk.stamp(), order, 0).await.unwrap();
    let turned = ScanRecord {
        side: Some(Side::Right),
        ..scan.clone()
    };
    assert!(is_refused(
        desk.store.save_scan(desk.stamp(), turned.clone()).await
    ));
    let unsaid = ScanRecord {
        side: None,
        ..scan.clone()
    };
    desk.store.save_scan(desk.stamp(), unsaid).await.unwrap();
    assert!(is_refused(desk.store.save_scan(desk.stamp(), turned).await));
}

pub async fn a_scan_under_a_sent_order_keeps_its_side_load_and_unit(desk: Desk) {
    let visit = desk.visit().await;
    let scan = desk.scan_of(&visit).await;
    let order = desk.some_order(&visit, OrderSource::Scan { scan: scan.id });
    let order = desk.store.save_order(desk.stamp(), order, 0).await.unwrap();
    let drafted = ScanRecord {
        load: Some(terms::Load::Full),
        ..scan.clone()
    };
    let save = async |scan: &ScanRecord| desk.store.save_scan(desk.stamp(), scan.clone()).await;
    save(&drafted).await.unwrap();
    desk.store
        .send_order(desk.stamp(), order.id, 1, PAPER.into(), SOLIDS.into())
        .await
        .unwrap();
    let unsaid_side = ScanRecord {
        side: None,
        ..drafted.clone()
    };
    let other_unit = ScanRecord {
        unit: Some("mm".into()),
        ..drafted.clone()
    };
    for changed in [&scan, &unsaid_side, &other_unit] {
        assert!(is_frozen(save(changed).await));
    }
    let noted = ScanRecord {
        note: "seen again".into(),
        taken_on: None,
        ..drafted
    };
    save(&noted).await.unwrap();
    assert_eq!(desk.store.scan(scan.id).await.unwrap(), noted);
}

pub async fn two_pages_cannot_overwrite_each_others_order(desk: Desk) {
    let visit = desk.visit().await;
    let order = desk.order(&visit).await;
    let second = save(&desk, &order, 2, 1).await.unwrap();
    let stale = save(&desk, &order, 9, 1).await;
    assert!(matches!(
        stale,
        Err(StoreError::ChangedMeanwhile {
            seen: 1,
            found: 2,
            ..
        })
    ));
    assert!(is_stale(undo(&desk, &order, 1).await));
    assert!(is_stale(send(&desk, &order, 1).await));
    // The same id brought in once more as new, and a new one that claims to have been seen.
    assert!(is_stale(save(&desk, &order, 9, 0).await));
    let unseen = desk.some_order(&visit, order.source.clone());
    assert!(is_stale(save(&desk, &unseen, 9, 1).await));
    assert_eq!(desk.store.order(order.id).await.unwrap(), second);
}

pub async fn an_order_changes_until_it_is_sent_and_then_never(desk: Desk) {
    let visit = desk.visit().await;
    let first = desk.order(&visit).await;
    let draft = save(&desk, &first, 4, 1).await.unwrap();
    assert!(not_sent(desk.store.order_sheet(draft.id).await));
    assert!(not_sent(desk.store.order_solids(draft.id).await));
    let in_hand = async || {
        let all = desk.store.orders_in_hand().await.unwrap();
        all.iter().any(|(order, _)| order.id == draft.id)
    };
    assert!(in_hand().await);

    let stamp = desk.stamp();
    let sent = desk
        .store
        .send_order(stamp, draft.id, 2, PAPER.into(), SOLIDS.into())
        .await
        .unwrap();
    let expected = OrderRecord {
        sent: Some(Sent {
            at: stamp.at,
            sheet: ContentHash::of(PAPER),
            solids: ContentHash::of(SOLIDS),
        }),
        ..draft.clone()
    };
    assert_eq!(sent, expected, "sending makes no new revision");
    assert!(!in_hand().await);
    assert!(is_frozen(save(&desk, &draft, 5, 2).await));
    assert!(is_frozen(save(&desk, &sent, 5, 2).await));
    assert!(is_frozen(undo(&desk, &draft, 2).await));
    let again = desk.store.send_order(
        desk.stamp(),
        draft.id,
        2,
        b"%PDF-other".to_vec(),
        b"PK\x03\x04other".to_vec(),
    );
    assert!(is_frozen(again.await));
    assert_eq!(desk.store.order_before(draft.id).await.unwrap(), None);
    assert_eq!(desk.store.order(draft.id).await.unwrap(), sent);
    assert_eq!(
        desk.store.order_revisions(draft.id).await.unwrap(),
        [first, sent.clone()]
    );
    assert_eq!(desk.store.orders_of_visit(visit.id).await.unwrap(), [sent]);
    assert_eq!(desk.store.order_sheet(draft.id).await.unwrap(), PAPER);
    assert_eq!(desk.store.order_solids(draft.id).await.unwrap(), SOLIDS);
}

pub async fn an_order_is_sent_with_a_sheet_and_solids_or_not_at_all(desk: Desk) {
    let visit = desk.visit().await;
    let order = desk.order(&visit).await;
    for (sheet, solids) in [
        (b"hello".as_slice(), SOLIDS),
        (PAPER, b"hello"),
        (PAPER, b""),
    ] {
        let sending = desk
            .store
            .send_order(desk.stamp(), order.id, 1, sheet.into(), solids.into());
        assert!(is_refused(sending.await));
    }
    assert_eq!(desk.store.order(order.id).await.unwrap(), order);
    // What is sent is not brought in from outside.
    let forged = OrderRecord {
        sent: Some(Sent {
            at: order.saved_at,
            sheet: ContentHash::of(PAPER),
            solids: ContentHash::of(SOLIDS),
        }),
        ..desk.some_order(&visit, order.source.clone())
    };
    assert!(is_refused(
        desk.store.save_order(desk.stamp(), forged, 0).await
    ));
    // A refused sending takes back no file that another order has named.
    send(&desk, &order, 1).await.unwrap();
    let unknown = OrderRecord {
        id: OrderId::new(desk.uuid()),
        ..order.clone()
    };
    assert!(is_missing(send(&desk, &unknown, 1).await));
    assert_eq!(desk.store.order_sheet(order.id).await.unwrap(), PAPER);
    assert_eq!(desk.store.order_solids(order.id).await.unwrap(), SOLIDS);
}

pub async fn of_saving_and_sending_at_once_one_wins(desk: Desk) {
    let visit = desk.visit().await;
    for round in 0..6 {
        let order = desk.order(&visit).await;
        let saving = desk.store.save_order(desk.stamp(), order.clone(), 1);
        let (sheet, solids) = (PAPER.to_vec(), SOLIDS.to_vec());
        let sending = desk
            .store
            .send_order(desk.stamp(), order.id, 1, sheet, solids);
        let both = if round % 2 == 0 {
            vec![saving, sending]
        } else {
            vec![sending, saving]
        };
        let answers = together(both).await;
        let won: Vec<_> = answers.iter().filter_map(|a| a.as_ref().ok()).collect();
        assert_eq!(won.len(), 1, "{answers:?}");
        assert_eq!(desk.store.order(order.id).await.unwrap(), *won[0]);
    }
}

pub async fn orders_in_hand_come_oldest_first_with_their_patient(desk: Desk) {
    // Begun in another order than the days of their visits.
    let patient = desk.patient().await;
    let mut begun = Vec::new();
    for offset in [9, 2, 5] {
        let visit = desk.visit_of(patient.id, desk.day(offset)).await;
        begun.push(desk.order(&visit).await);
    }
    let [first, second, third] = <[OrderRecord; 3]>::try_from(begun).unwrap();
    let in_hand = async || {
        let all = desk.store.orders_in_hand().await.unwrap();
        let own = all
            .into_iter()
            .filter(|(order, _)| order.patient == patient.id);
        own.map(|(order, whose)| {
            assert_eq!(whose, patient);
            order
        })
        .collect::<Vec<_>>()
    };
    assert_eq!(
        in_hand().await,
        [first.clone(), second.clone(), third.clone()]
    );
    let changed = save(&desk, &first, 7, 1).await.unwrap();
    send(&desk, &second, 1).await.unwrap();
    assert_eq!(in_hand().await, [changed, third], "as they stand now");
    let nowhere = Visit {
        id: VisitId::new(desk.uuid()),
        ..desk.visit().await
    };
    assert!(is_missing(desk.store.orders_of_visit(nowhere.id).await));
}
