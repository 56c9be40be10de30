//! Typed, validated loading of the knowledge folder: every number has a source and a provenance.
//!
//! This crate answers "what does the trade know, and who says so": sources, landmarks, measures,
//! yardsticks, examination items, criteria and red flags, and for shells the materials, body sizes, loads and
//! rules of prescribing, all read from TOML files. It computes no reading and judges no foot; what it works
//! out is which yardsticks apply to a person and whether they agree ([`Knowledge::band`]).
//!
//! Surprise: a broken file never stops at its first fault. All [`Fault`]s of a folder come back
//! together, each with file, line, what was found, what was expected and what to do.

pub mod anthropometry;
pub mod band;
pub mod criterion;
pub mod drawing;
pub mod fault;
pub mod figure;
pub mod flag;
pub mod folder;
pub mod hardness;
pub mod item;
pub mod landmark;
pub mod load;
pub mod material;
pub mod measure;
pub mod orthosis;
pub mod source;
pub mod yardstick;

mod check;
mod check_criteria;
mod check_orthosis;
mod check_shell;
mod embedded;
mod parse;
mod yardstick_entry;

pub use anthropometry::{BodySize, Dimension, ShoeRule, SizeKind};
pub use band::{Band, Limit, Limits};
pub use criterion::{Answer, Criterion, CriterionKind, Cut, Scheme};
pub use drawing::{Bone, Drawing};
pub use fault::Fault;
pub use figure::{Figure, FigureUnit, Sourced};
pub use flag::{Ages, RedFlag, Urgency};
pub use folder::{Counts, FOLDERS_OF_CARE, Knowledge};
pub use item::Item;
pub use landmark::{Appears, Border, Landmark};
pub use load::{Held, LoadCase};
pub use material::{Material, Process, Role};
pub use measure::{LineExpr, Measure, PointExpr, Projection, ProjectionModel, Value};
pub use orthosis::Orthosis;
pub use source::{Provenance, Source};
pub use yardstick::{Applies, Person, Raters, ReliabilityForm, Yardstick, YardstickKind};
