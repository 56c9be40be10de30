//! Writes one object of every kind into a folder, with what each must say, for the check in Python.
//!
//!     dicom_objects FOLDER

#[path = "../tests/common/mod.rs"]
mod common;

use common::sheet::{READINGS, TRACKING, all};
use quantity::Z_975;
use serde_json::json;
use std::path::Path;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::env::args()
        .nth(1)
        .ok_or("found no folder; expected one to write into")?;
    let folder = Path::new(&folder);
    let film = common::film_file(1);
    std::fs::write(folder.join("film.dcm"), &film)?;
    for (name, made) in all(&film) {
        std::fs::write(folder.join(format!("{name}.dcm")), &made.file)?;
    }
    let readings: Vec<_> = READINGS
        .iter()
        .enumerate()
        .map(|(i, (measure, name, value, error, unit))| {
            let unit = exchange_dicom::objects::unit(*unit);
            json!({
                "measure": measure,
                "name": name,
                "value": value,
                "standard_error": error,
                "half_width": Z_975 * error,
                "unit": unit.value,
                "version": (i + 1).to_string(),
            })
        })
        .collect();
    let expected = json!({
        "readings": readings,
        "tracking_uid": format!("2.25.{TRACKING}"),
        "reader": "Reader",
        "paper_bytes": common::sheet::PAPER.len(),
    });
    std::fs::write(folder.join("expected.json"), expected.to_string())?;
    Ok(())
}
