//! Heel rises as JSON with everything, as curves, and held against what is published.

use super::ReadRises;
use crate::yards;
use anyhow::Result;
use figure::of_reading::{not_judged_because, place_of};
use knowledge::{Knowledge, Person};
use motion::rise::{LegReadings, RiseReadings};
use quantity::{Estimate, Unit};
use reading::Comparison;
use record::Doing;
use serde_json::{Value, json};

pub const NO_DOING: &str = "not said whether the rises were done on one leg or on both: norms differ and none is chosen; say --doing one-leg or --doing both-legs";

/// A number of a leg that something is published for.
pub struct Held {
    pub name: &'static str,
    pub item: &'static str,
    pub estimate: Estimate,
    pub comparison: Comparison,
}

/// Nothing is held against a norm where nobody said whether one leg rose or both.
pub fn held(
    knowledge: &Knowledge,
    leg: &LegReadings,
    doing: Option<Doing>,
    person: &Person,
) -> Vec<Held> {
    let count = leg.count.map(|n| Estimate::new(n as f64, 0.0, Unit::Count));
    let in_mm = |e: Option<Estimate>| e.filter(|e| e.unit == Unit::Millimetre);
    let all = match doing {
        Some(Doing::OneLeg) => vec![
            ("rises counted, on one leg", "heel_rise_count", count),
            (
                "height of the best",
                "heel_rise_height_mm",
                in_mm(leg.best_height),
            ),
            ("travel", "heel_rise_travel_mm", in_mm(leg.travel)),
        ],
        Some(Doing::BothLegs) => vec![(
            "rises counted, on both legs",
            "heel_rise_double_count",
            count,
        )],
        _ => Vec::new(),
    };
    all.into_iter()
        .filter_map(|(name, item, estimate)| {
            let estimate = estimate?;
            let comparison = yards::against(knowledge, item, estimate, person)?;
            Some(Held {
                name,
                item,
                estimate,
                comparison,
            })
        })
        .collect()
}

/// Readings as they are, with their yardsticks.
///
/// # Errors
/// Never for readings.
pub fn json(knowledge: &Knowledge, read: &ReadRises, person: &Person) -> Result<Value> {
    let yardsticks: Vec<Value> = read
        .readings
        .legs
        .iter()
        .flat_map(|leg| {
            let side = leg.side;
            let least = leg.count_is_a_least();
            held(knowledge, leg, read.doing, person)
                .into_iter()
                .map(move |h| {
                    // A count that is a least cannot be judged.
                    let judged = h.estimate.unit != Unit::Count || !least;
                    let why = not_judged_because(&h.comparison).map(|(_, why)| why.to_owned());
                    json!({
                        "side": side,
                        "item": h.item,
                        "estimate": h.estimate,
                        "at_least": !judged,
                        "place": judged.then(|| place_of(&h.comparison).word()),
                        "not_judged_because": why,
                        "rows": yards::json(&h.comparison),
                        "notes": h.comparison.notes,
                    })
                })
        })
        .collect();
    let mut notes = read.notes.clone();
    if read.doing.is_none() {
        notes.push(NO_DOING.to_owned());
    }
    Ok(json!({
        "format": "tiebeam-rise-report",
        "version": 1,
        "source": read.name,
        "doing": read.doing.map(Doing::key),
        "rule": read.readings.rule,
        "beat_per_min": read.beat_per_min,
        "notes": notes,
        "readings": serde_json::to_value(&read.readings)?,
        "yardsticks": yardsticks,
    }))
}

/// A row for each leg and frame; what was not seen stays empty.
pub fn curve(readings: &RiseReadings) -> String {
    let mut text = String::from(
        "side,frame,time_s,height,height_unit,heel_angle_deg,heel_angle_standard_error_deg\n",
    );
    let number = |v: Option<f64>| v.map_or(String::new(), |v| format!("{v:.4}"));
    for leg in &readings.legs {
        for (frame, i) in leg.curve.iter().enumerate() {
            text += &format!(
                "{},{frame},{:.4},{},{},{},{}\n",
                leg.side.word(),
                i.time_s,
                number(i.height),
                readings.height_unit.key(),
                number(i.angle.map(|a| a.deg)),
                number(i.angle.map(|a| a.sd_deg)),
            );
        }
    }
    text
}
