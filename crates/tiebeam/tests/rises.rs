//! `tiebeam rise` on invented clips of known truth, as folders of pictures, and on marker files.

mod common;
#[path = "../../motion/tests/written/mod.rs"]
mod written;

use common::{command, folder, json, refusal, refused, said, text};
use phantom::clip::{Clip, ClipSpec};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};
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
struct Filmed {
    dir: PathBuf,
    clip: Clip,
}

impl Filmed {
    fn frames(&self) -> String {
        self.dir.join("frames").display().to_string()
    }
    fn marks(&self) -> String {
        self.dir.join("marks.json").display().to_string()
    }
}

fn filmed() -> &'static Filmed {
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

fn marks(clip: &Clip) -> Value {
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

fn put(dir: &Path, name: &str, bytes: &[u8]) -> String {
    let path = dir.join(name);
    fs::write(&path, bytes).expect("a file");
    path.display().to_string()
}

#[test]
fn a_folder_of_pictures_gives_the_rises_it_was_made_with_and_their_steps_give_the_same_numbers() {
    let f = filmed();
    let dir = folder("rise-steps");
    let at = |name: &str| dir.join(name).display().to_string();
    let (frames, marks, steps, curve) = (f.frames(), f.marks(), at("steps.json"), at("curve.csv"));
    let read = json(&[
        "rise", &frames, "--marks", &marks, "--beat", "37.5", "--json", "--steps", &steps,
        "--curve", &curve,
    ]);
    let leg = &read["readings"]["legs"][0];
    let truth = &f.clip.truth().legs[0];
    assert_eq!((&leg["count"], &leg["side"]), (&json!(2), &json!("right")));
    for (rise, t) in leg["rises"]
        .as_array()
        .expect("rises")
        .iter()
        .zip(&truth.rises)
    {
        let height = rise["height"]["value"].as_f64().expect("a height");
        assert!((height / t.height_mm - 1.0).abs() < 0.05, "{height} {t:?}");
        assert!(
            rise["height"]["standard_error"]
                .as_f64()
                .is_some_and(|e| e > 0.0)
        );
    }
    assert_eq!(leg["turn"]["verdict"], "inverts");
    let again = json(&["rise", "--from-steps", &steps, "--json"]);
    assert_eq!(again["readings"], read["readings"]);
    assert_eq!(again["beat_per_min"], json!(37.5));
    let height = |i: usize| {
        leg["rises"][i]["height"]["value"]
            .as_f64()
            .expect("a height")
    };
    assert!(height(0) > height(1) + 1.0, "the second is lower");
    let rule = format!("mm:{:.2}", 0.5 * (height(0) + height(1)));
    let strict = json(&["rise", "--from-steps", &steps, "--rule", &rule, "--json"]);
    assert_eq!(strict["readings"]["legs"][0]["count"], json!(1));
    assert!(
        strict["rule"]
            .as_str()
            .is_some_and(|r| r.starts_with("rises of at least 9")),
        "{}",
        strict["rule"]
    );
    let rows = fs::read_to_string(&curve).expect("curves");
    assert_eq!(rows.lines().count(), 1 + f.clip.count());
    assert!(rows.starts_with("side,frame,time_s,height,height_unit,heel_angle_deg,"));
    assert!(
        rows.lines()
            .skip(1)
            .all(|r| r.starts_with("right,") && r.contains(",mm,"))
    );
}

#[test]
fn the_table_states_the_rule_and_holds_a_count_against_norms_of_the_age_alone() {
    let f = filmed();
    let dir = folder("rise-table");
    let steps = dir.join("steps.json").display().to_string();
    let (frames, marks) = (f.frames(), f.marks());
    let first = said(&["rise", &frames, "--marks", &marks, "--steps", &steps]);
    for wanted in [
        "every rise by which the heel leaves the ground",
        "right leg",
        "turns inward at the top",
        "not said whether the rises were done on one leg or on both",
        "the clinician decides",
    ] {
        assert!(first.contains(wanted), "{wanted}: {first}");
    }
    assert!(!first.contains("HebertLosier2017"), "{first}");
    let of = |more: &[&str]| said(&[&["rise", "--from-steps", &steps], more].concat());
    let adult = of(&["--doing", "one-leg", "--age", "45", "--sex", "female"]);
    assert!(adult.contains("mean 24, spread not printed") && adult.contains("HebertLosier2017"));
    assert!(!adult.contains("mean 28, spread"), "men's: {adult}");
    assert!(adult.contains("norm: mean 9.3, SD 3.6") && adult.contains("shown only"));
    let child = of(&["--doing", "one-leg", "--age", "8"]);
    assert!(
        child.contains("Maurer2007")
            && child.contains("sources differ") | child.contains("outside")
    );
    assert!(!child.contains("HebertLosier2017"));
    let both = of(&["--doing", "both-legs", "--age", "45", "--sex", "female"]);
    assert!(
        both.contains("Monteiro2017") && !both.contains("HebertLosier2017"),
        "{both}"
    );
}

#[test]
fn without_a_known_length_heights_are_no_millimetres_and_a_rule_of_millimetres_is_not_judged() {
    let f = filmed();
    let dir = folder("rise-no-length");
    let mut set = marks(&f.clip);
    set.as_object_mut()
        .expect("an object")
        .remove("known_length");
    let path = put(&dir, "marks.json", set.to_string().as_bytes());
    let read = json(&[
        "rise",
        &f.frames(),
        "--marks",
        &path,
        "--rule",
        "mm:50",
        "--json",
    ]);
    assert_eq!(read["readings"]["height_unit"], "ratio");
    assert_eq!(read["readings"]["legs"][0]["count"], Value::Null);
    let held = json(&[
        "rise",
        &f.frames(),
        "--marks",
        &path,
        "--doing",
        "one-leg",
        "--json",
    ]);
    let items = held["yardsticks"].as_array().expect("yardsticks");
    assert!(
        items.iter().all(|y| y["item"] == "heel_rise_count"),
        "{held:#}"
    );
}

#[test]
fn a_still_of_a_frame_can_be_written_to_place_the_marks_on_and_the_example_is_a_file_of_marks() {
    let f = filmed();
    let dir = folder("rise-still");
    let still = dir.join("still.png").display().to_string();
    let told = said(&["rise", &f.frames(), "--still", &still, "--frame", "3"]);
    assert!(told.contains("300 × 420 pixels"), "{told}");
    assert_eq!(
        fs::read(&still).expect("a picture"),
        fs::read(f.dir.join("frames/f0003.png")).expect("the frame")
    );
    let past = refused(&["rise", &f.frames(), "--still", &still, "--frame", "9999"]);
    assert!(past.contains("frame 9999"), "{past}");
    let example: Value = serde_json::from_str(&said(&["rise", "--example"])).expect("JSON");
    assert_eq!(example["format"], "tiebeam-marks");
}

/// A file's name, what is changed in it, and a part of what is told of it.
type Case<'c> = (&'c str, &'c dyn Fn(&mut Value), &'c str);

#[test]
fn every_folder_and_file_of_marks_that_cannot_serve_gets_one_sentence() {
    let f = filmed();
    let dir = folder("rise-bad");
    let good = f.marks();
    let frames = f.frames();
    assert!(refused(&["rise", &frames]).contains("--example"));
    let empty = dir.join("empty").display().to_string();
    fs::create_dir_all(&empty).expect("a folder");
    assert!(refused(&["rise", &empty, "--marks", &good]).contains("no numbered picture"));
    let untimed = dir.join("untimed");
    fs::create_dir_all(&untimed).expect("a folder");
    for name in ["f0000.png", "f0001.png"] {
        fs::copy(f.dir.join("frames").join(name), untimed.join(name)).expect("a copy");
    }
    let untimed = untimed.display().to_string();
    assert!(refused(&["rise", &untimed, "--marks", &good]).contains("give the rate"));
    assert!(
        refused(&["rise", &untimed, "--marks", &good, "--rate", "0"]).contains("rate of frames")
    );
    fs::write(Path::new(&untimed).join("f0001.png"), "no picture").expect("a file");
    let damaged = refused(&["rise", &untimed, "--marks", &good, "--rate", "15"]);
    assert!(damaged.contains("frame 1 could not be read"), "{damaged}");
    let set = marks(&f.clip);
    let changed = |name: &str, change: &dyn Fn(&mut Value)| {
        let mut other = set.clone();
        change(&mut other);
        let path = put(&dir, name, other.to_string().as_bytes());
        refused(&["rise", &frames, "--marks", &path])
    };
    let cases: [Case<'_>; 6] = [
        ("late.json", &|m| m["frame"] = json!(999), "frame 999"),
        ("none.json", &|m| m["legs"] = json!([]), "no leg is marked"),
        (
            "out.json",
            &|m| m["legs"][0]["heel_lower"]["x"] = json!(-4.0),
            "outside the frame",
        ),
        (
            "up.json",
            &|m| m["legs"][0]["heel_lower"]["y"] = json!(1.0),
            "lies below the lower",
        ),
        (
            "form.json",
            &|m| m["format"] = json!("else"),
            "expected \"tiebeam-marks\"",
        ),
        (
            "length.json",
            &|m| m["known_length"]["mm"] = json!(0.0),
            "known length in millimetres",
        ),
    ];
    for (name, change, wanted) in cases {
        let told = changed(name, change);
        assert!(told.contains(wanted), "{name}: {told}");
    }
    let text = put(&dir, "marks.txt", b"marks: none");
    assert!(refused(&["rise", &frames, "--marks", &text]).contains("no file of marks"));
    assert!(refused(&["rise", "--from-steps", &text]).contains("no steps of a clip"));
    let rule = refused(&["rise", &frames, "--marks", &good, "--rule", "share:7"]);
    assert!(rule.contains("share of the first height"), "{rule}");
    let labels = refused(&["rise", &frames, "--marks", &good, "--heel", "RHEE"]);
    assert!(labels.contains("without a marker file"), "{labels}");
}

#[test]
fn a_clip_without_the_programs_that_read_it_says_what_to_do() {
    let dir = folder("rise-no-ffmpeg");
    let clip = put(&dir, "clip.mp4", b"not looked into");
    let done = |clip: &str| {
        let mut command = command();
        // An empty PATH, and programs of that name where the command is run: they are not taken.
        command.args(["rise", clip, "--marks", &filmed().marks()]);
        command.env("PATH", "").current_dir(&dir);
        refusal(&command.output().expect("the binary runs"))
    };
    for name in ["ffmpeg", "ffprobe"] {
        put(&dir, name, b"#!/bin/sh\necho 0\n");
        #[cfg(unix)]
        fs::set_permissions(
            dir.join(name),
            std::os::unix::fs::PermissionsExt::from_mode(0o755),
        )
        .expect("a program");
    }
    let told = done(&clip);
    assert!(
        told.contains("no program ffprobe") && told.contains("install them, or write the frames"),
        "{told}"
    );
    let empty = put(&dir, "empty.mp4", b"");
    assert!(done(&empty).contains("the file is empty"));
}

/// Stands in for the programs: times and frames as they were given, and what it was asked.
#[cfg(unix)]
mod stand_in {
    use super::*;
    use std::os::unix::fs::PermissionsExt;

    fn program(dir: &Path, name: &str, script: &str) {
        let path = dir.join(name);
        fs::write(&path, format!("#!/bin/sh\n{script}\n")).expect("a program");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).expect("a program");
    }

    /// A folder with both programs; `times` are those of the frames, `count` how many frames come.
    fn programs(name: &str, count: usize, times: &[f64]) -> PathBuf {
        let dir = folder(name);
        let clip = &filmed().clip;
        let frames: Vec<u8> = (0..count).flat_map(|i| clip.frame(i)).collect();
        fs::write(dir.join("frames.raw"), frames).expect("frames");
        let lines: String = times.iter().map(|t| format!("{t:.6}\n")).collect();
        fs::write(dir.join("times.txt"), lines).expect("times");
        let here = dir.display();
        let (w, h) = (clip.spec().width, clip.spec().height);
        let noted = format!("printf '%s\\n' \"$@\" >> '{here}/asked.txt'");
        program(&dir, "ffprobe", &format!("{noted}\ncat '{here}/times.txt'"));
        let frames = format!(
            "{noted}\ncase \"$*\" in\n*image2pipe*) printf 'P5\\n{w} {h}\\n255\\n';;\n*) cat '{here}/frames.raw';;\nesac"
        );
        program(&dir, "ffmpeg", &frames);
        dir
    }

    fn read(programs: &Path, clip: &str, more: &[&str]) -> std::process::Output {
        let path = format!("{}:/usr/bin:/bin", programs.display());
        command()
            .args(["rise", clip, "--marks", &filmed().marks()])
            .args(more)
            .env("PATH", path)
            .output()
            .expect("the binary runs")
    }

    #[test]
    fn frames_and_their_uneven_times_come_through_the_programs_as_from_a_folder() {
        let truth = filmed().clip.truth();
        let uneven: Vec<f64> = truth
            .times_s
            .iter()
            .map(|t| t + 0.02 * (9.0 * t).sin())
            .collect();
        let programs = programs("rise-stand-in", uneven.len(), &uneven);
        let clip = put(&programs, "a clip; rm $HOME.mp4", b"a clip");
        let done = read(&programs, &clip, &["--json"]);
        assert!(done.status.success(), "{}", text(&done.stderr));
        let read: Value = serde_json::from_slice(&done.stdout).expect("JSON");
        let leg = &read["readings"]["legs"][0];
        assert_eq!(leg["count"], json!(2));
        for (instant, time) in leg["curve"]
            .as_array()
            .expect("a curve")
            .iter()
            .zip(&uneven)
        {
            let kept = instant["time_s"].as_f64().expect("a time");
            assert!((kept - time).abs() < 1e-5, "{kept} {time}");
        }
        let asked = fs::read_to_string(programs.join("asked.txt")).expect("what was asked");
        let names = asked
            .lines()
            .filter(|l| *l == format!("file:{clip}"))
            .count();
        assert_eq!(names, 3, "{asked}");
        assert!(
            asked.contains("-protocol_whitelist\nfile,pipe\n"),
            "{asked}"
        );
    }

    #[test]
    fn a_frame_too_few_or_too_many_and_times_that_do_not_grow_are_refused() {
        let times = &filmed().clip.truth().times_s;
        let n = times.len();
        let few = programs("rise-few", n - 1, times);
        let told = refusal(&read(&few, &put(&few, "a.mp4", b"a"), &[]));
        assert!(told.contains("expected a frame for each time"), "{told}");
        let many = programs("rise-many", n, &times[..n - 1]);
        let told = refusal(&read(&many, &put(&many, "a.mp4", b"a"), &[]));
        assert!(
            told.contains("more frames than the clip has times"),
            "{told}"
        );
        let mut stuck = times.clone();
        stuck[5] = stuck[4];
        let stuck = programs("rise-stuck", n, &stuck);
        let told = refusal(&read(&stuck, &put(&stuck, "a.mp4", b"a"), &[]));
        assert!(told.contains("the time of frame 5"), "{told}");
    }

    #[test]
    fn sound_alone_a_broken_clip_and_a_program_that_never_ends_are_told_apart() {
        let dir = programs("rise-silent", 2, &[]);
        let clip = put(&dir, "a.mp4", b"a");
        let told = refusal(&read(&dir, &clip, &[]));
        assert!(told.contains("no picture in the clip"), "{told}");
        program(
            &dir,
            "ffprobe",
            "echo '[mov @ 0x1] moov atom not found' >&2; exit 1",
        );
        let told = refusal(&read(&dir, &clip, &[]));
        assert!(told.contains("(moov atom not found)"), "{told}");
        program(&dir, "ffprobe", "exec sleep 600");
        let told = refusal(&read(&dir, &clip, &["--time-limit", "1"]));
        assert!(told.contains("was stopped"), "{told}");
    }

    fn rotated(clip: &str) -> bool {
        let done = std::process::Command::new("ffprobe")
            .args([
                "-v",
                "error",
                "-show_entries",
                "stream_side_data=rotation",
                clip,
            ])
            .output()
            .expect("ffprobe runs");
        text(&done.stdout).contains("rotation=")
    }

    /// Encodes the invented frames, so that the real programs are held against the folder of the same pictures.
    #[test]
    #[ignore = "needs ffmpeg and ffprobe with an H.264 or MPEG-4 encoder"]
    fn clips_that_were_encoded_turned_and_cut_unevenly_give_the_numbers_of_their_pictures() {
        let f = filmed();
        let dir = folder("rise-encoded");
        let ffmpeg = |arguments: &[&str]| {
            let done = std::process::Command::new("ffmpeg")
                .args(["-v", "error", "-y"])
                .args(arguments)
                .output()
                .expect("ffmpeg runs");
            assert!(done.status.success(), "{}", text(&done.stderr));
        };
        let folder_rises = json(&["rise", &f.frames(), "--marks", &f.marks(), "--json"]);
        let pictures = f.dir.join("frames/f%04d.png").display().to_string();
        let at = |name: &str| dir.join(name).display().to_string();
        let (plain, turned, uneven, web) = (
            at("plain.mp4"),
            at("turned.mov"),
            at("uneven.mkv"),
            at("web.webm"),
        );
        let source = ["-framerate", "15", "-i", &pictures];
        let good = ["-pix_fmt", "yuv420p", "-crf", "12"];
        ffmpeg(&[&source[..], &["-c:v", "libx264"], &good, &[&plain]].concat());
        ffmpeg(
            &[
                &source[..],
                &["-c:v", "libvpx-vp9", "-b:v", "0"],
                &good,
                &[&web],
            ]
            .concat(),
        );
        // Lying on its side with a mark that sets it upright.
        let side = at("side.mp4");
        ffmpeg(
            &[
                &source[..],
                &["-vf", "transpose=1", "-c:v", "libx264"],
                &good,
                &[&side],
            ]
            .concat(),
        );
        // Older programs write the mark as a word, newer ones take it as an option.
        let tag = [
            "-i",
            &side,
            "-c",
            "copy",
            "-metadata:s:v",
            "rotate=90",
            &turned,
        ];
        ffmpeg(&tag);
        if !rotated(&turned) {
            let mark = [
                "-display_rotation",
                "90",
                "-i",
                &side,
                "-c",
                "copy",
                &turned,
            ];
            ffmpeg(&mark);
        }
        assert!(rotated(&turned), "the clip carries a mark");
        // Every fourth frame left out, the others at their own times.
        let kept = "select='mod(n,4)-3'";
        ffmpeg(
            &[
                &source[..],
                &["-vf", kept, "-fps_mode", "vfr", "-c:v", "libx264"],
                &good,
                &[&uneven],
            ]
            .concat(),
        );
        for clip in [&plain, &turned, &uneven, &web] {
            let read = json(&["rise", clip, "--marks", &f.marks(), "--json"]);
            let (leg, wanted) = (
                &read["readings"]["legs"][0],
                &folder_rises["readings"]["legs"][0],
            );
            assert_eq!(leg["count"], json!(2), "{clip}");
            let height = |l: &Value| l["best_height"]["value"].as_f64().expect("a height");
            assert!(
                (height(leg) - height(wanted)).abs() < 2.5,
                "{clip}: {}",
                height(leg)
            );
            let change = |l: &Value| l["turn"]["change"]["value"].as_f64().expect("a turn");
            assert!(
                (change(leg) - change(wanted)).abs() < 1.5,
                "{clip}: {}",
                change(leg)
            );
            let last = leg["curve"]
                .as_array()
                .and_then(|c| c.last())
                .expect("a curve");
            assert!(
                (last["time_s"].as_f64().expect("a time") - 4.5).abs() < 0.3,
                "{clip}: {last}"
            );
        }
        let sound = at("sound.m4a");
        ffmpeg(&[
            "-f",
            "lavfi",
            "-i",
            "sine=duration=1",
            "-c:a",
            "aac",
            &sound,
        ]);
        assert!(
            refused(&["rise", &sound, "--marks", &f.marks()]).contains("no picture in the clip")
        );
        let list = put(
            &dir,
            "list.mp4",
            format!("ffconcat version 1.0\nfile '{plain}'\n").as_bytes(),
        );
        let told = refused(&["rise", &list, "--marks", &f.marks()]);
        assert!(told.contains("could not be read"), "{told}");
        let whole = fs::read(&plain).expect("a clip");
        let cut = put(&dir, "cut.mp4", &whole[..whole.len() / 2]);
        assert!(refused(&["rise", &cut, "--marks", &f.marks()]).contains("could not be read"));
    }
}

#[test]
fn a_marker_file_lists_its_labels_until_they_are_chosen_and_then_gives_the_rises() {
    let dir = folder("rise-markers");
    let content = written::Content {
        labels: &written::LABELS,
        places: &written::rising(720, 100.0),
        rate: 100.0,
        unit: "mm",
        scale: 0.05,
    };
    let file = put(
        &dir,
        "walk.C3D",
        &written::written(written::Order::Intel, true, &content),
    );
    let list = said(&["rise", &file]);
    for wanted in [
        "720 frames, 100 a second, mm",
        "RHEE",
        "RMT2",
        "seen in 720 of 720 frames",
    ] {
        assert!(list.contains(wanted), "{wanted}: {list}");
    }
    let chosen = [
        "rise",
        &file,
        "--side",
        "right",
        "--heel",
        "RHEE",
        "--metatarsal",
        "RMT2",
    ];
    let angle = [
        "--heel-upper",
        "RHEU",
        "--leg-lower",
        "RLEG",
        "--leg-upper",
        "RCAL",
        "--up",
        "z",
    ];
    let read = json(&[&chosen[..], &angle, &["--json"]].concat());
    let leg = &read["readings"]["legs"][0];
    assert_eq!(leg["count"], json!(3));
    assert!((leg["best_height"]["value"].as_f64().expect("a height") - 85.0).abs() < 1.0);
    assert!(
        leg["turn"]["change"]["value"]
            .as_f64()
            .is_some_and(|c| (c + 9.0).abs() < 0.6)
    );
    let heights_only = json(&[&chosen[..], &["--json"]].concat());
    assert_eq!(heights_only["readings"]["legs"][0]["turn"], Value::Null);
    assert!(said(&chosen).contains("turn at the top            not known"));
    for (arguments, wanted) in [
        (
            &["--heel", "RHEE", "--metatarsal", "RMT2"][..],
            "does not say which leg",
        ),
        (
            &["--side", "right", "--heel", "RHEE"],
            "--metatarsal 0 times",
        ),
        (
            &["--side", "right", "--heel", "NOSE", "--metatarsal", "RMT2"],
            "no marker called",
        ),
        (
            &[
                "--side",
                "right",
                "--heel",
                "RHEE",
                "--metatarsal",
                "RMT2",
                "--beat",
                "30",
            ],
            "leave --beat out",
        ),
    ] {
        let told = refused(&[&["rise", &file], arguments].concat());
        assert!(told.contains(wanted), "{told}");
    }
    let bad = put(&dir, "bad.c3d", b"\x02\x50 cut");
    assert!(refused(&["rise", &bad]).contains("C3D"));
}
