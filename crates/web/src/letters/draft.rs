//! From a visit to the draft of a letter: which sentences does what was recorded give?
//!
//! Nothing is told that the visit does not hold. A draft can be made again from the visit for as long
//! as it is not signed; words changed in it by hand are lost then.

use super::films::{self, PaperFilm};
use super::kept::KeptLetter;
use super::{edit, page};
use crate::context::Context;
use crate::error::{PageError, sentence};
use crate::visit::gather::{Gathered, VisitFoot, gather};
use crate::words;
use axum::{Form, extract::Path, response::Redirect};
use knowledge::Knowledge;
use letter::{Composed, Foot, LetterFacts, PatientLine, compose};
use record::{Clinician, LetterId, LetterKind, LetterRecord, LetterState, Practice, VisitId};
use std::collections::BTreeMap;
use terms::Side;
use time::Date;

/// Said on every paper that is made of invented data.
pub const DEMO: &str = "Demo: every person and every number here is invented.";

/// `POST /visit/{id}/letters`: `kind` and `recipient`.
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
    let id = LetterId::new(context.state.ids.fresh());
    let record = of_visit(&context, visit, kind, recipient, id).await?;
    context
        .state
        .store
        .save_letter(context.stamp(), record, 0)
        .await?;
    Ok(Redirect::to(&format!("/letter/{id}")))
}

/// `POST /letter/{id}/again`: the draft anew from what the visit holds now; the recipient stays.
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
    let recipient = KeptLetter::of(&before)?.document.recipient;
    let record = of_visit(&context, before.visit, before.kind, recipient, before.id).await?;
    context
        .state
        .store
        .save_letter(context.stamp(), record, before.revision)
        .await?;
    Ok(Redirect::to(&format!("/letter/{}", before.id)))
}

async fn of_visit(
    context: &Context,
    visit: VisitId,
    kind: LetterKind,
    recipient: Vec<String>,
    id: LetterId,
) -> Result<LetterRecord, PageError> {
    let gathered = gather(context, visit).await?;
    let kind = checked(kind, gathered.person.age_years)?;
    let films = films::of_visit(context, &gathered).await?;
    let Composed { document, pictures } = composed(&Writing {
        knowledge: context.state.knowledge,
        practice: &context.practice,
        clinician: &context.worker,
        today: context.today(),
        visit: &gathered,
        films: &films,
        kind,
        recipient: &recipient,
    });
    let kept = KeptLetter { document, pictures };
    Ok(LetterRecord {
        id,
        visit,
        kind,
        title: sentence(kind.words()).trim_end_matches('.').to_owned(),
        facts: kept.facts()?,
        addendum_to: None,
        drafted_at: context.now,
        revision: 0,
        state: LetterState::Draft,
    })
}

/// Parents are written to about a child only; a letter to a child goes to the parents.
fn checked(kind: LetterKind, age_years: Option<f64>) -> Result<LetterKind, PageError> {
    let child = age_years.is_some_and(|age| age < 18.0);
    match kind {
        LetterKind::ToReferrer => Ok(kind),
        LetterKind::ToPatient | LetterKind::ToParents if child => Ok(LetterKind::ToParents),
        LetterKind::ToPatient => Ok(kind),
        LetterKind::ToParents => Err(PageError::input(
            "found no recorded age under 18 years; add the birth date, or write to the patient",
        )),
        _ => Err(PageError::input(
            "found a kind of letter that is not written from a visit; choose the referring doctor, the patient or the parents",
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
    pub recipient: &'a [String],
}

/// The letter as it is first drafted.
pub fn composed(w: &Writing<'_>) -> Composed {
    let g = w.visit;
    let practice = practice_lines(w.practice);
    let name = words::full_name(&g.patient);
    let born = g.patient.born_on.map(words::day);
    let to_doctor = w.kind == LetterKind::ToReferrer;
    let decision = decision(g, to_doctor);
    let review = g.plan.as_ref().and_then(|p| p.review_on).map(words::day);
    let taken: Vec<Vec<String>> = g.feet.iter().map(|f| taken(g, f)).collect();
    let facts = LetterFacts {
        words: letter::Words::english(),
        further: letter::Further::default(),
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
            })
            .collect(),
        films: w.films.iter().map(|f| f.film(w.knowledge)).collect(),
        decision: &decision,
        next_visit: review.as_deref(),
    };
    let mut composed = if to_doctor {
        compose::referrer_letter(&facts)
    } else {
        compose::patient_letter(&facts)
    };
    // The letter carries the day it is written; the day of the visit stands in its head.
    composed.document.date = words::day(w.today);
    if w.practice.demo {
        composed.document.foot = format!("{DEMO} {}", composed.document.foot);
    }
    composed
}

/// Name of the practice, then its lines as on an envelope.
pub fn practice_lines(practice: &Practice) -> Vec<String> {
    let mut lines = vec![practice.name.clone()];
    lines.extend(practice.address.iter().cloned());
    lines.extend(practice.telephone.iter().map(|t| format!("Telephone {t}")));
    lines.extend(practice.demo.then(|| DEMO.to_owned()));
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
fn decision(g: &Gathered, to_doctor: bool) -> String {
    let mut said = Vec::new();
    let decisions = g.feet.iter().filter_map(|f| f.decision.as_ref());
    for decision in decisions.filter(|_| to_doctor) {
        let Some(chosen) = &decision.chosen else {
            continue;
        };
        let side = decision.side.word();
        said.push(format!("Stage decided on for the {side} foot: {chosen}."));
        said.extend(
            decision
                .overruled_reason
                .as_ref()
                .map(|r| format!("Reason: {}", ended(r))),
        );
    }
    let own = g.kept_plan.words.trim();
    if !own.is_empty() {
        said.push(ended(own));
    }
    for side in Side::BOTH {
        let worn = g.kept_plan.worn(side).trim();
        if !worn.is_empty() {
            said.push(format!(
                "Worn on the {} foot until the next visit: {}",
                side.word(),
                ended(worn)
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
        assert!(checked(LetterKind::ToLab, Some(54.0)).is_err());
    }

    #[test]
    fn words_of_the_clinician_are_ended_once() {
        assert_eq!(ended(" rest it "), "rest it.");
        assert_eq!(ended("rest it."), "rest it.");
    }
}
