//! Thousands of damaged films, the same ones every time: each opens or is refused with a sentence, in
//! bounded time, and nothing panics past the crate.
//!
//! The coverage-guided search of the same door is `fuzz/`; it needs a nightly compiler.

mod common;

use common::invented::Dice;
use common::{altered, example, example_bytes, set};
use dicom_core::value::PixelFragmentSequence;
use dicom_core::{DataElement, VR};
use dicom_dictionary_std::{tags, uids};
use film::{Limits, open};
use std::time::{Duration, Instant};

fn seeds() -> Vec<(&'static str, Vec<u8>)> {
    let film = example();
    let eight: Vec<u8> = film.pixels.iter().map(|p| (p >> 4) as u8).collect();
    let twelve: Vec<i16> = film.pixels.iter().map(|p| *p as i16).collect();
    let fragment = |syntax: &str, bytes: Vec<u8>, deep: bool| {
        altered(syntax, |o| {
            if !deep {
                set(o, tags::BITS_ALLOCATED, VR::US, 8_u16);
                set(o, tags::BITS_STORED, VR::US, 8_u16);
                set(o, tags::HIGH_BIT, VR::US, 7_u16);
            }
            o.put(DataElement::new(
                tags::PIXEL_DATA,
                VR::OB,
                PixelFragmentSequence::new(Vec::new(), vec![bytes]),
            ));
        })
    };
    let mut jpeg = Vec::new();
    image::codecs::jpeg::JpegEncoder::new(&mut jpeg)
        .encode(&eight, 96, 64, image::ExtendedColorType::L8)
        .unwrap();
    let lossless = libjpeg_turbo_rs::compress_lossless(
        &eight,
        96,
        64,
        libjpeg_turbo_rs::PixelFormat::Grayscale,
    )
    .unwrap();
    let extended = libjpeg_turbo_rs::precision::compress_12bit(
        &twelve,
        96,
        64,
        1,
        90,
        libjpeg_turbo_rs::Subsampling::S444,
    )
    .unwrap();
    let jpeg_ls = include_bytes!("data/12-bits-near-0.jls").to_vec();
    let mut tiff = std::io::Cursor::new(Vec::new());
    image::DynamicImage::ImageLuma16(
        image::ImageBuffer::from_raw(96, 64, film.pixels.clone()).unwrap(),
    )
    .write_to(&mut tiff, image::ImageFormat::Tiff)
    .unwrap();
    vec![
        ("explicit", example_bytes()),
        ("implicit", altered(uids::IMPLICIT_VR_LITTLE_ENDIAN, |_| {})),
        ("big-endian", altered("1.2.840.10008.1.2.2", |_| {})),
        (
            "deflated",
            altered(uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN, |_| {}),
        ),
        (
            "JPEG",
            fragment(uids::JPEG_BASELINE8_BIT, jpeg.clone(), false),
        ),
        (
            "JPEG lossless",
            fragment(uids::JPEG_LOSSLESS_SV1, lossless, false),
        ),
        (
            "JPEG 12 bits",
            fragment(uids::JPEG_EXTENDED12_BIT, extended, true),
        ),
        ("JPEG-LS", fragment(uids::JPEGLS_LOSSLESS, jpeg_ls, true)),
        (
            "RLE of noise",
            fragment(uids::RLE_LOSSLESS, eight.clone(), false),
        ),
        (
            "JPEG 2000",
            altered(uids::JPEG2000_LOSSLESS, |o| {
                set(o, tags::ROWS, VR::US, 93_u16);
                set(o, tags::COLUMNS, VR::US, 131_u16);
                let stream = include_bytes!("data/16-bits-rpcl-precincts.j2k").to_vec();
                o.put(DataElement::new(
                    tags::PIXEL_DATA,
                    VR::OB,
                    PixelFragmentSequence::new(Vec::new(), vec![stream]),
                ));
            }),
        ),
        (
            "JPEG 2000 of noise",
            fragment(uids::JPEG2000_LOSSLESS, j2k_header(), true),
        ),
        ("PNG", film::encode_png16(&film.pixels, 96, 64).unwrap()),
        ("plain JPEG", jpeg),
        ("TIFF", tiff.into_inner()),
    ]
}

/// A right main header of 96 × 64 and nothing behind it.
fn j2k_header() -> Vec<u8> {
    let mut out = vec![0xFF, 0x4F, 0xFF, 0x51, 0, 41, 0, 0];
    for v in [96_u32, 64, 0, 0, 96, 64, 0, 0] {
        out.extend(v.to_be_bytes());
    }
    out.extend([0, 1, 11, 1, 1]);
    out.extend([0xFF, 0x52, 0, 12, 0, 0, 0, 1, 0, 1, 4, 4, 0, 1]);
    out.extend([0xFF, 0x5C, 0, 7, 0x40, 0x40, 0x48, 0x48, 0x50]);
    out.extend([
        0xFF, 0x90, 0, 10, 0, 0, 0, 0, 0, 0, 0, 1, 0xFF, 0x93, 1, 2, 3, 4, 0xFF, 0xD9,
    ]);
    out
}

fn damage(bytes: &mut Vec<u8>, dice: &mut Dice) {
    const PROVOKING: [u8; 6] = [0x00, 0xFF, 0x7F, 0x80, 0x01, 0xFE];
    for _ in 0..=dice.roll(6) {
        if bytes.is_empty() {
            return;
        }
        let at = match dice.roll(3) {
            // Most of what matters lies in the first kilobytes.
            0 => dice.roll(bytes.len()),
            _ => dice.roll(bytes.len().min(2048)),
        };
        match dice.roll(10) {
            1 => bytes[at] = PROVOKING[dice.roll(6)],
            2 => {
                let end = (at + 4).min(bytes.len());
                bytes[at..end].fill(PROVOKING[dice.roll(6)]);
            }
            3 if dice.roll(4) == 0 => bytes.truncate(at),
            4 => {
                let end = (at + dice.roll(64)).min(bytes.len());
                bytes.drain(at..end);
            }
            5 => {
                let end = (at + dice.roll(64)).min(bytes.len());
                let copy = bytes[at..end].to_vec();
                bytes.splice(at..at, copy);
            }
            _ => bytes[at] ^= 1 << dice.roll(8),
        }
    }
}

#[test]
fn fourteen_thousand_damaged_films_open_or_are_refused_in_bounded_time() {
    // Small, so that a header that lies about its size is refused and not merely slow.
    let limits = Limits {
        max_pixels: 200_000,
        max_file_bytes: 1 << 20,
        max_inflated_bytes: 1 << 20,
    };
    let mut dice = Dice(20_260_302);
    let seeds = seeds();
    let (mut opened, mut refused) = (0, 0);
    for round in 0..1000 {
        for (name, seed) in &seeds {
            let mut bytes = seed.clone();
            damage(&mut bytes, &mut dice);
            let start = Instant::now();
            match open(&bytes, &limits) {
                Ok(film) => {
                    opened += 1;
                    let pixels = film.width as usize * film.height as usize;
                    assert_eq!(film.samples.len(), pixels, "{name} {round}");
                    if round % 16 == 0 {
                        assert_eq!(film.display8(film.default_window()).len(), pixels);
                    }
                }
                Err(error) => {
                    refused += 1;
                    let sentence = error.to_string();
                    assert!(
                        sentence.len() < 400 && !sentence.contains('\n'),
                        "{name}: {sentence}"
                    );
                }
            }
            assert!(
                start.elapsed() < Duration::from_secs(3),
                "{name} {round}: {:?}",
                start.elapsed()
            );
        }
    }
    // Both doors must have been used, or the damage was too small or too large to say anything.
    assert!(
        opened > 2000 && refused > 2000,
        "{opened} opened, {refused} refused"
    );
    println!("{opened} opened, {refused} refused");
}
