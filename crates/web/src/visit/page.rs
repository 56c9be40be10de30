//! The visit's page: story, examination, films, decision, plan, letters; the standing summary beside it.

use super::gather::{Gathered, VisitFoot, gather};
use super::inputs::{Section, of_sheet};
use crate::adapt::rows::{self, Row};
use crate::context::Context;
use crate::error::PageError;
use crate::layout::{Nav, Shell, page};
use crate::words;
use askama::Template;
use axum::extract::Path;
use axum::response::Response;
use exam::{Sheet, question};
use record::{LetterState, VisitState};
use stage::{SchemeReport, StageReport};
use terms::{MeasureKey, Stance, View};

/// Readings named in the standing summary, most important first.
const MOST_KNOWN: usize = 6;
const MOST_MISSING: usize = 8;

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
    pub story: Vec<Section>,
    pub flags: Vec<Section>,
    pub feet: Vec<FootColumn>,
    pub films: Vec<FilmLine>,
    pub views: Vec<(&'static str, &'static str)>,
    pub standing: Standing,
    pub decisions: Vec<FootDecision>,
    pub plan: PlanForm,
    pub letters: Vec<LetterLine>,
}

pub struct FootColumn {
    pub key: &'static str,
    pub head: &'static str,
    pub revision: u32,
    pub sections: Vec<Section>,
}

pub struct FilmLine {
    pub id: String,
    pub what: String,
    pub state: String,
    pub not_standing: Option<&'static str>,
    pub rows: Vec<Row>,
}

pub struct LetterLine {
    pub id: String,
    pub title: String,
    pub state: String,
}

/// What stands beside the page: first what is alarming, then what is known, then what is missing.
#[derive(Template)]
#[template(path = "visit/standing.html")]
pub struct Standing {
    pub id: String,
    pub feet: Vec<StandingFoot>,
}

pub struct StandingFoot {
    pub head: &'static str,
    pub alarms: Vec<AlarmLine>,
    pub known: Vec<String>,
    pub missing: Vec<MissingLine>,
    pub not_asked: usize,
}

pub struct AlarmLine {
    pub words: String,
    pub action: String,
    pub urgency: String,
    pub sure: bool,
}

pub struct MissingLine {
    pub words: String,
    pub why: String,
    /// Anchor of the first input that would answer it; the film section where it is a reading.
    pub link: String,
}

pub struct FootDecision {
    pub key: &'static str,
    pub head: &'static str,
    pub held: bool,
    pub alarms: Vec<AlarmLine>,
    pub schemes: Vec<SchemeBox>,
    pub missing: Vec<MissingFull>,
    pub notes: Vec<String>,
    pub options: Vec<String>,
    pub chosen: String,
    pub reason: String,
    pub revision: u32,
    pub decided: String,
    pub rungs: Vec<RungBox>,
    pub basis: String,
    pub cautions: Vec<String>,
    pub not_recorded: Vec<String>,
}

pub struct SchemeBox {
    pub name: &'static str,
    pub headline: String,
    pub candidates: Vec<CandidateBox>,
}

pub struct CandidateBox {
    pub key: String,
    pub words: String,
    pub state: &'static str,
    pub class: &'static str,
    pub chance: String,
    pub because: Vec<String>,
    pub against: Vec<String>,
    pub open: Vec<String>,
    pub sources: Vec<(String, char)>,
}

pub struct MissingFull {
    pub words: String,
    pub why: String,
    pub ask: Vec<(String, String)>,
    pub if_yes: String,
    pub if_no: String,
}

pub struct RungBox {
    pub name: String,
    pub title: String,
    pub words: String,
    pub standing: &'static str,
    pub class: &'static str,
    pub taken: bool,
    pub why: Vec<String>,
    pub dose: Vec<String>,
    pub how_long: String,
    pub look: Vec<(String, String)>,
    pub evidence: Vec<(String, String, String, char)>,
    pub cautions: Vec<String>,
    pub checks: Vec<String>,
}

pub struct PlanForm {
    pub worn_left: String,
    pub worn_right: String,
    pub words: String,
    pub review_on: String,
    pub revision: u32,
}

/// `GET /visit/{id}`
pub async fn show(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let gathered = gather(&context, id.parse()?).await?;
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
            state: match &l.state {
                LetterState::Draft => "draft, not signed".to_owned(),
                LetterState::Signed { at, .. } => format!("signed {}", words::short_day(at.date())),
            },
        })
        .collect();
    page(&visit_page(&context, &gathered, letters, shell))
}

/// `GET /visit/{id}/standing`: the summary by itself, for the page's script after a saved answer.
pub async fn standing(context: Context, Path(id): Path<String>) -> Result<Response, PageError> {
    let gathered = gather(&context, id.parse()?).await?;
    page(&standing_of(&context, &gathered))
}

fn visit_page(
    context: &Context,
    g: &Gathered,
    letters: Vec<LetterLine>,
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
        story: of_sheet(Sheet::Person, "person", child, &skip, &|k| story.text_of(k)),
        flags: of_sheet(Sheet::Flags, "person", child, &[], &|k| flags.text_of(k)),
        feet: g
            .feet
            .iter()
            .map(|f| FootColumn {
                key: f.side.word(),
                head: words::side_head(f.side),
                revision: f.revision,
                sections: of_sheet(Sheet::Foot, f.side.word(), child, &[], &|k| {
                    f.exam.text_of(k)
                }),
            })
            .collect(),
        films: g.films.iter().map(|f| film_line(context, g, f)).collect(),
        views: View::ALL.iter().map(|v| (v.key(), v.words())).collect(),
        standing: standing_of(context, g),
        decisions: g
            .feet
            .iter()
            .map(|f| foot_decision(context, g, f))
            .collect(),
        plan: PlanForm {
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
        shell,
    }
}

fn film_line(context: &Context, g: &Gathered, film: &super::gather::VisitFilm) -> FilmLine {
    let record = &film.record;
    let mut rows = film
        .sheet
        .as_ref()
        .map(|s| rows::rows(context.state.knowledge, s, &g.person))
        .unwrap_or_default();
    rows.truncate(MOST_KNOWN);
    FilmLine {
        id: record.id.to_string(),
        what: crate::today::film_words(record),
        state: match &film.placing {
            None => "no points yet".to_owned(),
            Some(p) if p.finished => format!("read by {}", p.reader_name),
            Some(_) => "points begun, not finished".to_owned(),
        },
        not_standing: (record.stance != Stance::Standing).then(|| record.stance.words()),
        rows,
    }
}

fn standing_of(context: &Context, g: &Gathered) -> Standing {
    Standing {
        id: g.visit.id.to_string(),
        feet: g
            .feet
            .iter()
            .map(|foot| StandingFoot {
                head: words::side_head(foot.side),
                alarms: alarms(&foot.report),
                known: known(context, g, foot),
                missing: foot
                    .report
                    .missing
                    .iter()
                    .take(MOST_MISSING)
                    .map(|m| MissingLine {
                        words: m.words.clone(),
                        why: m.why.clone(),
                        link: link(&m.ask, foot),
                    })
                    .collect(),
                not_asked: foot.report.not_asked.len(),
            })
            .collect(),
    }
}

fn alarms(report: &StageReport) -> Vec<AlarmLine> {
    let line = |f: &stage::RaisedFlag, sure: bool| AlarmLine {
        words: f.words.clone(),
        action: f.action.clone(),
        urgency: f.urgency.clone(),
        sure,
    };
    report
        .red_flags
        .iter()
        .map(|f| line(f, true))
        .chain(report.not_cleared.iter().map(|f| line(f, false)))
        .collect()
}

/// The stage as far as it is known, and the key readings with their error.
fn known(context: &Context, g: &Gathered, foot: &VisitFoot) -> Vec<String> {
    let mut lines: Vec<String> = schemes(&foot.report)
        .into_iter()
        .map(|s| s.headline.clone())
        .take(1)
        .collect();
    if let Some(chosen) = foot.decision.as_ref().and_then(|d| d.chosen.as_ref()) {
        lines.insert(0, format!("Decided: {chosen}."));
    }
    let answered = foot.exam.len();
    if answered > 0 {
        lines.push(format!(
            "{} of the examination answered.",
            words::count(answered, "question", "questions")
        ));
    }
    let readings = g
        .films
        .iter()
        .filter(|f| f.record.side == Some(foot.side))
        .filter_map(|f| f.sheet.as_ref())
        .flat_map(|s| &s.readings);
    let mut named: Vec<(u32, String)> = readings
        .filter_map(|r| {
            let measure = context.state.knowledge.measure(&r.measure)?;
            let not_standing = if r.stance == Stance::Standing {
                ""
            } else {
                ", not (surely) standing"
            };
            Some((
                measure.importance,
                format!(
                    "{} {}{not_standing}",
                    measure.short,
                    words::kept_together(&r.estimate)
                ),
            ))
        })
        .collect();
    named.sort_by_key(|n| std::cmp::Reverse(n.0));
    lines.extend(named.into_iter().take(MOST_KNOWN).map(|n| n.1));
    lines
}

fn schemes(report: &StageReport) -> Vec<&SchemeReport> {
    [
        &report.tendon,
        &report.three_column,
        &report.child,
        &report.traffic_light,
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Where the first thing that would answer is entered.
fn link(ask: &[String], foot: &VisitFoot) -> String {
    ask.iter()
        .find_map(|key| question(key).map(|q| anchor(q.sheet, foot, key)))
        .unwrap_or_else(|| "#films".to_owned())
}

fn anchor(sheet: Sheet, foot: &VisitFoot, key: &str) -> String {
    match sheet {
        Sheet::Foot => format!("#{}.{key}", foot.side.word()),
        Sheet::Person | Sheet::Flags => format!("#person.{key}"),
    }
}

fn foot_decision(context: &Context, g: &Gathered, foot: &VisitFoot) -> FootDecision {
    let report = &foot.report;
    let mut boxes: Vec<SchemeBox> = schemes(report).into_iter().map(scheme_box).collect();
    if let Some(consensus) = &report.consensus {
        boxes.push(SchemeBox {
            name: stage::Scheme::Consensus.words(),
            headline: consensus.string.as_ref().map_or_else(
                || consensus.so_far.clone(),
                |s| format!("{s}. {}", consensus.so_far),
            ),
            candidates: consensus
                .strings
                .iter()
                .map(|(string, chance)| CandidateBox {
                    key: string.clone(),
                    words: String::new(),
                    state: "possible",
                    class: "straddles",
                    chance: percent(*chance),
                    because: Vec::new(),
                    against: Vec::new(),
                    open: Vec::new(),
                    sources: Vec::new(),
                })
                .collect(),
        });
    }
    let options = schemes(report)
        .into_iter()
        .flat_map(|s| &s.candidates)
        .filter(|c| !c.by_definition().is_false())
        .map(|c| c.key.clone())
        .chain(report.consensus.as_ref().and_then(|c| c.string.clone()))
        .collect();
    let decision = foot.decision.as_ref();
    FootDecision {
        key: foot.side.word(),
        head: words::side_head(foot.side),
        held: !report.may_carry_plan,
        alarms: alarms(report),
        schemes: boxes,
        missing: report
            .missing
            .iter()
            .take(MOST_MISSING)
            .map(|m| missing_full(context, m, foot))
            .collect(),
        notes: report.notes.clone(),
        options,
        chosen: decision.and_then(|d| d.chosen.clone()).unwrap_or_default(),
        reason: decision
            .and_then(|d| d.overruled_reason.clone())
            .unwrap_or_default(),
        revision: decision.map_or(0, |d| d.revision),
        decided: decision
            .map(|d| words::short_day(d.saved_at.date()))
            .unwrap_or_default(),
        rungs: foot
            .proposal
            .rungs
            .iter()
            .map(|r| rung(g, foot, r))
            .collect(),
        basis: foot.proposal.basis.clone(),
        cautions: foot.proposal.cautions.clone(),
        not_recorded: foot
            .proposal
            .not_recorded
            .iter()
            .map(|c| c.words.clone())
            .collect(),
    }
}

fn scheme_box(scheme: &SchemeReport) -> SchemeBox {
    let candidates = scheme
        .candidates
        .iter()
        .filter(|c| !c.by_definition().is_false())
        .map(|c| {
            let (state, class) = match (c.truth, c.would_be) {
                (t, _) if t.is_true() => ("holds", "inside"),
                (_, Some(t)) if t.is_true() => {
                    ("would hold by an unconfirmed definition", "differ")
                }
                (_, Some(_)) => ("open, unconfirmed definition", "none"),
                (_, None) => ("possible", "straddles"),
            };
            CandidateBox {
                key: c.key.clone(),
                words: c.words.clone(),
                state,
                class,
                chance: c
                    .chance
                    .map(|p| chance_words(p.holds, p.possible))
                    .unwrap_or_default(),
                because: c.because.clone(),
                against: c.against.clone(),
                open: c.open.clone(),
                sources: c
                    .sources
                    .iter()
                    .map(|s| (s.key.clone(), s.letter))
                    .collect(),
            }
        })
        .collect();
    SchemeBox {
        name: scheme.scheme.words(),
        headline: scheme.headline.clone(),
        candidates,
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

fn chance_words(holds: f64, possible: f64) -> String {
    if (holds - possible).abs() < 0.005 {
        percent(holds)
    } else {
        format!("{} to {}", percent(holds), percent(possible))
    }
}

fn missing_full(context: &Context, missing: &stage::Missing, foot: &VisitFoot) -> MissingFull {
    let ask = missing
        .ask
        .iter()
        .map(|key| match question(key) {
            Some(q) => (q.words.to_owned(), anchor(q.sheet, foot, key)),
            None => {
                let measure = MeasureKey::new(key.clone())
                    .ok()
                    .and_then(|k| context.state.knowledge.measure(&k));
                (
                    measure.map_or_else(|| key.clone(), |m| m.name.clone()),
                    "#films".to_owned(),
                )
            }
        })
        .collect();
    MissingFull {
        words: missing.words.clone(),
        why: missing.why.clone(),
        ask,
        if_yes: outcomes(&missing.if_yes),
        if_no: outcomes(&missing.if_no),
    }
}

fn outcomes(all: &[stage::Outcome]) -> String {
    let said: Vec<String> = all
        .iter()
        .filter(|o| !o.ruled_out.is_empty())
        .map(|o| format!("{}: rules out {}", o.scheme.words(), o.ruled_out.join(", ")))
        .collect();
    if said.is_empty() {
        "changes nothing by itself".to_owned()
    } else {
        said.join("; ")
    }
}

fn rung(g: &Gathered, foot: &VisitFoot, r: &care::ProposedRung) -> RungBox {
    let name = format!("{}:{}", foot.side.word(), r.key);
    RungBox {
        taken: g.kept_plan.taken.contains(&name),
        name: format!("rung.{name}"),
        title: r.title.clone(),
        words: r.words.clone(),
        standing: r.standing.words(),
        class: match r.standing {
            care::Standing::Proposed => "inside",
            care::Standing::LookFirst | care::Standing::DependsOnStage => "straddles",
            care::Standing::HeldBack => "outside",
        },
        why: r.why.clone(),
        dose: r.dose.clone(),
        how_long: r.how_long.clone(),
        look: r
            .look
            .iter()
            .map(|l| (l.when.clone(), l.what.clone()))
            .collect(),
        evidence: r
            .evidence
            .iter()
            .map(|e| {
                (
                    e.strength.clone(),
                    e.words.clone(),
                    e.source.key.clone(),
                    e.source.letter,
                )
            })
            .collect(),
        cautions: r.cautions.iter().map(|c| c.words.clone()).collect(),
        checks: r.checks.iter().map(|c| c.words.clone()).collect(),
    }
}
