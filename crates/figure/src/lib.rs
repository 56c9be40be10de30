//! SVG drawings used alike on page and paper.
//!
//! Every drawing is a plain function from a model to an SVG string: no style attributes, no script, so
//! that it passes a strict content-security policy, goes into a PDF unchanged and prints as it is.
//! This crate places ink; it computes no reading.
//!
//! * [`overlay`]: points, lines, arcs and values over a film
//! * [`strip`]: one value with its interval against its yardstick band
//! * [`agreement`]: differences against means of two readings
//! * [`arch`]: what sags in a flat foot
//! * [`exercise`]: exercises as line drawings
//! * [`landmark`]: the small drawing that shows where a point belongs
//! * [`trend`]: readings over visits
//! * [`leg`]: a leg measured for a brace
//! * [`device`]: workshop drawings of a shell
//! * [`curve`]: one quantity through a clip
//! * [`of_posture`]: from the points of a photograph or a clip to what lies over it
//! * [`of_print`]: from the steps and readings of a print to what lies over it
//! * [`of_reading`]: from readings and yardsticks to these models
//! * [`paper`]: how large a film is printed at least, and the type on it
//! * [`raster`]: the same drawings, and films under them, as PNG

pub mod agreement;
pub mod arch;
pub mod colour;
pub mod curve;
pub mod device;
pub mod exercise;
mod ground;
mod labels;
pub mod landmark;
pub mod leg;
pub mod of_posture;
pub mod of_print;
pub mod of_reading;
pub mod overlay;
pub mod paper;
pub mod raster;
pub mod strip;
pub mod svg;
pub mod trend;

pub use agreement::{BlandAltmanModel, bland_altman_svg};
pub use curve::{CurveModel, curve_svg};
pub use landmark::landmark_svg;
pub use leg::{LegLevel, LegModel, LegWords, Prominence, leg_svg};
pub use overlay::{OverlayModel, overlay_svg};
pub use raster::{annotated_film_png, annotated_film_svg, png};
pub use strip::{StripModel, strip_svg};
pub use trend::{TrendAxes, TrendBand, TrendModel, TrendPoint, trend_svg};

/// The family that every drawing names; its files lie in this crate's `fonts/`.
pub const FONT_FAMILY: &str = "Atkinson Hyperlegible Next";

/// The font files, for whoever sets text beside the drawings.
pub const FONTS: [&[u8]; 3] = [
    include_bytes!("../fonts/AtkinsonHyperlegibleNext-Regular.ttf"),
    include_bytes!("../fonts/AtkinsonHyperlegibleNext-Bold.ttf"),
    include_bytes!("../fonts/AtkinsonHyperlegibleNext-Italic.ttf"),
];

/// With its first letter large.
pub(crate) fn capitalised(words: &str) -> String {
    let mut letters = words.chars();
    letters
        .next()
        .map(|first| first.to_uppercase().chain(letters).collect())
        .unwrap_or_default()
}
