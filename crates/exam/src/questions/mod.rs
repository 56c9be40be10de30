//! The questions themselves, one file per sheet, in the order of a visit.

mod flags;
mod foot;
mod given;
mod leg;
mod posture;
mod print;
mod story;

use crate::form::{Choice, Kind, Question, Sheet, Who};

/// One question before it gets its sheet and heading.
pub(crate) struct Q {
    key: &'static str,
    words: &'static str,
    kind: Kind,
    help: &'static str,
    sources: &'static [&'static str],
    who: Who,
}

impl Q {
    const fn children(mut self) -> Q {
        self.who = Who::Children;
        self
    }
}

pub(crate) struct Block {
    sheet: Sheet,
    section: &'static str,
    questions: &'static [Q],
}

const COMMON: &[&str] = &["common-practice"];

const fn c(key: &'static str, words: &'static str) -> Choice {
    Choice { key, words }
}

const YES_NO: &[Choice] = &[c("no", "no"), c("yes", "yes")];

const fn ask(
    key: &'static str,
    words: &'static str,
    kind: Kind,
    help: &'static str,
    sources: &'static [&'static str],
) -> Q {
    Q {
        key,
        words,
        kind,
        help,
        sources,
        who: Who::Everyone,
    }
}

const fn yes_no(
    key: &'static str,
    words: &'static str,
    help: &'static str,
    sources: &'static [&'static str],
) -> Q {
    ask(key, words, Kind::Choice { choices: YES_NO }, help, sources)
}

const fn one_of(choices: &'static [Choice]) -> Kind {
    Kind::Choice { choices }
}

const fn number(unit: &'static str, min: f64, max: f64) -> Kind {
    Kind::Number {
        unit,
        min,
        max,
        whole: false,
    }
}

const fn whole(unit: &'static str, min: f64, max: f64) -> Kind {
    Kind::Number {
        unit,
        min,
        max,
        whole: true,
    }
}

const fn text(max_chars: usize) -> Kind {
    Kind::Text { max_chars }
}

pub(crate) fn all() -> Vec<Question> {
    let blocks = story::BLOCKS
        .iter()
        .chain(foot::BLOCKS)
        .chain(posture::BLOCKS)
        .chain(print::BLOCKS)
        .chain(foot::LATER_BLOCKS)
        .chain(flags::BLOCKS)
        .chain(leg::BLOCKS)
        .chain(given::BLOCKS);
    blocks
        .flat_map(|b| {
            b.questions.iter().map(|q| Question {
                key: q.key,
                sheet: b.sheet,
                section: b.section,
                words: q.words,
                kind: q.kind,
                help: q.help,
                sources: q.sources,
                who: q.who,
            })
        })
        .collect()
}
