//! Which words of a draft may be changed before signing, and how?
//!
//! Paragraphs, lists, title and recipient are the clinician's to word. Tables, readings, figures and
//! notices come from the record: they are changed there and the letter is drafted again.

use crate::error::PageError;
use letter::{Block, Document};
use std::collections::BTreeMap;

/// More than a page of running text in one field is a slip.
const LONGEST: usize = 20_000;
const LONGEST_TITLE: usize = 200;
const MOST_RECIPIENT_LINES: usize = 10;

pub const TITLE: &str = "title";
pub const RECIPIENT: &str = "recipient";
pub const OWN: &str = "own";

/// One field of the form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    pub name: String,
    pub label: String,
    pub hint: &'static str,
    pub text: String,
    pub rows: usize,
}

/// A field for every paragraph and list, named by the heading above it.
pub fn fields(document: &Document) -> Vec<Field> {
    let mut out = Vec::new();
    let (mut under, mut paragraphs, mut lists) = (document.title.clone(), 0, 0);
    for (place, block) in document.blocks.iter().enumerate() {
        if let Block::Heading { text } = block {
            (under, paragraphs, lists) = (text.clone(), 0, 0);
        }
        let Some(text) = text_of(block) else { continue };
        let (what, hint, count) = match block {
            Block::List { .. } => {
                lists += 1;
                ("list", "One item on each line.", lists)
            }
            _ => {
                paragraphs += 1;
                (
                    "paragraph",
                    "An empty line begins a new paragraph.",
                    paragraphs,
                )
            }
        };
        out.push(Field {
            name: name(place),
            label: format!("{under}: {what} {count}"),
            hint,
            rows: (text.lines().map(|l| 1 + l.len() / 90).sum::<usize>() + 1).clamp(2, 16),
            text,
        });
    }
    out
}

/// Takes the form over into the document. Fields that were not sent stay; emptied ones go, and headings
/// that then have nothing under them. Answers whether anything changed.
///
/// # Errors
/// A text that is too long, or a title that is empty.
pub fn apply(document: &mut Document, form: &BTreeMap<String, String>) -> Result<bool, PageError> {
    let before = document.clone();
    let sent = |name: &str| form.get(name).map(|t| clean(t)).transpose();
    if let Some(title) = sent(TITLE)? {
        document.title = title.replace('\n', " ").trim().to_owned();
        if document.title.is_empty() || document.title.chars().count() > LONGEST_TITLE {
            return Err(PageError::input(
                "found a title that is empty or over 200 letters long; every letter needs a short one",
            ));
        }
    }
    if let Some(lines) = form.get(RECIPIENT) {
        document.recipient = recipient(lines)?;
    }
    let mut blocks = Vec::new();
    for (place, block) in document.blocks.drain(..).enumerate() {
        match (sent(&name(place))?, text_of(&block)) {
            (Some(text), Some(known)) if text != clean(&known)? => match block {
                Block::List { .. } => blocks.extend(list(&text)),
                _ => blocks.extend(paragraphs(&text)),
            },
            _ => blocks.push(block),
        }
    }
    if let Some(own) = sent(OWN)? {
        let is_end = |b: &Block| matches!(b, Block::Signature { .. });
        let end = blocks.iter().position(is_end).unwrap_or(blocks.len());
        blocks.splice(end..end, paragraphs(&own));
    }
    if blocks != before.blocks {
        drop_bare_headings(&mut blocks);
    }
    document.blocks = blocks;
    Ok(*document != before)
}

/// Name and address, line by line.
///
/// # Errors
/// More lines or longer ones than an envelope takes.
pub fn recipient(text: &str) -> Result<Vec<String>, PageError> {
    let text = clean(text)?;
    let lines: Vec<String> = text
        .lines()
        .map(str::trim)
        .filter(|l| !l.is_empty())
        .map(str::to_owned)
        .collect();
    if lines.len() > MOST_RECIPIENT_LINES || lines.iter().any(|l| l.chars().count() > LONGEST_TITLE)
    {
        return Err(PageError::input(
            "found more of a recipient than fits on an envelope; expected at most 10 lines of 200 letters",
        ));
    }
    Ok(lines)
}

fn name(place: usize) -> String {
    format!("block-{place}")
}

/// The words of a block that may be changed.
fn text_of(block: &Block) -> Option<String> {
    match block {
        Block::Paragraph { text } => Some(text.clone()),
        Block::List { items } => Some(items.join("\n")),
        _ => None,
    }
}

fn paragraphs(text: &str) -> Vec<Block> {
    let mut out = Vec::new();
    let mut lines: Vec<&str> = Vec::new();
    for line in text.lines().chain(std::iter::once("")) {
        if !line.trim().is_empty() {
            lines.push(line.trim());
        } else if !lines.is_empty() {
            let text = lines.join("\n");
            out.push(Block::Paragraph { text });
            lines.clear();
        }
    }
    out
}

fn list(text: &str) -> Option<Block> {
    let items: Vec<String> = text
        .lines()
        .map(str::trim)
        .filter(|l| !l.is_empty())
        .map(str::to_owned)
        .collect();
    (!items.is_empty()).then_some(Block::List { items })
}

fn drop_bare_headings(blocks: &mut Vec<Block>) {
    let ends = |b: Option<&Block>| {
        matches!(
            b,
            None | Some(Block::Heading { .. } | Block::Signature { .. })
        )
    };
    let bare: Vec<bool> = (0..blocks.len())
        .map(|i| matches!(blocks[i], Block::Heading { .. }) && ends(blocks.get(i + 1)))
        .collect();
    let mut bare = bare.into_iter();
    blocks.retain(|_| !bare.next().unwrap_or(false));
}

/// One spelling of line ends, no control characters.
fn clean(text: &str) -> Result<String, PageError> {
    if text.len() > LONGEST {
        return Err(PageError::input(
            "found one field with more than 20 000 letters; expected a letter's paragraph: shorten it",
        ));
    }
    let text = text
        .replace("\r\n", "\n")
        .replace(['\r', '\u{2028}', '\u{2029}'], "\n");
    let kept = text.chars().map(|c| if c == '\t' { ' ' } else { c });
    let kept: String = kept.filter(|c| *c == '\n' || !c.is_control()).collect();
    Ok(kept.trim().to_owned())
}

#[cfg(test)]
mod tests {
    use super::super::tests::document;
    use super::*;

    fn form(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
        pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect()
    }

    fn unchanged(document: &Document) -> BTreeMap<String, String> {
        let fields = fields(document).into_iter();
        // A browser sends line ends as carriage return and line feed.
        let mut all: BTreeMap<_, _> = fields
            .map(|f| (f.name, f.text.replace('\n', "\r\n")))
            .collect();
        all.insert(TITLE.into(), document.title.clone());
        all.insert(RECIPIENT.into(), document.recipient.join("\r\n"));
        all.insert(OWN.into(), String::new());
        all
    }

    #[test]
    fn a_form_sent_back_as_it_was_changes_nothing() {
        let mut letter = document();
        assert!(!apply(&mut letter, &unchanged(&document())).unwrap());
        assert_eq!(letter, document());
    }

    #[test]
    fn only_paragraphs_and_lists_have_a_field() {
        let letter = document();
        let named: Vec<String> = fields(&letter).into_iter().map(|f| f.name).collect();
        let wordable = |b: &Block| matches!(b, Block::Paragraph { .. } | Block::List { .. });
        let places = letter.blocks.iter().enumerate();
        let expected: Vec<String> = places
            .filter(|(_, b)| wordable(b))
            .map(|(i, _)| name(i))
            .collect();
        assert_eq!(named, expected);
    }

    #[test]
    fn a_table_cannot_be_changed_by_naming_its_place() {
        let mut letter = document();
        let is_table = |b: &Block| matches!(b, Block::Table { .. });
        let place = letter.blocks.iter().position(is_table).unwrap();
        let changed = apply(&mut letter, &form(&[(&name(place), "nothing found")])).unwrap();
        assert!(!changed);
        assert_eq!(letter, document());
    }

    #[test]
    fn an_emptied_paragraph_goes_and_takes_its_bare_heading_with_it() {
        let mut letter = document();
        let story = fields(&letter)
            .into_iter()
            .find(|f| f.label.starts_with("Story"));
        assert!(apply(&mut letter, &form(&[(&story.unwrap().name, " \r\n ")])).unwrap());
        assert!(!letter.text().contains("Story"));
        assert!(letter.text().contains("Examination"));
    }

    #[test]
    fn own_words_stand_as_paragraphs_before_the_signature() {
        let mut letter = document();
        let own = form(&[(OWN, "First line\r\nsecond line\r\n\r\nNew paragraph\u{7}")]);
        assert!(apply(&mut letter, &own).unwrap());
        let is_signature = |b: &Block| matches!(b, Block::Signature { .. });
        let end = letter.blocks.iter().position(is_signature).unwrap();
        let text = |s: &str| Block::Paragraph { text: s.into() };
        assert_eq!(letter.blocks[end - 2], text("First line\nsecond line"));
        assert_eq!(letter.blocks[end - 1], text("New paragraph"));
    }

    #[test]
    fn a_letter_without_title_or_with_an_endless_recipient_is_refused() {
        let mut letter = document();
        assert!(apply(&mut letter, &form(&[(TITLE, "  ")])).is_err());
        assert!(recipient(&"x\n".repeat(11)).is_err());
        assert_eq!(
            recipient(" Dr A. \r\n\r\n1 Lane ").unwrap(),
            ["Dr A.", "1 Lane"]
        );
    }
}
