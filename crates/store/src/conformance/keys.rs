//! Promises about keys for machines and passkeys.

use super::desk::{Desk, is_missing, is_refused, is_taken};
use record::{
    AccountId, KeyId, MachineKey, MachineMay, Noted, Passkey, PasskeyId, Role, ToNote, TrailEntry,
};
use time::{Duration, macros::date};

impl Desk {
    fn some_key(&self) -> MachineKey {
        let id = self.uuid();
        MachineKey {
            id: KeyId::new(id),
            label: format!("archive {}", id.simple()),
            token: format!("{:0>64}", id.simple().to_string()),
            may: vec![MachineMay::ReadRecords, MachineMay::ReadFilms],
            closed_too: Some("Invented agreement with the hospital.".into()),
            made_at: self.stamp().at,
            made_by: self.clinician,
            last_used: None,
            taken_back: None,
        }
    }

    fn some_passkey(&self, account: AccountId) -> Passkey {
        Passkey {
            id: PasskeyId::new(self.uuid()),
            account,
            label: "the blue one".into(),
            credential: r#"{"invented":["ü",1]}"#.into(),
            made_at: self.stamp().at,
            used_at: None,
            taken_back: None,
        }
    }

    async fn last_entry(&self) -> TrailEntry {
        self.store.trail_end().await.unwrap().expect("a trail")
    }
}

pub async fn a_key_is_found_by_what_is_kept_of_its_token_until_and_after_it_is_taken_back(
    desk: Desk,
) {
    let key = desk.some_key();
    let found = || desk.store.key_of(key.token.clone());
    assert_eq!(found().await.unwrap(), None);
    let made = desk.noting(Noted::KeyMade);
    desk.store.make_key(made, key.clone()).await.unwrap();
    assert_eq!(found().await.unwrap(), Some(key.clone()));
    assert!(desk.store.keys().await.unwrap().contains(&key));
    let (day, earlier) = (date!(2026 - 11 - 24), date!(2026 - 11 - 20));
    for day in [day, earlier, day] {
        desk.store.key_used(key.id, day).await.unwrap();
    }
    assert_eq!(found().await.unwrap().unwrap().last_used, Some(day));
    let first = desk.noting(Noted::KeyTakenBack);
    let at = first.at;
    desk.store.take_back_key(first, key.id).await.unwrap();
    let again = desk.noting(Noted::KeyTakenBack);
    desk.store.take_back_key(again, key.id).await.unwrap();
    let kept = found().await.unwrap().unwrap();
    assert_eq!(kept.taken_back, Some(at), "the first time stays");
    assert!(!kept.opens(MachineMay::ReadRecords));
    let nobodys = KeyId::new(desk.uuid());
    let note = desk.noting(Noted::KeyTakenBack);
    assert!(is_missing(desk.store.take_back_key(note, nobodys).await));
}

pub async fn a_key_has_a_label_of_its_own_and_something_that_it_may(desk: Desk) {
    let key = desk.some_key();
    let note = || desk.noting(Noted::KeyMade);
    desk.store.make_key(note(), key.clone()).await.unwrap();
    let other = desk.some_key();
    let same = [
        MachineKey {
            id: key.id,
            ..other.clone()
        },
        MachineKey {
            label: key.label.to_uppercase(),
            ..other.clone()
        },
        MachineKey {
            token: key.token.clone(),
            ..other.clone()
        },
    ];
    for taken in same {
        assert!(is_taken(desk.store.make_key(note(), taken).await));
    }
    let broken = [
        MachineKey {
            label: " ".into(),
            ..other.clone()
        },
        MachineKey {
            may: Vec::new(),
            ..other.clone()
        },
        MachineKey {
            closed_too: Some("because".into()),
            ..other.clone()
        },
        MachineKey {
            token: "short".into(),
            ..other.clone()
        },
    ];
    for broken in broken {
        assert!(is_refused(desk.store.make_key(note(), broken).await));
    }
    assert_eq!(desk.store.key_of(other.token).await.unwrap(), None);
}

pub async fn every_change_of_keys_and_passkeys_is_in_the_trail_and_their_use_is_not(desk: Desk) {
    let key = desk.some_key();
    let note = |kind, detail: &str| ToNote {
        detail: detail.into(),
        ..desk.noting(kind)
    };
    let made = note(Noted::KeyMade, "key one made");
    desk.store.make_key(made, key.clone()).await.unwrap();
    let entry = desk.last_entry().await;
    assert_eq!(
        (entry.kind, entry.detail.as_str()),
        (Noted::KeyMade, "key one made")
    );
    let refused = note(Noted::KeyMade, "key one made again");
    assert!(is_taken(desk.store.make_key(refused, key.clone()).await));
    desk.store
        .key_used(key.id, date!(2026 - 11 - 24))
        .await
        .unwrap();
    assert_eq!(desk.last_entry().await, entry, "refused, and used");
    let back = note(Noted::KeyTakenBack, "key one");
    desk.store.take_back_key(back, key.id).await.unwrap();
    assert_eq!(desk.last_entry().await.kind, Noted::KeyTakenBack);

    let account = desk.new_account("pia", Role::Clinician).await.id;
    let passkey = desk.some_passkey(account);
    let added = note(Noted::PasskeyAdded, "passkey one");
    desk.store
        .add_passkey(added, passkey.clone())
        .await
        .unwrap();
    let entry = desk.last_entry().await;
    assert_eq!(entry.kind, Noted::PasskeyAdded);
    desk.store
        .passkey_used(passkey.id, "{}".into(), passkey.made_at)
        .await
        .unwrap();
    assert_eq!(desk.last_entry().await, entry);
    let back = note(Noted::PasskeyTakenBack, "passkey one");
    desk.store
        .take_back_passkey(back, account, passkey.id)
        .await
        .unwrap();
    assert_eq!(desk.last_entry().await.kind, Noted::PasskeyTakenBack);
}

pub async fn a_passkey_is_its_accounts_until_it_is_taken_back(desk: Desk) {
    let account = desk.new_account("pia", Role::Clinician).await.id;
    let other = desk.new_account("quin", Role::Assistant).await.id;
    let first = desk.some_passkey(account);
    let second = desk.some_passkey(account);
    let note = || desk.noting(Noted::PasskeyAdded);
    for passkey in [&first, &second] {
        desk.store
            .add_passkey(note(), passkey.clone())
            .await
            .unwrap();
    }
    assert_eq!(
        desk.store.passkeys_of(account).await.unwrap(),
        [first.clone(), second.clone()]
    );
    assert!(desk.store.passkeys_of(other).await.unwrap().is_empty());
    assert_eq!(desk.store.passkey(second.id).await.unwrap(), second);
    assert!(is_taken(
        desk.store.add_passkey(note(), first.clone()).await
    ));
    let fresh = || PasskeyId::new(desk.uuid());
    let broken = Passkey {
        id: fresh(),
        credential: "no JSON".into(),
        ..first.clone()
    };
    assert!(is_refused(desk.store.add_passkey(note(), broken).await));
    let nobodys = Passkey {
        id: fresh(),
        account: AccountId::new(desk.uuid()),
        ..first.clone()
    };
    assert!(is_missing(desk.store.add_passkey(note(), nobodys).await));

    let later = first.made_at + Duration::hours(1);
    let counted = r#"{"count":2}"#;
    desk.store
        .passkey_used(first.id, counted.into(), later)
        .await
        .unwrap();
    let used = desk.store.passkey(first.id).await.unwrap();
    assert_eq!(
        (used.credential.as_str(), used.used_at),
        (counted, Some(later))
    );
    let back = || desk.noting(Noted::PasskeyTakenBack);
    assert!(is_missing(
        desk.store.take_back_passkey(back(), other, first.id).await
    ));
    desk.store
        .take_back_passkey(back(), account, first.id)
        .await
        .unwrap();
    let kept = desk.store.passkey(first.id).await.unwrap();
    assert!(kept.taken_back.is_some());
    assert!(is_missing(
        desk.store.passkey_used(first.id, "{}".into(), later).await
    ));
    assert_eq!(desk.store.passkey(first.id).await.unwrap(), kept);
}
