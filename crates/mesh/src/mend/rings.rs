//! Which vertices lie around each vertex?
//!
//! All rings of a mesh in two flat arrays, each in rising order; the order around a vertex is not kept.

use crate::topology::{Topology, previous};
use rayon::prelude::*;

/// Vertices looked at one after the other.
const PIECE: usize = 8192;

/// The vertices that share an edge with each vertex.
#[derive(Debug, Clone, PartialEq)]
pub struct Rings {
    first: Vec<u32>,
    around: Vec<u32>,
}

impl Rings {
    pub fn of(topology: &Topology) -> Rings {
        let vertices = topology.vertex_count();
        // In pieces of one size, each ring from the sides that leave its vertex.
        let pieces: Vec<(Vec<u32>, Vec<u32>)> = (0..vertices.div_ceil(PIECE))
            .into_par_iter()
            .map(|piece| {
                let range = piece * PIECE..vertices.min((piece + 1) * PIECE);
                let mut ends = Vec::with_capacity(range.len());
                let mut around = Vec::with_capacity(7 * range.len());
                for v in range {
                    let from = around.len();
                    for &h in topology.leaving(v as u32) {
                        around.push(topology.end(h));
                        // Across a sound edge it is named by the next triangle.
                        if topology.opposite(previous(h)).is_none() {
                            around.push(topology.start(previous(h)));
                        }
                    }
                    around[from..].sort_unstable();
                    let mut kept = from;
                    for i in from..around.len() {
                        if i == from || around[i] != around[kept - 1] {
                            around[kept] = around[i];
                            kept += 1;
                        }
                    }
                    around.truncate(kept);
                    ends.push(kept as u32);
                }
                (ends, around)
            })
            .collect();
        let mut first = Vec::with_capacity(vertices + 1);
        let mut around = Vec::with_capacity(2 * topology.edge_count());
        first.push(0);
        for (ends, part) in pieces {
            let shift = around.len() as u32;
            first.extend(ends.into_iter().map(|end| end + shift));
            around.extend(part);
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
