//! How long a letter takes once the program is warm: `cargo run -p letter --example letter_speed`.
//!
//! Twenty distinct letters to the referring doctor, each with its own words and the annotated film of
//! 1200 pixels, after one that is not counted; composing, setting and writing the PDF together.

#[path = "../tests/common/mod.rs"]
mod common;
mod shared;

use std::error::Error;
use std::time::Instant;

const LETTERS: usize = 20;
const GOAL_MS: f64 = 300.0;

fn main() -> Result<(), Box<dyn Error>> {
    let (points, facts, png) = shared::flat_foot_film()?;
    let mut visit = common::visit(
        common::ADULT,
        &[
            (terms::Side::Left, common::ADULT_LEFT),
            (terms::Side::Right, common::ADULT_RIGHT),
        ],
        &[(points.clone(), facts)],
        &["calm", "therapy", "orthosis"],
    );
    visit.picture = shared::annotated(&points, &visit.sheets[0].1, &png)?;
    let mut times_ms = Vec::with_capacity(LETTERS);
    let (mut bytes, mut pages) = (0, 0);
    for i in 0..=LETTERS {
        visit.name = format!("Sample Person {i} (invented)");
        visit.chart = format!("{i:04}");
        visit.decision = format!("Calm it, hold it from below; see again in {} weeks", i + 2);
        visit.story.set(
            "complaint",
            &format!("It aches on stairs, for the {i}th time."),
        )?;
        let started = Instant::now();
        let pdf = letter::referrer_letter(&visit.letter_facts())?;
        let took_ms = started.elapsed().as_secs_f64() * 1000.0;
        if i > 0 {
            times_ms.push(took_ms);
        }
        (bytes, pages) = (pdf.bytes.len(), pdf.pages);
    }
    times_ms.sort_by(f64::total_cmp);
    let median = (times_ms[LETTERS / 2 - 1] + times_ms[LETTERS / 2]) / 2.0;
    println!(
        "{LETTERS} letters of {pages} pages and {} kB: fastest {:.0} ms, slowest {:.0} ms",
        bytes / 1024,
        times_ms[0],
        times_ms[LETTERS - 1]
    );
    println!(
        r#"BENCH {{"name":"letter warm","value":{median:.1},"ours":{median:.1},"unit":"ms","reference":null,"ratio":null,"goal":"< 300 ms","holds":{}}}"#,
        median < GOAL_MS
    );
    Ok(())
}
