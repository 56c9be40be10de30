//! What would an undo take back? Said before the button is pressed, in the words of the form.
//!
//! Story with alarm signs, left foot and right foot are undone each by itself: the last save of that one
//! sheet, which is one answer where the page saved it by itself, and all that were saved together else.

use super::inputs::unit_words;
use crate::adapt::person::{FOOT_FORMAT, FOOT_VERSION, PERSON_FORMAT, PERSON_VERSION, PersonSheet};
use crate::care::leg::{LEG_FORMAT, LEG_VERSION};
use crate::context::Context;
use crate::error::PageError;
use exam::{Examination, Kind, Leg, Question, Sheet};
use record::{ExamRecord, ExamineOf, Kept, VisitId};

/// Answers named one by one; more are counted.
const MOST_NAMED: usize = 3;
/// They come from the patient's details, not from the form.
const NOT_ASKED: [&str; 2] = ["age_years", "sex"];

/// A kept sheet, whichever it is.
enum Answers {
    Foot(Examination),
    Leg(Leg),
    Person(Box<PersonSheet>),
}

impl Answers {
    fn of(of: ExamineOf, kept: &Kept) -> Result<Self, PageError> {
        let fault = |e| PageError::ours("reading an examination back", e);
        Ok(match of {
            ExamineOf::Foot(_) => {
                Answers::Foot(kept.read(FOOT_FORMAT, FOOT_VERSION).map_err(fault)?)
            }
            ExamineOf::Leg(_) => Answers::Leg(kept.read(LEG_FORMAT, LEG_VERSION).map_err(fault)?),
            ExamineOf::Person => Answers::Person(Box::new(
                kept.read(PERSON_FORMAT, PERSON_VERSION).map_err(fault)?,
            )),
        })
    }

    fn text_of(&self, question: &Question) -> Option<String> {
        match (self, question.sheet) {
            (Answers::Foot(exam), Sheet::Foot) => exam.text_of(question.key),
            (Answers::Leg(leg), Sheet::Leg) => leg.text_of(question.key),
            (Answers::Person(sheet), Sheet::Person) => sheet.story.text_of(question.key),
            (Answers::Person(sheet), Sheet::Flags) => sheet.flags.text_of(question.key),
            _ => None,
        }
    }
}

/// The words beside the button; `None` where there is nothing to take back.
///
/// # Errors
/// No such visit, or an answer that cannot be read back.
pub async fn words(
    context: &Context,
    visit: VisitId,
    of: ExamineOf,
) -> Result<Option<String>, PageError> {
    let store = &context.state.store;
    match (
        store.exam(visit, of).await?,
        store.exam_before(visit, of).await?,
    ) {
        (Some(now), Some(before)) => between(&now, &before).map(Some),
        _ => Ok(None),
    }
}

fn between(now: &ExamRecord, before: &ExamRecord) -> Result<String, PageError> {
    let (now, before) = (
        Answers::of(now.of, &now.exam)?,
        Answers::of(before.of, &before.exam)?,
    );
    let changed: Vec<(&Question, Option<String>)> = exam::form()
        .iter()
        .filter(|q| !NOT_ASKED.contains(&q.key))
        .map(|q| (q, before.text_of(q)))
        .filter(|(q, before)| now.text_of(q) != *before)
        .collect();
    Ok(match changed.as_slice() {
        [] => "The last save changed no answer.".to_owned(),
        [(question, before)] => format!(
            "{}: back to {}.",
            question.words,
            said(question, before.as_deref())
        ),
        many => {
            let named: Vec<&str> = many.iter().take(MOST_NAMED).map(|(q, _)| q.words).collect();
            let more = many.len() - named.len();
            let more = match more {
                0 => String::new(),
                n => format!(" and {n} more"),
            };
            format!(
                "{} answers that were saved together: {}{more}.",
                many.len(),
                named.join("; ")
            )
        }
    })
}

/// An answer as the form shows it. Long words are not repeated.
fn said(question: &Question, answer: Option<&str>) -> String {
    match (answer, question.kind) {
        (None, _) if question.sheet == Sheet::Foot => "not looked at".to_owned(),
        (None, _) => "not answered".to_owned(),
        (Some(key), Kind::Choice { choices }) => choices
            .iter()
            .find(|c| c.key == key)
            .map_or_else(|| key.to_owned(), |c| format!("“{}”", c.words)),
        (Some(number), Kind::Number { unit, .. }) => {
            format!("{number} {}", unit_words(unit)).trim().to_owned()
        }
        (Some(_), Kind::Text { .. }) => "the words that stood there before".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use terms::Side;
    use time::macros::datetime;
    use uuid::Uuid;

    fn record(of: ExamineOf, exam: Kept) -> ExamRecord {
        ExamRecord {
            visit: VisitId::new(Uuid::from_u128(1)),
            of,
            exam,
            revision: 1,
            content_of: 1,
            saved_at: datetime!(2026-11-24 09:00 UTC),
        }
    }

    fn foot(answers: &[(&str, &str)]) -> ExamRecord {
        let mut exam = Examination::new();
        for (key, text) in answers {
            exam.set(key, text).unwrap();
        }
        let of = ExamineOf::Foot(Side::Left);
        record(of, Kept::of(FOOT_FORMAT, FOOT_VERSION, &exam).unwrap())
    }

    fn words_of(key: &str) -> &'static str {
        exam::question(key).unwrap().words
    }

    #[test]
    fn one_changed_answer_is_told_with_what_it_goes_back_to() {
        let clear = foot(&[("heel_line", "clear"), ("heel_angle_deg", "11")]);
        let slight = foot(&[("heel_line", "slight"), ("heel_angle_deg", "11")]);
        let without = foot(&[("heel_line", "clear")]);
        let heel = words_of("heel_line");
        let told = between(&clear, &slight).unwrap();
        assert!(told.starts_with(&format!("{heel}: back to “")), "{told}");
        assert!(!told.contains(words_of("heel_angle_deg")), "{told}");
        let told = between(&clear, &without).unwrap();
        let angle = words_of("heel_angle_deg");
        assert_eq!(told, format!("{angle}: back to not looked at."));
        let told = between(&without, &clear).unwrap();
        assert_eq!(told, format!("{angle}: back to 11 °."));
    }

    #[test]
    fn answers_saved_together_are_counted_and_a_save_without_a_change_says_so() {
        let many = foot(sore());
        let told = between(&many, &foot(&[])).unwrap();
        let count = format!("{} answers that were saved together: ", sore().len());
        assert!(
            told.starts_with(&count) && told.contains(" and 2 more."),
            "{told}"
        );
        assert_eq!(
            between(&many, &many).unwrap(),
            "The last save changed no answer."
        );
    }

    fn sore() -> &'static [(&'static str, &'static str)] {
        &[
            ("pain_level", "6"),
            ("pain_inner_ankle", "pressed"),
            ("swelling_inner", "marked"),
            ("toes_seen", "3"),
            ("heel_line", "clear"),
        ]
    }

    #[test]
    fn of_the_whole_person_story_and_alarm_signs_are_told_and_age_is_not() {
        let sheet = |flag: Option<&str>, age: &str| {
            let mut sheet = PersonSheet::default();
            sheet.story.set("age_years", age).unwrap();
            let key = exam::form().iter().find(|q| q.sheet == Sheet::Flags);
            if let Some(flag) = flag {
                sheet.flags.set(key.unwrap().key, flag).unwrap();
            }
            let kept = Kept::of(PERSON_FORMAT, PERSON_VERSION, &sheet).unwrap();
            record(ExamineOf::Person, kept)
        };
        let told = between(&sheet(Some("yes"), "58"), &sheet(None, "57")).unwrap();
        let first = exam::form().iter().find(|q| q.sheet == Sheet::Flags);
        assert_eq!(
            told,
            format!("{}: back to not answered.", first.unwrap().words)
        );
    }
}
