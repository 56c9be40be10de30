//! What cannot be read is refused with one sentence, and nothing panics.

mod common;

use common::{one, picture, through};
use phantom::print::{PaperSpec, PrintSpec, sheet};
use picture::{Picture, Turned};
use print::{
    Medium, Pitch, PressureUnit, PrintError, Recording, Scaling, Sheet, Steps, Wish, find, read,
    recording,
};
use proptest::prelude::*;
use terms::Side;

fn refused(picture: &Picture, medium: Option<Medium>) -> PrintError {
    let error = through(picture, medium, &Scaling::FileDensity).map(|(_, s, _)| s.feet.len());
    let error = error.expect_err("this is no print");
    let told = error.to_string();
    assert!(told.len() < 400 && !told.contains('\n'), "{told}");
    error
}

fn drawn(width: u32, height: u32, ink: impl Fn(f64, f64) -> bool) -> Picture {
    let mut rgb = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let value = if ink(f64::from(x), f64::from(y)) {
                30
            } else {
                230
            };
            rgb.extend([value; 3]);
        }
    }
    Picture {
        width,
        height,
        rgb,
        turned: Turned::No,
        px_per_mm: Some(2.0),
    }
}

#[test]
fn a_picture_without_a_foot_is_refused() {
    let disc = drawn(400, 500, |x, y| (x - 200.0).hypot(y - 250.0) < 90.0);
    assert!(matches!(
        refused(&disc, Some(Medium::Ink)),
        PrintError::NoFoot { .. }
    ));
    let box_ = drawn(400, 500, |x, y| {
        (x - 200.0).abs() < 70.0 && (y - 250.0).abs() < 150.0
    });
    assert!(matches!(
        refused(&box_, Some(Medium::Ink)),
        PrintError::NoFoot { .. }
    ));
    let oval = drawn(400, 600, |x, y| {
        ((x - 200.0) / 70.0).hypot((y - 300.0) / 190.0) < 1.0
    });
    assert!(matches!(
        refused(&oval, Some(Medium::Ink)),
        PrintError::NoFoot { .. }
    ));
}

#[test]
fn more_than_two_feet_are_refused_with_their_number() {
    let paper = PaperSpec {
        width_mm: 520.0,
        height_mm: 297.0,
        mm_per_cell: 0.5,
        ..PaperSpec::default()
    };
    let feet: Vec<(PrintSpec, [f64; 2], f64)> = (0..4)
        .map(|k| {
            let side = if k % 2 == 0 { Side::Left } else { Side::Right };
            (
                PrintSpec::plain(side),
                [70.0 + 125.0 * f64::from(k), 260.0],
                0.0,
            )
        })
        .collect();
    let made = sheet(&feet, &paper);
    assert_eq!(
        refused(&picture(&made), Some(Medium::Ink)),
        PrintError::TooManyFeet { found: 4 }
    );
}

#[test]
fn half_a_foot_at_the_edge_is_refused() {
    let made = sheet(
        &[(PrintSpec::plain(Side::Left), [105.0, 330.0], 0.0)],
        &PaperSpec::default(),
    );
    assert_eq!(
        refused(&picture(&made), Some(Medium::Ink)),
        PrintError::HalfFoot
    );
}

#[test]
fn a_sheet_of_one_colour_and_one_of_grain_alone_are_refused() {
    let plain = drawn(100, 100, |_, _| false);
    assert!(matches!(
        refused(&plain, Some(Medium::Ink)),
        PrintError::AllEqual { .. }
    ));
    let grain = drawn(300, 300, |x, y| {
        (x * 12.9898 + y * 78.233).sin() * 43758.5 % 1.0 > 0.3
    });
    let _ = refused(&grain, Some(Medium::Ink));
    let _ = refused(&grain, None);
}

#[test]
fn a_scale_that_cannot_be_is_refused() {
    let made = one(&PrintSpec::plain(Side::Right), 0.0, &PaperSpec::default());
    let mut picture = picture(&made);
    let same = Scaling::Ruler {
        from: [5.0, 5.0],
        to: [5.0, 5.0],
        mm: 100.0,
    };
    let crossed = Scaling::Corners {
        corners: [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [f64::NAN, 0.0]],
        paper: print::Paper::A4,
    };
    for scaling in [same, crossed] {
        let error = Sheet::of_picture(&picture, None, &scaling).unwrap_err();
        assert!(matches!(error, PrintError::BadScale { .. }), "{error}");
    }
    picture.px_per_mm = None;
    let error = Sheet::of_picture(&picture, None, &Scaling::FileDensity).unwrap_err();
    assert!(error.to_string().contains("no density"), "{error}");
}

fn grid(text: &str) -> Result<Sheet, PrintError> {
    let read = recording(text, PressureUnit::Kilopascal, None)?;
    Sheet::of_pressure(read, Pitch::new(5.0, 5.0, 0.0)?)
}

#[test]
fn grids_that_hold_no_print_are_refused_each_with_its_own_sentence() {
    let row = |value: &str, n: usize| vec![value; n].join(";");
    let rows = |value: &str, n: usize, m: usize| vec![row(value, n); m].join("\n");
    assert_eq!(grid("").unwrap_err(), PrintError::EmptyGrid);
    assert!(matches!(
        grid(&rows("3", 20, 30)).unwrap_err(),
        PrintError::AllEqual { .. }
    ));
    assert!(matches!(
        grid(&rows("3", 40, 1)).unwrap_err(),
        PrintError::TooSmall { rows: 1, .. }
    ));
    let nan = grid(&format!("{}\nNaN;1", rows("1", 2, 3))).unwrap_err();
    assert!(matches!(
        nan,
        PrintError::Cell {
            line: 4,
            column: 1,
            ..
        }
    ));
    let text = grid(&format!("{}\nheel;1", rows("1", 2, 3))).unwrap_err();
    assert_eq!(
        text.to_string().split(';').next().unwrap(),
        "line 4, column 1: found 'heel'"
    );
}

#[test]
fn a_ragged_row_a_series_without_rows_and_a_grid_of_noughts_say_what_was_found() {
    let told = |text: &str| {
        let error = grid(text).unwrap_err().to_string();
        assert!(!error.contains('\n') && error.len() < 400, "{error}");
        error
    };
    let rows = |n: usize| vec![["3"; 12].join(";"); n].join("\n");
    let ragged = told(&format!("{}\n1;2;3\n{}", rows(4), rows(4)));
    assert!(
        ragged.contains("line 5, column 3: the row ends there, found 3 cells and expected 12"),
        "{ragged}"
    );
    for empty in [
        "frame 1\n",
        "frame 1\n\n\n",
        "time 0.00\n\ntime 0.02\n",
        "\n\n \n",
    ] {
        assert_eq!(grid(empty).unwrap_err(), PrintError::EmptyGrid, "{empty:?}");
    }
    let noughts = vec![vec!["0"; 20].join(";"); 30].join("\n");
    assert!(told(&noughts).contains("the same all over (0 kPa)"));
    // One frame of noughts in a series is a moment without load, and no fault.
    let loaded = rows(10).replace('3', "0") + "\n\n" + &rows(10);
    assert!(told(&loaded).contains("the same all over (3 kPa)"));
}

#[test]
fn a_cell_of_nothing_or_of_half_a_metre_is_no_pitch() {
    for (x, y) in [
        (0.0, 5.0),
        (5.0, 0.0),
        (500.0, 5.0),
        (5.0, 500.0),
        (f64::INFINITY, 5.0),
    ] {
        let told = Pitch::new(x, y, 0.0).unwrap_err().to_string();
        assert!(
            told.contains("the pitch cannot give a scale") && told.contains("0.001 to 50 mm"),
            "{told}"
        );
    }
    // Kept steps may say anything: the sheet looks again.
    let row = ["1;2;3;4;5;6;7;8;9"; 12].join("\n");
    let bad = Pitch {
        x_mm: 0.0,
        y_mm: 5.0,
        relative_standard_error: 0.0,
    };
    let read = recording(&row, PressureUnit::Kilopascal, None).unwrap();
    assert!(matches!(
        Sheet::of_pressure(read, bad),
        Err(PrintError::BadScale { .. })
    ));
}

#[test]
fn a_recording_made_by_hand_with_nan_or_of_wrong_size_is_refused() {
    let with = |frames_kpa: Vec<Vec<f32>>, columns: usize, rows: usize| {
        let recording = Recording {
            columns,
            rows,
            frames_kpa,
            rate_hz: None,
        };
        Sheet::of_pressure(recording, Pitch::new(5.0, 5.0, 0.0).unwrap()).unwrap_err()
    };
    let mut nan = vec![1.0; 100];
    nan[7] = f32::NAN;
    assert_eq!(with(vec![nan], 10, 10), PrintError::NotANumber);
    assert_eq!(with(vec![vec![1.0; 99]], 10, 10), PrintError::EmptyGrid);
    assert!(matches!(
        with(vec![vec![]; 2], usize::MAX, 9),
        PrintError::TooLarge { .. }
    ));
    assert!(Pitch::new(f64::NAN, 5.0, 0.0).is_err() && Pitch::new(5.0, -1.0, 0.0).is_err());
}

#[test]
fn steps_that_are_none_are_refused() {
    let made = one(&PrintSpec::plain(Side::Right), 0.0, &PaperSpec::default());
    let (sheet, steps, _) = through(&picture(&made), None, &Scaling::FileDensity).unwrap();
    for text in ["", "{}", "[1,2]", "{\"format\":\"tiebeam-print\"}"] {
        let told = Steps::from_json(text).unwrap_err().to_string();
        assert!(told.starts_with("the steps cannot be used"), "{told}");
    }
    let newer = steps.to_json().replace("\"version\":1", "\"version\":2");
    assert!(Steps::from_json(&newer).is_err());
    let mut off = steps.clone();
    off.feet[0].parts.is = vec![[3.0, 3.0]];
    assert!(matches!(
        read(&sheet, &off),
        Err(PrintError::BadSteps { .. })
    ));
    let mut flat = steps.clone();
    flat.feet[0].axis.is.second_toe = flat.feet[0].axis.is.heel_centre;
    assert!(read(&sheet, &flat).is_err());
    let mut nan = steps;
    nan.level.is.at = f64::NAN;
    assert!(read(&sheet, &nan).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_text_is_a_recording_or_one_sentence(text in "[0-9.,;\\t \\n\"a-e-]{0,300}") {
        match recording(&text, PressureUnit::Kilopascal, None) {
            Ok(r) => prop_assert!(r.frames_kpa.iter().all(|f| f.len() == r.columns * r.rows)),
            Err(e) => prop_assert!(!e.to_string().contains('\n')),
        }
    }

    #[test]
    fn any_grid_is_read_or_refused_with_a_sentence(
        width in 8_usize..40, height in 8_usize..60, seed in any::<u64>(), share in 0.0_f64..1.0,
    ) {
        let mut state = seed | 1;
        let frames_kpa = vec![(0..width * height).map(|_| {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            let unit = (state >> 40) as f32 / 16_777_216.0;
            if f64::from(unit) < share { unit * 300.0 } else { 0.0 }
        }).collect()];
        let recording = Recording { columns: width, rows: height, frames_kpa, rate_hz: None };
        let done = Sheet::of_pressure(recording, Pitch::new(5.0, 5.0, 0.0).unwrap())
            .and_then(|sheet| find(&sheet, &Wish::default()).map(|steps| (sheet, steps)))
            .and_then(|(sheet, steps)| read(&sheet, &steps));
        match done {
            Ok(r) => for reading in r.feet.iter().flat_map(|f| &f.readings) {
                prop_assert!(reading.estimate.value.is_finite());
                prop_assert!(reading.estimate.standard_error.is_finite());
            },
            Err(e) => prop_assert!(!e.to_string().contains('\n')),
        }
    }
}
