//! How does the foot stand? Clinical quantities in, rigid motions of bones out.

use serde::{Deserialize, Serialize};

/// A stance in clinical quantities, each as a change from the plain foot unless said otherwise.
///
/// # Units
/// Degrees and millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Pose {
    /// + = heel to the outer side (valgus).
    pub hindfoot_valgus_deg: f64,
}

impl Pose {
    pub fn neutral() -> Pose {
        Pose::default()
    }
}
