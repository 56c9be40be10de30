//! The day of a letter, read from its words, for the file's own record of when it was made.
//!
//! The clock is never asked: the same letter must give the same file tomorrow.

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Year, month and day from `25 November 2026`, `25 Nov 2026` or `2026-11-25`, other words around it
/// allowed; `None` where no day stands there.
pub fn day(words: &str) -> Option<(i32, u8, u8)> {
    let parts: Vec<&str> = words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|p| !p.is_empty())
        .collect();
    parts.windows(3).find_map(|w| {
        let iso = w[0].len() == 4 && w[1].len() == 2 && w[2].len() == 2;
        let (year, month, day) = if iso {
            (w[0], w[1].parse().ok()?, w[2])
        } else {
            (w[2], month(w[1])?, w[0])
        };
        let (year, day): (i32, u8) = (year.parse().ok()?, day.parse().ok()?);
        let real = (1000..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days(year, month)).contains(&day);
        real.then_some((year, month, day))
    })
}

fn month(word: &str) -> Option<u8> {
    let word = word.to_lowercase();
    let at = MONTHS
        .iter()
        .position(|m| word.len() >= 3 && m.starts_with(&word))?;
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
