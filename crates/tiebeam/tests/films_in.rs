//! Films that come in by themselves, into the running program: over the network from another implementation (dcmtk), and
//! out of a watched folder. Every person is invented.

mod common;

use common::{command, folder, put, text, tiebeam};
use film::write::{DicomFilm, PersonOnFilm};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};
use terms::{Side, Stance, View};
use time::macros::datetime;

/// A film taken on 17 May 2024; each `shade` is another picture, each `number` another instance.
fn film_of(chart: &str, name: &str, number: u32, shade: u16) -> Vec<u8> {
    let (width, height) = (160, 120);
    let film = DicomFilm {
        width,
        height,
        pixels: (0..width * height)
            .map(|i| (i % 3000) as u16 + shade)
            .collect(),
        bits_stored: 12,
        view: View::Lateral,
        side: Side::Left,
        stance: Stance::Standing,
        person: PersonOnFilm {
            id: chart.into(),
            name: name.into(),
            birth_date: Some(time::macros::date!(1961 - 03 - 04)),
            sex: None,
        },
        study_uid: "2.25.1".into(),
        series_uid: "2.25.2".into(),
        instance_uid: format!("2.25.{}", 1000 + number),
        taken_at: datetime!(2024-05-17 10:11:12),
        accession: "A1".into(),
        study_id: "1".into(),
        series_number: 1,
        instance_number: number,
        description: "left foot lateral standing".into(),
        comments: "invented".into(),
        manufacturer: "Tiebeam".into(),
        device: "computed".into(),
        detector_spacing: film::scale::Spacing {
            across_mm: 0.15,
            down_mm: 0.15,
        },
        calibrated: None,
        magnification: None,
        source_to_detector_mm: None,
        source_to_patient_mm: None,
        window: (2048.0, 4096.0),
        rows_towards: "A".into(),
        columns_towards: "F".into(),
    };
    film::write::dicom(&film).expect("an invented film")
}

/// The program, serving.
struct Served {
    child: Child,
    pages: u16,
    films: u16,
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn port_in(line: &str, before: &str) -> Option<u16> {
    let rest = line.split(before).nth(1)?;
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    digits.parse().ok()
}

impl Served {
    fn start(data: &Path, more: &[&str]) -> Served {
        let mut child = command()
            .args(["serve", "--port", "0", "--dicom-port", "0", "--data"])
            .arg(data)
            .args(more)
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .expect("the program starts");
        let mut lines = BufReader::new(child.stdout.take().expect("its words")).lines();
        let (mut pages, mut films) = (None, None);
        while pages.is_none() || films.is_none() {
            let line = lines.next().expect("another line").expect("a line");
            pages = pages.or_else(|| port_in(&line, "127.0.0.1:"));
            films = films.or_else(|| port_in(&line, "Films come in on port "));
        }
        // Whatever it still says is read, so that it never waits for a reader.
        std::thread::spawn(move || for _ in lines {});
        Served {
            child,
            pages: pages.expect("a port"),
            films: films.expect("a port"),
        }
    }

    /// As kill -9 does.
    fn kill(&mut self) {
        self.child.kill().expect("killed");
        self.child.wait().expect("ended");
    }

    /// Status line, heads and body of one request.
    fn ask(&self, method: &str, path: &str, body: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.pages)).expect("a connection");
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .expect("a limit");
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nhost: 127.0.0.1:{}\r\nsec-fetch-site: same-origin\r\nconnection: close\r\ncontent-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\r\n{body}",
            self.pages,
            body.len()
        )
        .expect("asked");
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).expect("an answer");
        text(&answer)
    }

    fn get(&self, path: &str) -> String {
        let answer = self.ask("GET", path, "");
        assert!(answer.starts_with("HTTP/1.1 200"), "{path}: {answer}");
        answer
    }

    /// Where a form leads.
    fn post(&self, path: &str, body: &str) -> String {
        let answer = self.ask("POST", path, body);
        let place = answer
            .lines()
            .find_map(|l| l.strip_prefix("location: "))
            .unwrap_or_else(|| panic!("{path}: {answer}"));
        place.trim().to_owned()
    }

    /// A practice with one patient and one visit of the day of the films; answers with the visit's address.
    fn begin(&self) -> String {
        self.post("/start", "practice=Invented+Practice&name=Dr+Ada+Invented");
        let patient = self.post(
            "/patients/new",
            "chart_number=T-0042&given_name=Invented&family_name=Person&born_on=1961-03-04",
        );
        self.post(&format!("{patient}/visits"), "reason=sore&on=2024-05-17")
    }

    fn films_of(&self, visit: &str) -> usize {
        let page = self.get(visit);
        let mut films: Vec<&str> = page
            .split("href=\"/film/")
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .collect();
        films.sort_unstable();
        films.dedup();
        films.len()
    }

    fn waiting(&self) -> usize {
        self.get("/arrivals").matches("id=\"film-").count()
    }

    /// Waits until the page says as many, a watched folder being looked at every few seconds.
    fn comes_to(&self, what: &str, many: usize, now: impl Fn(&Self) -> usize) {
        let begun = Instant::now();
        while now(self) != many {
            assert!(
                begun.elapsed() < Duration::from_secs(40),
                "{what}: {} and not {many}",
                now(self)
            );
            std::thread::sleep(Duration::from_millis(300));
        }
    }

    fn storescu(&self, title: &str, files: &[&str]) -> Output {
        let port = self.films.to_string();
        Command::new("storescu")
            .args(["-aet", title, "-aec", "TIEBEAM", "127.0.0.1", &port])
            .args(files)
            .output()
            .expect("storescu; install dcmtk")
    }

    fn sends(&self, files: &[&str]) {
        let done = self.storescu("XRAY", files);
        assert!(done.status.success(), "{}", text(&done.stderr));
    }
}

#[test]
fn a_film_known_by_its_number_lands_in_its_visit_and_an_unknown_one_waits() {
    let dir = folder("films-in");
    let data = dir.join("practice");
    let known = put(
        &dir,
        "known.dcm",
        &film_of("t-0042 ", "Person^Invented", 1, 0),
    );
    let changed = put(
        &dir,
        "changed.dcm",
        &film_of("T-0042", "Person^Invented", 1, 9),
    );
    let unknown = put(&dir, "unknown.dcm", &film_of("X-1", "Other^Somebody", 2, 1));
    let other_name = put(
        &dir,
        "other-name.dcm",
        &film_of("T-0042", "Strange^Quite", 3, 2),
    );
    let served = Served::start(&data, &["--dicom-allow", "XRAY@127.0.0.1"]);
    let visit = served.begin();

    let port = served.films.to_string();
    let echo = Command::new("echoscu")
        .args(["-aet", "XRAY", "-aec", "TIEBEAM", "127.0.0.1", &port])
        .output()
        .expect("echoscu; install dcmtk");
    assert!(echo.status.success(), "{}", text(&echo.stderr));
    let stranger = served.storescu("STRANGER", &[&known]);
    assert!(!stranger.status.success());
    let why = text(&stranger.stderr) + &text(&stranger.stdout);
    assert!(why.contains("Calling AE Title Not Recognized"), "{why}");
    assert_eq!((served.films_of(&visit), served.waiting()), (0, 0));

    let begun = Instant::now();
    served.sends(&[&known]);
    println!(
        "known film confirmed after {} ms",
        begun.elapsed().as_millis()
    );
    assert_eq!((served.films_of(&visit), served.waiting()), (1, 0));
    served.sends(&[&unknown]);
    assert_eq!((served.films_of(&visit), served.waiting()), (1, 1));
    served.sends(&[&known, &unknown]);
    assert_eq!(
        (served.films_of(&visit), served.waiting()),
        (1, 1),
        "sent twice"
    );
    served.sends(&[&other_name, &changed]);
    assert_eq!((served.films_of(&visit), served.waiting()), (1, 3));
    let page = served.get("/arrivals");
    for words in [
        "No patient has the number that the film carries",
        "the film carries another name",
        "here before with other bytes",
        "over the network from XRAY",
        "Other Somebody",
        "X-1",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    // The trail says that the program itself took it.
    assert!(served.get("/practice").contains("the program itself"));
    let film = page.split("action=\"/arrival/").nth(1).expect("a form");
    let id = film.split('/').next().expect("an id");
    let png = served.ask("GET", &format!("/arrival/{id}/picture.png"), "");
    assert!(
        png.starts_with("HTTP/1.1 200") && png.contains("image/png"),
        "{id}"
    );
    drop(served);
    let whole = tiebeam(&["verify", "--data", &data.display().to_string()]);
    assert!(
        whole.status.success(),
        "{}",
        text(&whole.stderr) + &text(&whole.stdout)
    );
}

#[test]
fn what_was_confirmed_is_there_after_the_program_was_killed() {
    let dir = folder("films-in-killed");
    let data = dir.join("practice");
    let mut served = Served::start(&data, &[]);
    let visit = served.begin();
    let rounds = 4;
    for round in 0..rounds {
        let known = put(
            &dir,
            "a.dcm",
            &film_of("T-0042", "Person^Invented", 10 + round, 0),
        );
        let unknown = put(&dir, "b.dcm", &film_of("X-1", "", 50 + round, 1));
        // Any title from this machine itself, where nobody else was named.
        let done = served.storescu(&format!("ROUND{round}"), &[&known, &unknown]);
        assert!(done.status.success(), "{}", text(&done.stderr));
        served.kill();
        served = Served::start(&data, &[]);
        let there = served.films_of(&visit) + served.waiting();
        assert_eq!(there, 2 * (round as usize + 1), "round {round}");
        assert_eq!(served.waiting(), round as usize + 1);
    }
    println!("{rounds} kills, {} films confirmed, all there", rounds * 2);
    served.kill();
    let whole = tiebeam(&["verify", "--data", &data.display().to_string()]);
    assert!(
        whole.status.success(),
        "{}",
        text(&whole.stderr) + &text(&whole.stdout)
    );
}

#[test]
fn films_come_out_of_a_watched_folder_by_the_same_rules() {
    let dir = folder("films-in-watched");
    let (data, watched) = (dir.join("practice"), dir.join("in"));
    std::fs::create_dir(&watched).expect("a folder");
    let watch = watched.display().to_string();
    let served = Served::start(&data, &["--watch", &watch]);
    let visit = served.begin();
    let known = film_of("T-0042", "Person^Invented", 1, 0);
    put(&watched, "IMG 1", &known);
    put(&watched, "IMG 2", &film_of("X-1", "Other^Somebody", 2, 1));
    put(&watched, "notes.txt", b"no film at all");
    served.comes_to("films of the visit", 1, |s| s.films_of(&visit));
    served.comes_to("films that wait", 1, Served::waiting);
    served.comes_to("files left", 0, |_| files_in(&watched));
    assert_eq!(files_in(&watched.join("taken")), 2);
    // The file and its sentence.
    assert_eq!(files_in(&watched.join("refused")), 2);
    put(&watched, "IMG 3", &known);
    served.comes_to("files left", 0, |_| files_in(&watched));
    assert_eq!(
        (served.films_of(&visit), served.waiting()),
        (1, 1),
        "once more"
    );
    let page = served.get("/arrivals");
    assert!(
        page.contains("from the watched folder") && page.contains("IMG 2"),
        "{page}"
    );
}

fn files_in(folder: &Path) -> usize {
    let entries = std::fs::read_dir(folder).expect("a folder");
    entries
        .filter(|e| e.as_ref().is_ok_and(|e| e.path().is_file()))
        .count()
}

#[test]
fn every_wrong_option_gets_one_sentence() {
    let dir = folder("films-in-options");
    let data = dir.join("practice").display().to_string();
    let none = dir.join("nowhere").display().to_string();
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = taken.local_addr().expect("an address").port().to_string();
    let pem = put(&dir, "a.pem", b"no certificate");
    let cases: [(&[&str], &str); 10] = [
        (
            &["--dicom-port", "0", "--dicom-allow", "XRAY"],
            "expected TITLE@ADDRESS",
        ),
        (
            &["--dicom-port", "0", "--dicom-allow", "XRAY@somewhere"],
            "as addresses; expected",
        ),
        (
            &[
                "--dicom-port",
                "0",
                "--dicom-title",
                "A TITLE BEYOND SIXTEEN",
            ],
            "1 to 16",
        ),
        (&["--watch", &none], "found no folder"),
        (&["--dicom-port", &port], "could not be taken"),
        (
            &[
                "--dicom-port",
                "0",
                "--dicom-certificate",
                &pem,
                "--dicom-private-key",
                &pem,
            ],
            "expected",
        ),
        (
            &["--dicom-peer", "Hospital=ARCHIVE"],
            "expected NAME=TITLE@HOST:PORT",
        ),
        (
            &["--dicom-peer", "=ARCHIVE@10.0.0.1:104"],
            "expected NAME=TITLE@HOST:PORT",
        ),
        (
            &["--stow-peer", "Hospital=http://images.example.org"],
            "begins with https://",
        ),
        (
            &[
                "--dicom-peer",
                "Hospital=A@10.0.0.1:104",
                "--stow-peer",
                "Hospital=https://images.example.org",
            ],
            "two systems of the name",
        ),
    ];
    for (options, words) in cases {
        let done = tiebeam(&[&["serve", "--port", "0", "--data", &data], options].concat());
        let said = text(&done.stderr);
        assert!(!done.status.success(), "{options:?}");
        assert_eq!(said.trim().lines().count(), 1, "{options:?}: {said}");
        assert!(said.contains(words), "{options:?}: {said}");
    }
}

/// An authority, and certificate and key that it signs for this machine.
fn certificates(dir: &Path) -> (String, String, String) {
    use rcgen::{BasicConstraints, CertificateParams, DnType, IsCa, Issuer, KeyPair};
    let mut params = CertificateParams::new(Vec::<String>::new()).expect("no names");
    params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let name = &mut params.distinguished_name;
    name.push(DnType::CommonName, "An invented authority");
    let key = KeyPair::generate().expect("a key");
    let root = params.self_signed(&key).expect("an authority");
    let issuer = Issuer::new(params, key);
    let own = KeyPair::generate().expect("a key");
    let names = vec!["127.0.0.1".to_owned(), "localhost".to_owned()];
    let signed = CertificateParams::new(names)
        .expect("names")
        .signed_by(&own, &issuer)
        .expect("a certificate");
    (
        put(dir, "root.pem", root.pem().as_bytes()),
        put(dir, "own.pem", signed.pem().as_bytes()),
        put(dir, "own.key", own.serialize_pem().as_bytes()),
    )
}

#[test]
fn over_tls_a_film_comes_in_and_in_the_open_none_does() {
    let dir = folder("films-in-tls");
    let (root, certificate, key) = certificates(&dir);
    let film = put(&dir, "a.dcm", &film_of("X-1", "", 1, 0));
    let options = [
        "--dicom-certificate",
        &certificate,
        "--dicom-private-key",
        &key,
    ];
    let served = Served::start(&dir.join("practice"), &options);
    served.begin();
    let open = served.storescu("XRAY", &[&film]);
    assert!(!open.status.success(), "in the open");
    assert_eq!(served.waiting(), 0);
    let port = served.films.to_string();
    let sealed = Command::new("storescu")
        .args(["+tla", "+cf", &root, "-aet", "XRAY", "-aec", "TIEBEAM"])
        .args(["127.0.0.1", &port, &film])
        .output()
        .expect("storescu; install dcmtk");
    assert!(
        sealed.status.success(),
        "{}",
        text(&sealed.stderr) + &text(&sealed.stdout)
    );
    assert_eq!(served.waiting(), 1);
}
