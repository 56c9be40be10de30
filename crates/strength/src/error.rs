//! What can keep a shell from being computed, one sentence each.

use fem::FemError;
use thiserror::Error;

#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum StrengthError {
    #[error("found {what} of {found}; expected {expected}: correct it and compute again")]
    Value {
        what: &'static str,
        found: String,
        expected: &'static str,
    },
    #[error(
        "found an outline of the shell that does not close in the plan; expected one closed line: move the trim line and compute again"
    )]
    Outline,
    #[error(
        "found no triangles of good shape in the shell's plan ({why}); expected one sheet of them: ask for more unknowns or move the trim line"
    )]
    Net { why: &'static str },
    #[error(
        "found no place of the shell under the {region}; expected the region on the shell: check the foot's points and the trim line"
    )]
    Region { region: &'static str },
    #[error(
        "found that the shell tips over under {case}; expected the load between its places on the floor: check the post and the foot's points"
    )]
    Tips { case: String },
    #[error("found no answer for {case}: {source}")]
    Solve {
        case: String,
        #[source]
        source: FemError,
    },
    #[error(
        "found the computation stopped on the way; expected it to run to its end: compute again when its answer is wanted"
    )]
    Stopped,
    #[error(transparent)]
    Model(#[from] FemError),
}

impl StrengthError {
    pub(crate) fn in_case(case: &str, fault: FemError) -> Self {
        match fault {
            FemError::Tips => Self::Tips { case: case.into() },
            source => Self::Solve {
                case: case.into(),
                source,
            },
        }
    }
}
