//! The page of care: what wants a look, what is worn and was given on each foot, and what warns.

use super::log::{CareLog, Kept, last_visit, of_patient};
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::visit::inputs::unit_words;
use crate::words;
use askama::Template;
use axum::{extract::Path, response::Response};
use care::log::{self, Due, DueState, Entry, Kind, Load};
use care::programme::GoalOf;
use exam::{Answer, Kind as Asked};
use terms::Side;

#[derive(Template)]
#[template(path = "care/care.html")]
pub struct CarePage {
    pub shell: Shell,
    pub id: String,
    pub name: String,
    pub about: String,
    /// Overdue and today's first.
    pub due: Vec<DueLine>,
    pub columns: Vec<Column>,
    pub ledger: Vec<LedgerLine>,
    pub ledger_warnings: Vec<String>,
    pub programmes: Vec<ProgrammeCard>,
    pub gone: Vec<GoneLine>,
    pub unreadable: usize,
    /// The open visit, at which what is written down now belongs.
    pub visit: Option<String>,
    /// The last visit, at which a letter can be written.
    pub letter_visit: Option<String>,
}

pub struct DueLine {
    pub entry: String,
    pub title: String,
    pub what: String,
    pub when: String,
    pub class: &'static str,
    pub word: &'static str,
}

pub struct Column {
    pub key: &'static str,
    pub head: &'static str,
    pub entries: Vec<EntryLine>,
    pub kinds: Vec<(&'static str, &'static str)>,
}

pub struct EntryLine {
    pub id: String,
    pub title: String,
    pub days: String,
    pub runs: bool,
    pub answers: Vec<(String, String)>,
    pub warnings: Vec<String>,
    /// Looks that nobody recorded and a later one has overtaken.
    pub missed: Vec<String>,
    pub checks: Vec<EntryLine>,
    pub look_on: Option<String>,
    pub revision: u32,
    /// It has to be got used to, and a sheet says how.
    pub break_in: bool,
}

pub struct LedgerLine {
    pub foot: String,
    pub site: String,
    pub when: String,
    pub what: String,
    pub effect: String,
}

pub struct GoneLine {
    pub id: String,
    pub title: String,
    pub revision: u32,
}

/// `GET /patient/{id}/care`
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let patient = context.state.store.patient(id.parse()?).await?;
    let log = of_patient(&context, &patient).await?;
    let visits = context.state.store.visits_of(patient.id).await?;
    let today = context.today();
    let gathered = last_visit(&context, &patient, today).await?;
    let entries = log.entries();
    let due = log.due(today);
    let mut due_lines: Vec<DueLine> = due
        .iter()
        .filter(|d| !matches!(d.state, DueState::Done | DueState::Missed))
        .filter_map(|d| Some(due_line(d, &log.find(&d.entry)?.entry)))
        .collect();
    due_lines.sort_by_key(|d| d.class != "outside");
    let mut ledger_warnings = Vec::new();
    if let Some(g) = &gathered {
        for foot in &g.feet {
            let said = log::injection_warnings(
                &entries,
                foot.side,
                &g.sheet.story,
                &foot.exam,
                &g.sheet.flags,
                &foot.report,
                today,
            );
            ledger_warnings.extend(
                said.into_iter()
                    .map(|w| format!("{} foot: {w}", words::side_head(foot.side))),
            );
        }
    }
    page(&CarePage {
        id: patient.id.to_string(),
        name: words::full_name(&patient),
        about: words::age_and_sex(&patient, today),
        columns: columns(&log, &entries, &patient, &context),
        ledger: ledger(&entries),
        ledger_warnings,
        programmes: programmes(&entries),
        due: due_lines,
        gone: log
            .gone
            .iter()
            .map(|k| GoneLine {
                id: k.entry.id.clone(),
                title: title(&k.entry),
                revision: k.record.revision,
            })
            .collect(),
        unreadable: log.unreadable,
        letter_visit: visits.first().map(|v| v.id.to_string()),
        visit: visits
            .iter()
            .find(|v| v.state == record::VisitState::Open)
            .map(|v| v.id.to_string()),
        shell: context.shell(words::full_name(&patient), Nav::Inside),
    })
}

fn due_line(due: &Due, entry: &Entry) -> DueLine {
    let (class, word) = match due.state {
        DueState::Overdue => ("outside", "overdue"),
        DueState::Now => ("straddles", "due now"),
        DueState::Later => ("inside", "to come"),
        DueState::Done => ("none", "done"),
        DueState::Missed => ("none", "not looked at then"),
    };
    DueLine {
        entry: due.entry.clone(),
        title: title(entry),
        what: due.what.clone(),
        when: words::short_day(due.on),
        class,
        word,
    }
}

/// `Walking boot, left foot, from 2 Nov 2026`, with the kind of device where that is said.
pub fn title(entry: &Entry) -> String {
    let foot = entry
        .side
        .map(|s| format!(", {} foot", s.word()))
        .unwrap_or_default();
    format!(
        "{}{foot}",
        crate::error::sentence(&log::name(entry)).trim_end_matches('.')
    )
}

fn columns(
    log: &CareLog,
    entries: &[Entry],
    patient: &record::Patient,
    context: &Context,
) -> Vec<Column> {
    [
        ("left", "Left foot", Some(Side::Left)),
        ("right", "Right foot", Some(Side::Right)),
        ("", "Whole person", None),
    ]
    .into_iter()
    .map(|(key, head, side)| {
        let mut roots: Vec<&Kept> = log
            .kept
            .iter()
            .filter(|k| k.entry.about.is_none() && k.entry.side == side)
            .collect();
        roots.reverse();
        Column {
            key,
            head,
            entries: roots
                .into_iter()
                .map(|k| entry_line(k, log, entries, patient, context))
                .collect(),
            kinds: Kind::ALL
                .iter()
                .filter(|k| match k {
                    Kind::Check => false,
                    Kind::Medicine => side.is_none(),
                    _ => side.is_some(),
                })
                .map(|k| (k.key(), k.words()))
                .collect(),
        }
    })
    .collect()
}

fn entry_line(
    kept: &Kept,
    log: &CareLog,
    entries: &[Entry],
    patient: &record::Patient,
    context: &Context,
) -> EntryLine {
    let entry = &kept.entry;
    let others: Vec<Entry> = entries
        .iter()
        .filter(|o| o.id != entry.id)
        .cloned()
        .collect();
    let faults = log::faults(entry, &others, patient.born_on, context.today());
    let runs = kept.record.runs_on(context.today())
        && matches!(
            entry.kind,
            Kind::Boot | Kind::Wrap | Kind::Device | Kind::Therapy | Kind::Medicine
        );
    EntryLine {
        id: entry.id.clone(),
        title: title(entry),
        days: match entry.ended {
            Some(end) => format!(
                "{} to {}",
                words::short_day(entry.began),
                words::short_day(end)
            ),
            None if runs => format!("since {}", words::short_day(entry.began)),
            None => words::short_day(entry.began),
        },
        runs,
        answers: answers(entry),
        warnings: faults.into_iter().map(|f| f.sentence).collect(),
        missed: log::due(entries, context.today())
            .into_iter()
            .filter(|d| d.entry == entry.id && d.state == DueState::Missed)
            .map(|d| d.what)
            .collect(),
        checks: log
            .kept
            .iter()
            .filter(|c| c.entry.about.as_deref() == Some(&entry.id))
            .map(|c| entry_line(c, log, entries, patient, context))
            .collect(),
        look_on: kept.record.review_on.map(words::short_day),
        revision: kept.record.revision,
        break_in: super::paper::break_in_kind(entry).is_some(),
    }
}

/// Question and answer in the words of the form.
pub fn answers(entry: &Entry) -> Vec<(String, String)> {
    entry
        .answers
        .answered()
        .map(|(question, answer)| {
            let said = match (question.kind, answer) {
                (Asked::Choice { choices }, Answer::Choice { choice }) => choices
                    .iter()
                    .find(|c| c.key == choice)
                    .map_or_else(|| choice.clone(), |c| c.words.to_owned()),
                (Asked::Number { unit, .. }, _) => {
                    format!("{} {}", answer.as_text(), unit_words(unit))
                        .trim_end()
                        .to_owned()
                }
                _ => answer.as_text(),
            };
            (question.words.to_owned(), said)
        })
        .collect()
}

fn ledger(entries: &[Entry]) -> Vec<LedgerLine> {
    Side::BOTH
        .into_iter()
        .flat_map(|side| {
            log::ledger(entries, side)
                .into_iter()
                .map(move |line| LedgerLine {
                    foot: words::side_head(side).to_owned(),
                    site: line.site,
                    when: words::short_day(line.on),
                    what: line.what,
                    effect: line.effect.unwrap_or_else(|| "not recorded".to_owned()),
                })
        })
        .collect()
}

/// One foot's programme: where it stands, which load next, which goals are met.
pub struct ProgrammeCard {
    pub head: String,
    pub entry: String,
    pub phase: String,
    pub until: String,
    pub next: Option<String>,
    pub load_class: &'static str,
    pub load: &'static str,
    pub load_words: String,
    pub ready_class: &'static str,
    pub ready: &'static str,
    /// What they are for, and each with how it stands.
    pub goals: Vec<(&'static str, Vec<GoalLine>)>,
}

pub struct GoalLine {
    pub words: String,
    pub class: &'static str,
    pub word: &'static str,
}

fn programmes(entries: &[Entry]) -> Vec<ProgrammeCard> {
    log::progress(entries).into_iter().map(card).collect()
}

fn card(p: log::Progress) -> ProgrammeCard {
    let (load_class, load) = match p.load {
        Load::More => ("inside", "more load"),
        Load::Stay => ("straddles", "stay at this load"),
        Load::Less => ("outside", "less load"),
        Load::NotKnown => ("none", "not known"),
    };
    let (ready_class, ready) = match p.ready_for_discharge() {
        Some(true) => ("inside", "met"),
        Some(false) => ("straddles", "not yet"),
        None => ("none", "not all recorded"),
    };
    let goals = [
        ("Goals of discharge", GoalOf::Discharge),
        ("Before running", GoalOf::Running),
    ]
    .into_iter()
    .map(|(head, of)| {
        let lines = p.goals.iter().filter(|g| g.of == of).map(goal_line);
        (head, lines.collect())
    })
    .collect();
    ProgrammeCard {
        head: p.side.map_or("Programme", words::side_head).to_owned(),
        phase: p.phase.map_or_else(
            || "Phase not recorded: change the entry to say it.".to_owned(),
            |phase| format!("{}: {}", phase.title, phase.words),
        ),
        until: p.phase.map(|p| p.until.clone()).unwrap_or_default(),
        next: p.next_phase.map(|n| format!("{}: {}", n.title, n.words)),
        load_class,
        load,
        load_words: p.load_words,
        ready_class,
        ready,
        goals,
        entry: p.entry,
    }
}

fn goal_line(goal: &log::Criterion) -> GoalLine {
    let (class, word) = match goal.met {
        Some(true) => ("inside", "met"),
        Some(false) => ("straddles", "not yet"),
        None => ("none", "not recorded"),
    };
    GoalLine {
        words: goal.words.clone(),
        class,
        word,
    }
}
