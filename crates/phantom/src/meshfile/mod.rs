//! Which bones does a mesh file hold?
//!
//! * [`read`]: the bytes of a surface file to one closed [`Mesh`] in millimetres;
//! * [`pieces`]: its separate closed parts, for files that hold a whole foot;
//! * [`bone_from`]: a rough mesh to a smooth bone with cortex; [`skin_around`]: soft tissue about bones;
//! * [`bone_name`]: the bone that a file's name means; [`points`]: the views' points on named bones.
//!
//! The formats themselves are read by the crate `mesh`. A surface with a hole has no inside and is refused.
//! Units that the file does not name are guessed from the size and told.

mod bone;
mod name;
pub mod points;
mod shape;
mod stand;
mod weld;

pub use bone::{BoneRecipe, bone_from, skin_around};
pub use mesh::Unit as FileUnit;
pub use name::{BONE_NAMES, bone_name};
pub use stand::{Axes, Axis, FLESH_BELOW_MM, NotStanding, Stood, Told, stand};
pub use weld::pieces;

use mesh::{Mesh, MeshError, check::closed};

/// A bone or a foot is 4 to 400 mm long; millimetres are taken where they fit, then metres, then centimetres.
/// Inches are never guessed: they cannot be told from centimetres.
fn guess(longest: f64) -> Option<FileUnit> {
    [FileUnit::Millimetre, FileUnit::Metre, FileUnit::Centimetre]
        .into_iter()
        .find(|u| (4.0..=400.0).contains(&(longest * u.to_mm())))
}

/// A file that gives no bone.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshFileError {
    #[error(transparent)]
    File(#[from] MeshError),
    #[error(
        "found a surface that is not closed; a bone needs a closed surface: fill its holes and give it again"
    )]
    Open {
        #[source]
        fault: mesh::check::Fault,
    },
    #[error(
        "found a surface {longest:.4} units long, which is no bone in millimetres, centimetres or metres; say the file's unit"
    )]
    UnknownUnit { longest: f64 },
    #[error(transparent)]
    NoGrid(#[from] crate::render::offset::NoGrid),
}

/// A mesh from a file, in millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct FromFile {
    pub mesh: Mesh,
    pub format: &'static str,
    pub unit: FileUnit,
    /// Was the unit guessed from the size?
    pub unit_guessed: bool,
    /// Was the surface inside out in the file?
    pub turned: bool,
    /// Holes that were closed because the reader allowed it.
    pub holes_closed: usize,
}

/// What is done with a surface that is not closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holes {
    Refuse,
    /// Rims of at most this many edges are closed flat, and counted; wider ones are refused.
    CloseUpTo {
        edges: usize,
    },
}

/// Reads one closed surface; the format is told by the content.
///
/// # Errors
/// Not a mesh file, a broken one, a surface with a hole, or a size that fits no unit.
pub fn read(bytes: &[u8], unit: Option<FileUnit>, holes: Holes) -> Result<FromFile, MeshFileError> {
    let file = mesh::read(bytes)?;
    let mut mesh = weld::welded(&file.mesh);
    let holes_closed = match holes {
        Holes::Refuse => 0,
        Holes::CloseUpTo { edges } => weld::close_holes(&mut mesh, edges),
    };
    let longest = mesh.bounds().map_or(0.0, |(l, h)| {
        (0..3).map(|k| h[k] - l[k]).fold(0.0, f64::max)
    });
    let told = unit.or(file.declared_unit);
    let known = match told {
        Some(unit) => unit,
        None => guess(longest).ok_or(MeshFileError::UnknownUnit { longest })?,
    };
    mesh = mesh.map(|v| v.map(|c| c * known.to_mm()));
    let turned = mesh.volume() < 0.0;
    if turned {
        mesh = mesh.turned_inside_out();
    }
    if let Some(fault) = closed(&mesh) {
        return Err(MeshFileError::Open { fault });
    }
    Ok(FromFile {
        mesh,
        format: file.format.name(),
        unit: known,
        unit_guessed: told.is_none(),
        turned,
        holes_closed,
    })
}
