//! OBJ: vertices and faces by number; faces of more than three corners are split from their first. Colours,
//! textures, normals, groups and curves are passed over.

use super::{Gathered, number_in, words_of};
use crate::MeshError;
use crate::error::words;

/// Is there a line that only an OBJ file has?
pub(super) fn looks_like(head: &str) -> bool {
    head.lines().map(str::trim_start).any(|l| {
        let mut words = l.split_whitespace();
        matches!(words.next(), Some("v")) && words.next().is_some_and(|w| !w.is_empty())
    })
}

pub(super) fn read(bytes: &[u8], gathered: &mut Gathered) -> Result<(), MeshError> {
    let mut carried: Vec<u8> = Vec::new();
    let mut face = Vec::new();
    for line in bytes.split(|&b| b == b'\n') {
        let line = line.trim_ascii_end();
        // A line that ends with a backslash goes on in the next.
        if let Some(part) = line.strip_suffix(b"\\") {
            carried.extend_from_slice(part);
            carried.push(b' ');
            continue;
        }
        if carried.is_empty() {
            one(line, gathered, &mut face)?;
        } else {
            carried.extend_from_slice(line);
            one(&std::mem::take(&mut carried), gathered, &mut face)?;
        }
    }
    if carried.is_empty() {
        Ok(())
    } else {
        Err(gathered.cut_off("within a line"))
    }
}

fn one(line: &[u8], gathered: &mut Gathered, face: &mut Vec<u32>) -> Result<(), MeshError> {
    let mut parts = words_of(line);
    match parts.next() {
        Some(b"v") => {
            let mut next = || number_in(gathered, parts.next());
            let at = [next()?, next()?, next()?];
            gathered.vertex(at)
        }
        Some(b"f") => {
            face.clear();
            for corner in parts.take_while(|w| !w.starts_with(b"#")) {
                face.push(number(corner, gathered)?);
            }
            gathered.face(face)
        }
        _ => Ok(()),
    }
}

/// `7`, `7/1/3` or `-1`, counted from 1 or back from the last.
fn number(corner: &[u8], gathered: &Gathered) -> Result<u32, MeshError> {
    let first = corner.split(|&b| b == b'/').next().unwrap_or_default();
    let given: Option<i64> = std::str::from_utf8(first).ok().and_then(|w| w.parse().ok());
    let count = gathered.vertices.len();
    let at = match given {
        Some(n) if n > 0 => Some(n - 1),
        Some(n) if n < 0 => n.checked_add(count as i64),
        _ => None,
    };
    match at.map(u32::try_from) {
        Some(Ok(n)) if (n as usize) < count => Ok(n),
        _ => Err(gathered.broken(
            format!("the face corner {}", words(corner)),
            "the number of a vertex given before",
        )),
    }
}
