//! 3MF of the core format: bodies with names, base materials with colours, millimetres.
//!
//! # Sources
//! 3MF Core Specification, 3MF Consortium (read), and its schema 1.2.2 (read).

use super::rounded;
use crate::{Format, Mesh, MeshError};
use std::fmt::Write as _;
use std::io::{Cursor, Write as _};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// What goes into one file. Titles and names are written as given: no name of a person belongs there.
#[derive(Debug, Clone, Copy)]
pub struct Model<'a> {
    pub title: &'a str,
    pub description: Option<&'a str>,
    pub bodies: &'a [Body<'a>],
}

#[derive(Debug, Clone, Copy)]
pub struct Body<'a> {
    pub name: &'a str,
    /// In millimetres.
    pub mesh: &'a Mesh,
    pub material: Material<'a>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Material<'a> {
    pub name: &'a str,
    /// Red, green, blue; how it is shown, not what it is.
    pub colour: [u8; 3],
}

const CONTENT_TYPES: &str = concat!(
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n",
    "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">",
    "<Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>",
    "<Default Extension=\"model\" ContentType=\"application/vnd.ms-package.3dmanufacturing-3dmodel+xml\"/>",
    "</Types>\n"
);

const RELATIONS: &str = concat!(
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n",
    "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">",
    "<Relationship Target=\"/3D/3dmodel.model\" Id=\"model\" ",
    "Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/>",
    "</Relationships>\n"
);

/// The bodies as one 3MF file.
///
/// # Errors
/// No body, a body without triangles, a coordinate that is none, or corners of a closed body that fall together.
pub fn three_mf(model: &Model<'_>) -> Result<Vec<u8>, MeshError> {
    if model.bodies.is_empty() {
        return Err(MeshError::NothingToWrite { what: "body" });
    }
    let xml = xml(model)?;
    packed(&xml).map_err(|e| MeshError::NotPacked {
        format: Format::ThreeMf,
        found: e.to_string(),
    })
}

fn packed(xml: &str) -> Result<Vec<u8>, Box<dyn std::error::Error>> {
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .last_modified_time(DateTime::DEFAULT)
        .unix_permissions(0o644);
    let mut zip = ZipWriter::new(Cursor::new(Vec::with_capacity(xml.len() / 4)));
    for (name, text) in [
        ("[Content_Types].xml", CONTENT_TYPES),
        ("_rels/.rels", RELATIONS),
        ("3D/3dmodel.model", xml),
    ] {
        zip.start_file(name, options)?;
        zip.write_all(text.as_bytes())?;
    }
    Ok(zip.finish()?.into_inner())
}

fn xml(model: &Model<'_>) -> Result<String, MeshError> {
    let mut materials: Vec<Material<'_>> = Vec::new();
    for body in model.bodies {
        if !materials.contains(&body.material) {
            materials.push(body.material);
        }
    }
    let triangles: usize = model.bodies.iter().map(|b| b.mesh.triangles.len()).sum();
    let mut out = String::with_capacity(1024 + 80 * triangles);
    out += "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<model unit=\"millimeter\" xml:lang=\"und\" xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\">\n";
    out += &format!(
        "<metadata name=\"Title\">{}</metadata>\n",
        escaped(model.title)
    );
    if let Some(text) = model.description {
        out += &format!(
            "<metadata name=\"Description\">{}</metadata>\n",
            escaped(text)
        );
    }
    out += "<resources>\n<basematerials id=\"1\">\n";
    for m in &materials {
        let [r, g, b] = m.colour;
        out += &format!(
            "<base name=\"{}\" displaycolor=\"#{r:02X}{g:02X}{b:02X}FF\"/>\n",
            escaped(m.name)
        );
    }
    out += "</basematerials>\n";
    for (i, body) in model.bodies.iter().enumerate() {
        let material = materials
            .iter()
            .position(|m| *m == body.material)
            .unwrap_or(0);
        out += &format!(
            "<object id=\"{}\" type=\"model\" name=\"{}\" pid=\"1\" pindex=\"{material}\">\n<mesh>\n<vertices>\n",
            i + 2,
            escaped(body.name)
        );
        for [x, y, z] in rounded(body.mesh, Format::ThreeMf)? {
            // The shortest decimals that read back as the same number, never with an exponent.
            let _ = writeln!(out, "<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\"/>");
        }
        out += "</vertices>\n<triangles>\n";
        for [a, b, c] in &body.mesh.triangles {
            let _ = writeln!(out, "<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\"/>");
        }
        out += "</triangles>\n</mesh>\n</object>\n";
    }
    out += "</resources>\n<build>\n";
    for i in 0..model.bodies.len() {
        out += &format!("<item objectid=\"{}\"/>\n", i + 2);
    }
    out += "</build>\n</model>\n";
    Ok(out)
}

/// As XML has it; characters that XML cannot hold become spaces.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\u{fffe}' | '\u{ffff}' => out.push(' '),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
