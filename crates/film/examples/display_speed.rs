//! Times film bytes to display-ready 8-bit grey, for `checks/film/display_speed.py`.
//!
//! `display_speed RUNS FILE...` prints one JSON line for each file: the shortest and the middle of
//! the runs in milliseconds, and the SHA-256 is left to the comparison: `--dump FOLDER` writes the
//! grey pixels as raw bytes.

use film::Limits;
use std::path::PathBuf;
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let runs: usize = arguments
        .next()
        .ok_or("expected the number of runs")?
        .parse()?;
    let mut dump: Option<PathBuf> = None;
    let mut number = 0;
    while let Some(argument) = arguments.next() {
        if argument == "--dump" {
            dump = Some(arguments.next().ok_or("--dump needs a folder")?.into());
            continue;
        }
        let bytes = std::fs::read(&argument)?;
        let mut times = Vec::new();
        let mut grey = Vec::new();
        for _ in 0..runs.max(1) {
            let start = Instant::now();
            let film = film::open(&bytes, &Limits::default())?;
            grey = film.display8(film.default_window());
            times.push(start.elapsed().as_secs_f64() * 1000.0);
        }
        times.sort_unstable_by(f64::total_cmp);
        if let Some(folder) = &dump {
            std::fs::write(folder.join(format!("{number}.u8")), &grey)?;
        }
        number += 1;
        let middle = times.get(times.len() / 2).copied();
        println!(
            "{}",
            serde_json::json!({
                "file": argument,
                "shortest_ms": times.first(),
                "middle_ms": middle,
                "pixels": grey.len(),
            })
        );
    }
    Ok(())
}
