//! Films in: every packing, depth and table gives the grey that the standard defines.
//!
//! JPEG 2000 has no encoder here; it is held against a second reader in `checks/film`.

mod common;

use common::invented::picture;
use common::{altered, example, set};
use dicom_core::value::{DataSetSequence, PixelFragmentSequence, PrimitiveValue};
use dicom_core::{DataElement, VR};
use dicom_dictionary_std::{tags, uids};
use dicom_object::InMemDicomObject;
use film::{Film, Limits, Samples, Told, Window, open};
use terms::{Side, Stance, View};

const EXPLICIT: &str = uids::EXPLICIT_VR_LITTLE_ENDIAN;
/// Retired from the standard, still in old archives.
const BIG_ENDIAN: &str = "1.2.840.10008.1.2.2";

#[track_caller]
fn opened(bytes: &[u8]) -> Film {
    open(bytes, &Limits::default()).expect("the film opens")
}

fn fragment(object: &mut InMemDicomObject, bytes: Vec<u8>) {
    let fragments = PixelFragmentSequence::new(Vec::new(), vec![bytes]);
    object.put(DataElement::new(tags::PIXEL_DATA, VR::OB, fragments));
}

#[test]
fn implicit_explicit_big_endian_and_deflated_give_the_same_values() {
    for syntax in [
        uids::IMPLICIT_VR_LITTLE_ENDIAN,
        EXPLICIT,
        BIG_ENDIAN,
        uids::DEFLATED_EXPLICIT_VR_LITTLE_ENDIAN,
    ] {
        let film = opened(&altered(syntax, |_| {}));
        assert_eq!(
            film.samples,
            Samples::Unsigned(example().pixels),
            "{syntax}"
        );
        assert_eq!(film.header.view, Some(View::Lateral), "{syntax}");
        assert_eq!(film.header.stance, Stance::Standing, "{syntax}");
    }
}

#[test]
fn a_film_without_preamble_or_meta_group_opens() {
    for syntax in [uids::IMPLICIT_VR_LITTLE_ENDIAN, EXPLICIT] {
        let whole = altered(syntax, |_| {});
        let data_set = whole
            .windows(4)
            .position(|w| w == [0x08, 0, 0x05, 0])
            .unwrap();
        let bare = opened(&whole[data_set..]);
        assert_eq!(bare.samples, Samples::Unsigned(example().pixels));
        let without_preamble = opened(&whole[132..]);
        assert_eq!(
            without_preamble.samples,
            Samples::Unsigned(example().pixels)
        );
    }
}

/// A plain RLE packer: literal runs only, and one repeated run at the end of each line.
fn rle(pixels: &[u16]) -> Vec<u8> {
    let plane = |byte: fn(u16) -> u8| {
        let mut out = Vec::new();
        for run in pixels.chunks(100) {
            let (last, first) = run.split_last().unwrap();
            if !first.is_empty() {
                out.push(first.len() as u8 - 1);
                out.extend(first.iter().map(|p| byte(*p)));
            }
            out.extend([0, byte(*last)]);
        }
        out
    };
    let (high, low) = (plane(|p| (p >> 8) as u8), plane(|p| p as u8));
    let mut out = vec![0_u8; 64];
    out[0] = 2;
    out[4..8].copy_from_slice(&64_u32.to_le_bytes());
    out[8..12].copy_from_slice(&(64 + high.len() as u32).to_le_bytes());
    out.extend(high);
    out.extend(low);
    out
}

#[test]
fn rle_gives_the_same_values() {
    let bytes = altered(uids::RLE_LOSSLESS, |o| fragment(o, rle(&example().pixels)));
    assert_eq!(opened(&bytes).samples, Samples::Unsigned(example().pixels));
}

#[test]
fn jpeg_ls_streams_of_an_outside_encoder_unpack_within_their_stated_error() {
    let streams: [(u16, u16, &[u8]); 5] = [
        (8, 0, include_bytes!("data/8-bits-near-0.jls")),
        (8, 2, include_bytes!("data/8-bits-near-2.jls")),
        (12, 0, include_bytes!("data/12-bits-near-0.jls")),
        (12, 3, include_bytes!("data/12-bits-near-3.jls")),
        (16, 0, include_bytes!("data/16-bits-near-0.jls")),
    ];
    for (bits, near, stream) in streams {
        let bytes = altered(uids::JPEGLS_LOSSLESS, |o| {
            set(
                o,
                tags::BITS_ALLOCATED,
                VR::US,
                if bits == 8 { 8_u16 } else { 16 },
            );
            set(o, tags::BITS_STORED, VR::US, bits);
            set(o, tags::HIGH_BIT, VR::US, bits - 1);
            fragment(o, stream.to_vec());
        });
        let Samples::Unsigned(values) = opened(&bytes).samples else {
            panic!("unsigned")
        };
        let truth = picture(96, 64, bits);
        let off = values.iter().zip(&truth).map(|(a, b)| a.abs_diff(*b)).max();
        assert_eq!(values.len(), truth.len());
        assert!(
            off <= Some(near),
            "{bits} bits, stated error {near}: {off:?}"
        );
    }
}

#[test]
fn twelve_bit_jpeg_is_near_and_noted_as_lossy() {
    let film = example();
    let samples: Vec<i16> = film.pixels.iter().map(|p| *p as i16).collect();
    let packed = libjpeg_turbo_rs::precision::compress_12bit(
        &samples,
        film.width as usize,
        film.height as usize,
        1,
        100,
        libjpeg_turbo_rs::Subsampling::S444,
    )
    .unwrap();
    let bytes = altered(uids::JPEG_EXTENDED12_BIT, |o| fragment(o, packed));
    let back = opened(&bytes);
    let Samples::Unsigned(values) = &back.samples else {
        panic!("unsigned")
    };
    let off = values
        .iter()
        .zip(&film.pixels)
        .map(|(a, b)| a.abs_diff(*b))
        .max();
    assert!(off <= Some(4), "{off:?}");
    assert!(back.notes.iter().any(|n| n.contains("packed with loss")));
}

#[test]
fn eight_bit_jpeg_and_lossless_jpeg_open() {
    let grey: Vec<u8> = example().pixels.iter().map(|p| (p >> 4) as u8).collect();
    let eight = |o: &mut InMemDicomObject| {
        set(o, tags::BITS_ALLOCATED, VR::US, 8_u16);
        set(o, tags::BITS_STORED, VR::US, 8_u16);
        set(o, tags::HIGH_BIT, VR::US, 7_u16);
    };
    let mut packed = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut packed, 98)
        .encode(&grey, 96, 64, image::ExtendedColorType::L8)
        .unwrap();
    let film = opened(&altered(uids::JPEG_BASELINE8_BIT, |o| {
        eight(o);
        fragment(o, packed);
    }));
    let off = |i: usize| film.samples.get(i).unwrap().abs_diff(i32::from(grey[i]));
    assert!((0..grey.len()).map(off).max() <= Some(6));

    let packed = libjpeg_turbo_rs::compress_lossless(
        &grey,
        96,
        64,
        libjpeg_turbo_rs::PixelFormat::Grayscale,
    )
    .unwrap();
    let film = opened(&altered(uids::JPEG_LOSSLESS_SV1, |o| {
        eight(o);
        fragment(o, packed);
    }));
    let wide = grey.iter().map(|g| u16::from(*g)).collect();
    assert_eq!(film.samples, Samples::Unsigned(wide));
}

#[test]
fn lossless_jpeg_gives_the_same_values_for_every_predictor_shift_and_restart() {
    use libjpeg_turbo_rs::{Encoder, PixelFormat, precision};
    let lossless = |packed: Vec<u8>, bits: u16| {
        opened(&altered(uids::JPEG_LOSSLESS, |o| {
            set(o, tags::BITS_ALLOCATED, VR::US, bits);
            set(o, tags::BITS_STORED, VR::US, bits);
            set(o, tags::HIGH_BIT, VR::US, bits - 1);
            fragment(o, packed);
        }))
        .samples
    };
    let deep = picture(96, 64, 16);
    for predictor in 1..=7 {
        let packed = precision::compress_16bit(&deep, 96, 64, 1, predictor, 0).unwrap();
        assert_eq!(
            lossless(packed, 16),
            Samples::Unsigned(deep.clone()),
            "predictor {predictor}"
        );
    }
    let packed = precision::compress_16bit(&deep, 96, 64, 1, 1, 3).unwrap();
    let shifted = deep.iter().map(|v| v >> 3 << 3).collect();
    assert_eq!(lossless(packed, 16), Samples::Unsigned(shifted));

    let shallow: Vec<u8> = picture(96, 64, 8).iter().map(|v| *v as u8).collect();
    let packed = Encoder::new(&shallow, 96, 64, PixelFormat::Grayscale)
        .lossless(true)
        .lossless_predictor(4)
        .restart_rows(8)
        .encode()
        .unwrap();
    assert!(
        packed.windows(2).any(|w| w == [0xFF, 0xD0]),
        "the stream has restart markers"
    );
    let wide = shallow.iter().map(|v| u16::from(*v)).collect();
    assert_eq!(lossless(packed, 8), Samples::Unsigned(wide));
}

#[test]
fn a_stream_whose_size_contradicts_the_header_is_refused_before_it_is_unpacked() {
    let grey = vec![90_u8; 32 * 32];
    let mut packed = Vec::new();
    image::codecs::jpeg::JpegEncoder::new(&mut packed)
        .encode(&grey, 32, 32, image::ExtendedColorType::L8)
        .unwrap();
    let bytes = altered(uids::JPEG_BASELINE8_BIT, |o| fragment(o, packed));
    let error = open(&bytes, &Limits::default()).unwrap_err().to_string();
    assert!(
        error.starts_with("the film's size says 96 × 64 and its picture 32 × 32"),
        "{error}"
    );
}

/// A film of four stored values in a row.
fn four(values: [u16; 4], change: impl FnOnce(&mut InMemDicomObject)) -> Film {
    opened(&altered(EXPLICIT, |o| {
        set(o, tags::ROWS, VR::US, 1_u16);
        set(o, tags::COLUMNS, VR::US, 4_u16);
        set(
            o,
            tags::PIXEL_DATA,
            VR::OW,
            PrimitiveValue::U16(values.as_slice().into()),
        );
        o.remove_element(tags::WINDOW_CENTER);
        o.remove_element(tags::WINDOW_WIDTH);
        change(o);
    }))
}

#[test]
fn a_signed_value_is_extended_from_the_bits_stored() {
    let film = four([0x0FFF, 0x0800, 0x07FF, 0xF001], |o| {
        set(o, tags::PIXEL_REPRESENTATION, VR::US, 1_u16);
    });
    assert_eq!(film.samples, Samples::Signed(vec![-1, -2048, 2047, 1]));
    assert_eq!(film.display16()[1], 0);
    assert_eq!(film.display16()[2], 65_535);
}

#[test]
fn bits_above_the_stored_ones_are_no_part_of_the_value() {
    let film = four([0xF123, 0x0123, 0x0000, 0x0FFF], |_| {});
    assert_eq!(
        film.samples,
        Samples::Unsigned(vec![0x123, 0x123, 0, 0xFFF])
    );
}

#[test]
fn monochrome1_is_turned_so_that_bone_is_bright() {
    let film = four([0, 1000, 2000, 4000], |o| {
        set(o, tags::PHOTOMETRIC_INTERPRETATION, VR::CS, "MONOCHROME1");
    });
    assert_eq!(film.display16(), [65_535, 49_151, 32_767, 0]);
    assert_eq!(film.display8(Window::FULL), [255, 191, 127, 0]);
}

#[test]
fn the_window_of_the_file_follows_the_standards_equations() {
    // PS3.3 C.11.2.1.2.1 LINEAR, centre 2048, width 4096: 0 → 0, 4095 → 255; and LINEAR_EXACT.
    let window = |function: &'static str, centre: &'static str, width: &'static str| {
        move |o: &mut InMemDicomObject| {
            set(o, tags::WINDOW_CENTER, VR::DS, centre);
            set(o, tags::WINDOW_WIDTH, VR::DS, width);
            set(o, tags::VOILUT_FUNCTION, VR::CS, function);
        }
    };
    let shown = |film: &Film| film.display8(film.default_window());
    let film = four([0, 1024, 2048, 4095], window("LINEAR", "2048", "4096"));
    assert_eq!(shown(&film), [0, 64, 128, 255]);
    // ((x − (c − 0.5)) / (w − 1) + 0.5) · 255 for c = 2000, w = 1001: black to 1499.5, white from 2499.5.
    let film = four([1499, 1500, 2000, 2500], window("LINEAR", "2000", "1001"));
    assert_eq!(shown(&film), [0, 0, 128, 255]);
    let film = four(
        [0, 1499, 2000, 2500],
        window("LINEAR_EXACT", "2000", "1000"),
    );
    assert_eq!(shown(&film), [0, 0, 128, 255]);
    // 1 / (1 + exp(−4 (x − c) / w)): at c ± w the curve is at 1/(1 + e⁴) = 0.017986.
    let film = four([1000, 2000, 3000, 2250], window("SIGMOID", "2000", "1000"));
    assert_eq!(shown(&film), [5, 128, 250, 186]);
}

#[test]
fn a_narrow_window_can_be_opened_again() {
    let film = four([0, 1000, 2000, 4000], |o| {
        set(o, tags::WINDOW_CENTER, VR::DS, "1500");
        set(o, tags::WINDOW_WIDTH, VR::DS, "1000");
    });
    assert_eq!(film.display8(film.default_window())[3], 255);
    assert_eq!(film.display8(Window::FULL), [0, 64, 128, 255]);
    let inverted = Window {
        invert: true,
        ..Window::FULL
    };
    assert_eq!(film.display8(inverted), [255, 191, 127, 0]);
}

fn table(first: u16, bits: u16, entries: &[u16]) -> InMemDicomObject {
    let descriptor = [entries.len() as u16, first, bits];
    InMemDicomObject::from_element_iter([
        DataElement::new(
            tags::LUT_DESCRIPTOR,
            VR::US,
            PrimitiveValue::U16(descriptor.as_slice().into()),
        ),
        DataElement::new(tags::LUT_DATA, VR::US, PrimitiveValue::U16(entries.into())),
        DataElement::new(tags::MODALITY_LUT_TYPE, VR::LO, "US"),
    ])
}

#[test]
fn rescale_modality_table_and_voi_table_are_applied() {
    let film = four([0, 1000, 2000, 4000], |o| {
        set(o, tags::RESCALE_SLOPE, VR::DS, "-1")
    });
    // 2000 lies exactly halfway and is rounded up.
    assert_eq!(film.display8(Window::FULL), [255, 191, 128, 0]);

    let modality = DataSetSequence::from(vec![table(10, 16, &[100, 300, 900, 1100])]);
    let film = four([9, 10, 12, 40], |o| {
        o.put(DataElement::new(
            tags::MODALITY_LUT_SEQUENCE,
            VR::SQ,
            modality,
        ));
    });
    // 100, 100, 900, 1100 over their own span.
    assert_eq!(film.display8(Window::FULL), [0, 0, 204, 255]);

    let voi = DataSetSequence::from(vec![table(1000, 8, &[0, 51, 255])]);
    let film = four([0, 1000, 1001, 1002], |o| {
        o.put(DataElement::new(tags::VOILUT_SEQUENCE, VR::SQ, voi));
    });
    assert_eq!(film.display8(film.default_window()), [0, 0, 51, 255]);
}

#[test]
fn padding_outside_the_plate_does_not_stretch_the_grey() {
    let film = four([0, 1000, 2000, 1500], |o| {
        set(o, tags::PIXEL_PADDING_VALUE, VR::US, 0_u16)
    });
    assert_eq!(film.display16(), [0, 0, 65_535, 32_768]);
}

#[test]
fn a_blank_film_has_one_grey_and_no_panic() {
    let film = four([700; 4], |_| {});
    assert_eq!(film.display16(), [0; 4]);
    assert_eq!(film.display8(film.default_window()).len(), 4);
}

#[test]
fn words_of_a_description_are_a_proposal_and_say_so() {
    let film = opened(&altered(EXPLICIT, |o| {
        for tag in [
            tags::VIEW_CODE_SEQUENCE,
            tags::VIEW_POSITION,
            tags::IMAGE_LATERALITY,
            tags::PATIENT_ORIENTATION_CODE_SEQUENCE,
        ] {
            o.remove_element(tag);
        }
        set(
            o,
            tags::SERIES_DESCRIPTION,
            VR::LO,
            "Foot RT DP weight-bearing",
        );
    }));
    let header = film.header;
    assert_eq!(
        (header.view, header.side),
        (Some(View::Dorsoplantar), Some(Side::Right))
    );
    assert_eq!(header.stance, Stance::Standing);
    for told in [header.view_told, header.side_told, header.stance_told] {
        let told = told.unwrap();
        assert!(matches!(told, Told::Description { .. }));
        assert_eq!(
            told.words(),
            "from the description: 'Foot RT DP weight-bearing'"
        );
    }
}

#[test]
fn a_film_that_does_not_say_how_it_was_taken_is_unknown() {
    let film = opened(&altered(EXPLICIT, |o| {
        for tag in [
            tags::VIEW_CODE_SEQUENCE,
            tags::PATIENT_ORIENTATION_CODE_SEQUENCE,
        ] {
            o.remove_element(tag);
        }
        set(o, tags::SERIES_DESCRIPTION, VR::LO, "foot");
    }));
    assert_eq!(film.header.stance, Stance::Unknown);
    assert_eq!(film.header.stance_told, None);
}

#[test]
fn grey_pictures_open_and_grey_colour_pictures_count_as_grey() {
    let deep: Vec<u16> = example().pixels;
    let film = opened(&film::encode_png16(&deep, 96, 64).unwrap());
    assert_eq!(film.samples, Samples::Unsigned(deep.clone()));
    assert_eq!(
        (film.header.view, film.header.side, film.header.stance),
        (None, None, Stance::Unknown)
    );

    let shallow: Vec<u8> = deep.iter().map(|p| (p >> 4) as u8).collect();
    let film = opened(&film::encode_png8(&shallow, 96, 64).unwrap());
    assert_eq!(film.samples.get(777), Some(i32::from(shallow[777])));

    let picture = image::DynamicImage::ImageLuma16(
        image::ImageBuffer::from_raw(96, 64, deep.clone()).unwrap(),
    );
    let saved = |picture: &image::DynamicImage, format| {
        let mut bytes = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut bytes, format).unwrap();
        bytes.into_inner()
    };
    let film = opened(&saved(&picture, image::ImageFormat::Tiff));
    assert_eq!(film.samples, Samples::Unsigned(deep));
    let in_colour = image::DynamicImage::ImageRgb8(picture.to_rgb8());
    assert_eq!(
        opened(&saved(&in_colour, image::ImageFormat::Png))
            .header
            .bits_stored,
        8
    );
    let jpeg = opened(&saved(&in_colour, image::ImageFormat::Jpeg));
    assert!(jpeg.notes.iter().any(|n| n.contains("packed with loss")));
}
