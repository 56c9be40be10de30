//! The schemes: which criteria make which stage.

pub(crate) mod child;
pub mod consensus;
pub(crate) mod tendon;
pub(crate) mod three_column;

use crate::rule::Rule;
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scheme {
    /// Four stages of the failing tendon, with substages.
    Tendon,
    /// Hindfoot, ankle and midfoot side by side.
    ThreeColumn,
    /// Classes A to E, flexible or rigid, of 2020.
    Consensus,
    /// Flexible or rigid, painful or not, in children.
    Child,
    /// Green, amber or red, in children.
    TrafficLight,
}

impl Scheme {
    pub const ALL: [Scheme; 5] = [
        Scheme::Tendon,
        Scheme::ThreeColumn,
        Scheme::Consensus,
        Scheme::Child,
        Scheme::TrafficLight,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Scheme::Tendon => "Four stages of the failing tendon",
            Scheme::ThreeColumn => "Three columns",
            Scheme::Consensus => "Consensus of 2020",
            Scheme::Child => "Child's flat foot",
            Scheme::TrafficLight => "Child's traffic light",
        }
    }
}

/// One stage as a scheme defines it.
pub(crate) struct Stage {
    pub key: &'static str,
    pub words: &'static str,
    pub rule: Rule,
    /// The definition was read somewhere; without it the stage is told as 'would be' only.
    pub confirmed: bool,
    pub cites: &'static [(&'static str, char)],
}

pub(crate) fn stages(scheme: Scheme) -> Vec<Stage> {
    match scheme {
        Scheme::Tendon => tendon::stages(),
        Scheme::ThreeColumn => three_column::stages(),
        Scheme::Consensus => consensus::stages(),
        Scheme::Child => child::kinds(),
        Scheme::TrafficLight => child::lights(),
    }
}
