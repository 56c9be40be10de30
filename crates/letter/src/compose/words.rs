//! Recorded answers, texts of the form and the folder, and lists as words of a language.

use crate::words::{Value, Words, say, slug};
use exam::{Answer, Kind, Question};
use knowledge::{Knowledge, Measure};
use terms::{Side, Stance, View};

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

pub fn side(w: &Words, side: Side) -> String {
    say!(w, "side", side = side.word())
}

pub fn foot(w: &Words, side: Side) -> String {
    say!(w, "foot", side = side.word())
}

pub fn view(w: &Words, view: View) -> String {
    let key = match view {
        View::Lateral => "view-lateral",
        View::Dorsoplantar => "view-dorsoplantar",
        View::HindfootAlignment => "view-hindfoot",
        View::AnkleFront => "view-ankle",
    };
    say!(w, key)
}

pub fn stance(w: &Words, stance: Stance) -> String {
    let key = match stance {
        Stance::Standing => "stance-standing",
        Stance::NotStanding => "stance-not",
        Stance::Unknown => "stance-unknown",
    };
    say!(w, key)
}

/// Somebody's words, or that they are missing.
pub fn or_not_recorded(w: &Words, text: Option<&str>) -> String {
    match text.map(str::trim).filter(|t| !t.is_empty()) {
        Some(text) => text.to_owned(),
        None => say!(w, "not-recorded"),
    }
}

/// A number as it was typed, with its unit.
pub fn number(w: &Words, value: f64, unit: &str) -> String {
    if unit.is_empty() {
        return w.figures(&quantity::with_minus_signs(&value.to_string()));
    }
    let key = format!("unit-{}", slug(unit));
    if w.find(&key).is_some() {
        return w.with(&key, &[("value", Value::Number(value))]);
    }
    let unit = if value == 1.0 {
        unit.strip_suffix('s').unwrap_or(unit)
    } else {
        unit
    };
    say!(w, "unit-other", value = value, unit = w.said(unit))
}

/// An answer in the words of its question's choices.
pub fn answer(w: &Words, question: &Question, answer: &Answer) -> String {
    match (&question.kind, answer) {
        (Kind::Choice { choices }, Answer::Choice { choice }) => choices
            .iter()
            .find(|c| c.key == choice)
            .map_or_else(|| choice.clone(), |c| self::choice(w, question.key, c)),
        (Kind::Number { unit, .. }, Answer::Number { number: n, by_eye }) => {
            let words = number(w, *n, unit);
            if *by_eye {
                say!(w, "about", value = words)
            } else {
                words
            }
        }
        (_, Answer::Text { text }) => quoted(w, text),
        (_, other) => w.figures(&other.as_text()),
    }
}

/// A choice of the form: under its question where it needs words of its own there.
pub fn choice(w: &Words, question: &str, choice: &exam::Choice) -> String {
    let name = choice.key.replace('+', "plus").replace('-', "minus");
    w.known(&format!("choice-{question}-{name}"), choice.words)
}

/// What a question asks.
pub fn question(w: &Words, question: &Question) -> String {
    w.known(&format!("ask-{}", question.key), question.words)
}

/// Somebody's own words, on one line.
pub fn quoted(w: &Words, text: &str) -> String {
    let line: Vec<&str> = text.split_whitespace().collect();
    say!(w, "quoted", words = line.join(" "))
}

pub fn measure(w: &Words, measure: &Measure) -> String {
    w.known(&format!("measure-{}", measure.key), &measure.name)
}

pub fn measure_short(w: &Words, measure: &Measure) -> String {
    w.known(&format!("measure-{}-short", measure.key), &measure.short)
}

/// The words of a question, the name of a measure, or the key itself.
pub fn asked(w: &Words, knowledge: &Knowledge, key: &str) -> String {
    if let Some(q) = exam::question(key) {
        return small(&question(w, q));
    }
    terms::MeasureKey::new(key)
        .ok()
        .and_then(|k| knowledge.measure(&k))
        .map_or_else(
            || key.to_owned(),
            |m| say!(w, "asked-on-film", measure = small(&measure(w, m))),
        )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;

    #[test]
    fn a_list_reads_as_a_sentence_does() {
        let list = |language, all: &[&str]| {
            let all: Vec<String> = all.iter().map(|s| (*s).to_owned()).collect();
            Words::of(language).listed(&all)
        };
        let en = |n: usize| list(Language::English, &["a", "b", "c"][..n]);
        assert_eq!(
            [en(0), en(1), en(2), en(3)],
            ["", "a", "a and b", "a, b and c"]
        );
        let es = |all: &[&str]| list(Language::Spanish, all);
        assert_eq!(es(&["dolor", "fiebre"]), "dolor y fiebre");
        assert_eq!(es(&["dolor", "inflamación"]), "dolor e inflamación");
        assert_eq!(es(&["férula", "hielo"]), "férula y hielo");
    }

    #[test]
    fn an_abbreviation_keeps_its_large_letters() {
        assert_eq!(small("Heel angle"), "heel angle");
        assert_eq!(small("MRI of the tendon"), "MRI of the tendon");
        assert_eq!(small("A pop"), "a pop");
    }

    #[test]
    fn an_answer_judged_by_eye_says_about() {
        let w = Words::english();
        let q = exam::question("heel_angle_deg").unwrap();
        let a = Answer::parse(q, "about 9.5").unwrap();
        assert_eq!(answer(w, q, &a), "about 9.5°");
        let es = Words::of(Language::Spanish);
        assert_eq!(answer(es, q, &a), "unos 9,5°");
        let q = exam::question("duration_weeks").unwrap();
        assert_eq!(answer(w, q, &Answer::parse(q, "1").unwrap()), "1 week");
        assert_eq!(answer(es, q, &Answer::parse(q, "2").unwrap()), "2 semanas");
    }
}
