//! Every step of the ladder in words for the person who has to do it.
//!
//! The ladder speaks to clinicians. In the catalogue each of its steps says what to do at home, how much, and
//! what to watch (`step-calm-title`, `-what`, `-home`, `-care`); a step without words there is told as talked
//! about, never guessed at.

use crate::words::Words;

/// A step in plain words.
pub struct Plain {
    /// What it is, for the first column.
    pub title: String,
    pub what: String,
    /// How much and how often; empty where the clinic does it.
    pub home: String,
    /// What to watch, always told with the step.
    pub care: String,
}

pub fn plain(w: &Words, key: &str) -> Option<Plain> {
    let part = |part: &str| w.find(&format!("step-{key}-{part}"));
    Some(Plain {
        title: part("title")?,
        what: part("what")?,
        home: part("home").unwrap_or_default(),
        care: part("care")?,
    })
}

#[cfg(test)]
mod tests {
    use super::super::reading_age;
    use super::*;
    use crate::words::Language;
    use care::Ladder;

    #[test]
    fn every_step_of_the_ladder_has_plain_words_and_none_is_left_over() {
        let ladder: Vec<&str> = Ladder::built_in().rungs().iter().map(|r| &*r.key).collect();
        for key in &ladder {
            assert!(
                plain(Words::english(), key).is_some(),
                "words/en.ftl has no step-{key}-title, -what and -care"
            );
        }
        for line in Language::English.file().lines() {
            let Some(key) = line
                .strip_prefix("step-")
                .and_then(|l| l.split(" =").next())
            else {
                continue;
            };
            let part = ["-title", "-what", "-home", "-care"];
            let rung = part.iter().find_map(|p| key.strip_suffix(p));
            assert!(rung.is_some_and(|r| ladder.contains(&r)), "step-{key}");
        }
    }

    /// The grade of Flesch and Kincaid asks for few long words and short sentences; 12 years is grade 6 to 7.
    #[test]
    fn a_twelve_year_old_can_read_every_step() {
        let w = Words::english();
        let all: String = Ladder::built_in()
            .rungs()
            .iter()
            .filter_map(|r| plain(w, &r.key))
            .map(|s| format!("{} {} {} ", s.what, s.home, s.care))
            .collect();
        let grade = reading_age::school_grade(&all);
        assert!(grade < 6.5, "{grade}");
    }
}
