//! A chart as FHIR R4 (4.0.1) resources, searched and written line by line.
//!
//! | file | question |
//! |---|---|
//! | [`types`] | which data types and resources of the standard are used? |
//! | [`codes`] | under which systems are our own words coded, and which open ones are used? |
//! | [`ids`] | which id does a resource have, and which texts are ids at all? |
//! | [`resources`] | which resources does a chart become? |
//! | [`bundle`] | how do the resources of a chart stand in one bundle? |
//! | [`table`] | which parameters may a search have? |
//! | [`query`] | what does an address ask for? |
//! | [`search`] | which resources answer it, and on which page? |
//! | [`capability`] | what does the server say of itself? |
//! | [`outcome`] | how is a refusal told? |
//! | [`bulk`] | how do many charts become one line for each resource? |
//!
//! Architecture invariant: nothing here asks a store, reads the clock or makes randomness; the same chart makes the
//! same bytes. Missing stays missing: an element that nobody recorded is not there, and what was asked for and not
//! looked at carries a `dataAbsentReason`.

pub mod bulk;
pub mod bundle;
pub mod capability;
pub mod codes;
pub mod ids;
pub mod outcome;
pub mod query;
pub mod resources;
pub mod search;
pub mod table;
pub mod types;

pub use bulk::{Bulk, Manifest};
pub use bundle::{Base, bundle, resources_of};
pub use capability::capability;
pub use outcome::OperationOutcome;
pub use query::{Handling, Query};
pub use search::{read, search};
pub use types::{Bundle, Resource, ResourceType};
