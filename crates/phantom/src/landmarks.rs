//! Where on the bones is each point of each view?
