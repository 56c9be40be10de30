//! Which readings are there, and how was each come by?
//!
//! One list for films and captures. A reading that does not read back is counted where it stands and left out.

use crate::formats::{OF_CAPTURES_VERSION, SHEET};
use quantity::{Estimate, Z_975};
use reading::{Reading, Refused, Warning};
use record::{CaptureRecord, ClinicianId, FilmRecord, PointsRecord, StepsRecord, VisitId};
use serde::Deserialize;
use serde_json::Value;
use terms::{MeasureKey, Side, Stance};
use time::{Date, OffsetDateTime};

/// What a reading was made on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Origin<'c> {
    Film(&'c FilmRecord, &'c PointsRecord),
    Capture(&'c CaptureRecord, &'c StepsRecord),
}

impl Origin<'_> {
    pub fn visit(&self) -> VisitId {
        match self {
            Origin::Film(film, _) => film.visit,
            Origin::Capture(capture, _) => capture.visit,
        }
    }

    /// The day on which the picture was taken, where it is known.
    pub fn taken_on(&self) -> Option<Date> {
        match self {
            Origin::Film(film, _) => film.taken_on,
            Origin::Capture(capture, _) => capture.taken_on,
        }
    }

    pub fn read_at(&self) -> OffsetDateTime {
        match self {
            Origin::Film(_, points) => points.placed_at,
            Origin::Capture(_, steps) => steps.saved_at,
        }
    }

    /// Steps on a capture carry no reader.
    pub fn reader(&self) -> Option<ClinicianId> {
        match self {
            Origin::Film(_, points) => Some(points.reader),
            Origin::Capture(..) => None,
        }
    }

    /// A placing in hand may still change; what was read on a capture stands until it is saved anew.
    pub fn finished(&self) -> bool {
        match self {
            Origin::Film(_, points) => points.finished,
            Origin::Capture(..) => true,
        }
    }

    /// `film` or the key of the capture's kind.
    pub fn what(&self) -> &'static str {
        match self {
            Origin::Film(..) => "film",
            Origin::Capture(capture, _) => capture.kind.key(),
        }
    }
}

/// One reading with all that has to stay beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenReading<'c> {
    pub origin: Origin<'c>,
    /// Whether it stands for its film: of the last finished placing, else of the last one in hand.
    pub stands: bool,
    pub measure: String,
    /// Of the reading, else of the film or capture; `None` where nobody said.
    pub side: Option<Side>,
    pub estimate: Estimate,
    pub method_version: u32,
    /// Standard errors by cause, in the unit of the reading, as far as they were kept.
    pub error_parts: Vec<(String, f64)>,
    pub stance: Option<Stance>,
    pub notes: Vec<String>,
    pub points_used: Vec<String>,
    /// The whole reading of a film; yardsticks ask for it.
    pub film_reading: Option<Reading>,
}

impl TakenReading<'_> {
    pub fn interval_95(&self) -> (f64, f64) {
        let half = Z_975 * self.estimate.standard_error;
        (self.estimate.value - half, self.estimate.value + half)
    }
}

/// What one placing or one capture says besides its readings.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetFacts<'c> {
    pub origin: Origin<'c>,
    pub stands: bool,
    pub readings: Vec<TakenReading<'c>>,
    pub refused: Vec<Refused>,
    pub warnings: Vec<Warning>,
    /// Readings kept in a way that this program does not read.
    pub unreadable: usize,
}

/// As every kept reading has it, whatever else stands beside.
#[derive(Deserialize)]
struct KeptReading {
    measure: MeasureKey,
    estimate: Estimate,
    method_version: u32,
    #[serde(default)]
    side: Option<Side>,
    #[serde(default)]
    error_parts: Value,
}

fn error_parts(value: &Value) -> Vec<(String, f64)> {
    let parts = value.as_object().into_iter().flatten();
    parts
        .filter_map(|(cause, part)| Some((cause.clone(), part.as_f64()?)))
        .collect()
}

fn usable(estimate: &Estimate) -> bool {
    estimate.value.is_finite()
        && estimate.standard_error.is_finite()
        && estimate.standard_error >= 0.0
}

pub(crate) fn of_film<'c>(
    film: &'c FilmRecord,
    points: &'c PointsRecord,
    stands: bool,
) -> SheetFacts<'c> {
    let origin = Origin::Film(film, points);
    let body = &points.sheet.body;
    let list = |name: &str| body.get(name).and_then(Value::as_array);
    let mut sheet = SheetFacts {
        origin,
        stands,
        readings: Vec::new(),
        refused: read_each(list("refused")),
        warnings: read_each(list("warnings")),
        unreadable: 0,
    };
    for value in list("readings").into_iter().flatten() {
        // A newer program may mean another thing by the same words.
        let known = points.sheet.version <= SHEET.1;
        match Reading::deserialize(value).ok().filter(|_| known) {
            Some(r) if usable(&r.estimate) => sheet.readings.push(TakenReading {
                origin,
                stands,
                measure: r.measure.to_string(),
                side: r.side.or(film.side),
                estimate: r.estimate,
                method_version: r.method_version,
                error_parts: error_parts(value.get("error_parts").unwrap_or(&Value::Null)),
                stance: Some(r.stance),
                notes: r.notes.clone(),
                points_used: r.points_used.iter().map(ToString::to_string).collect(),
                film_reading: Some(r),
            }),
            _ => sheet.unreadable += 1,
        }
    }
    sheet
}

pub(crate) fn of_capture<'c>(capture: &'c CaptureRecord, steps: &'c StepsRecord) -> SheetFacts<'c> {
    let origin = Origin::Capture(capture, steps);
    let mut sheet = SheetFacts {
        origin,
        stands: true,
        readings: Vec::new(),
        refused: Vec::new(),
        warnings: Vec::new(),
        unreadable: 0,
    };
    let list = steps
        .readings
        .body
        .get("readings")
        .and_then(Value::as_array);
    for value in list.into_iter().flatten() {
        let known = steps.readings.version <= OF_CAPTURES_VERSION;
        match KeptReading::deserialize(value).ok().filter(|_| known) {
            Some(r) if usable(&r.estimate) => {
                sheet.readings.push(TakenReading {
                    origin,
                    stands: true,
                    measure: r.measure.to_string(),
                    side: r.side.or(capture.side),
                    estimate: r.estimate,
                    method_version: r.method_version,
                    error_parts: error_parts(&r.error_parts),
                    stance: None,
                    notes: Vec::new(),
                    points_used: Vec::new(),
                    film_reading: None,
                });
            }
            _ => sheet.unreadable += 1,
        }
    }
    sheet
}

fn read_each<T: for<'d> Deserialize<'d>>(list: Option<&Vec<Value>>) -> Vec<T> {
    let values = list.into_iter().flatten();
    values.filter_map(|v| T::deserialize(v).ok()).collect()
}

/// The placing whose readings stand for a film: the last finished one, else the last in hand.
pub fn standing<'p>(
    placings: impl Iterator<Item = &'p PointsRecord> + Clone,
) -> Option<&'p PointsRecord> {
    placings
        .clone()
        .filter(|p| p.finished)
        .max_by_key(|p| p.placed_at)
        .or_else(|| placings.max_by_key(|p| p.placed_at))
}
