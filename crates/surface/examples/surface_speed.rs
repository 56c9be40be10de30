//! How long does it take from a scan file's bytes to a mended, aligned surface?
//!
//!     cargo run -p surface --example surface_speed -- --write FILE   an invented scan of 500,000 triangles, as STL
//!     cargo run -p surface --example surface_speed -- FILE [RUNS]    one line of JSON: seconds of each run and step
//!     cargo run -p surface --example surface_speed -- FILE --out OUT the surface in the foot frame, as STL
//!
//! The scan has noise, stray pieces, a plate under it, holes between the toes, doubled and flipped faces, and
//! lies askew.

use mesh::Mesh;
use phantom::scan::{Ground, Holes, Place, ScanSpec, make};
use serde_json::json;
use std::error::Error;
use std::time::Instant;
use surface::{Asked, Load, Prepared, prepare};

/// How far the kept skin may stray from the mended one.
const DEVIATION_MM: f64 = 0.1;
const TRIANGLES: usize = 500_000;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["--write", file] => Ok(std::fs::write(file, stl(&scan()?))?),
        [file] => timed(file, 3),
        [file, "--out", out] => {
            let skin = once(&std::fs::read(file)?, &mut |_| {})?.foot.skin.ok_or("found no skin")?;
            Ok(std::fs::write(out, stl(&skin))?)
        }
        [file, runs] => timed(file, runs.parse()?),
        _ => Err("found no file; expected: surface_speed --write FILE, or FILE [RUNS], or FILE --out OUT".into()),
    }
}

fn scan() -> Result<Mesh, Box<dyn Error>> {
    let holes = |place, count, diameter_mm| Holes {
        place,
        count,
        diameter_mm,
    };
    let spec = ScanSpec {
        triangles: TRIANGLES,
        noise_mm: 0.15,
        holes: vec![
            holes(Place::BetweenToes, 4, 7.0),
            holes(Place::Anywhere, 6, 6.0),
        ],
        strays: 8,
        doubled: 2,
        flipped: 3,
        ground: Ground::Plate { below_mm: 3.0 },
        turn_deg: [90.0, 20.0, -35.0],
        ..ScanSpec::default()
    };
    Ok(make(&spec)?.mesh)
}

/// As a scanner writes it: torn and turned as it is.
fn stl(mesh: &Mesh) -> Vec<u8> {
    let mut bytes = vec![b' '; 80];
    bytes.extend((mesh.triangles.len() as u32).to_le_bytes());
    for t in 0..mesh.triangles.len() {
        bytes.extend([0; 12]);
        for c in mesh.corners(t).into_iter().flatten() {
            bytes.extend((c as f32).to_le_bytes());
        }
        bytes.extend([0; 2]);
    }
    bytes
}

fn once(bytes: &[u8], step: &mut dyn FnMut(&'static str)) -> Result<Prepared, Box<dyn Error>> {
    step("reading");
    let file = mesh::read(bytes)?;
    let asked = Asked {
        working_deviation_mm: Some(DEVIATION_MM),
        ..Asked::load(Load::None)
    };
    Ok(prepare(file, &asked, &mut |_, what| step(what))?)
}

/// Processor time of all threads so far, to a hundredth of a second: what counts where others use the machine too.
/// 0 where the system does not tell.
fn processor_s() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields: Vec<f64> = stat
        .rsplit(')')
        .next()
        .unwrap_or_default()
        .split_whitespace()
        .map(|w| w.parse().unwrap_or(0.0))
        .collect();
    fields.get(11..13).map_or(0.0, |t| (t[0] + t[1]) / 100.0)
}

#[allow(clippy::disallowed_methods)] // Timing is what this example is for.
fn timed(file: &str, runs: usize) -> Result<(), Box<dyn Error>> {
    let bytes = std::fs::read(file)?;
    let (mut seconds, mut processor) = (Vec::new(), Vec::new());
    let mut found = None;
    // The least of all runs, so that others on the machine count as little as can be.
    let mut least: Vec<(&str, f64)> = Vec::new();
    for _ in 0..runs.max(1) {
        let (start, before) = (Instant::now(), processor_s());
        let mut begun: Vec<(&str, Instant)> = Vec::new();
        let done = once(&bytes, &mut |what| begun.push((what, Instant::now())))?;
        seconds.push(start.elapsed().as_secs_f64());
        for pair in begun.windows(2) {
            let took = (pair[1].1 - pair[0].1).as_secs_f64();
            match least.iter_mut().find(|s| s.0 == pair[0].0) {
                Some(step) => step.1 = step.1.min(took),
                None => least.push((pair[0].0, took)),
            }
        }
        found = Some(done);
        processor.push(processor_s() - before);
    }
    let found = found.ok_or("found no run")?;
    println!(
        "{}",
        json!({
            "seconds": seconds,
            "processor_s": processor,
            "least_of_each_step_s": serde_json::Value::Object(least.iter().map(|&(what, s)| (what.into(), json!(s))).collect()),
            "triangles_in_file": found.report.triangles_in_file,
            "triangles": found.report.triangles,
            "strayed_mm": found.report.simplified_by_mm,
            "mends": found.report.mends.iter().map(|m| m.words.as_str()).collect::<Vec<_>>(),
        })
    );
    Ok(())
}
