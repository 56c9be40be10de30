//! Promises about the practice, its patients and their visits.

use super::desk::{Desk, PAPER, SOLIDS, is_missing, is_refused, is_taken, kept};
use record::{
    ActKind, ContentHash, ExamineOf, FilmId, LetterId, OrderId, OrderSource, Patient, PatientId,
    PlanRecord, PointsId, Practice, ScanId, Subject, Visit, VisitId, VisitState,
};
use serde_json::json;
use terms::{Sex, Side};
use time::macros::date;

pub async fn the_last_save_of_the_practice_stands(desk: Desk) {
    let mut practice = Practice {
        name: "Invented Practice".into(),
        address: vec!["1 Nowhere Street".into(), "Ærøskøbing".into()],
        telephone: None,
        demo: true,
    };
    desk.store
        .save_practice(desk.stamp(), practice.clone())
        .await
        .unwrap();
    assert_eq!(desk.store.practice().await.unwrap(), Some(practice.clone()));
    practice.telephone = Some("000".into());
    desk.store
        .save_practice(desk.stamp(), practice.clone())
        .await
        .unwrap();
    assert_eq!(desk.store.practice().await.unwrap(), Some(practice));
}

pub async fn a_patient_comes_back_as_saved_and_a_change_stands(desk: Desk) {
    let mut patient = Patient {
        born_on: Some(date!(2016 - 02 - 29)),
        sex: Some(Sex::Female),
        note: "line one\nline two 'quoted' \"twice\"".into(),
        ..desk.some_patient("Zoë", "d'Invented")
    };
    desk.store
        .add_patient(desk.stamp(), patient.clone())
        .await
        .unwrap();
    assert_eq!(desk.store.patient(patient.id).await.unwrap(), patient);
    patient.born_on = None;
    patient.sex = None;
    patient.family_name = "Other".into();
    desk.store
        .save_patient(desk.stamp(), patient.clone())
        .await
        .unwrap();
    assert_eq!(desk.store.patient(patient.id).await.unwrap(), patient);
    assert!(is_taken(
        desk.store.add_patient(desk.stamp(), patient).await
    ));
}

pub async fn a_chart_number_belongs_to_one_patient(desk: Desk) {
    let first = desk.patient().await;
    let mut second = desk.some_patient("Second", "Person");
    second.chart_number = first.chart_number.clone();
    assert!(is_taken(
        desk.store.add_patient(desk.stamp(), second.clone()).await
    ));
    assert!(is_missing(desk.store.patient(second.id).await));
    let third = desk.patient().await;
    let stolen = Patient {
        chart_number: first.chart_number,
        ..third.clone()
    };
    assert!(is_taken(
        desk.store.save_patient(desk.stamp(), stolen).await
    ));
    assert_eq!(desk.store.patient(third.id).await.unwrap(), third);
}

pub async fn a_patient_without_a_name_is_refused_and_not_kept(desk: Desk) {
    let nobody = desk.some_patient("", " ");
    assert!(is_refused(
        desk.store.add_patient(desk.stamp(), nobody.clone()).await
    ));
    assert!(is_missing(desk.store.patient(nobody.id).await));
}

/// Not every backend can keep it, so none does.
pub async fn a_text_with_the_character_zero_is_refused_and_not_kept(desk: Desk) {
    let mut patient = desk.some_patient("Invented", "Person");
    patient.note = "before\0after".into();
    let refused = desk.store.add_patient(desk.stamp(), patient.clone()).await;
    assert!(is_refused(refused));
    assert!(is_missing(desk.store.patient(patient.id).await));
    // In a payload it is written out and comes back.
    let visit = desk.visit().await;
    let exam = kept("examination", json!({"story": "before\0after"}));
    let of = record::ExamineOf::Person;
    let saved = desk
        .store
        .save_exam(desk.stamp(), visit.id, of, exam, 0)
        .await
        .unwrap();
    assert_eq!(desk.store.exam(visit.id, of).await.unwrap(), Some(saved));
}

pub async fn a_patient_is_found_without_accents_and_by_the_beginning_of_every_word(desk: Desk) {
    let names = [
        ("Åse", "Ødegård-Müller"),
        ("Çağla", "Çelik"),
        ("Ana", "Muñoz"),
        ("Per", "Mull"),
    ];
    let mut ids = Vec::new();
    for (given, family) in names {
        let patient = desk.some_patient(given, family);
        desk.store
            .add_patient(desk.stamp(), patient.clone())
            .await
            .unwrap();
        ids.push(patient.id);
    }
    let find = async |words: &str| {
        let found = desk
            .store
            .find_patients(words.into(), 10_000)
            .await
            .unwrap();
        let ours = found
            .iter()
            .filter_map(|p| ids.iter().position(|id| *id == p.id));
        ours.collect::<Vec<_>>()
    };
    assert_eq!(find("odegard").await, [0]);
    assert_eq!(find("ÖDEGÅRD ase").await, [0], "every word, in any order");
    assert_eq!(find("celik").await, [1]);
    assert_eq!(find("mun").await, [2]);
    assert_eq!(find("mull").await, [3, 0], "by family name");
    assert_eq!(
        find("degard").await,
        [0_usize; 0],
        "the inside of a word does not count"
    );
    assert_eq!(find("mull ana").await, [0_usize; 0]);
    assert_eq!(find("%").await.len(), 4, "a sign is no word");
    let mut changed = desk.store.patient(ids[3]).await.unwrap();
    changed.family_name = "Łoś".into();
    desk.store
        .save_patient(desk.stamp(), changed)
        .await
        .unwrap();
    assert_eq!(find("los").await, [3], "a changed name is found");
    assert_eq!(
        desk.store
            .find_patients(String::new(), 2)
            .await
            .unwrap()
            .len(),
        2
    );
}

pub async fn the_list_of_a_day_holds_its_visits_in_the_order_they_were_opened(desk: Desk) {
    let (later, earlier) = (desk.patient().await, desk.patient().await);
    let first = desk.visit_of(later.id, desk.day(0)).await;
    let second = desk.visit_of(earlier.id, desk.day(0)).await;
    let elsewhen = desk.visit_of(later.id, desk.day(1)).await;
    let today = desk.store.visits_on(desk.day(0)).await.unwrap();
    assert_eq!(today, [(first.clone(), later.clone()), (second, earlier)]);
    assert_eq!(
        desk.store.visits_of(later.id).await.unwrap(),
        [elsewhen, first]
    );
    assert_eq!(desk.store.visits_on(desk.day(2)).await.unwrap(), []);
}

pub async fn a_visit_keeps_its_patient_and_is_closed_and_opened_again(desk: Desk) {
    let visit = desk.visit().await;
    let other = desk.patient().await;
    let moved = Visit {
        patient: other.id,
        ..visit.clone()
    };
    assert!(is_refused(desk.store.save_visit(desk.stamp(), moved).await));
    for state in [VisitState::Closed, VisitState::Open] {
        let changed = Visit {
            state,
            reason: "and the outer side".into(),
            ..visit.clone()
        };
        desk.store
            .save_visit(desk.stamp(), changed.clone())
            .await
            .unwrap();
        assert_eq!(desk.store.visit(visit.id).await.unwrap(), changed);
    }
    let acts = desk
        .store
        .journal_of(Subject::Visit(visit.id))
        .await
        .unwrap();
    let kinds: Vec<_> = acts.iter().map(|a| a.kind).collect();
    let expected = [
        ActKind::VisitOpened,
        ActKind::VisitClosed,
        ActKind::VisitReopened,
    ];
    assert_eq!(kinds, expected);
    assert!(is_taken(desk.store.open_visit(desk.stamp(), visit).await));
}

pub async fn a_patient_is_due_from_the_planned_day_until_they_come(desk: Desk) {
    let visit = desk.visit().await;
    let plan = |review| PlanRecord {
        visit: visit.id,
        plan: kept("plan", json!({})),
        review_on: Some(desk.day(review)),
        revision: 0,
        saved_at: desk.stamp().at,
    };
    let due = async |day| {
        let all = desk.store.visits_due(desk.day(day)).await.unwrap();
        all.into_iter()
            .find(|due| due.patient.id == visit.patient)
            .map(|due| due.review_on)
    };
    desk.store
        .save_plan(desk.stamp(), plan(5), 0)
        .await
        .unwrap();
    assert_eq!(due(4).await, None);
    assert_eq!(due(5).await, Some(desk.day(5)));
    desk.store
        .save_plan(desk.stamp(), plan(10), 1)
        .await
        .unwrap();
    assert_eq!(due(5).await, None, "the last plan counts");
    assert_eq!(due(11).await, Some(desk.day(10)));
    desk.visit_of(visit.patient, desk.day(11)).await;
    assert_eq!(
        due(10).await,
        Some(desk.day(10)),
        "a visit after the day asked about is not yet"
    );
    assert_eq!(due(12).await, None, "they came");
}

pub async fn what_is_not_there_is_missing(desk: Desk) {
    let store = &desk.store;
    let id = desk.uuid();
    let (patient, visit, film) = (PatientId::new(id), VisitId::new(id), FilmId::new(id));
    assert!(is_missing(store.clinician(desk.clinician).await));
    assert!(is_missing(store.patient(patient).await));
    assert!(is_missing(
        store
            .save_patient(desk.stamp(), desk.some_patient("A", "B"))
            .await
    ));
    assert!(is_missing(store.visits_of(patient).await));
    assert!(is_missing(store.films_of(patient).await));
    assert!(is_missing(store.letters_of(patient).await));
    assert!(is_missing(store.sheets_of(patient).await));
    assert!(is_missing(store.exams_of(patient).await));
    assert!(is_missing(store.decisions_of(patient).await));
    assert!(is_missing(store.plans_of(patient).await));
    assert!(is_missing(store.captures_of(patient).await));
    assert!(is_missing(store.steps_of(patient).await));
    assert!(is_missing(store.visit(visit).await));
    assert!(is_missing(store.films_of_visit(visit).await));
    assert!(is_missing(store.captures_of_visit(visit).await));
    assert!(is_missing(store.letters_of_visit(visit).await));
    assert!(is_missing(store.exam(visit, ExamineOf::Person).await));
    assert!(is_missing(
        store.exam_revisions(visit, ExamineOf::Person).await
    ));
    assert!(is_missing(
        store
            .undo_exam(desk.stamp(), visit, ExamineOf::Person, 0)
            .await
    ));
    let exam = kept("examination", json!({}));
    assert!(is_missing(
        store
            .save_exam(desk.stamp(), visit, ExamineOf::Person, exam, 0)
            .await
    ));
    assert!(is_missing(store.decision(visit, Side::Left).await));
    assert!(is_missing(store.plan(visit).await));
    assert!(is_missing(store.film(film).await));
    assert!(is_missing(store.film_bytes(film).await));
    assert!(is_missing(store.points_of(film).await));
    assert!(is_missing(store.wear(film).await));
    assert!(is_missing(store.points(PointsId::new(id)).await));
    assert!(is_missing(store.letter(LetterId::new(id)).await));
    assert!(is_missing(store.letter_pdf(LetterId::new(id)).await));
    let lost = Visit {
        id: visit,
        patient,
        on: desk.day(0),
        reason: String::new(),
        state: VisitState::Open,
    };
    assert!(is_missing(
        store.open_visit(desk.stamp(), lost.clone()).await
    ));
    let scan = ScanId::new(id);
    assert!(is_missing(store.scans_of(patient).await));
    assert!(is_missing(store.scans_of_visit(visit).await));
    assert!(is_missing(store.scan(scan).await));
    assert!(is_missing(store.scan_bytes(scan).await));
    let unknown = desk.some_scan(&lost, b"scan");
    assert!(is_missing(
        store.save_scan(desk.stamp(), unknown.clone()).await
    ));
    assert!(is_missing(
        store
            .import_scan(desk.stamp(), unknown, b"scan".to_vec())
            .await
    ));
    let order = OrderId::new(id);
    assert!(is_missing(store.orders_of(patient).await));
    assert!(is_missing(store.orders_of_visit(visit).await));
    assert!(is_missing(store.order(order).await));
    assert!(is_missing(store.order_before(order).await));
    assert!(is_missing(store.order_revisions(order).await));
    assert!(is_missing(store.order_sheet(order).await));
    assert!(is_missing(store.order_solids(order).await));
    assert!(is_missing(store.undo_order(desk.stamp(), order, 0).await));
    assert!(is_missing(
        store
            .send_order(desk.stamp(), order, 0, PAPER.into(), SOLIDS.into())
            .await
    ));
    let source = OrderSource::Scan { scan };
    let unknown = desk.some_order(&lost, source.clone());
    assert!(is_missing(store.save_order(desk.stamp(), unknown, 0).await));
    let unknown = desk.some_order(&desk.visit().await, source);
    assert!(is_missing(store.save_order(desk.stamp(), unknown, 0).await));
    let film = desk.some_film(&lost, b"film");
    assert!(is_missing(
        store
            .import_film(desk.stamp(), film, b"film".to_vec())
            .await
    ));
    assert_eq!(
        store
            .films_with(ContentHash::of(b"film of nobody"))
            .await
            .unwrap(),
        []
    );
}
