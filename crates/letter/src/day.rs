//! The day of a letter, read from its words, for the file's own record of when it was made.
//!
//! The clock is never asked: the same letter must give the same file tomorrow.

use crate::words::{Language, Words};
use std::ops::Range;
use std::sync::LazyLock;

/// The months of every language, in small letters.
static MONTHS: LazyLock<Vec<[String; 12]>> = LazyLock::new(|| {
    let of = |language| {
        let words = Words::of(language);
        std::array::from_fn(|i| words.plain(&format!("month-{}", i + 1)).to_lowercase())
    };
    Language::ALL.into_iter().map(of).collect()
});

/// Year, month and day from `25 November 2026`, `25 Nov 2026`, `25 de noviembre de 2026` or `2026-11-25`, other
/// words around it allowed; `None` where no day stands there.
pub fn day(words: &str) -> Option<(i32, u8, u8)> {
    day_within(words).map(|(_, day)| day)
}

/// The same, with the bytes of the words that say it.
pub fn day_within(words: &str) -> Option<(Range<usize>, (i32, u8, u8))> {
    let parts = parts(words);
    parts.windows(3).find_map(|w| {
        let text = |i: usize| &words[w[i].clone()];
        let iso = text(0).len() == 4 && text(1).len() == 2 && text(2).len() == 2;
        let (year, month, day) = if iso {
            (text(0), text(1).parse().ok()?, text(2))
        } else {
            (text(2), month(text(1))?, text(0))
        };
        let (year, day): (i32, u8) = (year.parse().ok()?, day.parse().ok()?);
        let real = (1000..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days(year, month)).contains(&day);
        real.then(|| (w[0].start..w[2].end, (year, month, day)))
    })
}

/// Words and numbers with their places; `de` between the parts of a day says nothing.
fn parts(words: &str) -> Vec<Range<usize>> {
    let mut out: Vec<Range<usize>> = Vec::new();
    let mut from = None;
    for (at, c) in words.char_indices().chain([(words.len(), ' ')]) {
        match (c.is_alphanumeric(), from) {
            (true, None) => from = Some(at),
            (false, Some(start)) => {
                if !words[start..at].eq_ignore_ascii_case("de") {
                    out.push(start..at);
                }
                from = None;
            }
            _ => {}
        }
    }
    out
}

fn month(word: &str) -> Option<u8> {
    let word = word.to_lowercase();
    let at = MONTHS.iter().find_map(|months| {
        months
            .iter()
            .position(|m| word.len() >= 3 && m.starts_with(&word))
    })?;
    u8::try_from(at + 1).ok()
}

fn days(year: i32, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if (year % 4 == 0 && year % 100 != 0) || year % 400 == 0 => 29,
        2 => 28,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_is_read_from_the_words_of_a_letter() {
        for words in [
            "25 November 2026",
            "Wed, 25 Nov 2026",
            "2026-11-25",
            "seen 2026-11-25 10:00",
            "25 de noviembre de 2026",
        ] {
            assert_eq!(day(words), Some((2026, 11, 25)), "{words}");
        }
    }

    #[test]
    fn words_without_a_real_day_have_none() {
        for words in [
            "",
            "tomorrow",
            "31 February 2026",
            "29 Feb 2027",
            "1 Ju 2026",
            "November 2026",
            "2026-13-01",
        ] {
            assert_eq!(day(words), None, "{words}");
        }
    }
}
