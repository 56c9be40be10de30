//! Which characters can stand on the paper?
//!
//! PDF/UA and PDF/A refuse a character for which no font has a shape, and a stored letter must still come
//! out. So a character without a shape is printed by its number (`[U+1F9B6]`), characters that steer the
//! direction or hide text are dropped, and words without a place to break get some.

use serde_json::Value;
use std::collections::BTreeSet;

/// A run of letters longer than this may be broken, at every so many.
const LONGEST_RUN: usize = 26;
const BREAK_HERE: char = '\u{200b}';

/// Members of the document that are not set as text on the page.
const NOT_SET: [&str; 3] = ["strip_svg", "picture", "kind"];

/// Makes every text of a document printable; the answer lists the characters that had no shape.
pub fn make_printable(document: &mut Value, has_shape: &dyn Fn(char) -> bool) -> BTreeSet<char> {
    let mut missing = BTreeSet::new();
    walk(document, has_shape, &mut missing);
    missing
}

fn walk(value: &mut Value, has_shape: &dyn Fn(char) -> bool, missing: &mut BTreeSet<char>) {
    match value {
        Value::String(text) => *text = printable(text, has_shape, missing),
        Value::Array(all) => all.iter_mut().for_each(|v| walk(v, has_shape, missing)),
        Value::Object(members) => members
            .iter_mut()
            .filter(|(name, _)| !NOT_SET.contains(&name.as_str()))
            .for_each(|(_, v)| walk(v, has_shape, missing)),
        _ => {}
    }
}

fn printable(text: &str, has_shape: &dyn Fn(char) -> bool, missing: &mut BTreeSet<char>) -> String {
    let mut out = String::with_capacity(text.len());
    let mut run = 0;
    for c in text.chars() {
        if dropped(c) {
            continue;
        }
        if c.is_whitespace() {
            out.push(if c == '\n' { '\n' } else { ' ' });
            run = 0;
            continue;
        }
        if run >= LONGEST_RUN {
            out.push(BREAK_HERE);
            run = 0;
        }
        if invisible(c) || (has_shape(c) && !private(c)) {
            out.push(c);
            run += 1;
        } else {
            missing.insert(c);
            let number = format!("[U+{:04X}]", u32::from(c));
            run += number.len();
            out.push_str(&number);
        }
    }
    out
}

/// Control characters but line ends, marks that turn or hide text, and what no PDF may map.
fn dropped(c: char) -> bool {
    (c.is_control() && !matches!(c, '\n' | '\t'))
        || matches!(c,
            '\u{202a}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{feff}'
            | '\u{fff9}'..='\u{fffb}'
            | '\u{fffe}'..='\u{ffff}'
            | '\u{e0000}'..='\u{e0fff}')
}

/// Joiners and soft hyphens have no shape of their own.
fn invisible(c: char) -> bool {
    matches!(c, '\u{00ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}')
}

fn private(c: char) -> bool {
    matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..='\u{10ffff}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn ascii(text: &str) -> String {
        printable(text, &|c| c.is_ascii(), &mut BTreeSet::new())
    }

    #[test]
    fn a_character_without_a_shape_is_printed_by_its_number() {
        assert_eq!(ascii("a\u{1f9b6}b"), "a[U+1F9B6]b");
        assert_eq!(ascii("\u{e000}"), "[U+E000]");
    }

    #[test]
    fn marks_that_turn_the_direction_are_dropped() {
        assert_eq!(ascii("12\u{202e}34\u{2066}\u{0}\u{feff}"), "1234");
    }

    #[test]
    fn a_word_without_end_may_be_broken() {
        let long = "x".repeat(60);
        assert_eq!(ascii(&long).replace(BREAK_HERE, ""), long);
        assert_eq!(ascii(&long).matches(BREAK_HERE).count(), 2);
        assert_eq!(ascii("two words"), "two words");
    }

    #[test]
    fn drawings_and_names_of_pictures_stay_as_they_are() {
        let mut value = json!({"picture": "é.png", "text": ["é"]});
        let missing = make_printable(&mut value, &|c| c.is_ascii());
        assert_eq!(value, json!({"picture": "é.png", "text": ["[U+00E9]"]}));
        assert_eq!(missing, BTreeSet::from(['é']));
    }
}
