//! The highest stresses at the nodes, from many displacements of one structure.
//!
//! Says what [`feel`](crate::feel) and [`smooth`](crate::smooth) say, for whoever asks again and again: which
//! corners are averaged depends on the structure alone and is found once. One surprise: most corners at a node
//! have the same neighbours within the fold, so that one mean serves them all.

use nalgebra::{Matrix3, Vector3};

use crate::FemError;
use crate::facet::Freedoms18;
use crate::mesh::AtNodes;
use crate::model::Model;
use crate::system::Displacement;

/// A symmetric tensor: xx, yy, zz, xy, yz, zx.
type Six = [f64; 6];
/// Underside, middle, top.
type Layers = [Six; 3];

/// A structure ready to have its stresses read.
#[derive(Debug)]
pub struct Recovery {
    model: Model,
    /// For each node where its sets of corners begin.
    sets: Vec<usize>,
    /// For each set where its members begin.
    starts: Vec<usize>,
    /// Corners, three to a triangle, each with its triangle's share of the set's area.
    members: Vec<(usize, f64)>,
}

impl Recovery {
    /// Averages among triangles whose normals lie within `fold` radians of each other, as
    /// [`smooth`](crate::smooth) does.
    #[must_use]
    pub fn of(model: Model, fold: f64) -> Self {
        let model = model.prepared();
        let mesh = model.mesh();
        let lie: Vec<(f64, Vector3<f64>)> = (0..mesh.triangles().len())
            .map(|triangle| {
                mesh.area_and_normal(triangle)
                    .unwrap_or((0.0, Vector3::zeros()))
            })
            .collect();
        let at = AtNodes::of(mesh.nodes().len(), mesh.triangles());
        let least = fold.cos();
        let (mut sets, mut starts, mut members) = (vec![0], vec![0], Vec::new());
        let mut found: Vec<Vec<usize>> = Vec::new();
        for node in 0..mesh.nodes().len() {
            let near = at.near(node);
            found.clear();
            for &(triangle, _) in near {
                let like =
                    |other: usize| other == triangle || lie[triangle].1.dot(&lie[other].1) >= least;
                let set: Vec<usize> = (0..near.len()).filter(|&n| like(near[n].0)).collect();
                if !found.contains(&set) {
                    found.push(set);
                }
            }
            for set in &found {
                let area: f64 = set.iter().map(|&n| lie[near[n].0].0).sum();
                members.extend(set.iter().map(|&n| {
                    let (triangle, corner) = near[n];
                    (3 * triangle + corner, lie[triangle].0 / area)
                }));
                starts.push(members.len());
            }
            sets.push(starts.len() - 1);
        }
        Self {
            model,
            sets,
            starts,
            members,
        }
    }

    #[must_use]
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// For each displacement the largest von Mises stress of the means at each node: underside, middle, top;
    /// zero where no triangle is.
    ///
    /// # Errors
    /// A displacement for another number of nodes.
    pub fn von_mises(
        &self,
        displacements: &[&Displacement],
    ) -> Result<Vec<Vec<[f64; 3]>>, FemError> {
        let expected = 6 * self.model.mesh().nodes().len();
        let mut lengths = displacements.iter().map(|d| d.entries().len());
        if let Some(found) = lengths.find(|found| *found != expected) {
            return Err(FemError::Count {
                what: "the displacement",
                found,
                expected,
            });
        }
        let corners = self.corners(displacements)?;
        Ok(corners.iter().map(|all| self.at_nodes(all)).collect())
    }

    fn at_nodes(&self, corners: &[Layers]) -> Vec<[f64; 3]> {
        let at_node = |sets: &[usize]| {
            let mut most = [0.0_f64; 3];
            for set in sets[0]..sets[1] {
                let mut sums = Layers::default();
                for &(corner, share) in &self.members[self.starts[set]..self.starts[set + 1]] {
                    for (sum, layer) in sums.iter_mut().zip(&corners[corner]) {
                        for (sum, value) in sum.iter_mut().zip(layer) {
                            *sum += share * value;
                        }
                    }
                }
                for (most, sum) in most.iter_mut().zip(&sums) {
                    *most = most.max(von_mises(sum));
                }
            }
            most
        };
        self.sets.windows(2).map(at_node).collect()
    }

    /// Stresses at every corner under each displacement.
    fn corners(&self, displacements: &[&Displacement]) -> Result<Vec<Vec<Layers>>, FemError> {
        let triangles = self.model.mesh().triangles();
        let mut out: Vec<Vec<Layers>> = displacements
            .iter()
            .map(|_| vec![Layers::default(); 3 * triangles.len()])
            .collect();
        for (triangle, corners) in triangles.iter().enumerate() {
            let (Some(facet), Some(section)) =
                (self.model.facet(triangle), self.model.section(triangle))
            else {
                return Err(FemError::NoArea { triangle });
            };
            let turns = plane_to_space(&facet.material_axes());
            for (displacement, out) in displacements.iter().zip(&mut out) {
                let full = displacement.entries();
                let local = facet.to_local(&Freedoms18::from_fn(|i, _| {
                    full[6 * corners[i / 6] + i % 6]
                }));
                let felt = facet.strains(&local);
                let told = felt
                    .iter()
                    .zip(facet.thickness)
                    .zip(&mut out[3 * triangle..]);
                for (([strain, curvature], thickness), layers) in told {
                    for (height, layer) in [-0.5, 0.0, 0.5].into_iter().zip(layers) {
                        let plane = section.stress(height, thickness, strain, curvature);
                        for (part, turn) in layer.iter_mut().zip(&turns) {
                            *part = turn.dot(&plane);
                        }
                    }
                }
            }
        }
        Ok(out)
    }
}

/// What stresses 11, 22, 12 in given axes (rows) add to each part of the tensor in space.
fn plane_to_space(axes: &Matrix3<f64>) -> [Vector3<f64>; 6] {
    [(0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0)].map(|(i, j)| {
        let (a, b) = (axes.row(0), axes.row(1));
        Vector3::new(a[i] * a[j], b[i] * b[j], a[i] * b[j] + b[i] * a[j])
    })
}

fn von_mises([xx, yy, zz, xy, yz, zx]: &Six) -> f64 {
    let mean = (xx + yy + zz) / 3.0;
    let straight = (xx - mean).powi(2) + (yy - mean).powi(2) + (zz - mean).powi(2);
    (1.5 * (straight + 2.0 * (xy * xy + yz * yz + zx * zx))).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::held_sheet;
    use crate::{Isotropic, Layer, Load, Section, Supports, System, feel, smooth};

    /// A ridge: two slopes that meet in a sharp fold, rumpled, held at one end.
    fn ridge(section: Section) -> System {
        held_sheet(8, 6, section, |x, y| {
            1.2 * (y - 3.0).abs() + 0.03 * (1.7 * x).sin() * (2.3 * y).cos()
        })
    }

    #[test]
    fn highest_stresses_are_those_of_the_corners_smoothed_one_by_one() {
        let isotropic = Isotropic {
            modulus: 100.0,
            poisson: 0.3,
        };
        let layers = [(0.5, 0.3, 130.0), (0.3, -0.9, 40.0), (0.2, 1.1, 90.0)];
        let layers = layers.map(|(share, angle, modulus)| Layer {
            share,
            angle,
            material: Isotropic {
                modulus,
                poisson: 0.25,
            }
            .into(),
        });
        for section in [
            Section::isotropic(isotropic).unwrap(),
            Section::layered(&layers).unwrap(),
        ] {
            let system = ridge(section);
            let model = system.model();
            let count = model.mesh().nodes().len();
            let mut load = Load::none(count);
            load.force(count - 1, Vector3::new(0.3, -0.5, 0.8)).unwrap();
            load.force(count / 2, Vector3::new(-0.2, 0.4, 1.0)).unwrap();
            let moved = system.solve(&[&load]).unwrap().remove(0);
            for fold in [0.02, 0.5, 3.0] {
                let recovery = Recovery::of(model.clone(), fold);
                let still = Displacement::new(vec![0.0; 6 * count]);
                let mut both = recovery.von_mises(&[&still, &moved]).unwrap();
                let found = both.pop().unwrap();
                assert!(both[0].iter().flatten().all(|value| *value == 0.0));
                let corners = feel(model, &moved).unwrap().stresses(model).unwrap();
                let mut expected = vec![[0.0_f64; 3]; count];
                for (named, through) in model
                    .mesh()
                    .triangles()
                    .iter()
                    .zip(smooth(model, &corners, fold).unwrap())
                {
                    for (&node, through) in named.iter().zip(through) {
                        for (most, layer) in expected[node].iter_mut().zip(through.layers()) {
                            *most = most.max(layer.von_mises());
                        }
                    }
                }
                let highest = expected.iter().flatten().copied().fold(0.0, f64::max);
                assert!(highest > 0.1);
                for (found, expected) in found.iter().flatten().zip(expected.iter().flatten()) {
                    assert!(
                        (found - expected).abs() < 1e-12 * highest,
                        "{found} is not {expected} at fold {fold}"
                    );
                }
            }
            let other = Displacement::new(vec![0.0; 6]);
            let recovery = Recovery::of(model.clone(), 0.5);
            assert!(recovery.von_mises(&[&moved, &other]).is_err());
        }
    }

    #[test]
    fn elements_computed_once_are_those_computed_each_time() {
        let section = Section::isotropic(Isotropic {
            modulus: 100.0,
            poisson: 0.3,
        })
        .unwrap();
        let system = ridge(section.clone());
        let model = system.model();
        let prepared = model.clone().prepared();
        let released = prepared
            .clone()
            .with_supports(Supports::none(model.mesh().nodes().len()))
            .unwrap();
        for triangle in 0..model.mesh().triangles().len() {
            assert_eq!(prepared.stiffness(triangle), model.stiffness(triangle));
            assert_eq!(released.stiffness(triangle), model.stiffness(triangle));
        }
        assert!(prepared.stiffness(model.mesh().triangles().len()).is_none());
        // Another section is another set of elements.
        let stiffer = Section::isotropic(Isotropic {
            modulus: 200.0,
            poisson: 0.3,
        })
        .unwrap();
        let count = model.mesh().triangles().len();
        let changed = prepared
            .with_sections(vec![stiffer], vec![0; count])
            .unwrap();
        let (two, one) = (changed.stiffness(3).unwrap(), model.stiffness(3).unwrap());
        assert!((two.into_owned() - one.into_owned() * 2.0).amax() < 1e-10);
    }
}
