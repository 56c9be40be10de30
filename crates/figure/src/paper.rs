//! How large is a film printed at least, and how large is the type on it?
//!
//! A picture does not know its paper. So the type on a film is sized for the smallest print that is
//! promised here, and whoever prints it keeps to that width.

/// The box that the smallest print of a film fills, in millimetres.
const LEAST_BOX_MM: (f64, f64) = (88.0, 80.0);
/// Size of names and values on that print; larger prints have larger type.
pub const LEAST_TYPE_PT: f64 = 7.2;
/// Width of one drawing unit on that print: hair lines of about half a point.
const PEN_PT: f64 = 0.5;
const PT_PER_MM: f64 = 72.0 / 25.4;

/// The least width at which a film of these proportions is printed, so that its type can be read.
///
/// # Units
/// Millimetres of paper.
pub fn least_width_mm(width: f64, height: f64) -> f64 {
    let (w, h) = LEAST_BOX_MM;
    if width > 0.0 && height > 0.0 && (width / height).is_finite() {
        w.min(h * width / height)
    } else {
        w
    }
}

/// Type size and pen in the units of a picture of this size.
pub(crate) fn type_and_pen(width: f64, height: f64) -> (f64, f64) {
    let unit_per_pt = width / (least_width_mm(width, height) * PT_PER_MM);
    (LEAST_TYPE_PT * unit_per_pt, PEN_PT * unit_per_pt)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn type_on_the_least_print_is_at_least_seven_points() {
        for (w, h) in [(2400.0, 1800.0), (1000.0, 2400.0), (900.0, 900.0)] {
            let (size, pen) = type_and_pen(w, h);
            let printed_pt = size * least_width_mm(w, h) * PT_PER_MM / w;
            assert!(printed_pt >= 7.0, "{w} × {h}: {printed_pt}");
            assert!(pen * 10.0 < size, "{pen} {size}");
        }
    }

    #[test]
    fn a_tall_film_is_printed_narrower_than_a_wide_one() {
        assert_eq!(least_width_mm(2.0, 1.0), 88.0);
        assert_eq!(least_width_mm(1.0, 2.0), 40.0);
        assert_eq!(least_width_mm(0.0, f64::NAN), 88.0);
    }
}
