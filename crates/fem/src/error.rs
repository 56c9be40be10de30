//! What can be wrong with a model or its solution, one sentence each.

use thiserror::Error;

#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FemError {
    #[error("the mesh has no triangles where at least one was expected; give it a surface")]
    Empty,
    #[error(
        "triangle {triangle} names node {node} where the mesh has {nodes} nodes; correct the connection"
    )]
    NodeMissing {
        triangle: usize,
        node: usize,
        nodes: usize,
    },
    #[error(
        "node {node} has a coordinate that is not a finite number where one was expected; correct the node"
    )]
    NodeNotFinite { node: usize },
    #[error(
        "triangle {triangle} has no area where one greater than zero was expected; remove it or move its corners"
    )]
    NoArea { triangle: usize },
    #[error(
        "triangle {triangle} is {thickness} thick where a finite thickness greater than zero was expected; correct it"
    )]
    Thickness { triangle: usize, thickness: f64 },
    #[error("{what} holds {found} entries where {expected} were expected; give one for each")]
    Count {
        what: &'static str,
        found: usize,
        expected: usize,
    },
    #[error(
        "triangle {triangle} names section {section} where {sections} are given; correct the number"
    )]
    SectionMissing {
        triangle: usize,
        section: usize,
        sections: usize,
    },
    #[error(
        "the material has {what} = {value} where {expected} was expected; correct the material"
    )]
    Material {
        what: &'static str,
        value: f64,
        expected: &'static str,
    },
    #[error(
        "the layers take {total} of the thickness where a sum of 1 was expected; correct their shares"
    )]
    Shares { total: f64 },
    #[error("{what} names node {node} where the mesh has {nodes} nodes; correct the number")]
    NodeUnknown {
        what: &'static str,
        node: usize,
        nodes: usize,
    },
    #[error("{what} is {value} where {expected} was expected; correct it")]
    Value {
        what: &'static str,
        value: f64,
        expected: &'static str,
    },
    #[error("every freedom is held where at least one free was expected; release a support")]
    NothingFree,
    #[error(
        "the structure moves freely at node {node} in {freedom} where supports against every rigid motion were expected; add supports"
    )]
    Mechanism { node: usize, freedom: &'static str },
    #[error(
        "the matrix and this model differ in their freedoms where the same pattern was expected; build the system again"
    )]
    PatternChanged,
    #[error("no memory was left for the equations where some was expected; use a coarser mesh")]
    Memory,
    #[error(
        "the line of the load passes outside the places of contact where it was expected between them; move the load or add places of contact"
    )]
    Tips,
    #[error(
        "contact was not settled after {steps} steps where an end was expected; check the gaps and the load"
    )]
    ContactUnsettled { steps: usize },
    #[error("there are no places of contact where at least one was expected; name candidate nodes")]
    NoCandidates,
    #[error(
        "balance was not found after {iterations} corrections at {share:.4} of the load where an end was expected; use a smaller load or a stiffer structure"
    )]
    NotBalanced { iterations: usize, share: f64 },
}
