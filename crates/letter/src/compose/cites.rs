//! The sources a paper leans on, each once, with how much of it was read.

use crate::document::Block;
use crate::words::{Words, say};
use knowledge::Knowledge;
use std::collections::BTreeMap;
use terms::SourceKey;

/// Sources by key, each with the letters under which it was named.
#[derive(Debug, Default)]
pub struct Cites {
    named: BTreeMap<String, Vec<char>>,
}

impl Cites {
    pub fn add(&mut self, key: &str, letter: char) {
        let letters = self.named.entry(key.to_owned()).or_default();
        if !letters.contains(&letter) {
            letters.push(letter);
            letters.sort_unstable();
        }
    }

    /// `[HMP2024 r, Myerson2020 a]`, and the sources go on the list.
    pub fn mark<'a>(&mut self, sources: impl IntoIterator<Item = (&'a str, char)>) -> String {
        let mut marks: Vec<String> = Vec::new();
        for (key, letter) in sources {
            self.add(key, letter);
            let mark = format!("{key} {letter}");
            if !marks.contains(&mark) {
                marks.push(mark);
            }
        }
        if marks.is_empty() {
            String::new()
        } else {
            format!("[{}]", marks.join(", "))
        }
    }

    pub fn of_stage(&mut self, cites: &[stage::Cite]) -> String {
        self.mark(cites.iter().map(|c| (c.key.as_str(), c.letter)))
    }

    pub fn of_care(&mut self, notes: &[care::SourceNote]) -> String {
        self.mark(notes.iter().map(|n| (n.key.as_str(), n.letter)))
    }

    /// Puts every source on the list that a ready text names as `(HMP2024 r)`.
    pub fn add_named(&mut self, knowledge: &Knowledge, text: &str) {
        for source in knowledge.sources() {
            for letter in ['r', 'a', 'c', 'u'] {
                if text.contains(&format!("({} {letter})", source.key)) {
                    self.add(source.key.as_str(), letter);
                }
            }
        }
    }

    /// One line for each source: key, letters, citation.
    pub fn lines(&self, w: &Words, knowledge: &Knowledge) -> Vec<String> {
        self.named
            .iter()
            .filter(|(key, _)| *key != "common-practice")
            .map(|(key, letters)| {
                let letters: Vec<String> = letters.iter().map(char::to_string).collect();
                let found = SourceKey::new(key.as_str())
                    .ok()
                    .and_then(|k| knowledge.source(&k));
                // A citation is printed as it is kept, in whatever language the paper speaks.
                let words = found.map_or_else(|| say!(w, "source-unknown"), |s| s.citation.clone());
                format!("{key} ({}): {words}", letters.join(", "))
            })
            .collect()
    }

    pub fn block(&self, w: &Words, knowledge: &Knowledge) -> Vec<Block> {
        let mut out = vec![
            Block::Heading {
                text: say!(w, "sources-heading"),
            },
            Block::Small {
                text: say!(w, "sources-letters"),
            },
        ];
        let lines = self.lines(w, knowledge);
        if !lines.is_empty() {
            out.push(Block::Small {
                text: lines.join("\n"),
            });
        }
        out
    }
}
