//! What the crate's own tests compute on.

use nalgebra::Point3;

use crate::{Mesh, Model, Section, Supports, System, Thickness};

/// A sheet 0.2 thick over a grid of `n` by `m` squares of side 1, held at its end x = 0; node `j (n + 1) + i`
/// lies at (i, j, height).
pub(crate) fn held_sheet(
    n: usize,
    m: usize,
    section: Section,
    height: impl Fn(f64, f64) -> f64,
) -> System {
    let at = |i: usize, j: usize| j * (n + 1) + i;
    let nodes = (0..=m)
        .flat_map(|j| (0..=n).map(move |i| (i as f64, j as f64)))
        .map(|(x, y)| Point3::new(x, y, height(x, y)))
        .collect();
    let triangles = (0..m)
        .flat_map(|j| (0..n).map(move |i| (i, j)))
        .flat_map(|(i, j)| {
            [
                [at(i, j), at(i + 1, j), at(i + 1, j + 1)],
                [at(i, j), at(i + 1, j + 1), at(i, j + 1)],
            ]
        })
        .collect();
    let mesh = Mesh::new(nodes, triangles, Thickness::Uniform(0.2)).unwrap();
    let mut supports = Supports::none(mesh.nodes().len());
    for j in 0..=m {
        supports.hold_all(at(0, j));
    }
    System::new(Model::new(mesh, section).with_supports(supports).unwrap()).unwrap()
}
