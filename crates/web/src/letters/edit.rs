//! Which words of a draft may be changed before signing, and how?
//!
//! Paragraphs, lists, title and recipient are the clinician's to word. Tables, readings, figures and
//! notices come from the record: they are changed there and the letter is drafted again.
//!
//! Each field carries a mark of the text it was shown with. So a form that comes too late, when the
//! letter was changed in another window, can be told apart into what was typed and what was only shown.

use crate::error::PageError;
use letter::{Block, Document};
use record::ContentHash;
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
    pub longest: usize,
    /// Of the kept text; sent back with the form.
    pub mark: String,
    /// The kept text, where `text` is another one that was typed and not saved.
    pub kept: Option<String>,
}

impl Field {
    fn new(name: String, label: String, hint: &'static str, text: String) -> Self {
        Self {
            rows: (text.lines().map(|l| 1 + l.len() / 90).sum::<usize>() + 1).clamp(2, 16),
            longest: LONGEST,
            mark: mark(&text),
            kept: None,
            name,
            label,
            hint,
            text,
        }
    }

    pub fn one_line(&self) -> bool {
        self.name == TITLE
    }
}

/// Title, recipient, a field for every paragraph and list named by the heading above it, and one for
/// words of one's own.
pub fn fields(document: &Document) -> Vec<Field> {
    let mut out = vec![
        Field {
            longest: LONGEST_TITLE,
            ..Field::new(TITLE.into(), "Title".into(), "", document.title.clone())
        },
        Field {
            longest: 2000,
            ..Field::new(
                RECIPIENT.into(),
                "Name and address of the reader".into(),
                "",
                document.recipient.join("\n"),
            )
        },
    ];
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
        out.push(Field::new(
            name(place),
            format!("{under}: {what} {count}"),
            hint,
            text,
        ));
    }
    out.push(Field {
        rows: 4,
        ..Field::new(
            OWN.into(),
            "Your own words, before the signature".into(),
            "An empty line begins a new paragraph.",
            String::new(),
        )
    });
    out
}

/// The fields of the kept letter, with what was typed in a form that could not be saved put into its
/// place: where the text still stands that the form showed, else where the form had it, else among the
/// clinician's own words. What was only shown, and what is in the letter already, is left out.
pub fn fields_with_typed(document: &Document, form: &BTreeMap<String, String>) -> Vec<Field> {
    let mut fields = fields(document);
    let mut typed: Vec<(&str, String, Option<&String>)> = form
        .iter()
        .filter(|(name, _)| is_field(name))
        .map(|(name, text)| (name.as_str(), tidy(text), form.get(&seen_name(name))))
        .filter(|(_, text, seen)| seen.is_none_or(|s| *s != mark(text)))
        .collect();
    let mut put = |typed: &mut Vec<(&str, String, Option<&String>)>, by_mark: bool| {
        typed.retain(|(name, text, seen)| {
            let home = fields.iter_mut().find(|f| match by_mark {
                true => is_block(name) && is_block(&f.name) && *seen == Some(&f.mark),
                false => f.name == *name,
            });
            let Some(home) = home.filter(|f| f.kept.is_none()) else {
                return true;
            };
            if tidy(&home.text) != *text {
                home.kept = Some(std::mem::replace(&mut home.text, text.clone()));
            }
            false
        });
    };
    put(&mut typed, true);
    put(&mut typed, false);
    let homeless = typed.into_iter().map(|(_, text, _)| text);
    if let Some(own) = fields.last_mut() {
        let all: Vec<Block> = std::iter::once(own.text.clone())
            .chain(homeless)
            .flat_map(|text| paragraphs(&text))
            .filter(|p| !document.blocks.contains(p))
            .collect();
        let words: Vec<String> = all.iter().filter_map(text_of).collect();
        own.text = words.join("\n\n");
        own.kept = (!words.is_empty()).then(String::new);
    }
    fields
}

/// The name under which a field's mark is sent back.
pub fn seen_name(name: &str) -> String {
    format!("seen-{name}")
}

fn is_block(name: &str) -> bool {
    name.starts_with("block-")
}

fn is_field(name: &str) -> bool {
    is_block(name) || [TITLE, RECIPIENT, OWN].contains(&name)
}

/// Tells one text from another, whatever a browser does to line ends.
fn mark(text: &str) -> String {
    let hash = ContentHash::of(tidy(text).as_bytes()).to_string();
    hash.chars().take(16).collect()
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
///
/// # Errors
/// More than a page of text.
pub fn clean(text: &str) -> Result<String, PageError> {
    if text.len() > LONGEST {
        return Err(PageError::input(
            "found one field with more than 20 000 letters; expected a letter's paragraph: shorten it",
        ));
    }
    Ok(tidy(text))
}

/// One spelling of line ends, no control characters.
fn tidy(text: &str) -> String {
    let text = text
        .replace("\r\n", "\n")
        .replace(['\r', '\u{2028}', '\u{2029}'], "\n");
    let kept = text.chars().map(|c| if c == '\t' { ' ' } else { c });
    let kept: String = kept.filter(|c| *c == '\n' || !c.is_control()).collect();
    kept.trim().to_owned()
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
        // A browser sends line ends as carriage return and line feed.
        let sent = |f: Field| {
            [
                (seen_name(&f.name), f.mark),
                (f.name, f.text.replace('\n', "\r\n")),
            ]
        };
        fields(document).into_iter().flat_map(sent).collect()
    }

    /// The names, kept and typed texts of the fields in which something was typed.
    fn typed(
        document: &Document,
        form: &BTreeMap<String, String>,
    ) -> Vec<(String, String, String)> {
        let fields = fields_with_typed(document, form).into_iter();
        fields
            .filter_map(|f| Some((f.name, f.kept?, f.text)))
            .collect()
    }

    fn paragraph_named(document: &Document, start: &str) -> Field {
        let fields = fields(document);
        let found = fields.into_iter().find(|f| f.label.starts_with(start));
        found.unwrap()
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
        let (ends, named) = (
            [&named[..2], &named[named.len() - 1..]].concat(),
            &named[2..named.len() - 1],
        );
        assert_eq!(ends, [TITLE, RECIPIENT, OWN]);
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
        let story = paragraph_named(&letter, "Story");
        assert!(apply(&mut letter, &form(&[(&story.name, " \r\n ")])).unwrap());
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
    fn of_a_form_that_comes_too_late_only_what_was_typed_is_held_against_the_kept_letter() {
        let shown = document();
        assert_eq!(typed(&shown, &unchanged(&shown)), []);
        let story = paragraph_named(&shown, "Story");
        let mut late = unchanged(&shown);
        late.insert(story.name.clone(), "Typed.\r\nTwice.".into());
        // The other window left the story alone and took the table's list out.
        let mut kept = document();
        kept.blocks.retain(|b| !matches!(b, Block::List { .. }));
        assert_eq!(
            typed(&kept, &late),
            [(
                story.name.clone(),
                story.text.clone(),
                "Typed.\nTwice.".into()
            )]
        );
        // It wrote the story anew: both texts stand there.
        let anew = form(&[(&story.name, "Kept.")]);
        apply(&mut kept, &anew).unwrap();
        assert_eq!(
            typed(&kept, &late),
            [(story.name.clone(), "Kept.".into(), "Typed.\nTwice.".into())]
        );
        // Both wrote the same: nothing is left to do.
        late.insert(story.name, "Kept.".into());
        assert_eq!(typed(&kept, &late), []);
    }

    #[test]
    fn typed_words_follow_their_paragraph_and_lose_themselves_nowhere_when_it_is_gone() {
        let shown = document();
        let mut late = unchanged(&shown);
        let list = paragraph_named(&shown, "Examination: list");
        late.insert(list.name.clone(), "First item\r\nTyped item".into());
        late.insert(OWN.into(), "My own.".into());
        // The other window put a paragraph in before it: the list has moved.
        let mut kept = document();
        let story = paragraph_named(&shown, "Story");
        apply(&mut kept, &form(&[(&story.name, "One.\n\nTwo.")])).unwrap();
        let moved = paragraph_named(&kept, "Examination: list");
        assert_ne!(moved.name, list.name);
        let own = |text: &str| (OWN.to_owned(), String::new(), text.to_owned());
        assert_eq!(
            typed(&kept, &late),
            [
                (
                    moved.name.clone(),
                    list.text,
                    "First item\nTyped item".into()
                ),
                own("My own.")
            ]
        );
        // It took the list out: what was typed there stands with the own words.
        apply(&mut kept, &form(&[(&moved.name, "")])).unwrap();
        assert_eq!(
            typed(&kept, &late),
            [own("My own.\n\nFirst item\nTyped item")]
        );
        // The same form sent twice: its own words are in the letter already.
        apply(&mut kept, &form(&[(OWN, "My own.")])).unwrap();
        assert_eq!(typed(&kept, &late), [own("First item\nTyped item")]);
    }

    #[test]
    fn a_late_form_without_marks_or_with_rubbish_loses_nothing_and_breaks_nothing() {
        let kept = document();
        let long = "x".repeat(30_000);
        let late = form(&[
            (TITLE, ""),
            (OWN, &long),
            ("block-99", "Lost place"),
            ("block-x", "Odd\u{7} name"),
            ("seen-block-1", "rubbish"),
            ("revision", "-1"),
        ]);
        let told = typed(&kept, &late);
        assert_eq!(
            told,
            [
                (TITLE.to_owned(), kept.title.clone(), String::new()),
                (
                    OWN.to_owned(),
                    String::new(),
                    format!("{long}\n\nLost place\n\nOdd name")
                )
            ]
        );
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
