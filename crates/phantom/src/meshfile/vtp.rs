//! VTP: XML PolyData with its numbers written in the file, as text or uncompressed base64.
//!
//! Compressed and appended data are refused with a sentence: saving again as ASCII is one step.

use super::{MOST, MeshFileError, Raw, broken, obj::fan};

const F: &str = "VTP";

pub(super) fn read(bytes: &[u8]) -> Result<Raw, MeshFileError> {
    let text = String::from_utf8_lossy(bytes);
    let file = tag(&text, "VTKFile").ok_or_else(|| broken(F, "no VTKFile element", "PolyData"))?;
    if attribute(file, "type") != Some("PolyData") {
        return Err(broken(
            F,
            attribute(file, "type").unwrap_or("no type"),
            "type PolyData",
        ));
    }
    if attribute(file, "compressor").is_some() || text.contains("<AppendedData") {
        return Err(broken(
            F,
            "compressed or appended data",
            "data written in place; save it again as ASCII",
        ));
    }
    let wide = attribute(file, "header_type") == Some("UInt64");
    let big = attribute(file, "byte_order") == Some("BigEndian");
    let points = section(&text, "Points")?;
    let numbers = data(points, None, wide, big)?;
    if numbers.len() % 3 != 0 || numbers.iter().any(|v| !v.is_finite()) {
        return Err(broken(
            F,
            format!("{} coordinates", numbers.len()),
            "finite x, y and z for every point",
        ));
    }
    let mut raw = Raw {
        vertices: numbers
            .chunks_exact(3)
            .map(|c| [c[0], c[1], c[2]])
            .collect(),
        triangles: vec![],
    };
    let polygons = section(&text, "Polys")?;
    let corners = data(polygons, Some("connectivity"), wide, big)?;
    let ends = data(polygons, Some("offsets"), wide, big)?;
    let mut start = 0usize;
    for end in ends {
        let end = whole(end, corners.len() + 1)?;
        let face = corners
            .get(start..end)
            .ok_or_else(|| broken(F, format!("offset {end}"), "rising offsets"))?;
        let face = face
            .iter()
            .map(|&c| whole(c, raw.vertices.len()))
            .collect::<Result<Vec<_>, _>>()?;
        fan(F, &face, &mut raw)?;
        start = end;
    }
    Ok(raw)
}

fn whole(value: f64, limit: usize) -> Result<usize, MeshFileError> {
    if value >= 0.0 && value < limit as f64 {
        Ok(value as usize)
    } else {
        Err(broken(
            F,
            format!("the number {value}"),
            "the number of a point or corner in the file",
        ))
    }
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

fn section<'a>(text: &'a str, name: &'static str) -> Result<&'a str, MeshFileError> {
    let none = || {
        broken(
            F,
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

/// The numbers of a section's DataArray, the first or the one of this name.
fn data(
    section: &str,
    name: Option<&str>,
    wide: bool,
    big: bool,
) -> Result<Vec<f64>, MeshFileError> {
    let none = || {
        broken(
            F,
            format!("no {} array", name.unwrap_or("point")),
            "a DataArray",
        )
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
                .map(|w| w.parse::<f64>().map_err(|_| broken(F, w, "a number")))
                .collect(),
            Some("binary") => binary(
                attribute(head, "type").unwrap_or(""),
                &base64(body)?,
                wide,
                big,
            ),
            Some(other) => Err(broken(
                F,
                format!("format {other}"),
                "ascii or binary; save it again as ASCII",
            )),
        };
    }
    Err(none())
}

fn base64(text: &str) -> Result<Vec<u8>, MeshFileError> {
    let mut bytes = Vec::with_capacity(text.len() * 3 / 4);
    let (mut bits, mut held) = (0u32, 0);
    for c in text
        .bytes()
        .filter(|c| !c.is_ascii_whitespace() && *c != b'=')
    {
        let value = match c {
            b'A'..=b'Z' => c - b'A',
            b'a'..=b'z' => c - b'a' + 26,
            b'0'..=b'9' => c - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => {
                return Err(broken(
                    F,
                    format!("the character {:?}", c as char),
                    "base64",
                ));
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

/// One length in front (4 or 8 bytes), then the numbers.
fn binary(kind: &str, bytes: &[u8], wide: bool, big: bool) -> Result<Vec<f64>, MeshFileError> {
    let body = bytes.get(if wide { 8 } else { 4 }..).unwrap_or(&[]);
    let size = match kind {
        "Float64" | "Int64" | "UInt64" => 8,
        "Float32" | "Int32" | "UInt32" => 4,
        other => {
            return Err(broken(
                F,
                format!("numbers of type {other}"),
                "32 or 64 bit numbers",
            ));
        }
    };
    if body.len() / size > 3 * MOST {
        return Err(broken(
            F,
            "more than 60 million numbers",
            "a mesh of at most 20 million points",
        ));
    }
    Ok(body
        .chunks_exact(size)
        .map(|chunk| {
            let mut b = [0u8; 8];
            b[..size].copy_from_slice(chunk);
            if big {
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
