//! What are the true values of every measure? Plain arithmetic, shared with nobody.

/// Where a point of the world falls on a detector.
pub trait Camera {
    /// Position on the detector in millimetres: x along its columns to the right, y down its rows.
    fn project(&self, world_mm: [f64; 3]) -> [f64; 2];
}
