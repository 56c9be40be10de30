//! Many records at once leave the practice, or are read again. Every person is invented.

use super::access::{does, sees, somebody, with_accounts};
use super::arrivals::film_of;
use super::common::{Practice, lateral_points};
use super::machines::{key, request, turns_signing_in_on, with_key};
use axum::body::Body;
use axum::http::{StatusCode, header};
use exchange_table::StudyKey;
use record::{MachineMay, Noted, Role};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use uuid::Uuid;
use web::Outside;
use web::exports::make::{one, tidy};

const TAKER: Uuid = Uuid::from_u128(99);

/// A practice with one patient whose film is read: `/patient/ID`, `/film/ID`.
async fn with_a_read_film() -> (Practice, String, String) {
    let outside = Outside {
        study_key: Some(StudyKey::new(&[7; 32]).unwrap()),
        ..Outside::default()
    };
    let practice = Practice::started_beside(outside).await;
    let patient = practice
        .add_patient("Mae", "Ausgedacht", "C-7", "1961-03-04", "female")
        .await;
    let visit = practice.start_visit(&patient, "sore").await;
    let file = film_of("C-7", "Ausgedacht^Mae", 1);
    let film = practice
        .upload(&visit, &file, "film.dcm", &[])
        .await
        .place();
    let body = json!({"points": lateral_points(), "finished": true});
    let saved = practice.json(&format!("{film}/points"), &body).await;
    assert_eq!(saved.status, StatusCode::OK, "{}", saved.text());
    (practice, patient, film)
}

async fn asked(practice: &Practice, what: &str) {
    let answer = practice.form("/exports", &[("what", what)]).await;
    assert_eq!(answer.place(), "/exports");
}

async fn page(practice: &Practice) -> String {
    practice.get("/exports").await.text()
}

/// The addresses of the packed files on the page, the last one asked for first.
fn packed_on(page: &str) -> Vec<String> {
    let parts = page.split("href=\"/exports/").skip(1);
    parts
        .filter_map(|part| part.split('"').next())
        .map(|rest| format!("/exports/{rest}"))
        .collect()
}

fn unpacked(bytes: &[u8]) -> BTreeMap<String, Vec<u8>> {
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).expect("a ZIP");
    let mut files = BTreeMap::new();
    for n in 0..zip.len() {
        let mut file = zip.by_index(n).unwrap();
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).unwrap();
        let name = file.name().unwrap().into_owned();
        files.insert(name, bytes);
    }
    files
}

/// Asks, makes and fetches it.
async fn made(practice: &Practice, what: &str) -> BTreeMap<String, Vec<u8>> {
    asked(practice, what).await;
    assert!(one(&practice.state, TAKER).await.unwrap());
    let page = page(practice).await;
    assert!(page.contains(">ready<"), "{page}");
    let fetched = practice.get(&packed_on(&page)[0]).await;
    assert_eq!(fetched.headers[header::CONTENT_TYPE], "application/zip");
    unpacked(&fetched.bytes)
}

fn lines(bytes: &[u8]) -> Vec<Value> {
    let text = std::str::from_utf8(bytes).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn health_records_of_everybody_are_made_once_fetched_and_taken_away() {
    let (practice, patient, _) = with_a_read_film().await;
    asked(&practice, "records").await;
    asked(&practice, "records").await;
    let before = page(&practice).await;
    assert_eq!(
        before.matches("class=\"export-row\"").count(),
        1,
        "{before}"
    );
    assert!(
        before.contains(">waits<") && before.contains("data-waits"),
        "{before}"
    );
    let files = made(&practice, "records").await;
    let people = lines(&files["Patient.ndjson"]);
    assert_eq!(people.len(), 1);
    assert_eq!(people[0]["name"][0]["family"], "Ausgedacht");
    let readings = lines(&files["Observation.ndjson"]);
    assert!(readings.len() > 3, "{}", readings.len());
    let mut all = 0;
    for (name, bytes) in files.iter().filter(|(name, _)| name.ends_with(".ndjson")) {
        let kind = name.trim_end_matches(".ndjson");
        for line in lines(bytes) {
            assert_eq!(line["resourceType"], kind);
            all += 1;
        }
    }
    let text = page(&practice).await;
    assert!(
        text.contains(&format!("{all} resources of 1 patient")),
        "{text}"
    );
    let trail = practice.state.store.trail(0, 1000).await.unwrap();
    let of: Vec<_> = trail.iter().filter(|e| e.kind == Noted::TookOut).collect();
    let told = |words: &str| of.iter().filter(|e| e.detail.contains(words)).count();
    // The second request came while the first was under way.
    assert_eq!((told("asked for"), told("fetched")), (1, 1), "{of:?}");
    let id = patient.rsplit('/').next().unwrap();
    let about: Vec<_> = of
        .iter()
        .filter(|e| e.patient.is_some_and(|p| p.to_string() == id))
        .collect();
    assert_eq!(about.len(), 1, "{of:?}");

    let zip = packed_on(&text).remove(0);
    let away = zip.replace("all.zip", "away");
    practice.form(&away, &[]).await.place();
    assert_eq!(practice.get(&zip).await.status, StatusCode::NOT_FOUND);
    assert!(page(&practice).await.contains(">gone<"));
    let faults = practice.state.store.verify().await.unwrap();
    assert_eq!(faults, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_study_has_no_name_in_any_of_its_files_and_needs_the_practices_key() {
    let (practice, patient, film) = with_a_read_film().await;
    let files = made(&practice, "study").await;
    let id = |path: &str| path.rsplit('/').next().unwrap().to_owned();
    for (name, bytes) in &files {
        for word in [
            "Ausgedacht",
            "Mae",
            "C-7",
            "1961",
            &id(&patient),
            &id(&film),
        ] {
            let there = bytes.windows(word.len()).any(|w| w == word.as_bytes());
            assert!(!there, "{word} in {name}");
        }
    }
    for name in [
        "cohort.csv",
        "readings.csv",
        "dictionary.json",
        "manifest.json",
    ] {
        assert!(files.contains_key(name), "{name}: {:?}", files.keys());
    }
    let parquet = "readings/visit_year=2026/part-0.parquet";
    assert!(files[parquet].starts_with(b"PAR1"));
    assert!(
        page(&practice)
            .await
            .contains("stand in groups of fewer than 5")
    );

    let plain = Practice::started().await;
    let text = page(&plain).await;
    assert!(text.contains("--study-key"), "{text}");
    let refused = plain.form("/exports", &[("what", "study")]).await;
    assert_eq!(refused.status, StatusCode::CONFLICT);
    let refused = plain.form("/exports", &[("what", "films")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn films_read_again_say_the_same_until_something_changed_and_nothing_kept_changes() {
    let (practice, _, film) = with_a_read_film().await;
    let files = made(&practice, "readings").await;
    let table = String::from_utf8(files["readings.csv"].clone()).unwrap();
    let rows: Vec<&str> = table.lines().skip(1).collect();
    assert!(rows.len() > 5, "{table}");
    assert!(
        rows.iter()
            .all(|r| r.ends_with(",same") && r.starts_with("C-7,")),
        "{table}"
    );
    let text = page(&practice).await;
    assert!(
        text.contains("Each is what was kept, with the same error."),
        "{text}"
    );
    let film_id: record::FilmId = film.rsplit('/').next().unwrap().parse().unwrap();
    let kept = practice.state.store.points_of(film_id).await.unwrap();

    // Without a scale there are no millimetres any more.
    let none = practice
        .json(&format!("{film}/scale"), &json!({"from": "none"}))
        .await;
    assert_eq!(none.status, StatusCode::OK, "{}", none.text());
    let files = made(&practice, "readings").await;
    let table = String::from_utf8(files["readings.csv"].clone()).unwrap();
    let gone = table.lines().filter(|r| r.ends_with(",only-then")).count();
    assert!(gone > 0, "{table}");
    assert!(
        table
            .lines()
            // An angle stands; how far its points are off was told in millimetres.
            .any(|r| r.contains(",calc_pitch,") && r.ends_with(",other-error")),
        "{table}"
    );
    let words = if gone == 1 {
        "1 value differs".to_owned()
    } else {
        format!("{gone} values differ")
    };
    let text = page(&practice).await;
    assert!(text.contains(&words), "{words}: {text}");
    assert_eq!(practice.state.store.points_of(film_id).await.unwrap(), kept);
    let columns = String::from_utf8(files["dictionary.csv"].clone()).unwrap();
    assert_eq!(columns.lines().count(), 21, "{columns}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_export_is_stopped_and_what_lay_long_enough_goes() {
    let (practice, ..) = with_a_read_film().await;
    practice.days_back(10);
    made(&practice, "records").await;
    practice.days_back(4);
    assert_eq!(tidy(&practice.state).await.unwrap(), 0);
    made(&practice, "readings").await;
    practice.days_back(2);
    assert!(tidy(&practice.state).await.unwrap() > 3);
    let text = page(&practice).await;
    assert_eq!(
        (
            text.matches(">gone<").count(),
            text.matches(">ready<").count()
        ),
        (1, 1),
        "{text}"
    );

    asked(&practice, "records").await;
    let text = page(&practice).await;
    let (before, _) = text.split_once("/stop\"").expect("a way to stop");
    let stop = before.rsplit_once("action=\"").unwrap().1;
    practice.form(&format!("{stop}/stop"), &[]).await.place();
    assert!(!one(&practice.state, TAKER).await.unwrap(), "nothing to do");
    assert!(page(&practice).await.contains("It was stopped."));
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn an_export_is_its_askers_alone_and_goes_when_a_record_is_closed() {
    let (practice, ada) = with_accounts().await;
    let new = [
        ("given_name", "Mae"),
        ("family_name", "Ausgedacht"),
        ("chart_number", "C-7"),
        ("born_on", "1961-03-04"),
        ("sex", "female"),
    ];
    let added = does(&practice, &ada, "/patients/new", &new).await;
    let patient = super::access::place(&added).to_owned();
    let bea = somebody(&practice, &ada, "bea", Role::Clinician).await;
    let asks = async |cookie: &str| {
        let asked = does(&practice, cookie, "/exports", &[("what", "records")]).await;
        assert_eq!(asked.status, StatusCode::SEE_OTHER, "{}", asked.text());
        assert!(one(&practice.state, TAKER).await.unwrap());
        let text = sees(&practice, cookie, "/exports").await.text();
        let packed = packed_on(&text);
        packed.first().unwrap_or_else(|| panic!("{text}")).clone()
    };
    let (hers, beas) = (asks(&ada).await, asks(&bea).await);
    assert_ne!(hers, beas);
    assert_eq!(sees(&practice, &ada, &hers).await.status, StatusCode::OK);
    assert_eq!(
        sees(&practice, &ada, &beas).await.status,
        StatusCode::NOT_FOUND
    );
    let away = beas.replace("all.zip", "away");
    assert_eq!(
        does(&practice, &ada, &away, &[]).await.status,
        StatusCode::NOT_FOUND
    );
    let assistant = somebody(&practice, &ada, "cleo", Role::Assistant).await;
    assert_eq!(
        sees(&practice, &assistant, "/exports").await.status,
        StatusCode::FORBIDDEN
    );

    let closed = [("closed", "yes")];
    does(&practice, &ada, &format!("{patient}/closure"), &closed).await;
    for (cookie, zip) in [(&ada, &hers), (&bea, &beas)] {
        assert_eq!(
            sees(&practice, cookie, zip).await.status,
            StatusCode::NOT_FOUND
        );
    }
    // Open to the one who closed it, and to nobody else.
    let hers = unpacked(&sees(&practice, &ada, &asks(&ada).await).await.bytes);
    assert!(hers.contains_key("Patient.ndjson"), "{:?}", hers.keys());
    let beas = unpacked(&sees(&practice, &bea, &asks(&bea).await).await.bytes);
    assert!(!beas.contains_key("Patient.ndjson"), "{:?}", beas.keys());
    let text = sees(&practice, &bea, "/exports").await.text();
    assert!(text.contains("1 closed record is not in it."), "{text}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_machine_asks_for_everybody_looks_until_it_is_ready_and_fetches_lines() {
    let (practice, patient, _) = with_a_read_film().await;
    let ada = turns_signing_in_on(&practice).await;
    let token = key(&practice, &ada, "register", &[MachineMay::ReadRecords]).await;
    let other = key(&practice, &ada, "another", &[MachineMay::ReadRecords]).await;
    let ask = async |path: &str, prefer: &str| {
        let request = request("GET", path)
            .header(header::AUTHORIZATION, format!("Bearer {token}"))
            .header("prefer", prefer);
        practice.send(request.body(Body::empty()).unwrap()).await
    };
    let at_once = with_key(&practice, &token, "GET", "/fhir/$export").await;
    assert_eq!(at_once.status, StatusCode::BAD_REQUEST);
    assert_eq!(at_once.json()["resourceType"], "OperationOutcome");
    let since = ask("/fhir/$export?_since=2026-01-01", "respond-async").await;
    assert_eq!(since.status, StatusCode::BAD_REQUEST);

    let begun = ask(
        "/fhir/Patient/$export?_type=Patient,Observation",
        "respond-async",
    )
    .await;
    assert_eq!(begun.status, StatusCode::ACCEPTED, "{}", begun.text());
    let at = begun.headers[header::CONTENT_LOCATION].to_str().unwrap();
    let at = at.strip_prefix("http://127.0.0.1:8321").unwrap().to_owned();
    let waiting = with_key(&practice, &token, "GET", &at).await;
    assert_eq!(waiting.status, StatusCode::ACCEPTED);
    assert_eq!(waiting.headers["x-progress"], "waiting");
    assert!(waiting.headers.contains_key(header::RETRY_AFTER));
    assert!(one(&practice.state, TAKER).await.unwrap());
    let ready = with_key(&practice, &token, "GET", &at).await;
    assert_eq!(ready.status, StatusCode::OK, "{}", ready.text());
    assert_eq!(ready.headers[header::CONTENT_TYPE], "application/json");
    assert!(ready.headers.contains_key(header::EXPIRES));
    let manifest = ready.json();
    assert_eq!(manifest["requiresAccessToken"], true);
    assert_eq!(
        manifest["request"],
        "http://127.0.0.1:8321/fhir/$export?_type=Observation,Patient"
    );
    let output = manifest["output"].as_array().unwrap();
    assert_eq!(output.len(), 2, "{manifest}");
    for file in output {
        let url = file["url"].as_str().unwrap();
        let path = url.strip_prefix("http://127.0.0.1:8321").unwrap();
        let got = with_key(&practice, &token, "GET", path).await;
        assert_eq!(got.headers[header::CONTENT_TYPE], "application/fhir+ndjson");
        let lines = lines(&got.bytes);
        assert_eq!(json!(lines.len()), file["count"]);
        assert!(lines.iter().all(|l| l["resourceType"] == file["type"]));
        let stranger = with_key(&practice, &other, "GET", path).await;
        assert_eq!(stranger.status, StatusCode::NOT_FOUND);
    }
    for bad in [
        format!("{at}/about.json"),
        format!("{at}/Visit.ndjson"),
        "/fhir/$export/none".into(),
    ] {
        let none = with_key(&practice, &token, "GET", &bad).await;
        assert_eq!(none.status, StatusCode::NOT_FOUND, "{bad}");
        assert_eq!(none.json()["resourceType"], "OperationOutcome", "{bad}");
    }
    assert_eq!(
        with_key(&practice, &other, "DELETE", &at).await.status,
        StatusCode::NOT_FOUND
    );
    assert_eq!(
        with_key(&practice, &token, "DELETE", &at).await.status,
        StatusCode::ACCEPTED
    );
    assert_eq!(
        with_key(&practice, &token, "GET", &at).await.status,
        StatusCode::NOT_FOUND
    );
    let trail = practice.state.store.trail(0, 1000).await.unwrap();
    let of: Vec<_> = trail.iter().filter(|e| e.kind == Noted::TookOut).collect();
    let told = |words: &str| of.iter().filter(|e| e.detail.contains(words)).count();
    assert_eq!((told("key 'register'"), told("fetched")), (3, 2), "{of:?}");
    let id = patient.rsplit('/').next().unwrap();
    assert!(
        of.iter()
            .any(|e| e.patient.is_some_and(|p| p.to_string() == id)),
        "{of:?}"
    );

    // Stopped while it waits; and no more than a few at once.
    let begun = ask("/fhir/$export", "respond-async").await;
    let at = begun.headers[header::CONTENT_LOCATION].to_str().unwrap();
    let at = at.strip_prefix("http://127.0.0.1:8321").unwrap();
    assert_eq!(
        with_key(&practice, &token, "DELETE", at).await.status,
        StatusCode::ACCEPTED
    );
    let gone = with_key(&practice, &token, "GET", at).await;
    assert_eq!(gone.status, StatusCode::GONE);
    assert!(gone.text().contains("it was stopped"), "{}", gone.text());
    for kind in ["Patient", "Encounter", "Observation"] {
        let begun = ask(&format!("/fhir/$export?_type={kind}"), "respond-async").await;
        assert_eq!(begun.status, StatusCode::ACCEPTED, "{kind}");
    }
    let many = ask("/fhir/$export?_type=Condition", "respond-async").await;
    assert_eq!(many.status, StatusCode::TOO_MANY_REQUESTS);
    assert_eq!(many.json()["resourceType"], "OperationOutcome");
}
