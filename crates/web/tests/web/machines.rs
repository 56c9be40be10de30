//! Other programs of the house: with which key they come in, what they are given and what is written down of it.

use super::access::{asks, cookie_of, does, filled, sees, somebody, with_accounts};
use super::common::{Answer, Practice};
use axum::{
    body::Body,
    extract::ConnectInfo,
    http::{Request, StatusCode, header},
};
use film::scale::Spacing;
use film::write::{DicomFilm, PersonOnFilm, uid_from_number};
use record::{MachineMay, Role};
use std::net::SocketAddr;
use terms::{Side, Stance, View};
use time::macros::datetime;
use web::access::table::{Needs, TABLE};

/// The token of a new key, as the page shows it once.
pub(super) async fn key(practice: &Practice, ada: &str, label: &str, may: &[MachineMay]) -> String {
    let mut fields = vec![("label", label)];
    fields.extend(may.iter().map(|m| (m.key(), "yes")));
    made(practice, ada, &fields).await
}

pub(super) async fn made(practice: &Practice, ada: &str, fields: &[(&str, &str)]) -> String {
    let page = does(practice, ada, "/people/keys", fields).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.text());
    let text = page.text();
    let (_, after) = text.split_once("id=\"token\">").expect("the token");
    let token = after.split('<').next().unwrap().to_owned();
    assert_eq!(token.len(), 64);
    let again = sees(practice, ada, "/people/keys").await.text();
    assert!(!again.contains(&token), "shown once");
    token
}

pub(super) fn request(method: &str, path: &str) -> axum::http::request::Builder {
    Request::builder()
        .method(method)
        .uri(path)
        .header(header::HOST, "127.0.0.1:8321")
}

pub(super) async fn with_key(practice: &Practice, token: &str, method: &str, path: &str) -> Answer {
    let request = request(method, path).header(header::AUTHORIZATION, format!("Bearer {token}"));
    practice.send(request.body(Body::empty()).unwrap()).await
}

fn film(number: u128) -> DicomFilm {
    DicomFilm {
        width: 96,
        height: 64,
        pixels: (0..96 * 64).map(|i| (i % 3000) as u16).collect(),
        bits_stored: 12,
        view: View::Lateral,
        side: Side::Left,
        stance: Stance::Standing,
        person: PersonOnFilm {
            id: "INVENTED-1".into(),
            name: "Person^Invented".into(),
            birth_date: None,
            sex: None,
        },
        study_uid: uid_from_number(1_001),
        series_uid: uid_from_number(1_002),
        instance_uid: uid_from_number(number),
        taken_at: datetime!(2026-03-02 10:11:12),
        accession: "A1".into(),
        study_id: "1".into(),
        series_number: 1,
        instance_number: 1,
        description: "left foot lateral standing".into(),
        comments: "Invented for tests; no real person.".into(),
        manufacturer: "none".into(),
        device: "phantom".into(),
        detector_spacing: Spacing {
            across_mm: 0.15,
            down_mm: 0.15,
        },
        calibrated: None,
        magnification: None,
        source_to_detector_mm: None,
        source_to_patient_mm: None,
        window: (1200.0, 2400.0),
        rows_towards: "A".into(),
        columns_towards: "F".into(),
    }
}

/// A patient with one film; `/patient/ID` and the film's bytes. Nobody signs in yet.
async fn with_a_film(practice: &Practice, chart: &str, number: u128) -> (String, Vec<u8>) {
    let patient = practice
        .add_patient("Invented", "Person", chart, "1961-04-09", "female")
        .await;
    let visit = practice.start_visit(&patient, "sore inner ankle").await;
    let bytes = film::write::dicom(&film(number)).expect("a film");
    let taken = practice.upload(&visit, &bytes, "a.dcm", &[]).await;
    assert!(
        taken.status.is_redirection(),
        "{}: {}",
        taken.status,
        taken.text()
    );
    (patient, bytes)
}

pub(super) async fn turns_signing_in_on(practice: &Practice) -> String {
    let passphrase = "heron under grey slate";
    let first = [
        ("login", "ada"),
        ("passphrase", passphrase),
        ("again", passphrase),
    ];
    cookie_of(&does(practice, "", "/people/first", &first).await)
}

pub(super) async fn trail(practice: &Practice, ada: &str) -> String {
    sees(practice, ada, "/trail").await.text()
}

#[tokio::test]
async fn every_address_for_machines_answers_the_right_key_alone() {
    let (practice, ada) = with_accounts().await;
    let one_for = |may| {
        let all: [(&str, MachineMay); 3] = [
            ("records", MachineMay::ReadRecords),
            ("sender", MachineMay::SendFilms),
            ("reader", MachineMay::ReadFilms),
        ];
        all.into_iter().find(|(_, m)| *m == may).unwrap().0
    };
    let mut keys = Vec::new();
    for may in MachineMay::ALL {
        keys.push((may, key(&practice, &ada, one_for(may), &[may]).await));
    }
    let gone = key(&practice, &ada, "gone", &MachineMay::ALL).await;
    let page = sees(&practice, &ada, "/people/keys").await.text();
    let (before, _) = page
        .split_once("Take it back<span class=\"hidden-words\">: gone")
        .unwrap();
    let (_, id) = before.rsplit_once("name=\"id\" value=\"").unwrap();
    let id = id.split('"').next().unwrap();
    let back = does(&practice, &ada, "/people/keys/back", &[("id", id)]).await;
    assert_eq!(back.status, StatusCode::SEE_OTHER, "{}", back.text());

    let mut rows = 0;
    for row in TABLE {
        let Needs::Key(may) = row.needs else {
            continue;
        };
        rows += 1;
        let (method, path) = (row.method.name(), filled(row.path));
        let told = format!("{method} {path}");
        let none = practice
            .send(request(method, &path).body(Body::empty()).unwrap())
            .await;
        let wrong = with_key(&practice, &"ab".repeat(32), method, &path).await;
        let no_token = with_key(&practice, "short", method, &path).await;
        let taken_back = with_key(&practice, &gone, method, &path).await;
        let cookie = asks(&practice, &ada, method, &path, "").await;
        for refused in [&none, &wrong, &no_token, &taken_back, &cookie] {
            assert_eq!(refused.status, StatusCode::UNAUTHORIZED, "{told}");
            assert_eq!(
                refused.headers[header::WWW_AUTHENTICATE],
                "Bearer",
                "{told}"
            );
            assert_eq!(refused.text(), none.text(), "{told}: told alike");
        }
        for (other, token) in &keys {
            let answer = with_key(&practice, token, method, &path).await;
            let status = answer.status;
            if *other == may {
                assert!(
                    status != StatusCode::UNAUTHORIZED && status != StatusCode::FORBIDDEN,
                    "{told}: {status}"
                );
                assert!(!status.is_server_error(), "{told}: {}", answer.text());
            } else {
                assert_eq!(status, StatusCode::FORBIDDEN, "{told}");
            }
        }
    }
    assert!(rows >= 18, "{rows}");
    // And no key opens a page.
    for path in ["/", "/people", "/trail", "/openapi.json"] {
        let answer = with_key(&practice, &keys[0].1, "GET", path).await;
        assert_ne!(answer.status, StatusCode::OK, "{path}");
    }
    let trail = trail(&practice, &ada).await;
    for told in ["made a key for a machine", "took back a key for a machine"] {
        assert!(trail.contains(told) || trail.contains("machine"), "{told}");
    }
    let assistant = somebody(&practice, &ada, "one-assistant", Role::Assistant).await;
    let page = sees(&practice, &assistant, "/people/keys").await;
    assert_eq!(page.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn many_wrong_keys_from_one_address_make_it_wait() {
    let (practice, ada) = with_accounts().await;
    let right = key(&practice, &ada, "records", &[MachineMay::ReadRecords]).await;
    let from = |last: u8, token: &str| {
        let mut asked = request("GET", "/fhir/metadata")
            .header(header::AUTHORIZATION, format!("Bearer {token}"))
            .body(Body::empty())
            .unwrap();
        let address = SocketAddr::from(([192, 0, 2, last], 4000));
        asked.extensions_mut().insert(ConnectInfo(address));
        practice.send(asked)
    };
    let mut seen = Vec::new();
    for _ in 0..40 {
        seen.push(from(1, &"cd".repeat(32)).await.status);
    }
    assert_eq!(seen[0], StatusCode::UNAUTHORIZED);
    assert!(seen.contains(&StatusCode::TOO_MANY_REQUESTS), "{seen:?}");
    let waits = from(1, &"cd".repeat(32)).await;
    if waits.status == StatusCode::TOO_MANY_REQUESTS {
        assert!(waits.headers.contains_key(header::RETRY_AFTER));
    }
    assert_eq!(from(2, &right).await.status, StatusCode::OK);
}

#[tokio::test]
async fn health_records_are_read_and_searched_and_each_look_names_the_key() {
    let practice = Practice::started().await;
    let (patient, _) = with_a_film(&practice, "F-1", 1_003).await;
    let id = patient.rsplit('/').next().unwrap();
    let ada = turns_signing_in_on(&practice).await;
    let token = key(
        &practice,
        &ada,
        "hospital records",
        &[MachineMay::ReadRecords],
    )
    .await;
    let asked = async |path: String| {
        let answer = with_key(&practice, &token, "GET", &path).await;
        assert!(
            answer.headers[header::CONTENT_TYPE]
                .to_str()
                .unwrap()
                .starts_with("application/fhir+json"),
            "{path}: {}",
            answer.text()
        );
        (answer.status, answer.json())
    };
    let (status, statement) = asked("/fhir/metadata".into()).await;
    assert_eq!(
        (status, &statement["fhirVersion"]),
        (StatusCode::OK, &"4.0.1".into())
    );
    assert_eq!(
        statement["implementation"]["url"],
        "http://127.0.0.1:8321/fhir"
    );

    let (status, found) = asked("/fhir/Patient?name=pers".into()).await;
    assert_eq!((status, &found["total"]), (StatusCode::OK, &1.into()));
    assert_eq!(found["entry"][0]["resource"]["id"], id);
    assert_eq!(
        found["entry"][0]["fullUrl"],
        format!("http://127.0.0.1:8321/fhir/Patient/{id}")
    );
    let (status, one) = asked(format!("/fhir/Patient/{id}")).await;
    assert_eq!(
        (status, &one["resourceType"]),
        (StatusCode::OK, &"Patient".into())
    );
    let (_, visits) = asked(format!("/fhir/Encounter?patient={id}")).await;
    let visit = visits["entry"][0]["resource"]["id"].as_str().unwrap();
    assert_eq!(
        asked(format!("/fhir/Encounter/{visit}")).await.0,
        StatusCode::OK
    );
    let (_, acts) = asked("/fhir/Provenance".into()).await;
    let act = acts["entry"][0]["resource"]["id"].as_str().unwrap();
    assert_eq!(
        asked(format!("/fhir/Provenance/{act}")).await.0,
        StatusCode::OK
    );
    let (_, people) = asked("/fhir/Practitioner".into()).await;
    assert_eq!(people["total"], 1);

    for (path, expected) in [
        ("/fhir/Nonsense", StatusCode::NOT_FOUND),
        ("/fhir/Patient/no_id", StatusCode::BAD_REQUEST),
        ("/fhir/Patient/none-of-it", StatusCode::NOT_FOUND),
        ("/fhir/Observation/none-of-it", StatusCode::NOT_FOUND),
        ("/fhir/Patient?_count=x", StatusCode::BAD_REQUEST),
        ("/fhir/Patient/a/b", StatusCode::NOT_FOUND),
    ] {
        let (status, outcome) = asked(path.into()).await;
        assert_eq!(status, expected, "{path}: {outcome}");
        assert_eq!(outcome["resourceType"], "OperationOutcome", "{path}");
    }
    let strict = request("GET", "/fhir/Patient?shoe=42")
        .header(header::AUTHORIZATION, format!("Bearer {token}"))
        .header("prefer", "handling=strict");
    let strict = practice.send(strict.body(Body::empty()).unwrap()).await;
    assert_eq!(strict.status, StatusCode::BAD_REQUEST);
    let form = request("POST", "/fhir/Patient/_search")
        .header(header::AUTHORIZATION, format!("Bearer {token}"))
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    let form = practice.send(form.body(Body::from("name=pers")).unwrap());
    assert_eq!(form.await.json()["total"], 1);

    let trail = trail(&practice, &ada).await;
    assert!(trail.contains("hospital records"), "{trail}");
    assert!(trail.contains("Patient searched") && trail.contains(id));
    let page = sees(&practice, &ada, "/people/keys").await.text();
    assert!(!page.contains("last used: never"), "{page}");
}

#[tokio::test]
async fn a_closed_record_is_not_there_for_a_key_unless_it_says_so() {
    let practice = Practice::started().await;
    let (patient, _) = with_a_film(&practice, "F-2", 1_003).await;
    let id = patient.rsplit('/').next().unwrap();
    let ada = turns_signing_in_on(&practice).await;
    let closed = does(
        &practice,
        &ada,
        &format!("{patient}/closure"),
        &[("closed", "yes")],
    )
    .await;
    assert!(closed.status.is_redirection(), "{}", closed.text());
    let all = MachineMay::ALL;
    let plain = key(&practice, &ada, "plain", &all).await;
    let fields = |why| {
        [
            ("label", "closed too"),
            ("read-records", "yes"),
            ("read-films", "yes"),
            ("closed", "yes"),
            ("why", why),
        ]
    };
    let silent = does(&practice, &ada, "/people/keys", &fields("because")).await;
    assert_eq!(silent.status, StatusCode::UNPROCESSABLE_ENTITY);
    let open = made(&practice, &ada, &fields("Agreed for the night shift.")).await;
    for (token, there) in [(&plain, 0), (&open, 1)] {
        for path in [
            "/fhir/Patient".to_owned(),
            format!("/fhir/Encounter?patient={id}"),
            format!("/fhir/Patient?_id={id}"),
            "/fhir/DocumentReference".to_owned(),
        ] {
            let found = with_key(&practice, token, "GET", &path).await.json();
            assert_eq!(found["total"], there, "{path}");
        }
        let read = with_key(&practice, token, "GET", &format!("/fhir/Patient/{id}")).await;
        assert_eq!(read.status == StatusCode::OK, there == 1);
        let films = with_key(&practice, token, "GET", "/dicomweb/studies").await;
        assert_eq!(films.status == StatusCode::OK, there == 1);
        let film = with_key(&practice, token, "GET", "/dicomweb/studies/2.25.1001").await;
        assert_eq!(film.status == StatusCode::OK, there == 1);
    }
    assert!(
        trail(&practice, &ada)
            .await
            .contains("Agreed for the night shift.")
    );
}

#[tokio::test]
async fn films_are_found_and_given_out_as_they_came_in() {
    let practice = Practice::started().await;
    let (_, first) = with_a_film(&practice, "F-1", 1_003).await;
    let (_, second) = with_a_film(&practice, "F-2", 1_004).await;
    let ada = turns_signing_in_on(&practice).await;
    let token = key(&practice, &ada, "archive", &[MachineMay::ReadFilms]).await;
    let get = async |path: &str| with_key(&practice, &token, "GET", path).await;

    let studies = get("/dicomweb/studies?PatientID=INVENTED-1").await;
    assert_eq!(
        studies.headers[header::CONTENT_TYPE],
        "application/dicom+json"
    );
    let studies = studies.json();
    assert_eq!(
        studies.as_array().unwrap().len(),
        1,
        "one study of two films"
    );
    assert_eq!(studies[0]["0020000D"]["Value"][0], "2.25.1001");
    let all = "/dicomweb/studies/2.25.1001/instances";
    assert_eq!(get(all).await.json().as_array().unwrap().len(), 2);
    let one = format!("{all}?limit=1&offset=1");
    assert_eq!(get(&one).await.json().as_array().unwrap().len(), 1);
    for nothing in [
        "/dicomweb/studies?PatientID=OTHER",
        "/dicomweb/studies/2.25.9/series",
    ] {
        assert_eq!(
            get(nothing).await.status,
            StatusCode::NO_CONTENT,
            "{nothing}"
        );
    }
    assert_eq!(
        get("/dicomweb/studies?Shoe=42").await.status,
        StatusCode::BAD_REQUEST
    );
    let object = "/dicomweb/studies/2.25.1001/series/2.25.1002/instances/2.25.1003";
    let heads = get(&format!("{object}/metadata")).await.json();
    assert_eq!(heads[0]["00080018"]["Value"][0], "2.25.1003");
    assert!(heads[0].get("7FE00010").is_none(), "no picture in a head");

    let accepting = async |path: &str, accept: &str| {
        let asked = request("GET", path)
            .header(header::AUTHORIZATION, format!("Bearer {token}"))
            .header(header::ACCEPT, accept);
        practice.send(asked.body(Body::empty()).unwrap()).await
    };
    let alone = accepting(object, "application/dicom; transfer-syntax=*").await;
    assert_eq!(alone.headers[header::CONTENT_TYPE], "application/dicom");
    assert_eq!(alone.bytes, first);
    let study = accepting(
        "/dicomweb/studies/2.25.1001",
        "multipart/related; type=\"application/dicom\"",
    )
    .await;
    let media_type = study.headers[header::CONTENT_TYPE].to_str().unwrap();
    let boundary = exchange_dicom::send::multipart::boundary(media_type).unwrap();
    let parts = exchange_dicom::send::multipart::parts(&boundary, &study.bytes).unwrap();
    let mut bytes: Vec<&[u8]> = parts.iter().map(|p| p.bytes).collect();
    bytes.sort_unstable();
    let mut expected: Vec<&[u8]> = vec![&first, &second];
    expected.sort_unstable();
    assert!(bytes == expected);
    for other in [
        "image/jpeg",
        "application/dicom; transfer-syntax=1.2.840.10008.1.2.4.90",
        "multipart/related; type=\"image/jpeg\"",
    ] {
        let refused = accepting(object, other).await;
        assert_eq!(refused.status, StatusCode::NOT_ACCEPTABLE, "{other}");
    }
    for none in [
        "/dicomweb/studies/2.25.9",
        "/dicomweb/studies/..",
        "/dicomweb/studies/2.25.1001/series/2.25.9",
    ] {
        assert_eq!(get(none).await.status, StatusCode::NOT_FOUND, "{none}");
    }
    let trail = trail(&practice, &ada).await;
    assert!(
        trail.contains("archive") && trail.contains("films given"),
        "{trail}"
    );
}

#[tokio::test]
async fn a_film_that_a_machine_sends_waits_once_and_what_is_no_film_is_refused() {
    let (practice, ada) = with_accounts().await;
    let token = key(&practice, &ada, "sender", &[MachineMay::SendFilms]).await;
    let object = film::write::dicom(&film(1_003)).expect("a film");
    let (media_type, body) =
        exchange_dicom::send::multipart::body("an-edge-of-parts", &[&object]).unwrap();
    let sent = |media_type: &str, more: &[(&str, &str)], body: Vec<u8>| {
        let mut asked = request("POST", "/dicomweb/studies")
            .header(header::AUTHORIZATION, format!("Bearer {token}"))
            .header(header::CONTENT_TYPE, media_type);
        for (name, value) in more {
            asked = asked.header(*name, *value);
        }
        practice.send(asked.body(Body::from(body)).unwrap())
    };
    for _ in 0..2 {
        let kept = sent(&media_type, &[], body.clone()).await;
        assert_eq!(kept.status, StatusCode::OK, "{}", kept.text());
    }
    let waiting = sees(&practice, &ada, "/arrivals").await.text();
    assert_eq!(waiting.matches("/picture.png").count(), 1, "{waiting}");
    let other = sent("application/json", &[], b"{}".to_vec()).await;
    assert_eq!(other.status, StatusCode::UNSUPPORTED_MEDIA_TYPE);
    let broken = sent(&media_type, &[], b"--nothing".to_vec()).await;
    assert_eq!(broken.status, StatusCode::BAD_REQUEST);

    // A key alone is of no site; with a cookie the request is held against its site as any other.
    let elsewhere = ("origin", "https://elsewhere.example");
    let by_key = sent(&media_type, &[elsewhere], body.clone()).await;
    assert_eq!(by_key.status, StatusCode::OK);
    let with_cookie = [elsewhere, ("cookie", ada.as_str())];
    let both = sent(&media_type, &with_cookie, body).await;
    assert_eq!(both.status, StatusCode::FORBIDDEN);
}
