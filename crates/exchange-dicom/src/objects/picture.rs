//! An annotated film as a picture in colour: Secondary Capture (PS3.3 A.8.1), for readers that draw nothing over a
//! film themselves.

use super::about::{About, SourceFilm};
use super::build::Build;
use super::{Made, MakeError};
use crate::send::web::{self, Head};
use crate::uids::Uids;
use dicom_core::VR;
use dicom_dictionary_std::{tags, uids};
use image::ImageFormat;
use std::io::Cursor;
use terms::Side;

/// Most pixels of a picture.
const MOST_PIXELS: u64 = 64_000_000;

/// Pixels in colour, row by row, three bytes each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rgb {
    pub width: u16,
    pub height: u16,
    pub pixels: Vec<u8>,
}

impl Rgb {
    /// # Errors
    /// Damage, or more pixels than a film has.
    pub fn of_png(png: &[u8]) -> Result<Self, MakeError> {
        let bad = || MakeError::Picture;
        let mut reader = image::ImageReader::with_format(Cursor::new(png), ImageFormat::Png);
        let mut limits = image::Limits::default();
        limits.max_image_width = Some(u32::from(u16::MAX));
        limits.max_image_height = Some(u32::from(u16::MAX));
        limits.max_alloc = Some(MOST_PIXELS * 8);
        reader.limits(limits);
        let picture = reader.decode().map_err(|_| bad())?.into_rgb8();
        let (width, height) = picture.dimensions();
        Ok(Self {
            width: u16::try_from(width).map_err(|_| bad())?,
            height: u16::try_from(height).map_err(|_| bad())?,
            pixels: picture.into_raw(),
        })
    }
}

/// What a picture is made of.
pub struct PictureOf<'a> {
    pub about: &'a About,
    /// The film it was drawn from, where that is a DICOM object.
    pub film: Option<&'a SourceFilm>,
    pub side: Option<Side>,
    pub description: &'a str,
    /// Name or number of the person can be read in the picture.
    pub names_in_picture: bool,
}

/// # Errors
/// A picture whose bytes are not three for each pixel.
pub fn picture(of: &PictureOf<'_>, picture: Rgb, uids: &mut dyn Uids) -> Result<Made, MakeError> {
    let Rgb {
        width,
        height,
        mut pixels,
    } = picture;
    let whole = u64::from(width) * u64::from(height);
    if whole == 0 || whole > MOST_PIXELS || pixels.len() as u64 != whole * 3 {
        return Err(MakeError::Picture);
    }
    let (series, instance) = (uids.uid(), uids.uid());
    let mut b = without_pixels(of, &series)?;
    b.us(tags::ROWS, height);
    b.us(tags::COLUMNS, width);
    pixels.resize(pixels.len().next_multiple_of(2), 0);
    b.raw(tags::PIXEL_DATA, VR::OB, pixels);
    Ok(Made::of(
        b,
        uids::SECONDARY_CAPTURE_IMAGE_STORAGE,
        instance,
        series,
    ))
}

/// What [`picture`] would be, with the same identifiers, before anything is drawn: rows and columns are not known yet.
///
/// # Errors
/// An identifier without form.
pub fn picture_head(of: &PictureOf<'_>, uids: &mut dyn Uids) -> Result<Head, MakeError> {
    let (series, instance) = (uids.uid(), uids.uid());
    let b = without_pixels(of, &series)?;
    let made = Made::of(b, uids::SECONDARY_CAPTURE_IMAGE_STORAGE, instance, series);
    web::head(&made.file).ok().flatten().ok_or(MakeError::Uid {
        what: "the picture",
    })
}

fn without_pixels(of: &PictureOf<'_>, series: &str) -> Result<Build, MakeError> {
    let mut b = of.about.start("OT", series, of.description, of.side)?;
    b.words(tags::CONVERSION_TYPE, VR::CS, "WSD");
    b.words(tags::IMAGE_TYPE, VR::CS, "DERIVED\\SECONDARY");
    b.words(tags::PATIENT_ORIENTATION, VR::CS, "");
    b.date(tags::CONTENT_DATE, Some(of.about.made_at.date()));
    b.time(tags::CONTENT_TIME, Some(of.about.made_at.time()));
    let burned = if of.names_in_picture { "YES" } else { "NO" };
    b.words(tags::BURNED_IN_ANNOTATION, VR::CS, burned);
    b.words(tags::LOSSY_IMAGE_COMPRESSION, VR::CS, "00");
    b.text(
        tags::DERIVATION_DESCRIPTION,
        VR::ST,
        "Film with the lines and values of its readings drawn over it",
    );
    if let Some(film) = of.film {
        b.items(
            tags::SOURCE_IMAGE_SEQUENCE,
            vec![Build::reference(&film.class_uid, &film.instance_uid)],
        );
    }
    b.us(tags::SAMPLES_PER_PIXEL, 3);
    b.words(tags::PHOTOMETRIC_INTERPRETATION, VR::CS, "RGB");
    b.us(tags::PLANAR_CONFIGURATION, 0);
    b.us(tags::BITS_ALLOCATED, 8);
    b.us(tags::BITS_STORED, 8);
    b.us(tags::HIGH_BIT, 7);
    b.us(tags::PIXEL_REPRESENTATION, 0);
    Ok(b)
}
