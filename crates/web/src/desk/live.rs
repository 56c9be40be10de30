//! What the film desk's script asks: the film's facts, the readings for points in hand, proposals for
//! the hand, and saving. The page computes no reading; points go out, lines come back.

use crate::{
    AppState,
    adapt::{readings, rows},
    context::Context,
    desk::{
        cache::{self, OpenFilm},
        drawing::{DrawWish, Rates, overlay_model, rates},
        own_error,
    },
    error::PageError,
    today::film_words,
    words,
};
use axum::{
    Json,
    extract::{Path, Query, State},
};
use film::{ScaleAnswer, ScaleWish, help, scale::MARK_SE_PX};
use record::{DisplayTurn, FilmId, Kept, PointsId, PointsRecord, PointsToSave};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::collections::BTreeMap;

pub const POINTS_FORMAT: &str = "tiebeam-points";
pub const SHEET_FORMAT: &str = "tiebeam-reading-sheet";
pub const VERSION: u32 = 1;

/// Edges are looked for this far from the point, in film pixels; 1.5 px suits cortices.
const SNAP_REACH_PX: f64 = 30.0;
const SNAP_SIGMA_PX: f64 = 1.5;

type Points = BTreeMap<String, [f64; 2]>;

#[derive(Serialize)]
pub struct Meta {
    id: String,
    title: String,
    view: &'static str,
    view_words: &'static str,
    side: Option<&'static str>,
    side_words: &'static str,
    stance_words: &'static str,
    scale_words: String,
    scale_known: bool,
    scale_wish: ScaleWish,
    width: u32,
    height: u32,
    turn: DisplayTurn,
    window: Shares,
    landmarks: Vec<LandmarkInfo>,
    points: Points,
    points_id: Option<String>,
    finished: bool,
    reader: String,
    others: Vec<Other>,
    notes: Vec<String>,
}

/// The grey window in shares of the full range.
#[derive(Serialize)]
struct Shares {
    centre: f64,
    width: f64,
}

#[derive(Serialize)]
struct LandmarkInfo {
    key: String,
    name: String,
    definition: String,
    #[serde(rename = "where")]
    where_words: String,
    drawing_svg: String,
    optional: bool,
}

#[derive(Serialize)]
struct Other {
    id: String,
    label: String,
}

#[derive(Deserialize, Default)]
pub struct Wanted {
    /// A second reading: earlier points are not shown.
    #[serde(default)]
    pub again: String,
    /// Tables instead of the desk.
    #[serde(default)]
    pub plain: String,
}

/// `GET /film/{id}/meta`
pub async fn meta(
    context: Context,
    Path(id): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Result<Json<Meta>, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let view = open.view()?;
    let hand = in_hand(&context, &open, !wanted.again.is_empty()).await?;
    let full = film::tone::WHITE;
    let knowledge = context.state.knowledge;
    Ok(Json(Meta {
        id: open.record.id.to_string(),
        title: film_words(&open.record),
        view: view.key(),
        view_words: view.words(),
        side: open.record.side.map(|s| s.word()),
        side_words: open.record.side.map_or("side not said", |s| s.word()),
        stance_words: open.record.stance.words(),
        scale_words: open.scale_words(),
        scale_known: open.facts.scale.is_some(),
        scale_wish: cache::wish_of(&open.record),
        width: open.record.width_px,
        height: open.record.height_px,
        turn: open.record.turn,
        window: Shares {
            centre: open.plate.window.centre / full,
            width: open.plate.window.width / full,
        },
        landmarks: knowledge
            .landmarks(view)
            .into_iter()
            .map(|l| LandmarkInfo {
                key: l.key.to_string(),
                name: l.name.clone(),
                definition: l.definition.clone(),
                where_words: where_words(l, &open),
                drawing_svg: landmark_svg(l),
                optional: l.optional,
            })
            .collect(),
        points: hand.as_ref().map(points_of).unwrap_or_default(),
        points_id: hand.as_ref().map(|p| p.id.to_string()),
        finished: hand.as_ref().is_some_and(|p| p.finished),
        reader: hand
            .as_ref()
            .map_or_else(|| context.worker.name.clone(), |p| p.reader_name.clone()),
        others: others(&context, &open).await?,
        notes: open.notes(),
    }))
}

/// How to find the point, and what the child's age says of its bone.
pub fn where_words(l: &knowledge::Landmark, open: &cache::OpenFilm) -> String {
    match l.at_age(open.person.age_years) {
        Some(age) => format!("{} {age}", l.where_words),
        None => l.where_words.clone(),
    }
}

pub fn landmark_svg(l: &knowledge::Landmark) -> String {
    let outlines: Vec<&str> = l.drawing.outlines.iter().map(String::as_str).collect();
    figure::landmark_svg(&l.name, &l.definition, &outlines, l.drawing.point)
}

/// The placing that the desk opens with: the worker's own in hand; else, unless a second reading is
/// wanted, the one that stands.
pub async fn in_hand(
    context: &Context,
    open: &OpenFilm,
    again: bool,
) -> Result<Option<PointsRecord>, PageError> {
    let placings = context.state.store.points_of(open.record.id).await?;
    let own = placings
        .iter()
        .filter(|p| p.reader == context.worker.id && !p.finished)
        .max_by_key(|p| p.placed_at);
    if again {
        return Ok(own.cloned());
    }
    if context.blinded {
        let finished = placings
            .iter()
            .filter(|p| p.reader == context.worker.id && p.finished)
            .max_by_key(|p| p.placed_at);
        return Ok(own.or(finished).cloned());
    }
    Ok(own
        .or_else(|| readings::standing(&placings).filter(|p| p.finished))
        .cloned())
}

/// The places of a stored placing; points that cannot be read are left out.
pub fn points_of(placing: &PointsRecord) -> Points {
    let Some(points) = placing.points.body.get("points").and_then(Value::as_object) else {
        return Points::new();
    };
    points
        .iter()
        .filter_map(|(key, p)| {
            Some((
                key.clone(),
                [p.get("x_px")?.as_f64()?, p.get("y_px")?.as_f64()?],
            ))
        })
        .collect()
}

/// Other films of the patient worth holding beside this one: the same view first.
async fn others(context: &Context, open: &OpenFilm) -> Result<Vec<Other>, PageError> {
    if context.blinded {
        return Ok(Vec::new());
    }
    let mut films = context.state.store.films_of(open.record.patient).await?;
    films.retain(|f| f.id != open.record.id);
    films.sort_by_key(|f| (f.view != open.record.view, std::cmp::Reverse(f.taken_on)));
    Ok(films
        .iter()
        .map(|f| Other {
            id: f.id.to_string(),
            label: format!(
                "{}, {}",
                film_words(f),
                f.taken_on
                    .map_or_else(|| "day not said".to_owned(), words::short_day)
            ),
        })
        .collect())
}

#[derive(Deserialize)]
pub struct Asked {
    #[serde(default)]
    points: Points,
    /// Film pixels for one pixel of the screen.
    #[serde(default = "one")]
    pen: f64,
    #[serde(default)]
    active: Option<String>,
    #[serde(default)]
    turn: DisplayTurn,
    /// Only the drawing, for a point in motion; its values stand at the arcs.
    #[serde(default)]
    lines_only: bool,
    /// With the rates by which the active point moves the lines.
    #[serde(default)]
    rates: bool,
}

fn one() -> f64 {
    1.0
}

#[derive(Serialize)]
pub struct Overlay {
    svg: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    rates: Option<Rates>,
    #[serde(flatten)]
    list: Option<List>,
}

#[derive(Serialize)]
struct List {
    rows: Vec<rows::Row>,
    refused: Vec<rows::RefusedRow>,
    warnings: Vec<String>,
}

/// `POST /film/{id}/overlay`: nothing is stored.
pub async fn overlay(
    context: Context,
    Path(id): Path<String>,
    Json(asked): Json<Asked>,
) -> Result<Json<Overlay>, PageError> {
    let state = &context.state;
    let open = cache::open(state, id.parse()?).await?;
    let set = open.point_set(&asked.points)?;
    let reader = own_error::reader(state, context.worker.id, set.view).await?;
    let sheet = open.read(&reader, &set);
    let wish = DrawWish {
        turn: asked.turn,
        pen: asked.pen,
        active: asked.active.as_deref(),
        with_points: false,
    };
    let svg = figure::overlay_svg(&overlay_model(state.knowledge, &open, &set, &sheet, &wish));
    let list = (!asked.lines_only).then(|| List {
        rows: rows::rows(state.knowledge, &sheet, &open.person),
        refused: rows::refused(state.knowledge, &sheet, open.person.age_years),
        warnings: sheet
            .warnings
            .iter()
            .map(|w| crate::error::sentence(&rows::with_names(state.knowledge, &w.sentence)))
            .collect(),
    });
    let rates = asked
        .rates
        .then(|| rates(state.knowledge, &open, &reader, &set, &wish));
    Ok(Json(Overlay { svg, rates, list }))
}

#[derive(Deserialize)]
pub struct ToSave {
    points: Points,
    #[serde(default)]
    finished: bool,
    #[serde(default)]
    points_id: Option<String>,
}

#[derive(Serialize)]
pub struct SavedPoints {
    points_id: String,
    words: String,
}

/// `POST /film/{id}/points`
pub async fn save(
    context: Context,
    Path(id): Path<String>,
    Json(to_save): Json<ToSave>,
) -> Result<Json<SavedPoints>, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let known = to_save.points_id.as_deref().map(str::parse).transpose()?;
    let record = keep_points(&context, &open, &to_save.points, to_save.finished, known).await?;
    Ok(Json(SavedPoints {
        points_id: record.id.to_string(),
        words: saved_words(&context, &record),
    }))
}

fn saved_words(context: &Context, record: &PointsRecord) -> String {
    let at = words::clock(context.now);
    if record.finished {
        format!(
            "Finished {at} as placing {} of {}.",
            record.attempt, record.reader_name
        )
    } else {
        format!("Saved {at}.")
    }
}

/// Reads the points and keeps both in one act.
pub async fn keep_points(
    context: &Context,
    open: &OpenFilm,
    points: &Points,
    finished: bool,
    known: Option<PointsId>,
) -> Result<PointsRecord, PageError> {
    let set = open.point_set(points)?;
    if finished && set.points.is_empty() {
        return Err(PageError::input(
            "found no points; place the points of this view before the placing is finished",
        ));
    }
    let reader = own_error::reader(&context.state, context.worker.id, set.view).await?;
    let sheet = open.read(&reader, &set);
    let fault = |e| PageError::ours("keeping the points", e);
    let to_save = PointsToSave {
        id: known.unwrap_or_else(|| PointsId::new(context.state.ids.fresh())),
        film: open.record.id,
        reader: context.worker.id,
        finished,
        points: Kept::of(POINTS_FORMAT, VERSION, &set).map_err(fault)?,
        sheet: Kept::of(SHEET_FORMAT, VERSION, &sheet).map_err(fault)?,
    };
    let saved = context
        .state
        .store
        .save_points(context.stamp(), to_save)
        .await?;
    if saved.finished && saved.attempt > 1 {
        context
            .state
            .films
            .forget_reader(context.worker.id, set.view);
    }
    Ok(saved)
}

/// What marks or a point give; nothing is placed before it is taken. Places in film pixels.
#[derive(Serialize, Default)]
pub struct Proposal {
    points: BTreeMap<&'static str, [f64; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    circle: Option<RoundShape>,
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<StraightShape>,
    words: String,
}

#[derive(Serialize)]
struct RoundShape {
    centre: [f64; 2],
    radius: f64,
}

#[derive(Serialize)]
struct StraightShape {
    from: [f64; 2],
    to: [f64; 2],
}

#[derive(Deserialize)]
pub struct OnePoint {
    point: [f64; 2],
}

/// `POST /film/{id}/snap`: the nearest strong edge, to be taken or left.
pub async fn snap(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Json(asked): Json<OnePoint>,
) -> Result<Json<Proposal>, PageError> {
    let open = cache::open(&state, id.parse()?).await?;
    let picture = cache::picture(&state, &open).await?;
    let edge = help::Grey::new(&picture.grey, open.record.width_px, open.record.height_px)
        .and_then(|grey| help::snap_to_edge(&grey, asked.point, SNAP_REACH_PX, SNAP_SIGMA_PX))
        .ok_or_else(|| {
            PageError::input("found no edge steeper than noise near the point; place it by eye")
        })?;
    let away = (edge.point_px[0] - asked.point[0]).hypot(edge.point_px[1] - asked.point[1]);
    Ok(Json(Proposal {
        points: [("point", edge.point_px)].into(),
        words: format!(
            "The nearest strong edge is {} px away, {} times steeper than noise. Take it?",
            quantity::written(away, 1),
            quantity::written(edge.over_noise, 0)
        ),
        ..Proposal::default()
    }))
}

#[derive(Deserialize)]
pub struct Marks {
    points: Vec<[f64; 2]>,
}

/// `POST /film/{id}/circle`: the circle through marks on a rim; its centre is proposed.
pub async fn circle(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Json(marks): Json<Marks>,
) -> Result<Json<Proposal>, PageError> {
    let open = cache::open(&state, id.parse()?).await?;
    let c = help::circle_through(&marks.points, MARK_SE_PX).ok_or_else(|| {
        PageError::input(
            "found no circle through these marks; set three or more of them well apart on the rim",
        )
    })?;
    let size = match open.facts.scale {
        Some(scale) => format!(
            "{} mm",
            quantity::written(c.radius_px * scale.mm_per_px_x, 1)
        ),
        None => format!("{} px", quantity::written(c.radius_px, 0)),
    };
    Ok(Json(Proposal {
        points: [("point", c.centre_px)].into(),
        circle: Some(RoundShape {
            centre: c.centre_px,
            radius: c.radius_px,
        }),
        line: None,
        words: format!(
            "The circle's radius is {size}; the marks lie {} px from it on average. Take its centre?",
            quantity::written(c.residual_px, 1)
        ),
    }))
}

/// `POST /film/{id}/axis`: the middle line between marks on both borders of a bone.
pub async fn axis(
    State(state): State<AppState>,
    Path(id): Path<String>,
    Json(marks): Json<Marks>,
) -> Result<Json<Proposal>, PageError> {
    cache::open(&state, id.parse()?).await?;
    let (one, other) = two_borders(&marks.points);
    let axis = help::axis_from_edges(&one, &other)
        .ok_or_else(|| PageError::input("found no two straight borders in these marks; set two or more on each border of the bone"))?;
    Ok(Json(Proposal {
        line: Some(StraightShape {
            from: axis.from_px,
            to: axis.to_px,
        }),
        words: format!(
            "The middle line; the borders taper by {}° and the marks lie {} px from them on average. It is there to look at: place points along it.",
            quantity::written(axis.taper_degrees, 1),
            quantity::written(axis.residual_px, 1)
        ),
        ..Proposal::default()
    }))
}

/// Parts marks into the two borders of a shaft: by the side of the line along which they spread most.
fn two_borders(marks: &[[f64; 2]]) -> (Vec<[f64; 2]>, Vec<[f64; 2]>) {
    let n = marks.len().max(1) as f64;
    let mean = |k: usize| marks.iter().map(|p| p[k]).sum::<f64>() / n;
    let (mx, my) = (mean(0), mean(1));
    let sum =
        |f: &dyn Fn(f64, f64) -> f64| marks.iter().map(|p| f(p[0] - mx, p[1] - my)).sum::<f64>();
    let (xx, yy, xy) = (sum(&|x, _| x * x), sum(&|_, y| y * y), sum(&|x, y| x * y));
    let along = 0.5 * (2.0 * xy).atan2(xx - yy);
    let (sin, cos) = along.sin_cos();
    marks
        .iter()
        .partition(|p| (p[1] - my) * cos - (p[0] - mx) * sin < 0.0)
}

#[derive(Serialize)]
pub struct Said {
    words: String,
}

/// `POST /film/{id}/turn`: how the film is shown; no point moves.
pub async fn turn(
    context: Context,
    Path(id): Path<String>,
    Json(turn): Json<DisplayTurn>,
) -> Result<Json<Said>, PageError> {
    let open = cache::open(&context.state, id.parse()?).await?;
    let record = record::FilmRecord {
        turn,
        ..open.record.clone()
    };
    record
        .check()
        .map_err(|bad| PageError::input(bad.to_string()))?;
    cache::save_record(&context.state, context.stamp(), &open, record).await?;
    Ok(Json(Said {
        words: format!("Turn kept {}.", words::clock(context.now)),
    }))
}

/// `POST /film/{id}/scale`: from a ball, a known length, the file, or none.
pub async fn scale(
    context: Context,
    Path(id): Path<String>,
    Json(wish): Json<ScaleWish>,
) -> Result<Json<Said>, PageError> {
    let open = wish_scale(&context, id.parse()?, &wish).await?;
    Ok(Json(Said {
        words: open.scale_words(),
    }))
}

/// Keeps where millimetres come from and reads placings in hand again with them. Marks that give no scale
/// are refused, and the scale stays as it was.
pub async fn wish_scale(
    context: &Context,
    id: FilmId,
    wish: &ScaleWish,
) -> Result<std::sync::Arc<OpenFilm>, PageError> {
    let open = cache::open(&context.state, id).await?;
    let answer = film::scale::choose(&open.plate.spacing, wish);
    if let (
        ScaleWish::Ball { .. } | ScaleWish::KnownLength { .. },
        ScaleAnswer::Unknown { reason, .. },
    ) = (wish, &answer)
    {
        return Err(PageError::input(reason.clone()));
    }
    let (kept_wish, kept_answer) = cache::kept_scale(wish, &answer)?;
    let record = record::FilmRecord {
        scale_wish: Some(kept_wish),
        scale_answer: Some(kept_answer),
        ..open.record.clone()
    };
    let open = cache::save_record(&context.state, context.stamp(), &open, record).await?;
    read_again(context, &open).await?;
    Ok(open)
}

/// A placing in hand is read again under the new facts; finished ones stay as they were kept.
pub async fn read_again(context: &Context, open: &OpenFilm) -> Result<(), PageError> {
    if open.record.view.is_none() {
        return Ok(());
    }
    let placings = context.state.store.points_of(open.record.id).await?;
    for p in placings
        .iter()
        .filter(|p| !p.finished && p.reader == context.worker.id)
    {
        keep_points(context, open, &points_of(p), false, Some(p.id)).await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_parted_into_the_two_borders_of_a_slanted_shaft() {
        let one = [[0.0, 0.0], [10.0, 10.0], [20.0, 20.0]];
        let other = [[4.0, -4.0], [14.0, 6.0], [24.0, 16.0]];
        let mixed: Vec<[f64; 2]> = one.iter().zip(&other).flat_map(|(a, b)| [*b, *a]).collect();
        let (a, b) = two_borders(&mixed);
        let mut found = [a, b];
        found.sort_by(|p, q| p[0][0].total_cmp(&q[0][0]));
        assert_eq!(found, [one.to_vec(), other.to_vec()]);
    }
}
