//! The lines over a film, as shown on the desk, beside another film, on the visit's page and on paper.

use crate::desk::cache::OpenFilm;
use figure::{
    OverlayModel,
    of_reading::{OverlayWish, overlay},
};
use film::Turn;
use knowledge::Knowledge;
use reading::{PointSet, Reading, ReadingSheet};
use record::DisplayTurn;
use terms::LandmarkKey;

/// Readings whose values are written at their arcs while no point is active; more would cover the film.
const LEAD: u32 = 80;

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
