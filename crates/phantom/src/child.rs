//! Which parts of a child's foot are bone yet?
