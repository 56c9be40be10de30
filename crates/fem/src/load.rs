//! What pulls and presses, as forces and moments at the nodes.
//!
//! Leaves what answers them to [`system`](crate::system). One surprise: a load on the surface is shared to
//! the corners by the linear interpolation of displacement, which has no moments; totals of force and of
//! moment about any point are kept exactly.

use nalgebra::{Point3, Vector3};

use crate::FemError;
use crate::mesh::Mesh;
use crate::model::{Freedom, Model};

/// Forces and moments at every node, in the axes of the mesh.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    entries: Vec<f64>,
}

impl Load {
    #[must_use]
    pub fn none(nodes: usize) -> Self {
        Self {
            entries: vec![0.0; 6 * nodes],
        }
    }

    #[must_use]
    pub fn entries(&self) -> &[f64] {
        &self.entries
    }

    #[must_use]
    pub fn nodes(&self) -> usize {
        self.entries.len() / 6
    }

    /// Adds to one entry.
    ///
    /// # Errors
    /// A node that is not there or a value that is not finite.
    pub fn add(&mut self, node: usize, freedom: Freedom, value: f64) -> Result<(), FemError> {
        if !value.is_finite() {
            return Err(FemError::Value {
                what: "a load",
                value,
                expected: "a finite number",
            });
        }
        let nodes = self.nodes();
        let entry = node
            .checked_mul(6)
            .and_then(|first| self.entries.get_mut(first + freedom.index()));
        *entry.ok_or(FemError::NodeUnknown {
            what: "a load",
            node,
            nodes,
        })? += value;
        Ok(())
    }

    /// # Errors
    /// As [`Load::add`].
    pub fn force(&mut self, node: usize, force: Vector3<f64>) -> Result<(), FemError> {
        Freedom::SHIFTS
            .into_iter()
            .zip(force.iter())
            .try_for_each(|(freedom, &part)| self.add(node, freedom, part))
    }

    /// # Errors
    /// As [`Load::add`].
    pub fn moment(&mut self, node: usize, moment: Vector3<f64>) -> Result<(), FemError> {
        Freedom::TURNS
            .into_iter()
            .zip(moment.iter())
            .try_for_each(|(freedom, &part)| self.add(node, freedom, part))
    }

    /// Pressure on the triangles, given at the corners of each; positive along the normal.
    ///
    /// # Errors
    /// A pressure that is not finite.
    pub fn pressure(
        &mut self,
        mesh: &Mesh,
        at: impl Fn(usize) -> [f64; 3],
    ) -> Result<(), FemError> {
        self.spread(mesh, |triangle, normal| {
            at(triangle).map(|pressure| normal * pressure)
        })
    }

    /// Force per area in any direction, given at the corners of each triangle.
    ///
    /// # Errors
    /// A force that is not finite.
    pub fn traction(
        &mut self,
        mesh: &Mesh,
        at: impl Fn(usize) -> [Vector3<f64>; 3],
    ) -> Result<(), FemError> {
        self.spread(mesh, |triangle, _| at(triangle))
    }

    /// The weight of the material itself.
    ///
    /// # Errors
    /// A weight that is not finite.
    pub fn self_weight(
        &mut self,
        mesh: &Mesh,
        density: f64,
        gravity: Vector3<f64>,
    ) -> Result<(), FemError> {
        self.spread(mesh, |triangle, _| {
            mesh.thickness()[triangle].map(|thickness| gravity * (density * thickness))
        })
    }

    /// Force per length along an edge, varying linearly between its ends.
    ///
    /// # Errors
    /// A node that is not there or a force that is not finite.
    pub fn along_edge(
        &mut self,
        mesh: &Mesh,
        ends: [usize; 2],
        at_ends: [Vector3<f64>; 2],
    ) -> Result<(), FemError> {
        let place = |node: usize| {
            let nodes = mesh.nodes().len();
            mesh.nodes().get(node).ok_or(FemError::NodeUnknown {
                what: "a load",
                node,
                nodes,
            })
        };
        let length = (place(ends[1])? - place(ends[0])?).norm();
        self.force(ends[0], (at_ends[0] * 2.0 + at_ends[1]) * (length / 6.0))?;
        self.force(ends[1], (at_ends[0] + at_ends[1] * 2.0) * (length / 6.0))
    }

    fn spread(
        &mut self,
        mesh: &Mesh,
        at: impl Fn(usize, &Vector3<f64>) -> [Vector3<f64>; 3],
    ) -> Result<(), FemError> {
        for (triangle, corners) in mesh.triangles().iter().enumerate() {
            let Some((area, normal)) = mesh.area_and_normal(triangle) else {
                continue;
            };
            let values = at(triangle, &normal);
            let sum = values[0] + values[1] + values[2];
            for (&node, value) in corners.iter().zip(&values) {
                self.force(node, (sum + value) * (area / 12.0))?;
            }
        }
        Ok(())
    }

    /// Adds another load, scaled.
    ///
    /// # Errors
    /// Loads for different numbers of nodes.
    pub fn add_scaled(&mut self, other: &Self, factor: f64) -> Result<(), FemError> {
        if other.entries.len() != self.entries.len() {
            return Err(FemError::Count {
                what: "the load",
                found: other.entries.len(),
                expected: self.entries.len(),
            });
        }
        for (entry, more) in self.entries.iter_mut().zip(&other.entries) {
            *entry += factor * more;
        }
        Ok(())
    }

    /// Total force, and total moment about a point.
    #[must_use]
    pub fn resultant(&self, model: &Model, about: &Point3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        resultant(&self.entries, model.mesh(), about)
    }
}

/// Total force and moment of nodal entries about a point.
pub(crate) fn resultant(
    entries: &[f64],
    mesh: &Mesh,
    about: &Point3<f64>,
) -> (Vector3<f64>, Vector3<f64>) {
    let (mut force, mut moment) = (Vector3::zeros(), Vector3::zeros());
    for (place, six) in mesh.nodes().iter().zip(entries.chunks_exact(6)) {
        let pull = Vector3::new(six[0], six[1], six[2]);
        force += pull;
        moment += Vector3::new(six[3], six[4], six[5]) + (place - about).cross(&pull);
    }
    (force, moment)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mesh::Thickness;

    fn mesh() -> Mesh {
        let nodes = vec![
            Point3::new(0.0, 0.0, 0.0),
            Point3::new(2.0, 0.0, 0.5),
            Point3::new(0.0, 3.0, 0.0),
            Point3::new(2.5, 3.0, -0.5),
        ];
        Mesh::new(nodes, vec![[0, 1, 2], [1, 3, 2]], Thickness::Uniform(0.5)).unwrap()
    }

    #[test]
    fn the_resultant_of_a_linear_pressure_is_that_of_the_pressure_itself() {
        let mesh = mesh();
        let mut load = Load::none(4);
        load.pressure(&mesh, |triangle| {
            mesh.triangles()[triangle].map(|node| node as f64)
        })
        .unwrap();
        let (force, moment) = resultant(load.entries(), &mesh, &Point3::new(0.3, 0.1, 0.0));
        let (mut by_hand, mut by_hand_moment) = (Vector3::zeros(), Vector3::zeros());
        for triangle in 0..2 {
            let (area, normal) = mesh.area_and_normal(triangle).unwrap();
            let corners = mesh.triangles()[triangle];
            // Middles of the sides integrate pressure times arm exactly.
            for (a, b) in [(0, 1), (1, 2), (2, 0)] {
                let (p, q) = (corners[a], corners[b]);
                let place = nalgebra::center(&mesh.nodes()[p], &mesh.nodes()[q]);
                let pull = normal * ((p + q) as f64 / 2.0 * area / 3.0);
                by_hand += pull;
                by_hand_moment += (place - Point3::new(0.3, 0.1, 0.0)).cross(&pull);
            }
        }
        assert!((force - by_hand).norm() < 1e-12);
        assert!((moment - by_hand_moment).norm() < 1e-12);
    }

    #[test]
    fn a_load_on_a_missing_node_is_refused() {
        let mut load = Load::none(4);
        assert!(load.force(4, Vector3::x()).is_err());
        assert!(load.force(usize::MAX, Vector3::x()).is_err());
        assert!(load.force(0, Vector3::new(f64::NAN, 0.0, 0.0)).is_err());
    }
}
