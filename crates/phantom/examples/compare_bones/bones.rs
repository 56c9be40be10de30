//! Which of the package's meshes is which bone, and where does it lie?

use phantom::Mesh;
use phantom::meshfile::{Axes, FileUnit, Holes, Told, pieces, read, stand};
use std::error::Error;
use std::path::Path;
use terms::Side;

/// Files of one side with where each file's own zero lies in the foot's frame, mm (z for a right foot): the
/// joint places of the package's own leg model. Its shin bone is no closed surface (edges with three and more
/// triangles) and is refused by the reader, so the leg is left out and what rests on it cannot be read.
const FILES: [(&str, [f64; 3]); 3] = [
    ("foot", [0.0; 3]),
    ("talus", [48.77, 41.95, -7.92]),
    ("bofoot", [178.8, -2.0, 1.08]),
];

/// The bones of one foot with their names, standing.
pub fn read_foot(folder: &Path, side: Side) -> Result<Vec<(String, Mesh)>, Box<dyn Error>> {
    let (letter, out) = match side {
        Side::Right => ("r", 1.0),
        Side::Left => ("l", -1.0),
    };
    let mut bones = Vec::new();
    for (file, shift) in FILES {
        let name = format!("{letter}_{file}.stl");
        let path = folder.join(&name);
        let bytes = std::fs::read(&path)
            .map_err(|e| format!("{} could not be read: {e}", path.display()))?;
        let got = read(&bytes, Some(FileUnit::Metre), Holes::CloseUpTo { edges: 4 })?;
        eprintln!(
            "{name}: {} triangles, {} small holes closed",
            got.mesh.triangles.len(),
            got.holes_closed
        );
        let parts: Vec<Mesh> = pieces(&got.mesh)
            .iter()
            .map(|part| part.map(|[x, y, z]| [x + shift[0], y + shift[1], z + out * shift[2]]))
            .collect();
        bones.extend(named(file, parts, out));
    }
    let told = Told {
        axes: Some(Axes::WORLD),
        side: Some(side),
        floor_mm: None,
    };
    stand(&mut bones, &told)?;
    Ok(bones)
}

fn middle(mesh: &Mesh, axis: usize) -> f64 {
    mesh.bounds()
        .map_or(0.0, |(l, h)| (l[axis] + h[axis]) / 2.0)
}

/// Names the parts by where they lie; `out` is 1 where z runs outwards.
fn named(file: &str, parts: Vec<Mesh>, out: f64) -> Vec<(String, Mesh)> {
    match file {
        "foot" => tarsals_and_metatarsals(parts, out),
        "bofoot" => toes(parts, out),
        bone => parts.into_iter().map(|m| (bone.to_owned(), m)).collect(),
    }
}

/// The largest is the calcaneus, the five longest others are the metatarsals from the inner side outwards,
/// the outermost of the rest is the cuboid, the rearmost the navicular, and the cuneiforms follow outwards.
fn tarsals_and_metatarsals(mut parts: Vec<Mesh>, out: f64) -> Vec<(String, Mesh)> {
    let outwards = |m: &Mesh| middle(m, 2) * out;
    if parts.is_empty() {
        return vec![];
    }
    let mut bones = vec![("calcaneus".to_owned(), parts.remove(0))];
    parts.sort_by(|a, b| super::longest(b).total_cmp(&super::longest(a)));
    let mut rest = parts.split_off(parts.len().min(5));
    parts.sort_by(|a, b| outwards(a).total_cmp(&outwards(b)));
    bones.extend((1..).map(|n| format!("metatarsal {n}")).zip(parts));
    rest.sort_by(|a, b| outwards(a).total_cmp(&outwards(b)));
    bones.extend(rest.pop().map(|m| ("cuboid".to_owned(), m)));
    let rearmost =
        (0..rest.len()).min_by(|a, b| middle(&rest[*a], 0).total_cmp(&middle(&rest[*b], 0)));
    bones.extend(rearmost.map(|at| ("navicular".to_owned(), rest.remove(at))));
    let cuneiforms = [
        "medial cuneiform",
        "intermediate cuneiform",
        "lateral cuneiform",
    ];
    bones.extend(cuneiforms.map(str::to_owned).into_iter().zip(rest));
    bones
}

/// Two phalanges for the great toe, then three for each of the others, from back to front.
fn toes(mut parts: Vec<Mesh>, out: f64) -> Vec<(String, Mesh)> {
    parts.sort_by(|a, b| (middle(a, 2) * out).total_cmp(&(middle(b, 2) * out)));
    let mut bones = Vec::new();
    for toe in 1..=5 {
        let places: &[&str] = if toe == 1 {
            &["proximal", "distal"]
        } else {
            &["proximal", "middle", "distal"]
        };
        let mut of_toe: Vec<Mesh> = parts.drain(..places.len().min(parts.len())).collect();
        of_toe.sort_by(|a, b| middle(a, 0).total_cmp(&middle(b, 0)));
        bones.extend(places.iter().map(|p| format!("toe {toe} {p}")).zip(of_toe));
    }
    bones
}
