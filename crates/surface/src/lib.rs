//! How does a foot scan become a surface that a shell can be made on?
//!
//! * [`foot`]: the result: a foot in the foot frame, its points, its sole, and how it came to be;
//! * [`built`](mod@built): a sole drawn from measurements, where there is no scan;
//! * [`sole`]: the lower envelope of a foot, the part a shell follows.
//!
//! # The foot frame
//! Millimetres; x from the rearmost point of the heel (0) to the toes along the long axis, y to the inner
//! (medial) side from that axis, z up from the ground (0). A left foot is mirrored into it.

pub mod built;
pub mod foot;
pub mod sole;

pub use foot::{Foot, Mark, Origin, Placed, Points};
pub use sole::Sole;
pub use terms::Load;
