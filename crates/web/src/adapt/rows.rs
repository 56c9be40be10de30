//! One reading as a line: name, value with error, strip, place in one word, and its yardsticks.
//!
//! The same lines stand on the film desk, on the visit's page and in a letter. Nothing is computed
//! here: `reading` says where a value lies, `figure` draws it.

use crate::{sources, words};
use figure::of_reading::{not_judged_because, place_of, rows_to_show, strip};
use knowledge::{Knowledge, yardstick::Person};
use reading::{Comparison, Reading, ReadingSheet, Refusal, Refused, against};
use serde::Serialize;

/// Yardsticks shown beside a value; the rest stands under Sources.
const MOST_YARDSTICKS: usize = 3;
const STRIP: (f64, f64) = (208.0, 24.0);

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    pub measure: String,
    pub name: String,
    /// `12.3° ± 1.1°`
    pub value: String,
    /// `10.1 to 12.4°`, the 95 % interval.
    pub interval: String,
    pub sign: String,
    /// How much weight the measure carries; the page orders by it.
    #[serde(skip)]
    pub importance: u32,
    /// inside, outside, straddles, sources differ, not judged, no yardstick.
    pub place: &'static str,
    pub strip_svg: String,
    pub yardsticks: Vec<YardstickWords>,
    pub notes: Vec<String>,
    pub points: Vec<String>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YardstickWords {
    pub words: String,
    pub letter: char,
    /// Where it stands on the page of sources, without the `#`.
    pub source: String,
    pub decides: bool,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RefusedRow {
    pub measure: String,
    pub name: String,
    pub sentence: String,
}

impl Row {
    /// The class of its state, for shape and colour beside the word.
    pub fn class(&self) -> &'static str {
        match self.place {
            "inside" => "inside",
            "outside" => "outside",
            "straddles" => "straddles",
            "sources differ" => "differ",
            _ => "none",
        }
    }
}

pub fn rows(knowledge: &Knowledge, sheet: &ReadingSheet, person: &Person) -> Vec<Row> {
    sheet
        .readings
        .iter()
        .map(|r| row(knowledge, r, person))
        .collect()
}

fn row(knowledge: &Knowledge, reading: &Reading, person: &Person) -> Row {
    let measure = knowledge.measure(&reading.measure);
    let name = measure.map_or_else(|| reading.measure.to_string(), |m| m.name.clone());
    let mut row = compared(&name, &against(knowledge, reading, person));
    row.sign = measure.map(|m| m.sign_words.clone()).unwrap_or_default();
    row.importance = measure.map_or(0, |m| m.importance);
    row.notes.splice(0..0, reading.notes.iter().cloned());
    row.points = reading
        .points_used
        .iter()
        .map(ToString::to_string)
        .collect();
    row.measure = reading.measure.to_string();
    row
}

/// Any value against what is published for it.
pub fn compared(name: &str, comparison: &Comparison) -> Row {
    let not_judged = not_judged_because(comparison)
        .map(|(_, why)| format!("Not judged: {}.", why.trim_end_matches('.')))
        .filter(|said| !comparison.notes.contains(said));
    let e = &comparison.estimate;
    Row {
        measure: String::new(),
        name: name.to_owned(),
        value: e.to_string(),
        interval: words::interval(e),
        sign: String::new(),
        importance: 0,
        place: place_of(comparison).word(),
        strip_svg: figure::strip_svg(&strip(name, comparison, STRIP)),
        yardsticks: rows_to_show(comparison, MOST_YARDSTICKS)
            .into_iter()
            .map(|r| YardstickWords {
                words: sources::says(&r.yardstick.kind, r.yardstick.unit),
                letter: r.yardstick.provenance.letter(),
                source: format!("y-{}", r.yardstick.key),
                decides: r.decides,
            })
            .collect(),
        notes: comparison.notes.iter().cloned().chain(not_judged).collect(),
        points: Vec::new(),
    }
}

/// `age_years` is the person's: a child's missing point may have no bone yet.
pub fn refused(
    knowledge: &Knowledge,
    sheet: &ReadingSheet,
    age_years: Option<f64>,
) -> Vec<RefusedRow> {
    sheet
        .refused
        .iter()
        .map(|r| RefusedRow {
            measure: r.measure.to_string(),
            name: knowledge
                .measure(&r.measure)
                .map_or_else(|| r.measure.to_string(), |m| m.name.clone()),
            sentence: said(knowledge, r, age_years),
        })
        .collect()
}

/// Points are named while they are few; a long list says nothing that the list of points does not.
fn said(knowledge: &Knowledge, refused: &Refused, age_years: Option<f64>) -> String {
    let Refusal::MissingPoints { points } = &refused.why else {
        return with_names(knowledge, &refused.sentence);
    };
    let young = points
        .iter()
        .filter_map(|key| knowledge.landmark(key))
        .find_map(|l| l.at_age(age_years));
    let sentence = match &refused.why {
        Refusal::MissingPoints { points } if points.len() > 2 => {
            format!(
                "not read yet: {} of its points are not placed",
                points.len()
            )
        }
        _ => with_names(knowledge, &refused.sentence),
    };
    match young {
        Some(young) => format!(
            "{} {young}",
            sentence.trim_end_matches('.').to_owned() + "."
        ),
        None => sentence,
    }
}

/// Landmark keys in a sentence become the landmarks' names.
pub fn with_names(knowledge: &Knowledge, sentence: &str) -> String {
    let mut out = String::with_capacity(sentence.len());
    let mut word = String::new();
    for c in sentence.chars().chain(std::iter::once('\0')) {
        if c.is_ascii_alphanumeric() || c == '_' {
            word.push(c);
            continue;
        }
        let known = word
            .contains('_')
            .then(|| terms::LandmarkKey::new(word.as_str()).ok())
            .flatten();
        match known.and_then(|key| knowledge.landmark(&key)) {
            Some(landmark) => {
                out.push('‘');
                out.push_str(&landmark.name);
                out.push('’');
            }
            None => out.push_str(&word),
        }
        word.clear();
        if c != '\0' {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sentence_names_points_as_the_page_does_and_leaves_other_words_alone() {
        let knowledge = Knowledge::built_in();
        let key = terms::LandmarkKey::new("nav_low").unwrap();
        let name = &knowledge.landmark(&key).unwrap().name;
        let said = with_names(
            knowledge,
            "not read: nav_low is not placed; no_such_point stays",
        );
        assert_eq!(
            said,
            format!("not read: ‘{name}’ is not placed; no_such_point stays")
        );
    }
}
