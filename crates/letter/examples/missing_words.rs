//! What a language still lacks of the form, the ladder, the alarm signs and the readings:
//! `cargo run -p letter --example missing_words -- es`.
//!
//! Prints each missing text as a message without words and with its English beside it, ready to be filled in.

use letter::{Language, Words};
use std::error::Error;

fn main() -> Result<(), Box<dyn Error>> {
    let tag = std::env::args().nth(1).unwrap_or_default();
    let language =
        Language::from_tag(&tag).ok_or("found no such language; expected its tag, such as es")?;
    let words = Words::watched(language);
    for (key, english) in letter::compose::texts_kept_elsewhere(knowledge::Knowledge::built_in()) {
        match key {
            Some(key) => words.known(&key, &english),
            None => words.said(&english),
        };
    }
    for english in letter::compose::texts_between_colleagues(knowledge::Knowledge::built_in()) {
        words.said(&english);
    }
    for (key, english) in words.missed() {
        println!("{key} =\n    .en = {english}");
    }
    Ok(())
}
