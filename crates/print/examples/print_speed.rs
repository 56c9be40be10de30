//! A 12-megapixel picture of a print to its indices, timed.

use phantom::print::{PaperSpec, PrintSpec, sheet};
use picture::{Picture, Turned};
use print::{Medium, Paper, PrintError, Scaling, Sheet, Wish, find, read};
use std::time::Instant;
use terms::Side;

const GOAL_MS: f64 = 200.0;
const ROUNDS: usize = 9;

fn main() -> Result<(), PrintError> {
    let paper = PaperSpec {
        mm_per_cell: 0.0735,
        around_cells: 70,
        noise: 6.0,
        blotches: 10,
        gaps: 6,
        tilt: [0.01, 0.02],
        ..PaperSpec::default()
    };
    let made = sheet(
        &[(PrintSpec::plain(Side::Right), [105.0, 250.0], 5.0)],
        &paper,
    );
    let picture = Picture {
        width: made.width as u32,
        height: made.height as u32,
        rgb: made.rgb(),
        turned: Turned::No,
        px_per_mm: Some(1.0 / made.mm_per_cell),
    };
    let megapixels = f64::from(picture.width) * f64::from(picture.height) / 1e6;
    let flat = Scaling::FileDensity;
    let tilted = Scaling::Corners {
        corners: made.corners,
        paper: Paper::A4,
    };
    for (what, scaling) in [
        ("scale of the file", flat),
        ("corners of the paper", tilted),
    ] {
        let mut times: Vec<f64> = Vec::new();
        let mut found = 0;
        for _ in 0..ROUNDS {
            let started = Instant::now();
            let sheet = Sheet::of_picture(&picture, Some(Medium::Ink), &scaling)?;
            let steps = find(&sheet, &Wish::default())?;
            let readings = read(&sheet, &steps)?;
            times.push(started.elapsed().as_secs_f64() * 1000.0);
            found = readings.feet.iter().map(|f| f.readings.len()).sum();
        }
        times.sort_by(f64::total_cmp);
        let (least, median) = (times[0], times[ROUNDS / 2]);
        println!(
            "{megapixels:.1} megapixels, {what}: {found} indices, fastest {least:.0} ms, median {median:.0} ms"
        );
        println!(
            r#"BENCH {{"name":"print of 12 megapixels to indices, {what}","value":{median:.1},"ours":{median:.1},"unit":"ms","reference":null,"ratio":null,"goal":"< 200 ms","holds":{}}}"#,
            median < GOAL_MS
        );
    }
    Ok(())
}
