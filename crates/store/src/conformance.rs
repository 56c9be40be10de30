//! Does a backend keep every promise of the trait?
