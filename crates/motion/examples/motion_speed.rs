//! How fast four points are followed through large frames, and the frames for another program to do the same.
//! Drawing the frames is not in the time.
//!
//! `cargo run -p motion --example motion_speed -- FOLDER [FRAMES]` writes `frames.grey` (a first line with size and
//! rate, then the bytes), `marks.json`, `track.json` and prints the times as one line of JSON.

#[path = "shared/mod.rs"]
mod shared;

use motion::frames::raw::Head;
use motion::frames::{Frame, Frames, Held};
use motion::steps::Point;
use motion::track::{follow_with, step::step};
use phantom::clip::{Clip, ClipSpec};
use rayon::prelude::*;
use std::io::Write;
use std::path::Path;
use std::time::Instant;

fn main() {
    let mut words = std::env::args().skip(1);
    let folder = words.next().expect("a folder to write to");
    let wanted: usize = words.next().and_then(|w| w.parse().ok()).unwrap_or(600);
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder).expect("a folder to write to");
    let mut spec = ClipSpec::plain(7);
    (spec.width, spec.height, spec.rate) = (1920, 1080, 60.0);
    spec.px_per_mm = 2.5;
    spec.shake_px = 2.0;
    spec.blur_px = 0.8;
    let head = Head::new(spec.width, spec.height, spec.rate).expect("a head");
    let clip = Clip::new(spec);
    let count = wanted.min(clip.count());
    let frames: Vec<Frame> = (0..count)
        .into_par_iter()
        .map(|i| Frame::new(1920, 1080, clip.frame(i)).expect("a drawn frame"))
        .collect();
    let mut file = std::io::BufWriter::new(
        std::fs::File::create(folder.join("frames.grey")).expect("a file to write to"),
    );
    file.write_all(head.line().as_bytes()).expect("written");
    for frame in &frames {
        file.write_all(frame.bytes()).expect("written");
    }
    file.flush().expect("written");
    let marks = shared::marks(&clip, 0, &[]);
    let times_s = clip.truth().times_s[..count].to_vec();
    let mut held = Lent(Held { frames, times_s }, 0.0);
    let mut best = f64::INFINITY;
    let mut track = None;
    for _ in 0..3 {
        held.1 = 0.0;
        let begun = Instant::now();
        track = Some(follow_with(&mut held, &marks, &mut |_, _| {}).expect("followed"));
        best = best.min(begun.elapsed().as_secs_f64() - held.1);
    }
    let track = track.expect("a track");
    // Bare steps from where our track stands, for a comparison of like with like.
    let leg = &marks.legs[0];
    let bare: Vec<Vec<Option<(f64, f64)>>> = (1..count)
        .into_par_iter()
        .map(|i| {
            Point::ALL
                .iter()
                .map(|p| {
                    let from = track.place(leg.side, *p, i - 1)?;
                    step(&held.0.frames[i - 1], &held.0.frames[i], (from.x, from.y))
                })
                .collect()
        })
        .collect();
    let places: Vec<Vec<Option<(f64, f64)>>> = (0..count)
        .map(|i| {
            Point::ALL
                .iter()
                .map(|p| track.place(leg.side, *p, i).map(|q| (q.x, q.y)))
                .collect()
        })
        .collect();
    let truth: Vec<_> = clip.truth().legs[0].spots[..count].to_vec();
    let all = serde_json::json!({ "places": places, "bare": bare, "truth": truth });
    std::fs::write(folder.join("track.json"), all.to_string()).expect("written");
    println!(
        "{}",
        serde_json::json!({ "frames": count, "seconds": best, "per_second": count as f64 / best,
            "corners": track.corners, "frames_with_camera": track.camera.iter().flatten().count() })
    );
}

/// Frames from memory; the time to copy them out is told apart, as decoding would be.
struct Lent(Held, f64);

impl Frames for Lent {
    fn count(&self) -> usize {
        self.0.count()
    }

    fn time_s(&self, frame: usize) -> Option<f64> {
        self.0.time_s(frame)
    }

    fn frame(&mut self, frame: usize) -> Result<Frame, motion::MotionError> {
        let begun = Instant::now();
        let out = self.0.frame(frame);
        self.1 += begun.elapsed().as_secs_f64();
        out
    }
}
