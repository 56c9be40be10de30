//! What the visit shows of prints, photographs, clips and markers.

use crate::context::Context;
use crate::error::PageError;
use record::{CaptureRecord, Doing, VisitId};

pub struct CapturePart {
    pub captures: Vec<CaptureLine>,
}

pub struct CaptureLine {
    pub id: String,
    pub what: String,
    pub values: Vec<String>,
}

/// # Errors
/// No such visit.
pub async fn capture_part(context: &Context, visit: VisitId) -> Result<CapturePart, PageError> {
    let store = &context.state.store;
    let mut captures = Vec::new();
    for record in store.captures_of_visit(visit).await? {
        let kept = store.steps(record.id).await?;
        captures.push(CaptureLine {
            id: record.id.to_string(),
            what: capture_words(&record),
            values: kept.map(|k| values(&k.readings.body)).unwrap_or_default(),
        });
    }
    Ok(CapturePart { captures })
}

/// `Print of the foot, standing, left`
pub fn capture_words(record: &CaptureRecord) -> String {
    let mut words = crate::words::capitalised(record.kind.words());
    let said = [
        record.doing.map(Doing::words),
        record.side.map(|s| s.word()),
    ];
    for more in said.into_iter().flatten() {
        words.push_str(", ");
        words.push_str(more);
    }
    words
}

/// What a line says of each foot, by the kept measure.
const SHOWN: [(&str, &str); 5] = [
    ("arch_index", "arch index"),
    ("heel_to_upright", "heel"),
    ("arch_height_index", "arch height index"),
    ("heel_rise_best_height", "best rise"),
    ("heel_rise_turn", "turn at the top"),
];

/// The leading values of each foot, as kept.
fn values(body: &serde_json::Value) -> Vec<String> {
    let list = body.get("readings").and_then(|r| r.as_array());
    let read = list.into_iter().flatten().filter_map(|r| {
        let measure = r.get("measure")?.as_str()?;
        let (_, name) = SHOWN.iter().find(|(key, _)| *key == measure)?;
        let side = r.get("side")?.as_str()?;
        let estimate: quantity::Estimate =
            serde_json::from_value(r.get("estimate")?.clone()).ok()?;
        Some(format!("{side} {name} {estimate}"))
    });
    let legs = body.get("legs").and_then(|l| l.as_array());
    let counts = legs.into_iter().flatten().filter_map(|leg| {
        let count = leg.get("count")?.as_u64()?;
        let side = leg.get("side")?.as_str()?;
        Some(format!("{side} {count} rises"))
    });
    counts.chain(read).collect()
}
