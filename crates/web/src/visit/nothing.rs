//! Where may 'nothing found' be said of a whole section at once, and what exactly does it write?
//!
//! Only where each question of the section is a look or a question of its own whose plain answer is
//! 'no' or 'none'. It is said by the clinician, never by the page: what will be written is shown first,
//! answers that are there stay, and numbers, gradings and sections where 'no' counts for or against
//! something are left out.

use exam::{ExamError, Kind, Question, Sheet, sections};

/// The sections, each with what the clinician states by saying so.
const SECTIONS: [(Sheet, &str, &str); 6] = [
    (
        Sheet::Foot,
        "Pain and swelling",
        "You pressed and looked at each of these places, and none was painful or swollen.",
    ),
    (
        Sheet::Foot,
        "Skin",
        "You looked at the skin of the whole foot, and it is sound.",
    ),
    (
        Sheet::Person,
        "Illnesses",
        "You asked about each of these, and they have none.",
    ),
    (
        Sheet::Person,
        "Medicines",
        "You asked about each of these, and they take none.",
    ),
    (
        Sheet::Flags,
        "Infection, injury, circulation",
        "You asked about and looked for each of these signs, and none is there.",
    ),
    (
        Sheet::Flags,
        "Tumour, nerve, joints",
        "You asked about and looked for each of these signs, and none is there.",
    ),
];

/// What the button says and writes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Nothing {
    pub states: &'static str,
    /// The questions still open that it answers.
    pub writes: Vec<&'static str>,
}

/// The plain answer of a question, where it has one.
fn plain_answer(question: &Question) -> Option<&'static str> {
    match question.kind {
        Kind::Choice { choices } => choices
            .iter()
            .map(|c| c.key)
            .find(|key| ["no", "none"].contains(key)),
        Kind::Number { .. } | Kind::Text { .. } => None,
    }
}

/// Offered while something of the section is open; `open` are its open questions that are asked here.
pub fn offered(sheet: Sheet, heading: &str, open: &[&'static Question]) -> Option<Nothing> {
    let (_, _, states) = SECTIONS
        .into_iter()
        .find(|(s, h, _)| *s == sheet && *h == heading)?;
    let writes: Vec<&'static str> = open
        .iter()
        .filter(|q| plain_answer(q).is_some())
        .map(|q| q.words)
        .collect();
    (!writes.is_empty()).then_some(Nothing { states, writes })
}

/// Answers the open questions of the section. False where this section cannot be answered at once.
///
/// # Errors
/// As `set` says.
pub fn write(
    heading: &str,
    asked: &dyn Fn(&Question) -> bool,
    is_open: &dyn Fn(&str) -> bool,
    mut set: impl FnMut(&str, &str) -> Result<(), ExamError>,
) -> Result<bool, ExamError> {
    let Some((sheet, ..)) = SECTIONS.into_iter().find(|(_, h, _)| *h == heading) else {
        return Ok(false);
    };
    let of_section = sections(sheet)
        .into_iter()
        .filter(|(h, _)| *h == heading)
        .flat_map(|(_, questions)| questions);
    for question in of_section.filter(|q| asked(q) && is_open(q.key)) {
        if let Some(plain) = plain_answer(question) {
            set(question.key, plain)?;
        }
    }
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use exam::Examination;

    #[test]
    fn every_section_named_here_is_on_the_form_and_only_once() {
        for (sheet, heading, _) in SECTIONS {
            let all = [Sheet::Foot, Sheet::Person, Sheet::Flags];
            let found: Vec<Sheet> = all
                .into_iter()
                .filter(|s| sections(*s).iter().any(|(h, _)| *h == heading))
                .collect();
            assert_eq!(found, [sheet], "{heading}");
        }
    }

    #[test]
    fn nothing_found_answers_what_is_open_and_leaves_answers_and_numbers_alone() {
        let mut exam = Examination::new();
        exam.set("pain_sole", "pressed").unwrap();
        let before = exam.clone();
        let open = |key: &str| before.text_of(key).is_none();
        let done = write("Pain and swelling", &|_| true, &open, |k, t| exam.set(k, t));
        assert_eq!(done, Ok(true));
        assert_eq!(exam.text_of("pain_sole").as_deref(), Some("pressed"));
        assert_eq!(exam.text_of("pain_inner_ankle").as_deref(), Some("no"));
        assert_eq!(exam.text_of("swelling_inner").as_deref(), Some("none"));
        assert_eq!(exam.text_of("pain_level"), None, "nobody gave a number");
        assert_eq!(exam.text_of("heel_rise_single"), None);
    }

    #[test]
    fn no_section_of_the_heel_rise_or_the_clot_score_can_be_waved_through() {
        for heading in [
            "Heel rise",
            "Does it correct",
            "Standing",
            "Clot in the leg",
        ] {
            let mut exam = Examination::new();
            let done = write(heading, &|_| true, &|_| true, |k, t| exam.set(k, t));
            assert_eq!(done, Ok(false), "{heading}");
            assert!(exam.is_empty());
        }
    }
}
