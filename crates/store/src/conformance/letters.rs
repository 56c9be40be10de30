//! Promises about letters.

use super::desk::{Desk, PAPER, is_frozen, is_missing, is_refused};
use crate::StoreError;
use record::{ContentHash, LetterId, LetterRecord, LetterState};
use serde_json::json;

pub async fn a_draft_changes_until_it_is_signed_and_then_never(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let mut letter = desk.draft(visit.id).await;
    assert_eq!(desk.store.letter(letter.id).await.unwrap(), letter);
    letter.title = "A better title".into();
    letter.facts.body["z"] = json!(2);
    desk.store
        .save_letter(desk.stamp(), letter.clone())
        .await
        .unwrap();
    assert_eq!(
        desk.store.letters_of_visit(visit.id).await.unwrap(),
        [letter.clone()]
    );
    assert!(matches!(
        desk.store.letter_pdf(letter.id).await,
        Err(StoreError::NotSigned)
    ));
    let waits = async || {
        let waiting = desk.store.letters_waiting().await.unwrap();
        waiting
            .iter()
            .any(|(l, p)| l.id == letter.id && p.id == visit.patient)
    };
    assert!(waits().await);

    let signed = desk
        .store
        .sign_letter(desk.stamp(), letter.id, PAPER.to_vec())
        .await
        .unwrap();
    assert!(!waits().await);
    let changed = LetterRecord {
        title: "Another".into(),
        ..letter.clone()
    };
    assert!(is_frozen(
        desk.store.save_letter(desk.stamp(), changed).await
    ));
    let again = desk
        .store
        .sign_letter(desk.stamp(), letter.id, b"%PDF-other".to_vec())
        .await;
    assert!(is_frozen(again));
    assert_eq!(desk.store.letter(letter.id).await.unwrap(), signed);
    assert_eq!(desk.store.letter_pdf(letter.id).await.unwrap(), PAPER);
}

pub async fn a_signed_letter_gives_its_paper_back_and_its_seal_holds(desk: Desk) {
    desk.with_clinician().await;
    let visit = desk.visit().await;
    let letter = desk.draft(visit.id).await;
    let no_paper = desk
        .store
        .sign_letter(desk.stamp(), letter.id, b"hello".to_vec())
        .await;
    assert!(is_refused(no_paper), "a letter is signed with its PDF");
    let stamp = desk.stamp();
    desk.store
        .sign_letter(stamp, letter.id, PAPER.to_vec())
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
        desk.store.save_letter(desk.stamp(), forged).await
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
        desk.store.save_letter(desk.stamp(), nowhere).await
    ));
    assert!(is_refused(
        desk.store
            .save_letter(desk.stamp(), addendum(first.id))
            .await
    ));
    desk.store
        .sign_letter(desk.stamp(), first.id, PAPER.to_vec())
        .await
        .unwrap();
    let stranger = LetterRecord {
        visit: desk.visit().await.id,
        ..addendum(first.id)
    };
    assert!(is_refused(
        desk.store.save_letter(desk.stamp(), stranger).await
    ));
    let second = addendum(first.id);
    desk.store
        .save_letter(desk.stamp(), second.clone())
        .await
        .unwrap();
    let all = desk.store.letters_of(visit.patient).await.unwrap();
    assert_eq!(
        all.iter().map(|l| l.id).collect::<Vec<_>>(),
        [first.id, second.id]
    );
}
