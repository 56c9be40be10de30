//! The desk's page and its pictures. Without script the page shows the film with its lines, a table of
//! points to type in, and the readings; with script the desk's hand takes the place of the picture.

use super::answer::{self, RefusedRow, Row, SentPoints};
use super::facts;
use super::live::{self, Again, at_desk, placing_to_show, points_of};
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use askama::Template;
use axum::Form;
use axum::extract::{Path, Query};
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use figure::of_reading::{self, OverlayWish};
use film::{ScaleWish, Window};
use serde::Deserialize;
use std::collections::BTreeMap;
use terms::{LandmarkKey, Side, Stance, View};

#[derive(Template)]
#[template(path = "desk/desk.html")]
struct DeskPage {
    shell: Shell,
    id: String,
    title: String,
    visit: String,
    patient: String,
    about: String,
    /// Empty until the view is known.
    view: String,
    side: String,
    stance: String,
    views: Vec<(&'static str, &'static str)>,
    scale_words: String,
    again: bool,
    finished: bool,
    placed: usize,
    points: Vec<PointField>,
    rows: Vec<Row>,
    refused: Vec<RefusedRow>,
    warnings: Vec<String>,
}

struct PointField {
    key: String,
    name: String,
    definition: String,
    x: String,
    y: String,
}

pub async fn show(
    context: Context,
    Path(id): Path<String>,
    Query(again): Query<Again>,
) -> Result<Response, PageError> {
    let desk = at_desk(&context, &id).await?;
    let patient = context.state.store.patient(desk.record.patient).await?;
    let placings = context.state.store.points_of(desk.record.id).await?;
    let placing = placing_to_show(&placings, &context, again.again.is_some());
    let sent = placing.map(points_of).unwrap_or_default();
    let (mut rows, mut refused, mut warnings, mut points) =
        (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    if let Some(view) = desk.record.view {
        let (set, said) = answer::point_set(view, &desk.record, &sent);
        warnings = said;
        if let Some(sheet) = answer::read(&context.state, &desk.record, &desk.open, &set) {
            warnings.extend(
                sheet
                    .warnings
                    .iter()
                    .map(|w| crate::error::sentence(&w.sentence)),
            );
            (rows, refused) = answer::rows(&context.state, &sheet, &desk.person);
        }
        points = context
            .state
            .knowledge
            .landmarks(view)
            .into_iter()
            .map(|l| {
                let at = sent.get(l.key.as_str());
                let number = |i: usize| at.map(|p| format!("{:.2}", p[i])).unwrap_or_default();
                PointField {
                    key: l.key.to_string(),
                    name: l.name.clone(),
                    definition: l.definition.clone(),
                    x: number(0),
                    y: number(1),
                }
            })
            .collect();
    }
    let title = facts::title(&desk.record);
    let mut shell = context.shell(title.clone(), Nav::Inside);
    shell.desk = desk.record.view.is_some();
    page(&DeskPage {
        shell,
        id: desk.record.id.to_string(),
        visit: desk.record.visit.to_string(),
        patient: desk.record.patient.to_string(),
        about: crate::words::list_name(&patient),
        view: desk
            .record
            .view
            .map(|v| v.key().to_owned())
            .unwrap_or_default(),
        side: desk
            .record
            .side
            .map(|s| s.word().to_owned())
            .unwrap_or_default(),
        stance: stance_key(desk.record.stance).to_owned(),
        views: View::ALL.iter().map(|v| (v.key(), v.words())).collect(),
        scale_words: facts::scale_words(&facts::scale(&desk.record, &desk.open)),
        again: again.again.is_some(),
        finished: placing.is_some_and(|p| p.finished),
        placed: sent.len(),
        points,
        rows,
        refused,
        warnings,
        title,
    })
}

fn stance_key(stance: Stance) -> &'static str {
    match stance {
        Stance::Standing => "standing",
        Stance::NotStanding => "not-standing",
        Stance::Unknown => "unknown",
    }
}

/// Points typed into the table.
pub async fn save_typed(
    context: Context,
    Path(id): Path<String>,
    Form(fields): Form<BTreeMap<String, String>>,
) -> Result<Response, PageError> {
    let desk = at_desk(&context, &id).await?;
    let points = typed_points(&fields)?;
    let placings = context.state.store.points_of(desk.record.id).await?;
    let in_hand = placings
        .iter()
        .rev()
        .find(|p| !p.finished && p.reader == context.worker.id)
        .map(|p| p.id.to_string());
    live::keep(
        &context,
        &desk,
        &points,
        fields.contains_key("finish"),
        in_hand.as_deref(),
    )
    .await?;
    Ok(Redirect::to(&format!("/film/{}", desk.record.id)).into_response())
}

/// Reads the fields `x.KEY` and `y.KEY`; both empty is a missing point, one of them is a fault.
fn typed_points(fields: &BTreeMap<String, String>) -> Result<SentPoints, PageError> {
    let mut points = SentPoints::new();
    for (name, x) in fields {
        let Some(key) = name.strip_prefix("x.") else {
            continue;
        };
        let y = fields
            .get(&format!("y.{key}"))
            .map(String::as_str)
            .unwrap_or_default();
        match (x.trim(), y.trim()) {
            ("", "") => {}
            (x, y) => {
                let number = |t: &str| {
                    t.replace(',', ".")
                        .parse::<f64>()
                        .ok()
                        .filter(|v| v.is_finite())
                };
                let (Some(x), Some(y)) = (number(x), number(y)) else {
                    return Err(PageError::input(format!(
                        "the point {key} has {x:?} and {y:?}; type both numbers, or leave both empty"
                    )));
                };
                points.insert(key.to_owned(), [x, y]);
            }
        }
    }
    Ok(points)
}

#[derive(Deserialize)]
pub struct FactsForm {
    view: String,
    side: String,
    stance: String,
    #[serde(default)]
    scale: String,
    #[serde(default)]
    object_mm: String,
}

/// View, side, standing, and where the scale comes from.
pub async fn save_facts(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<FactsForm>,
) -> Result<Response, PageError> {
    let mut desk = at_desk(&context, &id).await?;
    desk.record.view = View::from_key(&form.view);
    desk.record.side = match form.side.as_str() {
        "left" => Some(Side::Left),
        "right" => Some(Side::Right),
        _ => None,
    };
    desk.record.stance = match form.stance.as_str() {
        "standing" => Stance::Standing,
        "not-standing" => Stance::NotStanding,
        _ => Stance::Unknown,
    };
    let to = format!("/film/{}", desk.record.id);
    let wish = match form.scale.as_str() {
        "none" => Some(ScaleWish::None),
        "file" => Some(ScaleWish::File { object: None }),
        "distance" => {
            let mm = form
                .object_mm
                .trim()
                .replace(',', ".")
                .parse::<f64>()
                .ok()
                .filter(|v| *v >= 0.0 && *v < 1000.0);
            let Some(mm) = mm else {
                return Err(PageError::input(format!(
                    "found {:?} as the distance from foot to detector; type millimetres between 0 and 1000",
                    form.object_mm
                )));
            };
            // A tape measure to the middle of a foot: common practice, half a centimetre either way.
            Some(ScaleWish::File {
                object: Some(film::scale::ObjectDistance { mm, se_mm: 5.0 }),
            })
        }
        _ => None,
    };
    match wish {
        Some(wish) => {
            live::keep_scale(&context, desk, &wish).await?;
        }
        None => {
            context
                .state
                .store
                .save_film(context.stamp(), desk.record)
                .await?;
        }
    }
    Ok(Redirect::to(&to).into_response())
}

#[derive(Deserialize, Default)]
pub struct PictureAsk {
    centre: Option<f64>,
    width: Option<f64>,
    #[serde(default)]
    invert: bool,
}

fn png_response(bytes: Vec<u8>) -> Response {
    (
        [
            (header::CONTENT_TYPE, "image/png"),
            (header::CACHE_CONTROL, "private, no-store"),
        ],
        bytes,
    )
        .into_response()
}

pub async fn picture(
    context: Context,
    Path(id): Path<String>,
    Query(ask): Query<PictureAsk>,
) -> Result<Response, PageError> {
    let desk = at_desk(&context, &id).await?;
    let usual = desk.open.window;
    let window = Window {
        centre: ask.centre.unwrap_or(usual.centre),
        width: ask.width.unwrap_or(usual.width),
        invert: ask.invert,
    };
    let open = desk.open;
    let bytes = tokio::task::spawn_blocking(move || {
        film::encode_png8(
            &open.film.display8(window),
            open.film.width,
            open.film.height,
        )
    })
    .await
    .map_err(|e| PageError::ours("drawing the film", e))?
    .map_err(|e| PageError::ours("drawing the film", e))?;
    Ok(png_response(bytes))
}

/// The film as shown, with its lines, for a place beside another film and for paper.
pub async fn annotated(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let desk = at_desk(&context, &id).await?;
    let placings = context.state.store.points_of(desk.record.id).await?;
    let placing = placing_to_show(&placings, &context, false);
    let sent = placing.map(points_of).unwrap_or_default();
    let state = context.state.clone();
    let bytes = tokio::task::spawn_blocking(move || {
        annotated_png(&state, &desk.record, &desk.open, &sent, 1400)
    })
    .await
    .map_err(|e| PageError::ours("drawing the film", e))??;
    Ok(png_response(bytes))
}

/// Film, lines and values as one picture of the given width, turned as the reader turned it.
pub fn annotated_png(
    state: &crate::AppState,
    record: &record::FilmRecord,
    open: &super::cache::OpenFilm,
    sent: &SentPoints,
    width: u32,
) -> Result<Vec<u8>, PageError> {
    let drawing = |e: &dyn std::fmt::Display| PageError::ours("drawing the film", e);
    let (w, h) = (open.film.width, open.film.height);
    let turn = answer::turn(record.turn);
    let shown = turn.shown_size(w, h);
    let pixels = turn.shown(&open.film.display8(open.window), w, h);
    let film_png = film::encode_png8(&pixels, shown.0, shown.1).map_err(|e| drawing(&e))?;
    let view = record.view.unwrap_or(View::Lateral);
    let (set, _) = answer::point_set(view, record, sent);
    let sheet = answer::read(state, record, open, &set).ok_or_else(|| drawing(&"no reader"))?;
    let lead = |r: &reading::Reading| {
        state
            .knowledge
            .measure(&r.measure)
            .is_some_and(|m| m.importance >= 80)
    };
    let model = of_reading::overlay(
        state.knowledge,
        &set,
        &sheet,
        &OverlayWish {
            title: facts::title(record),
            shown_size: (f64::from(shown.0), f64::from(shown.1)),
            pen: f64::from(shown.0) / f64::from(width.max(1)),
            shown_from_film: &|p| turn.shown_from_film(p, w, h),
            emphasised: &lead,
            labelled: &lead,
            with_points: true,
            active: None::<&LandmarkKey>,
        },
    );
    figure::annotated_film_png(&film_png, &model, width).map_err(|e| drawing(&e))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
        pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect()
    }

    #[test]
    fn a_typed_point_needs_both_numbers_and_an_empty_one_is_missing() {
        let points = typed_points(&fields(&[
            ("x.calc_back", "12,5"),
            ("y.calc_back", "30"),
            ("x.nav_low", ""),
            ("y.nav_low", " "),
        ]))
        .unwrap();
        assert_eq!(
            points,
            SentPoints::from([("calc_back".to_owned(), [12.5, 30.0])])
        );
        assert!(typed_points(&fields(&[("x.calc_back", "12"), ("y.calc_back", "")])).is_err());
        assert!(typed_points(&fields(&[("x.calc_back", "NaN"), ("y.calc_back", "1")])).is_err());
    }
}
