//! Films that came in by themselves: what the page shows, who sees it, what a person can do.

use super::access::{does, sees, somebody, with_accounts};
use super::common::Practice;
pub use super::common::{comes_in, film_of};
use axum::http::StatusCode;
use record::{ClinicianId, Role};
use terms::{Stance, View};

async fn waiting(practice: &Practice) -> Vec<String> {
    let all = practice.state.store.arrivals_waiting().await.unwrap();
    all.iter().map(|a| a.id.to_string()).collect()
}

async fn films(practice: &Practice, visit: &str) -> usize {
    let visit = visit.trim_start_matches("/visit/").parse().unwrap();
    practice
        .state
        .store
        .films_of_visit(visit)
        .await
        .unwrap()
        .len()
}

#[tokio::test]
async fn a_film_goes_where_it_is_clear_whose_it_is_and_waits_where_not() {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Mae", "Invented", "C-7", "1961-03-04", "female")
        .await;
    comes_in(&practice, film_of("C-7", "Invented^Mae", 1)).await;
    assert_eq!(waiting(&practice).await.len(), 1, "there is no visit yet");
    let page = practice.get("/arrivals").await.text();
    assert!(page.contains("has no visit of 24 November 2026"), "{page}");
    assert!(page.contains("a new visit of 24"), "{page}");
    let visit = practice.start_visit(&patient, "sore").await;
    let page = practice.get("/arrivals").await.text();
    assert!(
        page.contains("Since it came in, a visit of 24 November 2026"),
        "{page}"
    );
    comes_in(&practice, film_of("c-7", "Invented^M", 2)).await;
    assert_eq!(waiting(&practice).await.len(), 1);
    assert_eq!(films(&practice, &visit).await, 1);
    let film = practice.state.store.films_waiting().await.unwrap();
    assert_eq!(film[0].film.view, Some(View::Lateral));
    assert_eq!(film[0].film.stance, Stance::Standing);
    assert!(film[0].film.scale_answer.is_some());
    let acts = practice.state.store.journal(0, 1000).await.unwrap();
    let last = acts.last().unwrap();
    assert_eq!(last.by, ClinicianId::PROGRAM);
    // A second visit of the day: nobody can be sure which.
    practice.start_visit(&patient, "once more").await;
    comes_in(&practice, film_of("C-7", "Invented^Mae", 3)).await;
    let page = practice.get("/arrivals").await.text();
    assert!(
        page.contains("more than one visit of 24 November 2026"),
        "{page}"
    );
    assert!(
        page.contains("Films that wait <span class=\"count\">2</span>"),
        "{page}"
    );
}

#[tokio::test]
async fn a_person_takes_a_film_into_a_visit_or_opens_one_for_it() {
    let practice = Practice::started().await;
    let mae = practice
        .add_patient("Mae", "Invented", "C-7", "1961-03-04", "female")
        .await;
    let bo = practice
        .add_patient("Bo", "Invented", "C-8", "1971-03-04", "male")
        .await;
    let of_bo = practice.start_visit(&bo, "sore").await;
    comes_in(&practice, film_of("", "Invented^Mae", 1)).await;
    let id = waiting(&practice).await.remove(0);
    let page = practice.get("/arrivals").await.text();
    assert!(
        page.contains("a name alone never decides") && page.contains("the same name"),
        "{page}"
    );
    let take = format!("/arrival/{id}/take");
    let mae_id = mae.trim_start_matches("/patient/");
    let bo_visit = of_bo.trim_start_matches("/visit/");
    let wrong = practice
        .form(&take, &[("patient", mae_id), ("visit", bo_visit)])
        .await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    let none = practice
        .form(&take, &[("patient", mae_id), ("visit", "")])
        .await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    let film = practice
        .form(&take, &[("patient", mae_id), ("visit", "new")])
        .await
        .place();
    assert!(film.starts_with("/film/"), "{film}");
    assert_eq!(practice.get(&film).await.status, StatusCode::OK);
    assert_eq!(waiting(&practice).await, Vec::<String>::new());
    let again = practice
        .form(&take, &[("patient", mae_id), ("visit", "new")])
        .await;
    assert_eq!(again.status, StatusCode::CONFLICT, "{}", again.text());
    // Somebody whom neither number nor name tells is found by words.
    comes_in(&practice, film_of("Z", "Quite^Other", 2)).await;
    let id = waiting(&practice).await.remove(0);
    let found = practice
        .form(&format!("/arrival/{id}/find"), &[("words", "bo")])
        .await;
    assert!(found.text().contains("Take it in<span"), "{}", found.text());
    let taken = practice
        .form(
            &format!("/arrival/{id}/take"),
            &[
                ("patient", bo.trim_start_matches("/patient/")),
                ("visit", bo_visit),
            ],
        )
        .await;
    taken.place();
    assert_eq!(films(&practice, &of_bo).await, 1);
}

#[tokio::test]
async fn a_conflict_opens_no_visit_for_a_film_that_was_taken() {
    let practice = Practice::started().await;
    let mae = practice
        .add_patient("Mae", "Invented", "C-7", "1961-03-04", "female")
        .await;
    comes_in(&practice, film_of("", "Invented^Mae", 1)).await;
    let id = waiting(&practice).await.remove(0);
    let patient = mae.trim_start_matches("/patient/");
    for _ in 0..2 {
        let fields = [("patient", patient), ("visit", "new")];
        practice.form(&format!("/arrival/{id}/take"), &fields).await;
    }
    let visits = practice
        .state
        .store
        .visits_of(patient.parse().unwrap())
        .await;
    assert_eq!(visits.unwrap().len(), 1);
}

#[tokio::test]
async fn a_film_is_put_away_with_a_reason_and_comes_back() {
    let practice = Practice::started().await;
    comes_in(&practice, film_of("Z", "Quite^Other", 1)).await;
    let id = waiting(&practice).await.remove(0);
    let away = format!("/arrival/{id}/away");
    let refused = practice.form(&away, &[("reason", "  ")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    practice
        .form(&away, &[("reason", "sent by mistake")])
        .await
        .place();
    assert!(waiting(&practice).await.is_empty());
    let page = practice.get("/arrivals").await.text();
    assert!(
        page.contains("sent by mistake") && page.contains("Dr Ada Invented"),
        "{page}"
    );
    comes_in(&practice, film_of("Z", "Quite^Other", 1)).await;
    assert!(
        waiting(&practice).await.is_empty(),
        "put away stays put away"
    );
    practice
        .form(&format!("/arrival/{id}/back"), &[])
        .await
        .place();
    assert_eq!(waiting(&practice).await, std::slice::from_ref(&id));
    let picture = practice.get(&format!("/arrival/{id}/picture.png")).await;
    assert_eq!(picture.status, StatusCode::OK);
    let small = image::load_from_memory(&picture.bytes).unwrap();
    assert_eq!((small.width(), small.height()), (200, 134));
}

#[tokio::test]
async fn whoever_is_kept_out_of_a_record_is_kept_out_of_its_films_that_wait() {
    let (practice, ada) = with_accounts().await;
    let bob = somebody(&practice, &ada, "bob", Role::Assistant).await;
    let fields = [
        ("given_name", "Mae"),
        ("family_name", "Invented"),
        ("chart_number", "C-7"),
        ("born_on", "1961-03-04"),
    ];
    let added = does(&practice, &ada, "/patients/new", &fields).await;
    let patient = super::access::place(&added).to_owned();
    comes_in(&practice, film_of("C-7", "Invented^Mae", 1)).await;
    let id = waiting(&practice).await.remove(0);
    let picture = format!("/arrival/{id}/picture.png");
    assert_eq!(sees(&practice, &bob, &picture).await.status, StatusCode::OK);
    let closing = [("closed", "yes")];
    does(&practice, &ada, &format!("{patient}/closure"), &closing).await;
    let page = sees(&practice, &bob, "/arrivals").await.text();
    assert!(page.contains("a record that is closed to you"), "{page}");
    assert!(!page.contains("C-7") && !page.contains("Mae"), "{page}");
    let take = [
        ("patient", patient.trim_start_matches("/patient/")),
        ("visit", "new"),
    ];
    for (path, fields) in [
        (format!("/arrival/{id}/take"), take.as_slice()),
        (format!("/arrival/{id}/away"), &[("reason", "not here")]),
        (format!("/arrival/{id}/find"), &[("words", "x")]),
    ] {
        let answer = does(&practice, &bob, &path, fields).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path}");
    }
    assert_eq!(
        sees(&practice, &bob, &picture).await.status,
        StatusCode::FORBIDDEN
    );
    assert!(
        sees(&practice, &ada, "/arrivals")
            .await
            .text()
            .contains("C-7")
    );
    // A film that names nobody cannot be taken into the closed record either.
    comes_in(&practice, film_of("", "", 2)).await;
    let nobody = waiting(&practice).await.remove(1);
    let answer = does(&practice, &bob, &format!("/arrival/{nobody}/take"), &take).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    // Looking at the list is an entry of the trail.
    assert!(
        sees(&practice, &ada, "/trail")
            .await
            .text()
            .contains("/arrivals, 1 that wait")
    );
}

#[tokio::test]
async fn a_film_whose_picture_cannot_be_opened_is_kept_and_waits() {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Mae", "Invented", "C-7", "1961-03-04", "female")
        .await;
    practice.start_visit(&patient, "sore").await;
    let mut file = film_of("C-7", "Invented^Mae", 1);
    // Bits stored beyond those allocated: a whole object, but no picture.
    let tag = [0x28, 0x00, 0x01, 0x01, b'U', b'S', 0x02, 0x00];
    let at = file.windows(8).position(|w| w == tag).unwrap();
    file[at + 8] = 99;
    comes_in(&practice, file.clone()).await;
    let id = waiting(&practice).await.remove(0);
    let kept = practice
        .state
        .store
        .arrival_bytes(id.parse().unwrap())
        .await;
    assert_eq!(kept.unwrap(), file);
    let picture = practice.get(&format!("/arrival/{id}/picture.png")).await;
    assert_eq!(picture.status, StatusCode::UNPROCESSABLE_ENTITY);
}
