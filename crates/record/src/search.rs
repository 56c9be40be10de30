//! How does 'Muller' find 'Müller'?
//!
//! Names are folded before they are compared: accents off, letters small, the few letters that do
//! not come apart spelt out. It is done here and not in the database, so that every backend finds
//! the same people.

use crate::Patient;
use unicode_normalization::{UnicodeNormalization, char::is_combining_mark};

/// The text in small plain letters, its words parted by single blanks.
pub fn fold(text: &str) -> String {
    let mut folded = String::with_capacity(text.len());
    for c in text
        .nfkd()
        .filter(|c| !is_combining_mark(*c))
        .flat_map(char::to_lowercase)
    {
        match c {
            'ß' => folded.push_str("ss"),
            'æ' => folded.push_str("ae"),
            'œ' => folded.push_str("oe"),
            'þ' => folded.push_str("th"),
            'ø' => folded.push('o'),
            'đ' | 'ð' => folded.push('d'),
            'ł' => folded.push('l'),
            'ı' => folded.push('i'),
            c if c.is_alphanumeric() => folded.push(c),
            // 'i̇' (small i with a dot) leaves its dot behind after lower-casing.
            c if is_combining_mark(c) => {}
            // "O'Neill" and "ONeill" are one name; "Smith-Jones" is two words.
            '\'' | '’' | '.' => {}
            _ => folded.push(' '),
        }
    }
    folded.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a patient can be found by: names, chart number, birth date.
pub fn text_of(patient: &Patient) -> String {
    let born = patient.born_on.map(|d| d.to_string()).unwrap_or_default();
    fold(&format!(
        "{} {} {} {born}",
        patient.family_name, patient.given_name, patient.chart_number
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_capitals_and_ligatures_fold_to_plain_letters() {
        let cases = [
            ("Müller", "muller"),
            ("Mu\u{308}ller", "muller"),
            ("ÇELİK", "celik"),
            ("Åse Ødegård", "ase odegard"),
            ("Łukasz", "lukasz"),
            ("Weiß", "weiss"),
            ("O’Neill", "oneill"),
            ("Smith-Jones", "smith jones"),
            ("  A  17/3 ", "a 17 3"),
            ("Nguyễn", "nguyen"),
        ];
        for (given, expected) in cases {
            assert_eq!(fold(given), expected, "{given}");
        }
    }

    #[test]
    fn folding_twice_changes_nothing() {
        for text in ["ÇELİK ﬁ", "Weiß", "Ǆ ½ №"] {
            assert_eq!(fold(&fold(text)), fold(text), "{text}");
        }
    }
}
