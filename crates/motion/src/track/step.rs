//! One bare step from a frame to the next, without memory: for comparisons with other programs.

use super::flow::{LEVELS, Look, REACH, WINDOW};
use super::region::Region;
use crate::frames::Frame;

/// Where the window around `at` went in the next frame; `None` where it shows too little or runs away.
pub fn step(frame: &Frame, next: &Frame, at: (f64, f64)) -> Option<(f64, f64)> {
    let from = Region::around(frame, at, REACH, LEVELS)?;
    let to = Region::around(next, at, REACH, LEVELS)?;
    Some(Look::cut(&from, at, WINDOW).find(&to, at)?.at)
}
