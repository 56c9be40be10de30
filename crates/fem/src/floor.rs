//! A flat floor under a body: which nodes may touch it, and how it is looked at.
//!
//! Leaves forces to [`contact`](crate::contact) and [`large`](crate::large). One surprise: places are taken up
//! in groups of neighbours that do not touch, because of two neighbours below the floor mostly one will press.

use nalgebra::Vector3;

use crate::FemError;
use crate::mesh::AtNodes;
use crate::model::Model;

/// A node that may touch the floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    pub node: usize,
    /// Height over the floor before loading, not below zero.
    pub gap: f64,
}

/// Places of contact are added in groups of at most so many.
pub(crate) const GROUP: usize = 24;

/// A node's shift along the normal.
pub(crate) fn along(full: &[f64], node: usize, normal: &Vector3<f64>) -> f64 {
    (0..3)
        .map(|part| normal[part] * full[6 * node + part])
        .sum()
}

/// The first of some places, deepest first: no two of one triangle, and not more than a group.
pub(crate) fn apart(
    body: &Model,
    at: &AtNodes,
    candidates: &[Candidate],
    deepest_first: &[usize],
) -> Vec<usize> {
    let mut taken = vec![false; body.mesh().nodes().len()];
    let triangles = body.mesh().triangles();
    let mut chosen = Vec::new();
    for &c in deepest_first {
        let node = candidates[c].node;
        if !taken[node] {
            chosen.push(c);
            for &(triangle, _) in at.near(node) {
                for near in triangles[triangle] {
                    taken[near] = true;
                }
            }
            taken[node] = true;
        }
        if chosen.len() == GROUP {
            break;
        }
    }
    chosen
}

/// Refuses a floor that cannot be.
pub(crate) fn check(
    body: &Model,
    normal: &Vector3<f64>,
    candidates: &[Candidate],
) -> Result<(), FemError> {
    if candidates.is_empty() {
        return Err(FemError::NoCandidates);
    }
    if !normal.norm().is_finite() || (normal.norm() - 1.0).abs() > 1e-9 {
        return Err(FemError::Value {
            what: "the length of the floor's normal",
            value: normal.norm(),
            expected: "1",
        });
    }
    let nodes = body.mesh().nodes().len();
    for candidate in candidates {
        if candidate.node >= nodes {
            return Err(FemError::NodeUnknown {
                what: "a place of contact",
                node: candidate.node,
                nodes,
            });
        }
        if !(candidate.gap.is_finite() && candidate.gap >= 0.0) {
            return Err(FemError::Value {
                what: "a gap",
                value: candidate.gap,
                expected: "a finite number not below zero",
            });
        }
    }
    Ok(())
}
