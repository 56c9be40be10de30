//! Where would a point lie that is hidden, going by how its leg stood before?
//!
//! Rises repeat: where the other point of a line stands as it stood once, the hidden one lies beside it as it lay
//! then, turned and shortened as it was then. Two stickers of a line are as alike as twins; that one of them is
//! looked for only where it belongs keeps it from being taken for the other.

use super::At;
use super::anchor::{Matrix, UPRIGHT};

/// Furthest from where it stood once that a seen point still tells of a hidden one, pixels: the heel's line shortens
/// by some 4 pixels while it rises by so much.
const FURTHEST_PX: f64 = 14.0;
/// How far a foreseen place may be off, at least: wobble of the skin, and the camera.
const LEAST_WITHIN_PX: f64 = 3.0;
/// What it may be off more for each pixel between where the other point stood and stands.
const WITHIN_FOR_EACH_PX: f64 = 0.5;
/// What it may be off more where not the other point of its line tells but one of the other line.
const OTHER_LINE_PX: f64 = 3.0;
/// How far the point may be from its first place where nothing else of the leg is seen.
const ALONE_PX: f64 = 8.0;

/// A point as it was seen in a frame, the camera's movement taken out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Stood {
    pub(crate) at: At,
    /// From the skin as it was marked to the skin in this frame.
    pub(crate) turn: Matrix,
}

/// Where a hidden point should be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Expected {
    pub(crate) at: At,
    /// Furthest that it lies from there, pixels.
    pub(crate) within: f64,
    pub(crate) turn: Matrix,
}

/// How the four points of one leg stood in the frames so far, in the order of [`crate::steps::Point::ALL`].
#[derive(Debug, Clone, Default)]
pub(crate) struct Habit {
    frames: Vec<[Option<Stood>; 4]>,
    /// Where the points were marked.
    home: [Option<At>; 4],
}

impl Habit {
    pub(crate) fn of_marks(marks: [At; 4]) -> Self {
        Self {
            frames: Vec::new(),
            home: marks.map(Some),
        }
    }

    pub(crate) fn add(&mut self, stood: [Option<Stood>; 4]) {
        // Two points tell of each other; one alone tells nothing.
        if stood.iter().flatten().count() > 1 {
            self.frames.push(stood);
        }
    }

    /// A point set anew by hand is another spot of skin: how the old one lay tells nothing of it.
    pub(crate) fn forget(&mut self, point: usize, home: At) {
        for frame in &mut self.frames {
            frame[point] = None;
        }
        self.home[point] = Some(home);
    }

    /// `None` where the leg never stood like this while the point was seen.
    pub(crate) fn expected(&self, point: usize, now: &[Option<At>; 4]) -> Option<Expected> {
        let keys = (0..4).filter(|k| *k != point && now[*k].is_some());
        if keys.clone().count() == 0 {
            return Some(Expected {
                at: self.home[point]?,
                within: ALONE_PX,
                turn: UPRIGHT,
            });
        }
        keys.filter_map(|key| self.beside(point, key, now[key]?))
            .min_by(|a, b| a.within.total_cmp(&b.within))
    }

    fn beside(&self, point: usize, key: usize, now: At) -> Option<Expected> {
        let (away, then, key_then) = self
            .frames
            .iter()
            .filter_map(|frame| {
                let (then, key_then) = (frame[point]?, frame[key]?.at);
                Some((
                    (now.0 - key_then.0).hypot(now.1 - key_then.1),
                    then,
                    key_then,
                ))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        let other_line = if key / 2 == point / 2 {
            0.0
        } else {
            OTHER_LINE_PX
        };
        (away <= FURTHEST_PX).then_some(Expected {
            at: (
                now.0 + then.at.0 - key_then.0,
                now.1 + then.at.1 - key_then.1,
            ),
            within: LEAST_WITHIN_PX + WITHIN_FOR_EACH_PX * away + other_line,
            turn: then.turn,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stood(x: f64, y: f64) -> Option<Stood> {
        Some(Stood {
            at: (x, y),
            turn: UPRIGHT,
        })
    }

    /// A heel that goes up by 80 pixels while its line shortens by 10.
    fn risen() -> Habit {
        let mut habit = Habit::of_marks([(0.0, 0.0), (0.0, 160.0), (0.0, 300.0), (0.0, 355.0)]);
        for i in 0..=40 {
            let up = 2.0 * f64::from(i);
            let heel = 300.0 - up;
            habit.add([
                None,
                None,
                stood(0.0, heel),
                stood(1.0, heel + 55.0 - up / 8.0),
            ]);
        }
        habit
    }

    #[test]
    fn a_hidden_point_is_expected_where_it_lay_when_its_line_stood_so_before() {
        let now = [None, None, Some((3.0, 240.0)), None];
        let expected = risen().expected(3, &now).unwrap();
        assert!((expected.at.0 - 4.0).abs() < 1e-9);
        assert!((expected.at.1 - 287.5).abs() < 1e-9);
        assert!(expected.within < 5.0);
    }

    #[test]
    fn where_the_leg_never_stood_like_this_nothing_is_expected() {
        let habit = risen();
        assert!(
            habit
                .expected(3, &[None, None, Some((0.0, 180.0)), None])
                .is_none()
        );
        assert!(
            habit
                .expected(0, &[None, None, Some((0.0, 300.0)), None])
                .is_none()
        );
        let alone = habit.expected(3, &[None; 4]).unwrap();
        assert_eq!(alone.at, (0.0, 355.0));
    }

    #[test]
    fn a_point_set_anew_by_hand_is_not_expected_where_the_old_one_lay() {
        let mut habit = risen();
        habit.forget(3, (9.0, 350.0));
        assert!(
            habit
                .expected(3, &[None, None, Some((0.0, 300.0)), None])
                .is_none()
        );
        assert_eq!(habit.expected(3, &[None; 4]).unwrap().at, (9.0, 350.0));
    }
}
