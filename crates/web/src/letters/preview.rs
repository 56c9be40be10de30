//! How will the letter read? The document as a page, with the headings, tables and figures of the paper.

use askama::Template;
use letter::{Block, Document, Notice, ReadingRow, Words};

/// The letter from its head to its foot.
#[derive(Template)]
#[template(path = "letters/preview.html")]
pub struct Preview<'a> {
    pub document: &'a Document,
    /// Id of the letter, for the addresses of its pictures.
    pub letter: &'a str,
}

impl Preview<'_> {
    fn body(&self) -> Blocks<'_> {
        Blocks {
            blocks: &self.document.blocks,
            letter: self.letter,
            words: self.words(),
        }
    }

    fn words(&self) -> &'static Words {
        Words::of_tag(&self.document.language)
    }
}

#[derive(Template)]
#[template(path = "letters/blocks.html")]
struct Blocks<'a> {
    blocks: &'a [Block],
    letter: &'a str,
    words: &'static Words,
}

impl Blocks<'_> {
    fn inner<'b>(&'b self, blocks: &'b [Block]) -> Blocks<'b> {
        Blocks {
            blocks,
            letter: self.letter,
            words: self.words,
        }
    }

    fn say(&self, key: &str) -> String {
        self.words.plain(key)
    }

    fn tone(&self, notice: &Notice) -> &'static str {
        match notice {
            Notice::Alarm => " alarm",
            Notice::Caution => " attention",
            Notice::Note => "",
        }
    }

    /// Of a paper's width of 800 px, so that a film does not fill the screen.
    fn width_px(&self, percent: &f64) -> u32 {
        (percent * 8.0).clamp(80.0, 800.0) as u32
    }

    /// Only a drawing goes into the page as it is; everything else is escaped.
    fn strip<'r>(&self, row: &'r ReadingRow) -> &'r str {
        if row.strip_svg.starts_with("<svg ") {
            &row.strip_svg
        } else {
            ""
        }
    }

    /// The place of a reading may go on after its first words: `outside, above`.
    fn state(&self, row: &ReadingRow) -> &'static str {
        let places = [
            ("place-inside", "inside"),
            ("place-outside", "outside"),
            ("place-straddles", "straddles"),
            ("place-sources-differ", "differ"),
        ];
        let found = places
            .iter()
            .find(|(key, _)| row.place.starts_with(&self.say(key)));
        found.map_or("none", |(_, class)| class)
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::document;
    use super::*;

    fn html(document: &Document) -> String {
        Preview {
            document,
            letter: "7",
        }
        .render()
        .unwrap()
    }

    #[test]
    fn everything_the_paper_says_is_in_the_preview() {
        let letter = document();
        let page = html(&letter);
        for said in [
            &letter.title,
            &letter.date,
            &letter.foot,
            &letter.recipient[0],
        ] {
            assert!(page.contains(said.as_str()), "{said}");
        }
        for block in &letter.blocks {
            let said: Vec<&String> = match block {
                Block::Heading { text } | Block::Paragraph { text } | Block::Small { text } => {
                    vec![text]
                }
                Block::List { items } => items.iter().collect(),
                Block::Notice { title, lines, .. } => lines.iter().chain([title]).collect(),
                Block::Pairs { rows, .. } => rows.iter().flat_map(|(a, b)| [a, b]).collect(),
                Block::Table { rows, header, .. } => rows.iter().flatten().chain(header).collect(),
                Block::Readings { rows, .. } => rows
                    .iter()
                    .flat_map(|r| [&r.name, &r.value, &r.yardstick, &r.strip_svg])
                    .collect(),
                Block::Figure { alt, caption, .. } => vec![alt, caption],
                Block::Signature { lines } => lines.iter().collect(),
                Block::Columns { .. } => Vec::new(),
            };
            for line in said.into_iter().flat_map(|s| s.lines()) {
                assert!(page.contains(line), "{line}");
            }
        }
        assert!(page.contains("58 years.<br>It crept in."));
        assert!(page.contains("src=\"/letter/7/picture/film-1.png\""));
    }

    #[test]
    fn nothing_in_a_letter_becomes_markup_of_the_page() {
        let bad = "<script>alert(1)</script>\"'><img src=x>";
        let text = || bad.to_owned();
        let mut letter = document();
        letter.title = text();
        letter.recipient = vec![text()];
        letter.head = vec![(text(), text())];
        letter.foot = text();
        letter.blocks = vec![
            Block::Heading { text: text() },
            Block::Paragraph { text: text() },
            Block::Small { text: text() },
            Block::List {
                items: vec![text()],
            },
            Block::Notice {
                notice: Notice::Alarm,
                title: text(),
                lines: vec![text()],
            },
            Block::Pairs {
                caption: text(),
                header: (text(), text()),
                rows: vec![(text(), text())],
            },
            Block::Table {
                caption: text(),
                header: vec![text(), text()],
                rows: vec![vec![text()], vec![text(), text()]],
            },
            Block::Readings {
                caption: text(),
                rows: vec![ReadingRow {
                    name: text(),
                    value: text(),
                    sign: text(),
                    place: text(),
                    yardstick: text(),
                    strip_svg: text(),
                }],
            },
            Block::Figure {
                picture: text(),
                alt: text(),
                caption: text(),
                width_percent: 50.0,
            },
            Block::Columns {
                left: vec![Block::Paragraph { text: text() }],
                right: vec![Block::Paragraph { text: text() }],
                left_percent: 50.0,
            },
            Block::Signature {
                lines: vec![text()],
            },
        ];
        let page = html(&letter);
        assert!(!page.contains("<script") && !page.contains("<img src=x"));
        let only_image = page.matches("<img ").count();
        assert_eq!(only_image, 1, "the figure's own");
        assert!(page.matches("alert(1)").count() >= 25);
    }

    #[test]
    fn a_reading_outside_looks_outside_also_where_more_is_said_of_its_place() {
        let mut letter = document();
        for (place, class) in [
            ("outside, above", "outside"),
            ("outside", "outside"),
            ("straddles\n94–99 % outside", "straddles"),
            ("sources differ", "differ"),
            ("no yardstick", "none"),
        ] {
            for block in &mut letter.blocks {
                if let Block::Readings { rows, .. } = block {
                    rows[0].place = place.into();
                }
            }
            let page = html(&letter);
            assert!(
                page.contains(&format!("class=\"state {class}\"")),
                "{place}"
            );
        }
    }

    #[test]
    fn a_preview_has_no_style_attribute_and_no_handler() {
        let page = html(&document());
        assert!(
            !page.contains(" style=") && !page.contains(" onload") && !page.contains(" onclick")
        );
    }
}
