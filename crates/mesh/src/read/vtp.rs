//! VTP: XML PolyData with its numbers written in the file, as text or uncompressed base64.
//!
//! Compressed and appended data are refused with a sentence: saving again as ASCII is one step.

use super::{Gathered, MOST_VERTICES};
use crate::MeshError;
use crate::error::{number, words};

const AGAIN: &str = "save it again as ASCII";

pub(super) fn read(bytes: &[u8], gathered: &mut Gathered) -> Result<(), MeshError> {
    let text = String::from_utf8_lossy(bytes);
    let file =
        tag(&text, "VTKFile").ok_or_else(|| gathered.broken("no VTKFile element", "PolyData"))?;
    let kind = attribute(file, "type").unwrap_or("no type");
    if kind != "PolyData" {
        let found = format!("the type {}", words(kind.as_bytes()));
        return Err(gathered.broken(found, "the type PolyData"));
    }
    if attribute(file, "compressor").is_some() || text.contains("<AppendedData") {
        return Err(MeshError::Unsupported {
            format: gathered.format,
            found: "compressed or appended data".into(),
            expected: "data written in place",
            remedy: AGAIN,
        });
    }
    if !text.contains("</VTKFile>") {
        return Err(gathered.cut_off("before its closing element"));
    }
    let numbers = Numbers {
        wide: attribute(file, "header_type") == Some("UInt64"),
        big: attribute(file, "byte_order") == Some("BigEndian"),
    };
    let mut pieces = text.split("</Piece>").filter(|p| p.contains("<Points"));
    let Some(first) = pieces.next() else {
        return Err(gathered.broken("no Points element", "PolyData with points and polygons"));
    };
    for piece in std::iter::once(first).chain(pieces) {
        one(piece, &numbers, gathered)?;
    }
    Ok(())
}

fn one(piece: &str, numbers: &Numbers, gathered: &mut Gathered) -> Result<(), MeshError> {
    let points = section(piece, "Points", gathered)?;
    let places = numbers.data(points, None, gathered)?;
    let first = gathered.vertices.len();
    if places.len() % 3 != 0 {
        let found = format!("{} coordinates", places.len());
        return Err(gathered.broken(found, "x, y and z for every point"));
    }
    for c in places.chunks_exact(3) {
        gathered.vertex([c[0], c[1], c[2]])?;
    }
    let count = gathered.vertices.len() - first;
    let polygons = section(piece, "Polys", gathered)?;
    let corners = numbers.data(polygons, Some("connectivity"), gathered)?;
    let ends = numbers.data(polygons, Some("offsets"), gathered)?;
    let mut start = 0usize;
    for end in ends {
        let found = format!("the offset {}", number(end));
        let face = if end >= 0.0 && end <= corners.len() as f64 {
            corners.get(start..end as usize)
        } else {
            None
        }
        .ok_or_else(|| gathered.broken(found, "rising offsets within the corners"))?;
        let face = face
            .iter()
            .map(|&c| Ok(gathered.number(c, count)? + first as u32))
            .collect::<Result<Vec<_>, MeshError>>()?;
        gathered.face(&face)?;
        start = end as usize;
    }
    Ok(())
}

/// The inside of the first tag of this name.
fn tag<'a>(text: &'a str, name: &str) -> Option<&'a str> {
    let open = format!("<{name}");
    let start = text
        .match_indices(&open)
        .map(|(i, _)| i + open.len())
        .find(|&i| text[i..].starts_with(|c: char| c.is_whitespace() || c == '>' || c == '/'))?;
    let end = text[start..].find('>')?;
    Some(&text[start..start + end])
}

fn attribute<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let wanted = format!("{name}=");
    let start = tag
        .match_indices(&wanted)
        .map(|(i, _)| i)
        .find(|&i| i == 0 || tag[..i].ends_with(char::is_whitespace))?
        + wanted.len();
    let quote = tag[start..]
        .chars()
        .next()
        .filter(|c| *c == '"' || *c == '\'')?;
    tag[start + 1..].split(quote).next()
}

fn section<'a>(
    text: &'a str,
    name: &'static str,
    gathered: &Gathered,
) -> Result<&'a str, MeshError> {
    let none = || {
        gathered.broken(
            format!("no {name} element"),
            "PolyData with points and polygons",
        )
    };
    let start = text
        .find(&format!("<{name}>"))
        .or_else(|| text.find(&format!("<{name} ")))
        .ok_or_else(none)?;
    let end = text[start..].find(&format!("</{name}>")).ok_or_else(none)?;
    Ok(&text[start..start + end])
}

/// How numbers are coded where they are not text.
struct Numbers {
    wide: bool,
    big: bool,
}

impl Numbers {
    /// The numbers of a section's DataArray, the first or the one of this name.
    fn data(
        &self,
        section: &str,
        name: Option<&str>,
        gathered: &Gathered,
    ) -> Result<Vec<f64>, MeshError> {
        let none = || {
            let found = format!("no {} array", name.unwrap_or("point"));
            gathered.broken(found, "a DataArray")
        };
        for piece in section.split("<DataArray").skip(1) {
            let (head, rest) = piece.split_once('>').ok_or_else(none)?;
            if name.is_some_and(|n| attribute(head, "Name") != Some(n)) {
                continue;
            }
            let body = rest.split('<').next().unwrap_or("").trim();
            return match attribute(head, "format") {
                Some("ascii") | None => body
                    .split_whitespace()
                    .map(|w| {
                        w.parse::<f64>().map_err(|_| {
                            let found = format!("\"{}\"", words(w.as_bytes()));
                            gathered.broken(found, "a number")
                        })
                    })
                    .collect(),
                Some("binary") => {
                    let kind = attribute(head, "type").unwrap_or("");
                    self.binary(kind, &base64(body, gathered)?, gathered)
                }
                Some(other) => Err(MeshError::Unsupported {
                    format: gathered.format,
                    found: format!("the number format {}", words(other.as_bytes())),
                    expected: "ascii or binary",
                    remedy: AGAIN,
                }),
            };
        }
        Err(none())
    }

    /// One length in front (4 or 8 bytes), then the numbers.
    fn binary(&self, kind: &str, bytes: &[u8], gathered: &Gathered) -> Result<Vec<f64>, MeshError> {
        let ahead = if self.wide { 8 } else { 4 };
        let (length, body) = bytes
            .split_at_checked(ahead)
            .ok_or_else(|| gathered.cut_off("within an array"))?;
        let mut b = [0u8; 8];
        b[..ahead].copy_from_slice(length);
        if self.big {
            b[..ahead].reverse();
        }
        let length = u64::from_le_bytes(b);
        if (body.len() as u64) < length {
            return Err(gathered.cut_off("within an array"));
        }
        let body = &body[..length as usize];
        let size = match kind {
            "Float64" | "Int64" | "UInt64" => 8,
            "Float32" | "Int32" | "UInt32" => 4,
            other => {
                let found = format!("numbers of the type {}", words(other.as_bytes()));
                return Err(gathered.broken(found, "32 or 64 bit numbers"));
            }
        };
        if body.len() / size > 3 * MOST_VERTICES {
            return Err(gathered.too_large("numbers", (body.len() / size) as u64));
        }
        Ok(body
            .chunks_exact(size)
            .map(|chunk| {
                let mut b = [0u8; 8];
                b[..size].copy_from_slice(chunk);
                if self.big {
                    b[..size].reverse();
                }
                let four = [b[0], b[1], b[2], b[3]];
                match kind {
                    "Float64" => f64::from_le_bytes(b),
                    "Int64" => i64::from_le_bytes(b) as f64,
                    "UInt64" => u64::from_le_bytes(b) as f64,
                    "Float32" => f64::from(f32::from_le_bytes(four)),
                    "Int32" => f64::from(i32::from_le_bytes(four)),
                    _ => f64::from(u32::from_le_bytes(four)),
                }
            })
            .collect())
    }
}

fn base64(text: &str, gathered: &Gathered) -> Result<Vec<u8>, MeshError> {
    let mut bytes = Vec::with_capacity(text.len() * 3 / 4);
    let (mut bits, mut held) = (0u32, 0);
    for c in text.bytes().filter(|c| !c.is_ascii_whitespace()) {
        // Padding ends a block; another may follow, as where the length is coded by itself.
        if c == b'=' {
            (bits, held) = (0, 0);
            continue;
        }
        let value = match c {
            b'A'..=b'Z' => c - b'A',
            b'a'..=b'z' => c - b'a' + 26,
            b'0'..=b'9' => c - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => {
                let found = format!("the character {:?}", c as char);
                return Err(gathered.broken(found, "base64"));
            }
        };
        bits = (bits << 6 | u32::from(value)) & 0xFF_FFFF;
        held += 6;
        if held >= 8 {
            held -= 8;
            bytes.push((bits >> held) as u8);
        }
    }
    Ok(bytes)
}
