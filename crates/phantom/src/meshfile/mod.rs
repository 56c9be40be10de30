//! Which bones does a mesh file hold?
