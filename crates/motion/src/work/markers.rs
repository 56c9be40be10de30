//! A file of markers in space.

use crate::MotionError;
use crate::marker::c3d::MarkerFile;
use crate::marker::plane::{MARKER_SD_MM, Roles, Up, read_markers};
use crate::rise::{RiseReadings, Rule};
use crate::steps::Setup;
use serde::{Deserialize, Serialize};

pub const MARKERS_FORMAT: &str = "tiebeam-marker-work";
pub const MARKERS_VERSION: u32 = 1;

/// Which label is which point, and the rule by which rises count.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MarkerWork {
    pub roles: Vec<Roles>,
    pub up: Up,
    pub setup: Setup,
    pub rule: Rule,
}

impl Default for MarkerWork {
    fn default() -> Self {
        Self {
            roles: Vec::new(),
            up: Up::default(),
            setup: Setup {
                placing_sd_px: MARKER_SD_MM,
                ..Setup::default()
            },
            rule: Rule::default(),
        }
    }
}

impl MarkerWork {
    /// # Errors
    /// As [`read_markers`].
    pub fn read(&self, file: &MarkerFile) -> Result<RiseReadings, MotionError> {
        read_markers(file, &self.roles, self.up, &self.setup, self.rule)
    }
}
