//! Promises about films, points, readings and joint wear.

use super::desk::{Desk, is_frozen, is_missing, is_refused, is_taken, kept};
use crate::StoreError;
use record::{DisplayTurn, FilmRecord, PointsToSave, WearGrade};
use serde_json::json;
use terms::{Joint, Stance, View};

pub async fn a_film_comes_back_with_every_byte_and_every_field(desk: Desk) {
    let visit = desk.visit().await;
    // Longer than one page, with every byte value in it.
    let bytes: Vec<u8> = (0..300_000_u32).map(|i| (i * 7 % 256) as u8).collect();
    let film = desk.some_film(&visit, &bytes);
    desk.store
        .import_film(desk.stamp(), film.clone(), bytes.clone())
        .await
        .unwrap();
    assert_eq!(desk.store.film(film.id).await.unwrap(), film);
    assert_eq!(desk.store.film_bytes(film.id).await.unwrap(), bytes);
    assert_eq!(
        desk.store.films_of_visit(visit.id).await.unwrap(),
        std::slice::from_ref(&film)
    );
    assert_eq!(
        desk.store.films_of(visit.patient).await.unwrap(),
        std::slice::from_ref(&film)
    );
    assert!(is_taken(
        desk.store.import_film(desk.stamp(), film, bytes).await
    ));
}

pub async fn a_film_whose_bytes_do_not_match_or_whose_patient_is_another_is_not_kept(desk: Desk) {
    let visit = desk.visit().await;
    let film = desk.some_film(&visit, b"one film");
    let other = b"another film".to_vec();
    assert!(is_refused(
        desk.store
            .import_film(desk.stamp(), film.clone(), other)
            .await
    ));
    let stranger = desk.patient().await;
    let strange = FilmRecord {
        patient: stranger.id,
        ..film.clone()
    };
    let bytes = b"one film".to_vec();
    assert!(is_refused(
        desk.store.import_film(desk.stamp(), strange, bytes).await
    ));
    assert!(is_missing(desk.store.film(film.id).await));
}

pub async fn what_is_known_of_a_film_changes_and_the_film_itself_does_not(desk: Desk) {
    let film = desk.film().await;
    let changed = FilmRecord {
        view: Some(View::Lateral),
        side: None,
        stance: Stance::Standing,
        taken_on: None,
        scale_wish: None,
        scale_answer: Some(kept("scale-answer", json!({"mm_per_px": 0.143}))),
        turn: DisplayTurn::default(),
        note: String::new(),
        ..film.clone()
    };
    desk.store
        .save_film(desk.stamp(), changed.clone())
        .await
        .unwrap();
    assert_eq!(desk.store.film(film.id).await.unwrap(), changed);
    let other_size = FilmRecord {
        width_px: 1,
        ..changed.clone()
    };
    let other_name = FilmRecord {
        file_name: "b".into(),
        ..changed.clone()
    };
    for bad in [other_size, other_name] {
        assert!(is_refused(desk.store.save_film(desk.stamp(), bad).await));
    }
    assert_eq!(desk.store.film(film.id).await.unwrap(), changed);
}

pub async fn the_same_file_taken_in_twice_is_two_films_of_one_content(desk: Desk) {
    let visit = desk.visit().await;
    let bytes = desk.uuid().as_bytes().to_vec();
    let (one, two) = (
        desk.some_film(&visit, &bytes),
        desk.some_film(&visit, &bytes),
    );
    for film in [&one, &two] {
        desk.store
            .import_film(desk.stamp(), film.clone(), bytes.clone())
            .await
            .unwrap();
    }
    assert_eq!(
        desk.store.films_with(one.content).await.unwrap(),
        [one.clone(), two.clone()]
    );
    // A third that is refused must not take the file of the other two with it.
    let again = desk
        .store
        .import_film(desk.stamp(), two.clone(), bytes.clone())
        .await;
    assert!(is_taken(again));
    assert_eq!(desk.store.film_bytes(one.id).await.unwrap(), bytes);
}

pub async fn points_are_saved_in_hand_until_finished_and_earlier_placings_stay(desk: Desk) {
    desk.with_clinician().await;
    let film = desk.film().await;
    let mut first = desk.some_points(film.id, false, 100.25);
    let record = desk
        .store
        .save_points(desk.stamp(), first.clone())
        .await
        .unwrap();
    assert_eq!((record.attempt, record.finished), (1, false));
    assert_eq!(record.reader_name, "Invented Clinician");
    assert_eq!(desk.store.points(first.id).await.unwrap(), record);

    let moved = desk.some_points(film.id, true, 101.5);
    first = PointsToSave {
        id: first.id,
        ..moved
    };
    let record = desk
        .store
        .save_points(desk.stamp(), first.clone())
        .await
        .unwrap();
    assert_eq!((record.attempt, record.finished), (1, true));
    assert_eq!(record.points, first.points);
    assert!(is_frozen(
        desk.store.save_points(desk.stamp(), first.clone()).await
    ));

    let second = desk.some_points(film.id, true, 99.0);
    let repeat = desk
        .store
        .save_points(desk.stamp(), second.clone())
        .await
        .unwrap();
    assert_eq!(repeat.attempt, 2);
    assert_eq!(
        desk.store.points_of(film.id).await.unwrap(),
        [record, repeat]
    );

    let elsewhere = desk.film().await;
    let stolen = PointsToSave {
        film: elsewhere.id,
        ..second
    };
    assert!(is_taken(desk.store.save_points(desk.stamp(), stolen).await));
}

pub async fn a_film_waits_until_no_placing_on_it_is_open_however_old_it_is(desk: Desk) {
    desk.with_clinician().await;
    let patient = desk.patient().await;
    let mut films = Vec::new();
    // Taken in in another order than their days.
    for offset in [-9000, 0, -400] {
        let visit = desk.visit_of(patient.id, desk.day(offset)).await;
        let bytes = desk.uuid().as_bytes().to_vec();
        let film = desk.some_film(&visit, &bytes);
        desk.store
            .import_film(desk.stamp(), film.clone(), bytes)
            .await
            .unwrap();
        films.push((film.id, visit.on));
    }
    let [old, new, middle] = [films[0], films[1], films[2]];
    let waiting = async || {
        let all = desk.store.films_waiting().await.unwrap();
        let own = all.into_iter().filter(|w| w.patient.id == patient.id);
        own.map(|w| ((w.film.id, w.visit_on), w.begun, w.read))
            .collect::<Vec<_>>()
    };
    let untouched = |film| (film, false, false);
    assert_eq!(
        waiting().await,
        [untouched(new), untouched(middle), untouched(old)]
    );
    let save = async |points: PointsToSave| {
        desk.store
            .save_points(desk.stamp(), points)
            .await
            .map(drop)
            .unwrap();
    };
    let mut first = desk.some_points(old.0, false, 1.0);
    save(first.clone()).await;
    save(desk.some_points(middle.0, true, 1.0)).await;
    assert_eq!(waiting().await, [untouched(new), (old, true, false)]);
    // A second reading that is begun waits beside the finished one.
    save(desk.some_points(middle.0, false, 2.0)).await;
    first.finished = true;
    save(first).await;
    assert_eq!(waiting().await, [untouched(new), (middle, true, true)]);
}

pub async fn a_reading_without_its_error_is_refused_and_not_kept(desk: Desk) {
    desk.with_clinician().await;
    let film = desk.film().await;
    let mut points = desk.some_points(film.id, true, 100.0);
    points.sheet.body["readings"][0]["estimate"]["standard_error"] = json!(null);
    assert!(is_refused(
        desk.store.save_points(desk.stamp(), points.clone()).await
    ));
    assert!(is_missing(desk.store.points(points.id).await));
}

pub async fn films_read_twice_come_with_their_finished_placings(desk: Desk) {
    desk.with_clinician().await;
    let (once, twice) = (desk.film().await, desk.film().await);
    let save = async |film, finished, x| {
        let points = desk.some_points(film, finished, x);
        desk.store.save_points(desk.stamp(), points).await.unwrap()
    };
    save(once.id, true, 1.0).await;
    save(once.id, false, 2.0).await;
    let first = save(twice.id, true, 3.0).await;
    let second = save(twice.id, true, 4.0).await;
    save(twice.id, false, 5.0).await;
    let found: Vec<_> = desk
        .store
        .films_read_twice()
        .await
        .unwrap()
        .into_iter()
        .filter(|(film, _)| [once.id, twice.id].contains(&film.id))
        .collect();
    assert_eq!(found, [(twice, vec![first, second])]);
}

pub async fn joint_wear_has_revisions(desk: Desk) {
    let film = desk.film().await;
    assert_eq!(desk.store.wear(film.id).await.unwrap(), None);
    let grades = [(Joint::Talonavicular, WearGrade::new(3).unwrap())];
    let first = desk
        .store
        .save_wear(desk.stamp(), film.id, grades.into(), 0)
        .await
        .unwrap();
    assert_eq!(first.revision, 1);
    let second = desk
        .store
        .save_wear(desk.stamp(), film.id, [].into(), 1)
        .await
        .unwrap();
    assert_eq!(desk.store.wear(film.id).await.unwrap(), Some(second));
    let stale = desk
        .store
        .save_wear(desk.stamp(), film.id, grades.into(), 1)
        .await;
    assert!(matches!(
        stale,
        Err(StoreError::ChangedMeanwhile {
            seen: 1,
            found: 2,
            ..
        })
    ));
}
