//! From the examination form to inputs: large segmented choices, numbers with their unit, words.
//! 'Not looked at' is always the first choice and the default.
//!
//! What decides the stage stands in the open, in the order of a visit; the rest of each section is
//! folded away with a count. Nothing is left out: a folded question is one press or one link away.

use super::nothing::{self, Nothing};
use exam::{Examination, Found, Kind, Question, Sheet, Who, sections};

/// Asked in the open: the story in short, and what the stages are told apart by.
const FIRST: [&str; 14] = [
    "complaint",
    "duration_weeks",
    "pain_level",
    "pain_inner_ankle",
    "pain_outer",
    "swelling_inner",
    "toes_seen",
    "heel_line",
    "forefoot_drifts_out",
    "heel_rise_single",
    "heel_rise_turns_in",
    "heel_corrects",
    "forefoot_varus",
    "forefoot_varus_corrects",
];

/// One heading with its questions.
pub struct Section {
    pub heading: &'static str,
    pub first: Vec<Input>,
    pub more: Vec<Input>,
    /// Of all its questions: `2 of 7 looked at`.
    pub count: String,
    /// Of those folded away: `5 more, 1 looked at`.
    pub more_count: String,
    pub nothing: Option<Nothing>,
}

impl Section {
    /// The open questions that have something to say on how to test.
    pub fn helps(&self) -> Vec<&Input> {
        self.first.iter().filter(|i| !i.help.is_empty()).collect()
    }
}

/// One question as the page shows it.
pub struct Input {
    /// `left.heel_angle_deg`: unique on the page, and the anchor that missing points lead to.
    pub id: String,
    pub name: String,
    pub words: &'static str,
    pub help: &'static str,
    pub choices: Vec<ChoiceInput>,
    /// Empty for choices.
    pub unit: &'static str,
    pub long: bool,
    /// What stands for an open choice.
    pub open_words: &'static str,
    /// Stands in the open.
    pub first: bool,
    pub value: String,
    pub measured: Option<MeasuredNote>,
}

/// What a print, a photograph or a clip gave for the question, beside the answer.
pub struct MeasuredNote {
    pub words: String,
    /// The id of what it was measured on.
    pub on: String,
    pub overruled: bool,
}

pub struct ChoiceInput {
    pub key: &'static str,
    pub words: &'static str,
    pub checked: bool,
}

/// The sections of a sheet, with the answers so far. `of` is `person`, `left` or `right`.
pub fn of_sheet(
    sheet: Sheet,
    of: &str,
    child: Option<bool>,
    skip: &[&str],
    answer: &dyn Fn(&str) -> Option<String>,
) -> Vec<Section> {
    sections(sheet)
        .into_iter()
        .filter_map(|(heading, mut questions)| {
            questions.retain(|q| !skip.contains(&q.key) && asked(q, child));
            let open: Vec<&'static Question> = questions
                .iter()
                .copied()
                .filter(|q| answer(q.key).is_none())
                .collect();
            let (known, all) = (questions.len() - open.len(), questions.len());
            let (first, more): (Vec<Input>, Vec<Input>) = questions
                .iter()
                .map(|q| input(q, of, answer(q.key)))
                .partition(|i| i.first);
            let more_known = more.iter().filter(|i| !i.value.is_empty()).count();
            let done = match sheet {
                Sheet::Foot => "looked at",
                Sheet::Leg => "measured",
                Sheet::Given => "recorded",
                Sheet::Person | Sheet::Flags => "answered",
            };
            (all > 0).then(|| Section {
                heading,
                count: format!("{known} of {all} {done}"),
                more_count: format!("{} more, {more_known} {done}", more.len()),
                nothing: nothing::offered(sheet, heading, &open),
                first,
                more,
            })
        })
        .collect()
}

/// The sections of a sheet with every question in the open: for pages that hold nothing else.
pub fn open_sections(
    sheet: Sheet,
    of: &str,
    answer: &dyn Fn(&str) -> Option<String>,
) -> Vec<Section> {
    let mut all = of_sheet(sheet, of, None, &[], answer);
    for section in &mut all {
        section.first.append(&mut section.more);
    }
    all
}

/// The questions under one heading, all in the open.
pub fn of_section(
    sheet: Sheet,
    heading: &str,
    of: &str,
    child: Option<bool>,
    answer: &dyn Fn(&str) -> Option<String>,
) -> Vec<Input> {
    sections(sheet)
        .into_iter()
        .filter(|(section, _)| *section == heading)
        .flat_map(|(_, questions)| questions)
        .filter(|q| asked(q, child))
        .map(|q| input(q, of, answer(q.key)))
        .collect()
}

/// Questions for the other age stay away unless the age is not known.
pub fn asked(question: &Question, child: Option<bool>) -> bool {
    match (question.who, child) {
        (Who::Adults, Some(true)) | (Who::Children, Some(false)) => false,
        (Who::Everyone | Who::Adults | Who::Children, _) => true,
    }
}

fn input(question: &'static Question, of: &str, value: Option<String>) -> Input {
    let value = value.unwrap_or_default();
    let choices = match question.kind {
        Kind::Choice { choices } => choices
            .iter()
            .map(|c| ChoiceInput {
                key: c.key,
                words: c.words,
                checked: c.key == value,
            })
            .collect(),
        Kind::Number { .. } | Kind::Text { .. } => Vec::new(),
    };
    let unit = match question.kind {
        Kind::Number { unit, .. } => unit_words(unit),
        Kind::Choice { .. } | Kind::Text { .. } => "",
    };
    Input {
        id: format!("{of}.{}", question.key),
        name: format!("q.{}", question.key),
        words: question.words,
        help: question.help,
        long: matches!(question.kind, Kind::Text { .. }),
        open_words: match question.sheet {
            Sheet::Given | Sheet::Leg => "not recorded",
            Sheet::Foot | Sheet::Person | Sheet::Flags => "not looked at",
        },
        choices,
        unit,
        first: FIRST.contains(&question.key),
        value,
        measured: None,
    }
}

/// Puts what was measured beside its question.
pub fn with_measured(mut all: Vec<Section>, exam: &Examination) -> Vec<Section> {
    for input in all
        .iter_mut()
        .flat_map(|s| s.first.iter_mut().chain(&mut s.more))
    {
        let key = input.name.trim_start_matches("q.");
        let Some(measured) = exam.measured(key) else {
            continue;
        };
        input.measured = Some(MeasuredNote {
            words: measured_words(&measured.found, input.unit, key),
            on: measured.on.clone(),
            overruled: exam.overruled(key).is_some(),
        });
    }
    all
}

fn measured_words(found: &Found, unit: &str, key: &str) -> String {
    match found {
        Found::Number {
            number,
            standard_error,
        } => {
            let decimals = exam::question(key).map_or(1, Question::decimals);
            let unit = match unit {
                "" | "°" => unit.to_owned(),
                other => format!(" {other}"),
            };
            let value = quantity::written(*number, decimals);
            match *standard_error > 0.0 {
                true => {
                    let half = quantity::written(quantity::Z_975 * standard_error, decimals);
                    format!("{value}{unit} ± {half}{unit}")
                }
                false => format!("{value}{unit}"),
            }
        }
        Found::Choice {
            choice,
            probability,
        } => {
            let words = exam::question(key).and_then(|q| match q.kind {
                Kind::Choice { choices } => choices.iter().find(|c| c.key == choice),
                _ => None,
            });
            let words = words.map_or(choice.as_str(), |c| c.words);
            format!(
                "{words}, probability {}",
                quantity::written(*probability, 2)
            )
        }
    }
}

pub fn unit_words(unit: &'static str) -> &'static str {
    match unit {
        "deg" => "°",
        "ratio" => "",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inputs_of(section: &Section) -> impl Iterator<Item = &Input> + Clone {
        section.first.iter().chain(&section.more)
    }

    #[test]
    fn what_stands_in_the_open_is_on_the_form_and_in_its_order() {
        let form: Vec<&str> = exam::form().iter().map(|q| q.key).collect();
        let place = |key: &&str| form.iter().position(|k| k == key);
        let places: Vec<Option<usize>> = FIRST.iter().map(place).collect();
        assert!(
            places.iter().all(Option::is_some) && places.is_sorted(),
            "{places:?}"
        );
    }

    #[test]
    fn a_section_counts_what_was_looked_at_also_among_the_folded() {
        let known = ["pain_inner_ankle", "pain_sole"];
        let all = of_sheet(Sheet::Foot, "left", None, &[], &|key| {
            known.contains(&key).then(|| "no".to_owned())
        });
        let pain = all
            .iter()
            .find(|s| s.heading == "Pain and swelling")
            .unwrap();
        assert_eq!(pain.count, "2 of 10 looked at");
        assert_eq!(pain.more_count, "6 more, 1 looked at");
    }

    #[test]
    fn nothing_is_answered_until_somebody_answers() {
        for sheet in [Sheet::Foot, Sheet::Person, Sheet::Flags] {
            let all = of_sheet(sheet, "left", None, &[], &|_| None);
            assert!(!all.is_empty());
            let inputs = all.iter().flat_map(inputs_of);
            assert!(
                inputs
                    .clone()
                    .all(|i| i.value.is_empty() && i.choices.iter().all(|c| !c.checked))
            );
            assert_eq!(
                inputs.count(),
                exam::form().iter().filter(|q| q.sheet == sheet).count()
            );
        }
    }

    #[test]
    fn an_answer_is_checked_in_its_own_question_only() {
        let all = of_sheet(Sheet::Foot, "right", Some(false), &[], &|key| {
            (key == "heel_corrects").then(|| "fully".to_owned())
        });
        let checked: Vec<&str> = all
            .iter()
            .flat_map(inputs_of)
            .filter(|i| i.choices.iter().any(|c| c.checked))
            .map(|i| i.id.as_str())
            .collect();
        assert_eq!(checked, ["right.heel_corrects"]);
    }
}
