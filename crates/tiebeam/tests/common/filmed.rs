//! An invented clip of known truth as a folder of numbered pictures, with its file of marks.

use super::folder;
use phantom::clip::{Clip, ClipSpec};
use serde_json::{Value, json};
use std::fs;
use std::path::PathBuf;
use std::sync::OnceLock;

/// A short clip on few pixels: two rises of the right leg, the heel turns inward.
fn spec() -> ClipSpec {
    let mut spec = ClipSpec::plain(3);
    (spec.width, spec.height, spec.rate) = (300, 420, 15.0);
    spec.px_per_mm = 1.0;
    spec.period_s = 1.6;
    spec.legs[0].rises = 2;
    spec
}

/// Its frames as numbered pictures with times.csv, its marks, and what is true of it; drawn once.
pub struct Filmed {
    pub dir: PathBuf,
    pub clip: Clip,
}

impl Filmed {
    pub fn frames(&self) -> String {
        self.dir.join("frames").display().to_string()
    }
    pub fn marks(&self) -> String {
        self.dir.join("marks.json").display().to_string()
    }
}

pub fn filmed() -> &'static Filmed {
    static FILMED: OnceLock<Filmed> = OnceLock::new();
    FILMED.get_or_init(|| {
        let dir = folder("rise-clip");
        let clip = Clip::new(spec());
        fs::create_dir_all(dir.join("frames")).expect("a folder");
        let mut times = String::from("frame,seconds\n");
        for (i, time) in clip.truth().times_s.iter().enumerate() {
            let (w, h) = (clip.spec().width as u32, clip.spec().height as u32);
            let png = film::encode_png8(&clip.frame(i), w, h).expect("a picture");
            fs::write(dir.join(format!("frames/f{i:04}.png")), png).expect("a file");
            times += &format!("{i},{time}\n");
        }
        fs::write(dir.join("frames/times.csv"), times).expect("a file");
        fs::write(dir.join("marks.json"), marks(&clip).to_string()).expect("a file");
        Filmed { dir, clip }
    })
}

pub fn marks(clip: &Clip) -> Value {
    let leg = &clip.truth().legs[0];
    let spot = |i: usize| {
        let (x, y) = leg.spots[0][i];
        json!({ "x": x, "y": y })
    };
    let y = clip.spec().height as f64 - 15.0;
    json!({
        "format": "tiebeam-marks",
        "version": 1,
        "note": "invented",
        "frame": 0,
        "legs": [{
            "side": "right",
            "leg_upper": spot(0), "leg_lower": spot(1),
            "heel_upper": spot(2), "heel_lower": spot(3),
        }],
        "known_length": {
            "from": { "x": 20.0, "y": y },
            "to": { "x": 20.0 + 200.0 * clip.spec().px_per_mm, "y": y },
            "mm": 200.0,
            "relative_error": 0.01,
        },
        "setup": {
            "yaw_sd_deg": 2.0, "lean_difference_deg": 8.0,
            "roll_sd_deg": 1.0, "placing_sd_px": 2.0,
        },
    })
}
