//! Today: who is here, who is due, what waits for a second look.

use crate::{
    access::closed::without_name,
    care::{log::entry_of, page::title},
    context::Context,
    error::PageError,
    layout::{Nav, Shell, page},
    words,
};
use askama::Template;
use axum::response::Response;
use record::{FilmRecord, Patient, Visit, VisitState, WaitingFilm};
use time::Date;

/// Films that wait are all told; these many in the open, the older ones folded away with their count.
const FILMS_IN_THE_OPEN: usize = 12;

/// Looks named one by one, longest due first; the others are counted.
const LOOKS_NAMED: usize = 40;

#[derive(Template)]
#[template(path = "today/today.html")]
pub struct TodayPage {
    pub shell: Shell,
    pub day: String,
    pub here: Vec<Here>,
    pub due: Vec<DueRow>,
    /// Looks at what was given, that somebody set for today or earlier.
    pub looks: Vec<LookRow>,
    /// Looks that are due and not named here.
    pub more_looks: usize,
    pub films: Vec<FilmWaits>,
    pub older_films: Vec<FilmWaits>,
    pub letters: Vec<LetterWaits>,
    /// Drafts of devices that wait to be sent.
    pub orders: Vec<OrderWaits>,
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

pub struct LookRow {
    pub patient: String,
    pub name: String,
    pub what: String,
    pub since: String,
    pub overdue: bool,
}

pub struct FilmWaits {
    pub film: String,
    pub name: String,
    pub what: String,
    /// Of the visit the film came with.
    pub day: String,
    pub state: &'static str,
}

pub struct OrderWaits {
    pub order: String,
    pub name: String,
    pub what: String,
    pub changed: String,
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
    let hidden = context.hidden().await?;
    let named = |patient: &mut Patient| without_name(patient, &hidden);
    let mut here_today = store.visits_on(today).await?;
    for (visit, patient) in &mut here_today {
        named(patient);
        if hidden.contains(&patient.id) {
            visit.reason.clear();
        }
    }
    let here = here_today.iter().map(|(v, p)| here(v, p, today)).collect();
    let mut due = store.visits_due(today).await?;
    due.iter_mut().for_each(|d| named(&mut d.patient));
    let mut looks = store.care_due(today).await?;
    looks.retain(|(_, p)| !hidden.contains(&p.id));
    let mut by_name = Vec::new();
    for (care, patient) in looks.iter().take(LOOKS_NAMED) {
        // A check is named by what it looks at.
        let root = match care.about {
            Some(about) => store.care(about).await?,
            None => care.clone(),
        };
        by_name.push(LookRow {
            patient: patient.id.to_string(),
            name: words::list_name(patient),
            what: entry_of(&root).map_or_else(|| "Care given".to_owned(), |e| title(&e)),
            since: care.review_on.map(words::short_day).unwrap_or_default(),
            overdue: care.review_on.is_some_and(|on| on < today),
        });
    }
    let mut letters = store.letters_waiting().await?;
    letters.iter_mut().for_each(|l| named(&mut l.patient));
    let mut orders = store.orders_in_hand().await?;
    orders.iter_mut().for_each(|(_, p)| named(p));
    let mut waiting = store.films_waiting().await?;
    waiting.iter_mut().for_each(|w| named(&mut w.patient));
    let mut films: Vec<FilmWaits> = waiting.iter().map(film_waits).collect();
    let older_films = films.split_off(films.len().min(FILMS_IN_THE_OPEN));
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
        more_looks: looks.len().saturating_sub(LOOKS_NAMED),
        looks: by_name,
        films,
        older_films,
        letters: letters
            .iter()
            .map(|l| LetterWaits {
                letter: l.letter.id.to_string(),
                name: words::list_name(&l.patient),
                what: l.letter.kind.words(),
                since: words::short_day(l.letter.drafted_at.to_offset(context.now.offset()).date()),
            })
            .collect(),
        orders: orders
            .iter()
            .map(|(o, patient)| OrderWaits {
                order: o.id.to_string(),
                name: words::list_name(patient),
                what: format!("Device {}, {} foot", o.code, o.side.word()),
                changed: words::short_day(o.saved_at.to_offset(context.now.offset()).date()),
            })
            .collect(),
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

fn film_waits(waiting: &WaitingFilm) -> FilmWaits {
    FilmWaits {
        film: waiting.film.id.to_string(),
        name: words::list_name(&waiting.patient),
        what: film_words(&waiting.film),
        day: words::short_day(waiting.visit_on),
        state: match (waiting.begun, waiting.read) {
            (_, true) => "read; another reading begun, not finished",
            (true, false) => "points begun, not finished",
            (false, false) => "no points yet",
        },
    }
}

/// `lateral foot, left`, with what is not known said so.
pub fn film_words(film: &FilmRecord) -> String {
    let view = film.view.map_or("view not said", |v| v.words());
    let side = film.side.map_or("side not said", |s| s.word());
    format!("{view}, {side}")
}
