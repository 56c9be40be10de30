//! Any bytes as STL: as they are, with a sound header and count, and as text.
#![no_main]

mod surface;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    surface::read(bytes);
    let mut binary = vec![0u8; 80];
    binary.extend((bytes.len() as u32 / 50).to_le_bytes());
    binary.extend(bytes);
    surface::read(&binary);
    surface::read(&[b"solid x\nfacet normal 0 0 0\n", bytes].concat());
});
