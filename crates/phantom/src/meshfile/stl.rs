//! STL, text and binary: triangles without shared vertices.

use super::{MOST, MeshFileError, Raw, broken};

/// A binary STL's length follows from its triangle count.
pub(super) fn is_binary(bytes: &[u8]) -> bool {
    count(bytes).is_some_and(|n| n > 0 && bytes.len() as u64 == 84 + 50 * u64::from(n))
}

fn count(bytes: &[u8]) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(80..84)?.try_into().ok()?))
}

pub(super) fn binary(bytes: &[u8]) -> Result<Raw, MeshFileError> {
    let mut raw = Raw::default();
    let body = bytes.get(84..).unwrap_or(&[]);
    if body.len() / 50 > MOST / 3 {
        return Err(broken(
            "binary STL",
            format!("{} triangles", body.len() / 50),
            "at most 6 million",
        ));
    }
    for facet in body.chunks_exact(50) {
        let first = raw.vertices.len();
        for corner in facet[12..48].chunks_exact(12) {
            let mut at = [0.0; 3];
            for (value, bytes) in at.iter_mut().zip(corner.chunks_exact(4)) {
                *value = f64::from(f32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]));
            }
            raw.vertices.push(at);
        }
        raw.triangles.push([first, first + 1, first + 2]);
    }
    Ok(raw)
}

pub(super) fn text(bytes: &[u8]) -> Result<Raw, MeshFileError> {
    let text = String::from_utf8_lossy(bytes);
    let mut raw = Raw::default();
    let mut corners = 0;
    for line in text.lines().map(str::trim) {
        if let Some(rest) = line.strip_prefix("vertex") {
            raw.vertices
                .push(super::obj::three_numbers("text STL", rest)?);
            corners += 1;
        } else if line.starts_with("endloop") {
            let n = raw.vertices.len();
            if corners != 3 {
                return Err(broken(
                    "text STL",
                    format!("a facet with {corners} corners"),
                    "three",
                ));
            }
            raw.triangles.push([n - 3, n - 2, n - 1]);
            corners = 0;
        }
    }
    Ok(raw)
}
