//! The points of one film sorted into the reader's table, each with what is wrong with it.

use crate::points::{FilmFacts, PlacedPoint, PointSet};
use crate::sheet::{Refusal, Warning, WarningKind};
use geometry::{Covariance2, Vec2};
use quantity::PixelScale;
use std::cmp::Ordering;
use terms::LandmarkKey;

/// Where there is no scale and no placing error, the film's longer side is taken for this long, only to
/// turn usual placing errors from millimetres into pixels.
///
/// # Sources
/// Common practice: foot films are 24 × 30 cm.
pub(crate) const ASSUMED_LONG_SIDE_MM: f64 = 300.0;

/// A landmark of the view as the reader knows it.
#[derive(Debug, Clone)]
pub(crate) struct KnownLandmark {
    pub key: LandmarkKey,
    pub usual_error_mm: f64,
    /// Where the point lies on a border: the place in the table that it runs to, and the standard deviation
    /// along it in mm; `usual_error_mm` is then the one across.
    pub border: Option<(usize, f64)>,
    /// The reader's own placing covariance in the frame's axes, mm².
    pub own_mm2: Option<Covariance2>,
}

#[derive(Debug, Clone)]
pub(crate) enum State {
    Missing,
    /// With the covariance in square pixels if one was given.
    Good(Option<Covariance2>),
    Bad(Refusal),
}

#[derive(Debug, Clone)]
pub(crate) enum FloorState {
    /// None of the two, or only one, is placed.
    Absent {
        one: bool,
    },
    Placed {
        back: usize,
        front: usize,
        back_px: [f64; 2],
        direction: Vec2,
    },
    Bad(Refusal),
}

pub(crate) struct Gathered<'r> {
    pub table: &'r [KnownLandmark],
    pub px: Vec<[f64; 2]>,
    pub state: Vec<State>,
    /// Millimetres (or aspect-corrected pixels) per pixel along x and y.
    pub unit_per_px: [f64; 2],
    /// Frame units per millimetre: 1 with a scale, else from the assumed length of the film.
    pub unit_per_mm: f64,
    pub scale: Result<PixelScale, String>,
    pub floor: FloorState,
}

impl<'r> Gathered<'r> {
    pub fn new(
        table: &'r [KnownLandmark],
        floor_ix: Option<(usize, usize)>,
        set: &PointSet,
        facts: &FilmFacts,
    ) -> Self {
        let scale = usable_scale(facts);
        let aspect = facts
            .pixel_aspect
            .filter(|a| a.is_finite() && *a > 0.0)
            .unwrap_or(1.0);
        let unit_per_px = match &scale {
            Ok(s) => [s.mm_per_px_x, s.mm_per_px_y],
            Err(_) => [1.0, aspect],
        };
        let long_side = facts.width_px.max(facts.height_px).max(1);
        let unit_per_mm = match &scale {
            Ok(_) => 1.0,
            Err(_) => f64::from(long_side) / ASSUMED_LONG_SIDE_MM,
        };
        let mut out = Self {
            table,
            px: vec![[f64::NAN; 2]; table.len()],
            state: vec![State::Missing; table.len()],
            unit_per_px,
            unit_per_mm,
            scale,
            floor: FloorState::Absent { one: false },
        };
        // Both the table and the set are sorted by key: one walk joins them.
        let mut placed = set.points.iter().peekable();
        for (i, landmark) in table.iter().enumerate() {
            while let Some((key, point)) = placed.peek() {
                match (*key).cmp(&landmark.key) {
                    Ordering::Greater => break,
                    Ordering::Equal => {
                        out.px[i] = [point.x_px, point.y_px];
                        out.state[i] = state_of(key, point, facts);
                    }
                    Ordering::Less => {}
                }
                placed.next();
            }
        }
        out.floor = floor_ix.map_or(FloorState::Absent { one: false }, |ix| out.floor_of(ix));
        out
    }

    pub fn key(&self, i: usize) -> &LandmarkKey {
        &self.table[i].key
    }

    /// In film units with y up; `None` unless the point is placed and sound.
    pub fn film_up(&self, i: usize) -> Option<Vec2> {
        matches!(self.state[i], State::Good(_)).then(|| {
            let [x, y] = self.px[i];
            Vec2::new(x * self.unit_per_px[0], -y * self.unit_per_px[1])
        })
    }

    fn floor_of(&self, (back, front): (usize, usize)) -> FloorState {
        match (&self.state[back], &self.state[front]) {
            (State::Bad(why), _) | (_, State::Bad(why)) => FloorState::Bad(why.clone()),
            (State::Missing, State::Missing) => FloorState::Absent { one: false },
            (State::Missing, _) | (_, State::Missing) => FloorState::Absent { one: true },
            (State::Good(_), State::Good(_)) => {
                let (Some(b), Some(f)) = (self.film_up(back), self.film_up(front)) else {
                    return FloorState::Absent { one: false };
                };
                let along = f.minus(b);
                if along.length() < 1e-6 {
                    let (first, second) = (self.key(back).clone(), self.key(front).clone());
                    return FloorState::Bad(Refusal::SameSpot { first, second });
                }
                FloorState::Placed {
                    back,
                    front,
                    back_px: self.px[back],
                    direction: along.unit(),
                }
            }
        }
    }

    /// Points of the set that this view does not know are the caller's; these are about the rest.
    pub fn warn(&self, facts: &FilmFacts, warnings: &mut Vec<Warning>) {
        let outside: Vec<&str> = (0..self.table.len())
            .filter(|i| matches!(self.state[*i], State::Bad(Refusal::OutsideFilm { .. })))
            .map(|i| self.key(i).as_str())
            .collect();
        if !outside.is_empty() {
            let (w, h) = (facts.width_px, facts.height_px);
            warnings.push(Warning::new(
                WarningKind::OutsideFilm,
                format!(
                    "{} outside the film of {w} × {h} pixels: {}; check that the points belong to this film",
                    if outside.len() == 1 { "one point lies" } else { "points lie" },
                    outside.join(", ")
                ),
            ));
        }
        for i in 0..self.table.len() {
            for j in 0..i {
                if self.same_spot(i, j) {
                    warnings.push(Warning::new(
                        WarningKind::SameSpot,
                        format!(
                            "{} and {} lie on the same spot; move one of them",
                            self.key(j),
                            self.key(i)
                        ),
                    ));
                }
            }
        }
        if facts
            .pixel_aspect
            .is_some_and(|a| !(a.is_finite() && a > 0.0))
        {
            warnings.push(Warning::new(
                WarningKind::FilmFacts,
                "the pixel aspect is not a positive number and was taken as 1; check the film's pixel spacing",
            ));
        }
    }

    pub fn same_spot(&self, i: usize, j: usize) -> bool {
        let good = matches!(
            (&self.state[i], &self.state[j]),
            (State::Good(_), State::Good(_))
        );
        good && (self.px[i][0] - self.px[j][0]).abs() < 1e-6
            && (self.px[i][1] - self.px[j][1]).abs() < 1e-6
    }
}

fn state_of(key: &LandmarkKey, point: &PlacedPoint, facts: &FilmFacts) -> State {
    let (x, y) = (point.x_px, point.y_px);
    if !(x.is_finite() && y.is_finite()) {
        return State::Bad(Refusal::NotANumber { point: key.clone() });
    }
    let (width_px, height_px) = (facts.width_px, facts.height_px);
    // The film reaches from the outer edge of its first pixel to that of its last.
    let inside = |v: f64, n: u32| (-0.5..=f64::from(n) - 0.5).contains(&v);
    if !(inside(x, width_px) && inside(y, height_px)) {
        return State::Bad(Refusal::OutsideFilm {
            point: key.clone(),
            width_px,
            height_px,
        });
    }
    match point
        .covariance_px2
        .map(Covariance2::from_matrix)
        .transpose()
    {
        Ok(covariance) => State::Good(covariance),
        Err(fault) => State::Bad(Refusal::BadCovariance {
            point: key.clone(),
            fault: fault.to_string(),
        }),
    }
}

/// The scale, or in words why there is none.
fn usable_scale(facts: &FilmFacts) -> Result<PixelScale, String> {
    let Some(scale) = facts.scale else {
        let reason = facts.no_scale_reason.clone();
        return Err(reason.unwrap_or_else(|| "the film does not say its pixel size".into()));
    };
    let good = |v: f64| v.is_finite() && v > 0.0;
    if !(good(scale.mm_per_px_x) && good(scale.mm_per_px_y)) {
        return Err(format!(
            "found {} × {} mm per pixel, expected two positive numbers",
            scale.mm_per_px_x, scale.mm_per_px_y
        ));
    }
    let error = scale.relative_standard_error;
    if !(error.is_finite() && error >= 0.0) {
        return Err(format!(
            "found {error} as the scale's relative error, expected 0 or more"
        ));
    }
    Ok(scale)
}
