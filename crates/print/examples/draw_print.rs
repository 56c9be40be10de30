//! Prints of invented feet with the steps that were found, as pictures to look at.
//!
//!     cargo run -p print --example draw_print -- FOLDER
//!
//! One SVG and one PNG of the bare sheet for each.

use phantom::FootSpec;
use phantom::print::{PaperSpec, PrintSheet, PrintSpec, sheet, standing};
use phantom::skin::{Load, SkinSpec, build_skin};
use picture::{Picture, Turned};
use print::{Index, Medium, Place, PrintError, Scaling, Sheet, Wish, find, read};
use std::fmt::Write;
use terms::Side;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args().nth(1).ok_or("expected a folder")?;
    std::fs::create_dir_all(&folder)?;
    let ink = PaperSpec {
        noise: 8.0,
        blotches: 8,
        gaps: 6,
        ..PaperSpec::default()
    };
    let two = PaperSpec {
        width_mm: 300.0,
        ..ink.clone()
    };
    let left = PrintSpec::random(7);
    let right = PrintSpec::random(8);
    let pair = [
        (
            PrintSpec {
                side: Side::Left,
                ..left
            },
            [95.0, 270.0],
            -8.0,
        ),
        (
            PrintSpec {
                side: Side::Right,
                ..right
            },
            [205.0, 268.0],
            9.0,
        ),
    ];
    let skin = build_skin(&SkinSpec::of(FootSpec::adult(), Load::Standing))?;
    let all = [
        (
            "one",
            sheet(
                &[(PrintSpec::plain(Side::Right), [115.0, 245.0], -12.0)],
                &ink,
            ),
        ),
        ("two", sheet(&pair, &two)),
        ("skin", standing(&skin, 1.2, &PaperSpec::default())),
        ("skin_deep", standing(&skin, 3.0, &ink)),
    ];
    for (name, made) in &all {
        image::save_buffer(
            format!("{folder}/{name}.png"),
            &made.rgb(),
            made.width as u32,
            made.height as u32,
            image::ColorType::Rgb8,
        )?;
        match drawn(made, name) {
            Ok(svg) => std::fs::write(format!("{folder}/{name}.svg"), svg)?,
            Err(error) => println!("{name}: {error}"),
        }
    }
    Ok(())
}

fn drawn(made: &PrintSheet, name: &str) -> Result<String, PrintError> {
    let picture = Picture {
        width: made.width as u32,
        height: made.height as u32,
        rgb: made.rgb(),
        turned: Turned::No,
        px_per_mm: Some(1.0 / made.mm_per_cell),
    };
    let sheet = Sheet::of_picture(&picture, Some(Medium::Ink), &Scaling::FileDensity)?;
    let steps = find(&sheet, &Wish::default())?;
    let readings = read(&sheet, &steps)?;
    let (w, h) = (made.width, made.height);
    let mut svg = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 {w} {h}" width="{}" height="{}"><image xlink:href="{name}.png" x="-0.5" y="-0.5" width="{w}" height="{h}"/><g fill="none" stroke-width="3">"##,
        w / 2,
        h / 2
    );
    let path = |places: &[Place], closed: bool| {
        let mut d = String::new();
        for (k, [x, y]) in places.iter().enumerate() {
            let _ = write!(d, "{}{x:.1} {y:.1}", if k == 0 { 'M' } else { 'L' });
        }
        if closed { d + "Z" } else { d }
    };
    for (foot, read) in steps.feet.iter().zip(&readings.feet) {
        for ring in &read.outline {
            let _ = write!(svg, r#"<path stroke="orange" d="{}"/>"#, path(ring, true));
        }
        let axis = foot.axis.is;
        let _ = write!(
            svg,
            r#"<path stroke="red" d="{}"/><path stroke="magenta" d="{}"/>"#,
            path(&[axis.heel_centre, axis.second_toe], false),
            path(&foot.toe_line.is.places, false)
        );
        for tangent in [foot.inner_tangent.is, foot.outer_tangent.is]
            .into_iter()
            .flatten()
        {
            let _ = write!(
                svg,
                r#"<path stroke="blue" d="{}"/>"#,
                path(&tangent, false)
            );
        }
        for (index, colour) in [
            (Index::ArchIndex, "green"),
            (Index::ChippauxSmirak, "cyan"),
            (Index::StaheliIndex, "cyan"),
            (Index::ClarkeAngle, "yellow"),
        ] {
            let Some(reading) = read.of(index) else {
                continue;
            };
            for line in &reading.drawn.lines {
                let _ = write!(
                    svg,
                    r#"<path stroke="{colour}" d="{}"/>"#,
                    path(line, false)
                );
            }
            for [x, y] in &reading.drawn.points {
                let _ = write!(
                    svg,
                    r#"<circle cx="{x}" cy="{y}" r="9" stroke="{colour}"/>"#
                );
            }
        }
        println!(
            "{name}: {:?} (confidence {:.3}) {:?}",
            foot.side.is.side, foot.side.is.confidence, read.doubts
        );
        for reading in &read.readings {
            println!(
                "   {:<34} {}  {:?}",
                reading.index.words(),
                reading.estimate,
                reading.error_parts
            );
        }
    }
    Ok(svg + "</g></svg>")
}
