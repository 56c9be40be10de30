//! A film of an invented flat foot with its true points, as the film desk would hand it over.

use figure::of_reading::{OverlayWish, overlay};
use phantom::expose::{Exposure, expose};
use phantom::{FootSpec, Pose, build};
use quantity::PixelScale;
use reading::{FilmFacts, PointSet, ReadingSheet};
use std::error::Error;
use terms::{Side, Stance, View};

/// Points, facts and the grey film as PNG.
pub fn flat_foot_film() -> Result<(PointSet, FilmFacts, Vec<u8>), Box<dyn Error>> {
    let mut spec = FootSpec::adult();
    spec.side = Side::Left;
    spec.pose = Pose::arch_collapse(0.7);
    let exposure = Exposure::usual(View::Lateral);
    let film = expose(&build(&spec)?, &exposure)?;
    let points = PointSet::at_places(View::Lateral, Some(Side::Left), &film.landmarks_px);
    let (width, height) = (film.width as u32, film.height as u32);
    let mm = film.detector_spacing_mm / film.magnification;
    let facts = FilmFacts {
        scale: Some(PixelScale {
            mm_per_px_x: mm,
            mm_per_px_y: mm,
            relative_standard_error: 0.01,
        }),
        stance: Stance::Standing,
        ..FilmFacts::of_size(width, height)
    };
    let shift = film.exposure.tone.bits_stored - 8;
    let grey: Vec<u8> = film.pixels.iter().map(|p| (p >> shift) as u8).collect();
    Ok((points, facts, ::film::encode_png8(&grey, width, height)?))
}

/// The film with points and the leading lines, 1200 pixels wide.
pub fn annotated(
    points: &PointSet,
    sheet: &ReadingSheet,
    film_png: &[u8],
) -> Result<Vec<u8>, Box<dyn Error>> {
    let knowledge = knowledge::Knowledge::built_in();
    // Width and height stand in the first chunk of every PNG file.
    let at = |i: usize| -> Option<f64> {
        let bytes: [u8; 4] = film_png.get(i..i + 4)?.try_into().ok()?;
        Some(f64::from(u32::from_be_bytes(bytes)))
    };
    let size = at(16).zip(at(20)).ok_or("found no PNG file")?;
    let leading = |r: &reading::Reading| ["meary_lat", "calc_pitch"].contains(&r.measure.as_str());
    let wish = OverlayWish {
        title: "Lateral film of an invented foot".into(),
        shown_size: size,
        pen: size.0 / 700.0,
        shown_from_film: &|p| p,
        emphasised: &leading,
        labelled: &leading,
        with_points: true,
        active: None,
    };
    let model = overlay(knowledge, points, sheet, &wish);
    Ok(figure::annotated_film_png(film_png, &model, 1200)?)
}
