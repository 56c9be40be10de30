//! Writes what a followed clip looks like: some frames with the points on them, a strip of the best rise, and the
//! curves of angle and height as SVG. The clip is invented.
//!
//! `cargo run -p motion --example motion_look -- FOLDER [SEED]`

#[path = "shared/mod.rs"]
mod shared;

use image::{Rgb, RgbImage};
use motion::rise::{LegReadings, read};
use motion::steps::{Point, Steps};
use phantom::clip::{Clip, ClipSpec};
use std::fmt::Write as _;
use std::path::Path;

fn main() {
    let mut words = std::env::args().skip(1);
    let folder = words.next().unwrap_or_else(|| "target/motion-look".into());
    let seed = words.next().and_then(|w| w.parse().ok());
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder).expect("a folder to write to");
    let spec = seed.map_or_else(|| ClipSpec::plain(1), ClipSpec::random);
    let clip = Clip::new(spec);
    let steps = shared::steps(&clip, shared::marks(&clip, 0, &[]));
    let readings = read(&steps).expect("readings of a followed clip");
    let leg = &readings.legs[0];
    if let Some(strip) = &leg.best {
        let pictures: Vec<RgbImage> = strip
            .frames
            .iter()
            .map(|f| with_points(&clip, &steps, *f))
            .collect();
        side_by_side(&pictures)
            .save(folder.join("strip.png"))
            .expect("a written strip");
    }
    with_points(&clip, &steps, 0)
        .save(folder.join("first.png"))
        .expect("a written frame");
    std::fs::write(folder.join("curve.svg"), curve(leg, &clip)).expect("a written curve");
    println!(
        "{} rises, turn {:?}, best height {:?}, standing {:?}",
        leg.rises.len(),
        leg.turn,
        leg.best_height,
        leg.standing
    );
    println!("true rises {:?}", clip.truth().legs[0].rises);
    for note in readings.notes.iter().chain(&leg.notes) {
        println!("note: {}", note.words());
    }
}

fn with_points(clip: &Clip, steps: &Steps, frame: usize) -> RgbImage {
    let (width, height) = (clip.spec().width as u32, clip.spec().height as u32);
    let bytes = clip.frame(frame);
    let mut picture = RgbImage::from_fn(width, height, |x, y| {
        let v = bytes[(y * width + x) as usize];
        Rgb([v, v, v])
    });
    for leg in &steps.marks.legs {
        for point in Point::ALL {
            let Some(place) = steps.track.place(leg.side, point, frame) else {
                continue;
            };
            for k in -9i32..=9 {
                if k.abs() < 3 {
                    continue;
                }
                for (dx, dy) in [(k, 0), (0, k)] {
                    let (x, y) = (place.x.round() as i32 + dx, place.y.round() as i32 + dy);
                    if x >= 0 && y >= 0 && (x as u32) < width && (y as u32) < height {
                        picture.put_pixel(x as u32, y as u32, Rgb([255, 215, 0]));
                    }
                }
            }
        }
    }
    picture
}

fn side_by_side(pictures: &[RgbImage]) -> RgbImage {
    let width = pictures.iter().map(RgbImage::width).sum();
    let height = pictures.iter().map(RgbImage::height).max().unwrap_or(1);
    let mut out = RgbImage::new(width, height);
    let mut left = 0;
    for p in pictures {
        image::imageops::overlay(&mut out, p, left, 0);
        left += i64::from(p.width());
    }
    out
}

/// Angle above, height below, truth dashed behind both.
fn curve(leg: &LegReadings, clip: &Clip) -> String {
    let (width, height) = (900.0, 420.0);
    let truth = &clip.truth().legs[0];
    let end = leg.curve.last().map_or(1.0, |i| i.time_s).max(1.0);
    let x = |t: f64| 50.0 + (width - 70.0) * t / end;
    let deg = |v: f64| 110.0 - 6.0 * v;
    let mm = |v: f64| 390.0 - 1.4 * v;
    let mut svg = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {width} {height}' width='{width}' height='{height}' font-family='sans-serif' font-size='12'><rect width='{width}' height='{height}' fill='white'/>"
    );
    for v in [-10.0, 0.0, 10.0] {
        let _ = write!(
            svg,
            "<line x1='50' x2='{}' y1='{y}' y2='{y}' stroke='#ccc'/><text x='8' y='{}'>{v}°</text>",
            width - 20.0,
            deg(v) + 4.0,
            y = deg(v)
        );
    }
    for v in [0.0, 50.0, 100.0] {
        let _ = write!(
            svg,
            "<line x1='50' x2='{}' y1='{y}' y2='{y}' stroke='#ccc'/><text x='4' y='{}'>{v} mm</text>",
            width - 20.0,
            mm(v) + 4.0,
            y = mm(v)
        );
    }
    let path = |points: Vec<Option<(f64, f64)>>| {
        let mut d = String::new();
        let mut down = false;
        for p in points {
            match p {
                Some((px, py)) => {
                    let _ = write!(d, "{}{px:.1} {py:.1} ", if down { "L" } else { "M" });
                    down = true;
                }
                None => down = false,
            }
        }
        d
    };
    let times: Vec<f64> = leg.curve.iter().map(|i| i.time_s).collect();
    let all = |values: &[f64], to: &dyn Fn(f64) -> f64| {
        path(
            times
                .iter()
                .zip(values)
                .map(|(t, v)| Some((x(*t), to(*v))))
                .collect(),
        )
    };
    for (values, to) in [
        (&truth.front_deg, &deg as &dyn Fn(f64) -> f64),
        (&truth.height_mm, &mm),
    ] {
        let _ = write!(
            svg,
            "<path d='{}' fill='none' stroke='#999' stroke-width='3' stroke-dasharray='6 4'/>",
            all(values, to)
        );
    }
    let angles = leg
        .curve
        .iter()
        .map(|i| i.angle.map(|a| (x(i.time_s), deg(a.deg))));
    let heights = leg
        .curve
        .iter()
        .map(|i| i.height.map(|h| (x(i.time_s), mm(h))));
    for (d, colour) in [
        (path(angles.collect()), "#1b4f8f"),
        (path(heights.collect()), "#8f3b1b"),
    ] {
        let _ = write!(
            svg,
            "<path d='{d}' fill='none' stroke='{colour}' stroke-width='1.5'/>"
        );
    }
    for rise in &leg.rises {
        let _ = write!(
            svg,
            "<text x='{:.0}' y='{:.0}' text-anchor='middle'>{}</text>",
            x(rise.top_s),
            mm(rise.height.value) - 6.0,
            rise.number
        );
    }
    svg += "<text x='60' y='18'>heel against leg, + outward (dashed: true across the foot)</text><text x='60' y='232'>height of the heel</text></svg>";
    svg
}
