//! How does a surface become a file that a printer or a mill can take?
//!
//! * [`stl`]: one surface as binary STL;
//! * [`three_mf`]: bodies with names, materials and colours, in millimetres.
//!
//! Files hold coordinates as `f32`. Two corners that fall together there would be joined by whoever reads the
//! file, and a closed surface could come out torn; such a surface is refused.
//!
//! The same surface and words always give the same bytes: no time, no name of a program, no chance.

mod stl;
mod three_mf;

pub use stl::stl;
pub use three_mf::{Body, Material, Model, three_mf};

use crate::check::closed;
use crate::{Format, Mesh, MeshError};

/// The corners as a file has them; refuses a closed surface whose corners fall together.
fn rounded(mesh: &Mesh, format: Format) -> Result<Vec<[f32; 3]>, MeshError> {
    if mesh.triangles.is_empty() {
        return Err(MeshError::NothingToWrite { what: "triangles" });
    }
    let count = mesh.vertices.len();
    if let Some(v) = mesh
        .triangles
        .iter()
        .flatten()
        .find(|v| **v as usize >= count)
    {
        return Err(MeshError::NotPacked {
            format,
            found: format!("the corner {v} of {count}"),
        });
    }
    let far = |c: &&f64| c.is_nan() || c.abs() > crate::read::FARTHEST;
    if let Some(&found) = mesh.vertices.iter().flatten().find(far) {
        return Err(MeshError::NoPlace { format, found });
    }
    let places: Vec<[f32; 3]> = mesh
        .vertices
        .iter()
        // Adding nothing turns minus zero into zero.
        .map(|v| v.map(|c| c as f32 + 0.0))
        .collect();
    if closed(mesh).is_none() {
        let mut used = vec![false; count];
        for &v in mesh.triangles.iter().flatten() {
            used[v as usize] = true;
        }
        let mut sorted: Vec<[u32; 3]> = places
            .iter()
            .zip(&used)
            .filter(|(_, used)| **used)
            .map(|(p, _)| p.map(f32::to_bits))
            .collect();
        sorted.sort_unstable();
        let mut together = sorted.windows(2).filter(|w| w[0] == w[1]);
        if let Some(first) = together.next() {
            let [x, y, z] = first[0].map(f32::from_bits);
            return Err(MeshError::FallTogether {
                format,
                pairs: 1 + together.count(),
                at: format!("({x:.3}, {y:.3}, {z:.3})"),
            });
        }
    }
    Ok(places)
}
