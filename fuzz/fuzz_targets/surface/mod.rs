//! What must hold of whatever comes out of a mesh reader.

/// A surface whose corners are all there and lie somewhere, or one sentence.
pub fn read(bytes: &[u8]) {
    match mesh::read(bytes) {
        Ok(file) => {
            let count = file.mesh.vertices.len() as u32;
            assert!(!file.mesh.triangles.is_empty());
            assert!(file.mesh.triangles.iter().flatten().all(|&v| v < count));
            assert!(file.mesh.vertices.iter().flatten().all(|c| c.is_finite()));
            let report = mesh::check::check(&file.mesh, &mesh::check::Options::default());
            for fault in &report.faults {
                assert!(!fault.to_string().contains('\n'));
            }
        }
        Err(error) => {
            let sentence = error.to_string();
            assert!(sentence.len() < 400 && !sentence.contains('\n'), "{sentence}");
        }
    }
}
