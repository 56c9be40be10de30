//! Backups told to the administrator, somebody erased for good, a film copied without names: as a browser asks.

use super::common::{Practice, plain_film};
use axum::http::{StatusCode, header};
use phantom::expose::dicom::Paper;
use phantom::expose::{Exposure, expose};
use phantom::{FootSpec, Pose};
use std::sync::{Arc, Mutex};
use terms::{Side, View};
use time::macros::datetime;
use web::{Backups, KeptBackup, Safety};

/// Whatever a test says lies there.
struct Shelf(Mutex<Result<Vec<KeptBackup>, String>>);

impl Backups for Shelf {
    fn folder(&self) -> String {
        "/invented/shelf".into()
    }
    fn hours(&self) -> u32 {
        24
    }
    fn kept(&self) -> Result<Vec<KeptBackup>, String> {
        self.0.lock().unwrap().clone()
    }
}

async fn with_shelf(kept: Result<Vec<KeptBackup>, String>, sealed: bool) -> Practice {
    let safety = Safety {
        sealed,
        copies: Some([7; 32]),
        backups: Some(Arc::new(Shelf(Mutex::new(kept)))),
    };
    Practice::started_with(safety).await
}

#[tokio::test]
async fn the_page_of_backups_says_what_is_missing_overdue_or_unreadable_and_asks_for_one_once() {
    let none = Practice::started().await.get("/backups").await.text();
    assert!(
        none.contains("not sealed") && none.contains("No backups are made"),
        "{none}"
    );
    let refused = Practice::started().await.form("/backups", &[]).await;
    assert!(refused.text().contains("--backup-to"), "{}", refused.text());

    let empty = with_shelf(Ok(Vec::new()), true).await;
    let page = empty.get("/backups").await.text();
    assert!(
        page.contains("There is no backup yet") && page.contains("are sealed where"),
        "{page}"
    );
    for _ in 0..2 {
        let asked = empty.form("/backups", &[]).await;
        assert_eq!(asked.place(), "/backups");
    }
    let page = empty.get("/backups").await.text();
    assert_eq!(
        page.matches("<td class=\"breakable state-words\">waiting</td>")
            .count(),
        1,
        "{page}"
    );
    assert!(page.contains("disabled"), "{page}");

    let old = KeptBackup {
        at: datetime!(2026-11-20 03:00 UTC),
        bytes: 12_345_678,
    };
    let page = with_shelf(Ok(vec![old]), true)
        .await
        .get("/backups")
        .await
        .text();
    assert!(
        page.contains("longer ago than it should be") && page.contains("12.3 MB"),
        "{page}"
    );
    let new = KeptBackup {
        at: datetime!(2026-11-24 03:00 UTC),
        bytes: 5,
    };
    let page = with_shelf(Ok(vec![old, new]), true)
        .await
        .get("/backups")
        .await
        .text();
    assert!(
        !page.contains("longer ago") && page.contains("held the same"),
        "{page}"
    );
    let lost = with_shelf(Err("found the disk gone; expected it".into()), true).await;
    let page = lost.get("/backups").await.text();
    assert!(
        page.contains("found the disk gone") && page.contains("There is no backup yet"),
        "{page}"
    );
}

#[tokio::test]
async fn somebody_is_erased_only_with_their_own_number_and_a_reason_and_then_for_good() {
    let practice = Practice::started().await;
    let gone = practice
        .add_patient("Quilla", "Ausgedacht", "A-17", "1961-04-02", "female")
        .await;
    let stays = practice
        .add_patient("Bo", "Fictiveanu", "A-18", "1970-01-01", "male")
        .await;
    let visit = practice.start_visit(&gone, "an invented reason").await;
    let film = practice
        .upload(&visit, &plain_film(1), "x.png", &[])
        .await
        .place();
    let erase = format!("{gone}/erase");
    let page = practice.get(&erase).await.text();
    assert!(
        page.contains("cannot be undone") && page.contains("1 visit, 1 film"),
        "{page}"
    );
    let reason = "asked for by the person in writing";
    for (number, reason) in [
        ("A-18", reason),
        ("", reason),
        ("A-17", "no"),
        ("A-17", "          "),
    ] {
        let form = [("chart_number", number), ("reason", reason)];
        let refused = practice.form(&erase, &form).await;
        assert!(refused.status.is_client_error(), "{number} {reason}");
        assert!(
            !refused.text().contains("A-18"),
            "what was typed is not repeated"
        );
        assert_eq!(practice.get(&gone).await.status, StatusCode::OK);
    }
    let form = [("chart_number", " A-17 "), ("reason", reason)];
    assert_eq!(practice.form(&erase, &form).await.place(), "/");
    for address in [&gone, &visit, &film, &erase] {
        assert_eq!(
            practice.get(address).await.status,
            StatusCode::NOT_FOUND,
            "{address}"
        );
    }
    let picture = format!("{}/picture.png", film.split('#').next().unwrap());
    assert_eq!(practice.get(&picture).await.status, StatusCode::NOT_FOUND);
    assert!(practice.get(&stays).await.text().contains("Fictiveanu"));
    let list = practice.get("/erased").await.text();
    assert!(
        list.contains(reason) && list.contains(&gone["/patient/".len()..]),
        "{list}"
    );
    for address in ["/erased", "/trail", "/"] {
        assert!(
            !practice.get(address).await.text().contains("Ausgedacht"),
            "{address}"
        );
    }
}

/// A film of an invented foot with a name that must not leave.
fn dicom() -> Vec<u8> {
    let foot = phantom::build(&FootSpec {
        side: Side::Right,
        foot_length_mm: 255.0,
        age: phantom::Age::Adult,
        pose: Pose::arch_collapse(0.4),
        seed: 3,
    })
    .unwrap();
    let film = expose(&foot, &Exposure::usual(View::Lateral)).unwrap();
    film.dicom(&Paper::invented(datetime!(2026-11-20 12:00), 1))
        .unwrap()
}

#[tokio::test]
async fn a_film_leaves_without_names_only_when_somebody_looked_and_what_was_blackened_is_black() {
    let practice = with_shelf(Ok(Vec::new()), true).await;
    let patient = practice
        .add_patient("Quilla", "Ausgedacht", "A-17", "1961-04-02", "female")
        .await;
    let visit = practice.start_visit(&patient, "an invented reason").await;
    let taken = practice
        .upload(&visit, &dicom(), "x.dcm", &[])
        .await
        .place();
    let film = taken.split('#').next().unwrap().to_owned();
    let address = format!("{film}/nameless");
    let page = practice.get(&format!("{address}?top=10")).await.text();
    assert!(page.contains("The copy as it would leave"), "{page}");
    assert!(page.contains("nameless/picture.png?top=10"), "{page}");
    let refused = practice.form(&address, &[("top", "10")]).await;
    assert!(
        refused.text().contains("nobody has looked"),
        "{}",
        refused.text()
    );
    let looked = [("top", "10"), ("left", ""), ("looked", "yes")];
    let copy = practice.form(&address, &looked).await;
    assert_eq!(copy.status, StatusCode::OK, "{}", copy.text());
    let name = copy.headers[header::CONTENT_DISPOSITION].to_str().unwrap();
    assert!(
        name.contains("filename=\"2.25.") && !name.contains("A-17"),
        "{name}"
    );
    let text = copy.text();
    for word in ["Invented", "20261120", "A-17", "Ausgedacht"] {
        assert!(!text.contains(word), "{word} is in the copy");
    }
    let limits = film::Limits::default();
    let (was, is) = (
        film::open(&dicom(), &limits).unwrap(),
        film::open(&copy.bytes, &limits).unwrap(),
    );
    assert_eq!((was.width, was.height), (is.width, is.height));
    let (was, is) = (
        was.display8(was.default_window()),
        is.display8(is.default_window()),
    );
    let width = (was.len()
        / usize::try_from(film::open(&dicom(), &limits).unwrap().height).unwrap())
    .max(1);
    let rows = was.len() / width;
    let top = is[..width * (rows / 10)].to_vec();
    assert!(top.iter().all(|p| *p == top[0]), "the top is one shade");
    assert_eq!(
        was[width * rows / 2..],
        is[width * rows / 2..],
        "the foot is as it was"
    );
    // The same person has the same pseudonym, so copies belong together; each copy is the same again.
    assert_eq!(practice.form(&address, &looked).await.bytes, copy.bytes);
    let trail = practice.get("/trail").await.text();
    assert!(trail.contains("copied without names"), "{trail}");
    for bad in ["101", "-1", "x", "NaN"] {
        let refused = practice
            .form(&address, &[("top", bad), ("looked", "yes")])
            .await;
        assert!(refused.status.is_client_error(), "{bad}");
    }
}
