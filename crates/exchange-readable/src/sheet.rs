//! How do the readings stand as a table of their own?
//!
//! RFC 4180 for the patient's own use: with dates and names of readers, unlike a study.

use exchange::{Opened, Origin, measure};
use knowledge::Knowledge;
use std::fmt::Write as _;
use terms::Side;

const HEAD: [&str; 14] = [
    "visit",
    "taken_on",
    "read_on",
    "side",
    "measure",
    "name",
    "value",
    "standard_error",
    "lower_95",
    "upper_95",
    "unit",
    "method_version",
    "reader",
    "finished",
];

/// One line for each reading, in the order of the chart.
pub fn readings(opened: &Opened<'_>) -> String {
    let mut out = HEAD.join(",");
    out.push_str("\r\n");
    for r in opened.readings() {
        let visit = opened.visit(r.origin.visit());
        let (read_on, reader) = match &r.origin {
            Origin::Film(_, points) => (points.placed_at, points.reader_name.as_str()),
            Origin::Capture(_, steps) => (steps.saved_at, ""),
        };
        let name = measure(Knowledge::built_in(), &r.measure).map(|m| m.name);
        let (low, high) = r.interval_95();
        let cells = [
            visit.map_or(String::new(), |v| v.on.to_string()),
            r.origin.taken_on().map_or(String::new(), |d| d.to_string()),
            read_on.date().to_string(),
            r.side.map_or(String::new(), |s: Side| s.word().to_owned()),
            r.measure.clone(),
            name.unwrap_or_default(),
            r.estimate.value.to_string(),
            r.estimate.standard_error.to_string(),
            low.to_string(),
            high.to_string(),
            r.estimate.unit.key().to_owned(),
            r.method_version.to_string(),
            reader.to_owned(),
            r.origin.finished().to_string(),
        ];
        let line: Vec<String> = cells.iter().map(|c| quoted(c)).collect();
        let _ = write!(out, "{}\r\n", line.join(","));
    }
    out
}

fn quoted(text: &str) -> String {
    // A cell that begins like a formula is a text to every program that opens it.
    let formula = text.starts_with(['=', '+', '@', '\t'])
        || (text.starts_with('-') && text.parse::<f64>().is_err());
    let text = if formula {
        format!("'{text}")
    } else {
        text.to_owned()
    };
    match text.contains([',', '"', '\r', '\n']) {
        true => format!("\"{}\"", text.replace('"', "\"\"")),
        false => text,
    }
}
