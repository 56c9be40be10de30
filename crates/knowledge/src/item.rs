//! Examination items that have a published yardstick, so that a yardstick cannot name one that is
//! not there.

use quantity::Unit;
use serde::{Deserialize, Serialize};

/// One thing that is counted or measured in the examination.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Item {
    pub key: String,
    pub name: String,
    pub unit: Unit,
    /// How it is done and what plus means.
    pub words: String,
}
