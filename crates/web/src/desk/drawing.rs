//! The lines over a film, as shown on the desk, beside another film, on the visit's page and on paper.

use crate::desk::cache::OpenFilm;
use figure::{
    OverlayModel,
    of_reading::{OverlayWish, overlay},
};
use film::Turn;
use knowledge::Knowledge;
use reading::{PointSet, Reader, Reading, ReadingSheet};
use record::DisplayTurn;
use std::collections::BTreeMap;
use terms::LandmarkKey;

/// Readings whose values are written at their arcs while no point is active; more would cover the film.
const LEAD: u32 = 80;

/// Half the step, in film pixels, over which a rate is taken.
const RATE_STEP_PX: f64 = 0.5;
/// A coordinate that lies this far from the middle of its two neighbours bends or jumps here; such a line
/// waits for its own drawing.
const MOST_BEND_PX: f64 = 0.1;

/// By measure: how far each drawn coordinate moves while the held point goes one film pixel to the right,
/// and one down. Line by line (x, y of one end, of the other), then along the arc.
pub type Rates = BTreeMap<String, Vec<[f64; 2]>>;

pub struct DrawWish<'a> {
    pub turn: DisplayTurn,
    /// Film pixels for one pixel of the screen.
    pub pen: f64,
    pub active: Option<&'a str>,
    pub with_points: bool,
}

pub fn film_turn(turn: DisplayTurn) -> Turn {
    Turn {
        quarters: turn.quarter_turns % 4,
        mirrored: turn.mirrored,
    }
}

pub fn overlay_model(
    knowledge: &Knowledge,
    open: &OpenFilm,
    set: &PointSet,
    sheet: &ReadingSheet,
    wish: &DrawWish<'_>,
) -> OverlayModel {
    let (w, h) = (open.record.width_px, open.record.height_px);
    let turn = film_turn(wish.turn);
    let shown = turn.shown_size(w, h);
    let active = wish.active.and_then(|key| LandmarkKey::new(key).ok());
    let touches = |r: &Reading| {
        active
            .as_ref()
            .is_some_and(|key| r.points_used.contains(key))
    };
    let touched = sheet.readings.iter().any(touches);
    let leads = |r: &Reading| {
        knowledge
            .measure(&r.measure)
            .is_some_and(|m| m.importance >= LEAD)
    };
    let labelled = |r: &Reading| if touched { touches(r) } else { leads(r) };
    overlay(
        knowledge,
        set,
        sheet,
        &OverlayWish {
            title: format!("Readings on the {} film", set.view.words()),
            shown_size: (f64::from(shown.0), f64::from(shown.1)),
            pen: if wish.pen.is_finite() {
                wish.pen.clamp(0.01, 50.0)
            } else {
                1.0
            },
            shown_from_film: &|p| turn.shown_from_film(p, w, h),
            emphasised: &touches,
            labelled: &labelled,
            with_points: wish.with_points,
            active: active.as_ref(),
        },
    )
}

/// What lets the desk lead the lines after a held point until their own drawing is there: the rate of
/// every coordinate that the active point moves, from drawings half a pixel to either side of it.
pub fn rates(
    knowledge: &Knowledge,
    open: &OpenFilm,
    reader: &Reader,
    set: &PointSet,
    wish: &DrawWish<'_>,
) -> Rates {
    let Some(key) = wish.active.and_then(|key| LandmarkKey::new(key).ok()) else {
        return Rates::new();
    };
    let slipped = |by: [f64; 2]| {
        let mut set = set.clone();
        let point = set.points.get_mut(&key)?;
        point.x_px += by[0];
        point.y_px += by[1];
        let sheet = open.read(reader, &set);
        Some(coordinates(overlay_model(
            knowledge, open, &set, &sheet, wish,
        )))
    };
    let h = RATE_STEP_PX;
    let places = [[0.0, 0.0], [h, 0.0], [-h, 0.0], [0.0, h], [0.0, -h]].map(slipped);
    let [Some(here), Some(right), Some(left), Some(low), Some(high)] = places else {
        return Rates::new();
    };
    let rate = |more: f64, less: f64| ((more - less) / (2.0 * h) * 1e4).round() / 1e4;
    let straight =
        |more: f64, less: f64, here: f64| (0.5 * (more + less) - here).abs() < MOST_BEND_PX;
    here.into_iter()
        .filter_map(|(measure, here)| {
            let sides = [&right, &left, &low, &high]
                .map(|side| side.get(&measure).filter(|s| s.len() == here.len()));
            let [Some(right), Some(left), Some(low), Some(high)] = sides else {
                return None;
            };
            let led = (0..here.len()).all(|i| {
                straight(right[i], left[i], here[i]) && straight(low[i], high[i], here[i])
            });
            let rates: Vec<[f64; 2]> = (0..here.len())
                .map(|i| [rate(right[i], left[i]), rate(low[i], high[i])])
                .collect();
            let moves = rates.iter().flatten().any(|r| *r != 0.0);
            (moves && led).then_some((measure, rates))
        })
        .collect()
}

fn coordinates(model: OverlayModel) -> BTreeMap<String, Vec<f64>> {
    model
        .figures
        .into_iter()
        .map(|figure| {
            let ends = figure.lines.into_iter().flat_map(|(a, b)| [a, b]);
            (figure.key, ends.chain(figure.arc).flatten().collect())
        })
        .collect()
}
