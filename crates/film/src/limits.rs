//! How much a file may ask for. Checked before anything is allocated from what the file says.

/// The most a film may hold. The default admits every projection film in use with room to spare
/// (a 43 × 43 cm plate at 0.1 mm is 18 million pixels) and refuses what would fill a laptop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Most pixels of the picture (rows times columns).
    pub max_pixels: u64,
    /// Most bytes of the file as it arrives.
    pub max_file_bytes: u64,
    /// Most bytes of the data set once a deflated file is inflated.
    pub max_inflated_bytes: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            max_pixels: 64_000_000,
            max_file_bytes: 256 * 1024 * 1024,
            max_inflated_bytes: 256 * 1024 * 1024,
        }
    }
}
