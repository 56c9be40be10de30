//! The visit's page: story, examination, films, decision, plan, letters; the standing summary beside it.

use super::gather::{Gathered, VisitFilm, gather};
use super::inputs::{Section, of_sheet, with_measured};
use super::reasons::{FootDecision, foot_decision};
use super::standing::{Standing, standing_of};
use super::undo;
use crate::adapt::rows::{self, Row};
use crate::bench::scans::{DevicePart, device_part};
use crate::captures::section::{CapturePart, capture_part};
use crate::context::Context;
use crate::desk::cache;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::letters::page::state_words;
use crate::words;
use askama::Template;
use axum::extract::Path;
use axum::response::Response;
use exam::Sheet;
use record::{ExamineOf, VisitState};
use terms::{Side, Stance, View, Worn};

#[derive(Template)]
#[template(path = "visit/visit.html")]
pub struct VisitPage {
    pub shell: Shell,
    pub id: String,
    pub patient: String,
    pub name: String,
    pub about: String,
    pub day: String,
    pub reason: String,
    pub closed: bool,
    pub person_revision: u32,
    /// What an undo of the story and the alarm signs would take back.
    pub person_undo: Option<String>,
    pub story: Vec<Section>,
    pub flags: Vec<Section>,
    pub feet: Vec<FootColumn>,
    pub films: Vec<FilmColumn>,
    pub no_film: bool,
    pub device: DevicePart,
    pub captures: CapturePart,
    pub views: Vec<(&'static str, &'static str)>,
    pub worn: [Worn; 3],
    pub standing: Standing,
    pub decisions: Vec<FootDecision>,
    pub plan: PlanForm,
    pub letters: Vec<LetterLine>,
    /// May send what was read or signed to others.
    pub may_send: bool,
}

pub struct FootColumn {
    pub key: &'static str,
    pub head: &'static str,
    /// `left foot`
    pub sheet: &'static str,
    pub revision: u32,
    pub undo: Option<String>,
    pub sections: Vec<Section>,
}

pub struct FilmColumn {
    pub head: &'static str,
    pub films: Vec<FilmLine>,
}

pub struct FilmLine {
    pub id: String,
    pub what: String,
    pub state: String,
    /// There is a finished placing.
    pub read: bool,
    pub not_standing: Option<&'static str>,
    /// `14 readings: 2 outside, 5 straddle`.
    pub count: String,
    /// The most important first.
    pub rows: Vec<Row>,
}

pub struct LetterLine {
    pub id: String,
    pub title: String,
    pub state: String,
    pub signed: bool,
}

pub struct PlanForm {
    /// Cautions that hold for both feet.
    pub cautions: Vec<String>,
    pub worn_left: String,
    pub worn_right: String,
    pub words: String,
    pub review_on: String,
    pub revision: u32,
}

/// `GET /visit/{id}`
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let gathered = gather(&context, id.parse()?).await?;
    let films = gathered.films.iter().map(|f| f.record.id).collect();
    cache::open_ahead(&context.state, films);
    let letters = context
        .state
        .store
        .letters_of_visit(gathered.visit.id)
        .await?;
    let title = format!(
        "{}, {}",
        words::full_name(&gathered.patient),
        words::day(gathered.visit.on)
    );
    let shell = context.shell(title, Nav::Inside);
    let letters = letters
        .iter()
        .map(|l| LetterLine {
            id: l.id.to_string(),
            title: l.title.clone(),
            state: state_words(&context, &l.state),
            signed: matches!(l.state, record::LetterState::Signed { .. }),
        })
        .collect();
    let device = device_part(&context, gathered.visit.id, gathered.patient.id).await?;
    let captures = capture_part(&context, gathered.visit.id).await?;
    let mut shown = visit_page(&context, &gathered, letters, (device, captures), shell);
    let visit = gathered.visit.id;
    shown.person_undo = undo::words(&context, visit, ExamineOf::Person).await?;
    for (column, foot) in shown.feet.iter_mut().zip(&gathered.feet) {
        column.undo = undo::words(&context, visit, ExamineOf::Foot(foot.side)).await?;
    }
    page(&shown)
}

fn visit_page(
    context: &Context,
    g: &Gathered,
    letters: Vec<LetterLine>,
    (device, captures): (DevicePart, CapturePart),
    shell: Shell,
) -> VisitPage {
    let child = g.person.age_years.map(|y| y < 18.0);
    // Asked with the patient's details.
    let skip = ["age_years", "sex"];
    let story = &g.sheet.story;
    let flags = &g.sheet.flags;
    VisitPage {
        id: g.visit.id.to_string(),
        patient: g.patient.id.to_string(),
        name: words::full_name(&g.patient),
        about: words::age_and_sex(&g.patient, g.visit.on),
        day: words::day(g.visit.on),
        reason: g.visit.reason.clone(),
        closed: g.visit.state == VisitState::Closed,
        person_revision: g.sheet_revision,
        person_undo: None,
        story: of_sheet(Sheet::Person, "person", child, &skip, &|k| story.text_of(k)),
        flags: of_sheet(Sheet::Flags, "person", child, &[], &|k| flags.text_of(k)),
        feet: g
            .feet
            .iter()
            .map(|f| FootColumn {
                key: f.side.word(),
                head: words::side_head(f.side),
                sheet: ExamineOf::Foot(f.side).words(),
                revision: f.revision,
                undo: None,
                sections: with_measured(
                    of_sheet(Sheet::Foot, f.side.word(), child, &[], &|k| {
                        f.exam.text_of(k)
                    }),
                    &f.exam,
                ),
            })
            .collect(),
        no_film: g.films.is_empty(),
        device,
        captures,
        films: film_columns(context, g),
        worn: Worn::ALL,
        views: View::ALL.iter().map(|v| (v.key(), v.words())).collect(),
        standing: standing_of(context, g),
        decisions: g
            .feet
            .iter()
            .map(|f| foot_decision(context, g, f))
            .collect(),
        plan: PlanForm {
            cautions: shared_cautions(g),
            worn_left: g.kept_plan.worn_left.clone(),
            worn_right: g.kept_plan.worn_right.clone(),
            words: g.kept_plan.words.clone(),
            review_on: g
                .plan
                .as_ref()
                .and_then(|p| p.review_on)
                .map(words::iso_day)
                .unwrap_or_default(),
            revision: g.plan.as_ref().map_or(0, |p| p.revision),
        },
        letters,
        may_send: context.who.may(account::Action::TakeOut),
        shell,
    }
}

/// What the proposals for both feet warn of is said once.
fn shared_cautions(g: &Gathered) -> Vec<String> {
    let [left, right] = &g.feet;
    left.proposal
        .cautions
        .iter()
        .filter(|c| right.proposal.cautions.contains(c))
        .cloned()
        .collect()
}

/// Left, right, and below them what says no side.
fn film_columns(context: &Context, g: &Gathered) -> Vec<FilmColumn> {
    [
        (Some(Side::Left), "Left"),
        (Some(Side::Right), "Right"),
        (None, "Side not said"),
    ]
    .into_iter()
    .filter_map(|(side, head)| {
        let films: Vec<FilmLine> = g
            .films
            .iter()
            .filter(|f| f.record.side == side)
            .map(|f| film_line(context, g, f))
            .collect();
        (side.is_some() || !films.is_empty()).then_some(FilmColumn { head, films })
    })
    .collect()
}

fn film_line(context: &Context, g: &Gathered, film: &VisitFilm) -> FilmLine {
    let record = &film.record;
    let mut rows = film
        .sheet
        .as_ref()
        .map(|s| rows::rows(context.state.knowledge, s, &g.person))
        .unwrap_or_default();
    rows.sort_by_key(|r| std::cmp::Reverse(r.importance));
    FilmLine {
        id: record.id.to_string(),
        what: crate::today::film_words(record),
        state: match &film.placing {
            None => "no points yet".to_owned(),
            Some(p) if p.finished => format!("read by {}", p.reader_name),
            Some(_) => "points begun, not finished".to_owned(),
        },
        read: film.placing.as_ref().is_some_and(|p| p.finished),
        not_standing: (record.stance != Stance::Standing).then(|| record.stance.words()),
        count: count_words(&rows),
        rows,
    }
}

/// How many readings, and how many of them call for a look.
fn count_words(rows: &[Row]) -> String {
    let lying = |place: &str| rows.iter().filter(|r| r.place == place).count();
    let said: Vec<String> = [
        ("outside", "outside"),
        ("straddles", "straddling a limit"),
        ("sources differ", "where sources differ"),
    ]
    .into_iter()
    .map(|(place, words)| (lying(place), words))
    .filter(|(n, _)| *n > 0)
    .map(|(n, words)| format!("{n} {words}"))
    .collect();
    let all = words::count(rows.len(), "reading", "readings");
    if said.is_empty() {
        all
    } else {
        format!("{all}: {}", said.join(", "))
    }
}
