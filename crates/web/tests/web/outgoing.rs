//! Results go out: to another implementation (dcmtk), over the web, and as files. Every person is invented.

use super::access::{does, sees, somebody, with_accounts};
use super::arrivals::film_of;
use super::common::{Practice, lateral_points};
use axum::http::StatusCode;
use exchange_dicom::send::{Peer as Association, Stow, multipart};
use exchange_dicom::tree::Limits;
use record::{Noted, Role};
use serde_json::json;
use std::net::TcpListener;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use store::jobs::JobState;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use uuid::Uuid;
use web::outgoing::post;
use web::{Outside, Peer, Way};

const TAKER: Uuid = Uuid::from_u128(99);

fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    listener.local_addr().unwrap().port()
}

fn peer(name: &str, port: u16) -> Peer {
    Peer {
        name: name.into(),
        way: Way::Dicom(Association {
            address: format!("127.0.0.1:{port}"),
            called: "ARCHIVE".into(),
            calling: "TIEBEAM".into(),
            tls: None,
            idle: Duration::from_secs(10),
        }),
    }
}

/// A practice with a film that is read, and others to send to. `/film/ID`, `/visit/ID`.
pub async fn with_a_read_film(peers: Vec<Peer>) -> (Practice, String, String) {
    let outside = Outside {
        peers,
        ..Outside::default()
    };
    let practice = Practice::started_beside(outside).await;
    let patient = practice
        .add_patient("Mae", "Invented", "C-7", "1961-03-04", "female")
        .await;
    let visit = practice.start_visit(&patient, "sore").await;
    let file = film_of("C-7", "Invented^Mae", 1);
    let film = practice
        .upload(&visit, &file, "film.dcm", &[])
        .await
        .place();
    let body = json!({"points": lateral_points(), "finished": true});
    let saved = practice.json(&format!("{film}/points"), &body).await;
    assert_eq!(saved.status, StatusCode::OK, "{}", saved.text());
    (practice, film, visit)
}

struct Storescp(Child);

impl Drop for Storescp {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn storescp(port: u16, folder: &std::path::Path) -> Storescp {
    let child = Command::new("storescp")
        .args(["-aet", "ARCHIVE", "-od"])
        .arg(folder)
        .arg(port.to_string())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("storescp; Debian package dcmtk");
    for _ in 0..200 {
        if std::net::TcpStream::connect(("127.0.0.1", port)).is_ok() {
            break;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    Storescp(child)
}

fn files_in(folder: &std::path::Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

const ALL: [(&str, &str); 4] = [
    ("to", "Archive"),
    ("report", "yes"),
    ("picture", "yes"),
    ("drawing", "yes"),
];

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn readings_go_to_another_system_and_sent_again_they_are_the_same_objects() {
    let port = free_port();
    let (practice, film, _) = with_a_read_film(vec![peer("Archive", port)]).await;
    let folder = tempfile::tempdir().unwrap();
    let _scp = storescp(port, folder.path());
    let page = practice.get(&format!("{film}/send")).await.text();
    assert!(
        page.contains("structured report") && page.contains("<option>Archive</option>"),
        "{page}"
    );
    assert!(
        practice
            .get(&film)
            .await
            .text()
            .contains("/send\">Send</a>")
    );
    let send = format!("{film}/send");
    practice.form(&send, &ALL).await.place();
    // Pressed twice it is one sending.
    practice.form(&send, &ALL).await.place();
    let page = practice.get(&send).await.text();
    assert_eq!(
        page.matches("report, picture, drawing to Archive").count(),
        1,
        "{page}"
    );
    assert!(page.contains(">waits<"), "{page}");
    assert!(post::one(&practice.state, TAKER).await.unwrap());
    assert!(!post::one(&practice.state, TAKER).await.unwrap());
    let first = files_in(folder.path());
    assert_eq!(first.len(), 3, "{first:?}");
    let page = practice.get(&send).await.text();
    assert!(
        page.contains(">sent<") && page.contains("Kept there"),
        "{page}"
    );
    practice.form(&send, &ALL).await.place();
    assert!(post::one(&practice.state, TAKER).await.unwrap());
    assert_eq!(files_in(folder.path()), first, "the same identifiers");
    let trail = practice.state.store.trail(0, 1000).await.unwrap();
    let sent: Vec<_> = trail.iter().filter(|e| e.kind == Noted::SentOut).collect();
    assert_eq!(sent.len(), 4, "asked and kept, twice");
    assert!(
        sent.iter()
            .all(|e| e.patient.is_some() && !e.detail.contains("Mae"))
    );
    // The same objects as files, byte for byte each time.
    for name in ["report", "picture", "drawing"] {
        let path = format!("{film}/object/{name}.dcm");
        let file = practice.get(&path).await;
        assert_eq!(file.status, StatusCode::OK);
        assert_eq!(file.bytes.get(128..132), Some(&b"DICM"[..]));
        assert_eq!(practice.get(&path).await.bytes, file.bytes, "{name}");
    }
    let none = practice.get(&format!("{film}/object/report")).await;
    assert_eq!(none.status, StatusCode::NOT_FOUND);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_system_that_is_not_there_is_tried_again_and_the_page_says_why() {
    let (practice, film, _) = with_a_read_film(vec![peer("Archive", free_port())]).await;
    let send = format!("{film}/send");
    practice.form(&send, &ALL).await.place();
    assert!(post::one(&practice.state, TAKER).await.unwrap());
    let page = practice.get(&send).await.text();
    assert!(page.contains("waits for another try"), "{page}");
    assert!(page.contains("Could not reach the other side"), "{page}");
    for bad in [
        vec![("to", "Nobody"), ("report", "yes")],
        vec![("to", "Archive")],
    ] {
        let refused = practice.form(&send, &bad).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    }
    let jobs = practice
        .state
        .store
        .jobs(Some("send".into()), 9)
        .await
        .unwrap();
    assert_eq!(jobs.len(), 1);
    assert!(matches!(jobs[0].state, JobState::Waiting { .. }));
}

/// Answers every request with what it was given, as a service for films does.
async fn service() -> (u16, Arc<Mutex<Vec<Vec<String>>>>) {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let port = listener.local_addr().unwrap().port();
    let kept = Arc::new(Mutex::new(Vec::new()));
    let into = kept.clone();
    tokio::spawn(async move {
        while let Ok((mut stream, _)) = listener.accept().await {
            let mut all = Vec::new();
            let mut chunk = vec![0; 65536];
            let (head, length) = loop {
                let n = stream.read(&mut chunk).await.unwrap();
                all.extend(&chunk[..n]);
                if let Some(end) = all.windows(4).position(|w| w == b"\r\n\r\n") {
                    let head = String::from_utf8_lossy(&all[..end]).into_owned();
                    let length = head_of(&head, "content-length").parse::<usize>().unwrap();
                    all.drain(..end + 4);
                    break (head, length);
                }
            };
            while all.len() < length {
                let n = stream.read(&mut chunk).await.unwrap();
                all.extend(&chunk[..n]);
            }
            assert!(
                head.starts_with("POST /dicom-web/studies HTTP/1.1"),
                "{head}"
            );
            let boundary = multipart::boundary(&head_of(&head, "content-type")).unwrap();
            let parts = multipart::parts(&boundary, &all).unwrap();
            let instances = parts
                .iter()
                .map(|p| instance_of(p.bytes))
                .collect::<Vec<_>>();
            into.lock().unwrap().push(instances);
            let answer = b"HTTP/1.1 200 OK\r\ncontent-type: application/dicom+json\r\ncontent-length: 2\r\nconnection: close\r\n\r\n{}";
            stream.write_all(answer).await.unwrap();
        }
    });
    (port, kept)
}

fn head_of(head: &str, name: &str) -> String {
    let line = head
        .lines()
        .find(|l| l.to_lowercase().starts_with(&format!("{name}:")));
    line.and_then(|l| l.split_once(':'))
        .unwrap()
        .1
        .trim()
        .to_owned()
}

pub fn instance_of(file: &[u8]) -> String {
    let mut inflated = Vec::new();
    let object = exchange_dicom::tree::file(file, &mut inflated, &Limits::default()).unwrap();
    exchange_dicom::facts::HeaderFacts::of(&object.set)
        .instance_uid
        .unwrap()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn readings_go_out_over_the_web_as_the_same_objects() {
    let (port, kept) = service().await;
    let stow = Stow::to(&format!("http://127.0.0.1:{port}/dicom-web"), None).unwrap();
    let there = Peer {
        name: "Archive".into(),
        way: Way::Stow(stow),
    };
    let (practice, film, _) = with_a_read_film(vec![there]).await;
    for _ in 0..2 {
        practice.form(&format!("{film}/send"), &ALL).await.place();
        assert!(post::one(&practice.state, TAKER).await.unwrap());
    }
    let kept = kept.lock().unwrap().clone();
    assert_eq!(kept.len(), 2);
    assert_eq!(kept[0].len(), 3);
    assert_eq!(kept[0], kept[1]);
    let page = practice.get(&format!("{film}/send")).await.text();
    assert_eq!(page.matches(">sent<").count(), 2, "{page}");
}

#[tokio::test]
async fn a_film_without_finished_points_and_a_draft_do_not_go_out_and_an_assistant_sends_nothing() {
    let (practice, ada) = with_accounts().await;
    let fields = [
        ("given_name", "Mae"),
        ("family_name", "Invented"),
        ("chart_number", "C-7"),
    ];
    let added = does(&practice, &ada, "/patients/new", &fields).await;
    let patient = super::access::place(&added).to_owned();
    let begun = does(
        &practice,
        &ada,
        &format!("{patient}/visits"),
        &[("reason", "sore")],
    )
    .await;
    let visit = super::access::place(&begun).to_owned();
    super::arrivals::comes_in(&practice, film_of("C-7", "Invented^Mae", 1)).await;
    let id = visit.trim_start_matches("/visit/").parse().unwrap();
    let film = practice.state.store.films_of_visit(id).await.unwrap()[0].id;
    let page = sees(&practice, &ada, &format!("/film/{film}/send")).await;
    assert_eq!(page.status, StatusCode::CONFLICT, "{}", page.text());
    let drafted = does(
        &practice,
        &ada,
        &format!("{visit}/letters"),
        &[("kind", "to-referrer")],
    )
    .await;
    let letter = super::access::place(&drafted).to_owned();
    let letter = letter.split('?').next().unwrap().to_owned();
    let page = sees(&practice, &ada, &format!("{letter}/send")).await;
    assert_eq!(
        page.status,
        StatusCode::CONFLICT,
        "{letter}: {}",
        page.text()
    );
    let bob = somebody(&practice, &ada, "bob", Role::Assistant).await;
    for path in [format!("/film/{film}/send"), format!("{letter}/send")] {
        let answer = sees(&practice, &bob, &path).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_signed_letter_goes_out_as_a_document_and_comes_out_of_it_as_it_was_signed() {
    let port = free_port();
    let (practice, _, visit) = with_a_read_film(vec![peer("Archive", port)]).await;
    let wish = [("kind", "to-referrer"), ("recipient", "Dr Invented")];
    let begun = practice
        .form(&format!("{visit}/letters"), &wish)
        .await
        .place();
    let letter = begun.split(['?', '#']).next().unwrap().to_owned();
    practice
        .form(&letter, &[("act", "sign"), ("revision", "1")])
        .await
        .place();
    let paper = practice.get(&format!("{letter}/pdf")).await.bytes;
    assert!(paper.starts_with(b"%PDF-"));
    assert!(
        practice
            .get(&letter)
            .await
            .text()
            .contains("/send\">Send</a>")
    );
    let folder = tempfile::tempdir().unwrap();
    let _scp = storescp(port, folder.path());
    let fields = [("to", "Archive"), ("letter", "yes")];
    practice
        .form(&format!("{letter}/send"), &fields)
        .await
        .place();
    assert!(post::one(&practice.state, TAKER).await.unwrap());
    let files = files_in(folder.path());
    assert_eq!(files.len(), 1, "{files:?}");
    let out = folder.path().join("letter.pdf");
    let done = Command::new("dcm2pdf")
        .arg(folder.path().join(&files[0]))
        .arg(&out)
        .output()
        .expect("dcm2pdf; Debian package dcmtk");
    assert!(
        done.status.success(),
        "{}",
        String::from_utf8_lossy(&done.stderr)
    );
    let came = std::fs::read(&out).unwrap();
    assert_eq!(came.get(..paper.len()), Some(&paper[..]));
    // A byte to make the length even at most.
    assert!(came.len() <= paper.len() + 1);
}
