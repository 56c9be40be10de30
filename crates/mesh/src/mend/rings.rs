//! Which vertices lie around each vertex?
//!
//! All rings of a mesh in two flat arrays, made from its edges; the order around a vertex is not kept.

use crate::topology::Topology;

/// The vertices that share an edge with each vertex.
#[derive(Debug, Clone, PartialEq)]
pub struct Rings {
    first: Vec<u32>,
    around: Vec<u32>,
}

impl Rings {
    pub fn of(topology: &Topology) -> Rings {
        let vertices = topology.vertex_count();
        let mut first = vec![0u32; vertices + 1];
        let edges = topology.edge_count() as u32;
        for e in 0..edges {
            for v in topology.ends(e) {
                first[v as usize + 1] += 1;
            }
        }
        for v in 0..vertices {
            first[v + 1] += first[v];
        }
        let mut at = first.clone();
        let mut around = vec![0u32; 2 * edges as usize];
        for e in 0..edges {
            let [a, b] = topology.ends(e);
            for (v, other) in [(a, b), (b, a)] {
                around[at[v as usize] as usize] = other;
                at[v as usize] += 1;
            }
        }
        Rings { first, around }
    }

    /// Neighbours of a vertex; none of one that no triangle uses.
    pub fn of_vertex(&self, vertex: usize) -> &[u32] {
        &self.around[self.first[vertex] as usize..self.first[vertex + 1] as usize]
    }

    pub fn vertex_count(&self) -> usize {
        self.first.len() - 1
    }
}
