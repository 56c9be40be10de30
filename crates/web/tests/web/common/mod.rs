//! A practice in a temporary folder with invented people, and a browser without a screen: requests go
//! straight into the router.

pub mod html;
#[path = "../../../../motion/tests/written/mod.rs"]
pub mod written;

use axum::{
    Router,
    body::{Body, to_bytes},
    http::{HeaderMap, Request, StatusCode, header},
};
use exchange_dicom::{
    inbox::{Inbox, Origin, well_formed},
    tree::Limits,
};
use film::write::{DicomFilm, PersonOnFilm};
use image::{ImageFormat, Luma};
use knowledge::Knowledge;
use std::{
    collections::BTreeMap,
    io::Cursor,
    path::Path,
    sync::{
        Arc,
        atomic::{AtomicU64, Ordering},
    },
};
use terms::{Side, Stance, View};
use time::{Duration, OffsetDateTime, macros::datetime};
use tower::ServiceExt;
use uuid::Uuid;
use web::{AppState, Clock, FilmInbox, Ids};

/// Moves on by one second with every look.
pub struct TickingClock {
    start: OffsetDateTime,
    ticks: AtomicU64,
    days_back: AtomicU64,
}

impl Clock for TickingClock {
    fn now(&self) -> OffsetDateTime {
        let ticks = self.ticks.fetch_add(1, Ordering::Relaxed);
        let back = Duration::days(self.days_back.load(Ordering::Relaxed) as i64);
        self.start - back + Duration::seconds(ticks as i64)
    }
}

/// Counts from one.
#[derive(Default)]
pub struct CountingIds(AtomicU64);

impl Ids for CountingIds {
    fn fresh(&self) -> Uuid {
        Uuid::from_u128(
            0x0198_0000_0000_7000_8000_0000_0000_0000
                + u128::from(self.0.fetch_add(1, Ordering::Relaxed) + 1),
        )
    }
}

pub struct Practice {
    pub app: Router,
    /// For what comes in beside the pages.
    pub state: AppState,
    clock: Arc<TickingClock>,
    ids: Arc<CountingIds>,
    // Dropped last: the folder goes when the practice goes.
    folder: tempfile::TempDir,
}

pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub bytes: Vec<u8>,
}

impl Answer {
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }

    pub fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.bytes)
            .unwrap_or_else(|e| panic!("no JSON ({e}): {}", self.text()))
    }

    /// Where a redirect leads.
    pub fn place(&self) -> String {
        assert!(
            self.status.is_redirection(),
            "{}: {}",
            self.status,
            self.text()
        );
        self.headers[header::LOCATION]
            .to_str()
            .expect("a place")
            .to_owned()
    }
}

impl Practice {
    /// An empty record: nobody works here yet.
    pub async fn empty() -> Self {
        Self::reached(web::Reached::default()).await
    }

    /// One clinician, no patient, where sealing and backups are as said.
    pub async fn started_with(safety: web::Safety) -> Self {
        Self::made(web::Reached::default(), safety, web::Outside::default())
            .await
            .set_up()
            .await
    }

    /// The same, reached otherwise than from this machine alone.
    pub async fn reached(reached: web::Reached) -> Self {
        Self::made(reached, web::Safety::default(), web::Outside::default()).await
    }

    /// One clinician, with others that results can be sent to.
    pub async fn started_beside(outside: web::Outside) -> Self {
        Self::made(web::Reached::default(), web::Safety::default(), outside)
            .await
            .set_up()
            .await
    }

    async fn made(reached: web::Reached, safety: web::Safety, outside: web::Outside) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let clock = TickingClock {
            start: datetime!(2026-11-24 09:30 +1),
            ticks: AtomicU64::new(0),
            days_back: AtomicU64::new(0),
        };
        Self::over(folder, clock, CountingIds::default(), reached)
            .await
            .beside(safety, outside)
    }

    async fn over(
        folder: tempfile::TempDir,
        clock: TickingClock,
        ids: CountingIds,
        reached: web::Reached,
    ) -> Self {
        let store: Arc<dyn store::Store> = Arc::new(
            store_sql::SqlStore::open_folder(folder.path().join("data"))
                .await
                .expect("a store"),
        );
        let (clock, ids) = (Arc::new(clock), Arc::new(ids));
        let state = AppState::new(
            store,
            Knowledge::built_in(),
            clock.clone(),
            ids.clone(),
            web::Doors::new(reached, Box::new(counting_bytes)),
        );
        Self {
            app: web::app(state.clone()),
            state,
            clock,
            ids,
            folder,
        }
    }

    fn beside(self, safety: web::Safety, outside: web::Outside) -> Self {
        let state = self.state.with_safety(safety).with_outside(outside);
        Self {
            app: web::app(state.clone()),
            state,
            ..self
        }
    }

    /// The same practice once more, in a folder of its own and at the same moment. Nobody may be writing meanwhile.
    pub async fn copied(&self) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        copy_folder(
            &self.folder.path().join("data"),
            &folder.path().join("data"),
        );
        let of = |number: &AtomicU64| AtomicU64::new(number.load(Ordering::Relaxed));
        let clock = TickingClock {
            start: self.clock.start,
            ticks: of(&self.clock.ticks),
            days_back: of(&self.clock.days_back),
        };
        let ids = CountingIds(of(&self.ids.0));
        Self::over(folder, clock, ids, web::Reached::default()).await
    }

    /// One clinician, no patient.
    pub async fn started() -> Self {
        Self::empty().await.set_up().await
    }

    async fn set_up(self) -> Self {
        let form = [
            ("practice", "Invented Foot Practice"),
            ("name", "Dr Ada Invented"),
            ("qualification", "Podiatrist"),
        ];
        self.form("/start", &form).await.place();
        self
    }

    /// Where records and files lie.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The day on which everything happens until it is set again.
    pub fn days_back(&self, days: u64) {
        self.clock.days_back.store(days, Ordering::Relaxed);
    }

    pub async fn send(&self, request: Request<Body>) -> Answer {
        let response = self.app.clone().oneshot(request).await.expect("an answer");
        let (parts, body) = response.into_parts();
        let bytes = to_bytes(body, usize::MAX)
            .await
            .expect("a whole body")
            .to_vec();
        Answer {
            status: parts.status,
            headers: parts.headers,
            bytes,
        }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.send(ask("GET", path).body(Body::empty()).expect("a request"))
            .await
    }

    pub async fn form(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let body = fields
            .iter()
            .map(|(k, v)| format!("{}={}", escape(k), escape(v)))
            .collect::<Vec<_>>()
            .join("&");
        let request =
            ask("POST", path).header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.send(request.body(Body::from(body)).expect("a request"))
            .await
    }

    pub async fn json(&self, path: &str, body: &serde_json::Value) -> Answer {
        let request = ask("POST", path)
            .header(header::CONTENT_TYPE, "application/json")
            .header(header::ACCEPT, "application/json");
        self.send(
            request
                .body(Body::from(body.to_string()))
                .expect("a request"),
        )
        .await
    }

    /// Takes a film in; answers with the page's redirect.
    pub async fn upload(
        &self,
        visit: &str,
        bytes: &[u8],
        name: &str,
        fields: &[(&str, &str)],
    ) -> Answer {
        self.send_file(&format!("{visit}/films"), ("film", name), bytes, fields)
            .await
    }

    /// A form with one file, `called` by its field and its own name.
    pub async fn send_file(
        &self,
        path: &str,
        called: (&str, &str),
        bytes: &[u8],
        fields: &[(&str, &str)],
    ) -> Answer {
        let edge = "an-invented-edge";
        let mut body = Vec::new();
        for (key, value) in fields {
            body.extend(
                format!(
                    "--{edge}\r\nContent-Disposition: form-data; name=\"{key}\"\r\n\r\n{value}\r\n"
                )
                .bytes(),
            );
        }
        body.extend(format!("--{edge}\r\nContent-Disposition: form-data; name=\"{}\"; filename=\"{}\"\r\nContent-Type: application/octet-stream\r\n\r\n", called.0, called.1).bytes());
        body.extend(bytes);
        body.extend(format!("\r\n--{edge}--\r\n").bytes());
        let request = ask("POST", path).header(
            header::CONTENT_TYPE,
            format!("multipart/form-data; boundary={edge}"),
        );
        self.send(request.body(Body::from(body)).expect("a request"))
            .await
    }

    /// `/patient/ID`
    pub async fn add_patient(
        &self,
        given: &str,
        family: &str,
        chart: &str,
        born: &str,
        sex: &str,
    ) -> String {
        let form = [
            ("given_name", given),
            ("family_name", family),
            ("chart_number", chart),
            ("born_on", born),
            ("sex", sex),
        ];
        self.form("/patients/new", &form).await.place()
    }

    /// `/visit/ID`
    pub async fn start_visit(&self, patient: &str, reason: &str) -> String {
        self.form(&format!("{patient}/visits"), &[("reason", reason)])
            .await
            .place()
    }

    pub async fn answer(&self, visit: &str, of: &str, answers: &[(&str, &str)]) {
        let named: Vec<(String, &str)> = answers
            .iter()
            .map(|(k, v)| (format!("q.{k}"), *v))
            .collect();
        let fields: Vec<(&str, &str)> = named.iter().map(|(k, v)| (k.as_str(), *v)).collect();
        let answer = self.form(&format!("{visit}/exam/{of}"), &fields).await;
        assert!(
            answer.status.is_redirection(),
            "{}: {}",
            answer.status,
            answer.text()
        );
    }
}

fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder that is there") {
        let entry = entry.expect("an entry");
        let to = to.join(entry.file_name());
        match entry.file_type().expect("a kind").is_dir() {
            true => copy_folder(&entry.path(), &to),
            false => drop(std::fs::copy(entry.path(), to).expect("room for a copy")),
        }
    }
}

fn ask(method: &str, path: &str) -> axum::http::request::Builder {
    let path = path.split('#').next().unwrap_or(path);
    Request::builder()
        .method(method)
        .uri(path)
        .header(header::HOST, "127.0.0.1:8000")
        .header("sec-fetch-site", "same-origin")
}

/// Percent-encoding as a form sends it.
pub fn escape(text: &str) -> String {
    text.bytes()
        .map(|b| match b {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' => {
                char::from(b).to_string()
            }
            other => format!("%{other:02X}"),
        })
        .collect()
}

/// A left foot from the side as DICOM; each `number` is another object.
pub fn film_of(chart: &str, name: &str, number: u32) -> Vec<u8> {
    let (width, height) = (600, 400);
    let film = DicomFilm {
        width,
        height,
        pixels: (0..width * height).map(|i| (i % 4000) as u16).collect(),
        bits_stored: 12,
        view: View::Lateral,
        side: Side::Left,
        stance: Stance::Standing,
        person: PersonOnFilm {
            id: chart.into(),
            name: name.into(),
            birth_date: None,
            sex: None,
        },
        study_uid: "2.25.1".into(),
        series_uid: "2.25.2".into(),
        instance_uid: format!("2.25.{}", 1000 + number),
        taken_at: datetime!(2026-11-24 08:11:12),
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

/// As the X-ray room sends it.
pub async fn comes_in(practice: &Practice, file: Vec<u8>) {
    let origin = Origin::Network {
        calling: "XRAY".into(),
        address: "127.0.0.1".parse().expect("an address"),
    };
    let received = well_formed(file, origin, &Limits::default()).expect("a film");
    FilmInbox::new(practice.state.clone())
        .keep(received)
        .await
        .expect("kept");
}

/// A grey PNG of 620 × 400 pixels that shows nothing in particular; each `shade` is another file.
pub fn plain_film(shade: u16) -> Vec<u8> {
    let pixels: Vec<u16> = (0..620u32 * 400)
        .map(|i| ((i % 620) * 70 + (i / 620) * 30) as u16 / 2 + shade)
        .collect();
    film::encode_png16(&pixels, 620, 400).expect("a PNG")
}

/// An ink print of a left foot, toes up: heel, an isthmus of the breadth given, ball and five toes.
/// The great toe of a left foot seen from above lies on the right.
pub fn ink_print(isthmus: f64) -> Vec<u8> {
    let inside = |x: f64, y: f64| {
        let disc = |cx: f64, cy: f64, r: f64| (x - cx).hypot(y - cy) < r;
        let ball = ((x - 205.0) / 95.0).powi(2) + ((y - 235.0) / 70.0).powi(2) < 1.0;
        let bridge = (235.0..520.0).contains(&y) && (130.0..130.0 + isthmus).contains(&x);
        let toes = [
            (278.0, 118.0, 26.0),
            (230.0, 104.0, 17.0),
            (192.0, 112.0, 15.0),
            (158.0, 128.0, 14.0),
            (128.0, 150.0, 13.0),
        ];
        disc(200.0, 520.0, 66.0)
            || ball
            || bridge
            || toes.iter().any(|(cx, cy, r)| disc(*cx, *cy, *r))
    };
    let picture = image::GrayImage::from_fn(420, 640, |x, y| {
        Luma([if inside(f64::from(x), f64::from(y)) {
            40
        } else {
            235
        }])
    });
    let mut out = Cursor::new(Vec::new());
    picture
        .write_to(&mut out, ImageFormat::Png)
        .expect("memory");
    out.into_inner()
}

/// Where the points of a flat foot would lie on [`plain_film`], lateral view, toes to the right.
pub fn lateral_points() -> BTreeMap<&'static str, [f64; 2]> {
    [
        ("floor_back", [60.0, 360.0]),
        ("floor_front", [590.0, 360.0]),
        ("calc_plantar_tuber", [90.0, 346.0]),
        ("calc_plantar_front", [190.0, 322.0]),
        ("calc_back", [70.0, 300.0]),
        ("talus_dome_top", [160.0, 215.0]),
        ("talus_head_top", [225.0, 240.0]),
        ("talus_back_low", [135.0, 255.0]),
        ("talus_head_low", [222.0, 282.0]),
        ("nav_low", [262.0, 300.0]),
        ("cuneiform1_low", [300.0, 318.0]),
        ("cuboid_low", [240.0, 336.0]),
        ("calc_cuboid_top", [202.0, 282.0]),
        ("mt1_base_top", [320.0, 270.0]),
        ("mt1_base_low", [316.0, 306.0]),
        ("mt1_head_centre", [455.0, 326.0]),
        ("mt1_head_front", [476.0, 328.0]),
        ("mt5_base_low", [250.0, 346.0]),
        ("mt5_head_low", [410.0, 352.0]),
        ("hallux_tip", [560.0, 340.0]),
    ]
    .into()
}

/// Findings of a tendon that gives way, one foot.
pub const SORE_FOOT: &[(&str, &str)] = &[
    ("pain_level", "6"),
    ("pain_inner_ankle", "pressed"),
    ("swelling_inner", "marked"),
    ("toes_seen", "3"),
    ("heel_line", "clear"),
    ("heel_angle_deg", "11"),
    ("arch_standing", "flat"),
    ("heel_rise_single", "unable"),
    ("heel_corrects", "fully"),
    ("tp_strength", "3"),
    ("pulse_dorsal", "strong"),
    ("filament_great_toe", "felt"),
];

/// Findings of the other foot.
pub const QUIET_FOOT: &[(&str, &str)] = &[
    ("pain_level", "0"),
    ("toes_seen", "1"),
    ("heel_line", "slight"),
    ("arch_standing", "lowered"),
    ("heel_rise_single", "able"),
    ("heel_rise_count", "22"),
];

/// No two calls give the same bytes; the same test always gets the same ones.
pub fn counting_bytes(bytes: &mut [u8]) {
    static CALLS: AtomicU64 = AtomicU64::new(1);
    let call = CALLS.fetch_add(1, Ordering::Relaxed).to_be_bytes();
    for (byte, of_call) in bytes.iter_mut().rev().zip(call.iter().rev().cycle()) {
        *byte = *of_call;
    }
}
