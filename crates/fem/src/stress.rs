//! What the material feels: forces, moments and stresses from displacements, and their mean at the nodes.
//!
//! Leaves allowable stresses to whoever knows the material's strength. One surprise: stresses are averaged as
//! tensors in space, and only among triangles that lie nearly in one plane, so a fold keeps both its sides.

use nalgebra::{Matrix3, SymmetricEigen, Vector3};

use crate::FemError;
use crate::facet::{Facet, Feeling, Freedoms18};
use crate::mesh::AtNodes;
use crate::model::Model;
use crate::system::Displacement;

/// Stress at one place, as a tensor in the axes of the mesh.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stress(pub Matrix3<f64>);

impl Stress {
    /// From stress 11, 22, 12 in axes given by the first two rows.
    #[must_use]
    pub fn in_axes(plane: &Vector3<f64>, axes: &Matrix3<f64>) -> Self {
        let local = Matrix3::new(plane.x, plane.z, 0.0, plane.z, plane.y, 0.0, 0.0, 0.0, 0.0);
        Self(axes.transpose() * local * axes)
    }

    /// Normal stress along a unit direction.
    #[must_use]
    pub fn along(&self, direction: &Vector3<f64>) -> f64 {
        direction.dot(&(self.0 * direction))
    }

    #[must_use]
    pub fn von_mises(&self) -> f64 {
        let deviator = self.0 - Matrix3::identity() * (self.0.trace() / 3.0);
        (1.5 * deviator.norm_squared()).sqrt()
    }

    /// Largest, middle and smallest principal stress.
    #[must_use]
    pub fn principal(&self) -> [f64; 3] {
        let values = SymmetricEigen::new(self.0).eigenvalues;
        let mut sorted = [values[0], values[1], values[2]];
        sorted.sort_by(|a, b| b.total_cmp(a));
        sorted
    }
}

/// Stress on the underside, in the middle and on the top (the side the normal points to).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Through {
    pub bottom: Stress,
    pub middle: Stress,
    pub top: Stress,
}

impl Through {
    #[must_use]
    pub fn layers(&self) -> [Stress; 3] {
        [self.bottom, self.middle, self.top]
    }

    /// The largest von Mises stress of the three.
    #[must_use]
    pub fn worst_von_mises(&self) -> f64 {
        self.layers()
            .iter()
            .map(Stress::von_mises)
            .fold(0.0, f64::max)
    }
}

/// What each triangle feels at its corners.
#[derive(Debug, Clone)]
pub struct Feelings {
    /// Per triangle and corner, in the material axes.
    pub corners: Vec<[Feeling; 3]>,
    /// Per triangle: rows are the material axes on it and its normal.
    pub axes: Vec<Matrix3<f64>>,
}

/// Forces, moments and strains of every triangle.
///
/// # Errors
/// A displacement for another number of nodes.
pub fn feel(model: &Model, displacement: &Displacement) -> Result<Feelings, FemError> {
    let full = displacement.entries();
    let expected = 6 * model.mesh().nodes().len();
    if full.len() != expected {
        return Err(FemError::Count {
            what: "the displacement",
            found: full.len(),
            expected,
        });
    }
    collect(model, |facet, corners| {
        facet.to_local(&Freedoms18::from_fn(|i, _| {
            full[6 * corners[i / 6] + i % 6]
        }))
    })
}

/// As [`feel`], from freedoms in each element's own axes.
pub(crate) fn collect(
    model: &Model,
    local: impl Fn(&Facet, &[usize; 3]) -> Freedoms18,
) -> Result<Feelings, FemError> {
    let triangles = model.mesh().triangles();
    let mut feelings = Feelings {
        corners: Vec::with_capacity(triangles.len()),
        axes: Vec::with_capacity(triangles.len()),
    };
    for (triangle, corners) in triangles.iter().enumerate() {
        let facet = model.facet(triangle).ok_or(FemError::NoArea { triangle })?;
        feelings.corners.push(facet.feel(&local(&facet, corners)));
        feelings.axes.push(facet.material_axes());
    }
    Ok(feelings)
}

impl Feelings {
    /// Stress at every corner of every triangle.
    ///
    /// # Errors
    /// A model with other triangles.
    pub fn stresses(&self, model: &Model) -> Result<Vec<[Through; 3]>, FemError> {
        let expected = model.mesh().triangles().len();
        if self.corners.len() != expected {
            return Err(FemError::Count {
                what: "the corners",
                found: self.corners.len(),
                expected,
            });
        }
        Ok(self
            .corners
            .iter()
            .zip(&self.axes)
            .enumerate()
            .filter_map(|(triangle, (corners, axes))| {
                let section = model.section(triangle)?;
                Some(corners.map(|corner| {
                    let at = |height: f64| {
                        Stress::in_axes(
                            &section.stress(
                                height,
                                corner.thickness,
                                &corner.strain,
                                &corner.curvature,
                            ),
                            axes,
                        )
                    };
                    Through {
                        bottom: at(-0.5),
                        middle: at(0.0),
                        top: at(0.5),
                    }
                }))
            })
            .collect())
    }
}

/// Corner stresses replaced by their mean at the node, weighted by area, among the triangles there whose
/// normals lie within `fold` radians of the corner's own.
///
/// # Errors
/// Stresses for another number of triangles.
pub fn smooth(
    model: &Model,
    stresses: &[[Through; 3]],
    fold: f64,
) -> Result<Vec<[Through; 3]>, FemError> {
    let mesh = model.mesh();
    let triangles = mesh.triangles();
    if stresses.len() != triangles.len() {
        return Err(FemError::Count {
            what: "the stresses",
            found: stresses.len(),
            expected: triangles.len(),
        });
    }
    let lie: Vec<(f64, Vector3<f64>)> = (0..triangles.len())
        .map(|triangle| {
            mesh.area_and_normal(triangle)
                .unwrap_or((0.0, Vector3::zeros()))
        })
        .collect();
    let at = AtNodes::of(mesh.nodes().len(), triangles);
    let least = fold.cos();
    Ok(triangles
        .iter()
        .enumerate()
        .map(|(triangle, corners)| {
            corners.map(|node| {
                let mut sums = [Matrix3::zeros(); 3];
                let mut weight = 0.0;
                for &(other, corner) in at.near(node) {
                    if other == triangle || lie[triangle].1.dot(&lie[other].1) >= least {
                        for (sum, layer) in sums.iter_mut().zip(stresses[other][corner].layers()) {
                            *sum += layer.0 * lie[other].0;
                        }
                        weight += lie[other].0;
                    }
                }
                let [bottom, middle, top] = sums.map(|sum| Stress(sum / weight));
                Through {
                    bottom,
                    middle,
                    top,
                }
            })
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn principal_stresses_and_von_mises_of_a_known_plane_state() {
        let stress = Stress::in_axes(&Vector3::new(50.0, -10.0, 40.0), &Matrix3::identity());
        let [first, middle, last] = stress.principal();
        assert!(
            (first - 70.0).abs() < 1e-12 && middle.abs() < 1e-12 && (last + 30.0).abs() < 1e-12
        );
        let plane = (50.0_f64.powi(2) + 50.0 * 10.0 + 100.0 + 3.0 * 1600.0).sqrt();
        assert!((stress.von_mises() - plane).abs() < 1e-12);
    }
}
