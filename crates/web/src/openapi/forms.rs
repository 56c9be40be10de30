//! Which forms do the addresses share? JSON Schema 2020-12, as OpenAPI 3.1 wants it.

use serde_json::{Value, json};

/// A reference to a form.
pub fn named(form: &str) -> Value {
    json!({"$ref": format!("#/components/schemas/{form}")})
}

/// What stands in a part of an address.
pub fn path(name: &str) -> Value {
    match name {
        "of" => {
            json!({"type": "string", "enum": ["left", "right", "person", "left-leg", "right-leg"]})
        }
        "frame" => json!({"type": "string", "pattern": "^[0-9]{1,6}$"}),
        "kind" => {
            let all: Vec<&str> = exchange_fhir::ResourceType::ALL
                .iter()
                .map(|kind| kind.name())
                .collect();
            json!({"type": "string", "enum": all})
        }
        "study" | "series" | "instance" => {
            json!({"type": "string", "maxLength": 64, "pattern": "^[0-9]+(\\.[0-9]+)+$"})
        }
        _ => json!({"type": "string", "minLength": 1, "maxLength": 64}),
    }
}

fn object(required: &[&str], properties: Value) -> Value {
    json!({"type": "object", "required": required, "properties": properties})
}

pub fn all() -> Value {
    let text = || json!({"type": "string"});
    let number = || json!({"type": "number"});
    let flag = || json!({"type": "boolean"});
    let or_null = |kind: &str| json!({"type": [kind, "null"]});
    let list = |of: Value| json!({"type": "array", "items": of});
    let place =
        || json!({"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2});
    let places = || json!({"type": "object", "additionalProperties": place()});
    let texts = || json!({"type": "object", "additionalProperties": {"type": "string"}});
    let progress = || {
        json!({
            "state": {"type": "string", "enum": ["none", "running", "stopped", "failed", "done"]},
            "share": {"type": "number", "minimum": 0, "maximum": 1},
            "words": {"type": "string"},
        })
    };
    let mut made = progress();
    made["outdated"] = flag();
    made["done"] = json!({"type": ["object", "null"]});
    let forms = [
        (
            "Told",
            object(
                &["error", "todo"],
                json!({
                    "error": {"type": "string", "description": "What was found and what was expected."},
                    "todo": {"type": "string", "description": "What to do."},
                    "field": {"type": "string", "description": "The field of the form at fault."},
                }),
            ),
        ),
        (
            "Description",
            object(
                &["openapi", "paths"],
                json!({"openapi": text(), "paths": {"type": "object"}}),
            ),
        ),
        ("Login", object(&["login"], json!({"login": text()}))),
        (
            "NewPasskey",
            object(
                &["label", "passphrase"],
                json!({"label": text(), "passphrase": text()}),
            ),
        ),
        (
            "Question",
            object(
                &["ceremony", "options"],
                json!({
                    "ceremony": text(),
                    "options": {"type": "object", "description": "What the browser's credentials interface takes (Web Authentication)."},
                }),
            ),
        ),
        (
            "Answer",
            object(
                &["ceremony", "credential"],
                json!({
                    "ceremony": text(),
                    "credential": {"type": "object", "description": "What the browser's credentials interface gave (Web Authentication)."},
                    "to": text(),
                }),
            ),
        ),
        ("Done", object(&["to"], json!({"to": text()}))),
        ("Texts", texts()),
        ("Nothing", json!({"type": "object", "maxProperties": 0})),
        (
            "SavedExam",
            object(
                &["revision", "words", "undo"],
                json!({
                    "revision": {"type": "integer", "minimum": 1},
                    "words": text(),
                    "undo": or_null("string"),
                }),
            ),
        ),
        (
            "Turn",
            object(
                &["quarter_turns", "mirrored"],
                json!({
                    "quarter_turns": {"type": "integer", "minimum": 0, "maximum": 3},
                    "mirrored": flag(),
                }),
            ),
        ),
        (
            "Scale",
            json!({
                "type": "object",
                "required": ["from"],
                "properties": {
                    "from": {"type": "string", "enum": ["file", "ball", "known-length", "none"]},
                    "object": {"type": ["object", "null"], "properties": {"mm": number(), "se_mm": number()}},
                    "diameter_mm": number(),
                    "diameter_se_mm": number(),
                    "edge_points_px": list(place()),
                    "point_se_px": number(),
                    "from_px": place(),
                    "to_px": place(),
                    "length_mm": number(),
                    "length_se_mm": number(),
                },
            }),
        ),
        (
            "Film",
            object(
                &[
                    "id",
                    "title",
                    "view",
                    "width",
                    "height",
                    "turn",
                    "landmarks",
                    "points",
                    "finished",
                ],
                json!({
                    "id": text(),
                    "title": text(),
                    "view": text(),
                    "side": or_null("string"),
                    "scale_known": flag(),
                    "scale_wish": named("Scale"),
                    "width": {"type": "integer", "minimum": 1},
                    "height": {"type": "integer", "minimum": 1},
                    "turn": named("Turn"),
                    "window": object(&["centre", "width"], json!({"centre": number(), "width": number()})),
                    "landmarks": list(object(&["key", "name"], json!({"key": text(), "name": text()}))),
                    "points": places(),
                    "points_id": or_null("string"),
                    "finished": flag(),
                    "notes": list(text()),
                }),
            ),
        ),
        (
            "PointsInHand",
            object(
                &[],
                json!({
                    "points": places(),
                    "pen": {"type": "number", "description": "film pixels for one pixel of the screen"},
                    "active": or_null("string"),
                    "turn": named("Turn"),
                    "lines_only": flag(),
                    "rates": flag(),
                }),
            ),
        ),
        (
            "Overlay",
            object(
                &["svg"],
                json!({
                    "svg": text(),
                    "rows": list(object(&["measure", "name", "value", "interval"], json!({
                        "measure": text(),
                        "name": text(),
                        "value": text(),
                        "interval": text(),
                    }))),
                    "refused": list(json!({"type": "object"})),
                    "warnings": list(text()),
                }),
            ),
        ),
        (
            "PointsToKeep",
            object(
                &["points"],
                json!({
                    "points": places(),
                    "finished": flag(),
                    "points_id": or_null("string"),
                }),
            ),
        ),
        (
            "SavedPoints",
            object(
                &["points_id", "words"],
                json!({"points_id": text(), "words": text()}),
            ),
        ),
        ("OnePoint", object(&["point"], json!({"point": place()}))),
        (
            "Marks",
            object(&["points"], json!({"points": list(place())})),
        ),
        (
            "Proposal",
            object(
                &["points", "words"],
                json!({
                    "points": places(),
                    "circle": object(&["centre", "radius"], json!({"centre": place(), "radius": number()})),
                    "line": object(&["from", "to"], json!({"from": place(), "to": place()})),
                    "words": text(),
                }),
            ),
        ),
        ("Said", object(&["words"], json!({"words": text()}))),
        (
            "Capture",
            object(
                &["revision", "can_undo", "svg", "readings", "texts"],
                json!({
                    "revision": {"type": "integer", "minimum": 0},
                    "can_undo": flag(),
                    "svg": text(),
                    "readings": text(),
                    "texts": named("Texts"),
                }),
            ),
        ),
        (
            "Frame",
            object(
                &["svg", "texts", "seconds"],
                json!({
                    "svg": text(),
                    "texts": named("Texts"),
                    "seconds": text(),
                }),
            ),
        ),
        ("Far", object(&["state", "share", "words"], progress())),
        (
            "FarOff",
            object(
                &["share", "words"],
                json!({
                    "share": {"type": "number", "minimum": 0, "maximum": 1},
                    "words": text(),
                }),
            ),
        ),
        (
            "Made",
            object(&["state", "share", "words", "outdated", "done"], made),
        ),
        (
            "SavedOrder",
            object(
                &["revision", "words", "undo", "texts"],
                json!({
                    "revision": {"type": "integer", "minimum": 1},
                    "words": text(),
                    "undo": flag(),
                    "texts": named("Texts"),
                }),
            ),
        ),
        (
            "SectionWanted",
            object(
                &[],
                json!({"texts": named("Texts"), "x": or_null("number")}),
            ),
        ),
        (
            "Drawing",
            object(&["svg", "alt"], json!({"svg": text(), "alt": text()})),
        ),
        (
            "WallWanted",
            object(
                &[],
                json!({
                    "texts": named("Texts"),
                    "arch_drop": text(),
                    "safety": text(),
                    "arch_only": flag(),
                }),
            ),
        ),
        (
            "Wall",
            object(
                &["words", "texts", "take"],
                json!({
                    "words": text(),
                    "texts": {"type": ["object", "null"], "additionalProperties": {"type": "string"}},
                    "take": text(),
                }),
            ),
        ),
        (
            "Resource",
            object(
                &["resourceType"],
                json!({"resourceType": text(), "id": text()}),
            ),
        ),
        (
            "Bundle",
            object(
                &["resourceType", "type", "total"],
                json!({
                    "resourceType": {"const": "Bundle"},
                    "type": {"const": "searchset"},
                    "total": {"type": "integer", "minimum": 0},
                    "link": list(object(&["relation", "url"], json!({"relation": text(), "url": text()}))),
                    "entry": list(object(&["resource"], json!({"fullUrl": text(), "resource": named("Resource")}))),
                }),
            ),
        ),
        (
            "OperationOutcome",
            object(
                &["resourceType", "issue"],
                json!({
                    "resourceType": {"const": "OperationOutcome"},
                    "issue": list(object(&["severity", "code", "diagnostics"], json!({
                        "severity": {"type": "string", "enum": ["error", "warning"]},
                        "code": text(),
                        "diagnostics": text(),
                    }))),
                }),
            ),
        ),
        (
            "Attributes",
            list(json!({"type": "object", "additionalProperties": {"type": "object"}})),
        ),
        (
            "Exported",
            object(
                &[
                    "transactionTime",
                    "request",
                    "requiresAccessToken",
                    "output",
                    "error",
                ],
                json!({
                    "transactionTime": text(),
                    "request": text(),
                    "requiresAccessToken": flag(),
                    "output": list(object(
                        &["type", "url", "count"],
                        json!({"type": text(), "url": text(), "count": number()}),
                    )),
                    "error": list(json!({"type": "object"})),
                }),
            ),
        ),
        (
            "Stored",
            json!({"type": "object", "additionalProperties": {"type": "object"}}),
        ),
    ];
    Value::Object(
        forms
            .into_iter()
            .map(|(name, form)| (name.to_owned(), form))
            .collect(),
    )
}
