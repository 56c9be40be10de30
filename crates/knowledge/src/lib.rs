//! Typed, validated loading of the knowledge folder: every number has a source and a provenance.
pub mod measure;
