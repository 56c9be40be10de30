//! Papers of invented orders, to be looked at: `order_look OUT`.
//!
//! Writes two order sheets and the break-in sheets as PDF, with their plain text, into the folder OUT.

#[path = "../tests/common/mod.rs"]
mod common;

use common::order;
use std::error::Error;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let out = std::env::args()
        .nth(1)
        .ok_or("found no folder; say where the papers go: order_look OUT")?;
    let out = Path::new(&out);
    std::fs::create_dir_all(out)?;
    let (usual, everything) = (order::usual(), order::everything());
    let mut bare = usual.facts();
    bare.found = &[];
    bare.strength = None;
    bare.files.clear();
    bare.signed = Some("25 November 2026, 14:10");
    for (name, facts) in [
        ("usual", usual.facts()),
        ("everything", everything.facts()),
        ("bare", bare),
    ] {
        let composed = letter::compose::order_sheet(&facts);
        let pdf = letter::render(&composed.document, &composed.pictures)?;
        println!(
            "order, {name}: {} pages, {} kB",
            pdf.pages,
            pdf.bytes.len() / 1000
        );
        std::fs::write(out.join(format!("order-{name}.pdf")), pdf.bytes)?;
        std::fs::write(
            out.join(format!("order-{name}.txt")),
            composed.document.text(),
        )?;
    }
    for (name, child, feeling_lost) in [
        ("adult", false, Some(false)),
        ("numb", false, Some(true)),
        ("child", true, None),
    ] {
        let facts = letter::BreakInFacts {
            child,
            feeling_lost,
            ..order::break_in(&usual.practice)
        };
        let composed = letter::compose::break_in_sheet(&facts);
        let pdf = letter::render(&composed.document, &composed.pictures)?;
        println!("break-in, {name}: {} pages", pdf.pages);
        std::fs::write(out.join(format!("break-in-{name}.pdf")), pdf.bytes)?;
        std::fs::write(
            out.join(format!("break-in-{name}.txt")),
            composed.document.text(),
        )?;
    }
    Ok(())
}
