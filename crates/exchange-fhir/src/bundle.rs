//! How do the resources of a chart stand in one bundle?

use crate::resources;
use crate::types::{Bundle, Entry, Held, Resource};
use record::Chart;

/// The address under which resources stand, without a slash at its end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Base(String);

impl Base {
    /// For a bundle that lies in a folder: an address that nobody can open (RFC 2606).
    pub fn nowhere() -> Self {
        Base("https://tiebeam.invalid/fhir".into())
    }

    pub fn at(address: &str) -> Self {
        Base(address.trim_end_matches('/').to_owned())
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The address of a resource.
    pub fn of(&self, resource: &Resource) -> String {
        format!("{}/{}", self.0, resource.path())
    }
}

/// Everything of a chart as resources, in one fixed order.
pub fn resources_of(chart: &Chart) -> Vec<Resource> {
    resources::all(chart)
}

/// Everything of a chart in one collection: every reference resolves inside it, and the same chart makes the same
/// bytes.
pub fn bundle(chart: &Chart, base: &Base) -> Bundle {
    let entry = resources_of(chart)
        .into_iter()
        .map(|resource| Entry {
            full_url: Some(base.of(&resource)),
            resource: Held::Resource(resource),
            search: None,
        })
        .collect();
    Bundle {
        resource_type: "Bundle",
        kind: "collection",
        total: None,
        link: Vec::new(),
        entry,
    }
}
