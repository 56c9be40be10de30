//! Numbers inside ready texts: the decimal mark of a language, and texts that differ in their numbers only.

/// `14.2° ± 1.8°` with another decimal mark; a point between other things than digits stays.
pub fn with_mark(text: &str, mark: &str) -> String {
    if mark == "." {
        return text.to_owned();
    }
    let letters: Vec<char> = text.chars().collect();
    let digit = |i: Option<usize>| {
        i.and_then(|i| letters.get(i))
            .is_some_and(char::is_ascii_digit)
    };
    let mut out = String::with_capacity(text.len() + 4);
    for (i, c) in letters.iter().enumerate() {
        if *c == '.' && digit(i.checked_sub(1)) && digit(Some(i + 1)) {
            out.push_str(mark);
        } else {
            out.push(*c);
        }
    }
    out
}

/// A text with `#` for each number and each source (`(HMP2024 r)`) in it, and what stood there.
pub fn without_numbers(text: &str) -> (String, Vec<String>) {
    let letters: Vec<char> = text.chars().collect();
    let digit = |i: usize| letters.get(i).is_some_and(char::is_ascii_digit);
    let (mut out, mut numbers) = (String::with_capacity(text.len()), Vec::new());
    let mut i = 0;
    while i < letters.len() {
        // A digit within a word (`T2`, `IIA1`) is part of its name.
        let in_word = i > 0 && letters[i - 1].is_alphabetic();
        if let Some(source) = source_at(&letters[i..]) {
            i += source.chars().count();
            numbers.push(source);
            out.push('#');
            continue;
        }
        if !digit(i) || in_word {
            out.push(letters[i]);
            i += 1;
            continue;
        }
        let mut number = String::new();
        while digit(i) || (letters.get(i) == Some(&'.') && digit(i + 1)) {
            number.push(letters[i]);
            i += 1;
        }
        numbers.push(number);
        out.push('#');
    }
    (out, numbers)
}

/// A source with the letter that says how far it was read, in brackets.
fn source_at(letters: &[char]) -> Option<String> {
    if letters.first() != Some(&'(') {
        return None;
    }
    let end = letters.iter().position(|c| *c == ')')?;
    let inside: String = letters[1..end].iter().collect();
    let (key, letter) = inside.split_once(' ')?;
    let is_key = key.starts_with(|c: char| c.is_ascii_uppercase())
        && key.chars().all(|c| c.is_ascii_alphanumeric());
    (is_key && ["r", "a", "c", "u"].contains(&letter)).then(|| letters[..=end].iter().collect())
}

/// The end of a key for a text: its letters, small, and no more than make it recognisable.
pub fn slug(text: &str) -> String {
    const LONGEST: usize = 56;
    let mut out = String::new();
    for c in text.chars() {
        let c = if c == '#' { 'n' } else { c };
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.ends_with('-') && !out.is_empty() {
            out.push('-');
        }
        if out.len() >= LONGEST {
            // Long texts that begin alike differ in their length most of the time; `.en` settles the rest.
            out.push_str(&format!("-{}", text.chars().count()));
            break;
        }
    }
    out.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_decimal_point_changes_and_a_full_stop_stays() {
        assert_eq!(
            with_mark("4.1° ± 0.5°. 3 of 5.", ","),
            "4,1° ± 0,5°. 3 of 5."
        );
        assert_eq!(with_mark("4.1", "."), "4.1");
    }

    #[test]
    fn numbers_are_taken_out_of_a_text_and_names_keep_theirs() {
        assert_eq!(
            without_numbers("B2 is 7.5° of 10"),
            ("B2 is #° of #".into(), vec!["7.5".into(), "10".into()])
        );
        assert_eq!(without_numbers("").1.len(), 0);
        assert_eq!(
            without_numbers("below 3 (HMP2024 r), and so on (not a source)"),
            (
                "below # #, and so on (not a source)".into(),
                vec!["3".into(), "(HMP2024 r)".into()]
            )
        );
    }

    #[test]
    fn a_slug_is_a_key_of_small_letters() {
        assert_eq!(slug("Left foot: open: #."), "left-foot-open-n");
        assert!(slug(&"long words ".repeat(20)).len() < 64);
    }
}
