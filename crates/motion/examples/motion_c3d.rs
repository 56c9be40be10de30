//! Marker files for another program to read, and what is read from one.
//!
//! `cargo run -p motion --example motion_c3d -- write FOLDER` writes an invented clip of markers in every form with
//! the places as JSON beside it; `… -- read FILE` prints what is read as JSON.

#[path = "../tests/written/mod.rs"]
mod written;

use written::{Content, LABELS, Order, rising, written as bytes_of};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["write", folder] => write(std::path::Path::new(folder)),
        ["read", file] => read(std::path::Path::new(file)),
        _ => {
            eprintln!("expected 'write FOLDER' or 'read FILE'");
            std::process::exit(2);
        }
    }
}

fn write(folder: &std::path::Path) {
    std::fs::create_dir_all(folder).expect("a folder to write to");
    let places = rising(150, 100.0);
    let content = Content {
        labels: &LABELS,
        places: &places,
        rate: 100.0,
        unit: "mm",
        scale: 0.05,
    };
    for order in Order::ALL {
        for floating in [true, false] {
            let kind = if floating { "real" } else { "whole" };
            let name = format!("{order:?}-{kind}.c3d").to_lowercase();
            std::fs::write(folder.join(name), bytes_of(order, floating, &content))
                .expect("a written file");
        }
    }
    let text = serde_json::json!({ "labels": LABELS, "places": places, "rate": 100.0 });
    std::fs::write(folder.join("places.json"), text.to_string()).expect("a written file");
}

fn read(path: &std::path::Path) {
    let bytes = std::fs::read(path).expect("a file to read");
    match motion::marker::open(&bytes) {
        Ok(file) => println!(
            "{}",
            serde_json::json!({ "labels": file.labels, "places": file.places, "rate": file.rate, "unit": file.unit })
        ),
        Err(error) => {
            eprintln!("{error}");
            std::process::exit(1);
        }
    }
}
