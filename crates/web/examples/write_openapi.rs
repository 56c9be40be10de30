//! Writes the description of every address that answers data to `docs/openapi.json`.

fn main() -> std::io::Result<()> {
    let place = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/openapi.json");
    std::fs::write(place, web::openapi::written())
}
