//! Vertices and triangles, and the questions any surface can answer.
//!
//! A [`Mesh`] may be open, torn or turned: what must hold of it is asked where it matters.

/// A triangle surface; where it is oriented, triangles run counter-clockwise seen from outside.
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

    /// Area of triangle `i`.
    pub fn area_of(&self, i: usize) -> f64 {
        length(self.twice_the_area_normal(i)) / 2.0
    }

    /// Outward normal of triangle `i`, of length 1; `None` for one without area.
    pub fn normal_of(&self, i: usize) -> Option<[f64; 3]> {
        let n = self.twice_the_area_normal(i);
        let length = length(n);
        (length > 0.0).then(|| n.map(|c| c / length))
    }

    fn twice_the_area_normal(&self, i: usize) -> [f64; 3] {
        let [a, b, c] = self.corners(i);
        let (u, v) = (
            [0, 1, 2].map(|k| b[k] - a[k]),
            [0, 1, 2].map(|k| c[k] - a[k]),
        );
        [
            u[1] * v[2] - u[2] * v[1],
            u[2] * v[0] - u[0] * v[2],
            u[0] * v[1] - u[1] * v[0],
        ]
    }

    /// Area of the whole surface.
    pub fn area(&self) -> f64 {
        (0..self.triangles.len()).map(|i| self.area_of(i)).sum()
    }

    /// Enclosed volume; negative where the surface is turned inside out, without meaning where it is open.
    ///
    /// # Units
    /// The mesh's unit, cubed.
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
}

fn length(v: [f64; 3]) -> f64 {
    (v[0] * v[0] + v[1] * v[1] + v[2] * v[2]).sqrt()
}
