//! How do two feet print that stand close together?

use super::{PaperSpec, PrintOutline, PrintSheet, PrintSpec, sheet};
use terms::Side;

/// Places along the sheet at which borders are compared, a millimetre apart.
const ROWS: usize = 600;
const STEP: f64 = 0.5;

/// A left and a right foot, toes up, in the middle of a sheet.
///
/// # Units
/// Millimetres and degrees: `overlap` is how far the prints lie over each other where they do most (0: they touch),
/// `toes_out` turns the toes apart, `ahead` is how far the right foot stands before the left.
pub fn side_by_side(
    feet: &[PrintSpec; 2],
    overlap: f64,
    toes_out: f64,
    ahead: f64,
    paper: &PaperSpec,
) -> PrintSheet {
    let (middle, heels) = (0.5 * paper.width_mm, 0.85 * paper.height_mm);
    let at = |apart: f64| {
        [
            ([middle - apart, heels], -toes_out),
            ([middle + apart, heels - ahead], toes_out),
        ]
    };
    let [left, right] = [0, 1].map(|k| {
        let (heel, turn) = at(0.0)[k];
        inner_border(&feet[k], heel, turn, if k == 0 { 1.0 } else { -1.0 })
    });
    // Each millimetre that the heels move apart takes two from every overlap.
    let both = left.iter().zip(&right).map(|(a, b)| a + b);
    let most = both.fold(f64::NEG_INFINITY, f64::max);
    let [a, b] = at(0.5 * (most - overlap));
    sheet(&[(feet[0], a.0, a.1), (feet[1], b.0, b.1)], paper)
}

/// How far a print reaches to the right (`towards` 1) or left (-1) at each place along the sheet.
fn inner_border(spec: &PrintSpec, heel: [f64; 2], turn_deg: f64, towards: f64) -> Vec<f64> {
    let outline = PrintOutline::new(spec);
    let (s, c) = turn_deg.to_radians().sin_cos();
    let inwards = match spec.side {
        Side::Right => -1.0,
        Side::Left => 1.0,
    };
    let [x0, x1, y0, y1] = outline.bounds();
    let count = |low: f64, high: f64| ((high - low) / STEP) as usize + 1;
    let mut most = vec![f64::NEG_INFINITY; ROWS];
    for i in 0..count(x0, x1) {
        for j in 0..count(y0, y1) {
            let (along, inner) = (x0 + STEP * i as f64, y0 + STEP * j as f64);
            if !outline.holds(along, inner) {
                continue;
            }
            let across = inwards * inner;
            let (x, y) = (
                heel[0] + along * s + across * c,
                heel[1] - along * c + across * s,
            );
            if let Some(m) = most.get_mut(y.max(0.0) as usize) {
                *m = m.max(towards * x);
            }
        }
    }
    most
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prints_that_lie_over_each_other_by_more_hold_less_ink_together() {
        let feet = [Side::Left, Side::Right].map(PrintSpec::plain);
        let paper = PaperSpec {
            width_mm: 300.0,
            mm_per_cell: 0.5,
            ..PaperSpec::default()
        };
        let ink = |overlap: f64| {
            let made = side_by_side(&feet, overlap, 4.0, 10.0, &paper);
            let dark = made.values.iter().filter(|v| **v < 140.0).count() as f64;
            dark * 0.25
        };
        let apart = feet
            .map(|f| PrintOutline::new(&f).truth().area)
            .iter()
            .sum::<f64>();
        assert!((ink(-3.0) - apart).abs() < 0.002 * apart, "{}", ink(-3.0));
        assert!((ink(0.0) - apart).abs() < 0.003 * apart);
        assert!(ink(8.0) < apart - 60.0, "{} of {apart}", ink(8.0));
    }
}
