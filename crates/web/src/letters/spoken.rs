//! In which language is a paper asked for by its address, and which does a page offer besides English?

use super::asked;
use super::begin::languages;
use crate::error::PageError;
use letter::{Language, Words};
use std::collections::BTreeMap;

/// What stands behind the question mark of a paper's address.
pub type Wish = BTreeMap<String, String>;

/// `?language=es`; English without it.
///
/// # Errors
/// A language without a file.
pub fn wished(wish: &Wish) -> Result<&'static Words, PageError> {
    asked::language(wish)
}

/// Tag and own name of each language but English, for the links beside a paper.
pub fn others() -> Vec<(&'static str, String)> {
    let english = Language::English.tag();
    languages()
        .into_iter()
        .filter(|(tag, _)| *tag != english)
        .collect()
}

/// `order-sheet.pdf`, `order-sheet-es.pdf`: papers of two languages lie side by side in a folder.
pub fn file_name(stem: &str, words: &Words) -> String {
    if words.tag() == Language::English.tag() {
        format!("{stem}.pdf")
    } else {
        format!("{stem}-{}.pdf", words.tag())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_language_but_english_is_offered_by_its_own_name_and_can_be_asked_for() {
        let offered = others();
        assert_eq!(offered, [("es", "Español".to_owned())]);
        for (tag, _) in offered {
            let wish = Wish::from([("language".to_owned(), tag.to_owned())]);
            assert_eq!(wished(&wish).unwrap().tag(), tag);
        }
        assert_eq!(wished(&Wish::new()).unwrap().tag(), "en");
    }

    #[test]
    fn a_file_of_another_language_names_it() {
        assert_eq!(file_name("break-in", Words::english()), "break-in.pdf");
        let spanish = Words::of(Language::Spanish);
        assert_eq!(file_name("break-in", spanish), "break-in-es.pdf");
    }
}
