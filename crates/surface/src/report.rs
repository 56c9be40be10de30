//! What was done to a scan, in words and counts?

use crate::points::Point;
use crate::units::FoundUnit;
use mesh::mend::What;
use serde::{Deserialize, Serialize};

/// One kind of mending.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Mend {
    /// A whole statement, for a list.
    pub words: String,
    pub count: usize,
    /// Where, foot frame, the first few; empty where the place is no longer there.
    pub places_mm: Vec<[f64; 3]>,
}

/// Everything that happened between file and foot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Report {
    pub triangles_in_file: usize,
    pub triangles: usize,
    pub unit: FoundUnit,
    pub mends: Vec<Mend>,
    /// Roughness before and after smoothing, and how far skin was moved at most; `None` where it was smooth.
    pub smoothed: Option<Smoothed>,
    /// How far the kept skin lies from the mended one, at most; `None` where it was not simplified.
    pub simplified_by_mm: Option<f64>,
    /// Openings that were left: the leg's, and those too large to close.
    pub openings: Vec<Opening>,
    /// Points that lie on no scanned skin and are guesses.
    pub guessed: Vec<Point>,
    /// What a reader must know beside the mends.
    pub notes: Vec<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Smoothed {
    pub roughness_before_mm: f64,
    pub roughness_after_mm: f64,
    pub moved_typical_mm: f64,
    pub moved_most_mm: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Opening {
    pub middle_mm: [f64; 3],
    pub across_mm: f64,
}

/// `one` for a single thing, `many` with the number put in for more.
pub(crate) fn counted(count: usize, one: &str, many: &str) -> String {
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{} {many}", grouped(count))
    }
}

/// Thousands apart.
pub(crate) fn grouped(count: usize) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(c);
    }
    out
}

/// What a step of mending is called here.
pub(crate) fn words(what: What, count: usize) -> String {
    let n = |one, many| counted(count, one, many);
    match what {
        What::Faulty => format!(
            "{} dropped that had no three corners",
            n("triangle", "triangles")
        ),
        What::Welded => format!(
            "{} joined with others at the same place",
            n("corner", "corners")
        ),
        What::Flat => format!(
            "{} without height shared out to the neighbour",
            n("triangle", "triangles")
        ),
        What::Doubled => format!(
            "{} dropped that lay on another",
            n("doubled triangle", "doubled triangles")
        ),
        What::Crowded => {
            format!(
                "{} cut off where more than two met",
                n("triangle", "triangles")
            )
        }
        What::Pinched => format!(
            "{} parted where the surface touched itself",
            n("place", "places")
        ),
        What::Turned => format!(
            "{} turned to face like the rest",
            n("flipped triangle", "flipped triangles")
        ),
        What::InsideOut => format!(
            "{} turned to face outward",
            n("whole piece", "whole pieces")
        ),
        What::OneSided => format!("{} cut that could face neither way", n("edge", "edges")),
        What::Spikes => format!("{} set back into the skin around", n("spike", "spikes")),
        What::Holes => format!("{} closed", n("hole", "holes")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_said_as_people_say_them() {
        assert_eq!(counted(1, "hole", "holes"), "1 hole");
        assert_eq!(counted(12_345, "hole", "holes"), "12,345 holes");
        assert_eq!(grouped(999), "999");
        assert_eq!(grouped(1_000_000), "1,000,000");
        assert_eq!(
            words(What::Spikes, 1),
            "1 spike set back into the skin around"
        );
    }
}
