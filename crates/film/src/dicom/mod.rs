//! A DICOM file to a film.
//!
//! Our own walk finds the parts and holds every length against the bytes (`walk`), dicom-rs parses
//! the attributes, and the picture is unpacked here (`pixels`) or by dicom-rs' codecs.

mod codestream;
mod facts;
mod j2k;
mod jpegls;
mod lossless;
mod pixels;
mod rle;
mod syntax;
mod told;
mod tones;
mod value;
mod walk;
mod wanted;

use crate::error::quote;
use crate::{Film, FilmError, Limits};
use dicom_dictionary_std::tags;
use dicom_object::InMemDicomObject;
use dicom_transfer_syntax_registry::entries;
use std::borrow::Cow;
use syntax::Packing;
use walk::Encoding;

pub(crate) fn open(bytes: &[u8], limits: &Limits) -> Result<Film, FilmError> {
    let meta = walk::meta(bytes)?.ok_or_else(|| FilmError::NotAFilm {
        found: walk::describe(bytes),
    })?;
    let mut notes = Vec::new();
    let packing = match &meta.transfer_syntax {
        Some(uid) => Packing::of(uid)?,
        None => {
            notes.push(
                "the file does not say how it is written; its bytes were taken at face value"
                    .to_owned(),
            );
            Packing::Native { big_endian: false }
        }
    };
    let (data, start): (Cow<'_, [u8]>, usize) = if packing == Packing::Deflated {
        (
            Cow::Owned(syntax::inflate(bytes, meta.data_set_at, limits)?),
            0,
        )
    } else {
        (Cow::Borrowed(bytes), meta.data_set_at)
    };
    let encoding = walk::sniff(
        data.get(start..).unwrap_or_default(),
        Encoding {
            explicit: meta
                .transfer_syntax
                .as_deref()
                .is_some_and(|uid| uid != syntax::IMPLICIT),
            big_endian: matches!(packing, Packing::Native { big_endian: true }),
        },
    );
    let layout = walk::layout(&data, start, encoding)?;
    let wanted: Vec<&[u8]> = layout
        .header
        .iter()
        .filter_map(|range| data.get(range.clone()))
        .collect();
    let object = parse(&wanted.concat(), encoding)?;
    let Some(place) = &layout.pixels else {
        return Err(no_pixels(&object, layout.float_pixels));
    };
    let (shape, samples) =
        pixels::read(&object, &data, place, packing, encoding, limits, &mut notes)?;
    let tone = tones::read(&object, &shape, &mut notes);
    let header = facts::header(&object, packing, &shape, &mut notes);
    let spacing = facts::spacing(&object);
    Ok(Film {
        width: shape.width,
        height: shape.height,
        samples,
        header,
        spacing,
        notes,
        tone,
    })
}

fn parse(data_set: &[u8], encoding: Encoding) -> Result<InMemDicomObject, FilmError> {
    let syntax = match (encoding.explicit, encoding.big_endian) {
        (false, _) => entries::IMPLICIT_VR_LITTLE_ENDIAN.erased(),
        (true, false) => entries::EXPLICIT_VR_LITTLE_ENDIAN.erased(),
        (true, true) => entries::EXPLICIT_VR_BIG_ENDIAN.erased(),
    };
    InMemDicomObject::read_dataset_with_ts(data_set, &syntax).map_err(|error| {
        // The library's own words name positions and tags, never values.
        FilmError::Damaged {
            found: quote(&error.to_string()),
            expected: "DICOM",
        }
    })
}

fn no_pixels(object: &InMemDicomObject, float_pixels: bool) -> FilmError {
    if float_pixels {
        return FilmError::Depth {
            found: "floating-point values".to_owned(),
        };
    }
    let what = match value::first_text(object, tags::MODALITY) {
        Some(modality) => format!("a {} object without pixel data", quote(&modality)),
        None => "a DICOM object without pixel data".to_owned(),
    };
    FilmError::NoPixels { what }
}
