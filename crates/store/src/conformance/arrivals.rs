//! Promises about films that come in without a person at the page.

use super::desk::{Desk, is_frozen, is_missing, is_refused, is_taken, together};
use record::{
    ActKind, ArrivalId, ArrivalRecord, ArrivalState, ArrivalWay, ClinicianId, ContentHash,
    FilmRecord, FilmSays, Patient, Stamp, Subject,
};
use terms::{Side, View};

impl Desk {
    fn by_the_program(&self) -> Stamp {
        Stamp {
            by: ClinicianId::PROGRAM,
            ..self.stamp()
        }
    }

    /// With an instance of its own, not yet stored.
    fn some_arrival(&self, bytes: &[u8]) -> ArrivalRecord {
        let id = self.uuid();
        ArrivalRecord {
            id: ArrivalId::new(id),
            instance: format!("2.25.{}", id.as_u128()),
            content: ContentHash::of(bytes),
            came_at: self.stamp().at,
            way: ArrivalWay::Network {
                title: "XRAY".into(),
            },
            file_name: String::new(),
            says: FilmSays {
                chart_number: Some("C-1".into()),
                issuer: Some("Invented House".into()),
                name: Some("Pérson^Invented".into()),
                born_on: Some(time::macros::date!(1961 - 03 - 04)),
                modality: Some("DX".into()),
                view: Some(View::Lateral),
                side: Some(Side::Left),
                taken_on: Some(self.day(0)),
            },
            other_bytes: false,
            state: ArrivalState::Waiting,
        }
    }

    async fn arrival(&self) -> (ArrivalRecord, Vec<u8>) {
        let bytes = self.uuid().as_bytes().to_vec();
        let arrival = self.some_arrival(&bytes);
        let stamp = self.by_the_program();
        let kept = self
            .store
            .keep_arrival(stamp, arrival.clone(), bytes.clone())
            .await
            .unwrap();
        assert_eq!(kept, arrival);
        (arrival, bytes)
    }

    async fn waits(&self, id: ArrivalId) -> bool {
        let waiting = self.store.arrivals_waiting().await.unwrap();
        waiting.iter().any(|a| a.id == id)
    }
}

pub async fn a_film_that_came_in_comes_back_with_every_byte_and_every_field(desk: Desk) {
    let before = desk.store.count_arrivals_waiting().await.unwrap();
    let bytes: Vec<u8> = (0..200_000_u32).map(|i| (i * 11 % 256) as u8).collect();
    let full = desk.some_arrival(&bytes);
    let bare = ArrivalRecord {
        way: ArrivalWay::Folder,
        file_name: "IMG 1.dcm".into(),
        says: FilmSays::default(),
        ..desk.some_arrival(&bytes)
    };
    let handed = ArrivalRecord {
        way: ArrivalWay::Web,
        ..desk.some_arrival(&bytes)
    };
    for arrival in [&full, &bare, &handed] {
        let stamp = desk.by_the_program();
        desk.store
            .keep_arrival(stamp, arrival.clone(), bytes.clone())
            .await
            .unwrap();
        assert_eq!(desk.store.arrival(arrival.id).await.unwrap(), *arrival);
        assert_eq!(desk.store.arrival_bytes(arrival.id).await.unwrap(), bytes);
        let acts = desk
            .store
            .journal_of(Subject::Arrival(arrival.id))
            .await
            .unwrap();
        let told: Vec<_> = acts.iter().map(|a| (a.kind, a.by)).collect();
        assert_eq!(told, [(ActKind::ArrivalKept, ClinicianId::PROGRAM)]);
    }
    assert_eq!(
        desk.store.count_arrivals_waiting().await.unwrap(),
        before + 3
    );
    let waiting = desk.store.arrivals_waiting().await.unwrap();
    let ours: Vec<_> = waiting
        .into_iter()
        .filter(|a| [full.id, bare.id, handed.id].contains(&a.id))
        .collect();
    assert_eq!(ours, [full.clone(), bare, handed]);
    let patient = desk.store.patient_behind(Subject::Arrival(full.id)).await;
    assert_eq!(patient.unwrap(), None);
    let same_id = ArrivalRecord {
        instance: "2.25.7".into(),
        ..full.clone()
    };
    assert!(is_taken(
        desk.store
            .keep_arrival(desk.stamp(), same_id, bytes.clone())
            .await
    ));
    let other = desk.some_arrival(b"one film");
    assert!(is_refused(
        desk.store
            .keep_arrival(desk.stamp(), other.clone(), b"another film".to_vec())
            .await
    ));
    assert!(is_missing(desk.store.arrival(other.id).await));
    assert!(is_missing(desk.store.arrival_bytes(other.id).await));
}

pub async fn the_same_film_twice_waits_once_and_with_other_bytes_it_waits_and_says_so(desk: Desk) {
    let (first, bytes) = desk.arrival().await;
    let end = desk.store.trail_end().await.unwrap();
    let again = ArrivalRecord {
        id: ArrivalId::new(desk.uuid()),
        way: ArrivalWay::Folder,
        ..first.clone()
    };
    let stamp = desk.by_the_program();
    let kept = desk.store.keep_arrival(stamp, again.clone(), bytes).await;
    assert_eq!(kept.unwrap(), first);
    assert!(is_missing(desk.store.arrival(again.id).await));
    assert_eq!(
        desk.store.trail_end().await.unwrap(),
        end,
        "nothing was done"
    );
    let other = desk.uuid().as_bytes().to_vec();
    let changed = ArrivalRecord {
        content: ContentHash::of(&other),
        ..again
    };
    let stamp = desk.by_the_program();
    let kept = desk.store.keep_arrival(stamp, changed.clone(), other).await;
    let expected = ArrivalRecord {
        other_bytes: true,
        ..changed
    };
    assert_eq!(kept.unwrap(), expected);
    assert_eq!(desk.store.arrival(expected.id).await.unwrap(), expected);
    assert!(desk.waits(first.id).await && desk.waits(expected.id).await);
}

pub async fn many_sends_of_one_film_at_once_leave_one(desk: Desk) {
    let bytes = desk.uuid().as_bytes().to_vec();
    let first = desk.some_arrival(&bytes);
    let sends = (0..8)
        .map(|_| {
            let arrival = ArrivalRecord {
                id: ArrivalId::new(desk.uuid()),
                ..first.clone()
            };
            let stamp = desk.by_the_program();
            desk.store.keep_arrival(stamp, arrival, bytes.clone())
        })
        .collect();
    let kept: Vec<ArrivalRecord> = together(sends)
        .await
        .into_iter()
        .map(Result::unwrap)
        .collect();
    assert!(kept.iter().all(|a| a == &kept[0]), "{kept:?}");
    let waiting = desk.store.arrivals_waiting().await.unwrap();
    let ours = waiting.iter().filter(|a| a.instance == first.instance);
    assert_eq!(ours.count(), 1);
    assert_eq!(
        desk.store.arrival_bytes(kept[0].id).await.unwrap(),
        bytes,
        "a send that came second took no file away"
    );
}

pub async fn a_film_that_waits_is_taken_into_a_visit_once_and_its_entry_is_of_that_film(
    desk: Desk,
) {
    let (arrival, bytes) = desk.arrival().await;
    let visit = desk.visit().await;
    let film = desk.some_film(&visit, &bytes);
    let strange = FilmRecord {
        patient: desk.patient().await.id,
        ..film.clone()
    };
    let other = desk.some_film(&visit, b"other bytes");
    for bad in [strange, other] {
        let refused = desk.store.take_arrival(desk.stamp(), arrival.id, bad).await;
        assert!(is_refused(refused));
    }
    assert!(desk.waits(arrival.id).await);
    assert!(is_missing(desk.store.film(film.id).await));
    let stamp = desk.by_the_program();
    desk.store
        .take_arrival(stamp, arrival.id, film.clone())
        .await
        .unwrap();
    assert_eq!(desk.store.film(film.id).await.unwrap(), film);
    assert_eq!(desk.store.film_bytes(film.id).await.unwrap(), bytes);
    let of_visit = desk.store.films_of_visit(visit.id).await.unwrap();
    assert_eq!(of_visit, std::slice::from_ref(&film));
    assert!(!desk.waits(arrival.id).await);
    let taken = ArrivalState::Taken {
        film: film.id,
        at: stamp.at,
        by: ClinicianId::PROGRAM,
    };
    assert_eq!(desk.store.arrival(arrival.id).await.unwrap().state, taken);
    let acts = desk.store.journal_of(Subject::Film(film.id)).await.unwrap();
    let told: Vec<_> = acts.iter().map(|a| (a.kind, a.by)).collect();
    assert_eq!(told, [(ActKind::ArrivalTaken, ClinicianId::PROGRAM)]);
    let behind = desk.store.patient_behind(Subject::Arrival(arrival.id));
    assert_eq!(behind.await.unwrap(), Some(visit.patient));
    let of_patient = desk.store.trail_of(visit.patient, 1).await.unwrap();
    assert_eq!(of_patient[0].person, Some(ClinicianId::PROGRAM));
    let again = desk.some_film(&visit, &bytes);
    assert!(is_frozen(
        desk.store
            .take_arrival(desk.stamp(), arrival.id, again)
            .await
    ));
    assert!(is_frozen(
        desk.store
            .put_away_arrival(desk.stamp(), arrival.id, "nobody's".into())
            .await
    ));
    assert!(is_frozen(
        desk.store.put_back_arrival(desk.stamp(), arrival.id).await
    ));
    // Sent once more it is still the one that was taken.
    let stamp = desk.by_the_program();
    let sent = desk.store.keep_arrival(stamp, arrival.clone(), bytes).await;
    assert_eq!(sent.unwrap().state, taken);
}

pub async fn a_film_that_somebody_brought_by_hand_is_named_and_not_doubled(desk: Desk) {
    let (arrival, bytes) = desk.arrival().await;
    let visit = desk.visit().await;
    let film = desk.some_film(&visit, &bytes);
    desk.store
        .import_film(desk.stamp(), film.clone(), bytes)
        .await
        .unwrap();
    desk.store
        .take_arrival(desk.stamp(), arrival.id, film.clone())
        .await
        .unwrap();
    let of_visit = desk.store.films_of_visit(visit.id).await.unwrap();
    assert_eq!(of_visit, [film]);
    assert!(!desk.waits(arrival.id).await);
}

pub async fn a_film_is_put_away_with_a_reason_and_put_back(desk: Desk) {
    let (first, bytes) = desk.arrival().await;
    let (second, _) = desk.arrival().await;
    assert!(is_refused(
        desk.store
            .put_away_arrival(desk.stamp(), first.id, " ".into())
            .await
    ));
    assert!(is_frozen(
        desk.store.put_back_arrival(desk.stamp(), first.id).await
    ));
    for id in [first.id, second.id] {
        desk.store
            .put_away_arrival(desk.stamp(), id, "of another house".into())
            .await
            .unwrap();
    }
    assert!(!desk.waits(first.id).await);
    let away = desk.store.arrivals_put_away(u32::MAX).await.unwrap();
    let ids: Vec<_> = away.iter().map(|a| a.id).collect();
    let place = |id| ids.iter().position(|a| *a == id).unwrap();
    assert!(
        place(second.id) < place(first.id),
        "the last one comes first"
    );
    assert!(matches!(
        &away[place(first.id)].state,
        ArrivalState::PutAway { reason, by, .. } if reason == "of another house" && *by == desk.clinician
    ));
    assert_eq!(desk.store.arrivals_put_away(1).await.unwrap().len(), 1);
    assert_eq!(desk.store.arrival_bytes(first.id).await.unwrap(), bytes);
    let visit = desk.visit().await;
    let film = desk.some_film(&visit, &bytes);
    assert!(is_frozen(
        desk.store.take_arrival(desk.stamp(), first.id, film).await
    ));
    desk.store
        .put_back_arrival(desk.stamp(), first.id)
        .await
        .unwrap();
    assert_eq!(desk.store.arrival(first.id).await.unwrap(), first);
    assert!(desk.waits(first.id).await);
    let acts = desk
        .store
        .journal_of(Subject::Arrival(first.id))
        .await
        .unwrap();
    let kinds: Vec<_> = acts.iter().map(|a| a.kind).collect();
    assert_eq!(
        kinds,
        [
            ActKind::ArrivalKept,
            ActKind::ArrivalPutAway,
            ActKind::ArrivalPutBack
        ]
    );
}

pub async fn a_chart_number_finds_its_patient_whatever_its_capitals(desk: Desk) {
    let id = desk.uuid();
    for number in [format!("T-{id}x"), format!("Tä-{id}")] {
        let patient = Patient {
            chart_number: number.clone(),
            ..desk.some_patient("Invented", "Person")
        };
        desk.store
            .add_patient(desk.stamp(), patient.clone())
            .await
            .unwrap();
        for asked in [number.clone(), format!("  {} ", number.to_uppercase())] {
            let found = desk.store.patients_numbered(asked).await.unwrap();
            assert_eq!(found, std::slice::from_ref(&patient));
        }
        let longer = desk.store.patients_numbered(format!("{number}0")).await;
        assert_eq!(longer.unwrap(), []);
    }
    assert_eq!(desk.store.patients_numbered(" ".into()).await.unwrap(), []);
}
