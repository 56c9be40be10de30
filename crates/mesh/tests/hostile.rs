//! Does every bad file get one sentence that says what was found and what to do, and none a panic?

mod files;

use files::*;
use mesh::shapes::{ball, cuboid};
use mesh::{Mesh, read};
use std::time::{Duration, Instant};

fn refused(bytes: &[u8]) -> String {
    let sentence = read(bytes).expect_err("a bad file").to_string();
    assert!(
        sentence.starts_with("found ") && sentence.contains("; expected "),
        "{sentence}"
    );
    assert!(
        sentence.contains(": ") && !sentence.ends_with('.'),
        "{sentence}"
    );
    assert!(
        sentence.len() < 300 && !sentence.contains('\n'),
        "{sentence}"
    );
    sentence
}

fn surface() -> Mesh {
    ball(15.0, 2)
}

fn item(model_of: &str) -> Vec<u8> {
    three_mf(&model("", model_of, "<item objectid=\"1\"/>"))
}

#[test]
fn every_bad_file_gets_its_sentence() {
    let stl = stl_binary(&surface());
    let with = |at: usize, bytes: &[u8]| {
        let mut bad = stl.clone();
        bad[at..at + bytes.len()].copy_from_slice(bytes);
        bad
    };
    let ply = ply_binary(&surface(), false);
    let cube = mesh_xml(&cuboid([0.0; 3], [1.0; 3]));
    let one = format!("<object id=\"1\">{cube}</object>");
    let packed = item(&one);
    let head = "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n";
    let table: Vec<(&str, Vec<u8>, &str)> = vec![
        ("empty", vec![], "empty file"),
        ("spaces", b"   \n \t\n".to_vec(), "nothing but spaces"),
        ("a letter called .stl", b"Dear colleague,\nthank you for the scan.\n".to_vec(), "found a text"),
        ("a solid text", b"solid advice: rest the foot\n".to_vec(), "found a text"),
        ("bytes", vec![0xff; 300], "found bytes"),
        ("zeros", vec![0; 60], "found bytes"),
        ("a picture", b"\x89PNG\r\n\x1a\n0000000000".to_vec(), "found a picture"),
        ("a PDF", b"%PDF-1.7\n\x00\x01\x02".to_vec(), "found a PDF"),
        ("gzip", b"\x1f\x8b\x08\x00\x00".to_vec(), "packed archive"),
        // STL
        ("cut binary STL", stl[..stl.len() / 2].to_vec(), "159 of the 320 triangles that the binary STL file announces"),
        ("cut within the first facet", stl[..100].to_vec(), "0 of the 320 triangles"),
        ("header of 10⁹", with(80, &1_000_000_000u32.to_le_bytes()), "320 of the 1000000000 triangles"),
        ("no facets", with(80, &0u32.to_le_bytes())[..84].to_vec(), "no triangles in the binary STL"),
        ("NaN", with(96, &f32::NAN.to_le_bytes()), "the coordinate NaN in the binary STL"),
        ("infinity", with(100, &f32::INFINITY.to_le_bytes()), "the coordinate inf"),
        ("beyond the stars", with(100, &1e30f32.to_le_bytes()), "the coordinate 1.0000000150474662e30"),
        ("text STL cut in a facet", stl_text(&surface())[..2000].into(), "without an 'endsolid'"),
        ("text STL cut between facets", stl_text(&surface()).split("facet normal").take(9).collect::<Vec<_>>().join("facet normal").into_bytes(), "without an 'endsolid'"),
        ("text STL without facets", b"solid x\nendsolid x\n".to_vec(), "no triangles in the text STL"),
        ("text STL with words", b"solid x\nfacet normal 0 0 0\nouter loop\nvertex 1,5 0 0\n".to_vec(), "\"1,5\" for a coordinate"),
        ("text STL with NaN", b"solid x\nfacet\nouter loop\nvertex 1 nan 0\n".to_vec(), "the coordinate NaN"),
        ("text STL with four corners", b"solid x\nfacet\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 1 1 0\nvertex 0 1 0\nendloop\n".to_vec(), "a facet with 4 corners"),
        // OBJ
        ("OBJ word", b"v 1 2 x\n".to_vec(), "\"x\" for a coordinate"),
        ("OBJ two numbers", b"v 1 2\n".to_vec(), "too few numbers"),
        ("OBJ corner", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n".to_vec(), "the face corner 9"),
        ("OBJ corner zero", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 0 1 2\n".to_vec(), "the face corner 0"),
        ("OBJ far back", b"v 0 0 0\nf -9223372036854775808 1 1\n".to_vec(), "the face corner -9"),
        ("OBJ points", b"v 0 0 0\nv 1 0 0\n".to_vec(), "no triangles in the OBJ"),
        ("OBJ edge", b"v 0 0 0\nv 1 0 0\nf 1 2\n".to_vec(), "a face with 2 corners"),
        ("OBJ open line", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 \\".to_vec(), "within a line"),
        // PLY
        ("PLY cut", ply[..ply.len() / 2].to_vec(), "before the rows that its header announces"),
        ("PLY head cut", ply[..60].to_vec(), "within its header"),
        ("PLY of 10⁹", b"ply\nformat ascii 1.0\nelement vertex 1000000000\nend_header\n".to_vec(), "1000000000 vertices in the text PLY"),
        ("PLY of 11 million", b"ply\nformat ascii 1.0\nelement vertex 11000000\nproperty float x\nend_header\n1\n".to_vec(), "before the rows"),
        ("PLY of nothing", b"ply\nformat ascii 1.0\nelement other 11000000\nend_header\n".to_vec(), "no triangles"),
        ("PLY corner", format!("{head}3 0 1 3\n").into_bytes(), "the vertex number 3 where there are 3 vertices"),
        ("PLY half a corner", format!("{head}3 0 1 0.5\n").into_bytes(), "the vertex number 0.5"),
        ("PLY NaN corner", format!("{head}3 0 1 nan\n").into_bytes(), "the vertex number NaN"),
        ("PLY long list", format!("{head}70000 0 1\n").into_bytes(), "a list of 70000 numbers"),
        ("PLY negative list", format!("{head}-1 0 1\n").into_bytes(), "a list of -1 numbers"),
        ("PLY type", b"ply\nformat ascii 1.0\nelement vertex 1\nproperty quad x\nend_header\n".to_vec(), "the number type quad"),
        ("PLY no format", b"ply\nelement vertex 0\nend_header\n".to_vec(), "no format line"),
        ("PLY early property", b"ply\nformat ascii 1.0\nproperty float x\nend_header\n".to_vec(), "before any element"),
        ("PLY without z", b"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nend_header\n1 1\n".to_vec(), "the coordinate NaN"),
        // VTP
        ("VTP appended", vtp(&surface()).replace("format=\"ascii\"", "format=\"appended\"").into_bytes(), "save it again as ASCII"),
        ("VTP cut", vtp(&surface())[..900].into(), "before its closing element"),
        ("VTP grid", b"<VTKFile type=\"ImageData\"></VTKFile>".to_vec(), "the type ImageData"),
        ("VTP corner", vtp(&surface()).replace("\"connectivity\" format=\"ascii\">", "\"connectivity\" format=\"ascii\">99999 ").into_bytes(), "the vertex number 99999"),
        ("VTP offsets", vtp(&surface()).replace(">3 6 ", ">3 1e300 ").into_bytes(), "the offset 1"),
        ("VTP number", vtp_binary(&surface(), false).replace("Float32", "Float16").into_bytes(), "numbers of the type Float16"),
        ("VTP base64", vtp_binary(&surface(), false).replacen("AAA", "A!A", 1).into_bytes(), "the character '!'"),
        // 3MF
        ("3MF cut", packed[..packed.len() / 2].to_vec(), "before its table of contents is whole"),
        ("3MF start", b"PK\x03\x04".to_vec(), "before its table of contents is whole"),
        ("another archive", zipped(&[("letter.txt", b"hello")]), "no relationship to a 3D model"),
        ("3MF without part", zipped(&[("_rels/.rels", RELATIONS.as_bytes())]), "no part 3D/part.model"),
        ("3MF no XML", three_mf("hello"), "within its model part"),
        ("3MF torn XML", three_mf("<model xmlns='x'"), "not well formed"),
        ("3MF part cut", three_mf(model("", &one, "").split("<triangles>").next().unwrap_or_default()), "within its model part"),
        ("3MF of others", three_mf("<model xmlns=\"http://nobody.example\"></model>"), "the element model"),
        ("3MF DTD", three_mf("<!DOCTYPE a [<!ENTITY b \"c\">]><model/>"), "document type declaration"),
        ("3MF UTF-16", zipped(&[("_rels/.rels", RELATIONS.as_bytes()), ("3D/part.model", b"\xff\xfe<\x00m\x00>\x00")]), "in the 3MF file"),
        ("3MF extension", three_mf(&model("requiredextensions=\"p\" xmlns:p=\"http://schemas.microsoft.com/3dmanufacturing/production/2015/06\"", &one, "<item objectid=\"1\"/>")), "the required extension http://schemas.microsoft.com/3dmanufacturing/production"),
        ("3MF unknown extension", three_mf(&model("requiredextensions=\"q\"", &one, "<item objectid=\"1\"/>")), "the required extension q"),
        ("3MF unit", three_mf(&model("unit=\"cubit\"", &one, "<item objectid=\"1\"/>")), "the unit cubit"),
        ("3MF no build", three_mf(&model("", &one, "")), "no triangles in the 3MF"),
        ("3MF absent", three_mf(&model("", &one, "<item objectid=\"8\"/>")), "a reference to object 8"),
        ("3MF itself", item("<object id=\"1\"><components><component objectid=\"1\"/></components></object>"), "a reference to object 1"),
        ("3MF twice", three_mf(&model("", &format!("{one}{one}"), "<item objectid=\"1\"/>")), "two objects with the number 1"),
        ("3MF corner", item(&one.replace("v3=\"6\"", "v3=\"8\"")), "the vertex number 8"),
        ("3MF vertex", item(&one.replace("y=\"0\"", "")), "a vertex without three numbers"),
        ("3MF NaN", item(&one.replace("x=\"0\"", "x=\"NaN\"")), "the coordinate NaN"),
        ("3MF transform", three_mf(&model("", &one, "<item objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 1 0 0\"/>")), "the transform"),
        ("3MF flat transform", three_mf(&model("", &one, "<item objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 0 0 0 0\"/>")), "the transform"),
        ("3MF far", three_mf(&model("", &one, "<item objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 1 1e12 0 0\"/>")), "the coordinate 1000000000000"),
    ];
    let wrong: Vec<String> = table
        .iter()
        .map(|(what, bytes, part)| (what, refused(bytes), part))
        .filter(|(_, sentence, part)| !sentence.contains(*part))
        .map(|(what, sentence, part)| format!("{what}: {sentence} (without {part:?})"))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn objects_within_objects_cannot_multiply_without_end() {
    let cube = mesh_xml(&cuboid([0.0; 3], [1.0; 3]));
    let nest = |inner: &str| {
        let mut all = format!("<object id=\"1\">{inner}</object>");
        for n in 2..60 {
            let part = format!("<component objectid=\"{}\"/>", n - 1);
            all += &format!("<object id=\"{n}\"><components>{part}{part}</components></object>");
        }
        three_mf(&model("", &all, "<item objectid=\"59\"/>"))
    };
    let start = Instant::now();
    assert!(refused(&nest(&cube)).contains("triangles in the 3MF file"));
    assert!(refused(&nest("")).contains("placed objects"));
    assert!(start.elapsed() < Duration::from_secs(5));
}

#[test]
fn a_part_that_unpacks_without_end_is_stopped() {
    // 600 MB of spaces pack into half a megabyte.
    let mut long = model("", "", "").into_bytes();
    long.truncate(long.len() - "</resources><build></build></model>".len());
    long.resize(600 << 20, b' ');
    let packed = three_mf_bytes(&long);
    assert!(packed.len() < 2 << 20);
    drop(long);
    assert!(refused(&packed).contains("unpacks to more than 512 MB"));
}

fn three_mf_bytes(model: &[u8]) -> Vec<u8> {
    zipped(&[
        ("_rels/.rels", RELATIONS.as_bytes()),
        ("3D/part.model", model),
    ])
}

#[test]
fn every_file_cut_anywhere_or_with_a_byte_changed_is_read_or_refused() {
    let small = cuboid([0.0; 3], [1.0, 2.0, 3.0]);
    let object = format!("<object id=\"1\">{}</object>", mesh_xml(&small));
    let all: Vec<Vec<u8>> = vec![
        stl_binary(&small),
        stl_text(&small).into_bytes(),
        obj(&small).into_bytes(),
        ply_text(&small).into_bytes(),
        ply_binary(&small, false),
        ply_odd(&small),
        vtp(&small).into_bytes(),
        vtp_binary(&small, false).into_bytes(),
        item(&object),
    ];
    let sound = |bytes: &[u8]| match read(bytes) {
        Ok(file) => {
            let count = file.mesh.vertices.len() as u32;
            assert!(file.mesh.triangles.iter().flatten().all(|&v| v < count));
            assert!(file.mesh.vertices.iter().flatten().all(|c| c.is_finite()));
        }
        Err(e) => assert!(e.to_string().starts_with("found ")),
    };
    for bytes in all {
        for end in 0..bytes.len() {
            sound(&bytes[..end]);
        }
        let mut changed = bytes.clone();
        for at in 0..bytes.len() {
            for value in [0, 0xff, bytes[at] ^ 1, b'9', b'-'] {
                changed[at] = value;
                sound(&changed);
            }
            changed[at] = bytes[at];
        }
    }
}
