//! Which triangles hang together, and as what meshes?

use super::{NONE, Topology, triangle};
use crate::Mesh;

/// Which triangles hang together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Components {
    /// The number of each triangle's component; `None` for a triangle that takes part in nothing.
    of_triangle: Vec<u32>,
    count: u32,
}

impl Components {
    pub fn count(&self) -> usize {
        self.count as usize
    }

    /// Components are numbered in the order of their first triangles.
    pub fn of_triangle(&self, triangle: usize) -> Option<u32> {
        self.of_triangle
            .get(triangle)
            .copied()
            .filter(|&c| c != NONE)
    }

    /// How many triangles each component has.
    pub fn sizes(&self) -> Vec<usize> {
        let mut sizes = vec![0; self.count()];
        for &c in self.of_triangle.iter().filter(|&&c| c != NONE) {
            sizes[c as usize] += 1;
        }
        sizes
    }
}

impl Topology {
    /// Triangles joined wherever they share an edge of whatever kind.
    pub fn components(&self) -> Components {
        let mut groups = Groups::new(self.triangle_count());
        for e in 0..self.ends.len() as u32 {
            let list = self.on_edge(e);
            for pair in list.windows(2) {
                groups.join(triangle(pair[0]), triangle(pair[1]));
            }
        }
        self.numbered(|t| groups.find(t))
    }

    /// Triangles joined wherever they share a vertex.
    pub fn components_by_vertex(&self) -> Components {
        let mut groups = Groups::new(self.vertex_count());
        for &[a, b] in &self.ends {
            groups.join(a, b);
        }
        self.numbered(|t| groups.find(self.start[3 * t as usize]))
    }

    fn numbered(&self, mut leader: impl FnMut(u32) -> u32) -> Components {
        let most = self.triangle_count().max(self.vertex_count());
        let mut numbers = vec![NONE; most];
        let mut count = 0;
        let of_triangle = (0..self.triangle_count() as u32)
            .map(|t| {
                if self.edge_of[3 * t as usize] == NONE {
                    return NONE;
                }
                let number = &mut numbers[leader(t) as usize];
                if *number == NONE {
                    *number = count;
                    count += 1;
                }
                *number
            })
            .collect();
        Components { of_triangle, count }
    }
}

/// Union by the lower number, with halving of paths.
struct Groups(Vec<u32>);

impl Groups {
    fn new(count: usize) -> Groups {
        Groups((0..count as u32).collect())
    }

    fn find(&mut self, mut i: u32) -> u32 {
        while self.0[i as usize] != i {
            let up = self.0[self.0[i as usize] as usize];
            self.0[i as usize] = up;
            i = up;
        }
        i
    }

    fn join(&mut self, a: u32, b: u32) {
        let (a, b) = (self.find(a), self.find(b));
        self.0[a.max(b) as usize] = a.min(b);
    }
}

/// The meshes of the components, in their order; vertices that no triangle uses are left behind.
pub fn parts(mesh: &Mesh, components: &Components) -> Vec<Mesh> {
    let mut parts = vec![Mesh::default(); components.count()];
    // Vertices may lie in several components, so each remembers where it was last put.
    let mut put: Vec<(u32, u32)> = vec![(NONE, 0); mesh.vertices.len()];
    let mut by_component: Vec<u32> = (0..mesh.triangles.len() as u32)
        .filter(|&t| components.of_triangle(t as usize).is_some())
        .collect();
    by_component.sort_by_key(|&t| components.of_triangle(t as usize));
    for t in by_component {
        let Some(c) = components.of_triangle(t as usize) else {
            continue;
        };
        let part = &mut parts[c as usize];
        let triangle = mesh.triangles[t as usize].map(|v| {
            let place = &mut put[v as usize];
            if place.0 != c {
                *place = (c, part.vertices.len() as u32);
                part.vertices.push(mesh.vertices[v as usize]);
            }
            place.1
        });
        part.triangles.push(triangle);
    }
    parts
}
