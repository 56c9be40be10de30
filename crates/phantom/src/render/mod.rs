//! How is a foot drawn through a point source?
