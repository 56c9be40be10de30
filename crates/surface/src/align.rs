//! How was a foot set into its frame?
//!
//! What is stored beside a scan so that everything can be drawn back onto it: the way from the foot frame to the
//! file, which plane and axis were used, which side was found and what told it.

use crate::frame::{Ground, Settled};
use crate::recognise::Witness;
use crate::sample::V;
use serde::{Deserialize, Serialize};
use terms::Side;

/// Changes when the same scan would be aligned differently.
pub const VERSION: u32 = 1;

/// What the ground was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GroundFrom {
    /// The lowest skin of heel, inner and outer ball.
    ThreeContacts,
    /// A sole that lies flat over an area.
    FlatSole,
}

impl GroundFrom {
    pub fn words(self) -> &'static str {
        match self {
            GroundFrom::ThreeContacts => {
                "the plane on which heel, first and fifth metatarsal head rest, lowered to what lies lower between them"
            }
            GroundFrom::FlatSole => "the plane through all skin that lies flat on the ground",
        }
    }
}

/// How a scan lies in the foot frame.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Alignment {
    pub version: u32,
    /// Rows of `file = m · (x, y, z, 1)` from foot frame millimetres to the file's own numbers.
    pub file_from_foot: [[f64; 4]; 3],
    /// A left foot is mirrored into the foot frame.
    pub mirrored: bool,
    pub ground: GroundFrom,
    pub side: Side,
    /// How much likelier the found side, heel and toes are than the other way round, as a logarithm: above 3 is
    /// clear, below 1 is not.
    pub side_confidence: f64,
    pub ends_confidence: f64,
    /// How unlike the mean foot the body is: half the sum of squared deviations of what was looked at. Feet
    /// have 1 to 8.
    pub strangeness: f64,
    /// Lowest skin of heel, inner and outer ball when the ground was found, foot frame.
    pub contacts_mm: [[f64; 3]; 3],
    /// What told left from right.
    pub side_witnesses: Vec<Witness>,
    /// What told heel from toes.
    pub ends_witnesses: Vec<Witness>,
    /// Plane and axis in words.
    pub method: String,
}

impl Alignment {
    pub(crate) fn new(settled: &Settled, mm_per_unit: f64, side: Side) -> Alignment {
        let frame = &settled.frame;
        let ground = match settled.ground {
            Ground::ThreeContacts => GroundFrom::ThreeContacts,
            Ground::FlatSole => GroundFrom::FlatSole,
        };
        let scale = 1.0 / mm_per_unit;
        let axes = [frame.forward, frame.inner, frame.up].map(|a| a * scale);
        Alignment {
            version: VERSION,
            file_from_foot: [0, 1, 2]
                .map(|k| [axes[0][k], axes[1][k], axes[2][k], frame.origin[k] * scale]),
            mirrored: frame.mirrored(),
            ground,
            side,
            side_confidence: 0.0,
            ends_confidence: 0.0,
            strangeness: 0.0,
            contacts_mm: settled.contacts.map(Into::into),
            side_witnesses: Vec::new(),
            ends_witnesses: Vec::new(),
            method: format!(
                "ground: {}; long axis: from midway between the heel's borders at 15 % of foot length, level, along \
                 the second ray, which leaves 42 % of the ball's breadth to the inner side; zero at the rearmost \
                 skin of the heel",
                ground.words()
            ),
        }
    }

    /// A place of the foot frame in the file's numbers.
    pub fn file_point(&self, foot: [f64; 3]) -> [f64; 3] {
        self.file_from_foot
            .map(|r| r[0] * foot[0] + r[1] * foot[1] + r[2] * foot[2] + r[3])
    }

    /// A place of the file in the foot frame; `None` for a transform that leads nowhere.
    pub fn foot_point(&self, file: [f64; 3]) -> Option<[f64; 3]> {
        let m = nalgebra::Matrix3::from_fn(|i, j| self.file_from_foot[i][j]);
        let d = V::from_fn(|i, _| file[i] - self.file_from_foot[i][3]);
        let at = m.try_inverse()? * d;
        Some(at.into())
    }
}
