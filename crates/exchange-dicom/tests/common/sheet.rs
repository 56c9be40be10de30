//! An invented sheet of readings, and everything that is made of it.

use exchange_dicom::objects::{
    About, Drawn, Made, PictureOf, PresentationOf, ReportOf, Rgb, SourceFilm, Subject, document,
    picture, presentation, report,
};
use exchange_dicom::uids::{Uids, uid_of};
use quantity::{Estimate, Unit};
use reading::{
    Arc, Drawing, ErrorParts, Reading, ReadingSheet, Refusal, Refused, Warning, WarningKind,
};
use record::{DisplayTurn, Practice};
use terms::{LandmarkKey, MeasureKey, Side, Stance, View};
use time::macros::{date, datetime};
use uuid::Uuid;

/// Counts up: the same input gives the same bytes.
pub struct Counted(pub u128);

impl Uids for Counted {
    fn uuid(&mut self) -> Uuid {
        self.0 += 1;
        Uuid::from_u128(0x1234_5678_0000_4000_8000_0000_0000_0000 + self.0)
    }
}

/// Measure, name, value, standard error, unit.
pub const READINGS: [(&str, &str, f64, f64, Unit); 5] = [
    (
        "meary_lat",
        "Talo-first-metatarsal angle, lateral",
        12.3,
        1.1,
        Unit::Degree,
    ),
    ("calc_pitch", "Calcaneal pitch", 18.25, 0.7, Unit::Degree),
    (
        "nav_height",
        "Navicular height",
        -31.4,
        0.9,
        Unit::Millimetre,
    ),
    (
        "nav_height_truncated",
        "Navicular height by length to the first metatarsal head",
        0.3333333333333333,
        0.0125,
        Unit::Ratio,
    ),
    (
        "tn_uncov",
        "Talonavicular uncoverage",
        41.0,
        2.5,
        Unit::Percent,
    ),
];

pub fn key(text: &str) -> MeasureKey {
    MeasureKey::new(text).expect("a key")
}

pub fn name_of(measure: &MeasureKey) -> Option<String> {
    READINGS
        .iter()
        .find(|r| r.0 == measure.as_str())
        .map(|r| r.1.to_owned())
}

pub fn sheet() -> ReadingSheet {
    let readings = READINGS
        .iter()
        .enumerate()
        .map(|(i, (measure, _, value, error, unit))| Reading {
            measure: key(measure),
            view: View::Lateral,
            side: Some(Side::Left),
            estimate: Estimate::new(*value, *error, *unit),
            error_parts: ErrorParts {
                points: *error,
                ..ErrorParts::default()
            },
            rotation_bias: 0.0,
            points_used: vec![LandmarkKey::new("calc_plantar_tuber").expect("a key")],
            method_version: i as u32 + 1,
            stance: Stance::Standing,
            notes: vec!["the floor was placed by hand".into()],
            drawing: Drawing {
                segments: vec![[[4.0, 5.0], [40.0, 20.0 + i as f64]]],
                arc: Some(Arc {
                    centre: [20.0, 20.0],
                    radius: 8.0,
                    from_deg: 0.0,
                    to_deg: -30.0,
                }),
                label_at: [30.0, 10.0 + 5.0 * i as f64],
            },
        })
        .collect();
    let missing = Refusal::MissingPoints {
        points: vec![LandmarkKey::new("cuboid_low").expect("a key")],
    };
    ReadingSheet {
        view: View::Lateral,
        side: Some(Side::Left),
        stance: Stance::Standing,
        readings,
        refused: vec![Refused::new(key("cuboid_height"), missing)],
        warnings: vec![Warning::new(
            WarningKind::GuessedError,
            "the placing errors were guessed",
        )],
        frame: None,
    }
}

pub fn about(film: &SourceFilm) -> About {
    About {
        subject: Subject {
            number: "T-0042".into(),
            issuer: None,
            family_name: "Invented".into(),
            given_name: "Pérsön".into(),
            born_on: Some(date!(1961 - 03 - 04)),
            sex: None,
        },
        study: film.study.clone(),
        made_at: datetime!(2026-05-18 09:30:00 +2),
        practice: Practice {
            name: "Invented practice".into(),
            demo: true,
            ..Practice::default()
        },
        version: "0.1.0".into(),
        series_number: 900,
        instance_number: 1,
    }
}

/// A PDF of one empty page.
pub const PAPER: &[u8] = b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 200 200]>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF\n";

pub const TRACKING: u128 = 77;

/// Every kind of object, by name.
pub fn all(film_file: &[u8]) -> Vec<(&'static str, Made)> {
    let film = SourceFilm::of_file(film_file)
        .expect("a file")
        .expect("a film");
    let about = about(&film);
    let sheet = sheet();
    let mut uids = Counted(0);
    let drawn = {
        let mut drawn = Drawn::of_sheet(&sheet, &name_of);
        drawn.points = vec![[4.0, 5.0]];
        drawn
    };
    vec![
        (
            "report",
            report(
                &ReportOf {
                    about: &about,
                    film: Some(&film),
                    sheet: &sheet,
                    reader_name: "Dr Invented Reader",
                    placed_at: datetime!(2026-05-17 15:00 +2),
                    tracking_uid: &uid_of(Uuid::from_u128(TRACKING)),
                    name_of: &name_of,
                },
                &mut uids,
            )
            .expect("a report"),
        ),
        (
            "presentation",
            presentation(
                &PresentationOf {
                    about: &about,
                    film: &film,
                    side: Some(Side::Left),
                    drawn: &drawn,
                    turn: DisplayTurn {
                        quarter_turns: 1,
                        mirrored: true,
                    },
                    window: Some((2000.0, 3000.0)),
                    creator: "Invented Reader",
                },
                &mut uids,
            )
            .expect("a presentation"),
        ),
        (
            "picture",
            picture(
                &PictureOf {
                    about: &about,
                    film: Some(&film),
                    side: Some(Side::Left),
                    description: "Film with readings",
                    names_in_picture: false,
                },
                Rgb {
                    width: 5,
                    height: 3,
                    pixels: (0..45).collect(),
                },
                &mut uids,
            )
            .expect("a picture"),
        ),
        (
            "letter",
            document(&about, "Letter to the referring doctor", PAPER, &mut uids).expect("a letter"),
        ),
    ]
}
