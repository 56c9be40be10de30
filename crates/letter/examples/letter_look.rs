//! Papers of two invented visits, to be looked at: `cargo run -p letter --example letter_look -- OUT`.
//!
//! Writes sheet, letter to the referring doctor and letter to the patient (or the parents) as PDF, the
//! plain text of each, and the annotated film, into the folder OUT.

#[path = "../tests/common/mod.rs"]
mod common;
mod shared;

use std::error::Error;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let out = std::env::args()
        .nth(1)
        .ok_or("found no folder; say where the papers go: letter_look OUT")?;
    let out = Path::new(&out);
    std::fs::create_dir_all(out)?;
    let (points, facts, png) = shared::flat_foot_film()?;
    for (name, mut visit) in [
        (
            "adult",
            common::visit(
                common::ADULT,
                &[
                    (terms::Side::Left, common::ADULT_LEFT),
                    (terms::Side::Right, common::ADULT_RIGHT),
                ],
                &[(points.clone(), facts.clone())],
                &["calm", "therapy", "orthosis"],
            ),
        ),
        (
            "child",
            common::visit(
                common::CHILD,
                &[
                    (terms::Side::Left, common::CHILD_FOOT),
                    (terms::Side::Right, common::CHILD_FOOT),
                ],
                &[(points.clone(), facts.clone())],
                &["child-help"],
            ),
        ),
    ] {
        visit.picture = shared::annotated(&points, &visit.sheets[0].1, &png)?;
        std::fs::write(out.join("film.png"), &visit.picture)?;
        let letter = visit.letter_facts();
        let sheet = letter::reading_sheet(&visit.sheet_facts(0))?;
        println!("{name}: sheet of {} page", sheet.pages);
        std::fs::write(out.join(format!("{name}-sheet.pdf")), sheet.bytes)?;
        for (kind, composed) in [
            ("referrer", letter::compose::referrer_letter(&letter)),
            ("patient", letter::compose::patient_letter(&letter)),
        ] {
            let pdf = letter::render(&composed.document, &composed.pictures)?;
            println!("{name}: {kind}, {} pages", pdf.pages);
            std::fs::write(out.join(format!("{name}-{kind}.pdf")), pdf.bytes)?;
            std::fs::write(
                out.join(format!("{name}-{kind}.txt")),
                composed.document.text(),
            )?;
        }
    }
    Ok(())
}
