//! What does the server say of itself?
//!
//! Written from the table that queries are read by.

use crate::bundle::Base;
use crate::table::{COMMON, ParamKind, params};
use crate::types::ResourceType;
use serde_json::{Value, json};
use time::Date;

/// The server's statement. `day` is the day of the program's build or release: nothing here reads a clock.
pub fn capability(base: &Base, version: &str, day: Date) -> Value {
    let resources: Vec<Value> = ResourceType::ALL
        .iter()
        .map(|kind| resource(*kind))
        .collect();
    json!({
        "resourceType": "CapabilityStatement",
        "status": "active",
        "date": day.to_string(),
        "kind": "instance",
        "software": {"name": "Tiebeam", "version": version},
        "implementation": {
            "description": "Charts of one practice, to be read and searched",
            "url": base.as_str(),
        },
        // The address as the guide's own statement has it (CapabilityStatement-bulk-data, read).
        "instantiates": ["http://hl7.org/fhir/uv/bulkdata/CapabilityStatement/bulk-data"],
        "fhirVersion": "4.0.1",
        "format": ["application/fhir+json", "json"],
        "rest": [{
            "mode": "server",
            "documentation": "Read and search only. Codes of our own stand under urn:tiebeam systems.",
            "resource": resources,
            // `unconfirmed`: by the pattern of the guide's other operations.
            "operation": [{
                "name": "export",
                "definition": "http://hl7.org/fhir/uv/bulkdata/OperationDefinition/export",
                "documentation": "Everybody's records as lines, with Prefer: respond-async; Patient/$export gives the same.",
            }],
        }],
    })
}

fn resource(kind: ResourceType) -> Value {
    let all = || COMMON.iter().chain(params(kind));
    let search: Vec<Value> = all()
        .map(|p| json!({"name": p.name, "type": p.kind.key(), "documentation": p.words}))
        .collect();
    let includes: Vec<String> = all()
        .filter(|p| p.kind == ParamKind::Reference)
        .map(|p| format!("{}:{}", kind.name(), p.name))
        .collect();
    let mut resource = json!({
        "type": kind.name(),
        "interaction": [{"code": "read"}, {"code": "search-type"}],
        "versioning": "no-version",
    });
    if !includes.is_empty() {
        resource["searchInclude"] = json!(includes);
    }
    resource["searchParam"] = json!(search);
    resource
}
