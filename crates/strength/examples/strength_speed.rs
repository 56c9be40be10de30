//! Times the strength of one invented device at the page's size: every load case, every way of holding, contact
//! with the floor, and both ends of the modulus band.
//!
//! `cargo run -p strength --example strength_speed [TIMES]`
//!
//! One line `TIMES {json}` for each repetition. Processor time is that of all threads together.

#[path = "../../shell/tests/common/mod.rs"]
mod common;

use std::time::Instant;

/// Seconds on all processors so far; the system counts in hundredths.
fn processor_s() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/stat").ok()?;
    let fields: Vec<&str> = text.rsplit_once(')')?.1.split_whitespace().collect();
    let ticks = |n: usize| fields.get(n)?.parse::<f64>().ok();
    Some((ticks(11)? + ticks(12)?) / 100.0)
}

#[allow(clippy::disallowed_methods)] // Timing is what this example is for.
fn main() -> Result<(), Box<dyn std::error::Error>> {
    let times: usize = std::env::args().nth(1).map_or(Ok(3), |n| n.parse())?;
    let foot = common::foot(255.0, 18.0, terms::Side::Right);
    let known = knowledge::Knowledge::built_in();
    let cases = strength::from_knowledge::cases(known.load_cases())?;
    let material = known.material("pp-homopolymer").ok_or("no such material")?;
    let material = strength::from_knowledge::material(material, 1e6)?;
    for (name, wanted) in [("plain", common::plain()), ("posted", common::posted(4.0))] {
        let device = shell::build(&foot, &wanted, &common::POWDER, shell::Detail::FINAL)?;
        for _ in 0..times {
            let (wall, processor) = (Instant::now(), processor_s());
            let bench = strength::Bench::new(strength::Question {
                device: &device,
                wanted: &wanted,
                shell: &material,
                post: None,
                weight_kg: 75.0,
                cases: &cases,
                unknowns: strength::PAGE_UNKNOWNS,
            })?;
            let meshed = wall.elapsed().as_secs_f64();
            let (report, bands) = bench.report_and_sensitivity()?;
            let all = wall.elapsed().as_secs_f64();
            let spent = processor_s()
                .zip(processor)
                .map(|(after, before)| after - before);
            println!(
                "TIMES {}",
                serde_json::json!({
                    "device": name,
                    "unknowns": report.unknowns,
                    "outcomes": report.outcomes.len(),
                    "bands": bands.len(),
                    "mesh_s": meshed,
                    "all_s": all,
                    "processor_s": spent,
                })
            );
        }
    }
    Ok(())
}
