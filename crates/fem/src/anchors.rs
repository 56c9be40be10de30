//! Which freedoms to hold so that a body cannot move as a whole.
//!
//! Leaves letting them go again to [`contact`](crate::contact). One surprise: a motion that the supports hold
//! only weakly, by a short lever, is anchored as well; what the supports do against it comes back in the
//! contact's small problem.

use nalgebra::{Matrix6, SymmetricEigen, Vector3, Vector6};

use crate::Spring;
use crate::model::{Freedom, Model};

/// Below this measure a rigid motion counts as not held by the supports.
const WEAK: f64 = 0.02;

/// Freedoms to hold so that the supports and springs of a body together leave it no rigid motion.
pub(crate) fn anchors(body: &Model) -> Vec<(usize, Freedom)> {
    let mesh = body.mesh();
    let nodes = mesh.nodes();
    let at = mesh.at_nodes();
    let touched: Vec<usize> = (0..nodes.len())
        .filter(|&node| !at.near(node).is_empty())
        .collect();
    let mut centre = Vector3::zeros();
    for &node in &touched {
        centre += nodes[node].coords / touched.len() as f64;
    }
    let size = touched
        .iter()
        .map(|&node| (nodes[node].coords - centre).norm())
        .fold(1e-300, f64::max);
    let row = |node: usize, freedom: usize| {
        let arm = (nodes[node].coords - centre) / size;
        let mut row = Vector6::zeros();
        if freedom < 3 {
            let mut direction = Vector3::zeros();
            direction[freedom] = 1.0;
            row[freedom] = 1.0;
            // Shift along the direction from a turn about each axis.
            row.fixed_rows_mut::<3>(3).copy_from(&arm.cross(&direction));
        } else {
            row[freedom] = 1.0;
        }
        row
    };
    let mut held = Matrix6::zeros();
    for &node in &touched {
        for (freedom, value) in body.supports().held()[node].iter().enumerate() {
            if value.is_some() {
                let row = row(node, freedom);
                held += row * row.transpose();
            }
        }
    }
    for spring in body.springs() {
        if let Spring::ToGround {
            node,
            direction,
            stiffness,
        } = spring
            && *stiffness > 0.0
        {
            let whole: Vector6<f64> = (0..3).map(|part| row(*node, part) * direction[part]).sum();
            held += whole * whole.transpose();
        }
        if let Spring::AgainstTurn {
            direction,
            stiffness,
            ..
        } = spring
            && *stiffness > 0.0
        {
            let mut whole = Vector6::zeros();
            whole.fixed_rows_mut::<3>(3).copy_from(direction);
            held += whole * whole.transpose();
        }
    }
    let mut chosen: Vec<(usize, Freedom)> = Vec::new();
    while chosen.len() < 6 {
        let eigen = SymmetricEigen::new(held);
        let weakest = eigen.eigenvalues.imin();
        if eigen.eigenvalues[weakest] > WEAK {
            break;
        }
        let motion = eigen.eigenvectors.column(weakest).into_owned();
        let mut best = (0.0, None);
        for &node in &touched {
            for freedom in Freedom::SHIFTS {
                if body.supports().held()[node][freedom.index()].is_none() {
                    let part = row(node, freedom.index()).dot(&motion).abs();
                    if part > best.0 * (1.0 + 1e-9) {
                        best = (part, Some((node, freedom)));
                    }
                }
            }
        }
        let (_, Some((node, freedom))) = best else {
            break;
        };
        let row = row(node, freedom.index());
        held += row * row.transpose();
        chosen.push((node, freedom));
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::Isotropic;
    use crate::mesh::{Mesh, Thickness};
    use crate::model::Supports;
    use crate::section::Section;
    use nalgebra::Point3;

    fn square(supports: Supports) -> Model {
        let nodes =
            [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(|(x, y)| Point3::new(x, y, 0.0));
        let mesh = Mesh::new(
            nodes.to_vec(),
            vec![[0, 1, 2], [0, 2, 3]],
            Thickness::Uniform(0.1),
        )
        .unwrap();
        let section = Section::isotropic(Isotropic {
            modulus: 1.0,
            poisson: 0.3,
        })
        .unwrap();
        Model::new(mesh, section).with_supports(supports).unwrap()
    }

    #[test]
    fn a_free_body_needs_six_anchors_and_each_support_saves_its_own() {
        assert_eq!(anchors(&square(Supports::none(4))).len(), 6);
        let mut clamped = Supports::none(4);
        clamped.hold_all(0);
        assert!(anchors(&square(clamped)).is_empty());
        let mut pinned = Supports::none(4);
        for node in [1, 2] {
            pinned.hold(node, &[Freedom::Ux, Freedom::Uy]);
        }
        // The plane's three motions are held; rise and two tilts are not.
        let found = anchors(&square(pinned));
        assert_eq!(found.len(), 3);
        assert!(found.iter().all(|(_, freedom)| *freedom == Freedom::Uz));
    }
}
