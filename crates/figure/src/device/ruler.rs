//! How does one see that a print has its true size?
//!
//! A ruler of fifty millimetres of paper. Whoever holds a real one against it knows whether the printer
//! scaled the page; the drawing's own scale is said beside it in words.

use super::Scale;
use super::board::TYPE_MM;
use super::parts::Parts;
use crate::colour::{INK, PAPER};
use crate::svg::{Svg, Text, number};

/// Length of the ruler on paper.
pub(crate) const RULER_MM: f64 = 50.0;
const HEIGHT_MM: f64 = 2.4;
/// Ruler with its words beside it.
pub(crate) const SIZE_MM: [f64; 2] = [126.0, 8.4];
/// Without the words that explain it, for a view on a page.
pub(crate) const SHORT_MM: f64 = 60.0;

/// The drawing's scale, and what the ruler is for, as they are to be read.
pub(crate) struct Told {
    pub scale: String,
    pub ruler: String,
}

impl Told {
    pub fn of(parts: &Parts<'_>, scale: Scale) -> Told {
        Told {
            scale: parts.said(scale.words()),
            ruler: parts.said("The ruler is 50 mm long, or the print was scaled."),
        }
    }
}

/// Draws ruler and words with their upper left corner at a place; `turned` to be read from the right, with
/// that corner at the bottom.
pub(crate) fn draw(svg: &mut Svg, corner: [f64; 2], told: Option<&Told>, turned: bool) {
    let turn = if turned { " rotate(-90)" } else { "" };
    let moved = format!(
        "translate({} {}){turn}",
        number(corner[0]),
        number(corner[1])
    );
    svg.open("g", &[("transform", &moved)]);
    let words = Text::new(TYPE_MM, INK);
    let top = 2.0;
    // Ten-millimetre fields, dark and light in turn, over the first of them millimetres.
    for n in 0..5 {
        let fill = if n % 2 == 0 { INK } else { PAPER };
        svg.element(
            "rect",
            &[
                ("x", &number(f64::from(n) * 10.0)),
                ("y", &number(top)),
                ("width", "10"),
                ("height", &number(HEIGHT_MM)),
                ("fill", fill),
                ("stroke", INK),
                ("stroke-width", "0.15"),
            ],
        );
    }
    for n in 0..=10 {
        let long = if n % 5 == 0 { 1.6 } else { 1.0 };
        let x = f64::from(n);
        svg.line([x, top - long], [x, top], INK, 0.12);
    }
    for n in [0, 10, 20, 30, 40, 50] {
        let look = if n == 0 { words } else { words.middle() };
        svg.text([f64::from(n), top + HEIGHT_MM + 2.6], &n.to_string(), look);
    }
    svg.text([RULER_MM + 3.0, top + HEIGHT_MM + 2.6], "mm", words);
    if let Some(told) = told {
        let left = RULER_MM + 11.0;
        svg.text([left, 3.2], &told.scale, words.bold());
        svg.text([left, 7.0], &told.ruler, words);
    }
    svg.close();
}
