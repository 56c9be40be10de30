//! How long do the tree, the check and the simplifying take, here?
//!
//!     cargo run -p mesh --example mesh_speed [-- threads [simplify]]
//!
//! One line of JSON for each step; with `simplify` only those of simplifying. 0 threads are as many as the machine
//! has. The surfaces are invented: a bent blob with ripples of a tenth of a millimetre, as large as a foot, and a
//! thin bent plate.

use mesh::check::{Options, WallOptions, check, closed, crossings};
use mesh::iso::{Lattice, extract};
use mesh::near::{Ray, Tree};
use mesh::simplify::{Target, simplify};
use mesh::topology::Topology;
use mesh::{Mesh, read, write};
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    if let Some(threads) = std::env::args().nth(1) {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads.parse()?)
            .build_global()?;
    }
    simplifying();
    if std::env::args().nth(2).as_deref() == Some("simplify") {
        return Ok(());
    }
    for step in [1.24, 0.877] {
        let mesh = timed("surface extracted", 0, || blob(step));
        let n = mesh.triangles.len();
        let topology = timed("topology", n, || Topology::of(&mesh));
        assert!(topology.rims().is_empty());
        let tree = timed("tree", n, || Tree::of(&mesh));
        let places: Vec<[f64; 3]> = mesh
            .vertices
            .iter()
            .map(|v| [v[0] * 1.01, v[1] - 0.3, v[2] + 0.2])
            .collect();
        timed("nearest, every vertex moved a little", n, || {
            tree.nearest_all(&places).len()
        });
        let rays: Vec<Ray> = places
            .iter()
            .map(|&p| Ray::new(p, [0.1, 0.2, 1.0]))
            .collect();
        timed("first hits, as many", n, || tree.first_hits(&rays).len());
        let found = timed("self-intersection without tree", n, || {
            crossings(&mesh, &tree)
        });
        assert!(found.crossing.is_empty() && found.touching.is_empty());
        timed("self-intersection with tree", n, || {
            crossings(&mesh, &Tree::of(&mesh))
        });
        let options = Options {
            crossings: true,
            wall: Some(WallOptions::default()),
        };
        timed("whole check", n, || check(&mesh, &options));
        let stl = timed("STL written", n, || write::stl(&mesh, "speed"))?;
        timed("STL read", n, || read(&stl))?;
        let material = write::Material {
            name: "any",
            colour: [200, 200, 200],
        };
        let body = write::Body {
            name: "blob",
            mesh: &mesh,
            material,
        };
        let model = write::Model {
            title: "speed",
            description: None,
            bodies: &[body],
        };
        let packed = timed("3MF written", n, || write::three_mf(&model))?;
        timed("3MF read", n, || read(&packed))?;
    }
    Ok(())
}

/// What the way from a scan to a print asks for, and a preview.
fn simplifying() {
    let within = |deviation| Target {
        deviation: Some(deviation),
        triangles: None,
    };
    let to = |triangles| Target {
        deviation: None,
        triangles: Some(triangles),
    };
    let (scan, solid, small) = (blob(0.877), plate(0.842), blob(1.39));
    for (what, mesh, target) in [
        ("scan within 0.1 mm", &scan, within(0.1)),
        ("scan within 0.05 mm", &scan, within(0.05)),
        ("scan to 60,000", &scan, to(60_000)),
        ("thin solid within 0.02 mm", &solid, within(0.02)),
        ("preview to 9,000", &small, to(9_000)),
    ] {
        let simple = timed(what, mesh.triangles.len(), || simplify(mesh, &target));
        let found = crossings(&simple.mesh, &Tree::of(&simple.mesh));
        println!(
            "  {} triangles, closed {}, crossing {} touching {}, {:?}",
            simple.mesh.triangles.len(),
            closed(&simple.mesh).is_none(),
            found.crossing.len(),
            found.touching.len(),
            simple.strayed,
        );
    }
}

fn timed<T>(what: &str, triangles: usize, run: impl FnOnce() -> T) -> T {
    let (start, before) = (Instant::now(), processor_ms());
    let out = run();
    let ms = start.elapsed().as_secs_f64() * 1e3;
    let cpu = processor_ms() - before;
    println!(
        "{{\"step\": \"{what}\", \"triangles\": {triangles}, \"ms\": {ms:.0}, \"processor_ms\": {cpu:.0}}}"
    );
    out
}

/// Processor time of all threads so far, to a hundredth of a second; what counts where others use the machine
/// too. 0 where the system does not tell.
fn processor_ms() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let after_name = stat.rsplit(')').next().unwrap_or_default();
    let fields: Vec<f64> = after_name
        .split_whitespace()
        .map(|w| w.parse().unwrap_or(0.0))
        .collect();
    fields.get(11..13).map_or(0.0, |t| (t[0] + t[1]) * 10.0)
}

/// About 250,000 triangles at a step of 1.24 mm, twice as many at 0.877.
fn blob(step: f64) -> Mesh {
    let low = [-135.0, -50.0, -45.0];
    let high = [135.0, 50.0, 45.0];
    let mut lattice = Lattice::filled(low, high, step, 1.0);
    let [nx, ny, nz] = lattice.size;
    for k in 0..nz {
        for j in 0..ny {
            for i in 0..nx {
                let [x, y, z] = lattice.place(i, j, k);
                let z = z - 8.0 * (x / 60.0).sin();
                let (a, b, c) = (x / 125.0, y / (38.0 + 0.08 * x), z / 30.0);
                let ripple = 0.1 * (0.9 * x).sin() * (1.1 * y).sin() * (z * 0.7).cos();
                let d = ((a * a + b * b + c * c).sqrt() - 1.0) * 30.0 + ripple;
                let at = lattice.index(i, j, k);
                lattice.values[at] = d as f32;
            }
        }
    }
    extract(&lattice)
}

/// A plate of 2.5 mm bent in two ways, 260 mm long, with a rounded rim.
fn plate(step: f64) -> Mesh {
    let low = [-135.0, -50.0, -20.0];
    let high = [135.0, 50.0, 20.0];
    let mut lattice = Lattice::filled(low, high, step, 1.0);
    let [nx, ny, nz] = lattice.size;
    for k in 0..nz {
        for j in 0..ny {
            for i in 0..nx {
                let [x, y, z] = lattice.place(i, j, k);
                let across = z - 8.0 * (x / 50.0).sin() - 0.005 * y * y;
                let along = (((x / 130.0).powi(2) + (y / 42.0).powi(2)).sqrt() - 1.0) * 42.0;
                let d = if along > 0.0 {
                    along.hypot(across)
                } else {
                    across.abs()
                };
                let at = lattice.index(i, j, k);
                lattice.values[at] = (d - 1.25) as f32;
            }
        }
    }
    extract(&lattice)
}
