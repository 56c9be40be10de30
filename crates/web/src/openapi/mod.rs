//! Which addresses answer data instead of a page, and in which form? OpenAPI 3.1.
//!
//! | file | question |
//! |---|---|
//! | [`described`] | what does each address take and give? |
//! | [`forms`] | which forms do they share? |
//!
//! The description is made from one list; a test holds the list against the table of addresses, another the file
//! `docs/openapi.json` against the description.

pub mod described;
pub mod forms;

use crate::access::table::{Needs, TABLE};
use axum::{
    http::header,
    response::{IntoResponse, Response},
};
use described::{ADDRESSES, Address, Answers, Body};
use serde_json::{Map, Value, json};

/// The whole description.
pub fn openapi() -> Value {
    let mut paths = Map::new();
    for address in ADDRESSES {
        let method = address.method.name().to_ascii_lowercase();
        let methods = paths
            .entry(address.path)
            .or_insert_with(|| Value::Object(Map::new()));
        methods[method] = operation(address);
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Tiebeam",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "Every address that answers data. Pages are left out. Addresses under /fhir and /dicomweb are for other programs and want a key; the others are what the pages ask for themselves, want the session of somebody signed in and the header Accept: application/json.",
            "license": {"name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0"},
        },
        "servers": [{"url": "/"}],
        "paths": paths,
        "components": {
            "schemas": forms::all(),
            "securitySchemes": {
                "session": {"type": "apiKey", "in": "cookie", "name": "tiebeam_session",
                    "description": "Over TLS the name is __Host-tiebeam_session."},
                "key": {"type": "http", "scheme": "bearer",
                    "description": "Made under People, Keys for machines."},
            },
        },
    })
}

fn operation(address: &Address) -> Value {
    let row = TABLE
        .iter()
        .find(|r| r.method == address.method && r.path == address.path);
    let by_key = row.is_some_and(|r| matches!(r.needs, Needs::Key(_)));
    let nobody = row.is_some_and(|r| r.needs == Needs::Nothing);
    let security = match (by_key, nobody) {
        (true, _) => json!([{"key": []}]),
        (_, true) => json!([]),
        _ => json!([{"session": []}]),
    };
    let mut operation = json!({
        "summary": address.words,
        "operationId": operation_id(address),
        "security": security,
        "responses": responses(address),
    });
    let mut parameters: Vec<Value> = names_in(address.path)
        .map(|name| {
            json!({"name": name, "in": "path", "required": true, "schema": forms::path(name)})
        })
        .collect();
    parameters.extend(address.asked.iter().map(|(name, words)| {
        json!({"name": name, "in": "query", "description": words, "schema": {"type": "string"}})
    }));
    if !parameters.is_empty() {
        operation["parameters"] = Value::Array(parameters);
    }
    let body = match &address.body {
        Body::None => None,
        Body::Json(form) => Some(json!({"application/json": {"schema": forms::named(form)}})),
        Body::Texts => {
            Some(json!({"application/x-www-form-urlencoded": {"schema": forms::named("Texts")}}))
        }
        Body::Objects => Some(
            json!({"multipart/related; type=\"application/dicom\"": {"schema": {"type": "string", "format": "binary"}}}),
        ),
    };
    if let Some(content) = body {
        operation["requestBody"] = json!({"required": true, "content": content});
    }
    operation
}

/// `post_film_id_overlay`
fn operation_id(address: &Address) -> String {
    let method = address.method.name().to_ascii_lowercase();
    let words = address
        .path
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|part| !part.is_empty());
    std::iter::once(method.as_str())
        .chain(words)
        .collect::<Vec<_>>()
        .join("_")
}

fn names_in(path: &'static str) -> impl Iterator<Item = &'static str> {
    path.split('/')
        .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
}

fn responses(address: &Address) -> Value {
    let told = |media_type: &str, form: &str| {
        json!({
            "description": "What was found, what was expected and what to do.",
            "content": {media_type: {"schema": forms::named(form)}},
        })
    };
    let given = |media_type: &str, schema: Value| {
        json!({
            "description": "The answer.",
            "content": {media_type: {"schema": schema}},
        })
    };
    match &address.answers {
        Answers::Json(form) => json!({
            "200": given("application/json", forms::named(form)),
            "default": told("application/json", "Told"),
        }),
        Answers::Fhir(form) => json!({
            "200": given("application/fhir+json", forms::named(form)),
            "default": told("application/fhir+json", "OperationOutcome"),
        }),
        Answers::Accepted => json!({
            "202": {
                "description": "Asked for; its state is told at Content-Location.",
                "headers": {"Content-Location": {"schema": {"type": "string"}}},
            },
            "default": told("application/fhir+json", "OperationOutcome"),
        }),
        Answers::WhenReady(form) => json!({
            "200": given("application/json", forms::named(form)),
            "202": {
                "description": "Under way.",
                "headers": {
                    "X-Progress": {"schema": {"type": "string"}},
                    "Retry-After": {"schema": {"type": "integer"}},
                },
            },
            "default": told("application/fhir+json", "OperationOutcome"),
        }),
        Answers::Lines => json!({
            "200": given("application/fhir+ndjson", json!({"type": "string", "format": "binary"})),
            "default": told("application/fhir+json", "OperationOutcome"),
        }),
        Answers::Attributes => json!({
            "200": given("application/dicom+json", forms::named("Attributes")),
            "204": {"description": "Nothing fits."},
            "default": told("application/json", "Told"),
        }),
        Answers::Films => json!({
            "200": {
                "description": "Whole films, each as it came in.",
                "content": {
                    "multipart/related": {"schema": {"type": "string", "format": "binary"}},
                    "application/dicom": {"schema": {"type": "string", "format": "binary"}},
                },
            },
            "default": told("application/json", "Told"),
        }),
        Answers::Stored => json!({
            "200": given("application/dicom+json", forms::named("Stored")),
            "202": given("application/dicom+json", forms::named("Stored")),
            "409": given("application/dicom+json", forms::named("Stored")),
            "default": told("application/json", "Told"),
        }),
    }
}

/// `GET /openapi.json`
pub async fn show() -> Response {
    let headers = [(header::CONTENT_TYPE, "application/json")];
    (headers, openapi().to_string()).into_response()
}

/// The same as it stands in `docs/openapi.json`.
pub fn written() -> String {
    format!("{:#}\n", openapi())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::access::table::Method;
    use std::collections::BTreeSet;

    fn named(method: Method, path: &str) -> String {
        format!("{method:?} {path}")
    }

    #[test]
    fn every_address_that_answers_data_is_described_with_its_methods_and_no_other() {
        let told: BTreeSet<String> = TABLE
            .iter()
            .filter(|r| r.data)
            .map(|r| named(r.method, r.path))
            .collect();
        let described: BTreeSet<String> =
            ADDRESSES.iter().map(|a| named(a.method, a.path)).collect();
        assert_eq!(told, described);
        assert_eq!(ADDRESSES.len(), described.len(), "none stands twice");
        let written = openapi();
        let mut count = 0;
        for (_, methods) in written["paths"].as_object().unwrap() {
            count += methods.as_object().unwrap().len();
        }
        assert_eq!(count, described.len());
        for row in TABLE {
            if matches!(row.needs, Needs::Key(_)) {
                assert!(row.data, "{}", row.path);
            }
        }
    }

    #[test]
    fn every_form_that_is_named_is_there_and_none_is_there_for_nothing() {
        let text = openapi().to_string();
        let mut named = BTreeSet::new();
        for part in text.split("\"#/components/schemas/").skip(1) {
            named.extend(part.split('"').next().map(str::to_owned));
        }
        let there: BTreeSet<String> = forms::all().as_object().unwrap().keys().cloned().collect();
        assert_eq!(named, there);
    }

    #[test]
    fn operations_have_names_of_their_own() {
        let names: BTreeSet<String> = ADDRESSES.iter().map(operation_id).collect();
        assert_eq!(names.len(), ADDRESSES.len());
        assert!(names.contains("post_film_id_overlay"));
    }

    #[test]
    fn the_kept_description_is_the_one_that_is_served() {
        let kept = std::fs::read_to_string(
            std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/openapi.json"),
        )
        .expect("docs/openapi.json");
        assert!(
            kept == written(),
            "docs/openapi.json is not what is served; write it with `cargo xtask openapi`"
        );
    }

    /// The text of a function that stands at the left edge of a file, and what comes back from it.
    fn function<'t>(text: &'t str, name: &str) -> Option<(&'t str, &'t str)> {
        let start = text
            .find(&format!("\npub async fn {name}("))
            .or_else(|| text.find(&format!("\nasync fn {name}(")))
            .or_else(|| text.find(&format!("\nfn {name}(")))?;
        let whole = &text[start + 1..];
        let whole = &whole[..whole.find("\n}\n").unwrap_or(whole.len())];
        whole.split_once(" {\n")
    }

    /// `live::meta` of a folder, as text of its file and the function's name.
    fn file_of(folder: &std::path::Path, handler: &str) -> Option<(String, String)> {
        let mut parts: Vec<&str> = handler.split("::").collect();
        let name = parts.pop()?.to_owned();
        let mut place = folder.to_path_buf();
        place.extend(&parts);
        let files = [place.with_extension("rs"), place.join("mod.rs")];
        let text = files.iter().find_map(|f| std::fs::read_to_string(f).ok())?;
        Some((text, name))
    }

    fn answers_data(text: &str, name: &str) -> bool {
        let Some((head, body)) = function(text, name) else {
            return false;
        };
        let gives = head.rsplit("->").next().unwrap_or_default();
        let through_another = |word: &str| {
            function(text, word).is_some_and(|(_, inner)| inner.contains("Json(")) && word != name
        };
        let words = body.split(|c: char| !(c.is_alphanumeric() || c == '_'));
        gives.contains("Json<") || body.contains("Json(") || words.into_iter().any(through_another)
    }

    fn look_through(folder: &std::path::Path, found: &mut BTreeSet<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                look_through(&path, found);
                continue;
            }
            if path.extension().is_none_or(|e| e != "rs") {
                continue;
            }
            let text = std::fs::read_to_string(&path).unwrap();
            for part in text.split(".route(").skip(1) {
                let Some((address, rest)) = part
                    .trim_start()
                    .strip_prefix('"')
                    .and_then(|p| p.split_once('"'))
                else {
                    continue;
                };
                let rest = rest.split("\n        .").next().unwrap_or_default();
                for (word, method) in [
                    ("get(", Method::Get),
                    ("post(", Method::Post),
                    ("delete(", Method::Delete),
                ] {
                    let Some((_, after)) = rest.split_once(word) else {
                        continue;
                    };
                    let handler = after.split(')').next().unwrap_or_default();
                    if let Some((text, name)) = file_of(folder, handler)
                        && answers_data(&text, &name)
                    {
                        found.insert(named(method, address));
                    }
                }
            }
        }
    }

    #[test]
    fn no_handler_in_the_sources_answers_data_without_being_described() {
        let mut found = BTreeSet::new();
        let sources = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        look_through(&sources, &mut found);
        let described: BTreeSet<String> =
            ADDRESSES.iter().map(|a| named(a.method, a.path)).collect();
        let missing: Vec<_> = found.difference(&described).collect();
        assert!(missing.is_empty(), "{missing:?}");
        assert!(found.len() > 15, "{found:?}");
    }
}
