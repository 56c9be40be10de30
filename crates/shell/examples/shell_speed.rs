//! How long does a device take, from an aligned surface to closed bodies with a post?
//!
//!     shell_speed             on an invented foot, its preview and its files' detail, in words
//!     shell_speed SCAN RUNS   on the foot of a scan, RUNS times: one line of JSON, seconds of each run

use std::error::Error;
use std::time::Instant;
use surface::{Asked, Foot, Load};

#[path = "../tests/common/mod.rs"]
mod common;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match words.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        [] => in_words(&common::foot(255.0, 18.0, terms::Side::Right)),
        [scan, runs] => {
            let file = mesh::read(&std::fs::read(scan)?)?;
            let asked = Asked::load(Load::None);
            let prepared = surface::prepare(file, &asked, &mut |_, _| {})?;
            timed(&prepared.foot, runs.parse()?)
        }
        _ => Err("expected nothing, or a scan and how often: shell_speed SCAN RUNS".into()),
    }
}

#[allow(clippy::disallowed_methods)] // Timing is what this example is for.
fn timed(foot: &Foot, runs: usize) -> Result<(), Box<dyn Error>> {
    let wanted = common::posted(4.0);
    let (mut seconds, mut triangles) = (Vec::new(), 0);
    for _ in 0..runs.max(1) {
        let begun = Instant::now();
        let device = shell::build(foot, &wanted, &common::POWDER, shell::Detail::FINAL)?;
        seconds.push(begun.elapsed().as_secs_f64());
        triangles = device.bodies.iter().map(|b| b.mesh.triangles.len()).sum();
        for body in &device.bodies {
            if let Some(fault) = mesh::check::closed(&body.mesh) {
                return Err(format!("{}: {fault:?}", body.part.words()).into());
            }
        }
    }
    println!(r#"{{"seconds": {seconds:?}, "triangles": {triangles}}}"#);
    Ok(())
}

#[allow(clippy::disallowed_methods)] // Timing is what this example is for.
fn in_words(foot: &Foot) -> Result<(), Box<dyn Error>> {
    for (name, detail) in [
        ("preview", shell::Detail::PREVIEW),
        ("final", shell::Detail::FINAL),
    ] {
        let begun = Instant::now();
        let device = shell::build(foot, &common::posted(4.0), &common::POWDER, detail)?;
        let took = begun.elapsed();
        for body in &device.bodies {
            println!(
                "{name}: {} {} triangles, {:.1} cm³, {:.0} ms",
                body.part.words(),
                body.mesh.triangles.len(),
                body.mesh.volume() / 1000.0,
                took.as_secs_f64() * 1e3
            );
        }
        println!("{:?} {:?}", device.cautions, device.ground);
    }
    Ok(())
}
