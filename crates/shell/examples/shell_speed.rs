//! Times the steps of a device on an invented foot and says how many triangles it has.

use std::time::Instant;

#[path = "../tests/common/mod.rs"]
mod common;

#[allow(clippy::disallowed_methods)] // Timing is what this example is for.
fn main() {
    let foot = common::foot(255.0, 18.0, terms::Side::Right);
    let wanted = common::posted(4.0);
    for (name, detail) in [
        ("preview", shell::Detail::PREVIEW),
        ("final", shell::Detail::FINAL),
    ] {
        let begun = Instant::now();
        match shell::build(&foot, &wanted, &common::POWDER, detail) {
            Ok(device) => {
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
                if let Some(path) = std::env::args().nth(1) {
                    write(&format!("{path}/{name}.stl"), &device.bodies[0].mesh);
                }
            }
            Err(fault) => println!("{name}: {fault}"),
        }
    }
}

fn write(path: &str, mesh: &mesh::Mesh) {
    let mut out = vec![0u8; 80];
    out.extend((mesh.triangles.len() as u32).to_le_bytes());
    for i in 0..mesh.triangles.len() {
        out.extend([0u8; 12]);
        for corner in mesh.corners(i) {
            for c in corner {
                out.extend((c as f32).to_le_bytes());
            }
        }
        out.extend([0u8; 2]);
    }
    if let Err(fault) = std::fs::write(path, out) {
        println!("{path}: {fault}");
    }
}
