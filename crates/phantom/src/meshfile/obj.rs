//! OBJ: vertices and faces by number; faces of more than three corners are split from their first.

use super::{MeshFileError, Raw, broken};

pub(super) fn three_numbers(format: &'static str, text: &str) -> Result<[f64; 3], MeshFileError> {
    let mut values = text.split_whitespace().map(str::parse::<f64>);
    let mut next = || match values.next() {
        Some(Ok(v)) if v.is_finite() => Ok(v),
        _ => Err(broken(
            format,
            text.trim(),
            "three finite numbers for a vertex",
        )),
    };
    Ok([next()?, next()?, next()?])
}

pub(super) fn read(bytes: &[u8]) -> Result<Raw, MeshFileError> {
    let text = String::from_utf8_lossy(bytes);
    let mut raw = Raw::default();
    for line in text.lines().map(str::trim) {
        if let Some(rest) = line.strip_prefix("v ") {
            raw.vertices.push(three_numbers("OBJ", rest)?);
        } else if let Some(rest) = line.strip_prefix("f ") {
            let face = rest
                .split_whitespace()
                .map(|corner| number(corner, raw.vertices.len()))
                .collect::<Result<Vec<_>, _>>()?;
            fan("OBJ", &face, &mut raw)?;
        }
    }
    Ok(raw)
}

/// `7`, `7/1/3` or `-1`, counted from 1 or back from the last.
fn number(corner: &str, vertices: usize) -> Result<usize, MeshFileError> {
    let given: i64 = corner.split('/').next().unwrap_or("").parse().unwrap_or(0);
    let index = if given > 0 {
        given - 1
    } else {
        vertices as i64 + given
    };
    match usize::try_from(index) {
        Ok(i) if given != 0 && i < vertices => Ok(i),
        _ => Err(broken(
            "OBJ",
            format!("face corner {corner}"),
            "the number of a vertex given before",
        )),
    }
}

/// Splits a face into triangles that share its first corner.
pub(super) fn fan(
    format: &'static str,
    face: &[usize],
    raw: &mut Raw,
) -> Result<(), MeshFileError> {
    let [first, rest @ ..] = face else {
        return Err(broken(format, "a face without corners", "three or more"));
    };
    if rest.len() < 2 {
        return Err(broken(
            format,
            format!("a face with {} corners", face.len()),
            "three or more",
        ));
    }
    raw.triangles
        .extend(rest.windows(2).map(|w| [*first, w[0], w[1]]));
    Ok(())
}
