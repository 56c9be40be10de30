//! Do bones come out of every kind of mesh file, and are broken ones refused with a sentence?

use phantom::Mesh;
use phantom::meshfile::{FileUnit, Holes, pieces, read};
use phantom::render::shapes::ball;

fn bone() -> Mesh {
    ball([10.0, 20.0, -5.0], 15.0, 24)
}

fn stl_binary(mesh: &Mesh) -> Vec<u8> {
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

fn stl_text(mesh: &Mesh) -> String {
    let mut out = String::from("solid bone\n");
    for i in 0..mesh.triangles.len() {
        out += "facet normal 0 0 0\n outer loop\n";
        for [x, y, z] in mesh.corners(i) {
            out += &format!("  vertex {x:e} {y:e} {z:e}\n");
        }
        out += " endloop\nendfacet\n";
    }
    out + "endsolid bone\n"
}

fn obj(mesh: &Mesh) -> String {
    let v: String = mesh
        .vertices
        .iter()
        .map(|[x, y, z]| format!("v {x} {y} {z}\n"))
        .collect();
    let f: String = mesh
        .triangles
        .iter()
        .map(|[a, b, c]| format!("f {}/1 {}//2 {}\n", a + 1, b + 1, c + 1))
        .collect();
    format!("# a bone\n{v}{f}")
}

fn ply_text(mesh: &Mesh) -> String {
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
    format!("{}{v}{f}", ply_head("ascii", mesh))
}

fn ply_head(format: &str, mesh: &Mesh) -> String {
    format!(
        "ply\nformat {format} 1.0\ncomment x\nelement vertex {}\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
        mesh.vertices.len(),
        mesh.triangles.len()
    )
}

fn ply_binary(mesh: &Mesh, big: bool) -> Vec<u8> {
    let mut out = ply_head(
        if big {
            "binary_big_endian"
        } else {
            "binary_little_endian"
        },
        mesh,
    )
    .into_bytes();
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

fn vtp(mesh: &Mesh) -> String {
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

/// Numbers as VTP writes them in base64: a length in front.
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut all = (bytes.len() as u32).to_le_bytes().to_vec();
    all.extend(bytes);
    all.chunks(3)
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

fn vtp_binary(mesh: &Mesh) -> String {
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
        base64(&points),
        base64(&corners),
        base64(&ends)
    )
}

#[test]
fn every_format_gives_the_same_bone() {
    let mesh = bone();
    let files: Vec<(&str, Vec<u8>)> = vec![
        ("binary STL", stl_binary(&mesh)),
        ("text STL", stl_text(&mesh).into_bytes()),
        ("OBJ", obj(&mesh).into_bytes()),
        ("text PLY", ply_text(&mesh).into_bytes()),
        ("binary PLY", ply_binary(&mesh, false)),
        ("binary PLY", ply_binary(&mesh, true)),
        ("VTP", vtp(&mesh).into_bytes()),
        ("VTP", vtp_binary(&mesh).into_bytes()),
    ];
    for (format, bytes) in files {
        let got = read(&bytes, None, Holes::Refuse).unwrap_or_else(|e| panic!("{format}: {e}"));
        assert_eq!(got.format, format);
        assert_eq!(got.unit, FileUnit::Millimetre);
        assert_eq!(got.mesh.triangles.len(), mesh.triangles.len(), "{format}");
        assert_eq!(got.mesh.vertices.len(), mesh.vertices.len(), "{format}");
        assert!(
            (got.mesh.volume() / mesh.volume() - 1.0).abs() < 1e-5,
            "{format}"
        );
    }
}

#[test]
fn metres_are_guessed_and_told_and_an_inside_out_surface_is_turned() {
    let metres = bone().map(|v| v.map(|c| c / 1000.0)).turned_inside_out();
    let got = read(obj(&metres).as_bytes(), None, Holes::Refuse).unwrap();
    assert_eq!(
        (got.unit, got.unit_guessed, got.turned),
        (FileUnit::Metre, true, true)
    );
    assert!((got.mesh.volume() / bone().volume() - 1.0).abs() < 1e-6);
    let given = read(obj(&bone()).as_bytes(), Some(FileUnit::Inch), Holes::Refuse).unwrap();
    assert!((given.mesh.volume() / bone().volume() / 25.4f64.powi(3) - 1.0).abs() < 1e-6);
}

#[test]
fn a_mesh_with_a_hole_is_refused_with_a_sentence_and_a_small_one_closed_when_asked() {
    let mut mesh = bone();
    mesh.triangles.remove(100);
    let refused = read(&stl_binary(&mesh), None, Holes::Refuse)
        .unwrap_err()
        .to_string();
    assert!(
        refused.contains("not closed") && refused.contains("fill its holes"),
        "{refused}"
    );
    let closed = read(&stl_binary(&mesh), None, Holes::CloseUpTo { edges: 4 }).unwrap();
    assert_eq!(closed.holes_closed, 1);
    assert!((closed.mesh.volume() / bone().volume() - 1.0).abs() < 1e-5);
    // A whole cap missing is no small hole.
    mesh.triangles.retain(|t| !t.contains(&0));
    let refused = read(&stl_binary(&mesh), None, Holes::CloseUpTo { edges: 4 })
        .unwrap_err()
        .to_string();
    assert!(refused.contains("not closed"), "{refused}");
}

#[test]
fn two_bones_in_one_file_are_told_apart() {
    let (a, b) = (bone(), ball([60.0, 0.0, 0.0], 8.0, 16));
    let shift = a.vertices.len() as u32;
    let mut both = a.clone();
    both.vertices.extend(&b.vertices);
    both.triangles
        .extend(b.triangles.iter().map(|t| t.map(|i| i + shift)));
    let got = read(obj(&both).as_bytes(), None, Holes::Refuse).unwrap();
    let parts = pieces(&got.mesh);
    assert_eq!(parts.len(), 2);
    assert!((parts[0].volume() / a.volume() - 1.0).abs() < 1e-9 && parts[1].fault().is_none());
}

#[test]
fn broken_files_are_refused_with_what_was_found() {
    let refuse = |bytes: &[u8]| read(bytes, None, Holes::Refuse).unwrap_err().to_string();
    assert!(refuse(b"").contains("no STL, OBJ, PLY or VTP"));
    assert!(refuse(&[0xFF; 300]).contains("no STL, OBJ, PLY or VTP"));
    assert!(refuse(b"v 1 2 x\n").contains("three finite numbers"));
    assert!(refuse(b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n").contains("face corner 9"));
    assert!(refuse(b"v 0 0 0\nv 1 0 NaN\nf 1 2 1\n").contains("three finite numbers"));
    assert!(
        refuse(b"ply\nformat ascii 1.0\nelement vertex 99999999999\nend_header\n")
            .contains("20 million")
    );
    let mut cut = ply_binary(&bone(), false);
    cut.truncate(cut.len() / 2);
    assert!(refuse(&cut).contains("end of the file"));
    assert!(
        refuse(
            vtp(&bone())
                .replace("format=\"ascii\"", "format=\"appended\"")
                .as_bytes()
        )
        .contains("ASCII")
    );
    let kilometres = bone().map(|v| v.map(|c| c * 1e6));
    assert!(refuse(obj(&kilometres).as_bytes()).contains("say the file's unit"));
    let mut nan = stl_binary(&bone());
    nan[96..100].copy_from_slice(&f32::NAN.to_le_bytes());
    assert!(refuse(&nan).contains("finite"), "{}", refuse(&nan));
}
