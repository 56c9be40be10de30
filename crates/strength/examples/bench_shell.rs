//! Writes a clamped shell under a stamp, with its motion, for `checks/strength/second.py`.

#[path = "../../shell/tests/common/mod.rs"]
mod common;

use strength::{Band, Material, Question, Stiffness};

const MODULUS_MPA: f64 = 1400.0;
const POISSON: f64 = 0.4;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let foot = common::foot(255.0, 18.0, terms::Side::Right);
    let wanted = common::plain();
    let device = shell::build(&foot, &wanted, &common::POWDER, shell::Detail::PREVIEW)?;
    let material = Material {
        name: "invented".into(),
        stiffness: Stiffness::Alike {
            modulus_mpa: Band::exactly(MODULUS_MPA),
            poisson: POISSON,
        },
        density: None,
        allowable_mpa: None,
        fatigue: None,
    };
    let cases = strength::from_knowledge::cases(knowledge::Knowledge::built_in().load_cases())?;
    let bench = strength::Bench::new(Question {
        device: &device,
        wanted: &wanted,
        shell: &material,
        post: None,
        weight_kg: 75.0,
        cases: &cases,
        unknowns: std::env::args().nth(1).map_or(Ok(12_000), |n| n.parse())?,
    })?;
    let case = bench.clamped_stamp()?.ok_or("no case with a stamp")?;
    let system = fem::System::new(case.model)?;
    let motion = system.solve(&[&case.load])?.remove(0);
    let nodes = &bench.net().nodes;
    let held = system.model().supports().held();
    let three = |six: &[f64]| [six[0], six[1], six[2]];
    let out = serde_json::json!({
        "modulus_mpa": MODULUS_MPA,
        "poisson": POISSON,
        "middle": nodes.iter().map(|n| <[f64; 3]>::from(n.middle)).collect::<Vec<_>>(),
        "down": nodes.iter().map(|n| <[f64; 3]>::from(n.down)).collect::<Vec<_>>(),
        "thickness": nodes.iter().map(|n| n.thickness).collect::<Vec<_>>(),
        "triangles": bench.net().triangles,
        "held": (0..nodes.len()).filter(|&n| held[n][0].is_some()).collect::<Vec<_>>(),
        "force": case.load.entries().chunks_exact(6).map(three).collect::<Vec<_>>(),
        "motion": motion.entries().chunks_exact(6).map(three).collect::<Vec<_>>(),
    });
    println!("{out}");
    Ok(())
}
