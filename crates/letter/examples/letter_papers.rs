//! Every kind of paper in every language, of invented visits, for checks from outside:
//! `cargo run -p letter --example letter_papers -- OUT`.
//!
//! Beside each PDF lies `NAME.json`: its language, its title, what stands at the foot of every page, and its
//! words piece by piece in the order in which they are to be read, `[drawing]` where a drawing has words of its own.

#[path = "../tests/common/mod.rs"]
mod common;

use common::kinds;
use letter::compose::Composed;
use letter::{Block, Document, Language, Words};
use std::error::Error;
use std::path::Path;

/// Stands for the words that a drawing may have on it.
const DRAWING: &str = "[drawing]";

fn main() -> Result<(), Box<dyn Error>> {
    let out = std::env::args()
        .nth(1)
        .ok_or("found no folder; say where the papers go: letter_papers OUT")?;
    let out = Path::new(&out);
    std::fs::create_dir_all(out)?;
    for language in Language::ALL {
        let words = Words::of(language);
        for (who, mut visit, child) in [
            ("adult", common::adult(), false),
            ("child", common::child(), true),
        ] {
            visit.words = words;
            for (kind, composed) in kinds::papers(&visit, kinds::further(child)) {
                write(out, &format!("{who}-{kind}-{}", language.tag()), &composed)?;
            }
        }
        let order = common::order::usual().spoken(words);
        let facts = letter::OrderFacts {
            words,
            ..order.facts()
        };
        let sheet = letter::compose::order_sheet(&facts);
        write(out, &format!("adult-order-{}", language.tag()), &sheet)?;
    }
    Ok(())
}

fn write(out: &Path, name: &str, composed: &Composed) -> Result<(), Box<dyn Error>> {
    let pdf = letter::render(&composed.document, &composed.pictures)?;
    std::fs::write(out.join(format!("{name}.pdf")), pdf.bytes)?;
    let document = &composed.document;
    let told = serde_json::json!({
        "language": document.language,
        "title": document.title,
        "foot": document.foot,
        "pieces": pieces(document),
    });
    std::fs::write(out.join(format!("{name}.json")), told.to_string())?;
    Ok(())
}

/// In the order of the page: letterhead, reader, title, head, blocks.
fn pieces(document: &Document) -> Vec<String> {
    let mut out = document.practice.clone();
    out.push(document.date.clone());
    out.extend(document.recipient.iter().cloned());
    out.push(document.title.clone());
    for (label, value) in &document.head {
        out.push(format!("{label}: {value}"));
    }
    blocks(&document.blocks, &mut out);
    out.retain(|piece| !piece.trim().is_empty());
    out
}

fn blocks(all: &[Block], out: &mut Vec<String>) {
    let lines = |text: &str, out: &mut Vec<String>| out.extend(text.lines().map(str::to_owned));
    for block in all {
        match block {
            Block::Heading { text } | Block::Paragraph { text } | Block::Small { text } => {
                lines(text, out);
            }
            Block::List { items } => items.iter().for_each(|i| lines(i, out)),
            Block::Notice {
                title, lines: told, ..
            } => {
                out.push(title.clone());
                told.iter().for_each(|l| lines(l, out));
            }
            Block::Pairs {
                caption,
                header,
                rows,
            } => {
                out.extend([caption, &header.0, &header.1].map(Clone::clone));
                for (a, b) in rows {
                    lines(a, out);
                    lines(b, out);
                }
            }
            Block::Table {
                caption,
                header,
                rows,
            } => {
                out.push(caption.clone());
                out.extend(header.iter().cloned());
                rows.iter().flatten().for_each(|cell| lines(cell, out));
            }
            Block::Readings { caption, rows } => {
                out.push(caption.clone());
                for r in rows {
                    for cell in [&r.name, &r.sign, &r.value, &r.place, &r.yardstick] {
                        lines(cell, out);
                    }
                }
            }
            Block::Figure { caption, .. } => out.extend([DRAWING.to_owned(), caption.clone()]),
            Block::Columns { left, right, .. } => {
                blocks(left, out);
                blocks(right, out);
            }
            Block::Signature { lines: told } => out.extend(told.iter().cloned()),
        }
    }
}
