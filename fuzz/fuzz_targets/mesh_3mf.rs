//! Any bytes as 3MF: as the archive, as its model part, and as the resources of a model.
#![no_main]

mod surface;

use libfuzzer_sys::fuzz_target;

use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;

const RELATIONS: &[u8] = b"<Relationships><Relationship Target=\"/3D/m.model\" Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/></Relationships>";

fn packed(model: &[u8]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (name, part) in [("_rels/.rels", RELATIONS), ("3D/m.model", model)] {
        zip.start_file(name, stored).expect("a new name");
        zip.write_all(part).expect("memory");
    }
    zip.finish().expect("memory").into_inner()
}

fuzz_target!(|bytes: &[u8]| {
    surface::read(&[b"PK\x03\x04", bytes].concat());
    surface::read(&packed(bytes));
    let head = b"<model xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\"><resources>";
    let tail = b"</resources><build><item objectid=\"1\"/></build></model>";
    surface::read(&packed(&[head, bytes, tail].concat()));
});
