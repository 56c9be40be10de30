//! The bundled script, styles and fonts are made by `npm run build` in `ui/`. A build without Node
//! works all the same: the folder is there, empty, and the pages fall back to the plain style sheets.

use std::{fs, path::Path};

fn main() -> std::io::Result<()> {
    let dist = Path::new(env!("CARGO_MANIFEST_DIR")).join("dist");
    fs::create_dir_all(&dist)?;
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed=dist");
    // Template changes alone do not make cargo rebuild otherwise.
    println!("cargo:rerun-if-changed=askama.toml");
    println!("cargo:rerun-if-changed=src");
    Ok(())
}
