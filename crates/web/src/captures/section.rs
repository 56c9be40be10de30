//! What the visit shows of prints.

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
    let mut words = record.kind.words().to_owned();
    if let Some(first) = words.get_mut(..1) {
        first.make_ascii_uppercase();
    }
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

/// The arch index of each foot, as kept.
fn values(body: &serde_json::Value) -> Vec<String> {
    let list = body.get("readings").and_then(|r| r.as_array());
    list.into_iter()
        .flatten()
        .filter(|r| r.get("measure").and_then(|m| m.as_str()) == Some("arch_index"))
        .filter_map(|r| {
            let side = r.get("side")?.as_str()?;
            let estimate: quantity::Estimate =
                serde_json::from_value(r.get("estimate")?.clone()).ok()?;
            Some(format!("{side} arch index {estimate}"))
        })
        .collect()
}
