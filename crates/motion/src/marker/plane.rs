//! Markers in space, seen exactly from behind: the same curves as a clip, without a camera askew.

use super::c3d::MarkerFile;
use crate::MotionError;
use crate::error::quote;
use crate::rise::rises::Rule;
use crate::rise::series::{LegSeries, Scale, Seen, Series};
use crate::rise::{RiseReadings, leg::median, read_series};
use crate::steps::{How, Point, Setup};
use serde::{Deserialize, Serialize};
use terms::Side;

/// Which label is which point; chosen by the person from the file's own labels.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Roles {
    pub side: Side,
    /// Low on the back of the heel.
    pub heel: String,
    /// Higher on the back of the heel; without it there is a height and no angle.
    pub heel_upper: Option<String>,
    /// Low on the leg's middle line, or a malleolus: then changes of the angle hold and the angle itself does not.
    pub leg_lower: Option<String>,
    pub leg_upper: Option<String>,
    /// Head of the second metatarsal or near it: gives the foot's own direction.
    pub metatarsal: String,
}

/// Which of the three axes points up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Up {
    X,
    Y,
    /// As most laboratories have it.
    #[default]
    Z,
}

impl Up {
    fn index(self) -> usize {
        match self {
            Up::X => 0,
            Up::Y => 1,
            Up::Z => 2,
        }
    }
}

/// Standard error of a marker against the skin it sits on, mm.
///
/// # Sources
/// Common practice; no figure for it was read.
pub const MARKER_SD_MM: f64 = 0.5;

/// # Units
/// The plane is in millimetres, and so is the placing error of the set-up here.
///
/// # Assumptions
/// The foot's direction is that from heel to metatarsal; the error of the camera's direction in the set-up stands for
/// the error of this direction.
///
/// # Errors
/// A label that is not there, a unit that is not known, a foot whose direction was never seen.
pub fn read_markers(
    file: &MarkerFile,
    roles: &[Roles],
    up: Up,
    setup: &Setup,
    rule: Rule,
) -> Result<RiseReadings, MotionError> {
    setup.checked()?;
    match roles {
        [] => return Err(MotionError::NoLeg),
        [a, b] if a.side == b.side => {
            return Err(MotionError::LegTwice {
                side: a.side.word(),
            });
        }
        [_] | [_, _] => {}
        more => return Err(MotionError::TooManyLegs { count: more.len() }),
    }
    let mm = file.mm_per_unit.ok_or_else(|| MotionError::C3dDamaged {
        found: format!("the unit {}", quote(&file.unit)),
        expected: "mm, cm or m",
    })?;
    let frames = file.frames();
    if frames < 2 {
        return Err(MotionError::OneFrame { least: 2 });
    }
    let legs = roles
        .iter()
        .map(|r| leg(file, r, up, mm))
        .collect::<Result<Vec<_>, _>>()?;
    let series = Series {
        times_s: (0..frames).map(|f| f as f64 / file.rate).collect(),
        legs,
        scale: Scale::Millimetres {
            per_unit: 1.0,
            relative_error: 0.0,
        },
        setup: *setup,
        beat_per_min: None,
        steady_sd: 0.0,
        camera_unknown: 0,
    };
    read_series(&series, rule)
}

fn leg(file: &MarkerFile, roles: &Roles, up: Up, mm: f64) -> Result<LegSeries, MotionError> {
    let index = |label: &str| {
        file.index(label).ok_or_else(|| MotionError::NoSuchMarker {
            found: quote(label),
        })
    };
    let maybe = |label: &Option<String>| label.as_deref().map(index).transpose();
    let heel = index(&roles.heel)?;
    let metatarsal = index(&roles.metatarsal)?;
    let (h, w, u) = {
        let up = up.index();
        ((up + 1) % 3, (up + 2) % 3, up)
    };
    // The foot's direction on the floor: the median over all frames that show both markers.
    let directions: Vec<(f64, f64)> = file.places[heel]
        .iter()
        .zip(&file.places[metatarsal])
        .filter_map(|(a, b)| {
            let (a, b) = ((*a)?, (*b)?);
            let (dx, dy) = (b[h] - a[h], b[w] - a[w]);
            let length = dx.hypot(dy);
            (length > 1e-9).then(|| (dx / length, dy / length))
        })
        .collect();
    let part = |pick: fn(&(f64, f64)) -> f64| median(directions.iter().map(pick).collect());
    let lost = || MotionError::C3dDamaged {
        found: "heel and metatarsal never seen together".into(),
        expected: "frames that show both, for the foot's direction",
    };
    let (fx, fy) = (
        part(|d| d.0).ok_or_else(lost)?,
        part(|d| d.1).ok_or_else(lost)?,
    );
    let length = fx.hypot(fy);
    if length < 0.1 {
        return Err(lost());
    }
    // h, w, up run in a right-handed round: forward turned by a right angle against the clock points to the left.
    let (rx, ry) = (fy / length, -fx / length);
    let points = [
        maybe(&roles.leg_upper)?,
        maybe(&roles.leg_lower)?,
        maybe(&roles.heel_upper)?,
        Some(heel),
    ];
    let series = points.map(|marker| match marker {
        None => vec![None; file.frames()],
        Some(m) => file.places[m]
            .iter()
            .map(|p| {
                p.map(|p| Seen {
                    x: mm * (rx * p[h] + ry * p[w]),
                    y: mm * p[u],
                    sd_x: MARKER_SD_MM,
                    sd_y: MARKER_SD_MM,
                    how: How::Followed,
                })
            })
            .collect(),
    });
    debug_assert_eq!(series.len(), Point::ALL.len());
    Ok(LegSeries {
        side: roles.side,
        points: series,
    })
}
