//! How is a letter kept, so that it can be set again at any time and give the same bytes?
//!
//! The document and its pictures lie together in the letter's facts. The seal is over these facts and
//! the paper, so a signed letter can be checked and set again without any film.

use super::asked::Asked;
use super::base64;
use crate::error::PageError;
use letter::{Block, Document, Pictures, Words};
use record::{Kept, LetterRecord};
use serde::{Deserialize, Serialize};

pub const LETTER_FORMAT: &str = "tiebeam-letter";
pub const LETTER_VERSION: u32 = 1;

/// Everything a letter is set from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptLetter {
    pub document: Document,
    #[serde(with = "as_base64")]
    pub pictures: Pictures,
    /// What was asked for when it was begun, so that it can be drafted again.
    #[serde(default, skip_serializing_if = "Asked::is_empty")]
    pub asked: Asked,
}

impl KeptLetter {
    /// # Errors
    /// Written by a newer program, or damaged.
    pub fn of(letter: &LetterRecord) -> Result<Self, PageError> {
        let mut kept: Self = letter
            .facts
            .read(LETTER_FORMAT, LETTER_VERSION)
            .map_err(|e| PageError::ours("reading the letter back", e))?;
        if !letter.is_signed() {
            // An earlier program could break off half way in signing: the paper must not look signed.
            kept.document.draft = true;
            let not_signed = not_signed(&kept.document);
            let last = signature(&mut kept.document).and_then(|lines| lines.last_mut());
            if let Some(last) = last {
                *last = not_signed;
            }
        }
        Ok(kept)
    }

    pub fn facts(&self) -> Result<Kept, PageError> {
        Kept::of(LETTER_FORMAT, LETTER_VERSION, self)
            .map_err(|e| PageError::ours("keeping the letter", e))
    }

    /// The letter as it is frozen: no longer a draft, with who signed and when.
    pub fn sign(&mut self, lines: Vec<String>) {
        self.document.draft = false;
        if let Some(kept) = signature(&mut self.document) {
            *kept = lines;
        }
    }
}

/// The lines of the signature; an empty one is added where there is none.
fn signature(document: &mut Document) -> Option<&mut Vec<String>> {
    let is_signature = |b: &Block| matches!(b, Block::Signature { .. });
    if !document.blocks.iter().any(is_signature) {
        let unsigned = unsigned(Words::of_tag(&document.language), Vec::new());
        document.blocks.push(unsigned);
    }
    document.blocks.iter_mut().find_map(|b| match b {
        Block::Signature { lines } => Some(lines),
        _ => None,
    })
}

fn not_signed(document: &Document) -> String {
    Words::of_tag(&document.language).plain("not-signed")
}

/// A signature still to be given.
pub fn unsigned(words: &Words, mut lines: Vec<String>) -> Block {
    lines.push(words.plain("not-signed"));
    Block::Signature { lines }
}

mod as_base64 {
    use super::{Pictures, base64};
    use serde::{Deserialize, Deserializer, Serializer, de::Error};
    use std::collections::BTreeMap;

    pub fn serialize<S: Serializer>(pictures: &Pictures, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(pictures.iter().map(|(name, p)| (name, base64::encode(p))))
    }

    pub fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Pictures, D::Error> {
        BTreeMap::<String, String>::deserialize(from)?
            .into_iter()
            .map(|(name, text)| match base64::decode(&text) {
                Some(bytes) => Ok((name, bytes)),
                None => Err(D::Error::custom("a picture is not whole")),
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{document, draft_record};
    use super::*;

    fn kept() -> KeptLetter {
        KeptLetter {
            document: document(),
            pictures: Pictures::from([("film-1.png".into(), vec![0, 255, 7, 9])]),
            asked: Asked::default(),
        }
    }

    #[test]
    fn a_letter_comes_back_from_its_facts_as_it_was_kept() {
        let record = draft_record(&kept());
        assert_eq!(KeptLetter::of(&record).unwrap(), kept());
        assert_eq!(record.facts.body["pictures"]["film-1.png"], "AP8HCQ==");
    }

    #[test]
    fn a_letter_whose_signing_broke_off_reads_as_a_draft() {
        let mut half = kept();
        half.sign(vec![
            "Ann Invented".into(),
            "Signed 24 November 2026".into(),
        ]);
        let back = KeptLetter::of(&draft_record(&half)).unwrap();
        let text = back.document.text();
        assert!(text.contains("DRAFT") && text.contains("Draft, not signed"));
        assert!(!text.contains("Signed 24"));
    }

    #[test]
    fn a_letter_kept_before_anything_was_asked_for_is_read_as_before() {
        let record = draft_record(&kept());
        assert!(record.facts.body.get("asked").is_none());
        let mut asked = kept();
        asked.asked.question = "Now?".into();
        asked.document.language = "es".into();
        let back = KeptLetter::of(&draft_record(&asked)).unwrap();
        assert_eq!(back.asked, asked.asked);
        assert!(back.document.text().contains("Borrador, sin firmar"));
    }

    #[test]
    fn a_letter_of_another_format_is_not_guessed_at() {
        let mut record = draft_record(&kept());
        record.facts.format = "something-else".into();
        assert!(KeptLetter::of(&record).is_err());
    }
}
