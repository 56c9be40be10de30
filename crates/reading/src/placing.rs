//! How far does this reader miss a landmark? Learnt from placing the same points on the same film again.
//!
//! Repeats of one film differ by placing alone, so their covariance about the film's own mean is the
//! placing covariance. It is pooled over films, in millimetres along the view's axes (so that left and
//! right films add up), and drawn towards the usual error of the landmark while repeats are few.
//!
//! Surprise: what is learnt is how well the reader repeats, not how far the reader is from the truth. A
//! point placed on the wrong corner every time looks perfect here; only a second reader shows it.

use crate::points::{FilmFacts, PointSet};
use crate::reader::Reader;
use geometry::{Covariance2, Vec2};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::LandmarkKey;

/// The usual error counts as much as this many degrees of freedom of the reader's own.
///
/// # Sources
/// Our choice: after six pairs of placings on each of two films the reader's own spread outweighs it.
pub const USUAL_ERROR_WEIGHT: f64 = 10.0;

/// One film with all placings of its points by one reader.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeats {
    pub film: FilmFacts,
    pub placings: Vec<PointSet>,
}

/// A reader's placing error of one landmark.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct PlacingError {
    /// To be used: own and usual error, weighted. Along the view's x and y, in mm².
    pub covariance_mm2: [[f64; 2]; 2],
    /// Standard deviation in one direction from the reader's own repeats alone, in mm.
    pub own_sd_mm: f64,
    /// Of the landmark, as `own_sd_mm`.
    pub usual_error_mm: f64,
    /// Of the pooled covariance: placings minus films.
    pub degrees_of_freedom: u32,
    pub films: u32,
}

/// A reader's placing errors, by landmark; a landmark without repeats is not in it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct PlacingErrors {
    pub errors: BTreeMap<LandmarkKey, PlacingError>,
    /// Films that could not be used, each one sentence.
    pub left_out: Vec<String>,
}

impl PlacingErrors {
    pub fn covariance_mm2(&self, key: &LandmarkKey) -> Option<Covariance2> {
        let error = self.errors.get(key)?;
        Covariance2::from_matrix(error.covariance_mm2).ok()
    }

    /// Both tables; where a landmark is in both, the one with more degrees of freedom.
    pub fn joined(mut self, other: PlacingErrors) -> Self {
        for (key, error) in other.errors {
            let better = self
                .errors
                .get(&key)
                .is_none_or(|e| e.degrees_of_freedom < error.degrees_of_freedom);
            if better {
                self.errors.insert(key, error);
            }
        }
        self.left_out.extend(other.left_out);
        self
    }
}

/// One point on one film as often as it was placed, in the view's frame.
struct Placed {
    points: Vec<Vec2>,
    usual_mm2: Covariance2,
}

#[derive(Default)]
struct Pool {
    xx: f64,
    xy: f64,
    yy: f64,
    /// Sum over films of the usual covariance, whose direction follows the bone.
    usual: [f64; 3],
    degrees_of_freedom: u32,
    films: u32,
}

/// Learns one reader's placing errors on the view of `reader`.
///
/// # Uncertainty
/// A standard deviation from n degrees of freedom is itself known to about 1/√(2n).
pub fn learn(reader: &Reader, repeats: &[Repeats]) -> PlacingErrors {
    let mut pools: BTreeMap<LandmarkKey, Pool> = BTreeMap::new();
    let mut left_out = Vec::new();
    for (i, film) in repeats.iter().enumerate() {
        match placings_in_frame(reader, film) {
            Ok(placings) => {
                for (key, placed) in placings {
                    pools.entry(key).or_default().add(&placed);
                }
            }
            Err(why) => left_out.push(format!("film {} of {}: {why}", i + 1, repeats.len())),
        }
    }
    let errors = pools
        .into_iter()
        .filter(|(_, pool)| pool.degrees_of_freedom > 0)
        .map(|(key, pool)| (key, pool.with_usual()))
        .collect();
    PlacingErrors { errors, left_out }
}

fn placings_in_frame(
    reader: &Reader,
    film: &Repeats,
) -> Result<BTreeMap<LandmarkKey, Placed>, String> {
    if film.film.scale.is_none() {
        return Err(
            "it has no scale, so placing errors in millimetres cannot be told; give one".into(),
        );
    }
    let same_view = || film.placings.iter().filter(|p| p.view == reader.view());
    if same_view().count() < 2 {
        return Err("fewer than two placings of this view found, expected two or more".into());
    }
    let frame = same_view()
        .find_map(|set| reader.frame_of(set, &film.film))
        .ok_or("the points do not say how the foot lies; place all points of the view")?;
    let mut usual = BTreeMap::new();
    for set in same_view() {
        for (key, covariance) in reader.usual_in_frame(set, &film.film) {
            usual.entry(key).or_insert(covariance);
        }
    }
    let mut out: BTreeMap<LandmarkKey, Placed> = usual
        .into_iter()
        .map(|(key, usual_mm2)| {
            let points = Vec::new();
            (key, Placed { points, usual_mm2 })
        })
        .collect();
    for set in same_view() {
        for (key, p) in &set.points {
            let at = frame.frame_from_px([p.x_px, p.y_px]);
            if let Some(placed) = out.get_mut(key).filter(|_| at.is_finite()) {
                placed.points.push(at);
            }
        }
    }
    Ok(out)
}

impl Pool {
    fn add(&mut self, placed: &Placed) {
        let points = &placed.points;
        if points.len() < 2 {
            return;
        }
        let sum = points.iter().fold(Vec2::new(0.0, 0.0), |s, p| s.plus(*p));
        let mean = sum.scaled(1.0 / points.len() as f64);
        for p in points {
            let d = p.minus(mean);
            self.xx += d.x * d.x;
            self.xy += d.x * d.y;
            self.yy += d.y * d.y;
        }
        let c = placed.usual_mm2;
        for (sum, term) in self.usual.iter_mut().zip([c.xx, c.xy, c.yy]) {
            *sum += term;
        }
        self.degrees_of_freedom += points.len() as u32 - 1;
        self.films += 1;
    }

    fn with_usual(&self) -> PlacingError {
        let dof = f64::from(self.degrees_of_freedom);
        let usual = self.usual.map(|sum| sum / f64::from(self.films));
        let weight = USUAL_ERROR_WEIGHT + dof;
        let drawn = |own: f64, usual: f64| (own + USUAL_ERROR_WEIGHT * usual) / weight;
        let (xx, xy, yy) = (
            drawn(self.xx, usual[0]),
            drawn(self.xy, usual[1]),
            drawn(self.yy, usual[2]),
        );
        let usual_error_mm = (0.5 * (usual[0] + usual[2])).sqrt();
        PlacingError {
            covariance_mm2: [[xx, xy], [xy, yy]],
            own_sd_mm: (0.5 * (self.xx + self.yy) / dof).sqrt(),
            usual_error_mm,
            degrees_of_freedom: self.degrees_of_freedom,
            films: self.films,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::{Draws, invented_film, invented_points};
    use knowledge::Knowledge;
    use terms::View;

    fn repeats(films: usize, times: usize, sd_px: [f64; 2]) -> Vec<Repeats> {
        let mut draws = Draws::new(7);
        let (film, truth) = (invented_film(), invented_points(View::Lateral));
        let mut placed = || {
            let mut set = truth.clone();
            for p in set.points.values_mut() {
                p.x_px += sd_px[0] * draws.normal();
                p.y_px += sd_px[1] * draws.normal();
            }
            set
        };
        (0..films)
            .map(|_| Repeats {
                film: film.clone(),
                placings: (0..times).map(|_| placed()).collect(),
            })
            .collect()
    }

    #[test]
    fn many_repeats_give_back_the_spread_that_was_put_in() {
        let reader = Reader::new(Knowledge::built_in(), View::Lateral);
        let learnt = learn(&reader, &repeats(40, 11, [4.0, 2.0]));
        let key = LandmarkKey::new("nav_low").expect("a good key");
        let error = learnt.errors[&key];
        let mm_per_px = invented_film().scale.expect("a scale").mm_per_px_x;
        assert_eq!((error.degrees_of_freedom, error.films), (400, 40));
        let usual = USUAL_ERROR_WEIGHT * error.usual_error_mm.powi(2);
        for (axis, sd_px) in [4.0, 2.0].into_iter().enumerate() {
            let spread = 400.0 * (sd_px * mm_per_px).powi(2);
            let expected = (spread + usual) / (400.0 + USUAL_ERROR_WEIGHT);
            // 400 degrees of freedom know a variance to 7 %; three times that.
            let ratio = error.covariance_mm2[axis][axis] / expected;
            assert!((ratio - 1.0).abs() < 0.21, "axis {axis}: {ratio}");
        }
    }

    #[test]
    fn one_pair_hardly_moves_the_usual_error() {
        let reader = Reader::new(Knowledge::built_in(), View::Lateral);
        let learnt = learn(&reader, &repeats(1, 2, [0.01, 0.01]));
        for error in learnt.errors.values() {
            let sd = error.covariance_mm2[0][0].sqrt() / error.usual_error_mm;
            assert!((0.9..1.0).contains(&sd), "{sd}");
        }
    }

    #[test]
    fn a_film_without_scale_is_left_out_with_a_sentence() {
        let reader = Reader::new(Knowledge::built_in(), View::Lateral);
        let mut films = repeats(1, 2, [1.0, 1.0]);
        films[0].film.scale = None;
        let learnt = learn(&reader, &films);
        assert!(learnt.errors.is_empty());
        assert!(
            learnt.left_out[0].contains("no scale"),
            "{:?}",
            learnt.left_out
        );
    }

    #[test]
    fn a_reader_that_repeats_better_gets_smaller_errors() {
        let usual = Reader::new(Knowledge::built_in(), View::Lateral);
        let learnt = learn(&usual, &repeats(20, 5, [0.5, 0.5]));
        let own = usual.clone().with_placing(&learnt);
        let (film, points) = (invented_film(), invented_points(View::Lateral));
        let pairs = usual
            .read(&points, &film)
            .readings
            .into_iter()
            .zip(own.read(&points, &film).readings);
        for (usual, own) in pairs {
            assert!(
                own.error_parts.points < usual.error_parts.points,
                "{}",
                own.measure
            );
            assert!(
                !own.notes
                    .iter()
                    .any(|n| n.contains("not this reader's own"))
            );
        }
    }
}
