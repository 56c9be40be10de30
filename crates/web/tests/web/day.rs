//! What a day begins and ends with: what waits on Today however old, what an undo takes back, and how the
//! two feet stand to each other over the visits.

use crate::common::html;
use crate::common::{Practice, lateral_points, plain_film};
use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};
use serde_json::json;

const STANDING: [(&str, &str); 2] = [("view", "lateral"), ("stance", "standing")];

async fn film(practice: &Practice, visit: &str, shade: u16, side: &str) -> String {
    let fields = [&STANDING[..], &[("side", side)]].concat();
    let bytes = plain_film(shade);
    practice
        .upload(visit, &bytes, "a.png", &fields)
        .await
        .place()
}

/// Saves a placing, a new one where none is `known`; answers with its id.
async fn place(practice: &Practice, film: &str, known: Option<&str>, finished: bool) -> String {
    let body = json!({"points": lateral_points(), "finished": finished, "points_id": known});
    let saved = practice.json(&format!("{film}/points"), &body).await;
    assert_eq!(saved.status, StatusCode::OK, "{}", saved.text());
    saved.json()["points_id"].as_str().unwrap().to_owned()
}

/// The rows of the list of films that wait, whole or folded: address and the words behind it.
fn films_waiting(page: &str) -> Vec<(String, String)> {
    let from = page
        .split_once("Films without finished points")
        .map_or("", |p| p.1);
    let list = from.split("</section>").next().unwrap_or_default();
    let list = list
        .split("Letters without a signature")
        .next()
        .unwrap_or_default();
    let tags = html::tags(list);
    let is_film = |t: &html::Tag| t.get("href").is_some_and(|h| h.starts_with("/film/"));
    let links = tags.iter().enumerate().filter(|(_, t)| is_film(t));
    links
        .map(|(i, a)| {
            let state = tags[i..].iter().find(|t| t.get("class") == Some("quiet"));
            (
                a.get("href").unwrap_or_default().to_owned(),
                state.map(|t| t.text.clone()).unwrap_or_default(),
            )
        })
        .collect()
}

#[tokio::test]
async fn films_and_drafts_wait_on_today_however_old_they_are_with_their_day() {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Anna", "Example", "A-1", "1968-03-02", "female")
        .await;
    practice.days_back(1000);
    let old = practice.start_visit(&patient, "").await;
    let untouched = film(&practice, &old, 1, "left").await;
    let begun = film(&practice, &old, 2, "right").await;
    let in_hand = place(&practice, &begun, None, false).await;
    let read = film(&practice, &old, 3, "left").await;
    place(&practice, &read, None, true).await;
    let form = [("kind", "to-patient"), ("recipient", "")];
    let letter = practice
        .form(&format!("{old}/letters"), &form)
        .await
        .place();
    practice.days_back(20);
    let later = practice.start_visit(&patient, "").await;
    let newer = film(&practice, &later, 4, "left").await;
    practice.days_back(0);

    let page = practice.get("/").await.text();
    assert_eq!(html::faults(&page), Vec::<String>::new());
    let told = |film: &String, words: &str| (film.clone(), words.to_owned());
    assert_eq!(
        films_waiting(&page),
        [
            told(&newer, "visit of 4 Nov 2026, no points yet"),
            told(&begun, "visit of 28 Feb 2024, points begun, not finished"),
            told(&untouched, "visit of 28 Feb 2024, no points yet"),
        ]
    );
    assert!(
        page.contains(&letter) && page.contains("drafted 28 Feb 2024"),
        "{page}"
    );
    // A second reading that is begun waits too, until it is finished.
    let again = place(&practice, &read, None, false).await;
    let page = practice.get("/").await.text();
    let second = "visit of 28 Feb 2024, read; another reading begun, not finished";
    assert!(
        films_waiting(&page).contains(&told(&read, second)),
        "{page}"
    );
    for (film, known) in [
        (&newer, None),
        (&begun, Some(in_hand.as_str())),
        (&untouched, None),
        (&read, Some(again.as_str())),
    ] {
        place(&practice, film, known, true).await;
    }
    practice
        .form(&letter, &[("revision", "1"), ("act", "sign")])
        .await
        .place();
    let page = practice.get("/").await.text();
    assert!(page.contains("Nothing waits."), "{page}");
}

#[tokio::test]
async fn many_films_that_wait_are_all_there_the_older_ones_folded_with_their_count() {
    let practice = Practice::started().await;
    let patient = practice.add_patient("Anna", "Example", "A-1", "", "").await;
    let mut films = Vec::new();
    for n in 0..15 {
        practice.days_back(100 * (15 - u64::from(n)));
        let visit = practice.start_visit(&patient, "").await;
        films.push(film(&practice, &visit, n, "left").await);
    }
    practice.days_back(0);
    let page = practice.get("/").await.text();
    let told: Vec<String> = films_waiting(&page).into_iter().map(|f| f.0).collect();
    films.reverse();
    assert_eq!(told, films);
    let (open, folded) = page.split_once("<summary>3 older films</summary>").unwrap();
    assert!(open.contains(&films[11]) && folded.contains(&films[12]));
    assert_eq!(html::faults(&page), Vec::<String>::new());
}

/// One answer as the page's script saves it; answers with the JSON.
async fn autosave(practice: &Practice, visit: &str, of: &str, field: &str) -> serde_json::Value {
    let request = Request::post(format!("{visit}/exam/{of}"))
        .header(header::HOST, "127.0.0.1:8000")
        .header("sec-fetch-site", "same-origin")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .header(header::ACCEPT, "application/json");
    let body = Body::from(field.to_owned());
    let saved = practice.send(request.body(body).unwrap()).await;
    assert_eq!(saved.status, StatusCode::OK, "{}", saved.text());
    saved.json()
}

/// The undo form of a sheet: is it offered, for which revision, and what does it say?
fn undo_of(page: &str, of: &str) -> (bool, String, String) {
    let tags = html::tags(page);
    let (form, words) = (format!("undo-{of}"), format!("undo-{of}-words"));
    let at = tags
        .iter()
        .position(|t| t.get("id") == Some(&form))
        .unwrap();
    let words = tags.iter().find(|t| t.get("id") == Some(&words)).unwrap();
    (
        tags[at].get("hidden").is_none(),
        tags[at + 1].get("value").unwrap_or_default().to_owned(),
        words.text.clone(),
    )
}

#[tokio::test]
async fn an_undo_says_what_it_takes_back_and_takes_back_that_answer_of_that_foot_alone() {
    let practice = Practice::started().await;
    let patient = practice.add_patient("Anna", "Example", "A-1", "", "").await;
    let visit = practice.start_visit(&patient, "").await;
    let heel = exam::question("heel_line").unwrap().words;
    let toes = exam::question("toes_seen").unwrap().words;
    let first = autosave(&practice, &visit, "left", "q.heel_line=slight").await;
    assert_eq!(
        first["undo"],
        serde_json::Value::Null,
        "the first save stays"
    );
    assert!(!undo_of(&practice.get(&visit).await.text(), "left").0);
    let second = autosave(&practice, &visit, "left", "revision=1&q.toes_seen=3").await;
    assert_eq!(second["undo"], format!("{toes}: back to not looked at."));
    let third = autosave(&practice, &visit, "left", "revision=2&q.heel_line=clear").await;
    let told = third["undo"].as_str().unwrap().to_owned();
    assert!(told.starts_with(&format!("{heel}: back to “")), "{told}");
    // The other foot is changed later, several answers at once.
    practice
        .answer(&visit, "right", &[("heel_line", "slight")])
        .await;
    let together = [("heel_line", "clear"), ("toes_seen", "2")];
    practice.answer(&visit, "right", &together).await;

    let page = practice.get(&visit).await.text();
    assert_eq!(html::faults(&page), Vec::<String>::new());
    assert_eq!(undo_of(&page, "left"), (true, "3".to_owned(), told));
    let right = undo_of(&page, "right");
    assert!(
        right.0 && right.2.starts_with("2 answers that were saved together: "),
        "{right:?}"
    );
    assert!(!undo_of(&page, "person").0);

    let undo = format!("{visit}/exam/left/undo");
    practice.form(&undo, &[("revision", "3")]).await.place();
    let page = practice.get(&visit).await.text();
    assert_eq!(
        undo_of(&page, "left"),
        (
            true,
            "4".to_owned(),
            format!("{toes}: back to not looked at.")
        )
    );
    assert_eq!(undo_of(&page, "right"), right, "the other foot stays");
    // A page that shows an older state takes nothing back.
    let stale = practice.form(&undo, &[("revision", "3")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    practice.form(&undo, &[("revision", "4")]).await.place();
    assert!(!undo_of(&practice.get(&visit).await.text(), "left").0);
    // A closed visit does not change, backwards neither.
    practice
        .form(&format!("{visit}/state"), &[("state", "closed")])
        .await
        .place();
    let closed = practice
        .form(&format!("{visit}/exam/right/undo"), &[("revision", "2")])
        .await;
    assert_eq!(closed.status, StatusCode::CONFLICT);
}

#[tokio::test]
async fn an_undo_of_the_story_names_an_alarm_sign_that_it_takes_back() {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Anna", "Example", "A-1", "1968-03-02", "female")
        .await;
    let visit = practice.start_visit(&patient, "").await;
    let flag = exam::form()
        .iter()
        .find(|q| q.sheet == exam::Sheet::Flags)
        .unwrap();
    practice
        .answer(&visit, "person", &[("complaint", "sore")])
        .await;
    practice
        .answer(&visit, "person", &[(flag.key, "yes")])
        .await;
    let (offered, _, words) = undo_of(&practice.get(&visit).await.text(), "person");
    assert!(offered);
    assert_eq!(words, format!("{}: back to not answered.", flag.words));
}

#[tokio::test]
async fn left_and_right_of_a_measure_are_drawn_on_one_scale_over_the_same_days() {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Anna", "Example", "A-1", "1968-03-02", "female")
        .await;
    practice.days_back(370);
    let earlier = practice.start_visit(&patient, "").await;
    let first = film(&practice, &earlier, 1, "left").await;
    place(&practice, &first, None, true).await;
    practice.days_back(0);
    let visit = practice.start_visit(&patient, "").await;
    for (shade, side) in [(2, "left"), (3, "right")] {
        let film = film(&practice, &visit, shade, side).await;
        place(&practice, &film, None, true).await;
    }
    let page = practice.get(&patient).await.text();
    assert_eq!(html::faults(&page), Vec::<String>::new());
    let drawn: Vec<Vec<&str>> = page
        .split("<figure class=\"trend\">")
        .skip(1)
        .map(|f| {
            let svg = f.split("</svg>").next().unwrap();
            // The title comes first; then values and days, each with its place.
            svg.split("<text ").skip(2).collect()
        })
        .collect();
    assert!(
        drawn.len() >= 4 && drawn.len().is_multiple_of(2),
        "{}",
        drawn.len()
    );
    for pair in drawn.chunks(2) {
        let ends = |t: &&str| t.split("</text>").next().unwrap_or_default().to_owned();
        let (left, right): (Vec<String>, Vec<String>) = (
            pair[0].iter().map(ends).collect(),
            pair[1].iter().map(ends).collect(),
        );
        assert_eq!(left, right);
        for day in [">19 Nov 2025", ">24 Nov 2026"] {
            assert!(right.iter().any(|t| t.ends_with(day)), "{day}: {right:?}");
        }
    }
    assert!(page.contains("on the same scale and over the same days"));
    assert!(page.contains("no change shown") || page.contains("cannot tell"));
}
