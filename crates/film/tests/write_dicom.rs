//! Films out: valid objects that come back as they were.

mod common;

use common::example;
use film::write::{WriteError, dicom};
use film::{Limits, Samples, Told, open};
use std::process::Command;
use terms::{Side, Stance, View};

fn every_kind() -> Vec<film::write::DicomFilm> {
    let mut all = Vec::new();
    for view in View::ALL {
        for side in Side::BOTH {
            for stance in [Stance::Standing, Stance::NotStanding, Stance::Unknown] {
                all.push(film::write::DicomFilm {
                    view,
                    side,
                    stance,
                    ..example()
                });
            }
        }
    }
    let bare = film::write::DicomFilm {
        calibrated: None,
        magnification: None,
        source_to_detector_mm: None,
        source_to_patient_mm: None,
        person: film::write::PersonOnFilm::default(),
        bits_stored: 16,
        ..example()
    };
    all.push(bare);
    all
}

#[test]
fn an_outside_validator_finds_no_error_in_any_kind_of_film() {
    if Command::new("dciodvfy").arg("-version").output().is_err() {
        eprintln!("not checked: dciodvfy is not installed (Debian package dicom3tools)");
        return;
    }
    let folder = std::env::temp_dir().join(format!("film-write-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    for (i, film) in every_kind().iter().enumerate() {
        let path = folder.join(format!("{i}.dcm"));
        std::fs::write(&path, dicom(film).unwrap()).unwrap();
        let output = Command::new("dciodvfy").arg(&path).output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned()
            + &String::from_utf8_lossy(&output.stdout);
        assert!(
            said.contains("DXImageForPresentation"),
            "the validator did not know it: {said}"
        );
        let errors: Vec<&str> = said.lines().filter(|l| l.starts_with("Error")).collect();
        assert!(
            errors.is_empty(),
            "{:?} {:?} {:?}: {said}",
            film.view,
            film.side,
            film.stance
        );
    }
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn a_written_film_says_what_it_was_told() {
    for written in every_kind() {
        let film = open(&dicom(&written).unwrap(), &Limits::default()).unwrap();
        assert_eq!((film.width, film.height), (written.width, written.height));
        assert_eq!(film.samples, Samples::Unsigned(written.pixels.clone()));
        let header = &film.header;
        assert_eq!(header.view, Some(written.view));
        assert_eq!(header.side, Some(written.side));
        assert!(matches!(header.view_told, Some(Told::Coded { .. })));
        assert!(matches!(header.side_told, Some(Told::Coded { .. })));
        if written.stance != Stance::Unknown {
            assert_eq!(header.stance, written.stance);
        }
        assert_eq!(
            header.patient_name.as_deref().unwrap_or(""),
            written.person.name
        );
        assert_eq!(header.birth_date, written.person.birth_date);
        assert_eq!(header.sex, written.person.sex);
        assert_eq!(header.taken_on, Some(written.taken_at.date()));
        assert_eq!(header.study_uid.as_deref(), Some("2.25.1001"));
        assert_eq!(
            film.spacing.imager_pixel_spacing,
            Some(written.detector_spacing)
        );
        assert_eq!(
            film.spacing.pixel_spacing,
            written.calibrated.map(|c| c.spacing)
        );
        assert_eq!(film.spacing.magnification, written.magnification);
        assert_eq!(
            film.spacing.source_to_detector_mm,
            written.source_to_detector_mm
        );
        assert!(film.spacing.refused.is_empty());
    }
}

#[test]
fn the_same_film_gives_the_same_bytes() {
    assert_eq!(dicom(&example()).unwrap(), dicom(&example()).unwrap());
}

#[test]
fn what_does_not_fit_the_standard_is_refused_with_a_sentence() {
    let refuse = |change: fn(&mut film::write::DicomFilm)| {
        let mut film = example();
        change(&mut film);
        dicom(&film).unwrap_err()
    };
    assert!(matches!(refuse(|f| f.width = 95), WriteError::Size { .. }));
    assert!(matches!(
        refuse(|f| f.bits_stored = 17),
        WriteError::Bits { found: 17 }
    ));
    assert!(matches!(
        refuse(|f| f.pixels[5] = 4096),
        WriteError::Value { found: 4096, .. }
    ));
    assert!(matches!(
        refuse(|f| f.person.id = "a\\b".to_owned()),
        WriteError::Text { .. }
    ));
    assert!(matches!(
        refuse(|f| f.study_uid = "x".to_owned()),
        WriteError::Uid { .. }
    ));
    assert!(matches!(
        refuse(|f| f.magnification = Some(f64::NAN)),
        WriteError::Number { .. }
    ));
}
