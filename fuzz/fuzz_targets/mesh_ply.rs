//! Any bytes as PLY: as a whole file, and as the rows after headers of all three kinds.
#![no_main]

mod surface;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    surface::read(&[b"ply\n", bytes].concat());
    for kind in ["ascii", "binary_little_endian", "binary_big_endian"] {
        let head = format!(
            "ply\nformat {kind} 1.0\nelement vertex 3\nproperty float x\nproperty double y\nproperty short z\nproperty uchar red\nelement face 4\nproperty list uchar int vertex_indices\nend_header\n"
        );
        surface::read(&[head.as_bytes(), bytes].concat());
    }
});
