//! What was read on films, and signed letters, as objects that another program finds and fetches (QIDO-RS, WADO-RS).
//! Every person is invented.

use super::access::{does, sees};
use super::arrivals::film_of;
use super::common::{Answer, Practice, lateral_points, plain_film};
use super::machines::{key, made, request, trail, turns_signing_in_on, with_key};
use super::outgoing::{instance_of, with_a_read_film};
use axum::body::Body;
use axum::http::{StatusCode, header};
use exchange_dicom::send::multipart;
use record::MachineMay;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const ALL: &str = "/dicomweb/studies/2.25.1/instances";

/// A key that reads films, and who asks with it.
struct Reader<'a> {
    practice: &'a Practice,
    token: String,
}

impl Reader<'_> {
    async fn get(&self, path: &str) -> Answer {
        with_key(self.practice, &self.token, "GET", path).await
    }

    async fn found(&self, path: &str) -> Vec<Value> {
        let answer = self.get(path).await;
        match answer.status {
            StatusCode::NO_CONTENT => Vec::new(),
            _ => answer.json().as_array().cloned().expect(path),
        }
    }

    /// Addresses of objects, by their modality.
    async fn by_modality(&self, path: &str) -> BTreeMap<String, String> {
        let found = self.found(path).await;
        found
            .iter()
            .map(|o| (first(o, "00080060"), address(o)))
            .collect()
    }

    async fn whole(&self, path: &str) -> Answer {
        let asked = request("GET", path)
            .header(header::AUTHORIZATION, format!("Bearer {}", self.token))
            .header(header::ACCEPT, "application/dicom");
        self.practice.send(asked.body(Body::empty()).unwrap()).await
    }

    /// Every object of a study, in parts.
    async fn parts(&self, path: &str) -> Vec<Vec<u8>> {
        let answer = self.get(path).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
        let media_type = answer.headers[header::CONTENT_TYPE].to_str().unwrap();
        let boundary = multipart::boundary(media_type).unwrap();
        let parts = multipart::parts(&boundary, &answer.bytes).unwrap();
        parts.iter().map(|p| p.bytes.to_vec()).collect()
    }
}

fn first(object: &Value, tag: &str) -> String {
    object[tag]["Value"][0].as_str().expect(tag).to_owned()
}

fn address(object: &Value) -> String {
    format!(
        "/dicomweb/studies/{}/series/{}/instances/{}",
        first(object, "0020000D"),
        first(object, "0020000E"),
        first(object, "00080018")
    )
}

async fn reader<'a>(practice: &'a Practice, ada: &str) -> Reader<'a> {
    let token = key(practice, ada, "archive", &[MachineMay::ReadFilms]).await;
    Reader { practice, token }
}

fn modalities(found: &BTreeMap<String, String>) -> Vec<&str> {
    found.keys().map(String::as_str).collect()
}

/// A signed letter of a visit; `/letter/ID`.
async fn signed(practice: &Practice, visit: &str) -> String {
    let letter = drafted(practice, visit).await;
    let sign = [("act", "sign"), ("revision", "1")];
    practice.form(&letter, &sign).await.place();
    letter
}

async fn drafted(practice: &Practice, visit: &str) -> String {
    let wish = [("kind", "to-referrer"), ("recipient", "Dr Invented")];
    let begun = practice
        .form(&format!("{visit}/letters"), &wish)
        .await
        .place();
    begun.split(['?', '#']).next().unwrap().to_owned()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_was_read_is_found_beside_its_film_and_fetched_as_the_files_of_the_page() {
    let (practice, film, _) = with_a_read_film(Vec::new()).await;
    let ada = turns_signing_in_on(&practice).await;
    let reader = reader(&practice, &ada).await;

    let studies = reader.found("/dicomweb/studies").await;
    assert_eq!(studies.len(), 1, "one study of all: {studies:?}");
    assert_eq!(
        studies[0]["00080061"]["Value"],
        json!(["DX", "OT", "PR", "SR"])
    );
    let by_report = reader.found("/dicomweb/studies?ModalitiesInStudy=SR").await;
    assert_eq!(by_report[0]["00080061"], studies[0]["00080061"]);
    assert_eq!(reader.found("/dicomweb/series").await.len(), 4);
    let found = reader.by_modality(ALL).await;
    assert_eq!(modalities(&found), ["DX", "OT", "PR", "SR"]);
    assert_eq!(reader.by_modality(ALL).await, found, "asked twice");
    assert_eq!(
        modalities(&reader.by_modality(&format!("{ALL}?Modality=SR")).await),
        ["SR"]
    );
    for page in 0..4 {
        let one = reader.found(&format!("{ALL}?limit=1&offset={page}")).await;
        assert_eq!(one.len(), 1, "{page}");
    }
    assert!(reader.found(&format!("{ALL}?offset=4")).await.is_empty());

    for (modality, name) in [("SR", "report"), ("OT", "picture"), ("PR", "drawing")] {
        let file = sees(&practice, &ada, &format!("{film}/object/{name}.dcm")).await;
        assert_eq!(file.status, StatusCode::OK);
        let whole = reader.whole(&found[modality]).await;
        assert_eq!(whole.status, StatusCode::OK, "{name}: {}", whole.text());
        assert_eq!(whole.headers[header::CONTENT_TYPE], "application/dicom");
        assert!(whole.bytes == file.bytes, "{name} differs");
        let heads = reader.found(&format!("{}/metadata", found[modality])).await;
        assert_eq!(address(&heads[0]), found[modality]);
        assert!(heads[0].get("7FE00010").is_none());
        assert_eq!(first(&heads[0], "00100020"), "C-7");
    }
    // How large a picture is comes with its head, and is not drawn for a search.
    let picture = format!("{}/metadata", found["OT"]);
    let size = |o: &Value, tag: &str| o[tag]["Value"][0].as_u64();
    let head = &reader.found(&picture).await[0];
    let searched = &reader.found(&format!("{ALL}?Modality=OT")).await[0];
    assert!(
        size(head, "00280010").is_some_and(|rows| rows > 100),
        "{head}"
    );
    assert!(size(head, "00280011").is_some_and(|columns| columns > 100));
    assert!(searched.get("00280010").is_none(), "{searched}");

    let all = reader.parts("/dicomweb/studies/2.25.1").await;
    assert_eq!(all.len(), 4);
    let series = found["SR"].rsplit_once("/instances").unwrap().0;
    assert_eq!(reader.parts(series).await.len(), 1);
    let other = request("GET", &found["SR"])
        .header(header::AUTHORIZATION, format!("Bearer {}", reader.token))
        .header(
            header::ACCEPT,
            "application/dicom; transfer-syntax=1.2.840.10008.1.2",
        );
    let other = practice.send(other.body(Body::empty()).unwrap()).await;
    assert_eq!(other.status, StatusCode::NOT_ACCEPTABLE);

    let trail = trail(&practice, &ada).await;
    for words in [
        "archive",
        "films, readings and letters searched",
        "films, readings and letters given",
    ] {
        assert!(trail.contains(words), "{words}: {trail}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn new_readings_are_other_objects_and_the_earlier_ones_are_not_there_any_more() {
    let (practice, film, visit) = with_a_read_film(Vec::new()).await;
    let before = practice.get(&format!("{film}/object/report.dcm")).await;
    // A placing in hand changes nothing; finished it is what counts.
    let mut points = lateral_points();
    points.insert("talus_head_top", [225.0, 236.0]);
    let saved = practice
        .json(&format!("{film}/points"), &json!({"points": points}))
        .await;
    assert_eq!(saved.status, StatusCode::OK, "{}", saved.text());
    let in_hand = practice.get(&format!("{film}/object/report.dcm")).await;
    assert_eq!(in_hand.bytes, before.bytes);
    let other = film_of("C-7", "Invented^Mae", 2);
    let unread = practice.upload(&visit, &other, "b.dcm", &[]).await.place();
    let body = json!({"points": lateral_points(), "finished": false});
    let saved_again = practice.json(&format!("{unread}/points"), &body).await;
    assert_eq!(saved_again.status, StatusCode::OK);

    let ada = turns_signing_in_on(&practice).await;
    let reader = reader(&practice, &ada).await;
    let found = reader.by_modality(ALL).await;
    assert_eq!(modalities(&found), ["DX", "OT", "PR", "SR"]);
    assert_eq!(
        reader.found(ALL).await.len(),
        5,
        "two films, one of them read"
    );
    assert_eq!(reader.whole(&found["SR"]).await.bytes, before.bytes);

    let state = &practice.state;
    let id = film.trim_start_matches("/film/").parse().unwrap();
    let placing = state.store.points_of(id).await.unwrap().pop().unwrap();
    assert!(!placing.finished);
    let finish = json!({"points": points, "finished": true, "points_id": placing.id.to_string()});
    let done = posts(&practice, &ada, &format!("{film}/points"), &finish).await;
    assert_eq!(done.status, StatusCode::OK, "{}", done.text());
    let after = reader.by_modality(ALL).await;
    assert_eq!(modalities(&after), ["DX", "OT", "PR", "SR"]);
    for modality in ["SR", "OT", "PR"] {
        assert_ne!(after[modality], found[modality]);
        let gone = reader.whole(&found[modality]).await;
        assert_eq!(gone.status, StatusCode::NOT_FOUND, "{modality}");
        let now = reader.whole(&after[modality]).await;
        assert_eq!(now.status, StatusCode::OK, "{modality}: {}", now.text());
        let name = after[modality].rsplit('/').next().unwrap();
        assert_eq!(instance_of(&now.bytes), name);
    }
    assert_eq!(after["DX"], found["DX"]);
}

/// JSON of somebody who is signed in.
async fn posts(practice: &Practice, cookie: &str, path: &str, body: &Value) -> Answer {
    let asked = request("POST", path)
        .header(header::ORIGIN, "http://127.0.0.1:8321")
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, "application/json")
        .header(header::ACCEPT, "application/json");
    practice
        .send(asked.body(Body::from(body.to_string())).unwrap())
        .await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_signed_letter_is_found_in_the_study_of_its_visit_and_a_draft_is_not() {
    let (practice, _, visit) = with_a_read_film(Vec::new()).await;
    let letter = signed(&practice, &visit).await;
    drafted(&practice, &visit).await;
    let file = practice.get(&format!("{letter}/object/letter.dcm")).await;
    let ada = turns_signing_in_on(&practice).await;
    let reader = reader(&practice, &ada).await;
    let found = reader.by_modality(ALL).await;
    assert_eq!(modalities(&found), ["DOC", "DX", "OT", "PR", "SR"]);
    assert_eq!(reader.found(ALL).await.len(), 5);
    let whole = reader.whole(&found["DOC"]).await;
    assert_eq!(whole.status, StatusCode::OK, "{}", whole.text());
    assert!(whole.bytes == file.bytes);
    let head = reader.found(&format!("{}/metadata", found["DOC"])).await;
    assert!(head[0].get("00420011").is_none(), "no document in a head");
}

/// The file under a folder that begins so.
fn file_beginning(folder: &Path, with: &[u8]) -> Option<PathBuf> {
    std::fs::read_dir(folder).unwrap().find_map(|entry| {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => file_beginning(&path, with),
            false => std::fs::read(&path)
                .unwrap()
                .starts_with(with)
                .then_some(path),
        }
    })
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_object_that_cannot_be_made_is_left_out_and_the_others_are_given() {
    let (practice, _, visit) = with_a_read_film(Vec::new()).await;
    signed(&practice, &visit).await;
    let ada = turns_signing_in_on(&practice).await;
    let reader = reader(&practice, &ada).await;
    let found = reader.by_modality(ALL).await;
    let paper = file_beginning(practice.folder(), b"%PDF-").expect("the letter's paper");
    std::fs::write(&paper, b"%PDF-damaged").unwrap();
    // Its head was made before.
    assert_eq!(reader.by_modality(ALL).await, found);
    assert_eq!(reader.parts("/dicomweb/studies/2.25.1").await.len(), 4);
    let alone = reader.whole(&found["DOC"]).await;
    assert!(!alone.status.is_success(), "{}", alone.status);
    // Another letter whose head was not asked for before.
    let second = does(
        &practice,
        &ada,
        &format!("{visit}/letters"),
        &[("kind", "to-patient")],
    )
    .await;
    let second = second.place();
    let second = second.split(['?', '#']).next().unwrap();
    std::fs::remove_file(&paper).unwrap();
    let sign = [("act", "sign"), ("revision", "1")];
    let done = does(&practice, &ada, second, &sign).await;
    assert!(done.status.is_redirection(), "{}", done.text());
    let paper = file_beginning(practice.folder(), b"%PDF-").expect("the second paper");
    std::fs::write(&paper, b"%PDF-damaged").unwrap();
    assert_eq!(reader.found(ALL).await.len(), 5, "the second is left out");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_film_that_is_no_dicom_object_gives_report_and_picture_in_a_study_of_its_visit() {
    let practice = Practice::started().await;
    let patient = practice
        .add_patient("Mae", "Invented", "C-7", "1961-03-04", "female")
        .await;
    let visit = practice.start_visit(&patient, "sore").await;
    let fields = [
        ("view", "lateral"),
        ("side", "right"),
        ("stance", "standing"),
    ];
    let film = practice
        .upload(&visit, &plain_film(0), "a.png", &fields)
        .await
        .place();
    let body = json!({"points": lateral_points(), "finished": true});
    let saved = practice.json(&format!("{film}/points"), &body).await;
    assert_eq!(saved.status, StatusCode::OK, "{}", saved.text());
    let file = practice.get(&format!("{film}/object/report.dcm")).await;
    let ada = turns_signing_in_on(&practice).await;
    let reader = reader(&practice, &ada).await;
    let found = reader.by_modality("/dicomweb/instances").await;
    assert_eq!(modalities(&found), ["OT", "SR"]);
    assert_eq!(reader.found("/dicomweb/studies").await.len(), 1);
    assert!(reader.whole(&found["SR"]).await.bytes == file.bytes);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_was_read_in_a_closed_record_is_not_there_for_a_key_unless_it_says_so() {
    let (practice, _, visit) = with_a_read_film(Vec::new()).await;
    signed(&practice, &visit).await;
    let visit = practice
        .state
        .store
        .visit(visit.trim_start_matches("/visit/").parse().unwrap())
        .await
        .unwrap();
    let ada = turns_signing_in_on(&practice).await;
    let plain = reader(&practice, &ada).await;
    let found = plain.by_modality(ALL).await;
    assert_eq!(modalities(&found), ["DOC", "DX", "OT", "PR", "SR"]);
    let closure = format!("/patient/{}/closure", visit.patient);
    let closed = does(&practice, &ada, &closure, &[("closed", "yes")]).await;
    assert!(closed.status.is_redirection(), "{}", closed.text());
    let fields = [
        ("label", "closed too"),
        ("read-films", "yes"),
        ("closed", "yes"),
        ("why", "Agreed for the night shift."),
    ];
    let open = Reader {
        practice: &practice,
        token: made(&practice, &ada, &fields).await,
    };
    assert_eq!(open.by_modality(ALL).await, found);
    assert!(plain.found(ALL).await.is_empty());
    assert!(plain.found("/dicomweb/studies").await.is_empty());
    for (modality, object) in &found {
        for path in [object.clone(), format!("{object}/metadata")] {
            let hidden = plain.get(&path).await;
            assert_eq!(hidden.status, StatusCode::NOT_FOUND, "{modality}");
            assert_eq!(open.get(&path).await.status, StatusCode::OK, "{modality}");
        }
    }
}
