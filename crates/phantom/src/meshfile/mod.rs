//! Which bones does a mesh file hold?
//!
//! * [`read`]: the bytes of an STL, OBJ, PLY or VTP file to one closed [`Mesh`] in millimetres;
//! * [`pieces`]: its separate closed parts, for files that hold a whole foot;
//! * [`bone_from`]: a rough mesh to a smooth bone with cortex; [`skin_around`]: soft tissue about bones;
//! * [`bone_name`]: the bone that a file's name means; [`points`]: the views' points on named bones.
//!
//! A surface with a hole has no inside and is refused. Units are guessed from the size and told.

mod bone;
mod name;
mod obj;
mod ply;
pub mod points;
mod shape;
mod stand;
mod stl;
mod vtp;
mod weld;

pub use bone::{BoneRecipe, bone_from, skin_around};
pub use name::{BONE_NAMES, bone_name};
pub use stand::{Axes, Axis, FLESH_BELOW_MM, NotStanding, Stood, Told, stand};
pub use weld::pieces;

use crate::mesh::Mesh;

/// Largest number of vertices or triangles read from one file.
const MOST: usize = 20_000_000;

/// The unit in which a file's numbers were taken to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileUnit {
    Millimetre,
    Centimetre,
    Metre,
    Inch,
}

impl FileUnit {
    pub fn to_mm(self) -> f64 {
        match self {
            FileUnit::Millimetre => 1.0,
            FileUnit::Centimetre => 10.0,
            FileUnit::Metre => 1000.0,
            FileUnit::Inch => 25.4,
        }
    }

    /// A bone or a foot is 4 to 400 mm long; millimetres are taken where they fit, then metres, then
    /// centimetres. Inches are never guessed: they cannot be told from centimetres.
    fn guess(longest: f64) -> Option<FileUnit> {
        [FileUnit::Millimetre, FileUnit::Metre, FileUnit::Centimetre]
            .into_iter()
            .find(|u| (4.0..=400.0).contains(&(longest * u.to_mm())))
    }
}

/// A file that gives no bone.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshFileError {
    #[error("found no STL, OBJ, PLY or VTP file; give a surface mesh in one of these formats")]
    Unrecognised,
    #[error("found {found} in the {format} file; expected {expected}")]
    Broken {
        format: &'static str,
        found: String,
        expected: &'static str,
    },
    #[error(
        "found a surface that is not closed ({fault}); a bone needs a closed surface: fill its holes and give it again"
    )]
    Open { fault: String },
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

/// Triangles and vertices as a file gives them, before they are held against anything.
#[derive(Debug, Default)]
struct Raw {
    vertices: Vec<[f64; 3]>,
    triangles: Vec<[usize; 3]>,
}

/// Reads one closed surface; the format is told by the content.
///
/// # Errors
/// Not a mesh file, a broken one, a surface with a hole, or a size that fits no unit.
pub fn read(bytes: &[u8], unit: Option<FileUnit>, holes: Holes) -> Result<FromFile, MeshFileError> {
    let (format, raw) = parse(bytes)?;
    let mut mesh = weld::welded(format, raw)?;
    let holes_closed = match holes {
        Holes::Refuse => 0,
        Holes::CloseUpTo { edges } => weld::close_holes(&mut mesh, edges),
    };
    let longest = mesh.bounds().map_or(0.0, |(l, h)| {
        (0..3).map(|k| h[k] - l[k]).fold(0.0, f64::max)
    });
    let known = match unit {
        Some(unit) => unit,
        None => FileUnit::guess(longest).ok_or(MeshFileError::UnknownUnit { longest })?,
    };
    mesh = mesh.map(|v| v.map(|c| c * known.to_mm()));
    let turned = mesh.volume() < 0.0;
    if turned {
        mesh = mesh.turned_inside_out();
    }
    if let Some(fault) = mesh.fault() {
        return Err(MeshFileError::Open { fault });
    }
    Ok(FromFile {
        mesh,
        format,
        unit: known,
        unit_guessed: unit.is_none(),
        turned,
        holes_closed,
    })
}

fn parse(bytes: &[u8]) -> Result<(&'static str, Raw), MeshFileError> {
    let head = &bytes[..bytes.len().min(2048)];
    let text = String::from_utf8_lossy(head);
    let start = text.trim_start();
    if stl::is_binary(bytes) {
        return Ok(("binary STL", stl::binary(bytes)?));
    }
    if start.starts_with("ply") {
        return ply::read(bytes);
    }
    if start.starts_with("solid") && text.contains("facet") {
        return Ok(("text STL", stl::text(bytes)?));
    }
    if text.contains("<VTKFile") {
        return Ok(("VTP", vtp::read(bytes)?));
    }
    if start.lines().any(|l| l.trim_start().starts_with("v ")) {
        return Ok(("OBJ", obj::read(bytes)?));
    }
    Err(MeshFileError::Unrecognised)
}

fn broken(format: &'static str, found: impl Into<String>, expected: &'static str) -> MeshFileError {
    // At most a few words of the file go into a message.
    let found: String = found.into().chars().take(80).collect();
    MeshFileError::Broken {
        format,
        found,
        expected,
    }
}
