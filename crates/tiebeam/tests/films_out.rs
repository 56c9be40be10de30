//! Results go out of the running program over sealed lines: to another implementation (dcmtk), to another practice, over
//! the web; and nothing goes where the other side cannot show who it is. Every person is invented.

mod common;

use common::served::{Served, certificates, film_of};
use common::{folder, put, text};
use exchange_dicom::tree::data_set_start;
use std::io::{Read, Write};
use std::net::{Shutdown, TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

const OBJECTS: [&str; 3] = ["report", "picture", "drawing"];

/// An authority's certificate, and a certificate with its key, as files.
struct Papers {
    root: String,
    certificate: String,
    key: String,
}

fn papers(dir: &Path, name: &str) -> Papers {
    let dir = dir.join(name);
    std::fs::create_dir(&dir).expect("a folder");
    let (root, certificate, key) = certificates(&dir);
    Papers {
        root,
        certificate,
        key,
    }
}

struct Storescp(Child);

impl Drop for Storescp {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    listener.local_addr().expect("an address").port()
}

/// dcmtk's receiver; over TLS it also wants to see a certificate of the same authority.
fn storescp(into: &Path, tls: Option<&Papers>) -> (Storescp, u16) {
    let port = free_port();
    std::fs::create_dir_all(into).expect("a folder");
    let mut command = Command::new("storescp");
    command.args(["-aet", "ARCHIVE", "--bit-preserving", "-od"]);
    command.arg(into);
    if let Some(papers) = tls {
        command.args([
            "+tls",
            &papers.key,
            &papers.certificate,
            "+cf",
            &papers.root,
        ]);
    }
    let child = command
        .arg(port.to_string())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("storescp; install dcmtk");
    let begun = Instant::now();
    while TcpStream::connect(("127.0.0.1", port)).is_err() {
        assert!(begun.elapsed() < Duration::from_secs(20), "no storescp");
        std::thread::sleep(Duration::from_millis(50));
    }
    (Storescp(child), port)
}

/// Hands everything on to a port and keeps what was said to it.
struct Wire {
    port: u16,
    said: Arc<Mutex<Vec<u8>>>,
}

impl Wire {
    fn to(there: u16) -> Wire {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let port = listener.local_addr().expect("an address").port();
        let said = Arc::new(Mutex::new(Vec::new()));
        let kept = said.clone();
        std::thread::spawn(move || {
            for caller in listener.incoming() {
                let (mut caller, mut other) =
                    match (caller, TcpStream::connect(("127.0.0.1", there))) {
                        (Ok(caller), Ok(other)) => (caller, other),
                        _ => continue,
                    };
                let (mut back, mut answers) = (
                    caller.try_clone().expect("a line"),
                    other.try_clone().expect("a line"),
                );
                std::thread::spawn(move || {
                    let _ = std::io::copy(&mut answers, &mut back);
                    let _ = back.shutdown(Shutdown::Write);
                });
                let kept = kept.clone();
                std::thread::spawn(move || {
                    let mut chunk = [0; 65536];
                    while let Ok(n) = caller.read(&mut chunk) {
                        if n == 0 || other.write_all(&chunk[..n]).is_err() {
                            break;
                        }
                        kept.lock().expect("a lock").extend(&chunk[..n]);
                    }
                    let _ = other.shutdown(Shutdown::Write);
                });
            }
        });
        Wire { port, said }
    }

    /// Something was said, it began as TLS does, and no title, name, number or picture can be read in it.
    fn is_sealed(&self) {
        let said = self.said.lock().expect("a lock");
        assert_eq!(said.first(), Some(&0x16), "a handshake");
        for word in [
            "ARCHIVE",
            "Invented",
            "T-0042",
            "1.2.840.10008",
            "DICM",
            "POST ",
        ] {
            let there = said.windows(word.len()).any(|w| w == word.as_bytes());
            assert!(!there, "{word} travelled readable");
        }
    }
}

/// A film that is read; `/film/ID`.
fn read_film(served: &Served, dir: &Path, sealed: Option<&Papers>) -> String {
    let visit = served.begin();
    let film = put(dir, "film.dcm", &film_of("T-0042", "Person^Invented", 1, 0));
    match sealed {
        None => served.sends(&[&film]),
        Some(papers) => {
            let done = Command::new("storescu")
                .args([
                    "+tla",
                    "+cf",
                    &papers.root,
                    "-aet",
                    "XRAY",
                    "-aec",
                    "TIEBEAM",
                ])
                .args(["127.0.0.1", &served.films.to_string(), &film])
                .output()
                .expect("storescu; install dcmtk");
            assert!(done.status.success(), "{}", text(&done.stderr));
        }
    }
    let film = format!("/film/{}", served.film_ids(&visit)[0]);
    let points: String = POINTS
        .iter()
        .map(|(key, [x, y])| format!("\"{key}\":[{x},{y}]"))
        .collect::<Vec<_>>()
        .join(",");
    let body = format!("{{\"points\":{{{points}}},\"finished\":true}}");
    let json = "content-type: application/json\r\naccept: application/json";
    let saved = text(&served.asks("POST", &format!("{film}/points"), json, &body));
    assert!(saved.starts_with("HTTP/1.1 200"), "{saved}");
    film
}

/// On a film of 160 × 120 pixels.
const POINTS: [(&str, [f64; 2]); 20] = [
    ("floor_back", [15.0, 90.0]),
    ("floor_front", [147.5, 90.0]),
    ("calc_plantar_tuber", [22.5, 86.5]),
    ("calc_plantar_front", [47.5, 80.5]),
    ("calc_back", [17.5, 75.0]),
    ("talus_dome_top", [40.0, 53.75]),
    ("talus_head_top", [56.25, 60.0]),
    ("talus_back_low", [33.75, 63.75]),
    ("talus_head_low", [55.5, 70.5]),
    ("nav_low", [65.5, 75.0]),
    ("cuneiform1_low", [75.0, 79.5]),
    ("cuboid_low", [60.0, 84.0]),
    ("calc_cuboid_top", [50.5, 70.5]),
    ("mt1_base_top", [80.0, 67.5]),
    ("mt1_base_low", [79.0, 76.5]),
    ("mt1_head_centre", [113.75, 81.5]),
    ("mt1_head_front", [119.0, 82.0]),
    ("mt5_base_low", [62.5, 86.5]),
    ("mt5_head_low", [102.5, 88.0]),
    ("hallux_tip", [140.0, 85.0]),
];

fn send(served: &Served, film: &str, to: &str, objects: &[&str]) {
    let objects: String = objects.iter().map(|o| format!("&{o}=yes")).collect();
    served.post(&format!("{film}/send"), &format!("to={to}{objects}"));
}

/// Waits until the page of sending says so; gives it.
fn page_says(served: &Served, film: &str, words: &str) -> String {
    let path = format!("{film}/send");
    served.comes_to(words, 1, |s| usize::from(s.get(&path).contains(words)));
    served.get(&path)
}

const SENT: &str = ">sent<";
const AGAIN: &str = ">waits for another try<";

fn files_under(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("a folder");
    entries
        .flat_map(|entry| {
            let path = entry.expect("an entry").path();
            match path.is_dir() {
                true => files_under(&path),
                false => vec![path],
            }
        })
        .collect()
}

fn data_set(file: &[u8]) -> &[u8] {
    &file[data_set_start(file).expect("a DICOM file")..]
}

/// Is there a file of this data set under the folder?
fn is_there(folder: &Path, object: &[u8]) -> bool {
    files_under(folder).iter().any(|path| {
        let file = std::fs::read(path).unwrap_or_default();
        data_set_start(&file).is_ok() && data_set(&file) == data_set(object)
    })
}

#[test]
fn over_tls_results_reach_another_implementation_as_the_files_of_the_page() {
    let dir = folder("films-out-tls");
    let papers = papers(&dir, "papers");
    let came = dir.join("came");
    let (_scp, port) = storescp(&came, Some(&papers));
    let wire = Wire::to(port);
    let peer = format!("Archive=ARCHIVE@127.0.0.1:{}+tls", wire.port);
    let options = [
        "--dicom-peer",
        &peer,
        "--dicom-peer-authority",
        &papers.root,
        "--dicom-certificate",
        &papers.certificate,
        "--dicom-private-key",
        &papers.key,
    ];
    let served = Served::start(&dir.join("practice"), &options);
    let film = read_film(&served, &dir, Some(&papers));
    send(&served, &film, "Archive", &OBJECTS);
    page_says(&served, &film, SENT);
    assert_eq!(files_under(&came).len(), 3);
    for name in OBJECTS {
        let file = served.file(&format!("{film}/object/{name}.dcm"));
        assert!(is_there(&came, &file), "{name}");
    }
    wire.is_sealed();
}

#[test]
fn where_the_other_side_cannot_show_who_it_is_nothing_is_sent_and_the_page_says_why() {
    let dir = folder("films-out-wrong");
    let (theirs, ours) = (papers(&dir, "theirs"), papers(&dir, "ours"));
    let (strange, plain) = (dir.join("strange"), dir.join("plain"));
    let (_one, other_authority) = storescp(&strange, Some(&theirs));
    let (_two, no_tls) = storescp(&plain, None);
    let wires = [Wire::to(other_authority), Wire::to(no_tls)];
    let peers = [
        format!("Strange=ARCHIVE@127.0.0.1:{}+tls", wires[0].port),
        format!("Plain=ARCHIVE@127.0.0.1:{}+tls", wires[1].port),
    ];
    let options = [
        "--dicom-peer",
        &peers[0],
        "--dicom-peer",
        &peers[1],
        "--dicom-peer-authority",
        &ours.root,
    ];
    let served = Served::start(&dir.join("practice"), &options);
    let film = read_film(&served, &dir, None);
    send(&served, &film, "Strange", &OBJECTS);
    let page = page_says(&served, &film, AGAIN);
    assert!(
        page.contains("Could not reach the other side (invalid peer certificate"),
        "{page}"
    );
    send(&served, &film, "Plain", &OBJECTS);
    let both = |s: &Served| s.get(&format!("{film}/send")).matches(AGAIN).count();
    served.comes_to("tried again", 2, both);
    let page = served.get(&format!("{film}/send"));
    assert!(!page.contains(SENT), "{page}");
    assert!(page.contains("After 1 try; again at"), "{page}");
    for folder in [strange, plain] {
        assert!(files_under(&folder).is_empty());
    }
    for wire in &wires {
        wire.is_sealed();
    }
}

#[test]
fn another_practice_takes_a_picture_over_tls_and_says_what_it_does_not_take() {
    let dir = folder("films-out-other");
    let papers = papers(&dir, "papers");
    let there = dir.join("other");
    let own = [
        "--dicom-certificate",
        &papers.certificate,
        "--dicom-private-key",
        &papers.key,
    ];
    let asking = ["--dicom-allow-authority", &papers.root];
    let other = Served::start(&there, &[&own[..], &asking].concat());
    other.begin();
    let wire = Wire::to(other.films);
    let peer = format!("Other=TIEBEAM@127.0.0.1:{}+tls", wire.port);
    let peer = [
        "--dicom-peer",
        &peer,
        "--dicom-peer-authority",
        &papers.root,
    ];
    let data = dir.join("practice");
    let mut served = Served::start(&data, &peer);
    let film = read_film(&served, &dir, None);
    send(&served, &film, "Other", &["drawing"]);
    let page = page_says(&served, &film, AGAIN);
    assert!(page.contains("Could not reach the other side"), "{page}");
    served.kill();
    // With a certificate to show.
    let served = Served::start(&data, &[&peer[..], &own].concat());
    send(&served, &film, "Other", &["picture"]);
    page_says(&served, &film, SENT);
    let picture = served.file(&format!("{film}/object/picture.dcm"));
    assert!(is_there(&there, &picture));
    send(&served, &film, "Other", &OBJECTS);
    page_says(
        &served,
        &film,
        "did not keep report (it does not take this kind), drawing (it does not take this kind).",
    );
    wire.is_sealed();
}

#[test]
fn over_the_web_a_picture_reaches_another_practice_that_knows_the_key_and_no_other() {
    let dir = folder("films-out-web");
    let (theirs, ours) = (papers(&dir, "theirs"), papers(&dir, "ours"));
    let there = dir.join("other");
    let mut other = Served::start(&there, &[]);
    other.begin();
    let first = "login=ada&passphrase=heron+under+grey+slate&again=heron+under+grey+slate";
    let answer = other.ask("POST", "/people/first", first);
    let cookie = answer
        .lines()
        .find_map(|l| l.strip_prefix("set-cookie: "))
        .and_then(|c| c.split(';').next())
        .unwrap_or_else(|| panic!("{answer}"));
    let heads = format!("content-type: application/x-www-form-urlencoded\r\ncookie: {cookie}");
    let made = "label=practice&send-films=yes";
    let made = text(&other.asks("POST", "/people/keys", &heads, made));
    let (_, after) = made.split_once("id=\"token\">").expect("the token");
    let key = put(
        &dir,
        "key",
        after.split('<').next().expect("a key").as_bytes(),
    );
    other.kill();
    let options = [
        "--certificate",
        &theirs.certificate,
        "--private-key",
        &theirs.key,
    ];
    let other = Served::start(&there, &options);

    let wire = Wire::to(other.pages);
    let address = format!("https://127.0.0.1:{}/dicomweb", other.pages);
    let tapped = format!("Tapped=https://127.0.0.1:{}/dicomweb", wire.port);
    let (known, keyless) = (format!("Other={address}"), format!("Keyless={address}"));
    let shown = format!("Other={key}");
    let data = dir.join("practice");
    let peers = [
        "--stow-peer",
        &known,
        "--stow-peer",
        &keyless,
        "--stow-peer",
        &tapped,
    ];
    let right = ["--stow-authority", &theirs.root, "--stow-key", &shown];
    let mut served = Served::start(&data, &[&peers[..], &right].concat());
    let film = read_film(&served, &dir, None);
    send(&served, &film, "Other", &["picture"]);
    page_says(&served, &film, SENT);
    let picture = served.file(&format!("{film}/object/picture.dcm"));
    let same = |path: &PathBuf| std::fs::read(path).is_ok_and(|file| file == picture);
    assert!(files_under(&there).iter().any(same), "byte for byte");
    send(&served, &film, "Other", &OBJECTS);
    let page = page_says(&served, &film, AGAIN);
    assert!(
        page.contains("did not keep report (status C000), drawing (status C000)."),
        "{page}"
    );
    send(&served, &film, "Keyless", &["picture"]);
    page_says(&served, &film, "answered with status 401");
    served.kill();

    let wrong = ["--stow-authority", &ours.root, "--stow-key", &shown];
    let served = Served::start(&data, &[&peers[..], &wrong].concat());
    send(&served, &film, "Tapped", &["picture"]);
    page_says(&served, &film, "Could not reach the other side");
    wire.is_sealed();
    assert_eq!(served.get(&format!("{film}/send")).matches(SENT).count(), 1);
}
