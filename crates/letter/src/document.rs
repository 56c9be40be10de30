//! A letter before it is set: blocks in reading order, storable as JSON, so that a signed letter can be
//! set again at any time and give the same bytes.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Pictures by the name a [`Block::Figure`] gives, each an SVG or PNG file.
pub type Pictures = BTreeMap<String, Vec<u8>>;

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Document {
    pub title: String,
    /// BCP 47 language, such as `en`.
    pub language: String,
    /// Who writes: name of the practice, then its lines.
    pub practice: Vec<String>,
    /// Who is written to, line by line; empty on a sheet.
    pub recipient: Vec<String>,
    pub date: String,
    /// Label and value under the title (patient, born, film, scale …).
    pub head: Vec<(String, String)>,
    pub blocks: Vec<Block>,
    /// On every page, beside the page number.
    pub foot: String,
    /// Draft letters say so across the head of every page.
    pub draft: bool,
    /// One page, smaller type: a sheet instead of a letter.
    pub compact: bool,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Block {
    Heading {
        text: String,
    },
    Paragraph {
        text: String,
    },
    /// Small print, line by line.
    Small {
        text: String,
    },
    List {
        items: Vec<String>,
    },
    Notice {
        notice: Notice,
        title: String,
        lines: Vec<String>,
    },
    /// Two columns: a label, and what belongs to it.
    Pairs {
        caption: String,
        header: (String, String),
        rows: Vec<(String, String)>,
    },
    /// A row of one cell is a heading over the rows below it.
    Table {
        caption: String,
        header: Vec<String>,
        rows: Vec<Vec<String>>,
    },
    Readings {
        caption: String,
        rows: Vec<ReadingRow>,
    },
    /// A picture of [`Pictures`], with words for those who cannot see it.
    Figure {
        picture: String,
        alt: String,
        caption: String,
        width_percent: f64,
    },
    /// Two columns side by side, read left first.
    Columns {
        left: Vec<Block>,
        right: Vec<Block>,
        left_percent: f64,
    },
    Signature {
        lines: Vec<String>,
    },
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Notice {
    Alarm,
    Caution,
    Note,
}

impl Document {
    /// Every figure of the document, also those inside columns: picture, words, caption.
    pub fn figures(&self) -> Vec<(&str, &str, &str)> {
        let mut out = Vec::new();
        figures(&self.blocks, &mut out);
        out
    }

    /// The document as plain text, in reading order.
    pub fn text(&self) -> String {
        let mut out = String::new();
        for line in [&self.practice, &self.recipient].into_iter().flatten() {
            push(&mut out, line);
        }
        push(&mut out, &self.date);
        if self.draft {
            push(&mut out, "DRAFT");
        }
        push(&mut out, &format!("\n# {}", self.title));
        for (label, value) in &self.head {
            push(&mut out, &format!("{label}: {value}"));
        }
        text(&self.blocks, &mut out);
        push(&mut out, &format!("\n-- {}", self.foot));
        out
    }
}

fn figures<'a>(blocks: &'a [Block], out: &mut Vec<(&'a str, &'a str, &'a str)>) {
    for block in blocks {
        match block {
            Block::Figure {
                picture,
                alt,
                caption,
                ..
            } => out.push((picture, alt, caption)),
            Block::Columns { left, right, .. } => {
                figures(left, out);
                figures(right, out);
            }
            _ => {}
        }
    }
}

fn push(out: &mut String, line: &str) {
    out.push_str(line);
    out.push('\n');
}

fn text(blocks: &[Block], out: &mut String) {
    for block in blocks {
        match block {
            Block::Heading { text } => push(out, &format!("\n## {text}")),
            Block::Paragraph { text } | Block::Small { text } => push(out, text),
            Block::List { items } => items.iter().for_each(|i| push(out, &format!("- {i}"))),
            Block::Notice {
                notice,
                title,
                lines,
            } => {
                push(out, &format!("[{}] {title}", notice.word()));
                lines.iter().for_each(|l| push(out, &format!("  {l}")));
            }
            Block::Pairs {
                caption,
                header,
                rows,
            } => {
                push(out, caption);
                push(out, &format!("  {} | {}", header.0, header.1));
                rows.iter()
                    .for_each(|(a, b)| push(out, &format!("  {a}: {}", b.replace('\n', " / "))));
            }
            Block::Table {
                caption,
                header,
                rows,
            } => {
                push(out, caption);
                push(out, &format!("  {}", header.join(" | ")));
                for row in rows {
                    push(out, &format!("  {}", row.join(" | ").replace('\n', " / ")));
                }
            }
            Block::Readings { caption, rows } => {
                push(out, caption);
                for r in rows {
                    let cells = [&r.name, &r.value, &r.sign, &r.place, &r.yardstick];
                    let line: Vec<String> = cells.iter().map(|c| c.replace('\n', " / ")).collect();
                    push(out, &format!("  {}", line.join(" | ")));
                }
            }
            Block::Figure { alt, caption, .. } => {
                push(out, &format!("[figure] {alt}"));
                push(out, &format!("  {caption}"));
            }
            Block::Columns { left, right, .. } => {
                text(left, out);
                text(right, out);
            }
            Block::Signature { lines } => lines.iter().for_each(|l| push(out, l)),
        }
    }
}

impl Notice {
    pub fn word(self) -> &'static str {
        match self {
            Notice::Alarm => "alarm",
            Notice::Caution => "caution",
            Notice::Note => "note",
        }
    }
}

/// One reading as printed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadingRow {
    pub name: String,
    /// `14.2° ± 1.8°`
    pub value: String,
    /// What plus means.
    pub sign: String,
    /// inside, outside, straddles, sources differ, no yardstick.
    pub place: String,
    /// The yardsticks and their provenance letters, in words.
    pub yardstick: String,
    /// The strip, as SVG; empty where there is none.
    pub strip_svg: String,
}
