//! How well does the practice agree with itself over all its films?
//!
//! One measure at a time, over every film with at least two finished placings.

use crate::{
    AppState,
    agreement::{
        numbers::{self, Section},
        pool::{self, Feet, FilmPlacings},
    },
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    today::film_words,
    words,
};
use askama::Template;
use axum::{extract::Query, response::Response};
use knowledge::Knowledge;
use record::SheetRecord;
use serde::Deserialize;
use terms::{MeasureKey, Side};

#[derive(Template)]
#[template(path = "agreement/practice.html")]
pub struct PracticePage {
    pub shell: Shell,
    pub measures: Vec<Choice>,
    pub feet: Vec<Choice>,
    /// What of the chosen measure was read twice, kinds never mixed.
    pub kinds: Vec<KindChoice>,
    pub chosen: Option<Chosen>,
    pub films_read_twice: usize,
}

pub struct Choice {
    pub key: String,
    pub words: String,
    pub chosen: bool,
}

pub struct KindChoice {
    pub words: String,
    pub films: String,
    pub address: String,
    pub chosen: bool,
}

/// The measure, kind and feet that are shown.
pub struct Chosen {
    pub name: String,
    pub kind: String,
    pub repeats: Vec<Section>,
    pub between: Vec<Section>,
    pub left_out: Vec<String>,
}

#[derive(Debug, Clone, Default, Deserialize)]
pub struct Wish {
    #[serde(default)]
    pub measure: String,
    #[serde(default)]
    pub kind: String,
    #[serde(default)]
    pub feet: String,
}

/// `GET /agreement`
pub async fn show(context: Context, Query(wish): Query<Wish>) -> Result<Response, PageError> {
    let films = read_twice(&context.state).await?;
    page(&of(
        context.state.knowledge,
        &films,
        &wish,
        context.shell("Agreement", Nav::Practice),
    )?)
}

/// All films with at least two finished placings.
pub async fn read_twice(state: &AppState) -> Result<Vec<FilmPlacings>, PageError> {
    let films = state.store.films_read_twice().await?;
    Ok(films
        .into_iter()
        .map(|(film, placings)| {
            let sheets: Vec<SheetRecord> = placings.into_iter().map(SheetRecord::from).collect();
            let day = film
                .taken_on
                .map_or_else(|| "day not said".to_owned(), words::short_day);
            FilmPlacings {
                film: film.id,
                patient: film.patient,
                words: format!("{}, {day}", film_words(&film)),
                placings: pool::finished(&sheets),
            }
        })
        .collect())
}

/// # Errors
/// A measure, kind or foot that is none.
pub fn of(
    knowledge: &Knowledge,
    films: &[FilmPlacings],
    wish: &Wish,
    shell: Shell,
) -> Result<PracticePage, PageError> {
    let feet = Feet::from_key(&wish.feet).ok_or_else(|| {
        PageError::input("found an unknown choice of feet; expected left, right or both")
    })?;
    let found = pool::measures(films);
    let mut keys: Vec<&MeasureKey> = found.keys().collect();
    keys.sort_by_key(|k| std::cmp::Reverse(knowledge.measure(k).map_or(0, |m| m.importance)));
    let measure = match wish.measure.as_str() {
        // What most films tell; of those the most important.
        "" => keys
            .iter()
            .rev()
            .max_by_key(|k| found[**k])
            .map(|k| (*k).clone()),
        key => {
            let unknown = || PageError::NotFound { what: "measure" };
            let key = MeasureKey::new(key).map_err(|_| unknown())?;
            (knowledge.measure(&key).is_some() || found.contains_key(&key))
                .then_some(())
                .ok_or_else(unknown)?;
            Some(key)
        }
    };
    let mut measures: Vec<Choice> = keys
        .iter()
        .map(|k| Choice {
            key: k.to_string(),
            words: format!(
                "{} ({})",
                named(knowledge, k),
                words::count(found[*k], "film", "films")
            ),
            chosen: measure.as_ref() == Some(*k),
        })
        .collect();
    if let Some(asked) = measure.as_ref().filter(|m| !found.contains_key(*m)) {
        measures.push(Choice {
            key: asked.to_string(),
            words: format!("{} (no film)", named(knowledge, asked)),
            chosen: true,
        });
    }
    let kinds = measure
        .as_ref()
        .map(|m| pool::kinds(films, m))
        .unwrap_or_default();
    let kind = match wish.kind.as_str() {
        "" => kinds.first().map(|(k, _)| *k),
        // A kind of the measure shown before: the first of this one stands in, and the page names it.
        key => kinds
            .iter()
            .map(|(k, _)| *k)
            .find(|k| k.key() == key)
            .or_else(|| kinds.first().map(|(k, _)| *k)),
    };
    Ok(PracticePage {
        shell,
        feet: [
            (Feet::Both, "both"),
            (Feet::Only(Side::Left), "left only"),
            (Feet::Only(Side::Right), "right only"),
        ]
        .into_iter()
        .map(|(f, words)| Choice {
            key: f.key().to_owned(),
            words: words.to_owned(),
            chosen: f == feet,
        })
        .collect(),
        kinds: kinds
            .iter()
            .map(|(k, n)| KindChoice {
                words: k.words(),
                films: words::count(*n, "film", "films"),
                address: format!(
                    "/agreement?measure={}&kind={}&feet={}",
                    measure.as_ref().map_or("", MeasureKey::as_str),
                    k.key(),
                    feet.key()
                ),
                chosen: kind == Some(*k),
            })
            .collect(),
        chosen: measure
            .as_ref()
            .zip(kind)
            .map(|(measure, kind)| chosen(knowledge, films, measure, kind, feet)),
        measures,
        films_read_twice: films.len(),
    })
}

fn chosen(
    knowledge: &Knowledge,
    films: &[FilmPlacings],
    measure: &MeasureKey,
    kind: pool::Kind,
    feet: Feet,
) -> Chosen {
    let name = named(knowledge, measure);
    let pool = pool::pool(films, measure, kind, feet);
    let sections = |tables: &[pool::Table], what: &str| -> Vec<Section> {
        tables
            .iter()
            .enumerate()
            .map(|(i, t)| numbers::section(format!("{what}-{}", i + 1), &name, kind.unit, t))
            .collect()
    };
    Chosen {
        repeats: sections(&pool.repeats, "repeat"),
        between: sections(&pool.between, "between"),
        left_out: pool.left_out,
        kind: kind.words(),
        name,
    }
}

fn named(knowledge: &Knowledge, key: &MeasureKey) -> String {
    knowledge
        .measure(key)
        .map_or_else(|| key.to_string(), |m| m.name.clone())
}
