//! Closed triangle surfaces, and the questions asked of them.
//!
//! A [`Mesh`] of this crate is always closed, two-manifold and oriented outward (counter-clockwise
//! seen from outside), in millimetres. It knows nothing of feet.

use std::collections::BTreeMap;

/// A closed surface in millimetres; triangles run counter-clockwise seen from outside.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mesh {
    pub vertices: Vec<[f64; 3]>,
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// Corners of triangle `i`.
    pub fn corners(&self, i: usize) -> [[f64; 3]; 3] {
        self.triangles[i].map(|v| self.vertices[v as usize])
    }

    /// Smallest and largest coordinates; `None` for a mesh without vertices.
    pub fn bounds(&self) -> Option<([f64; 3], [f64; 3])> {
        let first = *self.vertices.first()?;
        Some(
            self.vertices
                .iter()
                .fold((first, first), |(mut low, mut high), v| {
                    for k in 0..3 {
                        low[k] = low[k].min(v[k]);
                        high[k] = high[k].max(v[k]);
                    }
                    (low, high)
                }),
        )
    }

    /// Enclosed volume; negative where the surface is turned inside out.
    ///
    /// # Units
    /// Cubic millimetres.
    pub fn volume(&self) -> f64 {
        (0..self.triangles.len())
            .map(|i| {
                let [a, b, c] = self.corners(i);
                (a[0] * (b[1] * c[2] - b[2] * c[1])
                    + a[1] * (b[2] * c[0] - b[0] * c[2])
                    + a[2] * (b[0] * c[1] - b[1] * c[0]))
                    / 6.0
            })
            .sum()
    }

    /// The same surface with every vertex moved; a mirror image needs [`Mesh::turned_inside_out`] after it.
    pub fn map(&self, mut to: impl FnMut([f64; 3]) -> [f64; 3]) -> Mesh {
        Mesh {
            vertices: self.vertices.iter().map(|&v| to(v)).collect(),
            triangles: self.triangles.clone(),
        }
    }

    /// The same surface with its orientation reversed.
    pub fn turned_inside_out(&self) -> Mesh {
        Mesh {
            vertices: self.vertices.clone(),
            triangles: self.triangles.iter().map(|&[a, b, c]| [a, c, b]).collect(),
        }
    }

    /// The first fault that keeps this from being a closed, two-manifold, outward surface.
    pub fn fault(&self) -> Option<String> {
        if self.triangles.is_empty() {
            return Some("found no triangles; a bone's surface was expected".into());
        }
        let mut directed: BTreeMap<(u32, u32), u32> = BTreeMap::new();
        for t in &self.triangles {
            for k in 0..3 {
                let edge = (t[k], t[(k + 1) % 3]);
                if edge.0 == edge.1 {
                    return Some(format!("found a triangle with vertex {} twice", edge.0));
                }
                *directed.entry(edge).or_default() += 1;
            }
        }
        for (&(a, b), &count) in &directed {
            if count != 1 || directed.get(&(b, a)) != Some(&1) {
                return Some(format!(
                    "found edge {a}-{b} used {count} times one way and {} the other; once each way was expected",
                    directed.get(&(b, a)).copied().unwrap_or(0)
                ));
            }
        }
        let volume = self.volume();
        (volume.is_nan() || volume <= 0.0)
            .then(|| format!("found a volume of {volume:.3} mm³; a positive one was expected"))
    }
}
