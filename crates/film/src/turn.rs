//! Turning and mirroring for the eye: pure mappings between stored pixels and the shown picture.
//!
//! Points are always kept in stored film pixels, so no turn ever moves or loses one.

use serde::{Deserialize, Serialize};

/// Mirrored first (left and right swapped), then turned clockwise by quarter turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Turn {
    /// Quarter turns clockwise; only the remainder by four counts.
    pub quarters: u8,
    pub mirrored: bool,
}

impl Turn {
    pub const NONE: Turn = Turn {
        quarters: 0,
        mirrored: false,
    };

    /// Another quarter clockwise, as seen.
    pub fn clockwise(self) -> Turn {
        Turn {
            quarters: (self.quarters % 4 + 1) % 4,
            ..self
        }
    }

    /// Another quarter counter-clockwise, as seen.
    pub fn counter_clockwise(self) -> Turn {
        Turn {
            quarters: (self.quarters % 4 + 3) % 4,
            ..self
        }
    }

    /// Left and right swapped, as seen.
    pub fn mirror(self) -> Turn {
        // Mirroring after a turn equals mirroring before the opposite turn.
        Turn {
            quarters: (4 - self.quarters % 4) % 4,
            mirrored: !self.mirrored,
        }
    }

    /// Width and height of the shown picture.
    pub fn shown_size(self, width: u32, height: u32) -> (u32, u32) {
        if self.quarters % 2 == 1 {
            (height, width)
        } else {
            (width, height)
        }
    }

    /// Where a stored point is shown.
    pub fn shown_from_film(self, [x, y]: [f64; 2], width: u32, height: u32) -> [f64; 2] {
        let (right, bottom) = (f64::from(width) - 1.0, f64::from(height) - 1.0);
        let x = if self.mirrored { right - x } else { x };
        match self.quarters % 4 {
            0 => [x, y],
            1 => [bottom - y, x],
            2 => [right - x, bottom - y],
            _ => [y, right - x],
        }
    }

    /// Which stored point is shown there.
    pub fn film_from_shown(self, [x, y]: [f64; 2], width: u32, height: u32) -> [f64; 2] {
        let (right, bottom) = (f64::from(width) - 1.0, f64::from(height) - 1.0);
        let [x, y] = match self.quarters % 4 {
            0 => [x, y],
            1 => [y, bottom - x],
            2 => [right - x, bottom - y],
            _ => [right - y, x],
        };
        [if self.mirrored { right - x } else { x }, y]
    }

    /// The picture as shown. Empty when the number of pixels is not `width × height`.
    pub fn shown<T: Copy>(self, pixels: &[T], width: u32, height: u32) -> Vec<T> {
        let (w, h) = (width as usize, height as usize);
        if pixels.len() != w * h {
            return Vec::new();
        }
        let (shown_w, shown_h) = self.shown_size(width, height);
        let mut out = Vec::with_capacity(pixels.len());
        for row in 0..shown_h as usize {
            for column in 0..shown_w as usize {
                let (x, y) = match self.quarters % 4 {
                    0 => (column, row),
                    1 => (row, h - 1 - column),
                    2 => (w - 1 - column, h - 1 - row),
                    _ => (w - 1 - row, column),
                };
                let x = if self.mirrored { w - 1 - x } else { x };
                out.extend(pixels.get(y * w + x).copied());
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Vec<Turn> {
        (0..8)
            .map(|n| Turn {
                quarters: n % 4,
                mirrored: n > 3,
            })
            .collect()
    }

    #[test]
    fn every_point_comes_back_from_every_turn() {
        for turn in all() {
            for point in [[0.0, 0.0], [6.0, 4.0], [2.3, 1.7], [-5.0, 9.5]] {
                let shown = turn.shown_from_film(point, 7, 5);
                let back = turn.film_from_shown(shown, 7, 5);
                assert!((back[0] - point[0]).abs() < 1e-12 && (back[1] - point[1]).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_pixel_is_shown_where_its_point_is_shown() {
        let pixels: Vec<u16> = (0..15).collect();
        for turn in all() {
            let shown = turn.shown(&pixels, 5, 3);
            let (w, _) = turn.shown_size(5, 3);
            for (x, y) in [(0, 0), (4, 0), (0, 2), (3, 1)] {
                let [sx, sy] = turn.shown_from_film([f64::from(x), f64::from(y)], 5, 3);
                let at = sy as usize * w as usize + sx as usize;
                assert_eq!(shown[at], pixels[(y * 5 + x) as usize], "{turn:?}");
            }
        }
    }

    #[test]
    fn four_quarters_and_two_mirrors_change_nothing_and_a_mirror_swaps_what_is_seen() {
        for turn in all() {
            assert_eq!(turn.clockwise().clockwise().clockwise().clockwise(), turn);
            assert_eq!(turn.mirror().mirror(), turn);
            assert_eq!(turn.clockwise().counter_clockwise(), turn);
            let before = turn.shown_from_film([1.0, 2.0], 7, 5);
            let after = turn.mirror().shown_from_film([1.0, 2.0], 7, 5);
            let (w, _) = turn.shown_size(7, 5);
            assert_eq!(
                after,
                [f64::from(w) - 1.0 - before[0], before[1]],
                "{turn:?}"
            );
        }
    }
}
