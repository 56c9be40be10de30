//! The patient's own page.

use crate::{
    access::closed::{self, ClosureView},
    adapt::{person::person_on, plan::KeptPlan},
    bench::scans::{OrderLine, order_line, scan_words},
    care::{
        log::{CareLog, of_patient},
        page::title,
    },
    context::Context,
    course::{
        lines::{BothFeet, Ground, both_feet},
        page::{decisions_of, marks},
        repeats::own_repeats,
        seen::Readings,
    },
    error::PageError,
    layout::{Nav, Shell, page},
    today::film_words,
    words,
};
use ::care::log::DueState;
use account::Action;
use askama::Template;
use axum::{extract::Path, response::Response};
use record::{DecisionRecord, FilmRecord, Patient, SheetRecord, Visit, VisitState};
use terms::{Side, Stance};

/// Readings that are drawn over the visits here; the page of the course has them all.
const MOST_TRENDS: usize = 2;

#[derive(Template)]
#[template(path = "patient/patient.html")]
pub struct PatientPage {
    pub shell: Shell,
    pub id: String,
    pub name: String,
    pub about: String,
    pub chart: String,
    pub born: String,
    pub note: String,
    pub feet: Vec<Foot>,
    pub trends: Vec<BothFeet>,
    /// Looks that are due in the log of care, and entries in it.
    pub waits: usize,
    pub given: usize,
    pub visits: Vec<VisitRow>,
    pub films: Vec<FilmRow>,
    /// Newest first.
    pub devices: Vec<OrderLine>,
    pub scans: Vec<ScanRow>,
    /// A visit that is open already, so that a second one is not started by mistake.
    pub open_visit: Option<String>,
    /// As a date input takes it.
    pub today: String,
    pub closure: ClosureView,
    /// May take the whole record out.
    pub may_take_out: bool,
    pub may_erase: bool,
}

pub struct Foot {
    pub head: &'static str,
    pub stage: Option<String>,
    pub stage_when: String,
    pub overruled: bool,
    pub change: Option<String>,
    pub worn: Option<String>,
}

pub struct VisitRow {
    pub id: String,
    pub day: String,
    pub reason: String,
    pub open: bool,
    pub stages: String,
    pub films: usize,
    pub letters: usize,
}

pub struct ScanRow {
    pub id: String,
    pub what: String,
    pub taken: String,
}

pub struct FilmRow {
    pub id: String,
    pub what: String,
    pub taken: String,
    pub not_standing: Option<&'static str>,
    pub points: &'static str,
}

/// `GET /patient/{id}`
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let store = &context.state.store;
    let patient = store.patient(id.parse()?).await?;
    let visits = store.visits_of(patient.id).await?;
    let films = store.films_of(patient.id).await?;
    let sheets = store.sheets_of(patient.id).await?;
    let readings = Readings::of(&films, &visits, &sheets);
    let letters = store.letters_of(patient.id).await?;
    let orders = store.orders_of(patient.id).await?;
    let scans = store.scans_of(patient.id).await?;
    let log = of_patient(&context, &patient).await?;
    let own = own_repeats(&context.state).await?;
    let decisions = decisions_of(&context, &patient, &visits).await?;
    let plans = store.plans_of(patient.id).await?;
    let plans: Vec<KeptPlan> = plans.iter().filter_map(KeptPlan::of).collect();
    let today = context.today();
    let person = person_on(&patient, today);
    let marks = marks(&log);
    let ground = Ground {
        knowledge: context.state.knowledge,
        patient: &patient,
        person: &person,
        own: &own,
        marks: &marks,
    };
    let trends: Vec<BothFeet> = readings
        .measures(context.state.knowledge)
        .into_iter()
        .take(MOST_TRENDS)
        .map(|m| both_feet(&ground, m, &readings, None))
        .collect();
    let feet = Side::BOTH
        .into_iter()
        .map(|side| foot(side, &decisions, &plans, &trends, &log, today))
        .collect();
    let waits = log
        .due(today)
        .iter()
        .filter(|d| matches!(d.state, DueState::Overdue | DueState::Now))
        .count();
    page(&PatientPage {
        closure: closed::view(&context, patient.id).await?,
        may_take_out: context.who.may(Action::TakeOut),
        may_erase: context.who.may(Action::Erase),
        today: words::iso_day(context.today()),
        id: patient.id.to_string(),
        name: words::full_name(&patient),
        about: words::age_and_sex(&patient, context.today()),
        chart: patient.chart_number.clone(),
        born: born(&patient),
        note: patient.note.clone(),
        feet,
        waits,
        given: log.kept.len(),
        trends,
        open_visit: visits
            .iter()
            .find(|v| v.state == VisitState::Open)
            .map(|v| v.id.to_string()),
        visits: visits
            .iter()
            .map(|v| VisitRow {
                id: v.id.to_string(),
                day: words::short_day(v.on),
                reason: v.reason.clone(),
                open: v.state == VisitState::Open,
                stages: stages_of(v, &decisions),
                films: films.iter().filter(|f| f.visit == v.id).count(),
                letters: letters.iter().filter(|l| l.visit == v.id).count(),
            })
            .collect(),
        films: films
            .iter()
            .rev()
            .map(|f| film_row(f, &visits, &sheets))
            .collect(),
        devices: orders
            .iter()
            .rev()
            .map(|o| order_line(&context, o))
            .collect(),
        scans: scans
            .iter()
            .rev()
            .map(|s| ScanRow {
                id: s.id.to_string(),
                what: scan_words(s),
                taken: s
                    .taken_on
                    .map_or_else(|| "day not said".to_owned(), words::short_day),
            })
            .collect(),
        shell: context.shell(words::full_name(&patient), Nav::Inside),
    })
}

fn film_row(film: &FilmRecord, visits: &[Visit], sheets: &[SheetRecord]) -> FilmRow {
    let visit_day = visits.iter().find(|v| v.id == film.visit).map(|v| v.on);
    let placings: Vec<&SheetRecord> = sheets.iter().filter(|s| s.film == film.id).collect();
    FilmRow {
        id: film.id.to_string(),
        what: film_words(film),
        taken: match (film.taken_on, visit_day) {
            (Some(day), _) => words::short_day(day),
            (None, Some(day)) => format!("day not said; visit of {}", words::short_day(day)),
            (None, None) => "day not said".to_owned(),
        },
        not_standing: (film.stance != Stance::Standing).then(|| film.stance.words()),
        points: match placings.iter().filter(|p| p.finished).count() {
            0 if placings.is_empty() => "no points yet",
            0 => "points begun",
            1 => "read once",
            _ => "read more than once",
        },
    }
}

/// `decisions` come newest visit first.
fn foot(
    side: Side,
    decisions: &[(time::Date, DecisionRecord)],
    plans: &[KeptPlan],
    trends: &[BothFeet],
    log: &CareLog,
    today: time::Date,
) -> Foot {
    let worn: Vec<String> = log
        .worn(side, today)
        .iter()
        .map(|k| {
            format!(
                "{} since {}",
                title(&k.entry),
                words::short_day(k.entry.began)
            )
        })
        .collect();
    let decided = decisions
        .iter()
        .find(|(_, d)| d.side == side && d.chosen.is_some());
    Foot {
        head: words::side_head(side),
        stage: decided.and_then(|(_, d)| d.chosen.clone()),
        stage_when: decided
            .map(|(day, _)| words::short_day(*day))
            .unwrap_or_default(),
        overruled: decided.is_some_and(|(_, d)| d.overruled_reason.is_some()),
        change: trends
            .iter()
            .filter_map(|m| m.of(side))
            .find(|t| t.rows.len() > 1)
            .map(|t| format!("{}: {}", t.name, t.verdict)),
        worn: (!worn.is_empty())
            .then(|| worn.join("; "))
            .or_else(|| written(side, plans)),
    }
}

/// As the last plan that says it has it.
fn written(side: Side, plans: &[KeptPlan]) -> Option<String> {
    plans
        .iter()
        .map(|p| p.worn(side).trim())
        .find(|w| !w.is_empty())
        .map(str::to_owned)
}

fn stages_of(visit: &Visit, decisions: &[(time::Date, DecisionRecord)]) -> String {
    let said: Vec<String> = Side::BOTH
        .into_iter()
        .filter_map(|side| {
            let (_, d) = decisions
                .iter()
                .find(|(_, d)| d.visit == visit.id && d.side == side)?;
            Some(format!("{} {}", side.word(), d.chosen.as_deref()?))
        })
        .collect();
    if said.is_empty() {
        "not decided".to_owned()
    } else {
        said.join(" · ")
    }
}

fn born(patient: &Patient) -> String {
    patient.born_on.map_or_else(
        || "birth date not given".to_owned(),
        |d| format!("born {}", words::day(d)),
    )
}
