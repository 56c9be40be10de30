//! Every bad file gets one sentence that says what was found, what was expected and what to do.

mod common;

use common::{altered, example, example_bytes, set};
use dicom_core::VR;
use dicom_core::value::PrimitiveValue;
use dicom_dictionary_std::{tags, uids};
use dicom_object::InMemDicomObject;
use film::scale::{ScaleAnswer, ScaleWish, choose};
use film::{Film, FilmError, Limits, open};
use std::time::{Duration, Instant};

const EXPLICIT: &str = uids::EXPLICIT_VR_LITTLE_ENDIAN;

/// For the list of all bad inputs with their sentences: `--nocapture --test-threads 1`.
fn tell(sentence: &str) {
    let thread = std::thread::current();
    let input = thread.name().unwrap_or_default().replace('_', " ");
    println!("{input} -> {sentence}");
}

#[track_caller]
fn refused(bytes: &[u8], beginning: &str) -> FilmError {
    refused_within(bytes, &Limits::default(), beginning)
}

#[track_caller]
fn refused_within(bytes: &[u8], limits: &Limits, beginning: &str) -> FilmError {
    let start = Instant::now();
    let error = open(bytes, limits).expect_err("this file must be refused");
    let sentence = error.to_string();
    tell(&sentence);
    assert!(
        start.elapsed() < Duration::from_secs(5),
        "took {:?}",
        start.elapsed()
    );
    assert!(sentence.starts_with(beginning), "{sentence}");
    assert!(
        !sentence.ends_with('.') && !sentence.contains('\n'),
        "{sentence}"
    );
    says_what_is_needed(&sentence);
    error
}

/// What was found comes first; then what was expected, and after a semicolon what to do.
#[track_caller]
fn says_what_is_needed(sentence: &str) {
    let expected = ["expected", "at most", "needs"];
    assert!(
        expected.iter().any(|word| sentence.contains(word)),
        "says what was expected: {sentence}"
    );
    let (_, to_do) = sentence.rsplit_once(';').expect(sentence);
    let actions = ["export", "copy", "pick", "ask"];
    assert!(
        actions.iter().any(|word| to_do.contains(word)),
        "says what to do: {sentence}"
    );
}

fn changed(change: impl FnOnce(&mut InMemDicomObject)) -> Vec<u8> {
    altered(EXPLICIT, change)
}

#[test]
fn an_empty_file() {
    refused(
        b"",
        "the file is empty; expected a DICOM, PNG, JPEG or TIFF film",
    );
}

#[test]
fn a_text_a_pdf_an_archive_and_noise_are_not_films() {
    refused(
        b"Dear colleague, please find enclosed",
        "this is not a film: found text that starts with 'Dear colleague, please f'",
    );
    refused(b"%PDF-1.7\n\x80\x81", "this is not a film: found a PDF");
    refused(
        b"PK\x03\x04\x14\0\0\0\x08\0",
        "this is not a film: found a ZIP archive",
    );
    refused(
        &[0xA7; 500],
        "this is not a film: found bytes of no known kind",
    );
}

#[test]
fn a_film_cut_anywhere_is_refused_or_complete() {
    let whole = example_bytes();
    for keep in (1..whole.len()).step_by(37) {
        let error = open(&whole[..keep], &Limits::default()).expect_err("a part is no film");
        says_what_is_needed(&error.to_string());
    }
    refused(
        &whole[..whole.len() - 1],
        "the file ends too early: the picture of 96 × 64 pixels needs 12288 bytes and 12287 are there",
    );
}

#[test]
fn a_header_of_a_hundred_thousand_by_a_hundred_thousand() {
    // A DICOM size has 16 bits; the largest header that can be written is refused by its pixels.
    let bytes = changed(|o| {
        set(o, tags::ROWS, VR::US, 65_535_u16);
        set(o, tags::COLUMNS, VR::US, 65_535_u16);
    });
    refused(
        &bytes,
        "the file says 65535 × 65535 pixels and at most 64000000 pixels are taken",
    );
    // Written in a wider form it says 100,000 and is refused before anything is allocated.
    let bytes = changed(|o| {
        set(o, tags::ROWS, VR::UL, 100_000_u32);
        set(o, tags::COLUMNS, VR::UL, 100_000_u32);
    });
    refused(
        &bytes,
        "the file says 100000 × 100000 pixels and at most 64000000 pixels are taken",
    );
    refused(
        &png_header(100_000, 100_000),
        "the file says 100000 × 100000 pixels",
    );
}

/// A PNG that is only a header with a right checksum, and a few bytes of data.
fn png_header(width: u32, height: u32) -> Vec<u8> {
    let mut chunk = b"IHDR".to_vec();
    chunk.extend(width.to_be_bytes());
    chunk.extend(height.to_be_bytes());
    chunk.extend([16, 0, 0, 0, 0]);
    let mut out = vec![0x89, b'P', b'N', b'G', 13, 10, 26, 10, 0, 0, 0, 13];
    out.extend(&chunk);
    out.extend(crc(&chunk).to_be_bytes());
    let data = b"IDAT\x78\x9c\x03\x00\x00\x00\x00\x01";
    out.extend(8_u32.to_be_bytes());
    out.extend(data);
    out.extend(crc(data).to_be_bytes());
    out
}

fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| {
            if c & 1 == 1 {
                c >> 1 ^ 0xEDB8_8320
            } else {
                c >> 1
            }
        })
    })
}

#[test]
fn a_file_larger_than_the_limit() {
    let limits = Limits {
        max_file_bytes: 1000,
        ..Limits::default()
    };
    refused_within(&example_bytes(), &limits, "the file has ");
}

#[test]
fn a_deflated_bomb() {
    // A data set whose pixel data are all zero deflates about a thousandfold.
    let bytes = altered(uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN, |o| {
        o.put(dicom_core::DataElement::new(
            tags::PIXEL_DATA,
            VR::OW,
            PrimitiveValue::U16(vec![0_u16; 4_000_000].into()),
        ));
    });
    assert!(bytes.len() < 100_000, "{} bytes", bytes.len());
    let limits = Limits {
        max_inflated_bytes: 1_000_000,
        ..Limits::default()
    };
    refused_within(
        &bytes,
        &limits,
        "the compressed file grows beyond 1000000 bytes when unpacked",
    );
}

#[test]
fn a_png_bomb_is_bounded_by_its_header() {
    let limits = Limits {
        max_pixels: 10_000,
        ..Limits::default()
    };
    let png = film::encode_png16(&vec![0; 1_000_000], 1000, 1000).unwrap();
    refused_within(
        &png,
        &limits,
        "the file says 1000 × 1000 pixels and at most 10000 pixels",
    );
}

#[test]
fn colour() {
    let bytes = changed(|o| {
        set(o, tags::PHOTOMETRIC_INTERPRETATION, VR::CS, "RGB");
        set(o, tags::SAMPLES_PER_PIXEL, VR::US, 3_u16);
    });
    refused(
        &bytes,
        "the picture is in colour ('RGB'); expected a grey radiograph",
    );
    let mut png = Vec::new();
    image::RgbImage::from_fn(8, 8, |x, _| image::Rgb([x as u8 * 20, 10, 200]))
        .write_to(&mut std::io::Cursor::new(&mut png), image::ImageFormat::Png)
        .unwrap();
    refused(
        &png,
        "the picture is in colour (red, green and blue differ)",
    );
}

#[test]
fn several_frames() {
    let bytes = changed(|o| set(o, tags::NUMBER_OF_FRAMES, VR::IS, "12"));
    refused(&bytes, "the file holds 12 frames; expected a single film");
}

#[test]
fn a_segmentation_of_one_bit() {
    let bytes = changed(|o| {
        set(o, tags::BITS_ALLOCATED, VR::US, 1_u16);
        set(o, tags::BITS_STORED, VR::US, 1_u16);
    });
    refused(
        &bytes,
        "the picture has one bit for each pixel (a segmentation or mask)",
    );
}

#[test]
fn a_dose_map_of_thirty_two_bits() {
    let bytes = changed(|o| set(o, tags::BITS_ALLOCATED, VR::US, 32_u16));
    refused(
        &bytes,
        "the picture has 32 bits for each pixel; expected a grey radiograph of 8 to 16 bits",
    );
}

#[test]
fn no_picture() {
    let bytes = changed(|o| {
        o.remove_element(tags::PIXEL_DATA);
    });
    refused(
        &bytes,
        "the file holds no picture (a 'DX' object without pixel data)",
    );
    let bytes = changed(|o| {
        o.remove_element(tags::ROWS);
    });
    refused(
        &bytes,
        "the file holds no picture (it does not say its rows)",
    );
    let bytes = changed(|o| set(o, tags::ROWS, VR::US, 0_u16));
    refused(&bytes, "the file holds no picture (96 × 0 pixels)");
}

#[test]
fn more_bits_stored_than_allocated() {
    let bytes = changed(|o| set(o, tags::BITS_STORED, VR::US, 17_u16));
    refused(&bytes, "the film's BitsStored says 17; expected 1 to 16");
}

#[test]
fn a_packing_that_is_not_unpacked() {
    let bytes = example_bytes();
    let uid = b"1.2.840.10008.1.2.1\0";
    let at = bytes.windows(uid.len()).position(|w| w == uid).unwrap();
    let mut bytes = bytes;
    bytes[at..at + uid.len()].copy_from_slice(b"1.2.840.10008.1.2.9\0");
    refused(
        &bytes,
        "the film is packed as '1.2.840.10008.1.2.9', which this program does not unpack",
    );
}

#[test]
fn sequences_nested_without_end_do_not_exhaust_the_stack() {
    for undefined in [true, false] {
        let mut bytes = example_bytes();
        let depth = 60_000_u32;
        let mut nest = Vec::new();
        for level in 0..depth {
            let inside = (depth - level - 1) * 20 + 8;
            let (sequence, item) = if undefined {
                (!0, !0)
            } else {
                (inside, inside - 8)
            };
            nest.extend([0x08, 0, 0x15, 0x11, b'S', b'Q', 0, 0]);
            nest.extend(u32::to_le_bytes(sequence));
            nest.extend([0xFE, 0xFF, 0x00, 0xE0]);
            nest.extend(u32::to_le_bytes(item));
        }
        let at = bytes
            .windows(4)
            .position(|w| w == [0x08, 0, 0x16, 0])
            .unwrap();
        bytes.splice(at..at, nest);
        refused(
            &bytes,
            "this is not a film: found sequences nested more than 16 deep",
        );
    }
}

#[test]
fn an_open_length_on_an_unknown_element_asks_for_no_memory() {
    // (0009,1010) UN of open length, with an empty sequence inside: once a request for 4 GiB.
    let mut bytes = example_bytes();
    let mut strange = vec![0x09, 0, 0x10, 0x10, b'U', b'N', 0, 0];
    strange.extend(u32::MAX.to_le_bytes());
    strange.extend([0xFE, 0xFF, 0xDD, 0xE0, 0, 0, 0, 0]);
    // The same inside a sequence that is read.
    let item_length = (strange.len() as u32).to_le_bytes();
    let mut nested = vec![0x08, 0, 0x18, 0x22, b'S', b'Q', 0, 0];
    nested.extend((strange.len() as u32 + 8).to_le_bytes());
    nested.extend([0xFE, 0xFF, 0x00, 0xE0]);
    nested.extend(item_length);
    nested.extend(&strange);
    let group_10 = bytes
        .windows(6)
        .position(|w| w == [0x10, 0, 0x10, 0, b'P', b'N'])
        .unwrap();
    bytes.splice(group_10..group_10, [nested, strange].concat());
    let start = Instant::now();
    let film = open(&bytes, &Limits::default()).expect("what nobody reads does no harm");
    assert_eq!(film.width, example().width);
    assert!(
        start.elapsed() < Duration::from_secs(1),
        "{:?}",
        start.elapsed()
    );
}

#[test]
fn a_number_cut_in_half_does_not_make_the_parser_lose_step() {
    // SamplesPerPixel as a float of two bytes: once the next element was taken for a huge length.
    let mut bytes = example_bytes();
    let at = bytes
        .windows(6)
        .position(|w| w == [0x28, 0, 0x02, 0, b'U', b'S'])
        .unwrap();
    bytes[at + 4..at + 6].copy_from_slice(b"FL");
    let start = Instant::now();
    let film = open(&bytes, &Limits::default()).expect("one value is the usual number");
    assert_eq!(film.width, example().width);
    assert!(
        start.elapsed() < Duration::from_secs(1),
        "{:?}",
        start.elapsed()
    );
}

#[test]
fn a_damaged_picture_inside_a_good_png_jpeg_and_tiff() {
    let mut png = film::encode_png8(&vec![90; 10_000], 100, 100).unwrap();
    let middle = png.len() / 2;
    png.truncate(middle);
    refused(&png, "the picture data are damaged");
    refused(
        &[0xFF, 0xD8, 0xFF, 0xE0, 0, 4, 0, 0, 0xFF, 0xD9],
        "the picture data are damaged",
    );
    refused(b"II\x2a\0\xff\xff\xff\xff", "the picture data are damaged");
}

#[track_caller]
fn scale_refused(bytes: &[u8], part: &str) -> Film {
    let film = open(bytes, &Limits::default()).expect("the film opens all the same");
    match choose(&film.spacing, &ScaleWish::File { object: None }) {
        ScaleAnswer::Unknown { reason, .. } => {
            tell(&reason);
            assert!(reason.contains(part), "{reason}");
        }
        known => panic!("{known:?}"),
    }
    film
}

#[test]
fn a_spacing_of_zero_nan_or_below_zero_refuses_millimetres_and_opens_the_film() {
    let with = |spacing: &'static str| {
        changed(|o| {
            o.remove_element(tags::IMAGER_PIXEL_SPACING);
            set(o, tags::PIXEL_SPACING, VR::DS, spacing);
        })
    };
    scale_refused(&with("0\\0"), "PixelSpacing is 0 by 0 (not above zero)");
    scale_refused(
        &with("NaN\\0.15"),
        "PixelSpacing is NaN by 0.15 (not a number)",
    );
    scale_refused(
        &with("-0.15\\0.15"),
        "PixelSpacing is -0.15 by 0.15 (not above zero)",
    );
    scale_refused(&with("0.15"), "PixelSpacing has 1 numbers instead of two");
    scale_refused(&with("150\\150"), "no radiograph has pixels of that size");
    let film = scale_refused(&with(""), "the file gives no pixel spacing");
    assert_eq!(film.width, example().width);
}

#[test]
fn an_unreadable_number_of_frames_is_noted_and_the_film_opens() {
    let bytes = changed(|o| set(o, tags::NUMBER_OF_FRAMES, VR::IS, "1A"));
    let film = open(&bytes, &Limits::default()).unwrap();
    assert!(
        film.notes
            .iter()
            .any(|n| n.contains("number of frames cannot be read"))
    );
}

#[test]
fn a_side_that_contradicts_the_description_is_noted() {
    let bytes = changed(|o| set(o, tags::SERIES_DESCRIPTION, VR::LO, "right foot lateral"));
    let film = open(&bytes, &Limits::default()).unwrap();
    assert_eq!(film.header.side, Some(terms::Side::Left));
    assert!(
        film.notes.iter().any(|n| n
            .starts_with("the side is left from ImageLaterality but its description says right")),
        "{:?}",
        film.notes
    );
}

#[test]
fn a_window_without_width_is_noted_and_left_out() {
    let bytes = changed(|o| set(o, tags::WINDOW_WIDTH, VR::DS, "0"));
    let film = open(&bytes, &Limits::default()).unwrap();
    assert!(
        film.notes
            .iter()
            .any(|n| n.contains("window is no usable pair of numbers"))
    );
    assert_eq!(film.display8(film.default_window()).len(), 96 * 64);
}
