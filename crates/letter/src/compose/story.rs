//! Who the person is and what was told, in sentences made of recorded answers only.

use super::{findings, words};
use crate::words::{Words, say};
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
pub fn who(w: &Words, story: &Story) -> Option<String> {
    let sex = story.choice("sex").value();
    let Some(age) = story.number("age_years").value() else {
        // Without an age nobody can say whether this is a woman or a girl.
        return sex.map(|s| say!(w, "who-without-age", sex = s));
    };
    let who = match (age >= 18.0, sex) {
        (false, Some("female")) => "girl",
        (false, Some("male")) => "boy",
        (false, _) => "child",
        (true, Some("female")) => "woman",
        (true, Some("male")) => "man",
        (true, _) => "adult",
    };
    // A grown person's age is told in completed years.
    let age = if age >= 18.0 { age.floor() } else { age };
    Some(say!(w, "who-with-age", who = who, age = age))
}

/// `It crept in, has lasted 30 weeks and is getting worse.`
fn course(w: &Words, story: &Story) -> Option<String> {
    let part = |key: &str| {
        let choice = story.choice(key).value()?;
        w.find(&format!("story-{key}-{choice}"))
    };
    let lasted = story
        .number("duration_weeks")
        .value()
        .map(|weeks| say!(w, "story-lasted", weeks = weeks));
    let parts: Vec<String> = [part("onset"), lasted, part("course")]
        .into_iter()
        .flatten()
        .collect();
    (!parts.is_empty()).then(|| say!(w, "story-course", parts = w.listed(&parts)))
}

fn text<'s>(story: &'s Story, key: &str) -> Option<&'s str> {
    match story.get(key) {
        Some(Answer::Text { text }) => Some(text),
        _ => None,
    }
}

/// The story in at most three sentences, and what stands on the list of illnesses; `None` where nothing
/// was recorded.
pub fn brief(w: &Words, story: &Story) -> Option<String> {
    let mut out: Vec<String> = Vec::new();
    match (who(w, story), text(story, "complaint")) {
        (Some(who), Some(said)) => {
            let said = words::quoted(w, said);
            out.push(say!(w, "story-who-says", who = who, words = said));
        }
        (Some(who), None) => out.push(format!("{who}.")),
        (None, Some(said)) => {
            out.push(say!(w, "story-says", words = words::quoted(w, said)));
        }
        (None, None) => {}
    }
    let injury = match story.yes("trauma") {
        Some(true) => Some(say!(w, "story-injury")),
        Some(false) => Some(say!(w, "story-no-injury")),
        None => None,
    };
    match (course(w, story), injury) {
        (Some(course), Some(injury)) => {
            out.push(format!("{}; {injury}.", course.trim_end_matches('.')));
        }
        (Some(course), None) => out.push(course),
        (None, Some(injury)) => out.push(format!("{}.", words::capital(&injury))),
        (None, None) => {}
    }
    let mut tried: Vec<String> = Vec::new();
    let weeks = story
        .number("tried_weeks")
        .value()
        .map(|weeks| say!(w, "story-tried-weeks", weeks = weeks));
    match (weeks, text(story, "tried")) {
        (Some(weeks), Some(said)) => {
            let said = quoted_inside(w, said);
            tried.push(say!(w, "labelled", label = weeks, value = said));
        }
        (Some(weeks), None) => tried.push(weeks),
        (None, Some(said)) => {
            tried.push(say!(w, "story-tried", words = quoted_inside(w, said)));
        }
        (None, None) => {}
    }
    if let Some(goal) = text(story, "goal") {
        tried.push(say!(w, "story-goal", words = quoted_inside(w, goal)));
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
        .map(|(q, _)| words::small(&words::question(w, q)))
        .collect();
    if !there.is_empty() {
        out.push(say!(w, "story-answered-yes", answers = there.join("; ")));
    }
    (!out.is_empty()).then(|| out.join(" "))
}

/// Somebody's words within a sentence, without their full stop.
fn quoted_inside(w: &Words, text: &str) -> String {
    words::quoted(w, text.trim().trim_end_matches('.'))
}

/// Illnesses, medicines, laxity and alarm questions as label and value, answered ones only.
pub fn pairs(w: &Words, story: &Story, flags: &RedFlags) -> Vec<(String, String)> {
    let mut out = Vec::new();
    let others: Vec<(&'static Question, &Answer)> = story
        .answered()
        .filter(|(q, _)| !TOLD.contains(&q.key) && !exam::score::LAXITY_ITEMS.contains(&q.key))
        .collect();
    let mut sections: Vec<&str> = others.iter().map(|(q, _)| q.section).collect();
    sections.dedup();
    for section in sections {
        let of = others.iter().filter(|(q, _)| q.section == section);
        push(w, &mut out, findings::section(w, section), of.copied());
    }
    if let Some(other) = text(story, "medicines_other") {
        out.push((say!(w, "label-other-medicines"), words::quoted(w, other)));
    }
    let laxity = exam::score::laxity_total(story);
    if laxity.answered > 0 {
        out.push((say!(w, "label-laxity"), w.said(&laxity.words())));
    }
    push(
        w,
        &mut out,
        say!(w, "label-alarm-questions"),
        flags.answered(),
    );
    out
}

fn push<'a>(
    w: &Words,
    out: &mut Vec<(String, String)>,
    section: String,
    answers: impl Iterator<Item = (&'static Question, &'a Answer)>,
) {
    let (mut yes, mut no, mut said) = (Vec::new(), Vec::new(), Vec::new());
    for (q, a) in answers {
        let asked = words::small(&words::question(w, q));
        match a {
            Answer::Choice { choice } if choice == "yes" => yes.push(asked),
            Answer::Choice { choice } if choice == "no" && yes_no(q) => {
                no.push(asked);
            }
            _ => {
                let answer = words::answer(w, q, a);
                said.push(say!(w, "labelled", label = asked, value = answer));
            }
        }
    }
    let mut lines = Vec::new();
    if !said.is_empty() {
        lines.push(words::capital(&format!("{}.", said.join("; "))));
    }
    if !yes.is_empty() {
        lines.push(say!(w, "answers-yes", answers = yes.join("; ")));
    }
    if !no.is_empty() {
        lines.push(say!(w, "answers-no", answers = no.join("; ")));
    }
    if !lines.is_empty() {
        out.push((section, lines.join("\n")));
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
        assert_eq!(brief(Words::english(), &Story::new()), None);
        assert!(pairs(Words::english(), &Story::new(), &RedFlags::new()).is_empty());
    }

    #[test]
    fn a_person_without_an_age_is_neither_woman_nor_girl() {
        let mut story = Story::new();
        story.set("sex", "female").unwrap();
        assert_eq!(
            brief(Words::english(), &story).as_deref(),
            Some("A female patient, age not recorded.")
        );
    }

    #[test]
    fn the_course_is_told_from_what_was_answered() {
        let mut story = Story::new();
        story.set("course", "worse").unwrap();
        assert_eq!(
            brief(Words::english(), &story).as_deref(),
            Some("It is getting worse.")
        );
        story.set("onset", "gradual").unwrap();
        story.set("duration_weeks", "30").unwrap();
        assert_eq!(
            brief(Words::english(), &story).as_deref(),
            Some("It crept in, has lasted 30 weeks and is getting worse.")
        );
    }
}
