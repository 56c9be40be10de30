//! One point through the clip: the step, the way back, the first look, and what happens when it is lost.
//!
//! A point is *seen* while the step to the present frame leads back to where it came from and the first look (or
//! a later one of its own) still fits. Otherwise it is *gone*: foreseen over a short gap, then missing, and
//! looked for by its looks, where the rest of the leg lets it be expected, until it comes back.

use super::At;
use super::anchor::{Anchor, Laid, Lie, Matrix, UPRIGHT, WIDE, area, product, undone};
use super::flow::{LEVELS, Look, REACH, WINDOW};
use super::habit::{Expected, Stood};
use super::region::Region;
use crate::frames::Frame;
use crate::steps::{How, Place};
use std::sync::Arc;

/// Least likeness of a step; below it something else is in the window.
const LEAST_STEP_LIKENESS: f64 = 0.6;
/// Furthest that the way back may miss the start, pixels.
const FURTHEST_BACK_PX: f64 = 0.8;
/// Least likeness of a first look laid over the frame.
const LEAST_LAID_LIKENESS: f64 = 0.8;
/// A point lost from sight comes back only where its look fits nearly as well as it used to: no worse by this much,
/// and between these bounds.
const WORSE_ON_RETURN: f64 = 0.06;
const LEAST_RETURN_LIKENESS: (f64, f64) = (0.8, 0.9);
/// Places between which a lost point is looked for, pixels apart: half of how far a look finds home.
const SEARCH_PX: f64 = 2.5;
/// So many of the places looked at are tried to the end.
const TRIED: usize = 3;
/// Largest change of the window's size, in either direction, against when the leg last stood so.
const MOST_RESIZED: f64 = 1.35;
/// Furthest that the first look may pull a step, pixels.
const FURTHEST_PULL_PX: f64 = 4.0;
/// How long a place may be foreseen, seconds: a heel at its usual tempo changes its speed in half a second.
pub(crate) const LONGEST_FORESEEN_S: f64 = 0.15;
/// Standard error of a foreseen place: a pixel, and this much for each second squared (half the acceleration a
/// rising heel has at 1.5 pixels a millimetre).
const FORESEEN_PX_PER_S2: f64 = 400.0;
/// Furthest from its foreseen place that a point comes back where its leg tells nothing, pixels.
const FURTHEST_UNTOLD_PX: f64 = 8.0;
/// Looks kept of one point.
const MOST_LOOKS: usize = 4;
/// A look that fits less than this is seconded by a new one.
const SECOND_LOOK_BELOW: f64 = 0.9;

enum State {
    Seen { at: At, region: Region },
    Gone(Gone),
}

#[derive(Clone, Copy)]
pub(crate) struct Gone {
    since_s: f64,
    /// Where it was last seen, in the present frame's pixels (the camera's moves are followed).
    last: At,
}

/// A look of the point's own, and how the skin lay when it was cut.
#[derive(Clone)]
struct OwnLook {
    anchor: Arc<Anchor>,
    turn: Matrix,
}

impl OwnLook {
    fn lie(&self, skin: &Matrix, at: At) -> Lie {
        Lie {
            turn: product(skin, &undone(&self.turn)),
            at,
        }
    }

    fn likeness(&self, region: &Region, skin: &Matrix, at: At) -> f64 {
        self.anchor.likeness(region, &self.lie(skin, at))
    }

    /// Laid from where the skin lies as told; the answer tells how the skin lies.
    fn lay(&self, region: &Region, skin: &Matrix, at: At) -> Option<Laid> {
        let laid = self.anchor.lay(region, self.lie(skin, at))?;
        Some(Laid {
            lie: Lie {
                turn: product(&laid.lie.turn, &self.turn),
                at: laid.lie.at,
            },
            ..laid
        })
    }
}

/// A step that led back to where it came from.
struct Step {
    region: Region,
    to: At,
    covariance: [f64; 3],
    /// How far the way back missed the start, pixels.
    back: f64,
}

pub(crate) struct Follower {
    state: State,
    looks: Vec<OwnLook>,
    /// From the skin as it was marked to the skin in the present frame.
    turn: Matrix,
    /// How alike the looks usually are.
    usual: f64,
    /// Pixels a second, the camera's part taken out.
    velocity: At,
    covariance: [f64; 3],
    /// How far from where its speed led the last step went, pixels.
    surprise: f64,
}

/// What a frame brings besides its pixels.
pub(crate) struct Moment<'a> {
    pub(crate) frame: &'a Frame,
    /// Seconds since the frame before, positive in either direction.
    pub(crate) dt: f64,
    /// From the frame before to this one, by the camera alone.
    pub(crate) camera: &'a (dyn Fn(At) -> At + Sync),
}

impl Follower {
    /// `None` where the point lies outside the frame.
    pub(crate) fn start(frame: &Frame, at: At, variance: f64) -> Option<Self> {
        let region = Region::around(frame, at, REACH, LEVELS)?;
        let looks = Anchor::cut(&region, at, variance)
            .map(|anchor| OwnLook {
                anchor: Arc::new(anchor),
                turn: UPRIGHT,
            })
            .into_iter()
            .collect();
        Some(Self {
            state: State::Seen { at, region },
            looks,
            turn: UPRIGHT,
            usual: LEAST_RETURN_LIKENESS.1,
            velocity: (0.0, 0.0),
            covariance: [variance, 0.0, variance],
            surprise: 0.0,
        })
    }

    /// The same point, where it is seen now, to be followed another way; `None` while it is gone.
    pub(crate) fn again(&self, frame: &Frame) -> Option<Self> {
        let at = self.seen_at()?;
        Some(Self {
            state: State::Seen {
                at,
                region: Region::around(frame, at, REACH, LEVELS)?,
            },
            looks: self.looks.clone(),
            velocity: (0.0, 0.0),
            ..*self
        })
    }

    /// Where it is seen now.
    pub(crate) fn seen_at(&self) -> Option<At> {
        match &self.state {
            State::Seen { at, .. } => Some(*at),
            State::Gone(_) => None,
        }
    }

    /// Where and how it is seen now; `None` where no look tells how.
    pub(crate) fn stood(&self) -> Option<Stood> {
        let at = self.seen_at()?;
        (!self.looks.is_empty()).then_some(Stood {
            at,
            turn: self.turn,
        })
    }

    /// To the next frame.
    pub(crate) fn advance(&mut self, moment: &Moment) {
        let State::Seen { at, region } = &self.state else {
            return;
        };
        let (at, dt) = (*at, moment.dt);
        let still = (moment.camera)(at);
        let guess = (
            still.0 + self.velocity.0 * dt,
            still.1 + self.velocity.1 * dt,
        );
        let stepped = self
            .stepped(moment.frame, at, region, guess)
            .or_else(|| self.stepped(moment.frame, at, region, still));
        let Some(Step {
            region,
            to,
            covariance: step_covariance,
            back,
        }) = stepped
        else {
            self.lose(at, moment);
            return;
        };
        let mut at_now = to;
        match self.laid(&region, to) {
            Some(Laid {
                lie,
                likeness,
                covariance,
            }) => {
                let laid = lie.at;
                let pull = (laid.0 - to.0).hypot(laid.1 - to.1);
                at_now = laid;
                self.confirmed(lie.turn, likeness, covariance);
                if likeness < SECOND_LOOK_BELOW
                    && pull < 0.3
                    && back < 0.2
                    && self.looks.len() < MOST_LOOKS
                {
                    let variance = 0.5 * (covariance[0] + covariance[2]);
                    if let Some(anchor) = Anchor::cut(&region, laid, variance) {
                        self.looks.push(OwnLook {
                            anchor: Arc::new(anchor),
                            turn: self.turn,
                        });
                    }
                }
            }
            // A sleeve that slides over a point can be stepped along with as well as skin.
            None if !self.looks.is_empty() => {
                self.lose(at, moment);
                return;
            }
            None => {
                for (c, s) in self.covariance.iter_mut().zip(step_covariance) {
                    *c += s;
                }
            }
        }
        self.surprise = (at_now.0 - guess.0).hypot(at_now.1 - guess.1);
        if dt > 0.0 {
            // Half of the new speed and half of the old: a single step's error is not taken for speed.
            let now = ((at_now.0 - still.0) / dt, (at_now.1 - still.1) / dt);
            self.velocity = (
                0.5 * (self.velocity.0 + now.0),
                0.5 * (self.velocity.1 + now.1),
            );
        }
        let region = if region.holds(at_now, WINDOW / 2) {
            Some(region)
        } else {
            Region::around(moment.frame, at_now, REACH, LEVELS)
        };
        match region {
            Some(region) => {
                self.state = State::Seen { at: at_now, region };
            }
            None => self.lose(at, moment),
        }
    }

    pub(crate) fn surprise(&self) -> f64 {
        self.surprise
    }

    /// The last step, from `at`, led elsewhere.
    pub(crate) fn deny(&mut self, at: At, moment: &Moment) {
        self.velocity = (0.0, 0.0);
        self.lose(at, moment);
    }

    /// A step forth and back.
    fn stepped(&self, frame: &Frame, at: At, before: &Region, guess: At) -> Option<Step> {
        let region = Region::around(frame, guess, REACH, LEVELS)?;
        let found = Look::cut(before, at, WINDOW).find(&region, guess)?;
        let inside = found.at.0 >= 0.0
            && found.at.1 >= 0.0
            && found.at.0 <= (frame.width() - 1) as f64
            && found.at.1 <= (frame.height() - 1) as f64;
        if !inside || found.likeness < LEAST_STEP_LIKENESS || found.least_eigenvalue < 0.3 {
            return None;
        }
        let back = Look::cut(&region, found.at, WINDOW).find(before, at)?;
        let miss = (back.at.0 - at.0).hypot(back.at.1 - at.1);
        (miss < FURTHEST_BACK_PX).then_some(Step {
            region,
            to: found.at,
            covariance: found.covariance,
            back: miss,
        })
    }

    /// The first look that fits the present frame near `to`; its lie is told as that of the skin.
    fn laid(&self, region: &Region, to: At) -> Option<Laid> {
        self.looks.iter().find_map(|look| {
            let laid = look.lay(region, &self.turn, to)?;
            let pull = (laid.lie.at.0 - to.0).hypot(laid.lie.at.1 - to.1);
            (laid.likeness >= LEAST_LAID_LIKENESS && pull <= FURTHEST_PULL_PX).then_some(laid)
        })
    }

    fn confirmed(&mut self, turn: Matrix, likeness: f64, covariance: [f64; 3]) {
        self.turn = turn;
        // A tenth of the new: a few frames of shadow do not change what is usual.
        self.usual += 0.1 * (likeness - self.usual);
        self.covariance = covariance;
    }

    fn lose(&mut self, at: At, moment: &Moment) {
        self.state = State::Gone(Gone {
            since_s: moment.dt,
            last: (moment.camera)(at),
        });
    }

    /// For a point that is gone: time passes, and it is looked for where it is expected. Call after every
    /// [`Follower::advance`]; does nothing while the point is seen. Whether it came back.
    pub(crate) fn look_for(
        &mut self,
        moment: &Moment,
        expected: Option<Expected>,
        just_lost: bool,
    ) -> bool {
        let State::Gone(gone) = &mut self.state else {
            return false;
        };
        if !just_lost {
            gone.since_s += moment.dt;
            gone.last = (moment.camera)(gone.last);
        }
        let gone = *gone;
        let long = gone.since_s > LONGEST_FORESEEN_S;
        let expected = expected.or_else(|| {
            (!long).then(|| Expected {
                at: self.foreseen_at(&gone),
                within: foreseen_sd(&gone).min(FURTHEST_UNTOLD_PX),
                turn: self.turn,
            })
        });
        let Some((laid, region)) = expected.and_then(|e| self.returned(moment.frame, &e)) else {
            return false;
        };
        // A point that was gone long has no speed worth keeping.
        if long {
            self.velocity = (0.0, 0.0);
        }
        self.confirmed(laid.lie.turn, laid.likeness, laid.covariance);
        self.state = State::Seen {
            at: laid.lie.at,
            region,
        };
        true
    }

    /// The best place within reach of the expected one, where it is good enough.
    fn returned(&self, frame: &Frame, expected: &Expected) -> Option<(Laid, Region)> {
        let reach = expected.within.ceil() as usize + WIDE;
        let region = Region::around(frame, expected.at, reach, 1)?;
        let steps = (expected.within / SEARCH_PX).ceil() as i32;
        let mut tried: Vec<(f64, &OwnLook, At)> = Vec::new();
        for look in &self.looks {
            for (i, j) in (-steps..=steps).flat_map(|j| (-steps..=steps).map(move |i| (i, j))) {
                let off = (SEARCH_PX * f64::from(i), SEARCH_PX * f64::from(j));
                if off.0.hypot(off.1) <= expected.within {
                    let at = (expected.at.0 + off.0, expected.at.1 + off.1);
                    tried.push((look.likeness(&region, &expected.turn, at), look, at));
                }
            }
        }
        tried.sort_by(|a, b| b.0.total_cmp(&a.0));
        let need =
            (self.usual - WORSE_ON_RETURN).clamp(LEAST_RETURN_LIKENESS.0, LEAST_RETURN_LIKENESS.1);
        let resized = area(&expected.turn);
        let best = tried
            .iter()
            .take(TRIED)
            .filter_map(|(_, look, at)| look.lay(&region, &expected.turn, *at))
            .filter(|laid| {
                let away = (laid.lie.at.0 - expected.at.0).hypot(laid.lie.at.1 - expected.at.1);
                let size = area(&laid.lie.turn) / resized;
                laid.likeness >= need
                    && away <= expected.within
                    && (1.0 / MOST_RESIZED..=MOST_RESIZED).contains(&size)
            })
            .max_by(|a, b| a.likeness.total_cmp(&b.likeness))?;
        let region = Region::around(frame, best.lie.at, REACH, LEVELS)?;
        Some((best, region))
    }

    fn foreseen_at(&self, gone: &Gone) -> At {
        let t = gone.since_s.min(LONGEST_FORESEEN_S);
        (
            gone.last.0 + self.velocity.0 * t,
            gone.last.1 + self.velocity.1 * t,
        )
    }

    /// Where the point is in the present frame, as it is kept.
    pub(crate) fn place(&self) -> Option<Place> {
        match &self.state {
            State::Seen { at, .. } => Some(Place {
                x: at.0,
                y: at.1,
                sd_x: self.covariance[0].max(0.0).sqrt(),
                sd_y: self.covariance[2].max(0.0).sqrt(),
                how: How::Followed,
            }),
            State::Gone(gone) => (gone.since_s <= LONGEST_FORESEEN_S).then(|| {
                let (x, y) = self.foreseen_at(gone);
                let sd = foreseen_sd(gone);
                Place {
                    x,
                    y,
                    sd_x: sd,
                    sd_y: sd,
                    how: How::Foreseen,
                }
            }),
        }
    }
}

fn foreseen_sd(gone: &Gone) -> f64 {
    1.0 + FORESEEN_PX_PER_S2 * gone.since_s * gone.since_s
}
