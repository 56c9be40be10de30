//! 3MF: a zip archive with one model part in XML; its build items, with what they are composed of, become one
//! mesh.
//!
//! Materials, colours and optional extensions are passed over. A required extension that changes the shape,
//! or that is not known here, is refused, as the format demands.
//!
//! # Sources
//! 3MF Core Specification, 3MF Consortium (read: the text of version 1.2 and later, and the schema 1.2.2): UTF-8
//! only, no DTD, elements before their references, row-major transforms, a mirroring transform keeps the sign of
//! the volume.

mod model;

use super::{Gathered, Unit};
use crate::MeshError;
use crate::error::words;
use quick_xml::events::{BytesStart, Event};
use std::io::{BufReader, Cursor, Read};
use zip::ZipArchive;
use zip::result::ZipError;

/// The most bytes that the model part may unpack to; four million triangles take about 300 MB of XML.
const MOST_UNPACKED: u64 = 512 << 20;
const MOST_RELATIONS: u64 = 1 << 20;
const MOST_ENTRIES: usize = 10_000;

const MODEL_RELATION: &str = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel";

type Archive<'a> = ZipArchive<Cursor<&'a [u8]>>;

pub(super) fn read(bytes: &[u8], gathered: &mut Gathered) -> Result<Unit, MeshError> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| unopened(&e, gathered))?;
    if archive.len() > MOST_ENTRIES {
        let found = format!("{} entries", archive.len());
        return Err(gathered.broken(found, "at most 10000"));
    }
    let part = model_part(&mut archive, gathered)?;
    let name = entry_name(&archive, &part).ok_or_else(|| {
        let found = format!("no part {}", words(part.as_bytes()));
        gathered.broken(found, "the model part that its relationships name")
    })?;
    let entry = archive.by_name(&name).map_err(|e| unopened(&e, gathered))?;
    let limited = Limited {
        inner: entry,
        left: MOST_UNPACKED,
    };
    let model = model::parse(BufReader::with_capacity(1 << 16, limited), gathered)?;
    model::place(&model, gathered)?;
    Ok(model.unit)
}

fn unopened(error: &ZipError, gathered: &Gathered) -> MeshError {
    match error {
        ZipError::UnsupportedArchive(what) if *what == ZipError::PASSWORD_REQUIRED => {
            MeshError::Unsupported {
                format: gathered.format,
                found: "a locked part".into(),
                expected: "one that opens without a password",
                remedy: "export it again without one",
            }
        }
        ZipError::UnsupportedArchive(_) | ZipError::CompressionMethodNotSupported(_) => {
            MeshError::Unsupported {
                format: gathered.format,
                found: "an unusual packing".into(),
                expected: "deflate or none",
                remedy: "export it again, or as STL",
            }
        }
        _ => gathered.cut_off("before its table of contents is whole"),
    }
}

/// The name of the model part, from the package's relationships.
fn model_part(archive: &mut Archive<'_>, gathered: &Gathered) -> Result<String, MeshError> {
    let none = || {
        gathered.broken(
            "no relationship to a 3D model",
            "the package of a 3D model; is it another kind of zip archive",
        )
    };
    let name = entry_name(archive, "_rels/.rels").ok_or_else(none)?;
    let entry = archive.by_name(&name).map_err(|e| unopened(&e, gathered))?;
    let limited = Limited {
        inner: entry,
        left: MOST_RELATIONS,
    };
    let mut reader = quick_xml::Reader::from_reader(BufReader::new(limited));
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(e) | Event::Empty(e))
                if e.local_name().as_ref() == "Relationship"
                    && text(&e, "Type", gathered)?.as_deref() == Some(MODEL_RELATION) =>
            {
                let target = text(&e, "Target", gathered)?.ok_or_else(none)?;
                return Ok(target.trim_start_matches('/').to_owned());
            }
            Ok(Event::Eof) => return Err(none()),
            Ok(_) => {}
            Err(e) => return Err(unread(&e, gathered)),
        }
    }
}

/// The archive's own spelling of a part's name; capitals do not count.
fn entry_name(archive: &Archive<'_>, part: &str) -> Option<String> {
    let mut alike = None;
    for name in archive.file_names().flatten() {
        if name == part {
            return Some(name.into_owned());
        }
        if alike.is_none() && name.eq_ignore_ascii_case(part) {
            alike = Some(name.into_owned());
        }
    }
    alike
}

/// Stops a part that unpacks without end.
struct Limited<R> {
    inner: R,
    left: u64,
}

const TOO_LONG: &str = "more than the most that a part may unpack to";

impl<R: Read> Read for Limited<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let n = self.inner.read(buffer)?;
        self.left = self
            .left
            .checked_sub(n as u64)
            .ok_or_else(|| std::io::Error::other(TOO_LONG))?;
        Ok(n)
    }
}

fn unread(error: &quick_xml::Error, gathered: &Gathered) -> MeshError {
    match error {
        quick_xml::Error::Io(e) if e.to_string() == TOO_LONG => {
            gathered.broken("a part that unpacks to more than 512 MB", "a smaller model")
        }
        quick_xml::Error::Io(_) => gathered.broken(
            "a part that does not unpack",
            "undamaged data, as it was written",
        ),
        quick_xml::Error::Encoding(_) => gathered.broken("text that is not UTF-8", "UTF-8"),
        _ => gathered.broken(
            "XML that is not well formed",
            "elements that open and close",
        ),
    }
}

/// An attribute's value.
fn text(
    element: &BytesStart<'_>,
    name: &str,
    gathered: &Gathered,
) -> Result<Option<String>, MeshError> {
    for attribute in element.attributes().with_checks(false) {
        let attribute = attribute
            .map_err(|_| gathered.broken("an attribute without value", "name=\"value\""))?;
        if attribute.key.as_ref() == name {
            return Ok(Some(attribute.value.trim().to_owned()));
        }
    }
    Ok(None)
}
