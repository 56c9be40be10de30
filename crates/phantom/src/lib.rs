//! A parametric standing foot and its films: truth known by construction
