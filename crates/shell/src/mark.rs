//! How is the order's code written on the underside?
//!
//! Letters of straight strokes, raised, readable from below, over the arch where the shell does not touch
//! the ground. Where no such room is, nothing is written and the maker is told.

use crate::field::ShellShape;
use crate::layout::Layout;
use crate::post::Ground;
use terms::Side;

/// Letters stand this high, wide (with the gap after them) and proud; strokes are this thick, mm. Thick
/// enough for powder processes (common practice: raised text of 0.5 mm, strokes of 1 mm and more).
const HEIGHT_MM: f64 = 6.0;
const ADVANCE_MM: f64 = 5.2;
const PROUD_MM: f64 = 0.6;
const STROKE_MM: f64 = 1.2;
/// Room that must be left between letters and ground.
const CLEARANCE_MM: f64 = 1.2;

/// Strokes in the plan.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Mark {
    strokes: Vec<[[f64; 2]; 2]>,
    low: [f64; 2],
    high: [f64; 2],
}

impl Mark {
    /// Does a place of the plan lie in the text's box or just beside it?
    pub fn is_about(&self, p: [f64; 2]) -> bool {
        (0..2).all(|k| (self.low[k] - 3.0..=self.high[k] + 3.0).contains(&p[k]))
    }

    /// Distance in the plan to the nearest stroke's middle line; infinite away from the text.
    pub fn away(&self, p: [f64; 2]) -> f64 {
        if !self.is_about(p) {
            return f64::INFINITY;
        }
        self.strokes
            .iter()
            .map(|[a, b]| {
                let (e, w) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
                let long = (e[0] * e[0] + e[1] * e[1]).max(1e-9);
                let t = ((w[0] * e[0] + w[1] * e[1]) / long).clamp(0.0, 1.0);
                (w[0] - e[0] * t).powi(2) + (w[1] - e[1] * t).powi(2)
            })
            .fold(f64::INFINITY, f64::min)
            .sqrt()
    }
}

/// Nothing is raised farther than this from a stroke's middle line.
pub(crate) const REACH_MM: f64 = STROKE_MM / 2.0 + SLOPE_MM / 2.0;
/// Width of a stroke's sloped side.
const SLOPE_MM: f64 = 0.5;

/// How far a letter stands out at a distance from a stroke's middle line; half of it at the stroke's border.
pub(crate) fn proud(away: f64) -> f64 {
    PROUD_MM * (1.0 - crate::positive::ramp(away, REACH_MM - SLOPE_MM, REACH_MM))
}

/// Lays a text out; `None` where no room is found or nothing is to be written.
pub(crate) fn place(
    text: &str,
    shape: &ShellShape<'_>,
    ground: &Ground,
    side: Side,
) -> Option<Mark> {
    let letters: Vec<Vec<[[f64; 2]; 2]>> = text.chars().map(letter).collect();
    if letters.is_empty() {
        return None;
    }
    let layout = shape.layout;
    let width = letters.len() as f64 * ADVANCE_MM - 1.2;
    let front = layout.front.x(layout.heel[1]);
    let (from, to) = (layout.heel[0] + 0.12 * layout.foot_length_mm, front - 8.0);
    if to - from < width {
        return None;
    }
    let clearance = Clearance::of(shape, ground);
    // Strips across the arch from the middle to the inner side; the roomiest place wins.
    let mut best: Option<(f64, f64, f64)> = None;
    let mut y = layout.heel[1] - 6.0;
    while y < layout.heel[1] + 34.0 {
        let mut x = from;
        while x + width <= to {
            let room = clearance.least([x, y], [x + width, y + HEIGHT_MM]);
            if let Some(room) = room
                && room > best.map_or(CLEARANCE_MM + PROUD_MM, |b| b.0 + 0.05)
            {
                best = Some((room, x, y));
            }
            x += 4.0;
        }
        y += 3.0;
    }
    let (_, x, y) = best?;
    // From below, a right foot's inner side is down on the page when the toes point right.
    let up = if side == Side::Right { -1.0 } else { 1.0 };
    let base = if up < 0.0 { y + HEIGHT_MM } else { y };
    let strokes: Vec<[[f64; 2]; 2]> = letters
        .iter()
        .enumerate()
        .flat_map(|(n, strokes)| {
            strokes.iter().map(move |ends| {
                ends.map(|[u, v]| {
                    [
                        x + n as f64 * ADVANCE_MM + u * (ADVANCE_MM - 1.2) / 4.0,
                        base + up * v * HEIGHT_MM / 6.0,
                    ]
                })
            })
        })
        .collect();
    Some(Mark {
        strokes,
        low: [x, y],
        high: [x + width, y + HEIGHT_MM],
    })
}

/// Room between underside and ground over the plan, in cells of 2 mm.
struct Clearance {
    low: [f64; 2],
    size: [usize; 2],
    cells: Vec<f64>,
}

const CELL_MM: f64 = 2.0;

impl Clearance {
    fn of(shape: &ShellShape<'_>, ground: &Ground) -> Clearance {
        let layout: &Layout = shape.layout;
        let low = [-10.0, layout.heel[1] - 70.0];
        let size = [(0.9 * layout.foot_length_mm / CELL_MM) as usize + 10, 75];
        let mut cells = vec![f64::NAN; size[0] * size[1]];
        for (i, ray) in layout.rays.iter().enumerate() {
            for j in 0..layout.samples {
                let length = j as f64 * ray.spacing;
                let p = layout.point(i, j);
                if layout.outside_at(i, j) > -5.0 {
                    continue;
                }
                let normal = layout.normal(i, j);
                // Letters on a steep wall cannot be read from below.
                let room = if normal.z < -0.75 {
                    let under = p + normal * shape.thickness(i as f64, length);
                    ground.above(under)
                } else {
                    f64::NEG_INFINITY
                };
                let (a, b) = ((p.x - low[0]) / CELL_MM, (p.y - low[1]) / CELL_MM);
                if a >= 0.0 && b >= 0.0 && (a as usize) < size[0] && (b as usize) < size[1] {
                    let cell = &mut cells[b as usize * size[0] + a as usize];
                    *cell = cell.min(room);
                }
            }
        }
        Clearance { low, size, cells }
    }

    /// Least room in a box; `None` where a cell of it is not under the shell.
    fn least(&self, from: [f64; 2], to: [f64; 2]) -> Option<f64> {
        let cell = |v: f64, k: usize| ((v - self.low[k]) / CELL_MM).max(0.0) as usize;
        let mut least = f64::INFINITY;
        for b in cell(from[1], 1)..=cell(to[1], 1) {
            for a in cell(from[0], 0)..=cell(to[0], 0) {
                if a >= self.size[0] || b >= self.size[1] {
                    return None;
                }
                let room = self.cells[b * self.size[0] + a];
                if room.is_nan() {
                    return None;
                }
                least = least.min(room);
            }
        }
        Some(least)
    }
}

/// Strokes of a letter on a field 4 wide and 6 high, origin at its lower left.
fn letter(c: char) -> Vec<[[f64; 2]; 2]> {
    // Corner numbers: columns 0, 2, 4 and rows 0, 3, 6, as two digits; lines are split by spaces.
    let path = match c.to_ascii_uppercase() {
        'A' => "00-26-40 13-33",
        'B' => "00-06-36-45-44-33-03 33-42-41-30-00",
        'C' => "46-06-00-40",
        'D' => "00-06-26-44-42-20-00",
        'E' => "46-06-00-40 03-33",
        'F' => "46-06-00 03-33",
        'G' => "46-06-00-40-43-23",
        'H' => "00-06 40-46 03-43",
        'I' => "20-26 16-36 10-30",
        'J' => "46-40-10-02",
        'K' => "00-06 46-03-40",
        'L' => "06-00-40",
        'M' => "00-06-23-46-40",
        'N' => "00-06-40-46",
        'O' | '0' => "00-06-46-40-00",
        'P' => "00-06-46-43-03",
        'Q' => "00-06-46-40-00 22-40",
        'R' => "00-06-46-43-03 23-40",
        'S' | '5' => "46-06-03-43-40-00",
        'T' => "06-46 26-20",
        'U' => "06-00-40-46",
        'V' => "06-20-46",
        'W' => "06-10-23-30-46",
        'X' => "00-46 06-40",
        'Y' => "06-23-46 23-20",
        'Z' => "06-46-00-40",
        '1' => "04-26-20 10-30",
        '2' => "06-46-43-03-00-40",
        '3' => "06-46-40-00 13-43",
        '4' => "06-03-43 46-40",
        '6' => "46-06-00-40-43-03",
        '7' => "06-46-10",
        '8' => "00-06-46-40-00 03-43",
        '9' => "43-03-06-46-40-00",
        '-' => "13-33",
        '/' => "00-46",
        _ => "",
    };
    path.split(' ')
        .flat_map(|line| {
            let corners: Vec<[f64; 2]> = line
                .split('-')
                .filter_map(|corner| {
                    let mut digits = corner.chars().filter_map(|d| d.to_digit(10));
                    Some([f64::from(digits.next()?), f64::from(digits.next()?)])
                })
                .collect();
            corners.windows(2).map(|w| [w[0], w[1]]).collect::<Vec<_>>()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_letter_and_digit_has_strokes_within_its_field() {
        for c in ('A'..='Z').chain('0'..='9').chain(['-', '/']) {
            let strokes = letter(c);
            assert!(!strokes.is_empty(), "{c}");
            assert!(
                strokes
                    .iter()
                    .flatten()
                    .all(|[u, v]| *u <= 4.0 && *v <= 6.0)
            );
        }
        assert!(letter(' ').is_empty() && letter('é').is_empty());
    }
}
