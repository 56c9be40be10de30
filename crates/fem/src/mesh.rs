//! Nodes, triangles and how thick each is.
//!
//! Leaves materials, supports and loads to [`model`](crate::model). One surprise: thickness is kept at the
//! corners of each triangle, so that it may jump across an edge where a post begins.

use nalgebra::{Point3, SMatrix, SVector, Vector3};
use rayon::prelude::*;

use crate::FemError;
use crate::facet::Frame;

/// A surface of flat triangles.
#[derive(Debug, Clone, PartialEq)]
pub struct Mesh {
    nodes: Vec<Point3<f64>>,
    triangles: Vec<[usize; 3]>,
    thickness: Vec<[f64; 3]>,
    normals: Vec<[Vector3<f64>; 3]>,
}

/// Triangles whose normals differ by less than this are one smooth surface, by more a fold: 45 degrees.
const FOLD_COSINE: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// How thickness is given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Thickness<'a> {
    Uniform(f64),
    PerNode(&'a [f64]),
    PerTriangle(&'a [f64]),
    PerCorner(&'a [[f64; 3]]),
}

impl Mesh {
    /// # Errors
    /// No triangles, a node that is not there or not finite, a triangle without area, a thickness that is
    /// not positive, or lists that do not fit each other.
    pub fn new(
        nodes: Vec<Point3<f64>>,
        triangles: Vec<[usize; 3]>,
        thickness: Thickness<'_>,
    ) -> Result<Self, FemError> {
        if triangles.is_empty() {
            return Err(FemError::Empty);
        }
        if let Some(node) = nodes
            .iter()
            .position(|node| !node.coords.iter().all(|value| value.is_finite()))
        {
            return Err(FemError::NodeNotFinite { node });
        }
        for (triangle, corners) in triangles.iter().enumerate() {
            let mut places = [Point3::origin(); 3];
            for (place, &node) in places.iter_mut().zip(corners) {
                *place = *nodes.get(node).ok_or(FemError::NodeMissing {
                    triangle,
                    node,
                    nodes: nodes.len(),
                })?;
            }
            if Frame::of(&places).is_none() {
                return Err(FemError::NoArea { triangle });
            }
        }
        let count = |what, found, expected| {
            if found == expected {
                Ok(())
            } else {
                Err(FemError::Count {
                    what,
                    found,
                    expected,
                })
            }
        };
        let thickness: Vec<[f64; 3]> = match thickness {
            Thickness::Uniform(value) => vec![[value; 3]; triangles.len()],
            Thickness::PerNode(values) => {
                count("the thickness of the nodes", values.len(), nodes.len())?;
                triangles
                    .iter()
                    .map(|corners| corners.map(|node| values[node]))
                    .collect()
            }
            Thickness::PerTriangle(values) => {
                count(
                    "the thickness of the triangles",
                    values.len(),
                    triangles.len(),
                )?;
                values.iter().map(|&value| [value; 3]).collect()
            }
            Thickness::PerCorner(values) => {
                count(
                    "the thickness of the corners",
                    values.len(),
                    triangles.len(),
                )?;
                values.to_vec()
            }
        };
        for (triangle, values) in thickness.iter().enumerate() {
            if let Some(&thickness) = values
                .iter()
                .find(|value| !(value.is_finite() && **value > 0.0))
            {
                return Err(FemError::Thickness {
                    triangle,
                    thickness,
                });
            }
        }
        let normals = smooth_normals(&nodes, &triangles);
        Ok(Self {
            nodes,
            triangles,
            thickness,
            normals,
        })
    }

    #[must_use]
    pub fn nodes(&self) -> &[Point3<f64>] {
        &self.nodes
    }

    #[must_use]
    pub fn triangles(&self) -> &[[usize; 3]] {
        &self.triangles
    }

    /// At the three corners of each triangle.
    #[must_use]
    pub fn thickness(&self) -> &[[f64; 3]] {
        &self.thickness
    }

    /// The surface's unit normals at the corners of each triangle: the mean of the triangles there that lie
    /// within 45 degrees of it, weighted by their angles.
    #[must_use]
    pub fn normals(&self) -> &[[Vector3<f64>; 3]] {
        &self.normals
    }

    pub(crate) fn at_nodes(&self) -> AtNodes {
        AtNodes::of(self.nodes.len(), &self.triangles)
    }

    pub(crate) fn corners(&self, triangle: usize) -> [Point3<f64>; 3] {
        self.triangles[triangle].map(|node| self.nodes[node])
    }

    /// Area and unit normal of a triangle.
    #[must_use]
    pub fn area_and_normal(&self, triangle: usize) -> Option<(f64, Vector3<f64>)> {
        self.triangles.get(triangle)?;
        Frame::of(&self.corners(triangle)).map(|frame| (frame.area, frame.normal()))
    }

    /// The area of the whole surface.
    #[must_use]
    pub fn area(&self) -> f64 {
        (0..self.triangles.len())
            .filter_map(|triangle| Some(self.area_and_normal(triangle)?.0))
            .sum()
    }

    /// Volume of material: area times mean thickness, summed.
    #[must_use]
    pub fn volume(&self) -> f64 {
        (0..self.triangles.len())
            .filter_map(|triangle| {
                Some(self.area_and_normal(triangle)?.0 * mean(self.thickness[triangle]))
            })
            .sum()
    }

    /// The node nearest a point; the first of equally near ones.
    #[must_use]
    pub fn nearest(&self, point: &Point3<f64>) -> usize {
        let mut best = (f64::INFINITY, 0);
        for (node, place) in self.nodes.iter().enumerate() {
            let distance = (place - point).norm_squared();
            if distance < best.0 {
                best = (distance, node);
            }
        }
        best.1
    }
}

/// Normals at the corners. At a fold each side keeps the mean of its own triangles; elsewhere a second-order
/// surface is laid through the node and its neighbours, which is exact at free edges too.
fn smooth_normals(nodes: &[Point3<f64>], triangles: &[[usize; 3]]) -> Vec<[Vector3<f64>; 3]> {
    let own: Vec<(Vector3<f64>, [f64; 3])> = triangles
        .iter()
        .map(|corners| {
            let places = corners.map(|node| nodes[node]);
            let normal = Frame::of(&places).map_or_else(Vector3::zeros, |frame| frame.normal());
            let angles = [0, 1, 2].map(|i| {
                (places[(i + 1) % 3] - places[i]).angle(&(places[(i + 2) % 3] - places[i]))
            });
            (normal, angles)
        })
        .collect();
    let at = AtNodes::of(nodes.len(), triangles);
    let mean = |node: usize, like: &Vector3<f64>| {
        let mut sum = Vector3::zeros();
        for &(other, corner) in at.near(node) {
            let (direction, angles) = &own[other];
            if direction.dot(like) >= FOLD_COSINE {
                sum += direction * angles[corner];
            }
        }
        sum.try_normalize(1e-12).unwrap_or(*like)
    };
    let fitted: Vec<Option<Vector3<f64>>> = (0..nodes.len())
        .into_par_iter()
        .map(|node| {
            let near = at.near(node);
            let (first, _) = near.first()?;
            let normal = mean(node, &own[*first].0);
            let smooth = |triangle: usize| own[triangle].0.dot(&normal) >= FOLD_COSINE;
            if !near.iter().all(|&(triangle, _)| smooth(triangle)) {
                return None;
            }
            let mut around: Vec<usize> = Vec::new();
            for &(triangle, _) in near {
                for next in triangles[triangle] {
                    let ring = at.near(next).iter().filter(|(other, _)| smooth(*other));
                    around.extend(ring.flat_map(|&(other, _)| triangles[other]));
                }
            }
            around.sort_unstable();
            around.dedup();
            Some(quadric_normal(nodes, node, &around, &normal).unwrap_or(normal))
        })
        .collect();
    triangles
        .iter()
        .zip(&own)
        .map(|(corners, (normal, _))| {
            corners.map(|node| fitted[node].unwrap_or_else(|| mean(node, normal)))
        })
        .collect()
}

/// Normal of the second-order surface through a node that lies nearest its neighbours; near ones count more.
fn quadric_normal(
    nodes: &[Point3<f64>],
    node: usize,
    around: &[usize],
    normal: &Vector3<f64>,
) -> Option<Vector3<f64>> {
    let mut other = Vector3::zeros();
    other[normal.iamin()] = 1.0;
    let x = normal.cross(&other).try_normalize(1e-12)?;
    let y = normal.cross(&x);
    let arms: Vec<Vector3<f64>> = around
        .iter()
        .filter(|&&near| near != node)
        .map(|&near| nodes[near] - nodes[node])
        .collect();
    let size = (arms.iter().map(Vector3::norm_squared).sum::<f64>() / arms.len() as f64).sqrt();
    if arms.len() < 7 {
        return None;
    }
    let mut sums = SMatrix::<f64, 5, 5>::zeros();
    let mut sides = SVector::<f64, 5>::zeros();
    for arm in &arms {
        let (u, v, height) = (
            arm.dot(&x) / size,
            arm.dot(&y) / size,
            arm.dot(normal) / size,
        );
        let weight = 1.0 / (0.01 + u * u + v * v);
        let row = SVector::<f64, 5>::from([u, v, u * u, u * v, v * v]);
        sums += row * row.transpose() * weight;
        sides += row * (height * weight);
    }
    // Points on one line or conic do not settle the surface: its slopes must be well above round-off.
    let scale = sums.diagonal().max();
    let factor = sums.cholesky()?;
    if factor.l_dirty().diagonal().min() < 1e-3 * scale.sqrt() {
        return None;
    }
    let surface = factor.solve(&sides);
    let fitted = (normal - x * surface[0] - y * surface[1]).normalize();
    (fitted.dot(normal) >= FOLD_COSINE).then_some(fitted)
}

/// Which corners of which triangles meet at each node.
#[derive(Debug)]
pub(crate) struct AtNodes {
    start: Vec<usize>,
    corners: Vec<(usize, usize)>,
}

impl AtNodes {
    pub fn of(nodes: usize, triangles: &[[usize; 3]]) -> Self {
        let mut start = vec![0_usize; nodes + 1];
        for &node in triangles.iter().flatten() {
            start[node + 1] += 1;
        }
        for node in 0..nodes {
            start[node + 1] += start[node];
        }
        let mut next = start.clone();
        let mut corners = vec![(0, 0); 3 * triangles.len()];
        for (triangle, named) in triangles.iter().enumerate() {
            for (corner, &node) in named.iter().enumerate() {
                corners[next[node]] = (triangle, corner);
                next[node] += 1;
            }
        }
        Self { start, corners }
    }

    /// Triangle and corner.
    pub fn near(&self, node: usize) -> &[(usize, usize)] {
        &self.corners[self.start[node]..self.start[node + 1]]
    }
}

pub(crate) fn mean(values: [f64; 3]) -> f64 {
    (values[0] + values[1] + values[2]) / 3.0
}
