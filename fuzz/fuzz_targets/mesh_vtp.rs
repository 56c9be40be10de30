//! Any bytes as VTP: after its first element, and as its points.
#![no_main]

mod surface;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    surface::read(&[b"<VTKFile type=\"PolyData\">", bytes].concat());
    for format in ["ascii", "binary"] {
        let head = format!(
            "<VTKFile type=\"PolyData\"><Piece><Polys><DataArray Name=\"connectivity\">0 1 2</DataArray><DataArray Name=\"offsets\">3</DataArray></Polys><Points><DataArray type=\"Float32\" format=\"{format}\">"
        );
        let tail = b"</DataArray></Points></Piece></VTKFile>";
        surface::read(&[head.as_bytes(), bytes, tail].concat());
    }
});
