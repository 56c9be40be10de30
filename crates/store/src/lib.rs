//! Storage traits and the one conformance suite
