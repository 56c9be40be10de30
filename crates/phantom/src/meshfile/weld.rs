//! Which corners are one vertex, and which triangles hang together?

use super::{MOST, MeshFileError, Raw, broken};
use crate::mesh::Mesh;
use std::collections::BTreeMap;

/// Joins vertices at the same place and drops triangles without area that this leaves.
pub(super) fn welded(format: &'static str, raw: Raw) -> Result<Mesh, MeshFileError> {
    if raw.triangles.is_empty() {
        return Err(broken(format, "no triangles", "a surface"));
    }
    if raw.vertices.len() > 3 * MOST || raw.triangles.len() > MOST {
        return Err(broken(
            format,
            format!("{} triangles", raw.triangles.len()),
            "at most 20 million",
        ));
    }
    let finite = raw.vertices.iter().flatten().all(|c| c.is_finite());
    let extent = raw
        .vertices
        .iter()
        .flatten()
        .fold(0.0f64, |m, c| m.max(c.abs()));
    if !finite || extent == 0.0 {
        return Err(broken(
            format,
            "a coordinate that is no finite number, or none but zero",
            "finite coordinates",
        ));
    }
    // Text formats round to about seven digits: a millionth of the extent is the same place.
    let cell = extent * 1e-6;
    let mut numbers: BTreeMap<[i64; 3], u32> = BTreeMap::new();
    let mut mesh = Mesh::default();
    let index: Vec<u32> = raw
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
    for t in &raw.triangles {
        let [a, b, c] = [index.get(t[0]), index.get(t[1]), index.get(t[2])];
        let (Some(&a), Some(&b), Some(&c)) = (a, b, c) else {
            return Err(broken(
                format,
                format!("corner {t:?}"),
                "numbers of vertices in the file",
            ));
        };
        if a != b && b != c && c != a {
            mesh.triangles.push([a, b, c]);
        }
    }
    Ok(mesh)
}

/// The separate parts of a mesh, the largest volume first.
pub fn pieces(mesh: &Mesh) -> Vec<Mesh> {
    let mut leader: Vec<u32> = (0..mesh.vertices.len() as u32).collect();
    fn find(leader: &mut [u32], mut i: u32) -> u32 {
        while leader[i as usize] != i {
            leader[i as usize] = leader[leader[i as usize] as usize];
            i = leader[i as usize];
        }
        i
    }
    for t in &mesh.triangles {
        let first = find(&mut leader, t[0]);
        for &other in &t[1..] {
            let other = find(&mut leader, other);
            leader[other as usize] = first;
        }
    }
    let mut parts: BTreeMap<u32, (Mesh, BTreeMap<u32, u32>)> = BTreeMap::new();
    for t in &mesh.triangles {
        let (part, numbers) = parts.entry(find(&mut leader, t[0])).or_default();
        let triangle = t.map(|v| {
            *numbers.entry(v).or_insert_with(|| {
                part.vertices.push(mesh.vertices[v as usize]);
                part.vertices.len() as u32 - 1
            })
        });
        part.triangles.push(triangle);
    }
    let mut parts: Vec<Mesh> = parts.into_values().map(|(part, _)| part).collect();
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
