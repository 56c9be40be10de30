//! Surfaces whose volume and genus are known, to hold others against.

use crate::Mesh;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// A box, two triangles to a side, facing outward.
pub fn cuboid(low: [f64; 3], high: [f64; 3]) -> Mesh {
    let vertices = (0..8)
        .map(|i| [0, 1, 2].map(|k| if i >> k & 1 == 0 { low[k] } else { high[k] }))
        .collect();
    let sides: [[u32; 4]; 6] = [
        [0, 4, 6, 2],
        [1, 3, 7, 5],
        [0, 1, 5, 4],
        [2, 6, 7, 3],
        [0, 2, 3, 1],
        [4, 5, 7, 6],
    ];
    Mesh {
        vertices,
        triangles: sides
            .iter()
            .flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]])
            .collect(),
    }
}

/// The regular icosahedron; its volume is 5/12 · (3 + √5) · edge³.
pub fn icosahedron(edge: f64) -> Mesh {
    let (a, b) = (edge / 2.0, edge * (1.0 + 5f64.sqrt()) / 4.0);
    let mut vertices: Vec<[f64; 3]> = Vec::with_capacity(12);
    for turn in 0..3 {
        for (s, t) in [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)] {
            let mut v = [0.0; 3];
            v[turn] = s * a;
            v[(turn + 1) % 3] = t * b;
            vertices.push(v);
        }
    }
    let apart = |i: usize, j: usize| -> f64 {
        (0..3)
            .map(|k| (vertices[i][k] - vertices[j][k]).powi(2))
            .sum::<f64>()
            .sqrt()
    };
    let near = |i: usize, j: usize| (apart(i, j) / edge - 1.0).abs() < 1e-6;
    let mut triangles = Vec::with_capacity(20);
    for i in 0..12 {
        for j in i + 1..12 {
            for k in j + 1..12 {
                if near(i, j) && near(j, k) && near(k, i) {
                    let [p, q, r] = [vertices[i], vertices[j], vertices[k]];
                    let outward = p[0] * (q[1] * r[2] - q[2] * r[1])
                        + p[1] * (q[2] * r[0] - q[0] * r[2])
                        + p[2] * (q[0] * r[1] - q[1] * r[0])
                        > 0.0;
                    let (j, k) = if outward { (j, k) } else { (k, j) };
                    triangles.push([i as u32, j as u32, k as u32]);
                }
            }
        }
    }
    Mesh {
        vertices,
        triangles,
    }
}

/// Every triangle cut into four, as often as asked.
pub fn quartered(mesh: &Mesh, times: u32) -> Mesh {
    let mut mesh = mesh.clone();
    for _ in 0..times {
        let mut middles: BTreeMap<(u32, u32), u32> = BTreeMap::new();
        let mut triangles = Vec::with_capacity(mesh.triangles.len() * 4);
        for t in &mesh.triangles {
            let m = [0, 1, 2].map(|k| {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                *middles.entry((a.min(b), a.max(b))).or_insert_with(|| {
                    let (p, q) = (mesh.vertices[a as usize], mesh.vertices[b as usize]);
                    mesh.vertices.push([0, 1, 2].map(|k| (p[k] + q[k]) / 2.0));
                    mesh.vertices.len() as u32 - 1
                })
            });
            triangles.extend([
                [t[0], m[0], m[2]],
                [t[1], m[1], m[0]],
                [t[2], m[2], m[1]],
                m,
            ]);
        }
        mesh.triangles = triangles;
    }
    mesh
}

/// A ball about zero: an icosahedron quartered and blown up; 20 · 4ⁿ triangles.
pub fn ball(radius: f64, times: u32) -> Mesh {
    quartered(&icosahedron(1.0), times).map(|v| {
        let length = (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt();
        v.map(|c| c / length * radius)
    })
}

/// A ring about the z axis; the volume of the round one is 2 π² · ring · tube².
pub fn torus(ring: f64, tube: f64, around: u32, across: u32) -> Mesh {
    let mut mesh = Mesh::default();
    for i in 0..around {
        let (s, c) = (TAU * f64::from(i) / f64::from(around)).sin_cos();
        for j in 0..across {
            let (u, v) = (TAU * f64::from(j) / f64::from(across)).sin_cos();
            let r = ring + tube * v;
            mesh.vertices.push([r * c, r * s, tube * u]);
        }
    }
    let at = |i: u32, j: u32| (i % around) * across + j % across;
    for i in 0..around {
        for j in 0..across {
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            mesh.triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    mesh
}

/// Both surfaces in one mesh, joined nowhere.
pub fn beside(a: &Mesh, b: &Mesh) -> Mesh {
    let shift = a.vertices.len() as u32;
    let mut both = a.clone();
    both.vertices.extend(&b.vertices);
    both.triangles
        .extend(b.triangles.iter().map(|t| t.map(|v| v + shift)));
    both
}

/// Moved without turning.
pub fn shifted(mesh: &Mesh, by: [f64; 3]) -> Mesh {
    mesh.map(|v| [0, 1, 2].map(|k| v[k] + by[k]))
}
