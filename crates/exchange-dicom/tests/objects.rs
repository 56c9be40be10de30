//! What is made here, under the eyes of two other implementations: dicom3tools' validator and dcmtk.

mod common;

use common::sheet::{self, READINGS};
use common::{film_file, run, said, text};
use exchange_dicom::objects::{
    MakeError, PictureOf, ReportOf, Rgb, SourceFilm, Study, document, picture, picture_head,
    report, sheet_of,
};
use exchange_dicom::send::web::{Level, Query, described, head, json};
use exchange_dicom::tree;
use exchange_dicom::uids::uid_of;
use quantity::{Z_975, written};
use std::path::PathBuf;

fn written_to(folder: &tempfile::TempDir) -> Vec<(&'static str, PathBuf)> {
    sheet::all(&film_file(1))
        .into_iter()
        .map(|(name, made)| {
            let path = folder.path().join(format!("{name}.dcm"));
            std::fs::write(&path, made.file).unwrap();
            (name, path)
        })
        .collect()
}

#[test]
fn the_validator_finds_no_error_in_any_object() {
    let folder = tempfile::tempdir().unwrap();
    for (name, path) in written_to(&folder) {
        let words = said(&run("dciodvfy", &["-new", text(&path)]));
        let errors: Vec<&str> = words.lines().filter(|l| l.starts_with("Error")).collect();
        assert!(errors.is_empty(), "{name}: {errors:#?}");
    }
}

#[test]
fn dcmtk_renders_the_report_and_every_value_stands_in_it() {
    let folder = tempfile::tempdir().unwrap();
    let (_, path) = written_to(&folder).remove(0);
    let output = run("dsr2html", &[text(&path)]);
    let words = said(&output);
    assert!(output.status.success(), "{words}");
    for (_, name, value, error, unit) in READINGS {
        assert!(words.contains(name), "{name}");
        for number in [value, error] {
            assert!(words.contains(&exchange_text(number)), "{name}: {number}");
        }
        let _ = written(Z_975 * error, unit.decimals());
    }
    for more in [
        "Reader",
        "cuboid",
        "placing errors",
        "taken standing",
        "Left",
        "Foot",
    ] {
        assert!(words.contains(more), "{more}");
    }
}

/// As a decimal string holds it.
fn exchange_text(value: f64) -> String {
    let plain = format!("{value}");
    plain.chars().take(14).collect()
}

#[test]
fn the_study_of_the_film_is_the_study_of_what_is_made_of_it() {
    let film = film_file(1);
    let source = SourceFilm::of_file(&film).unwrap().unwrap();
    for (name, made) in sheet::all(&film) {
        let mut inflated = Vec::new();
        let object = tree::file(&made.file, &mut inflated, &tree::Limits::default()).unwrap();
        let study = object
            .set
            .uid(dicom_dictionary_std::tags::STUDY_INSTANCE_UID);
        assert_eq!(study.as_deref(), Some(source.study.uid.as_str()), "{name}");
        assert!(made.instance_uid.starts_with("2.25."), "{name}");
        assert_ne!(made.instance_uid, made.series_uid);
    }
}

#[test]
fn a_letter_comes_out_of_its_object_byte_for_byte() {
    let folder = tempfile::tempdir().unwrap();
    let all = written_to(&folder);
    let (_, path) = &all[3];
    let out = folder.path().join("letter.pdf");
    let output = run("dcm2pdf", &[text(path), text(&out)]);
    assert!(output.status.success(), "{}", said(&output));
    let back = std::fs::read(out).unwrap();
    assert!(back.starts_with(sheet::PAPER) && back.len() <= sheet::PAPER.len() + 1);
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let film = film_file(1);
    assert_eq!(sheet::all(&film), sheet::all(&film));
}

#[test]
fn a_reading_without_a_number_and_an_identifier_without_form_make_no_report() {
    let film = SourceFilm::of_file(&film_file(1)).unwrap().unwrap();
    let about = sheet::about(&film);
    let mut broken = sheet::sheet();
    let of = |sheet: &reading::ReadingSheet, tracking: &str| {
        let of = ReportOf {
            about: &about,
            film: Some(&film),
            sheet,
            reader_name: "Reader",
            placed_at: about.made_at,
            tracking_uid: tracking,
            name_of: &sheet::name_of,
        };
        report(&of, &mut sheet::Counted(0))
    };
    let good = uid_of(uuid::Uuid::from_u128(1));
    assert!(of(&broken, &good).is_ok());
    assert!(matches!(of(&broken, "../1"), Err(MakeError::Uid { .. })));
    broken.readings[0].estimate.value = f64::NAN;
    let error = of(&broken, &good).unwrap_err().to_string();
    assert!(error.contains("meary_lat"), "{error}");
}

#[test]
fn a_report_of_a_film_that_is_no_dicom_file_stands_alone_and_is_valid() {
    let film = SourceFilm::of_file(&film_file(1)).unwrap().unwrap();
    let mut uids = sheet::Counted(50);
    let mut about = sheet::about(&film);
    about.study = Study::new(&mut uids, None);
    let made = report(
        &ReportOf {
            about: &about,
            film: None,
            sheet: &sheet::sheet(),
            reader_name: "Reader",
            placed_at: about.made_at,
            tracking_uid: &uid_of(uuid::Uuid::from_u128(1)),
            name_of: &|_| None,
        },
        &mut uids,
    )
    .unwrap();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("alone.dcm");
    std::fs::write(&path, made.file).unwrap();
    let words = said(&run("dciodvfy", &["-new", text(&path)]));
    assert!(!words.lines().any(|l| l.starts_with("Error")), "{words}");
}

#[test]
fn a_sheet_as_it_is_kept_comes_back_and_another_format_is_refused() {
    let mut points = record::PointsRecord {
        id: record::PointsId::new(uuid::Uuid::from_u128(1)),
        film: record::FilmId::new(uuid::Uuid::from_u128(2)),
        reader: record::ClinicianId::new(uuid::Uuid::from_u128(3)),
        reader_name: "Reader".into(),
        attempt: 1,
        placed_at: time::macros::datetime!(2026-05-17 15:00 UTC),
        finished: true,
        points: record::Kept::of("tiebeam-points", 1, &serde_json::json!({})).unwrap(),
        sheet: record::Kept::of("tiebeam-reading-sheet", 1, &sheet::sheet()).unwrap(),
    };
    assert_eq!(sheet_of(&points).unwrap(), sheet::sheet());
    points.sheet.version = 9;
    assert!(matches!(sheet_of(&points), Err(MakeError::Sheet { .. })));
    points.sheet.format = "letter".into();
    assert!(sheet_of(&points).is_err());
}

#[test]
fn a_png_becomes_a_picture_and_rubbish_does_not() {
    let grey: Vec<u8> = (0..6).collect();
    let png = film::encode_png8(&grey, 3, 2).unwrap();
    let rgb = Rgb::of_png(&png).unwrap();
    assert_eq!((rgb.width, rgb.height), (3, 2));
    assert_eq!(rgb.pixels[3..6], [1, 1, 1]);
    assert!(Rgb::of_png(&png[..20]).is_err());
    let film = SourceFilm::of_file(&film_file(1)).unwrap().unwrap();
    let about = sheet::about(&film);
    let short = Rgb {
        width: 3,
        height: 2,
        pixels: vec![0; 17],
    };
    let of = PictureOf {
        about: &about,
        film: None,
        side: None,
        description: "",
        names_in_picture: true,
    };
    assert_eq!(
        picture(&of, short, &mut sheet::Counted(0)),
        Err(MakeError::Picture)
    );
    assert_eq!(
        document(&about, "", b"no paper", &mut sheet::Counted(0)),
        Err(MakeError::Paper)
    );
}

#[test]
fn the_head_of_a_picture_is_known_before_it_is_drawn_all_but_its_size() {
    let film = SourceFilm::of_file(&film_file(1)).unwrap().unwrap();
    let about = sheet::about(&film);
    let of = PictureOf {
        about: &about,
        film: Some(&film),
        side: None,
        description: "Film with readings",
        names_in_picture: true,
    };
    let drawn = Rgb {
        width: 5,
        height: 3,
        pixels: (0..45).collect(),
    };
    let whole = picture(&of, drawn, &mut sheet::Counted(0)).unwrap();
    let whole = head(&whole.file).unwrap().unwrap();
    let before = picture_head(&of, &mut sheet::Counted(0)).unwrap();
    assert_eq!(before.facts, whole.facts);
    assert_eq!(before.transfer_syntax, whole.transfer_syntax);
    let all = Query {
        all_fields: true,
        ..Query::default()
    };
    let told = |file: &[u8]| {
        let answer = described(file, Level::Instances, &all).unwrap().unwrap();
        let said: serde_json::Value = serde_json::from_slice(&json(&[answer]).unwrap()).unwrap();
        said[0].as_object().unwrap().clone()
    };
    let mut expected = told(&whole.file);
    assert_eq!(expected.remove("00280010").unwrap()["Value"][0], 3);
    assert_eq!(expected.remove("00280011").unwrap()["Value"][0], 5);
    assert_eq!(told(&before.file), expected);
}
