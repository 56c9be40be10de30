//! Binary STL: what every printer reads; no unit, no name that counts, no colour.

use super::rounded;
use crate::{Format, Mesh, MeshError};

/// One surface as binary STL, in the numbers of the mesh.
///
/// The first 79 bytes of the title go into the header; one that begins with "solid" is set after a space, since
/// some readers take that word for a text file.
///
/// # Errors
/// Nothing to write, a coordinate that is none, or corners of a closed surface that fall together.
pub fn stl(mesh: &Mesh, title: &str) -> Result<Vec<u8>, MeshError> {
    let places = rounded(mesh, Format::StlBinary)?;
    let mut out = Vec::with_capacity(84 + 50 * mesh.triangles.len());
    let mut header = [0u8; 80];
    let words = title.bytes().map(|b| match b {
        32..=126 => b,
        _ => b'_',
    });
    let ahead = usize::from(title.to_ascii_lowercase().starts_with("solid"));
    if ahead == 1 {
        header[0] = b' ';
    }
    for (place, byte) in header[ahead..79].iter_mut().zip(words) {
        *place = byte;
    }
    out.extend(header);
    out.extend((mesh.triangles.len() as u32).to_le_bytes());
    for t in &mesh.triangles {
        let corners = t.map(|v| places[v as usize]);
        for value in normal(corners).iter().chain(corners.iter().flatten()) {
            out.extend(value.to_le_bytes());
        }
        out.extend([0, 0]);
    }
    Ok(out)
}

/// Of the triangle as it is written; nothing for one without area.
fn normal(corners: [[f32; 3]; 3]) -> [f32; 3] {
    let [a, b, c] = corners.map(|p| p.map(f64::from));
    let (u, v) = (
        [0, 1, 2].map(|k| b[k] - a[k]),
        [0, 1, 2].map(|k| c[k] - a[k]),
    );
    let n = [
        u[1] * v[2] - u[2] * v[1],
        u[2] * v[0] - u[0] * v[2],
        u[0] * v[1] - u[1] * v[0],
    ];
    let length = n.iter().map(|c| c * c).sum::<f64>().sqrt();
    if length > 0.0 {
        n.map(|c| (c / length) as f32)
    } else {
        [0.0; 3]
    }
}
