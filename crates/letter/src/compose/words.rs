//! Recorded answers and lists as words.

use exam::{Answer, Kind, Question};
use quantity::with_minus_signs;
use terms::Side;

/// First letter large.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| {
        c.to_uppercase().collect::<String>() + chars.as_str()
    })
}

/// First letter small, unless the second is large too (`MRI`, `CT`).
pub fn small(text: &str) -> String {
    let mut chars = text.chars();
    let (first, second) = (chars.next(), chars.next());
    match (first, second) {
        (Some(a), Some(b)) if b.is_lowercase() || b == ' ' => {
            let rest: String = text.chars().skip(1).collect();
            a.to_lowercase().collect::<String>() + &rest
        }
        _ => text.to_owned(),
    }
}

/// With one full stop at the end.
pub fn sentence(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() || text.ends_with(['.', '!', '?', '…', ':']) {
        text.to_owned()
    } else {
        format!("{text}.")
    }
}

pub fn foot(side: Side) -> String {
    format!("{} foot", side.word())
}

/// A number as it was typed, with its unit.
fn number(value: f64, unit: &str) -> String {
    with_minus_signs(&plain_number(value, unit))
}

fn plain_number(value: f64, unit: &str) -> String {
    match unit {
        "deg" => format!("{value}°"),
        "ratio" => format!("{value}"),
        "grade" => format!("grade {value}"),
        _ if value == 1.0 => format!("{value} {}", unit.strip_suffix('s').unwrap_or(unit)),
        _ => format!("{value} {unit}"),
    }
}

/// An answer in the words of its question's choices.
pub fn answer(question: &Question, answer: &Answer) -> String {
    match (&question.kind, answer) {
        (Kind::Choice { choices }, Answer::Choice { choice }) => choices
            .iter()
            .find(|c| c.key == choice)
            .map_or_else(|| choice.clone(), |c| c.words.to_owned()),
        (Kind::Number { unit, .. }, Answer::Number { number: n, by_eye }) => {
            let words = number(*n, unit);
            if *by_eye {
                format!("about {words}")
            } else {
                words
            }
        }
        (_, Answer::Text { text }) => quoted(text),
        (_, other) => other.as_text(),
    }
}

/// Somebody's own words, on one line.
pub fn quoted(text: &str) -> String {
    let line: Vec<&str> = text.split_whitespace().collect();
    format!("“{}”", line.join(" "))
}

/// The words of a question, the name of a measure, or the key itself.
pub fn asked(knowledge: &knowledge::Knowledge, key: &str) -> String {
    if let Some(question) = exam::question(key) {
        return small(question.words);
    }
    terms::MeasureKey::new(key)
        .ok()
        .and_then(|k| {
            knowledge
                .measure(&k)
                .map(|m| format!("{} on a standing film", small(&m.name)))
        })
        .unwrap_or_else(|| key.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_reads_as_a_sentence_does() {
        let list = |n: usize| terms::listed(&["a", "b", "c"].map(String::from)[..n]);
        assert_eq!(
            [list(0), list(1), list(2), list(3)],
            ["", "a", "a and b", "a, b and c"]
        );
    }

    #[test]
    fn an_abbreviation_keeps_its_large_letters() {
        assert_eq!(small("Heel angle"), "heel angle");
        assert_eq!(small("MRI of the tendon"), "MRI of the tendon");
        assert_eq!(small("A pop"), "a pop");
    }

    #[test]
    fn an_answer_judged_by_eye_says_about() {
        let q = exam::question("heel_angle_deg").unwrap();
        let a = Answer::parse(q, "about 9.5").unwrap();
        assert_eq!(answer(q, &a), "about 9.5°");
        let q = exam::question("duration_weeks").unwrap();
        assert_eq!(answer(q, &Answer::parse(q, "1").unwrap()), "1 week");
    }
}
