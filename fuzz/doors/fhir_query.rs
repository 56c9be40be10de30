//! Any text behind the question mark: understood or refused, and a page of what was asked for.

use exchange_fhir::{Base, Handling, Query, ResourceType, search};
use record::Chart;
use std::sync::LazyLock;

/// A small chart, so that a search is quick.
static CHART: LazyLock<Chart> = LazyLock::new(|| {
    let mut chart = exchange::invented::invented(0).chart;
    chart.films.truncate(1);
    chart.points.truncate(1);
    chart.exams.truncate(0);
    chart.acts.truncate(4);
    chart
});

pub fn comes_in(data: &[u8]) {
    let Some((first, rest)) = data.split_first() else {
        return;
    };
    let Ok(text) = std::str::from_utf8(rest) else {
        return;
    };
    let kind = ResourceType::ALL[usize::from(first & 0x7f) % ResourceType::ALL.len()];
    let handling = if first & 0x80 == 0 {
        Handling::Lenient
    } else {
        Handling::Strict
    };
    match Query::parse(kind, text, handling) {
        Err(outcome) => {
            let issue = &outcome.issue[0];
            assert!(issue.diagnostics.starts_with("found") && issue.diagnostics.len() < 400);
            assert!((400..500).contains(&outcome.http_status()));
        }
        Ok(query) => {
            let page = search(&query, [&*CHART], &Base::nowhere());
            let matches = page
                .entry
                .iter()
                .filter(|e| e.search.is_some_and(|s| s.mode == "match"));
            assert!(matches.count() <= query.count);
            // The page's own address asks for the same page.
            let (_, own) = page.link[0].url.split_once('?').expect("a query");
            let again = Query::parse(kind, own, Handling::Strict).expect("its own address");
            let again = search(&again, [&*CHART], &Base::nowhere());
            assert_eq!(again.total, page.total);
        }
    }
}
