//! Any bytes as OBJ, after three vertices that faces can name.
#![no_main]

mod surface;

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    surface::read(&[b"v 0 0 0\nv 1 0 0\nv 0 1 0\n", bytes].concat());
});
