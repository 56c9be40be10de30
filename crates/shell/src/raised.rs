//! Do raised letters stay clear of the surface about them?
//!
//! A surface that was clear of itself can only have been crossed by what was raised from it. Only what lies over
//! the same places of the plan, at the same heights, is therefore held against the letters.

use mesh::Mesh;
use mesh::check::crossings;
use mesh::near::Tree;
use rayon::prelude::*;

/// After so many rounds all letters are put back level.
const ROUNDS: usize = 4;

/// Puts letters back where they run through the surface about them, which was clear of itself when it was level;
/// they are `among` some triangles. No edge is longer than `longest`.
pub(crate) fn clear_of_itself(mesh: &mut Mesh, among: &[u32], level: &[[f64; 3]], longest: f64) {
    for round in 1..=ROUNDS {
        let Some(raised) = Raised::of(mesh, among, level) else {
            return;
        };
        let meets = |t: &&[u32; 3]| {
            raised.is_near(mesh.vertices[t[0] as usize], longest)
                && raised.may_meet(t.map(|v| mesh.vertices[v as usize]))
        };
        let triangles: Vec<[u32; 3]> = mesh.triangles.par_iter().filter(meets).copied().collect();
        let about = Mesh {
            vertices: std::mem::take(&mut mesh.vertices),
            triangles,
        };
        let found = crossings(&about, &Tree::of(&about));
        mesh.vertices = about.vertices;
        let pairs = found.crossing.iter().chain(&found.touching);
        let met: Vec<u32> = pairs
            .flatten()
            .flat_map(|t| about.triangles[*t as usize])
            .collect();
        if met.is_empty() {
            return;
        }
        if round == ROUNDS {
            mesh.vertices.copy_from_slice(level);
        }
        for v in met {
            mesh.vertices[v as usize] = level[v as usize];
        }
    }
}

/// Where raised triangles are: over cells of the plan, their lowest and highest place.
struct Raised {
    low: [f64; 2],
    size: [usize; 2],
    heights: Vec<[f64; 2]>,
}

impl Raised {
    const CELL_MM: f64 = 1.0;

    fn of(mesh: &Mesh, among: &[u32], level: &[[f64; 3]]) -> Option<Raised> {
        let is_raised = |v: u32| mesh.vertices[v as usize] != level[v as usize];
        let triangles: Vec<[[f64; 3]; 3]> = among
            .iter()
            .map(|n| mesh.triangles[*n as usize])
            .filter(|t| t.iter().any(|v| is_raised(*v)))
            .map(|t| t.map(|v| mesh.vertices[v as usize]))
            .collect();
        if triangles.is_empty() {
            return None;
        }
        let all = || triangles.iter().flatten();
        let least = |k: usize| all().map(|p| p[k]).fold(f64::INFINITY, f64::min);
        let most = |k: usize| all().map(|p| p[k]).fold(f64::NEG_INFINITY, f64::max);
        let low = [0, 1].map(least);
        let size = [0, 1].map(|k| ((most(k) - low[k]) / Self::CELL_MM) as usize + 1);
        let mut out = Raised {
            low,
            size,
            heights: vec![[f64::INFINITY, f64::NEG_INFINITY]; size[0] * size[1]],
        };
        for t in &triangles {
            let heights = range(t, 2);
            for cell in out.cells(t) {
                let [low, high] = &mut out.heights[cell];
                (*low, *high) = (low.min(heights[0]), high.max(heights[1]));
            }
        }
        Some(out)
    }

    /// Numbers of the cells that a triangle may lie over.
    fn cells(&self, t: &[[f64; 3]; 3]) -> impl Iterator<Item = usize> + use<> {
        let [along, across] = [0, 1].map(|k| {
            let [low, high] = range(t, k).map(|v| (v - self.low[k]) / Self::CELL_MM);
            let end = (high.max(-1.0) + 1.0) as usize;
            low.max(0.0) as usize..end.min(self.size[k])
        });
        let row = self.size[0];
        across.flat_map(move |j| along.clone().map(move |i| j * row + i))
    }

    /// Is a place of the plan within so much of the cells?
    fn is_near(&self, p: [f64; 3], within: f64) -> bool {
        (0..2).all(|k| {
            let along = p[k] - self.low[k];
            along > -within && along < self.size[k] as f64 * Self::CELL_MM + within
        })
    }

    fn may_meet(&self, t: [[f64; 3]; 3]) -> bool {
        let [low, high] = range(&t, 2);
        let over = |cell: usize| self.heights[cell];
        self.cells(&t)
            .any(|cell| low <= over(cell)[1] && high >= over(cell)[0])
    }
}

/// Least and greatest of a triangle along an axis.
fn range(t: &[[f64; 3]; 3], axis: usize) -> [f64; 2] {
    let [a, b, c] = t.map(|p| p[axis]);
    [a.min(b).min(c), a.max(b).max(c)]
}
