//! All points of all legs and the background through the whole clip, from the marked frame both ways.

use super::camera::{Background, CameraMove, Strip};
use super::follower::{Follower, Moment};
use crate::MotionError;
use crate::frames::{Frame, Frames, checked_size, times};
use crate::steps::{Correction, How, Marks, Place, Point, PointTrack, Spot, Track, check_marks};
use rayon::prelude::*;
use std::collections::BTreeMap;
use terms::Side;

/// Frames with a longer side than this are averaged over squares of whole pixels first: a phone's finest clips
/// hold more noise than skin in their pixels, and four times as many of them.
pub const LONGEST_SIDE_PX: usize = 2048;

/// Standard error of a place set by hand in a later frame, against the same spot of skin, pixels.
const HAND_PX: f64 = 1.0;

/// Follows the marks through the clip.
///
/// # Errors
/// A clip without frames, with one, with a changed size, unreadable frames, times that do not grow, or marks that
/// do not fit.
pub fn follow(frames: &mut dyn Frames, marks: &Marks) -> Result<Track, MotionError> {
    follow_with(frames, marks, &mut |_, _| {})
}

/// As [`follow`]; `seen` is told after each frame how many of how many are done.
///
/// # Errors
/// As [`follow`].
pub fn follow_with(
    frames: &mut dyn Frames,
    marks: &Marks,
    seen: &mut dyn FnMut(usize, usize),
) -> Result<Track, MotionError> {
    let times = times(frames)?;
    let count = times.len();
    if marks.frame >= count {
        return Err(MotionError::NoSuchFrame {
            frame: marks.frame,
            count,
        });
    }
    let first = frames.frame(marks.frame)?;
    let size = (first.width(), first.height());
    checked_size(size.0, size.1)?;
    check_marks(marks, count, size.0, size.1)?;
    let by = size.0.max(size.1).div_ceil(LONGEST_SIDE_PX);
    let first = if by > 1 { first.shrunk(by) } else { first };

    let mut track = Track {
        points: marks
            .legs
            .iter()
            .flat_map(|leg| {
                Point::ALL.map(|point| PointTrack {
                    side: leg.side,
                    point,
                    places: vec![None; count],
                })
            })
            .collect(),
        camera: vec![None; count],
        corners: 0,
    };
    let mut done = 1;
    let both = [
        (marks.frame..count).collect::<Vec<usize>>(),
        (0..=marks.frame).rev().collect(),
    ];
    for order in both {
        let mut walk = Walk::start(&first, marks, by)?;
        track.corners = walk.background.count();
        walk.note(&mut track, marks.frame, by);
        for pair in order.windows(2) {
            let (before, now) = (pair[0], pair[1]);
            let frame = frames.frame(now)?;
            if (frame.width(), frame.height()) != size {
                return Err(MotionError::SizeChanged {
                    frame: now,
                    found_width: frame.width(),
                    found_height: frame.height(),
                    width: size.0,
                    height: size.1,
                });
            }
            let frame = if by > 1 { frame.shrunk(by) } else { frame };
            walk.advance(&frame, (times[now] - times[before]).abs());
            walk.correct(&frame, &marks.corrections, now, by);
            walk.note(&mut track, now, by);
            done += 1;
            seen(done, count);
        }
    }
    Ok(track)
}

struct Walk {
    legs: Vec<(Side, Point, Option<Follower>)>,
    background: Background,
    /// The last move that was told; `told` says whether the present frame told it.
    camera: CameraMove,
    told: bool,
    by_hand: BTreeMap<usize, ()>,
}

fn coarse(spot: Spot, by: usize) -> (f64, f64) {
    let (n, k) = (by as f64, (by as f64 - 1.0) / 2.0);
    ((spot.x - k) / n, (spot.y - k) / n)
}

impl Walk {
    fn start(first: &Frame, marks: &Marks, by: usize) -> Result<Self, MotionError> {
        let mut legs = Vec::new();
        let mut strips = Vec::new();
        for leg in &marks.legs {
            let spots = Point::ALL.map(|p| coarse(leg.spot(p), by));
            let ends = |pick: fn(&(f64, f64)) -> f64| {
                spots
                    .iter()
                    .map(pick)
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
                        (low.min(v), high.max(v))
                    })
            };
            let ((left, right), (top, bottom)) = (ends(|s| s.0), ends(|s| s.1));
            // To either side a leg and a foot turned out reach about a third of the way from the highest mark to
            // the lowest; what else moves there is left out by the fit.
            let beside = 0.35 * (bottom - top);
            strips.push(Strip {
                left: left - beside,
                right: right + beside,
            });
            for (point, at) in Point::ALL.into_iter().zip(spots) {
                legs.push((leg.side, point, Follower::start(first, at, 0.0)));
            }
        }
        Ok(Self {
            legs,
            background: Background::of(first, &strips),
            camera: CameraMove::STILL,
            told: true,
            by_hand: BTreeMap::new(),
        })
    }

    fn seen(&self) -> Vec<Option<(f64, f64)>> {
        let at = |f: &Option<Follower>| f.as_ref().and_then(Follower::seen_at);
        self.legs.iter().map(|(_, _, f)| at(f)).collect()
    }

    /// Index of the other point of the same line.
    fn partner(&self, index: usize) -> Option<usize> {
        let (side, point, _) = &self.legs[index];
        self.legs
            .iter()
            .position(|(s, p, _)| s == side && *p == point.partner())
    }

    fn advance(&mut self, frame: &Frame, dt: f64) {
        self.by_hand.clear();
        let before = self.camera;
        match self.background.moved(frame, &before) {
            Some(camera) => {
                self.camera = camera;
                self.told = true;
            }
            None => self.told = false,
        }
        let now = self.camera;
        let moment = Moment {
            frame,
            dt,
            camera: &|at| now.to(before.back(at)),
        };
        let partners: Vec<Option<usize>> = (0..self.legs.len()).map(|i| self.partner(i)).collect();
        let seen = self.seen();
        let was: Vec<bool> = seen.iter().map(Option::is_some).collect();
        self.legs
            .par_iter_mut()
            .zip(&partners)
            .for_each(|((_, _, follower), partner)| {
                if let Some(f) = follower {
                    f.advance(&moment, partner.and_then(|p| seen[p]));
                }
            });
        let seen = self.seen();
        if seen.iter().all(Option::is_some) {
            return;
        }
        self.legs.par_iter_mut().zip(&partners).zip(was).for_each(
            |(((_, _, follower), partner), was)| {
                if let Some(f) = follower {
                    f.look_for(&moment, partner.and_then(|p| seen[p]), was);
                }
            },
        );
    }

    fn correct(&mut self, frame: &Frame, all: &[Correction], now: usize, by: usize) {
        for c in all.iter().filter(|c| c.frame == now) {
            let found = self
                .legs
                .iter_mut()
                .enumerate()
                .find(|(_, (side, point, _))| *side == c.side && *point == c.point);
            if let Some((index, (_, _, follower))) = found {
                let sd = HAND_PX / by as f64;
                *follower = Follower::start(frame, coarse(c.at, by), sd * sd);
                self.by_hand.insert(index, ());
            }
        }
    }

    fn note(&self, track: &mut Track, frame: usize, by: usize) {
        let (n, k) = (by as f64, (by as f64 - 1.0) / 2.0);
        // A ten-thousandth of a pixel is far below every error and keeps the steps short.
        let short = |v: f64| (v * 1e4).round() / 1e4;
        for (index, (points, (_, _, follower))) in
            track.points.iter_mut().zip(&self.legs).enumerate()
        {
            points.places[frame] = follower.as_ref().and_then(Follower::place).map(|p| Place {
                x: short(n * p.x + k),
                y: short(n * p.y + k),
                sd_x: short(n * p.sd_x),
                sd_y: short(n * p.sd_y),
                how: if self.by_hand.contains_key(&index) {
                    How::Hand
                } else {
                    p.how
                },
            });
        }
        track.camera[frame] = self.told.then(|| self.camera.in_finer_pixels(by));
    }
}
