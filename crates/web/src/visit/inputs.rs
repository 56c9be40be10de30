//! From the examination form to inputs: large segmented choices, numbers with their unit, words.
//! 'Not looked at' is always the first choice and the default.

use exam::{Kind, Question, Sheet, Who, sections};

/// One heading with its questions.
pub struct Section {
    pub heading: &'static str,
    pub inputs: Vec<Input>,
    /// How many are answered, in words.
    pub answered: String,
    pub open: bool,
}

/// One question as the page shows it.
pub struct Input {
    /// `left.heel_angle_deg`: unique on the page, and the anchor that missing points lead to.
    pub id: String,
    pub name: String,
    pub words: &'static str,
    pub help: &'static str,
    pub sources: Vec<&'static str>,
    pub choices: Vec<ChoiceInput>,
    /// Empty for choices.
    pub unit: &'static str,
    pub number: bool,
    pub long: bool,
    pub value: String,
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
        .filter_map(|(heading, questions)| {
            let inputs: Vec<Input> = questions
                .into_iter()
                .filter(|q| !skip.contains(&q.key) && asked(q, child))
                .map(|q| input(q, of, answer(q.key)))
                .collect();
            let known = inputs.iter().filter(|i| !i.value.is_empty()).count();
            let answered = match known {
                0 => "nothing yet".to_owned(),
                n => format!("{n} of {} answered", inputs.len()),
            };
            (!inputs.is_empty()).then_some(Section {
                heading,
                open: known > 0,
                inputs,
                answered,
            })
        })
        .collect()
}

/// Questions for the other age stay away unless the age is not known.
fn asked(question: &Question, child: Option<bool>) -> bool {
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
    let (number, unit) = match question.kind {
        Kind::Number { unit, .. } => (true, unit_words(unit)),
        Kind::Choice { .. } | Kind::Text { .. } => (false, ""),
    };
    Input {
        id: format!("{of}.{}", question.key),
        name: format!("q.{}", question.key),
        words: question.words,
        help: question.help,
        sources: question.sources.to_vec(),
        long: matches!(question.kind, Kind::Text { .. }),
        choices,
        unit,
        number,
        value,
    }
}

fn unit_words(unit: &'static str) -> &'static str {
    match unit {
        "deg" => "°",
        "ratio" => "",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_answered_until_somebody_answers() {
        for sheet in [Sheet::Foot, Sheet::Person, Sheet::Flags] {
            let all = of_sheet(sheet, "left", None, &[], &|_| None);
            assert!(!all.is_empty());
            let inputs = all.iter().flat_map(|s| &s.inputs);
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
            .flat_map(|s| &s.inputs)
            .filter(|i| i.choices.iter().any(|c| c.checked))
            .map(|i| i.id.as_str())
            .collect();
        assert_eq!(checked, ["right.heel_corrects"]);
    }
}
