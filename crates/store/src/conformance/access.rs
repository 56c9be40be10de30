//! Promises about accounts, sessions, the trail, closed records, and what a lab and a reader may see.

use super::desk::{Desk, PAPER, SOLIDS, is_missing, is_taken, together};
use crate::StoreError;
use record::{
    Account, AccountId, Clinician, ClinicianId, Noted, Opening, ReadingAsked, Release, Role,
    Session, Subject, ToNote, TrailEntry,
};
use time::Duration;

impl Desk {
    pub(super) fn noting(&self, kind: Noted) -> ToNote {
        ToNote {
            at: self.stamp().at,
            account: None,
            person: None,
            kind,
            patient: None,
            detail: "invented".into(),
        }
    }

    async fn somebody(&self, name: &str) -> ClinicianId {
        let id = ClinicianId::new(self.uuid());
        let person = Clinician {
            id,
            name: name.into(),
            qualification: String::new(),
            active: true,
        };
        self.store
            .save_clinician(self.stamp(), person)
            .await
            .unwrap();
        id
    }

    pub(super) async fn new_account(&self, login: &str, role: Role) -> Account {
        let person = self.somebody(login).await;
        let account = Account {
            id: AccountId::new(self.uuid()),
            person,
            login: format!("{login}-{}", self.uuid().simple()),
            roles: vec![role],
            active: true,
            passphrase: Some("$argon2id$invented".into()),
            must_choose: true,
            one_time: None,
            recovery: vec!["a".into(), "b".into()],
            failures: 0,
            failed_at: None,
            revision: 0,
        };
        self.store
            .save_account(self.noting(Noted::AccountSaved), account)
            .await
            .unwrap()
    }

    async fn whole_trail(&self) -> Vec<TrailEntry> {
        self.store.trail(0, u32::MAX).await.unwrap()
    }
}

pub async fn an_account_comes_back_as_saved_and_its_name_belongs_to_it_alone(desk: Desk) {
    let kept = desk.new_account("Zoë", Role::Assistant).await;
    assert_eq!(kept.revision, 1);
    assert_eq!(desk.store.account(kept.id).await.unwrap(), kept);
    let typed = kept.login.to_uppercase().replace('Ë', "E");
    assert_eq!(
        desk.store.account_named(typed.clone()).await.unwrap(),
        Some(kept.clone()),
        "capitals and accents aside"
    );
    assert!(desk.store.has_accounts().await.unwrap());
    assert!(desk.store.accounts().await.unwrap().contains(&kept));
    let other = Account {
        id: AccountId::new(desk.uuid()),
        login: typed,
        revision: 0,
        ..kept.clone()
    };
    let note = || desk.noting(Noted::AccountSaved);
    assert!(is_taken(desk.store.save_account(note(), other).await));
    assert!(matches!(
        desk.store
            .save_account(
                note(),
                Account {
                    revision: 0,
                    ..kept.clone()
                }
            )
            .await,
        Err(StoreError::ChangedMeanwhile {
            seen: 0,
            found: 1,
            ..
        })
    ));
    let nobody = Account {
        person: ClinicianId::new(desk.uuid()),
        ..kept.clone()
    };
    assert!(is_missing(desk.store.save_account(note(), nobody).await));
    let none = Account {
        roles: Vec::new(),
        ..kept.clone()
    };
    assert!(matches!(
        desk.store.save_account(note(), none).await,
        Err(StoreError::Refused(_))
    ));
    assert_eq!(desk.store.account(kept.id).await.unwrap(), kept);
}

pub async fn a_session_is_its_accounts_until_it_is_ended(desk: Desk) {
    let account = desk.new_account("mara", Role::Clinician).await;
    let at = desk.stamp().at;
    let begun = |n: u8| Session {
        token: format!("{:0>62}{n:02}", desk.uuid().simple().to_string()),
        account: account.id,
        begun_at: at,
        seen_at: at,
        ended_at: None,
    };
    let (here, there) = (begun(1), begun(2));
    for session in [&here, &there] {
        desk.store
            .begin_session(desk.noting(Noted::SignedIn), session.clone())
            .await
            .unwrap();
    }
    let found = |token: &str| desk.store.session(token.to_owned());
    assert_eq!(
        found(&here.token).await.unwrap(),
        Some((here.clone(), account.clone()))
    );
    assert_eq!(found(&"0".repeat(64)).await.unwrap(), None);
    let later = at + Duration::minutes(5);
    desk.store
        .touch_session(here.token.clone(), later)
        .await
        .unwrap();
    assert_eq!(found(&here.token).await.unwrap().unwrap().0.seen_at, later);
    desk.store
        .end_sessions(
            desk.noting(Noted::SignedOut),
            account.id,
            Some(here.token.clone()),
        )
        .await
        .unwrap();
    assert!(
        found(&there.token)
            .await
            .unwrap()
            .unwrap()
            .0
            .ended_at
            .is_some()
    );
    assert!(
        found(&here.token)
            .await
            .unwrap()
            .unwrap()
            .0
            .ended_at
            .is_none()
    );
    desk.store
        .end_session(desk.noting(Noted::SignedOut), here.token.clone())
        .await
        .unwrap();
    assert!(
        found(&here.token)
            .await
            .unwrap()
            .unwrap()
            .0
            .ended_at
            .is_some()
    );
}

pub async fn the_trail_counts_on_and_every_entry_holds_the_one_before(desk: Desk) {
    let patient = desk.patient().await;
    let mut looks = Vec::new();
    for n in 0..20 {
        let note = ToNote {
            patient: (n % 2 == 0).then_some(patient.id),
            ..desk.noting(Noted::Saw)
        };
        looks.push(desk.store.note(note));
    }
    let mut numbers: Vec<u64> = Vec::new();
    for number in together(looks).await {
        numbers.push(number.unwrap());
    }
    let trail = desk.whole_trail().await;
    let mut before = String::new();
    for (place, entry) in trail.iter().enumerate() {
        assert_eq!(entry.number, place as u64 + 1);
        assert_eq!(entry.hash, entry.hash_after(&before));
        before = entry.hash.clone();
    }
    numbers.sort_unstable();
    numbers.dedup();
    assert_eq!(numbers.len(), 20);
    assert_eq!(desk.store.trail_end().await.unwrap(), trail.last().cloned());
    let of: Vec<Noted> = desk
        .store
        .trail_of(patient.id, 11)
        .await
        .unwrap()
        .iter()
        .map(|e| e.kind)
        .collect();
    assert_eq!(of.len(), 11, "ten looks and the adding");
    assert_eq!(of.iter().filter(|k| **k == Noted::Saw).count(), 10);
    assert_eq!(of[10], Noted::Did);
}

pub async fn an_act_and_its_entry_in_the_trail_come_together(desk: Desk) {
    let patient = desk.patient().await;
    let before = desk.whole_trail().await.len();
    assert!(is_taken(
        desk.store.add_patient(desk.stamp(), patient.clone()).await
    ));
    assert_eq!(desk.whole_trail().await.len(), before, "a refused act");
    let visit = desk.visit_of(patient.id, desk.day(0)).await;
    let entry = desk.whole_trail().await.pop().unwrap();
    assert_eq!((entry.kind, entry.patient), (Noted::Did, Some(patient.id)));
    assert!(
        entry.detail.contains(&visit.id.to_string()),
        "{}",
        entry.detail
    );
    assert!(
        !entry.detail.contains(&patient.family_name),
        "{}",
        entry.detail
    );
    assert_eq!(
        desk.store
            .patient_behind(Subject::Visit(visit.id))
            .await
            .unwrap(),
        Some(patient.id)
    );
    assert_eq!(
        desk.store.patient_behind(Subject::Practice).await.unwrap(),
        None
    );
    assert!(is_missing(
        desk.store
            .patient_behind(Subject::Visit(record::VisitId::new(desk.uuid())))
            .await
    ));
    assert_eq!(desk.store.verify().await.unwrap(), Vec::<String>::new());
}

pub async fn a_closed_record_names_whom_it_is_open_to_until_it_is_opened(desk: Desk) {
    let (patient, other) = (desk.patient().await, desk.patient().await);
    let doctor = desk.somebody("Doctor").await;
    let note = || ToNote {
        patient: Some(patient.id),
        ..desk.noting(Noted::Closed)
    };
    desk.store
        .set_closure(note(), patient.id, Some(vec![doctor]))
        .await
        .unwrap();
    let closed = desk.store.closure(patient.id).await.unwrap().unwrap();
    assert_eq!(
        (closed.patient, &closed.open_to),
        (patient.id, &vec![doctor])
    );
    assert!(desk.store.closures().await.unwrap().contains(&closed));
    assert_eq!(desk.store.closure(other.id).await.unwrap(), None);

    let colleague = desk.somebody("Colleague").await;
    assert_eq!(
        desk.store.opening(patient.id, colleague).await.unwrap(),
        None
    );
    let opening = Opening {
        patient: patient.id,
        by: colleague,
        at: desk.stamp().at,
        until: desk.stamp().at + Duration::hours(1),
        reason: "Fell in the waiting room; nobody else is here.".into(),
    };
    let silent = Opening {
        reason: "because".into(),
        ..opening.clone()
    };
    assert!(matches!(
        desk.store.break_glass(note(), silent).await,
        Err(StoreError::Refused(_))
    ));
    desk.store
        .break_glass(note(), opening.clone())
        .await
        .unwrap();
    assert_eq!(
        desk.store.opening(patient.id, colleague).await.unwrap(),
        Some(opening)
    );
    desk.store
        .set_closure(note(), patient.id, None)
        .await
        .unwrap();
    assert_eq!(desk.store.closure(patient.id).await.unwrap(), None);
}

pub async fn a_lab_is_shown_sent_orders_alone_and_a_reader_the_films_asked_for(desk: Desk) {
    let lab = desk.new_account("lab", Role::Lab).await;
    let visit = desk.visit().await;
    let order = desk.order(&visit).await;
    let release = Release {
        order: order.id,
        to: lab.id,
        with_name: false,
        at: desk.stamp().at,
        act: desk.stamp().act,
    };
    let note = || desk.noting(Noted::Released);
    assert_eq!(
        desk.store.release_order(note(), release.clone()).await,
        Err(StoreError::NotSent)
    );
    desk.store
        .send_order(
            desk.stamp(),
            order.id,
            order.revision,
            PAPER.into(),
            SOLIDS.into(),
        )
        .await
        .unwrap();
    desk.store
        .release_order(note(), release.clone())
        .await
        .unwrap();
    let with_name = Release {
        with_name: true,
        ..release.clone()
    };
    desk.store
        .release_order(note(), with_name.clone())
        .await
        .unwrap();
    let shown = desk.store.releases_to(lab.id).await.unwrap();
    assert_eq!(shown.len(), 1);
    assert_eq!((&shown[0].0, shown[0].1.id), (&with_name, order.id));
    assert_eq!(desk.store.releases_of(order.id).await.unwrap(), [with_name]);
    desk.store
        .take_back_release(note(), order.id, lab.id)
        .await
        .unwrap();
    assert!(desk.store.releases_to(lab.id).await.unwrap().is_empty());

    let reader = desk.new_account("reader", Role::Reader).await;
    let film = desk.film().await;
    let asked = ReadingAsked {
        film: film.id,
        of: reader.id,
        at: desk.stamp().at,
    };
    for _ in 0..2 {
        desk.store
            .ask_reading(desk.noting(Noted::Asked), asked.clone())
            .await
            .unwrap();
    }
    assert_eq!(
        desk.store.readings_asked_of(reader.id).await.unwrap(),
        [(asked.clone(), film.clone())]
    );
    assert_eq!(
        desk.store.readings_asked_on(film.id).await.unwrap(),
        [asked]
    );
    assert!(is_missing(
        desk.store
            .readings_asked_of(AccountId::new(desk.uuid()))
            .await
    ));
}
