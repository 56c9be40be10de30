//! The phantom's bones beside bone meshes from files:
//! `cargo run -p phantom --example compare_bones -- FOLDER [OUT]`.
//!
//! FOLDER holds the meshes of the PyPI package `myo-sim` 0.2.4 (Apache-2.0; in the wheel under
//! `myo_sim/models/meshes/`), in metres. They stay outside the project. Prints a table as JSON: the longest
//! extent and the volume of each bone, the phantom's over the mesh's, after the phantom is scaled to the same
//! heel-to-toe length. With OUT, writes films of all views taken straight from the meshes to that folder, and
//! beside each its points, its truth and what the readings make of the points.

mod bones;
mod films;

use phantom::{FootSpec, Mesh, build};
use serde_json::{Value, json};
use std::error::Error;
use std::path::Path;
use terms::{Side, View};

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let folder = words
        .first()
        .ok_or("found no folder; say where the meshes lie: compare_bones FOLDER [OUT]")?;
    let folder = Path::new(folder);
    let right = bones::read_foot(folder, Side::Right)?;
    println!("{}", serde_json::to_string_pretty(&table(&right)?)?);
    if let Some(out) = words.get(1) {
        let out = Path::new(out);
        std::fs::create_dir_all(out)?;
        let both = [View::Lateral, View::Dorsoplantar];
        let mut right = films::foot(Side::Right, &right)?;
        films::write(&right, &View::ALL, 0.0, "right", out)?;
        // What lacks its bone must be refused, not invented.
        let without = ["navicular", "metatarsal 5"];
        right.bones.retain(|b| !without.contains(&b.name.as_str()));
        films::write(&right, &both, 0.0, "incomplete", out)?;
        let left = films::foot(Side::Left, &bones::read_foot(folder, Side::Left)?)?;
        films::write(&left, &both, 6.0, "left-turned", out)?;
    }
    Ok(())
}

/// The largest distance between two vertices.
fn longest(mesh: &Mesh) -> f64 {
    let v = &mesh.vertices;
    // Extreme along many directions: enough for a length, and quick on fine meshes.
    let mut best = 0.0f64;
    for i in 0..200 {
        let (up, turn) = (
            f64::from(i % 20) / 20.0 * std::f64::consts::PI,
            f64::from(i / 20) / 10.0 * std::f64::consts::PI,
        );
        let d = [up.sin() * turn.cos(), up.cos(), up.sin() * turn.sin()];
        let along = |p: &[f64; 3]| p[0] * d[0] + p[1] * d[1] + p[2] * d[2];
        let (low, high) = v
            .iter()
            .map(along)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), a| {
                (l.min(a), h.max(a))
            });
        best = best.max(high - low);
    }
    best
}

fn table(bones: &[(String, Mesh)]) -> Result<Value, Box<dyn Error>> {
    let extent_x = |meshes: &mut dyn Iterator<Item = &Mesh>| {
        let (low, high) = meshes
            .filter_map(Mesh::bounds)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), (a, b)| {
                (l.min(a[0]), h.max(b[0]))
            });
        high - low
    };
    let foot = build(&FootSpec::adult())?;
    let below = |name: &str| !(name.contains("tibia") || name.contains("fibula"));
    let ours = extent_x(
        &mut foot
            .bones
            .iter()
            .filter(|b| below(b.name))
            .map(|b| &b.outer),
    );
    let theirs = extent_x(&mut bones.iter().map(|(_, m)| m));
    let scale = theirs / ours;
    let mut rows = Vec::new();
    for (name, mesh) in bones
        .iter()
        // Its toes are scaled copies of one shape.
        .filter(|(name, _)| !name.starts_with("toe"))
    {
        let Some(bone) = foot.bone(name) else {
            continue;
        };
        let (a, b) = (longest(&bone.outer) * scale, longest(mesh));
        let (va, vb) = (
            bone.outer.volume() * scale.powi(3) / 1000.0,
            mesh.volume() / 1000.0,
        );
        let round = |v: f64, to: f64| (v * to).round() / to;
        rows.push(json!({
            "bone": name,
            "phantom_length_mm": round(a, 10.0),
            "mesh_length_mm": round(b, 10.0),
            "length_ratio": round(a / b, 1000.0),
            "phantom_volume_cm3": round(va, 10.0),
            "mesh_volume_cm3": round(vb, 10.0),
            "volume_ratio": round(va / vb, 1000.0),
        }));
    }
    Ok(json!({
        "meshes": "PyPI myo-sim 0.2.4, Apache-2.0: one adult's bones, coarse; no flatfoot",
        "bones_heel_to_toe_mm": { "phantom": ours, "meshes": theirs, "phantom_scaled_by": scale },
        "bones": rows,
    }))
}
