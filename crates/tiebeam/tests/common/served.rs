//! The program, serving, and invented films and certificates for it.

use super::{command, put, text};
use film::write::{DicomFilm, PersonOnFilm};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};
use terms::{Side, Stance, View};
use time::macros::datetime;

/// A film taken on 17 May 2024; each `shade` is another picture, each `number` another instance.
pub fn film_of(chart: &str, name: &str, number: u32, shade: u16) -> Vec<u8> {
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

const FORM: &str = "content-type: application/x-www-form-urlencoded";

/// The program, serving.
pub struct Served {
    child: Child,
    pub pages: u16,
    pub films: u16,
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
    pub fn start(data: &Path, more: &[&str]) -> Served {
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
    pub fn kill(&mut self) {
        self.child.kill().expect("killed");
        self.child.wait().expect("ended");
    }

    /// Status line, heads and body of one request.
    pub fn ask(&self, method: &str, path: &str, body: &str) -> String {
        text(&self.asks(method, path, FORM, body))
    }

    /// The same with other heads, and as bytes.
    pub fn asks(&self, method: &str, path: &str, heads: &str, body: &str) -> Vec<u8> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.pages)).expect("a connection");
        stream
            .set_read_timeout(Some(Duration::from_secs(60)))
            .expect("a limit");
        write!(
            stream,
            "{method} {path} HTTP/1.1\r\nhost: 127.0.0.1:{}\r\nsec-fetch-site: same-origin\r\nconnection: close\r\n{heads}\r\ncontent-length: {}\r\n\r\n{body}",
            self.pages,
            body.len()
        )
        .expect("asked");
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).expect("an answer");
        answer
    }

    /// The body alone.
    pub fn file(&self, path: &str) -> Vec<u8> {
        let answer = self.asks("GET", path, FORM, "");
        assert!(answer.starts_with(b"HTTP/1.1 200"), "{}", text(&answer));
        let end = answer.windows(4).position(|w| w == b"\r\n\r\n");
        answer[end.expect("an end of the heads") + 4..].to_vec()
    }

    pub fn get(&self, path: &str) -> String {
        let answer = self.ask("GET", path, "");
        assert!(answer.starts_with("HTTP/1.1 200"), "{path}: {answer}");
        answer
    }

    /// Where a form leads.
    pub fn post(&self, path: &str, body: &str) -> String {
        let answer = self.ask("POST", path, body);
        let place = answer
            .lines()
            .find_map(|l| l.strip_prefix("location: "))
            .unwrap_or_else(|| panic!("{path}: {answer}"));
        place.trim().to_owned()
    }

    /// A practice with one patient and one visit of the day of the films; answers with the visit's address.
    pub fn begin(&self) -> String {
        self.post("/start", "practice=Invented+Practice&name=Dr+Ada+Invented");
        let patient = self.post(
            "/patients/new",
            "chart_number=T-0042&given_name=Invented&family_name=Person&born_on=1961-03-04",
        );
        self.post(&format!("{patient}/visits"), "reason=sore&on=2024-05-17")
    }

    /// The ids of the films on the page of a visit.
    pub fn film_ids(&self, visit: &str) -> Vec<String> {
        let page = self.get(visit);
        let mut films: Vec<String> = page
            .split("href=\"/film/")
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .map(str::to_owned)
            .collect();
        films.sort_unstable();
        films.dedup();
        films
    }

    pub fn films_of(&self, visit: &str) -> usize {
        self.film_ids(visit).len()
    }

    pub fn waiting(&self) -> usize {
        self.get("/arrivals").matches("id=\"film-").count()
    }

    /// Waits until the page says as many, a watched folder being looked at every few seconds.
    pub fn comes_to(&self, what: &str, many: usize, now: impl Fn(&Self) -> usize) {
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

    pub fn storescu(&self, title: &str, files: &[&str]) -> Output {
        let port = self.films.to_string();
        Command::new("storescu")
            .args(["-aet", title, "-aec", "TIEBEAM", "127.0.0.1", &port])
            .args(files)
            .output()
            .expect("storescu; install dcmtk")
    }

    pub fn sends(&self, files: &[&str]) {
        let done = self.storescu("XRAY", files);
        assert!(done.status.success(), "{}", text(&done.stderr));
    }
}

/// An authority, and certificate and key that it signs for this machine.
pub fn certificates(dir: &Path) -> (String, String, String) {
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
