//! Surfaces written to files for other programs to read, and files of other programs read here.
//!
//!     cargo run -p mesh --example samples -- FOLDER
//!     cargo run -p mesh --example samples -- --read FILE...
//!
//! Prints one line of JSON for each file with what is known of it. Every surface is invented.

use mesh::check::{Options, check};
use mesh::iso::{Lattice, extract};
use mesh::shapes::{ball, beside, cuboid, quartered, shifted, torus};
use mesh::simplify::{Target, simplify};
use mesh::write::{Body, Material, Model};
use mesh::{Mesh, read, write};
use std::error::Error;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.as_slice() {
        [flag, files @ ..] if flag == "--read" => {
            for file in files {
                let got = read(&std::fs::read(file)?)?;
                tell(file, got.format.name(), &got.mesh);
            }
            Ok(())
        }
        [folder] => write_all(Path::new(folder)),
        _ => Err("found no folder; give one, or --read and files".into()),
    }
}

fn tell(file: &str, format: &str, mesh: &Mesh) {
    let crossings = Options {
        crossings: true,
        wall: None,
    };
    let report = check(mesh, &crossings);
    let file = file.replace('\\', "/");
    println!(
        "{{\"file\": \"{file}\", \"format\": \"{format}\", \"vertices\": {}, \"triangles\": {}, \"components\": {}, \"genus\": {}, \"volume\": {}, \"area\": {}, \"faults\": {}}}",
        report.vertices,
        report.triangles,
        report.components,
        report.genus.map_or("null".into(), |g| g.to_string()),
        report.volume.map_or("null".into(), |v| v.to_string()),
        report.area,
        report.faults.len(),
    );
}

fn write_all(folder: &Path) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(folder)?;
    let plate = within(&pierced(), 0.02);
    let surfaces = [
        ("cube", cuboid([0.0; 3], [20.0, 30.0, 5.0])),
        ("ball", ball(25.0, 5)),
        ("ring", torus(40.0, 6.0, 200, 48)),
        (
            "two",
            beside(
                &ball(8.0, 3),
                &shifted(&torus(20.0, 4.0, 60, 24), [0.3, 0.1, 0.7]),
            ),
        ),
        ("pierced-plate", pierced()),
        ("pierced-plate-simplified", plate.clone()),
        (
            "fine",
            quartered(&cuboid([-1.0, -2.0, 100.0], [90.0, 45.0, 103.0]), 6),
        ),
    ];
    for (name, mesh) in &surfaces {
        let file = folder.join(format!("{name}.stl"));
        std::fs::write(&file, write::stl(mesh, name)?)?;
        tell(&file.to_string_lossy(), "binary STL", mesh);
        let bodies = [body(name, mesh, 90)];
        let file = folder.join(format!("{name}.3mf"));
        std::fs::write(&file, three_mf(name, &bodies)?)?;
        tell(&file.to_string_lossy(), "3MF", mesh);
    }
    let post = cuboid([10.0, 10.0, -9.0], [30.0, 22.0, -4.0]);
    let file = folder.join("two-bodies.3mf");
    std::fs::write(
        &file,
        three_mf(
            "two bodies",
            &[body("plate", &plate, 90), body("post", &post, 200)],
        )?,
    )?;
    tell(&file.to_string_lossy(), "3MF", &beside(&plate, &post));
    Ok(())
}

fn body<'a>(name: &'a str, mesh: &'a Mesh, grey: u8) -> Body<'a> {
    let name_of_material = if grey > 128 { "foam" } else { "nylon" };
    Body {
        name,
        mesh,
        material: Material {
            name: name_of_material,
            colour: [grey; 3],
        },
    }
}

fn three_mf(title: &str, bodies: &[Body<'_>]) -> Result<Vec<u8>, mesh::MeshError> {
    write::three_mf(&Model {
        title,
        description: Some("invented, for tests"),
        bodies,
    })
}

fn within(mesh: &Mesh, deviation: f64) -> Mesh {
    let target = Target {
        deviation: Some(deviation),
        triangles: None,
    };
    simplify(mesh, &target).mesh
}

/// A bent plate of 3 mm with rounded edges and two holes.
fn pierced() -> Mesh {
    let mut lattice = Lattice::filled([-36.0, -21.0, -9.0], [36.0, 21.0, 9.0], 0.4, 1.0);
    let [nx, ny, nz] = lattice.size;
    for k in 0..nz {
        for j in 0..ny {
            for i in 0..nx {
                let [x, y, z] = lattice.place(i, j, k);
                let z = z - 3.0 * (x / 12.0).sin() - 0.002 * y * y;
                let hole = |cx: f64, r: f64| r - ((x - cx).powi(2) + y * y).sqrt();
                let side = (x.abs() - 32.0)
                    .max(y.abs() - 17.0)
                    .max(hole(-12.0, 6.0))
                    .max(hole(14.0, 4.0));
                // Rounded by 1 mm where the faces meet the sides.
                let (a, b) = ((side + 1.0).max(0.0), (z.abs() - 0.5).max(0.0));
                let d = (a * a + b * b).sqrt() - 1.0
                    + (side + 1.0).min(0.0).max(z.abs() - 0.5).min(0.0);
                let at = lattice.index(i, j, k);
                lattice.values[at] = d as f32;
            }
        }
    }
    extract(&lattice)
}
