//! Who placed which points, which time, and what was read from them?
//!
//! A placing is autosaved while it is in hand and frozen once it is finished. A second reading is
//! a new placing: nothing that was finished is ever replaced.

use crate::{BadRecord, ClinicianId, FilmId, Kept, PointsId};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use time::OffsetDateTime;

/// What the caller hands over; the store adds who, when and which time.
#[derive(Debug, Clone, PartialEq)]
pub struct PointsToSave {
    pub id: PointsId,
    pub film: FilmId,
    pub reader: ClinicianId,
    /// Finished placings are frozen and count for agreement.
    pub finished: bool,
    /// A `reading::PointSet`.
    pub points: Kept,
    /// A `reading::ReadingSheet`: each reading with unit, error, method version and points.
    pub sheet: Kept,
}

/// One placing of points by one reader, with what was read from them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PointsRecord {
    pub id: PointsId,
    pub film: FilmId,
    pub reader: ClinicianId,
    /// As it was when the points were placed.
    pub reader_name: String,
    /// 1 for this reader's first placing on this film, 2 for the second, and so on.
    pub attempt: u32,
    #[serde(with = "time::serde::rfc3339")]
    pub placed_at: OffsetDateTime,
    pub finished: bool,
    pub points: Kept,
    pub sheet: Kept,
}

/// What was read from one placing, without the points themselves: what a course over many films needs.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetRecord {
    /// Of the placing.
    pub id: PointsId,
    pub film: FilmId,
    pub reader: ClinicianId,
    /// As it was when the points were placed.
    pub reader_name: String,
    pub attempt: u32,
    pub placed_at: OffsetDateTime,
    pub finished: bool,
    pub sheet: Kept,
}

impl From<PointsRecord> for SheetRecord {
    fn from(p: PointsRecord) -> Self {
        SheetRecord {
            id: p.id,
            film: p.film,
            reader: p.reader,
            reader_name: p.reader_name,
            attempt: p.attempt,
            placed_at: p.placed_at,
            finished: p.finished,
            sheet: p.sheet,
        }
    }
}

impl PointsToSave {
    /// A reading is never stored without value, standard error, unit, method version and points.
    ///
    /// # Errors
    /// Names the first reading at fault and what it lacks.
    pub fn check(&self) -> Result<(), BadRecord> {
        check_readings(&self.sheet, true)?;
        if !self.points.body.get("points").is_some_and(Value::is_object) {
            return Err(BadRecord::new(
                "the point set",
                "no points",
                "a field 'points'",
            ));
        }
        Ok(())
    }
}

/// `on_points`: each must name the points it was made from.
pub(crate) fn check_readings(sheet: &Kept, on_points: bool) -> Result<(), BadRecord> {
    let Some(readings) = sheet.body.get("readings").and_then(Value::as_array) else {
        return Err(BadRecord::new(
            "the reading sheet",
            "no list of readings",
            "a field 'readings', empty where nothing could be read",
        ));
    };
    for (place, reading) in readings.iter().enumerate() {
        check_reading(place, reading, on_points)?;
    }
    Ok(())
}

fn check_reading(place: usize, reading: &Value, on_points: bool) -> Result<(), BadRecord> {
    let called = match reading.get("measure").and_then(Value::as_str) {
        Some(key) if key.len() <= 64 => key.to_owned(),
        _ => format!("number {}", place + 1),
    };
    let lacks = |what: &str, expected| {
        Err(BadRecord::new(
            "the reading sheet",
            format!("reading {called} without {what}"),
            expected,
        ))
    };
    let number = |name: &str| reading.get("estimate")?.get(name)?.as_f64();
    if number("value").is_none() {
        return lacks("a value", "a finite number");
    }
    if number("standard_error").is_none_or(|e| e < 0.0) {
        return lacks("a standard error", "a finite number, zero or more");
    }
    let unit = reading
        .get("estimate")
        .and_then(|e| e.get("unit"))
        .and_then(Value::as_str);
    if unit.is_none_or(str::is_empty) {
        return lacks("a unit", "the unit of value and error");
    }
    if reading.get("method_version").is_none_or(blank) {
        return lacks(
            "a method version",
            "the version of the construction that made it",
        );
    }
    let points = reading.get("points_used").and_then(Value::as_array);
    if on_points && points.is_none_or(Vec::is_empty) {
        return lacks("its points", "the keys of the points it was made from");
    }
    Ok(())
}

fn blank(value: &Value) -> bool {
    value.is_null() || value.as_str().is_some_and(str::is_empty)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;
    use uuid::Uuid;

    fn with_sheet(sheet: Value) -> PointsToSave {
        PointsToSave {
            id: PointsId::new(Uuid::from_u128(1)),
            film: FilmId::new(Uuid::from_u128(2)),
            reader: ClinicianId::new(Uuid::from_u128(3)),
            finished: false,
            points: Kept {
                format: "points".into(),
                version: 1,
                body: json!({"points": {}}),
            },
            sheet: Kept {
                format: "reading-sheet".into(),
                version: 1,
                body: sheet,
            },
        }
    }

    fn whole() -> Value {
        json!({
            "measure": "calc_pitch",
            "estimate": {"value": 18.2, "standard_error": 0.7, "unit": "deg"},
            "method_version": 1,
            "points_used": ["calc_plantar_tuber", "calc_plantar_front"],
        })
    }

    #[test]
    fn a_whole_reading_and_an_empty_sheet_may_be_stored() {
        assert_eq!(with_sheet(json!({"readings": [whole()]})).check(), Ok(()));
        assert_eq!(with_sheet(json!({"readings": []})).check(), Ok(()));
    }

    #[test]
    fn a_reading_that_lacks_unit_error_method_version_or_points_is_refused_by_name() {
        let cases = [
            ("/estimate/value", Value::Null, "a value"),
            ("/estimate/standard_error", Value::Null, "a standard error"),
            ("/estimate/standard_error", json!(-0.1), "a standard error"),
            ("/estimate/unit", json!(""), "a unit"),
            ("/method_version", Value::Null, "a method version"),
            ("/points_used", json!([]), "its points"),
        ];
        for (place, put, lacks) in cases {
            let mut reading = whole();
            *reading.pointer_mut(place).unwrap() = put;
            let said = with_sheet(json!({"readings": [reading]}))
                .check()
                .unwrap_err()
                .to_string();
            assert!(
                said.contains(&format!("calc_pitch without {lacks}")),
                "{place}: {said}"
            );
        }
    }

    #[test]
    fn a_sheet_without_a_list_of_readings_is_refused() {
        assert!(with_sheet(json!({})).check().is_err());
    }
}
