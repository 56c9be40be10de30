//! `tiebeam print` on invented prints of known shape.

mod common;

use common::{folder, json, refused, said};
use phantom::print::{PaperSpec, PrintOutline, PrintSheet, PrintSpec, load_series, sheet};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use terms::Side;

/// A print in the middle of an A4 sheet, half a millimetre a pixel.
fn print(side: Side, paper: &PaperSpec) -> PrintSheet {
    sheet(&[(PrintSpec::plain(side), [105.0, 243.0], 0.0)], paper)
}

fn coarse() -> PaperSpec {
    PaperSpec {
        mm_per_cell: 0.4,
        ..PaperSpec::default()
    }
}

fn png(dir: &Path, name: &str, print: &PrintSheet) -> String {
    let grey: Vec<u8> = print
        .values
        .iter()
        .map(|v| v.round().clamp(0.0, 255.0) as u8)
        .collect();
    let (w, h) = (print.width as u32, print.height as u32);
    put(
        dir,
        name,
        &film::encode_png8(&grey, w, h).expect("a picture"),
    )
}

fn put(dir: &Path, name: &str, bytes: &[u8]) -> String {
    let path: PathBuf = dir.join(name);
    fs::write(&path, bytes).expect("a file");
    path.display().to_string()
}

fn value(json: &Value, measure: &str) -> Option<f64> {
    json["feet"][0]["readings"]
        .as_array()?
        .iter()
        .find(|r| r["measure"] == measure)?["value"]
        .as_f64()
}

fn missing(json: &Value, measure: &str) -> Option<String> {
    let all = json["feet"][0]["missing"].as_array()?;
    let found = all.iter().find(|m| m["measure"] == measure)?;
    Some(found["why"].as_str()?.to_owned())
}

#[test]
fn an_ink_print_with_a_ruler_gives_the_indices_it_was_made_with_each_with_its_error() {
    let dir = folder("print-ruler");
    let file = png(&dir, "print.png", &print(Side::Right, &coarse()));
    let ruler = ["--medium", "ink", "--ruler", "10,700;260,700;100"];
    let read = json(&[&["print", &file, "--json"], &ruler[..]].concat());
    let truth = PrintOutline::new(&PrintSpec::plain(Side::Right)).truth();
    for (measure, wanted, near) in [
        ("arch_index", truth.arch_index, 0.01),
        ("clarke_angle", truth.clarke_angle_deg, 1.0),
        ("foot_length", truth.foot_length, 2.0),
        ("contact_area", truth.area / 100.0, 2.0),
    ] {
        let found = value(&read, measure).expect(measure);
        assert!((found - wanted).abs() < near, "{measure}: {found} {wanted}");
    }
    for r in read["feet"][0]["readings"].as_array().expect("readings") {
        assert!(r["standard_error"].as_f64().is_some_and(|e| e > 0.0), "{r}");
        assert!(
            r["method_version"].is_u64() && r["error_parts"].is_object(),
            "{r}"
        );
    }
    assert_eq!(read["feet"][0]["side"], "right");
    assert_eq!(read["steps"]["format"], "tiebeam-print-work");
    let table = said(&[&["print", &file], &ruler[..]].concat());
    assert!(
        table.contains("right foot") && table.contains("arch index") && table.contains('±'),
        "{table}"
    );
}

#[test]
fn norms_of_standing_and_walking_prints_are_never_mixed_and_none_is_chosen_where_nobody_said() {
    let dir = folder("print-doing");
    let file = png(&dir, "print.png", &print(Side::Left, &coarse()));
    let base = ["print", &file, "--medium", "ink", "--age", "40"];
    let of = |doing: &[&str]| json(&[&base[..], doing, &["--json"]].concat());
    let item = |json: &Value| {
        json["feet"][0]["readings"]
            .as_array()
            .expect("readings")
            .iter()
            .filter_map(|r| r["item"].as_str().map(str::to_owned))
            .collect::<Vec<String>>()
    };
    let standing = item(&of(&["--doing", "standing"]));
    let walking = item(&of(&["--doing", "walking"]));
    assert!(standing.len() > 2 && standing.iter().all(|i| i.ends_with("_standing")));
    assert_eq!(walking, ["arch_index_walking"]);
    let unsaid = of(&[]);
    assert!(item(&unsaid).is_empty());
    let yardsticks = unsaid["feet"][0]["readings"].as_array().expect("readings");
    assert!(
        yardsticks
            .iter()
            .all(|r| r["yardsticks"] == serde_json::json!([]))
    );
    assert!(said(&base).contains("not said whether it was taken standing or walking"));
    let told = said(&[&base[..], &["--doing", "standing"]].concat());
    assert!(
        !told.contains("not said") && told.contains("not judged: known from memory only"),
        "{told}"
    );
    let child = [
        "print", &file, "--medium", "ink", "--age", "8", "--doing", "standing",
    ];
    let told = said(&child);
    assert!(
        told.contains("a Banwell2018") && told.contains("  inside"),
        "{told}"
    );
}

#[test]
fn a_picture_without_a_scale_gives_ratios_and_says_why_lengths_are_missing() {
    let dir = folder("print-no-scale");
    let file = png(&dir, "print.png", &print(Side::Right, &coarse()));
    let read = json(&["print", &file, "--json"]);
    assert!(value(&read, "arch_index").is_some());
    assert_eq!(value(&read, "foot_length"), None);
    assert_eq!(
        missing(&read, "foot_length").as_deref(),
        Some("the scale is not known")
    );
    let table = said(&["print", &file]);
    assert!(
        table.contains("scale not known")
            && table.contains("(a guess)")
            && table.contains("look: the kind of print is a guess"),
        "{table}"
    );
}

#[test]
fn a_photograph_at_a_tilt_is_set_right_by_the_corners_of_its_paper() {
    let dir = folder("print-corners");
    let paper = PaperSpec {
        tilt: [0.08, 0.12],
        around_cells: 20,
        ..coarse()
    };
    let tilted = print(Side::Right, &paper);
    let file = png(&dir, "print.png", &tilted);
    let corners: Vec<String> = tilted
        .corners
        .iter()
        .map(|c| format!("{:.2},{:.2}", c[0], c[1]))
        .collect();
    let corners = format!("--corners={}", corners.join(";"));
    let base = ["print", &file, "--medium", "ink", "--paper", "a4", &corners];
    let read = json(&[&base[..], &["--json"]].concat());
    let truth = PrintOutline::new(&PrintSpec::plain(Side::Right)).truth();
    let length = value(&read, "foot_length").expect("a length");
    assert!((length - truth.foot_length).abs() < 3.0, "{length}");
    let alone = refused_by_usage(&["print", &file, &corners]);
    assert!(alone.contains("--paper"), "{alone}");
}

/// What is no use of the command is told by its usage.
fn refused_by_usage(arguments: &[&str]) -> String {
    let done = common::tiebeam(arguments);
    assert_eq!(done.status.code(), Some(2));
    common::text(&done.stderr)
}

#[test]
fn a_walk_over_a_grid_gives_loads_and_the_path_and_needs_the_distance_of_its_sensors() {
    let dir = folder("print-grid");
    let spec = PrintSpec::plain(Side::Right);
    let grid = PaperSpec {
        mm_per_cell: 5.0,
        ..PaperSpec::default()
    };
    // From the heel to the great toe, in the outline's frame.
    let path: Vec<[f64; 2]> = (0..24)
        .map(|i| [12.0 + 9.0 * f64::from(i), 0.6 * f64::from(i)])
        .collect();
    let (cover, frames) = load_series(&spec, [105.0, 250.0], &grid, &path, 250.0, 22.0);
    let mut table = String::new();
    for (n, frame) in frames.iter().enumerate() {
        table += &format!("frame {n}\n");
        for row in frame.chunks(cover.width) {
            let cells: Vec<String> = row.iter().map(|v| format!("{v:.2}")).collect();
            table += &(cells.join(";") + "\n");
        }
    }
    let file = put(&dir, "walk.csv", table.as_bytes());
    let base = ["print", &file, "--side", "right", "--doing", "walking"];
    let pitch = ["--pitch", "5", "--unit", "kpa", "--rate", "50"];
    let read = json(&[&base[..], &pitch[..], &["--json"]].concat());
    assert_eq!(read["medium"], "pressure");
    assert!(value(&read, "rear_load").is_some(), "{read:#}");
    let regions = read["feet"][0]["pressure"]["regions"]
        .as_array()
        .expect("regions");
    let whole: f64 = regions
        .iter()
        .filter_map(|r| r["load_share"]["value"].as_f64())
        .sum();
    assert!((whole - 100.0).abs() < 1.0, "{whole}");
    assert!(said(&[&base[..], &pitch[..]].concat()).contains("load, heel"));
    assert!(refused(&base).contains("--pitch 8.5"));
    let medium = refused(&[&base[..], &["--medium", "pressure"]].concat());
    assert!(medium.contains("--pitch"), "{medium}");
    let ink = refused(&[&base[..], &["--medium", "ink", "--pitch", "5"]].concat());
    assert!(ink.contains("--ruler"), "{ink}");
}

#[test]
fn the_drawing_holds_the_print_its_outline_and_the_value_and_the_same_input_gives_the_same_bytes() {
    let dir = folder("print-drawing");
    let file = png(&dir, "print.png", &print(Side::Right, &coarse()));
    let out = dir.join("drawing.svg").display().to_string();
    let draw = || {
        let table = said(&["print", &file, "--medium", "ink", "--drawing", &out]);
        (table, fs::read_to_string(&out).expect("a drawing"))
    };
    let (first, again) = (draw(), draw());
    assert_eq!(first, again);
    let svg = first.1;
    assert!(svg.starts_with("<svg") && svg.contains("data:image/png;base64,"));
    assert!(svg.contains("outline-0-0") && svg.contains("arch index"));
    let nowhere = dir.join("no/such/folder.svg").display().to_string();
    let told = refused(&["print", &file, "--drawing", &nowhere]);
    assert!(told.contains("could not be written"), "{told}");
}

#[test]
fn every_file_that_is_no_print_gets_one_sentence() {
    let dir = folder("print-bad");
    let whole = print(Side::Right, &coarse());
    let picture = fs::read(png(&dir, "whole.png", &whole)).expect("a picture");
    let blank = PrintSheet {
        values: vec![235.0; whole.values.len()],
        ..whole.clone()
    };
    let half = PrintSheet {
        height: whole.height / 2,
        values: whole.values[..whole.width * (whole.height / 2)].to_vec(),
        ..whole
    };
    let bad = [
        put(&dir, "empty.png", b""),
        put(&dir, "text.png", b"this is a letter and no print"),
        put(&dir, "cut.png", &picture[..picture.len() / 2]),
        put(&dir, "--medium", b"\x00\x01\x02"),
        png(&dir, "blank.png", &blank),
        png(&dir, "half.png", &half),
        dir.join("nowhere.png").display().to_string(),
        dir.display().to_string(),
    ];
    for file in &bad {
        let told = refused(&["print", file]);
        println!("{told}");
        assert!(told.len() > 40, "{told}");
    }
    let grid = put(&dir, "grid.csv", b"1;2;3\n4;x;6\n");
    let told = refused(&["print", &grid, "--pitch", "5"]);
    assert!(told.contains("line 2, column 2"), "{told}");
    let good = dir.join("whole.png").display().to_string();
    for scale in ["1,1;5,1;100", "1,1;900,1;0"] {
        let told = refused(&["print", &good, "--ruler", scale]);
        assert!(told.contains("ruler"), "{told}");
    }
}
