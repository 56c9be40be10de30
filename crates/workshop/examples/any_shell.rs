//! Random prescriptions on scans: is every device sound, or refused with a reason?
//!
//!     any_shell COUNT preview|final SCAN...
//!
//! Every scan gets COUNT prescriptions, the same ones. Prints `FIGURE {json}` lines; a device that is neither
//! sound nor refused is named with its scan and number.

#[path = "../../shell/tests/common/mod.rs"]
mod common;

use common::any::{Dice, any};
use knowledge::Knowledge;
use mesh::check::{Options, check};
use serde_json::json;
use shell::{Detail, Making, Part};
use std::error::Error;
use terms::Load;
use workshop::{Asked, Product, Sheet, Wish, making, of_scan};

#[derive(Default)]
struct Count {
    made: usize,
    refused: usize,
    faulty: usize,
    bodies: usize,
    dimensions: usize,
    kept: usize,
    thin: usize,
    thinnest_mm: Option<f64>,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut words = std::env::args().skip(1);
    let count: usize = words.next().ok_or("say how many prescriptions")?.parse()?;
    let last = words.next().ok_or("say preview or final")? == "final";
    let knowledge = Knowledge::built_in();
    let mut total = Count::default();
    let mut scans = 0;
    for path in words {
        let bytes = std::fs::read(&path)?;
        let asked = Asked {
            unit: None,
            side: None,
            load: Load::None,
            age_years: None,
        };
        let open = of_scan(&bytes, &asked).map_err(|e| format!("{path}: {e}"))?;
        scans += 1;
        let mut dice = Dice(30_020);
        for n in 0..count {
            let mut wanted = any(&mut dice);
            wanted.shell.material = "pa12-laser".into();
            let named = format!("{path}, prescription {n}");
            let limits: Making = making(knowledge, &wanted);
            if last {
                let wish = Wish {
                    sheet: Sheet::of(wanted),
                    moved: Default::default(),
                };
                match workshop::make(&open, wish, limits, knowledge, &mut |_, _| Some(())) {
                    Some(Ok(files)) => {
                        assert_eq!(files.product, Product::Shell);
                        total.made += 1;
                        total.bodies += files.bodies.len();
                        total.dimensions += files
                            .dimensions
                            .iter()
                            .filter(|d| d.asked.is_some())
                            .count();
                        total.kept += files
                            .dimensions
                            .iter()
                            .filter(|d| d.asked.is_some() && d.kept())
                            .count();
                        for d in files.dimensions.iter().filter(|d| !d.kept()) {
                            println!("{named}: {} {:?} for {:?}", d.what, d.found, d.asked);
                        }
                        for b in &files.bodies {
                            if let Some(thin) = b.thinnest_mm {
                                // Dimensions are kept to 0.1 mm.
                                if thin < limits.least_wall_mm - 0.1 {
                                    total.faulty += 1;
                                    println!(
                                        "{named}: wall of {thin:.2} mm at {:.1?}",
                                        b.thinnest_at
                                    );
                                }
                                let least = total.thinnest_mm.get_or_insert(thin);
                                *least = least.min(thin);
                            }
                        }
                        if !files.is_sound() {
                            total.faulty += 1;
                            let faults: Vec<_> = files.bodies.iter().map(|b| &b.faults).collect();
                            println!("{named}: {faults:?}");
                        }
                    }
                    Some(Err(why)) => {
                        total.refused += 1;
                        total.thin += usize::from(why.contains("mm thick"));
                        println!("{named}: refused: {why}");
                    }
                    None => unreachable_step(&named),
                }
                continue;
            }
            match shell::build(&open.foot, &wanted, &limits, Detail::PREVIEW) {
                Ok(device) => {
                    total.made += 1;
                    for body in &device.bodies {
                        total.bodies += 1;
                        let report = check(
                            &body.mesh,
                            &Options {
                                crossings: true,
                                wall: None,
                            },
                        );
                        if !report.is_sound()
                            || (body.part == Part::Shell && report.components != 1)
                        {
                            total.faulty += 1;
                            println!("{named}, {}: {:?}", body.part.words(), report.faults);
                        }
                    }
                }
                Err(_) => total.refused += 1,
            }
        }
        eprintln!(
            "{path}: {} made, {} refused, {} faulty so far",
            total.made, total.refused, total.faulty
        );
    }
    let way = if last { "as written" } else { "as shown" };
    let figure = |name: String, value: f64, unit: &str, goal: &str, holds: bool| {
        println!(
            "FIGURE {}",
            json!({ "name": name, "value": value, "unit": unit, "goal": goal, "holds": holds })
        );
    };
    let tried = total.made + total.refused;
    figure(
        format!("{count} random prescriptions on {scans} scans, {way}: neither sound nor refused"),
        total.faulty as f64,
        "devices",
        "0",
        total.faulty == 0 && tried == count * scans,
    );
    figure(
        format!("{count} random prescriptions on {scans} scans, {way}: refused with a reason"),
        total.refused as f64,
        &format!("of {tried}"),
        "a reason each",
        total.made > 0,
    );
    if last {
        figure(
            format!(
                "{count} random prescriptions on {scans} scans: dimensions read back as prescribed"
            ),
            100.0 * total.kept as f64 / total.dimensions.max(1) as f64,
            "%",
            "told where not",
            true,
        );
        if let Some(thin) = total.thinnest_mm {
            figure(
                format!("{count} random prescriptions on {scans} scans: thinnest wall"),
                thin,
                "mm",
                "the process's least, 0.1 mm less at most",
                total.faulty == 0,
            );
            figure(
                format!(
                    "{count} random prescriptions on {scans} scans: refused for a wall under the process's least"
                ),
                total.thin as f64,
                &format!("of {tried}"),
                "each with its place",
                true,
            );
        }
    }
    Ok(())
}

fn unreachable_step(named: &str) {
    println!("{named}: was stopped, though nobody stopped it");
}
