//! Pictures that people hand in and that hold no whole print: each gets one clear sentence. Everything is invented.

mod common;

use common::{middle, picture};
use phantom::print::{LightSpec, PaperSpec, PrintSpec, sheet};
use picture::{Limits, Picture, Turned};
use print::{Medium, PrintError, Scaling, Sheet, Taken, Wish, find, opened};
use terms::Side;

/// The answer to a picture in every way it may be taken; always one sentence.
fn answers(picture: &Picture) -> Vec<PrintError> {
    let mut out = Vec::new();
    for medium in [Some(Medium::Ink), Some(Medium::Wet), None] {
        for scaling in [Scaling::FileDensity, Scaling::Unknown] {
            let steps = Sheet::of_picture(picture, medium, &scaling)
                .and_then(|sheet| find(&sheet, &Wish::default()));
            let error = steps.map(|s| s.feet.len()).expect_err("this is no print");
            let told = error.to_string();
            assert!(told.len() < 400 && !told.contains('\n'), "{told}");
            assert!(told.matches("; expected ").count() <= 1, "{told}");
            out.push(error);
        }
    }
    out
}

/// Dark where `ink` says so, on paper with a little grain; half a millimetre a pixel.
fn drawn(ink: impl Fn(f64, f64) -> bool) -> Picture {
    let (width, height) = (420_u32, 594_u32);
    let mut rgb = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let grain = ((x * 7919 + y * 104_729) % 7) as u8;
            let value = if ink(f64::from(x) / 2.0, f64::from(y) / 2.0) {
                40
            } else {
                226
            };
            rgb.extend([value + grain; 3]);
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

fn no_foot(picture: &Picture) {
    for error in answers(picture) {
        assert!(matches!(error, PrintError::NoFoot { .. }), "{error}");
    }
}

#[test]
fn a_page_of_writing_is_no_foot() {
    // Rows of letters of varied breadth, 3 mm high, with bows and gaps.
    let page = drawn(|x, y| {
        let (row, within) = ((y / 8.0).floor(), y % 8.0);
        let place = x + 1.7 * (row * 2.3).sin();
        let letter = (place / 3.4).floor();
        let kind = (letter * 12.9898 + row * 78.233).sin().abs();
        let inside = place % 3.4 - 0.5;
        let margin = (20.0..190.0).contains(&x) && (20.0..280.0).contains(&y);
        let stroke = inside < 0.7 || (within - 3.0).abs() < 0.35 || (kind > 0.5 && within < 1.7);
        margin
            && within < 4.0
            && within > 1.0
            && inside > 0.0
            && inside < 2.4
            && stroke
            && kind > 0.12
    });
    no_foot(&page);
    // A heading in large letters.
    let heading = drawn(|x, y| {
        let (letter, inside) = ((x / 30.0).floor(), x % 30.0);
        let upright = (4.0..10.0).contains(&inside);
        let bar =
            (4.0..24.0).contains(&inside) && ((y - 120.0).abs() < 3.0 || (y - 90.0).abs() < 3.0);
        (1.0..6.0).contains(&letter) && (85.0..125.0).contains(&y) && (upright || bar)
    });
    no_foot(&heading);
}

#[test]
fn a_hand_is_no_foot() {
    // Palm, four fingers and a thumb; joined, and with the fingers printed apart from the palm.
    for gap in [0.0, 5.0] {
        let hand = drawn(|x, y| {
            let palm = ((x - 105.0) / 42.0).hypot((y - 195.0) / 48.0) < 1.0;
            let finger = |cx: f64, top: f64| {
                let low = 160.0 - gap;
                let on = y.clamp(top, low);
                (x - cx).hypot(y - on) < 8.5
            };
            let fingers = finger(75.0, 100.0)
                || finger(96.0, 82.0)
                || finger(117.0, 86.0)
                || finger(137.0, 108.0);
            let (tx, ty) = (x - 58.0, y - 190.0);
            let along = (-0.7 * tx - 0.71 * ty).clamp(0.0, 45.0);
            let thumb = (tx + 0.7 * along).hypot(ty + 0.71 * along) < 9.5;
            palm || fingers || thumb
        });
        no_foot(&hand);
    }
}

#[test]
fn a_face_is_no_foot() {
    for (broad, long) in [(48.0, 80.0), (60.0, 84.0), (42.0, 85.0)] {
        let face = drawn(|x, y| {
            let (dx, dy) = (x - 105.0, y - 150.0);
            let head = (dx / broad).hypot(dy / long) < 1.0;
            let eye = |side: f64| ((dx - side * 0.38 * broad) / 9.0).hypot((dy + 20.0) / 5.0) < 1.0;
            let mouth = (dx / 20.0).hypot((dy - 38.0) / 6.0) < 1.0;
            let nose = dx.abs() < 3.0 && (-8.0..14.0).contains(&dy);
            head && !(eye(-1.0) || eye(1.0) || mouth || nose)
        });
        no_foot(&face);
    }
}

#[test]
fn an_empty_sheet_is_no_foot_in_even_light_and_under_a_lamp() {
    let empty = |light: &LightSpec| {
        let made = sheet(
            &[],
            &PaperSpec {
                mm_per_cell: 0.4,
                ..PaperSpec::default()
            },
        );
        picture(&made.lit(light).grained(4.0, 5))
    };
    no_foot(&empty(&LightSpec::EVEN));
    for seed in 0..4 {
        let found = answers(&empty(&LightSpec::random(seed)));
        for error in found {
            let told = error.to_string();
            assert!(told.contains("nothing on the sheet has an edge"), "{told}");
        }
    }
}

#[test]
fn a_foot_cut_by_any_edge_of_the_picture_is_told_as_that() {
    let at = middle(0.0);
    for shift in [[0.0, 130.0], [0.0, -110.0], [80.0, 0.0], [-80.0, 0.0]] {
        let heel = [at[0] + shift[0], at[1] + shift[1]];
        let paper = PaperSpec {
            mm_per_cell: 0.3,
            ..PaperSpec::default()
        };
        let made = sheet(&[(PrintSpec::plain(Side::Right), heel, 0.0)], &paper);
        for error in answers(&picture(&made)) {
            assert_eq!(error, PrintError::HalfFoot, "{shift:?}");
        }
    }
}

#[test]
fn the_prints_of_two_people_are_counted() {
    let paper = PaperSpec {
        width_mm: 297.0,
        height_mm: 640.0,
        mm_per_cell: 0.4,
        ..PaperSpec::default()
    };
    let feet: Vec<_> = (0..4)
        .map(|k| {
            let side = if k % 2 == 0 { Side::Left } else { Side::Right };
            let heel = [
                90.0 + 115.0 * f64::from(k % 2),
                285.0 + 310.0 * f64::from(k / 2),
            ];
            (
                PrintSpec {
                    side,
                    ..PrintSpec::random(u64::from(k as u32 / 2) + 7)
                },
                heel,
                0.0,
            )
        })
        .collect();
    for error in answers(&picture(&sheet(&feet, &paper))) {
        assert_eq!(error, PrintError::TooManyFeet { found: 4 });
    }
}

/// The mark of a phone that was held sideways, and a file cut short.
#[test]
fn a_jpeg_from_a_phone_held_sideways_reads_like_the_upright_one_and_a_cut_one_is_refused() {
    let made = common::one(
        &PrintSpec::plain(Side::Right),
        0.0,
        &PaperSpec {
            mm_per_cell: 0.3,
            ..PaperSpec::default()
        },
    );
    let upright =
        image::RgbImage::from_raw(made.width as u32, made.height as u32, made.rgb()).unwrap();
    // Mark 6: turned a quarter to the right, it stands upright.
    let sideways = image::imageops::rotate270(&upright);
    let taken = Taken::Picture {
        medium: Some(Medium::Ink),
        scaling: Scaling::Unknown,
    };
    let limits = Limits::default();
    let read = |file: &[u8]| {
        let sheet = opened(file, &taken, &limits).unwrap();
        let steps = find(&sheet, &Wish::default()).unwrap();
        let readings = print::read(&sheet, &steps).unwrap();
        let foot = &readings.feet[0];
        (
            foot.side,
            foot.of(print::Index::ArchIndex).unwrap().estimate.value,
        )
    };
    let (plain, marked) = (jpeg(&upright, 1), jpeg(&sideways, 6));
    let (one, two) = (read(&plain), read(&marked));
    assert_eq!(one.0, Side::Right);
    assert_eq!(two.0, Side::Right);
    assert!((one.1 / two.1 - 1.0).abs() < 1e-3, "{one:?} {two:?}");
    for share in [0.2, 0.5, 0.9, 0.99] {
        let cut = &plain[..(plain.len() as f64 * share) as usize];
        let told = opened(cut, &taken, &limits).unwrap_err().to_string();
        assert!(
            told.contains("damaged") && told.contains("JPEG"),
            "{share}: {told}"
        );
    }
}

fn jpeg(picture: &image::RgbImage, orientation: u8) -> Vec<u8> {
    use image::ImageEncoder;
    let mut out = Vec::new();
    let mut encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut out, 92);
    let mut exif = b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    encoder.set_exif_metadata(exif).unwrap();
    let (w, h) = picture.dimensions();
    encoder
        .write_image(picture, w, h, image::ExtendedColorType::Rgb8)
        .unwrap();
    out
}

#[test]
fn a_packed_phone_picture_and_one_without_a_scale_say_what_to_do() {
    let taken = |scaling| Taken::Picture {
        medium: None,
        scaling,
    };
    let heic = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic";
    let told = opened(heic, &taken(Scaling::Unknown), &Limits::default())
        .unwrap_err()
        .to_string();
    assert!(
        told.contains("HEIC") && told.contains("share the picture as JPEG"),
        "{told}"
    );
    let made = common::one(
        &PrintSpec::plain(Side::Left),
        0.0,
        &PaperSpec {
            mm_per_cell: 0.5,
            ..PaperSpec::default()
        },
    );
    let plain =
        image::RgbImage::from_raw(made.width as u32, made.height as u32, made.rgb()).unwrap();
    let told = opened(
        &jpeg(&plain, 1),
        &taken(Scaling::FileDensity),
        &Limits::default(),
    )
    .unwrap_err()
    .to_string();
    assert!(
        told.contains("no density") && told.contains("set it again"),
        "{told}"
    );
}
