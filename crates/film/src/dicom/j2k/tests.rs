//! Streams of an outside encoder (`checks/film/make_jpeg2000_fixtures.py`) against the numbers they were made
//! of and against a second decoder, and the same streams damaged.

use super::decode;
use invented::{Dice, picture};

#[path = "../../../tests/common/invented.rs"]
mod invented;

const WIDTH: usize = 131;
const HEIGHT: usize = 93;

macro_rules! stream {
    ($name:literal) => {
        (
            $name,
            include_bytes!(concat!("../../../tests/data/", $name, ".j2k")) as &[u8],
        )
    };
}

/// The second decoder's samples; it lifts signed ones by half their range.
fn second(stream: &[u8]) -> Vec<f32> {
    let settings = hayro_jpeg2000::DecodeSettings {
        resolve_palette_indices: false,
        strict: true,
        target_resolution: None,
    };
    let image = hayro_jpeg2000::Image::new(stream, &settings).unwrap();
    let mut context = hayro_jpeg2000::DecoderContext::default();
    let decoded = image.decode(&mut context).unwrap();
    decoded.components()[0].samples().to_vec()
}

fn largest_difference(ours: &[u16], theirs: &[f32], lift: i32) -> i32 {
    assert_eq!(ours.len(), theirs.len());
    let off = |(a, b): (&u16, &f32)| {
        let a = if lift == 0 {
            i32::from(*a)
        } else {
            i32::from(*a as i16) + lift
        };
        (a - b.round_ties_even().clamp(0.0, 65_535.0) as i32).abs()
    };
    ours.iter().zip(theirs).map(off).max().unwrap_or(0)
}

#[test]
fn lossless_streams_give_the_numbers_they_were_made_of() {
    for (bits, (name, bytes)) in [
        (16, stream!("16-bits")),
        (8, stream!("8-bits-tiles-off-the-grid")),
        (16, stream!("16-bits-layers-precincts-rlcp")),
        (16, stream!("16-bits-rpcl-precincts")),
        (16, stream!("16-bits-cprl-plt-jp2")),
        (8, stream!("8-bits-one-resolution")),
    ] {
        let ours = decode(bytes).unwrap_or_else(|| panic!("{name} was left to the other decoder"));
        assert!(ours == picture(WIDTH as u32, HEIGHT as u32, bits), "{name}");
    }
}

#[test]
fn signed_samples_keep_their_sign() {
    let (name, bytes) = stream!("12-bits-signed");
    let ours = decode(bytes).unwrap();
    let wanted = picture(WIDTH as u32, HEIGHT as u32, 12)
        .into_iter()
        .map(|v| (v as i16 - 1500) as u16);
    assert!(ours.iter().copied().eq(wanted), "{name}");
    assert_eq!(largest_difference(&ours, &second(bytes), 1 << 12), 0);
}

#[test]
fn a_reversible_stream_cut_short_is_rebuilt_as_the_second_decoder_rebuilds_it() {
    let (_, bytes) = stream!("16-bits-cut-short");
    let ours = decode(bytes).unwrap();
    assert_eq!(largest_difference(&ours, &second(bytes), 0), 0);
    let off = ours
        .iter()
        .zip(picture(WIDTH as u32, HEIGHT as u32, 16))
        .map(|(a, b)| a.abs_diff(b))
        .max();
    assert!(off > Some(0), "it was to be lossy");
}

#[test]
fn irreversible_streams_differ_by_at_most_one_grey_from_the_second_decoder() {
    // The 9-7 filter is computed in real numbers, whose order of operations differs (T.800 annex F).
    for (name, bytes) in [
        stream!("16-bits-irreversible"),
        stream!("8-bits-irreversible-tiles"),
    ] {
        let ours = decode(bytes).unwrap_or_else(|| panic!("{name} was left to the other decoder"));
        let off = largest_difference(&ours, &second(bytes), 0);
        assert!(off <= 1, "{name}: {off}");
    }
}

#[test]
fn damaged_streams_give_a_picture_of_the_right_size_or_are_left_to_the_other_decoder() {
    let streams = [
        stream!("16-bits"),
        stream!("8-bits-tiles-off-the-grid"),
        stream!("16-bits-layers-precincts-rlcp"),
        stream!("16-bits-rpcl-precincts"),
        stream!("16-bits-cprl-plt-jp2"),
        stream!("16-bits-cut-short"),
        stream!("8-bits-one-resolution"),
        stream!("16-bits-irreversible"),
        stream!("8-bits-irreversible-tiles"),
        stream!("12-bits-signed"),
    ];
    let mut dice = Dice(20_260_303);
    let (mut pictures, mut left) = (0, 0);
    for round in 0..400 {
        for (name, stream) in streams {
            let mut bytes = stream.to_vec();
            for _ in 0..=dice.roll(4) {
                // Most of what matters lies in the headers.
                let at = match dice.roll(3) {
                    0 => dice.roll(bytes.len()),
                    _ => dice.roll(bytes.len().min(220)),
                };
                match dice.roll(8) {
                    0 => bytes[at] = 0xFF,
                    1 => bytes[at] = 0,
                    2 => bytes.truncate(at.max(8)),
                    3 => {
                        bytes.drain(at..(at + dice.roll(9)).min(bytes.len()));
                    }
                    _ => bytes[at] ^= 1 << dice.roll(8),
                }
            }
            // The size is held against the header by whoever calls; so it is here.
            let head = super::super::codestream::jpeg2000(&bytes);
            let sound = head.filter(|h| h.width * h.height <= 100_000);
            let Some(head) = sound else { continue };
            match decode(&bytes) {
                Some(samples) => {
                    pictures += 1;
                    let size = (head.width * head.height) as usize;
                    assert_eq!(samples.len(), size, "{name} {round}");
                }
                None => left += 1,
            }
        }
    }
    // Both ways must have been gone, or the damage says nothing.
    assert!(pictures > 500 && left > 500, "{pictures} and {left}");
}

#[test]
fn a_stream_that_ends_anywhere_is_left_to_the_other_decoder() {
    let (_, bytes) = stream!("16-bits-layers-precincts-rlcp");
    for end in (0..bytes.len()).step_by(7) {
        assert_eq!(decode(&bytes[..end]), None, "{end}");
    }
}
