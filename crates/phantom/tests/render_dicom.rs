//! Is a written phantom film a valid DICOM object, and does it say what is true?

use phantom::expose::dicom::Paper;
use phantom::expose::{Exposure, PhantomFilm, expose};
use std::process::Command;
use terms::{Side, Stance, View};
use time::macros::datetime;

fn film(view: View, side: Side) -> PhantomFilm {
    let spec = phantom::FootSpec {
        side,
        ..phantom::FootSpec::adult()
    };
    let foot = phantom::build(&spec).unwrap();
    let exposure = Exposure {
        pixel_mm: 0.4,
        width: 750,
        height: 600,
        ..Exposure::usual(view)
    };
    expose(&foot, &exposure).unwrap()
}

fn paper() -> Paper {
    Paper::invented(datetime!(2026-05-04 10:30), 41)
}

#[test]
fn the_file_opens_again_with_view_side_stance_pixels_and_both_spacings() {
    for (view, side) in [
        (View::Lateral, Side::Left),
        (View::HindfootAlignment, Side::Right),
    ] {
        let made = film(view, side);
        let bytes = made.dicom(&paper()).unwrap();
        let read = film::open(&bytes, &film::Limits::default()).unwrap();
        assert_eq!(
            (read.width as usize, read.height as usize),
            (made.width, made.height)
        );
        assert_eq!(read.header.side, Some(side));
        assert_eq!(read.header.stance, Stance::Standing);
        assert_eq!(
            read.header.patient_name.as_deref(),
            Some("Phantom^Standing")
        );
        assert_eq!(read.header.bits_stored, 12);
        let magnification = made.magnification;
        assert!(
            magnification > 1.04 && magnification < 1.5,
            "{magnification}"
        );
        assert_eq!(
            made.dicom(&paper()).unwrap(),
            bytes,
            "the same film gives the same bytes"
        );
    }
}

#[test]
fn debians_dicom_checker_finds_no_error() {
    if Command::new("dciodvfy").arg("-version").output().is_err() {
        eprintln!("dciodvfy is not installed (Debian: dicom3tools); this check did not run");
        return;
    }
    for view in View::ALL {
        for side in Side::BOTH {
            let path = std::env::temp_dir().join(format!(
                "phantom-{}-{}-{}.dcm",
                std::process::id(),
                view.key(),
                side.word()
            ));
            std::fs::write(&path, film(view, side).dicom(&paper()).unwrap()).unwrap();
            let told = Command::new("dciodvfy").arg(&path).output().unwrap();
            std::fs::remove_file(&path).unwrap();
            let words =
                String::from_utf8_lossy(&told.stderr) + String::from_utf8_lossy(&told.stdout);
            assert!(words.contains("DXImageForPresentation"), "{words}");
            assert!(!words.contains("Error"), "{view:?} {side:?}: {words}");
        }
    }
}
