//! PLY: text and binary of both byte orders; the `vertex` and `face` elements, others passed over.

use super::{MOST, MeshFileError, Raw, broken, obj::fan};

const F: &str = "PLY";

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

enum Property {
    One(String, Kind),
    List(String, Kind, Kind),
}

struct Element {
    name: String,
    count: usize,
    properties: Vec<Property>,
}

pub(super) fn read(bytes: &[u8]) -> Result<(&'static str, Raw), MeshFileError> {
    let end = find(bytes, b"end_header")
        .ok_or_else(|| broken(F, "no end of its header", "'end_header'"))?;
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let line_end = bytes[end..].iter().position(|&b| b == b'\n');
    let body = line_end.map_or(&[][..], |n| &bytes[end + n + 1..]);
    let (coding, elements) = header(&head)?;
    let mut source = Source { coding, rest: body };
    let mut raw = Raw::default();
    for element in &elements {
        for _ in 0..element.count {
            row(&mut source, element, &mut raw)?;
        }
    }
    if let Some(&bad) = raw
        .triangles
        .iter()
        .flatten()
        .find(|&&i| i >= raw.vertices.len())
    {
        return Err(broken(
            F,
            format!("vertex number {bad}"),
            "a number below the count of vertices",
        ));
    }
    let name = if coding == Coding::Text {
        "text PLY"
    } else {
        "binary PLY"
    };
    Ok((name, raw))
}

fn find(bytes: &[u8], wanted: &[u8]) -> Option<usize> {
    bytes
        .windows(wanted.len())
        .take(65_536)
        .position(|w| w == wanted)
}

fn header(head: &str) -> Result<(Coding, Vec<Element>), MeshFileError> {
    let mut coding = None;
    let mut elements: Vec<Element> = Vec::new();
    for line in head.lines() {
        let words: Vec<&str> = line.split_whitespace().collect();
        match words.as_slice() {
            ["format", "ascii", ..] => coding = Some(Coding::Text),
            ["format", "binary_little_endian", ..] => coding = Some(Coding::Little),
            ["format", "binary_big_endian", ..] => coding = Some(Coding::Big),
            ["element", name, count] => {
                let count: usize = count.parse().unwrap_or(usize::MAX);
                if count > MOST {
                    return Err(broken(F, line, "an element with at most 20 million rows"));
                }
                elements.push(Element {
                    name: (*name).into(),
                    count,
                    properties: vec![],
                });
            }
            ["property", "list", count, item, name] => {
                let property = Property::List((*name).into(), kind(count)?, kind(item)?);
                last(&mut elements)?.properties.push(property);
            }
            ["property", one, name] => {
                let property = Property::One((*name).into(), kind(one)?);
                last(&mut elements)?.properties.push(property);
            }
            _ => {}
        }
    }
    let coding = coding.ok_or_else(|| broken(F, "no format line", "ascii or binary"))?;
    Ok((coding, elements))
}

fn last(elements: &mut [Element]) -> Result<&mut Element, MeshFileError> {
    elements
        .last_mut()
        .ok_or_else(|| broken(F, "a property before any element", "an element first"))
}

fn kind(word: &str) -> Result<Kind, MeshFileError> {
    Ok(match word {
        "char" | "int8" => Kind::I8,
        "uchar" | "uint8" => Kind::U8,
        "short" | "int16" => Kind::I16,
        "ushort" | "uint16" => Kind::U16,
        "int" | "int32" => Kind::I32,
        "uint" | "uint32" => Kind::U32,
        "float" | "float32" => Kind::F32,
        "double" | "float64" => Kind::F64,
        _ => return Err(broken(F, format!("the type {word}"), "a PLY number type")),
    })
}

fn row(source: &mut Source<'_>, element: &Element, raw: &mut Raw) -> Result<(), MeshFileError> {
    let mut at = [f64::NAN; 3];
    for property in &element.properties {
        match property {
            Property::One(name, kind) => {
                let value = source.next(*kind)?;
                if let Some(k) = ["x", "y", "z"].iter().position(|axis| axis == name) {
                    at[k] = value;
                }
            }
            Property::List(name, count, item) => {
                let n = source.next(*count)?;
                if !(0.0..=255.0).contains(&n) {
                    return Err(broken(F, format!("a list of {n} numbers"), "at most 255"));
                }
                let mut list = Vec::with_capacity(n as usize);
                for _ in 0..n as usize {
                    list.push(source.next(*item)?);
                }
                if element.name == "face" && (name == "vertex_indices" || name == "vertex_index") {
                    if let Some(bad) = list.iter().find(|v| !(0.0..MOST as f64).contains(*v)) {
                        return Err(broken(
                            F,
                            format!("vertex number {bad}"),
                            "a whole number from 0",
                        ));
                    }
                    fan(
                        F,
                        &list.iter().map(|&v| v as usize).collect::<Vec<_>>(),
                        raw,
                    )?;
                }
            }
        }
    }
    if element.name == "vertex" {
        if at.iter().any(|v| !v.is_finite()) {
            return Err(broken(
                F,
                "a vertex without three finite numbers",
                "x, y and z",
            ));
        }
        raw.vertices.push(at);
    }
    Ok(())
}

struct Source<'a> {
    coding: Coding,
    rest: &'a [u8],
}

impl Source<'_> {
    fn next(&mut self, kind: Kind) -> Result<f64, MeshFileError> {
        let cut = || broken(F, "the end of the file", "more numbers, as its header says");
        if self.coding == Coding::Text {
            let start = self
                .rest
                .iter()
                .position(|b| !b.is_ascii_whitespace())
                .ok_or_else(cut)?;
            let word = &self.rest[start..];
            let end = word
                .iter()
                .position(u8::is_ascii_whitespace)
                .unwrap_or(word.len());
            let (word, rest) = word.split_at(end);
            self.rest = rest;
            let word = String::from_utf8_lossy(word);
            return word
                .parse()
                .map_err(|_| broken(F, word.clone(), "a number"));
        }
        let size = match kind {
            Kind::I8 | Kind::U8 => 1,
            Kind::I16 | Kind::U16 => 2,
            Kind::I32 | Kind::U32 | Kind::F32 => 4,
            Kind::F64 => 8,
        };
        let (bytes, rest) = self.rest.split_at_checked(size).ok_or_else(cut)?;
        self.rest = rest;
        let mut b = [0u8; 8];
        b[..size].copy_from_slice(bytes);
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
