//! Today: who is here, who is due, what waits for a second look.

use crate::{
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::response::Response;
use record::{FilmRecord, Patient, Visit, VisitState};
use std::collections::BTreeSet;
use time::{Date, Duration};

/// Films without finished points are looked for in visits of this many days.
const LOOK_BACK_DAYS: i64 = 14;

#[derive(Template)]
#[template(path = "today/today.html")]
pub struct TodayPage {
    pub shell: Shell,
    pub day: String,
    pub here: Vec<Here>,
    pub due: Vec<DueRow>,
    pub films: Vec<FilmWaits>,
    pub letters: Vec<LetterWaits>,
    pub look_back_days: i64,
}

pub struct Here {
    pub visit: String,
    pub patient: String,
    pub name: String,
    pub about: String,
    pub reason: String,
    pub closed: bool,
}

pub struct DueRow {
    pub patient: String,
    pub name: String,
    pub about: String,
    pub since: String,
    pub overdue: bool,
}

pub struct FilmWaits {
    pub film: String,
    pub name: String,
    pub what: String,
    pub state: &'static str,
}

pub struct LetterWaits {
    pub letter: String,
    pub name: String,
    pub what: &'static str,
    pub since: String,
}

/// `GET /`
pub async fn show(context: Context) -> Result<Response, PageError> {
    let today = context.today();
    let store = &context.state.store;
    let here = store
        .visits_on(today)
        .await?
        .into_iter()
        .map(|(v, p)| here(&v, &p, today))
        .collect();
    let due = store.visits_due(today).await?;
    let letters = store.letters_waiting().await?;
    page(&TodayPage {
        day: words::day(today),
        here,
        due: due
            .iter()
            .map(|d| DueRow {
                patient: d.patient.id.to_string(),
                name: words::list_name(&d.patient),
                about: words::age_and_sex(&d.patient, today),
                since: words::short_day(d.review_on),
                overdue: d.review_on < today,
            })
            .collect(),
        films: films_waiting(&context, today).await?,
        letters: letters
            .iter()
            .map(|(l, p)| LetterWaits {
                letter: l.id.to_string(),
                name: words::list_name(p),
                what: l.kind.words(),
                since: words::short_day(l.drafted_at.date()),
            })
            .collect(),
        look_back_days: LOOK_BACK_DAYS,
        shell: context.shell("Today", Nav::Today),
    })
}

fn here(visit: &Visit, patient: &Patient, today: Date) -> Here {
    Here {
        visit: visit.id.to_string(),
        patient: patient.id.to_string(),
        name: words::list_name(patient),
        about: words::age_and_sex(patient, today),
        reason: visit.reason.clone(),
        closed: visit.state == VisitState::Closed,
    }
}

async fn films_waiting(context: &Context, today: Date) -> Result<Vec<FilmWaits>, PageError> {
    let store = &context.state.store;
    let mut waiting = Vec::new();
    let mut seen = BTreeSet::new();
    for back in 0..LOOK_BACK_DAYS {
        for (visit, patient) in store.visits_on(today - Duration::days(back)).await? {
            for film in store.films_of_visit(visit.id).await? {
                if !seen.insert(film.id) {
                    continue;
                }
                let placings = store.points_of(film.id).await?;
                if placings.iter().any(|p| p.finished) {
                    continue;
                }
                waiting.push(FilmWaits {
                    film: film.id.to_string(),
                    name: words::list_name(&patient),
                    what: film_words(&film),
                    state: if placings.is_empty() {
                        "no points yet"
                    } else {
                        "points begun, not finished"
                    },
                });
            }
        }
    }
    Ok(waiting)
}

/// `lateral foot, left`, with what is not known said so.
pub fn film_words(film: &FilmRecord) -> String {
    let view = film.view.map_or("view not said", |v| v.words());
    let side = film.side.map_or("side not said", |s| s.word());
    format!("{view}, {side}")
}
