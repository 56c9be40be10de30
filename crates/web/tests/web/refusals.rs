//! What is refused, and is it said in one sentence with what to do?

use crate::common::html;
use crate::common::{Practice, escape, lateral_points, plain_film};
use axum::{
    body::Body,
    http::{Request, StatusCode, header},
};
use proptest::prelude::*;
use serde_json::json;

/// The first paragraph of an error page.
fn said(page: &str) -> String {
    let tags = html::tags(page);
    let head = tags.iter().position(|t| t.name == "h1").unwrap_or(0);
    tags[head..]
        .iter()
        .find(|t| t.name == "p")
        .map(|t| t.text.clone())
        .unwrap_or_default()
}

#[tokio::test]
async fn a_request_from_another_site_or_to_another_host_is_refused() {
    let practice = Practice::started().await;
    let foreign = Request::post("/patients/new")
        .header(header::HOST, "127.0.0.1:8000")
        .header("sec-fetch-site", "cross-site")
        .header(header::ORIGIN, "https://elsewhere.example")
        .body(Body::from("family_name=X&chart_number=1"))
        .unwrap();
    let answer = practice.send(foreign).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    assert!(
        said(&answer.text()).contains("another site"),
        "{}",
        answer.text()
    );
    let rebound = Request::get("/")
        .header(header::HOST, "elsewhere.example")
        .body(Body::empty())
        .unwrap();
    assert_eq!(
        practice.send(rebound).await.status,
        StatusCode::MISDIRECTED_REQUEST
    );
}

#[tokio::test]
async fn what_is_not_there_is_a_page_for_people_and_json_for_the_script() {
    let practice = Practice::started().await;
    for place in [
        "/patient/not-an-id",
        "/visit/01980000-0000-7000-8000-00000000ffff",
        "/film/1",
        "/assets/no.js",
    ] {
        let answer = practice.get(place).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{place}");
        assert!(
            said(&answer.text()).starts_with("There is no such"),
            "{place}: {}",
            said(&answer.text())
        );
    }
    let answer = practice
        .json("/film/1/overlay", &json!({"points": {}}))
        .await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
    assert_eq!(answer.json()["error"], "There is no such film here.");
}

#[tokio::test]
async fn files_that_are_no_film_get_one_sentence_and_nothing_is_kept() {
    let practice = Practice::started().await;
    let patient = practice.add_patient("Anna", "Example", "A-1", "", "").await;
    let visit = practice.start_visit(&patient, "").await;
    let whole = plain_film(9);
    let cases: [(&[u8], &str); 4] = [
        (b"", "no file"),
        (b"not a picture at all, only words", "not a film"),
        (b"%PDF-1.7 invented", "not a film"),
        (&whole[..whole.len() / 2], ""),
    ];
    for (bytes, part) in cases {
        let answer = practice.upload(&visit, bytes, "x.dcm", &[]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{part}");
        let words = said(&answer.text());
        assert!(
            words.contains(part) && words.ends_with('.') && words.len() > 30,
            "{part}: {words}"
        );
    }
    assert!(practice.get(&visit).await.text().contains("No film yet"));
}

#[tokio::test]
async fn points_that_are_no_points_are_refused_and_the_server_stays_up() {
    let practice = Practice::started().await;
    let patient = practice.add_patient("Anna", "Example", "A-1", "", "").await;
    let visit = practice.start_visit(&patient, "").await;
    let film = practice
        .upload(&visit, &plain_film(1), "a.png", &[("view", "lateral")])
        .await
        .place();
    let cases = [
        (
            json!({"points": {"calc back": [1.0, 2.0]}}),
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (
            json!({"points": {"calc_back": ["one", 2.0]}}),
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (
            json!({"points": {"calc_back": [1.0]}}),
            StatusCode::UNPROCESSABLE_ENTITY,
        ),
        (json!({"points": "many"}), StatusCode::UNPROCESSABLE_ENTITY),
    ];
    for (body, expected) in cases {
        for end in ["overlay", "points"] {
            let answer = practice.json(&format!("{film}/{end}"), &body).await;
            assert_eq!(answer.status, expected, "{end} {body}: {}", answer.text());
            assert!(
                answer.json()["error"]
                    .as_str()
                    .is_some_and(|e| e.ends_with('.')),
                "{body}"
            );
        }
    }
    // Foreign and outlying points are said on the readings, not refused.
    let odd = json!({"points": {"dp_mt5_head_centre": [1.0, 2.0], "calc_back": [-50.0, 1e7]}});
    let answer = practice.json(&format!("{film}/overlay"), &odd).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert!(!answer.json()["warnings"].as_array().unwrap().is_empty());
}

#[tokio::test]
async fn a_film_whose_view_is_not_known_asks_for_it_before_points() {
    let practice = Practice::started().await;
    let patient = practice.add_patient("Anna", "Example", "A-1", "", "").await;
    let visit = practice.start_visit(&patient, "").await;
    let film = practice
        .upload(&visit, &plain_film(1), "a.png", &[])
        .await
        .place();
    let answer = practice
        .json(
            &format!("{film}/points"),
            &json!({"points": lateral_points()}),
        )
        .await;
    assert_eq!(answer.status, StatusCode::CONFLICT);
    let told = practice
        .form(
            &format!("{film}/facts"),
            &[
                ("view", "lateral"),
                ("side", "left"),
                ("stance", "standing"),
            ],
        )
        .await;
    assert_eq!(told.place(), film);
    let answer = practice
        .json(
            &format!("{film}/points"),
            &json!({"points": lateral_points()}),
        )
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    // With points on it the view does not change any more.
    let other = practice
        .form(
            &format!("{film}/facts"),
            &[
                ("view", "dorsoplantar"),
                ("side", "left"),
                ("stance", "standing"),
            ],
        )
        .await;
    assert_eq!(other.status, StatusCode::CONFLICT);
}

async fn at_a_film_without_scale() -> (Practice, String) {
    let practice = Practice::started().await;
    let patient = practice.add_patient("Anna", "Example", "A-1", "", "").await;
    let visit = practice.start_visit(&patient, "").await;
    let film = practice
        .upload(
            &visit,
            &plain_film(1),
            "a.png",
            &[("view", "lateral"), ("stance", "standing")],
        )
        .await
        .place();
    (practice, film)
}

#[tokio::test]
async fn millimetres_are_refused_without_a_scale_and_come_with_a_known_length() {
    let (practice, film) = at_a_film_without_scale().await;
    let points = json!({"points": lateral_points()});
    let named = |answer: &serde_json::Value, list: &str| -> Vec<String> {
        answer[list]
            .as_array()
            .unwrap()
            .iter()
            .map(|r| r["measure"].as_str().unwrap().to_owned())
            .collect()
    };
    let without = practice
        .json(&format!("{film}/overlay"), &points)
        .await
        .json();
    assert!(named(&without, "rows").contains(&"calc_pitch".to_owned()));
    assert!(named(&without, "refused").contains(&"nav_height".to_owned()));
    let scale = [
        ("from", "length"),
        ("length_mm", "100"),
        ("x1", "10"),
        ("y1", "10"),
        ("x2", "210"),
        ("y2", "10"),
    ];
    practice
        .form(&format!("{film}/scale-form"), &scale)
        .await
        .place();
    let with = practice
        .json(&format!("{film}/overlay"), &points)
        .await
        .json();
    assert!(
        named(&with, "rows").contains(&"nav_height".to_owned()),
        "{:?}",
        named(&with, "refused")
    );
}

#[tokio::test]
async fn a_ball_gives_millimetres_and_marks_that_are_no_ball_leave_the_scale_as_it_was() {
    let (practice, film) = at_a_film_without_scale().await;
    let ball = |third: &'static str| {
        [
            ("from", "ball"),
            ("diameter_mm", "25"),
            ("x1", "50"),
            ("y1", "100"),
            ("x2", "150"),
            ("y2", "100"),
            ("x3", "100"),
            ("y3", third),
        ]
    };
    practice
        .form(&format!("{film}/scale-form"), &ball("50"))
        .await
        .place();
    let words = async || {
        practice.get(&format!("{film}/meta")).await.json()["scale_words"]
            .as_str()
            .unwrap()
            .to_owned()
    };
    let taken = words().await;
    // A circle of radius 50 px through the three marks: 25 mm over 100 px.
    assert!(taken.starts_with("0.2500 mm for each pixel"), "{taken}");
    let straight = practice
        .form(&format!("{film}/scale-form"), &ball("100"))
        .await;
    assert!(straight.status.is_client_error());
    assert!(
        said(&straight.text()).contains("edge points that give no circle"),
        "{}",
        said(&straight.text())
    );
    assert_eq!(words().await, taken);
}

#[tokio::test]
async fn a_form_that_is_too_large_is_refused() {
    let practice = Practice::started().await;
    let long = "x".repeat(1_100_000);
    let answer = practice.form("/patients/new", &[("note", &long)]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert!(said(&answer.text()).contains("larger than this page takes"));
}

#[tokio::test]
async fn a_bad_birth_date_is_said_beside_the_form_which_keeps_what_was_typed() {
    let practice = Practice::started().await;
    let answer = practice
        .form(
            "/patients/new",
            &[
                ("family_name", "Kept"),
                ("chart_number", "7"),
                ("born_on", "2026-02-30"),
            ],
        )
        .await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let page = answer.text();
    assert!(
        page.contains("no day of the calendar") && page.contains("value=\"Kept\""),
        "{page}"
    );
    assert_eq!(html::faults(&page), Vec::<String>::new());
    practice.add_patient("", "First", "7", "", "").await;
    let twice = practice
        .form(
            "/patients/new",
            &[("family_name", "Second"), ("chart_number", "7")],
        )
        .await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(twice.text().contains("in use already"), "{}", twice.text());
}

#[tokio::test]
async fn hostile_words_stay_words_on_every_page_they_reach() {
    let hostile = r#"<script>alert("x")</script><img src=x onerror='y'>&amp;{{7*7}}"#;
    let practice = Practice::started().await;
    let patient = practice
        .add_patient(hostile, "Example", "A<b>1", "1968-03-02", "female")
        .await;
    let visit = practice.start_visit(&patient, hostile).await;
    practice
        .answer(&visit, "left", &[("foot_remarks", hostile)])
        .await;
    let film = practice
        .upload(
            &visit,
            &plain_film(1),
            "<b onclick=x>.png",
            &[("view", "lateral"), ("side", "left")],
        )
        .await
        .place();
    assert!(
        ![&patient, &visit, &film]
            .iter()
            .any(|p| p.contains("script") || p.contains("Example"))
    );
    let found = practice
        .form("/patients/find", &[("words", "Example")])
        .await
        .text();
    let mut pages = vec![found];
    for place in [
        "/",
        &patient,
        &format!("{patient}/details"),
        &visit,
        &film,
        "/practice",
    ] {
        pages.push(practice.get(place).await.text());
    }
    for page in pages {
        assert!(
            !page.contains("<script>alert")
                && !page.contains("<img src=x")
                && !page.contains("<b onclick"),
            "{page}"
        );
        assert_eq!(html::faults(&page), Vec::<String>::new());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_name_changes_the_shape_of_a_page(given in "[<>&\"'/= a-z{}%]{1,24}", reason in "[<>&\"'/= a-z{}%\n]{0,40}") {
        prop_assume!(!given.trim().is_empty() && !reason.trim().is_empty());
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        let (hostile, tame) = runtime.block_on(async {
            let mut pages = Vec::new();
            for (g, r) in [(given.as_str(), reason.as_str()), ("plain", "words")] {
                let practice = Practice::started().await;
                let patient = practice.add_patient(g, "", "1", "", "").await;
                let visit = practice.start_visit(&patient, r).await;
                let mut shape = Vec::new();
                for place in ["/", patient.as_str(), visit.as_str()] {
                    shape.extend(html::shape(&practice.get(place).await.text()));
                }
                pages.push(shape);
            }
            let tame = pages.pop().unwrap();
            (pages.pop().unwrap(), tame)
        });
        prop_assert_eq!(hostile, tame);
    }
}

#[test]
fn a_form_field_is_sent_as_it_was_typed() {
    assert_eq!(escape("ä &="), "%C3%A4%20%26%3D");
}
