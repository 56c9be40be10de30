//! Who the person is and what was told, in sentences made of recorded answers only.

use super::words;
use exam::{Answer, Question, RedFlags, Story};

/// Keys that the sentences use up; the rest of the story is listed.
const TOLD: [&str; 11] = [
    "age_years",
    "sex",
    "complaint",
    "duration_weeks",
    "onset",
    "course",
    "tried",
    "tried_weeks",
    "goal",
    "medicines_other",
    "trauma",
];

/// `A woman of 54 years`, `A child of 7.5 years`; `None` where age and sex are not recorded.
pub fn who(story: &Story) -> Option<String> {
    let sex = story.choice("sex").value();
    let Some(age) = story.number("age_years").value() else {
        // Without an age nobody can say whether this is a woman or a girl.
        return sex.map(|s| format!("A {s} patient, age not recorded"));
    };
    let noun = match (age >= 18.0, sex) {
        (false, Some("female")) => "A girl",
        (false, Some("male")) => "A boy",
        (false, _) => "A child",
        (true, Some("female")) => "A woman",
        (true, Some("male")) => "A man",
        (true, _) => "An adult",
    };
    // A grown person's age is told in completed years.
    let age = if age >= 18.0 { age.floor() } else { age };
    let unit = if age == 1.0 { "year" } else { "years" };
    Some(format!("{noun} of {age} {unit}"))
}

/// `It crept in, has lasted 30 weeks and is getting worse.`
fn course(story: &Story) -> Option<String> {
    let mut parts: Vec<String> = Vec::new();
    match story.choice("onset").value() {
        Some("gradual") => parts.push("crept in".into()),
        Some("sudden") => parts.push("began from one day to the next".into()),
        Some("after_injury") => parts.push("began after an injury".into()),
        Some("always") => parts.push("has been there as long as anybody remembers".into()),
        _ => {}
    }
    if let Some(weeks) = story.number("duration_weeks").value() {
        let unit = if weeks == 1.0 { "week" } else { "weeks" };
        parts.push(format!("has lasted {weeks} {unit}"));
    }
    match story.choice("course").value() {
        Some("better") => parts.push("is getting better".into()),
        Some("same") => parts.push("is much the same".into()),
        Some("worse") => parts.push("is getting worse".into()),
        _ => {}
    }
    (!parts.is_empty()).then(|| format!("It {}.", terms::listed(&parts)))
}

fn text<'s>(story: &'s Story, key: &str) -> Option<&'s str> {
    match story.get(key) {
        Some(Answer::Text { text }) => Some(text),
        _ => None,
    }
}

/// The story in at most three sentences, and what stands on the list of illnesses; `None` where nothing
/// was recorded.
pub fn brief(story: &Story) -> Option<String> {
    let mut out: Vec<String> = Vec::new();
    match (who(story), text(story, "complaint")) {
        (Some(who), Some(words)) => out.push(format!("{who}, who says: {}", words::quoted(words))),
        (Some(who), None) => out.push(format!("{who}.")),
        (None, Some(words)) => out.push(format!("In their words: {}", words::quoted(words))),
        (None, None) => {}
    }
    let injury = match story.yes("trauma") {
        Some(true) => Some("an injury to this foot or ankle came before it"),
        Some(false) => Some("no injury came before it"),
        None => None,
    };
    match (course(story), injury) {
        (Some(course), Some(injury)) => {
            out.push(format!("{}; {injury}.", course.trim_end_matches('.')));
        }
        (Some(course), None) => out.push(course),
        (None, Some(injury)) => out.push(format!("{}.", words::capital(injury))),
        (None, None) => {}
    }
    let mut tried: Vec<String> = Vec::new();
    let weeks = story.number("tried_weeks").value().map(|weeks| {
        let unit = if weeks == 1.0 { "week" } else { "weeks" };
        format!("{weeks} {unit} of steady treatment so far")
    });
    match (weeks, text(story, "tried")) {
        (Some(weeks), Some(words)) => tried.push(format!("{weeks}: {}", quoted_inside(words))),
        (Some(weeks), None) => tried.push(weeks),
        (None, Some(words)) => tried.push(format!("tried so far: {}", quoted_inside(words))),
        (None, None) => {}
    }
    if let Some(goal) = text(story, "goal") {
        tried.push(format!("wants to do again: {}", quoted_inside(goal)));
    }
    if !tried.is_empty() {
        out.push(words::sentence(&words::capital(&tried.join("; "))));
    }
    let there: Vec<String> = story
        .answered()
        .filter(|(q, a)| {
            !TOLD.contains(&q.key)
                && !exam::score::LAXITY_ITEMS.contains(&q.key)
                && yes_no(q)
                && matches!(a, Answer::Choice { choice } if choice == "yes")
        })
        .map(|(q, _)| words::small(q.words))
        .collect();
    if !there.is_empty() {
        out.push(format!("Answered yes: {}.", there.join("; ")));
    }
    (!out.is_empty()).then(|| out.join(" "))
}

/// Somebody's words within a sentence, without their full stop.
fn quoted_inside(text: &str) -> String {
    words::quoted(text.trim().trim_end_matches('.'))
}

/// Illnesses, medicines, laxity and alarm questions as label and value, answered ones only.
pub fn pairs(story: &Story, flags: &RedFlags) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let others: Vec<(&'static Question, &Answer)> = story
        .answered()
        .filter(|(q, _)| !TOLD.contains(&q.key) && !exam::score::LAXITY_ITEMS.contains(&q.key))
        .collect();
    let mut sections: Vec<&str> = others.iter().map(|(q, _)| q.section).collect();
    sections.dedup();
    for section in sections {
        let of = others.iter().filter(|(q, _)| q.section == section);
        push(&mut out, section, of.copied());
    }
    if let Some(other) = text(story, "medicines_other") {
        out.push(("Other medicines".into(), words::quoted(other)));
    }
    let laxity = exam::score::laxity_total(story);
    if laxity.answered > 0 {
        out.push(("Loose joints, of 9 points".into(), laxity.words()));
    }
    push(&mut out, "Alarm questions", flags.answered());
    out
}

fn push<'a>(
    out: &mut Vec<(String, String)>,
    section: &str,
    answers: impl Iterator<Item = (&'static Question, &'a Answer)>,
) {
    let (mut yes, mut no, mut said) = (Vec::new(), Vec::new(), Vec::new());
    for (q, a) in answers {
        match a {
            Answer::Choice { choice } if choice == "yes" => yes.push(words::small(q.words)),
            Answer::Choice { choice } if choice == "no" && yes_no(q) => {
                no.push(words::small(q.words));
            }
            _ => said.push(format!(
                "{}: {}",
                words::small(q.words),
                words::answer(q, a)
            )),
        }
    }
    let mut lines = Vec::new();
    if !said.is_empty() {
        lines.push(words::capital(&format!("{}.", said.join("; "))));
    }
    if !yes.is_empty() {
        lines.push(format!("Yes: {}.", yes.join("; ")));
    }
    if !no.is_empty() {
        lines.push(format!("No: {}.", no.join("; ")));
    }
    if !lines.is_empty() {
        out.push((section.to_owned(), lines.join("\n")));
    }
}

fn yes_no(question: &Question) -> bool {
    matches!(question.kind, exam::Kind::Choice { choices } if choices.len() == 2
        && choices.iter().all(|c| c.key == "yes" || c.key == "no"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_story_of_which_nothing_is_recorded_has_no_sentence() {
        assert_eq!(brief(&Story::new()), None);
        assert!(pairs(&Story::new(), &RedFlags::new()).is_empty());
    }

    #[test]
    fn a_person_without_an_age_is_neither_woman_nor_girl() {
        let mut story = Story::new();
        story.set("sex", "female").unwrap();
        assert_eq!(
            brief(&story).as_deref(),
            Some("A female patient, age not recorded.")
        );
    }

    #[test]
    fn the_course_is_told_from_what_was_answered() {
        let mut story = Story::new();
        story.set("course", "worse").unwrap();
        assert_eq!(brief(&story).as_deref(), Some("It is getting worse."));
        story.set("onset", "gradual").unwrap();
        story.set("duration_weeks", "30").unwrap();
        assert_eq!(
            brief(&story).as_deref(),
            Some("It crept in, has lasted 30 weeks and is getting worse.")
        );
    }
}
