//! What was agreed until the next visit, as it is kept.

use record::PlanRecord;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use terms::Side;

pub const PLAN_FORMAT: &str = "tiebeam-plan";
pub const PLAN_VERSION: u32 = 1;

/// The plan of one visit.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct KeptPlan {
    /// The first proposal of each foot as it was shown, so that a later reader sees what was on offer.
    #[serde(default)]
    pub proposed: Vec<Value>,
    /// Rungs the clinician took, each `side:key`.
    #[serde(default)]
    pub taken: Vec<String>,
    /// What the patient wears on each foot until the next visit, in the clinician's words.
    #[serde(default)]
    pub worn_left: String,
    #[serde(default)]
    pub worn_right: String,
    /// The plan in the clinician's words.
    #[serde(default)]
    pub words: String,
}

impl KeptPlan {
    /// `None` where an older program wrote it in another way.
    pub fn of(record: &PlanRecord) -> Option<Self> {
        record.plan.read(PLAN_FORMAT, PLAN_VERSION).ok()
    }

    pub fn worn(&self, side: Side) -> &str {
        match side {
            Side::Left => &self.worn_left,
            Side::Right => &self.worn_right,
        }
    }
}
