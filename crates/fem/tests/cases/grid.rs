//! Meshes of the benchmark cases: curved rectangles and triangles cut into flat triangles.

use std::f64::consts::FRAC_PI_2;

use nalgebra::Point3;

/// Which way the rectangles of a grid are cut into triangles.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cut {
    Rising,
    Falling,
    Alternating,
}

/// A grid of `columns` × `rows` rectangles over [0, 1]², mapped into space.
pub struct Grid {
    pub columns: usize,
    pub rows: usize,
    pub nodes: Vec<Point3<f64>>,
    pub triangles: Vec<[usize; 3]>,
}

impl Grid {
    pub fn new(
        columns: usize,
        rows: usize,
        cut: Cut,
        map: impl Fn(f64, f64) -> Point3<f64>,
    ) -> Self {
        let mut nodes = Vec::new();
        for j in 0..=rows {
            for i in 0..=columns {
                nodes.push(map(i as f64 / columns as f64, j as f64 / rows as f64));
            }
        }
        let mut triangles = Vec::new();
        for j in 0..rows {
            for i in 0..columns {
                let a = j * (columns + 1) + i;
                let [b, c, d] = [a + 1, a + columns + 2, a + columns + 1];
                let rising = match cut {
                    Cut::Rising => true,
                    Cut::Falling => false,
                    Cut::Alternating => (i + j) % 2 == 0,
                };
                if rising {
                    triangles.extend([[a, b, c], [a, c, d]]);
                } else {
                    triangles.extend([[a, b, d], [b, c, d]]);
                }
            }
        }
        Self {
            columns,
            rows,
            nodes,
            triangles,
        }
    }

    pub fn at(&self, column: usize, row: usize) -> usize {
        row * (self.columns + 1) + column
    }

    pub fn row(&self, row: usize) -> Vec<usize> {
        (0..=self.columns)
            .map(|column| self.at(column, row))
            .collect()
    }

    pub fn column(&self, column: usize) -> Vec<usize> {
        (0..=self.rows).map(|row| self.at(column, row)).collect()
    }
}

/// A corner cut into rings, the k-th of k segments over a quarter turn: a quarter disc or an eighth of a
/// sphere, without a pole of thin slices. The map takes (ring from 0 to 1, angle in radians).
pub struct Rings {
    pub rings: usize,
    pub nodes: Vec<Point3<f64>>,
    pub triangles: Vec<[usize; 3]>,
}

impl Rings {
    pub fn new(rings: usize, map: impl Fn(f64, f64) -> Point3<f64>) -> Self {
        let mut nodes = vec![map(0.0, 0.0)];
        for ring in 1..=rings {
            for step in 0..=ring {
                nodes.push(map(
                    ring as f64 / rings as f64,
                    step as f64 / ring as f64 * FRAC_PI_2,
                ));
            }
        }
        let mut triangles = Vec::new();
        let at = |ring: usize, step: usize| ring * (ring + 1) / 2 + step;
        for ring in 1..=rings {
            for step in 0..ring {
                triangles.push([at(ring - 1, step), at(ring, step), at(ring, step + 1)]);
                if step + 1 < ring {
                    triangles.push([
                        at(ring - 1, step),
                        at(ring, step + 1),
                        at(ring - 1, step + 1),
                    ]);
                }
            }
        }
        Self {
            rings,
            nodes,
            triangles,
        }
    }

    pub fn at(&self, ring: usize, step: usize) -> usize {
        ring * (ring + 1) / 2 + step
    }

    /// Nodes at angle 0.
    pub fn first_edge(&self) -> Vec<usize> {
        (0..=self.rings).map(|ring| self.at(ring, 0)).collect()
    }

    /// Nodes at the quarter turn.
    pub fn last_edge(&self) -> Vec<usize> {
        (0..=self.rings).map(|ring| self.at(ring, ring)).collect()
    }

    pub fn rim(&self) -> Vec<usize> {
        (0..=self.rings)
            .map(|step| self.at(self.rings, step))
            .collect()
    }
}
