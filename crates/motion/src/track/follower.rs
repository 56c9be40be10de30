//! One point through the clip: the step, the way back, the first look, and what happens when it is lost.
//!
//! A point is *seen* while the step to the present frame leads back to where it came from and the first look (or
//! a later one of its own) still fits. Otherwise it is *gone*: foreseen over a short gap, then missing, and
//! looked for by its first look until it comes back.

use super::At;
use super::anchor::{Anchor, Laid, Lie};
use super::flow::{LEVELS, Look, Patch, REACH, WINDOW, centre};
use super::region::Region;
use crate::frames::Frame;
use crate::steps::{How, Place};

/// Least likeness of a step; below it something else is in the window.
const LEAST_STEP_LIKENESS: f64 = 0.6;
/// Furthest that the way back may miss the start, pixels.
const FURTHEST_BACK_PX: f64 = 0.8;
/// Least likeness of a first look laid over the frame.
const LEAST_LAID_LIKENESS: f64 = 0.8;
/// A point lost from sight comes back only where its look fits better than this.
const LEAST_RETURN_LIKENESS: f64 = 0.87;
/// Furthest that the first look may pull a step, pixels.
const FURTHEST_PULL_PX: f64 = 4.0;
/// How long a point may go on by steps alone, seconds: drift stays below a pixel and a thing sliding over the
/// point is noticed.
const LONGEST_WITHOUT_LOOK_S: f64 = 0.4;
/// How long a place may be foreseen, seconds: a heel at its usual tempo changes its speed in half a second.
pub(crate) const LONGEST_FORESEEN_S: f64 = 0.15;
/// Standard error of a foreseen place: a pixel, and this much for each second squared (half the acceleration a
/// rising heel has at 1.5 pixels a millimetre).
const FORESEEN_PX_PER_S2: f64 = 400.0;
/// Looks kept of one point.
const MOST_LOOKS: usize = 4;
/// A look that fits less than this is seconded by a new one.
const SECOND_LOOK_BELOW: f64 = 0.9;
/// Radius of the search for a lost point, frame pixels.
const SEARCH_PX: f64 = 24.0;
/// Furthest from where it is looked for that it comes back: stickers look alike, and the next one of the same line
/// is some 40 mm away.
const FURTHEST_RETURN_PX: f64 = 24.0;
const SEARCH_WINDOW: usize = 11;
const SEARCH_LEVEL: usize = 2;

enum State {
    Seen { at: At, region: Region },
    Gone(Gone),
}

#[derive(Clone, Copy)]
pub(crate) struct Gone {
    since_s: f64,
    /// Where it was last seen, in the present frame's pixels (the camera's moves are followed).
    last: At,
    /// Where the other point of its line was then, likewise.
    partner: Option<At>,
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
    looks: Vec<(Anchor, [[f64; 2]; 2])>,
    search: Option<Vec<f32>>,
    /// Pixels a second, the camera's part taken out.
    velocity: At,
    covariance: [f64; 3],
    without_look_s: f64,
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
            .map(|anchor| (anchor, [[1.0, 0.0], [0.0, 1.0]]))
            .into_iter()
            .collect();
        let patch = Patch::cut(&region, at, SEARCH_LEVEL, SEARCH_WINDOW);
        let search = (patch.spread > 2.0).then(|| {
            patch
                .values()
                .iter()
                .map(|v| v / patch.spread)
                .collect::<Vec<f32>>()
        });
        Some(Self {
            state: State::Seen { at, region },
            looks,
            search,
            velocity: (0.0, 0.0),
            covariance: [variance, 0.0, variance],
            without_look_s: 0.0,
        })
    }

    /// Where it is seen now.
    pub(crate) fn seen_at(&self) -> Option<At> {
        match &self.state {
            State::Seen { at, .. } => Some(*at),
            State::Gone(_) => None,
        }
    }

    /// To the next frame. `partner` is the other point of its line as it was seen in the frame before.
    pub(crate) fn advance(&mut self, moment: &Moment, partner: Option<At>) {
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
            self.lose(at, partner, moment);
            return;
        };
        self.without_look_s += dt;
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
                self.covariance = covariance;
                self.without_look_s = 0.0;
                if likeness < SECOND_LOOK_BELOW
                    && pull < 0.3
                    && back < 0.2
                    && self.looks.len() < MOST_LOOKS
                {
                    let variance = 0.5 * (covariance[0] + covariance[2]);
                    if let Some(anchor) = Anchor::cut(&region, laid, variance) {
                        self.looks.push((anchor, [[1.0, 0.0], [0.0, 1.0]]));
                    }
                }
            }
            None => {
                for (c, s) in self.covariance.iter_mut().zip(step_covariance) {
                    *c += s;
                }
                if !self.looks.is_empty() && self.without_look_s > LONGEST_WITHOUT_LOOK_S {
                    self.lose(at, partner, moment);
                    return;
                }
            }
        }
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
            None => self.lose(at, partner, moment),
        }
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

    /// The first look that fits the present frame near `to`.
    fn laid(&mut self, region: &Region, to: At) -> Option<Laid> {
        self.looks.iter_mut().find_map(|(anchor, turn)| {
            let laid = anchor.lay(
                region,
                Lie {
                    turn: *turn,
                    at: to,
                },
            )?;
            let pull = (laid.lie.at.0 - to.0).hypot(laid.lie.at.1 - to.1);
            if laid.likeness < LEAST_LAID_LIKENESS || pull > FURTHEST_PULL_PX {
                return None;
            }
            *turn = laid.lie.turn;
            Some(laid)
        })
    }

    fn lose(&mut self, at: At, partner: Option<At>, moment: &Moment) {
        self.state = State::Gone(Gone {
            since_s: moment.dt,
            last: (moment.camera)(at),
            partner: partner.map(|p| (moment.camera)(p)),
        });
    }

    /// For a point that is gone: time passes, and it is looked for. `partner` is where the other point of its
    /// line is in this frame. Call after every [`Follower::advance`]; does nothing while the point is seen.
    pub(crate) fn look_for(&mut self, moment: &Moment, partner: Option<At>, just_lost: bool) {
        let State::Gone(gone) = &mut self.state else {
            return;
        };
        if !just_lost {
            gone.since_s += moment.dt;
            gone.last = (moment.camera)(gone.last);
            gone.partner = gone.partner.map(|p| (moment.camera)(p));
        }
        let gone = *gone;
        let near = match (partner, gone.partner) {
            (Some(now), Some(then)) => (gone.last.0 + now.0 - then.0, gone.last.1 + now.1 - then.1),
            _ => self.foreseen_at(&gone),
        };
        let Some(region) = Region::around(moment.frame, near, SEARCH_PX as usize + 48, LEVELS)
        else {
            return;
        };
        let mut starts = vec![near];
        starts.extend(self.searched(&region, near));
        let found = starts.into_iter().find_map(|start| {
            self.looks.iter().find_map(|(anchor, turn)| {
                [*turn, [[1.0, 0.0], [0.0, 1.0]]]
                    .into_iter()
                    .find_map(|turn| {
                        anchor.lay(&region, Lie { turn, at: start }).filter(|laid| {
                            let away = (laid.lie.at.0 - near.0).hypot(laid.lie.at.1 - near.1);
                            laid.likeness > LEAST_RETURN_LIKENESS && away < FURTHEST_RETURN_PX
                        })
                    })
            })
        });
        let Some(laid) = found else {
            return;
        };
        let at = laid.lie.at;
        if let Some(region) = Region::around(moment.frame, at, REACH, LEVELS) {
            // A point that was gone long has no speed worth keeping.
            if gone.since_s > LONGEST_FORESEEN_S {
                self.velocity = (0.0, 0.0);
            }
            if let Some((_, turn)) = self.looks.first_mut() {
                *turn = laid.lie.turn;
            }
            self.covariance = laid.covariance;
            self.without_look_s = 0.0;
            self.state = State::Seen { at, region };
        }
    }

    /// The place most like the first look on a coarse level.
    fn searched(&self, region: &Region, near: At) -> Option<At> {
        let look = self.search.as_ref()?;
        let plane = region.level(SEARCH_LEVEL);
        let (cx, cy) = region.inside(near, SEARCH_LEVEL);
        let reach = (SEARCH_PX / 4.0) as i64;
        let n = SEARCH_WINDOW;
        let mut window = vec![0f32; n * n];
        let mut best: Option<((i64, i64), f32)> = None;
        for dy in -reach..=reach {
            for dx in -reach..=reach {
                let (x, y) = (cx.round() + dx as f64, cy.round() + dy as f64);
                if x < 0.0 || y < 0.0 || x >= plane.width as f64 || y >= plane.height as f64 {
                    continue;
                }
                plane.window(x, y, n, &mut window);
                let spread = centre(&mut window);
                if spread < 1.0 {
                    continue;
                }
                let both: f32 = look.iter().zip(&window).map(|(a, b)| a * b).sum();
                let likeness = both / (spread * (n * n) as f32);
                if best.is_none_or(|(_, b)| likeness > b) {
                    best = Some(((dx, dy), likeness));
                }
            }
        }
        let ((dx, dy), likeness) = best?;
        (likeness > 0.7).then(|| {
            (
                near.0 + 4.0 * (cx.round() + dx as f64 - cx),
                near.1 + 4.0 * (cy.round() + dy as f64 - cy),
            )
        })
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
                let sd = 1.0 + FORESEEN_PX_PER_S2 * gone.since_s * gone.since_s;
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
