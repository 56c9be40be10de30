//! `tiebeam rise` on clips: through programs that stand in for ffmpeg and ffprobe, without them, and with them.
#![cfg(unix)]

mod common;

use common::filmed::filmed;
use common::{command, folder, json, put, refusal, refused, text};
use serde_json::{Value, json};
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

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
        let may_run = fs::Permissions::from_mode(0o755);
        fs::set_permissions(dir.join(name), may_run).expect("a program");
    }
    let told = done(&clip);
    assert!(
        told.contains("no program ffprobe") && told.contains("install them, or write the frames"),
        "{told}"
    );
    let empty = put(&dir, "empty.mp4", b"");
    assert!(done(&empty).contains("the file is empty"));
}

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
    assert!(refused(&["rise", &sound, "--marks", &f.marks()]).contains("no picture in the clip"));
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
