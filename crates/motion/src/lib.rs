//! How do photographs from behind, heel-rise clips and marker files become angles and heights with error?
//!
//! * grey frames and their times: [`frames`]; what was done to a clip, as data: [`steps`]
//! * what is kept of a photograph, a clip or a marker file while points are still being set: [`work`]
//! * points through a clip: [`track`]; what they say of heel rises: [`rise`]
//! * photographs, from behind and from the side: [`posture`]; files of markers in space: [`marker`]
//!
//! Clips are not decoded here, and nothing here knows whose leg it is. The clinician marks the points and decides
//! what a reading means; a reading says how sure it is and what it took for granted.

mod error;
pub mod frames;
pub mod marker;
pub mod posture;
pub mod rise;
pub mod steps;
pub mod track;
pub mod work;

pub use error::MotionError;
pub use frames::{Frame, Frames};
pub use rise::{RiseReadings, read};
pub use steps::{Marks, Steps, Track};
pub use track::follow;
