//! All points of all legs and the background through the whole clip, from the marked frame both ways.

use super::camera::{Background, CameraMove, Strip};
use super::follower::{Follower, Moment};
use super::habit::{Expected, Habit, Stood};
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

/// Most that a line's length and direction change from a frame to the next, part of its length: at 24 frames a second
/// a heel that drops from its full height shortens or turns by less than half of this.
const MOST_LINE_CHANGE: f64 = 0.4;

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
    let mut source = Source { frames, size, by };
    let mut learnt = None;
    for order in both {
        let mut walk = Walk::start(&first, marks, by)?;
        // How the leg stood later tells of earlier frames too, as long as it is the same skin that was followed.
        if let Some(habits) = learnt.take().filter(|_| marks.corrections.is_empty()) {
            walk.habits = habits;
        }
        track.corners = walk.background.count();
        walk.note(&mut track, marks.frame, by);
        for here in 1..order.len() {
            let (before, now) = (order[here - 1], order[here]);
            let frame = source.frame(now)?;
            walk.advance(&frame, (times[now] - times[before]).abs());
            walk.correct(&frame, &marks.corrections, now, by);
            walk.note(&mut track, now, by);
            for index in std::mem::take(&mut walk.returned) {
                walk.fill(
                    &mut track,
                    index,
                    &frame,
                    &mut source,
                    &order[..=here],
                    &times,
                )?;
            }
            done += 1;
            seen(done, count);
        }
        learnt = Some(walk.habits);
    }
    Ok(track)
}

/// Frames of one size, averaged where they are large.
struct Source<'a> {
    frames: &'a mut dyn Frames,
    size: (usize, usize),
    by: usize,
}

impl Source<'_> {
    fn frame(&mut self, now: usize) -> Result<Frame, MotionError> {
        let frame = self.frames.frame(now)?;
        if (frame.width(), frame.height()) != self.size {
            return Err(MotionError::SizeChanged {
                frame: now,
                found_width: frame.width(),
                found_height: frame.height(),
                width: self.size.0,
                height: self.size.1,
            });
        }
        Ok(if self.by > 1 {
            frame.shrunk(self.by)
        } else {
            frame
        })
    }
}

struct Walk {
    /// Four in a row for each leg, in the order of [`Point::ALL`].
    legs: Vec<(Side, Point, Option<Follower>)>,
    /// One for each leg.
    habits: Vec<Habit>,
    /// The camera's moves from the marked frame on, in the order of the walk.
    cameras: Vec<CameraMove>,
    /// Points that came back in the present frame.
    returned: Vec<usize>,
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
        let mut habits = Vec::new();
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
            habits.push(Habit::of_marks(spots));
            for (point, at) in Point::ALL.into_iter().zip(spots) {
                legs.push((leg.side, point, Follower::start(first, at, 0.0)));
            }
        }
        let mut walk = Self {
            legs,
            habits,
            cameras: vec![CameraMove::STILL],
            returned: Vec::new(),
            background: Background::of(first, &strips),
            camera: CameraMove::STILL,
            told: true,
            by_hand: BTreeMap::new(),
        };
        walk.remember();
        Ok(walk)
    }

    fn seen(&self) -> Vec<Option<(f64, f64)>> {
        let at = |f: &Option<Follower>| f.as_ref().and_then(Follower::seen_at);
        self.legs.iter().map(|(_, _, f)| at(f)).collect()
    }

    /// How every leg stands now, the camera's movement taken out.
    fn remember(&mut self) {
        for (leg, habit) in self.legs.chunks_exact(4).zip(&mut self.habits) {
            habit.add(std::array::from_fn(|k| {
                let stood = leg[k].2.as_ref()?.stood()?;
                Some(Stood {
                    at: self.camera.back(stood.at),
                    ..stood
                })
            }));
        }
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
        self.cameras.push(now);
        let before_at = self.seen();
        let was: Vec<bool> = before_at.iter().map(Option::is_some).collect();
        self.legs.par_iter_mut().for_each(|(_, _, follower)| {
            if let Some(f) = follower {
                f.advance(&moment);
            }
        });
        self.deny_leaps(&before_at, &moment);
        let seen = self.seen();
        if seen.iter().any(Option::is_none) {
            let habits = &self.habits;
            self.returned = self
                .legs
                .par_iter_mut()
                .enumerate()
                .filter_map(|(i, (_, _, follower))| {
                    let follower = follower.as_mut().filter(|_| seen[i].is_none())?;
                    let leg = i / 4;
                    let others = std::array::from_fn(|k| Some(now.back(seen[4 * leg + k]?)));
                    let expected = habits[leg].expected(i % 4, &others).map(|e| Expected {
                        at: now.to(e.at),
                        ..e
                    });
                    follower.look_for(&moment, expected, was[i]).then_some(i)
                })
                .collect();
        }
        self.remember();
    }

    /// Between two frames no line of a leg changes by much; where it seems to, the point that went furthest from
    /// where it was foreseen went to another thing, as a rule to the other point's sticker.
    fn deny_leaps(&mut self, before: &[Option<(f64, f64)>], moment: &Moment) {
        let now = self.seen();
        for upper in (0..self.legs.len()).step_by(2) {
            let lower = upper + 1;
            let (Some(a), Some(b), Some(c), Some(d)) =
                (before[upper], before[lower], now[upper], now[lower])
            else {
                continue;
            };
            let (line, line_now) = ((b.0 - a.0, b.1 - a.1), (d.0 - c.0, d.1 - c.1));
            let change = (line_now.0 - line.0).hypot(line_now.1 - line.1);
            if change <= MOST_LINE_CHANGE * line.0.hypot(line.1) {
                continue;
            }
            let surprise = |i: usize| self.legs[i].2.as_ref().map_or(0.0, Follower::surprise);
            let (index, at) = if surprise(upper) > surprise(lower) {
                (upper, a)
            } else {
                (lower, b)
            };
            if let Some(f) = &mut self.legs[index].2 {
                f.deny(at, moment);
            }
        }
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
                let at = coarse(c.at, by);
                *follower = Follower::start(frame, at, sd * sd);
                self.habits[index / 4].forget(index % 4, self.camera.back(at));
                self.returned.retain(|i| *i != index);
                self.by_hand.insert(index, ());
            }
        }
    }

    /// A point that came back in the last frame of `walked` is followed the other way into its gap, until it is
    /// lost again or meets a place it was seen at.
    fn fill(
        &self,
        track: &mut Track,
        index: usize,
        frame: &Frame,
        source: &mut Source,
        walked: &[usize],
        times: &[f64],
    ) -> Result<(), MotionError> {
        let Some(mut follower) = self.legs[index].2.as_ref().and_then(|f| f.again(frame)) else {
            return Ok(());
        };
        for here in (1..walked.len() - 1).rev() {
            let (now, after) = (walked[here], walked[here + 1]);
            let known = track.points[index].places[now].filter(|p| p.how != How::Foreseen);
            if known.is_some() {
                break;
            }
            let frame = source.frame(now)?;
            let (there, back) = (self.cameras[here + 1], self.cameras[here]);
            follower.advance(&Moment {
                frame: &frame,
                dt: (times[after] - times[now]).abs(),
                camera: &|at| back.to(there.back(at)),
            });
            if follower.seen_at().is_none() {
                break;
            }
            let place = follower.place();
            track.points[index].places[now] = place.map(|p| in_finer_pixels(p, source.by));
        }
        Ok(())
    }

    fn note(&self, track: &mut Track, frame: usize, by: usize) {
        for (index, (points, (_, _, follower))) in
            track.points.iter_mut().zip(&self.legs).enumerate()
        {
            let place = follower.as_ref().and_then(Follower::place);
            points.places[frame] = place.map(|p| {
                let p = in_finer_pixels(p, by);
                let by_hand = self.by_hand.contains_key(&index);
                let how = if by_hand { How::Hand } else { p.how };
                Place { how, ..p }
            });
        }
        track.camera[frame] = self.told.then(|| self.camera.in_finer_pixels(by));
    }
}

fn in_finer_pixels(p: Place, by: usize) -> Place {
    let (n, k) = (by as f64, (by as f64 - 1.0) / 2.0);
    // A ten-thousandth of a pixel is far below every error and keeps the steps short.
    let short = |v: f64| (v * 1e4).round() / 1e4;
    Place {
        x: short(n * p.x + k),
        y: short(n * p.y + k),
        sd_x: short(n * p.sd_x),
        sd_y: short(n * p.sd_y),
        how: p.how,
    }
}
