//! How often does the stated 95 % interval hold the truth?
//!
//! From true points and values, everything that the reading claims to cover is drawn anew each time:
//! placing of every point by its covariance, the scale by its error, the floor's tilt where the film's
//! edge stands in for it, and the foot's rotation for the measures that model it.

use super::draws::Draws;
use crate::error::EDGE_TILT_SD_DEG;
use crate::points::{FilmFacts, PlacedPoint, PointSet};
use crate::reader::Reader;
use crate::sheet::FloorFrom;
use geometry::{Covariance2, Vec2};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{MeasureKey, View};

/// True points of one film with the true values.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TruthFile {
    pub points: PointSet,
    pub film: FilmFacts,
    /// In the measure's unit. A measure that is not in it takes the reading of the true points.
    #[serde(default)]
    pub truth: BTreeMap<MeasureKey, f64>,
}

/// Coverage of one measure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Coverage {
    pub view: View,
    pub measure: MeasureKey,
    pub truth: f64,
    pub draws: usize,
    /// Draws on which the measure was refused; they count as not covered.
    pub refused: usize,
    /// Percent of the draws whose interval holds the truth.
    pub percent: f64,
    /// Mean of reading minus truth, in the unit of the measure.
    pub bias: f64,
    /// Standard deviation of reading minus truth about that bias.
    pub spread: f64,
    /// Mean of the standard errors that the readings state.
    pub stated: f64,
}

#[derive(Default)]
struct Tally {
    covered: usize,
    refused: usize,
    sum: f64,
    square: f64,
    stated: f64,
}

/// Coverage of every measure of the view over `draws` placings.
///
/// Empty where the true points do not say how the foot lies.
pub fn coverage(reader: &Reader, truth: &TruthFile, draws: usize, seed: u64) -> Vec<Coverage> {
    let Some(frame) = reader.frame_of(&truth.points, &truth.film) else {
        return Vec::new();
    };
    let placing = reader.placing_covariances_px2(&truth.points, &truth.film);
    let exact = reader.estimates(&truth.points, &truth.film);
    let mut random = Draws::new(seed);
    let mut tallies: Vec<Tally> = exact.iter().map(|_| Tally::default()).collect();
    let true_values: Vec<Option<f64>> = reader
        .measures()
        .zip(&exact)
        .map(|(key, e)| {
            truth
                .truth
                .get(key)
                .copied()
                .or(e.as_ref().map(|e| e.value))
        })
        .collect();
    for _ in 0..draws {
        let tilt = match frame.facts.floor {
            FloorFrom::Points => 0.0,
            FloorFrom::FilmEdge => random.normal() * EDGE_TILT_SD_DEG.to_radians(),
        };
        let turn = (random.normal() * truth.film.yaw_sd_deg).to_radians();
        let scale_error = random.normal();
        let slips: Vec<[f64; 2]> = truth
            .points
            .points
            .iter()
            .map(|_| [random.normal(), random.normal()])
            .collect();
        let film = wrong_scale(&truth.film, scale_error);
        // Lengths shorten by cos t where the measure models it; elsewhere the foot stays straight.
        let widths = [1.0, turn.cos()];
        let readings = widths.map(|width| {
            let seen = |p: Vec2| {
                let (s, c) = tilt.sin_cos();
                Vec2::new(c * width * p.x - s * p.y, s * width * p.x + c * p.y)
            };
            let mut set = truth.points.clone();
            for ((key, point), slip) in set.points.iter_mut().zip(&slips) {
                let at = frame.px_from_frame(seen(frame.frame_from_px([point.x_px, point.y_px])));
                let missed_by = placing.get(key).copied().unwrap_or(Covariance2::round(0.0));
                let [right, down] = missed_by.slip(*slip);
                *point = PlacedPoint {
                    x_px: at[0] + right,
                    y_px: at[1] + down,
                    covariance_px2: Some(missed_by.to_matrix()),
                };
            }
            reader.estimates(&set, &film)
        });
        let [straight, turned] = readings;
        for (i, tally) in tallies.iter_mut().enumerate() {
            let estimate = if reader.models_rotation(i) {
                turned[i]
            } else {
                straight[i]
            };
            tally.add(estimate, true_values[i]);
        }
    }
    reader
        .measures()
        .zip(tallies)
        .zip(true_values)
        .filter_map(|((key, tally), value)| Some(tally.row(reader.view(), key, value?, draws)))
        .collect()
}

fn wrong_scale(film: &FilmFacts, error: f64) -> FilmFacts {
    let mut film = film.clone();
    if let Some(scale) = &mut film.scale {
        let factor = 1.0 + error * scale.relative_standard_error;
        scale.mm_per_px_x *= factor;
        scale.mm_per_px_y *= factor;
    }
    film
}

impl Tally {
    fn add(&mut self, estimate: Option<quantity::Estimate>, truth: Option<f64>) {
        let (Some(estimate), Some(truth)) = (estimate, truth) else {
            self.refused += 1;
            return;
        };
        let (low, high) = estimate.interval_95();
        self.covered += usize::from((low..=high).contains(&truth));
        let miss = estimate.value - truth;
        self.sum += miss;
        self.square += miss * miss;
        self.stated += estimate.standard_error;
    }

    fn row(self, view: View, measure: &MeasureKey, truth: f64, draws: usize) -> Coverage {
        let read = (draws - self.refused).max(1) as f64;
        let bias = self.sum / read;
        Coverage {
            view,
            measure: measure.clone(),
            truth,
            draws,
            refused: self.refused,
            percent: 100.0 * self.covered as f64 / draws.max(1) as f64,
            bias,
            spread: (self.square / read - bias * bias).max(0.0).sqrt(),
            stated: self.stated / read,
        }
    }
}
