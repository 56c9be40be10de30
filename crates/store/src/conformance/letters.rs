//! Promises about letters.

use super::desk::{Desk, PAPER, is_frozen, is_missing, is_refused, is_stale};
use crate::StoreError;
use record::{ActKind, ContentHash, LetterId, LetterRecord, LetterState, Subject};
use serde_json::json;

pub async fn a_draft_changes_until_it_is_signed_and_then_never(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let mut letter = desk.draft(visit.id).await;
    assert_eq!(desk.store.letter(letter.id).await.unwrap(), letter);
    letter.title = "A better title".into();
    letter.facts.body["z"] = json!(2);
    letter = desk
        .store
        .save_letter(desk.stamp(), letter.clone(), 1)
        .await
        .unwrap();
    assert_eq!(letter.revision, 2);
    assert_eq!(desk.store.letter(letter.id).await.unwrap(), letter);
    assert_eq!(
        desk.store.letters_of_visit(visit.id).await.unwrap(),
        [letter.head()]
    );
    assert!(matches!(
        desk.store.letter_pdf(letter.id).await,
        Err(StoreError::NotSigned)
    ));
    let waits = async || {
        let waiting = desk.store.letters_waiting().await.unwrap();
        waiting
            .iter()
            .any(|l| l.letter.id == letter.id && l.patient.id == visit.patient && l.visit == visit)
    };
    assert!(waits().await);

    letter.facts.body["z"] = json!(3);
    let signed = desk
        .store
        .sign_letter(desk.stamp(), letter.clone(), 2, PAPER.to_vec())
        .await
        .unwrap();
    assert_eq!(
        signed.facts, letter.facts,
        "what is signed is what was handed over"
    );
    assert!(!waits().await);
    let changed = LetterRecord {
        title: "Another".into(),
        ..letter.clone()
    };
    assert!(is_frozen(
        desk.store.save_letter(desk.stamp(), changed, 3).await
    ));
    let again = desk
        .store
        .sign_letter(desk.stamp(), letter.clone(), 3, b"%PDF-other".to_vec())
        .await;
    assert!(is_frozen(again));
    assert_eq!(desk.store.letter(letter.id).await.unwrap(), signed);
    assert_eq!(desk.store.letter_pdf(letter.id).await.unwrap(), PAPER);
}

pub async fn two_pages_cannot_overwrite_each_others_draft(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let first = desk.draft(visit.id).await;
    let kept = LetterRecord {
        title: "Kept".into(),
        ..first.clone()
    };
    let kept = desk.store.save_letter(desk.stamp(), kept, 1).await.unwrap();
    let stale = desk.store.save_letter(desk.stamp(), first.clone(), 1).await;
    assert!(matches!(
        stale,
        Err(StoreError::ChangedMeanwhile {
            seen: 1,
            found: 2,
            ..
        })
    ));
    assert!(is_stale(
        desk.store
            .sign_letter(desk.stamp(), first.clone(), 1, PAPER.to_vec())
            .await
    ));
    assert!(is_stale(
        desk.store.take_away_letter(desk.stamp(), first.id, 1).await
    ));
    // The same id brought in once more as new.
    assert!(is_stale(
        desk.store.save_letter(desk.stamp(), first.clone(), 0).await
    ));
    assert_eq!(desk.store.letter(first.id).await.unwrap(), kept);
}

pub async fn a_draft_is_taken_away_and_put_back_as_it_was(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let letter = desk.draft(visit.id).await;
    let in_lists = async || {
        let waiting = desk.store.letters_waiting().await.unwrap();
        let away = desk.store.letters_taken_away().await.unwrap();
        let of_visit = desk.store.letters_of_visit(visit.id).await.unwrap();
        let of_patient = desk.store.letters_of(visit.patient).await.unwrap();
        [
            waiting.iter().any(|l| l.letter.id == letter.id),
            of_visit.iter().any(|l| l.id == letter.id),
            of_patient.iter().any(|l| l.id == letter.id),
            away.iter().any(|l| l.letter.id == letter.id),
        ]
    };
    assert_eq!(in_lists().await, [true, true, true, false]);
    assert!(matches!(
        desk.store.put_back_letter(desk.stamp(), letter.id).await,
        Err(StoreError::NotTakenAway)
    ));
    let stamp = desk.stamp();
    desk.store
        .take_away_letter(stamp, letter.id, 1)
        .await
        .unwrap();
    assert_eq!(in_lists().await, [false, false, false, true]);
    let away = desk.store.letter(letter.id).await.unwrap();
    let state = LetterState::TakenAway {
        at: stamp.at,
        by: stamp.by,
    };
    assert_eq!((&away.state, &away.facts), (&state, &letter.facts));
    assert!(is_frozen(
        desk.store
            .save_letter(desk.stamp(), letter.clone(), 1)
            .await
    ));
    let signing = desk
        .store
        .sign_letter(desk.stamp(), letter.clone(), 1, PAPER.to_vec())
        .await;
    assert!(is_frozen(signing));
    assert!(is_frozen(
        desk.store
            .take_away_letter(desk.stamp(), letter.id, 1)
            .await
    ));
    assert!(matches!(
        desk.store.letter_pdf(letter.id).await,
        Err(StoreError::NotSigned)
    ));

    desk.store
        .put_back_letter(desk.stamp(), letter.id)
        .await
        .unwrap();
    assert_eq!(in_lists().await, [true, true, true, false]);
    assert_eq!(desk.store.letter(letter.id).await.unwrap(), letter);
    let journal = desk.store.journal_of(Subject::Letter(letter.id)).await;
    let kinds: Vec<ActKind> = journal.unwrap().iter().map(|act| act.kind).collect();
    assert_eq!(
        kinds,
        [
            ActKind::LetterDrafted,
            ActKind::LetterTakenAway,
            ActKind::LetterPutBack
        ]
    );
    let nowhere = LetterId::new(desk.uuid());
    assert!(is_missing(
        desk.store.take_away_letter(desk.stamp(), nowhere, 1).await
    ));
    assert!(is_missing(
        desk.store.put_back_letter(desk.stamp(), nowhere).await
    ));
}

pub async fn a_signed_letter_is_never_taken_away(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let letter = desk.draft(visit.id).await;
    let signed = desk
        .store
        .sign_letter(desk.stamp(), letter, 1, PAPER.to_vec())
        .await
        .unwrap();
    for seen in [1, 2] {
        assert!(is_frozen(
            desk.store
                .take_away_letter(desk.stamp(), signed.id, seen)
                .await
        ));
    }
    assert!(matches!(
        desk.store.put_back_letter(desk.stamp(), signed.id).await,
        Err(StoreError::NotTakenAway)
    ));
    assert_eq!(desk.store.letter(signed.id).await.unwrap(), signed);
}

pub async fn the_letters_signed_last_come_first(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let drafts = [
        desk.draft(visit.id).await,
        desk.draft(visit.id).await,
        desk.draft(visit.id).await,
    ];
    let of_desk = async |most| {
        let signed = desk.store.letters_signed(most).await.unwrap();
        let own = signed.iter().filter(|l| l.visit.id == visit.id);
        own.map(|l| l.letter.id).collect::<Vec<_>>()
    };
    assert!(of_desk(u32::MAX).await.is_empty());
    let [one, two, three] = drafts.clone().map(|l| l.id);
    for place in [1, 0, 2] {
        desk.store
            .sign_letter(desk.stamp(), drafts[place].clone(), 1, PAPER.to_vec())
            .await
            .unwrap();
    }
    assert_eq!(of_desk(u32::MAX).await, [three, one, two]);
    assert_eq!(desk.store.letters_signed(2).await.unwrap().len(), 2);
}

pub async fn a_signed_letter_gives_its_paper_back_and_its_seal_holds(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let letter = desk.draft(visit.id).await;
    let no_paper = desk
        .store
        .sign_letter(desk.stamp(), letter.clone(), 1, b"hello".to_vec())
        .await;
    assert!(is_refused(no_paper), "a letter is signed with its PDF");
    let unknown = LetterRecord {
        id: LetterId::new(desk.uuid()),
        ..letter.clone()
    };
    let unknown = desk
        .store
        .sign_letter(desk.stamp(), unknown, 0, PAPER.to_vec())
        .await;
    assert!(is_missing(unknown), "only what was drafted is signed");
    let stamp = desk.stamp();
    desk.store
        .sign_letter(stamp, letter.clone(), 1, PAPER.to_vec())
        .await
        .unwrap();
    let signed = desk.store.letter(letter.id).await.unwrap();
    assert_eq!(signed.seal_holds(), Some(true));
    assert_eq!(signed.facts, letter.facts);
    let LetterState::Signed { at, by, pdf, .. } = signed.state else {
        panic!("not signed")
    };
    assert_eq!((at, by, pdf), (stamp.at, stamp.by, ContentHash::of(PAPER)));
    // A finished letter is not brought in from outside.
    let forged = LetterRecord {
        id: LetterId::new(desk.uuid()),
        ..signed
    };
    assert!(is_refused(
        desk.store.save_letter(desk.stamp(), forged, 0).await
    ));
}

pub async fn an_addendum_needs_a_signed_letter_of_the_same_patient(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let first = desk.draft(visit.id).await;
    let addendum = |to| LetterRecord {
        id: LetterId::new(desk.uuid()),
        addendum_to: Some(to),
        ..first.clone()
    };
    let nowhere = addendum(LetterId::new(desk.uuid()));
    assert!(is_missing(
        desk.store.save_letter(desk.stamp(), nowhere, 0).await
    ));
    assert!(is_refused(
        desk.store
            .save_letter(desk.stamp(), addendum(first.id), 0)
            .await
    ));
    desk.store
        .sign_letter(desk.stamp(), first.clone(), 1, PAPER.to_vec())
        .await
        .unwrap();
    let stranger = LetterRecord {
        visit: desk.visit().await.id,
        ..addendum(first.id)
    };
    assert!(is_refused(
        desk.store.save_letter(desk.stamp(), stranger, 0).await
    ));
    let second = addendum(first.id);
    desk.store
        .save_letter(desk.stamp(), second.clone(), 0)
        .await
        .unwrap();
    let all = desk.store.letters_of(visit.patient).await.unwrap();
    assert_eq!(
        all.iter().map(|l| l.id).collect::<Vec<_>>(),
        [first.id, second.id]
    );
}
