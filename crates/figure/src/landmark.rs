//! The small drawing that shows where a point belongs: outlines of the bones and the point on them.

use crate::colour::*;
use crate::svg::{Svg, number};

/// Draws outlines in a 100 × 100 box with the point marked by a cross in a ring.
///
/// `outlines` are SVG path data that `knowledge` has already checked to hold only drawing commands.
pub fn landmark_svg(name: &str, definition: &str, outlines: &[&str], point: [f64; 2]) -> String {
    let mut svg = Svg::new(100.0, 100.0, name, definition);
    for d in outlines {
        svg.path(d, "none", QUIET, 1.6);
    }
    let [x, y] = point;
    svg.circle(point, 6.0, "none", KELP, 1.8);
    svg.path(
        &format!(
            "M{} {}h6M{} {}h6M{} {}v6M{} {}v6",
            number(x - 9.0),
            number(y),
            number(x + 3.0),
            number(y),
            number(x),
            number(y - 9.0),
            number(x),
            number(y + 3.0)
        ),
        "none",
        BRICK,
        1.6,
    );
    svg.finish()
}
