//! Files of every format as others write them, made here without the crate's own writers.
#![allow(dead_code)]

use mesh::Mesh;
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;

pub fn stl_binary(mesh: &Mesh) -> Vec<u8> {
    let mut out = vec![0u8; 80];
    out.extend((mesh.triangles.len() as u32).to_le_bytes());
    for i in 0..mesh.triangles.len() {
        out.extend([0u8; 12]);
        for corner in mesh.corners(i) {
            corner
                .iter()
                .for_each(|&c| out.extend((c as f32).to_le_bytes()));
        }
        out.extend([0u8; 2]);
    }
    out
}

pub fn stl_text(mesh: &Mesh) -> String {
    let mut out = String::from("solid a vertex of facets\n");
    for i in 0..mesh.triangles.len() {
        out += "facet normal 0 0 0\n outer loop\n";
        for [x, y, z] in mesh.corners(i) {
            out += &format!("  vertex {x:e} {y:e} {z:e}\n");
        }
        out += " endloop\nendfacet\n";
    }
    out + "endsolid a vertex of facets\n"
}

pub fn obj(mesh: &Mesh) -> String {
    let v: String = mesh
        .vertices
        .iter()
        .map(|[x, y, z]| format!("v {x} {y} {z} 0.5 0.5 0.5\n"))
        .collect();
    let f: String = mesh
        .triangles
        .iter()
        .map(|[a, b, c]| format!("f {}/1 {}//2 \\\n {}\n", a + 1, b + 1, c + 1))
        .collect();
    format!("# a surface\r\nmtllib none.mtl\n{v}g one\n{f}")
}

pub fn ply_head(format: &str, mesh: &Mesh, list: &str) -> String {
    format!(
        "ply\nformat {format} 1.0\ncomment x\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\nelement face {}\n{list}\nend_header\n",
        mesh.vertices.len(),
        mesh.triangles.len()
    )
}

const LIST: &str = "property list uchar int vertex_indices";

pub fn ply_text(mesh: &Mesh) -> String {
    let v: String = mesh
        .vertices
        .iter()
        .map(|[x, y, z]| format!("{x} {y} {z} 255\n"))
        .collect();
    let f: String = mesh
        .triangles
        .iter()
        .map(|[a, b, c]| format!("3 {a} {b} {c}\n"))
        .collect();
    format!("{}{v}{f}", ply_head("ascii", mesh, LIST))
}

pub fn ply_binary(mesh: &Mesh, big: bool) -> Vec<u8> {
    let order = if big {
        "binary_big_endian"
    } else {
        "binary_little_endian"
    };
    let mut out = ply_head(order, mesh, LIST).into_bytes();
    let four = |b: [u8; 4]| {
        if big {
            b.iter().rev().copied().collect::<Vec<_>>()
        } else {
            b.to_vec()
        }
    };
    for v in &mesh.vertices {
        v.iter()
            .for_each(|&c| out.extend(four((c as f32).to_le_bytes())));
        out.push(255);
    }
    for t in &mesh.triangles {
        out.push(3);
        t.iter()
            .for_each(|&i| out.extend(four((i as i32).to_le_bytes())));
    }
    out
}

/// Wide counts, short indices, and something else in each row, as some scanners write.
pub fn ply_odd(mesh: &Mesh) -> Vec<u8> {
    let list = "property float quality\nproperty list uint ushort vertex_index\nproperty list uchar float texcoord";
    let mut out = ply_head("binary_little_endian", mesh, list).into_bytes();
    for v in &mesh.vertices {
        v.iter().for_each(|&c| out.extend((c as f32).to_le_bytes()));
        out.push(7);
    }
    for t in &mesh.triangles {
        out.extend(1f32.to_le_bytes());
        out.extend(3u32.to_le_bytes());
        t.iter().for_each(|&i| out.extend((i as u16).to_le_bytes()));
        out.push(2);
        out.extend([0u8; 8]);
    }
    out
}

pub fn vtp(mesh: &Mesh) -> String {
    let points: String = mesh
        .vertices
        .iter()
        .map(|[x, y, z]| format!("{x} {y} {z}\n"))
        .collect();
    let corners: String = mesh
        .triangles
        .iter()
        .map(|[a, b, c]| format!("{a} {b} {c}\n"))
        .collect();
    let ends: String = (1..=mesh.triangles.len())
        .map(|i| format!("{} ", 3 * i))
        .collect();
    format!(
        "<?xml version=\"1.0\"?>\n<VTKFile type=\"PolyData\" version=\"0.1\" byte_order=\"LittleEndian\">\n<PolyData><Piece NumberOfPoints=\"{}\" NumberOfPolys=\"{}\">\n<Points><DataArray type=\"Float32\" NumberOfComponents=\"3\" format=\"ascii\">\n{points}</DataArray></Points>\n<Polys><DataArray type=\"Int32\" Name=\"connectivity\" format=\"ascii\">{corners}</DataArray>\n<DataArray type=\"Int32\" Name=\"offsets\" format=\"ascii\">{ends}</DataArray></Polys>\n</Piece></PolyData></VTKFile>",
        mesh.vertices.len(),
        mesh.triangles.len()
    )
}

fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    bytes
        .chunks(3)
        .map(|c| {
            let n = u32::from(c[0]) << 16
                | u32::from(*c.get(1).unwrap_or(&0)) << 8
                | u32::from(*c.get(2).unwrap_or(&0));
            (0..4)
                .map(|k| {
                    if k <= c.len() {
                        LETTERS[(n >> (18 - 6 * k) & 63) as usize] as char
                    } else {
                        '='
                    }
                })
                .collect::<String>()
        })
        .collect()
}

/// Numbers as VTP writes them in base64: a length in front, in one block with them or in its own.
fn block(bytes: &[u8], apart: bool) -> String {
    let length = (bytes.len() as u32).to_le_bytes();
    if apart {
        base64(&length) + &base64(bytes)
    } else {
        base64(&[&length, bytes].concat())
    }
}

pub fn vtp_binary(mesh: &Mesh, apart: bool) -> String {
    let points: Vec<u8> = mesh
        .vertices
        .iter()
        .flatten()
        .flat_map(|&c| (c as f32).to_le_bytes())
        .collect();
    let corners: Vec<u8> = mesh
        .triangles
        .iter()
        .flatten()
        .flat_map(|&i| (i as i32).to_le_bytes())
        .collect();
    let ends: Vec<u8> = (1..=mesh.triangles.len() as i32)
        .flat_map(|i| (3 * i).to_le_bytes())
        .collect();
    format!(
        "<VTKFile type=\"PolyData\" byte_order=\"LittleEndian\"><PolyData><Piece><Points><DataArray type=\"Float32\" format=\"binary\">{}</DataArray></Points><Polys><DataArray type=\"Int32\" Name=\"connectivity\" format=\"binary\">{}</DataArray><DataArray type=\"Int32\" Name=\"offsets\" format=\"binary\">{}</DataArray></Polys></Piece></PolyData></VTKFile>",
        block(&points, apart),
        block(&corners, apart),
        block(&ends, apart)
    )
}

pub const CORE: &str = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02";
pub const RELATIONS: &str = "<?xml version=\"1.0\"?><Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\"><Relationship Id=\"r\" Target=\"/3D/part.model\" Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/></Relationships>";

/// A zip archive of the named parts.
pub fn zipped(parts: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in parts {
        zip.start_file(*name, SimpleFileOptions::default())
            .expect("a name");
        zip.write_all(bytes).expect("memory");
    }
    zip.finish().expect("memory").into_inner()
}

pub fn three_mf(model: &str) -> Vec<u8> {
    zipped(&[
        ("_rels/.rels", RELATIONS.as_bytes()),
        ("3D/part.model", model.as_bytes()),
    ])
}

/// The mesh element of an object.
pub fn mesh_xml(mesh: &Mesh) -> String {
    let v: String = mesh
        .vertices
        .iter()
        .map(|[x, y, z]| format!("<vertex x=\"{x}\" y=\"{y}\" z=\"{z}\" />"))
        .collect();
    let t: String = mesh
        .triangles
        .iter()
        .map(|[a, b, c]| format!("<triangle v1=\"{a}\" v2=\"{b}\" v3=\"{c}\" pid=\"9\" p1=\"0\"/>"))
        .collect();
    format!("<mesh><vertices>{v}</vertices><triangles>{t}</triangles></mesh>")
}

pub fn model(attributes: &str, resources: &str, build: &str) -> String {
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?><model xmlns=\"{CORE}\" {attributes}><metadata name=\"Title\">x &amp; y</metadata><resources>{resources}</resources><build>{build}</build></model>"
    )
}
