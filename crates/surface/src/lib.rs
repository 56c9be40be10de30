//! How does a foot scan become a surface that a shell can be made on?
//!
//! * [`prepare`](mod@prepare): the whole way from a file to a foot, or one sentence why not;
//! * `clean`, `sample`, `look`, `frame`, `recognise`: what is not the foot, which way is up, where are heel,
//!   toes and inner side; [`align`]: what is kept of that;
//! * [`units`]: in which unit the file is written; [`report`]: what was mended;
//! * [`foot`]: the result: a foot in the foot frame, its points, its sole, and how it came to be;
//! * [`points`]: where the points are proposed, and how a hand moves them;
//! * [`sole`]: the lower envelope of a foot, the part a shell follows;
//! * [`built`](mod@built): a sole drawn from measurements, where there is no scan;
//! * [`measure`]: lengths, breadths, girths, heights.
//!
//! # The foot frame
//! Millimetres; x from the rearmost point of the heel (0) to the toes along the long axis, y to the inner
//! (medial) side from that axis, z up from the ground (0). A left foot is mirrored into it.

pub mod align;
pub mod built;
mod clean;
mod error;
pub mod foot;
mod frame;
mod look;
pub mod measure;
mod outline;
pub mod points;
pub mod prepare;
pub mod recognise;
pub mod report;
mod sample;
mod section;
pub mod sole;
pub mod units;

pub use align::Alignment;
pub use built::built;
pub use error::SurfaceError;
pub use foot::{Foot, Mark, Origin, Placed, Points};
pub use measure::{Difference, Dimensions, Size, differences};
pub use points::{Hand, Point};
pub use prepare::{Asked, Prepared, prepare, prepare_mesh};
pub use recognise::Witness;
pub use report::Report;
pub use sole::Sole;
pub use terms::Load;
pub use units::Unit;
