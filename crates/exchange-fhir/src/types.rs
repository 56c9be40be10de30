//! Which data types and resources of the standard are used?
//!
//! Only the elements that a chart can fill, in the order of the standard. An element without a value is not written.

use serde::Serialize;

mod base;
mod clinical;

pub use base::*;
pub use clinical::*;

macro_rules! resources {
    ($($name:ident),+ $(,)?) => {
        /// The types of resource a chart becomes.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum ResourceType { $($name),+ }

        impl ResourceType {
            pub const ALL: &[ResourceType] = &[$(ResourceType::$name),+];

            pub fn name(self) -> &'static str {
                match self { $(ResourceType::$name => stringify!($name)),+ }
            }

            pub fn from_name(name: &str) -> Option<ResourceType> {
                ResourceType::ALL.iter().copied().find(|t| t.name() == name)
            }
        }

        /// One resource; `resourceType` stands first.
        #[derive(Debug, Clone, PartialEq, Serialize)]
        #[serde(tag = "resourceType")]
        #[allow(clippy::large_enum_variant)] // nearly all of a chart are observations, the largest
        pub enum Resource { $($name($name)),+ }

        impl Resource {
            pub fn kind(&self) -> ResourceType {
                match self { $(Resource::$name(_) => ResourceType::$name),+ }
            }

            pub fn id(&self) -> &str {
                match self { $(Resource::$name(r) => &r.id),+ }
            }

            pub fn meta(&self) -> Option<&Meta> {
                match self { $(Resource::$name(r) => r.meta.as_ref()),+ }
            }

            pub fn meta_mut(&mut self) -> &mut Option<Meta> {
                match self { $(Resource::$name(r) => &mut r.meta),+ }
            }
        }

        $(impl From<$name> for Resource {
            fn from(r: $name) -> Resource {
                Resource::$name(r)
            }
        })+
    };
}

resources!(
    Patient,
    Practitioner,
    Encounter,
    Observation,
    DiagnosticReport,
    Condition,
    Procedure,
    DeviceRequest,
    CarePlan,
    DocumentReference,
    Provenance,
);

impl Resource {
    /// `Patient/ID`.
    pub fn path(&self) -> String {
        format!("{}/{}", self.kind().name(), self.id())
    }
}

/// A bundle of resources.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Bundle {
    pub resource_type: &'static str,
    /// `collection` or `searchset`.
    #[serde(rename = "type")]
    pub kind: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub total: Option<usize>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub link: Vec<Link>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub entry: Vec<Entry>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Link {
    pub relation: &'static str,
    pub url: String,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Entry {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub full_url: Option<String>,
    pub resource: Held,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub search: Option<SearchMode>,
}

/// What an entry holds.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
#[allow(clippy::large_enum_variant)] // a page holds a few hundred of them
pub enum Held {
    Resource(Resource),
    Outcome(crate::OperationOutcome),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct SearchMode {
    /// `match`, `include` or `outcome`.
    pub mode: &'static str,
}

impl Bundle {
    /// The bytes of the bundle: the same for the same content.
    ///
    /// # Errors
    /// Never for what this crate makes; the writer's error is handed on.
    pub fn to_json(&self) -> Result<Vec<u8>, serde_json::Error> {
        serde_json::to_vec(self)
    }

    /// The resources, without what was told beside them.
    pub fn resources(&self) -> impl Iterator<Item = &Resource> {
        self.entry.iter().filter_map(|e| match &e.resource {
            Held::Resource(r) => Some(r),
            Held::Outcome(_) => None,
        })
    }
}
