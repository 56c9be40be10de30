//! Which readings are on record for a film, and which placing do they come from?
//!
//! A stored sheet is read leniently: a reading that an older program wrote in another way is left
//! out of the lines and trends, never guessed at. It stays in the record.

use knowledge::Knowledge;
use quantity::Estimate;
use record::{FilmRecord, PointsRecord};
use serde::Deserialize;
use serde_json::Value;
use terms::{MeasureKey, Side, Stance};
use time::Date;

/// What a page needs of one stored reading.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct KeptReading {
    pub measure: MeasureKey,
    pub estimate: Estimate,
    #[serde(default)]
    pub stance: Option<Stance>,
}

/// The readings that stand for a film: of the last finished placing, else of the last one in hand.
pub fn standing(placings: &[PointsRecord]) -> Option<&PointsRecord> {
    placings
        .iter()
        .filter(|p| p.finished)
        .max_by_key(|p| p.placed_at)
        .or_else(|| placings.iter().max_by_key(|p| p.placed_at))
}

/// All readings of one placing that can be read.
pub fn of(placing: &PointsRecord) -> Vec<KeptReading> {
    let Some(list) = placing.sheet.body.get("readings").and_then(Value::as_array) else {
        return Vec::new();
    };
    list.iter()
        .filter_map(|r| KeptReading::deserialize(r).ok())
        .collect()
}

/// One reading at one time, for a trend.
#[derive(Debug, Clone, PartialEq)]
pub struct Dated {
    pub on: Date,
    pub side: Side,
    pub reading: KeptReading,
    pub finished: bool,
}

/// Dated readings of a film; none where the side or the day is not known.
pub fn dated(film: &FilmRecord, visit_day: Date, placings: &[PointsRecord]) -> Vec<Dated> {
    let (Some(side), Some(placing)) = (film.side, standing(placings)) else {
        return Vec::new();
    };
    let on = film.taken_on.unwrap_or(visit_day);
    of(placing)
        .into_iter()
        .map(|reading| Dated {
            on,
            side,
            reading,
            finished: placing.finished,
        })
        .collect()
}

/// Measures that occur, the most important first.
pub fn measures_in<'k>(knowledge: &'k Knowledge, dated: &[Dated]) -> Vec<&'k knowledge::Measure> {
    let mut keys: Vec<&MeasureKey> = dated.iter().map(|d| &d.reading.measure).collect();
    keys.sort();
    keys.dedup();
    let mut found: Vec<_> = keys
        .into_iter()
        .filter_map(|k| knowledge.measure(k))
        .collect();
    found.sort_by_key(|m| std::cmp::Reverse(m.importance));
    found
}

/// How the last of two or more readings stands to the first.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    pub by: f64,
    /// What both readings' errors alone can make, 95 %.
    pub error_of_change: f64,
}

impl Change {
    /// # Uncertainty
    /// `1.96 · √(se₁² + se₂²)`: the errors of both readings, taken as independent.
    pub fn between(first: &Estimate, last: &Estimate) -> Option<Self> {
        if first.unit != last.unit {
            return None;
        }
        let error = quantity::Z_975 * first.standard_error.hypot(last.standard_error);
        Some(Self {
            by: last.value - first.value,
            error_of_change: error,
        })
    }

    pub fn is_real(&self) -> bool {
        self.by.abs() > self.error_of_change
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::Unit;

    #[test]
    fn a_change_smaller_than_both_errors_together_is_not_real() {
        let first = Estimate::new(14.0, 1.0, Unit::Degree);
        let small = Change::between(&first, &Estimate::new(16.5, 1.0, Unit::Degree)).unwrap();
        let large = Change::between(&first, &Estimate::new(17.0, 1.0, Unit::Degree)).unwrap();
        // 1.96 · √2 = 2.772
        assert!((small.error_of_change - 2.7718).abs() < 1e-3);
        assert!(!small.is_real() && large.is_real());
        assert_eq!(
            Change::between(&first, &Estimate::new(3.0, 1.0, Unit::Millimetre)),
            None
        );
    }
}
