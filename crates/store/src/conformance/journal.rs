//! Promises about the journal.

use super::desk::{Desk, PAPER, SOLIDS, is_taken, kept};
use record::{ActKind, ScanRecord, Subject};
use serde_json::json;

async fn last_number(desk: &Desk) -> u64 {
    desk.store
        .journal(0, u32::MAX)
        .await
        .unwrap()
        .last()
        .map_or(0, |act| act.number)
}

pub async fn acts_stand_in_the_order_they_were_confirmed_without_a_gap(desk: Desk) {
    let before = last_number(&desk).await;
    let patient = desk.some_patient("Invented", "Person");
    let added = desk.stamp();
    desk.store
        .add_patient(added, patient.clone())
        .await
        .unwrap();
    let visit = desk.visit_of(patient.id, desk.day(0)).await;
    desk.store
        .save_patient(desk.stamp(), patient.clone())
        .await
        .unwrap();

    let acts = desk.store.journal(before, 100).await.unwrap();
    let told: Vec<_> = acts
        .iter()
        .map(|act| (act.number - before, act.kind, act.on))
        .collect();
    let person = Subject::Patient(patient.id);
    assert_eq!(
        told,
        [
            (1, ActKind::PatientAdded, person),
            (2, ActKind::VisitOpened, Subject::Visit(visit.id)),
            (3, ActKind::PatientSaved, person),
        ]
    );
    assert_eq!(
        (acts[0].id, acts[0].at, acts[0].by),
        (added.act, added.at, added.by)
    );
    assert_eq!(desk.store.journal(before + 1, 1).await.unwrap(), acts[1..2]);
    let of_person = desk.store.journal_of(person).await.unwrap();
    assert_eq!(of_person, [acts[0].clone(), acts[2].clone()]);
}

pub async fn a_refused_act_leaves_no_entry(desk: Desk) {
    let patient = desk.patient().await;
    let before = last_number(&desk).await;
    assert!(is_taken(
        desk.store.add_patient(desk.stamp(), patient).await
    ));
    assert_eq!(last_number(&desk).await, before);
}

pub async fn an_act_is_kept_once(desk: Desk) {
    let stamp = desk.stamp();
    let (first, second) = (desk.some_patient("A", "B"), desk.some_patient("C", "D"));
    desk.store.add_patient(stamp, first).await.unwrap();
    assert!(is_taken(
        desk.store.add_patient(stamp, second.clone()).await
    ));
    assert!(super::desk::is_missing(desk.store.patient(second.id).await));
}

pub async fn the_journal_names_nobody(desk: Desk) {
    desk.with_clinician().await;
    let before = last_number(&desk).await;
    let patient = desk.some_patient("Xanthippe", "Quuxworth");
    desk.store
        .add_patient(desk.stamp(), patient.clone())
        .await
        .unwrap();
    let visit = desk.visit_of(patient.id, desk.day(0)).await;
    let exam = kept("examination", json!({"story": "Xanthippe fell"}));
    let of = record::ExamineOf::Person;
    desk.store
        .save_exam(desk.stamp(), visit.id, of, exam, 0)
        .await
        .unwrap();
    let mut letter = desk.draft(visit.id).await;
    letter.title = "About Xanthippe Quuxworth".into();
    desk.store
        .save_letter(desk.stamp(), letter.clone(), 1)
        .await
        .unwrap();
    desk.store
        .take_away_letter(desk.stamp(), letter.id, 2)
        .await
        .unwrap();
    desk.store
        .put_back_letter(desk.stamp(), letter.id)
        .await
        .unwrap();
    desk.store
        .sign_letter(desk.stamp(), letter, 2, PAPER.to_vec())
        .await
        .unwrap();
    let scan = ScanRecord {
        note: "Xanthippe's foot".into(),
        ..desk.scan_of(&visit).await
    };
    desk.store.save_scan(desk.stamp(), scan).await.unwrap();
    let order = desk.order(&visit).await;
    desk.store
        .save_order(desk.stamp(), order.clone(), 1)
        .await
        .unwrap();
    desk.store
        .undo_order(desk.stamp(), order.id, 2)
        .await
        .unwrap();
    desk.store
        .send_order(desk.stamp(), order.id, 3, PAPER.into(), SOLIDS.into())
        .await
        .unwrap();
    let acts = desk.store.journal(before, 100).await.unwrap();
    assert_eq!(acts.len(), 14);
    for act in acts {
        let told = format!("{act:?}");
        for name in ["Xanthippe", "Quuxworth", patient.chart_number.as_str()] {
            assert!(!told.contains(name), "{told}");
        }
    }
}

pub async fn everything_verifies(desk: Desk) {
    assert_eq!(desk.store.verify().await.unwrap(), Vec::<String>::new());
}
