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

#[test]
fn every_kind_of_file_gives_the_same_bone() {
    let mesh = bone();
    let material = mesh::write::Material {
        name: "bone",
        colour: [230, 220, 200],
    };
    let bodies = [mesh::write::Body {
        name: "bone",
        mesh: &mesh,
        material,
    }];
    let model = mesh::write::Model {
        title: "bone",
        description: None,
        bodies: &bodies,
    };
    let files: Vec<(&str, Vec<u8>)> = vec![
        ("binary STL", stl_binary(&mesh)),
        ("text STL", stl_text(&mesh).into_bytes()),
        ("OBJ", obj(&mesh).into_bytes()),
        ("3MF", mesh::write::three_mf(&model).unwrap()),
    ];
    for (format, bytes) in files {
        let got = read(&bytes, None, Holes::Refuse).unwrap_or_else(|e| panic!("{format}: {e}"));
        assert_eq!(got.format, format);
        assert_eq!(got.unit, FileUnit::Millimetre);
        assert_eq!(got.unit_guessed, format != "3MF");
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
    assert!(
        (parts[0].volume() / a.volume() - 1.0).abs() < 1e-9
            && mesh::check::closed(&parts[1]).is_none()
    );
}

#[test]
fn broken_files_are_refused_with_what_was_found() {
    let refuse = |bytes: &[u8]| read(bytes, None, Holes::Refuse).unwrap_err().to_string();
    assert!(refuse(b"").contains("an empty file"));
    assert!(refuse(&[0xFF; 300]).contains("no STL, OBJ, PLY, VTP or 3MF file"));
    assert!(refuse(b"v 1 2 x\n").contains("\"x\" for a coordinate"));
    let mut cut = stl_binary(&bone());
    cut.truncate(cut.len() / 2);
    assert!(refuse(&cut).contains("cut off"));
    let kilometres = bone().map(|v| v.map(|c| c * 1e6));
    assert!(refuse(obj(&kilometres).as_bytes()).contains("say the file's unit"));
    let mut nan = stl_binary(&bone());
    nan[96..100].copy_from_slice(&f32::NAN.to_le_bytes());
    assert!(refuse(&nan).contains("NaN"), "{}", refuse(&nan));
}
