//! Every page of a working practice, held against the rules that all pages share.

use crate::common::html;
use crate::common::{Practice, QUIET_FOOT, SORE_FOOT, lateral_points, plain_film};
use axum::http::StatusCode;
use serde_json::json;

/// A patient with an earlier and a present visit, films read, in hand and untouched, and a letter.
pub async fn working() -> (Practice, Vec<String>) {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Anna", "Example", "A-1", "1968-03-02", "female")
        .await;
    practice.days_back(370);
    let earlier = practice.start_visit(&patient, "Sore").await;
    let film = practice
        .upload(
            &earlier,
            &plain_film(1),
            "a.png",
            &[
                ("view", "lateral"),
                ("side", "left"),
                ("stance", "standing"),
            ],
        )
        .await
        .place();
    let saved = practice
        .json(
            &format!("{film}/points"),
            &json!({"points": lateral_points(), "finished": true}),
        )
        .await;
    assert_eq!(saved.status, StatusCode::OK, "{}", saved.text());
    practice.days_back(0);
    let visit = practice.start_visit(&patient, "Worse").await;
    practice.answer(&visit, "left", SORE_FOOT).await;
    practice.answer(&visit, "right", QUIET_FOOT).await;
    let read = practice
        .upload(
            &visit,
            &plain_film(2),
            "b.png",
            &[
                ("view", "lateral"),
                ("side", "left"),
                ("stance", "standing"),
            ],
        )
        .await
        .place();
    practice
        .json(
            &format!("{read}/points"),
            &json!({"points": lateral_points(), "finished": true}),
        )
        .await;
    let begun = practice
        .upload(
            &visit,
            &plain_film(3),
            "c.png",
            &[
                ("view", "lateral"),
                ("side", "right"),
                ("stance", "not-standing"),
            ],
        )
        .await
        .place();
    practice
        .json(
            &format!("{begun}/points"),
            &json!({"points": {"calc_back": [70.0, 300.0]}}),
        )
        .await;
    let unknown = practice
        .upload(&visit, &plain_film(4), "d.png", &[])
        .await
        .place();
    let pages = vec![
        "/".to_owned(),
        "/practice".to_owned(),
        "/who".to_owned(),
        "/sources".to_owned(),
        "/patients/new".to_owned(),
        format!("{patient}/details"),
        patient,
        earlier,
        visit,
        film,
        format!("{read}?again=yes"),
        read,
        begun,
        unknown,
    ];
    (practice, pages)
}

#[tokio::test]
async fn every_page_keeps_the_rules_of_all_pages() {
    let (practice, pages) = working().await;
    for place in pages {
        let page = practice.get(&place).await;
        assert_eq!(page.status, StatusCode::OK, "{place}: {}", page.text());
        assert_eq!(html::faults(&page.text()), Vec::<String>::new(), "{place}");
    }
}

#[tokio::test]
async fn every_link_to_a_source_finds_it() {
    let (practice, pages) = working().await;
    let sources = html::tags(&practice.get("/sources").await.text());
    let mut followed = 0;
    for place in pages {
        for link in html::tags(&practice.get(&place).await.text()) {
            if let Some(anchor) = link.get("href").and_then(|h| h.strip_prefix("/sources#")) {
                assert!(
                    sources.iter().any(|t| t.get("id") == Some(anchor)),
                    "{place} links to {anchor}"
                );
                followed += 1;
            }
        }
    }
    assert!(followed > 20, "{followed} links");
}

#[tokio::test]
async fn the_pages_before_and_beside_the_practice_keep_the_rules_too() {
    let empty = Practice::empty().await;
    assert_eq!(empty.get("/").await.place(), "/start");
    let start = empty.get("/start").await;
    assert_eq!(html::faults(&start.text()), Vec::<String>::new());
    let lost = empty.get("/nowhere").await;
    assert_eq!(lost.status, StatusCode::NOT_FOUND);
    assert_eq!(html::faults(&lost.text()), Vec::<String>::new());
}

#[tokio::test]
async fn every_page_carries_the_policy_and_is_not_kept() {
    let practice = Practice::started().await;
    let page = practice.get("/").await;
    let policy = page.headers["content-security-policy"].to_str().unwrap();
    assert!(
        policy.contains("default-src 'none'") && !policy.contains("unsafe"),
        "{policy}"
    );
    assert_eq!(page.headers["cache-control"], "no-store");
    assert_eq!(page.headers["x-content-type-options"], "nosniff");
}

#[tokio::test]
async fn a_reading_against_its_yardstick_is_said_in_one_word_and_its_source_can_be_opened() {
    let (practice, pages) = working().await;
    let read = &pages[pages.len() - 3];
    let page = practice.get(read).await.text();
    let letters: Vec<html::Tag> = html::tags(&page)
        .into_iter()
        .filter(|t| t.get("href").is_some_and(|h| h.starts_with("/sources#y-")))
        .collect();
    assert!(!letters.is_empty(), "no yardstick on {read}");
    let sources = practice.get("/sources").await.text();
    for letter in letters {
        let anchor = letter
            .get("href")
            .unwrap_or_default()
            .trim_start_matches("/sources#")
            .to_owned();
        assert!(sources.contains(&format!("id=\"{anchor}\"")), "{anchor}");
        assert!(
            ["r", "a", "c", "u"].contains(&letter.text.as_str()),
            "{:?}",
            letter.text
        );
    }
    let places = [
        "inside",
        "outside",
        "straddles",
        "sources differ",
        "no yardstick",
        "not judged",
    ];
    let states = html::tags(&page)
        .into_iter()
        .filter(|t| t.name == "span" && t.get("class").is_some_and(|c| c.starts_with("state ")));
    let mut counted = 0;
    for state in states.filter(|t| !t.get("class").is_some_and(|c| c.contains("small"))) {
        assert!(places.contains(&state.text.as_str()), "{:?}", state.text);
        counted += 1;
    }
    assert!(counted > 5, "{counted} readings");
}
