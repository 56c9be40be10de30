//! `tiebeam rise` on an invented clip as a folder of pictures, and on marker files.

mod common;
#[path = "../../motion/tests/written/mod.rs"]
mod written;

use common::filmed::{filmed, marks};
use common::{folder, json, put, refused, said};
use serde_json::{Value, json};
use std::fs;
use std::path::Path;

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
