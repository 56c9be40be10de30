//! From points to what the desk shows: rows of readings, what was refused, and the drawing over the
//! film, in one answer of about a millisecond.

use super::cache::OpenFilm;
use super::facts;
use crate::AppState;
use figure::of_reading::{self, OverlayWish};
use film::Turn;
use knowledge::Person;
use reading::{PlacedPoint, PointSet, ReadingSheet};
use record::{DisplayTurn, FilmRecord};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{LandmarkKey, View};

/// Points as the page sends them: film pixels by landmark.
pub type SentPoints = BTreeMap<String, [f64; 2]>;

#[derive(Debug, Serialize)]
pub struct Row {
    pub measure: String,
    pub name: String,
    pub value: String,
    pub sign: String,
    pub place: String,
    pub strip_svg: String,
    pub yardsticks: Vec<Source>,
    pub notes: Vec<String>,
    pub points: Vec<String>,
}

#[derive(Debug, Serialize)]
pub struct Source {
    pub words: String,
    pub letter: String,
    pub source: String,
}

#[derive(Debug, Serialize)]
pub struct RefusedRow {
    pub measure: String,
    pub name: String,
    pub sentence: String,
}

#[derive(Debug, Serialize)]
pub struct Answer {
    pub svg: String,
    pub rows: Vec<Row>,
    pub refused: Vec<RefusedRow>,
    pub warnings: Vec<String>,
}

/// How the overlay is to be drawn.
#[derive(Debug, Clone, Deserialize)]
pub struct OverlayAsk {
    pub points: SentPoints,
    /// Film pixels per CSS pixel.
    pub pen: f64,
    #[serde(default)]
    pub active: Option<String>,
    pub turn: DisplayTurn,
}

/// The point set of what was sent; keys that are no landmark keys are left out and said.
pub fn point_set(view: View, record: &FilmRecord, sent: &SentPoints) -> (PointSet, Vec<String>) {
    let mut set = PointSet::new(view, record.side);
    let mut warnings = Vec::new();
    for (key, [x, y]) in sent {
        match LandmarkKey::new(key.clone()) {
            Ok(key) => {
                set.points.insert(key, PlacedPoint::at(*x, *y));
            }
            Err(bad) => warnings.push(crate::error::sentence(&bad.to_string())),
        }
    }
    (set, warnings)
}

/// Reads a point set on its film.
pub fn read(
    state: &AppState,
    record: &FilmRecord,
    open: &OpenFilm,
    set: &PointSet,
) -> Option<ReadingSheet> {
    let reader = state.films.reader(state.knowledge, set.view)?;
    Some(reader.read(set, &facts::film_facts(record, open)))
}

pub fn turn(of: DisplayTurn) -> Turn {
    Turn {
        quarters: of.quarter_turns % 4,
        mirrored: of.mirrored,
    }
}

/// The whole answer to a changed point.
pub fn overlay(
    state: &AppState,
    record: &FilmRecord,
    open: &OpenFilm,
    person: &Person,
    view: View,
    ask: &OverlayAsk,
) -> Answer {
    let (set, mut warnings) = point_set(view, record, &ask.points);
    let Some(sheet) = read(state, record, open, &set) else {
        return Answer {
            svg: String::new(),
            rows: Vec::new(),
            refused: Vec::new(),
            warnings,
        };
    };
    warnings.extend(
        sheet
            .warnings
            .iter()
            .map(|w| crate::error::sentence(&w.sentence)),
    );
    let (rows, refused) = rows(state, &sheet, person);
    let active = ask.active.clone().and_then(|k| LandmarkKey::new(k).ok());
    let (width, height) = (open.film.width, open.film.height);
    let turn = turn(ask.turn);
    let shown = turn.shown_size(width, height);
    let touches = |r: &reading::Reading| active.as_ref().is_some_and(|k| r.points_used.contains(k));
    let any = sheet.readings.iter().any(touches);
    let lead = |r: &reading::Reading| {
        state
            .knowledge
            .measure(&r.measure)
            .is_some_and(|m| m.importance >= 80)
    };
    let svg = figure::overlay_svg(&of_reading::overlay(
        state.knowledge,
        &set,
        &sheet,
        &OverlayWish {
            title: facts::title(record),
            shown_size: (f64::from(shown.0), f64::from(shown.1)),
            pen: ask.pen.clamp(0.01, 100.0),
            shown_from_film: &|p| turn.shown_from_film(p, width, height),
            emphasised: &touches,
            labelled: &|r| if any { touches(r) } else { lead(r) },
            with_points: false,
            active: None,
        },
    ));
    Answer {
        svg,
        rows,
        refused,
        warnings,
    }
}

/// Rows for the page, against the yardsticks of this person.
pub fn rows(
    state: &AppState,
    sheet: &ReadingSheet,
    person: &Person,
) -> (Vec<Row>, Vec<RefusedRow>) {
    let name = |key: &terms::MeasureKey| {
        state
            .knowledge
            .measure(key)
            .map_or_else(|| key.to_string(), |m| m.name.clone())
    };
    let rows = sheet
        .readings
        .iter()
        .map(|r| {
            let comparison = reading::against(state.knowledge, r, person);
            let name = name(&r.measure);
            let strip = figure::strip_svg(&of_reading::strip(&name, r, &comparison, (220.0, 24.0)));
            Row {
                measure: r.measure.to_string(),
                value: r.estimate.to_string(),
                sign: state
                    .knowledge
                    .measure(&r.measure)
                    .map(|m| m.sign_words.clone())
                    .unwrap_or_default(),
                place: of_reading::place(comparison.summary).word().to_owned(),
                strip_svg: strip,
                yardsticks: of_reading::rows_to_show(&comparison, 3)
                    .into_iter()
                    .map(|row| Source {
                        words: of_reading::yardstick_words(&row.yardstick),
                        letter: row.yardstick.provenance.letter().to_string(),
                        source: row.yardstick.source.to_string(),
                    })
                    .collect(),
                notes: r.notes.clone(),
                points: r.points_used.iter().map(ToString::to_string).collect(),
                name,
            }
        })
        .collect();
    let refused = sheet
        .refused
        .iter()
        .map(|r| RefusedRow {
            measure: r.measure.to_string(),
            name: name(&r.measure),
            sentence: crate::error::sentence(&r.sentence),
        })
        .collect();
    (rows, refused)
}
