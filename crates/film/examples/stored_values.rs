//! Prints what the reader makes of files, one JSON line each, for a comparison with a second reader
//! (`checks/film/pydicom_check.py`).
//!
//! `stored_values FILE...` or, for long lists, `stored_values --list TEXTFILE` (one path a line).
//! A film gives `{file, ok: true, rows, cols, sha256}` of its stored values as little-endian 32-bit
//! integers; a refusal gives `{file, ok: false, refused}`. `--dump FOLDER` also writes the values.

use film::{Limits, Samples};
use rayon::prelude::*;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut files = Vec::new();
    let mut dump: Option<PathBuf> = None;
    let mut arguments = std::env::args().skip(1);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--list" => {
                let list = arguments.next().ok_or("--list needs a text file")?;
                files.extend(std::fs::read_to_string(list)?.lines().map(str::to_owned));
            }
            "--dump" => dump = Some(arguments.next().ok_or("--dump needs a folder")?.into()),
            file => files.push(file.to_owned()),
        }
    }
    let mut out = BufWriter::new(std::io::stdout().lock());
    for (number, file) in files.iter().enumerate() {
        let dump = dump
            .as_ref()
            .map(|folder| folder.join(format!("{number}.i32")));
        writeln!(out, "{}", line(file, dump.as_deref())?)?;
    }
    out.flush()?;
    Ok(())
}

fn line(file: &str, dump: Option<&Path>) -> Result<serde_json::Value, std::io::Error> {
    let bytes = std::fs::read(file)?;
    Ok(match film::open(&bytes, &Limits::default()) {
        Ok(film) => {
            let values = little_endian(&film.samples);
            if let Some(path) = dump {
                std::fs::write(path, &values)?;
            }
            serde_json::json!({
                "file": file,
                "ok": true,
                "rows": film.height,
                "cols": film.width,
                "sha256": sha256(&values),
                "packing": film.header.packing,
                "notes": film.notes,
            })
        }
        Err(error) => serde_json::json!({"file": file, "ok": false, "refused": error.to_string()}),
    })
}

fn little_endian(samples: &Samples) -> Vec<u8> {
    match samples {
        Samples::Unsigned(v) => v
            .par_iter()
            .flat_map_iter(|s| i32::from(*s).to_le_bytes())
            .collect(),
        Samples::Signed(v) => v
            .par_iter()
            .flat_map_iter(|s| i32::from(*s).to_le_bytes())
            .collect(),
    }
}

fn sha256(bytes: &[u8]) -> String {
    use sha2::{Digest, Sha256};
    Sha256::digest(bytes)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect()
}
