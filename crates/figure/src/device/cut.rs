//! What does a plane cut out of a solid?
//!
//! The loops along which a signed distance is zero on a triangle surface. A corner that lies exactly on the
//! plane counts as above it, so that every loop closes.

use super::level::chained;
use mesh::Mesh;
use std::collections::BTreeMap;

/// Closed loops on the surface where `above` changes its sign.
pub(crate) fn loops(mesh: &Mesh, above: impl Fn([f64; 3]) -> f64) -> Vec<Vec<[f64; 3]>> {
    let values: Vec<f64> = mesh.vertices.iter().map(|v| above(*v)).collect();
    let mut next = BTreeMap::new();
    for t in &mesh.triangles {
        let mut ends = [None; 2];
        for n in 0..3 {
            let (a, b) = (t[n], t[(n + 1) % 3]);
            let (Some(from), Some(to)) = (values.get(a as usize), values.get(b as usize)) else {
                continue;
            };
            let key = (a.min(b), a.max(b));
            match (*from >= 0.0, *to >= 0.0) {
                (true, false) => ends[0] = Some(key),
                (false, true) => ends[1] = Some(key),
                _ => {}
            }
        }
        if let [Some(from), Some(to)] = ends {
            next.insert(from, to);
        }
    }
    let place = |(a, b): (u32, u32)| {
        let (p, q) = (mesh.vertices[a as usize], mesh.vertices[b as usize]);
        let (u, v) = (values[a as usize], values[b as usize]);
        let t = if u == v { 0.5 } else { u / (u - v) };
        [0, 1, 2].map(|k| p[k] + (q[k] - p[k]) * t)
    };
    chained(next)
        .into_iter()
        .filter(|(edges, closed)| *closed && edges.len() > 2)
        .map(|(edges, _)| edges.into_iter().map(place).collect())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_is_cut_in_a_circle() {
        let ball = mesh::shapes::ball(10.0, 4);
        let found = loops(&ball, |p| p[2] - 6.0);
        assert_eq!(found.len(), 1);
        for p in &found[0] {
            assert!((p[2] - 6.0).abs() < 1e-9);
            assert!((p[0].hypot(p[1]) - 8.0).abs() < 0.1, "{p:?}");
        }
        assert!(loops(&ball, |p| p[2] - 11.0).is_empty());
    }
}
