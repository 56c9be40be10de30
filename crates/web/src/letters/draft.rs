//! From a visit to the draft of a letter: which sentences does what was recorded give?
//!
//! Nothing is told that the visit does not hold. A draft can be made again from the visit for as long
//! as it is not signed; words changed in it by hand are lost then.

use super::asked::{self, Asked};
use super::beside::{self, Beside};
use super::films::{self, PaperFilm};
use super::kept::KeptLetter;
use super::{edit, page};
use crate::context::Context;
use crate::error::PageError;
use crate::visit::gather::{Gathered, VisitFoot, gather};
use crate::words;
use axum::{Form, extract::Path, response::Redirect};
use knowledge::Knowledge;
use letter::{Composed, Foot, LetterFacts, PatientLine, Words, compose};
use record::{Clinician, LetterId, LetterKind, LetterRecord, LetterState, Practice, VisitId};
use std::collections::BTreeMap;
use terms::Side;
use time::Date;

/// `POST /visit/{id}/letters`: `kind`, `language`, `recipient`, and what is told besides.
pub async fn begin(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let visit: VisitId = id.parse()?;
    let kind = form.get("kind").map(String::as_str).unwrap_or_default();
    let kind = LetterKind::from_key(kind)
        .ok_or_else(|| PageError::input("found no such kind of letter; choose whom to write to"))?;
    let recipient = edit::recipient(form.get("recipient").map_or("", String::as_str))?;
    let wish = Wish {
        kind,
        words: asked::language(&form)?,
        recipient,
        asked: Asked::of(&form)?,
    };
    let id = LetterId::new(context.state.ids.fresh());
    let record = of_visit(&context, visit, wish, id).await?;
    context
        .state
        .store
        .save_letter(context.stamp(), record, 0)
        .await?;
    Ok(Redirect::to(&format!("/letter/{id}")))
}

/// `POST /letter/{id}/again`: the draft anew from what the visit holds now; recipient, language and what was
/// told besides stay.
pub async fn again(
    context: Context,
    Path(id): Path<String>,
    Form(form): Form<BTreeMap<String, String>>,
) -> Result<Redirect, PageError> {
    let before = context.state.store.letter(id.parse()?).await?;
    page::check_in_hand(&before, &form)?;
    if before.addendum_to.is_some() {
        return Err(PageError::NotNow {
            sentence: "an addendum holds your own words and cannot be drafted from the visit"
                .to_owned(),
        });
    }
    let kept = KeptLetter::of(&before)?;
    let wish = Wish {
        kind: before.kind,
        words: Words::of_tag(&kept.document.language),
        recipient: kept.document.recipient,
        asked: kept.asked,
    };
    let record = of_visit(&context, before.visit, wish, before.id).await?;
    context
        .state
        .store
        .save_letter(context.stamp(), record, before.revision)
        .await?;
    Ok(Redirect::to(&format!("/letter/{}", before.id)))
}

/// To whom, in which language, and what the page asked for.
struct Wish {
    kind: LetterKind,
    words: &'static Words,
    recipient: Vec<String>,
    asked: Asked,
}

async fn of_visit(
    context: &Context,
    visit: VisitId,
    wish: Wish,
    id: LetterId,
) -> Result<LetterRecord, PageError> {
    let gathered = gather(context, visit).await?;
    let kind = checked(wish.kind, gathered.person.age_years)?;
    let films = films::of_visit(context, &gathered, wish.words).await?;
    let beside = beside::of_visit(context, &gathered).await?;
    let Composed { document, pictures } = composed(&Writing {
        knowledge: context.state.knowledge,
        practice: &context.practice,
        clinician: &context.worker,
        today: context.today(),
        visit: &gathered,
        films: &films,
        kind,
        words: wish.words,
        recipient: &wish.recipient,
        asked: &wish.asked,
        beside: &beside,
    });
    let title = title(kind, &document.language);
    let kept = KeptLetter {
        document,
        pictures,
        asked: wish.asked,
    };
    Ok(LetterRecord {
        id,
        visit,
        kind,
        title,
        facts: kept.facts()?,
        addendum_to: None,
        drafted_at: context.now,
        revision: 0,
        state: LetterState::Draft,
    })
}

/// What the letter is called in lists: its kind, and its language where that is not English.
fn title(kind: LetterKind, language: &str) -> String {
    let words = Words::of_tag(language);
    let title = super::begin::kind_words(kind);
    if words.tag() == "en" {
        title
    } else {
        format!("{title} ({})", words.plain("language-name"))
    }
}

/// Below this nobody is written about to an employer. Ours; a practice may lie under another law.
const WORKS_FROM_YEARS: f64 = 15.0;

/// The kinds that may be written about a person of this age, in the order in which they are offered.
pub fn kinds_for(age_years: Option<f64>) -> Vec<LetterKind> {
    let child = age_years.is_some_and(|age| age < 18.0);
    let works = age_years.is_none_or(|age| age >= WORKS_FROM_YEARS);
    LetterKind::ALL
        .into_iter()
        .filter(|kind| match kind {
            LetterKind::ToPatient => !child,
            LetterKind::ToParents | LetterKind::ToSchool => child,
            LetterKind::ToEmployer => works,
            LetterKind::ReadingSheet => false,
            _ => true,
        })
        .collect()
}

/// Parents and schools are written to about a child only; a letter to a child goes to the parents.
fn checked(kind: LetterKind, age_years: Option<f64>) -> Result<LetterKind, PageError> {
    let may = kinds_for(age_years);
    match kind {
        LetterKind::ToPatient if !may.contains(&kind) => Ok(LetterKind::ToParents),
        kind if may.contains(&kind) => Ok(kind),
        LetterKind::ToParents | LetterKind::ToSchool => Err(PageError::input(
            "found no recorded age under 18 years; add the birth date, or write to somebody else",
        )),
        LetterKind::ToEmployer => Err(PageError::input(
            "found an age under 15 years, expected somebody who works; write to the school",
        )),
        _ => Err(PageError::input(
            "found a kind of letter that is not written from a visit; choose one of those on the page",
        )),
    }
}

/// All that a letter is written from.
pub struct Writing<'a> {
    pub knowledge: &'a Knowledge,
    pub practice: &'a Practice,
    pub clinician: &'a Clinician,
    pub today: Date,
    pub visit: &'a Gathered,
    pub films: &'a [PaperFilm],
    pub kind: LetterKind,
    /// The language of the letter.
    pub words: &'a Words,
    pub recipient: &'a [String],
    /// What was asked for on the page.
    pub asked: &'a Asked,
    /// What the record holds beside the visit.
    pub beside: &'a Beside,
}

/// The letter as it is first drafted.
pub fn composed(w: &Writing<'_>) -> Composed {
    let g = w.visit;
    let practice = practice_lines_in(w.words, w.practice);
    let name = words::full_name(&g.patient);
    let born = g.patient.born_on.map(words::day);
    let to_doctor = matches!(w.kind, LetterKind::ToReferrer | LetterKind::ToSurgeon);
    let decision = decision(w.words, g, to_doctor);
    let review = g.plan.as_ref().and_then(|p| p.review_on).map(words::day);
    let taken: Vec<Vec<String>> = g.feet.iter().map(|f| taken(g, f)).collect();
    let facts = LetterFacts {
        words: w.words,
        knowledge: w.knowledge,
        practice: &practice,
        recipient: w.recipient,
        patient: PatientLine {
            name: Some(&name),
            born: born.as_deref(),
            chart: Some(&g.patient.chart_number),
        },
        date: &words::day(g.visit.on),
        clinician: &w.clinician.name,
        signed: None,
        story: &g.sheet.story,
        flags: &g.sheet.flags,
        feet: g
            .feet
            .iter()
            .zip(&taken)
            .map(|(foot, chosen)| Foot {
                side: foot.side,
                exam: &foot.exam,
                stage: Some(&foot.report),
                decided: foot.decision.as_ref().and_then(|d| d.chosen.as_deref()),
                proposal: Some(&foot.proposal),
                chosen,
                measured_on: &w.beside.measured_on,
            })
            .collect(),
        films: w.films.iter().map(|f| f.film(w.knowledge)).collect(),
        decision: &decision,
        next_visit: review.as_deref(),
        further: w.beside.into_further(w.asked.further()),
    };
    let mut composed = match w.kind {
        LetterKind::ToReferrer | LetterKind::ReadingSheet => compose::referrer_letter(&facts),
        LetterKind::ToPatient => compose::patient_letter(&facts),
        LetterKind::ToParents => compose::parents_letter(&facts),
        LetterKind::ToLab => compose::lab_letter(&facts),
        LetterKind::ToTherapist => compose::therapist_letter(&facts),
        LetterKind::ToSurgeon => compose::surgeon_letter(&facts),
        LetterKind::ToSchool => compose::school_note(&facts),
        LetterKind::ToEmployer => compose::employer_note(&facts),
        LetterKind::HomeSheet => compose::home_sheet(&facts),
    };
    // The letter carries the day it is written; the day of the visit stands in its head.
    composed.document.date = w.words.day(&words::day(w.today));
    if w.practice.demo {
        let demo = w.words.plain("demo");
        composed.document.foot = format!("{demo} {}", composed.document.foot);
    }
    composed
}

/// Name of the practice, then its lines as on an envelope, in the language of a letter.
pub fn practice_lines_in(w: &Words, practice: &Practice) -> Vec<String> {
    let mut lines = vec![practice.name.clone()];
    lines.extend(practice.address.iter().cloned());
    let number = |t: &String| w.with("telephone", &[("number", t.into())]);
    lines.extend(practice.telephone.iter().map(number));
    lines.extend(practice.demo.then(|| w.plain("demo")));
    lines
}

/// Rungs taken for a foot, in the order of the ladder; what the ladder does not know comes last.
fn taken(g: &Gathered, foot: &VisitFoot) -> Vec<String> {
    let of_foot = format!("{}:", foot.side.word());
    let taken = g.kept_plan.taken.iter();
    let mut keys: Vec<String> = taken
        .filter_map(|t| t.strip_prefix(&of_foot))
        .map(str::to_owned)
        .collect();
    let rungs = &foot.proposal.rungs;
    keys.sort_by_key(|key| {
        rungs
            .iter()
            .position(|r| r.key == *key)
            .unwrap_or(usize::MAX)
    });
    keys
}

/// What was decided, in the clinician's own words. Stages are told to doctors only: a patient reads
/// them in plain words elsewhere in the letter.
fn decision(w: &Words, g: &Gathered, to_doctor: bool) -> String {
    let mut said = Vec::new();
    let decisions = g.feet.iter().filter_map(|f| f.decision.as_ref());
    for decision in decisions.filter(|_| to_doctor) {
        let Some(chosen) = &decision.chosen else {
            continue;
        };
        said.push(w.with(
            "decision-stage",
            &[
                ("side", decision.side.word().into()),
                ("stage", chosen.into()),
            ],
        ));
        let reason = decision.overruled_reason.as_ref();
        said.extend(reason.map(|r| w.with("decision-reason", &[("reason", ended(r).into())])));
    }
    let own = g.kept_plan.words.trim();
    if !own.is_empty() {
        said.push(ended(own));
    }
    for side in Side::BOTH {
        let worn = g.kept_plan.worn(side).trim();
        if !worn.is_empty() {
            said.push(w.with(
                "decision-worn",
                &[("side", side.word().into()), ("what", ended(worn).into())],
            ));
        }
    }
    said.join(" ")
}

/// The words as written, with a full stop.
fn ended(text: &str) -> String {
    let text = text.trim();
    let stop = if text.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    format!("{text}{stop}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_letter_to_parents_needs_a_child_and_a_letter_to_a_child_goes_to_the_parents() {
        assert_eq!(
            checked(LetterKind::ToPatient, Some(7.5)).unwrap(),
            LetterKind::ToParents
        );
        assert_eq!(
            checked(LetterKind::ToPatient, Some(54.0)).unwrap(),
            LetterKind::ToPatient
        );
        assert_eq!(
            checked(LetterKind::ToPatient, None).unwrap(),
            LetterKind::ToPatient
        );
        for age in [None, Some(18.0), Some(54.0)] {
            assert!(checked(LetterKind::ToParents, age).is_err());
        }
        for age in [None, Some(7.5), Some(54.0)] {
            for kind in [
                LetterKind::ToTherapist,
                LetterKind::ToLab,
                LetterKind::HomeSheet,
            ] {
                assert_eq!(checked(kind, age).unwrap(), kind);
            }
            assert!(checked(LetterKind::ReadingSheet, age).is_err());
        }
        assert!(checked(LetterKind::ToSchool, Some(54.0)).is_err());
        assert!(checked(LetterKind::ToEmployer, Some(9.0)).is_err());
        assert!(checked(LetterKind::ToEmployer, Some(16.0)).is_ok());
    }

    #[test]
    fn words_of_the_clinician_are_ended_once() {
        assert_eq!(ended(" rest it "), "rest it.");
        assert_eq!(ended("rest it."), "rest it.");
    }
}
