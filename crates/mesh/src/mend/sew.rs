//! In which order are triangles joined, dropped, parted and turned?
//!
//! Each step needs the adjacency that the one before leaves; it is only made anew where something changed, so
//! that a sound surface costs one pass.

use super::{Done, What, crowded, faces, note, orient, weld};
use crate::Mesh;
use crate::topology::Topology;

/// An oriented two-manifold with borders, its adjacency, and what was done to get there.
#[derive(Debug, Clone, PartialEq)]
pub struct Sewn {
    pub mesh: Mesh,
    pub topology: Topology,
    pub done: Vec<Done>,
}

/// Joins corners closer than `distance` on borders and makes an oriented two-manifold of the triangles, every
/// piece facing outward.
pub fn sew(mesh: Mesh, distance: f64) -> Sewn {
    let mut mesh = mesh;
    let mut done = Vec::new();
    note(faces::drop_faulty(&mut mesh), &mut done);
    let mut topology = Topology::of(&mesh);
    if let Some(welded) = weld::weld(&mut mesh, &topology, distance) {
        note(welded, &mut done);
        // What welding drew flat is part of it, no fault of its own.
        faces::drop_faulty(&mut mesh);
        topology = Topology::of(&mesh);
    }
    let mut step = |mesh: &mut Mesh, topology: &mut Topology, did: Done| {
        if did.count > 0 {
            *topology = Topology::of(mesh);
        }
        note(did, &mut done);
    };
    let did = faces::drop_doubled(&mut mesh, &topology);
    step(&mut mesh, &mut topology, did);
    let did = faces::part_flat(&mut mesh, &topology, distance * 1e-3);
    step(&mut mesh, &mut topology, did);
    let did = crowded::cut_off(&mut mesh, &topology);
    step(&mut mesh, &mut topology, did);
    let [turned, one_sided] = orient::agree(&mut mesh, &mut topology);
    note(turned, &mut done);
    // The parting of vertices below cuts what is one-sided: such an edge joins no fan.
    note(one_sided, &mut done);
    let did = crowded::part_pinched(&mut mesh, &topology);
    if did.count > 0 {
        topology = Topology::of(&mesh);
    }
    note(did, &mut done);
    note(orient::outward(&mut mesh, &mut topology), &mut done);
    Sewn {
        mesh,
        topology,
        done,
    }
}

impl Sewn {
    pub fn count(&self, what: What) -> usize {
        self.done
            .iter()
            .filter(|d| d.what == what)
            .map(|d| d.count)
            .sum()
    }
}

/// The triangles that are wanted, without the vertices that none of them uses.
pub fn keep(mesh: &Mesh, mut wanted: impl FnMut(usize) -> bool) -> Mesh {
    let triangles = (0..mesh.triangles.len())
        .filter(|&t| wanted(t))
        .map(|t| mesh.triangles[t])
        .collect();
    let part = Mesh {
        vertices: Vec::new(),
        triangles,
    };
    renumbered(mesh, part)
}

/// Vertices in their old order, only those that are used.
fn renumbered(mesh: &Mesh, mut part: Mesh) -> Mesh {
    let mut number = vec![u32::MAX; mesh.vertices.len()];
    for &v in part.triangles.iter().flatten() {
        if let Some(n) = number.get_mut(v as usize) {
            *n = 0;
        }
    }
    for (n, &v) in number.iter_mut().zip(&mesh.vertices) {
        if *n == 0 {
            *n = part.vertices.len() as u32;
            part.vertices.push(v);
        }
    }
    for t in &mut part.triangles {
        *t = t.map(|v| number.get(v as usize).copied().unwrap_or(0));
    }
    part
}
