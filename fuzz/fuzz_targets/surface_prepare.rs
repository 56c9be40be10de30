//! Any bytes as an STL body beside an egg: the whole way from file to foot, up to 4,000 triangles.
//!
//! Single bytes rarely make a body that passes for one, so an egg of 3,000 triangles is there, some of whose
//! corners the bytes move, and loose triangles of the bytes' own numbers.
#![no_main]

use libfuzzer_sys::fuzz_target;
use mesh::Mesh;
use std::sync::OnceLock;
use surface::{Asked, Load, prepare_mesh};

const LOOSE: usize = 900;

fn egg() -> &'static Mesh {
    static EGG: OnceLock<Mesh> = OnceLock::new();
    EGG.get_or_init(|| mesh::shapes::ball(1.0, 4).map(|v| [v[0] * 125.0, v[1] * 48.0, v[2] * 40.0]))
}

fuzz_target!(|bytes: &[u8]| {
    if let Ok(file) = mesh::read(bytes)
        && file.mesh.triangles.len() < 4000
    {
        let _ = surface::prepare(file, &Asked::load(Load::Full), &mut |_, _| {});
    }
    let mut body = egg().clone();
    let count = body.vertices.len();
    for (n, word) in bytes.chunks_exact(6).enumerate().take(4 * LOOSE) {
        let number = |at: usize| f32::from(i16::from_le_bytes([word[at], word[at + 1]]));
        let (a, b, c) = (number(0), number(2), number(4));
        if n % 2 == 0 {
            let v = a.abs() as usize % count;
            body.vertices[v] = [
                f64::from(a) * 0.01,
                f64::from(b) * 0.01,
                f64::from(c) * 0.01,
            ];
        } else {
            // Some name corners that are not there.
            body.triangles
                .push([a, b, c].map(|x| x.abs() as u32 % (count as u32 + 3)));
        }
    }
    if bytes.first().is_some_and(|b| b % 3 == 0) {
        let keep = bytes.len() % body.triangles.len();
        body.triangles.rotate_left(keep);
        body.triangles.truncate(body.triangles.len() - keep / 4);
    }
    if body.triangles.len() <= 4 * LOOSE + 5120 {
        let _ = prepare_mesh(body, None, &Asked::load(Load::Full), &mut |_, _| {});
    }
});
