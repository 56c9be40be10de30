//! How far apart do the placings on one film lie?
//!
//! One film gives differences, not their usual size; that is the practice's page.

use crate::{
    agreement::pool::{self, Kind, OneReading, Placing},
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    today::film_words,
    words,
};
use askama::Template;
use axum::{extract::Path, response::Response};
use knowledge::Knowledge;
use quantity::Z_975;
use record::SheetRecord;
use terms::MeasureKey;
use time::UtcOffset;

#[derive(Template)]
#[template(path = "agreement/film.html")]
pub struct FilmPage {
    pub shell: Shell,
    pub film: String,
    pub patient: String,
    pub patient_name: String,
    pub title: String,
    /// Finished placings, one column each.
    pub placings: Vec<Head>,
    pub in_hand: usize,
    pub rows: Vec<MeasureRow>,
    pub notes: Vec<String>,
}

pub struct Head {
    pub who: String,
    pub attempt: String,
    pub when: String,
}

/// One measure of one kind, over all placings.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasureRow {
    pub key: String,
    pub name: String,
    /// Said only where the film has readings of more than one kind.
    pub kind: Option<String>,
    pub values: Vec<Option<String>>,
    pub same: Option<Apart>,
    pub between: Option<Apart>,
}

/// The largest difference of its sort.
#[derive(Debug, Clone, PartialEq)]
pub struct Apart {
    pub difference: String,
    /// Said only where the pair could have been others.
    pub who: Option<String>,
    pub judged: &'static str,
    pub class: &'static str,
}

/// `GET /film/{id}/agreement`
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let store = &context.state.store;
    let film = store.film(id.parse()?).await?;
    let patient = store.patient(film.patient).await?;
    let records = store.points_of(film.id).await?.into_iter();
    let records: Vec<SheetRecord> = records.map(SheetRecord::from).collect();
    let placings = pool::finished(&records);
    let knowledge = context.state.knowledge;
    let name = words::full_name(&patient);
    let title = film_words(&film);
    page(&FilmPage {
        shell: context.shell(format!("Second readings: {name}, {title}"), Nav::Inside),
        film: film.id.to_string(),
        patient: patient.id.to_string(),
        patient_name: name,
        title,
        in_hand: records.len() - placings.len(),
        rows: rows(knowledge, &placings),
        notes: notes(&placings),
        placings: heads(&placings, context.now.offset()),
    })
}

fn heads(placings: &[Placing], offset: UtcOffset) -> Vec<Head> {
    placings
        .iter()
        .map(|p| Head {
            who: p.reader_name.clone(),
            attempt: format!("placing {}", p.attempt),
            when: words::moment(p.at, offset),
        })
        .collect()
}

fn notes(placings: &[Placing]) -> Vec<String> {
    let mut notes = Vec::new();
    let unreadable: usize = placings.iter().map(|p| p.unreadable).sum();
    if unreadable > 0 {
        notes.push(format!("{unreadable} × a reading that an older program wrote in another way: left out here, kept in the record."));
    }
    let mut sides = placings.iter().flat_map(|p| &p.readings).map(|r| r.side);
    let first = sides.next();
    if first.is_some_and(|first| sides.any(|s| s != first)) {
        notes.push("These placings name different sides; settle the side at the film desk and read again before comparing them.".to_owned());
    }
    notes
}

/// Every measure that was read at all; the most important first, kinds never mixed.
pub fn rows(knowledge: &Knowledge, placings: &[Placing]) -> Vec<MeasureRow> {
    let mut lines: Vec<(MeasureKey, Kind)> = placings
        .iter()
        .flat_map(|p| &p.readings)
        .map(|r| (r.measure.clone(), r.kind))
        .collect();
    lines.sort();
    lines.dedup();
    let mut kinds: Vec<Kind> = lines
        .iter()
        .map(|(_, k)| Kind {
            unit: quantity::Unit::Degree,
            ..*k
        })
        .collect();
    kinds.sort();
    kinds.dedup();
    let importance = |key: &MeasureKey| knowledge.measure(key).map_or(0, |m| m.importance);
    lines.sort_by_key(|(key, kind)| (std::cmp::Reverse(importance(key)), key.clone(), *kind));
    lines
        .iter()
        .map(|(key, kind)| {
            let read: Vec<Option<&OneReading>> = placings
                .iter()
                .map(|p| p.reading(key).filter(|r| r.kind == *kind))
                .collect();
            MeasureRow {
                key: key.to_string(),
                name: knowledge
                    .measure(key)
                    .map_or_else(|| key.to_string(), |m| m.name.clone()),
                kind: (kinds.len() > 1).then(|| kind.words()),
                values: read
                    .iter()
                    .map(|r| {
                        r.map(|r| {
                            format!(
                                "{} {}",
                                words::value(&r.estimate),
                                words::plus_minus(&r.estimate)
                            )
                        })
                    })
                    .collect(),
                same: largest(placings, &read, true),
                between: largest(placings, &read, false),
            }
        })
        .collect()
}

/// The largest difference of two readings, by one reader or by two.
///
/// # Uncertainty
/// Two placings on one film share its scale and rotation; only the placing of points differs. So the
/// difference is held against `1.96 · √(p₁² + p₂²)` of the placing parts alone. That is one pair's limit: of
/// several pairs the largest passes it by chance more often than once in twenty, which the page says.
fn largest(placings: &[Placing], read: &[Option<&OneReading>], same_reader: bool) -> Option<Apart> {
    let there: Vec<(&Placing, &OneReading)> = placings
        .iter()
        .zip(read)
        .filter_map(|(p, r)| Some((p, (*r)?)))
        .collect();
    let mut pairs = Vec::new();
    for (i, a) in there.iter().enumerate() {
        pairs.extend(there[i + 1..].iter().map(|b| (*a, *b)));
    }
    let apart = |(a, b): &((&Placing, &OneReading), (&Placing, &OneReading))| {
        (a.1.estimate.value - b.1.estimate.value).abs()
    };
    pairs.retain(|(a, b)| (a.0.reader == b.0.reader) == same_reader);
    let (a, b) = pairs
        .iter()
        .copied()
        .max_by(|x, y| apart(x).total_cmp(&apart(y)))?;
    let difference = apart(&(a, b));
    let (judged, class) = match (a.1.placing_error, b.1.placing_error) {
        (Some(p), Some(q)) if difference > Z_975 * p.hypot(q) => {
            ("more than placing error explains", "attention")
        }
        (Some(_), Some(_)) => ("within placing error", "inside"),
        _ => ("placing error not kept", "none"),
    };
    Some(Apart {
        difference: format!(
            "{}{}",
            quantity::written(difference, a.1.kind.unit.decimals()),
            a.1.kind.unit.suffix()
        ),
        who: (pairs.len() > 1).then(|| {
            if same_reader {
                a.0.reader_name.clone()
            } else {
                format!("{} and {}", a.0.reader_name, b.0.reader_name)
            }
        }),
        judged,
        class,
    })
}
