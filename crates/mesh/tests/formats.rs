//! Does the same surface come out of every kind of file, and go into ours and back?

mod files;

use files::*;
use mesh::check::closed;
use mesh::read::Format;
use mesh::shapes::{ball, beside, cuboid, shifted, torus};
use mesh::topology::Topology;
use mesh::write::{Body, Material, Model};
use mesh::{Mesh, Unit, read, write};

fn surface() -> Mesh {
    shifted(&ball(15.0, 2), [10.0, 20.0, -5.0])
}

#[test]
fn every_format_gives_the_same_surface() {
    let mesh = surface();
    let one = format!("<object id=\"4\">{}</object>", mesh_xml(&mesh));
    let given: Vec<(Format, Vec<u8>)> = vec![
        (Format::StlBinary, stl_binary(&mesh)),
        (Format::StlText, stl_text(&mesh).into_bytes()),
        (Format::StlText, stl_text(&mesh).to_uppercase().into_bytes()),
        (Format::Obj, obj(&mesh).into_bytes()),
        (Format::PlyText, ply_text(&mesh).into_bytes()),
        (Format::PlyBinary, ply_binary(&mesh, false)),
        (Format::PlyBinary, ply_binary(&mesh, true)),
        (Format::PlyBinary, ply_odd(&mesh)),
        (Format::Vtp, vtp(&mesh).into_bytes()),
        (Format::Vtp, vtp_binary(&mesh, false).into_bytes()),
        (Format::Vtp, vtp_binary(&mesh, true).into_bytes()),
        (
            Format::ThreeMf,
            three_mf(&model("", &one, "<item objectid=\"4\"/>")),
        ),
    ];
    for (format, bytes) in given {
        let got = read(&bytes).unwrap_or_else(|e| panic!("{format}: {e}"));
        assert_eq!(got.format, format);
        assert_eq!(
            got.declared_unit,
            (format == Format::ThreeMf).then_some(Unit::Millimetre)
        );
        assert_eq!(got.mesh.triangles.len(), mesh.triangles.len(), "{format}");
        assert_eq!(got.mesh.vertices.len(), mesh.vertices.len(), "{format}");
        assert_eq!(closed(&got.mesh), None, "{format}");
        // Corners written as f32 or as decimals of f64.
        assert!(
            (got.mesh.volume() / mesh.volume() - 1.0).abs() < 1e-6,
            "{format}"
        );
    }
}

#[test]
fn a_binary_stl_that_begins_with_solid_is_no_text() {
    let mut bytes = stl_binary(&surface());
    bytes[..30].copy_from_slice(b"solid facet vertex endsolid of");
    assert_eq!(read(&bytes).unwrap().format, Format::StlBinary);
    // The same with something behind its last triangle.
    bytes.extend(b"made by nobody");
    let got = read(&bytes).unwrap();
    assert_eq!(
        (got.format, got.dropped.trailing_bytes),
        (Format::StlBinary, 14)
    );
}

#[test]
fn faces_of_many_corners_are_split_and_flat_ones_dropped() {
    let got =
        read(b"v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nv 9 9 9\nf 1 2 3 4 # a face\nf -2 -3 -3\n")
            .unwrap();
    assert_eq!(got.mesh.triangles, [[0, 1, 2], [0, 2, 3]]);
    assert_eq!(
        (got.dropped.flat_triangles, got.dropped.unused_vertices),
        (1, 1)
    );
}

#[test]
fn three_mf_items_components_transforms_and_units_are_followed() {
    let cube = cuboid([0.0; 3], [1.0, 2.0, 3.0]);
    let resources = format!(
        "<basematerials id=\"9\"><base name=\"a\" displaycolor=\"#FFFFFF\"/></basematerials>\
         <object id=\"1\">{0}</object><object id=\"7\" type=\"support\">{0}</object>\
         <object id=\"2\"><components>\
         <component objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 1 10 0 0\"/>\
         <component objectid=\"7\"/>\
         <component objectid=\"1\" transform=\"-1 0 0 0 1 0 0 0 1 -10 0 0\"/></components></object>",
        mesh_xml(&cube)
    );
    let build =
        "<item objectid=\"2\" transform=\"0 2 0 -2 0 0 0 0 2 0 0 5\"/><item objectid=\"1\"/>";
    let got = read(&three_mf(&model("unit=\"inch\" requiredextensions=\"m\" xmlns:m=\"http://schemas.microsoft.com/3dmanufacturing/material/2015/02\"", &resources, build))).unwrap();
    assert_eq!(got.declared_unit, Some(Unit::Inch));
    assert_eq!(got.dropped.objects, 1);
    assert_eq!(got.mesh.triangles.len(), 36);
    assert_eq!(closed(&got.mesh), None);
    // Doubled twice (8 times the volume each, the mirrored one outward too) and once as it is.
    assert!(
        (got.mesh.volume() - 6.0 * 17.0).abs() < 1e-9,
        "{}",
        got.mesh.volume()
    );
    // First moved by 10 along x, then turned (x to 2 y, y to -2 x), and raised by 5.
    let (low, high) = got.mesh.bounds().unwrap();
    assert_eq!((low, high), ([-4.0, -22.0, 0.0], [1.0, 22.0, 11.0]));
}

#[test]
fn a_prefix_for_the_core_and_elements_of_others_do_no_harm() {
    let cube = cuboid([0.0; 3], [1.0; 3]);
    let inner = mesh_xml(&cube)
        .replace("</", "</c:")
        .replace("<m", "<c:m")
        .replace("<v", "<c:v")
        .replace("<t", "<c:t");
    let text = format!(
        "<c:model xmlns:c=\"{CORE}\" xmlns:other=\"http://nobody.example\" unit=\"meter\"><c:resources><other:triangle v1=\"9\"/><triangle/><c:object id=\"1\"><other:mesh/>{inner}</c:object></c:resources><c:build><c:item objectid=\"1\"/></c:build></c:model>"
    );
    let got = read(&three_mf(&text)).unwrap();
    assert_eq!((got.declared_unit, got.mesh), (Some(Unit::Metre), cube));
}

#[test]
fn what_is_written_is_read_back_the_same() {
    let mesh = beside(
        &torus(30.0, 8.0, 40, 20),
        &shifted(&ball(4.0, 2), [0.1, 0.2, 40.3]),
    );
    let stl = read(&write::stl(&mesh, "solid as a rock").unwrap()).unwrap();
    assert_eq!(
        (stl.format, stl.mesh.triangles.len()),
        (Format::StlBinary, mesh.triangles.len())
    );
    assert_eq!(Topology::of(&stl.mesh).components().count(), 2);
    let rounded = mesh.map(|v| v.map(|c| f64::from(c as f32)));
    assert_eq!(stl.mesh.volume(), by_stl_order(&rounded).volume());

    let material = Material {
        name: "PA 12 <grey>",
        colour: [120, 121, 122],
    };
    let bodies = [
        Body {
            name: "shell \"A\"",
            mesh: &mesh,
            material,
        },
        Body {
            name: "post & wedge",
            mesh: &surface(),
            material: Material {
                colour: [1, 2, 3],
                ..material
            },
        },
    ];
    let given = Model {
        title: "left & right",
        description: Some("from \u{1}<nothing>"),
        bodies: &bodies,
    };
    let bytes = write::three_mf(&given).unwrap();
    assert_eq!(bytes, write::three_mf(&given).unwrap());
    let got = read(&bytes).unwrap();
    assert_eq!(
        (got.format, got.declared_unit),
        (Format::ThreeMf, Some(Unit::Millimetre))
    );
    let both = beside(&mesh, &surface()).map(|v| v.map(|c| f64::from(c as f32)));
    assert_eq!(got.mesh.triangles, both.triangles);
    for (a, b) in got.mesh.vertices.iter().zip(&both.vertices) {
        // The decimals name the f32; read as f64 they are the nearest one of those.
        assert_eq!(a.map(|c| c as f32), b.map(|c| c as f32));
    }
}

/// Vertices in the order in which an STL names them.
fn by_stl_order(mesh: &Mesh) -> Mesh {
    read(&stl_binary(mesh)).unwrap().mesh
}

#[test]
fn the_written_model_is_the_one_the_format_describes() {
    let bodies = [Body {
        name: "one",
        mesh: &surface(),
        material: Material {
            name: "any",
            colour: [255, 0, 16],
        },
    }];
    let bytes = write::three_mf(&Model {
        title: "t",
        description: None,
        bodies: &bodies,
    })
    .unwrap();
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(&bytes)).unwrap();
    let names: Vec<String> = archive
        .file_names()
        .map(|n| n.unwrap().into_owned())
        .collect();
    assert_eq!(
        names,
        ["[Content_Types].xml", "_rels/.rels", "3D/3dmodel.model"]
    );
    for i in 0..3 {
        let time = archive.by_index(i).unwrap().last_modified().unwrap();
        assert_eq!(
            (time.year(), time.month(), time.day(), time.hour()),
            (1980, 1, 1, 0)
        );
    }
    let mut text = String::new();
    std::io::Read::read_to_string(&mut archive.by_name("3D/3dmodel.model").unwrap(), &mut text)
        .unwrap();
    for part in [
        "unit=\"millimeter\"",
        "<metadata name=\"Title\">t</metadata>",
        "<base name=\"any\" displaycolor=\"#FF0010FF\"/>",
        "<object id=\"2\" type=\"model\" name=\"one\" pid=\"1\" pindex=\"0\">",
        "<item objectid=\"2\"/>",
    ] {
        assert!(text.contains(part), "{part}");
    }
    assert!(
        !text.contains("Description") && !text.contains('E'),
        "an exponent is no number of the schema"
    );
}

#[test]
fn a_closed_surface_whose_corners_fall_together_is_refused_and_an_open_one_written() {
    // A ball so far out that f32 knows no tenths.
    let far = shifted(&ball(3.0, 3), [2.0e7, 0.0, 0.0]);
    let refused = write::stl(&far, "far").unwrap_err().to_string();
    assert!(
        refused.contains("fall together") && refused.contains("simplify"),
        "{refused}"
    );
    let body = Body {
        name: "far",
        mesh: &far,
        material: Material {
            name: "any",
            colour: [0; 3],
        },
    };
    let model = Model {
        title: "",
        description: None,
        bodies: &[body],
    };
    assert!(
        write::three_mf(&model)
            .unwrap_err()
            .to_string()
            .contains("fall together")
    );
    let mut open = far.clone();
    open.triangles.pop();
    assert!(write::stl(&open, "far").is_ok());
    let nothing = Model {
        title: "",
        description: None,
        bodies: &[],
    };
    assert!(
        write::three_mf(&nothing)
            .unwrap_err()
            .to_string()
            .contains("no body")
    );
    assert!(
        write::stl(&Mesh::default(), "")
            .unwrap_err()
            .to_string()
            .contains("no triangles")
    );
    let mut nan = surface();
    nan.vertices[3][1] = f64::NAN;
    assert!(
        write::stl(&nan, "")
            .unwrap_err()
            .to_string()
            .contains("NaN")
    );
}
