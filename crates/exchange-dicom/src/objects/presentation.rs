//! What is drawn over a film, as objects that another program lays over it: Grayscale Softcopy Presentation State
//! (PS3.3 A.33.1). The film itself stays as it is.
//!
//! Positions come in film pixels (the centre of the first pixel is 0, 0) and go out from the upper left corner of
//! the first pixel, half a pixel more (PS3.3 C.10.5.1.2; `unconfirmed`: not in a source at hand).

use super::about::{About, SourceFilm};
use super::build::{Build, reader_as_name};
use super::{Made, MakeError};
use crate::uids::Uids;
use dicom_core::VR;
use dicom_dictionary_std::{tags, uids};
use reading::ReadingSheet;
use record::DisplayTurn;
use terms::{MeasureKey, Side};

const LAYER: &str = "READINGS";
const MOST_OBJECTS: usize = 2_000;
const MOST_POINTS: usize = 2_000;
/// Steps of an arc.
const STEPS: usize = 24;

/// What is drawn, in film pixels.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Drawn {
    pub lines: Vec<Vec<[f64; 2]>>,
    pub points: Vec<[f64; 2]>,
    pub texts: Vec<(String, [f64; 2])>,
}

impl Drawn {
    /// The drawings of all readings of a sheet, each with its name and value.
    pub fn of_sheet(sheet: &ReadingSheet, name_of: &dyn Fn(&MeasureKey) -> Option<String>) -> Self {
        let mut drawn = Drawn::default();
        for r in &sheet.readings {
            drawn
                .lines
                .extend(r.drawing.segments.iter().map(|s| s.to_vec()));
            if let Some(arc) = &r.drawing.arc {
                drawn.lines.push(arc.polyline(STEPS));
            }
            let name = name_of(&r.measure).unwrap_or_else(|| r.measure.to_string());
            drawn
                .texts
                .push((format!("{name} {}", r.estimate), r.drawing.label_at));
        }
        drawn
    }
}

/// What a presentation state is made of.
pub struct PresentationOf<'a> {
    pub about: &'a About,
    pub film: &'a SourceFilm,
    pub side: Option<Side>,
    pub drawn: &'a Drawn,
    pub turn: DisplayTurn,
    /// Centre and width, where the display was not the film's own.
    pub window: Option<(f64, f64)>,
    pub creator: &'a str,
}

/// # Errors
/// A position that is no number, or more to draw than a film carries.
pub fn presentation(of: &PresentationOf<'_>, uids: &mut dyn Uids) -> Result<Made, MakeError> {
    let (series, instance) = (uids.uid(), uids.uid());
    let (film, about) = (of.film, of.about);
    let mut b = about.start("PR", &series, "Drawing over the film", of.side)?;
    b.date(tags::PRESENTATION_CREATION_DATE, Some(about.made_at.date()));
    b.time(tags::PRESENTATION_CREATION_TIME, Some(about.made_at.time()));
    b.words(tags::CONTENT_LABEL, VR::CS, "READINGS");
    b.words(
        tags::CONTENT_DESCRIPTION,
        VR::LO,
        "Lines and values of the readings",
    );
    b.text(
        tags::CONTENT_CREATOR_NAME,
        VR::PN,
        &reader_as_name(of.creator),
    );
    let image = || Build::reference(&film.class_uid, &film.instance_uid);
    let mut of_series = Build::default();
    of_series.uid(tags::SERIES_INSTANCE_UID, &film.series_uid);
    of_series.items(tags::REFERENCED_IMAGE_SEQUENCE, vec![image()]);
    b.items(tags::REFERENCED_SERIES_SEQUENCE, vec![of_series]);

    let mut area = Build::default();
    area.items(tags::REFERENCED_IMAGE_SEQUENCE, vec![image()]);
    let corner = |x: i32, y: i32| [x.to_le_bytes(), y.to_le_bytes()].concat();
    area.raw(
        tags::DISPLAYED_AREA_TOP_LEFT_HAND_CORNER,
        VR::SL,
        corner(1, 1),
    );
    area.raw(
        tags::DISPLAYED_AREA_BOTTOM_RIGHT_HAND_CORNER,
        VR::SL,
        corner(i32::from(film.width), i32::from(film.height)),
    );
    area.words(tags::PRESENTATION_SIZE_MODE, VR::CS, "SCALE TO FIT");
    match &film.spacing {
        Some(spacing) => area.words(tags::PRESENTATION_PIXEL_SPACING, VR::DS, spacing),
        None => area.words(tags::PRESENTATION_PIXEL_ASPECT_RATIO, VR::IS, "1\\1"),
    }
    b.items(tags::DISPLAYED_AREA_SELECTION_SEQUENCE, vec![area]);
    if of.turn != DisplayTurn::default() {
        // Turned after mirroring, clockwise (PS3.3 C.10.6).
        b.us(
            tags::IMAGE_ROTATION,
            u16::from(of.turn.quarter_turns % 4) * 90,
        );
        let flip = if of.turn.mirrored { "Y" } else { "N" };
        b.words(tags::IMAGE_HORIZONTAL_FLIP, VR::CS, flip);
    }
    b.items(
        tags::GRAPHIC_ANNOTATION_SEQUENCE,
        vec![annotation(of, image())?],
    );
    let mut layer = Build::default();
    layer.words(tags::GRAPHIC_LAYER, VR::CS, LAYER);
    layer.words(tags::GRAPHIC_LAYER_ORDER, VR::IS, "1");
    b.items(tags::GRAPHIC_LAYER_SEQUENCE, vec![layer]);
    if let Some((slope, intercept, kind)) = &film.rescale {
        b.text(tags::RESCALE_SLOPE, VR::DS, slope);
        b.text(tags::RESCALE_INTERCEPT, VR::DS, intercept);
        b.text(tags::RESCALE_TYPE, VR::LO, kind);
    }
    if let Some((centre, width)) = of.window
        && centre.is_finite()
        && width >= 1.0
    {
        let mut voi = Build::default();
        voi.number(tags::WINDOW_CENTER, centre);
        voi.number(tags::WINDOW_WIDTH, width);
        b.items(tags::SOFTCOPY_VOILUT_SEQUENCE, vec![voi]);
    }
    let shape = if film.inverted { "INVERSE" } else { "IDENTITY" };
    b.words(tags::PRESENTATION_LUT_SHAPE, VR::CS, shape);
    Ok(Made::of(
        b,
        uids::GRAYSCALE_SOFTCOPY_PRESENTATION_STATE_STORAGE,
        instance,
        series,
    ))
}

fn annotation(of: &PresentationOf<'_>, image: Build) -> Result<Build, MakeError> {
    let Drawn {
        lines,
        points,
        texts,
    } = of.drawn;
    let many = lines.len() + points.len() + texts.len() > MOST_OBJECTS
        || lines.iter().any(|l| l.len() > MOST_POINTS);
    if many {
        return Err(MakeError::TooMuch { what: "drawings" });
    }
    let mut graphics = Vec::new();
    for line in lines.iter().filter(|l| l.len() > 1) {
        graphics.push(graphic("POLYLINE", line)?);
    }
    for point in points {
        graphics.push(graphic("POINT", &[*point])?);
    }
    let mut labels = Vec::new();
    for (words, at) in texts {
        let mut label = Build::default();
        label.words(tags::ANCHOR_POINT_ANNOTATION_UNITS, VR::CS, "PIXEL");
        label.floats(tags::ANCHOR_POINT, &placed(&[*at])?);
        label.words(tags::ANCHOR_POINT_VISIBILITY, VR::CS, "N");
        label.text(tags::UNFORMATTED_TEXT_VALUE, VR::ST, words);
        labels.push(label);
    }
    let mut annotation = Build::default();
    annotation.items(tags::REFERENCED_IMAGE_SEQUENCE, vec![image]);
    annotation.words(tags::GRAPHIC_LAYER, VR::CS, LAYER);
    if !labels.is_empty() {
        annotation.items(tags::TEXT_OBJECT_SEQUENCE, labels);
    }
    if !graphics.is_empty() {
        annotation.items(tags::GRAPHIC_OBJECT_SEQUENCE, graphics);
    }
    Ok(annotation)
}

fn graphic(kind: &str, points: &[[f64; 2]]) -> Result<Build, MakeError> {
    let mut g = Build::default();
    g.words(tags::GRAPHIC_ANNOTATION_UNITS, VR::CS, "PIXEL");
    g.us(tags::GRAPHIC_DIMENSIONS, 2);
    g.us(tags::NUMBER_OF_GRAPHIC_POINTS, points.len() as u16);
    g.floats(tags::GRAPHIC_DATA, &placed(points)?);
    g.words(tags::GRAPHIC_TYPE, VR::CS, kind);
    if kind == "POLYLINE" {
        g.words(tags::GRAPHIC_FILLED, VR::CS, "N");
    }
    Ok(g)
}

fn placed(points: &[[f64; 2]]) -> Result<Vec<f64>, MakeError> {
    let all: Vec<f64> = points.iter().flatten().map(|v| v + 0.5).collect();
    if all.iter().all(|v| v.is_finite()) {
        Ok(all)
    } else {
        Err(MakeError::Position)
    }
}
