//! Which corners are one vertex, and which triangles hang together?

use mesh::Mesh;
use mesh::topology::{Topology, parts};
use std::collections::BTreeMap;

/// Joins vertices at the same place and drops triangles without area that this leaves.
pub(super) fn welded(file: &Mesh) -> Mesh {
    let extent = file
        .vertices
        .iter()
        .flatten()
        .fold(0.0f64, |m, c| m.max(c.abs()));
    // Text formats round to about seven digits: a millionth of the extent is the same place.
    let cell = (extent * 1e-6).max(f64::MIN_POSITIVE);
    let mut numbers: BTreeMap<[i64; 3], u32> = BTreeMap::new();
    let mut mesh = Mesh::default();
    let index: Vec<u32> = file
        .vertices
        .iter()
        .map(|&v| {
            *numbers
                .entry(v.map(|c| (c / cell).round() as i64))
                .or_insert_with(|| {
                    mesh.vertices.push(v);
                    mesh.vertices.len() as u32 - 1
                })
        })
        .collect();
    mesh.triangles = file
        .triangles
        .iter()
        .map(|t| t.map(|v| index[v as usize]))
        .filter(|[a, b, c]| a != b && b != c && c != a)
        .collect();
    mesh
}

/// The separate parts of a mesh, the largest volume first.
pub fn pieces(mesh: &Mesh) -> Vec<Mesh> {
    let mut parts = parts(mesh, &Topology::of(mesh).components_by_vertex());
    parts.sort_by(|a, b| b.volume().abs().total_cmp(&a.volume().abs()));
    parts
}

/// Closes holes whose rim has at most `most_edges` edges by a fan from one corner; gives their number.
/// Wider holes, and rims that meet at a vertex, stay open.
pub(super) fn close_holes(mesh: &mut Mesh, most_edges: usize) -> usize {
    let mut directed: BTreeMap<(u32, u32), u32> = BTreeMap::new();
    for t in &mesh.triangles {
        for k in 0..3 {
            *directed.entry((t[k], t[(k + 1) % 3])).or_default() += 1;
        }
    }
    let mut next: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for &(a, b) in directed
        .keys()
        .filter(|&&(a, b)| !directed.contains_key(&(b, a)))
    {
        next.entry(a).or_default().push(b);
    }
    let mut closed = 0;
    let starts: Vec<u32> = next.keys().copied().collect();
    for start in starts {
        let mut rim = vec![start];
        while rim.len() <= most_edges {
            let at = rim[rim.len() - 1];
            match next.get(&at).map(Vec::as_slice) {
                Some(&[to]) if to == start => break,
                Some(&[to]) => rim.push(to),
                _ => rim = vec![0; most_edges + 1],
            }
        }
        if rim.len() >= 3 && rim.len() <= most_edges {
            mesh.triangles
                .extend((1..rim.len() - 1).map(|i| [rim[0], rim[i + 1], rim[i]]));
            rim.iter().for_each(|v| drop(next.remove(v)));
            closed += 1;
        }
    }
    closed
}
