//! The pages of second readings, asked as a browser asks, over a real store.

use axum::{
    body::{Body, to_bytes},
    http::{Request, StatusCode},
};
use knowledge::Knowledge;
use reading::{FilmFacts, PlacedPoint, PointSet, ReadingSheet, read_all};
use record::*;
use std::sync::{
    Arc,
    atomic::{AtomicU64, Ordering},
};
use store::Store;
use store_sql::SqlStore;
use terms::{LandmarkKey, MeasureKey, Side, Stance, View};
use time::{OffsetDateTime, macros::datetime};
use tower::ServiceExt;
use uuid::Uuid;
use web::{AppState, Clock, Ids, app};

struct Noon;

impl Clock for Noon {
    fn now(&self) -> OffsetDateTime {
        datetime!(2026-11-24 12:00 UTC)
    }
}

#[derive(Default)]
struct Counted(AtomicU64);

impl Ids for Counted {
    fn fresh(&self) -> Uuid {
        Uuid::from_u128(u128::from(self.0.fetch_add(1, Ordering::Relaxed)) + 1)
    }
}

struct Practiced {
    ids: Counted,
    store: Arc<SqlStore>,
    ann: ClinicianId,
    ben: ClinicianId,
    visit: Visit,
    _folder: tempfile::TempDir,
}

impl Practiced {
    async fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = Arc::new(SqlStore::open_folder(folder.path()).await.unwrap());
        let ids = Counted::default();
        let (ann, ben) = (ClinicianId::new(ids.fresh()), ClinicianId::new(ids.fresh()));
        let stamp = || Stamp {
            act: ActId::new(ids.fresh()),
            at: Noon.now(),
            by: ann,
        };
        for (id, name) in [(ann, "Ann Invented"), (ben, "Ben Invented")] {
            let clinician = Clinician {
                id,
                name: name.into(),
                qualification: String::new(),
                active: id == ann,
            };
            store.save_clinician(stamp(), clinician).await.unwrap();
        }
        store
            .save_practice(
                stamp(),
                Practice {
                    name: "Invented".into(),
                    ..Practice::default()
                },
            )
            .await
            .unwrap();
        let patient = Patient {
            id: PatientId::new(ids.fresh()),
            chart_number: "1".into(),
            given_name: "Invented".into(),
            family_name: "Person".into(),
            born_on: None,
            sex: None,
            note: String::new(),
        };
        let visit = Visit {
            id: VisitId::new(ids.fresh()),
            patient: patient.id,
            on: Noon.now().date(),
            reason: String::new(),
            state: VisitState::Open,
        };
        store.add_patient(stamp(), patient).await.unwrap();
        store.open_visit(stamp(), visit.clone()).await.unwrap();
        Self {
            ids,
            store,
            ann,
            ben,
            visit,
            _folder: folder,
        }
    }

    fn stamp(&self, by: ClinicianId) -> Stamp {
        Stamp {
            act: ActId::new(self.ids.fresh()),
            at: Noon.now(),
            by,
        }
    }

    async fn film(&self) -> FilmId {
        let id = FilmId::new(self.ids.fresh());
        let bytes = id.to_string().into_bytes();
        let film = FilmRecord {
            id,
            patient: self.visit.patient,
            visit: self.visit.id,
            view: Some(View::Lateral),
            side: Some(Side::Left),
            stance: Stance::Standing,
            worn: None,
            taken_on: Some(self.visit.on),
            file_name: "film.dcm".into(),
            content: ContentHash::of(&bytes),
            media_type: "application/dicom".into(),
            width_px: 3000,
            height_px: 2400,
            scale_wish: None,
            scale_answer: None,
            turn: DisplayTurn::default(),
            note: String::new(),
        };
        self.store
            .import_film(self.stamp(self.ann), film, bytes)
            .await
            .unwrap();
        id
    }

    /// Places the heel's two points so that its pitch is `degrees`, reads and keeps them.
    async fn place(
        &self,
        film: FilmId,
        by: ClinicianId,
        degrees: f64,
        finished: bool,
    ) -> ReadingSheet {
        let mut set = PointSet::new(View::Lateral, Some(Side::Left));
        let (rise, run) = degrees.to_radians().sin_cos();
        for (key, x, y) in [
            ("calc_plantar_tuber", 0.0, 0.0),
            ("calc_plantar_front", 600.0 * run, -600.0 * rise),
        ] {
            set.points.insert(
                LandmarkKey::new(key).unwrap(),
                PlacedPoint::at(1000.0 + x, 2000.0 + y),
            );
        }
        let facts = FilmFacts {
            width_px: 3000,
            height_px: 2400,
            pixel_aspect: Some(1.0),
            scale: None,
            no_scale_reason: Some("no scale in this test".into()),
            stance: Stance::Standing,
            yaw_sd_deg: 0.0,
        };
        let sheet = read_all(Knowledge::built_in(), &set, &facts);
        let points = PointsToSave {
            id: PointsId::new(self.ids.fresh()),
            film,
            reader: by,
            finished,
            points: Kept::of("tiebeam-points", 1, &set).unwrap(),
            sheet: Kept::of("tiebeam-reading-sheet", 1, &sheet).unwrap(),
        };
        self.store
            .save_points(self.stamp(by), points)
            .await
            .unwrap();
        sheet
    }

    async fn get(&self, address: &str) -> (StatusCode, String) {
        let ids = Arc::new(Counted(AtomicU64::new(1_000_000)));
        let state = AppState::new(
            self.store.clone(),
            Knowledge::built_in(),
            Arc::new(Noon),
            ids,
        );
        let request = Request::get(address)
            .header("host", "127.0.0.1")
            .body(Body::empty())
            .unwrap();
        let response = app(state).oneshot(request).await.unwrap();
        let status = response.status();
        let policy = response
            .headers()
            .get("content-security-policy")
            .unwrap()
            .to_str()
            .unwrap()
            .to_owned();
        assert!(policy.contains("default-src 'none'"));
        let bytes = to_bytes(response.into_body(), usize::MAX).await.unwrap();
        (status, String::from_utf8(bytes.to_vec()).unwrap())
    }
}

fn pitch(sheet: &ReadingSheet) -> f64 {
    sheet
        .reading(&MeasureKey::new("calc_pitch").unwrap())
        .expect("the heel's pitch is read")
        .estimate
        .value
}

#[tokio::test]
async fn the_practice_page_shows_what_the_agreement_of_the_stored_readings_is() {
    let p = Practiced::new().await;
    let pairs = [
        (18., 18.6),
        (21., 20.1),
        (9., 9.4),
        (14., 13.1),
        (16., 16.9),
        (25., 24.),
        (12., 12.2),
        (7., 8.),
        (19., 19.3),
        (11., 10.2),
    ];
    let (mut first, mut second) = (Vec::new(), Vec::new());
    for (a, b) in pairs {
        let film = p.film().await;
        first.push(pitch(&p.place(film, p.ann, a, true).await));
        second.push(pitch(&p.place(film, p.ben, b, true).await));
        p.place(film, p.ben, 60.0, false).await;
    }
    for (read, (placed, _)) in first.iter().zip(pairs) {
        assert!(
            (read.abs() - placed).abs() < 1e-6,
            "placed {placed}, read {read}"
        );
    }
    let (status, html) = p.get("/agreement?measure=calc_pitch").await;
    assert_eq!(status, StatusCode::OK);
    let table: Vec<Vec<f64>> = first
        .iter()
        .zip(&second)
        .map(|(a, b)| vec![*a, *b])
        .collect();
    let icc = reading::agreement::icc(&table).unwrap();
    let change =
        reading::agreement::smallest_detectable_change(reading::agreement::sem(&icc).agreement);
    let v = icc.single.agreement;
    assert!(
        html.contains(&format!(
            "ICC(2,1) = {:.2} ({:.2} to {:.2})",
            v.value, v.lower, v.upper
        )),
        "{html}"
    );
    assert!(html.contains(&format!("{change:.2}°")));
    assert!(html.contains("Ann Invented and Ben Invented"));
    assert!(html.contains("10 films of 1 person: 10 left."));
    assert!(html.contains("of the same person, so they are not independent"));
    assert!(
        html.contains("Nobody has read a film of this kind twice."),
        "a placing in hand does not count"
    );
    assert!(!html.contains("style=\""));
    assert!(
        !html.contains("Person, Invented") && !html.contains("Invented Person"),
        "no patient's name on this page"
    );
}

#[tokio::test]
async fn a_film_s_page_sets_its_placings_side_by_side_and_asks_for_a_second_where_there_is_one() {
    let p = Practiced::new().await;
    let film = p.film().await;
    p.place(film, p.ann, 18.0, true).await;
    let (status, html) = p.get(&format!("/film/{film}/agreement")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(html.contains("two are needed before they can be compared"));
    assert!(html.contains(&format!("/film/{film}?again=yes")));
    p.place(film, p.ann, 18.4, true).await;
    p.place(film, p.ben, 25.0, true).await;
    let (_, html) = p.get(&format!("/film/{film}/agreement")).await;
    let row = html
        .split("<tr")
        .find(|r| r.contains("data-measure=\"calc_pitch\""))
        .expect("a row for the heel's pitch");
    for part in [
        "18.0°",
        "18.4°",
        "25.0°",
        "0.4°",
        "7.0°",
        "within placing error",
        "more than placing error explains",
    ] {
        assert!(row.contains(part), "no {part} in {row}");
    }
}

#[tokio::test]
async fn addresses_that_lead_nowhere_get_a_sentence() {
    let p = Practiced::new().await;
    let nobody = Uuid::from_u128(9).hyphenated().to_string();
    for address in [
        format!("/film/{nobody}/agreement"),
        "/film/rubbish/agreement".to_owned(),
        "/agreement?measure=rubbish".to_owned(),
    ] {
        let (status, html) = p.get(&address).await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{address}");
        assert!(html.contains("There is no such"), "{address}: {html}");
    }
    let (status, _) = p.get("/agreement?feet=third").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    let (status, html) = p.get("/agreement").await;
    assert_eq!(status, StatusCode::OK);
    assert!(html.contains("No film has two finished placings yet."));
}
