//! Promises about what was given or done.

use super::desk::{Desk, is_missing, is_refused, is_stale, kept};
use crate::StoreError;
use record::{ActKind, CareId, CareRecord, Subject, Visit, VisitId};
use serde_json::json;
use terms::Side;

async fn save(desk: &Desk, care: &CareRecord, seen: u32) -> Result<CareRecord, StoreError> {
    desk.store.save_care(desk.stamp(), care.clone(), seen).await
}

async fn undo(desk: &Desk, care: &CareRecord, seen: u32) -> Result<CareRecord, StoreError> {
    desk.store.undo_care(desk.stamp(), care.id, seen).await
}

pub async fn an_entry_has_revisions_and_the_last_one_stands(desk: Desk) {
    let visit = desk.visit().await;
    let asked = desk.some_care(&visit);
    let stamp = desk.stamp();
    let first = desk.store.save_care(stamp, asked.clone(), 0).await.unwrap();
    let expected = CareRecord {
        revision: 1,
        content_of: 1,
        saved_at: stamp.at,
        ..asked
    };
    assert_eq!(first, expected);
    assert_eq!(desk.store.care(first.id).await.unwrap(), first);
    let changed = CareRecord {
        side: Some(Side::Right),
        ended_on: Some(desk.day(3)),
        review_on: Some(desk.day(5)),
        answers: kept("given", json!({"planned_weeks": 6})),
        ..first.clone()
    };
    let second = save(&desk, &changed, 1).await.unwrap();
    assert_eq!((second.revision, second.content_of), (2, 2));
    assert_eq!(
        (&second.answers, second.side),
        (&changed.answers, changed.side)
    );
    // A call between two visits, about something that began earlier.
    let check = CareRecord {
        visit: None,
        about: Some(first.id),
        kind: "check".into(),
        side: None,
        began_on: desk.day(-1),
        ..desk.some_care(&visit)
    };
    let check = save(&desk, &check, 0).await.unwrap();
    assert_eq!(
        desk.store.care_of(visit.patient).await.unwrap(),
        [check, second],
        "by the day it began"
    );
    let acts = desk
        .store
        .journal_of(Subject::Care(first.id))
        .await
        .unwrap();
    let kinds: Vec<ActKind> = acts.iter().map(|a| a.kind).collect();
    assert_eq!(kinds, [ActKind::CareSaved, ActKind::CareSaved]);
}

pub async fn undo_walks_an_entry_back_and_a_taking_away_can_be_undone(desk: Desk) {
    let visit = desk.visit().await;
    let first = desk.care(&visit).await;
    assert_eq!(desk.store.care_before(first.id).await.unwrap(), None);
    assert!(matches!(
        undo(&desk, &first, 1).await,
        Err(StoreError::NothingToUndo { .. })
    ));
    let gone = CareRecord {
        taken_away: true,
        ..first.clone()
    };
    let gone = save(&desk, &gone, 1).await.unwrap();
    assert_eq!(desk.store.care_of(visit.patient).await.unwrap(), [gone]);
    let told = desk.store.care_before(first.id).await.unwrap().unwrap();
    let back = undo(&desk, &first, 2).await.unwrap();
    assert_eq!((back.revision, back.content_of), (3, 1));
    assert_eq!(
        (back.taken_away, &back.answers, told.content_of),
        (false, &first.answers, back.content_of)
    );
}

pub async fn patient_visit_kind_and_what_it_is_about_stay(desk: Desk) {
    let visit = desk.visit().await;
    let later = desk.visit_of(visit.patient, desk.day(4)).await;
    let care = desk.care(&visit).await;
    let other = desk.care(&visit).await;
    let changes = [
        CareRecord {
            visit: Some(later.id),
            ..care.clone()
        },
        CareRecord {
            kind: "wrap".into(),
            ..care.clone()
        },
        CareRecord {
            about: Some(other.id),
            ..care.clone()
        },
    ];
    for change in changes {
        assert!(is_refused(save(&desk, &change, 1).await));
    }
    assert_eq!(desk.store.care(care.id).await.unwrap(), care);
}

pub async fn an_entry_belongs_to_its_patient_alone(desk: Desk) {
    let (visit, others) = (desk.visit().await, desk.visit().await);
    let theirs = desk.care(&others).await;
    let own = |visit: &Visit| desk.some_care(visit);
    let at_another_visit = CareRecord {
        visit: Some(others.id),
        ..own(&visit)
    };
    let about_another = CareRecord {
        about: Some(theirs.id),
        ..own(&visit)
    };
    let ended_before = CareRecord {
        ended_on: Some(desk.day(-1)),
        ..own(&visit)
    };
    for bad in [at_another_visit, about_another, ended_before] {
        assert!(is_refused(save(&desk, &bad, 0).await));
        assert!(is_missing(desk.store.care(bad.id).await));
    }
    let nobody = CareRecord {
        visit: Some(VisitId::new(desk.uuid())),
        ..own(&visit)
    };
    let about_nothing = CareRecord {
        about: Some(CareId::new(desk.uuid())),
        ..own(&visit)
    };
    for bad in [nobody, about_nothing] {
        assert!(is_missing(save(&desk, &bad, 0).await));
    }
    assert_eq!(desk.store.care_of(visit.patient).await.unwrap(), []);
}

pub async fn what_is_due_comes_longest_first_and_what_was_taken_away_does_not(desk: Desk) {
    let visit = desk.visit().await;
    let with = |on| CareRecord {
        review_on: Some(desk.day(on)),
        ..desk.some_care(&visit)
    };
    let late = save(&desk, &with(6), 0).await.unwrap();
    let early = save(&desk, &with(5), 0).await.unwrap();
    save(&desk, &with(8), 0).await.unwrap();
    let gone = CareRecord {
        taken_away: true,
        ..with(5)
    };
    save(&desk, &gone, 0).await.unwrap();
    desk.care(&visit).await;
    let due: Vec<CareRecord> = desk
        .store
        .care_due(desk.day(7))
        .await
        .unwrap()
        .into_iter()
        .filter(|(_, patient)| patient.id == visit.patient)
        .map(|(care, _)| care)
        .collect();
    assert_eq!(due, [early.clone(), late]);
    // Looked at: nothing more to come.
    let done = CareRecord {
        review_on: None,
        ..early
    };
    save(&desk, &done, 1).await.unwrap();
    let due = desk.store.care_due(desk.day(7)).await.unwrap();
    assert!(due.iter().all(|(care, _)| care.id != done.id));
}

pub async fn of_an_entry_and_its_checks_the_last_says_when_until_it_ends(desk: Desk) {
    let visit = desk.visit().await;
    let boot = CareRecord {
        review_on: Some(desk.day(2)),
        ..desk.some_care(&visit)
    };
    let boot = save(&desk, &boot, 0).await.unwrap();
    let due = async |day| {
        let all = desk.store.care_due(desk.day(day)).await.unwrap();
        let own = all.into_iter().filter(|(c, _)| c.patient == visit.patient);
        own.map(|(c, _)| c.id).collect::<Vec<_>>()
    };
    assert_eq!((due(1).await, due(2).await), (vec![], vec![boot.id]));
    let check = CareRecord {
        about: Some(boot.id),
        kind: "check".into(),
        began_on: desk.day(2),
        review_on: Some(desk.day(8)),
        ..desk.some_care(&visit)
    };
    let check = save(&desk, &check, 0).await.unwrap();
    assert_eq!((due(7).await, due(8).await), (vec![], vec![check.id]));
    let second = CareRecord {
        id: CareId::new(desk.uuid()),
        began_on: desk.day(8),
        review_on: None,
        ..check.clone()
    };
    let second = save(&desk, &second, 0).await.unwrap();
    assert_eq!(due(9).await, []);
    // The second check was written down in error.
    let gone = CareRecord {
        taken_away: true,
        ..second
    };
    save(&desk, &gone, 1).await.unwrap();
    assert_eq!(due(9).await, [check.id]);
    let off = CareRecord {
        ended_on: Some(desk.day(9)),
        ..boot
    };
    save(&desk, &off, 1).await.unwrap();
    assert_eq!(due(9).await, []);
}

pub async fn two_pages_cannot_overwrite_each_others_entry(desk: Desk) {
    let visit = desk.visit().await;
    let care = desk.care(&visit).await;
    save(&desk, &care, 1).await.unwrap();
    assert!(is_stale(save(&desk, &care, 1).await));
    assert!(is_stale(undo(&desk, &care, 1).await));
    assert!(is_stale(save(&desk, &desk.some_care(&visit), 3).await));
}
