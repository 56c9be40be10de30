//! Prints a shell's table on an invented foot, with the time it took.

use std::time::Instant;

#[path = "../../shell/tests/common/mod.rs"]
mod common;

#[allow(clippy::disallowed_methods)] // Timing is what this example is for.
fn main() {
    let foot = common::foot(255.0, 18.0, terms::Side::Right);
    let known = knowledge::Knowledge::built_in();
    let Ok(cases) = strength::from_knowledge::cases(known.load_cases()) else {
        return;
    };
    let Some(Ok(material)) = known
        .material("pp-homopolymer")
        .map(|m| strength::from_knowledge::material(m, 1e6))
    else {
        return;
    };
    for (name, wanted) in [
        ("plain", common::plain()),
        ("posted 4°", common::posted(4.0)),
    ] {
        let device = match shell::build(&foot, &wanted, &common::POWDER, shell::Detail::FINAL) {
            Ok(device) => device,
            Err(fault) => {
                println!("{name}: {fault}");
                continue;
            }
        };
        for unknowns in [strength::PREVIEW_UNKNOWNS, strength::PAGE_UNKNOWNS] {
            let question = strength::Question {
                device: &device,
                wanted: &wanted,
                shell: &material,
                post: None,
                weight_kg: 75.0,
                cases: &cases,
                unknowns,
            };
            let begun = Instant::now();
            let told = strength::Bench::new(question).and_then(|bench| {
                let meshed = begun.elapsed();
                let report = bench.report()?;
                let all = begun.elapsed();
                println!(
                    "{name}: {} unknowns, {} triangles, {:.2} mm apart; meshed after {:.0} ms, all after {:.0} ms",
                    report.unknowns,
                    report.net.triangles.len(),
                    report.net.spacing_mm,
                    meshed.as_secs_f64() * 1e3,
                    all.as_secs_f64() * 1e3
                );
                for line in report.table() {
                    println!("  {line}");
                }
                println!(
                    "  {:?} {:?}, {:.2} of the forefoot's load on the shell",
                    report.masses, report.posts, report.forefoot_on_shell
                );
                if unknowns == strength::PREVIEW_UNKNOWNS {
                    for s in bench.sensitivity()? {
                        println!(
                            "  {} {}: arch {:.2?} mm, stress {:.1?} MPa at lowest, usual, highest modulus",
                            s.case,
                            s.held.words(),
                            s.arch_drop_mm,
                            s.stress_mpa
                        );
                    }
                }
                for held in [strength::Held::Slides, strength::Held::Pinned] {
                    let begun = Instant::now();
                    match bench.large_motion("L2", held) {
                        Err(fault) => println!(
                            "  L2 {}: {fault}; {:.0} ms",
                            held.words(),
                            begun.elapsed().as_secs_f64() * 1e3
                        ),
                        Ok(large) => println!(
                            "  {}; corrections {:?}; {:.0} ms",
                            large.line(),
                            large.corrections,
                            begun.elapsed().as_secs_f64() * 1e3
                        ),
                    }
                }
                Ok(())
            });
            if let Err(fault) = told {
                println!("{name}: {fault}");
            }
        }
    }
    for sentence in strength::left_out() {
        println!("{sentence}");
    }
}
