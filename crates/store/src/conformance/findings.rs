//! Promises about examination, decision and plan.

use super::desk::{Desk, kept, together};
use crate::StoreError;
use record::{DecisionRecord, ExamRecord, ExamineOf, PlanRecord, SheetRecord, Visit};
use serde_json::json;
use terms::Side;

const LEFT: ExamineOf = ExamineOf::Foot(Side::Left);

async fn save(desk: &Desk, visit: &Visit, pain: u32, seen: u32) -> Result<ExamRecord, StoreError> {
    let exam = kept("examination", json!({"pain": pain}));
    desk.store
        .save_exam(desk.stamp(), visit.id, LEFT, exam, seen)
        .await
}

async fn undo(desk: &Desk, visit: &Visit, seen: u32) -> Result<ExamRecord, StoreError> {
    desk.store
        .undo_exam(desk.stamp(), visit.id, LEFT, seen)
        .await
}

fn pain(exam: &ExamRecord) -> u64 {
    exam.exam.body["pain"].as_u64().unwrap()
}

pub async fn an_examination_has_revisions_and_the_last_one_stands(desk: Desk) {
    let visit = desk.visit().await;
    assert_eq!(desk.store.exam(visit.id, LEFT).await.unwrap(), None);
    let first = save(&desk, &visit, 3, 0).await.unwrap();
    let second = save(&desk, &visit, 4, 1).await.unwrap();
    assert_eq!((first.revision, second.revision), (1, 2));
    assert_eq!(
        desk.store.exam(visit.id, LEFT).await.unwrap(),
        Some(second.clone())
    );
    assert_eq!(
        desk.store.exam_revisions(visit.id, LEFT).await.unwrap(),
        [first, second]
    );
    for other in [ExamineOf::Foot(Side::Right), ExamineOf::Person] {
        assert_eq!(desk.store.exam(visit.id, other).await.unwrap(), None);
    }
}

pub async fn undo_walks_back_to_the_first_save_and_keeps_what_it_left(desk: Desk) {
    let visit = desk.visit().await;
    assert!(matches!(
        undo(&desk, &visit, 0).await,
        Err(StoreError::NothingToUndo { .. })
    ));
    for (seen, value) in [(0, 10), (1, 20), (2, 30)] {
        save(&desk, &visit, value, seen).await.unwrap();
    }
    let back = undo(&desk, &visit, 3).await.unwrap();
    assert_eq!((pain(&back), back.revision, back.content_of), (20, 4, 2));
    let back = undo(&desk, &visit, 4).await.unwrap();
    assert_eq!((pain(&back), back.revision), (10, 5));
    assert!(matches!(
        undo(&desk, &visit, 5).await,
        Err(StoreError::NothingToUndo { .. })
    ));
    // A save after an undo is taken back to what the undo showed.
    save(&desk, &visit, 40, 5).await.unwrap();
    let back = undo(&desk, &visit, 6).await.unwrap();
    assert_eq!((pain(&back), back.revision), (10, 7));
    let all = desk.store.exam_revisions(visit.id, LEFT).await.unwrap();
    let pains: Vec<_> = all.iter().map(pain).collect();
    assert_eq!(pains, [10, 20, 30, 20, 10, 40, 10]);
}

pub async fn what_an_undo_would_bring_back_is_told_before(desk: Desk) {
    let visit = desk.visit().await;
    let before = async || desk.store.exam_before(visit.id, LEFT).await.unwrap();
    assert_eq!(before().await, None);
    for (seen, value) in [(0, 10), (1, 20), (2, 30)] {
        save(&desk, &visit, value, seen).await.unwrap();
    }
    for seen in [3, 4] {
        let told = before().await.unwrap();
        let back = undo(&desk, &visit, seen).await.unwrap();
        assert_eq!((told.exam, told.content_of), (back.exam, back.content_of));
    }
    assert_eq!(before().await, None, "the first save is not taken back");
    let nowhere = record::VisitId::new(desk.uuid());
    assert!(super::desk::is_missing(
        desk.store.exam_before(nowhere, LEFT).await
    ));
}

pub async fn two_pages_cannot_overwrite_each_other(desk: Desk) {
    let visit = desk.visit().await;
    save(&desk, &visit, 1, 0).await.unwrap();
    save(&desk, &visit, 2, 1).await.unwrap();
    let stale = save(&desk, &visit, 9, 1).await;
    assert!(matches!(
        stale,
        Err(StoreError::ChangedMeanwhile {
            seen: 1,
            found: 2,
            ..
        })
    ));
    let stale = undo(&desk, &visit, 1).await;
    assert!(matches!(
        stale,
        Err(StoreError::ChangedMeanwhile {
            seen: 1,
            found: 2,
            ..
        })
    ));
    assert_eq!(
        pain(&desk.store.exam(visit.id, LEFT).await.unwrap().unwrap()),
        2
    );
}

pub async fn many_saves_at_once_all_get_their_own_revision(desk: Desk) {
    const WRITERS: u32 = 12;
    let visit = desk.visit().await;
    let write = async |writer: u32| {
        let mut seen = 0;
        loop {
            match save(&desk, &visit, writer, seen).await {
                Ok(saved) => return saved.revision,
                Err(StoreError::ChangedMeanwhile { found, .. }) => seen = found,
                Err(other) => panic!("{other}"),
            }
        }
    };
    let mut revisions = together((0..WRITERS).map(write).collect()).await;
    revisions.sort_unstable();
    assert_eq!(revisions, (1..=WRITERS).collect::<Vec<_>>());
    let all = desk.store.exam_revisions(visit.id, LEFT).await.unwrap();
    let mut writers: Vec<_> = all.iter().map(pain).collect();
    writers.sort_unstable();
    assert_eq!(
        writers,
        (0..u64::from(WRITERS)).collect::<Vec<_>>(),
        "nobody's save is lost"
    );
}

pub async fn a_decision_and_a_plan_come_back_as_saved(desk: Desk) {
    let visit = desk.visit().await;
    let decision = DecisionRecord {
        visit: visit.id,
        side: Side::Right,
        report: kept("stage-report", json!({"tendon": "II"})),
        chosen: Some("II a".into()),
        overruled_reason: Some("the heel still corrects".into()),
        revision: 0,
        saved_at: desk.stamp().at,
    };
    let saved = desk
        .store
        .save_decision(desk.stamp(), decision.clone(), 0)
        .await
        .unwrap();
    assert_eq!(saved.revision, 1);
    let back = desk.store.decision(visit.id, Side::Right).await.unwrap();
    assert_eq!(back.as_ref(), Some(&saved));
    assert_eq!(saved.report, decision.report);
    assert_eq!(saved.overruled_reason, decision.overruled_reason);
    assert_eq!(
        desk.store.decision(visit.id, Side::Left).await.unwrap(),
        None
    );
    let stale = desk.store.save_decision(desk.stamp(), decision, 0).await;
    assert!(matches!(stale, Err(StoreError::ChangedMeanwhile { .. })));

    let plan = PlanRecord {
        visit: visit.id,
        plan: kept("plan", json!({"rungs": ["brace"]})),
        review_on: None,
        revision: 0,
        saved_at: desk.stamp().at,
    };
    let saved = desk.store.save_plan(desk.stamp(), plan, 0).await.unwrap();
    assert_eq!(desk.store.plan(visit.id).await.unwrap(), Some(saved));
}

pub async fn what_stands_of_all_visits_comes_at_once_newest_visit_first(desk: Desk) {
    desk.with_clinician().await;
    let store = &desk.store;
    let patient = desk.patient().await;
    // Opened in another order than their days; somebody else's is not among them.
    let early = desk.visit_of(patient.id, desk.day(-200)).await;
    let late = desk.visit_of(patient.id, desk.day(-10)).await;
    let middle = desk.visit_of(patient.id, desk.day(-90)).await;
    let other = desk.visit().await;
    let (mut exams, mut decisions, mut plans, mut sheets) = (vec![], vec![], vec![], vec![]);
    for visit in [&early, &late, &middle, &other] {
        save(&desk, visit, 1, 0).await.unwrap();
        exams.push(save(&desk, visit, 2, 1).await.unwrap());
        for side in [Side::Right, Side::Left] {
            let decision = DecisionRecord {
                visit: visit.id,
                side,
                report: kept("stage-report", json!({"tendon": "II"})),
                chosen: None,
                overruled_reason: None,
                revision: 0,
                saved_at: desk.stamp().at,
            };
            let first = store
                .save_decision(desk.stamp(), decision, 0)
                .await
                .unwrap();
            let again = store.save_decision(desk.stamp(), first, 1).await.unwrap();
            decisions.push(again);
        }
        let plan = PlanRecord {
            visit: visit.id,
            plan: kept("plan", json!({"rungs": []})),
            review_on: None,
            revision: 0,
            saved_at: desk.stamp().at,
        };
        let first = store.save_plan(desk.stamp(), plan, 0).await.unwrap();
        plans.push(store.save_plan(desk.stamp(), first, 1).await.unwrap());
        let bytes = desk.uuid().as_bytes().to_vec();
        let film = desk.some_film(visit, &bytes);
        store
            .import_film(desk.stamp(), film.clone(), bytes)
            .await
            .unwrap();
        for finished in [true, false] {
            let points = desk.some_points(film.id, finished, 7.0);
            sheets.push(store.save_points(desk.stamp(), points).await.unwrap());
        }
    }
    let by_day = |all: &[ExamRecord]| [all[1].clone(), all[2].clone(), all[0].clone()];
    assert_eq!(store.exams_of(patient.id).await.unwrap(), by_day(&exams));
    assert_eq!(
        store.decisions_of(patient.id).await.unwrap(),
        [3, 2, 5, 4, 1, 0].map(|n: usize| decisions[n].clone())
    );
    assert_eq!(
        store.plans_of(patient.id).await.unwrap(),
        [1, 2, 0].map(|n: usize| plans[n].clone())
    );
    let expected: Vec<SheetRecord> = sheets.into_iter().take(6).map(SheetRecord::from).collect();
    assert_eq!(store.sheets_of(patient.id).await.unwrap(), expected);
    let person = ExamRecord {
        of: ExamineOf::Person,
        revision: 1,
        content_of: 1,
        ..exams[1].clone()
    };
    let saved = store
        .save_exam(desk.stamp(), late.id, person.of, person.exam, 0)
        .await
        .unwrap();
    let all = store.exams_of(patient.id).await.unwrap();
    assert_eq!(all[..2], [exams[1].clone(), saved]);
}
