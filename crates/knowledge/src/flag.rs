//! Red flags: what outranks every stage and every plan.

use crate::source::Provenance;
use serde::{Deserialize, Serialize};
use terms::SourceKey;

/// How soon somebody has to act. Ordered: the most urgent first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Urgency {
    Emergency,
    SameDay,
    Urgent,
    Soon,
}

impl Urgency {
    pub fn words(self) -> &'static str {
        match self {
            Urgency::Emergency => "emergency: now",
            Urgency::SameDay => "the same day",
            Urgency::Urgent => "urgent: within days",
            Urgency::Soon => "soon: ask the right specialty",
        }
    }
}

/// One alarming pattern.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RedFlag {
    pub key: String,
    pub words: String,
    /// What makes one think of it.
    pub clues: Vec<String>,
    pub action: String,
    pub urgency: Urgency,
    /// Raised in children, in adults, or in both.
    #[serde(default)]
    pub applies_to: Ages,
    pub provenance: Provenance,
    pub sources: Vec<SourceKey>,
    #[serde(default)]
    pub note: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ages {
    #[default]
    All,
    Child,
    Adult,
}
