//! Sheets of invented prints with what was made of them, for another library's eyes.
//!
//!     print_cases FOLDER
//!
//! For each a file of values (32-bit floats, rows from the top) and one of JSON.

use phantom::print::{PaperSpec, PrintSpec, sheet};
use picture::{Picture, Turned};
use print::{Index, Medium, Scale, Scaling, Sheet, Wish, find, otsu, read};
use serde_json::json;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("expected a folder")?;
    std::fs::create_dir_all(&folder)?;
    for seed in 0..12_u64 {
        let paper = PaperSpec {
            mm_per_cell: 0.3,
            noise: 3.0 * (seed % 4) as f64,
            blotches: 6,
            gaps: 4,
            seed,
            ..PaperSpec::default()
        };
        let turn = 7.0 * seed as f64 - 40.0;
        let (s, c) = turn.to_radians().sin_cos();
        let heel = [105.0 - 95.0 * s, 148.0 + 95.0 * c];
        let made = sheet(&[(PrintSpec::random(seed), heel, turn)], &paper);
        let picture = Picture {
            width: made.width as u32,
            height: made.height as u32,
            rgb: made.rgb(),
            turned: Turned::No,
            px_per_mm: Some(1.0 / made.mm_per_cell),
        };
        let sheet = Sheet::of_picture(&picture, Some(Medium::Ink), &Scaling::FileDensity)?;
        let Scale::Even(pitch) = sheet.scale else {
            return Err("expected an even scale".into());
        };
        let steps = find(&sheet, &Wish::default())?;
        let readings = read(&sheet, &steps)?;
        let (width, height, values) = sheet.worked();
        let cells = |foot: &print::FootReadings, index: Index| {
            foot.of(index).map(|r| r.estimate.value / pitch.x_mm)
        };
        let feet: Vec<_> = steps
            .feet
            .iter()
            .zip(&readings.feet)
            .map(|(step, foot)| {
                json!({
                    "seeds": step.parts.is,
                    "cells": print::printed_cells(&sheet, &steps, step),
                    "axis": [step.axis.is.heel_centre, step.axis.is.second_toe],
                    "area_cells": foot.of(Index::ContactArea).map(|r| r.estimate.value * 100.0 / pitch.x_mm.powi(2)),
                    "length_cells": cells(foot, Index::FootLength),
                    "toeless_cells": cells(foot, Index::TruncatedLength),
                    "heel_cells": cells(foot, Index::HeelWidth),
                })
            })
            .collect();
        let row = json!({
            "width": width,
            "height": height,
            "otsu": otsu(values)?.threshold,
            "level": steps.level.is.at,
            "feet": feet,
        });
        let bytes: Vec<u8> = values.iter().flat_map(|v| v.to_le_bytes()).collect();
        std::fs::write(format!("{folder}/{seed:02}.f32"), bytes)?;
        std::fs::write(format!("{folder}/{seed:02}.json"), row.to_string())?;
    }
    Ok(())
}
