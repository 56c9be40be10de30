//! What the desk's script asks while the hand moves. Everything is JSON but the picture; every fault is
//! one sentence in `error`.

use super::answer::{self, Answer, OverlayAsk, SentPoints};
use super::cache::{self, OpenFilm};
use super::facts;
use crate::adapt::person::person_on;
use crate::context::Context;
use crate::error::PageError;
use axum::Json;
use axum::body::Body;
use axum::extract::{Path, Query};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use film::ScaleWish;
use film::help::{self, Grey};
use knowledge::Person;
use record::{DisplayTurn, FilmId, FilmRecord, Kept, PointsId, PointsRecord, PointsToSave};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::sync::Arc;
use terms::View;

/// A film on record, opened, with the person it is of.
pub(super) struct AtDesk {
    pub record: FilmRecord,
    pub open: Arc<OpenFilm>,
    pub person: Person,
}

pub(super) async fn at_desk(context: &Context, id: &str) -> Result<AtDesk, PageError> {
    let id: FilmId = id.parse()?;
    let record = context.state.store.film(id).await?;
    let open = cache::open(&context.state, &record).await?;
    let patient = context.state.store.patient(record.patient).await?;
    let day = record.taken_on.unwrap_or_else(|| context.today());
    Ok(AtDesk {
        person: person_on(&patient, day),
        record,
        open,
    })
}

fn view_of(record: &FilmRecord) -> Result<View, PageError> {
    record.view.ok_or_else(|| PageError::NotNow {
        sentence: "the view of this film is not known yet; say which one it is, then place points"
            .to_owned(),
    })
}

/// What to show first: the worker's placing in hand, else the last finished one, else nothing.
pub(super) fn placing_to_show<'p>(
    placings: &'p [PointsRecord],
    context: &Context,
    again: bool,
) -> Option<&'p PointsRecord> {
    let in_hand = placings
        .iter()
        .rev()
        .find(|p| !p.finished && p.reader == context.worker.id);
    if again {
        in_hand
    } else {
        in_hand.or_else(|| placings.iter().rev().find(|p| p.finished))
    }
}

#[derive(Debug, Default, Deserialize)]
pub struct Again {
    /// Read the film anew, without seeing earlier points.
    #[serde(default)]
    pub again: Option<String>,
}

#[derive(Serialize)]
struct LandmarkInfo {
    key: String,
    name: String,
    definition: String,
    drawing_svg: String,
    optional: bool,
}

pub async fn meta(
    context: Context,
    Path(id): Path<String>,
    Query(again): Query<Again>,
) -> Result<Json<Value>, PageError> {
    let desk = at_desk(&context, &id).await?;
    let view = view_of(&desk.record)?;
    let placings = context.state.store.points_of(desk.record.id).await?;
    let placing = placing_to_show(&placings, &context, again.again.is_some());
    let landmarks: Vec<LandmarkInfo> = context
        .state
        .knowledge
        .landmarks(view)
        .into_iter()
        .map(|l| LandmarkInfo {
            key: l.key.to_string(),
            name: l.name.clone(),
            definition: format!("{} {}", l.definition, l.where_words),
            drawing_svg: figure::landmark_svg(
                &l.name,
                &l.definition,
                &l.drawing
                    .outlines
                    .iter()
                    .map(String::as_str)
                    .collect::<Vec<_>>(),
                l.drawing.point,
            ),
            optional: l.optional,
        })
        .collect();
    let others: Vec<Value> = context
        .state
        .store
        .films_of(desk.record.patient)
        .await?
        .iter()
        .filter(|f| f.id != desk.record.id && f.view.is_some())
        .map(|f| json!({ "id": f.id.to_string(), "label": facts::title(f) }))
        .collect();
    let white = film::tone::WHITE;
    Ok(Json(json!({
        "id": desk.record.id.to_string(),
        "title": facts::title(&desk.record),
        "view": view.key(),
        "view_words": view.words(),
        "side": desk.record.side.map(|s| s.word()),
        "side_words": desk.record.side.map_or("side not said", |s| s.word()),
        "stance_words": desk.record.stance.words(),
        "scale_words": facts::scale_words(&facts::scale(&desk.record, &desk.open)),
        "width": desk.open.film.width,
        "height": desk.open.film.height,
        "turn": desk.record.turn,
        "window": { "centre": desk.open.window.centre / white, "width": desk.open.window.width / white },
        "landmarks": landmarks,
        "points": placing.map(points_of).unwrap_or_default(),
        "points_id": placing.filter(|p| !p.finished).map(|p| p.id.to_string()),
        "finished": placing.is_some_and(|p| p.finished),
        "reader": placing.map_or(context.worker.name.clone(), |p| p.reader_name.clone()),
        "others": others,
    })))
}

/// The points of a placing as the page takes them.
pub(super) fn points_of(placing: &PointsRecord) -> SentPoints {
    let Ok(set) = placing.points.read::<reading::PointSet>(
        reading::points::POINTS_FORMAT,
        reading::points::POINTS_VERSION,
    ) else {
        return BTreeMap::new();
    };
    set.points
        .iter()
        .map(|(key, p)| (key.to_string(), [p.x_px, p.y_px]))
        .collect()
}

pub async fn grey16(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let desk = at_desk(&context, &id).await?;
    let length = desk.open.grey.len();
    let headers = [
        (header::CONTENT_TYPE, "application/octet-stream".to_owned()),
        (header::CONTENT_LENGTH, length.to_string()),
        (header::CACHE_CONTROL, "private, no-store".to_owned()),
    ];
    Ok((headers, Body::from(desk.open.grey.clone())).into_response())
}

pub async fn overlay(
    context: Context,
    Path(id): Path<String>,
    Json(ask): Json<OverlayAsk>,
) -> Result<Json<Answer>, PageError> {
    let desk = at_desk(&context, &id).await?;
    let view = view_of(&desk.record)?;
    Ok(Json(answer::overlay(
        &context.state,
        &desk.record,
        &desk.open,
        &desk.person,
        view,
        &ask,
    )))
}

#[derive(Deserialize)]
pub struct SaveAsk {
    points: SentPoints,
    finished: bool,
    points_id: Option<String>,
}

pub async fn save_points(
    context: Context,
    Path(id): Path<String>,
    Json(ask): Json<SaveAsk>,
) -> Result<Json<Value>, PageError> {
    let desk = at_desk(&context, &id).await?;
    let placing = keep(
        &context,
        &desk,
        &ask.points,
        ask.finished,
        ask.points_id.as_deref(),
    )
    .await?;
    let at = crate::words::clock(context.now);
    let words = if ask.finished {
        format!("Finished and kept as it is, {at}.")
    } else {
        format!("Saved {at}.")
    };
    Ok(Json(
        json!({ "points_id": placing.id.to_string(), "words": words }),
    ))
}

/// One confirmed act: points, and what was read from them.
pub(super) async fn keep(
    context: &Context,
    desk: &AtDesk,
    sent: &SentPoints,
    finished: bool,
    points_id: Option<&str>,
) -> Result<PointsRecord, PageError> {
    let view = view_of(&desk.record)?;
    let (set, _) = answer::point_set(view, &desk.record, sent);
    let sheet = answer::read(&context.state, &desk.record, &desk.open, &set)
        .ok_or_else(|| PageError::ours("reading the points", "no reader for the view"))?;
    let id = match points_id {
        Some(text) => text.parse::<PointsId>()?,
        None => PointsId::new(context.state.ids.fresh()),
    };
    let keeping = |e| PageError::ours("keeping the points", e);
    let points = Kept::of(
        reading::points::POINTS_FORMAT,
        reading::points::POINTS_VERSION,
        &set,
    )
    .map_err(keeping)?;
    let sheet = Kept::of("tiebeam-reading-sheet", 1, &sheet).map_err(keeping)?;
    let save = PointsToSave {
        id,
        film: desk.record.id,
        reader: context.worker.id,
        finished,
        points,
        sheet,
    };
    Ok(context
        .state
        .store
        .save_points(context.stamp(), save)
        .await?)
}

#[derive(Deserialize)]
pub struct PointAsk {
    point: [f64; 2],
}

pub async fn snap(
    context: Context,
    Path(id): Path<String>,
    Json(ask): Json<PointAsk>,
) -> Result<Json<Value>, PageError> {
    let desk = at_desk(&context, &id).await?;
    // 25 pixels: a little more than a careful hand is off; 1.5 suits the width of a cortex.
    let found = grey(&desk).and_then(|g| help::snap_to_edge(&g, ask.point, 25.0, 1.5));
    match found {
        Some(edge) => {
            let away = (edge.point_px[0] - ask.point[0]).hypot(edge.point_px[1] - ask.point[1]);
            Ok(Json(json!({
                "points": { "point": edge.point_px },
                "words": format!("The nearest strong edge lies {away:.1} pixels away, {:.0} times steeper than the noise.", edge.over_noise),
            })))
        }
        None => Err(PageError::input(
            "no edge stronger than the noise lies within 25 pixels; leave the point or place it by eye",
        )),
    }
}

fn grey(desk: &AtDesk) -> Option<Grey<'_>> {
    Grey::new(
        &desk.open.display,
        desk.open.film.width,
        desk.open.film.height,
    )
}

#[derive(Deserialize)]
pub struct MarksAsk {
    #[serde(default)]
    landmark: String,
    points: Vec<[f64; 2]>,
}

/// A circle through the rim: its middle, or for the top of the talar dome its highest point.
pub async fn circle(
    context: Context,
    Path(id): Path<String>,
    Json(ask): Json<MarksAsk>,
) -> Result<Json<Value>, PageError> {
    let desk = at_desk(&context, &id).await?;
    let Some(circle) = help::circle_through(&ask.points, 1.0) else {
        return Err(PageError::input(
            "these marks give no circle; mark three or more places spread along the rim",
        ));
    };
    let [x, y] = circle.centre_px;
    let top = ask.landmark == "talus_dome_top";
    // 'Up' is known to the reader's turn of the film only.
    let turn = answer::turn(desk.record.turn);
    let (w, h) = (desk.open.film.width, desk.open.film.height);
    let centre = turn.shown_from_film([x, y], w, h);
    let highest = turn.film_from_shown([centre[0], centre[1] - circle.radius_px], w, h);
    let point = if top { highest } else { circle.centre_px };
    let what = if top {
        "its highest point"
    } else {
        "its middle"
    };
    Ok(Json(json!({
        "points": { "point": point },
        "words": format!("A circle of radius {:.1} ± {:.1} pixels, {:.1} pixels off the marks on average; proposed is {what}.", circle.radius_px, circle.radius_se_px, circle.residual_px),
    })))
}

/// A bone's axis from marks on both borders; shows where its middle line runs.
pub async fn axis(
    context: Context,
    Path(id): Path<String>,
    Json(ask): Json<MarksAsk>,
) -> Result<Json<Value>, PageError> {
    at_desk(&context, &id).await?;
    let (one, other) = two_borders(&ask.points).unwrap_or_default();
    let Some(axis) = help::axis_from_edges(&one, &other) else {
        return Err(PageError::input(
            "these marks give no two borders of a shaft; mark two or more places on each border",
        ));
    };
    Ok(Json(json!({
        "points": { "axis_from": axis.from_px, "axis_to": axis.to_px },
        "words": format!("A middle line; the borders taper by {:.1}° and lie {:.1} pixels off straight. Place the points on it by eye.", axis.taper_degrees, axis.residual_px),
    })))
}

type Borders = (Vec<[f64; 2]>, Vec<[f64; 2]>);

/// Sorts marks to the two sides of the line through their middle along their longest extent.
fn two_borders(points: &[[f64; 2]]) -> Option<Borders> {
    let n = points.len() as f64;
    if points.len() < 4 || points.iter().flatten().any(|v| !v.is_finite()) {
        return None;
    }
    let mean = [
        points.iter().map(|p| p[0]).sum::<f64>() / n,
        points.iter().map(|p| p[1]).sum::<f64>() / n,
    ];
    let sums = points.iter().fold([0.0; 3], |s, p| {
        let (x, y) = (p[0] - mean[0], p[1] - mean[1]);
        [s[0] + x * x, s[1] + x * y, s[2] + y * y]
    });
    let angle = 0.5 * (2.0 * sums[1]).atan2(sums[0] - sums[2]);
    let across = |p: &[f64; 2]| (p[1] - mean[1]) * angle.cos() - (p[0] - mean[0]) * angle.sin();
    let (one, other): Borders = points.iter().partition(|p| across(p) < 0.0);
    (one.len() > 1 && other.len() > 1).then_some((one, other))
}

pub async fn turn(
    context: Context,
    Path(id): Path<String>,
    Json(turn): Json<DisplayTurn>,
) -> Result<Json<Value>, PageError> {
    let mut record = context.state.store.film(id.parse()?).await?;
    record.turn = DisplayTurn {
        quarter_turns: turn.quarter_turns % 4,
        ..turn
    };
    context
        .state
        .store
        .save_film(context.stamp(), record)
        .await?;
    Ok(Json(
        json!({ "words": "Turned for the eye; no point moved." }),
    ))
}

pub async fn scale(
    context: Context,
    Path(id): Path<String>,
    Json(wish): Json<ScaleWish>,
) -> Result<Json<Value>, PageError> {
    let desk = at_desk(&context, &id).await?;
    let words = keep_scale(&context, desk, &wish).await?;
    Ok(Json(json!({ "words": words })))
}

pub(super) async fn keep_scale(
    context: &Context,
    desk: AtDesk,
    wish: &ScaleWish,
) -> Result<String, PageError> {
    let answer = film::scale::choose(&desk.open.film.spacing, wish);
    let keeping = |e| PageError::ours("keeping the scale", e);
    let mut record = desk.record;
    record.scale_wish =
        Some(Kept::of(facts::WISH_FORMAT, facts::WISH_VERSION, wish).map_err(keeping)?);
    record.scale_answer =
        Some(Kept::of(facts::ANSWER_FORMAT, facts::ANSWER_VERSION, &answer).map_err(keeping)?);
    context
        .state
        .store
        .save_film(context.stamp(), record)
        .await?;
    Ok(facts::scale_words(&answer))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_on_two_borders_are_told_apart_whatever_way_the_shaft_lies() {
        for turn in [0.0_f64, 0.7, 1.57, 2.5] {
            let at = |along: f64, across: f64| {
                [
                    along * turn.cos() - across * turn.sin(),
                    along * turn.sin() + across * turn.cos(),
                ]
            };
            let marks = [at(0.0, 5.0), at(100.0, -5.0), at(100.0, 5.0), at(0.0, -5.0)];
            let (one, other) = two_borders(&marks).unwrap();
            assert_eq!((one.len(), other.len()), (2, 2), "{turn}");
        }
        assert!(two_borders(&[[0.0, 0.0]; 3]).is_none());
        assert!(two_borders(&[[f64::NAN, 0.0]; 4]).is_none());
    }
}
