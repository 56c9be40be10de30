//! Signed letters, films, scans, captures and what was sent to be made: attachments by the hash of their bytes.
//!
//! The address is a name by hash (RFC 6920), which is the same wherever the bytes lie. `Attachment.hash` of the
//! standard is SHA-1; ours is SHA-256 and stands in an extension.

use super::{Making, instant};
use crate::codes::{extension_url, own, own_system, text};
use crate::ids::derived;
use crate::types::{
    Attachment, DocumentContent, DocumentContext, DocumentReference, Extension, ExtensionValue,
    Identifier, Period, Reference, RelatesTo, Resource, ResourceType,
};
use record::{ContentHash, LetterState, Subject, VisitId};
use time::Date;

/// `ni:///sha-256;…`: the name that a hash gives a file.
pub fn name_by_hash(content: &ContentHash) -> String {
    const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
    let hex = content.to_string();
    let bytes: Vec<u8> = (0..hex.len())
        .step_by(2)
        .filter_map(|i| u8::from_str_radix(hex.get(i..i + 2)?, 16).ok())
        .collect();
    let mut name = String::from("ni:///sha-256;");
    for chunk in bytes.chunks(3) {
        let at = |i: usize| u32::from(chunk.get(i).copied().unwrap_or(0));
        let word = at(0) << 16 | at(1) << 8 | at(2);
        for place in 0..=chunk.len() {
            let index = (word >> (18 - 6 * place)) & 63;
            name.push(char::from(ALPHABET[index as usize]));
        }
    }
    name
}

pub(super) fn order_sheet_id(order: &record::OrderId) -> String {
    derived(&["order-sheet", &order.to_string()]).to_string()
}

pub(super) fn order_solids_id(order: &record::OrderId) -> String {
    derived(&["order-solids", &order.to_string()]).to_string()
}

/// A file of a visit.
struct Filed<'f> {
    id: String,
    subject: Subject,
    kind: (&'static str, String),
    words: String,
    visit: VisitId,
    taken_on: Option<Date>,
    content: ContentHash,
    media_type: &'f str,
}

fn attachment(content: &ContentHash, media_type: &str, title: Option<&str>) -> Attachment {
    Attachment {
        extension: vec![Extension {
            url: extension_url("sha256"),
            value: Some(ExtensionValue::String(content.to_string())),
            ..Extension::default()
        }],
        content_type: (!media_type.is_empty()).then(|| media_type.to_owned()),
        url: name_by_hash(content),
        title: title.map(str::to_owned),
        creation: None,
    }
}

fn document(m: &Making<'_>, file: Filed<'_>) -> DocumentReference {
    let last = m.opened.last_change(file.subject);
    DocumentReference {
        id: file.id,
        meta: m.meta(last),
        identifier: vec![Identifier {
            system: own_system("content"),
            value: file.content.to_string(),
        }],
        status: "current",
        doc_status: None,
        kind: own("document", file.kind.1, &file.words),
        category: vec![own("document-kind", file.kind.0, file.kind.0)],
        subject: m.subject(),
        date: last.and_then(instant),
        author: Vec::new(),
        relates_to: Vec::new(),
        description: Some(file.words),
        content: vec![DocumentContent {
            attachment: Attachment {
                creation: file.taken_on.map(|d| d.to_string()),
                ..attachment(&file.content, file.media_type, None)
            },
        }],
        context: context(m, file.visit, file.taken_on),
    }
}

fn context(m: &Making<'_>, visit: VisitId, taken_on: Option<Date>) -> DocumentContext {
    let day = taken_on.map(|d| d.to_string());
    DocumentContext {
        encounter: vec![m.encounter(visit)],
        period: day.map(|day| Period {
            start: Some(day.clone()),
            end: Some(day),
        }),
    }
}

pub(super) fn all(m: &Making<'_>) -> Vec<Resource> {
    let chart = m.chart();
    let mut files = Vec::new();
    for f in &chart.films {
        let (key, words) = f
            .view
            .map_or(("film", "film, view not said"), |v| (v.key(), v.words()));
        let side = f.side.map_or(String::new(), |s| format!(", {}", s.word()));
        files.push(Filed {
            id: f.id.to_string(),
            subject: Subject::Film(f.id),
            kind: ("film", format!("film-{key}")),
            words: format!("film, {words}{side}, {}", f.stance.words()),
            visit: f.visit,
            taken_on: f.taken_on,
            content: f.content,
            media_type: &f.media_type,
        });
    }
    for s in &chart.scans {
        let side = s.side.map_or(String::new(), |s| format!(", {}", s.word()));
        let load = s.load.map_or(String::new(), |l| format!(", {}", l.words()));
        files.push(Filed {
            id: s.id.to_string(),
            subject: Subject::Scan(s.id),
            kind: ("scan", "foot-scan".into()),
            words: format!("foot scan{side}{load}"),
            visit: s.visit,
            taken_on: s.taken_on,
            content: s.content,
            media_type: &s.media_type,
        });
    }
    for c in &chart.captures {
        files.push(Filed {
            id: c.id.to_string(),
            subject: Subject::Capture(c.id),
            kind: ("capture", c.kind.key().into()),
            words: c.kind.words().into(),
            visit: c.visit,
            taken_on: c.taken_on,
            content: c.content,
            media_type: &c.media_type,
        });
    }
    for o in &chart.orders {
        let Some(sent) = &o.sent else { continue };
        for (id, key, words, content, media_type) in [
            (
                order_sheet_id(&o.id),
                "order-sheet",
                "order sheet of a device",
                sent.sheet,
                "application/pdf",
            ),
            (
                order_solids_id(&o.id),
                "order-solids",
                "solids of a device",
                sent.solids,
                "model/3mf",
            ),
        ] {
            files.push(Filed {
                id,
                subject: Subject::Order(o.id),
                kind: ("order", key.into()),
                words: words.into(),
                visit: o.visit,
                taken_on: None,
                content,
                media_type,
            });
        }
    }
    let mut all: Vec<Resource> = files.into_iter().map(|f| document(m, f).into()).collect();
    all.extend(letters(m));
    all
}

fn letters(m: &Making<'_>) -> Vec<Resource> {
    let signed = |id| {
        let letter = m.chart().letters.iter().find(|l| l.id == id);
        letter.is_some_and(|l| l.is_signed())
    };
    let mut all = Vec::new();
    for l in &m.chart().letters {
        let LetterState::Signed { at, by, pdf, seal } = &l.state else {
            continue;
        };
        let own_word = own("document", l.kind.key(), l.kind.words());
        all.push(
            DocumentReference {
                id: l.id.to_string(),
                meta: m.meta(Some(*at)),
                identifier: vec![Identifier {
                    system: own_system("seal"),
                    value: seal.to_string(),
                }],
                status: "current",
                doc_status: Some("final"),
                kind: own_word,
                category: vec![own("document-kind", "letter", "letter")],
                subject: m.subject(),
                date: instant(*at),
                author: vec![m.practitioner(*by, None)],
                relates_to: l
                    .addendum_to
                    .filter(|id| signed(*id))
                    .map(|id| RelatesTo {
                        code: "appends",
                        target: Reference::to(ResourceType::DocumentReference, id),
                    })
                    .into_iter()
                    .collect(),
                description: text(l.title.as_str()).text,
                content: vec![DocumentContent {
                    attachment: attachment(pdf, "application/pdf", Some(&l.title)),
                }],
                context: context(m, l.visit, None),
            }
            .into(),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_s_name_by_its_hash_is_the_standard_s_example() {
        // RFC 6920, section 8.1: the hash of "Hello World!".
        assert_eq!(
            name_by_hash(&ContentHash::of(b"Hello World!")),
            "ni:///sha-256;f4OxZX_x_FO5LcGBSKHWXfwtSx-j1ncoSt3SABJtkGk"
        );
    }
}
