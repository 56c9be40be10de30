//! What is a foot, once it has been read, mended and set on the ground?

use crate::sole::Sole;
use mesh::Mesh;
use serde::{Deserialize, Serialize};
use terms::{Load, Side};

/// A foot in the foot frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Foot {
    pub side: Side,
    /// The skin as far as it was scanned; open above. `None` where the sole was built from measurements.
    pub skin: Option<Mesh>,
    pub sole: Sole,
    pub points: Points,
    pub origin: Origin,
}

/// Where the surface comes from; a built one is never taken for a measured one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum Origin {
    Scanned { load: Load },
    Built { with_print: bool },
}

/// Who put a point where it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Placed {
    Found,
    ByHand,
    Built,
}

/// A point on the skin, in the foot frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Mark {
    pub at: [f64; 3],
    pub placed: Placed,
}

/// The points that a shell is laid out from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Points {
    /// Skin under the middle of the first metatarsal head.
    pub first_head: Mark,
    /// Skin under the middle of the fifth metatarsal head.
    pub fifth_head: Mark,
    /// Lowest skin under the middle of the heel.
    pub heel_centre: Mark,
    /// Skin over the navicular tuberosity, on the inner side.
    pub navicular: Mark,
    /// Foremost skin of the longest toe.
    pub toe_tip: Mark,
}

impl Points {
    /// Rearmost heel (x = 0) to the longest toe.
    pub fn foot_length_mm(&self) -> f64 {
        self.toe_tip.at[0]
    }
}
