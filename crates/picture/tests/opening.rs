//! What comes out of good, sideways and hostile files.

use image::codecs::jpeg::JpegEncoder;
use image::{ExtendedColorType, ImageEncoder, ImageFormat, Rgb, RgbImage, Rgba, RgbaImage};
use picture::{Limits, PictureError, Turned, open};
use std::io::Cursor;

/// Red above, blue below.
fn two_halves(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |_, y| {
        if y < height / 2 {
            Rgb([250, 0, 0])
        } else {
            Rgb([0, 0, 250])
        }
    })
}

fn png(picture: &RgbImage) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, ImageFormat::Png).unwrap();
    out.into_inner()
}

/// A JPEG with the mark a phone writes when it was held sideways.
fn marked_jpeg(picture: &RgbImage, orientation: u8) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut out, 95);
    let mut exif = b"MM\0\x2a\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
    exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
    encoder.set_exif_metadata(exif).unwrap();
    let (w, h) = picture.dimensions();
    encoder
        .write_image(picture, w, h, ExtendedColorType::Rgb8)
        .unwrap();
    out
}

fn opened(bytes: &[u8]) -> Result<picture::Picture, PictureError> {
    open(bytes, &Limits::default())
}

#[test]
fn a_png_comes_out_pixel_for_pixel() {
    let source = two_halves(40, 60);
    let found = opened(&png(&source)).unwrap();
    assert_eq!((found.width, found.height), (40, 60));
    assert_eq!(found.rgb, source.into_raw());
    assert_eq!((found.turned, found.px_per_mm), (Turned::No, None));
    assert!((found.grey().at(0, 0).unwrap() - 74.75).abs() < 1e-3);
    assert_eq!(found.least().at(0, 0), Some(0.0));
}

#[test]
fn a_picture_from_a_phone_held_sideways_is_set_upright_by_its_mark() {
    // 6: the camera's top is the picture's right, so what lay on top comes to the right.
    let found = opened(&marked_jpeg(&two_halves(60, 40), 6)).unwrap();
    assert_eq!((found.width, found.height), (40, 60));
    assert_eq!(found.turned, Turned::ByItsMark);
    let at = |x: usize, y: usize| &found.rgb[(y * 40 + x) * 3..][..3];
    assert!(at(35, 30)[0] > 200, "red on the right: {:?}", at(35, 30));
    assert!(at(4, 30)[2] > 200, "blue on the left: {:?}", at(4, 30));
    let plain = opened(&marked_jpeg(&two_halves(60, 40), 1)).unwrap();
    assert_eq!((plain.width, plain.turned), (60, Turned::No));
}

#[test]
fn what_is_transparent_lies_on_white() {
    let clear = RgbaImage::from_pixel(40, 40, Rgba([0, 0, 0, 51]));
    let mut out = Cursor::new(Vec::new());
    clear.write_to(&mut out, ImageFormat::Png).unwrap();
    let found = opened(&out.into_inner()).unwrap();
    assert_eq!(found.rgb[..3], [204, 204, 204]);
}

#[test]
fn a_scanners_density_is_taken_and_a_cameras_habit_is_not() {
    let with = |per_metre: u32| {
        let mut file = png(&two_halves(40, 40));
        let mut chunk = vec![0, 0, 0, 9];
        chunk.extend(b"pHYs");
        chunk.extend(per_metre.to_be_bytes());
        chunk.extend(per_metre.to_be_bytes());
        chunk.push(1);
        // The reader of pixels checks the sum over kind and data.
        let sum = crc32(&chunk[4..]);
        chunk.extend(sum.to_be_bytes());
        file.splice(33..33, chunk);
        opened(&file).unwrap().px_per_mm
    };
    assert_eq!(with(11_811), Some(11.811), "300 an inch");
    assert_eq!(with(2_835), None, "72 an inch");
    assert_eq!(with(0), None);
}

fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0u32, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |s, _| {
            if s & 1 == 1 {
                (s >> 1) ^ 0xEDB8_8320
            } else {
                s >> 1
            }
        })
    })
}

#[test]
fn files_that_are_no_picture_get_one_sentence_each() {
    let whole = png(&two_halves(40, 40));
    let cut = &whole[..whole.len() / 2];
    let said = |bytes: &[u8]| opened(bytes).unwrap_err().to_string();
    for (bytes, part) in [
        (&b""[..], "the file is empty"),
        (b"Dear colleague", "text that starts with 'Dear colleague'"),
        (b"\xfe\xfe\xfe\xfe", "data of another kind"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
        (b"\0\0\0\x18ftypisom\0\0\0\0", "film clip"),
        (b"\x1a\x45\xdf\xa3\x01\0\0\0", "film clip"),
        (cut, "damaged"),
        (
            &png(&two_halves(20, 40)),
            "20 × 40 pixels; expected at least 32",
        ),
    ] {
        let said = said(bytes);
        assert!(said.contains(part), "{said}");
        assert_eq!(said.matches('\n').count(), 0);
    }
}

#[test]
fn what_a_file_claims_is_refused_before_it_is_made() {
    let small = Limits {
        max_pixels: 1_000,
        max_file_bytes: 1 << 20,
    };
    let file = png(&two_halves(40, 40));
    assert!(matches!(
        open(&file, &small),
        Err(PictureError::TooManyPixels {
            width: 40,
            height: 40,
            limit: 1_000
        })
    ));
    let short = Limits {
        max_file_bytes: 10,
        ..small
    };
    assert!(matches!(
        open(&file, &short),
        Err(PictureError::FileTooLarge { limit: 10, .. })
    ));
    // A head that claims sixteen billion pixels in a file of a hundred bytes.
    let mut claims = file.clone();
    claims[16..24].copy_from_slice(&[0, 2, 0, 0, 0, 2, 0, 0]);
    assert!(open(&claims, &Limits::default()).is_err());
}

#[test]
fn a_picture_of_a_hundred_megapixels_is_refused_before_it_is_unpacked() {
    // Ten thousand each way, one bit for each pixel: 13 MB unpacked, a few kilobytes in the file.
    let head = {
        let mut data = b"IHDR".to_vec();
        data.extend(10_000_u32.to_be_bytes());
        data.extend(10_000_u32.to_be_bytes());
        data.extend([1, 0, 0, 0, 0]);
        data
    };
    let mut file = vec![0x89, b'P', b'N', b'G', 13, 10, 26, 10];
    for chunk in [head, b"IDAT".to_vec(), b"IEND".to_vec()] {
        file.extend((chunk.len() as u32 - 4).to_be_bytes());
        file.extend(&chunk);
        file.extend(crc32(&chunk).to_be_bytes());
    }
    let error = opened(&file).unwrap_err();
    let wanted = PictureError::TooManyPixels {
        width: 10_000,
        height: 10_000,
        limit: 80_000_000,
    };
    assert_eq!(error, wanted);
    assert!(error.to_string().contains("save it smaller"), "{error}");
}

#[test]
fn a_jpeg_that_ends_too_soon_is_damaged_and_not_half_grey() {
    let whole = marked_jpeg(&two_halves(600, 800), 1);
    for share in [10, 50, 90, 99] {
        let cut = &whole[..whole.len() * share / 100];
        let error = opened(cut).map(|p| p.width).unwrap_err();
        assert!(
            matches!(
                error,
                PictureError::Damaged {
                    expected: "JPEG",
                    ..
                }
            ),
            "{share}: {error}"
        );
    }
    // Bytes behind the end are the camera's own and do no harm.
    let mut more = whole.clone();
    more.extend([0; 40]);
    assert_eq!(opened(&more).unwrap(), opened(&whole).unwrap());
}

#[test]
fn no_cut_or_flipped_file_makes_it_fall_over() {
    let files = [
        png(&two_halves(33, 47)),
        marked_jpeg(&two_halves(47, 33), 8),
    ];
    let mut refused = 0;
    for file in &files {
        for at in 0..file.len() {
            refused += u32::from(opened(&file[..at]).is_err());
            let mut flipped = file.clone();
            flipped[at] ^= 0x55;
            refused += u32::from(opened(&flipped).is_err());
        }
    }
    assert!(refused > 100, "only {refused} were refused");
}
