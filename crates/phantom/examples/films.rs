//! Films of an invented foot, to be looked at: `cargo run -p phantom --example films -- OUT [left] [flat]`.
//!
//! Writes the four views of one foot as PNG, DICOM and truth (JSON) into the folder OUT. `left` takes
//! a left foot, `flat` a collapsing one, `points` draws the true points, `child=YEARS` a child's foot,
//! `small` draws each film on a quarter of its pixels, for a page.

use phantom::expose::dicom::Paper;
use phantom::expose::{BallWish, Exposure, PhantomFilm, expose};
use phantom::{Age, FootSpec, Pose, build};
use std::error::Error;
use std::path::Path;
use terms::{Side, View};
use time::macros::datetime;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [out, wishes @ ..] = words.as_slice() else {
        return Err("found no folder; say where the films go: films OUT [left] [flat] [points] [child=YEARS]".into());
    };
    let out = Path::new(out);
    std::fs::create_dir_all(out)?;
    let has = |word: &str| wishes.iter().any(|w| w == word);
    let mut spec = FootSpec::adult();
    if has("left") {
        spec.side = Side::Left;
    }
    if has("flat") {
        spec.pose = Pose::arch_collapse(1.0);
    }
    if let Some(years) = wishes.iter().find_map(|w| w.strip_prefix("child=")) {
        let years = years.parse()?;
        spec.age = Age::Child { years };
        spec.foot_length_mm = phantom::child::foot_length_mm(years, terms::Sex::Female);
    }
    let start = std::time::Instant::now();
    let foot = build(&spec)?;
    println!("foot built in {:.2} s", start.elapsed().as_secs_f64());
    for view in View::ALL {
        let mut exposure = Exposure::usual(view);
        if view == View::Dorsoplantar {
            exposure.ball = Some(BallWish {
                diameter_mm: 30.0,
                centre_mm: None,
            });
        }
        if has("small") {
            // The finest that such a film can show is blurred to its pixels already.
            exposure.pixel_mm *= 4.0;
            exposure.width /= 4;
            exposure.height /= 4;
        }
        let start = std::time::Instant::now();
        let film = expose(&foot, &exposure)?;
        println!(
            "{}: {:.2} s, {} true points",
            view.key(),
            start.elapsed().as_secs_f64(),
            film.landmarks_px.len()
        );
        let file = |end: &str| out.join(format!("{}.{end}", view.key()));
        std::fs::write(file("png"), png(&film, has("points"))?)?;
        let paper = Paper::invented(datetime!(2026-05-04 10:30), 1);
        std::fs::write(file("dcm"), film.dicom(&paper)?)?;
        std::fs::write(file("json"), serde_json::to_vec_pretty(&film.facts())?)?;
    }
    Ok(())
}

fn png(film: &PhantomFilm, with_points: bool) -> Result<Vec<u8>, film::PngError> {
    let shift = film.exposure.tone.bits_stored - 8;
    let mut grey: Vec<u8> = film.pixels.iter().map(|p| (p >> shift) as u8).collect();
    if with_points {
        for [x, y] in film.landmarks_px.values() {
            for step in -14i64..=14 {
                for (x, y) in [(*x as i64 + step, *y as i64), (*x as i64, *y as i64 + step)] {
                    if (0..film.width as i64).contains(&x) && (0..film.height as i64).contains(&y) {
                        grey[y as usize * film.width + x as usize] =
                            if step % 2 == 0 { 255 } else { 0 };
                    }
                }
            }
        }
    }
    film::encode_png8(&grey, film.width as u32, film.height as u32)
}
