//! A file of markers in space.

use crate::MotionError;
use crate::marker::c3d::MarkerFile;
use crate::marker::plane::{Roles, Up, read_markers};
use crate::rise::{RiseReadings, Rule};
use crate::steps::Setup;
use serde::{Deserialize, Serialize};

pub const MARKERS_FORMAT: &str = "tiebeam-marker-work";
pub const MARKERS_VERSION: u32 = 1;

/// Which label is which point, and the rule by which rises count.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkerWork {
    pub roles: Vec<Roles>,
    pub up: Up,
    /// Its placing error is in millimetres on the skin here.
    pub setup: Setup,
    pub rule: Rule,
}

impl MarkerWork {
    /// # Errors
    /// As [`read_markers`].
    pub fn read(&self, file: &MarkerFile) -> Result<RiseReadings, MotionError> {
        read_markers(file, &self.roles, self.up, &self.setup, self.rule)
    }
}
