//! Phantom prints as pictures, for every test here. Everything is invented.
#![allow(dead_code)]

use phantom::print::{PaperSpec, PrintSheet, PrintSpec, PrintTruth, sheet};
use picture::{Picture, Turned};
use print::{
    FootReadings, Index, Medium, PrintError, PrintReadings, Scaling, Sheet, Steps, Wish, find, read,
};

pub fn picture(sheet: &PrintSheet) -> Picture {
    Picture {
        width: sheet.width as u32,
        height: sheet.height as u32,
        rgb: sheet.rgb(),
        turned: Turned::No,
        px_per_mm: Some(1.0 / sheet.mm_per_cell),
    }
}

/// The picture read from end to end, scale from the file.
pub fn through(
    picture: &Picture,
    medium: Option<Medium>,
    scaling: &Scaling,
) -> Result<(Sheet, Steps, PrintReadings), PrintError> {
    let sheet = Sheet::of_picture(picture, medium, scaling)?;
    let steps = find(&sheet, &Wish::default())?;
    let readings = read(&sheet, &steps)?;
    Ok((sheet, steps, readings))
}

/// Heel in the middle of an A4 sheet, toes up but for the turn.
pub fn middle(turn_deg: f64) -> [f64; 2] {
    let (s, c) = turn_deg.to_radians().sin_cos();
    [105.0 - 95.0 * s, 148.0 + 95.0 * c]
}

pub fn one(spec: &PrintSpec, turn_deg: f64, paper: &PaperSpec) -> PrintSheet {
    sheet(&[(*spec, middle(turn_deg), turn_deg)], paper)
}

pub fn true_values(t: &PrintTruth) -> [(Index, f64); 10] {
    [
        (Index::ArchIndex, t.arch_index),
        (Index::ChippauxSmirak, t.chippaux_smirak),
        (Index::StaheliIndex, t.staheli_index),
        (Index::ClarkeAngle, t.clarke_angle_deg),
        (Index::TruncatedLength, t.truncated_length),
        (Index::FootLength, t.foot_length),
        (Index::BallWidth, t.ball_width),
        (Index::HeelWidth, t.heel_width),
        (Index::MidfootWidth, t.midfoot_width),
        (Index::ContactArea, t.area / 100.0),
    ]
}

/// The largest of the relative misses, each with its index.
pub fn misses(foot: &FootReadings, truth: &PrintTruth) -> Vec<(Index, f64)> {
    true_values(truth)
        .into_iter()
        .map(|(index, wanted)| {
            let found = foot.of(index).map_or(f64::NAN, |r| r.estimate.value);
            (index, (found - wanted) / wanted)
        })
        .collect()
}
