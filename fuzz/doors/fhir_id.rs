//! Any text as an id: found, not found or refused, and never another resource than the one named.

use exchange_fhir::{ResourceType, ids, read};
use record::Chart;
use std::sync::LazyLock;

static CHART: LazyLock<Chart> = LazyLock::new(|| {
    let mut chart = exchange::invented::invented(0).chart;
    chart.films.truncate(1);
    chart.points.truncate(1);
    chart.exams.truncate(0);
    chart
});

pub fn comes_in(data: &[u8]) {
    let Some((first, rest)) = data.split_first() else {
        return;
    };
    let Ok(text) = std::str::from_utf8(rest) else {
        return;
    };
    let known = [
        ResourceType::Patient,
        ResourceType::Practitioner,
        ResourceType::Encounter,
        ResourceType::DocumentReference,
    ];
    let kind = known[usize::from(*first) % known.len()];
    match read(kind, text, [&*CHART]) {
        Ok(resource) => assert!(resource.id() == text && resource.kind() == kind),
        Err(outcome) => {
            let expected = if ids::is_id(text) { 404 } else { 400 };
            assert_eq!(outcome.http_status(), expected);
            assert!(!outcome.issue[0].diagnostics.is_empty());
        }
    }
    let id = ids::derived(&[text]).to_string();
    assert!(ids::is_id(&id));
}
