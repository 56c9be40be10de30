//! PLY: text and binary of both byte orders; the `vertex` and `face` elements, others passed over.

use super::{Format, Gathered, MOST_VERTICES};
use crate::MeshError;
use crate::error::{number, words};

#[derive(Clone, Copy, PartialEq)]
enum Coding {
    Text,
    Little,
    Big,
}

#[derive(Clone, Copy)]
enum Kind {
    I8,
    U8,
    I16,
    U16,
    I32,
    U32,
    F32,
    F64,
}

impl Kind {
    fn size(self) -> usize {
        match self {
            Kind::I8 | Kind::U8 => 1,
            Kind::I16 | Kind::U16 => 2,
            Kind::I32 | Kind::U32 | Kind::F32 => 4,
            Kind::F64 => 8,
        }
    }
}

/// What a value is for.
#[derive(Clone, Copy, PartialEq)]
enum Use {
    /// x, y or z.
    Coordinate(usize),
    Corners,
    Nothing,
}

enum Property {
    One(Use, Kind),
    List(Use, Kind, Kind),
}

#[derive(PartialEq, Clone, Copy)]
enum Role {
    Vertex,
    Face,
    Other,
}

struct Element {
    role: Role,
    count: u64,
    properties: Vec<Property>,
}

/// Text or binary, by the format line of the header.
pub(super) fn coding(bytes: &[u8]) -> Result<Format, MeshError> {
    let head = &bytes[..bytes.len().min(1024)];
    let binary = head
        .windows(b"format binary".len())
        .any(|w| w == b"format binary");
    Ok(if binary {
        Format::PlyBinary
    } else {
        Format::PlyText
    })
}

pub(super) fn read(bytes: &[u8], gathered: &mut Gathered) -> Result<(), MeshError> {
    let (head, body) = parted(bytes).ok_or_else(|| gathered.cut_off("within its header"))?;
    let (coding, elements) = header(head, gathered)?;
    let mut source = Source { coding, rest: body };
    let vertices = elements
        .iter()
        .filter(|e| e.role == Role::Vertex)
        .map(|e| e.count as usize)
        .sum();
    let mut list = Vec::new();
    for element in &elements {
        // Every row takes some bytes; more rows than bytes cannot be there.
        if element.count > source.rest.len() as u64 && !element.properties.is_empty() {
            return Err(gathered.cut_off("before the rows that its header announces"));
        }
        if element.properties.is_empty() {
            continue;
        }
        for _ in 0..element.count {
            row(&mut source, element, vertices, gathered, &mut list)?;
        }
    }
    Ok(())
}

/// Header and body; a header of more than 64 kB is none.
fn parted(bytes: &[u8]) -> Option<(&[u8], &[u8])> {
    let word = b"end_header";
    let end = bytes
        .windows(word.len())
        .take(65_536)
        .position(|w| w == word)?;
    let line = bytes[end..].iter().position(|&b| b == b'\n')?;
    Some((&bytes[..end], &bytes[end + line + 1..]))
}

fn header(head: &[u8], gathered: &Gathered) -> Result<(Coding, Vec<Element>), MeshError> {
    let head = String::from_utf8_lossy(head);
    let mut coding = None;
    let mut elements: Vec<Element> = Vec::new();
    for line in head.lines() {
        let parts: Vec<&str> = line.split_whitespace().collect();
        match parts.as_slice() {
            ["format", "ascii", ..] => coding = Some(Coding::Text),
            ["format", "binary_little_endian", ..] => coding = Some(Coding::Little),
            ["format", "binary_big_endian", ..] => coding = Some(Coding::Big),
            ["element", name, count] => {
                let count: u64 = count.parse().unwrap_or(u64::MAX);
                let what = match *name {
                    "vertex" => "vertices",
                    "face" => "faces",
                    _ => "rows",
                };
                if count > MOST_VERTICES as u64 {
                    return Err(gathered.too_large(what, count));
                }
                elements.push(Element {
                    role: match *name {
                        "vertex" => Role::Vertex,
                        "face" => Role::Face,
                        _ => Role::Other,
                    },
                    count,
                    properties: vec![],
                });
            }
            ["property", "list", count, item, name] => {
                let (count, item) = (kind(count, gathered)?, kind(item, gathered)?);
                let element = last(&mut elements, gathered)?;
                let corners = matches!(*name, "vertex_indices" | "vertex_index");
                let used = if element.role == Role::Face && corners {
                    Use::Corners
                } else {
                    Use::Nothing
                };
                element.properties.push(Property::List(used, count, item));
            }
            ["property", one, name] => {
                let kind = kind(one, gathered)?;
                let element = last(&mut elements, gathered)?;
                let axis = ["x", "y", "z"].iter().position(|axis| axis == name);
                let used = match axis {
                    Some(k) if element.role == Role::Vertex => Use::Coordinate(k),
                    _ => Use::Nothing,
                };
                element.properties.push(Property::One(used, kind));
            }
            _ => {}
        }
    }
    let coding =
        coding.ok_or_else(|| gathered.broken("no format line", "one that says ascii or binary"))?;
    Ok((coding, elements))
}

fn last<'a>(
    elements: &'a mut [Element],
    gathered: &Gathered,
) -> Result<&'a mut Element, MeshError> {
    elements
        .last_mut()
        .ok_or_else(|| gathered.broken("a property before any element", "an element first"))
}

fn kind(word: &str, gathered: &Gathered) -> Result<Kind, MeshError> {
    Ok(match word {
        "char" | "int8" => Kind::I8,
        "uchar" | "uint8" => Kind::U8,
        "short" | "int16" => Kind::I16,
        "ushort" | "uint16" => Kind::U16,
        "int" | "int32" => Kind::I32,
        "uint" | "uint32" => Kind::U32,
        "float" | "float32" => Kind::F32,
        "double" | "float64" => Kind::F64,
        _ => {
            let found = format!("the number type {}", words(word.as_bytes()));
            return Err(gathered.broken(found, "one of the PLY types"));
        }
    })
}

fn row(
    source: &mut Source<'_>,
    element: &Element,
    vertices: usize,
    gathered: &mut Gathered,
    list: &mut Vec<u32>,
) -> Result<(), MeshError> {
    let mut at = [f64::NAN; 3];
    for property in &element.properties {
        match *property {
            Property::One(Use::Coordinate(k), kind) => at[k] = source.next(kind, gathered)?,
            Property::One(_, kind) => source.skip(kind, 1, gathered)?,
            Property::List(used, count, item) => {
                let n = source.next(count, gathered)?;
                if !(0.0..=65_535.0).contains(&n) {
                    let found = format!("a list of {} numbers", number(n));
                    return Err(gathered.broken(found, "a count of at most 65535"));
                }
                if used != Use::Corners {
                    source.skip(item, n as usize, gathered)?;
                    continue;
                }
                list.clear();
                for _ in 0..n as usize {
                    let given = source.next(item, gathered)?;
                    list.push(gathered.number(given, vertices)?);
                }
                gathered.face(list)?;
            }
        }
    }
    if element.role == Role::Vertex {
        gathered.vertex(at)?;
    }
    Ok(())
}

struct Source<'a> {
    coding: Coding,
    rest: &'a [u8],
}

impl<'a> Source<'a> {
    fn word(&mut self, gathered: &Gathered) -> Result<&'a [u8], MeshError> {
        let rest = self.rest.trim_ascii_start();
        let end = rest
            .iter()
            .position(u8::is_ascii_whitespace)
            .unwrap_or(rest.len());
        if end == 0 {
            return Err(gathered.cut_off("before the rows that its header announces"));
        }
        let (word, rest) = rest.split_at(end);
        self.rest = rest;
        Ok(word)
    }

    fn bytes(&mut self, count: usize, gathered: &Gathered) -> Result<&'a [u8], MeshError> {
        let (bytes, rest) = self
            .rest
            .split_at_checked(count)
            .ok_or_else(|| gathered.cut_off("before the rows that its header announces"))?;
        self.rest = rest;
        Ok(bytes)
    }

    fn skip(&mut self, kind: Kind, count: usize, gathered: &Gathered) -> Result<(), MeshError> {
        if self.coding == Coding::Text {
            for _ in 0..count {
                self.word(gathered)?;
            }
        } else {
            self.bytes(kind.size() * count, gathered)?;
        }
        Ok(())
    }

    fn next(&mut self, kind: Kind, gathered: &Gathered) -> Result<f64, MeshError> {
        if self.coding == Coding::Text {
            let word = self.word(gathered)?;
            return std::str::from_utf8(word)
                .ok()
                .and_then(|w| w.parse().ok())
                .ok_or_else(|| gathered.broken(format!("\"{}\"", words(word)), "a number"));
        }
        let size = kind.size();
        let mut b = [0u8; 8];
        b[..size].copy_from_slice(self.bytes(size, gathered)?);
        if self.coding == Coding::Big {
            b[..size].reverse();
        }
        let [b0, b1, b2, b3, ..] = b;
        Ok(match kind {
            Kind::I8 => f64::from(b0 as i8),
            Kind::U8 => f64::from(b0),
            Kind::I16 => f64::from(i16::from_le_bytes([b0, b1])),
            Kind::U16 => f64::from(u16::from_le_bytes([b0, b1])),
            Kind::I32 => f64::from(i32::from_le_bytes([b0, b1, b2, b3])),
            Kind::U32 => f64::from(u32::from_le_bytes([b0, b1, b2, b3])),
            Kind::F32 => f64::from(f32::from_le_bytes([b0, b1, b2, b3])),
            Kind::F64 => f64::from_le_bytes(b),
        })
    }
}
