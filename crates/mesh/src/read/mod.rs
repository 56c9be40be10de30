//! Which surface does a file hold?
//!
//! [`read`] takes the bytes of an STL, OBJ, PLY, VTP or 3MF file, whatever it is called, and gives one
//! [`Mesh`] in the file's own numbers, or one sentence. Units are told where the format has them and guessed by
//! nobody here; nothing is mended.
//!
//! One surprise: a binary STL may begin with the word "solid", like a text one, and a text one may be called
//! anything. The content decides, never the first word alone.

mod obj;
mod ply;
mod stl;
mod three_mf;
mod vtp;

use crate::{Mesh, MeshError, topology};
use std::fmt;

/// The most triangles that are kept from one file. Scans have 30,000 to 1 million; four million take about
/// 200 MB here and a quarter of a gigabyte more for their [`Topology`](crate::topology::Topology).
pub const MOST_TRIANGLES: usize = 4_000_000;

/// As many as triangles without any shared corner need.
const MOST_VERTICES: usize = 3 * MOST_TRIANGLES;

/// The largest coordinate taken, in the file's unit; beyond it squares and products lose their meaning.
pub const FARTHEST: f64 = 1e9;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    StlBinary,
    StlText,
    Obj,
    PlyBinary,
    PlyText,
    Vtp,
    ThreeMf,
}

impl Format {
    pub fn name(self) -> &'static str {
        match self {
            Format::StlBinary => "binary STL",
            Format::StlText => "text STL",
            Format::Obj => "OBJ",
            Format::PlyBinary => "binary PLY",
            Format::PlyText => "text PLY",
            Format::Vtp => "VTP",
            Format::ThreeMf => "3MF",
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// The unit of a file's numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    Micrometre,
    Millimetre,
    Centimetre,
    Metre,
    Inch,
    Foot,
}

impl Unit {
    pub fn to_mm(self) -> f64 {
        match self {
            Unit::Micrometre => 0.001,
            Unit::Millimetre => 1.0,
            Unit::Centimetre => 10.0,
            Unit::Metre => 1000.0,
            Unit::Inch => 25.4,
            Unit::Foot => 304.8,
        }
    }
}

/// What a file held.
#[derive(Debug, Clone, PartialEq)]
pub struct File {
    pub format: Format,
    /// The unit that the file itself names; only 3MF can.
    pub declared_unit: Option<Unit>,
    /// In the file's own numbers. Corners at exactly the same place are one vertex where the format has no
    /// shared corners (STL); elsewhere vertices are those of the file.
    pub mesh: Mesh,
    pub dropped: Dropped,
}

/// What was in a file and is not in its mesh.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Dropped {
    /// Triangles that name one corner twice.
    pub flat_triangles: usize,
    /// Vertices that no triangle uses.
    pub unused_vertices: usize,
    /// Objects of a 3MF file that are no part of the model, such as supports.
    pub objects: usize,
    /// Bytes after the last triangle of a binary STL.
    pub trailing_bytes: usize,
}

/// Reads one file; its format is told by the content.
///
/// # Units
/// The file's own; see [`File::declared_unit`].
///
/// # Errors
/// No surface file, or one that is cut off, broken, too large or without triangles.
pub fn read(bytes: &[u8]) -> Result<File, MeshError> {
    let format = told(bytes)?;
    let mut gathered = Gathered::new(format);
    let mut declared_unit = None;
    match format {
        Format::StlBinary => stl::binary(bytes, &mut gathered)?,
        Format::StlText => stl::text(bytes, &mut gathered)?,
        Format::Obj => obj::read(bytes, &mut gathered)?,
        Format::PlyBinary | Format::PlyText => ply::read(bytes, &mut gathered)?,
        Format::Vtp => vtp::read(bytes, &mut gathered)?,
        Format::ThreeMf => declared_unit = Some(three_mf::read(bytes, &mut gathered)?),
    }
    gathered.into_file(declared_unit)
}

/// The format, by content.
fn told(bytes: &[u8]) -> Result<Format, MeshError> {
    if bytes.is_empty() {
        return Err(MeshError::Empty);
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.starts_with(b"PK\x05\x06") {
        return Ok(Format::ThreeMf);
    }
    if bytes.starts_with(b"ply") && bytes.get(3).is_some_and(u8::is_ascii_whitespace) {
        return ply::coding(bytes);
    }
    let head = &bytes[..bytes.len().min(4096)];
    if is_text(head) {
        let text = String::from_utf8_lossy(head);
        let start = text.trim_start_matches('\u{feff}').trim_start();
        if text.contains("<VTKFile") {
            return Ok(Format::Vtp);
        }
        let lower = start.to_ascii_lowercase();
        if lower.starts_with("solid") && (lower.contains("facet") || lower.contains("endsolid")) {
            return Ok(Format::StlText);
        }
        if obj::looks_like(start) {
            return Ok(Format::Obj);
        }
        return Err(MeshError::Unrecognised {
            found: if start.is_empty() {
                "nothing but spaces"
            } else {
                "a text"
            },
        });
    }
    if stl::looks_binary(bytes) {
        return Ok(Format::StlBinary);
    }
    Err(MeshError::Unrecognised {
        found: known_by_its_start(bytes),
    })
}

/// No control characters but those that lines and tables need, and not many letters beyond ASCII.
fn is_text(head: &[u8]) -> bool {
    let foreign = head.iter().filter(|b| **b >= 128).count();
    foreign * 4 <= head.len()
        && head
            .iter()
            .all(|&b| b >= 32 && b != 127 || matches!(b, b'\t' | b'\n' | b'\r' | 12))
}

fn known_by_its_start(bytes: &[u8]) -> &'static str {
    let at = |from: usize, word: &[u8]| bytes.get(from..).is_some_and(|b| b.starts_with(word));
    if at(0, b"\x89PNG") || at(0, b"\xff\xd8\xff") || at(0, b"GIF8") {
        "a picture"
    } else if at(0, b"%PDF") {
        "a PDF"
    } else if at(128, b"DICM") {
        "a DICOM file"
    } else if at(0, b"\x1f\x8b") || at(0, b"7z\xbc\xaf") || at(0, b"Rar!") {
        "a packed archive"
    } else {
        "bytes"
    }
}

/// Vertices and triangles as they come out of a file, held against the limits.
struct Gathered {
    format: Format,
    vertices: Vec<[f64; 3]>,
    triangles: Vec<[u32; 3]>,
    dropped: Dropped,
}

impl Gathered {
    fn new(format: Format) -> Gathered {
        Gathered {
            format,
            vertices: Vec::new(),
            triangles: Vec::new(),
            dropped: Dropped::default(),
        }
    }

    fn vertex(&mut self, at: [f64; 3]) -> Result<(), MeshError> {
        self.placed(at)?;
        if self.vertices.len() >= MOST_VERTICES {
            return Err(self.too_large("vertices", self.vertices.len() as u64 + 1));
        }
        self.vertices.push(at);
        Ok(())
    }

    fn placed(&self, at: [f64; 3]) -> Result<(), MeshError> {
        match at.iter().find(|c| c.is_nan() || c.abs() > FARTHEST) {
            Some(&found) => Err(MeshError::NoPlace {
                format: self.format,
                found,
            }),
            None => Ok(()),
        }
    }

    /// Corners must have been held against the vertices that are there, or will be.
    fn triangle(&mut self, corners: [u32; 3]) -> Result<(), MeshError> {
        let [a, b, c] = corners;
        if a == b || b == c || c == a {
            self.dropped.flat_triangles += 1;
            return Ok(());
        }
        if self.triangles.len() >= MOST_TRIANGLES {
            return Err(self.too_large("triangles", self.triangles.len() as u64 + 1));
        }
        self.triangles.push(corners);
        Ok(())
    }

    /// A face of three or more corners, split from its first.
    fn face(&mut self, corners: &[u32]) -> Result<(), MeshError> {
        let [first, rest @ ..] = corners else {
            return Err(self.broken("a face without corners", "three or more"));
        };
        if rest.len() < 2 {
            let found = format!("a face with {} corners", corners.len());
            return Err(self.broken(found, "three or more"));
        }
        for pair in rest.windows(2) {
            self.triangle([*first, pair[0], pair[1]])?;
        }
        Ok(())
    }

    /// A vertex by the number that a file gives, counted from 0.
    fn number(&self, given: f64, of: usize) -> Result<u32, MeshError> {
        match given {
            n if n >= 0.0 && n < of as f64 && n.fract() == 0.0 => Ok(n as u32),
            _ => Err(self.broken(
                format!(
                    "the vertex number {} where there are {of} vertices",
                    crate::error::number(given)
                ),
                "numbers of vertices in the file",
            )),
        }
    }

    fn broken(&self, found: impl Into<String>, expected: &'static str) -> MeshError {
        MeshError::Broken {
            format: self.format,
            found: found.into(),
            expected,
        }
    }

    fn too_large(&self, what: &'static str, found: u64) -> MeshError {
        MeshError::TooLarge {
            format: self.format,
            found,
            what,
        }
    }

    fn cut_off(&self, place: &'static str) -> MeshError {
        MeshError::CutOff {
            format: self.format,
            place,
        }
    }

    fn into_file(self, declared_unit: Option<Unit>) -> Result<File, MeshError> {
        if self.triangles.is_empty() {
            return Err(MeshError::NoTriangles {
                format: self.format,
            });
        }
        let whole = Mesh {
            vertices: self.vertices,
            triangles: self.triangles,
        };
        let mut dropped = self.dropped;
        let mesh = if topology::all_used(&whole) {
            whole
        } else {
            let used = topology::without_unused(&whole);
            dropped.unused_vertices = whole.vertices.len() - used.vertices.len();
            used
        };
        Ok(File {
            format: self.format,
            declared_unit,
            mesh,
            dropped,
        })
    }
}

/// Numbers between white space, as text formats have them.
fn number_in(gathered: &Gathered, word: Option<&[u8]>) -> Result<f64, MeshError> {
    let Some(word) = word else {
        return Err(gathered.broken("too few numbers for a vertex", "three"));
    };
    std::str::from_utf8(word)
        .ok()
        .and_then(|w| w.parse().ok())
        .ok_or_else(|| {
            gathered.broken(
                format!("\"{}\" for a coordinate", crate::error::words(word)),
                "a number with a decimal point",
            )
        })
}

/// The words of one line.
fn words_of(line: &[u8]) -> impl Iterator<Item = &[u8]> {
    line.split(u8::is_ascii_whitespace)
        .filter(|w| !w.is_empty())
}
