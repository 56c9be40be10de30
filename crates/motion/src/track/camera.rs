//! How did the camera move? A turn, a shift and a nearness common to the corners of the background.

use super::At;
use super::flow::{Look, Patch};
use super::region::Region;
use crate::frames::Frame;
use crate::steps::FURTHEST_PX;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

/// From pixels of the marked frame to pixels of another: x′ = a x − b y + x₀, y′ = b x + a y + y₀.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CameraMove {
    pub a: f64,
    pub b: f64,
    pub x0: f64,
    pub y0: f64,
}

impl CameraMove {
    pub const STILL: CameraMove = CameraMove {
        a: 1.0,
        b: 0.0,
        x0: 0.0,
        y0: 0.0,
    };

    /// From the marked frame to this one.
    pub fn to(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (
            self.a * x - self.b * y + self.x0,
            self.b * x + self.a * y + self.y0,
        )
    }

    /// From this frame back to the marked one.
    pub fn back(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let (dx, dy) = (x - self.x0, y - self.y0);
        let square = self.a * self.a + self.b * self.b;
        (
            (self.a * dx + self.b * dy) / square,
            (self.a * dy - self.b * dx) / square,
        )
    }

    /// Whether it is a move a camera can make within a clip: no more than twice as near or half, and not away from the scene.
    pub fn is_sound(&self) -> bool {
        let nearness = self.a.hypot(self.b);
        (0.5..2.0).contains(&nearness) && self.x0.abs() < FURTHEST_PX && self.y0.abs() < FURTHEST_PX
    }

    /// The same move told in pixels `by` times as fine.
    pub(crate) fn in_finer_pixels(&self, by: usize) -> Self {
        let (n, k) = (by as f64, (by as f64 - 1.0) / 2.0);
        Self {
            a: self.a,
            b: self.b,
            x0: n * self.x0 + k - self.a * k + self.b * k,
            y0: n * self.y0 + k - self.b * k - self.a * k,
        }
    }
}

const WINDOW: usize = 15;
const LEVELS: usize = 3;
/// Window and jump of a corner on the coarsest level.
const REACH: usize = 52;
const MOST_CORNERS: usize = 32;
/// Fewer corners than this that move alike do not tell a camera's move.
pub(crate) const LEAST_CORNERS: usize = 6;
const CELLS: (usize, usize) = (10, 6);
/// Least eigenvalue per pixel of the half-size picture, in squared brightness: well above what noise makes.
const LEAST_EIGENVALUE: f32 = 6.0;
const LEAST_LIKENESS: f64 = 0.7;

/// Corners of the background with their first looks.
pub(crate) struct Background {
    corners: Vec<Corner>,
}

struct Corner {
    home: (f64, f64),
    look: Look,
    at: Option<(f64, f64)>,
}

/// A strip from the top of the frame to its bottom in which a leg may be.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Strip {
    pub(crate) left: f64,
    pub(crate) right: f64,
}

impl Background {
    /// The best corner of each cell of the frame that lies in no strip.
    pub(crate) fn of(frame: &Frame, strips: &[Strip]) -> Self {
        let middle = (frame.width() as f64 / 2.0, frame.height() as f64 / 2.0);
        let reach = frame.width().max(frame.height());
        let Some(whole) = Region::around(frame, middle, reach, 2) else {
            return Self {
                corners: Vec::new(),
            };
        };
        let (width, height) = (whole.level(1).width, whole.level(1).height);
        let margin = 16usize;
        let cells: Vec<(usize, usize)> = (0..CELLS.1)
            .flat_map(|j| (0..CELLS.0).map(move |i| (i, j)))
            .collect();
        let mut best: Vec<((f64, f64), f32)> = cells
            .par_iter()
            .filter_map(|(i, j)| {
                let columns = (i * width / CELLS.0)..((i + 1) * width / CELLS.0);
                let rows = (j * height / CELLS.1)..((j + 1) * height / CELLS.1);
                let mut best: Option<((f64, f64), f32)> = None;
                for y in rows.step_by(4) {
                    if y < margin || y + margin > height {
                        continue;
                    }
                    for x in columns.clone().step_by(4) {
                        let at = (2.0 * x as f64, 2.0 * y as f64);
                        let hidden = strips.iter().any(|s| at.0 > s.left && at.0 < s.right);
                        if hidden || x < margin || x + margin > width {
                            continue;
                        }
                        let value = Patch::cut(&whole, at, 1, 9).least_eigenvalue();
                        if value > LEAST_EIGENVALUE && best.is_none_or(|(_, b)| value > b) {
                            best = Some((at, value));
                        }
                    }
                }
                best
            })
            .collect();
        best.sort_by(|a, b| b.1.total_cmp(&a.1));
        best.truncate(MOST_CORNERS);
        let corners = best
            .into_iter()
            .filter_map(|(home, _)| {
                let region = Region::around(frame, home, REACH, LEVELS)?;
                Some(Corner {
                    home,
                    look: Look::cut(&region, home, WINDOW),
                    at: None,
                })
            })
            .collect();
        Self { corners }
    }

    pub(crate) fn count(&self) -> usize {
        self.corners.len()
    }

    /// The camera's move from the marked frame to this one, looked for near `last`. Each corner is compared with
    /// its look in the marked frame, so that nothing drifts.
    pub(crate) fn moved(&mut self, frame: &Frame, last: &CameraMove) -> Option<CameraMove> {
        self.corners.par_iter_mut().with_min_len(8).for_each(|c| {
            let guess = last.to(c.home);
            c.at = Region::around(frame, guess, REACH, LEVELS)
                .and_then(|region| c.look.find(&region, guess))
                .filter(|found| found.likeness > LEAST_LIKENESS)
                .map(|found| found.at);
        });
        let pairs: Vec<(At, At)> = self
            .corners
            .iter()
            .filter_map(|c| Some((c.home, c.at?)))
            .collect();
        move_of(&pairs)
    }
}

/// The move that most pairs share: the pair of pairs with the least median error, then least squares with
/// Tukey's weights. `None` for too few, or where fewer than half agree.
pub(crate) fn move_of(pairs: &[(At, At)]) -> Option<CameraMove> {
    let n = pairs.len();
    if n < LEAST_CORNERS {
        return None;
    }
    let errors = |m: &CameraMove| -> Vec<f64> {
        pairs
            .iter()
            .map(|(from, to)| {
                let (x, y) = m.to(*from);
                (x - to.0).hypot(y - to.1)
            })
            .collect()
    };
    let median = |mut e: Vec<f64>| -> f64 {
        let middle = e.len() / 2;
        *e.select_nth_unstable_by(middle, f64::total_cmp).1
    };
    let mut best: Option<(CameraMove, f64)> = None;
    // Corners stand sorted by strength and not by place: these pairs are as good as drawn by lot.
    for step in [n / 2, n / 3, n / 4, 1] {
        for i in 0..n {
            let j = (i + step.max(1)) % n;
            let weights: Vec<f64> = (0..n)
                .map(|k| if k == i || k == j { 1.0 } else { 0.0 })
                .collect();
            let Some(m) = least_squares(pairs, &weights) else {
                continue;
            };
            let error = median(errors(&m));
            if best.is_none_or(|(_, b)| error < b) {
                best = Some((m, error));
            }
        }
    }
    let (mut found, mut error) = best?;
    for _ in 0..5 {
        // 1.4826 makes the median of absolute errors a standard deviation; 4.685 is Tukey's usual width.
        let width = 4.685 * 1.4826 * error.max(0.03);
        let weights: Vec<f64> = errors(&found)
            .iter()
            .map(|e| {
                let u = e / width;
                if u < 1.0 { (1.0 - u * u).powi(2) } else { 0.0 }
            })
            .collect();
        let agree = weights.iter().filter(|w| **w > 0.0).count();
        if agree < LEAST_CORNERS || 2 * agree < n {
            return None;
        }
        found = least_squares(pairs, &weights)?;
        error = median(errors(&found));
    }
    (error < 2.0 && found.is_sound()).then_some(found)
}

fn least_squares(pairs: &[(At, At)], weights: &[f64]) -> Option<CameraMove> {
    let total: f64 = weights.iter().sum();
    if total <= 0.0 {
        return None;
    }
    let mut mean = [0.0; 4];
    for ((from, to), w) in pairs.iter().zip(weights) {
        for (m, v) in mean.iter_mut().zip([from.0, from.1, to.0, to.1]) {
            *m += w * v / total;
        }
    }
    let (mut square, mut dot, mut cross) = (0.0, 0.0, 0.0);
    for ((from, to), w) in pairs.iter().zip(weights) {
        let (px, py) = (from.0 - mean[0], from.1 - mean[1]);
        let (qx, qy) = (to.0 - mean[2], to.1 - mean[3]);
        square += w * (px * px + py * py);
        dot += w * (px * qx + py * qy);
        cross += w * (px * qy - py * qx);
    }
    if square <= 1e-9 || !square.is_finite() {
        return None;
    }
    let (a, b) = (dot / square, cross / square);
    Some(CameraMove {
        a,
        b,
        x0: mean[2] - (a * mean[0] - b * mean[1]),
        y0: mean[3] - (b * mean[0] + a * mean[1]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places() -> Vec<(f64, f64)> {
        (0..20)
            .map(|i| (f64::from(i * 83 % 640), f64::from(i * 59 % 480)))
            .collect()
    }

    #[test]
    fn a_cameras_move_is_found_although_a_third_of_the_corners_walk_away() {
        let truth = CameraMove {
            a: 1.01 * 0.02_f64.cos(),
            b: 1.01 * 0.02_f64.sin(),
            x0: 4.0,
            y0: -7.0,
        };
        let pairs: Vec<_> = places()
            .into_iter()
            .enumerate()
            .map(|(i, p)| {
                let (x, y) = truth.to(p);
                let away = if i % 3 == 0 { 15.0 + i as f64 } else { 0.0 };
                (p, (x + away, y - away))
            })
            .collect();
        let found = move_of(&pairs).unwrap();
        for p in places() {
            let (a, b) = (found.to(p), truth.to(p));
            assert!((a.0 - b.0).hypot(a.1 - b.1) < 1e-6);
        }
        let (x, y) = found.back(found.to((31.0, 17.0)));
        assert!((x - 31.0).abs() < 1e-9 && (y - 17.0).abs() < 1e-9);
    }

    #[test]
    fn five_corners_or_corners_that_all_go_their_own_way_tell_no_move() {
        let still: Vec<_> = places().into_iter().map(|p| (p, p)).collect();
        assert!(move_of(&still[..5]).is_none());
        let wild: Vec<_> = places()
            .into_iter()
            .enumerate()
            .map(|(i, p)| {
                let i = i as f64;
                (
                    p,
                    (p.0 + 40.0 * (i * 2.3).sin(), p.1 + 40.0 * (i * 5.1).cos()),
                )
            })
            .collect();
        assert!(move_of(&wild).is_none());
    }

    #[test]
    fn a_move_told_in_finer_pixels_moves_the_same_spot() {
        let coarse = CameraMove {
            a: 0.99,
            b: 0.02,
            x0: 3.0,
            y0: -2.0,
        };
        let fine = coarse.in_finer_pixels(2);
        let (x, y) = coarse.to((10.0, 20.0));
        let (u, v) = fine.to((20.5, 40.5));
        assert!((u - (2.0 * x + 0.5)).abs() < 1e-12 && (v - (2.0 * y + 0.5)).abs() < 1e-12);
    }
}
