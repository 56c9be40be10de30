//! How does a photograph or a flat-bed scan become an upright picture of known size?
//!
//! Everything a camera writes beside the pixels is left behind, but for the turn that sets the picture
//! upright. Grey radiographs are `film`'s.

mod error;
mod grey;
mod open;

pub use error::PictureError;
pub use grey::Grey;
pub use open::{Limits, Picture, Turned, open};
