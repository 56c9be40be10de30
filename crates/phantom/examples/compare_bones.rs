//! The phantom's bones beside bone meshes from files:
//! `cargo run -p phantom --example compare_bones -- FOLDER [OUT]`.
//!
//! FOLDER holds the meshes of the PyPI package `myo-sim` 0.2.4 (Apache-2.0; in the wheel under
//! `myo_sim/models/meshes/`): `r_foot.stl` (eleven bones), `r_talus.stl`, `r_bofoot.stl` (toes), in metres.
//! They stay outside the project. Prints a table as JSON: the longest extent and the volume of each bone,
//! the phantom's over the mesh's, after the phantom is scaled to the same heel-to-toe length. With OUT,
//! writes lateral and dorsoplantar films taken straight from the meshes to that folder.

use phantom::expose::dicom::Paper;
use phantom::expose::{Exposure, MeshBone, MeshFoot, expose_meshes};
use phantom::meshfile::{BoneRecipe, FileUnit, Holes, bone_from, pieces, read, skin_around};
use phantom::{FootSpec, Mesh, build};
use serde_json::{Value, json};
use std::error::Error;
use std::path::Path;
use terms::{Side, View};
use time::macros::datetime;

fn main() -> Result<(), Box<dyn Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let folder = words
        .first()
        .ok_or("found no folder; say where the meshes lie: compare_bones FOLDER [OUT]")?;
    let bones = meshes(Path::new(folder))?;
    println!("{}", serde_json::to_string_pretty(&table(&bones)?)?);
    if let Some(out) = words.get(1) {
        films(&bones, Path::new(out))?;
    }
    Ok(())
}

/// Where each file's own zero lies in the foot's frame, mm.
const FILES: [(&str, [f64; 3]); 3] = [
    ("r_foot.stl", [0.0; 3]),
    ("r_talus.stl", [48.77, 41.95, -7.92]),
    ("r_bofoot.stl", [178.8, -2.0, 1.08]),
];

fn meshes(folder: &Path) -> Result<Vec<(String, Mesh)>, Box<dyn Error>> {
    let mut bones = Vec::new();
    for (file, shift) in FILES {
        let path = folder.join(file);
        let bytes = std::fs::read(&path)
            .map_err(|e| format!("{} could not be read: {e}", path.display()))?;
        let got = read(&bytes, Some(FileUnit::Metre), Holes::CloseUpTo { edges: 4 })?;
        eprintln!(
            "{file}: {} triangles, {} small holes closed",
            got.mesh.triangles.len(),
            got.holes_closed
        );
        let parts: Vec<Mesh> = pieces(&got.mesh)
            .iter()
            .map(|part| part.map(|v| std::array::from_fn(|k| v[k] + shift[k])))
            .collect();
        bones.extend(named(file, parts));
    }
    // Standing on the floor with a little flesh under the lowest bone.
    let low = bones
        .iter()
        .filter_map(|(_, m)| m.bounds())
        .map(|(l, _)| l[1])
        .fold(f64::INFINITY, f64::min);
    for (_, mesh) in &mut bones {
        *mesh = mesh.map(|[x, y, z]| [x, y - low + 9.0, z]);
    }
    Ok(bones)
}

/// Names the parts by where they lie: the largest is the calcaneus, the five longest others are the
/// metatarsals from the inner side outwards, the rest follow from back to front.
fn named(file: &str, mut parts: Vec<Mesh>) -> Vec<(String, Mesh)> {
    let middle = |m: &Mesh, k: usize| m.bounds().map_or(0.0, |(l, h)| (l[k] + h[k]) / 2.0);
    if file == "r_talus.stl" {
        return parts.into_iter().map(|m| ("talus".into(), m)).collect();
    }
    if file == "r_bofoot.stl" {
        return parts
            .into_iter()
            .enumerate()
            .map(|(i, m)| (format!("toe part {}", i + 1), m))
            .collect();
    }
    let mut bones = vec![("calcaneus".to_string(), parts.remove(0))];
    parts.sort_by(|a, b| longest(b).total_cmp(&longest(a)));
    let rest = parts.split_off(parts.len().min(5));
    parts.sort_by(|a, b| middle(a, 2).total_cmp(&middle(b, 2)));
    bones.extend(
        parts
            .into_iter()
            .enumerate()
            .map(|(i, m)| (format!("metatarsal {}", i + 1), m)),
    );
    let mut rest = rest;
    rest.sort_by(|a, b| middle(a, 2).total_cmp(&middle(b, 2)));
    // Across the foot: medial cuneiform, navicular, intermediate and lateral cuneiform, cuboid; the
    // navicular lies behind the cuneiforms.
    rest.sort_by(|a, b| middle(a, 0).total_cmp(&middle(b, 0)));
    let (cuboid_at, _) = rest
        .iter()
        .enumerate()
        .max_by(|a, b| middle(a.1, 2).total_cmp(&middle(b.1, 2)))
        .unwrap_or((0, &bones[0].1));
    bones.push(("cuboid".into(), rest.remove(cuboid_at)));
    bones.push(("navicular".into(), rest.remove(0)));
    rest.sort_by(|a, b| middle(a, 2).total_cmp(&middle(b, 2)));
    let names = [
        "medial cuneiform",
        "intermediate cuneiform",
        "lateral cuneiform",
    ];
    bones.extend(names.iter().map(|n| n.to_string()).zip(rest));
    bones
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
    for (name, mesh) in bones.iter().filter(|(name, _)| !name.starts_with("toe")) {
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

fn films(bones: &[(String, Mesh)], out: &Path) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(out)?;
    let mut drawn = Vec::new();
    for (name, mesh) in bones {
        let (outer, inner) = bone_from(mesh, BoneRecipe::default())?;
        drawn.push(MeshBone {
            name: name.clone(),
            outer,
            inner,
            density: 1.0,
        });
    }
    let skin = skin_around(&drawn.iter().map(|b| &b.outer).collect::<Vec<_>>(), 9.0)?;
    let foot = MeshFoot {
        side: Side::Right,
        bones: drawn,
        skin: Some(skin),
    };
    for view in [View::Lateral, View::Dorsoplantar] {
        let film = expose_meshes(&foot, &Exposure::usual_for_length(view, 285.0))?;
        let grey: Vec<u8> = film
            .pixels
            .iter()
            .map(|p| (p >> (film.exposure.tone.bits_stored - 8)) as u8)
            .collect();
        let png = film::encode_png8(&grey, film.width as u32, film.height as u32)?;
        std::fs::write(out.join(format!("meshes-{}.png", view.key())), png)?;
        let paper = Paper::invented(datetime!(2026-05-04 10:30), 2);
        std::fs::write(
            out.join(format!("meshes-{}.dcm", view.key())),
            film.dicom(&paper)?,
        )?;
    }
    Ok(())
}
