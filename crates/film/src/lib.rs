//! Radiograph pixels and scale: DICOM and plain images in, calibrated grey picture out.
//!
//! This crate answers "what does the file say, what does it look like, and how long is a pixel?".
//! It places no point and takes no reading.
//!
//! * [`open`]: bytes of a file to a [`Film`], under [`Limits`], or a [`FilmError`] in one sentence.
//! * [`Header`]: what the file says about person, view, side and stance, each only where it says so.
//! * [`tone`]: stored values to display levels (Modality LUT, VOI LUT or window, MONOCHROME1).
//! * [`scale`]: millimetres per pixel, with the error and the words, or the reason why there are none.
//! * [`turn`]: quarter turns and mirroring for the eye alone; points stay where they are.
//! * [`help`]: proposals for the hand: nearest edge, bone axis, circle.
//! * [`write`]: a film as a DICOM object.
//!
//! Film pixel coordinates: x right, y down, the centre of the first stored pixel is (0, 0).
//!
//! Architecture invariant: nothing here panics on outside data, allocates before a size was held
//! against [`Limits`], reads the clock or makes randomness.

mod dicom;
mod error;
mod film;
mod header;
mod limits;
mod plain;
mod png;

pub mod help;
pub mod scale;
pub mod tone;
pub mod turn;
pub mod write;

pub use error::FilmError;
pub use film::{Film, Samples, open};
pub use header::{Header, Told};
pub use limits::Limits;
pub use png::{PngError, encode_png8, encode_png16};
pub use scale::{ScaleAnswer, ScaleSource, ScaleWish, SpacingFacts};
pub use tone::Window;
pub use turn::Turn;
