//! A clip of heel rises: points in one frame, what was followed from them, corrections.

use super::{Spots, Wanted, check_spots, known_length, leg_wanted, length_wanted, one, point_key};
use crate::MotionError;
use crate::rise::{RiseReadings, Rule, read};
use crate::steps::{Correction, LegMarks, Marks, Point, Setup, Spot, Steps, Track, check_marks};
use serde::{Deserialize, Serialize};
use terms::Side;

pub const CLIP_FORMAT: &str = "tiebeam-clip-work";
pub const CLIP_VERSION: u32 = 1;

/// Everything done to a clip so far.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClipWork {
    pub width: usize,
    pub height: usize,
    pub times_s: Vec<f64>,
    /// The frame the points stand in.
    pub frame: usize,
    pub spots: Spots,
    #[serde(default)]
    pub corrections: Vec<Correction>,
    pub length_mm: Option<f64>,
    pub setup: Setup,
    pub rule: Rule,
    pub beat_per_min: Option<f64>,
    pub followed: Option<Followed>,
}

/// A track and the marks it came from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Followed {
    pub marks: Marks,
    pub track: Track,
}

impl ClipWork {
    pub fn new(width: usize, height: usize, times_s: Vec<f64>) -> Self {
        Self {
            width,
            height,
            times_s,
            frame: 0,
            spots: Spots::new(),
            corrections: Vec::new(),
            length_mm: None,
            setup: Setup::default(),
            rule: Rule::default(),
            beat_per_min: None,
            followed: None,
        }
    }

    /// The points to be set, in the order of the work.
    pub fn wanted(&self) -> Vec<Wanted> {
        [Side::Left, Side::Right]
            .into_iter()
            .flat_map(leg_wanted)
            .chain(length_wanted())
            .collect()
    }

    /// The marks of every leg that has all its points.
    ///
    /// # Errors
    /// No leg is whole, or marks that do not fit the clip.
    pub fn marks(&self) -> Result<Marks, MotionError> {
        check_spots(&self.spots, self.width, self.height)?;
        let leg = |side: Side| {
            let at = |point| one(&self.spots, &point_key(side, point));
            Some(LegMarks {
                side,
                leg_upper: at(Point::LegUpper)?,
                leg_lower: at(Point::LegLower)?,
                heel_upper: at(Point::HeelUpper)?,
                heel_lower: at(Point::HeelLower)?,
            })
        };
        let legs: Vec<LegMarks> = [Side::Left, Side::Right]
            .into_iter()
            .filter_map(leg)
            .collect();
        let of_leg = |c: &&Correction| legs.iter().any(|l| l.side == c.side);
        let marks = Marks {
            frame: self.frame,
            corrections: self.corrections.iter().filter(of_leg).copied().collect(),
            legs,
        };
        check_marks(&marks, self.times_s.len(), self.width, self.height)?;
        Ok(marks)
    }

    /// The points or corrections were changed since they were followed.
    pub fn is_stale(&self) -> bool {
        match &self.followed {
            Some(followed) => self.marks().ok().as_ref() != Some(&followed.marks),
            None => false,
        }
    }

    /// Keeps what was followed from these marks.
    pub fn keep(&mut self, marks: Marks, track: Track) {
        self.followed = Some(Followed { marks, track });
    }

    /// A point in a frame: as corrected by hand, as set, or as followed.
    pub fn place(&self, side: Side, point: Point, frame: usize) -> Option<Spot> {
        let by_hand = |c: &&Correction| (c.side, c.point, c.frame) == (side, point, frame);
        if let Some(c) = self.corrections.iter().find(by_hand) {
            return Some(c.at);
        }
        if frame == self.frame {
            return one(&self.spots, &point_key(side, point));
        }
        let track = &self.followed.as_ref()?.track;
        let place = track.place(side, point, frame)?;
        Some(Spot::new(place.x, place.y))
    }

    /// A point set by hand in a frame: a mark where the marks stand, elsewhere a correction of what was followed.
    /// Before anything was followed the marks go with the frame in which a point is set.
    pub fn set_point(&mut self, side: Side, point: Point, frame: usize, at: Option<Spot>) {
        if self.followed.is_none() {
            self.frame = frame;
        }
        if frame == self.frame {
            let key = point_key(side, point);
            match at {
                Some(at) => self.spots.insert(key, vec![at]),
                None => self.spots.remove(&key),
            };
            return;
        }
        self.corrections
            .retain(|c| (c.side, c.point, c.frame) != (side, point, frame));
        self.corrections.extend(at.map(|at| Correction {
            frame,
            side,
            point,
            at,
        }));
    }

    /// `None` before anything was followed, and where the points were changed since.
    pub fn steps(&self) -> Option<Steps> {
        if self.is_stale() {
            return None;
        }
        let followed = self.followed.as_ref()?;
        let mut steps = Steps::new(
            (self.width, self.height),
            self.times_s.clone(),
            followed.marks.clone(),
            followed.track.clone(),
        );
        steps.known_length = known_length(&self.spots, self.length_mm);
        steps.setup = self.setup;
        steps.rule = self.rule;
        steps.beat_per_min = self.beat_per_min;
        Some(steps)
    }

    /// `None` as for [`ClipWork::steps`].
    ///
    /// # Errors
    /// A rule, a length or a set-up that is none.
    pub fn read(&self) -> Result<Option<RiseReadings>, MotionError> {
        self.setup.checked()?;
        check_spots(&self.spots, self.width, self.height)?;
        self.steps().map(|steps| read(&steps)).transpose()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::{Frame, Held};
    use crate::track::follow;

    fn work() -> ClipWork {
        let mut work = ClipWork::new(200, 300, (0..6).map(|i| f64::from(i) / 30.0).collect());
        for (point, x, y) in [
            (Point::LegUpper, 100.0, 60.0),
            (Point::LegLower, 100.0, 140.0),
            (Point::HeelUpper, 100.0, 190.0),
            (Point::HeelLower, 102.0, 240.0),
        ] {
            work.set_point(Side::Left, point, 2, Some(Spot::new(x, y)));
        }
        work
    }

    /// Six frames of an invented texture that stands still.
    fn clip() -> Held {
        let bytes: Vec<u8> = (0..200 * 300usize)
            .map(|i| {
                let (x, y) = (i % 200, i / 200);
                (127.0 + 60.0 * (x as f64 / 5.0).sin() * (y as f64 / 7.0).cos()) as u8
            })
            .collect();
        Held {
            frames: vec![Frame::new(200, 300, bytes).unwrap(); 6],
            times_s: work().times_s,
        }
    }

    #[test]
    fn before_following_points_go_with_the_frame_and_afterwards_they_correct() {
        let mut work = work();
        assert_eq!(work.frame, 2);
        assert_eq!(work.read().unwrap(), None);
        let marks = work.marks().unwrap();
        let track = follow(&mut clip(), &marks).unwrap();
        work.keep(marks, track);
        assert!(!work.is_stale());
        assert!(work.read().unwrap().is_some());
        work.set_point(
            Side::Left,
            Point::HeelLower,
            4,
            Some(Spot::new(104.0, 238.0)),
        );
        assert_eq!(work.frame, 2);
        assert_eq!(work.corrections.len(), 1);
        assert!(work.is_stale());
        assert_eq!(
            work.read().unwrap(),
            None,
            "old numbers are not shown for new points"
        );
        let at = work.place(Side::Left, Point::HeelLower, 4).unwrap();
        assert_eq!(at, Spot::new(104.0, 238.0));
        work.set_point(Side::Left, Point::HeelLower, 4, None);
        assert!(!work.is_stale());
    }

    #[test]
    fn a_rule_or_a_length_changes_the_readings_without_following_anew() {
        let mut work = work();
        let marks = work.marks().unwrap();
        let track = follow(&mut clip(), &marks).unwrap();
        work.keep(marks, track);
        work.rule = Rule::Height { mm: 50.0 };
        let read = work.read().unwrap().unwrap();
        assert!(read.rule.contains("50 mm"));
        work.rule = Rule::Height { mm: -1.0 };
        assert!(
            work.read()
                .unwrap_err()
                .to_string()
                .contains("least height")
        );
    }

    #[test]
    fn work_comes_back_from_its_text_as_it_was() {
        let mut work = work();
        let marks = work.marks().unwrap();
        work.keep(marks.clone(), follow(&mut clip(), &marks).unwrap());
        let text = serde_json::to_string(&work).unwrap();
        assert_eq!(serde_json::from_str::<ClipWork>(&text).unwrap(), work);
    }

    #[test]
    fn a_leg_with_three_points_is_no_leg() {
        let mut work = work();
        work.set_point(Side::Left, Point::HeelLower, 2, None);
        assert!(
            work.marks()
                .unwrap_err()
                .to_string()
                .contains("no leg is marked")
        );
    }
}
