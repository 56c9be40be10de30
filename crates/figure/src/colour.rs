//! The few colours of a drawing. State is always told by shape and word as well.

pub const INK: &str = "#1e2328";
pub const QUIET: &str = "#5c625f";
pub const RULE: &str = "#d8d2c4";
pub const PAPER: &str = "#fffdf8";
pub const KELP: &str = "#2f6b5e";
pub const KELP_PALE: &str = "#cfe0da";
pub const OCHRE: &str = "#9a6212";
pub const BRICK: &str = "#a1382a";
/// Ink on a film: light line, dark edge.
pub const FILM_LINE: &str = "#f3e9c8";
pub const FILM_EDGE: &str = "#0c0e11";
pub const FILM_POINT: &str = "#8fe0c9";
pub const FILM_ACTIVE: &str = "#ffd479";
