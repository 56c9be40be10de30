//! Why can a file not become the surface of a foot?

use terms::Side;

/// A scan that is refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SurfaceError {
    #[error(
        "found {found} triangles; expected at least {} for the shape of a foot: export the scan with more detail",
        crate::prepare::FEWEST_TRIANGLES
    )]
    TooFewTriangles { found: usize },
    #[error(
        "found a surface that has no skin where the foot stands; expected its sole: scan the foot from below, or press it into foam"
    )]
    NoSole,
    #[error(
        "found a foot that ends across its length, at a cut of {across_share:.0} % of what is there; expected heel and toes in one surface: scan the whole foot"
    )]
    CutThrough { across_share: f64 },
    #[error(
        "found {found} bodies of about the same size; expected one foot: save each foot in a file of its own"
    )]
    MoreThanOne { found: usize },
    #[error(
        "found {found:.2} for {what}, of the body's length; expected about {expected:.2}, as feet have: check that the file holds the scan of a foot"
    )]
    NotAFoot {
        what: &'static str,
        found: f64,
        expected: f64,
    },
    #[error(
        "found no heel and ball on the body; expected one foot: check that the file holds the scan of a foot"
    )]
    NoHeelAndBall,
    #[error(
        "found a foot {} units of the file long, which is the length of a foot in no unit; expected {} to {} mm: say which unit the file has, or export it in true size",
        three_digits(*found),
        crate::units::SHORTEST_MM,
        crate::units::LONGEST_MM
    )]
    NoUnitFits { found: f64 },
    #[error(
        "found a foot {found_mm:.0} mm long in the unit that was given, {unit}; expected {} to {} mm: give the unit in which the file was written",
        crate::units::SHORTEST_MM,
        crate::units::LONGEST_MM
    )]
    UnitDoesNotFit { unit: &'static str, found_mm: f64 },
    #[error(
        "found a {} foot, told by {witness}; expected the {} one: check the side, or whether the file is a mirror image",
        found.word(),
        asked.word()
    )]
    WrongSide {
        found: Side,
        asked: Side,
        witness: String,
    },
    #[error(
        "found a foot that could be left or right; expected one of them to be clear: say which side was scanned"
    )]
    SideUnclear,
}

/// A number of any size as it is said.
fn three_digits(v: f64) -> f64 {
    let places = 2.0 - v.abs().log10().floor();
    let scale = 10f64.powf(places);
    let said = (v * scale).round() / scale;
    if said.is_finite() { said } else { v }
}
